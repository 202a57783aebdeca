//! Whom alarms reach: what one chose, one's devices, a test, and who is on duty.

use super::{
    answer::{self, Created, IfMatch},
    problem::Kind,
    resource::prelude::*,
};
use actix_web::put;
use catalogue::said;
use chrono::{DateTime, Utc};
use domain::record::{DutyRoster, PushDevice, RingChoices};
use outgoing::{mail::Mailer, rings::test_words, webhooks::check_url};
use security::web_push::{DeviceKeys, PushKey};
use serde::{Deserialize, Serialize};
use store::{
    StoreResult, Tx,
    rings::{self, Device},
};
use utoipa::ToSchema;

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config
        .service(read_rings)
        .service(set_rings)
        .service(create_ring_device)
        .service(delete_ring_device)
        .service(test_rings)
        .service(read_duty)
        .service(set_duty);
}

/// A device that rings.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct RingDevice {
    /// Id.
    id: Uuid,
    /// What it is called.
    #[schema(example = "Maren's phone")]
    name: String,
    /// The host of its push service.
    #[schema(example = "push.example")]
    host: String,
    /// When it was entered.
    created_at: DateTime<Utc>,
}

impl From<Device> for RingDevice {
    fn from(device: Device) -> Self {
        let Device { id, name, host, created_at } = device;
        Self { id, name, host, created_at }
    }
}

/// How one is rung.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct RingSettings {
    /// What one chose.
    choices: RingChoices,
    /// One's devices.
    devices: Vec<RingDevice>,
    /// What a browser subscribes with (`applicationServerKey`, RFC 8292).
    push_key: String,
    /// Whether the service sends mail; one that does not lays it into a folder, where nobody is rung by it.
    sends_mail: bool,
}

/// What one chose, one's devices and the key for more, with the version of the first.
async fn settings(
    tx: &mut Tx,
    push_key: &PushKey,
    mailer: &Mailer,
) -> StoreResult<(i64, RingSettings)> {
    let (version, choices) = rings::choices(tx).await?;
    let devices = rings::devices(tx).await?.into_iter().map(RingDevice::from).collect();
    let push_key = push_key.public().to_owned();
    Ok((version, RingSettings { choices, devices, push_key, sends_mail: mailer.goes_out() }))
}

/// Read how one is rung of alarms.
#[utoipa::path(tag = "alarms", responses((status = 200, description = "It.", body = RingSettings)))]
#[get("/v1/kennels/{kennel_id}/rings")]
pub(crate) async fn read_rings(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
) -> Result<HttpResponse, Problem> {
    let key = rings::push_key(&app.db).await?;
    let (version, settings) =
        app.db.within(&scope.0, async |tx| settings(tx, &key, &app.mailer).await).await?;
    Ok(answer::tagged(version, &settings))
}

/// Choose of which alarms one is rung, by which way and when.
///
/// It rings when an alarm is raised or becomes graver: at once for who is on duty, for the others when nobody has
/// marked it seen for as long as they chose. Where nobody who hears of it is on duty, it rings for all at once.
#[utoipa::path(tag = "alarms", request_body = RingChoices,
    responses((status = 200, description = "As it is now.", body = RingSettings)))]
#[put("/v1/kennels/{kennel_id}/rings")]
pub(crate) async fn set_rings(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
    version: IfMatch,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    let chosen: RingChoices = body.record(scope.0.now()).await?;
    let key = rings::push_key(&app.db).await?;
    let set = async |tx: &mut Tx| {
        rings::choose(tx, version.0, &chosen).await?;
        settings(tx, &key, &app.mailer).await
    };
    let (version, settings) = app.db.within(&scope.0, set).await?;
    Ok(answer::tagged(version, &settings))
}

/// Enter a device that is to ring, in the place of one with the same address.
#[utoipa::path(tag = "alarms", request_body = PushDevice,
    responses((status = 201, description = "Entered.", body = RingDevice)))]
#[post("/v1/kennels/{kennel_id}/rings/devices")]
pub(crate) async fn create_ring_device(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
    request: HttpRequest,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    let raw = body.digest();
    let device: PushDevice = body.record(scope.0.now()).await?;
    let refused = |pointer: &str, detail| Problem::fault(Kind::NotAcceptable, pointer, detail);
    let url = check_url(&device.endpoint, &app.webhooks);
    let url = url.map_err(|reason| refused("/endpoint", reason))?;
    DeviceKeys::read(&device.keys.p256dh, &device.keys.auth)
        .map_err(|key| refused(&format!("/keys/{key}"), said!("fault-malformed-push-key")))?;
    let host = url.host_str().unwrap_or_default();
    answer::once(&app, &scope.0, &request, &raw, async |tx| {
        let device = rings::add_device(tx, &device, host).await?;
        let location = format!("{}/{}", request.path(), device.id);
        Ok(Created { location, version: None, body: RingDevice::from(device) })
    })
    .await
}

/// Take a device away: it rings no more.
#[utoipa::path(tag = "alarms", responses((status = 204, description = "Gone.")))]
#[delete("/v1/kennels/{kennel_id}/rings/devices/{device_id}")]
pub(crate) async fn delete_ring_device(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    app.db.within(&scope.0, async |tx| rings::remove_device(tx, path.1).await).await?;
    Ok(HttpResponse::NoContent().finish())
}

/// Nothing is to be said.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct RingTest {}

/// How many messages are under way.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct RingTested {
    /// One for each device, and one for a mail.
    #[schema(example = 2)]
    messages: usize,
}

/// Have a test message ring wherever one is rung.
#[utoipa::path(tag = "alarms", request_body = RingTest,
    responses((status = 200, description = "Under way.", body = RingTested)))]
#[post("/v1/kennels/{kennel_id}/rings/test")]
pub(crate) async fn test_rings(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
    request: HttpRequest,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    let raw = body.digest();
    let RingTest {} = body.parse().await?;
    let kennel = (scope.0.kennel_id(), scope.0.kennel().name.as_str());
    answer::once_done(&app, &scope.0, &request, &raw, async |tx| {
        let words = |way, language| test_words(kennel, way, language);
        Ok(RingTested { messages: rings::ring_test(tx, words).await? })
    })
    .await
}

/// Read who is on duty when.
#[utoipa::path(tag = "alarms", responses((status = 200, description = "The roster.", body = DutyRoster)))]
#[get("/v1/kennels/{kennel_id}/duty")]
pub(crate) async fn read_duty(
    app: web::Data<App>,
    claim: Asks,
    _path: web::Path<Uuid>,
) -> Result<HttpResponse, Problem> {
    crate::resource::read_single::<DutyRoster>(&app, &claim.0).await
}

/// Set who is on duty when.
#[utoipa::path(tag = "alarms", request_body = DutyRoster,
    responses((status = 200, description = "As it is now.", body = DutyRoster)))]
#[put("/v1/kennels/{kennel_id}/duty")]
pub(crate) async fn set_duty(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
    version: IfMatch,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    crate::resource::set_single::<DutyRoster>(&app, &scope.0, version.0, body).await
}
