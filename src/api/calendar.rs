//! The kennel's calendar as a feed that calendars subscribe to.

use super::{
    answer::{self, Created},
    planner,
    resource::prelude::*,
    tasks,
};
use actix_web::http::header;
use chrono::{DateTime, Utc};
use documents::calendar::{Feed, feed};
use domain::{
    day_chances::shift,
    planner::{DateSpan, read_plan, report_plan},
};
use security::credentials;
use serde::{Deserialize, Serialize};
use store::{
    StoreError, Tx, calendar_links,
    scope::{self, Scope},
};
use utoipa::ToSchema;

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config
        .service(read_calendar)
        .service(read_shared_calendar)
        .service(create_calendar_link)
        .service(list_calendar_links)
        .service(delete_calendar_link);
}

/// Where the feed begins, in days from today: last month is still looked up.
const FIRST_DAY: i64 = -31;
/// Where it ends.
const LAST_DAY: i64 = 548;

/// The feed of what a person may see.
async fn feed_of(app: &App, scope: &Scope) -> Result<HttpResponse, Problem> {
    let seat = app.room.seat(scope.kennel_id()).await?;
    let (records, moment) = planner::gather(app, scope, &seat, &[]).await?;
    let work = async |tx: &mut Tx| tasks::Asked::of(tx, &records.dams).await;
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
            tasks: &asked.lines(),
            people: &records.people,
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
#[utoipa::path(tag = "calendar",
    responses((status = 200, description = "The feed.", content_type = "text/calendar", body = String)))]
#[get("/v1/kennels/{kennel_id}/calendar.ics")]
pub async fn read_calendar(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
) -> Result<HttpResponse, Problem> {
    feed_of(&app, &scope.0).await
}

/// Read the calendar by a secret link, without a login.
///
/// What the person who made the link may see. A link that was withdrawn, or whose person left the
/// kennel, is 404.
#[utoipa::path(tag = "calendar", security(()),
    responses((status = 200, description = "The feed.", content_type = "text/calendar", body = String)))]
#[get("/v1/calendars/{secret}.ics")]
pub async fn read_shared_calendar(
    app: web::Data<App>,
    path: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    let hash = credentials::hash_secret(&path.into_inner());
    let scope = scope::of_calendar_link(&app.db, &hash, app.clock.now()).await?;
    feed_of(&app, &scope).await
}

/// A secret link to be made.
#[derive(Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewCalendarLink {
    /// What it is for.
    #[schema(example = "Maren's phone", min_length = 1, max_length = 200)]
    name: String,
}

/// A secret link.
#[derive(Debug, Serialize, ToSchema)]
pub struct CalendarLinkAnswer {
    /// Id.
    id: Uuid,
    /// Whose it is: it shows what they may see.
    person_id: Uuid,
    /// What it is for.
    #[schema(example = "Maren's phone")]
    name: String,
    /// When it was made.
    created_at: DateTime<Utc>,
    /// Path of the feed, shown once when it is made, null afterwards.
    #[schema(example = "/v1/calendars/dwc_4Zk.ics")]
    path: Option<String>,
}

impl CalendarLinkAnswer {
    fn of(link: calendar_links::CalendarLink, path: Option<String>) -> Self {
        let calendar_links::CalendarLink { id, person_id, name, created_at } = link;
        Self { id, person_id, name, created_at, path }
    }
}

/// Secret links.
#[derive(Debug, Serialize, ToSchema)]
pub struct CalendarLinks {
    /// Oldest first.
    items: Vec<CalendarLinkAnswer>,
    /// Always null: a kennel has few links.
    next_cursor: Option<String>,
}

/// Make a secret link to the calendar.
#[utoipa::path(tag = "calendar", request_body = NewCalendarLink,
    responses((status = 201, description = "Made; the path is shown this once.", body = CalendarLinkAnswer)))]
#[post("/v1/kennels/{kennel_id}/calendar-links")]
pub async fn create_calendar_link(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
    request: HttpRequest,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    let raw = body.digest();
    let NewCalendarLink { name } = body.parse().await?;
    let secret = credentials::new_secret(credentials::CALENDAR_LINK_PREFIX);
    let hash = credentials::hash_secret(&secret);
    answer::once_shown(&app, &scope.0, &request, &raw, async |tx| {
        let link = calendar_links::add(tx, &name, &hash).await?;
        let location = format!("{}/{}", request.path(), link.id);
        let path = format!("/v1/calendars/{secret}.ics");
        Ok(Created { location, version: None, body: CalendarLinkAnswer::of(link, Some(path)) })
    })
    .await
}

/// List the secret links: an owner sees all, everybody else their own.
#[utoipa::path(tag = "calendar", responses((status = 200, description = "All of them.", body = CalendarLinks)))]
#[get("/v1/kennels/{kennel_id}/calendar-links")]
pub async fn list_calendar_links(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
) -> Result<HttpResponse, Problem> {
    let links = app.db.within(&scope.0, async |tx| calendar_links::all(tx).await).await?;
    let items = links.into_iter().map(|link| CalendarLinkAnswer::of(link, None)).collect();
    Ok(HttpResponse::Ok().json(CalendarLinks { items, next_cursor: None }))
}

/// Withdraw a secret link.
#[utoipa::path(tag = "calendar", responses((status = 204, description = "Withdrawn.")))]
#[delete("/v1/kennels/{kennel_id}/calendar-links/{link_id}")]
pub async fn delete_calendar_link(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    app.db.within(&scope.0, async |tx| calendar_links::remove(tx, path.1).await).await?;
    Ok(HttpResponse::NoContent().finish())
}
