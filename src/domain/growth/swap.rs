//! Were two pups taken for one another on the scale?

use super::series::{GrowthLitter, WeightPoint, by_day, median};
use crate::domain::growth::prior::Prior;
use crate::domain::rules::Rules;
use chrono::{DateTime, NaiveDate, Utc};
use serde::Serialize;
use std::collections::BTreeMap;
use utoipa::ToSchema;
use uuid::Uuid;

/// A proposal that the weights of two pups were written down for one another.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct SwapProposal {
    /// The two pups.
    pub dog_ids: [Uuid; 2],
    /// The days on which their weights seem exchanged.
    pub days: Vec<NaiveDate>,
    /// The weighings that would change places, as far as they have ids.
    pub weighing_ids: Vec<Uuid>,
    /// Whether it goes on to the last weighing: then the collars may have been exchanged.
    pub still_going_on: bool,
    /// How much likelier the exchange is than two odd weights, as a natural log of odds.
    #[schema(example = 14.2)]
    pub log_odds: f64,
    /// In one plain sentence.
    #[schema(example = "red and blue seem exchanged on 2026-03-09: look at the collars.")]
    pub detail: String,
}

/// Finds pairs of pups whose weights fit better exchanged, as of `now`.
///
/// Every pair is followed day by day: each pup's weight is expected from its own last one and the
/// litter's usual gain of that day. An exchange is proposed when it is `growth.swap_log_odds` likelier
/// than two errors; the pups are then followed as exchanged, so that the next right day does not
/// look like another. Pups of nearly the same weight cannot be told apart.
pub fn find_swaps(litter: &GrowthLitter, now: DateTime<Utc>, rules: &Rules) -> Vec<SwapProposal> {
    let prior = Prior::of(litter, rules);
    let series: Vec<Vec<WeightPoint>> =
        litter.pups.iter().map(|pup| by_day(&pup.points(litter.time_zone, now))).collect();
    let gains = daily_gains(&series);
    let mut found = Vec::new();
    for i in 0..series.len() {
        for j in i + 1..series.len() {
            let pair = follow(&series[i], &series[j], &gains, &prior, rules);
            if let Some((days, log_odds, going_on)) = pair {
                found.push(proposal(litter, [i, j], days, log_odds, going_on));
            }
        }
    }
    found.sort_by(|a, b| b.log_odds.total_cmp(&a.log_odds));
    disjoint(found)
}

/// The litter's middle gain a day in log weight, by the day it ends on.
fn daily_gains(series: &[Vec<WeightPoint>]) -> BTreeMap<NaiveDate, f64> {
    let mut gains: BTreeMap<NaiveDate, Vec<f64>> = BTreeMap::new();
    for pair in series.iter().flat_map(|points| points.windows(2)) {
        let [before, after] = pair else { continue };
        let days = after.age_days - before.age_days;
        if days > 0.25 {
            let gain = (after.weight_g / before.weight_g).ln() / days;
            gains.entry(after.day).or_default().push(gain);
        }
    }
    // Two pups exchanged move the middle of four or more by little.
    gains
        .into_iter()
        .filter(|(_, gains)| gains.len() >= 4)
        .filter_map(|(day, gains)| Some((day, median(gains)?)))
        .collect()
}

/// What is believed of one pup's last true weight.
#[derive(Clone, Copy)]
struct Belief {
    age: f64,
    log: f64,
}

type Followed = (Vec<NaiveDate>, f64, bool);

fn follow(
    a: &[WeightPoint],
    b: &[WeightPoint],
    gains: &BTreeMap<NaiveDate, f64>,
    prior: &Prior,
    rules: &Rules,
) -> Option<Followed> {
    let limit = rules.value("growth.swap_log_odds");
    let mut beliefs: Option<(Belief, Belief)> = None;
    let mut days = Vec::new();
    let mut total = 0.0;
    let mut last_exchanged = false;
    for (p, q) in a.iter().filter_map(|p| Some((p, b.iter().find(|q| q.day == p.day)?))) {
        let (y_a, y_b) = (p.weight_g.ln(), q.weight_g.ln());
        let odds = beliefs.map_or(0.0, |(at_a, at_b)| {
            let expect_a = expected(at_a, p, gains, prior);
            let expect_b = expected(at_b, q, gains, prior);
            let straight = misfit(y_a, expect_a) + misfit(y_b, expect_b);
            let exchanged = misfit(y_b, expect_a) + misfit(y_a, expect_b);
            // Better is not enough: as exchanged, both must really fit.
            if exchanged < 9.0 { (straight - exchanged) / 2.0 } else { 0.0 }
        });
        last_exchanged = odds >= limit;
        if last_exchanged {
            days.push(p.day);
            total += odds;
        }
        let (true_a, true_b) = if last_exchanged { (y_b, y_a) } else { (y_a, y_b) };
        beliefs = Some((
            Belief { age: p.age_days, log: true_a },
            Belief { age: q.age_days, log: true_b },
        ));
    }
    (!days.is_empty()).then_some((days, total, last_exchanged))
}

/// Mean and variance of the log of the next weighing.
fn expected(
    from: Belief,
    to: &WeightPoint,
    gains: &BTreeMap<NaiveDate, f64>,
    prior: &Prior,
) -> (f64, f64) {
    let days = (to.age_days - from.age).max(0.04);
    let (litter, pup) = prior.rate_variance(from.age, from.age + days);
    let (rate, spread) = match gains.get(&to.day) {
        Some(gain) => (*gain, pup),
        None => (prior.usual_rate(from.age, from.age + days), litter + pup),
    };
    let variance = 2.0 * prior.weighing_sd.powi(2) + spread * days * days;
    (from.log + rate * days, variance)
}

fn misfit(value: f64, (mean, variance): (f64, f64)) -> f64 {
    (value - mean).powi(2) / variance
}

fn proposal(
    litter: &GrowthLitter,
    pair: [usize; 2],
    days: Vec<NaiveDate>,
    log_odds: f64,
    going_on: bool,
) -> SwapProposal {
    let pups = pair.map(|i| &litter.pups[i]);
    let weighing_ids = pups
        .iter()
        .flat_map(|pup| &pup.weighings)
        .filter(|w| days.contains(&w.measured_at.with_timezone(&litter.time_zone).date_naive()))
        .filter_map(|w| w.id)
        .collect();
    let still_going_on = going_on && days.len() >= 2;
    let when = match (days.first(), days.last()) {
        (Some(first), Some(last)) if first != last => format!("from {first} to {last}"),
        (Some(first), _) => format!("on {first}"),
        _ => String::new(),
    };
    let what = if still_going_on {
        "look at the collars, they may have been exchanged."
    } else {
        "weigh both again or exchange the two weights."
    };
    SwapProposal {
        dog_ids: pups.map(|pup| pup.dog_id),
        days,
        weighing_ids,
        still_going_on,
        log_odds,
        detail: format!("{} and {} seem exchanged {when}: {what}", pups[0].label, pups[1].label),
    }
}

/// Keeps the likeliest proposal for each pup: one pup is not exchanged with two on one day.
fn disjoint(sorted: Vec<SwapProposal>) -> Vec<SwapProposal> {
    let mut kept: Vec<SwapProposal> = Vec::new();
    for proposal in sorted {
        let clash = kept.iter().any(|k| {
            k.dog_ids.iter().any(|id| proposal.dog_ids.contains(id))
                && k.days.iter().any(|day| proposal.days.contains(day))
        });
        if !clash {
            kept.push(proposal);
        }
    }
    kept
}
