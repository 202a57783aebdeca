//! Records that agree become evidence; those that do not are named.

use super::*;
use crate::limits_tests::{Limit, at_least, at_most, check};
use crate::record::{
    MatingMethod, MatingStatus, Measure, MeasureKind, PregnancyMethod, ReadingKind, ReadingUnit,
    Residence, Sex, Tie,
};

const DAM: Uuid = Uuid::from_u128(1);
const HEAT: Uuid = Uuid::from_u128(2);
const MATING: Uuid = Uuid::from_u128(3);
const LITTER: Uuid = Uuid::from_u128(4);

fn at(text: &str) -> DateTime<Utc> {
    format!("{text}:00Z").parse().unwrap()
}

fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

fn kept<R>(id: Uuid, record: R) -> Kept<R> {
    let then = at("2024-01-01T00:00");
    Kept { id, version: 1, created_at: then, updated_at: then, record }
}

fn time(now: &str) -> KennelTime {
    KennelTime { now: at(now), tz: "Europe/Berlin".parse().unwrap() }
}

fn dog() -> Dog {
    Dog {
        name: Some("Juno".into()),
        call_name: None,
        sex: Some(Sex::Female),
        breed: None,
        colour: None,
        markings: None,
        born_on: None,
        died_on: None,
        died_of: None,
        sire_id: None,
        dam_id: None,
        chip_number: None,
        registrations: Vec::new(),
        adult_weight_g: Some(20_000),
        residence: Residence::Here,
        came_on: None,
        for_breeding: true,
        imported_id: None,
        note: None,
    }
}

fn reading(taken_at: &str, value: f64) -> Kept<HeatReading> {
    let record = HeatReading {
        heat_id: HEAT,
        kind: ReadingKind::Progesterone,
        taken_at: at(taken_at),
        value: Some(value),
        unit: Some(ReadingUnit::NgPerMl),
        finding: None,
        note: None,
        confirmed: false,
    };
    kept(Uuid::now_v7(), record)
}

fn records(ties: &[&str]) -> DamRecords {
    let mating = Mating {
        dam_id: DAM,
        sire_id: Uuid::from_u128(8),
        heat_id: Some(HEAT),
        status: MatingStatus::Done,
        method: MatingMethod::Natural,
        planned_on: None,
        ties: ties.iter().map(|text| Tie { at: at(text) }).collect(),
        note: None,
    };
    let heat = Heat {
        dog_id: DAM,
        began_on: day("2024-01-01"),
        ended_on: None,
        note: None,
        confirmed: false,
    };
    let litter: Litter =
        serde_json::from_value(serde_json::json!({ "dam_id": DAM, "mating_id": MATING })).unwrap();
    DamRecords {
        dam_id: DAM,
        dog: Some(dog()),
        born_here: false,
        heats: vec![kept(HEAT, heat)],
        readings: Vec::new(),
        matings: vec![kept(MATING, mating)],
        checks: Vec::new(),
        temperatures: Vec::new(),
        signs: Vec::new(),
        litters: vec![LitterOnRecord {
            litter: kept(LITTER, litter),
            born: 0,
            born_alive: 0,
            free: Vec::new(),
            here: 0,
            whelping: false,
            caesarean: None,
        }],
        whelpings: vec![LitterOfDam {
            litter_id: LITTER,
            dam_id: DAM,
            whelped_on: None,
            weaned_on: None,
            born: 0,
        }],
        inbreeding: None,
        pups_inbreeding: BTreeMap::new(),
    }
}

fn answer(dam: &DamRecords, now: &str) -> LitterDueWindow {
    let (time, rules) = (time(now), Rules::standard());
    let records = PregnancyRecords::of(dam, LITTER, time, &rules).unwrap();
    let pregnancy = read_pregnancy(&records, time, &rules);
    LitterDueWindow::of(&records, pregnancy, time)
}

/// Common practice counts 57 to 72 days from a single mating (Merck Veterinary Manual).
#[test]
fn one_mating_gives_an_honestly_wide_window() {
    let window = answer(&records(&["2024-01-12T10:00"]), "2024-02-20T10:00");
    let from = |on: Option<NaiveDate>| (on.unwrap() - day("2024-01-12")).num_days();
    assert!((56..=60).contains(&from(window.earliest)), "{:?}", window.earliest);
    assert!((66..=73).contains(&from(window.latest)), "{:?}", window.latest);
    assert!((60..=66).contains(&from(window.likely)));
    assert_eq!(window.day_of_pregnancy, Some(39));
    assert!(window.cautions.iter().any(|c| c.what.contains("window is wide")));
}

