//! No criterion for a call is silenced by what only looks like an end.
//!
//! The criteria and their sources: strong contractions without a pup, weak ones, a pause, green
//! discharge, fluids, a pup that is stuck, a fall of temperature without labour, gestation too long:
//! Jutkowitz LA 2005, Vet Clin North Am Small Anim Pract 35:397-420, box 2; first stage, and the hours from the fall:
//! Freshman JL 2002, Western Veterinary Conference. Each cell of the table is looked at one minute before its
//! limit and on it.

use super::{Alarm, AlarmAbout, gather, overdue, whelping};
use crate::advice::{CautionCode, Level};
use crate::dating::{CountedFrom, DatingEvidence, DatingInput, OvulationBasis, due_window};
use crate::expected_pups::PupForecast;
use crate::pregnancy::Pregnancy;
use crate::rules::Rules;
use crate::temperature::{TemperatureReading, assess_temperature};
use crate::whelping::{
    BirthMarks, Contractions, DayCount, DischargeColour, LabourSign, PupOut, WhelpingAlarm,
    WhelpingCase, WhelpingEntry, WhelpingEvent,
};
use chrono::{DateTime, Duration, NaiveDate, Utc};

/// What may mask a call.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Mask {
    Nothing,
    CountReached,
    LogFinished,
    TemperatureBack,
    PastMidnight,
    ClocksForward,
    ClocksBack,
    OutOfOrder,
    DoubleBirth,
}

const MASKS: [Mask; 9] = [
    Mask::Nothing,
    Mask::CountReached,
    Mask::LogFinished,
    Mask::TemperatureBack,
    Mask::PastMidnight,
    Mask::ClocksForward,
    Mask::ClocksBack,
    Mask::OutOfOrder,
    Mask::DoubleBirth,
];

/// A criterion for a call: what was written down, and when it is reached.
struct Criterion {
    name: &'static str,
    code: CautionCode,
    level: Level,
    /// Minutes after the beginning, and what was written.
    entries: Vec<(i64, WhelpingEvent)>,
    /// Minutes after the beginning of each birth.
    births: Vec<i64>,
    /// Minutes after the beginning at which it is reached.
    limit: i64,
}

fn strains(strength: Contractions) -> WhelpingEvent {
    WhelpingEvent::Contractions { strength }
}

fn discharge(colour: DischargeColour) -> WhelpingEvent {
    WhelpingEvent::Discharge { colour, amount: None }
}

fn criteria() -> Vec<Criterion> {
    use CautionCode::*;
    use Level::{Act, Emergency};
    let one = |name, code, level, entries, births, limit| Criterion {
        name,
        code,
        level,
        entries,
        births,
        limit,
    };
    let sign = || WhelpingEvent::Sign { sign: LabourSign::Panting };
    vec![
        one(
            "strong straining before a pup",
            Straining,
            Emergency,
            vec![(5, strains(Contractions::Strong))],
            vec![],
            25,
        ),
        one(
            "strong straining after a pup",
            Straining,
            Emergency,
            vec![(65, strains(Contractions::Strong))],
            vec![0, 60],
            85,
        ),
        one(
            "weak contractions after a pup",
            WeakContractions,
            Act,
            vec![(65, strains(Contractions::Weak))],
            vec![0, 60],
            65 + 120,
        ),
        one("a long pause", NoPupSince, Act, vec![(-200, sign())], vec![0, 60], 60 + 120),
        one(
            "waters and no pup",
            Waters,
            Emergency,
            vec![(5, WhelpingEvent::Waters {})],
            vec![],
            125,
        ),
        one(
            "green discharge before the first pup",
            GreenDischarge,
            Emergency,
            vec![(5, discharge(DischargeColour::GreenBlack))],
            vec![],
            5,
        ),
        one(
            "foul discharge in labour",
            FoulDischarge,
            Act,
            vec![(5, discharge(DischargeColour::Foul))],
            vec![0, 60],
            5,
        ),
        one(
            "bright red discharge in labour",
            BrightRed,
            Emergency,
            vec![(5, discharge(DischargeColour::BrightRed))],
            vec![0, 60],
            5,
        ),
        one(
            "a pup that is stuck",
            PupStuck,
            Emergency,
            vec![(65, WhelpingEvent::Alarm { alarm: WhelpingAlarm::PupStuck })],
            vec![0, 60],
            65,
        ),
        one(
            "a collapse",
            Collapse,
            Emergency,
            vec![(65, WhelpingEvent::Alarm { alarm: WhelpingAlarm::Collapse })],
            vec![0, 60],
            65,
        ),
        one("a long first stage", FirstStageLong, Act, vec![(0, sign())], vec![], 480),
        one("a first stage of a day", FirstStageLong, Emergency, vec![(0, sign())], vec![], 1440),
    ]
}

