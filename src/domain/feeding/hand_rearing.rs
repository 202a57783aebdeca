//! A pup on supplement: how much a day, and how much a feed.

use crate::advice::{Caution, CautionCode, Level};
use crate::fault::{Fault, Faults};
use crate::rules::Rules;
use catalogue::{Text, figure, said};
use chrono::{DateTime, Utc};
use serde::Serialize;
use utoipa::ToSchema;

/// A pup that is fed by hand.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct HandFedPup {
    /// Weight in grams.
    pub weight_g: f64,
    /// When it was born.
    pub born_at: DateTime<Utc>,
    /// When hand feeding began, if known: the first days are given less.
    pub started_at: Option<DateTime<Utc>>,
    /// Energy of the milk replacer as mixed, in kcal per ml, from its label.
    pub replacer_kcal_per_ml: Option<f64>,
    /// Share of its need given by hand, 0 to 1 (1 for an orphan).
    pub share: f64,
    /// Body temperature in degrees Celsius, if it was taken lately.
    pub temperature_c: Option<f64>,
    /// Weight that it will have grown up, in grams, if known: toy pups are fed more often.
    pub adult_weight_g: Option<f64>,
    /// Whether it is weak: then it is fed as often as a toy pup.
    pub weak: bool,
}

/// What a pup on supplement gets.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct PupRation {
    /// Energy in kcal a day that the feeds begin with: the lower of two published figures.
    #[schema(example = 30.0)]
    pub energy_kcal_per_day: f64,
    /// Milk replacer in ml a day.
    #[schema(example = 30.0)]
    pub volume_ml_per_day: f64,
    /// Feeds a day.
    #[schema(example = 6)]
    pub feeds_per_day: u32,
    /// Milk replacer in ml a feed.
    #[schema(example = 5.0)]
    pub volume_ml_per_feed: f64,
    /// The most one feed may hold, in ml.
    #[schema(example = 9.1)]
    pub stomach_limit_ml: f64,
    /// Time between feeds in hours.
    #[schema(example = 4.0)]
    pub interval_hours: f64,
    /// Whether the feeds were raised above the table to stay under the limit of the stomach.
    pub feeds_raised: bool,
    /// Energy of the replacer used, in kcal per ml.
    #[schema(example = 1.0)]
    pub replacer_kcal_per_ml: f64,
    /// The need by the other published figure (25 kcal per 100 g), in kcal a day: the feeds are
    /// raised towards it when the pup does not gain.
    #[schema(example = 56.8)]
    pub energy_by_nrc_kcal_per_day: f64,
    /// How far the two figures are apart, in kcal a day.
    #[schema(example = 26.8)]
    pub energy_gap_kcal_per_day: f64,
    /// Milk replacer in ml a day by the higher figure, as far as its stomach holds it.
    #[schema(example = 54.5)]
    pub volume_by_nrc_ml_per_day: f64,
    /// Whether it may be fed now; when not, the first caution says why.
    pub feed_now: bool,
    /// What to heed, the gravest first.
    pub cautions: Vec<Caution>,
    /// Where the figures come from.
    pub sources: Vec<String>,
    /// What was not known.
    #[schema(value_type = Vec<String>)]
    pub lacks: Vec<Text>,
}

impl PupRation {
    /// A feed by the higher energy, within the stomach, never below the one that is planned.
    pub(super) fn most_ml_per_feed(&self) -> f64 {
        let higher = self.volume_by_nrc_ml_per_day / f64::from(self.feeds_per_day.max(1));
        higher.min(self.stomach_limit_ml).max(self.volume_ml_per_feed)
    }
}

