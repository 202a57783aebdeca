//! What is on record of a dam and a litter that makes its birth riskier, or not.

use crate::{
    dam_after_birth::DamSign,
    litter::{Core, Health, Pregnancy, Weights, WhelpingWatch},
    moment::Moment,
    record::{BirthOutcome, PregnancyResult},
    schedule::{HealthKind, plus, rule_days},
    whelping::{WhelpingAlarm, WhelpingEvent, by_caesarean},
};
use chrono::{Datelike as _, NaiveDate};

/// Days after the mating until which she has not gained by the pups.
const STILL_HER_OWN_WEIGHT_DAYS: i64 = 21;

/// What illnesses of the dam are called by their `series`, when they belong to an earlier birth: for a dam that
/// did not whelp here.
const CAESAREAN: &str = "caesarean";
const DYSTOCIA: &str = "dystocia";
const ECLAMPSIA: &str = "eclampsia";
const LOSS: &str = "pregnancy-loss";

/// How an earlier litter of a dam came.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EarlierLitter {
    /// Day of whelping.
    pub whelped_on: NaiveDate,
    /// Pups born, alive or not.
    pub born: usize,
    /// Pups born dead.
    pub stillborn: usize,
    /// Whether by caesarean; `None` while nothing is in its log.
    pub caesarean: Option<bool>,
    /// Whether a pup was stuck, or she collapsed or bled heavily.
    pub hard: bool,
    /// Whether she showed the grave signs of low calcium.
    pub eclampsia: bool,
}

impl EarlierLitter {
    /// A litter that is born; `None` while it is expected.
    pub fn of(core: &Core, watch: &WhelpingWatch) -> Option<Self> {
        let log = watch.entries();
        let hard = |alarm: WhelpingAlarm| {
            matches!(
                alarm,
                WhelpingAlarm::PupStuck | WhelpingAlarm::Collapse | WhelpingAlarm::HeavyBleeding
            )
        };
        let fits = |alarm: WhelpingAlarm| alarm == WhelpingAlarm::Fits;
        let alarmed = |of: &dyn Fn(WhelpingAlarm) -> bool| {
            log.iter()
                .any(|entry| matches!(entry.event, WhelpingEvent::Alarm { alarm } if of(alarm)))
        };
        let grave = |signs: &[DamSign]| DamSign::GRAVE.iter().any(|sign| signs.contains(sign));
        let births = || core.births().map(|birth| &birth.record);
        Some(Self {
            whelped_on: core.whelped_on()?,
            born: births().count(),
            stillborn: births().filter(|b| b.outcome == BirthOutcome::Stillborn).count(),
            caesarean: by_caesarean(&log),
            hard: alarmed(&hard),
            eclampsia: alarmed(&fits)
                || watch.dam_checks.iter().any(|check| grave(&check.record.signs)),
        })
    }
}

/// What the risks are judged by; what is not on record is `None`.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct BirthFacts {
    pub breed: Option<String>,
    pub adult_weight_kg: Option<f64>,
    pub mated_weight_kg: Option<f64>,
    /// Her age at the birth, in years.
    pub age_years: Option<f64>,
    /// Her litters before this one, by number; `None` while a dam that came from elsewhere has none on record.
    pub litters_before: Option<usize>,
    pub caesareans: usize,
    pub hard_births: usize,
    pub stillborn: usize,
    pub losses: usize,
    pub eclampsias: usize,
    /// Pups that were counted for sure; `None` when nobody counted.
    pub counted: Option<u32>,
    /// The likeliest number.
    pub likely: Option<u32>,
    /// First day on which the birth is expected.
    pub earliest_on: Option<NaiveDate>,
}

impl BirthFacts {
    /// The facts of a litter; `None` when it is not this dam's.
    pub(crate) fn of(
        core: &Core,
        (weights, health, pregnancy): (&Weights, &Health, &Pregnancy),
        earlier: &[EarlierLitter],
        moment: &Moment,
    ) -> Option<Self> {
        let (records, reading) = pregnancy.read(core, moment)?;
        let (dam_id, dam) = (core.dam_id()?, core.dam.as_ref());
        let window = reading.window.as_ref();
        let mated_on = core.mated_on(moment).or(window.and_then(|w| w.counted_from_on));
        let told = |series: &str| {
            let of = |event: &&crate::record::Kept<crate::record::HealthEvent>| {
                event.record.kind == HealthKind::Illness
                    && event.record.series.as_deref() == Some(series)
                    && mated_on.is_none_or(|on| moment.day_of(event.record.given_at) < on)
            };
            health.events.of(dam_id).iter().filter(of).count()
        };
        let from = mated_on.map(|on| {
            plus(on, -rule_days(&moment.rules, "birth_risks.weighed_before_mating_days"))
        });
        let to = mated_on.map(|on| plus(on, STILL_HER_OWN_WEIGHT_DAYS));
        let mated_with = weights.weighings.of(dam_id).iter().rev().find(|weighing| {
            let on = Some(moment.day_of(weighing.measured_at));
            from.is_some() && on >= from && on <= to
        });
        let lost = |check: &&crate::record::Kept<crate::record::PregnancyCheck>| {
            check.record.result == PregnancyResult::Lost
                && records.checks.iter().all(|own| own.checked_at != check.record.checked_at)
        };
        let born_on = dam.and_then(|dam| dam.born_on).map(crate::partial_date::PartialDate::latest);
        let due_on = window.map(|window| window.likely);
        let count = |of: fn(&EarlierLitter) -> bool| earlier.iter().filter(|l| of(l)).count();
        let known = core.dam_born_here || !earlier.is_empty();
        Some(Self {
            breed: dam.and_then(|dam| dam.breed.clone()),
            adult_weight_kg: dam.and_then(|dam| dam.adult_weight_g).map(|g| f64::from(g) / 1000.0),
            mated_weight_kg: mated_with.map(|weighing| weighing.weight_g / 1000.0),
            age_years: born_on
                .zip(due_on.or(Some(moment.today())))
                .map(|(born, on)| years(born, on)),
            litters_before: known.then_some(earlier.len()),
            caesareans: count(|l| l.caesarean == Some(true)) + told(CAESAREAN),
            hard_births: count(|l| l.hard && l.caesarean != Some(true)) + told(DYSTOCIA),
            stillborn: earlier.iter().map(|litter| litter.stillborn).sum(),
            losses: pregnancy.dam.checks.iter().filter(lost).count() + told(LOSS),
            eclampsias: count(|l| l.eclampsia) + told(ECLAMPSIA),
            counted: reading.pups.as_ref().and_then(|pups| pups.counted_at_least),
            likely: reading.pups.as_ref().map(|pups| pups.likely),
            earliest_on: window.map(|window| window.earliest),
        })
    }
}

/// Years from one day to another, the last one in days of it.
pub(super) fn years(born: NaiveDate, on: NaiveDate) -> f64 {
    let whole = on.years_since(born).unwrap_or(0);
    let since = born.with_year(born.year() + i32::try_from(whole).unwrap_or(0)).unwrap_or(on);
    f64::from(whole) + ((on - since).num_days() as f64 / 365.25).clamp(0.0, 0.999)
}
