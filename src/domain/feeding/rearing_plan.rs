//! An orphan, day by day: how often, how much, how warm, and who sees to its toilet.
//!
//! Published figures differ, so they stand side by side (the table `hand_rearing` of the rules), and each day tells
//! the span that they leave. What one pup gets now, by its weight and what it took, is its ration
//! ([`super::PupRation`]).

use super::hand_rearing::usual_feeds;
use super::weaning::weaned_by;
use crate::advice::{Caution, CautionCode, Level, standing_line};
use crate::day_chances::shift;
use crate::fault::{Fault, Faults};
use crate::rules::{Rules, Status};
use catalogue::{Text, figure, said};
use chrono::{DateTime, Duration, NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use std::sync::LazyLock;
use utoipa::ToSchema;
use uuid::Uuid;

/// What a figure is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum RearingSubject {
    /// Warmth of the nest, with a cooler corner to crawl to.
    NestTemperature,
    /// Energy a day.
    Energy,
    /// Feeds a day.
    Feeds,
    /// The most one feed may hold.
    FeedVolume,
    /// How warm the milk is.
    MilkTemperature,
    /// How warm a pup is before it is fed.
    BodyTemperatureToFeed,
    /// Age to which it is stroked to pass water and stool.
    ToiletingEnds,
}

/// One published figure, for pups of an age.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct RearingFigure {
    /// What it is about.
    pub subject: RearingSubject,
    /// First day of age that it is for.
    #[schema(example = 0)]
    pub from_day: i64,
    /// Day of age from which it is not any more.
    #[schema(example = 7)]
    pub to_day: i64,
    /// Its lower end, in `unit`.
    #[schema(example = 29.4)]
    pub low: f64,
    /// Its upper end.
    #[schema(example = 32.2)]
    pub high: f64,
    /// The unit of both.
    #[schema(example = "celsius")]
    pub unit: String,
    /// Who says so.
    pub source: String,
    /// How it was confirmed.
    pub confirmation: Status,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct FigureTable {
    figure: Vec<RearingFigure>,
}

#[expect(clippy::expect_used, reason = "embedded at compile time; a test reads it")]
static TABLE: LazyLock<FigureTable> = LazyLock::new(|| {
    toml::from_str(include_str!("../rules/hand_rearing.toml")).expect("hand_rearing.toml")
});

/// The lowest and the highest that the published figures say of a subject at an age; `None` where none does.
fn told(subject: RearingSubject, age_days: i64) -> Option<(f64, f64)> {
    let of_age = TABLE.figure.iter().filter(|it| it.subject == subject);
    let of_age = of_age.filter(|it| (it.from_day..it.to_day).contains(&age_days));
    of_age.map(|it| (it.low, it.high)).reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)))
}

/// Whether a pup is stroked with a moist, warm cloth to pass water and stool.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Toileting {
    /// At every feed.
    EachFeed,
    /// It may do so by itself: see whether it does, else at every feed.
    SeeWhetherByItself,
    /// No more.
    No,
}

/// One day of an orphan.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct RearingDay {
    /// The day.
    pub falls_on: NaiveDate,
    /// Age in days.
    #[schema(example = 3)]
    pub age_days: i64,
    /// Fewest feeds: what the plan begins with, as its ration does.
    #[schema(example = 6)]
    pub feeds_least: u32,
    /// Most feeds that published figures have.
    #[schema(example = 12)]
    pub feeds_most: u32,
    /// Longest time between two feeds, day and night, in hours.
    #[schema(example = 4.0)]
    pub longest_gap_hours: f64,
    /// Energy a day for each 100 g of the pup, in kcal: the lower of the published figures, to begin with, as its
    /// ration does.
    #[schema(example = 13.2)]
    pub energy_low_kcal_per_100_g: f64,
    /// The higher one: the feeds are raised towards it when the pup does not gain.
    #[schema(example = 25.0)]
    pub energy_high_kcal_per_100_g: f64,
    /// Replacer a day for each 100 g of the pup, in ml, by the lower figure.
    #[schema(example = 13.2)]
    pub volume_low_ml_per_100_g: f64,
    /// The same by the higher figure.
    #[schema(example = 25.0)]
    pub volume_high_ml_per_100_g: f64,
    /// Lowest published warmth of its nest in degrees Celsius; null where none is published.
    #[schema(example = 29.4)]
    pub nest_low_c: Option<f64>,
    /// The highest.
    #[schema(example = 32.2)]
    pub nest_high_c: Option<f64>,
    /// Whether it is stroked to pass water and stool.
    pub toileting: Toileting,
    /// Whether solid food is offered beside the milk.
    pub solids: bool,
}

