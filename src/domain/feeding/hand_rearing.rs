//! A pup on supplement: how much a day, how much a feed, and when next.

use crate::domain::advice::{Caution, Level};
use crate::domain::fault::{Fault, Faults};
use crate::domain::rules::Rules;
use chrono::{DateTime, Duration, Utc};
use serde::Serialize;
use utoipa::ToSchema;

/// A pup that is fed by hand.
#[derive(Debug, Clone, PartialEq)]
pub struct HandFedPup {
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
}

/// What a pup on supplement gets.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct PupRation {
    /// Energy in kcal a day.
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
    /// The need by the other published figure (25 kcal per 100 g), in kcal a day.
    #[schema(example = 56.8)]
    pub energy_by_nrc_kcal_per_day: f64,
    /// Whether it may be fed now; when not, the first caution says why.
    pub feed_now: bool,
    /// What to heed, the gravest first.
    pub cautions: Vec<Caution>,
    /// Where the figures come from.
    pub sources: Vec<String>,
    /// What was not known.
    pub lacks: Vec<String>,
}

/// What a pup on supplement needs at `now`.
///
/// Energy by week of age and feeds a day from the handbook's table (60, 70, 80, 90 kcal per lb); the volume
/// of a feed is held under 4 ml per 100 g by raising the number of feeds.
///
/// # Errors
/// Faults of weight, share, replacer or times.
pub fn pup_ration(
    pup: &HandFedPup,
    now: DateTime<Utc>,
    rules: &Rules,
) -> Result<PupRation, Vec<Fault>> {
    faults(pup, now)?;
    let age_days = (now - pup.born_at).num_days();
    let (need, feeds) = match age_days / 7 {
        0 => ("feeding.pup_week_1", "feeding.feeds_week_1"),
        1 => ("feeding.pup_week_2", "feeding.feeds_week_2"),
        2 => ("feeding.pup_week_3", "feeding.feeds_week_3"),
        _ => ("feeding.pup_week_4", "feeding.feeds_week_4"),
    };
    let hundreds = pup.weight_g / 100.0;
    let replacer =
        pup.replacer_kcal_per_ml.unwrap_or_else(|| rules.value("feeding.replacer_kcal_per_ml"));
    let energy = rules.value(need) * hundreds * pup.share;
    let volume = energy / replacer;
    let limit = rules.value("feeding.stomach_ml_per_100_g") * hundreds;
    let usual = rules.value(feeds);
    let most = rules.value("feeding.feeds_most");
    let wanted = (volume / limit).ceil().max(usual).min(most);
    let per_feed = (volume / wanted).min(limit);
    let mut cautions = cautions(pup, age_days, now, rules);
    if volume / wanted > limit {
        cautions.push(Caution::new(
            Level::Act,
            "Even with the most feeds a day its stomach cannot hold what it needs: ask the vet for a richer replacer.",
            format!("{volume:.0} ml a day, at most {limit:.1} ml a feed."),
            rules.get("feeding.stomach_ml_per_100_g").source.clone(),
        ));
    }
    cautions.sort_by_key(|caution| std::cmp::Reverse(caution.level));
    let mut lacks = Vec::new();
    if pup.replacer_kcal_per_ml.is_none() {
        lacks.push("the energy of the replacer, from its label".to_owned());
    }
    if pup.temperature_c.is_none() {
        lacks.push("its temperature: a cold pup must not be fed".to_owned());
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
        energy_by_nrc_kcal_per_day: rules.value("feeding.pup_energy_nrc") * hundreds * pup.share,
        feed_now: !too_cold(pup, rules),
        cautions,
        sources: [need, feeds, "feeding.stomach_ml_per_100_g", "feeding.pup_energy_nrc"]
            .iter()
            .map(|key| rules.get(key).source.clone())
            .collect(),
        lacks,
    })
}

fn faults(pup: &HandFedPup, now: DateTime<Utc>) -> Result<(), Vec<Fault>> {
    let mut faults = Faults::new();
    faults.unless((20.0..=20_000.0).contains(&pup.weight_g), "/weight_g", || {
        "must be the weight of a pup in grams, 20 to 20000".to_owned()
    });
    faults.unless((0.0..=1.0).contains(&pup.share), "/share", || {
        "must be from 0 (nurses alone) to 1 (orphan)".to_owned()
    });
    let replacer = pup.replacer_kcal_per_ml.is_none_or(|r| (0.5..=2.5).contains(&r));
    faults.unless(replacer, "/replacer_kcal_per_ml", || {
        "must be 0.5 to 2.5 kcal per ml as mixed; read the label".to_owned()
    });
    let temperature = pup.temperature_c.is_none_or(|t| (20.0..=45.0).contains(&t));
    faults.unless(temperature, "/temperature_c", || {
        "must be in degrees Celsius, 20 to 45".to_owned()
    });
    faults.unless(pup.born_at <= now, "/born_at", || "is in the future".to_owned());
    faults.into_result()
}

fn too_cold(pup: &HandFedPup, rules: &Rules) -> bool {
    pup.temperature_c.is_some_and(|t| t < rules.value("feeding.too_cold_to_feed"))
}

