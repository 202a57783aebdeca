//! What has become of each alarm since somebody was told of it.

use crate::{advice::Level, alarms::Alarm, record::words::words};
use std::collections::{BTreeMap, BTreeSet};
use uuid::Uuid;

words! {
    /// What has become of an alarm.
    TurnKind {
        /// It is new.
        Raised = "raised",
        /// It has become graver, or calls anew after it was seen.
        Worse = "worse",
        /// Somebody has seen it.
        Seen = "seen",
        /// Its cause is over.
        Over = "over",
    }
}

/// An alarm as it was told last.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Told {
    /// Its id.
    pub alarm_id: Uuid,
    /// How grave it was.
    pub level: Level,
    /// How often it was raised or became graver.
    pub turn: i32,
    /// Whether it was marked as seen.
    pub seen: bool,
    /// Whether it was over.
    pub over: bool,
}

/// A change of an alarm that somebody is to be told.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Turn<'a> {
    /// What has become of it.
    pub kind: TurnKind,
    /// How it stands now.
    pub told: Told,
    /// The alarm; null when it is over.
    pub alarm: Option<&'a Alarm>,
}

/// What is new about the alarms, and how each that differs stands now.
///
/// Who listens for the first time is told of what comes from then on: `first` takes note of all that is there,
/// and gives no turns. A level that falls is noted without a turn, so that its next rise is one.
pub fn turns<'a>(told: &[Told], alarms: &'a [Alarm], first: bool) -> (Vec<Turn<'a>>, Vec<Told>) {
    let before: BTreeMap<Uuid, &Told> = told.iter().map(|told| (told.alarm_id, told)).collect();
    let (mut found, mut states) = (Vec::new(), Vec::new());
    for alarm in alarms {
        let last = before.get(&alarm.id).copied();
        let kind = turned(last, alarm);
        let rises = matches!(kind, Some(TurnKind::Raised | TurnKind::Worse));
        let now = Told {
            alarm_id: alarm.id,
            level: alarm.level,
            turn: last.map_or(0, |last| last.turn) + i32::from(rises),
            seen: alarm.seen.is_some(),
            over: false,
        };
        if last != Some(&now) {
            states.push(now);
        }
        found.extend(kind.map(|kind| Turn { kind, told: now, alarm: Some(alarm) }));
    }
    let here: BTreeSet<Uuid> = alarms.iter().map(|alarm| alarm.id).collect();
    for last in told.iter().filter(|told| !told.over && !here.contains(&told.alarm_id)) {
        let over = Told { over: true, ..*last };
        states.push(over);
        found.push(Turn { kind: TurnKind::Over, told: over, alarm: None });
    }
    if first {
        found.clear();
    }
    (found, states)
}

fn turned(last: Option<&Told>, alarm: &Alarm) -> Option<TurnKind> {
    let Some(last) = last.filter(|last| !last.over) else { return Some(TurnKind::Raised) };
    let seen = alarm.seen.is_some();
    // A mark ends when something as grave has come to it since.
    if alarm.level > last.level || (last.seen && !seen && alarm.level >= last.level) {
        Some(TurnKind::Worse)
    } else if seen && !last.seen {
        Some(TurnKind::Seen)
    } else {
        None
    }
}
