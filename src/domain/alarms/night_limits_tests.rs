//! The limits of the night and of the days before it.

use super::{Finding, overdue, whelping};
use crate::advice::{CautionCode, Level};
use crate::dating::{CountedFrom, DatingEvidence, DatingInput, OvulationBasis, due_window};
use crate::expected_pups::PupForecast;
use crate::limits_tests::{Limit, MINUTE, at_least, at_most, check, less_than, minutes, more_than};
use crate::pregnancy::Pregnancy;
use crate::rules::Rules;
use crate::temperature::{TemperatureReading, assess_temperature};
use crate::whelping::{
    BirthMarks, Contractions, DayCount, DischargeColour, LabourSign, PupOut, WhelpingAlarm,
    WhelpingCase, WhelpingEntry, WhelpingEvent,
};
use CautionCode::*;
use Level::{Act, Emergency, Note};
use chrono::{DateTime, Duration, NaiveDate, Utc};

fn begins() -> DateTime<Utc> {
    "2026-06-01T06:00:00Z".parse().unwrap()
}

/// So many hours after the beginning.
fn at(hours: f64) -> DateTime<Utc> {
    begins() + Duration::minutes(minutes(hours))
}

fn strains(strength: Contractions) -> WhelpingEvent {
    WhelpingEvent::Contractions { strength }
}

fn sign() -> WhelpingEvent {
    WhelpingEvent::Sign { sign: LabourSign::Panting }
}

fn green() -> WhelpingEvent {
    WhelpingEvent::Discharge { colour: DischargeColour::GreenBlack, amount: None }
}

/// A birth at an hour, alive or not, with its placenta or without.
fn pup(hours: f64, alive: bool, placenta_seen: bool) -> PupOut {
    PupOut { born_at: at(hours), alive, placenta_seen, marks: None }
}

fn night(entries: &[(f64, WhelpingEvent)], births: Vec<PupOut>) -> WhelpingCase {
    let entry = |(hours, event): &(f64, WhelpingEvent)| WhelpingEntry {
        at: at(*hours),
        event: event.clone(),
    };
    WhelpingCase {
        entries: entries.iter().map(entry).collect(),
        births,
        expected: Some(PupForecast::counted(6, 8)),
        counted: None,
        time_zone: chrono_tz::UTC,
    }
}

fn said(found: &[Finding], code: CautionCode) -> Option<Level> {
    found.iter().filter(|one| one.caution.code == code).map(|one| one.caution.level).max()
}

fn of_night(case: &WhelpingCase, hours: f64, code: CautionCode, rules: &Rules) -> Option<Level> {
    said(&whelping::findings(case, at(hours), rules), code)
}

/// A night in which this was written at the beginning, hours later.
fn since(event: WhelpingEvent, hours: f64, code: CautionCode, rules: &Rules) -> Option<Level> {
    of_night(&night(&[(0.0, event)], Vec::new()), hours, code, rules)
}

/// Two pups, and she strains on: how the length of the second stage calls, so long after the first.
fn second_stage(hours: f64, rules: &Rules) -> Option<Level> {
    let log = [(1.5, strains(Contractions::Weak))];
    let births = vec![pup(0.0, true, true), pup(1.0, true, true)];
    of_night(&night(&log, births), hours, SecondStageLong, rules)
}

/// Three pups and two placentas: what the missing one calls for, so long after the last.
fn placentas(hours: f64, rules: &Rules) -> Option<Level> {
    let births = vec![pup(-1.0, true, true), pup(-0.5, true, true), pup(0.0, true, false)];
    let mut case = night(&[], births);
    case.expected = Some(PupForecast::counted(3, 3));
    of_night(&case, hours, Placentas, rules)
}

/// So many pups born dead one after another, after one that lives.
fn dead(count: f64, rules: &Rules) -> bool {
    let dead = (1..=count as i32).map(|n| pup(f64::from(n) * 0.5, false, true));
    let births = std::iter::once(pup(0.0, true, true)).chain(dead).collect();
    let hours = count * 0.5 + 0.1;
    of_night(&night(&[], births), hours, StillbornInARow, rules).is_some()
}