/// What a pup on supplement needs at `now`.
///
/// Two published energies differ by up to a factor of two: the handbook's table by week of age (60,
/// 70, 80, 90 kcal per lb) and 25 kcal per 100 g until weaning (NRC 2006, FEDIAF). Feeds begin with
/// the lower and the answer says both. In weeks 1 and 2 no more than 4 hours lie between feeds, 2
/// for toy, tiny and weak pups; the volume of a feed is held under 4 ml per 100 g by raising the
/// number of feeds.
///
/// # Errors
/// Faults of weight, share, replacer or times.
pub(crate) fn pup_ration(
    pup: &HandFedPup,
    now: DateTime<Utc>,
    rules: &Rules,
) -> Result<PupRation, Vec<Fault>> {
    faults(pup, now)?;
    let age_days = (now - pup.born_at).num_days();
    let (need, feeds) = (energy_of_week(age_days), feeds_of_week(age_days));
    let hundreds = pup.weight_g / 100.0;
    let replacer =
        pup.replacer_kcal_per_ml.unwrap_or_else(|| rules.value("feeding.replacer_kcal_per_ml"));
    let energy = rules.value(need) * hundreds * pup.share;
    let volume = energy / replacer;
    let limit = rules.value("feeding.stomach_ml_per_100_g") * hundreds;
    let small = is_small_pup((Some(pup.weight_g), pup.adult_weight_g, pup.weak), age_days, rules);
    let usual = usual_feeds(age_days, small, rules);
    let most = rules.value("feeding.feeds_most").max(usual);
    let wanted = (volume / limit).ceil().max(usual).min(most);
    let per_feed = (volume / wanted).min(limit);
    let by_nrc = rules.value("feeding.pup_energy_nrc") * hundreds * pup.share;
    let mut cautions = cautions(pup, age_days, now, rules);
    cautions.extend(energies_differ(energy, by_nrc, rules));
    cautions.extend(low_sugar(small, rules));
    if volume / wanted > limit {
        cautions.push(Caution::new(
            CautionCode::FeedingStomach,
            Level::Act,
            said!("feeding-stomach"),
            said!(
                "feeding-stomach-why",
                volume_ml = figure(volume, 0),
                limit_ml = figure(limit, 1)
            ),
            rules.get("feeding.stomach_ml_per_100_g").source.clone(),
        ));
    }
    cautions.sort_by_key(|caution| std::cmp::Reverse(caution.level));
    let mut lacks = Vec::new();
    if pup.replacer_kcal_per_ml.is_none() {
        lacks.push(said!("feeding-lacks-replacer"));
    }
    if pup.temperature_c.is_none() {
        lacks.push(said!("feeding-lacks-temperature"));
    }
    if pup.adult_weight_g.is_none() && is_early(age_days, rules) {
        lacks.push(said!("feeding-lacks-adult-weight"));
    }
    Ok(PupRation {
        energy_kcal_per_day: energy,
        volume_ml_per_day: per_feed * wanted,
        feeds_per_day: wanted as u32,
        volume_ml_per_feed: per_feed,
        stomach_limit_ml: limit,
        interval_hours: 24.0 / wanted,
        feeds_raised: wanted > usual,
        replacer_kcal_per_ml: replacer,
        energy_by_nrc_kcal_per_day: by_nrc,
        energy_gap_kcal_per_day: (by_nrc - energy).abs(),
        volume_by_nrc_ml_per_day: (by_nrc / replacer).min(limit * most),
        feed_now: !too_cold(pup, rules),
        cautions,
        sources: [
            need,
            feeds,
            "feeding.stomach_ml_per_100_g",
            "feeding.pup_energy_nrc",
            "feeding.interval_most_hours",
        ]
        .iter()
        .map(|key| rules.get(key).source.clone())
        .collect(),
        lacks,
    })
}

fn faults(pup: &HandFedPup, now: DateTime<Utc>) -> Result<(), Vec<Fault>> {
    let mut faults = Faults::new();
    faults.unless((20.0..=20_000.0).contains(&pup.weight_g), "/weight_g", || {
        said!("fault-out-of-range-pup-weight-g", least = 20, most = 20_000)
    });
    faults.unless((0.0..=1.0).contains(&pup.share), "/share", || {
        said!("fault-out-of-range-share-by-hand")
    });
    let replacer = pup.replacer_kcal_per_ml.is_none_or(|r| (0.5..=2.5).contains(&r));
    faults.unless(replacer, "/replacer_kcal_per_ml", || {
        said!("fault-out-of-range-replacer", least = 0.5, most = 2.5)
    });
    let temperature = pup.temperature_c.is_none_or(|t| (20.0..=45.0).contains(&t));
    faults.unless(temperature, "/temperature_c", || {
        said!("fault-out-of-range-pup-temperature-c", least = 20, most = 45)
    });
    faults.unless(pup.born_at <= now, "/born_at", || said!("fault-in-future-pup-born"));
    faults.into_result()
}

