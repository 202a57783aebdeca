//! One list of all that calls for attention, and who has seen what of it.

use super::{
    answer::{self, Created},
    conditional::unless_unchanged,
    resource::prelude::*,
    work::Seat,
};
use catalogue::Text;
use chrono::{DateTime, Utc};
use domain::{
    advice::{Level, standing_line},
    alarms::{Alarm, Watched, list, look_at},
    litter::Core,
    moment::Moment,
    shared::Shared,
};
use serde::{Deserialize, Serialize};
use std::sync::Arc;
use store::{
    StoreError, alarms as kept,
    litters::Which,
    scope::{Right, Scope},
};
use utoipa::{IntoParams, ToSchema};

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config.service(list_alarms).service(see_alarm);
}

/// The records of these litters, as their alarms are made of them.
pub(super) async fn watched(
    app: &App,
    scope: &Scope,
    which: Which,
) -> Result<(Vec<(Shared<Core>, Watched)>, Arc<Moment>), Problem> {
    Ok(kept::watched(&app.db, &app.studbooks, scope, which).await?)
}

/// A record and its alarms.
type Heard = (Shared<Core>, Watched, Vec<Alarm>, Arc<Moment>);

/// One litter and its alarms.
pub(super) async fn of_litter(
    app: &App,
    scope: &Scope,
    seat: &Seat,
    litter_id: Uuid,
) -> Result<Heard, Problem> {
    heard(app, scope, seat, Which::One(litter_id)).await
}

/// The litter into which a dog was born, or the dog by itself, and the alarms.
pub(super) async fn of_dog(
    app: &App,
    scope: &Scope,
    seat: &Seat,
    dog_id: Uuid,
) -> Result<Heard, Problem> {
    heard(app, scope, seat, Which::OfDogs(vec![dog_id])).await
}

async fn heard(app: &App, scope: &Scope, seat: &Seat, which: Which) -> Result<Heard, Problem> {
    let (litters, moment) = watched(app, scope, which).await?;
    let Some((core, parts)) = litters.into_iter().next() else {
        return Err(StoreError::NotFound.into());
    };
    let work = move || {
        let alarms = look_at(&core, &parts, &moment).alarms;
        (core, parts, alarms, moment)
    };
    seat.done(work).await
}

/// All alarms.
async fn all(app: &App, scope: &Scope, litter_id: Option<Uuid>) -> Result<Vec<Alarm>, Problem> {
    let which = litter_id.map_or(Which::Kennel, Which::One);
    let seat = app.room.seat(scope.kennel_id()).await?;
    let (litters, moment) = watched(app, scope, which).await?;
    seat.done(move || list(&litters, &moment)).await
}

/// Which alarms to list.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct AlarmQuery {
    /// Only about this litter, its dam and its pups.
    litter_id: Option<Uuid>,
    /// Only about this dog.
    dog_id: Option<Uuid>,
    /// Only as grave as this, or graver.
    level: Option<Level>,
}

/// What calls for attention.
#[derive(Serialize, ToSchema)]
pub(crate) struct AlarmList {
    /// The moment it was looked at.
    #[serde(rename = "reckoned_at")]
    as_of: DateTime<Utc>,
    /// The alarms, the gravest first.
    items: Vec<Alarm>,
    /// The next page's `cursor`; null on the last.
    next_cursor: Option<String>,
    /// What stands beside every piece of advice.
    #[schema(value_type = String)]
    advice: Text,
}

/// List all that calls for a person's attention, the gravest first.
///
/// Every answer about a litter or a dog takes its cautions from this list, word for word, with who has seen
/// them. A limit that the clock alone will reach is in it before, as a note with the time.
#[utoipa::path(tag = "alarms", params(Paging, AlarmQuery),
    responses((status = 200, description = "A page.", body = AlarmList)))]
#[get("/v1/kennels/{kennel_id}/alarms")]
pub(crate) async fn list_alarms(
    app: web::Data<App>,
    scope: InKennel,
    request: HttpRequest,
    _path: web::Path<Uuid>,
    listing: Listing<AlarmQuery>,
) -> Result<HttpResponse, Problem> {
    scope.0.require(Right::Dogs)?;
    let AlarmQuery { litter_id, dog_id, level } = listing.filter;
    unless_unchanged(&scope.0, &request, async || {
        let mut items = all(&app, &scope.0, litter_id).await?;
        items.retain(|alarm| {
            dog_id.is_none_or(|id| alarm.about.dog_id == Some(id))
                && level.is_none_or(|level| alarm.level >= level)
        });
        let (items, next_cursor) = listing.asked.cut(items, |alarm| alarm.id.to_string())?;
        let list = AlarmList { as_of: scope.0.now(), items, next_cursor, advice: standing_line() };
        answer::list::<Alarm>(&request, list.next_cursor.as_deref(), &list)
    })
    .await
}

/// That an alarm was seen.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct AlarmSight {
    /// What was done, or is to be known.
    #[serde(default)]
    #[schema(
        example = "warmed, fed by hand, weigh again at noon",
        min_length = 1,
        max_length = 2000
    )]
    note: Option<String>,
}

/// Mark an alarm as seen: who, when and a note stand in the log of changes.
///
/// It stays in the list, marked, as long as its cause lasts; when it becomes graver, the mark ends.
#[utoipa::path(tag = "alarms", request_body = AlarmSight,
    responses((status = 201, description = "The alarm, marked.", body = Alarm)))]
#[post("/v1/kennels/{kennel_id}/alarms/{alarm_id}/seen")]
pub(crate) async fn see_alarm(
    app: web::Data<App>,
    scope: InKennel,
    request: HttpRequest,
    path: web::Path<(Uuid, Uuid)>,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    scope.0.require(Right::Observations)?;
    let raw = body.digest();
    let sight: AlarmSight = body.parse().await?;
    let (_kennel, alarm_id) = path.into_inner();
    let now = scope.0.now();
    let alarms = all(&app, &scope.0, None).await?;
    let Some(alarm) = alarms.into_iter().find(|alarm| alarm.id == alarm_id) else {
        return Err(StoreError::NotFound.into());
    };
    answer::once(&app, &scope.0, &request, &raw, async |tx| {
        let mut body = alarm.clone();
        kept::seen(tx, &mut body, sight.note.as_deref(), now).await?;
        Ok(Created { location: request.path().to_owned(), version: None, body })
    })
    .await
}
