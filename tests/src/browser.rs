//! A headless Chromium, driven through its debugging protocol.

use serde_json::{Value, json};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};
use tempfile::TempDir;
use tungstenite::stream::MaybeTlsStream;
use tungstenite::{Message, WebSocket};

/// Longest wait for anything.
const PATIENCE: Duration = Duration::from_secs(90);

/// A browser with one page.
pub struct Browser {
    child: Child,
    socket: WebSocket<MaybeTlsStream<TcpStream>>,
    session: String,
    last: u64,
    faults: Vec<String>,
    _profile: TempDir,
}

impl Browser {
    /// Starts Chromium; `None`, with the reason printed, where there is none.
    ///
    /// # Panics
    /// If it is there and does not start.
    #[must_use]
    pub fn start() -> Option<Self> {
        let Some(program) = chromium() else {
            println!("skipped: there is no Chromium here (tests/prerequisites.sh installs one on Debian)");
            return None;
        };
        let profile = tempfile::tempdir().expect("a temporary folder");
        let child = Command::new(program)
            .args(["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run"])
            .args(["--disable-background-networking", "--disable-component-update", "--disable-sync"])
            .args(["--disable-dev-shm-usage", "--remote-debugging-port=0", "--window-size=1280,1000"])
            .arg(format!("--user-data-dir={}", profile.path().display()))
            .arg("about:blank")
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .expect("chromium starts");
        let address = debugging_address(profile.path());
        let (socket, _) = tungstenite::connect(address).expect("chromium listens");
        let mut browser =
            Self { child, socket, session: String::new(), last: 0, faults: Vec::new(), _profile: profile };
        browser.open_page();
        Some(browser)
    }

    fn open_page(&mut self) {
        let target = self.call("Target.createTarget", &json!({ "url": "about:blank" }));
        let attached =
            self.call("Target.attachToTarget", &json!({ "targetId": target["targetId"], "flatten": true }));
        self.session = attached["sessionId"].as_str().expect("a session").to_owned();
        for domain in ["Page", "Runtime", "Log", "Network"] {
            self.call(&format!("{domain}.enable"), &json!({}));
        }
    }

    /// Does something in the browser.
    ///
    /// # Panics
    /// If the browser refuses or does not answer.
    pub fn call(&mut self, method: &str, parameters: &Value) -> Value {
        self.last += 1;
        let mut message = json!({ "id": self.last, "method": method, "params": parameters });
        if !self.session.is_empty() {
            message["sessionId"] = json!(self.session);
        }
        self.socket.send(Message::text(message.to_string())).expect("the browser listens");
        let began = Instant::now();
        loop {
            assert!(began.elapsed() < PATIENCE, "{method} is not answered");
            let Ok(Message::Text(text)) = self.socket.read() else { continue };
            let said: Value = serde_json::from_str(text.as_str()).expect("JSON");
            if said["id"] == json!(self.last) {
                assert!(said["error"].is_null(), "{method}: {}", said["error"]);
                return said["result"].clone();
            }
            self.note(&said);
        }
    }

    /// Keeps what the page complains of.
    fn note(&mut self, said: &Value) {
        let entry = &said["params"]["entry"];
        let level = entry["level"].as_str().unwrap_or_default();
        match said["method"].as_str() {
            Some("Runtime.exceptionThrown") => {
                self.faults.push(said["params"]["exceptionDetails"].to_string())
            }
            Some("Log.entryAdded") if level == "error" => self.faults.push(entry["text"].to_string()),
            Some("Network.requestWillBeSent") => {
                let url = said["params"]["request"]["url"].as_str().unwrap_or_default();
                if !url.starts_with("http://127.0.0.1")
                    && !url.starts_with("about:")
                    && !url.starts_with("data:")
                {
                    self.faults.push(format!("a request to {url}"));
                }
            }
            _ => {}
        }
    }

    /// What pages complained of so far: errors, refusals by their policy, requests elsewhere.
    #[must_use]
    pub fn faults(&self) -> &[String] {
        &self.faults
    }

    /// Goes to a page and waits until it is there.
    pub fn go(&mut self, url: &str) {
        self.call("Page.navigate", &json!({ "url": url }));
        let path = url.rsplit_once("127.0.0.1").map_or("", |(_, rest)| rest).to_owned();
        self.wait(&format!("document.readyState === 'complete' && location.href.endsWith({})", json!(path)));
    }