/// Whether a pup is of an age at which it has next to nothing in store (`feeding.early_days`).
fn is_early(age_days: i64, rules: &Rules) -> bool {
    (age_days as f64) < rules.value("feeding.early_days")
}

/// Whether it is a toy, tiny or weak pup in its first weeks, by its weight, its grown weight and whether it is weak.
pub(super) fn is_small_pup(
    (weight_g, adult_weight_g, weak): (Option<f64>, Option<f64>, bool),
    age_days: i64,
    rules: &Rules,
) -> bool {
    let toy = adult_weight_g.is_some_and(|grams| grams < rules.value("feeding.toy_adult_g"));
    let tiny = weight_g.is_some_and(|grams| grams < rules.value("feeding.tiny_pup_g"));
    is_early(age_days, rules) && (toy || tiny || weak)
}

/// The rule of the energy that feeds begin with, by week of age.
pub(super) fn energy_of_week(age_days: i64) -> &'static str {
    match age_days / 7 {
        0 => "feeding.pup_week_1",
        1 => "feeding.pup_week_2",
        2 => "feeding.pup_week_3",
        _ => "feeding.pup_week_4",
    }
}

fn feeds_of_week(age_days: i64) -> &'static str {
    match age_days / 7 {
        0 => "feeding.feeds_week_1",
        1 => "feeding.feeds_week_2",
        2 => "feeding.feeds_week_3",
        _ => "feeding.feeds_week_4",
    }
}

/// Feeds a day at an age, before what the stomach holds asks for more.
pub(super) fn usual_feeds(age_days: i64, small: bool, rules: &Rules) -> f64 {
    rules.value(feeds_of_week(age_days)).max(least_feeds(age_days, small, rules))
}

/// Fewest feeds a day by the longest time that may lie between them.
fn least_feeds(age_days: i64, small: bool, rules: &Rules) -> f64 {
    let hours = match (is_early(age_days, rules), small) {
        (true, true) => rules.value("feeding.interval_small_hours"),
        (true, false) => rules.value("feeding.interval_most_hours"),
        (false, _) => return 0.0,
    };
    (24.0 / hours).ceil()
}

/// Says both published energies, and how to choose between them.
fn energies_differ(begin: f64, by_nrc: f64, rules: &Rules) -> Option<Caution> {
    let other = rules.get("feeding.pup_energy_nrc");
    (begin < by_nrc).then(|| {
        Caution::new(
            CautionCode::FeedingEnergies,
            Level::Note,
            said!("feeding-energies"),
            said!(
                "feeding-energies-why",
                begin_kcal = figure(begin, 0),
                nrc_kcal = figure(by_nrc, 0),
                more_kcal = figure(by_nrc - begin, 0),
                more_percent = figure(100.0 * (by_nrc / begin - 1.0), 0)
            ),
            other.source.clone(),
        )
    })
}

/// Small pups run out of sugar first.
fn low_sugar(small: bool, rules: &Rules) -> Option<Caution> {
    let rule = rules.get("feeding.interval_small_hours");
    small.then(|| {
        Caution::new(
            CautionCode::FeedingLowSugar,
            Level::Note,
            said!("feeding-low-sugar"),
            said!("feeding-low-sugar-why", hours = rule.value),
            rule.source.clone(),
        )
    })
}

fn too_cold(pup: &HandFedPup, rules: &Rules) -> bool {
    pup.temperature_c.is_some_and(|t| t < rules.value("feeding.too_cold_to_feed"))
}

