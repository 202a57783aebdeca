//! Health and figures of the service itself.

use super::{App, problem::Problem};
use ::metrics::{METRICS, ReplicaState};
use actix_web::{HttpResponse, get, web};
use serde::Serialize;
use store::ReplicaFigures;
use utoipa::ToSchema;

/// How the service is.
#[derive(Serialize, ToSchema)]
pub(crate) struct ServiceHealth {
    /// `ok`.
    #[schema(example = "ok")]
    status: String,
}

/// Whether the service can serve.
#[derive(Serialize, ToSchema)]
pub(crate) struct ServiceReadiness {
    /// `ok`.
    #[schema(example = "ok")]
    status: String,
    /// The replica that answers reports, prints, archives and booklets; null where none is set. The service is ready
    /// without it.
    replica: Option<ReplicaHealth>,
}

/// How a replica is.
#[derive(Serialize, ToSchema)]
pub(crate) struct ReplicaHealth {
    /// `ok`, or `away`: then the server answers for it.
    #[schema(example = "ok")]
    status: String,
    /// Bytes of the server's log that it has not taken over, some seconds ago; null while it is away.
    #[schema(example = 0)]
    lag_bytes: Option<u64>,
    /// Seconds since the last transaction that it took over was kept, 0 when nothing was missing; null where that is
    /// not known.
    #[schema(example = 0.0)]
    lag_seconds: Option<f64>,
}

impl ReplicaHealth {
    fn of(figures: ReplicaFigures) -> Self {
        Self {
            status: if figures.is_there { "ok" } else { "away" }.to_owned(),
            lag_bytes: figures.lag.map(|lag| lag.bytes),
            lag_seconds: figures.lag.and_then(|lag| lag.seconds),
        }
    }
}

fn ok() -> HttpResponse {
    HttpResponse::Ok().json(ServiceHealth { status: "ok".to_owned() })
}

/// Say whether the process lives.
#[utoipa::path(tag = "machine room", security(()), responses((status = 200, description = "It lives.", body = ServiceHealth)))]
#[get("/health/live")]
pub(crate) async fn live() -> HttpResponse {
    ok()
}

/// Say whether the service can serve: the database answers.
#[utoipa::path(tag = "machine room", security(()), responses((status = 200, description = "It can.", body = ServiceReadiness)))]
#[get("/health/ready")]
pub async fn ready(app: web::Data<App>) -> Result<HttpResponse, Problem> {
    app.db.ping().await?;
    let replica = app.db.replica_figures().map(ReplicaHealth::of);
    Ok(HttpResponse::Ok().json(ServiceReadiness { status: "ok".to_owned(), replica }))
}

/// Figures of the service in the Prometheus text format.
#[utoipa::path(tag = "machine room", security(()),
    responses((status = 200, description = "Figures.", body = String, content_type = "text/plain")))]
#[get("/metrics")]
pub async fn metrics(app: web::Data<App>) -> HttpResponse {
    let (used, size) = app.db.pool_use();
    let replica = app.db.replica_figures().map(state_of);
    let text = METRICS.text(used, size, app.wakes.followers(), replica.as_ref());
    HttpResponse::Ok().content_type("text/plain; version=0.0.4").body(text)
}

fn state_of(figures: ReplicaFigures) -> ReplicaState {
    let ReplicaFigures { is_there, lag, answered, behind, failed } = figures;
    ReplicaState {
        is_there,
        lag_bytes: lag.map(|lag| lag.bytes),
        lag_seconds: lag.and_then(|lag| lag.seconds),
        answered,
        behind,
        failed,
    }
}
