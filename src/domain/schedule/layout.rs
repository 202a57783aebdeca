//! Lays doses out one after another: each step, each repetition, and the event that fits it.

use super::{
    age::{plus, rule_days},
    due::{
        DueList, DueState, DueStep, GivenEvent, ScheduleDates, Window, of_step, series_of,
        state_on, undated, window,
    },
    plan::{HealthKind, LastDose, PlanAnchor, PlanStep, StepAnchor, StepRepeat},
};
use crate::{
    advice::{Caution, CautionCode, Level},
    rules::Rules,
};
use catalogue::{Text, said};
use chrono::NaiveDate;
use std::collections::{BTreeMap, VecDeque};

/// More doses than this of one repeated step are not laid out: a dog's life of monthly doses.
const MAX_OCCURRENCES: u32 = 240;

/// A day from which a dose is counted, and what it rests on.
#[derive(Clone, Copy)]
struct Base {
    on: NaiveDate,
    /// On something that has not happened yet.
    forecast: bool,
    /// On a dose of which nobody here knows whether and when it was given.
    assumed: bool,
}

impl Base {
    fn known(on: NaiveDate) -> Self {
        Self { on, forecast: false, assumed: false }
    }
}

/// What is known of one series of doses while its steps are laid out.
#[derive(Default)]
struct Series<'a> {
    waiting: VecDeque<&'a GivenEvent>,
    /// The last one looked at, from which spacing is measured.
    last: Option<&'a GivenEvent>,
    /// The last one that counted.
    counted: Option<&'a GivenEvent>,
}

impl Series<'_> {
    fn last_given_on(&self) -> Option<NaiveDate> {
        self.last.map(|event| event.given_on)
    }
}

