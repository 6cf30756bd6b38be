//! Connections: accepted, limited, and closed in good order.

use crate::app::Patience;
use crate::front::Front;
use crate::places::Places;
use hyper::server::conn::http1;
use hyper::service::service_fn;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::server::graceful::{GracefulShutdown, Watcher as Closing};
use std::convert::Infallible;
use std::future::Future;
use std::net::SocketAddr;
use std::sync::Arc;
use std::time::Duration;
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::Semaphore;

/// Connections open at once; further ones wait in the system's queue.
const MOST_CONNECTIONS: usize = 8_192;
/// Largest head of a request, in bytes.
const LARGEST_HEAD: usize = 32 << 10;
/// Time for answers under way when the service closes.
const CLOSING_TIME: Duration = Duration::from_secs(5);
/// Rest after an accept that failed: for want of file handles, say.
const BREATH: Duration = Duration::from_millis(50);

/// Serves until `end` comes, then lets answers under way finish.
pub async fn serve(listener: TcpListener, front: Front, end: impl Future<Output = ()>) {
    let (places, of_each) = (Arc::new(Semaphore::new(MOST_CONNECTIONS)), Places::default());
    let app = front.app().clone();
    let graceful = GracefulShutdown::new();
    let mut end = std::pin::pin!(end);
    loop {
        let place = Arc::clone(&places).acquire_owned().await.expect("the semaphore is never closed");
        let accepted = tokio::select! {
            accepted = listener.accept() => accepted,
            () = &mut end => break,
        };
        match accepted {
            Ok((stream, peer)) => {
                let Some(own) = of_each.take(peer.ip()) else {
                    tracing::debug!(peer = %peer, "one address has too many connections");
                    continue;
                };
                let served = connection(stream, front.clone(), peer, app.setup.patience, graceful.watcher());
                let app = app.clone();
                tokio::spawn(async move {
                    app.metrics.connections.inc();
                    if let Err(error) = served.await {
                        tracing::debug!(peer = %peer, error = %error, "a connection broke off");
                    }
                    app.metrics.connections.dec();
                    drop((place, own));
                });
            }
            Err(error) => {
                tracing::warn!(error = %error, "no connection could be accepted");
                tokio::time::sleep(BREATH).await;
            }
        }
    }
    drop(listener);
    app.close();
    let _ = tokio::time::timeout(CLOSING_TIME, graceful.shutdown()).await;
}

/// Serves one connection.
async fn connection(
    stream: TcpStream,
    front: Front,
    peer: SocketAddr,
    patience: Patience,
    closing: Closing,
) -> hyper::Result<()> {
    // Answers are small and whole: there is nothing to wait for before sending.
    let _ = stream.set_nodelay(true);
    #[cfg(target_os = "linux")]
    let _ = rustix::net::sockopt::set_tcp_user_timeout(&stream, patience.taking.as_millis() as u32);
    let service = service_fn(move |request| {
        let answer = front.answer(peer.ip(), request);
        async move { Ok::<_, Infallible>(answer.await) }
    });
    // Of a head's lines hyper takes a hundred; a limit of our own would cost some percent of every look, as it
    // is then kept in memory that is cleared and moved each time.
    let mut builder = http1::Builder::new();
    builder.timer(TokioTimer::new()).header_read_timeout(patience.head).max_buf_size(LARGEST_HEAD);
    closing.watch(builder.serve_connection(TokioIo::new(stream), service)).await
}
