//! A service for tests, called in-process or over the loopback interface.

use crate::program::repository;
use axum::body::{Body, HttpBody, to_bytes};
use axum::http::{HeaderMap, Method, Request, StatusCode};
use chrono::{DateTime, Utc};
use elbowroom_server::{App, Front, Limits, Patience, Setup, Tokens};
use elbowroom_store::{SqliteStore, Store};
use serde_json::Value;
use std::net::{IpAddr, Ipv4Addr, SocketAddr};
use std::path::{Path, PathBuf};
use std::pin::Pin;
use std::sync::{Arc, OnceLock};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};
use tempfile::TempDir;
use tokio::sync::oneshot;

/// The demo shop's folder.
#[must_use]
pub fn demo_shop() -> PathBuf {
    repository().join("examples/ottergrund")
}

/// The time of all tests: the demo week's Monday, an hour into the first shift.
#[must_use]
pub fn monday_morning() -> DateTime<Utc> {
    "2026-12-07T06:00:00Z".parse().expect("a moment")
}

/// A service in this process.
pub struct TestService {
    /// What all requests share.
    pub app: App,
    front: Front,
    folder: TempDir,
}

/// What came back.
#[derive(Debug)]
pub struct Reply {
    /// Status.
    pub status: StatusCode,
    /// Headers.
    pub headers: HeaderMap,
    /// Body.
    pub bytes: Vec<u8>,
}

impl Reply {
    /// The body as JSON.
    ///
    /// # Panics
    /// If it is none.
    #[must_use]
    pub fn json(&self) -> Value {
        serde_json::from_slice(&self.bytes)
            .unwrap_or_else(|error| panic!("{error} in {}", String::from_utf8_lossy(&self.bytes)))
    }

    /// A header as text; empty if it is not there.
    #[must_use]
    pub fn header(&self, name: &str) -> &str {
        self.headers.get(name).and_then(|value| value.to_str().ok()).unwrap_or_default()
    }
}

impl TestService {
    /// A service with an empty store.
    #[must_use]
    pub fn empty() -> Self {
        Self::with(tempfile::tempdir().expect("a temporary folder"), &Tokens::default())
    }

    /// A service of the demo shop with its week published.
    #[must_use]
    pub fn planned() -> Self {
        Self::planned_with(&Tokens::default())
    }

    /// The same with tokens.
    #[must_use]
    pub fn planned_with(tokens: &Tokens) -> Self {
        let folder = tempfile::tempdir().expect("a temporary folder");
        write_planned_store(&folder.path().join(STORE));
        Self::with(folder, tokens)
    }

    /// A service of the demo week whose disk has no room left: its store may not grow any more.
    #[must_use]
    pub fn full() -> Self {
        let folder = tempfile::tempdir().expect("a temporary folder");
        write_planned_store(&folder.path().join(STORE));
        let store = open(folder.path());
        let size = std::fs::metadata(folder.path().join(STORE)).expect("a store").len();
        store.limit_size(size).expect("the store takes a limit");
        Self::of(folder, Setup { limits: UNLIMITED, ..setup(store, Tokens::default()) })
    }

    /// A service of the demo week in which one address may do as much as it likes.
    #[must_use]
    pub fn unlimited() -> Self {
        let folder = tempfile::tempdir().expect("a temporary folder");
        write_planned_store(&folder.path().join(STORE));
        let store = open(folder.path());
        Self::of(folder, Setup { limits: UNLIMITED, ..setup(store, Tokens::default()) })
    }

    /// A service of the demo week that waits for its clients a few seconds only.
    #[must_use]
    pub fn impatient() -> Self {
        let folder = tempfile::tempdir().expect("a temporary folder");
        write_planned_store(&folder.path().join(STORE));
        let [head, body, answer, taking] = [3, 2, 20, 3].map(Duration::from_secs);
        let patience = Patience { head, body, answer, taking };
        let store = open(folder.path());
        Self::of(folder, Setup { patience, limits: UNLIMITED, ..setup(store, Tokens::default()) })
    }

