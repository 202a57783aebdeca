//! What a kennel's records say of one pregnancy: when, how many, and how the dam is.
//!
//! Records become evidence; what goes against the others is left out and named, so that one
//! mistaken entry does not take the answer away.

mod report;
mod select;
mod solve;
mod translate;

use catalogue::{Text, said};
pub use report::{EvidenceLeftOut, LitterDueWindow, LitterPups, LitterTemperature};
pub use select::PregnancyRecords;
pub use translate::{HeatReport, heat_report, sign_in_log, signs_since};
pub(crate) use translate::{heat_over_on, womb_sign_of};

use crate::{
    advice::{Caution, CautionCode, Level},
    dating::{DatingEvidence, DatingInput, DueWindow, PregnancySign},
    day_chances::shift,
    expected_pups::{ExpectedPupsInput, PupForecast, expected_pups},
    fault::Fault,
    inbreeding::Studbook,
    litter::LitterOfDam,
    planner::FreePup,
    record::{
        Dog, Heat, HeatReading, Kept, Litter, LossKind, Mating, MatingMethod, MatingStatus,
        PregnancyCheck, PregnancyMethod, PregnancyResult, Temperature,
    },
    rules::Rules,
    temperature::{TemperatureAssessment, TemperatureReading, assess_temperature},
    units::moment,
};
use chrono::{DateTime, Duration, NaiveDate, NaiveDateTime, TimeZone as _, Utc};
use chrono_tz::Tz;
use std::collections::{BTreeMap, BTreeSet};
use uuid::Uuid;

/// The moment of asking, on the kennel's clock.
#[derive(Debug, Clone, Copy)]
pub struct KennelTime {
    /// Now.
    pub now: DateTime<Utc>,
    /// The kennel's time zone.
    pub tz: Tz,
}

impl KennelTime {
    /// A time as the kennel's clock shows it.
    pub(crate) fn local(&self, at: DateTime<Utc>) -> NaiveDateTime {
        at.with_timezone(&self.tz).naive_local()
    }

    /// The day of a time on the kennel's calendar.
    pub fn day_of(&self, at: DateTime<Utc>) -> NaiveDate {
        self.local(at).date()
    }

    /// Today on the kennel's calendar.
    pub fn today(&self) -> NaiveDate {
        self.day_of(self.now)
    }
}

/// A litter of a dam, and how many pups of it are on record.
#[derive(Debug, Clone, PartialEq)]
pub struct LitterOnRecord {
    /// The litter.
    pub litter: Kept<Litter>,
    /// Pups born, alive or not.
    pub born: u32,
    /// Pups born alive.
    pub born_alive: u32,
    /// Pups living and neither promised nor gone.
    pub free: Vec<FreePup>,
    /// Pups living that have not gone.
    pub here: u32,
    /// Whether pups may still come: some are born, and as far as the log tells it is not over.
    pub whelping: bool,
    /// Whether it came by caesarean; `None` while nothing is in its whelping log.
    pub caesarean: Option<bool>,
}

impl LitterOnRecord {
    /// Whether its pups are counted and not foretold any more: its births are on record, and no more
    /// may come.
    pub(crate) fn is_all_born(&self) -> bool {
        self.litter.record.whelped_on.is_some() && self.born > 0 && !self.whelping
    }
}

/// All that is on record of a dam's heats, matings and litters; empty where the asker may not see.
#[derive(Debug, Clone, PartialEq)]
pub struct DamRecords {
    /// Her id.
    pub dam_id: Uuid,
    /// Herself; `None` when the asker may see a litter of hers but not her.
    pub dog: Option<Dog>,
    /// Whether she was born in this kennel, so that all her litters are on record.
    pub born_here: bool,
    /// Her heats.
    pub heats: Vec<Kept<Heat>>,
    /// Readings of those heats.
    pub readings: Vec<Kept<HeatReading>>,
    /// Her matings.
    pub matings: Vec<Kept<Mating>>,
    /// Checks of those matings.
    pub checks: Vec<Kept<PregnancyCheck>>,
    /// Her temperatures since the earliest time that matters.
    pub temperatures: Vec<Kept<Temperature>>,
    /// Signs that need a vet, in the last days, and when they were seen.
    pub signs: Vec<(DateTime<Utc>, PregnancySign)>,
    /// Her litters, as far as the question needs them: a question about one litter has that one.
    pub litters: Vec<LitterOnRecord>,
    /// All litters of hers, oldest first; an expected one comes last.
    pub whelpings: Vec<LitterOfDam>,
    /// Her inbreeding over the whole pedigree, 0–1; `None` when she is not in it.
    pub inbreeding: Option<f64>,
    /// Inbreeding of her pups by each sire that is or may be theirs, 0–1.
    pub pups_inbreeding: BTreeMap<Uuid, f64>,
}

