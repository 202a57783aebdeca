//! Figures of this process in the Prometheus text format.

use prometheus::{
    Encoder as _, HistogramOpts, HistogramVec, IntCounterVec, IntGaugeVec, Opts, Registry,
    TextEncoder,
};
use std::{sync::LazyLock, time::Duration};

/// Upper bounds in seconds: a single row takes a millisecond or two, a big import minutes.
const LATENCY_BOUNDS: [f64; 11] =
    [0.001, 0.002, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 1.0, 5.0, 30.0];

/// The figures; a process has one set.
pub static METRICS: LazyLock<Metrics> = LazyLock::new(Metrics::new);

/// All figures.
pub struct Metrics {
    registry: Registry,
    requests: IntCounterVec,
    latency: HistogramVec,
    database_errors: IntCounterVec,
    deliveries: IntCounterVec,
    now: IntGaugeVec,
}

impl Metrics {
    #[expect(clippy::expect_used, reason = "names and labels are fixed, and a test makes them")]
    fn new() -> Self {
        let counter = |name: &str, help: &str, labels: &[&str]| {
            IntCounterVec::new(Opts::new(name, help), labels).expect("a good name")
        };
        let requests = counter(
            "denwright_requests_total",
            "Requests answered, by route and status.",
            &["method", "route", "status"],
        );
        let latency = HistogramOpts::new(
            "denwright_request_seconds",
            "Time until the answer began, by route.",
        );
        let latency = latency.buckets(LATENCY_BOUNDS.to_vec());
        let latency = HistogramVec::new(latency, &["method", "route"]).expect("a good name");
        let database_errors = counter(
            "denwright_database_errors_total",
            "Requests that failed at the database: unavailable, or a fault.",
            &["kind"],
        );
        let deliveries = counter(
            "denwright_webhook_deliveries_total",
            "Tries to deliver to webhooks, by outcome.",
            &["outcome"],
        );
        let now = Opts::new("denwright_now", "Connections to the database and live streams.");
        let now = IntGaugeVec::new(now, &["what"]).expect("a good name");
        let registry = Registry::new();
        for collector in [
            Box::new(requests.clone()) as Box<dyn prometheus::core::Collector>,
            Box::new(latency.clone()),
            Box::new(database_errors.clone()),
            Box::new(deliveries.clone()),
            Box::new(now.clone()),
        ] {
            registry.register(collector).expect("each is registered once");
        }
        Self { registry, requests, latency, database_errors, deliveries, now }
    }

    /// Counts a request that was answered.
    pub fn answered(&self, method: &str, route: &str, status: u16, took: Duration) {
        // Clients may invent methods; labels are for those of the document.
        let known = ["GET", "POST", "PUT", "PATCH", "DELETE", "OPTIONS", "HEAD"];
        let method = if known.contains(&method) { method } else { "other" };
        self.requests.with_label_values(&[method, route, &status.to_string()]).inc();
        self.latency.with_label_values(&[method, route]).observe(took.as_secs_f64());
    }

    /// Counts a request that the database failed.
    pub fn database_failed(&self, kind: &str) {
        self.database_errors.with_label_values(&[kind]).inc();
    }

    /// Counts a try to deliver to a webhook.
    pub fn delivered(&self, outcome: &str) {
        self.deliveries.with_label_values(&[outcome]).inc();
    }

    /// All figures as text.
    pub fn text(&self, pool_used: usize, pool_size: usize, streams: usize) -> String {
        for (what, number) in
            [("pool_in_use", pool_used), ("pool_limit", pool_size), ("streams", streams)]
        {
            let number = i64::try_from(number).unwrap_or(i64::MAX);
            self.now.with_label_values(&[what]).set(number);
        }
        let mut text = Vec::new();
        if let Err(error) = TextEncoder::new().encode(&self.registry.gather(), &mut text) {
            tracing::error!(%error, "figures cannot be written");
        }
        String::from_utf8(text).unwrap_or_default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_request_is_counted_by_its_route() {
        METRICS.answered("GET", "/v1/test", 200, Duration::from_millis(3));
        METRICS.answered("BREW", "/v1/test", 405, Duration::from_millis(3));
        let text = METRICS.text(1, 16, 0);
        for line in [
            "denwright_requests_total{method=\"GET\",route=\"/v1/test\",status=\"200\"} 1",
            "denwright_requests_total{method=\"other\",route=\"/v1/test\",status=\"405\"} 1",
            "denwright_request_seconds_bucket{method=\"GET\",route=\"/v1/test\",le=\"0.005\"} 1",
            "denwright_now{what=\"pool_limit\"} 16",
        ] {
            assert!(text.contains(line), "{line} is not in\n{text}");
        }
    }
}
