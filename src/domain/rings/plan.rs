//! Who is rung of a turn, by which way and when.

use super::{Turn, clock::shown_on};
use crate::{
    advice::Level,
    alarms::Alarm,
    record::{QuietHours, RingChoices, RingWay},
};
use chrono::{DateTime, Days, Duration, Utc};
use chrono_tz::Tz;
use uuid::Uuid;

/// A member who wants to be rung.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Listener {
    /// Their membership.
    pub membership_id: Uuid,
    /// What they chose.
    pub choices: RingChoices,
    /// Whether they are on duty now.
    pub on_duty: bool,
}

impl Listener {
    /// Whether they want to hear of such an alarm.
    fn wants(&self, alarm: &Alarm) -> bool {
        let RingChoices { ways, level, kinds, litter_ids, .. } = &self.choices;
        !ways.is_empty()
            && alarm.level >= *level
            && (kinds.is_empty() || kinds.iter().any(|kind| kind == alarm.code.family()))
            && (litter_ids.is_empty()
                || alarm.about.litter_id.is_some_and(|id| litter_ids.contains(&id)))
    }
}

/// A ring as it is planned.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PlannedRing {
    /// Whom it reaches.
    pub membership_id: Uuid,
    /// By which way.
    pub way: RingWay,
    /// When.
    pub due_at: DateTime<Utc>,
}

/// The rings of a turn: none when the alarm was seen or is over.
///
/// When somebody who wants to hear of it is on duty, they are rung at once and each other one after the minutes
/// that they chose; else all are rung at once. Quiet hours (in the kennel's time zone) put a ring off to their
/// end, an emergency's only where that was asked for.
pub fn plan(
    turn: &Turn<'_>,
    listeners: &[Listener],
    now: DateTime<Utc>,
    zone: Tz,
) -> Vec<PlannedRing> {
    let Some(alarm) = turn.alarm.filter(|_| !turn.told.seen && !turn.told.over) else {
        return Vec::new();
    };
    let wanted: Vec<&Listener> = listeners.iter().filter(|one| one.wants(alarm)).collect();
    let is_watched = wanted.iter().any(|one| one.on_duty);
    let mut rings = Vec::new();
    for one in wanted {
        let wait = if one.on_duty || !is_watched { Some(0) } else { one.choices.unseen_minutes };
        let Some(minutes) = wait else { continue };
        let at = now + Duration::minutes(minutes.into());
        let quiet = one.choices.quiet.as_ref();
        let quiet = quiet.filter(|quiet| alarm.level < Level::Emergency || quiet.emergencies);
        let due_at = quiet.map_or(at, |quiet| after_quiet(at, quiet, zone));
        let ways = one.choices.ways.iter();
        rings.extend(ways.map(|way| PlannedRing {
            membership_id: one.membership_id,
            way: *way,
            due_at,
        }));
    }
    rings
}

/// The time itself, or the end of the quiet hours that it falls into.
pub(super) fn after_quiet(at: DateTime<Utc>, quiet: &QuietHours, zone: Tz) -> DateTime<Utc> {
    let Some((begin, end)) = quiet.span() else { return at };
    let local = at.with_timezone(&zone).naive_local();
    let (day, time) = (local.date(), local.time());
    let over_midnight = begin > end;
    let is_quiet = match over_midnight {
        true => time >= begin || time < end,
        false => begin <= time && time < end,
    };
    if !is_quiet {
        return at;
    }
    let ends_tomorrow = over_midnight && time >= begin;
    let last = if ends_tomorrow { day.checked_add_days(Days::new(1)).unwrap_or(day) } else { day };
    shown_on(last, end, zone).map_or(at, |ends| ends.max(at))
}

/// The longest time between two looks: what the clock alone ends is seen by then.
const LONGEST: Duration = Duration::minutes(15);
/// A limit whose moment has just come, and that does not show yet, is looked at again so soon.
const SHORTEST: Duration = Duration::seconds(1);
/// For how long after its moment a limit is waited for.
const WAITED_FOR: Duration = Duration::minutes(1);

/// When to look at a kennel again, should nothing be written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NextLook {
    /// When.
    pub at: DateTime<Utc>,
    /// Whether nothing is known to happen then.
    pub routine: bool,
}

impl NextLook {
    /// After the longest time between two looks.
    pub fn in_turn(now: DateTime<Utc>) -> Self {
        Self { at: now + LONGEST, routine: true }
    }

    /// The same, or at this moment where that is sooner.
    #[must_use]
    pub fn or_at(self, at: DateTime<Utc>) -> Self {
        if at <= self.at { Self { at, routine: false } } else { self }
    }

    /// The same, or at the next limit that the clock alone will reach.
    #[must_use]
    pub fn or_at_limit<'a>(
        self,
        alarms: impl IntoIterator<Item = &'a Alarm>,
        now: DateTime<Utc>,
    ) -> Self {
        let limits = alarms.into_iter().filter_map(|alarm| alarm.next_limit_at);
        let limits = limits.filter(|at| *at > now - WAITED_FOR).map(|at| at.max(now + SHORTEST));
        limits.min().map_or(self, |at| self.or_at(at))
    }
}