impl DamRecords {
    /// What she is called: call name, else name, else "the dam".
    pub fn called(&self) -> String {
        let name = self.dog.as_ref().and_then(|dog| dog.call_name.clone().or(dog.name.clone()));
        name.unwrap_or_else(|| said!("called-the-dam").to_string())
    }

    /// Takes from the pedigree how inbred she is, and her pups by the sires of litters that are
    /// not born, of her matings and of `others`; where a dog is not in it, that stays unknown.
    pub fn look_up_inbreeding(&mut self, book: &Studbook<Uuid>, others: &[Uuid]) {
        let open = self.litters.iter().filter(|l| l.litter.record.whelped_on.is_none());
        let mut sires: BTreeSet<Uuid> =
            open.filter_map(|l| l.litter.record.sire_id).chain(others.iter().copied()).collect();
        let matings = self.matings.iter().filter(|m| m.record.status != MatingStatus::CalledOff);
        sires.extend(matings.map(|m| m.record.sire_id));
        self.inbreeding = book.inbreeding(&self.dam_id);
        let of = |sire: Uuid| Some((sire, book.trial_mating(&sire, &self.dam_id).ok()?));
        self.pups_inbreeding = sires.into_iter().filter_map(of).collect();
    }
}

/// What the records say of one pregnancy.
#[derive(Debug, Clone, PartialEq)]
pub struct Pregnancy {
    /// When it ends; `None` without evidence.
    pub window: Option<DueWindow>,
    /// What does not agree with the other records.
    pub left_out: Vec<EvidenceLeftOut>,
    /// What would be needed for an answer, or a better one.
    pub lacking: Vec<Text>,
    /// How many pups in all, by what is usual, counts and births; `None` when the counts contradict one
    /// another. Once all are born, their number is told and not this: [`LitterOnRecord::is_all_born`].
    pub pups: Option<PupForecast>,
    /// The dam's temperature near term; `None` while there are no readings.
    pub temperature: Option<TemperatureAssessment>,
    /// What to mind beside the window's own cautions.
    pub cautions: Vec<Caution>,
    /// Latest result of a pregnancy check.
    pub checked: Option<PregnancyResult>,
    /// Progesterone near term: when, and ng/mL.
    pub near_term: Vec<(DateTime<Utc>, f64)>,
}

/// Reads one pregnancy from its records.
pub(crate) fn read_pregnancy(
    records: &PregnancyRecords<'_>,
    time: KennelTime,
    rules: &Rules,
) -> Pregnancy {
    let (evidence, mut left_out) = translate::evidence(records, time, rules);
    let near_term = evidence.iter().filter_map(|item| near_term(item, time)).collect();
    let mut input = input(records, evidence, time);
    let first = solve::window(&input, rules, &mut Vec::new());
    let pups = forecast_pups(records, first.window.as_ref(), time, rules);
    let (temperature, rejected) = read_temperature(records, first.window.as_ref(), time, rules);
    left_out.extend(rejected);
    input.chance_small_litter = pups.as_ref().ok().map(|p| p.chance_small_litter(rules));
    input.temperature_fell = temperature.as_ref().and_then(|t| fell(t, records, time, rules));
    input
        .evidence
        .extend(temperature.as_ref().and_then(|t| t.dating_evidence(|at| time.local(at))));
    let solved = solve::window(&input, rules, &mut left_out);
    let mut lacking = solved.lacking;
    if let Err(faults) = &pups {
        let told = |fault: &Fault| said!("pregnancy-pups-unknowable", fault = &fault.detail);
        lacking.extend(faults.iter().map(told));
    }
    let checked = records.latest_check().map(|check| check.result);
    let mut cautions = solved.cautions;
    cautions.extend(not_pregnant(records, time));
    Pregnancy {
        window: solved.window,
        left_out,
        lacking,
        pups: pups.ok(),
        temperature,
        cautions,
        checked,
        near_term,
    }
}

