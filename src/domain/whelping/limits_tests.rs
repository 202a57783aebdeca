//! The bands of a newborn's vitality, and how far apart two births of one pup may stand.

use super::vitality::VitalityClass;
use super::*;
use crate::expected_pups::PupForecast;
use crate::limits_tests::{Limit, MINUTE, at_least, at_most, check, less_than, minutes, more_than};
use crate::rules::Rules;
use chrono::{DateTime, Duration, Utc};

/// A newborn with all signs at their best, scored at five minutes.
fn best() -> NewbornSigns {
    let signs = serde_json::json!({
        "heart_per_min": 300, "breath_per_min": 60, "reflex": "vigorous", "motility": "active", "gums": "pink"
    });
    serde_json::from_value(signs).unwrap()
}

/// The points that a heart rate, or a breath, brings.
fn heart(rate: f64, rules: &Rules) -> u32 {
    let signs = NewbornSigns { heart_per_min: Some(rate as u32), ..best() };
    vitality_score(&signs, 5, rules).points.unwrap() - 8
}

fn breath(rate: f64, rules: &Rules) -> u32 {
    let signs = NewbornSigns { breath_per_min: Some(rate as u32), ..best() };
    vitality_score(&signs, 5, rules).points.unwrap() - 8
}

/// Signs of so many points of ten.
fn of_points(points: f64) -> NewbornSigns {
    let mut left = points as u32;
    let mut take = || {
        let part = left.min(2);
        left -= part;
        part as usize
    };
    let (heart, breath) = ([0, 200, 300][take()], [0, 10, 60][take()]);
    let reflex = ["absent", "grimace", "vigorous"][take()];
    let motility = ["flaccid", "some_flexion", "active"][take()];
    let gums = ["blue", "pale", "pink"][take()];
    let signs = serde_json::json!({
        "heart_per_min": heart, "breath_per_min": breath, "reflex": reflex, "motility": motility,
        "gums": gums
    });
    serde_json::from_value(signs).unwrap()
}

fn class(points: f64, rules: &Rules) -> Option<VitalityClass> {
    let score = vitality_score(&of_points(points), 5, rules);
    assert_eq!(score.points, Some(points as u32));
    score.class
}

/// Whether a score, at an age in hours, foretells death in the first day.
fn at_risk(points: f64, hours: f64, rules: &Rules) -> bool {
    let score = vitality_score(&of_points(points), minutes(hours), rules);
    score.cautions.iter().any(|caution| caution.what.contains("low score in the first hours"))
}

fn twice(seconds: i64, rules: &Rules) -> bool {
    let night: DateTime<Utc> = "2026-05-15T03:00:00Z".parse().unwrap();
    let mark = |ordinal, seconds| BirthMarks {
        ordinal,
        born_at: night + Duration::seconds(seconds),
        female: None,
        collar: None,
        colour: None,
        weight_g: None,
    };
    let there = [double_of(&[mark(1, 0)], &mark(2, seconds), rules).is_some()];
    let also = !possible_doubles(&[mark(1, 0), mark(2, -seconds)], rules).is_empty();
    assert_eq!(there, [also]);
    also
}

pub(crate) const LIMITS: &[Limit] = &[
    less_than("whelping.vitality_heart_low", "below this", 1.0, |rate, r| heart(rate, r) == 0),
    more_than("whelping.vitality_heart_high", "above this", 1.0, |rate, r| heart(rate, r) == 2),
    less_than("whelping.vitality_breath_low", "below this", 1.0, |rate, r| breath(rate, r) == 0),
    more_than("whelping.vitality_breath_high", "above this", 1.0, |rate, r| breath(rate, r) == 2),
    at_least("whelping.vitality_good", "from this score", 1.0, |points, r| {
        class(points, r) == Some(VitalityClass::NoDistress)
    }),
    at_least("whelping.vitality_moderate", "from this score", 1.0, |points, r| {
        class(points, r) != Some(VitalityClass::SevereDistress)
    }),
    at_most("whelping.vitality_risk", "up to this score", 1.0, |points, r| at_risk(points, 1.0, r)),
    at_most("whelping.vitality_risk_hours", "vitality_risk", MINUTE, |h, r| at_risk(5.0, h, r)),
    // In minutes, to the second.
    at_most("whelping.double_minutes", "so close", MINUTE, |m, r| {
        twice((m * 60.0).round() as i64, r)
    }),
];

#[test]
fn each_limit_of_a_newborn_on_it_before_and_after() {
    check(LIMITS);
}

