//! What new owners tell of dogs by the links of their booklets, and what the kennel makes of it.

use super::{
    answer,
    limits::{Attempt, Sort},
    query::Sort as Sorted,
    resource::{self, prelude::*},
};
use actix_web::http::header;
use chrono::{DateTime, NaiveDate, Utc};
use domain::record::{BuyerNews, BuyerReport, BuyerReportFilter, ReportPart, ReportStatus};
use security::credentials;
use serde::{Deserialize, Serialize};
use store::{
    buyer_reports::{self, Decision, OwnReport},
    keep::RowPath,
};
use utoipa::ToSchema;

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config
        .service(list_buyer_reports)
        .service(read_buyer_report)
        .service(delete_buyer_report)
        .service(accept_buyer_report)
        .service(refuse_buyer_report)
        .service(create_shared_report)
        .service(list_shared_reports)
        .service(delete_shared_report);
}

type KeptBuyerReport = Kept<BuyerReport>;
type BuyerReportList = List<BuyerReport>;
type BuyerReportSort = Sorted<BuyerReport>;

/// List what new owners have told by the links of their booklets.
///
/// Nothing of a report is on record before it is accepted; what is accepted is news of the dog's health, weights and
/// coat like any other, and is counted where those are.
#[utoipa::path(tag = "buyers", params(Paging, BuyerReportSort, BuyerReportFilter),
    responses((status = 200, description = "A page.", body = BuyerReportList)))]
#[get("/v1/kennels/{kennel_id}/buyer-reports")]
pub(crate) async fn list_buyer_reports(
    app: web::Data<App>,
    claim: Asks,
    _path: web::Path<Uuid>,
    request: HttpRequest,
    listing: Listing<BuyerReportFilter>,
) -> Result<HttpResponse, Problem> {
    resource::list::<BuyerReport>(&app, &claim.0, &request, None, listing).await
}

/// Read a report of a new owner.
#[utoipa::path(tag = "buyers", responses((status = 200, description = "It.", body = KeptBuyerReport)))]
#[get("/v1/kennels/{kennel_id}/buyer-reports/{buyer_report_id}")]
pub(crate) async fn read_buyer_report(
    app: web::Data<App>,
    claim: Asks,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    resource::read::<KeptBuyerReport>(&app, &claim.0, RowPath::from(path.1)).await
}

/// Delete a report of a new owner.
#[utoipa::path(tag = "buyers", responses((status = 204, description = "Gone.")))]
#[delete("/v1/kennels/{kennel_id}/buyer-reports/{buyer_report_id}")]
pub(crate) async fn delete_buyer_report(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
    version: IfMatch,
) -> Result<HttpResponse, Problem> {
    resource::delete::<BuyerReport>(&app, &scope.0, RowPath::from(path.1), version.0).await
}

/// What of a report goes into the record.
#[derive(Debug, Default, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields, default)]
pub(crate) struct ReportAcceptance {
    /// Parts that stay out of the record; all others that were told go into it.
    #[schema(max_items = 5)]
    left_out: Vec<ReportPart>,
}

/// Accept a report: what it tells goes into the record of its dog.
///
/// The weight becomes a weighing (of a full-grown dog its adult weight as well), news of health become health events
/// told by the buyer, colour and markings the dog's. Temperament and message stay with the report. All of it is
/// written or, where the record does not allow a part, nothing.
#[utoipa::path(tag = "buyers", request_body = ReportAcceptance,
    responses((status = 200, description = "The report as it stands now.", body = KeptBuyerReport)))]
#[post("/v1/kennels/{kennel_id}/buyer-reports/{buyer_report_id}/acceptance")]
pub(crate) async fn accept_buyer_report(
    app: web::Data<App>,
    scope: InKennel,
    request: HttpRequest,
    path: web::Path<(Uuid, Uuid)>,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    let raw = body.digest();
    let ReportAcceptance { left_out } = body.parse().await?;
    answer::once_done(&app, &scope.0, &request, &raw, async |tx| {
        buyer_reports::decide(tx, path.1, Decision::Accept(&left_out)).await
    })
    .await
}

/// Why a report is refused.
#[derive(Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct ReportRefusal {
    /// Why; the new owner reads it.
    #[schema(
        example = "This is another dog's test; please send hers.",
        min_length = 3,
        max_length = 1000,
        format = "several-lines"
    )]
    reason: String,
}

/// Refuse a report, with a reason that the new owner reads: nothing of it goes into the record.
#[utoipa::path(tag = "buyers", request_body = ReportRefusal,
    responses((status = 200, description = "The report as it stands now.", body = KeptBuyerReport)))]
