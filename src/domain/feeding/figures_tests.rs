//! The figures of feeding, worked by hand.

use super::weaning::WeaningStanding;
use super::*;
use crate::advice::CautionCode;
use crate::rules::{Rules, Status};
use chrono::{DateTime, Duration, NaiveDate, Utc};

fn now() -> DateTime<Utc> {
    "2026-03-10T12:00:00Z".parse().unwrap()
}

fn pup(weight_g: f64, age_days: i64) -> HandFedPup {
    HandFedPup {
        weight_g,
        born_at: now() - Duration::days(age_days),
        started_at: None,
        replacer_kcal_per_ml: Some(1.0),
        share: 1.0,
        temperature_c: Some(36.5),
        adult_weight_g: Some(28_000.0),
        weak: false,
    }
}

fn set(values: &[(&str, f64)]) -> Rules {
    values.iter().fold(Rules::standard(), |rules, (key, value)| {
        rules.with_override(key, *value, "the kennel").unwrap()
    })
}

/// A dam of 16 kg, of which 16^0.75 is 8: at rest she needs 560 kcal.
#[test]
fn other_published_rules_are_told_with_their_figures() {
    let rules = Rules::standard();
    let told = |stage| {
        let found = dam_energy(16_000.0, stage, &rules).unwrap();
        let figures = |rule: &EnergyByOtherRule| [rule.low_kcal, rule.high_kcal].map(f64::round);
        found.other_rules.iter().map(figures).collect::<Vec<_>>()
    };
    // 1.8 to 2 times resting energy, then 2.2 to 3.5 times.
    assert_eq!(told(DamStage::Pregnant { day: 10 }), [[1008.0, 1120.0]]);
    assert_eq!(told(DamStage::Pregnant { day: 40 }), [[1232.0, 1960.0]]);
    // 4 to 8 times; 2.1 times and a quarter of that more for each of six pups.
    let nursing = DamStage::Lactating { day: 9, pups: 6 };
    assert_eq!(told(nursing), [[2240.0, 4480.0], [2940.0, 2940.0]]);
    let peak = dam_energy(16_000.0, nursing, &rules).unwrap().other_rules.remove(1);
    assert!(peak.rule.contains("25"), "{}", peak.rule);
}

/// 145 x 8 + 16 x (24 x 4 + 12 x 2) x 0.95 = 2984 kcal, and as much water or half as much more.
#[test]
fn a_dam_drinks_by_what_she_eats() {
    let water = |ml_per_kcal| {
        let rules = set(&[("feeding.water_ml_per_kcal", ml_per_kcal)]);
        let nursing = DamStage::Lactating { day: 9, pups: 6 };
        dam_energy(16_000.0, nursing, &rules).unwrap().water_ml.unwrap().round()
    };
    assert_eq!([water(1.0), water(1.5)], [2984.0, 4476.0]);
}

/// The equation counts eight pups; of nine the answer says so.
#[test]
fn a_ninth_pup_is_told_of() {
    let notes = |pups| {
        let nursing = DamStage::Lactating { day: 9, pups };
        dam_energy(16_000.0, nursing, &Rules::standard()).unwrap().notes.len()
    };
    assert_eq!([7, 8, 9].map(notes), [0, 0, 1]);
}

#[test]
fn the_weeks_are_looked_at_in_their_middle() {
    let weeks = dam_energy_weeks(20_000.0, 6, &Rules::standard()).unwrap();
    let stages: Vec<DamStage> = weeks.iter().map(|week| week.stage).collect();
    let pregnant = [3, 10, 17, 24, 31, 38, 45, 52, 59].map(|day| DamStage::Pregnant { day });
    let nursing = [3, 10, 17, 24].map(|day| DamStage::Lactating { day, pups: 6 });
    assert_eq!(stages, [&pregnant[..], &nursing[..]].concat());
    let weeks: Vec<i64> = weeks.iter().map(|week| week.week).collect();
    assert_eq!(weeks, [1, 2, 3, 4, 5, 6, 7, 8, 9, 1, 2, 3, 4]);
}

