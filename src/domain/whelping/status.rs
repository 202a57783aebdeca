//! Where it stands: stage, times, pups out against expected, and when to call.

use super::course::{Course, MayBeMore};
use super::limits::Running;
use super::log::WhelpingCase;
use crate::advice::{Caution, Level};
use crate::alarms::{Alarm, cautions};
use crate::expected_pups::PupForecast;
use crate::rules::{Rules, Status};
use catalogue::{Text, said};
use chrono::{DateTime, Utc};
use serde::Serialize;
use utoipa::ToSchema;

/// The stage of a whelping.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum WhelpingStage {
    /// No sign of labour yet.
    NotBegun,
    /// Signs of labour, no straining.
    First,
    /// Straining and pups.
    Second,
    /// All pups are out; placentas may still come.
    AllOut,
}

/// Whether to call.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum CallUrgency {
    /// No limit runs.
    NotNow,
    /// A limit runs and is not reached: `next_limit_at` says until when.
    Waiting,
    /// Ring the vet for advice.
    RingForAdvice,
    /// Call now.
    Now,
}

/// A limit that runs and where it comes from.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct WhelpingLimit {
    /// The rule, which a kennel may set otherwise.
    #[schema(example = "whelping.gap_hours")]
    pub rule: String,
    /// Since when it runs.
    pub since: DateTime<Utc>,
    /// When it is reached.
    pub reached_at: DateTime<Utc>,
    /// Whether it is.
    pub reached: bool,
    /// Its value.
    #[schema(example = 2.0)]
    pub value: f64,
    /// Its unit.
    #[schema(example = "hours")]
    pub unit: String,
    /// Where the value comes from; other sources are named where they differ.
    pub source: String,
    /// Whether it is published, a habit, or the kennel's own.
    #[serde(rename = "confirmation")]
    pub status: Status,
}

/// Where a whelping stands.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct WhelpingStatus {
    /// The moment it was looked at.
    #[serde(rename = "reckoned_at")]
    pub as_of: DateTime<Utc>,
    /// The stage, as far as the log tells.
    pub stage: WhelpingStage,
    /// When the stage began.
    pub stage_began_at: Option<DateTime<Utc>>,
    /// Minutes in the stage.
    #[schema(example = 95)]
    pub minutes_in_stage: Option<i64>,
    /// Minutes of strong straining since the last pup or rest.
    #[schema(example = 12)]
    pub straining_minutes: Option<i64>,
    /// Minutes since the last pup.
    #[schema(example = 48)]
    pub minutes_since_last_pup: Option<i64>,
    /// Pups out.
    #[schema(example = 5)]
    pub pups_out: u32,
    /// Of these alive at birth.
    #[schema(example = 5)]
    pub born_alive: u32,
    /// Of these stillborn.
    #[schema(example = 0)]
    pub stillborn: u32,
    /// Pups expected, as `expected-pups` tells it: by what is usual, counts and births. `null` once all
    /// are out, and while counts contradict one another.
    pub expected: Option<PupForecast>,
    /// Pups that must still come by what was counted for sure; `null` when nobody counted.
    #[schema(example = 1)]
    pub still_to_come_at_least: Option<u32>,
    /// Pups that may still come, at the upper end of what is expected.
    #[schema(example = 3)]
    pub still_to_come_at_most: Option<u32>,
    /// Placentas seen.
    #[schema(example = 4)]
    pub placentas_seen: u32,
    /// Pups out less placentas seen; dams eat placentas, so it is a hint.
    #[schema(example = 1)]
    pub placentas_missing: u32,
    /// Whether to call.
    pub call: CallUrgency,
    /// When to call, in one plain sentence.
    #[schema(
        value_type = String,
        example = "Call the vet at 04:35 if no pup has come by then (no pup since the last one)."
    )]
    pub when_to_call: Text,
    /// The next limit that will be reached.
    pub next_limit_at: Option<DateTime<Utc>>,
    /// The limits that run, the nearest first.
    pub limits: Vec<WhelpingLimit>,
    /// What to heed, the gravest first: the alarms about this litter and its dam until the last pup.
    pub cautions: Vec<Caution>,
    /// What was not known and would be needed.
    #[schema(value_type = Vec<String>)]
    pub lacks: Vec<Text>,
}