#[post("/v1/kennels/{kennel_id}/buyer-reports/{buyer_report_id}/refusal")]
pub(crate) async fn refuse_buyer_report(
    app: web::Data<App>,
    scope: InKennel,
    request: HttpRequest,
    path: web::Path<(Uuid, Uuid)>,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    let raw = body.digest();
    let ReportRefusal { reason } = body.parse().await?;
    answer::once_done(&app, &scope.0, &request, &raw, async |tx| {
        buyer_reports::decide(tx, path.1, Decision::Refuse(&reason)).await
    })
    .await
}

/// A report as whoever told it reads it.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct SharedReport {
    /// Id.
    id: Uuid,
    /// When it was told.
    created_at: DateTime<Utc>,
    /// What was told.
    news: BuyerNews,
    /// How far it has come.
    status: ReportStatus,
    /// Why the kennel refused it.
    refusal_reason: Option<String>,
    /// The day of the kennel's decision.
    decided_on: Option<NaiveDate>,
}

impl From<OwnReport> for SharedReport {
    fn from(report: OwnReport) -> Self {
        let OwnReport { id, created_at, news, status, refusal_reason, decided_on } = report;
        Self { id, created_at, news, status, refusal_reason, decided_on }
    }
}

/// Reports told by one link.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct SharedReports {
    /// Oldest first.
    items: Vec<SharedReport>,
    /// The next page's `cursor`; null on the last.
    next_cursor: Option<String>,
}

/// Tell the kennel how a dog is, by the link of its booklet and without a login.
///
/// Weight, coat, temperament, health and tests. The kennel reads it and decides what goes into the dog's record;
/// until then nothing does. At most ten reports wait for a decision; many in a row have to wait (429).
#[utoipa::path(tag = "go-home", request_body = BuyerNews, security(()),
    responses((status = 201, description = "Told; it waits for the kennel.", body = SharedReport)))]
#[post("/v1/booklets/{secret}/reports")]
pub(crate) async fn create_shared_report(
    app: web::Data<App>,
    request: HttpRequest,
    path: web::Path<String>,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    let secret = path.into_inner();
    let news: BuyerNews = body.record(app.clock.now()).await?;
    // Counted before the link is looked up, so that nobody tries links this way.
    Attempt::begin(&app, &request, Sort::Report, &secret).await?;
    let (scope, _) = super::booklets::linked(&app, &secret).await?;
    let hash = credentials::hash_secret(&secret);
    let told = app.db.within(&scope, async |tx| buyer_reports::tell(tx, &hash, news).await).await?;
    Ok(HttpResponse::Created()
        .insert_header((header::CACHE_CONTROL, "private, no-store"))
        .json(SharedReport::from(told)))
}

/// List what was told by this link, and what the kennel made of it.
#[utoipa::path(tag = "go-home", params(Paging), security(()),
    responses((status = 200, description = "A page.", body = SharedReports)))]
#[get("/v1/booklets/{secret}/reports")]
pub(crate) async fn list_shared_reports(
    app: web::Data<App>,
    path: web::Path<String>,
    request: HttpRequest,
    listing: Listing<All>,
) -> Result<HttpResponse, Problem> {
    let secret = path.into_inner();
    let (scope, _) = super::booklets::linked(&app, &secret).await?;
    let hash = credentials::hash_secret(&secret);
    let told = app.db.within(&scope, async |tx| buyer_reports::told(tx, &hash).await).await?;
    let (told, next_cursor) = listing.asked.cut(told, |report| report.id.to_string())?;
    let items = told.into_iter().map(SharedReport::from).collect();
    let list = SharedReports { items, next_cursor };
    let mut response = answer::list::<SharedReport>(&request, list.next_cursor.as_deref(), &list)?;
    let no_store = header::HeaderValue::from_static("private, no-store");
    response.headers_mut().insert(header::CACHE_CONTROL, no_store);
    Ok(response)
}

/// Take back what was told by this link, as long as the kennel has not decided: nothing of it is left.
#[utoipa::path(tag = "go-home", security(()), responses((status = 204, description = "Gone.")))]
#[delete("/v1/booklets/{secret}/reports/{report_id}")]
pub(crate) async fn delete_shared_report(
    app: web::Data<App>,
    path: web::Path<(String, Uuid)>,
) -> Result<HttpResponse, Problem> {
    let (secret, id) = path.into_inner();
    let (scope, _) = super::booklets::linked(&app, &secret).await?;
    let hash = credentials::hash_secret(&secret);
    app.db.within(&scope, async |tx| buyer_reports::take_back(tx, &hash, id).await).await?;
    Ok(HttpResponse::NoContent().finish())
}