/// A log that was closed two pups short, or that nobody closed, hours after the last pup.
fn short(closed: bool, hours: f64, rules: &Rules) -> Option<Level> {
    let end = closed.then_some((0.5, WhelpingEvent::Finished {}));
    let mut case = night(&end.into_iter().collect::<Vec<_>>(), vec![pup(0.0, true, true)]);
    case.expected = Some(PupForecast::counted(3, 3));
    of_night(&case, hours, FewerThanCounted, rules)
}

/// A log that was closed with so many pups out of six, an hour after.
fn fewer(out: f64, rules: &Rules) -> bool {
    let births = (0..out as i32).map(|n| pup(f64::from(n) * 0.5, true, true)).collect();
    let case = night(&[(4.0, WhelpingEvent::Finished {})], births);
    of_night(&case, 5.0, FewerThanCounted, rules).is_some()
}

/// Two births a time in minutes apart with nothing to tell them apart.
fn twice(apart: f64, rules: &Rules) -> bool {
    let marked = |ordinal, hours| {
        let born_at = at(hours);
        let (female, collar, colour, weight_g) = (None, None, None, None);
        let marks = BirthMarks { ordinal, born_at, female, collar, colour, weight_g };
        PupOut { marks: Some(marks), ..pup(hours, true, true) }
    };
    let case = night(&[], vec![marked(1, 0.0), marked(2, apart / 60.0)]);
    of_night(&case, 1.0, PossibleDouble, rules).is_some()
}

/// Labour that begins on a day of pregnancy, hours after what began it.
fn on_day(day: f64, from: CountedFrom, rules: &Rules) -> Option<Level> {
    let mut case = night(&[(0.0, strains(Contractions::Strong))], Vec::new());
    case.counted = Some(DayCount { from, on: begins().date_naive() - Duration::days(day as i64) });
    said(&overdue::findings(&case, None, at(0.2), rules), TooEarly)
}

/// A pup that was born on day 50, hours after its birth.
fn born_early(hours: f64, rules: &Rules) -> bool {
    let mut case = night(&[], vec![pup(0.0, true, true)]);
    let on = begins().date_naive() - Duration::days(50);
    case.counted = Some(DayCount { from: CountedFrom::Ovulation, on });
    said(&overdue::findings(&case, None, at(hours), rules), TooEarly).is_some()
}

/// A dam that carries, dated by one ovulation, with readings at hours from the beginning.
fn carrying(
    ovulated: NaiveDate,
    readings: &[(f64, f64)],
    now: DateTime<Utc>,
    rules: &Rules,
) -> Pregnancy {
    let (basis, sd_days) = (OvulationBasis::Other, None);
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
        evidence: vec![DatingEvidence::Ovulation { on: ovulated, basis, sd_days }],
    };
    let reading = |(hours, temperature_c): &(f64, f64)| TemperatureReading {
        taken_at: at(*hours),
        temperature_c: *temperature_c,
    };
    let readings: Vec<_> = readings.iter().map(reading).collect();
    Pregnancy {
        window: due_window(&input, rules).ok(),
        left_out: Vec::new(),
        lacking: Vec::new(),
        pups: None,
        temperature: assess_temperature(&readings, now, rules).ok(),
        cautions: Vec::new(),
        checked: None,
        near_term: Vec::new(),
    }
}

fn before_birth(
    pregnancy: &Pregnancy,
    hours: f64,
    code: CautionCode,
    rules: &Rules,
) -> Option<Level> {
    let case = night(&[], Vec::new());
    said(&overdue::findings(&case, Some(pregnancy), at(hours), rules), code)
}

/// Ovulation 63 days before the beginning.
fn ovulated() -> NaiveDate {
    begins().date_naive() - Duration::days(63)
}