fn cautions(pup: &HandFedPup, age_days: i64, now: DateTime<Utc>, rules: &Rules) -> Vec<Caution> {
    let mut cautions = Vec::new();
    if too_cold(pup, rules) {
        let rule = rules.get("feeding.too_cold_to_feed");
        cautions.push(Caution::new(
            CautionCode::FeedingTooCold,
            Level::Emergency,
            said!("feeding-too-cold"),
            said!(
                "feeding-too-cold-why",
                temperature_c = figure(pup.temperature_c.unwrap_or_default(), 1),
                limit_c = figure(rule.value, 1)
            ),
            rule.source.clone(),
        ));
    }
    let age = now - pup.born_at;
    let hours = age.num_hours();
    let colostrum = rules.get("newborn.first_milk_ends_hours");
    if age < rules.span("newborn.first_milk_ends_hours") {
        cautions.push(Caution::new(
            CautionCode::FeedingFirstMilk,
            Level::Act,
            said!("feeding-first-milk"),
            said!(
                "feeding-first-milk-why",
                hours = hours,
                limit_hours = figure(colostrum.value, 0)
            ),
            colostrum.source.clone(),
        ));
    }
    let first = rules.get("feeding.first_days");
    if pup.started_at.is_some_and(|at| now - at < rules.span("feeding.first_days")) {
        cautions.push(Caution::new(
            CautionCode::FeedingBeginLow,
            Level::Note,
            said!("feeding-begin-low"),
            said!("feeding-begin-low-why", days = figure(first.value, 0)),
            first.source.clone(),
        ));
    }
    if age_days as f64 >= rules.value("feeding.solids_from_day") {
        let rule = rules.get("feeding.solids_from_day");
        cautions.push(Caution::new(
            CautionCode::FeedingSolids,
            Level::Note,
            said!("feeding-solids"),
            said!("feeding-solids-why", age_days = age_days, from_day = figure(rule.value, 0)),
            rule.source.clone(),
        ));
    }
    cautions
}

