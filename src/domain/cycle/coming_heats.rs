//! When a dam comes in heat again: her own intervals, drawn towards those of all dams.
//!
//! The logarithm of the interval is normal with a mean and a variance of the dam's own, for which
//! the population gives a normal–inverse-gamma prior; the next interval then follows Student's t
//! (Gelman et al., Bayesian Data Analysis, 3rd ed., section 3.3). With no interval of her own the
//! forecast is that of any dam; with many it is hers. A pregnancy between two heats does not
//! change the interval (Concannon 2011).

use crate::{
    day_chances::{DayChances, shift},
    distribution::{normal_cdf, normal_quantile, student_t_cdf},
    fault::{Fault, Faults},
    rules::Rules,
};
use catalogue::{Text, said};
use chrono::NaiveDate;
use serde::Serialize;
use utoipa::ToSchema;

/// What is known of a dam's heats.
#[derive(Debug, Clone, PartialEq)]
pub struct HeatHistory {
    /// First days of her heats, in any order.
    pub heats: Vec<NaiveDate>,
    /// Whether a pregnancy followed her last heat.
    pub pregnant_since: bool,
    /// Day she was born; dates the first heat of a young dam.
    pub born_on: Option<NaiveDate>,
}

/// One heat to come.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct ComingHeat {
    /// 1 for the next, 2 for the one after it.
    #[schema(example = 1)]
    pub number: u32,
    /// First day of the span.
    #[serde(rename = "earliest_on")]
    pub earliest: NaiveDate,
    /// Day by which it is as likely to have begun as not.
    #[serde(rename = "likely_on")]
    pub likely: NaiveDate,
    /// Last day of the span.
    #[serde(rename = "latest_on")]
    pub latest: NaiveDate,
    /// Chance that it begins within the span, 0–1.
    #[schema(example = 0.95)]
    pub coverage: f64,
}

/// A dam's heats to come and what they rest on.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct HeatForecast {
    /// The heats, next first.
    pub heats: Vec<ComingHeat>,
    /// Her own intervals used, days, oldest first.
    #[schema(example = json!([198, 207]))]
    pub own_intervals_days: Vec<i64>,
    /// Her typical interval as estimated, days.
    #[schema(example = 204.0)]
    pub interval_days: Option<f64>,
    /// How much of that estimate is her own, 0–1; the rest is that of all dams.
    #[schema(example = 0.67)]
    pub own_weight: f64,
    /// Intervals left out and other remarks.
    #[schema(value_type = Vec<String>)]
    pub notes: Vec<Text>,
    /// Where the population's figures come from.
    pub source: String,
}

/// The estimate of a dam's interval (natural logarithm of days).
#[derive(Debug, Clone, Copy, PartialEq)]
struct Posterior {
    mean: f64,
    /// Observations that the mean is worth.
    worth: f64,
    df: f64,
    /// Scale of one interval around her mean.
    scale: f64,
}

fn posterior(intervals: &[i64], rules: &Rules) -> Posterior {
    let total = rules.value("cycle.interval_log_sd").powi(2);
    let between = rules.value("cycle.interval_repeatability");
    let (prior_mean, prior_worth) =
        (rules.value("cycle.interval_median_days").ln(), (1.0 - between) / between);
    let (prior_df, prior_variance) =
        (rules.value("cycle.interval_prior_df"), total * (1.0 - between));
    let logs: Vec<f64> = intervals.iter().map(|d| whole(*d).ln()).collect();
    let n = whole(i64::try_from(logs.len()).unwrap_or(0));
    let mean = if logs.is_empty() { prior_mean } else { logs.iter().sum::<f64>() / n };
    let squares: f64 = logs.iter().map(|x| (x - mean).powi(2)).sum();
    let worth = prior_worth + n;
    let df = prior_df + n;
    let spread =
        prior_df * prior_variance + squares + prior_worth * n / worth * (mean - prior_mean).powi(2);
    Posterior {
        mean: (prior_worth * prior_mean + n * mean) / worth,
        worth,
        df,
        scale: (spread / df).sqrt(),
    }
}

fn whole(days: i64) -> f64 {
    f64::from(i32::try_from(days).unwrap_or(i32::MAX))
}

/// Intervals between heats that can be one cycle, and remarks on the others.
fn intervals(heats: &[NaiveDate], rules: &Rules) -> (Vec<i64>, Vec<Text>) {
    let (mut used, mut notes) = (Vec::new(), Vec::new());
    let shortest = rules.value("cycle.interval_shortest_days");
    let longest = rules.value("cycle.interval_longest_days");
    for pair in heats.windows(2) {
        let days = (pair[1] - pair[0]).num_days();
        let (from, to) = (pair[0], pair[1]);
        if whole(days) < shortest {
            notes.push(said!("cycle-interval-short", days = days, from = from, to = to));
        } else if whole(days) > longest {
            notes.push(said!("cycle-interval-long", days = days, from = from, to = to));
        } else {
            used.push(days);
        }
    }
    (used, notes)
}