/// An orphan, day by day until it is weaned.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct RearingPlan {
    /// The pup.
    pub dog_id: Uuid,
    /// The moment it was looked at.
    pub reckoned_at: DateTime<Utc>,
    /// Day of birth.
    pub born_on: NaiveDate,
    /// Its last weight in grams; the amounts of a day are for each 100 g of it.
    #[schema(example = 227.0)]
    pub weight_g: Option<f64>,
    /// Energy of the replacer used, in kcal per ml.
    #[schema(example = 1.0)]
    pub replacer_kcal_per_ml: f64,
    /// The most one feed may hold for each 100 g of the pup, in ml.
    #[schema(example = 4.0)]
    pub stomach_ml_per_100_g: f64,
    /// Today and the days to come.
    pub days: Vec<RearingDay>,
    /// What is published, side by side.
    pub figures: Vec<RearingFigure>,
    /// What is done at every feed, in this order.
    #[schema(value_type = Vec<String>)]
    pub each_feed: Vec<Text>,
    /// What to heed, the gravest first.
    pub cautions: Vec<Caution>,
    /// What was not known.
    #[schema(value_type = Vec<String>)]
    pub lacks: Vec<Text>,
    /// What stands beside every piece of advice.
    #[schema(value_type = String)]
    pub advice: Text,
}

/// An orphan as its plan sees it.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Orphan {
    pub dog_id: Uuid,
    pub born_at: DateTime<Utc>,
    pub born_on: NaiveDate,
    pub weight_g: Option<f64>,
    /// Body temperature in degrees Celsius, if it was taken lately.
    pub temperature_c: Option<f64>,
    pub adult_weight_g: Option<f64>,
    /// Whether it is weak: then it is fed as often as a toy pup.
    pub weak: bool,
    /// Energy of the replacer as mixed, from its label.
    pub replacer_kcal_per_ml: Option<f64>,
}

/// The plan of an orphan from `today` on until pups are usually weaned.
///
/// # Errors
/// A replacer of an energy that cannot be.
pub(crate) fn rearing_plan(
    pup: &Orphan,
    (now, today): (DateTime<Utc>, NaiveDate),
    rules: &Rules,
) -> Result<RearingPlan, Vec<Fault>> {
    let mut faults = Faults::new();
    let replacer = pup.replacer_kcal_per_ml.is_none_or(|r| (0.5..=2.5).contains(&r));
    faults.unless(replacer, "/replacer_kcal_per_ml", || {
        said!("fault-out-of-range-replacer", least = 0.5, most = 2.5)
    });
    faults.into_result()?;
    let replacer =
        pup.replacer_kcal_per_ml.unwrap_or_else(|| rules.value("feeding.replacer_kcal_per_ml"));
    let age_today = (today - pup.born_on).num_days().max(0);
    let last = (weaned_by(pup.born_on, rules) - pup.born_on).num_days();
    let day = |age_days| day_of(pup, age_days, replacer, rules);
    let mut lacks = Vec::new();
    if pup.weight_g.is_none() {
        lacks.push(said!("feeding-lacks-weight"));
    }
    if pup.replacer_kcal_per_ml.is_none() {
        lacks.push(said!("feeding-lacks-replacer"));
    }
    if pup.temperature_c.is_none() {
        lacks.push(said!("feeding-lacks-temperature"));
    }
    if pup.adult_weight_g.is_none() {
        lacks.push(said!("feeding-lacks-adult-weight"));
    }
    Ok(RearingPlan {
        dog_id: pup.dog_id,
        reckoned_at: now,
        born_on: pup.born_on,
        weight_g: pup.weight_g,
        replacer_kcal_per_ml: replacer,
        stomach_ml_per_100_g: rules.value("feeding.stomach_ml_per_100_g"),
        days: (age_today..last).map(day).collect(),
        figures: TABLE.figure.clone(),
        each_feed: each_feed(rules),
        cautions: cautions(pup, now, rules),
        lacks,
        advice: standing_line(),
    })
}

fn day_of(pup: &Orphan, age_days: i64, replacer: f64, rules: &Rules) -> RearingDay {
    let feeds = usual_feeds(age_days, pup.is_small(age_days, rules), rules);
    let (_, feeds_most) = told(RearingSubject::Feeds, age_days).unwrap_or((feeds, feeds));
    let begin = rules.value(super::hand_rearing::energy_of_week(age_days));
    let high = rules.value("feeding.pup_energy_nrc").max(begin);
    let nest = told(RearingSubject::NestTemperature, age_days);
    RearingDay {
        falls_on: shift(pup.born_on, age_days),
        age_days,
        feeds_least: feeds as u32,
        feeds_most: feeds_most.max(feeds) as u32,
        longest_gap_hours: 24.0 / feeds,
        energy_low_kcal_per_100_g: begin,
        energy_high_kcal_per_100_g: high,
        volume_low_ml_per_100_g: begin / replacer,
        volume_high_ml_per_100_g: high / replacer,
        nest_low_c: nest.map(|(low, _)| low),
        nest_high_c: nest.map(|(_, high)| high),
        toileting: toileting(age_days),
        solids: age_days as f64 >= rules.value("feeding.solids_from_day"),
    }
}