/// A sample of progesterone near term.
fn near_term(item: &DatingEvidence, time: KennelTime) -> Option<(DateTime<Utc>, f64)> {
    let DatingEvidence::PrewhelpingProgesterone { at, ng_per_ml } = item else { return None };
    Some((time.tz.from_local_datetime(at).earliest()?.with_timezone(&Utc), *ng_per_ml))
}

fn input(
    records: &PregnancyRecords<'_>,
    evidence: Vec<DatingEvidence>,
    time: KennelTime,
) -> DatingInput {
    let dog = records.dam.dog.as_ref();
    let day_ago = time.now - Duration::hours(24);
    let recent = records.dam.signs.iter().filter(|(at, _)| *at >= day_ago && *at <= time.now);
    let signs: BTreeSet<PregnancySign> = recent.map(|(_, sign)| *sign).collect();
    DatingInput {
        today: time.today(),
        now: Some(time.local(time.now)),
        heat_began_on: records.heat.map(|heat| heat.record.began_on),
        whelped_on: records.litter.litter.record.whelped_on,
        breed: dog.and_then(|d| d.breed.clone()),
        adult_weight_g: dog.and_then(|d| d.adult_weight_g).map(f64::from),
        chance_small_litter: None,
        temperature_fell: None,
        signs: signs.into_iter().collect(),
        evidence,
    }
}

fn forecast_pups(
    records: &PregnancyRecords<'_>,
    window: Option<&DueWindow>,
    time: KennelTime,
    rules: &Rules,
) -> Result<PupForecast, Vec<Fault>> {
    let dog = records.dam.dog.as_ref();
    let from = window.and_then(|w| w.counted_from_on);
    expected_pups(
        &ExpectedPupsInput {
            breed: dog.and_then(|d| d.breed.clone()),
            adult_weight_g: dog.and_then(|d| d.adult_weight_g).map(f64::from),
            earlier_litters: records.earlier_litters(),
            method: records.mating.map(|mating| mating.record.method),
            litter_inbreeding: records
                .sire_id()
                .and_then(|sire| records.dam.pups_inbreeding.get(&sire).copied()),
            dam_inbreeding: records.dam.inbreeding,
            counts: translate::counts(records, from, time),
            born_so_far: records.litter.born,
        },
        rules,
    )
}

/// How many pups to expect of a mating that is only planned.
pub(crate) fn forecast_for_dam(
    dam: &DamRecords,
    sire_id: Option<Uuid>,
    method: Option<MatingMethod>,
    rules: &Rules,
) -> Option<PupForecast> {
    let dog = dam.dog.as_ref();
    let input = ExpectedPupsInput {
        breed: dog.and_then(|d| d.breed.clone()),
        adult_weight_g: dog.and_then(|d| d.adult_weight_g).map(f64::from),
        earlier_litters: dam.whelpings.iter().map(|l| l.born).filter(|born| *born > 0).collect(),
        method,
        litter_inbreeding: sire_id.and_then(|sire| dam.pups_inbreeding.get(&sire).copied()),
        dam_inbreeding: dam.inbreeding,
        ..ExpectedPupsInput::default()
    };
    expected_pups(&input, rules).ok()
}

