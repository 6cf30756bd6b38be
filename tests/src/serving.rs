//! The built program serving the demo shop, asked over the loopback interface.

use crate::program::program;
use crate::service::demo_shop;
use serde_json::Value;
use std::fs::File;
use std::io::{Error, ErrorKind, Read, Write};
use std::net::{SocketAddr, TcpListener, TcpStream};
use std::ops::Range;
use std::path::Path;
use std::process::{Child, Command, ExitStatus, Stdio};
use std::sync::atomic::{AtomicU32, Ordering};
use std::time::{Duration, Instant};

/// Longest wait for anything.
const PATIENCE: Duration = Duration::from_secs(60);

/// The program while it serves; it is killed when this is dropped.
pub struct Serving {
    /// Where it listens.
    pub address: SocketAddr,
    /// Time from its start to its first answer.
    pub took: Duration,
    child: Child,
}

/// What came back.
#[derive(Debug)]
pub struct Answer {
    /// Status.
    pub status: u16,
    /// Head, with its status line.
    pub head: String,
    /// Body.
    pub body: Vec<u8>,
}

impl Answer {
    /// The body as JSON.
    ///
    /// # Panics
    /// If it is none.
    #[must_use]
    pub fn json(&self) -> Value {
        serde_json::from_slice(&self.body).unwrap_or_else(|error| panic!("{error} in {self:?}"))
    }

    /// A header; empty if it is not there. `name` is in lower case.
    #[must_use]
    pub fn header(&self, name: &str) -> &str {
        let line = self.head.lines().find_map(|line| line.strip_prefix(name)?.strip_prefix(": "));
        line.unwrap_or_default()
    }
}

/// The ports of services: below those that a system gives to whoever connects (from 32768 on Linux, from 49152
/// by RFC 6335), so that nobody's connection takes one between its choice and its use.
const PORTS: Range<u16> = 10_000..30_000;

/// An address on which nobody listens, never the same twice.
///
/// # Panics
/// If there is none.
#[must_use]
pub fn free_address() -> SocketAddr {
    static GIVEN: AtomicU32 = AtomicU32::new(0);
    let count = u32::from(PORTS.end - PORTS.start);
    // Programs that run side by side begin far from each other.
    let first = std::process::id().wrapping_mul(101);
    let next = || first.wrapping_add(GIVEN.fetch_add(1, Ordering::Relaxed)) % count;
    let mut addresses = (0..count).map(|_| SocketAddr::from(([127, 0, 0, 1], PORTS.start + next() as u16)));
    addresses.find(|address| TcpListener::bind(address).is_ok()).expect("a free port")
}

/// The command that serves the demo shop.
#[must_use]
pub fn command(store: &Path, address: &str) -> Command {
    let mut command = Command::new(program());
    command.arg("serve").arg(demo_shop()).args(["--listen", address, "--seconds", "1", "--store"]).arg(store);
    command
}

impl Serving {
    /// Starts it and waits for its first answer; everything it logs goes to a file, or nowhere.
    ///
    /// # Panics
    /// If it does not answer.
    #[must_use]
    pub fn start(store: &Path, options: &[&str], log: Option<File>) -> Self {
        let address = free_address();
        let mut command = command(store, &address.to_string());
        command.args(options);
        Self::run(command, address, log)
    }

    /// Starts a command that serves, and waits for its first answer.
    ///
    /// # Panics
    /// If it does not answer.
    #[must_use]
    pub fn run(mut command: Command, address: SocketAddr, log: Option<File>) -> Self {
        command.stderr(Stdio::null());
        if let Some(log) = log {
            command.env("ELBOWROOM_LOG", "trace").stderr(log);
        }
        let began = Instant::now();
        let child = command.spawn().expect("the program starts");
        let mut serving = Self { address, took: Duration::ZERO, child };
        while serving.get("/api/v1/status").is_err() {
            assert!(serving.child.try_wait().is_ok_and(|ended| ended.is_none()), "it has ended");
            assert!(began.elapsed() < PATIENCE, "it does not answer");
            std::thread::sleep(Duration::from_millis(2));
        }
        serving.took = began.elapsed();
        serving
    }

    /// Looks at a path.
    ///
    /// # Errors
    /// If nobody answers, or not to the end.
    pub fn get(&self, path: &str) -> std::io::Result<Answer> {
        ask(self.address, "GET", path, &[], "")
    }

    /// Sends JSON to a path.
    ///
    /// # Errors
    /// If nobody answers, or not to the end.
    pub fn post(&self, path: &str, headers: &[(&str, &str)], body: &Value) -> std::io::Result<Answer> {
        ask(self.address, "POST", path, headers, &body.to_string())
    }

    /// Kills it with SIGKILL, after which nothing of it runs, while others still ask it.
    ///
    /// # Panics
    /// If it cannot be killed.
    pub fn kill_now(&self) {
        let killed = Command::new("kill").args(["-KILL", &self.child.id().to_string()]).status();
        assert!(killed.expect("kill(1) is there").success());
    }

    /// Asks it to end, as a service manager does, and waits.
    ///
    /// # Panics
    /// If it cannot be asked.
    pub fn terminate(mut self) -> (ExitStatus, Duration) {
        let began = Instant::now();
        let asked = Command::new("kill").args(["-TERM", &self.child.id().to_string()]).status();
        assert!(asked.expect("kill(1) is there").success());
        (self.child.wait().expect("it ends"), began.elapsed())
    }
}

impl Drop for Serving {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// Sends a request and reads the whole answer.
///
/// # Errors
/// If nobody answers, or not to the end.
pub fn ask(
    address: SocketAddr,
    method: &str,
    path: &str,
    headers: &[(&str, &str)],
    body: &str,
) -> std::io::Result<Answer> {
    let mut stream = TcpStream::connect(address)?;
    stream.set_read_timeout(Some(PATIENCE))?;
    let headers: String = headers.iter().map(|(name, value)| format!("{name}: {value}\r\n")).collect();
    let kind = if headers.to_lowercase().contains("content-type") {
        ""
    } else {
        "Content-Type: application/json\r\n"
    };
    let request = format!(
        "{method} {path} HTTP/1.1\r\nHost: {address}\r\n{kind}{headers}Connection: close\r\nContent-Length: {}\r\n\r\n{body}",
        body.len()
    );
    stream.write_all(request.as_bytes())?;
    let mut bytes = Vec::new();
    stream.read_to_end(&mut bytes)?;
    read(&bytes).ok_or_else(|| Error::from(ErrorKind::UnexpectedEof))
}

/// Reads an answer; `None` if some of it is missing.
fn read(bytes: &[u8]) -> Option<Answer> {
    let end = bytes.windows(4).position(|window| window == b"\r\n\r\n")?;
    let head = String::from_utf8(bytes[..end].to_vec()).ok()?;
    let body = bytes[end + 4..].to_vec();
    let answer = Answer { status: head.get(9..12)?.parse().ok()?, head, body };
    let length: usize = answer.header("content-length").parse().unwrap_or(0);
    (answer.body.len() >= length).then_some(answer)
}
