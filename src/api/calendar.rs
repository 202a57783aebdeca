//! The kennel's calendar as a feed that calendars subscribe to.

use super::{
    answer::{self, Created, IfMatch},
    planner,
    query::{Query, in_language},
    resource::prelude::*,
};
use actix_web::{http::header, put};
use catalogue::Language;
use chrono::{DateTime, Utc};
use documents::calendar::{Feed, feed};
use domain::{
    day_chances::shift,
    planner::{DateSpan, read_plan, report_plan},
    record::{CalendarKind, CalendarLink},
};
use security::credentials;
use serde::{Deserialize, Deserializer, Serialize};
use store::{
    StoreError, Tx,
    calendar_links::{self, KeptCalendarLink},
    scope::{self, Scope},
    tasks,
};
use utoipa::{IntoParams, ToSchema};

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config
        .service(read_calendar)
        .service(read_shared_calendar)
        .service(create_calendar_link)
        .service(list_calendar_links)
        .service(read_calendar_link)
        .service(set_calendar_link)
        .service(delete_calendar_link);
}

/// Where the feed begins, in days from today: last month is still looked up.
const FIRST_DAY: i64 = -31;
/// Where it ends.
const LAST_DAY: i64 = 548;

/// What the feed shows.
#[derive(Debug, Default, Deserialize, IntoParams)]
#[serde(default, deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct CalendarQuery {
    /// Only these, parted by commas.
    #[serde(deserialize_with = "parted_by_commas")]
    #[param(value_type = Vec<CalendarKind>, explode = false)]
    kinds: Vec<CalendarKind>,
    /// In which language; left out, the one that `Accept-Language` wants most.
    #[param(inline)]
    language: Option<Language>,
}

/// In which language the feed of a link is.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub(crate) struct SharedCalendarQuery {
    /// In which language; left out, the one that `Accept-Language` wants most.
    #[param(inline)]
    language: Option<Language>,
}

fn parted_by_commas<'de, D: Deserializer<'de>>(from: D) -> Result<Vec<CalendarKind>, D::Error> {
    let text = String::deserialize(from)?;
    let kinds: Result<_, _> = text.split(',').map(str::parse).collect();
    kinds.map_err(serde::de::Error::custom)
}

/// The feed of what a person may see: of that the kinds that are wanted, with alarms or without.
async fn feed_of(
    app: &App,
    scope: &Scope,
    kinds: Vec<CalendarKind>,
    alarms: bool,
) -> Result<HttpResponse, Problem> {
    let seat = app.room.seat(scope.kennel_id()).await?;
    let (records, moment) = planner::gather(app, scope, &seat, &[]).await?;
    let work = async |tx: &mut Tx| tasks::asked_for(tx, &records.dams).await;
    let asked = app.db.within(scope, work).await?;
    let (kennel_id, kennel) = (scope.kennel_id(), scope.kennel().clone());
    let written = move || -> Result<String, Problem> {
        let today = moment.today();
        let span = DateSpan { from: shift(today, FIRST_DAY), to: shift(today, LAST_DAY) };
        let read = read_plan(&records, &[], span, moment.time(), &moment.rules)
            .map_err(StoreError::Refused)?;
        let report = report_plan(&records, read, &moment.rules).map_err(StoreError::Refused)?;
        let of_kennel = Feed {
            kennel_id,
            name: &kennel.name,
            time_zone: &kennel.time_zone,
            plan: &report.plan,
            tasks: &asked.each(),
            people: &records.people,
            kinds: &kinds,
            alarms,
        };
        Ok(feed(&of_kennel, moment.now))
    };
    let text = seat.done(written).await??;
    Ok(HttpResponse::Ok()
        .content_type("text/calendar; charset=utf-8")
        .insert_header((header::CACHE_CONTROL, "private, no-cache"))
        .insert_header((header::CONTENT_DISPOSITION, "inline; filename=\"kennel.ics\""))
        .body(text))
}

/// Read the calendar as iCalendar (RFC 5545).
#[utoipa::path(tag = "calendar", params(CalendarQuery),
    responses((status = 200, description = "The feed.", content_type = "text/calendar", body = String)))]
#[get("/v1/kennels/{kennel_id}/calendar.ics")]
pub(crate) async fn read_calendar(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
    query: Query<CalendarQuery>,
) -> Result<HttpResponse, Problem> {
    let CalendarQuery { kinds, language } = query.0;
    in_language(language, feed_of(&app, &scope.0, kinds, false)).await
}

/// Read the calendar by a secret link, without a login.
///
/// What the link shows of what its maker may see. A link that was withdrawn, or whose person left the
/// kennel, is 404. An address with `?language=de` is read in German by every calendar, whatever its reader's
/// language is.
#[utoipa::path(tag = "calendar", security(()), params(SharedCalendarQuery),
    responses((status = 200, description = "The feed.", content_type = "text/calendar", body = String)))]