    fn with(folder: TempDir, tokens: &Tokens) -> Self {
        let store = open(folder.path());
        Self::of(folder, setup(store, tokens.clone()))
    }

    fn of(folder: TempDir, setup: Setup) -> Self {
        let app = App::new(setup).expect("the service opens");
        Self { front: Front::new(app.clone()), app, folder }
    }

    /// The same service after a restart.
    #[must_use]
    pub fn restarted(self) -> Self {
        let Self { app, front, folder } = self;
        drop((app, front));
        Self::with(folder, &Tokens::default())
    }

    /// The store's file.
    #[must_use]
    pub fn store_path(&self) -> PathBuf {
        self.folder.path().join(STORE)
    }

    /// The store's content, in one file.
    fn copied(&self) -> Vec<u8> {
        let copy = self.folder.path().join("copy.store");
        let store = rusqlite::Connection::open(self.store_path()).expect("the store opens");
        store.execute("VACUUM INTO ?1", [copy.to_string_lossy()]).expect("the store is copied");
        std::fs::read(copy).expect("the copy is there")
    }

    /// How a solve that was begun has ended.
    ///
    /// # Panics
    /// If it does not end within a minute.
    pub async fn ended(&self, begun: &Reply) -> Value {
        let place = begun.header("location").to_owned();
        for _ in 0..600 {
            let solve = self.get(&place).await.json();
            if solve["state"] != "running" {
                return solve;
            }
            tokio::time::sleep(Duration::from_millis(100)).await;
        }
        panic!("the solve at {place} does not end");
    }

    /// Sends a request.
    ///
    /// # Panics
    /// If the router breaks off.
    pub async fn send(&self, request: Request<Body>) -> Reply {
        let response = self.front.answer(HERE, request).await;
        let (parts, body) = response.into_parts();
        let bytes = to_bytes(body, 64 << 20).await.expect("a whole body").to_vec();
        Reply { status: parts.status, headers: parts.headers, bytes }
    }

    /// The first bytes of a stream that does not end.
    ///
    /// # Panics
    /// If the router breaks off.
    pub async fn beginning(&self, path: &str) -> Reply {
        let asked = request(Method::GET, path, &[], Body::empty());
        let response = self.front.answer(HERE, asked).await;
        let (parts, mut body) = response.into_parts();
        let frame = std::future::poll_fn(|context| Pin::new(&mut body).poll_frame(context)).await;
        let data = frame.and_then(Result::ok).and_then(|frame| frame.into_data().ok());
        Reply { status: parts.status, headers: parts.headers, bytes: data.unwrap_or_default().to_vec() }
    }

    /// Looks at a path.
    pub async fn get(&self, path: &str) -> Reply {
        self.get_with(path, &[]).await
    }

    /// Looks at a path, with headers.
    pub async fn get_with(&self, path: &str, headers: &[(&str, &str)]) -> Reply {
        self.send(request(Method::GET, path, headers, Body::empty())).await
    }

    /// Sends JSON to a path.
    pub async fn post(&self, path: &str, body: &Value) -> Reply {
        self.post_with(path, body, &[]).await
    }

    /// Sends JSON to a path, with headers.
    pub async fn post_with(&self, path: &str, body: &Value, headers: &[(&str, &str)]) -> Reply {
        let all: Vec<(&str, &str)> =
            [("content-type", "application/json")].into_iter().chain(headers.iter().copied()).collect();
        self.send(request(Method::POST, path, &all, Body::from(body.to_string()))).await
    }
}

/// A request as a client on this machine sends it.
///
/// # Panics
/// If a header is none.
#[must_use]
pub fn request(method: Method, path: &str, headers: &[(&str, &str)], body: Body) -> Request<Body> {
    let mut builder = Request::builder().method(method).uri(path);
    if !headers.iter().any(|(name, _)| *name == "host") {
        builder = builder.header("host", "localhost:8080");
    }
    let builder = headers.iter().fold(builder, |builder, (name, value)| builder.header(*name, *value));
    builder.body(body).expect("a request")
}

/// The address that requests in this process come from.
const HERE: IpAddr = IpAddr::V4(Ipv4Addr::LOCALHOST);

