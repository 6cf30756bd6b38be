//! What the service counts, in Prometheus' text format.

use prometheus::{
    Encoder, Histogram, HistogramOpts, HistogramVec, IntCounter, IntCounterVec, IntGauge, Opts, Registry,
    TextEncoder,
};
use std::time::Duration;

/// What the service counts.
pub struct Metrics {
    registry: Registry,
    requests: IntCounterVec,
    seconds: HistogramVec,
    /// Connections that are open.
    pub connections: IntGauge,
    /// Streams of events that are open.
    pub streams: IntGauge,
    /// Solves, by how they ended.
    pub solves: IntCounterVec,
}

/// The counters of requests with the same labels.
pub struct Counters {
    requests: IntCounter,
    seconds: Histogram,
}

impl Counters {
    /// Counts a request.
    pub fn count(&self, took: Duration) {
        self.requests.inc();
        self.seconds.observe(took.as_secs_f64());
    }
}

/// Bounds of the times that requests take, in seconds.
const SECONDS: [f64; 11] = [0.0005, 0.001, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.5, 1.0, 5.0];

impl Metrics {
    /// Nothing counted yet.
    ///
    /// # Panics
    /// Never: the names are valid and each is used once.
    #[must_use]
    pub fn new() -> Self {
        const VALID: &str = "names of metrics are valid and used once";
        let registry = Registry::new();
        let requests = IntCounterVec::new(
            Opts::new("elbowroom_http_requests_total", "Requests answered, by path, method and status."),
            &["path", "method", "status"],
        )
        .expect(VALID);
        let seconds = HistogramVec::new(
            HistogramOpts::new("elbowroom_http_request_seconds", "Time from request to answer, by path.")
                .buckets(SECONDS.to_vec()),
            &["path"],
        )
        .expect(VALID);
        let connections =
            IntGauge::new("elbowroom_http_connections", "Connections that are open.").expect(VALID);
        let streams =
            IntGauge::new("elbowroom_event_streams", "Streams of events that are open.").expect(VALID);
        let solves = IntCounterVec::new(
            Opts::new("elbowroom_solves_total", "Solves, by how they ended."),
            &["outcome"],
        )
        .expect(VALID);
        registry.register(Box::new(requests.clone())).expect(VALID);
        registry.register(Box::new(seconds.clone())).expect(VALID);
        registry.register(Box::new(connections.clone())).expect(VALID);
        registry.register(Box::new(streams.clone())).expect(VALID);
        registry.register(Box::new(solves.clone())).expect(VALID);
        Self { registry, requests, seconds, connections, streams, solves }
    }

    /// The counters of requests with these labels.
    #[must_use]
    pub fn counters(&self, path: &str, method: &str, status: &str) -> Counters {
        Counters {
            requests: self.requests.with_label_values(&[path, method, status]),
            seconds: self.seconds.with_label_values(&[path]),
        }
    }

    /// Everything counted, in the text exposition format, version 0.0.4.
    #[must_use]
    pub fn text(&self) -> Vec<u8> {
        let mut text = Vec::new();
        TextEncoder::new()
            .encode(&self.registry.gather(), &mut text)
            .expect("writing into memory cannot fail");
        text
    }
}

impl Default for Metrics {
    fn default() -> Self {
        Self::new()
    }
}