/// A pup of 1 kg whose stomach holds 20 ml, twelve times a day at most: 240 ml fit, 241 do not.
#[test]
fn what_the_stomach_does_not_hold_is_left_and_said() {
    let fed = |kcal_per_100_g| {
        let rules =
            set(&[("feeding.pup_week_4", kcal_per_100_g), ("feeding.stomach_ml_per_100_g", 2.0)]);
        let ration = pup_ration(&pup(1000.0, 23), now(), &rules).unwrap();
        let warned = ration.cautions.iter().any(|c| c.code == CautionCode::FeedingStomach);
        (ration.feeds_per_day, ration.volume_ml_per_day, ration.volume_ml_per_feed, warned)
    };
    assert_eq!(fed(24.0), (12, 240.0, 20.0, false));
    assert_eq!(fed(24.1), (12, 240.0, 20.0, true));
}

/// 25 kcal per 100 g, as far as twelve feeds of 4 ml per 100 g go.
#[test]
fn the_higher_energy_is_offered_within_the_stomach() {
    let rules = Rules::standard();
    let fed = |weight_g, kcal_per_ml| HandFedPup {
        replacer_kcal_per_ml: Some(kcal_per_ml),
        ..pup(weight_g, 23)
    };
    let by_nrc = |kcal_per_ml| {
        pup_ration(&fed(1000.0, kcal_per_ml), now(), &rules).unwrap().volume_by_nrc_ml_per_day
    };
    assert_eq!([by_nrc(2.0), by_nrc(1.0), by_nrc(0.5)], [125.0, 250.0, 480.0]);
    let offered = |pup: HandFedPup| {
        let ration = pup_ration(&pup, now(), &rules).unwrap();
        let next = next_feed(&[], &ration, now(), &rules);
        [next.offer_ml, next.offer_at_most_ml].map(|ml| (ml * 100.0).round() / 100.0)
    };
    // Half a pound in week 1, six feeds: 56.75 / 6 is more than its stomach of 9.08 ml holds.
    assert_eq!(offered(pup(227.0, 3)), [4.99, 9.08]);
    // A tiny pup of 150 g, twelve feeds: 19.8 ml a day, 37.5 by the higher figure.
    assert_eq!(offered(pup(150.0, 3)), [1.65, 3.13]);
    // By a kennel's own table the feed is larger than the other figure: what is planned stays.
    let rules = set(&[("feeding.pup_week_1", 30.0), ("feeding.pup_energy_nrc", 15.0)]);
    let ration = pup_ration(&pup(227.0, 3), now(), &rules).unwrap();
    let next = next_feed(&[], &ration, now(), &rules);
    assert_eq!(next.offer_at_most_ml, next.offer_ml);
}

/// Both energies are told with their gap when the feeds begin with the lower, not when they are equal.
#[test]
fn equal_energies_are_not_called_far_apart() {
    let told = |week_one| {
        let rules = set(&[("feeding.pup_week_1", week_one)]);
        let mut cautions = pup_ration(&pup(1000.0, 3), now(), &rules).unwrap().cautions;
        cautions.retain(|caution| caution.code == CautionCode::FeedingEnergies);
        cautions.pop().map(|caution| caution.why.to_string())
    };
    let why = told(13.2).unwrap();
    // 25 / 13.2 is 1.894.
    assert!(why.contains("118 kcal") && why.contains("89"), "{why}");
    assert!(told(24.9).is_some());
    assert_eq!([told(25.0), told(25.1)], [None, None]);
}

/// At most five hours between feeds are five feeds, not four.
#[test]
fn feeds_are_rounded_up_to_keep_the_longest_time_between_them() {
    let interval = |hours| {
        let rules = set(&[("feeding.interval_most_hours", hours)]);
        pup_ration(&pup(500.0, 8), now(), &rules).unwrap().interval_hours
    };
    assert_eq!([interval(6.0), interval(5.0), interval(4.0), interval(2.0)], [6.0, 4.8, 4.0, 2.0]);
}

/// Half of 198 kcal by hand, of a replacer with 2 kcal per ml: 49.5 ml; by the other figure 62.5.
#[test]
fn a_share_by_hand_is_that_share_of_the_need() {
    let fed = HandFedPup { share: 0.5, replacer_kcal_per_ml: Some(2.0), ..pup(1000.0, 23) };
    let ration = pup_ration(&fed, now(), &Rules::standard()).unwrap();
    let figures = [
        ration.energy_kcal_per_day,
        ration.volume_ml_per_day,
        ration.energy_by_nrc_kcal_per_day,
        ration.volume_by_nrc_ml_per_day,
    ];
    assert_eq!(figures.map(|figure| (figure * 10.0).round() / 10.0), [99.0, 49.5, 125.0, 62.5]);
}

