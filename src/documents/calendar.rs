//! The kennel's calendar as an iCalendar feed (RFC 5545).
//!
//! Everything in it is a day or a span of days on the kennel's own calendar, so its times are
//! DATEs: they mean the same day wherever the reader is, through any change of clocks. An event's
//! UID is made of the kennel and what the event is about, so that a moved window moves the event
//! instead of adding one.

use chrono::{DateTime, Days, NaiveDate, Utc};
use domain::{
    planner::{KennelPlan, PlannedLitter, PlannerPerson},
    tasks::TaskLine,
    text::{one_line, several_lines},
};
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
        .append_property(("X-WR-CALNAME", one_line(feed.name).as_str()))
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

/// A task that is done, or of no more use, need not be looked at any more.
fn shown(task: &TaskLine) -> bool {
    task.status.is_to_do()
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
        .uid(&one_line(&format!("{key}:{kennel_id}@denwright")))
        .timestamp(now)
        // The library escapes U+000A and lets other line ends through.
        .summary(&several_lines(title))
        .starts(from)
        .ends(after)
        .add_property("TRANSP", "TRANSPARENT");
    if !detail.is_empty() {
        event.description(&several_lines(detail));
    }
    event.done()
}

#[cfg(test)]
mod tests {
    use super::*;
    use domain::planner::DateSpan;
    use domain::tasks::{DaysAhead, GeneratedTask, TaskMark, TaskOrigin, Turn, task_list};