/// Days looked at, from the anchor; ten years hold every heat a forecast is asked for.
const HORIZON_DAYS: i64 = 3650;

/// Chances by day that the next `count` heats begin, each given that the next has not begun before
/// `today`. Empty when neither a heat nor a birth date is known, or the next is long past due.
///
/// The k-th heat lies k intervals on; its mean interval varies as her own mean and, over √k, as
/// single intervals do.
pub(crate) fn heat_chances(
    history: &HeatHistory,
    count: u32,
    today: NaiveDate,
    rules: &Rules,
) -> Vec<DayChances> {
    let mut heats = history.heats.clone();
    heats.sort();
    heats.dedup();
    let Some(last) = heats.last().copied() else {
        return first_heat(history, today, rules).into_iter().take(count as usize).collect();
    };
    let estimate = posterior(&intervals(&heats, rules).0, rules);
    let added =
        if history.pregnant_since { rules.value("cycle.pregnancy_interval_days") } else { 0.0 };
    let by_day = |k: u32, days: i64| {
        let mean_interval = (whole(days) + 0.5 - added) / f64::from(k);
        let scale = estimate.scale * (1.0 / estimate.worth + 1.0 / f64::from(k)).sqrt();
        if mean_interval <= 0.0 {
            return 0.0;
        }
        student_t_cdf((mean_interval.ln() - estimate.mean) / scale, estimate.df)
    };
    // Heats follow on one another, so later ones shift with a next heat that is late.
    let plain = |k: u32| {
        let typical = estimate.mean.exp() * f64::from(k);
        #[expect(clippy::cast_possible_truncation, reason = "a few years of days")]
        let end = ((3.0 * typical) as i64).min(HORIZON_DAYS);
        let edges: Vec<f64> = (-1..=end).map(|d| by_day(k, d)).collect();
        let weights = edges.windows(2).map(|w| (w[1] - w[0]).max(0.0)).collect();
        DayChances::from_weights(last, weights)
    };
    let Some(next) = plain(1).and_then(|c| Some((c.not_before(today)?, c.median()))) else {
        return Vec::new();
    };
    let late = (next.0.median() - next.1).num_days().max(0);
    (1..=count)
        .map_while(
            |k| {
                if k == 1 { Some(next.0.clone()) } else { plain(k).map(|c| c.shifted(late)) }
            },
        )
        .collect()
}

/// Chances of a young dam's first heat, by age.
fn first_heat(history: &HeatHistory, today: NaiveDate, rules: &Rules) -> Option<DayChances> {
    let born_on = history.born_on?;
    let early = rules.value("cycle.first_heat_earliest_days").ln();
    let late = rules.value("cycle.first_heat_latest_days").ln();
    let z = normal_quantile(0.5 + 0.5 * rules.value("cycle.coverage"));
    let (mean, sd) = (0.5 * (early + late), (late - early) / (2.0 * z));
    let edges: Vec<f64> =
        (0..=1500).map(|d| normal_cdf(((whole(d) + 0.5).ln() - mean) / sd)).collect();
    let weights = edges.windows(2).map(|w| w[1] - w[0]).collect();
    DayChances::from_weights(shift(born_on, 1), weights)?.not_before(today)
}

/// The next `count` heats of a dam.
///
/// # Errors
/// Faults of the heats: a day after today.
pub fn forecast_heats(
    history: &HeatHistory,
    count: u32,
    today: NaiveDate,
    rules: &Rules,
) -> Result<HeatForecast, Vec<Fault>> {
    let mut faults = Faults::new();
    for (i, heat) in history.heats.iter().enumerate() {
        faults.unless(*heat <= today, &format!("/heats/{i}"), || {
            said!("fault-in-future-heat", today = today)
        });
        faults.unless(
            history.born_on.is_none_or(|born| born <= *heat),
            &format!("/heats/{i}"),
            || said!("fault-too-early-heat-before-birth"),
        );
    }
    faults.into_result()?;
    let mut heats = history.heats.clone();
    heats.sort();
    heats.dedup();
    let (own, mut notes) = intervals(&heats, rules);
    let estimate = posterior(&own, rules);
    let chances = heat_chances(history, count, today, rules);
    if chances.is_empty() {
        notes.push(if heats.is_empty() && history.born_on.is_none() {
            said!("cycle-nothing-known")
        } else {
            said!("cycle-long-overdue")
        });
    }
    let n = whole(i64::try_from(own.len()).unwrap_or(0));
    Ok(HeatForecast {
        heats: chances
            .iter()
            .zip(1..)
            .map(|(c, number)| {
                let span = c.shortest_span(rules.value("cycle.coverage"));
                ComingHeat {
                    number,
                    earliest: span.earliest,
                    likely: c.median(),
                    latest: span.latest,
                    coverage: span.coverage,
                }
            })
            .collect(),
        own_intervals_days: own,
        interval_days: (!heats.is_empty()).then(|| estimate.mean.exp()),
        own_weight: n / estimate.worth,
        notes,
        source: rules.get("cycle.interval_median_days").source.clone(),
    })
}
