//! Records as the domain's evidence: readings of a heat, matings, checks.

use super::{
    EvidenceLeftOut, KennelTime, PregnancyRecords, select::mating_days, solve::take_faulty,
};
use crate::{
    cycle::{
        CycleReading, CytologyStage, HeatSign, HeatTiming, ProgesteroneUnit, dating_evidence,
        read_heat,
        womb_watch::{WombSign, WombSignSeen, WombWatch, womb_watch},
    },
    dating::{DatingEvidence, OvulationBasis, PregnancySign},
    day_chances::shift,
    expected_pups::{PupCount, PupCountMethod},
    fault::Fault,
    moment::Moment,
    record::{
        Heat, HeatReading, MeasureKind, PregnancyCheck, PregnancyMethod, ReadingKind, ReadingUnit,
    },
    rules::Rules,
    units::moment,
    whelping::{DischargeColour, WhelpingAlarm, WhelpingEvent},
};
use catalogue::{Text, said};
use chrono::{DateTime, NaiveDate, NaiveDateTime, Utc};
use serde::Serialize;
use utoipa::ToSchema;
use uuid::Uuid;

/// Since when an illness, or a sign that needs a vet, counts as one of now (`dating.sign_days`).
pub fn signs_since(moment: &Moment) -> DateTime<Utc> {
    moment.now - moment.rules.span("dating.sign_days")
}

/// The sign, before the first pup, that an entry of the whelping log tells of.
///
/// Vomiting and refused food are left to the log: they belong to the first stage of labour.
pub fn sign_in_log(event: &WhelpingEvent) -> Option<PregnancySign> {
    match event {
        WhelpingEvent::Discharge { colour: DischargeColour::GreenBlack, .. } => {
            Some(PregnancySign::GreenDischarge)
        }
        WhelpingEvent::Discharge { colour: DischargeColour::Foul, .. } => {
            Some(PregnancySign::Unwell)
        }
        WhelpingEvent::Alarm { alarm } => match alarm {
            WhelpingAlarm::HeavyBleeding => Some(PregnancySign::HeavyBleeding),
            WhelpingAlarm::Collapse | WhelpingAlarm::SeverePain | WhelpingAlarm::Fits => {
                Some(PregnancySign::Collapse)
            }
            WhelpingAlarm::PupStuck => None,
        },
        _ => None,
    }
}

/// A reading as the cycle understands it.
enum Read {
    Cycle(CycleReading),
    /// Ovulation dated by a vet without readings.
    Ovulation(NaiveDate),
    /// Progesterone so long after the heat began that it is of late pregnancy, ng/mL.
    NearTerm(f64),
    NotUnderstood(Text),
}

/// What a person wrote as a finding, in one form.
fn word(finding: &str) -> String {
    // American spelling drops the o.
    let plain = finding.trim().to_lowercase().replace([' ', '-'], "_").replace("oestrus", "estrus");
    plain.replace("proestrus", "PRO").replace("estrus", "oestrus").replace("PRO", "proestrus")
}