fn toileting(age_days: i64) -> Toileting {
    let age = age_days as f64;
    match told(RearingSubject::ToiletingEnds, age_days) {
        Some((from, _)) if age < from => Toileting::EachFeed,
        Some((_, to)) if age < to => Toileting::SeeWhetherByItself,
        _ => Toileting::No,
    }
}

/// What is done at every feed, in order.
fn each_feed(rules: &Rules) -> Vec<Text> {
    let cold = figure(rules.value("feeding.too_cold_to_feed"), 1);
    vec![
        said!("rearing-step-warm", limit_c = cold),
        said!("rearing-step-clean"),
        said!("rearing-step-milk"),
        said!("rearing-step-hold"),
        said!("rearing-step-stop"),
        said!("rearing-step-toilet"),
        said!("rearing-step-write"),
    ]
}

impl Orphan {
    fn is_small(&self, age_days: i64, rules: &Rules) -> bool {
        super::hand_rearing::is_small_pup(
            (self.weight_g, self.adult_weight_g, self.weak),
            age_days,
            rules,
        )
    }
}

fn cautions(pup: &Orphan, now: DateTime<Utc>, rules: &Rules) -> Vec<Caution> {
    let mut cautions = vec![Caution::new(
        CautionCode::FeedingAspiration,
        Level::Act,
        said!("rearing-aspiration"),
        said!("rearing-aspiration-why"),
        "Hand MS et al. (eds) 2010, Small Animal Clinical Nutrition, 5th ed., p. 308 (held level, head in a natural \
         position; a pup that struggles may have the tube in its windpipe; not fed until its place is certain), read \
         on 2026-11-30",
    )];
    let cold = rules.get("feeding.too_cold_to_feed");
    let is_cold = pup.temperature_c.filter(|t| *t < cold.value);
    cautions.push(match is_cold {
        Some(t) => Caution::new(
            CautionCode::FeedingTooCold,
            Level::Emergency,
            said!("feeding-too-cold"),
            said!(
                "feeding-too-cold-why",
                temperature_c = figure(t, 1),
                limit_c = figure(cold.value, 1)
            ),
            cold.source.clone(),
        ),
        None => Caution::new(
            CautionCode::FeedingTooCold,
            Level::Note,
            said!("rearing-cold", limit_c = figure(cold.value, 1)),
            said!("rearing-cold-why"),
            cold.source.clone(),
        ),
    });
    let milk = rules.get("newborn.first_milk_ends_hours");
    let age = now - pup.born_at;
    if age >= Duration::zero() && age < rules.span("newborn.first_milk_ends_hours") {
        cautions.push(Caution::new(
            CautionCode::FeedingFirstMilk,
            Level::Act,
            said!("feeding-first-milk"),
            said!(
                "feeding-first-milk-why",
                hours = age.num_hours(),
                limit_hours = figure(milk.value, 0)
            ),
            milk.source.clone(),
        ));
    }
    cautions.push(Caution::new(
        CautionCode::FeedingBeginLow,
        Level::Note,
        said!("rearing-replacer"),
        said!("rearing-replacer-why"),
        rules.get("feeding.first_days").source.clone(),
    ));
    cautions.sort_by_key(|caution| std::cmp::Reverse(caution.level));
    cautions
}

#[cfg(test)]
mod tests {
    use super::super::{HandFedPup, pup_ration};
    use super::*;

    fn born_at() -> DateTime<Utc> {
        "2026-03-01T06:00:00Z".parse().unwrap()
    }

    fn orphan() -> Orphan {
        Orphan {
            dog_id: Uuid::from_u128(1),
            born_at: born_at(),
            born_on: born_at().date_naive(),
            weight_g: Some(400.0),
            temperature_c: Some(36.0),
            adult_weight_g: Some(28_000.0),
            weak: false,
            replacer_kcal_per_ml: Some(1.0),
        }
    }

    fn plan(pup: &Orphan) -> RearingPlan {
        let now = born_at() + Duration::hours(10);
        rearing_plan(pup, (now, now.date_naive()), &Rules::standard()).unwrap()
    }

    fn day(pup: &Orphan, age: usize) -> RearingDay {
        plan(pup).days.remove(age)
    }