/// How a dose came about.
enum Fit<'a> {
    /// By this event; the day is that of the dose before it.
    Given(&'a GivenEvent, Option<NaiveDate>),
    /// By an event that counts for an earlier step as well.
    Shared(&'a GivenEvent),
    /// Nobody here knows, for this reason.
    Unrecorded(Text),
    /// It was not.
    Open,
}

pub(super) struct Layout<'a> {
    steps: &'a [PlanStep],
    dates: ScheduleDates,
    weaning: Option<Base>,
    today: NaiveDate,
    grown_on: Option<NaiveDate>,
    /// Days after a dose before which a test shows only what that dose brought.
    test_after_days: i64,
    series: BTreeMap<(HealthKind, &'a str), Series<'a>>,
    last_dose: BTreeMap<&'a str, Base>,
    list: DueList,
}

impl<'a> Layout<'a> {
    pub fn new(
        steps: &'a [PlanStep],
        dates: ScheduleDates,
        events: &'a [GivenEvent],
        today: NaiveDate,
        rules: &Rules,
    ) -> Self {
        Self {
            steps,
            dates,
            weaning: weaning(dates, today, rules),
            today,
            grown_on: None,
            test_after_days: rule_days(rules, "schedule.antibody_test_after_dose_days"),
            series: sort_into_series(steps, events, today),
            last_dose: BTreeMap::new(),
            list: DueList::default(),
        }
    }

    /// The plan is a pup's: what a grown dog gets is no dose of it.
    pub(crate) fn of_pup(self, grown_on: Option<NaiveDate>) -> Self {
        Self { grown_on, ..self }
    }

    pub(crate) fn laid_out(mut self) -> DueList {
        for index in 0..self.steps.len() {
            self.lay_out(index);
        }
        self.forget_what_is_moot();
        self.end_with_the_pregnancy();
        self.list.steps.sort_by_key(|step| (step.ideal_on.is_none(), step.ideal_on));
        self.list
    }

    fn lay_out(&mut self, index: usize) {
        let step = &self.steps[index];
        let Some(mut base) = self.base_of(step) else {
            self.list.steps.push(undated(step));
            return;
        };
        for occurrence in 1..=MAX_OCCURRENCES {
            if self.has_ended(step, base.on) {
                break;
            }
            let (dose, was_given) = self.dose(index, occurrence, base);
            base = dose;
            // A step repeated for life is laid out up to its first open dose.
            let for_life = step.repeat.as_ref().is_some_and(|r| self.end_of(r).is_none());
            if step.repeat.is_none() || (for_life && !was_given) {
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
            StepAnchor::LastDose => None,
        }
    }

    fn event_day(&self, anchor: PlanAnchor) -> Option<Base> {
        match anchor {
            PlanAnchor::Birth => self.dates.born_on.map(Base::known),
            PlanAnchor::Mating => self.dates.mated_on.map(Base::known),
            PlanAnchor::Whelping => self.dates.whelped_on.map(Base::known),
            PlanAnchor::Weaning => self.weaning,
        }
    }

    fn end_of(&self, repeat: &StepRepeat) -> Option<(NaiveDate, LastDose)> {
        let base = self.event_day(repeat.until?)?;
        Some((plus(base.on, i64::from(repeat.days)), repeat.last))
    }

    /// Whether no further dose of a repeated step is planned after one on `base`.
    fn has_ended(&self, step: &PlanStep, base: NaiveDate) -> bool {
        match step.repeat.as_ref().and_then(|repeat| self.end_of(repeat)) {
            Some((on, LastDose::NotAfter)) => plus(base, i64::from(step.ideal_days)) > on,
            Some((on, LastDose::NotBefore)) => base >= on,
            None => false,
        }
    }

    /// Lays out one dose; answers its day, given or forecast, and whether it was given.
    fn dose(&mut self, index: usize, occurrence: u32, base: Base) -> (Base, bool) {
        let step = &self.steps[index];
        let fit = self.fit(index, base);
        let slot = match &fit {
            // The window as it was before this dose was given.
            Fit::Given(_, before) => window(step, base.on, *before),
            Fit::Shared(_) => window(step, base.on, None),
            Fit::Unrecorded(_) | Fit::Open => {
                window(step, base.on, self.series_mut(step).last_given_on())
            }
        };
        let event = match fit {
            Fit::Given(event, _) | Fit::Shared(event) => Some(event),
            Fit::Unrecorded(_) | Fit::Open => None,
        };
        let given_on = event.map(|event| event.given_on);
        let lacks = if let Fit::Unrecorded(lacks) = fit { Some(lacks) } else { None };
        let state = match (&event, &lacks) {
            (Some(_), _) => DueState::Done,
            (None, Some(_)) => DueState::Unknown,
            (None, None) => state_on(&slot, self.today),
        };
        let late_days = (given_on.unwrap_or(self.today) - slot.latest).num_days();
        // Nobody here has seen whether a dose before the record, or after an assumed one, was late.
        let hearsay =
            lacks.is_some() || (event.is_some() && (base.assumed || self.was_over(&slot)));
        let told = late_days > 0 && !hearsay;
        self.list.steps.push(DueStep {
            state,
            earliest_on: Some(slot.earliest),
            ideal_on: Some(slot.ideal),
            latest_on: Some(slot.latest),
            given_on,
            event_id: event.and_then(|event| event.id),
            by_test: event.is_some_and(|event| event.by_test),
            late_days: told.then_some(late_days),
            forecast: base.forecast,
            occurrence,
            lacks: lacks.clone(),
            ..of_step(step)
        });
        let dose = match (given_on, lacks) {
            (Some(on), _) => Base::known(on),
            (None, Some(_)) => Base { on: slot.ideal, forecast: true, assumed: true },
            (None, None) => Base { on: slot.ideal.max(self.today), forecast: true, ..base },
        };
        (dose, given_on.is_some())
    }

    /// Whether a window was over before the dog's record began.
    fn was_over(&self, slot: &Window) -> bool {
        self.dates.record_from.is_some_and(|from| slot.latest < from)
    }

    /// The next event of the series that fits this dose.
    fn fit(&mut self, index: usize, base: Base) -> Fit<'a> {
        let step = &self.steps[index];
        loop {
            let series = self.series_mut(step);
            let (last, front) = (series.last_given_on(), series.waiting.front().copied());
            let slot = window(step, base.on, last);
            let Some(event) = front else { break };
            if last == Some(event.given_on) {
                // Two products on one day are one dose.
                self.series_mut(step).waiting.pop_front();
                continue;
            }
            if event.by_test && step.antibody_test_from_days.is_some() {
                if self.proves_nothing(step, event, last) {
                    self.series_mut(step).waiting.pop_front();
                    continue;
                }
            } else if event.by_test {
                break;
            }
            let ahead_of_life = base.forecast && repeats_for_life(step) && !event.by_test;
            if !self.fits_age(step, &slot, event, last)
                || (ahead_of_life && event.given_on < slot.earliest)
            {
                break;
            }
            if let Some(reason) = self.left_out(index, &slot, event) {
                return Fit::Unrecorded(reason);
            }
            let series = self.series_mut(step);
            series.waiting.pop_front();
            series.last = Some(event);
            if event.by_test || event.given_on >= slot.earliest {
                series.counted = Some(event);
                return Fit::Given(event, last);
            }
            if let Some(earlier) = self.counted_before(step, base) {
                return Fit::Shared(earlier);
            }
            if meant_for(step, event) && !self.was_over(&slot) {
                self.list.cautions.push(not_counted(step, event, base.on, last));
                self.list.not_counted.push(event.clone());
            }
        }
        if let Some(earlier) = self.counted_before(step, base) {
            return Fit::Shared(earlier);
        }
        let last = self.series_mut(step).last_given_on();
        match self.was_over(&window(step, base.on, last)) {
            true => Fit::Unrecorded(self.before_the_record()),
            false => Fit::Open,
        }
    }

    /// A dose that an earlier step took, if it was given in this one's own time.
    fn counted_before(&mut self, step: &'a PlanStep, base: Base) -> Option<&'a GivenEvent> {
        let earliest = window(step, base.on, None).earliest;
        let anchored_on_dose = matches!(step.anchor, StepAnchor::Step { .. });
        let counted = self.series_mut(step).counted;
        let stands = |event: &&GivenEvent| match event.by_test {
            true => step.antibody_test_from_days.is_some(),
            false => event.given_on >= earliest,
        };
        counted.filter(|event| !anchored_on_dose && stands(event))
    }

    /// Whether a test was made so early that what it showed came from the dam or from the dose before.
    fn proves_nothing(&self, step: &PlanStep, event: &GivenEvent, last: Option<NaiveDate>) -> bool {
        let from = step.antibody_test_from_days.map(i64::from);
        let too_young = self
            .dates
            .born_on
            .zip(from)
            .is_some_and(|(born_on, from)| event.given_on < plus(born_on, from));
        too_young
            || last.is_some_and(|last| (event.given_on - last).num_days() < self.test_after_days)
    }

    fn before_the_record(&self) -> Text {
        let from = self.dates.record_from.unwrap_or(self.today);
        said!("schedule-lacks-before-record", from = from)
    }

    /// A dose of a grown dog is none of a pup's plan; see [`super::due()`].
    fn fits_age(
        &self,
        step: &PlanStep,
        slot: &Window,
        event: &GivenEvent,
        last: Option<NaiveDate>,
    ) -> bool {
        let Some(grown_on) = self.grown_on.filter(|grown_on| event.given_on >= *grown_on) else {
            return true;
        };
        let in_time = (slot.earliest..=slot.latest).contains(&event.given_on);
        let reaches = slot.latest >= grown_on && last.is_some_and(|on| on < grown_on);
        in_time || (reaches && event.given_on > slot.latest) || repeats_for_life(step)
    }

    /// Why an event shows that this dose was given, or not, without being on record; `None` when
    /// the event may be this dose.
    fn left_out(&self, index: usize, slot: &Window, event: &GivenEvent) -> Option<Text> {
        let names_later = self.after(index).any(|later| Some(&later.key) == event.step.as_ref());
        if names_later {
            return Some(said!("schedule-lacks-dose-before", day = event.given_on));
        }
        let next = self.next_earliest(index, slot.ideal)?;
        (self.was_over(slot) && event.given_on >= next).then(|| self.before_the_record())
    }

    /// The steps of the same series after this one.
    fn after(&self, index: usize) -> impl Iterator<Item = &'a PlanStep> {
        let step = &self.steps[index];
        let same = move |later: &&PlanStep| later.kind == step.kind && later.series == step.series;
        self.steps.iter().skip(index + 1).filter(same)
    }

    /// First day of the dose of the series that would follow one on `assumed`.
    fn next_earliest(&self, index: usize, assumed: NaiveDate) -> Option<NaiveDate> {
        let step = &self.steps[index];
        if step.repeat.is_some() && !self.has_ended(step, assumed) {
            return Some(plus(assumed, i64::from(step.earliest_days)));
        }
        let later = self.after(index).find(|later| !later.optional || step.optional)?;
        let base = match &later.anchor {
            StepAnchor::Step { step: key } if *key == step.key => assumed,
            _ => self.base_of(later)?.on,
        };
        Some(plus(base, i64::from(later.earliest_days)))
    }

    /// What is not on record need not be asked about once a later dose of the series is.
    fn forget_what_is_moot(&mut self) {
        let newest: BTreeMap<(HealthKind, String), NaiveDate> = self
            .series
            .iter()
            .filter_map(|((kind, name), s)| Some(((*kind, (*name).to_owned()), s.last_given_on()?)))
            .collect();
        self.list.steps.retain(|step| {
            let last = newest.get(&(step.kind, step.series.clone()));
            let unrecorded = step.state == DueState::Unknown && step.ideal_on.is_some();
            !(unrecorded && last.is_some_and(|last| Some(*last) > step.ideal_on))
        });
    }

    /// What is for a pregnancy cannot be given any more once she has whelped.
    fn end_with_the_pregnancy(&mut self) {
        if self.dates.whelped_on.is_none_or(|on| on > self.today) {
            return;
        }
        let steps = self.steps;
        self.list
            .steps
            .retain(|dose| dose.state == DueState::Done || !is_for_pregnancy(steps, &dose.step));
    }

    fn series_mut(&mut self, step: &'a PlanStep) -> &mut Series<'a> {
        self.series.entry((step.kind, &step.series)).or_default()
    }
}

fn weaning(dates: ScheduleDates, today: NaiveDate, rules: &Rules) -> Option<Base> {
    if let Some(on) = dates.weaned_on {
        return Some(Base::known(on));
    }
    let assumed_age = rule_days(rules, "schedule.assumed_weaning_age");
    let born_on = dates.born_on.or(dates.whelped_on)?;
    let assumed_on = plus(born_on, assumed_age);
    // Who came later than that was weaned; a litter here that is past it and still nursing cannot
    // be weaned before today.
    let weaned = dates.record_from.is_some_and(|from| from > assumed_on);
    let on = if weaned { assumed_on } else { assumed_on.max(today) };
    Some(Base { on, forecast: true, assumed: false })
}

fn sort_into_series<'a>(
    steps: &'a [PlanStep],
    events: &'a [GivenEvent],
    today: NaiveDate,
) -> BTreeMap<(HealthKind, &'a str), Series<'a>> {
    let mut given: Vec<&GivenEvent> = events.iter().filter(|e| e.given_on <= today).collect();
    // Blood is drawn before the needle: of a dose and a test on one day the dose counts.
    given.sort_by_key(|event| (event.given_on, event.by_test));
    let mut all: BTreeMap<(HealthKind, &str), Series> = BTreeMap::new();
    for event in given {
        if let Some(series) = series_of(steps, event) {
            all.entry((event.kind, series)).or_default().waiting.push_back(event);
        }
    }
    all
}

pub(super) fn repeats_for_life(step: &PlanStep) -> bool {
    step.repeat.as_ref().is_some_and(|repeat| repeat.until.is_none())
}

/// Whether a step is counted from the mating, or from one that is.
fn is_for_pregnancy(steps: &[PlanStep], key: &str) -> bool {
    let Some(index) = steps.iter().position(|step| step.key == key) else { return false };
    match &steps[index].anchor {
        StepAnchor::Mating => true,
        StepAnchor::Step { step } => is_for_pregnancy(&steps[..index], step),
        _ => false,
    }
}

/// Whether a dose that does not count was given for this step: a dam may be treated at any time,
/// and what is optional may be given for another reason.
fn meant_for(step: &PlanStep, event: &GivenEvent) -> bool {
    let named = event.step.as_ref() == Some(&step.key);
    match step.anchor {
        StepAnchor::Mating | StepAnchor::Whelping => named,
        _ => named || !step.optional || event.series.as_ref() == Some(&step.series),
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
        Some(before) if earliest > own_earliest => said!(
            "schedule-too-close-why",
            given_on = event.given_on,
            days = (event.given_on - before).num_days(),
            before = before,
            least_days = step.min_spacing_days
        ),
        _ => said!("schedule-too-early-why", given_on = event.given_on, from = own_earliest),
    };
    Caution::new(
        CautionCode::HealthNotCounted,
        Level::Act,
        said!(
            "schedule-too-early",
            step = step.called(),
            given_on = event.given_on,
            earliest_on = earliest.max(plus(event.given_on, i64::from(step.min_spacing_days)))
        ),
        why,
        step.source.clone(),
    )
    .with("given_on", event.given_on.to_string())
    .with("step", step.key.clone())
}
