//! Webhooks: set up by an owner, with what became of each delivery.

use super::{
    answer::{self, Created},
    resource::prelude::*,
};
use chrono::{DateTime, Utc};
use domain::record::{DeliveryStatus, Webhook, WebhookFilter};
use outgoing::webhooks::{check_url, shown_secret};
use serde::{Deserialize, Serialize};
use store::{
    StoreResult, Tx,
    keep::RowPath,
    webhooks::{self, Delivery},
};
use utoipa::{IntoParams, ToSchema};

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config
        .service(create_webhook)
        .service(list_webhooks)
        .service(read_webhook)
        .service(change_webhook)
        .service(delete_webhook)
        .service(list_deliveries)
        .service(send_delivery_again);
}

type KeptWebhook = Kept<Webhook>;
type WebhookList = List<Webhook>;
type WebhookSort = Sort<Webhook>;
type WebhookPatch = Patch<Webhook>;

/// A webhook with its secret, shown once.
#[derive(Serialize, ToSchema)]
pub(crate) struct NewWebhook {
    /// The webhook.
    webhook: KeptWebhook,
    /// Verifies what arrives, by any library of the Standard Webhooks specification.
    #[schema(example = "whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw")]
    secret: String,
}

fn refuse_address(app: &App, webhook: &Webhook) -> Result<(), Problem> {
    check_url(&webhook.url, &app.webhooks)
        .map(drop)
        .map_err(|reason| Problem::fault(super::problem::Kind::NotAcceptable, "/url", reason))
}

/// Set up a webhook.
///
/// Each change is posted as JSON with the headers `webhook-id`, `webhook-timestamp` and
/// `webhook-signature` of the Standard Webhooks specification. What fails is tried again for three
/// days; what arrives twice has the same `webhook-id`. A webhook that has failed at every try for days
/// (`DENWRIGHT_WEBHOOKS_FAILING_DAYS`, 5) is switched off, and whoever made it is told by mail. At most 2,000
/// changes wait for a webhook, for at most four days; what is dropped is told in its deliveries. A kennel has
/// at most 20 webhooks.
#[utoipa::path(tag = "webhooks", request_body = Webhook,
    responses((status = 201, description = "Set up; the secret is shown this once.", body = NewWebhook)))]
#[post("/v1/kennels/{kennel_id}/webhooks")]
pub(crate) async fn create_webhook(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
    request: HttpRequest,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    scope.0.require_person()?;
    let raw = body.digest();
    let webhook: Webhook = body.record(scope.0.now()).await?;
    refuse_address(&app, &webhook)?;
    answer::once_shown(&app, &scope.0, &request, &raw, async |tx| {
        let (kept, secret) = webhooks::add(tx, &webhook).await?;
        Ok(Created {
            location: format!("{}/{}", request.path(), kept.id),
            version: Some(kept.version),
            body: NewWebhook { webhook: kept, secret: shown_secret(&secret) },
        })
    })
    .await
}

/// List the webhooks.
#[utoipa::path(tag = "webhooks", params(Paging, WebhookSort, WebhookFilter),
    responses((status = 200, description = "A page.", body = WebhookList)))]
#[get("/v1/kennels/{kennel_id}/webhooks")]
pub(crate) async fn list_webhooks(
    app: web::Data<App>,
    claim: Asks,
    _path: web::Path<Uuid>,
    request: HttpRequest,
    listing: Listing<WebhookFilter>,
) -> Result<HttpResponse, Problem> {
    crate::resource::list::<Webhook>(&app, &claim.0, &request, None, listing).await
}

/// Read a webhook.
#[utoipa::path(tag = "webhooks", responses((status = 200, description = "It.", body = KeptWebhook)))]
#[get("/v1/kennels/{kennel_id}/webhooks/{webhook_id}")]
pub(crate) async fn read_webhook(
    app: web::Data<App>,
    claim: Asks,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    crate::resource::read::<Kept<Webhook>>(&app, &claim.0, RowPath::from(path.1)).await
}

/// Change a webhook by a JSON Merge Patch; its secret stays.
#[utoipa::path(tag = "webhooks",
    request_body(content = WebhookPatch, content_type = "application/merge-patch+json"),
    responses((status = 200, description = "As it is now.", body = KeptWebhook)))]
#[patch("/v1/kennels/{kennel_id}/webhooks/{webhook_id}")]
pub(crate) async fn change_webhook(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
    version: IfMatch,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    scope.0.require_person()?;
    let work = async |tx: &mut Tx| -> StoreResult<Result<KeptWebhook, Problem>> {
        store::keep::change(tx, path.1, version.0, async |kept: &KeptWebhook| {
            let webhook = body.patched(&kept.record, scope.0.now()).await?;
            refuse_address(&app, &webhook)?;
            Ok(webhook)
        })
        .await
    };
    Ok(super::answer::versioned(&app.db.writing(&scope.0, work).await??))
}

