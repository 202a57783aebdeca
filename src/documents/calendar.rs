//! The kennel's calendar as an iCalendar feed (RFC 5545).
//!
//! Everything in it is a day or a span of days on the kennel's own calendar, so its times are
//! DATEs: they mean the same day wherever the reader is, through any change of clocks. An event's
//! UID is made of the kennel and what the event is about, so that a moved window moves the event
//! instead of adding one.

use crate::domain::{
    planner::{KennelPlan, PlannedLitter, PlannerPerson},
    tasks::{TaskLine, TaskStatus},
};
use chrono::{DateTime, Days, NaiveDate, Utc};
use icalendar::{Calendar, Component, Event, EventLike, Property};
use uuid::Uuid;

/// What a feed shows.
#[derive(Debug)]
pub struct Feed<'f> {
    /// The kennel.
    pub kennel_id: Uuid,
    /// Its name: the calendar's title.
    pub name: &'f str,
    /// Its time zone, for readers that show one.
    pub time_zone: &'f str,
    /// Heats, births, going home.
    pub plan: &'f KennelPlan,
    /// What is due.
    pub tasks: &'f [TaskLine],
    /// The people, for the days they are away.
    pub people: &'f [PlannerPerson],
}

/// How often a reader may ask again.
const REFRESH: &str = "PT1H";

/// The text of the feed as of `now`.
pub fn feed(feed: &Feed<'_>, now: DateTime<Utc>) -> String {
    let mut calendar = Calendar::empty();
    calendar
        .append_property(("VERSION", "2.0"))
        .append_property(("PRODID", "-//denwright//calendar//EN"))
        .append_property(("CALSCALE", "GREGORIAN"))
        .append_property(("METHOD", "PUBLISH"))
        .append_property(("X-WR-CALNAME", feed.name))
        .append_property(("X-WR-TIMEZONE", feed.time_zone))
        .append_property(("X-PUBLISHED-TTL", REFRESH))
        .append_property(
            Property::new("REFRESH-INTERVAL", REFRESH).add_parameter("VALUE", "DURATION").done(),
        );
    let event = |key: &str, from, to, title: &str, detail: &str| {
        all_day(feed.kennel_id, key, (from, to), (title, detail), now)
    };
    for heat in &feed.plan.heats {
        let key = format!("heat:{}:{}", heat.dam_id, heat.number);
        let detail = format!("Likely {}; {:.0} % within.", heat.likely, 100.0 * heat.coverage);
        let title = format!("{}: heat expected", heat.name);
        calendar.push(event(&key, heat.earliest, heat.latest, &title, &detail));
    }
    for litter in &feed.plan.litters {
        for (what, from, to, title, detail) in litter_events(litter) {
            calendar.push(event(&format!("{}:{what}", litter.key), from, to, &title, &detail));
        }
    }
    for task in feed.tasks.iter().filter(|task| shown(task)) {
        let detail = match &task.snooze_reason {
            Some(reason) => format!("Put off: {reason}. Source: {}", task.source),
            None => format!("Source: {}", task.source),
        };
        let on = task.snoozed_until.unwrap_or(task.due_on).max(task.due_on);
        calendar.push(event(&task.key, on, on, &task.title, &detail));
    }
    for person in feed.people {
        for away in &person.away {
            let key = format!("away:{}:{}", person.id, away.from);
            calendar.push(event(&key, away.from, away.to, &format!("{} away", person.name), ""));
        }
    }
    calendar.to_string()
}

/// A task that is done need not be looked at any more.
fn shown(task: &TaskLine) -> bool {
    task.status != TaskStatus::Done
}

type LitterEvent = (&'static str, NaiveDate, NaiveDate, String, String);

fn litter_events(litter: &PlannedLitter) -> Vec<LitterEvent> {
    let name = &litter.name;
    let born = litter.birth.from == litter.birth.to && litter.chance_of_litter >= 1.0;
    let birth = if born {
        (format!("{name}: born"), String::new())
    } else {
        (
            format!("{name}: due"),
            format!(
                "Likely {}; {:.0} % within, if there is a litter ({:.0} %).",
                litter.likely,
                100.0 * litter.coverage,
                100.0 * litter.chance_of_litter
            ),
        )
    };
    let home = litter.go_home;
    vec![
        ("birth", litter.birth.from, litter.birth.to, birth.0, birth.1),
        ("go_home", home.from, home.to, format!("{name}: pups may go home"), String::new()),
    ]
}

/// One event over whole days; `DTEND` of a DATE is the day after the last.
fn all_day(
    kennel_id: Uuid,
    key: &str,
    (from, to): (NaiveDate, NaiveDate),
    (title, detail): (&str, &str),
    now: DateTime<Utc>,
) -> Event {
    let after = to.checked_add_days(Days::new(1)).unwrap_or(to);
    let mut event = Event::new();
    event
        .uid(&format!("{key}:{kennel_id}@denwright"))
        .timestamp(now)
        .summary(title)
        .starts(from)
        .ends(after)
        .add_property("TRANSP", "TRANSPARENT");
    if !detail.is_empty() {
        event.description(detail);
    }
    event.done()
}
