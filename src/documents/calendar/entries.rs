//! What stands in the calendar, and on which day.
//!
//! What may come on one of many days stands on the likely one, and tells the others: bars over weeks bury a
//! calendar. Chores stand together, one event a day.

use super::Feed;
use crate::dates::day as words;
use catalogue::{Text, figure, said};
use chrono::{Days, Duration, NaiveDate};
use domain::{
    planner::{DateSpan, PlannedHeat, PlannedLitter, PlannerPerson},
    record::CalendarKind,
    tasks::{TaskLine, TaskOrigin},
};
use std::collections::BTreeMap;

/// Longest event, in days.
const LONGEST: u64 = 14;
/// Hour of the eve at which rings what is prepared for, and of the day at which rings what is to be done.
const EVE_AT: i64 = 9 - 24;
const DAY_AT: i64 = 8;

/// One event.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Entry {
    /// What it is about: its UID without the kennel.
    pub(super) key: String,
    pub(super) kind: CalendarKind,
    pub(super) from: NaiveDate,
    /// Last day.
    pub(super) to: NaiveDate,
    pub(super) title: String,
    pub(super) detail: String,
    /// When it rings, counted from the beginning of its first day.
    pub(super) rings: Option<Duration>,
}

impl Entry {
    fn on(
        kind: CalendarKind,
        key: String,
        day: NaiveDate,
        title: impl ToString,
        detail: impl ToString,
    ) -> Self {
        let hour = match kind {
            CalendarKind::Health | CalendarKind::Chores => Some(DAY_AT),
            CalendarKind::Absences => None,
            _ => Some(EVE_AT),
        };
        let rings = hour.map(Duration::hours);
        let (title, detail) = (title.to_string(), detail.to_string());
        Self { key, kind, from: day, to: day, title, detail, rings }
    }
}

/// The events of the kinds that are wanted, within the span of the plan.
pub(super) fn entries(feed: &Feed<'_>) -> Vec<Entry> {
    let plan = feed.plan;
    let mut all: Vec<Entry> = Vec::new();
    // Later heats are too far off for a day; the planner tells them.
    all.extend(plan.heats.iter().filter(|heat| heat.number == 1).map(heat_entry));
    for litter in &plan.litters {
        all.push(birth(litter));
        all.push(going_home(litter));
    }
    all.extend(tasks(feed.tasks));
    all.extend(feed.people.iter().flat_map(absences));
    let wanted = |kind| feed.kinds.is_empty() || feed.kinds.contains(&kind);
    let DateSpan { from, to } = plan.span;
    all.retain(|entry| wanted(entry.kind) && entry.from <= to && from <= entry.to);
    all
}

fn heat_entry(heat: &PlannedHeat) -> Entry {
    let key = heat.key.clone();
    let title = said!("print-feed-heat", dam = &heat.name);
    let detail = said!(
        "print-feed-heat-window",
        likely = words(heat.likely),
        share = figure(100.0 * heat.coverage, 0),
        from = words(heat.earliest),
        to = words(heat.latest)
    );
    Entry::on(CalendarKind::Heats, key, heat.likely, title, detail)
}

fn birth(litter: &PlannedLitter) -> Entry {
    let (key, name) = (format!("{}:birth", litter.key), &litter.name);
    let on = |title: Text, detail: Text| {
        Entry::on(CalendarKind::Whelping, key, litter.likely, title, detail)
    };
    if is_born(litter) {
        let born = on(said!("print-feed-born", litter = name), Text::default());
        return Entry { rings: None, ..born };
    }
    let detail = said!(
        "print-feed-due-window",
        likely = words(litter.likely),
        share = figure(100.0 * litter.coverage, 0),
        from = words(litter.birth.from),
        to = words(litter.birth.to),
        chance = figure(100.0 * litter.chance_of_litter, 0)
    );
    let due = on(said!("print-feed-due", litter = name), detail);
    // On the eve of the first day, not of the likely one.
    let ahead = litter.birth.from - litter.likely;
    Entry { rings: due.rings.map(|at| at + ahead), ..due }
}