/// Delete a webhook, with what is still waiting for it.
#[utoipa::path(tag = "webhooks", responses((status = 204, description = "Gone.")))]
#[delete("/v1/kennels/{kennel_id}/webhooks/{webhook_id}")]
pub(crate) async fn delete_webhook(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
    version: IfMatch,
) -> Result<HttpResponse, Problem> {
    scope.0.require_person()?;
    crate::resource::delete::<Webhook>(&app, &scope.0, RowPath::from(path.1), version.0).await
}

/// Which deliveries to list.
#[derive(Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct DeliveryFilter {
    /// Only those.
    #[param(inline)]
    status: Option<DeliveryStatus>,
}

/// What became of one change for one webhook.
#[derive(Serialize, ToSchema)]
pub(crate) struct DeliveryAnswer {
    /// Id, which the receiver gets as `webhook-id`.
    id: Uuid,
    /// Number of the change.
    #[schema(example = 4813)]
    sequence: i64,
    /// What happened.
    #[schema(example = "weight.created")]
    event: String,
    /// How far it has come.
    status: DeliveryStatus,
    /// Tries so far.
    #[schema(example = 1)]
    attempts: i32,
    /// When it is tried next; null when it is not waiting.
    next_at: Option<DateTime<Utc>>,
    /// HTTP status of the last answer.
    #[schema(example = 200)]
    last_status: Option<i32>,
    /// Why the last try failed.
    #[schema(example = "answered 503")]
    last_error: Option<String>,
    /// When it arrived.
    delivered_at: Option<DateTime<Utc>>,
    /// When it happened.
    created_at: DateTime<Utc>,
}

impl From<Delivery> for DeliveryAnswer {
    fn from(delivery: Delivery) -> Self {
        let waiting = delivery.status == DeliveryStatus::Waiting;
        Self {
            id: delivery.id,
            sequence: delivery.sequence,
            event: delivery.event,
            status: delivery.status,
            attempts: delivery.attempts,
            next_at: Some(delivery.next_at).filter(|_| waiting),
            last_status: delivery.last_status,
            last_error: delivery.last_error,
            delivered_at: delivery.delivered_at,
            created_at: delivery.created_at,
        }
    }
}

/// Deliveries.
#[derive(Serialize, ToSchema)]
pub(crate) struct Deliveries {
    /// Newest first.
    items: Vec<DeliveryAnswer>,
    /// The next page's `cursor`; null on the last.
    next_cursor: Option<String>,
    /// Since when every try has failed; null when the last one was good.
    #[serde(rename = "first_failed_at")]
    failing_since: Option<DateTime<Utc>>,
    /// When the webhook was switched off for that.
    switched_off_at: Option<DateTime<Utc>>,
}

/// List what a webhook was told, newest first.
///
/// Arrived ones are kept for 30 days, dead and dropped ones for 180.
#[utoipa::path(tag = "webhooks", params(Paging, DeliveryFilter),
    responses((status = 200, description = "A page.", body = Deliveries)))]
#[get("/v1/kennels/{kennel_id}/webhooks/{webhook_id}/deliveries")]
pub(crate) async fn list_deliveries(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
    request: HttpRequest,
    listing: Listing<DeliveryFilter>,
) -> Result<HttpResponse, Problem> {
    let Listing { filter: DeliveryFilter { status }, asked } = listing;
    let before = asked.of_newest_first()?;
    let work = async |tx: &mut Tx| {
        let found = webhooks::deliveries(tx, path.1, status, before, asked.limit + 1).await?;
        Ok((found, webhooks::standing(tx, path.1).await?))
    };
    let (found, standing) = app.db.within(&scope.0, work).await?;
    let (found, next_cursor) = asked.numbered(found, |delivery| delivery.sequence);
    let list = Deliveries {
        items: found.into_iter().map(DeliveryAnswer::from).collect(),
        next_cursor,
        failing_since: standing.failing_since,
        switched_off_at: standing.switched_off_at,
    };
    answer::list::<DeliveryAnswer>(&request, list.next_cursor.as_deref(), &list)
}

/// Send a delivery again, whatever became of it.
#[utoipa::path(tag = "webhooks",
    responses((status = 202, description = "It waits for its first try again.", body = DeliveryAnswer)))]
#[post("/v1/kennels/{kennel_id}/webhooks/{webhook_id}/deliveries/{delivery_id}/resend")]
pub(crate) async fn send_delivery_again(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    let work = async |tx: &mut Tx| webhooks::send_again(tx, path.1, path.2).await;
    let delivery = app.db.within(&scope.0, work).await?;
    Ok(HttpResponse::Accepted().json(DeliveryAnswer::from(delivery)))
}