    fn day(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    fn span(from: &str, to: &str) -> DateSpan {
        DateSpan { from: day(from), to: day(to) }
    }

    fn plan() -> KennelPlan {
        let litter = PlannedLitter {
            key: "litter:1".into(),
            dam_id: Uuid::from_u128(2),
            name: "Müller; \\ litter, the \u{201c}F\u{201d} one with a name so long that its line is folded".into(),
            draft: false,
            chance_of_litter: 0.9,
            birth: span("2026-03-28", "2026-03-31"),
            likely: day("2026-03-29"),
            coverage: 0.95,
            place_needed: span("2026-03-20", "2026-05-30"),
            place_id: None,
            critical: span("2026-03-27", "2026-04-14"),
            birth_hands: 2,
            go_home: span("2026-05-23", "2026-06-02"),
            pups_mean: None,
            pups_range: None,
        };
        KennelPlan {
            span: span("2026-01-01", "2026-12-31"),
            heats: Vec::new(),
            litters: vec![litter],
            clashes: Vec::new(),
            demand: Vec::new(),
        }
    }

    /// Two tasks, the second of them ticked.
    fn tasks() -> Vec<TaskLine> {
        let task = |key: &str| {
            let made = (TaskOrigin::Own, Turn::Own);
            let title = "Line one\nline two".to_owned();
            GeneratedTask::new(key.into(), made, title, day("2026-10-25"), "test".into())
        };
        let done = TaskMark {
            done_at: Some("2026-02-28T12:00:00Z".parse().unwrap()),
            ..TaskMark::default()
        };
        let marks = [("own:2".to_owned(), (1, done))].into();
        let ahead = DaysAhead::try_from(14).unwrap();
        task_list(vec![task("own:1"), task("own:2")], &marks, day("2026-03-01"), ahead)
    }

    fn text() -> String {
        let made = Feed {
            kennel_id: Uuid::from_u128(9),
            name: "Larkfell, Kennel",
            time_zone: "Europe/Berlin",
            plan: &plan(),
            tasks: &tasks(),
            people: &[],
        };
        feed(&made, "2026-03-01T12:00:00Z".parse().unwrap())
    }

    /// Read back by an independent parser (the `ical` crate), which unfolds lines.
    #[test]
    fn an_independent_parser_reads_days_and_stable_ids() {
        let text = text();
        assert!(text.lines().all(|line| line.len() <= 75), "a line is longer than 75 octets");
        let calendar = ical::IcalParser::new(text.as_bytes()).next().unwrap().unwrap();
        let property = |name: &str| {
            calendar.properties.iter().find(|p| p.name == name).and_then(|p| p.value.clone())
        };
        assert_eq!(property("VERSION").as_deref(), Some("2.0"));
        assert!(property("PRODID").is_some());
        assert_eq!(calendar.events.len(), 3);
        let birth = &calendar.events[0];
        let value = |name: &str| {
            let found = birth.properties.iter().find(|p| p.name == name);
            found.and_then(|p| p.value.clone()).unwrap_or_default()
        };
        let id = Uuid::from_u128(9);
        assert_eq!(value("UID"), format!("litter:1:birth:{id}@denwright"));
        // The clocks change on 29 March in Berlin: a DATE does not mind. DTEND is exclusive.
        assert_eq!((value("DTSTART"), value("DTEND")), ("20260328".into(), "20260401".into()));
        let start = birth.properties.iter().find(|p| p.name == "DTSTART").unwrap();
        assert_eq!(
            start.params.as_ref().unwrap()[0],
            ("VALUE".to_owned(), vec!["DATE".to_owned()])
        );
        assert_eq!(value("DTSTAMP"), "20260301T120000Z");
        assert!(value("SUMMARY").starts_with(r"Müller\; \\ litter\, the"), "{}", value("SUMMARY"));
    }

    /// Names and titles from before control characters were refused, and whatever else a text may be.
    #[test]
    fn no_text_makes_lines_of_its_own() {
        let texts = [
            "x\rEND:VEVENT\rBEGIN:VEVENT\rSUMMARY:forged",
            "x\nEND:VEVENT\nBEGIN:VEVENT",
            "x\r\nATTACH:https://evil.example/",
            "x\u{2028}y\u{85}z\u{b}\u{c}\u{0}\u{202e}",
            "\\nX;Y,Z:\"quoted\"\\",
            "\u{1f415}\r".repeat(60).as_str(),
        ]
        .map(str::to_owned);
        for hostile in texts {
            let mut plan = plan();
            plan.litters[0].name.clone_from(&hostile);
            plan.litters[0].key.clone_from(&hostile);
            let mut tasks = tasks();
            tasks.retain(|task| task.key == "own:1");
            tasks[0].title.clone_from(&hostile);
            tasks[0].source.clone_from(&hostile);
            tasks[0].key.clone_from(&hostile);
            let made = Feed {
                kennel_id: Uuid::from_u128(9),
                name: &hostile,
                time_zone: "Europe/Berlin",
                plan: &plan,
                tasks: &tasks,
                people: &[],
            };
            let text = feed(&made, "2026-03-01T12:00:00Z".parse().unwrap());
            let ends = text.matches("\r\n").count();
            let controls = text.chars().filter(|c| c.is_control()).count();
            assert_eq!(controls, 2 * ends, "{text:?}");
            assert!(text.split("\r\n").all(|line| line.len() <= 75), "{text:?}");
            let mut calendars = ical::IcalParser::new(text.as_bytes());
            let calendar = calendars.next().unwrap().unwrap();
            assert!(calendars.next().is_none());
            // Birth, going home and the task; each with the properties of its kind, once.
            assert_eq!(calendar.events.len(), 3);
            for event in &calendar.events {
                let mut names: Vec<&str> =
                    event.properties.iter().map(|property| property.name.as_str()).collect();
                names.sort_unstable();
                names.retain(|name| *name != "DESCRIPTION");
                assert_eq!(names, ["DTEND", "DTSTAMP", "DTSTART", "SUMMARY", "TRANSP", "UID"]);
            }
        }
    }

    #[test]
    fn a_task_that_is_done_is_left_out() {
        let text = text();
        assert!(text.contains("UID:own:1:") && !text.contains("UID:own:2:"));
        assert!(text.contains(r"SUMMARY:Line one\nline two"));
    }
}