/// Assesses the dam's temperature in the days before the window opens and until she whelps.
fn read_temperature(
    records: &PregnancyRecords<'_>,
    window: Option<&DueWindow>,
    time: KennelTime,
    rules: &Rules,
) -> (Option<TemperatureAssessment>, Vec<EvidenceLeftOut>) {
    #[expect(clippy::cast_possible_truncation, reason = "a rule of days")]
    let before = rules.value("temperature.before_window_days").round() as i64;
    let whelped_on = records.litter.litter.record.whelped_on;
    let opens = window.map(|w| w.earliest).or(whelped_on).unwrap_or_else(|| time.today());
    let from = shift(opens, -before);
    let mut readings: Vec<TemperatureReading> = records
        .dam
        .temperatures
        .iter()
        .map(|kept| TemperatureReading {
            taken_at: kept.record.measured_at,
            temperature_c: kept.record.temperature_c,
        })
        .filter(|r| time.day_of(r.taken_at) >= from && r.taken_at <= time.now)
        .filter(|r| whelped_on.is_none_or(|day| time.day_of(r.taken_at) <= day))
        .collect();
    if readings.is_empty() {
        return (None, Vec::new());
    }
    let now =
        whelped_on.and_then(|_| readings.iter().map(|r| r.taken_at).max()).unwrap_or(time.now);
    let mut rejected = Vec::new();
    loop {
        match assess_temperature(&readings, now, rules) {
            Ok(found) => return (Some(found), rejected),
            Err(faults) => {
                let taken = solve::take_faulty(&mut readings, &faults, "/readings/");
                if taken.is_empty() {
                    return (None, rejected);
                }
                rejected.extend(taken.into_iter().map(|(reading, why)| EvidenceLeftOut {
                    what: said!(
                        "pregnancy-temperature-of",
                        at = moment(time.local(reading.taken_at))
                    ),
                    why,
                }));
            }
        }
    }
}

/// Whether the temperature fell; unknown unless it was taken often enough to see.
fn fell(
    found: &TemperatureAssessment,
    records: &PregnancyRecords<'_>,
    time: KennelTime,
    rules: &Rules,
) -> Option<bool> {
    if found.dating_evidence(|at| time.local(at)).is_some() {
        return Some(true);
    }
    let since = time.now - Duration::hours(48);
    let recent: f64 = records
        .dam
        .temperatures
        .iter()
        .filter(|t| t.record.measured_at >= since && t.record.measured_at <= time.now)
        .map(|_| 1.0)
        .sum();
    // One of the readings of two days may be missed.
    (recent >= 2.0 * rules.value("temperature.readings_per_day") - 1.0).then_some(false)
}

fn checked_by(method: PregnancyMethod, day: NaiveDate) -> Text {
    match method {
        PregnancyMethod::Palpation => said!("pregnancy-seen-empty-why-palpation", day = day),
        PregnancyMethod::Ultrasound => said!("pregnancy-seen-empty-why-ultrasound", day = day),
        PregnancyMethod::Xray => said!("pregnancy-seen-empty-why-xray", day = day),
        PregnancyMethod::Hormone => said!("pregnancy-seen-empty-why-hormone", day = day),
    }
}

fn not_pregnant(records: &PregnancyRecords<'_>, time: KennelTime) -> Option<Caution> {
    let check = records.latest_check()?;
    if check.result == PregnancyResult::Lost {
        return Some(lost(check, time));
    }
    (check.result == PregnancyResult::NotPregnant
        && records.litter.litter.record.whelped_on.is_none())
    .then(|| {
        Caution::new(
            CautionCode::PregnancySeenEmpty,
            Level::Note,
            said!("pregnancy-seen-empty"),
            checked_by(check.method, time.day_of(check.checked_at)),
            "common practice, no source",
        )
    })
}

/// What to mind once a pregnancy is lost: it has causes that others catch, people too.
fn lost(check: &PregnancyCheck, time: KennelTime) -> Caution {
    let day = time.day_of(check.checked_at);
    let why = match check.lost_how {
        Some(LossKind::Aborted) => said!("pregnancy-lost-why-aborted", day = day),
        Some(LossKind::Resorbed) => said!("pregnancy-lost-why-resorbed", day = day),
        Some(LossKind::Unknown) | None => said!("pregnancy-lost-why", day = day),
    };
    Caution::new(
        CautionCode::PregnancyLost,
        Level::Note,
        said!("pregnancy-lost"),
        why,
        "Hollett RB 2006, Theriogenology 66:575-587 (Brucella canis: abortion, infertility, people catch it); Colorado Department of Agriculture, guidance for kennels (test after any loss; read 2026-11-30)",
    )
    .with("lost_on", day.to_string())
}

#[cfg(test)]
pub(crate) mod sign_limits_tests;
#[cfg(test)]
pub(crate) mod tests;
