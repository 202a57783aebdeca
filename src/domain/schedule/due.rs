//! Lays the events given against the steps of the plans.

use super::{
    age::{plus, rule_days},
    plan::{BeforeGoHome, HealthKind, LastDose, PlanAnchor, PlanStep, StepAnchor, StepRepeat},
};
use crate::domain::{
    advice::{Caution, Level},
    rules::Rules,
};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, VecDeque};
use utoipa::ToSchema;
use uuid::Uuid;

/// More doses than this of one repeated step are not laid out: a dog's life of monthly doses.
const MAX_OCCURRENCES: u32 = 240;

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
    /// The day it is counted from is not known.
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
    #[schema(example = "Core vaccination, series")]
    pub name: String,
    /// What is to be done.
    pub kind: HealthKind,
    /// Its series.
    #[schema(example = "core")]
    pub series: String,
    /// How it stands.
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
    #[schema(example = "the day of whelping")]
    pub lacks: Option<String>,
    /// Where the days come from.
    #[schema(example = "common practice, no source")]
    pub source: String,
}

/// All doses of a dog's plans, and what was wrong with those given.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize, ToSchema)]
pub struct DueList {
    /// The doses, by their ideal day.
    pub steps: Vec<DueStep>,
    /// Events that were given too early or too close to another and are not counted.
    pub not_counted: Vec<GivenEvent>,
    /// What to know about those.
    pub cautions: Vec<Caution>,
}

/// A day, and whether it rests on something that has not happened yet.
#[derive(Clone, Copy)]
struct Base {
    on: NaiveDate,
    forecast: bool,
}

/// What is known of one series of doses while its steps are laid out.
#[derive(Default)]
struct Series<'a> {
    waiting: VecDeque<&'a GivenEvent>,
    last_given_on: Option<NaiveDate>,
}

pub(super) struct Window {
    pub earliest: NaiveDate,
    pub ideal: NaiveDate,
    pub latest: NaiveDate,
}

struct Layout<'a> {
    dates: ScheduleDates,
    weaning: Option<Base>,
    today: NaiveDate,
    series: BTreeMap<(HealthKind, &'a str), Series<'a>>,
    last_dose: BTreeMap<&'a str, Base>,
    list: DueList,
}

/// Lays the events given to one dog against the steps of its plans, as of `today`.
///
/// Doses of one kind and series are matched in the order of their days. A dose counts from the
/// earliest day of its step on, and not closer to the dose before than the step's least spacing;
/// else it is not counted, a caution says so, and the spacing of the next dose is measured from it
/// too. Several on one day are one dose. A step anchored on a dose is counted from the day that dose was really given, so a late or
/// early dose moves what follows; while it is open, what follows is forecast from its ideal day, or
/// from today when that is past. An event later than `today` is ignored. Without a weaning day,
/// weaning is forecast at `schedule.assumed_weaning_age` days of age.
///
/// Steps, windows and sources are the plan's data; see [`super::standard_plans`].
pub fn due(
    steps: &[PlanStep],
    dates: ScheduleDates,
    events: &[GivenEvent],
    today: NaiveDate,
    rules: &Rules,
) -> DueList {
    let mut layout = Layout {
        dates,
        weaning: weaning(dates, today, rules),
        today,
        series: sort_into_series(steps, events, today),
        last_dose: BTreeMap::new(),
        list: DueList::default(),
    };
    for step in steps {
        layout.lay_out(step);
    }
    layout.list.steps.sort_by_key(|step| (step.ideal_on.is_none(), step.ideal_on));
    layout.list
}

fn weaning(dates: ScheduleDates, today: NaiveDate, rules: &Rules) -> Option<Base> {
    if let Some(on) = dates.weaned_on {
        return Some(Base { on, forecast: false });
    }
    let assumed_age = rule_days(rules, "schedule.assumed_weaning_age");
    let born_on = dates.born_on.or(dates.whelped_on)?;
    // A litter that is past the assumed age and still nursing cannot be weaned before today.
    Some(Base { on: plus(born_on, assumed_age).max(today), forecast: true })
}