/// Hours after a fall at the beginning, near the due day.
fn fell(hours: f64, rules: &Rules) -> Option<Level> {
    let readings =
        [(-48.0, 38.1), (-36.0, 38.1), (-24.0, 38.0), (-12.0, 38.1), (0.0, 36.9), (2.0, 36.9)];
    let pregnancy = carrying(ovulated(), &readings, at(hours), rules);
    before_birth(&pregnancy, hours, OverdueTemperatureFell, rules)
}

/// Whether a fall so many days before the first due day is taken for none of labour.
fn fell_before_window(days: f64, rules: &Rules) -> bool {
    let now = at(3.0);
    // From an ovulation to the first due day, asked before either comes near.
    let asked = at(-20.0 * 24.0);
    let window = carrying(ovulated(), &[], asked, rules).window.unwrap();
    let first_day = window.earliest - ovulated();
    let on = begins().date_naive() + Duration::days(days as i64) - first_day;
    let readings =
        [(-48.0, 38.1), (-36.0, 38.1), (-24.0, 38.0), (-12.0, 38.1), (0.0, 36.9), (2.0, 36.9)];
    let pregnancy = carrying(on, &readings, now, rules);
    before_birth(&pregnancy, 3.0, LabourNear, rules) == Some(Note)
}

/// Hours after progesterone near term was measured.
fn low_progesterone(ng_per_ml: f64, hours: f64, rules: &Rules) -> Option<Level> {
    let mut pregnancy = carrying(ovulated(), &[], at(hours), rules);
    pregnancy.near_term = vec![(at(0.0), ng_per_ml)];
    before_birth(&pregnancy, hours, OverdueProgesteroneLow, rules)
}

/// Days until she is overdue.
fn noted(days: f64, rules: &Rules) -> bool {
    let overdue_after = 65.0;
    let on = begins().date_naive() - Duration::days((overdue_after - days) as i64);
    before_birth(&carrying(on, &[], at(0.0), rules), 0.0, OverduePregnancy, rules).is_some()
}

