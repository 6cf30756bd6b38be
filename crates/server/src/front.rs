//! What stands at the door: a look at a document that lies ready is answered here, everything else goes
//! to the router.
//!
//! Dashboards ask the same two questions all day. Behind the router a look is put into boxes, cloned and
//! waited for with a time limit, which costs more than all that is done for it; here it is looked up and
//! answered at once. Whoever asks is checked, counted and told to the log by the same rules (`guard`).

use crate::app::App;
use crate::guard::{self, Peer};
use crate::metrics::Counters;
use crate::problem::Problem;
use crate::rendered::{Asker, Rendered};
use crate::snapshot::Snapshot;
use crate::{api, router};
use axum::Router;
use axum::body::{Body, HttpBody};
use axum::http::{HeaderMap, Method, Request, StatusCode};
use axum::response::{IntoResponse, Response};
use axum::routing::future::RouteFuture;
use std::convert::Infallible;
use std::future::Future;
use std::net::IpAddr;
use std::sync::{Arc, OnceLock};
use std::time::{Duration, Instant};
use tower::Service;

/// Finds a document in what was last read from the store.
pub type Find = fn(&Snapshot) -> Result<&Rendered, Problem>;

/// Everything that is served; each connection has a clone.
#[derive(Clone)]
pub struct Front {
    app: App,
    router: Router,
    ready: Arc<[Ready]>,
}

/// A document that lies ready, and the counters of looks at it, which are found once: to find them by
/// their labels costs more than to count.
struct Ready {
    path: &'static str,
    find: Find,
    whole: OnceLock<Counters>,
    same: OnceLock<Counters>,
}

/// An answer that is there, or that is being worked out.
enum Answer {
    Ready(Response),
    Routed(RouteFuture<Infallible>),
}

impl Front {
    /// Everything that is served.
    #[must_use]
    pub fn new(app: App) -> Self {
        let ready = api::READY.map(|(path, find)| Ready::new(path, find));
        Self { router: router(app.clone()), ready: Arc::new(ready), app }
    }

    /// What all requests share.
    #[must_use]
    pub fn app(&self) -> &App {
        &self.app
    }

    /// Answers a request that came from an address.
    pub fn answer<B>(
        &self,
        peer: IpAddr,
        mut request: Request<B>,
    ) -> impl Future<Output = Response> + Send + use<B>
    where
        B: HttpBody<Data = axum::body::Bytes> + Send + 'static,
        B::Error: Into<axum::BoxError>,
    {
        let answer = match self.at_once(peer, &request) {
            Some(response) => Answer::Ready(response),
            None => {
                request.extensions_mut().insert(Peer(peer));
                Answer::Routed(self.router.clone().call(request.map(Body::new)))
            }
        };
        answer.wait()
    }

    /// The answer to a look at a document that lies ready.
    fn at_once<B>(&self, peer: IpAddr, request: &Request<B>) -> Option<Response> {
        let path = request.uri().path();
        let ready = self.ready.iter().find(|ready| ready.path == path)?;
        if *request.method() != Method::GET {
            return None;
        }
        let began = Instant::now();
        let looked = self.look(ready, peer, request.headers());
        let mut response = looked.unwrap_or_else(IntoResponse::into_response);
        guard::protect(&mut response);
        let (status, took) = (response.status(), began.elapsed());
        ready.count(&self.app, status, took);
        guard::log(&Method::GET, ready.path, status, took);
        Some(response)
    }

    fn look(&self, ready: &Ready, peer: IpAddr, headers: &HeaderMap) -> Result<Response, Problem> {
        guard::may_look(&self.app, headers, peer)?;
        Ok((ready.find)(&self.app.snapshot())?.answer(&Asker::of(headers)))
    }
}

impl Ready {
    fn new(path: &'static str, find: Find) -> Self {
        Self { path, find, whole: OnceLock::new(), same: OnceLock::new() }
    }

    fn count(&self, app: &App, status: StatusCode, took: Duration) {
        let found = || app.metrics.counters(self.path, "GET", status.as_str());
        match status {
            StatusCode::OK => self.whole.get_or_init(found).count(took),
            StatusCode::NOT_MODIFIED => self.same.get_or_init(found).count(took),
            _ => found().count(took),
        }
    }
}

impl Answer {
    async fn wait(self) -> Response {
        match self {
            Self::Ready(response) => response,
            Self::Routed(routed) => routed.await.unwrap_or_else(|never| match never {}),
        }
    }
}