#[cfg(test)]
mod tests {
    use super::super::{FeedTaken, next_feed};
    use super::*;
    use chrono::Duration;
    use proptest::prelude::*;

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
            temperature_c: Some(35.5),
            adult_weight_g: Some(28_000.0),
            weak: false,
        }
    }

    /// Worked by hand: half a pound in week 1 at 60 kcal per lb is 30 kcal, 30 ml, six feeds of 5 ml.
    #[test]
    fn half_a_pound_in_week_one() {
        let ration = pup_ration(&pup(227.0, 3), now(), &Rules::standard()).unwrap();
        assert!((ration.energy_kcal_per_day - 30.0).abs() < 0.1);
        assert_eq!((ration.feeds_per_day, ration.feeds_raised), (6, false));
        assert!((ration.volume_ml_per_feed - 5.0).abs() < 0.02);
        assert!((ration.stomach_limit_ml - 9.08).abs() < 1e-9);
        assert_eq!(ration.interval_hours, 4.0);
        assert!((ration.energy_by_nrc_kcal_per_day - 56.75).abs() < 1e-9);
        assert!((ration.energy_gap_kcal_per_day - 26.79).abs() < 0.01);
    }

    /// 60 to 90 kcal per lb by the handbook, 25 kcal per 100 g by NRC 2006 (p. 28-48) and FEDIAF:
    /// both are said with their gap in every week, and never the lower one alone.
    #[test]
    fn both_published_energies_are_said() {
        for (week, handbook) in [(0, 13.2), (1, 15.4), (2, 17.6), (3, 19.8), (5, 19.8)] {
            let ration = pup_ration(&pup(1000.0, week * 7), now(), &Rules::standard()).unwrap();
            assert!((ration.energy_kcal_per_day - 10.0 * handbook).abs() < 1e-9);
            assert!((ration.energy_by_nrc_kcal_per_day - 250.0).abs() < 1e-9);
            let gap = 250.0 - 10.0 * handbook;
            assert!((ration.energy_gap_kcal_per_day - gap).abs() < 1e-9);
            let said = ration.cautions.iter().find(|c| c.what.contains("far apart")).unwrap();
            assert!(said.why.contains("250") && said.why.contains(&format!("{gap:.0} kcal")));
            let next = next_feed(&[], &ration, now(), &Rules::standard());
            assert!(next.offer_at_most_ml >= next.offer_ml);
            assert!(next.offer_at_most_ml <= ration.stomach_limit_ml);
        }
    }

    /// Every 4 hours at most in weeks 1 and 2, every 2 for toy, tiny and weak pups.
    #[test]
    fn feeds_come_often_in_the_first_two_weeks() {
        let hours =
            |pup: HandFedPup| pup_ration(&pup, now(), &Rules::standard()).unwrap().interval_hours;
        assert_eq!([hours(pup(500.0, 0)), hours(pup(500.0, 13))], [4.0, 4.0]);
        assert!(hours(pup(500.0, 14)) > 4.0, "the handbook's four feeds in week 3");
        let toy = |age, adult| HandFedPup { adult_weight_g: Some(adult), ..pup(250.0, age) };
        assert_eq!([hours(toy(3, 4_999.0)), hours(toy(13, 4_999.0))], [2.0, 2.0]);
        assert_eq!(hours(toy(3, 5_000.0)), 4.0);
        assert!(hours(toy(14, 4_999.0)) > 2.0);
        assert_eq!([hours(pup(199.0, 3)), hours(pup(200.0, 3))], [2.0, 4.0]);
        let weak = HandFedPup { weak: true, ..pup(500.0, 3) };
        assert_eq!(hours(weak.clone()), 2.0);
        let ration = pup_ration(&weak, now(), &Rules::standard()).unwrap();
        assert!(ration.cautions.iter().any(|c| c.what.contains("low on sugar")));
    }

    /// 1000 g in week 4: 198 ml, 40 ml a feed at most, so five feeds instead of the table's three.
    #[test]
    fn feeds_are_raised_to_stay_within_the_stomach() {
        let ration = pup_ration(&pup(1000.0, 23), now(), &Rules::standard()).unwrap();
        assert_eq!((ration.feeds_per_day, ration.feeds_raised), (5, true));
        assert!((ration.volume_ml_per_feed - 39.6).abs() < 1e-9);
    }

    #[test]
    fn a_cold_pup_is_not_fed() {
        let cold = HandFedPup { temperature_c: Some(34.9), ..pup(300.0, 2) };
        let ration = pup_ration(&cold, now(), &Rules::standard()).unwrap();
        assert!(!ration.feed_now && ration.cautions[0].level == Level::Emergency);
        assert_eq!(next_feed(&[], &ration, now(), &Rules::standard()).offer_ml, 0.0);
        let warm = HandFedPup { temperature_c: Some(35.0), ..pup(300.0, 2) };
        assert!(pup_ration(&warm, now(), &Rules::standard()).unwrap().feed_now);
    }

    #[test]
    fn the_next_feed_follows_the_last_and_little_taken_is_seen() {
        let rules = Rules::standard();
        let ration = pup_ration(&pup(227.0, 3), now(), &rules).unwrap();
        let feed = |hours: i64, volume_ml: f64| FeedTaken {
            at: now() - Duration::hours(hours),
            volume_ml,
        };
        let next = next_feed(&[feed(3, 5.0), feed(7, 5.0)], &ration, now(), &rules);
        assert_eq!(next.due_at, now() + Duration::hours(1));
        assert_eq!((next.late_minutes, next.taken_24_h_ml), (0, 10.0));
        assert!(next.cautions.is_empty(), "half a day of log does not tell");
        let next = next_feed(&[feed(6, 5.0), feed(25, 5.0)], &ration, now(), &rules);
        assert_eq!((next.late_minutes, next.cautions.len()), (120, 2));
        assert!((next.offer_ml - 5.0).abs() < 0.02, "a missed feed is not made up at once");
    }

    #[test]
    fn the_first_milk_and_the_first_days() {
        let newborn = HandFedPup { started_at: Some(now()), ..pup(300.0, 0) };
        let ration = pup_ration(&newborn, now(), &Rules::standard()).unwrap();
        assert!(ration.cautions[0].what.contains("first milk"));
        assert!(ration.cautions[1].what.contains("less than the full amount"));
        let wrong = HandFedPup {
            weight_g: 0.3,
            share: 2.0,
            replacer_kcal_per_ml: Some(9.0),
            temperature_c: Some(96.0),
            ..newborn
        };
        assert_eq!(pup_ration(&wrong, now(), &Rules::standard()).unwrap_err().len(), 4);
    }

    proptest! {
        #[test]
        fn no_feed_is_ever_above_the_stomach(
            weight in 60.0..8000.0_f64, age in 0i64..60, kcal in 0.5..2.5_f64, share in 0.0..1.0_f64,
        ) {
            let fed = HandFedPup { replacer_kcal_per_ml: Some(kcal), share, ..pup(weight, age) };
            let ration = pup_ration(&fed, now(), &Rules::standard()).unwrap();
            prop_assert!(ration.volume_ml_per_feed <= ration.stomach_limit_ml + 1e-9);
            prop_assert!((3..=12).contains(&ration.feeds_per_day));
        }
    }
}
