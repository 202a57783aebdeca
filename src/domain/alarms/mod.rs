//! One list of all that calls for a person's attention.
//!
//! Each file knows one kind of alarm and what of the record it needs; [`list`] puts them together.
//! What other answers say of the same animals is taken from here, so that none can disagree. Four
//! laws hold for all of them:
//!
//! - *One cause is one alarm*: what is found is gathered by its cause, and the gravest speaks for all.
//! - *Nothing that only looks like an end silences*: a count that is reached, a log that is closed, a
//!   reading back to normal. The record ends an alarm, or the time in which it can be true.
//! - *Not written down is unknown, not wrong*: it may ask, it does not ring.
//! - *What the clock alone will bring is there before*, as a note that says when.

pub(crate) mod dam;
pub mod feeding;
pub(crate) mod go_home;
pub mod growth;
pub mod health;
pub(crate) mod newborn;
pub(crate) mod overdue;
mod record;
mod sights;
pub mod whelping;
pub(crate) mod womb;

#[cfg(test)]
mod healthy;
#[cfg(test)]
pub(crate) mod healthy_litter;
#[cfg(test)]
pub(crate) mod limits_tests;
#[cfg(test)]
mod never_silent;
#[cfg(test)]
pub(crate) mod night_limits_tests;
#[cfg(test)]
mod pup_cases_tests;
#[cfg(test)]
pub(crate) mod span_limits_tests;

#[cfg(test)]
pub(crate) use record::of_night_in_full;
pub(crate) use record::{
    NewbornFacts, PupCheckFact, newborn_facts, of_feeding, of_home, of_night, records_here,
    told_of_record,
};
pub use record::{Watched, WatchedLitter, list, look_at};
pub use sights::{Sight, Sights};

use crate::advice::{AlarmShown, Caution, CautionCode, Level, Params};
#[cfg(test)]
use crate::agreement::dice;
use catalogue::Text;
use chrono::{DateTime, SubsecRound as _, Utc};
use serde::{Deserialize, Serialize};
use sha2::{Digest as _, Sha256};
use std::{borrow::Borrow, cmp::Reverse};
use utoipa::ToSchema;
use uuid::Uuid;

/// The cause of all that its weights, its temperature and a look at it say of one pup.
pub(crate) const PUP: &str = "pup";

/// Whom an alarm is about.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct AlarmAbout {
    /// The litter; null for a dog of none.
    pub litter_id: Option<Uuid>,
    /// The dog; null when it is about the litter as a whole.
    pub dog_id: Option<Uuid>,
    /// What people call it.
    #[schema(value_type = String, example = "white collar")]
    pub label: Text,
}

/// That a person has seen an alarm.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct AlarmSeen {
    /// When.
    #[serde(rename = "seen_at")]
    pub at: DateTime<Utc>,
    /// Who; null when the login is gone.
    pub person_id: Option<Uuid>,
    /// Their name.
    #[schema(example = "Maren Holt")]
    pub name: Option<String>,
    /// What they wrote.
    #[schema(example = "warmed, fed by hand, weigh again at noon")]
    pub note: Option<String>,
}

/// Something that calls for a person's attention.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct Alarm {
    /// The same as long as its cause lasts.
    pub id: Uuid,
    /// What kind of thing it is: a word that stays.
    pub code: CautionCode,
    /// How soon to act.
    pub level: Level,
    /// Whom it is about.
    pub about: AlarmAbout,
    /// What is the case and what to do, in one plain sentence.
    #[schema(value_type = String, example = "Call the vet now: she strains hard and no pup has come.")]
    pub what: Text,
    /// The figures behind it.
    #[schema(value_type = String, example = "25 min so far; the limit is 20 minutes.")]
    pub why: Text,
    /// Where the threshold comes from.
    pub source: String,
    /// Since when it is so: of several grounds as grave as this one, the last.
    pub since: DateTime<Utc>,
    /// When the clock alone will make it graver; null when it will not.
    pub next_limit_at: Option<DateTime<Utc>>,
    /// The figures by name, for translation; units stand in the names.
    #[schema(value_type = Object, example = json!({"minutes": 25, "limit_minutes": 20.0}))]
    pub params: Params,
    /// All that it rests on, the gravest first.
    pub grounds: Vec<Caution>,
    /// Who has seen it; null when nobody has, or when it has become graver since.
    pub seen: Option<AlarmSeen>,
}

impl Alarm {
    /// The alarm as other answers show it.
    pub fn caution(&self) -> Caution {
        Caution {
            code: self.code,
            level: self.level,
            what: self.what.clone(),
            why: self.why.clone(),
            source: self.source.clone(),
            params: self.params.clone(),
            alarm: Some(AlarmShown { id: self.id, seen: self.seen.clone() }),
        }
    }

    /// Whether it is about the pregnancy or the night: what the status of a whelping shows.
    pub fn is_of_night(&self) -> bool {
        matches!(self.code.family(), "whelping" | "overdue" | "dating" | "pregnancy")
    }

