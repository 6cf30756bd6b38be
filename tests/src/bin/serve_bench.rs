//! How fast the service is, against a bare handler that returns a constant of the same size.
//!
//! ```sh
//! cargo build --release --workspace --bin elbowroom
//! cargo run --release --bin serve_bench
//! ```
//!
//! Load comes from this program over the loopback interface; service and bare handler are programs
//! of their own, asked in turns, so that whatever else the machine does meets both.

use axum::Router;
use axum::http::{HeaderValue, StatusCode, header};
use axum::routing::get;
use elbowroom_store::{Document, NewPlan, Page, PlanFigures, Signature, SqliteStore, Store, Version};
use elbowroom_tests::load::{crowd, look, rate};
use elbowroom_tests::measured::heading;
use elbowroom_tests::service::write_planned_store;
use elbowroom_tests::serving::{Serving, ask};
use std::io::{BufRead, BufReader};
use std::net::SocketAddr;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::Duration;

const CONNECTIONS: usize = 32;
/// Turns are short, and each is held against the one beside it, so that other work on the machine meets both.
const TURN: Duration = Duration::from_millis(500);
const TURNS: usize = 25;

fn main() {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let runtime = tokio::runtime::Runtime::new().expect("a runtime");
    match args.iter().map(String::as_str).collect::<Vec<_>>()[..] {
        ["--bare", size] => runtime.block_on(bare(size.parse().expect("a size"))),
        _ => runtime.block_on(bench()),
    }
}

/// The bare handler: `/` is a constant, `/same` says that nothing has changed.
async fn bare(size: usize) {
    let body: &'static [u8] = Box::leak(vec![b'x'; size].into_boxed_slice());
    let tag = HeaderValue::from_static("\"d026a6d3190af47a0ae0e903042bc301\"");
    let same = move || std::future::ready((StatusCode::NOT_MODIFIED, [(header::ETAG, tag.clone())]));
    let constant = move || std::future::ready(([(header::CONTENT_TYPE, "application/json")], body));
    let router = Router::new().route("/", get(constant)).route("/same", get(same));
    let listener = tokio::net::TcpListener::bind("127.0.0.1:0").await.expect("a port");
    println!("{}", listener.local_addr().expect("an address"));
    axum::serve(listener, router).await.expect("it serves until it is ended");
}

/// The bare handler as a program of its own, ended with this one.
struct Bare {
    child: Child,
    address: SocketAddr,
}

impl Drop for Bare {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

impl Bare {
    fn start(size: usize) -> Self {
        let program = std::env::current_exe().expect("this program");
        let mut child = Command::new(program)
            .args(["--bare", &size.to_string()])
            .stdout(Stdio::piped())
            .spawn()
            .expect("the bare handler starts");
        let line = BufReader::new(child.stdout.take().expect("it was piped")).lines().next();
        let address = line.and_then(Result::ok).and_then(|line| line.parse().ok()).expect("its address");
        Self { child, address }
    }
}

async fn bench() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let store = folder.path().join("shop.store");
    heading();
    write_planned_store(&store);
    let service = Serving::start(&store, &[], None);
    let size = service.get("/api/v1/status").expect("an answer").body.len();
    let bare = Bare::start(size);
    println!(
        "status document: {size} bytes; {CONNECTIONS} connections, {TURNS} pairs of turns of {TURN:?}; medians of \
         rates and of the pairs' ratios, with their quartiles\n"
    );
    println!("| what is polled | service, 1/s | bare handler, 1/s | ratio |\n|---|---|---|---|");
    for (path, known, same) in
        [("/api/v1/plan", true, "/same"), ("/api/v1/status", true, "/same"), ("/api/v1/status", false, "/")]
    {
        let tag = if known { Some(tag(service.address, path)) } else { None };
        let status = if known { 304 } else { 200 };
        let pair = [
            (service.address, look(service.address, path, tag.as_deref())),
            (bare.address, look(bare.address, same, None)),
        ];
        let turns = in_turns(&pair, status).await;
        let median = |pick: fn(&(f64, f64)) -> f64| quantile(&turns, 0.5, pick);
        let ratio = |share: f64| quantile(&turns, share, |(ours, theirs)| ours / theirs);
        println!(
            "| `{path}`, {status} | {:.0} | {:.0} | {:.2} ({:.2} to {:.2}) |",
            median(|turn| turn.0),
            median(|turn| turn.1),
            ratio(0.5),
            ratio(0.25),
            ratio(0.75)
        );
    }
    drop(bare);
    while_a_solve_runs(service.address).await;
    drop(service);
    start_up(&store);
}