fn time(text: &str) -> DateTime<Utc> {
    text.parse().unwrap()
}

/// When the night begins, in a kennel whose clocks change on 29 March and 25 October at 01:00 UTC.
fn start(mask: Mask, limit: i64) -> DateTime<Utc> {
    let limit = Duration::minutes(limit);
    match mask {
        // The limit falls five minutes after midnight of the kennel.
        Mask::PastMidnight => time("2026-06-01T22:05:00Z") - limit,
        Mask::ClocksForward => time("2026-03-29T01:05:00Z") - limit,
        Mask::ClocksBack => time("2026-10-25T01:05:00Z") - limit,
        _ => time("2026-06-01T06:00:00Z"),
    }
}

fn birth(at: DateTime<Utc>, ordinal: i32) -> PupOut {
    let marks = BirthMarks {
        ordinal,
        born_at: at,
        female: Some(true),
        collar: None,
        colour: None,
        weight_g: None,
    };
    PupOut { born_at: at, alive: true, placenta_seen: true, marks: Some(marks) }
}

/// The night of a criterion under a mask, as it stands when the limit is reached; `None` where the mask
/// cannot be put on it.
fn night(criterion: &Criterion, mask: Mask) -> Option<(WhelpingCase, DateTime<Utc>)> {
    let begins = start(mask, criterion.limit);
    let at = |minutes: i64| begins + Duration::minutes(minutes);
    let mut entries: Vec<WhelpingEntry> = criterion
        .entries
        .iter()
        .map(|(minutes, event)| WhelpingEntry { at: at(*minutes), event: event.clone() })
        .collect();
    let mut births: Vec<PupOut> =
        criterion.births.iter().zip(1..).map(|(m, ordinal)| birth(at(*m), ordinal)).collect();
    let mut expected = Some(PupForecast::counted(6, 8));
    match mask {
        Mask::CountReached => {
            let out = births.len() as u32;
            if out == 0 {
                return None;
            }
            expected = Some(PupForecast::counted(out, out));
        }
        Mask::LogFinished => {
            // It closes a pause: that she rests is all there was to say.
            if criterion.births.is_empty() || criterion.code == CautionCode::NoPupSince {
                return None;
            }
            let end = at(criterion.limit - 1).max(entries[0].at);
            entries.push(WhelpingEntry { at: end, event: WhelpingEvent::Finished {} });
            expected = Some(PupForecast::counted(2, 2));
        }
        Mask::TemperatureBack => {
            for (minutes, temperature_c) in [(-600, 37.0), (-590, 36.9), (-60, 38.3), (0, 38.4)] {
                let event = WhelpingEvent::Temperature { temperature_c };
                entries.push(WhelpingEntry { at: at(minutes), event });
            }
        }
        Mask::OutOfOrder => {
            entries.reverse();
            births.reverse();
        }
        Mask::DoubleBirth => {
            let last = births.last()?.born_at;
            let again = birth(last + Duration::minutes(2), births.len() as i32 + 1);
            births.push(again);
        }
        Mask::Nothing | Mask::PastMidnight | Mask::ClocksForward | Mask::ClocksBack => {}
    }
    let case = WhelpingCase {
        entries,
        births,
        expected,
        counted: Some(DayCount {
            from: CountedFrom::Ovulation,
            on: begins.date_naive() - Duration::days(63),
        }),
        time_zone: chrono_tz::Europe::Amsterdam,
    };
    Some((case, at(criterion.limit)))
}

fn about() -> AlarmAbout {
    AlarmAbout { litter_id: None, dog_id: None, label: "Juno".into() }
}

fn alarms(case: &WhelpingCase, pregnancy: Option<&Pregnancy>, now: DateTime<Utc>) -> Vec<Alarm> {
    let rules = Rules::standard();
    let mut found = whelping::findings(case, now, &rules);
    found.extend(overdue::findings(case, pregnancy, now, &rules));
    gather(&about(), found)
}

