//! What is due, in which state, by which event it was given.

use super::{
    age::{plus, rule_days},
    layout::Layout,
    plan::{BeforeGoHome, HealthKind, PlanStep, StepAnchor},
};
use crate::{advice::Caution, rules::Rules};
use catalogue::{Text, said};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;

/// The days of a dog and its litter on which steps are anchored.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, ToSchema)]
pub struct ScheduleDates {
    /// Day of birth of the dog itself.
    pub born_on: Option<NaiveDate>,
    /// Day of the mating from which pregnancy is counted.
    pub mated_on: Option<NaiveDate>,
    /// Day of the whelping.
    pub whelped_on: Option<NaiveDate>,
    /// Day on which the litter was weaned.
    pub weaned_on: Option<NaiveDate>,
    /// First day from which all that was given is on record: the day on which a dog from elsewhere
    /// was entered. `None` when that is so from birth on.
    pub record_from: Option<NaiveDate>,
}

/// Something that was given to the dog, or done with it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct GivenEvent {
    /// The health event.
    pub id: Option<Uuid>,
    /// What was done.
    pub kind: HealthKind,
    /// The series it belongs to; when unknown, that of `step`, else the first of the kind.
    #[schema(example = "core")]
    pub series: Option<String>,
    /// A step of the series, when it was recorded for one.
    #[schema(example = "core-first")]
    pub step: Option<String>,
    /// The day on the kennel's calendar.
    pub given_on: NaiveDate,
    /// Whether it is no dose, but a test that showed protective antibodies and may stand for one.
    #[serde(default)]
    pub by_test: bool,
}

/// How a step stands today.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, ToSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum DueState {
    /// The last day in time is past.
    Late,
    /// The ideal day has come.
    Due,
    /// It may be given, the ideal day is still to come.
    Upcoming,
    /// Given now it would not count.
    TooEarly,
    /// The day it is counted from is not known, or whether it was given before the dog came here.
    Unknown,
    /// Given.
    Done,
}

/// A dose of a step: given, due or to come.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct DueStep {
    /// Key of the step.
    #[schema(example = "core-series")]
    pub step: String,
    /// Which dose of a repeated step, from 1.
    #[schema(example = 1)]
    pub occurrence: u32,
    /// Name of the step.
    #[schema(value_type = String, example = "Core vaccination, series")]
    pub name: Text,
    /// What is to be done.
    pub kind: HealthKind,
    /// Its series.
    #[schema(example = "core")]
    pub series: String,
    /// How it stands.
    #[serde(rename = "status")]
    pub state: DueState,
    /// First day on which it counts.
    pub earliest_on: Option<NaiveDate>,
    /// Best day.
    pub ideal_on: Option<NaiveDate>,
    /// Last day on which it is in time.
    pub latest_on: Option<NaiveDate>,
    /// Day on which it was given.
    pub given_on: Option<NaiveDate>,
    /// The event by which it was given.
    pub event_id: Option<Uuid>,
    /// Whether a test that shows protective antibodies stands for this dose.
    pub or_test: bool,
    /// Whether such a test did.
    pub by_test: bool,
    /// Days after the last day in time, for what is late or was given late.
    #[schema(example = 3)]
    pub late_days: Option<i64>,
    /// Whether the days rest on something that has not happened yet.
    pub forecast: bool,
    /// Whether it is needed only where a veterinarian or the law asks for it.
    pub optional: bool,
    /// What of it must be done before a pup leaves.
    pub before_go_home: BeforeGoHome,
    /// What is missing to date it.
    #[schema(value_type = Option<String>, example = "the day of whelping")]
    pub lacks: Option<Text>,
    /// Why what was given for it is not counted, so that it is open still.
    #[schema(
        value_type = Option<String>,
        example = "what was given on 2026-03-02 had expired on 2026-02-28"
    )]
    pub not_counted: Option<Text>,
    /// Where the days come from.
    #[schema(example = "common practice, no source")]
    pub source: String,
}

/// All doses of a dog's plans, and what was wrong with those given.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize, ToSchema)]
pub struct DueList {
    /// The doses, by their ideal day.
    pub steps: Vec<DueStep>,
    /// Events that were given too early, too close to another or past their expiry, and are not counted.
    pub not_counted: Vec<GivenEvent>,
    /// What to know about those.
    pub cautions: Vec<Caution>,
}

/// Lays the events given to one dog against the steps of its plans, as of `today`.
///
/// Doses of one kind and series are matched in the order of their days, each with the step it fits:
///
/// - A dose counts from the earliest day of its step on, and not closer to the dose before than the
///   step's least spacing; else it is not counted, and the spacing of the next dose is measured from
///   it too. A caution says so when the dose was meant for the step: not one that a dam or a grown
///   dog got for another reason, nor one of a step that is optional, unless the event names it.
/// - What was given at `schedule.grown_from` days of age or later is no dose of a pup's plan, unless
///   it is still in the step's window, or the window reaches to that age and earlier doses of the
///   series are on record.
/// - A step whose window was over before `record_from` is asked about, never late: it stands as
///   [`DueState::Unknown`] until a later dose of the series is known, and the dose that is given
///   then counts for the step of its age. The same holds for what an event leaves out by naming a
///   later step.
/// - A step counted from birth, mating, whelping or weaning is done, too, by a dose that a step before
///   it took, if it was given in its own time.
/// - Several doses on one day are one.
/// - A test that showed protective antibodies stands for a dose whose step lets it, from the age of the
///   step on and not sooner than `schedule.antibody_test_after_dose_days` after a dose; what comes after
///   is counted from its day.
///
/// A step anchored on a dose is counted from the day that dose was really given, so a late or
/// early dose moves what follows; while it is open, what follows is forecast from its ideal day, or
/// from today when that is past. An event later than `today` is ignored. Without a weaning day,
/// weaning is forecast at `schedule.assumed_weaning_age` days of age.
///
/// Steps, windows and sources are the plan's data; see [`super::standard_plans`].
pub(crate) fn due(
    steps: &[PlanStep],
    dates: ScheduleDates,
    events: &[GivenEvent],
    today: NaiveDate,
    rules: &Rules,
) -> DueList {
    let grown_from = rule_days(rules, "schedule.grown_from");
    let grown_on = dates.born_on.map(|born_on| plus(born_on, grown_from));
    Layout::new(steps, dates, events, today, rules).of_pup(grown_on).laid_out()
}