/// Rates of both, asked in turns; each goes first as often as the other.
async fn in_turns(pair: &[(SocketAddr, Vec<u8>); 2], status: u16) -> Vec<(f64, f64)> {
    let mut turns = Vec::with_capacity(TURNS);
    for turn in 0..TURNS {
        let mut rates = [0.0; 2];
        for which in if turn % 2 == 0 { [0, 1] } else { [1, 0] } {
            let (address, request) = &pair[which];
            rates[which] = rate(*address, request, status, CONNECTIONS, TURN).await;
        }
        turns.push((rates[0], rates[1]));
    }
    turns
}

/// What this share of the values is below.
fn quantile<T>(values: &[T], share: f64, pick: impl Fn(&T) -> f64) -> f64 {
    let mut values: Vec<f64> = values.iter().map(pick).collect();
    values.sort_by(f64::total_cmp);
    values[((values.len() - 1) as f64 * share).round() as usize]
}

fn median(values: &[f64]) -> f64 {
    quantile(values, 0.5, |value| *value)
}

/// The entity tag of a document.
fn tag(address: SocketAddr, path: &str) -> String {
    ask(address, "GET", path, &[], "").expect("an answer").header("etag").to_owned()
}

fn start_solve(address: SocketAddr, seconds: u32) {
    let begun = ask(address, "POST", "/api/v1/solves", &[], &format!("{{\"seconds\": {seconds}}}"));
    assert_eq!(begun.expect("an answer").status, 202, "a re-plan begins");
}

/// Rates of some turns that follow each other.
async fn rates(address: SocketAddr, request: &[u8]) -> Vec<f64> {
    let mut rates = Vec::new();
    for _ in 0..9 {
        rates.push(rate(address, request, 304, CONNECTIONS, TURN).await);
    }
    rates
}

async fn while_a_solve_runs(address: SocketAddr) {
    let known = tag(address, "/api/v1/plan");
    let request = look(address, "/api/v1/plan", Some(&known));
    let before = rates(address, &request).await;
    start_solve(address, 60);
    tokio::time::sleep(Duration::from_secs(1)).await;
    let during = rates(address, &request).await;
    let (before, during) = (median(&before), median(&during));
    println!(
        "\npolling `/api/v1/plan` (304): {before:.0}/s before, {during:.0}/s during a solve: ratio {:.2}",
        during / before
    );
    let crowd = crowd(address, &request, 1_000, Duration::from_secs(1), Duration::from_secs(20)).await;
    println!(
        "1,000 dashboards polling once a second for 20 s during a solve: {} answers, {} errors, half within {:.1?}, \
         99 of 100 within {:.1?}, the slowest {:.1?}",
        crowd.answers,
        crowd.errors,
        crowd.quantile(0.5),
        crowd.quantile(0.99),
        crowd.quantile(1.0)
    );
}

/// Start to first answer with 200 published plans.
fn start_up(path: &Path) {
    publish_again(path, 200);
    let mut times = Vec::new();
    for _ in 0..5 {
        times.push(Serving::start(path, &[], None).took.as_secs_f64() * 1000.0);
    }
    let kilobytes = std::fs::metadata(path).map_or(0, |about| about.len() >> 10);
    println!(
        "\nstart to first answer with 200 published plans ({kilobytes} kB): {:.0} ms, median of 5",
        median(&times)
    );
}

/// Publishes the current plan's documents until so many plans are published.
fn publish_again(path: &Path, plans: i64) {
    let store = SqliteStore::open(path).expect("the store opens");
    let head = store.current().expect("readable").expect("a plan");
    let names = store.document_names(head.id).expect("readable");
    let document = |name: &String| Document {
        name: name.clone(),
        bytes: store.document(head.id, name).expect("readable"),
    };
    let documents: Vec<Document> = names.iter().map(document).collect();
    let signature = Signature { by: "bench".to_owned(), at: head.made.at };
    let mut version = head.version().unwrap_or(Version::NONE);
    while version.0 < plans {
        let figures = PlanFigures { ..head.figures.clone() };
        let new = NewPlan {
            made: signature.clone(),
            based_on: version,
            reason: "bench".to_owned(),
            figures,
            documents: documents.clone(),
        };
        let kept = store.propose(&new).expect("a plan is kept");
        version =
            store.publish(kept.id, version, &signature).expect("published").version().expect("published");
    }
    assert!(store.plans(Page { before: None, limit: 1 }).is_ok());
}
