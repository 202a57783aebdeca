//! Health and figures of the service itself.

use super::{App, problem::Problem};
use ::metrics::METRICS;
use actix_web::{HttpResponse, get, web};
use serde::Serialize;
use utoipa::ToSchema;

/// How the service is.
#[derive(Serialize, ToSchema)]
pub(crate) struct ServiceHealth {
    /// `ok`.
    #[schema(example = "ok")]
    status: String,
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
#[utoipa::path(tag = "machine room", security(()), responses((status = 200, description = "It can.", body = ServiceHealth)))]
#[get("/health/ready")]
pub async fn ready(app: web::Data<App>) -> Result<HttpResponse, Problem> {
    app.db.ping().await?;
    Ok(ok())
}

/// Figures of the service in the Prometheus text format.
#[utoipa::path(tag = "machine room", security(()),
    responses((status = 200, description = "Figures.", body = String, content_type = "text/plain")))]
#[get("/metrics")]
pub async fn metrics(app: web::Data<App>) -> HttpResponse {
    let (used, size) = app.db.pool_use();
    let text = METRICS.text(used, size, app.wakes.followers());
    HttpResponse::Ok().content_type("text/plain; version=0.0.4").body(text)
}