fn is_born(litter: &PlannedLitter) -> bool {
    litter.birth.from == litter.birth.to && litter.chance_of_litter >= 1.0
}

fn going_home(litter: &PlannedLitter) -> Entry {
    let key = format!("{}:go_home", litter.key);
    let DateSpan { from, to } = litter.go_home;
    let likely = from + (litter.likely - litter.birth.from);
    let title = said!("print-feed-may-go", litter = &litter.name);
    let detail = if is_born(litter) {
        said!("print-feed-go-window", from = words(from), to = words(to))
    } else {
        said!("print-feed-go-likely", from = words(likely), to = words(to))
    };
    Entry::on(CalendarKind::GoHome, key, likely, title, detail)
}

fn kind_of(origin: TaskOrigin) -> CalendarKind {
    match origin {
        TaskOrigin::Cycle => CalendarKind::Heats,
        TaskOrigin::Health => CalendarKind::Health,
        TaskOrigin::GoHome => CalendarKind::GoHome,
        TaskOrigin::Preparation | TaskOrigin::Growth | TaskOrigin::Own => CalendarKind::Chores,
    }
}

/// What is still to be done: doses, tests and calls each by itself, chores by the day.
fn tasks(tasks: &[TaskLine]) -> Vec<Entry> {
    let mut chores: BTreeMap<NaiveDate, Vec<&TaskLine>> = BTreeMap::new();
    let mut all = Vec::new();
    for task in tasks.iter().filter(|task| task.status.is_to_do()) {
        let day = task.snoozed_until.unwrap_or(task.due_on).max(task.due_on);
        match kind_of(task.origin) {
            CalendarKind::Chores => chores.entry(day).or_default().push(task),
            kind => {
                let key = task.key.clone();
                all.push(Entry::on(kind, key, day, &task.title, detail_of(task)));
            }
        }
    }
    all.extend(chores.into_iter().filter_map(|(day, tasks)| chores_of(day, &tasks)));
    all
}

fn detail_of(task: &TaskLine) -> Text {
    match &task.snooze_reason {
        Some(why) => said!("print-feed-put-off", why = why, source = &task.source),
        None => said!("print-feed-source", source = &task.source),
    }
}

fn chores_of(day: NaiveDate, tasks: &[&TaskLine]) -> Option<Entry> {
    let (first, rest) = tasks.split_first()?;
    let (title, detail) = match rest.len() {
        0 => (first.title.to_string(), detail_of(first).to_string()),
        more => {
            let all: Vec<String> = tasks.iter().map(|task| format!("– {}", task.title)).collect();
            let title = said!("print-feed-chores-more", first = &first.title, more = more);
            (title.to_string(), all.join("\n"))
        }
    };
    Some(Entry::on(CalendarKind::Chores, format!("chores:{day}"), day, title, detail))
}

/// The days on which somebody is away: as one event, or the first and the last of many.
fn absences(person: &PlannerPerson) -> Vec<Entry> {
    let mut all = Vec::new();
    for away in &person.away {
        let key = format!("away:{}:{}", person.id, away.from);
        let on = |key: &str, day, title: Text| {
            let detail =
                said!("print-feed-away-days", from = words(away.from), to = words(away.to));
            Entry::on(CalendarKind::Absences, key.to_owned(), day, title, detail)
        };
        let name = &person.name;
        if away.to < away.from + Days::new(LONGEST) {
            all.push(Entry {
                to: away.to,
                ..on(&key, away.from, said!("print-feed-away", person = name))
            });
            continue;
        }
        let until = said!("print-feed-away-until", person = name, until = words(away.to));
        all.push(on(&key, away.from, until));
        let last = said!("print-feed-away-last", person = name);
        all.push(on(&format!("{key}:last"), away.to, last));
    }
    all
}