/// What was born, and written, in this very minute counts; what is dated later does not.
#[test]
fn a_birth_counts_from_its_minute_on() {
    let rules = Rules::standard();
    let born: DateTime<Utc> = "2026-05-15T03:00:00Z".parse().unwrap();
    let case = WhelpingCase {
        entries: vec![WhelpingEntry { at: born, event: WhelpingEvent::Placentas { count: 2 } }],
        births: vec![PupOut { born_at: born, alive: true, placenta_seen: false, marks: None }],
        expected: Some(PupForecast::counted(3, 5)),
        counted: None,
        time_zone: chrono_tz::UTC,
    };
    let status = |minutes| {
        let found = where_it_stands(&case, &[], born + Duration::minutes(minutes), &rules);
        let left = (found.still_to_come_at_least, found.still_to_come_at_most);
        (found.pups_out, found.placentas_seen, left)
    };
    let seen = |minutes| {
        let course = course::Course::of(&case, born + Duration::minutes(minutes), &rules);
        (course.births.len(), course.events.len())
    };
    assert_eq!([-1, 0, 1].map(seen), [(0, 0), (1, 1), (1, 1)]);
    assert_eq!(status(-1), (0, 0, (Some(3), Some(5))));
    assert_eq!(status(0), (1, 2, (Some(2), Some(4))));
    assert_eq!(status(1), (1, 2, (Some(2), Some(4))));
}

/// A score with signs missing is a range, and its class is said when all of it has the same.
#[test]
fn what_is_not_known_widens_the_score() {
    let rules = Rules::standard();
    let blind = NewbornSigns { gums: None, ..best() };
    let score = vitality_score(&blind, 5, &rules);
    assert_eq!((score.points, score.points_at_least, score.points_at_most), (None, 8, 10));
    assert_eq!(score.class, Some(VitalityClass::NoDistress));
    let nothing = vitality_score(&NewbornSigns::default(), 5, &rules);
    assert_eq!((nothing.points_at_least, nothing.points_at_most, nothing.class), (0, 10, None));
    assert_eq!(nothing.lacks.len(), 5);
    // Breath and cry: the weaker counts.
    let hoarse = NewbornSigns { cry: Some(vitality::NewbornCry::Weak), ..best() };
    assert_eq!(vitality_score(&hoarse, 5, &rules).points, Some(9));
}

/// From 7 points on no distress, from 4 moderate, under that severe; looked at after the hours of risk.
#[test]
fn each_class_of_vitality_calls_by_its_own_level() {
    use crate::advice::Level::{Act, Emergency};
    let level = |points| {
        let score = vitality_score(&of_points(points), 24 * 60, &Rules::standard());
        score.cautions.first().map(|caution| caution.level)
    };
    assert_eq!([3.0, 4.0, 6.0, 7.0].map(level), [Some(Emergency), Some(Act), Some(Act), None]);
}

fn at(minutes: i64) -> DateTime<Utc> {
    let night: DateTime<Utc> = "2026-05-15T03:00:00Z".parse().unwrap();
    night + Duration::minutes(minutes)
}

/// A night with these entries and births, at minutes.
fn night(entries: &[(i64, WhelpingEvent)], births: &[i64], most: u32) -> WhelpingCase {
    let entry = |(minutes, event): &(i64, WhelpingEvent)| WhelpingEntry {
        at: at(*minutes),
        event: event.clone(),
    };
    let out = |minutes: &i64| PupOut {
        born_at: at(*minutes),
        alive: true,
        placenta_seen: true,
        marks: None,
    };
    WhelpingCase {
        entries: entries.iter().map(entry).collect(),
        births: births.iter().map(out).collect(),
        expected: Some(PupForecast::counted(3, most)),
        counted: None,
        time_zone: chrono_tz::UTC,
    }
}

fn strains(strength: Contractions) -> WhelpingEvent {
    WhelpingEvent::Contractions { strength }
}