pub(crate) const LIMITS: &[Limit] = &[
    // What runs in the night is reached on its minute: who says "20 minutes" calls then.
    at_least("whelping.strong_straining_minutes", "strong, constant straining", 1.0, |m, r| {
        since(strains(Contractions::Strong), m / 60.0, Straining, r) == Some(Emergency)
    }),
    at_least("whelping.weak_contractions_hours", "weak or rare contractions", MINUTE, |h, r| {
        since(strains(Contractions::Weak), h, WeakContractions, r) == Some(Emergency)
    }),
    at_least("whelping.gap_hours", "time since the last pup", MINUTE, |h, r| {
        let case = night(&[], vec![pup(0.0, true, true)]);
        of_night(&case, h, NoPupSince, r) == Some(Emergency)
    }),
    at_least("whelping.fluid_without_pup_hours", "no pup: call", MINUTE, |h, r| {
        since(WhelpingEvent::Waters {}, h, Waters, r) == Some(Emergency)
    }),
    at_least("whelping.stage_one_hours", "first stage", MINUTE, |h, r| {
        since(sign(), h, FirstStageLong, r) == Some(Act)
    }),
    at_least("whelping.stage_one_long_hours", "at its longest usual", MINUTE, |h, r| {
        // A line of the log in between: who is silent for a day is asked how it ended.
        let case = night(&[(0.0, sign()), (20.0, sign())], Vec::new());
        of_night(&case, h, FirstStageLong, r) == Some(Emergency)
    }),
    at_least("whelping.green_before_first_minutes", "before the first pup: call", 1.0, |m, r| {
        since(green(), m / 60.0, GreenDischarge, r) == Some(Emergency)
    }),
    at_least("whelping.active_labour_hours", "after this time", MINUTE, |h, r| {
        second_stage(h, r) >= Some(Act)
    }),
    at_least("whelping.stage_two_hours", "longest usual", MINUTE, |h, r| {
        second_stage(h, r) == Some(Emergency)
    }),
    at_least("whelping.placentas_out_hours", "out by this time", MINUTE, |h, r| {
        placentas(h, r) == Some(Act)
    }),
    less_than("dam_after_birth.green_hours", "longer than this", MINUTE, |h, r| {
        // From then on her discharge tells more than a count.
        placentas(h, r).is_some()
    }),
    at_least("whelping.stillborn_in_a_row", "so many pups", 1.0, dead),
    more_than("whelping.silent_hours", "longer than this", MINUTE, |h, r| {
        short(false, h, r).is_some()
    }),
    at_most(
        "dam_after_birth.metritis_days",
        "time after whelping in which",
        1.0 / 1440.0,
        |d, r| short(true, d * 24.0, r).is_some(),
    ),
    at_most("whelping.asked_hours", "so long after the last line", MINUTE, |h, r| {
        let collapse = WhelpingEvent::Alarm { alarm: WhelpingAlarm::Collapse };
        since(collapse, h, Collapse, r).is_some()
    }),
    at_most("whelping.asked_hours", "still asked", MINUTE, |h, r| {
        let (what, amount, advised_by) = ("calcium".to_owned(), None, None);
        since(
            WhelpingEvent::Given { what, amount, advised_by, given_to: None, ordinal: None },
            h,
            CalciumBeforeBirth,
            r,
        )
        .is_some()
    }),
    at_most("whelping.double_minutes", "births so close", 1.0, twice),
    less_than("whelping.too_early_day", "before this day", 1.0, |d, r| {
        on_day(d, CountedFrom::Ovulation, r) == Some(Emergency)
    }),
    less_than("whelping.early_day", "before this day", 1.0, |d, r| {
        on_day(d, CountedFrom::Ovulation, r).is_some()
    }),
    less_than("whelping.too_early_mating_day", "before this day", 1.0, |d, r| {
        on_day(d, CountedFrom::FirstMating, r) == Some(Emergency)
    }),
    at_most("whelping.early_watch_hours", "how long", MINUTE, born_early),
    at_least("whelping.fall_without_labour_hours", "so long ago", MINUTE, |h, r| {
        fell(h, r) == Some(Emergency)
    }),
    more_than("whelping.fall_before_window_days", "longer than this", 1.0, fell_before_window),
    at_most("whelping.progesterone_low_ng_per_ml", "at or below this", 0.1, |ng, r| {
        low_progesterone(ng, 1.0, r).is_some()
    }),
    at_least("whelping.progesterone_low_hours", "so long after", MINUTE, |h, r| {
        low_progesterone(1.9, h, r) == Some(Act)
    }),
    at_most("whelping.progesterone_very_low_ng_per_ml", "at or below this", 0.1, |ng, r| {
        low_progesterone(ng, 30.0, r) == Some(Act)
    }),
    at_least("whelping.progesterone_very_low_hours", "so long after", MINUTE, |h, r| {
        low_progesterone(0.9, h, r) == Some(Act)
    }),
    at_most("dating.overdue_noted_days", "so many days before", 1.0, noted),
];

#[test]
fn each_limit_of_the_night_on_it_before_and_after() {
    check(LIMITS);
}

/// A count is a lower bound: the margin of none at standard, one where the kennel says so.
#[test]
fn fewer_than_counted_is_held_against_the_margin() {
    let rules = Rules::standard();
    assert_eq!([5.0, 6.0, 7.0].map(|out| fewer(out, &rules)), [true, false, false]);
    let key = "whelping.still_expected_margin";
    let rules = rules.with_override(key, 1.0, "the kennel").unwrap();
    assert_eq!([4.0, 5.0, 6.0].map(|out| fewer(out, &rules)), [true, false, false]);
}

/// What was written calls as it stands for a day of silence, then it asks how it ended.
#[test]
fn after_a_day_of_silence_it_is_asked_how_it_ended() {
    let rules = Rules::standard();
    let collapse = || WhelpingEvent::Alarm { alarm: WhelpingAlarm::Collapse };
    let level = |hours| since(collapse(), hours, Collapse, &rules);
    assert_eq!(
        [24.0 - MINUTE, 24.0, 24.0 + MINUTE].map(level),
        [Some(Emergency), Some(Emergency), Some(Act)]
    );
}