/// Ovulation at 5 to 6 ng/mL on 14 January: due 63 days later.
#[test]
fn progesterone_narrows_it_and_a_day_is_that_of_the_kennel() {
    let mut dam = records(&["2024-01-15T23:30"]);
    dam.readings = [("10", 0.6), ("12", 2.2), ("14", 5.6), ("16", 13.0)]
        .map(|(on, value)| reading(&format!("2024-01-{on}T09:00"), value))
        .to_vec();
    let window = answer(&dam, "2024-03-01T10:00");
    let likely = (window.likely.unwrap() - day("2024-03-17")).num_days();
    assert!(likely.abs() <= 1, "{:?}", window.likely);
    // Kutzler et al. 2003: all litters within three days of the day so foretold.
    assert!((window.latest.unwrap() - window.earliest.unwrap()).num_days() <= 6);
    // 23:30 UTC is half past midnight in Berlin.
    let mating = window.evidence.iter().find(|e| e.detail.contains("mating")).unwrap();
    assert_eq!(mating.on, day("2024-01-16"));
    // Ten nanomoles are about three nanograms.
    let mut in_nmol = dam.clone();
    for reading in &mut in_nmol.readings {
        reading.record.value = reading.record.value.map(|ng| ng * 3.18);
        reading.record.unit = Some(ReadingUnit::NmolPerL);
    }
    assert_eq!(answer(&in_nmol, "2024-03-01T10:00").likely, window.likely);
}

#[test]
fn a_mistaken_record_is_named_and_does_not_take_the_answer_away() {
    let mut dam = records(&["2024-01-12T10:00", "2023-12-01T10:00"]);
    let check = PregnancyCheck {
        mating_id: MATING,
        checked_at: at("2024-02-10T10:00"),
        method: PregnancyMethod::Ultrasound,
        result: PregnancyResult::Pregnant,
        count_at_least: None,
        count_at_most: None,
        heartbeats: None,
        resorptions: None,
        lost_how: None,
        measures: vec![Measure { kind: MeasureKind::Bp, value_mm: 90.0 }],
        due_on: None,
        note: None,
    };
    dam.checks = vec![kept(Uuid::from_u128(5), check)];
    let window = answer(&dam, "2024-02-20T10:00");
    let what: Vec<String> = window.left_out.iter().map(|left| left.what.to_string()).collect();
    assert_eq!(what, ["mating of 2023-12-01", "ultrasound measure of 2024-02-10"]);
    assert!(window.likely.is_some());
}

#[test]
fn long_past_every_window_it_asks_for_the_whelping() {
    let window = answer(&records(&["2024-01-12T10:00"]), "2024-06-01T10:00");
    assert_eq!(window.cautions[0].level, Level::Emergency);
    assert!(window.likely.is_some_and(|day| day < "2024-04-01".parse().unwrap()));
    let mut none = records(&[]);
    none.matings.clear();
    let nothing = answer(&none, "2024-02-20T10:00");
    assert!(nothing.likely.is_none() && nothing.lacking.len() == 1);
}

/// A reading so many days before the first due day of one ovulation.
fn read_before_window(days: f64, rules: &Rules) -> bool {
    let mut dam = records(&[]);
    dam.readings = [("10", 0.6), ("12", 2.2), ("14", 5.6), ("16", 13.0)]
        .map(|(on, value)| reading(&format!("2024-01-{on}T09:00"), value))
        .to_vec();
    let time = time("2024-02-20T10:00");
    let earliest = {
        let records = PregnancyRecords::of(&dam, LITTER, time, rules).unwrap();
        read_pregnancy(&records, time, rules).window.unwrap().earliest
    };
    let on = shift(earliest, -(days as i64));
    let taken = Temperature {
        dog_id: DAM,
        measured_at: on.and_hms_opt(9, 0, 0).unwrap().and_utc(),
        temperature_c: 38.0,
        note: None,
    };
    dam.temperatures = vec![kept(Uuid::now_v7(), taken)];
    let later = KennelTime { now: at("2024-03-12T10:00"), ..time };
    let records = PregnancyRecords::of(&dam, LITTER, later, rules).unwrap();
    read_pregnancy(&records, later, rules).temperature.is_some()
}

/// Whether a smear of so many cornified cells was one of oestrus, as the next, lower one tells.
fn cornified(share: f64, rules: &Rules) -> bool {
    let smear = |on: &str, value| {
        let unit = Some(ReadingUnit::CornifiedFraction);
        let kept = reading(&format!("2024-01-{on}T09:00"), value);
        HeatReading { kind: ReadingKind::Cytology, unit, ..kept.record }
    };
    let (first, second) = (smear("10", share), smear("14", 0.1));
    let heat = records(&[]).heats[0].record.clone();
    let report = heat_report(HEAT, &heat, &[&first, &second], time("2024-01-20T10:00"), rules);
    !report.unwrap().left_out.is_empty()
}

pub(crate) const LIMITS: &[Limit] = &[
    at_most(
        "temperature.before_window_days",
        "from this many days before",
        1.0,
        read_before_window,
    ),
    at_least("cycle.oestrus_cornified_fraction", "at least this share", 0.01, cornified),
];

#[test]
fn each_limit_of_what_counts_as_evidence_on_it_before_and_after() {
    check(LIMITS);
}