/// What ends straining, an alarm or the night: a minute before, in the same minute, a minute after.
#[test]
fn what_is_written_in_one_minute_has_an_order() {
    use WhelpingEvent::{Caesarean, Finished};
    let rules = Rules::standard();
    let around = [59, 60, 61];
    // Straining goes on that began after the pup; in its minute it was the pup's.
    let goes_on = |minutes: i64| {
        let case = night(&[(minutes, strains(Contractions::Strong))], &[60], 5);
        let course = course::Course::of(&case, at(90), &rules);
        course.straining_since(true).is_some()
    };
    assert_eq!(around.map(goes_on), [false, false, true]);
    // "Finished" holds until a pup, or strong straining, comes after it.
    let closed = |births: &[i64], strong: &[i64]| {
        let entries = strong.iter().map(|m| (*m, strains(Contractions::Strong)));
        let entries: Vec<_> = entries.chain([(60, Finished {})]).collect();
        let case = night(&entries, births, 5);
        course::Course::of(&case, at(90), &rules).finished().is_some()
    };
    assert_eq!(around.map(|birth| closed(&[birth], &[])), [true, true, false]);
    assert_eq!(around.map(|strong| closed(&[30], &[strong])), [true, true, false]);
    // A pup answers one that was stuck, a caesarean all that was written before or with it.
    let open = |alarm, births: &[i64], cut: &[i64]| {
        let cut = cut.iter().map(|minutes| (*minutes, Caesarean {}));
        let entries: Vec<_> = cut.chain([(60, WhelpingEvent::Alarm { alarm })]).collect();
        let case = night(&entries, births, 5);
        !course::Course::of(&case, at(90), &rules).open_alarms().is_empty()
    };
    use WhelpingAlarm::{Collapse, PupStuck};
    assert_eq!(around.map(|birth| open(PupStuck, &[birth], &[])), [true, true, false]);
    assert_eq!(around.map(|birth| open(Collapse, &[birth], &[])), [true, true, true]);
    assert_eq!(around.map(|cut| open(Collapse, &[], &[cut])), [true, false, false]);
    // Calcium before the first pup, not with it.
    let before = |minutes: i64| {
        let (what, amount, advised_by) = ("Calcium".to_owned(), None, None);
        let given =
            WhelpingEvent::Given { what, amount, advised_by, given_to: None, ordinal: None };
        let case = night(&[(minutes, given)], &[60], 5);
        course::Course::of(&case, at(90), &rules).calcium_before().is_some()
    };
    assert_eq!(around.map(before), [true, false, false]);
    // Labour that began at a moment, or after it.
    let since = |minutes: i64| {
        let case = night(&[(minutes, strains(Contractions::Weak))], &[], 5);
        course::Course::of(&case, at(90), &rules).labour_since(at(60))
    };
    assert_eq!(around.map(since), [false, true, true]);
    let rests = night(&[(70, strains(Contractions::Resting))], &[], 5);
    assert!(!course::Course::of(&rests, at(90), &rules).labour_since(at(60)), "she rests");
}

/// Three to five pups: fewer than three are certain to be too few, five and more are all counted.
#[test]
fn a_count_is_held_on_both_ends() {
    use course::MayBeMore::{Certain, Counted, Possible};
    let rules = Rules::standard();
    let of = |out: i64, counted: bool| {
        let births: Vec<i64> = (0..out).map(|n| n * 20).collect();
        let mut case = night(&[], &births, 5);
        if !counted {
            case.expected = None;
        }
        course::Course::of(&case, at(600), &rules).may_be_more()
    };
    let found = [2, 3, 4, 5, 6].map(|out| of(out, true));
    assert_eq!(found, [Certain, Possible, Possible, Counted, Counted]);
    assert_eq!(of(5, false), Possible);
    let all_out = |births: &[i64], entries: &[(i64, WhelpingEvent)]| {
        course::Course::of(&night(entries, births, 3), at(600), &rules).all_out()
    };
    assert!(all_out(&[0, 20, 40], &[]), "as many as were counted");
    assert!(all_out(&[0, 20], &[(50, WhelpingEvent::Finished {})]), "it was written");
    assert!(!all_out(&[0, 20], &[]));
    assert!(!all_out(&[0, 20, 40], &[(50, strains(Contractions::Strong))]), "she strains on");
}

/// One mark that differs tells two pups apart; a mark that nobody wrote down does not.
#[test]
fn each_mark_alone_tells_two_pups_apart() {
    let rules = Rules::standard();
    let plain = |ordinal| BirthMarks {
        ordinal,
        born_at: at(0),
        female: None,
        collar: None,
        colour: None,
        weight_g: None,
    };
    let red = || Some("red".to_owned());
    let blue = || Some("blue".to_owned());
    let double = |one: &BirthMarks, two: &BirthMarks| {
        !possible_doubles(&[one.clone(), two.clone()], &rules).is_empty()
    };
    let pairs = [
        [
            BirthMarks { female: Some(true), ..plain(1) },
            BirthMarks { female: Some(false), ..plain(2) },
        ],
        [BirthMarks { collar: red(), ..plain(1) }, BirthMarks { collar: blue(), ..plain(2) }],
        [BirthMarks { colour: red(), ..plain(1) }, BirthMarks { colour: blue(), ..plain(2) }],
        [
            BirthMarks { weight_g: Some(400), ..plain(1) },
            BirthMarks { weight_g: Some(401), ..plain(2) },
        ],
    ];
    for [one, two] in &pairs {
        assert!(!double(one, two) && !double(two, one), "{one:?} {two:?}");
        assert!(double(one, &plain(3)) && double(&plain(3), one), "{one:?}");
        let again = BirthMarks { ordinal: 4, ..one.clone() };
        assert!(double(one, &again), "{one:?}");
    }
}