    /// Whether it is about a dam's heat or the weeks after it, which no litter has.
    pub fn is_of_heat(&self) -> bool {
        self.code.family() == "heat"
    }

    /// Whether it rests on the dam's temperature before the birth.
    pub fn is_of_temperature(&self) -> bool {
        use CautionCode::{
            FeverBeforeBirth, LabourNear, OverdueNoFall, OverdueTemperatureFell, TemperatureUntaken,
        };
        matches!(
            self.code,
            FeverBeforeBirth
                | LabourNear
                | OverdueNoFall
                | OverdueTemperatureFell
                | TemperatureUntaken
        )
    }

    /// Whether it is about the dam after a whelping.
    pub fn is_of_dam(&self) -> bool {
        self.code.family() == "dam"
    }

    /// Whether it is about how a pup, or the litter, thrives: what the questions of growth show.
    pub fn is_of_growth(&self) -> bool {
        matches!(self.code.family(), "growth" | "newborn")
    }

    /// Whether it is about what was given to a dog: what its schedule shows.
    pub(crate) fn is_of_doses(&self) -> bool {
        self.code.family() == "health"
    }

    /// Marks it as seen, unless it has become graver since: at a higher level than was seen, or by
    /// something that asks for as much and began later.
    pub fn mark_seen(&mut self, level: Level, seen: AlarmSeen) {
        if self.level <= level && self.since <= seen.at {
            self.seen = Some(seen);
        }
    }
}

/// The cautions of alarms, in their order, as other answers show them.
pub(crate) fn cautions(alarms: &[Alarm]) -> Vec<Caution> {
    alarms.iter().map(Alarm::caution).collect()
}

/// What was found, before it is gathered by its cause.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// The cause: what is found of one animal for one cause is one alarm.
    pub cause: &'static str,
    /// When the cause began; with it the alarm's id.
    pub began: DateTime<Utc>,
    /// What is said.
    pub caution: Caution,
    /// Since when this is so.
    pub since: DateTime<Utc>,
    /// When the clock alone will make it graver.
    pub next_limit_at: Option<DateTime<Utc>>,
}

impl Finding {
    /// A finding whose cause began with it and that time does not change.
    pub fn new(cause: &'static str, since: DateTime<Utc>, caution: Caution) -> Self {
        Self { cause, began: since, caution, since, next_limit_at: None }
    }

    /// The same, of a cause that began earlier.
    pub(crate) fn began(self, began: DateTime<Utc>) -> Self {
        Self { began, ..self }
    }

    /// The same, with the time at which it becomes graver by itself.
    pub(crate) fn until(self, next_limit_at: Option<DateTime<Utc>>) -> Self {
        Self { next_limit_at, ..self }
    }
}

/// Gathers findings about one animal by their causes, the gravest alarm first.
pub fn gather(about: &AlarmAbout, mut findings: Vec<Finding>) -> Vec<Alarm> {
    findings.sort_by_key(|found| Reverse(found.caution.level));
    let mut causes: Vec<Vec<Finding>> = Vec::new();
    for found in findings {
        match causes.iter_mut().find(|cause| cause[0].cause == found.cause) {
            Some(cause) => cause.push(found),
            None => causes.push(vec![found]),
        }
    }
    let mut alarms: Vec<Alarm> = causes.into_iter().map(|cause| alarm(about, cause)).collect();
    in_order(&mut alarms);
    alarms
}

/// Puts alarms in order: the gravest first, then the one that has lasted longest.
pub(crate) fn in_order(alarms: &mut [impl Borrow<Alarm>]) {
    alarms.sort_by_key(|alarm| {
        let alarm = alarm.borrow();
        let about = (alarm.about.litter_id, alarm.about.dog_id);
        (Reverse(alarm.level), alarm.since, about, alarm.id)
    });
}

/// One alarm of all that was found for one cause, the gravest first.
fn alarm(about: &AlarmAbout, findings: Vec<Finding>) -> Alarm {
    let head = &findings[0];
    let level = head.caution.level;
    let began = findings.iter().map(|found| found.began).min().unwrap_or(head.began);
    let as_loud = || findings.iter().filter(|found| found.caution.level == level);
    let also: Vec<&Text> = findings[1..]
        .iter()
        .filter(|found| found.caution.level >= Level::Act)
        .map(|found| &found.caution.why)
        .collect();
    let mut reasons = vec![&head.caution.why];
    for more in also {
        if !reasons.contains(&more) {
            reasons.push(more);
        }
    }
    let why = Text::sentences(reasons.into_iter().cloned());
    Alarm {
        id: id_of(head.cause, about, began),
        code: head.caution.code,
        level,
        about: about.clone(),
        what: head.caution.what.clone(),
        why,
        source: head.caution.source.clone(),
        since: as_loud().map(|found| found.since).max().unwrap_or(head.since),
        next_limit_at: findings.iter().filter_map(|found| found.next_limit_at).min(),
        params: head.caution.params.clone(),
        grounds: findings.iter().map(|found| found.caution.clone()).collect(),
        seen: None,
    }
}