fn sort_into_series<'a>(
    steps: &'a [PlanStep],
    events: &'a [GivenEvent],
    today: NaiveDate,
) -> BTreeMap<(HealthKind, &'a str), Series<'a>> {
    let mut given: Vec<&GivenEvent> = events.iter().filter(|e| e.given_on <= today).collect();
    given.sort_by_key(|event| event.given_on);
    let mut all: BTreeMap<(HealthKind, &str), Series> = BTreeMap::new();
    for event in given {
        if let Some(series) = series_of(steps, event) {
            all.entry((event.kind, series)).or_default().waiting.push_back(event);
        }
    }
    all
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

impl<'a> Layout<'a> {
    fn lay_out(&mut self, step: &'a PlanStep) {
        let Some(mut base) = self.base_of(step) else {
            self.list.steps.push(undated(step));
            return;
        };
        let end = step.repeat.as_ref().map(|repeat| self.end_of(repeat));
        for occurrence in 1..=MAX_OCCURRENCES {
            let ended = match &end {
                Some(Some((on, LastDose::NotAfter))) => {
                    plus(base.on, i64::from(step.ideal_days)) > *on
                }
                Some(Some((on, LastDose::NotBefore))) => base.on >= *on,
                _ => false,
            };
            if ended {
                break;
            }
            let (dose, was_given) = self.dose(step, occurrence, base);
            base = dose;
            // A step repeated for life is laid out up to its first open dose.
            if end.is_none() || (matches!(end, Some(None)) && !was_given) {
                break;
            }
        }
        self.last_dose.insert(&step.key, base);
    }

    fn base_of(&self, step: &PlanStep) -> Option<Base> {
        match &step.anchor {
            StepAnchor::Birth => self.event_day(PlanAnchor::Birth),
            StepAnchor::Mating => self.event_day(PlanAnchor::Mating),
            StepAnchor::Whelping => self.event_day(PlanAnchor::Whelping),
            StepAnchor::Weaning => self.event_day(PlanAnchor::Weaning),
            StepAnchor::Step { step } => self.last_dose.get(step.as_str()).copied(),
        }
    }

    fn event_day(&self, anchor: PlanAnchor) -> Option<Base> {
        let known = |on| Base { on, forecast: false };
        match anchor {
            PlanAnchor::Birth => self.dates.born_on.map(known),
            PlanAnchor::Mating => self.dates.mated_on.map(known),
            PlanAnchor::Whelping => self.dates.whelped_on.map(known),
            PlanAnchor::Weaning => self.weaning,
        }
    }

    fn end_of(&self, repeat: &StepRepeat) -> Option<(NaiveDate, LastDose)> {
        let base = self.event_day(repeat.until?)?;
        Some((plus(base.on, i64::from(repeat.days)), repeat.last))
    }

    /// Lays out one dose; answers its day, given or forecast, and whether it was given.
    fn dose(&mut self, step: &'a PlanStep, occurrence: u32, base: Base) -> (Base, bool) {
        let given = self.take_given(step, base.on);
        let last_given_on = self.series_mut(step).last_given_on;
        let window = match given {
            // The window as it was before this dose was given.
            Some((_, before)) => window(step, base.on, before),
            None => window(step, base.on, last_given_on),
        };
        let event = given.map(|(event, _)| event);
        let given_on = event.map(|event| event.given_on);
        let late_days = (given_on.unwrap_or(self.today) - window.latest).num_days();
        let state = match event {
            Some(_) => DueState::Done,
            None => state_on(&window, self.today),
        };
        self.list.steps.push(DueStep {
            state,
            earliest_on: Some(window.earliest),
            ideal_on: Some(window.ideal),
            latest_on: Some(window.latest),
            given_on,
            event_id: event.and_then(|event| event.id),
            late_days: (late_days > 0).then_some(late_days),
            forecast: base.forecast,
            occurrence,
            lacks: None,
            ..undated(step)
        });
        let on = given_on.unwrap_or_else(|| window.ideal.max(self.today));
        (Base { on, forecast: event.is_none() }, event.is_some())
    }

    /// The next event of the series that counts for this dose, with the day of the one before it.
    fn take_given(
        &mut self,
        step: &'a PlanStep,
        base: NaiveDate,
    ) -> Option<(&'a GivenEvent, Option<NaiveDate>)> {
        loop {
            let series = self.series_mut(step);
            let event = series.waiting.pop_front()?;
            if series.last_given_on == Some(event.given_on) {
                // Two products on one day are one dose.
                continue;
            }
            let before = series.last_given_on.replace(event.given_on);
            if event.given_on >= window(step, base, before).earliest {
                return Some((event, before));
            }
            self.list.cautions.push(not_counted(step, event, base, before));
            self.list.not_counted.push(event.clone());
        }
    }

    fn series_mut(&mut self, step: &'a PlanStep) -> &mut Series<'a> {
        self.series.entry((step.kind, &step.series)).or_default()
    }
}

/// A dose of which no day is known.
pub(super) fn undated(step: &PlanStep) -> DueStep {
    let lacks = match &step.anchor {
        StepAnchor::Birth => "the day of birth".to_owned(),
        StepAnchor::Mating => "the day of the mating".to_owned(),
        StepAnchor::Whelping => "the day of whelping".to_owned(),
        StepAnchor::Weaning => "the day of weaning".to_owned(),
        StepAnchor::Step { step } => format!("the day of the step {step}"),
    };
    DueStep {
        step: step.key.clone(),
        occurrence: 1,
        name: step.name.clone(),
        kind: step.kind,
        series: step.series.clone(),
        state: DueState::Unknown,
        earliest_on: None,
        ideal_on: None,
        latest_on: None,
        given_on: None,
        event_id: None,
        late_days: None,
        forecast: false,
        optional: step.optional,
        before_go_home: step.before_go_home,
        lacks: Some(lacks),
        source: step.source.clone(),
    }
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

fn not_counted(
    step: &PlanStep,
    event: &GivenEvent,
    base: NaiveDate,
    before: Option<NaiveDate>,
) -> Caution {
    let earliest = window(step, base, before).earliest;
    let own_earliest = plus(base, i64::from(step.earliest_days));
    let why = match before {
        Some(before) if earliest > own_earliest => format!(
            "Given on {}, {} days after the one before ({before}); at least {} days must lie \
             between.",
            event.given_on,
            (event.given_on - before).num_days(),
            step.min_spacing_days
        ),
        _ => format!("Given on {}; it counts from {own_earliest} on.", event.given_on),
    };
    Caution::new(
        Level::Act,
        format!(
            "{}: the dose of {} was too early and is not counted; ask your veterinarian when to \
             repeat it (by this plan not before {}).",
            step.name,
            event.given_on,
            earliest.max(plus(event.given_on, i64::from(step.min_spacing_days)))
        ),
        why,
        step.source.clone(),
    )
}

impl DueStep {
    /// Whether it can be given today: due, late, or within its window.
    pub fn is_open(&self) -> bool {
        matches!(self.state, DueState::Late | DueState::Due | DueState::Upcoming)
    }
}