    /// The value of an expression in the page; promises are waited for.
    ///
    /// # Panics
    /// If it throws.
    pub fn value(&mut self, expression: &str) -> Value {
        let parameters = json!({ "expression": expression, "awaitPromise": true, "returnByValue": true });
        let result = self.call("Runtime.evaluate", &parameters);
        assert!(result["exceptionDetails"].is_null(), "{expression}: {}", result["exceptionDetails"]);
        result["result"]["value"].clone()
    }

    /// Waits until an expression is true.
    ///
    /// # Panics
    /// If it does not become true in time.
    pub fn wait(&mut self, expression: &str) {
        let began = Instant::now();
        while self.value(&format!("Boolean({expression})")) != json!(true) {
            assert!(began.elapsed() < PATIENCE, "never came true: {expression}");
            std::thread::sleep(Duration::from_millis(50));
        }
    }

    /// Makes the window so wide and high, on a light or dark desk.
    pub fn resize(&mut self, width: u32, height: u32, dark: bool) {
        let metrics =
            json!({ "width": width, "height": height, "deviceScaleFactor": 1, "mobile": width < 600 });
        self.call("Emulation.setDeviceMetricsOverride", &metrics);
        let scheme = json!({ "name": "prefers-color-scheme", "value": if dark { "dark" } else { "light" } });
        self.call("Emulation.setEmulatedMedia", &json!({ "features": [scheme] }));
    }

    /// Shows the page as it would be printed, or on the screen again.
    pub fn paper(&mut self, on_paper: bool, dark: bool) {
        let scheme = json!({ "name": "prefers-color-scheme", "value": if dark { "dark" } else { "light" } });
        let media = if on_paper { "print" } else { "screen" };
        self.call("Emulation.setEmulatedMedia", &json!({ "media": media, "features": [scheme] }));
    }

    /// The page as it would be printed: a PDF in base64.
    pub fn print(&mut self) -> String {
        let printed =
            self.call("Page.printToPDF", &json!({ "preferCSSPageSize": true, "printBackground": false }));
        printed["data"].as_str().unwrap_or_default().to_owned()
    }

    /// Presses a key: `Tab`, `Enter`, `Space`.
    pub fn press(&mut self, key: &str) {
        let (name, text, code) = match key {
            "Enter" => ("Enter", "\r", 13),
            "Space" => (" ", " ", 32),
            "Tab" => ("Tab", "", 9),
            other => panic!("no key {other}"),
        };
        for kind in ["keyDown", "keyUp"] {
            let mut event = json!({ "type": kind, "key": name, "code": key, "windowsVirtualKeyCode": code });
            if kind == "keyDown" && !text.is_empty() {
                event["text"] = json!(text);
            }
            self.call("Input.dispatchKeyEvent", &event);
        }
    }

    /// A picture of the whole page, also of what does not fit into the window, as PNG in base64.
    pub fn whole_picture(&mut self) -> String {
        let shot = json!({ "format": "png", "captureBeyondViewport": true });
        self.call("Page.captureScreenshot", &shot)["data"].as_str().unwrap_or_default().to_owned()
    }

    /// A picture of the window as PNG, in base64.
    pub fn picture(&mut self) -> String {
        self.call("Page.captureScreenshot", &json!({ "format": "png" }))["data"]
            .as_str()
            .unwrap_or_default()
            .to_owned()
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn chromium() -> Option<PathBuf> {
    let named = std::env::var_os("CHROMIUM").map(PathBuf::from);
    let usual =
        ["/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome"].map(PathBuf::from);
    named.into_iter().chain(usual).find(|path| path.is_file())
}

fn debugging_address(profile: &Path) -> String {
    let began = Instant::now();
    loop {
        assert!(began.elapsed() < PATIENCE, "chromium does not say where it listens");
        let text = std::fs::read_to_string(profile.join("DevToolsActivePort")).unwrap_or_default();
        if let [port, path] = text.lines().collect::<Vec<_>>()[..] {
            return format!("ws://127.0.0.1:{port}{path}");
        }
        std::thread::sleep(Duration::from_millis(50));
    }
}