/// The id of an alarm: a UUID of version 8 (RFC 9562) over the cause, whom it is about and when the
/// cause began, to the second.
fn id_of(cause: &str, about: &AlarmAbout, began: DateTime<Utc>) -> Uuid {
    let mut hash = Sha256::new();
    hash.update(cause);
    for id in [about.litter_id, about.dog_id] {
        hash.update(id.unwrap_or_default().as_bytes());
    }
    hash.update(began.trunc_subsecs(0).timestamp().to_be_bytes());
    let mut bytes = [0; 16];
    bytes.copy_from_slice(&hash.finalize()[..16]);
    uuid::Builder::from_custom_bytes(bytes).into_uuid()
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::Duration;

    fn at(hour: i64) -> DateTime<Utc> {
        "2026-03-01T00:00:00Z".parse::<DateTime<Utc>>().unwrap() + Duration::hours(hour)
    }

    fn about() -> AlarmAbout {
        AlarmAbout { litter_id: Some(Uuid::from_u128(7)), dog_id: None, label: "K".into() }
    }

    fn found(level: Level, since: i64, why: &str) -> Finding {
        let caution = Caution::new(CautionCode::Straining, level, "what", why, "source");
        Finding::new("no_pup", at(since), caution).began(at(0))
    }

    #[test]
    fn one_cause_is_one_alarm_at_its_gravest() {
        let findings = vec![
            found(Level::Note, 1, "a"),
            found(Level::Emergency, 2, "b").until(Some(at(9))),
            found(Level::Act, 3, "c").until(Some(at(8))),
        ];
        let alarms = gather(&about(), findings);
        let [one] = alarms.as_slice() else { panic!("{alarms:?}") };
        assert_eq!(
            (one.level, one.why.to_string().as_str(), one.since),
            (Level::Emergency, "b c", at(2))
        );
        assert_eq!((one.grounds.len(), one.next_limit_at), (3, Some(at(8))));
    }

    #[test]
    fn the_id_stays_while_the_cause_lasts() {
        let id = |findings| gather(&about(), findings)[0].id;
        let first = id(vec![found(Level::Note, 1, "a")]);
        assert_eq!(first, id(vec![found(Level::Emergency, 5, "b"), found(Level::Note, 1, "a")]));
        let again = found(Level::Note, 1, "a").began(at(1));
        assert_ne!(first, id(vec![again]), "it began anew");
        let other = AlarmAbout { litter_id: Some(Uuid::from_u128(8)), ..about() };
        assert_ne!(first, gather(&other, vec![found(Level::Note, 1, "a")])[0].id);
    }

    #[test]
    fn an_alarm_is_of_the_night_the_dam_or_a_pups_growth_by_its_code() {
        let of = |code| {
            let caution = Caution::new(code, Level::Act, "what", "why", "source");
            let alarm = &gather(&about(), vec![Finding::new("cause", at(0), caution)])[0];
            let of_night = (alarm.is_of_night(), alarm.is_of_temperature());
            (of_night, alarm.is_of_dam(), alarm.is_of_growth())
        };
        use CautionCode::*;
        for (codes, expected) in [
            ([Straining, GreenDischarge, TooEarly], ((true, false), false, false)),
            ([FeverBeforeBirth, LabourNear, OverdueNoFall], ((true, true), false, false)),
            (
                [OverdueTemperatureFell, TemperatureUntaken, LabourNear],
                ((true, true), false, false),
            ),
            ([OverduePregnancy, DatingDisagrees, PregnancyUnwell], ((true, false), false, false)),
            ([DamFever, DamGlands, DamEclampsia], ((false, false), true, false)),
            ([GrowthLosing, NewbornCold, NewbornUnfed], ((false, false), false, true)),
            ([FeedingLate, HealthNotCounted, FeedingStomach], ((false, false), false, false)),
        ] {
            for code in codes {
                assert_eq!(of(code), expected, "{code:?}");
            }
        }
    }

    #[test]
    fn a_graver_turn_is_not_seen_any_more() {
        let seen = |alarm: &Alarm, level, hour| {
            let mut alarm = alarm.clone();
            let by = AlarmSeen { at: at(hour), person_id: None, name: None, note: None };
            alarm.mark_seen(level, by);
            alarm.seen.is_some()
        };
        let act = &gather(&about(), vec![found(Level::Act, 2, "a")])[0];
        assert!(seen(act, Level::Act, 3) && seen(act, Level::Emergency, 3));
        assert!(!seen(act, Level::Note, 3), "it has become graver");
        let more = vec![found(Level::Act, 2, "a"), found(Level::Act, 4, "b")];
        assert!(!seen(&gather(&about(), more)[0], Level::Act, 3), "another thing has come to it");
    }
}