/// The level at which something of this code is said, alone or as a ground.
fn said(alarms: &[Alarm], code: CautionCode) -> Option<Level> {
    let grounds = alarms.iter().flat_map(|alarm| &alarm.grounds);
    grounds.filter(|ground| ground.code == code).map(|ground| ground.level).max()
}

#[test]
fn no_criterion_is_silenced_by_any_mask() {
    let mut cells = 0;
    for criterion in criteria() {
        for mask in MASKS {
            let Some((case, now)) = night(&criterion, mask) else { continue };
            cells += 1;
            let name = format!("{} x {mask:?}", criterion.name);
            let before = alarms(&case, None, now - Duration::minutes(1));
            assert!(said(&before, criterion.code) < Some(criterion.level), "{name}: too early");
            let reached = alarms(&case, None, now);
            assert!(said(&reached, criterion.code) >= Some(criterion.level), "{name}: {reached:?}");
        }
    }
    assert!(cells >= 80, "{cells} cells");
}

/// What the clock alone will bring is in the list before, with its time.
#[test]
fn a_limit_that_runs_is_there_before_it_is_reached() {
    for criterion in criteria() {
        let begun = criterion.entries.iter().map(|(minutes, _)| *minutes).max().unwrap();
        let (case, now) = night(&criterion, Mask::Nothing).unwrap();
        let begun = start(Mask::Nothing, criterion.limit) + Duration::minutes(begun.max(0));
        if begun >= now - Duration::minutes(1) {
            continue;
        }
        let before = alarms(&case, None, now - Duration::minutes(1));
        let next = before.iter().filter_map(|alarm| alarm.next_limit_at).min();
        assert_eq!(next, Some(now), "{}", criterion.name);
    }
}

/// A dam that carries, with one piece of evidence, on a day, and readings of her temperature.
fn carrying(
    evidence: DatingEvidence,
    readings: &[(DateTime<Utc>, f64)],
    now: DateTime<Utc>,
) -> (WhelpingCase, Pregnancy) {
    let rules = Rules::standard();
    let input = DatingInput {
        today: now.date_naive(),
        now: Some(now.naive_utc()),
        heat_began_on: None,
        whelped_on: None,
        breed: None,
        adult_weight_g: None,
        chance_small_litter: None,
        temperature_fell: None,
        signs: Vec::new(),
        evidence: vec![evidence],
    };
    let readings: Vec<TemperatureReading> = readings
        .iter()
        .map(|(taken_at, temperature_c)| TemperatureReading {
            taken_at: *taken_at,
            temperature_c: *temperature_c,
        })
        .collect();
    let pregnancy = Pregnancy {
        window: due_window(&input, &rules).ok(),
        left_out: Vec::new(),
        lacking: Vec::new(),
        pups: None,
        temperature: assess_temperature(&readings, now, &rules).ok(),
        cautions: Vec::new(),
        checked: None,
        near_term: Vec::new(),
    };
    let case = WhelpingCase {
        entries: Vec::new(),
        births: Vec::new(),
        expected: None,
        counted: None,
        time_zone: chrono_tz::UTC,
    };
    (case, pregnancy)
}

fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

/// Freshman 2002: a day since the fall without labour, whether it came back or was read once.
#[test]
fn a_fall_that_no_labour_follows_calls_after_a_day() {
    let fell = time("2026-06-02T08:00:00Z");
    let hour = |h: i64| fell + Duration::hours(h);
    let usual = [-60, -48, -36, -24, -12].map(|h| (hour(h), 38.1));
    let ovulation = || DatingEvidence::Ovulation {
        on: day("2026-04-01"),
        basis: OvulationBasis::Other,
        sd_days: None,
    };
    for (name, after) in [
        ("still low", vec![(hour(0), 37.0), (hour(10), 36.9)]),
        ("back", vec![(hour(0), 37.0), (hour(10), 36.9), (hour(20), 38.2)]),
        ("read once", vec![(hour(0), 37.0), (hour(12), 38.0), (hour(22), 38.1)]),
    ] {
        let readings: Vec<_> = usual.iter().copied().chain(after).collect();
        let fell_level = |now: DateTime<Utc>, entries: Vec<WhelpingEntry>| {
            let (mut case, pregnancy) = carrying(ovulation(), &readings, now);
            case.entries = entries;
            said(&alarms(&case, Some(&pregnancy), now), CautionCode::OverdueTemperatureFell)
        };
        assert_eq!(fell_level(hour(24) - Duration::minutes(1), vec![]), None, "{name}");
        assert_eq!(fell_level(hour(24), vec![]), Some(Level::Emergency), "{name}");
        // Digging of days before is no labour; panting after the fall is, and has limits of its own.
        let dug = WhelpingEvent::Sign { sign: LabourSign::Nesting };
        let dug = WhelpingEntry { at: hour(-50), event: dug };
        assert_eq!(fell_level(hour(24), vec![dug]), Some(Level::Emergency), "{name}");
        let pants = WhelpingEvent::Sign { sign: LabourSign::Panting };
        let pants = WhelpingEntry { at: hour(3), event: pants };
        assert_eq!(fell_level(hour(24), vec![pants]), None, "{name}");
    }
}