fn read_reading(
    reading: &HeatReading,
    in_heat: &[CycleReading],
    began_on: NaiveDate,
    time: KennelTime,
    rules: &Rules,
) -> Read {
    let taken_at = time.local(reading.taken_at);
    let finding = reading.finding.as_deref().map(word);
    let cytology = |stage| Read::Cycle(CycleReading::Cytology { taken_at, stage });
    let seen = |sign| Read::Cycle(CycleReading::Sign { taken_at, sign });
    match (reading.kind, reading.value, finding.as_deref()) {
        (ReadingKind::Progesterone, Some(value), _) => {
            let unit = match reading.unit {
                Some(ReadingUnit::NmolPerL) => ProgesteroneUnit::NmolPerL,
                _ => ProgesteroneUnit::NgPerMl,
            };
            let days = (taken_at.date() - began_on).num_days();
            if i32::try_from(days).map_or(f64::INFINITY, f64::from)
                > rules.value("cycle.heat_longest_days")
            {
                return Read::NearTerm(unit.to_ng_per_ml(value, rules));
            }
            Read::Cycle(CycleReading::Progesterone { taken_at, value, unit })
        }
        (ReadingKind::Lh, _, Some("surge" | "positive")) => {
            Read::Cycle(CycleReading::Lh { taken_at, positive: true })
        }
        (ReadingKind::Lh, _, Some("no_surge" | "negative")) => {
            Read::Cycle(CycleReading::Lh { taken_at, positive: false })
        }
        (ReadingKind::Cytology, _, Some("first_day_of_dioestrus")) => {
            cytology(CytologyStage::FirstDioestrus)
        }
        (ReadingKind::Cytology, _, Some("anoestrus")) => cytology(CytologyStage::Anoestrus),
        (ReadingKind::Cytology, _, Some("proestrus")) => cytology(CytologyStage::Proestrus),
        (ReadingKind::Cytology, _, Some("oestrus")) => cytology(CytologyStage::Oestrus),
        (ReadingKind::Cytology, _, Some("dioestrus")) => cytology(CytologyStage::Dioestrus),
        (ReadingKind::Cytology, Some(share), _) => {
            let past = in_heat
                .iter()
                .any(|r| matches!(r, CycleReading::Cytology { stage: CytologyStage::Oestrus, .. }));
            if share >= rules.value("cycle.oestrus_cornified_fraction") {
                cytology(CytologyStage::Oestrus)
            } else if past {
                Read::NotUnderstood(said!("pregnancy-reading-fell"))
            } else {
                cytology(CytologyStage::Proestrus)
            }
        }
        (ReadingKind::Sign, _, Some("bleeding")) => seen(HeatSign::Bleeding),
        (ReadingKind::Sign, _, Some("swelling")) => seen(HeatSign::Swelling),
        (ReadingKind::Sign, _, Some("flagging")) => seen(HeatSign::Flagging),
        (ReadingKind::Sign, _, Some("standing")) => seen(HeatSign::Standing),
        (ReadingKind::Sign, _, Some("refusing")) => seen(HeatSign::Refusing),
        (ReadingKind::Sign, _, Some("ovulation")) => Read::Ovulation(taken_at.date()),
        (ReadingKind::Sign, ..) => Read::NotUnderstood(said!("pregnancy-reading-sign-unknown")),
        (ReadingKind::Lh, ..) => Read::NotUnderstood(said!("pregnancy-reading-lh-finding")),
        (ReadingKind::Cytology, ..) => {
            Read::NotUnderstood(said!("pregnancy-reading-cytology-finding"))
        }
        (ReadingKind::Progesterone, ..) => Read::NotUnderstood(said!("pregnancy-reading-no-value")),
    }
}

/// The readings of a heat, in order of time, and those that say nothing.
struct Readings {
    cycle: Vec<CycleReading>,
    ovulation: Option<NaiveDate>,
    near_term: Vec<DatingEvidence>,
    left_out: Vec<EvidenceLeftOut>,
}

fn reading_of(kind: ReadingKind, at: NaiveDateTime) -> Text {
    let at = moment(at);
    match kind {
        ReadingKind::Progesterone => said!("pregnancy-reading-progesterone-of", at = at),
        ReadingKind::Lh => said!("pregnancy-reading-lh-of", at = at),
        ReadingKind::Cytology => said!("pregnancy-reading-cytology-of", at = at),
        ReadingKind::Sign => said!("pregnancy-reading-sign-of", at = at),
    }
}

/// The sign of an infected womb that a reading tells of.
fn womb_sign(reading: &HeatReading) -> Option<WombSign> {
    let of_sign = reading.kind == ReadingKind::Sign;
    of_sign.then_some(reading.finding.as_deref()).flatten().and_then(womb_sign_of)
}

/// The sign of an infected womb that a finding names, however it is written.
pub(crate) fn womb_sign_of(finding: &str) -> Option<WombSign> {
    WombSign::of(&word(finding))
}