/// The series an event belongs to: its own, that of its step, or the first of its kind.
pub(super) fn series_of<'a>(steps: &'a [PlanStep], event: &'a GivenEvent) -> Option<&'a str> {
    let of_kind = || steps.iter().filter(|step| step.kind == event.kind);
    let by_step = || of_kind().find(|step| Some(&step.key) == event.step.as_ref());
    let by_kind = || of_kind().find(|step| !step.optional).or_else(|| of_kind().next());
    match &event.series {
        Some(series) => Some(series),
        None => by_step().or_else(by_kind).map(|step| step.series.as_str()),
    }
}

/// A dose of which no day is known.
pub(super) fn undated(step: &PlanStep) -> DueStep {
    DueStep { lacks: Some(anchor_lacks(step)), ..of_step(step) }
}

/// Entries by which others tell what a dose lacks.
const BIRTH: &str = "schedule-lacks-birth";
const LAST_DOSE: &str = "schedule-lacks-last-dose";

fn anchor_lacks(step: &PlanStep) -> Text {
    match &step.anchor {
        StepAnchor::Birth => said!("schedule-lacks-birth"),
        StepAnchor::Mating => said!("schedule-lacks-mating"),
        StepAnchor::Whelping => said!("schedule-lacks-whelping"),
        StepAnchor::Weaning => said!("schedule-lacks-weaning"),
        StepAnchor::Step { step } => said!("schedule-lacks-step", step = step),
        StepAnchor::LastDose => said!("schedule-lacks-last-dose"),
    }
}

impl DueStep {
    /// Whether it cannot be dated since nobody knows when the dog was born.
    pub(crate) fn lacks_day_of_birth(&self) -> bool {
        self.lacks.as_ref().and_then(Text::id) == Some(BIRTH)
    }

    /// Whether it cannot be dated since nobody knows when the last dose was given.
    pub(crate) fn lacks_last_dose(&self) -> bool {
        self.lacks.as_ref().and_then(Text::id) == Some(LAST_DOSE)
    }
}

/// What a dose has from its step.
pub(super) fn of_step(step: &PlanStep) -> DueStep {
    DueStep {
        step: step.key.clone(),
        occurrence: 1,
        name: step.called(),
        kind: step.kind,
        series: step.series.clone(),
        state: DueState::Unknown,
        earliest_on: None,
        ideal_on: None,
        latest_on: None,
        given_on: None,
        event_id: None,
        or_test: step.antibody_test_from_days.is_some(),
        by_test: false,
        late_days: None,
        forecast: false,
        optional: step.optional,
        before_go_home: step.before_go_home,
        lacks: None,
        not_counted: None,
        source: step.source.clone(),
    }
}

pub(super) struct Window {
    pub earliest: NaiveDate,
    pub ideal: NaiveDate,
    pub latest: NaiveDate,
}

/// The window of a dose: from its anchor, moved by the spacing to the last dose of the series.
pub(super) fn window(step: &PlanStep, base: NaiveDate, last_given_on: Option<NaiveDate>) -> Window {
    let spaced = last_given_on.map(|on| plus(on, i64::from(step.min_spacing_days)));
    let earliest = plus(base, i64::from(step.earliest_days)).max(spaced.unwrap_or(NaiveDate::MIN));
    let ideal = plus(base, i64::from(step.ideal_days)).max(earliest);
    let latest = plus(base, i64::from(step.latest_days)).max(ideal);
    Window { earliest, ideal, latest }
}

pub(super) fn state_on(window: &Window, today: NaiveDate) -> DueState {
    if today > window.latest {
        DueState::Late
    } else if today >= window.ideal {
        DueState::Due
    } else if today >= window.earliest {
        DueState::Upcoming
    } else {
        DueState::TooEarly
    }
}

impl DueStep {
    /// Whether a pup that leaves on `today` would leave without it.
    pub(crate) fn hinders_go_home(&self, today: NaiveDate) -> bool {
        let asked = !self.optional && self.before_go_home != BeforeGoHome::Nothing;
        let by_now = self.before_go_home == BeforeGoHome::Done
            || self.ideal_on.is_some_and(|ideal| ideal <= today);
        asked && by_now && self.state != DueState::Done
    }

    /// Whether it can be given today: due, late, or within its window.
    pub(crate) fn is_open(&self) -> bool {
        matches!(self.state, DueState::Late | DueState::Due | DueState::Upcoming)
    }

    /// Whether nobody here knows if it was given: it is asked about, and neither due nor late.
    pub(crate) fn is_asked(&self) -> bool {
        self.state == DueState::Unknown && self.lacks.is_some()
    }
}