#[test]
fn low_progesterone_without_labour_calls() {
    let taken = time("2026-06-02T08:00:00Z");
    let level = |ng_per_ml: f64, hours: i64| {
        let now = taken + Duration::hours(hours);
        let evidence = DatingEvidence::Ovulation {
            on: day("2026-04-01"),
            basis: OvulationBasis::Other,
            sd_days: None,
        };
        let (case, mut pregnancy) = carrying(evidence, &[], now);
        pregnancy.near_term = vec![(taken, ng_per_ml)];
        said(&alarms(&case, Some(&pregnancy), now), CautionCode::OverdueProgesteroneLow)
    };
    assert_eq!(level(2.1, 60), None);
    assert_eq!(level(2.0, 47), Some(Level::Note));
    assert_eq!(level(2.0, 48), Some(Level::Act));
    assert_eq!(level(1.0, 23), Some(Level::Note));
    assert_eq!(level(1.0, 24), Some(Level::Act));
}

/// Concannon: LH + 64 to 66 in over 95 %; Jutkowitz: over 70 days of gestation.
#[test]
fn overdue_is_asked_about_and_then_called_by_each_way_of_counting() {
    let on = day("2026-04-01");
    let ovulation =
        || DatingEvidence::Ovulation { on, basis: OvulationBasis::Other, sd_days: None };
    let mating = || DatingEvidence::Mating { on, method: crate::record::MatingMethod::Natural };
    type Make<'a> = &'a dyn Fn() -> DatingEvidence;
    let cases: [(&str, Make<'_>, i64, i64); 3] = [
        ("ovulation", &ovulation, 65, 66),
        ("LH", &|| DatingEvidence::LhSurge { on }, 67, 68),
        ("mating", &mating, 70, 72),
    ];
    for (name, evidence, ask, call) in cases {
        let level = |days: i64| {
            let now = (on + Duration::days(days)).and_hms_opt(9, 0, 0).unwrap().and_utc();
            let (case, pregnancy) = carrying(evidence(), &[], now);
            said(&alarms(&case, Some(&pregnancy), now), CautionCode::OverduePregnancy)
        };
        assert_eq!(level(ask - 1), Some(Level::Note), "{name}");
        assert_eq!(level(ask), Some(Level::Act), "{name}");
        assert_eq!(level(call - 1), Some(Level::Act), "{name}");
        assert_eq!(level(call), Some(Level::Emergency), "{name}");
        assert_eq!(level(call + 10), Some(Level::Emergency), "{name} does not drift on");
    }
}

/// Two in a row, by the times of the births and not their numbers; one that was written twice is one.
#[test]
fn stillborn_pups_in_a_row_speak_at_once() {
    let begins = time("2026-06-01T06:00:00Z");
    let level = |pups: &[(i64, bool)], minutes: i64| {
        let births = pups.iter().zip(1..).map(|((at, alive), ordinal)| PupOut {
            alive: *alive,
            ..birth(begins + Duration::minutes(*at), ordinal)
        });
        let case = WhelpingCase {
            entries: Vec::new(),
            births: births.collect(),
            expected: Some(PupForecast::counted(6, 8)),
            counted: None,
            time_zone: chrono_tz::UTC,
        };
        let now = begins + Duration::minutes(minutes);
        said(&alarms(&case, None, now), CautionCode::StillbornInARow)
    };
    assert_eq!(level(&[(0, true), (30, false)], 40), None);
    assert_eq!(level(&[(0, true), (30, false), (60, false)], 61), Some(Level::Emergency));
    assert_eq!(level(&[(60, false), (30, false), (0, true)], 61), Some(Level::Emergency));
    assert_eq!(level(&[(30, false), (32, false)], 40), None, "one pup written down twice");
    assert_eq!(level(&[(0, false), (30, false), (60, true)], 70), Some(Level::Act));
}
