//! Clients that are slow, silent, rude or gone: the rest is served.

use elbowroom_tests::load::{Connection, crowd, look};
use elbowroom_tests::program::python;
use elbowroom_tests::service::{TestService, running, serve};
use std::io::{Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::time::{Duration, Instant};

/// Sends bytes and returns the first line that comes back within two seconds.
fn first_line(address: SocketAddr, bytes: &[u8]) -> String {
    let mut stream = TcpStream::connect(address).expect("the service listens");
    stream.set_read_timeout(Some(Duration::from_secs(2))).expect("a time limit");
    // A service that refuses early may close before everything is sent.
    let _ = stream.write_all(bytes);
    let mut answer = [0; 4096];
    let read = stream.read(&mut answer).unwrap_or(0);
    String::from_utf8_lossy(&answer[..read]).lines().next().unwrap_or_default().to_owned()
}

fn is_served(address: SocketAddr) {
    let line = first_line(address, &look(address, "/api/v1/status", None));
    assert_eq!(line, "HTTP/1.1 200 OK");
}

#[test]
fn malformed_and_oversized_requests_are_refused_and_the_rest_is_served() {
    let service = running();
    let long = "x".repeat(100_000);
    let many = "X-A: b\r\n".repeat(200);
    for (request, refused) in [
        ("GET / HTTP/9.9\r\n\r\n".to_owned(), "400"),
        ("\u{0}\u{1}\u{2}\r\n\r\n".to_owned(), "400"),
        ("GET /\r\nno header at all\r\n\r\n".to_owned(), "400"),
        (format!("GET /{long} HTTP/1.1\r\nHost: a\r\n\r\n"), "4"),
        (format!("GET / HTTP/1.1\r\nHost: a\r\nCookie: {long}\r\n\r\n"), "431"),
        (format!("GET / HTTP/1.1\r\n{many}\r\n"), "431"),
        ("POST /api/v1/reports HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Type: application/json\r\nContent-Length: 99999999\r\n\r\n".to_owned(), "413"),
        ("POST /api/v1/reports HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: -5\r\n\r\n".to_owned(), "400"),
        ("GET http://[ HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n".to_owned(), "400"),
    ] {
        let line = first_line(service.address, request.as_bytes());
        let status = line.strip_prefix("HTTP/1.1 ").unwrap_or_default();
        // What is no HTTP at all may also be refused by closing the connection.
        assert!(line.is_empty() || status.starts_with(refused), "{line:?} to {:?}", &request[..request.len().min(60)]);
        is_served(service.address);
    }
}

#[test]
fn slow_and_silent_clients_keep_nobody_else_waiting() {
    let service = running();
    let mut held = Vec::new();
    for number in 0..300 {
        let mut stream = TcpStream::connect(service.address).unwrap();
        // A third says nothing, a third stops within the head, a third within the body.
        match number % 3 {
            0 => {}
            1 => stream.write_all(b"GET /api/v1/status HTTP/1.1\r\nHo").unwrap(),
            _ => stream
                .write_all(b"POST /api/v1/reports HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Type: application/json\r\nContent-Length: 100\r\n\r\n{\"or")
                .unwrap(),
        }
        held.push(stream);
    }
    for _ in 0..20 {
        is_served(service.address);
    }
    drop(held);
    is_served(service.address);
}

#[test]
fn streams_of_events_end_when_the_service_closes() {
    let service = running();
    let mut stream = TcpStream::connect(service.address).unwrap();
    stream.write_all(&look(service.address, "/api/v1/events", None)).unwrap();
    let mut answer = [0; 1024];
    let read = stream.read(&mut answer).unwrap();
    assert!(String::from_utf8_lossy(&answer[..read]).contains("text/event-stream"));
    assert!(service.close() < Duration::from_secs(4));
}

#[tokio::test(flavor = "multi_thread")]
async fn a_crowd_of_dashboards_is_served_without_error_while_a_solve_runs() {
    let service = running();
    let body = "{\"seconds\": 4}";
    let start = format!(
        "POST /api/v1/solves HTTP/1.1\r\nHost: {}\r\nContent-Type: application/json\r\nContent-Length: {}\r\n\r\n{body}",
        service.address,
        body.len()
    );
    let mut connection = Connection::open(service.address).await.unwrap();
    assert_eq!(connection.ask(start.as_bytes()).await.unwrap().0, 202);
    let request = look(service.address, "/api/v1/status", None);
    let crowd =
        crowd(service.address, &request, 300, Duration::from_millis(500), Duration::from_secs(3)).await;
    assert_eq!(crowd.errors, 0, "{} answers", crowd.answers);
    assert!(crowd.answers >= 600, "{} answers", crowd.answers);
}

/// A number among the metrics.
fn counted(address: SocketAddr, name: &str) -> u32 {
    let mut stream = TcpStream::connect(address).expect("the service listens");
    let request = format!("GET /metrics HTTP/1.1\r\nHost: {address}\r\nConnection: close\r\n\r\n");
    stream.write_all(request.as_bytes()).expect("a request");
    let mut answer = String::new();
    stream.read_to_string(&mut answer).expect("an answer");
    let value = answer.lines().find_map(|line| line.strip_prefix(name)?.trim().parse().ok());
    value.expect("the metric is there")
}

/// Waits until no connection but the asker's own is open; returns how long that took.
fn until_all_are_gone(address: SocketAddr) -> Duration {
    let began = Instant::now();
    while counted(address, "elbowroom_http_connections") > 1 {
        assert!(began.elapsed() < Duration::from_secs(60), "they still hold their places");
        std::thread::sleep(Duration::from_millis(100));
    }
    began.elapsed()
}

/// Waits until so many connections besides the asker's own are open.
fn until_let_in(address: SocketAddr, clients: u32) {
    let began = Instant::now();
    while counted(address, "elbowroom_http_connections") < clients {
        assert!(began.elapsed() < Duration::from_secs(20), "they are not all let in");
        std::thread::sleep(Duration::from_millis(50));
    }
}

/// Clients that ask for much and read nothing give their place back after a while (30 s; here 3 s);
/// meanwhile the rest is served.
#[test]
#[cfg(target_os = "linux")]
fn clients_that_do_not_read_lose_their_connection() {
    let service = serve(TestService::impatient);
    let asked = look(service.address, "/api/v1/plan", None).repeat(300);
    let mut held = Vec::new();
    for _ in 0..10 {
        let mut stream = TcpStream::connect(service.address).unwrap();
        stream.set_nonblocking(true).unwrap();
        let _ = stream.write(&asked);
        held.push(stream);
    }
    until_let_in(service.address, 10);
    is_served(service.address);
    until_all_are_gone(service.address);
    is_served(service.address);
}

/// A client that connects and says nothing, one that stops within the head of its request and one that
/// stops within its body: each is waited for so long, then told where it can be, and let go.
#[test]
fn half_a_request_is_waited_for_and_then_let_go() {
    let service = serve(TestService::impatient);
    let half = HALVES.map(|half| {
        let mut stream = TcpStream::connect(service.address).unwrap();
        stream.write_all(half.as_bytes()).unwrap();
        stream.set_read_timeout(Some(Duration::from_secs(30))).unwrap();
        stream
    });
    until_let_in(service.address, 3);
    is_served(service.address);
    let answers = half.map(|mut stream| {
        let mut answer = String::new();
        stream.read_to_string(&mut answer).expect("the service closes the connection");
        answer
    });
    assert!(
        answers[0].is_empty() && (answers[1].is_empty() || answers[1].starts_with("HTTP/1.1 408")),
        "{answers:?}"
    );
    // By RFC 9110, 15.5.9, and RFC 9457.
    assert!(
        answers[2].starts_with("HTTP/1.1 408") && answers[2].contains("application/problem+json"),
        "{answers:?}"
    );
    assert!(answers[2].contains("sent-too-slowly"), "{answers:?}");
    is_served(service.address);
}

/// What half-open clients have sent when they stop: nothing, half a head, half a body.
const HALVES: [&str; 3] = [
    "",
    "GET /api/v1/status HTTP/1.1\r\nHo",
    "POST /api/v1/reports HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Type: application/json\r\nContent-Length: 100\r\n\r\n{\"or",
];

/// Clients whose machine or network is gone send no word of farewell: their connection looks open for
/// ever. They are made by the kernel's own means for moving connections elsewhere (`TCP_REPAIR`), which
/// takes the right to administer the network.
#[test]
#[cfg(target_os = "linux")]
fn clients_that_vanish_give_their_places_back() {
    let service = serve(TestService::impatient);
    is_served(service.address);
    let port = service.address.port().to_string();
    let stream = String::from_utf8(look(service.address, "/api/v1/events", None)).unwrap();
    let said: Vec<&str> = HALVES.into_iter().chain([stream.as_str()]).collect();
    let arguments: Vec<&str> = [port.as_str(), "20"].into_iter().chain(said).collect();
    let vanished = python("vanish.py", &arguments);
    if vanished.code == 77 {
        println!("skipped: {}", vanished.stderr.trim());
        return;
    }
    assert_eq!(vanished.code, 0, "{vanished:?}");
    assert!(counted(service.address, "elbowroom_http_connections") > 60, "they look open still");
    for _ in 0..20 {
        is_served(service.address);
    }
    until_all_are_gone(service.address);
    assert_eq!(counted(service.address, "elbowroom_event_streams"), 0);
    is_served(service.address);
}