fn read_all(heat: &Heat, readings: &[&HeatReading], time: KennelTime, rules: &Rules) -> Readings {
    let mut sorted = readings.to_vec();
    sorted.sort_by_key(|reading| reading.taken_at);
    let mut all = Readings {
        cycle: Vec::new(),
        ovulation: None,
        near_term: Vec::new(),
        left_out: Vec::new(),
    };
    // What is seen weeks later, of an infected womb, tells nothing of the heat.
    for reading in sorted.into_iter().filter(|reading| womb_sign(reading).is_none()) {
        let at = time.local(reading.taken_at);
        match read_reading(reading, &all.cycle, heat.began_on, time, rules) {
            Read::Cycle(cycle) => all.cycle.push(cycle),
            Read::Ovulation(on) => all.ovulation = Some(on),
            Read::NearTerm(ng_per_ml) => {
                all.near_term.push(DatingEvidence::PrewhelpingProgesterone { at, ng_per_ml });
            }
            Read::NotUnderstood(why) => {
                all.left_out.push(EvidenceLeftOut { what: reading_of(reading.kind, at), why })
            }
        }
    }
    all
}

/// Calls `read` with fewer and fewer readings until none is at fault.
fn without_faulty<T>(
    readings: &mut Vec<CycleReading>,
    left_out: &mut Vec<EvidenceLeftOut>,
    read: impl Fn(&[CycleReading]) -> Result<T, Vec<Fault>>,
) -> Result<T, Vec<Fault>> {
    loop {
        let faults = match read(readings) {
            Ok(found) => return Ok(found),
            Err(faults) => faults,
        };
        let taken = take_faulty(readings, &faults, "/readings/");
        if taken.is_empty() {
            return Err(faults);
        }
        left_out.extend(taken.into_iter().map(|(reading, why)| EvidenceLeftOut {
            what: said!("pregnancy-reading-of", at = moment(reading.taken_at())),
            why,
        }));
    }
}

/// Where a dam stands in a heat, from its records.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct HeatReport {
    /// The heat.
    pub heat_id: Uuid,
    /// The dam.
    pub dog_id: Uuid,
    /// First day of the heat.
    pub began_on: NaiveDate,
    /// Last day of a heat that is over, by its record or because none lasts longer: nothing is proposed any
    /// more. Null while it lasts.
    pub over_on: Option<NaiveDate>,
    /// What the readings say.
    pub timing: HeatTiming,
    /// When she is to be watched for an infected womb afterwards, and what was seen.
    pub womb_watch: WombWatch,
    /// Readings that say nothing, or go against the others.
    pub left_out: Vec<EvidenceLeftOut>,
    /// The line that stands beside every piece of advice.
    #[schema(value_type = String)]
    pub standing_line: Text,
}

/// The last day of a heat that is over, as of `today`; `None` while it lasts.
///
/// One whose end was not written down is over after the rule `cycle.heat_longest_days`.
pub(crate) fn heat_over_on(heat: &Heat, today: NaiveDate, rules: &Rules) -> Option<NaiveDate> {
    #[expect(clippy::cast_possible_truncation, reason = "a rule of days")]
    let longest = shift(heat.began_on, rules.value("cycle.heat_longest_days").round() as i64);
    match heat.ended_on {
        Some(on) if on <= today => Some(on),
        _ => Some(longest).filter(|last| *last < today),
    }
}

/// Reads a heat: LH surge and ovulation, next test, best mating days; of one that is over what was, and
/// nothing to do.
///
/// # Errors
/// `/began_on` when the heat lies in the future.
pub fn heat_report(
    heat_id: Uuid,
    heat: &Heat,
    readings: &[&HeatReading],
    time: KennelTime,
    rules: &Rules,
) -> Result<HeatReport, Vec<Fault>> {
    let Readings { mut cycle, mut left_out, .. } = read_all(heat, readings, time, rules);
    let timing = without_faulty(&mut cycle, &mut left_out, |readings| {
        read_heat(heat.began_on, readings, time.today(), rules)
    })?;
    let over_on = heat_over_on(heat, time.today(), rules);
    let seen = |reading: &&HeatReading| {
        let sign = womb_sign(reading)?;
        Some(WombSignSeen { seen_on: time.day_of(reading.taken_at), sign })
    };
    let seen = readings.iter().filter_map(seen).collect();
    let timing = match over_on {
        Some(_) => {
            HeatTiming { next_test: None, mating_days: Vec::new(), cautions: Vec::new(), ..timing }
        }
        None => timing,
    };
    Ok(HeatReport {
        heat_id,
        dog_id: heat.dog_id,
        began_on: heat.began_on,
        over_on,
        timing,
        womb_watch: womb_watch(heat.began_on, seen, time.today(), rules),
        left_out,
        standing_line: crate::advice::standing_line(),
    })
}

