//! A small load generator for HTTP/1.1 over the loopback interface.

use std::io::ErrorKind;
use std::net::SocketAddr;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::time::{Duration, Instant};
use tokio::net::TcpStream;

/// One connection that is kept open.
pub struct Connection {
    stream: TcpStream,
    buffer: Vec<u8>,
}

impl Connection {
    /// Connects.
    ///
    /// # Errors
    /// If nobody listens.
    pub async fn open(address: SocketAddr) -> std::io::Result<Self> {
        let stream = TcpStream::connect(address).await?;
        stream.set_nodelay(true)?;
        Ok(Self { stream, buffer: vec![0; 64 << 10] })
    }

    /// Sends a request and reads the answer to its end; returns status and length of the body.
    ///
    /// # Errors
    /// If the connection breaks off or the answer is no HTTP/1.1.
    pub async fn ask(&mut self, request: &[u8]) -> std::io::Result<(u16, usize)> {
        self.send(request).await?;
        let (mut filled, mut expected) = (0, None);
        loop {
            let read = self.receive(filled).await?;
            if read == 0 {
                return Err(ErrorKind::UnexpectedEof.into());
            }
            filled += read;
            if expected.is_none() {
                expected = head(&self.buffer[..filled]);
            }
            if let Some((status, head, body)) = expected {
                self.buffer.resize(self.buffer.len().max(head + body), 0);
                if filled >= head + body {
                    return Ok((status, body));
                }
            }
        }
    }
}

impl Connection {
    async fn send(&mut self, mut rest: &[u8]) -> std::io::Result<()> {
        while !rest.is_empty() {
            self.stream.writable().await?;
            match self.stream.try_write(rest) {
                Ok(sent) => rest = &rest[sent..],
                Err(error) if error.kind() == ErrorKind::WouldBlock => {}
                Err(error) => return Err(error),
            }
        }
        Ok(())
    }

    /// Reads what has come, behind the first bytes of the buffer.
    async fn receive(&mut self, filled: usize) -> std::io::Result<usize> {
        loop {
            self.stream.readable().await?;
            match self.stream.try_read(&mut self.buffer[filled..]) {
                Err(error) if error.kind() == ErrorKind::WouldBlock => {}
                read => return read,
            }
        }
    }
}

/// Status, length of the head and of the body, once the head is there.
fn head(bytes: &[u8]) -> Option<(u16, usize, usize)> {
    let end = bytes.windows(4).position(|window| window == b"\r\n\r\n")? + 4;
    let text = std::str::from_utf8(&bytes[..end]).ok()?;
    let status = text.get(9..12)?.parse().ok()?;
    let length = text.lines().find_map(|line| {
        let (name, value) = line.split_once(':')?;
        name.eq_ignore_ascii_case("content-length").then(|| value.trim().parse().ok())?
    });
    Some((status, end, if status == 304 { 0 } else { length.unwrap_or(0) }))
}

/// A look at a path as a dashboard sends it.
#[must_use]
pub fn look(address: SocketAddr, path: &str, known: Option<&str>) -> Vec<u8> {
    let known = known.map_or_else(String::new, |tag| format!("If-None-Match: {tag}\r\n"));
    format!("GET {path} HTTP/1.1\r\nHost: {address}\r\nAccept: application/json\r\n{known}\r\n").into_bytes()
}

/// Asks as fast as it can over some connections for some time; returns requests per second.
///
/// # Panics
/// If an answer has another status.
pub async fn rate(
    address: SocketAddr,
    request: &[u8],
    status: u16,
    connections: usize,
    time: Duration,
) -> f64 {
    let (asked, over) = (Arc::new(AtomicU64::new(0)), Arc::new(AtomicBool::new(false)));
    let mut tasks = Vec::new();
    for _ in 0..connections {
        let mut connection = Connection::open(address).await.expect("the server listens");
        let (asked, over, request) = (Arc::clone(&asked), Arc::clone(&over), request.to_vec());
        tasks.push(tokio::spawn(async move {
            while !over.load(Ordering::Relaxed) {
                let (found, _) = connection.ask(&request).await.expect("an answer");
                assert_eq!(found, status);
                asked.fetch_add(1, Ordering::Relaxed);
            }
        }));
    }
    let began = Instant::now();
    tokio::time::sleep(time).await;
    let (count, took) = (asked.load(Ordering::Relaxed), began.elapsed());
    over.store(true, Ordering::Relaxed);
    for task in tasks {
        task.await.expect("no answer was wrong");
    }
    count as f64 / took.as_secs_f64()
}

/// How a crowd of pollers fared.
#[derive(Debug)]
pub struct Crowd {
    /// Answers.
    pub answers: usize,
    /// Requests that failed or were refused.
    pub errors: usize,
    /// Times from request to answer, sorted.
    pub times: Vec<Duration>,
}

impl Crowd {
    /// The time within which this share of the answers came.
    #[must_use]
    pub fn quantile(&self, share: f64) -> Duration {
        let at = (self.times.len() as f64 * share) as usize;
        self.times.get(at.min(self.times.len().saturating_sub(1))).copied().unwrap_or_default()
    }
}

/// So many pollers, each asking once a `period`, for some time.
///
/// # Panics
/// If a poller panics.
pub async fn crowd(
    address: SocketAddr,
    request: &[u8],
    pollers: u32,
    period: Duration,
    time: Duration,
) -> Crowd {
    let end = Instant::now() + time;
    let tasks: Vec<_> = (0..pollers)
        .map(|number| tokio::spawn(poller(address, request.to_vec(), period * number / pollers, period, end)))
        .collect();
    let mut crowd = Crowd { answers: 0, errors: 0, times: Vec::new() };
    for task in tasks {
        let (times, errors) = task.await.expect("pollers do not panic");
        crowd.errors += errors;
        crowd.times.extend(times);
    }
    crowd.answers = crowd.times.len();
    crowd.times.sort_unstable();
    crowd
}

async fn poller(
    address: SocketAddr,
    request: Vec<u8>,
    delay: Duration,
    period: Duration,
    end: Instant,
) -> (Vec<Duration>, usize) {
    let (mut times, mut errors) = (Vec::new(), 0);
    tokio::time::sleep(delay).await;
    let Ok(mut connection) = Connection::open(address).await else { return (times, 1) };
    let mut clock = tokio::time::interval(period);
    while Instant::now() < end {
        clock.tick().await;
        let began = Instant::now();
        match connection.ask(&request).await {
            Ok((200 | 304, _)) => times.push(began.elapsed()),
            _ => errors += 1,
        }
    }
    (times, errors)
}