#[get("/v1/calendars/{secret}.ics")]
pub(crate) async fn read_shared_calendar(
    app: web::Data<App>,
    path: web::Path<String>,
    query: Query<SharedCalendarQuery>,
) -> Result<HttpResponse, Problem> {
    let hash = credentials::hash_secret(&path.into_inner());
    let (scope, kinds, alarms) = scope::of_calendar_link(&app.db, &hash, app.clock.now()).await?;
    in_language(query.0.language, feed_of(&app, &scope, kinds, alarms)).await
}

/// A secret link.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct CalendarLinkAnswer {
    /// Id.
    id: Uuid,
    /// Counts the changes.
    version: i64,
    /// When it was made.
    created_at: DateTime<Utc>,
    /// Whose it is: it shows what they may see.
    person_id: Uuid,
    /// What it is for.
    #[schema(example = "Maren's phone")]
    name: String,
    /// What it shows; empty for everything.
    kinds: Vec<CalendarKind>,
    /// Whether its events ring.
    alarms: bool,
    /// Path of the feed, shown once when it is made, null afterwards.
    #[schema(example = "/v1/calendars/dwc_4Zk.ics")]
    path: Option<String>,
}

impl CalendarLinkAnswer {
    fn of(kept: KeptCalendarLink, path: Option<String>) -> Self {
        let KeptCalendarLink { id, version, created_at, person_id, link } = kept;
        let CalendarLink { name, kinds, alarms } = link;
        Self { id, version, created_at, person_id, name, kinds, alarms, path }
    }
}

/// Secret links.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct CalendarLinks {
    /// Oldest first.
    items: Vec<CalendarLinkAnswer>,
    /// The next page's `cursor`; null on the last.
    next_cursor: Option<String>,
}

/// Make a secret link to the calendar.
#[utoipa::path(tag = "calendar", request_body = CalendarLink,
    responses((status = 201, description = "Made; the path is shown this once.", body = CalendarLinkAnswer)))]
#[post("/v1/kennels/{kennel_id}/calendar-links")]
pub(crate) async fn create_calendar_link(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
    request: HttpRequest,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    let raw = body.digest();
    let link: CalendarLink = body.record(scope.0.now()).await?;
    let secret = credentials::new_secret(credentials::CALENDAR_LINK_PREFIX);
    let hash = credentials::hash_secret(&secret);
    answer::once_shown(&app, &scope.0, &request, &raw, async |tx| {
        let kept = calendar_links::add(tx, &link, &hash).await?;
        let location = format!("{}/{}", request.path(), kept.id);
        let path = format!("/v1/calendars/{secret}.ics");
        let version = Some(kept.version);
        Ok(Created { location, version, body: CalendarLinkAnswer::of(kept, Some(path)) })
    })
    .await
}

/// List the secret links: an owner sees all, everybody else their own.
#[utoipa::path(tag = "calendar", params(Paging), responses((status = 200, description = "A page.", body = CalendarLinks)))]
#[get("/v1/kennels/{kennel_id}/calendar-links")]
pub(crate) async fn list_calendar_links(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
    request: HttpRequest,
    listing: Listing<All>,
) -> Result<HttpResponse, Problem> {
    let links = app.db.within(&scope.0, async |tx| calendar_links::all(tx).await).await?;
    let (links, next_cursor) = listing.asked.cut(links, |link| link.id.to_string())?;
    let items = links.into_iter().map(|link| CalendarLinkAnswer::of(link, None)).collect();
    let list = CalendarLinks { items, next_cursor };
    answer::list::<CalendarLinkAnswer>(&request, list.next_cursor.as_deref(), &list)
}

/// Read a secret link, without its address.
#[utoipa::path(tag = "calendar",
    responses((status = 200, description = "The link.", body = CalendarLinkAnswer)))]
#[get("/v1/kennels/{kennel_id}/calendar-links/{link_id}")]
pub(crate) async fn read_calendar_link(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    let kept = app.db.within(&scope.0, async |tx| calendar_links::one(tx, path.1).await).await?;
    Ok(answer::tagged(kept.version, &CalendarLinkAnswer::of(kept, None)))
}

/// Change what a secret link is for and what it shows; its address stays.
#[utoipa::path(tag = "calendar", request_body = CalendarLink,
    responses((status = 200, description = "As it is now.", body = CalendarLinkAnswer)))]
#[put("/v1/kennels/{kennel_id}/calendar-links/{link_id}")]
pub(crate) async fn set_calendar_link(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
    version: IfMatch,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    let link: CalendarLink = body.record(scope.0.now()).await?;
    let work = async |tx: &mut Tx| calendar_links::change(tx, path.1, version.0, &link).await;
    let kept = app.db.writing(&scope.0, work).await?;
    Ok(answer::tagged(kept.version, &CalendarLinkAnswer::of(kept, None)))
}

/// Withdraw a secret link.
#[utoipa::path(tag = "calendar", responses((status = 204, description = "Withdrawn.")))]
#[delete("/v1/kennels/{kennel_id}/calendar-links/{link_id}")]
pub(crate) async fn delete_calendar_link(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    app.db.writing(&scope.0, async |tx| calendar_links::remove(tx, path.1).await).await?;
    Ok(HttpResponse::NoContent().finish())
}
