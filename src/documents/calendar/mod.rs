//! The kennel's calendar as an iCalendar feed (RFC 5545).
//!
//! Everything in it is a day, or a few, on the kennel's own calendar, so its times are DATEs: they mean
//! the same day wherever the reader is, through any change of clocks. An event's UID is made of the kennel
//! and what the event is about, so that a moved window moves the event instead of adding one.

mod entries;

use catalogue::{Language, Text, said, spoken};
use chrono::{DateTime, Days, Duration, Utc};
use domain::{
    planner::{KennelPlan, PlannerPerson},
    record::CalendarKind,
    tasks::TaskLine,
    text::{one_line, several_lines},
};
use entries::{Entry, entries};
use icalendar::{Alarm, Calendar, Component, Event, EventLike, Property, Trigger};
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
    /// Heats, births, going home; its span is the feed's.
    pub plan: &'f KennelPlan,
    /// What is due, each task by itself.
    pub tasks: &'f [TaskLine],
    /// The people, for the days they are away.
    pub people: &'f [PlannerPerson],
    /// What is wanted; empty for everything.
    pub kinds: &'f [CalendarKind],
    /// Whether its events ring.
    pub alarms: bool,
}

/// How often a reader may ask again.
const REFRESH: &str = "PT1H";

/// The text of the feed as of `now`, in the language that is spoken.
pub fn feed(feed: &Feed<'_>, now: DateTime<Utc>) -> String {
    let mut calendar = Calendar::empty();
    calendar
        .append_property(("VERSION", "2.0"))
        .append_property(("PRODID", product()))
        .append_property(("CALSCALE", "GREGORIAN"))
        .append_property(("METHOD", "PUBLISH"))
        .append_property(("X-WR-CALNAME", one_line(feed.name).as_str()))
        .append_property(("X-WR-TIMEZONE", feed.time_zone))
        .append_property(("X-PUBLISHED-TTL", REFRESH))
        .append_property(
            Property::new("REFRESH-INTERVAL", REFRESH).add_parameter("VALUE", "DURATION").done(),
        );
    for entry in entries(feed) {
        calendar.push(all_day(feed, &entry, now));
    }
    calendar.to_string()
}

/// By what the feed was made, with the language of its texts (ISO 9070).
fn product() -> &'static str {
    match spoken() {
        Language::English => "-//denwright//calendar//EN",
        Language::German => "-//denwright//calendar//DE",
    }
}

/// What readers sort events by.
fn category(kind: CalendarKind) -> Text {
    match kind {
        CalendarKind::Whelping => said!("print-feed-whelping"),
        CalendarKind::GoHome => said!("print-feed-go-home"),
        CalendarKind::Health => said!("print-feed-health"),
        CalendarKind::Heats => said!("print-feed-heats"),
        CalendarKind::Chores => said!("print-feed-chores"),
        CalendarKind::Absences => said!("print-feed-absences"),
    }
}

/// One event over whole days; `DTEND` of a DATE is the day after the last.
fn all_day(feed: &Feed<'_>, entry: &Entry, now: DateTime<Utc>) -> Event {
    let after = entry.to.checked_add_days(Days::new(1)).unwrap_or(entry.to);
    let mut event = Event::new();
    event
        .uid(&one_line(&format!("{}:{}@denwright", entry.key, feed.kennel_id)))
        .timestamp(now)
        // The library escapes U+000A and lets other line ends through.
        .summary(&several_lines(&entry.title))
        .starts(entry.from)
        .ends(after)
        .categories([category(entry.kind).to_string()])
        .add_property("TRANSP", "TRANSPARENT");
    if !entry.detail.is_empty() {
        event.description(&several_lines(&entry.detail));
    }
    if let Some(at) = entry.rings.filter(|_| feed.alarms) {
        // From the midnight that the first day begins with, on the reader's clock.
        let trigger = match at {
            at if at < Duration::zero() => Trigger::before_start(-at),
            at => Trigger::after_start(at),
        };
        event.alarm(Alarm::display(&one_line(&entry.title), trigger));
    }
    event.done()
}

#[cfg(test)]
mod tests;
