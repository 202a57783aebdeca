//! Where it stands: stage, times, pups out against expected, and when to call.

use super::limits::{Course, Running, span};
use super::log::{ExpectedPups, WhelpingCase, WhelpingEvent};
use crate::domain::advice::{Caution, Level};
use crate::domain::rules::{Rules, Status};
use chrono::{DateTime, Duration, Utc};
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
    pub status: Status,
}

/// Where a whelping stands.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct WhelpingStatus {
    /// The moment it was looked at.
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
    /// Pups expected; `null` when not counted.
    pub expected: Option<ExpectedPups>,
    /// Pups that must still come by the lowest count.
    #[schema(example = 1)]
    pub still_to_come_at_least: Option<u32>,
    /// Pups that may still come by the highest count.
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
        example = "Call the vet at 04:35 if no pup has come by then (no pup since the last one)."
    )]
    pub when_to_call: String,
    /// The next limit that will be reached.
    pub next_limit_at: Option<DateTime<Utc>>,
    /// The limits that run, the nearest first.
    pub limits: Vec<WhelpingLimit>,
    /// What to heed, the gravest first.
    pub cautions: Vec<Caution>,
    /// What was not known and would be needed.
    pub lacks: Vec<String>,
}

/// Where a whelping stands at `now`, from whatever was written down.
///
/// Entries after `now` are left out; gaps in the log are no error. Limits are the table `whelping` of
/// the rules: the shortest published is the default, each limit answered names the value applied and its
/// source.
pub fn where_it_stands(case: &WhelpingCase, now: DateTime<Utc>, rules: &Rules) -> WhelpingStatus {
    let course = Course::of(case, now);
    let out = course.births.len() as u32;
    let finished = course.finished();
    let all_expected = case.expected.is_some_and(|e| out >= e.at_most);
    let may_be_more = finished.is_none() && !all_expected;
    let (stage, began) = stage(&course, finished, all_expected);
    let mut running =
        if finished.is_some() { Vec::new() } else { course.running(may_be_more, rules) };
    running.sort_by_key(|limit| limit.until);
    let mut cautions = course.at_once(rules);
    cautions.extend(running.iter().filter(|l| l.until <= now).map(|l| reached(l, rules)));
    let seen = placentas_seen(&course);
    let missing = out.saturating_sub(seen);
    cautions.extend(placenta_caution(&course, stage, missing, rules));
    cautions.extend(count_caution(case, finished, out, rules));
    cautions.extend(calcium_caution(&course, rules));
    cautions.sort_by_key(|caution| std::cmp::Reverse(caution.level));
    let next = running.iter().find(|limit| limit.until > now);
    let call = urgency(&cautions, next);
    let minutes = |at: DateTime<Utc>| (now - at).num_minutes();
    WhelpingStatus {
        as_of: now,
        stage,
        stage_began_at: began,
        minutes_in_stage: began.map(minutes),
        straining_minutes: finished
            .is_none()
            .then(|| course.straining_since(true).map(minutes))
            .flatten(),
        minutes_since_last_pup: course.last_birth().map(minutes),
        pups_out: out,
        born_alive: case.births.iter().filter(|b| b.born_at <= now && b.alive).count() as u32,
        stillborn: case.births.iter().filter(|b| b.born_at <= now && !b.alive).count() as u32,
        expected: case.expected,
        still_to_come_at_least: case.expected.map(|e| e.at_least.saturating_sub(out)),
        still_to_come_at_most: case.expected.map(|e| e.at_most.saturating_sub(out)),
        placentas_seen: seen,
        placentas_missing: missing,
        call,
        when_to_call: sentence(case, &cautions, next, call, stage),
        next_limit_at: next.map(|limit| limit.until),
        limits: running.iter().map(|limit| shown(limit, now, rules)).collect(),
        cautions,
        lacks: lacks(case, &course),
    }
}

fn stage(
    course: &Course,
    finished: Option<DateTime<Utc>>,
    all_expected: bool,
) -> (WhelpingStage, Option<DateTime<Utc>>) {
    if let Some(at) = finished {
        return (WhelpingStage::AllOut, Some(course.last_birth().unwrap_or(at)));
    }
    if all_expected {
        return (WhelpingStage::AllOut, course.last_birth());
    }
    match (course.second_stage(), course.first_sign()) {
        (Some(at), _) => (WhelpingStage::Second, Some(at)),
        (None, Some(at)) => (WhelpingStage::First, Some(at)),
        (None, None) => (WhelpingStage::NotBegun, None),
    }
}