/// All evidence of a pregnancy but the temperature, and what was left out.
pub(super) fn evidence(
    records: &PregnancyRecords<'_>,
    time: KennelTime,
    rules: &Rules,
) -> (Vec<DatingEvidence>, Vec<EvidenceLeftOut>) {
    let mut evidence = Vec::new();
    let mut left_out = Vec::new();
    for mating in &records.matings {
        let method = mating.record.method;
        let days = mating_days(&mating.record, time);
        evidence.extend(days.into_iter().map(|on| DatingEvidence::Mating { on, method }));
    }
    if let Some(heat) = records.heat {
        let all = read_all(&heat.record, &records.readings, time, rules);
        left_out.extend(all.left_out);
        let mut cycle = all.cycle;
        let read = without_faulty(&mut cycle, &mut left_out, |readings| {
            dating_evidence(heat.record.began_on, readings, time.today(), rules)
        });
        evidence.extend(read.unwrap_or_default());
        evidence.extend(all.ovulation.map(|on| DatingEvidence::Ovulation {
            on,
            basis: OvulationBasis::Other,
            sd_days: None,
        }));
        evidence.extend(all.near_term);
    }
    for check in &records.checks {
        evidence.extend(of_check(check, time));
    }
    (evidence, left_out)
}

fn of_check(check: &PregnancyCheck, time: KennelTime) -> Vec<DatingEvidence> {
    let on = time.day_of(check.checked_at);
    let mut evidence = Vec::new();
    for measure in [MeasureKind::Icc, MeasureKind::Bp] {
        let of_kind = check.measures.iter().filter(|m| m.kind == measure);
        let values_mm: Vec<f64> = of_kind.map(|m| m.value_mm).collect();
        if !values_mm.is_empty() {
            evidence.push(DatingEvidence::Ultrasound { on, measure, values_mm });
        }
    }
    evidence.extend(check.due_on.map(|due_on| match check.method {
        PregnancyMethod::Xray => DatingEvidence::Radiograph { on, due_on },
        _ => DatingEvidence::Forecast { on, due_on, sd_days: None },
    }));
    evidence
}

/// The counts of pups, the oldest first; `from` is day 0 of the pregnancy.
pub(super) fn counts(
    records: &PregnancyRecords<'_>,
    from: Option<NaiveDate>,
    time: KennelTime,
) -> Vec<PupCount> {
    let count = |n: Option<i32>| n.and_then(|n| u32::try_from(n).ok());
    let mut counts = Vec::new();
    let mut checks = records.checks.clone();
    checks.sort_by_key(|check| check.checked_at);
    for check in checks {
        let method = match check.method {
            PregnancyMethod::Ultrasound => PupCountMethod::Ultrasound,
            PregnancyMethod::Xray => PupCountMethod::Xray,
            PregnancyMethod::Palpation => PupCountMethod::Palpation,
            PregnancyMethod::Hormone => continue,
        };
        // Hearts that beat are pups seen for certain, where no other number was written down.
        let least = count(check.count_at_least.or(check.heartbeats));
        let most = count(check.count_at_most);
        // A count of none is a result, not a number of pups.
        if least.is_none_or(|n| n == 0) && most.is_none_or(|n| n == 0) {
            continue;
        }
        counts.push(PupCount {
            method,
            count_at_least: least,
            count_at_most: most,
            day_of_pregnancy: from.map(|from| (time.day_of(check.checked_at) - from).num_days()),
        });
    }
    counts
}
