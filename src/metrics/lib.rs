//! Figures of this process in the Prometheus text format.

use prometheus::{
    Encoder as _, HistogramOpts, HistogramVec, IntCounterVec, IntGauge, IntGaugeVec, Opts,
    Registry, TextEncoder,
};
use std::{sync::LazyLock, time::Duration};

/// Upper bounds in seconds: a single row takes a millisecond or two, a big import minutes.
const LATENCY_BOUNDS: [f64; 11] =
    [0.001, 0.002, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 1.0, 5.0, 30.0];

/// The figures; a process has one set.
pub static METRICS: LazyLock<Metrics> = LazyLock::new(Metrics::new);

/// Figures of a hot standby that answers reports, where one is set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ReplicaState {
    /// Whether it answers.
    pub is_there: bool,
    /// Bytes of the server's log that it has not taken over; null while it is away.
    pub lag_bytes: Option<u64>,
    /// Seconds that it is behind; null where that is not known.
    pub lag_seconds: Option<f64>,
    /// Questions that it answered.
    pub answered: u64,
    /// Questions that the server answered since the standby was behind.
    pub behind: u64,
    /// Questions that the server answered since the standby was away or failed.
    pub failed: u64,
}

impl ReplicaState {
    /// Its figures as text; what is not known has no line.
    fn text(&self) -> String {
        let Self { is_there, lag_bytes, lag_seconds, answered, behind, failed } = self;
        let mut text = String::new();
        let mut gauge = |name: &str, help: &str, value: Option<String>| {
            if let Some(value) = value {
                text += &format!("# HELP {name} {help}\n# TYPE {name} gauge\n{name} {value}\n");
            }
        };
        gauge(
            "denwright_replica_up",
            "Whether the replica answers.",
            Some(u8::from(*is_there).to_string()),
        );
        gauge(
            "denwright_replica_lag_bytes",
            "Bytes of the server's log that the replica has not taken over.",
            lag_bytes.map(|bytes| bytes.to_string()),
        );
        gauge(
            "denwright_replica_lag_seconds",
            "Seconds since the last transaction that the replica took over was kept; 0 when nothing is missing.",
            lag_seconds.map(|seconds| seconds.to_string()),
        );
        let name = "denwright_replica_questions_total";
        text += &format!(
            "# HELP {name} Reports, prints, archives and booklets: answered by the replica, or by the server since \
             that was behind or failed.\n# TYPE {name} counter\n"
        );
        for (outcome, count) in [("answered", answered), ("behind", behind), ("failed", failed)] {
            text += &format!("{name}{{outcome=\"{outcome}\"}} {count}\n");
        }
        text
    }
}

/// All figures.
pub struct Metrics {
    registry: Registry,
    requests: IntCounterVec,
    latency: HistogramVec,
    database_errors: IntCounterVec,
    deliveries: IntCounterVec,
    pool: IntGaugeVec,
    streams: IntGauge,
    rings: IntCounterVec,
    work: IntCounterVec,
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
            "Requests that failed at the database: unavailable, busy, full, or a fault.",
            &["kind"],
        );
        let deliveries = counter(
            "denwright_webhook_deliveries_total",
            "Tries to deliver to webhooks, by outcome.",
            &["outcome"],
        );
        let rings = counter(
            "denwright_rings_total",
            "Tries to ring somebody, by way and outcome.",
            &["way", "outcome"],
        );
        let work = counter(
            "denwright_work_total",
            "Computations and drawings: done, refused since the room was full, or given up.",
            &["outcome"],
        );
        let pool =
            Opts::new("denwright_pool_connections", "Database connections of this instance.");
        let pool = IntGaugeVec::new(pool, &["state"]).expect("a good name");
        let streams = IntGauge::new("denwright_streams", "Live streams of changes.");
        let streams = streams.expect("a good name");
        let registry = Registry::new();
        for collector in [
            Box::new(requests.clone()) as Box<dyn prometheus::core::Collector>,
            Box::new(latency.clone()),
            Box::new(database_errors.clone()),
            Box::new(deliveries.clone()),
            Box::new(pool.clone()),
            Box::new(streams.clone()),
            Box::new(work.clone()),
            Box::new(rings.clone()),
        ] {
            registry.register(collector).expect("each is registered once");
        }
        Self {
            registry,
            requests,
            latency,
            database_errors,
            deliveries,
            pool,
            streams,
            work,
            rings,
        }
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

    /// Counts a try to ring somebody.
    pub fn rang(&self, way: &str, outcome: &str) {
        self.rings.with_label_values(&[way, outcome]).inc();
    }

    /// Counts a computation or drawing.
    pub fn worked(&self, outcome: &str) {
        self.work.with_label_values(&[outcome]).inc();
    }

    /// All figures as text.
    pub fn text(
        &self,
        pool_used: usize,
        pool_size: usize,
        streams: usize,
        replica: Option<&ReplicaState>,
    ) -> String {
        let number = |count: usize| i64::try_from(count).unwrap_or(i64::MAX);
        self.pool.with_label_values(&["in_use"]).set(number(pool_used));
        self.pool.with_label_values(&["limit"]).set(number(pool_size));
        self.streams.set(number(streams));
        let mut text = Vec::new();
        if let Err(error) = TextEncoder::new().encode(&self.registry.gather(), &mut text) {
            tracing::error!(%error, "figures cannot be written");
        }
        let mut text = String::from_utf8(text).unwrap_or_default();
        text += &replica.map(ReplicaState::text).unwrap_or_default();
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_request_is_counted_by_its_route() {
        METRICS.answered("GET", "/v1/test", 200, Duration::from_millis(3));
        METRICS.answered("BREW", "/v1/test", 405, Duration::from_millis(3));
        let text = METRICS.text(1, 16, 0, None);
        for line in [
            "denwright_requests_total{method=\"GET\",route=\"/v1/test\",status=\"200\"} 1",
            "denwright_requests_total{method=\"other\",route=\"/v1/test\",status=\"405\"} 1",
            "denwright_request_seconds_bucket{method=\"GET\",route=\"/v1/test\",le=\"0.005\"} 1",
            "denwright_pool_connections{state=\"limit\"} 16",
        ] {
            assert!(text.contains(line), "{line} is not in\n{text}");
        }
    }

    #[test]
    fn a_replica_has_lines_where_one_is_set_and_none_of_what_is_not_known() {
        assert!(!METRICS.text(1, 16, 0, None).contains("denwright_replica"));
        let mut state = ReplicaState {
            is_there: true,
            lag_bytes: Some(8_192),
            lag_seconds: Some(0.25),
            answered: 7,
            behind: 2,
            failed: 1,
        };
        let text = METRICS.text(1, 16, 0, Some(&state));
        for line in [
            "denwright_replica_up 1",
            "denwright_replica_lag_bytes 8192",
            "denwright_replica_lag_seconds 0.25",
            "denwright_replica_questions_total{outcome=\"answered\"} 7",
            "denwright_replica_questions_total{outcome=\"behind\"} 2",
            "denwright_replica_questions_total{outcome=\"failed\"} 1",
        ] {
            assert!(text.lines().any(|told| told == line), "{line} is not in\n{text}");
        }
        (state.is_there, state.lag_bytes, state.lag_seconds) = (false, None, None);
        let text = METRICS.text(1, 16, 0, Some(&state));
        assert!(text.contains("denwright_replica_up 0") && !text.contains("_lag_"), "{text}");
    }
}