fn cautions(pup: &HandFedPup, age_days: i64, now: DateTime<Utc>, rules: &Rules) -> Vec<Caution> {
    let mut cautions = Vec::new();
    if too_cold(pup, rules) {
        let rule = rules.get("feeding.too_cold_to_feed");
        cautions.push(Caution::new(
            Level::Emergency,
            "Do not feed: it is too cold to digest. Warm it slowly, call the vet, and feed once it is warm.",
            format!("{:.1} degrees, limit {:.1}.", pup.temperature_c.unwrap_or_default(), rule.value),
            rule.source.clone(),
        ));
    }
    let hours = (now - pup.born_at).num_hours();
    let colostrum = rules.get("feeding.colostrum_hours");
    if (hours as f64) < colostrum.value {
        cautions.push(Caution::new(
            Level::Act,
            "See that it gets first milk from its dam (or ask the vet how else): replacer does not protect it.",
            format!("{hours} hours old; first milk counts in the first {:.0}.", colostrum.value),
            colostrum.source.clone(),
        ));
    }
    let first = rules.get("feeding.first_days");
    if pup.started_at.is_some_and(|at| ((now - at).num_hours() as f64) < first.value * 24.0) {
        cautions.push(Caution::new(
            Level::Note,
            "Begin with less than the full amount and raise it over the first days, to spare it diarrhoea.",
            format!("Fed by hand for less than {:.0} days.", first.value),
            first.source.clone(),
        ));
    }
    if age_days as f64 >= rules.value("feeding.solids_from_day") {
        let rule = rules.get("feeding.solids_from_day");
        cautions.push(Caution::new(
            Level::Note,
            "It can begin with solid food: count what it eats against the milk.",
            format!("{age_days} days old; solid food from about day {:.0}.", rule.value),
            rule.source.clone(),
        ));
    }
    cautions
}

/// One feed that was given.
#[derive(Debug, Clone, PartialEq)]
pub struct FeedTaken {
    /// When.
    pub at: DateTime<Utc>,
    /// What the pup took, in ml.
    pub volume_ml: f64,
}

/// The next feed.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct NextFeed {
    /// When it is due.
    pub due_at: DateTime<Utc>,
    /// Minutes it is late; 0 when it is not.
    #[schema(example = 0)]
    pub late_minutes: i64,
    /// How much to offer, in ml.
    #[schema(example = 5.0)]
    pub offer_ml: f64,
    /// Taken in the last 24 hours, in ml.
    #[schema(example = 24.5)]
    pub taken_24_h_ml: f64,
    /// Energy of that in kcal.
    #[schema(example = 24.5)]
    pub taken_24_h_kcal: f64,
    /// Planned for 24 hours, in ml.
    #[schema(example = 30.0)]
    pub planned_24_h_ml: f64,
    /// What to heed.
    pub cautions: Vec<Caution>,
}

/// When the next feed is due and how much to offer, from what was taken so far.
///
/// A missed feed is not made up in one: the offer stays that of a feed, within the stomach. Feeds
/// after `now` are left out.
pub fn next_feed(
    log: &[FeedTaken],
    ration: &PupRation,
    now: DateTime<Utc>,
    rules: &Rules,
) -> NextFeed {
    let past = || log.iter().filter(|feed| feed.at <= now);
    let last = past().map(|feed| feed.at).max();
    let interval = Duration::seconds((ration.interval_hours * 3600.0).round() as i64);
    let due_at = last.map_or(now, |last| last + interval);
    let late_minutes = (now - due_at).num_minutes().max(0);
    let day_ago = now - Duration::hours(24);
    let taken: f64 = past().filter(|feed| feed.at > day_ago).map(|feed| feed.volume_ml).sum();
    let mut cautions: Vec<Caution> =
        ration.cautions.iter().filter(|c| c.level == Level::Emergency).cloned().collect();
    let late = rules.get("feeding.late_feed_minutes");
    if late_minutes as f64 >= late.value {
        cautions.push(Caution::new(
            Level::Act,
            "A feed is late: feed it now, one feed's amount and not more.",
            format!("Due {late_minutes} minutes ago."),
            late.source.clone(),
        ));
    }
    // Only a full day of log tells that it took too little.
    let whole_day = past().any(|feed| feed.at <= day_ago);
    let little = rules.get("feeding.little_taken");
    if whole_day && taken < little.value * ration.volume_ml_per_day {
        cautions.push(Caution::new(
            Level::Act,
            "It took too little in the last day: weigh it, take its temperature and call the vet.",
            format!("{taken:.0} ml of {:.0} ml planned.", ration.volume_ml_per_day),
            little.source.clone(),
        ));
    }
    NextFeed {
        due_at,
        late_minutes,
        offer_ml: if ration.feed_now { ration.volume_ml_per_feed } else { 0.0 },
        taken_24_h_ml: taken,
        taken_24_h_kcal: taken * ration.replacer_kcal_per_ml,
        planned_24_h_ml: ration.volume_ml_per_day,
        cautions,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
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
        let cold = HandFedPup { temperature_c: Some(34.3), ..pup(300.0, 2) };
        let ration = pup_ration(&cold, now(), &Rules::standard()).unwrap();
        assert!(!ration.feed_now && ration.cautions[0].level == Level::Emergency);
        assert_eq!(next_feed(&[], &ration, now(), &Rules::standard()).offer_ml, 0.0);
        let warm = HandFedPup { temperature_c: Some(34.4), ..pup(300.0, 2) };
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