fn reached(limit: &Running, rules: &Rules) -> Caution {
    let call = match limit.level {
        Level::Emergency => "Call the vet now",
        _ => "Ring the vet for advice",
    };
    let source = rules.get(limit.rule).source.clone();
    Caution::new(limit.level, format!("{call}: {}.", limit.what), limit.why.clone(), source)
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

fn placentas_seen(course: &Course) -> u32 {
    let with_pups = course
        .case
        .births
        .iter()
        .filter(|birth| birth.born_at <= course.now && birth.placenta_seen)
        .count() as u32;
    let apart: u32 = course
        .events
        .iter()
        .map(|(_, event)| match event {
            WhelpingEvent::Placentas { count } => *count,
            _ => 0,
        })
        .sum();
    with_pups.saturating_add(apart)
}

fn placenta_caution(
    course: &Course,
    stage: WhelpingStage,
    missing: u32,
    rules: &Rules,
) -> Option<Caution> {
    let caesarean = course.events.iter().any(|(_, e)| matches!(e, WhelpingEvent::Caesarean {}));
    let last = course.last_birth().filter(|_| missing > 0 && !caesarean)?;
    let rule = rules.get("whelping.placentas_out_hours");
    let late = course.now >= last + Duration::minutes((rule.value * 60.0) as i64);
    let all_out = stage == WhelpingStage::AllOut;
    let (level, what) = match (all_out, late) {
        (true, true) => (
            Level::Act,
            "Placentas are missing: tell the vet, take her temperature and watch the discharge (she may have eaten them).",
        ),
        _ => (
            Level::Note,
            "Fewer placentas than pups were seen: keep counting (two pups may come before two placentas, and she may eat them).",
        ),
    };
    let why = format!(
        "{missing} missing, {} after the last pup; usually out within {:.0} h.",
        span((course.now - last).num_minutes()),
        rule.value
    );
    Some(Caution::new(level, what, why, rule.source.clone()))
}

/// Written as finished with fewer pups than were counted.
fn count_caution(
    case: &WhelpingCase,
    finished: Option<DateTime<Utc>>,
    out: u32,
    rules: &Rules,
) -> Option<Caution> {
    let expected = case.expected?;
    let caesarean = case.entries.iter().any(|e| matches!(e.event, WhelpingEvent::Caesarean {}));
    let margin = rules.value("whelping.still_expected_margin") as u32;
    let short = out.saturating_add(margin) < expected.at_least;
    (finished.is_some() && short && !caesarean).then(|| {
        Caution::new(
            Level::Emergency,
            "Call the vet now: fewer pups are out than were counted, one may be left inside.",
            format!("{out} out, at least {} counted.", expected.at_least),
            rules.get("whelping.gap_hours").source.clone(),
        )
    })
}

fn calcium_caution(course: &Course, rules: &Rules) -> Option<Caution> {
    let at = course.calcium_before()?;
    Some(Caution::new(
        Level::Note,
        "Calcium was given before the first pup: tell the vet, it may bring on low calcium later.",
        format!("Given at {}.", at.with_timezone(&course.case.time_zone).format("%H:%M")),
        rules.get("dam_after_birth.low_calcium_to_day").source.clone(),
    ))
}

fn urgency(cautions: &[Caution], next: Option<&Running>) -> CallUrgency {
    let calls = |start: &str| cautions.iter().any(|c| c.what.starts_with(start));
    if cautions.iter().any(|c| c.level == Level::Emergency) {
        CallUrgency::Now
    } else if calls("Ring the vet") {
        CallUrgency::RingForAdvice
    } else if next.is_some() {
        CallUrgency::Waiting
    } else {
        CallUrgency::NotNow
    }
}

fn sentence(
    case: &WhelpingCase,
    cautions: &[Caution],
    next: Option<&Running>,
    call: CallUrgency,
    stage: WhelpingStage,
) -> String {
    if call >= CallUrgency::RingForAdvice
        && let Some(first) = cautions.first()
    {
        return first.what.clone();
    }
    match next {
        Some(limit) => {
            let verb = match limit.level {
                Level::Emergency => "Call the vet",
                _ => "Ring the vet for advice",
            };
            let at = limit.until.with_timezone(&case.time_zone).format("%H:%M on %d %B");
            format!("{verb} at {at} if nothing has changed by then ({}).", limit.what)
        }
        None if stage == WhelpingStage::NotBegun => {
            "Nothing calls for the vet yet: write down the first signs and her temperature."
                .to_owned()
        }
        None => "Nothing calls for the vet now.".to_owned(),
    }
}

fn lacks(case: &WhelpingCase, course: &Course) -> Vec<String> {
    let mut lacks = Vec::new();
    if case.expected.is_none() {
        lacks
            .push("a count of the pups: without it nobody can tell whether all are out".to_owned());
    }
    if case.day_of_pregnancy.is_none() && course.births.is_empty() {
        lacks.push("the day of pregnancy".to_owned());
    }
    if course.events.is_empty() && course.births.is_empty() {
        lacks.push("any entry of the log".to_owned());
    }
    lacks
}