const STORE: &str = "shop.store";

/// As often as one likes.
const UNLIMITED: Limits = Limits { writes: (1e9, 1e9), guesses: (1e9, 1e9) };

fn open(folder: &Path) -> SqliteStore {
    SqliteStore::open(&folder.join(STORE)).expect("the store opens")
}

fn setup(store: SqliteStore, tokens: Tokens) -> Setup {
    Setup {
        shop: demo_shop(),
        store: Arc::new(store) as Arc<dyn Store>,
        tokens,
        hosts: ["localhost", "127.0.0.1"].map(str::to_owned).into(),
        start: None,
        solve_seconds: 1.0,
        solve_threads: 1,
        limits: Limits::default(),
        patience: Patience::default(),
        clock: monday_morning,
        zone: chrono_tz::UTC,
    }
}

/// Writes a store in which the demo week is published.
///
/// # Panics
/// If it cannot be written.
pub fn write_planned_store(path: &Path) {
    std::fs::write(path, planned_store()).expect("a store");
}

/// The bytes of a store in which the demo week is published; planned once.
fn planned_store() -> &'static [u8] {
    static STORE: OnceLock<Vec<u8>> = OnceLock::new();
    STORE.get_or_init(|| {
        std::thread::spawn(|| {
            let runtime = tokio::runtime::Runtime::new().expect("a runtime");
            runtime.block_on(plan_and_publish())
        })
        .join()
        .expect("the demo shop is planned")
    })
}

async fn plan_and_publish() -> Vec<u8> {
    let service = TestService::empty();
    let begun =
        service.post("/api/v1/solves", &serde_json::json!({ "reason": "the first plan", "by": "Ada" })).await;
    assert_eq!(begun.status, StatusCode::ACCEPTED, "{begun:?}");
    let plan = service.ended(&begun).await["plan"].clone();
    let path = format!("/api/v1/plans/{plan}/publish");
    let published =
        service.post_with(&path, &serde_json::json!({ "by": "Ada" }), &[("if-none-match", "*")]).await;
    assert_eq!(published.status, StatusCode::OK, "{published:?}");
    service.copied()
}

/// A service that listens on the loopback interface until it is dropped.
pub struct Running {
    /// Where it listens.
    pub address: SocketAddr,
    end: Option<oneshot::Sender<()>>,
    thread: Option<JoinHandle<()>>,
}

impl Running {
    /// A path of it as a URL.
    #[must_use]
    pub fn url(&self, path: &str) -> String {
        format!("http://{}{path}", self.address)
    }

    /// Ends it and waits until it has closed; returns how long that took.
    ///
    /// # Panics
    /// If the service panicked.
    pub fn close(mut self) -> Duration {
        let began = Instant::now();
        self.finish();
        began.elapsed()
    }

    fn finish(&mut self) {
        if let (Some(end), Some(thread)) = (self.end.take(), self.thread.take()) {
            let _ = end.send(());
            thread.join().expect("the service closes in good order");
        }
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        self.finish();
    }
}

/// Serves the demo week on a free port.
///
/// # Panics
/// If no port is free.
#[must_use]
pub fn running() -> Running {
    serve(TestService::planned)
}

/// Serves a service on a free port.
///
/// # Panics
/// If no port is free.
#[must_use]
pub fn serve(make: fn() -> TestService) -> Running {
    let listener = std::net::TcpListener::bind("127.0.0.1:0").expect("a free port");
    listener.set_nonblocking(true).expect("a listener");
    let address = listener.local_addr().expect("an address");
    let (end, ended) = oneshot::channel::<()>();
    let thread = std::thread::spawn(move || {
        let service = make();
        let runtime = tokio::runtime::Runtime::new().expect("a runtime");
        runtime.block_on(async {
            let listener = tokio::net::TcpListener::from_std(listener).expect("a listener");
            elbowroom_server::serve(listener, service.front.clone(), async { drop(ended.await) }).await;
        });
    });
    Running { address, end: Some(end), thread: Some(thread) }
}