    /// Each day of the milk has figures of each subject, and no figure is turned around.
    #[test]
    fn the_table_covers_every_day_of_the_milk() {
        use RearingSubject::*;
        for age in 0..42 {
            for subject in
                [NestTemperature, Energy, Feeds, FeedVolume, MilkTemperature, ToiletingEnds]
            {
                assert!(told(subject, age).is_some(), "{subject:?} at {age} days");
            }
        }
        for figure in &TABLE.figure {
            assert!(figure.low <= figure.high && figure.from_day < figure.to_day, "{figure:?}");
            assert!(!figure.source.is_empty());
        }
    }

    /// The spans by hand, from the table: week 1 by three sources 29.4 to 32.2 °C, week 2 by three 24.0 to 29.5, days
    /// 14 to 27 by two 26.5 to 29.4, week 5 21.1 to 23.9, then 21.
    #[test]
    fn warmth_falls_by_the_published_figures() {
        let nest = |age| {
            let day = day(&orphan(), age);
            (day.nest_low_c.unwrap(), day.nest_high_c.unwrap())
        };
        assert_eq!([nest(0), nest(6)], [(29.4, 32.2); 2]);
        assert_eq!([nest(7), nest(13)], [(24.0, 29.5); 2]);
        assert_eq!([nest(14), nest(27)], [(26.5, 29.4); 2]);
        assert_eq!([nest(28), nest(34)], [(21.1, 23.9); 2]);
        assert_eq!(nest(35), (21.0, 21.0));
    }

    /// A plan and a ration of one pup at one age say the same of feeds and of the energy to begin with.
    #[test]
    fn the_plan_agrees_with_the_ration_of_each_day() {
        let rules = Rules::standard();
        for (adult_g, weak) in [(28_000.0, false), (4_000.0, false), (28_000.0, true)] {
            let pup = Orphan { adult_weight_g: Some(adult_g), weak, ..orphan() };
            for (age, day) in plan(&pup).days.iter().enumerate() {
                let now = born_at() + Duration::days(age as i64) + Duration::hours(1);
                let fed = HandFedPup {
                    weight_g: 400.0,
                    born_at: born_at(),
                    started_at: None,
                    replacer_kcal_per_ml: Some(1.0),
                    share: 1.0,
                    temperature_c: None,
                    adult_weight_g: Some(adult_g),
                    weak,
                };
                let ration = pup_ration(&fed, now, &rules).unwrap();
                assert!(
                    (ration.energy_kcal_per_day - 4.0 * day.energy_low_kcal_per_100_g).abs() < 1e-9
                );
                let nrc = ration.energy_by_nrc_kcal_per_day;
                assert!((nrc - 4.0 * day.energy_high_kcal_per_100_g).abs() < 1e-9);
                if !ration.feeds_raised {
                    assert_eq!(ration.feeds_per_day, day.feeds_least, "{age}");
                }
                assert!(day.feeds_least <= day.feeds_most);
            }
        }
    }

    #[test]
    fn toileting_ends_between_three_and_four_weeks() {
        let of = |age| day(&orphan(), age).toileting;
        use Toileting::*;
        assert_eq!([of(0), of(20)], [EachFeed; 2]);
        assert_eq!([of(21), of(27)], [SeeWhetherByItself; 2]);
        assert_eq!(of(28), No);
        assert_eq!([day(&orphan(), 20).solids, day(&orphan(), 21).solids], [false, true]);
    }

    #[test]
    fn a_cold_orphan_is_warmed_first() {
        let head = |t: Option<f64>| {
            let plan = plan(&Orphan { temperature_c: t, ..orphan() });
            (plan.cautions[0].code, plan.cautions[0].level)
        };
        assert_eq!(head(Some(34.9)), (CautionCode::FeedingTooCold, Level::Emergency));
        assert_eq!(head(Some(35.0)).1, Level::Act);
        assert_eq!(head(None), (CautionCode::FeedingAspiration, Level::Act));
    }

    #[test]
    fn it_begins_today_and_ends_with_weaning() {
        let rules = Rules::standard();
        let days = |today: &str| {
            let today: NaiveDate = today.parse().unwrap();
            let now = today.and_hms_opt(12, 0, 0).unwrap().and_utc();
            let plan = rearing_plan(&orphan(), (now, today), &rules).unwrap();
            (plan.days.first().map(|day| day.age_days), plan.days.len())
        };
        assert_eq!(days("2026-03-01"), (Some(0), 49));
        assert_eq!(days("2026-03-11"), (Some(10), 39));
        assert_eq!(days("2026-04-18"), (Some(48), 1));
        assert_eq!(days("2026-04-19"), (None, 0));
        let wrong = Orphan { replacer_kcal_per_ml: Some(9.0), ..orphan() };
        let fault = rearing_plan(&wrong, (born_at(), born_at().date_naive()), &rules).unwrap_err();
        assert_eq!(fault[0].pointer, "/replacer_kcal_per_ml");
    }
}