/// Where a whelping stands at `now`, from whatever was written down, and what `alarms` say of it.
///
/// Entries after `now` are left out; gaps in the log are no error. Limits are the table `whelping` of
/// the rules: the shortest published is the default, each limit answered names the value applied and its
/// source. Whether to call follows from the gravest alarm.
pub fn where_it_stands(
    case: &WhelpingCase,
    alarms: &[Alarm],
    now: DateTime<Utc>,
    rules: &Rules,
) -> WhelpingStatus {
    let course = Course::of(case, now, rules);
    let expected = case.expected.as_ref().filter(|_| !course.is_over());
    let births = || case.births.iter().filter(|birth| birth.born_at <= now);
    let out = births().count() as u32;
    let (stage, began) = course.stage();
    let running = course.running(rules);
    let next = alarms.iter().filter(|alarm| alarm.next_limit_at.is_some_and(|at| at > now));
    let next = next.min_by_key(|alarm| alarm.next_limit_at);
    let call = urgency(alarms, next);
    let minutes = |at: DateTime<Utc>| (now - at).num_minutes();
    let seen = course.placentas_seen();
    WhelpingStatus {
        as_of: now,
        stage,
        stage_began_at: began,
        minutes_in_stage: began.map(minutes),
        straining_minutes: course.straining_since(true).map(minutes),
        minutes_since_last_pup: births().map(|birth| birth.born_at).max().map(minutes),
        pups_out: out,
        born_alive: births().filter(|birth| birth.alive).count() as u32,
        stillborn: births().filter(|birth| !birth.alive).count() as u32,
        still_to_come_at_least: expected
            .and_then(|expected| Some(expected.counted_at_least?.saturating_sub(out))),
        still_to_come_at_most: expected.map(|expected| expected.at_most.saturating_sub(out)),
        expected: expected.cloned(),
        placentas_seen: seen,
        placentas_missing: out.saturating_sub(seen),
        call,
        when_to_call: sentence(alarms, next, call, stage),
        next_limit_at: next.and_then(|alarm| alarm.next_limit_at),
        limits: running
            .iter()
            .filter(|limit| limit.level > Level::Note)
            .map(|limit| shown(limit, now, rules))
            .collect(),
        cautions: cautions(alarms),
        lacks: lacks(case, &course),
    }
}

impl Course<'_> {
    /// The stage, and when it began. Straining shows that not all are out, whatever was written.
    pub(crate) fn stage(&self) -> (WhelpingStage, Option<DateTime<Utc>>) {
        if self.all_out() {
            let end = self.finished();
            return (WhelpingStage::AllOut, self.last_birth().or(end));
        }
        match (self.second_stage(), self.first_sign()) {
            (Some(at), _) => (WhelpingStage::Second, Some(at)),
            (None, Some(at)) => (WhelpingStage::First, Some(at)),
            (None, None) => (WhelpingStage::NotBegun, None),
        }
    }

    /// Whether all pups are out as far as the record tells: it was written, or as many are out as were
    /// counted, and she does not strain.
    pub(crate) fn all_out(&self) -> bool {
        let written = self.finished().is_some();
        let counted = self.may_be_more() == MayBeMore::Counted;
        (written || counted) && self.straining_since(true).is_none()
    }

    /// Placentas seen, with the pups and apart from them.
    pub(crate) fn placentas_seen(&self) -> u32 {
        let with_pups = self.births.iter().filter(|birth| birth.placenta_seen).count() as u32;
        let apart = self.events.iter().map(|(_, event)| match event {
            super::log::WhelpingEvent::Placentas { count } => *count,
            _ => 0,
        });
        with_pups.saturating_add(apart.sum())
    }
}

fn shown(limit: &Running, now: DateTime<Utc>, rules: &Rules) -> WhelpingLimit {
    let rule = rules.get(limit.rule);
    WhelpingLimit {
        rule: limit.rule.to_owned(),
        since: limit.since,
        reached_at: limit.until,
        reached: limit.until <= now,
        value: rule.value,
        unit: rule.unit.clone(),
        source: rule.source.clone(),
        status: rule.status,
    }
}

fn urgency(alarms: &[Alarm], next: Option<&Alarm>) -> CallUrgency {
    match alarms.iter().map(|alarm| alarm.level).max() {
        Some(Level::Emergency) => CallUrgency::Now,
        Some(Level::Act) => CallUrgency::RingForAdvice,
        _ if next.is_some() => CallUrgency::Waiting,
        _ => CallUrgency::NotNow,
    }
}

/// The head line: the gravest alarm, or the limit that is reached next.
fn sentence(
    alarms: &[Alarm],
    next: Option<&Alarm>,
    call: CallUrgency,
    stage: WhelpingStage,
) -> Text {
    let gravest = alarms.first().filter(|_| call >= CallUrgency::RingForAdvice);
    match gravest.or(next) {
        Some(alarm) => alarm.what.clone(),
        None if stage == WhelpingStage::NotBegun => {
            said!("whelping-nothing-yet")
        }
        None => said!("whelping-nothing-now"),
    }
}

fn lacks(case: &WhelpingCase, course: &Course) -> Vec<Text> {
    let mut lacks = Vec::new();
    if case.expected.as_ref().is_none_or(|expected| expected.counted_at_least.is_none()) {
        lacks.push(said!("whelping-lacks-count"));
    }
    if case.counted.is_none() && course.births.is_empty() {
        lacks.push(said!("whelping-lacks-day"));
    }
    if course.events.is_empty() && course.births.is_empty() {
        lacks.push(said!("whelping-lacks-log"));
    }
    lacks
}