/// A weak pup is small for its first fourteen days, and runs low on sugar for so long.
#[test]
fn low_sugar_is_told_of_for_two_weeks() {
    let told = |age_days| {
        let weak = HandFedPup { weak: true, ..pup(500.0, age_days) };
        let ration = pup_ration(&weak, now(), &Rules::standard()).unwrap();
        ration.cautions.iter().any(|caution| caution.code == CautionCode::FeedingLowSugar)
    };
    assert_eq!([13, 14, 15].map(told), [true, false, false]);
}

/// What a kennel has set is not verified, whichever of the three values it is.
#[test]
fn a_figure_is_trusted_no_further_than_what_it_rests_on() {
    let status = |rules: &Rules| growing_energy(5_000.0, 30_000.0, rules).unwrap().status;
    assert_eq!(status(&Rules::standard()), Status::Verified);
    for (key, value) in [
        ("feeding.mer_factor", 125.0),
        ("feeding.growing_to_half", 2.1),
        ("feeding.growing_fediaf_to_half", 200.0),
    ] {
        assert_eq!(status(&set(&[(key, value)])), Status::Kennel, "{key}");
    }
}

/// A day of 24 hours begins a minute after the one that ended 24 hours ago; of now all counts.
#[test]
fn what_was_taken_is_that_of_a_day() {
    let rules = Rules::standard();
    let thin = HandFedPup { replacer_kcal_per_ml: Some(0.8), ..pup(227.0, 3) };
    let ration = pup_ration(&thin, now(), &rules).unwrap();
    let taken = |minutes_ago: i64| {
        let feed = FeedTaken { at: now() - Duration::minutes(minutes_ago), volume_ml: 6.0 };
        let next = next_feed(&[feed], &ration, now(), &rules);
        (next.taken_24_h_ml, (next.taken_24_h_kcal * 10.0).round() / 10.0)
    };
    let day = 24 * 60;
    assert_eq!(
        [-1, 0, 1, day - 1, day, day + 1].map(taken),
        [(0.0, 0.0), (6.0, 4.8), (6.0, 4.8), (6.0, 4.8), (0.0, 0.0), (0.0, 0.0)]
    );
    // That it took little is said when the log is a day long.
    let little = |minutes_ago: i64| {
        let feed = FeedTaken { at: now() - Duration::minutes(minutes_ago), volume_ml: 6.0 };
        let next = next_feed(&[feed], &ration, now(), &rules);
        next.cautions.iter().any(|caution| caution.code == CautionCode::FeedingLittle)
    };
    assert_eq!([day - 1, day, day + 1].map(little), [false, true, true]);
    let planned = next_feed(&[], &ration, now(), &rules);
    assert_eq!(planned.planned_24_h_ml, ration.volume_ml_per_day);
    assert_eq!(planned.due_at, now(), "a pup that was never fed is due");
}

/// Each step from its first to its last day.
#[test]
fn a_step_of_weaning_holds_on_both_of_its_ends() {
    use WeaningStanding::{Ahead, Now, Past};
    let rules = Rules::standard();
    let born: NaiveDate = "2026-03-01".parse().unwrap();
    assert_eq!(weaned_by(born, &rules), born + Duration::days(49));
    let standings = |day: i64| {
        let plan = weaning_plan(born, born + Duration::days(day), &rules);
        assert_eq!(plan.age_days, day);
        <[WeaningStanding; 3]>::try_from(
            plan.steps.iter().map(|step| step.standing).collect::<Vec<_>>(),
        )
        .unwrap()
    };
    assert_eq!([0, 20].map(standings), [[Now, Ahead, Ahead]; 2]);
    assert_eq!([21, 41].map(standings), [[Past, Now, Ahead]; 2]);
    assert_eq!([42, 49].map(standings), [[Past, Past, Now]; 2]);
    assert_eq!(standings(50), [Past; 3]);
}
