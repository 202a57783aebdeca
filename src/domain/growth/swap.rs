//! Were two pups taken for one another on the scale?

use super::series::{GrowthLitter, WeightPoint, median};
use crate::growth::prior::Prior;
use crate::rules::Rules;
use catalogue::{Text, said};
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
    #[schema(
        value_type = String,
        example = "red and blue seem exchanged on 2026-03-09: look at the collars."
    )]
    pub detail: Text,
}

/// Finds pairs of pups whose weights fit better exchanged, as of `now`.
///
/// Every pair is followed day by day: each pup's weight is expected from its own last one and the
/// litter's usual gain of that day. An exchange is proposed when it is `growth.swap_log_odds` likelier
/// than two errors; the pups are then followed as exchanged, so that the next right day does not
/// look like another. Pups of nearly the same weight cannot be told apart.
pub fn find_swaps(litter: &GrowthLitter, now: DateTime<Utc>, rules: &Rules) -> Vec<SwapProposal> {
    swaps_of(litter, &litter.days(now), rules)
}

/// The same from the weights by day of each pup.
pub(super) fn swaps_of(
    litter: &GrowthLitter,
    series: &[Vec<WeightPoint>],
    rules: &Rules,
) -> Vec<SwapProposal> {
    let prior = Prior::of(litter, rules);
    let gains = daily_gains(series);
    let limit = rules.value("growth.swap_log_odds");
    let tracks: Vec<Track<'_>> =
        series.iter().map(|points| Track::of(points, &gains, &prior)).collect();
    let mut found = Vec::new();
    for i in 0..tracks.len() {
        for j in i + 1..tracks.len() {
            crate::stop::look();
            let pair = follow(&tracks[i], &tracks[j], &gains, &prior, limit);
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

/// The weights of one pup by day, with what each was expected to be from the one before.
struct Track<'a> {
    points: &'a [WeightPoint],
    /// The log of each weight.
    logs: Vec<f64>,
    /// The step to each point from the one before it; none to the first.
    steps: Vec<Option<Step>>,
}

/// What a log weight is expected to change by: mean and variance, both weighings' errors included.
#[derive(Clone, Copy)]
struct Step {
    gain: f64,
    variance: f64,
}

impl<'a> Track<'a> {
    fn of(points: &'a [WeightPoint], gains: &BTreeMap<NaiveDate, f64>, prior: &Prior) -> Self {
        let logs = points.iter().map(|point| point.weight_g.ln()).collect();
        let step = |pair: &[WeightPoint]| Some(step(pair.first()?, pair.last()?, gains, prior));
        let steps = [None].into_iter().chain(points.windows(2).map(step)).collect();
        Self { points, logs, steps }
    }

    /// The step between two points, which mostly follow one another.
    fn step(
        &self,
        from: usize,
        to: usize,
        gains: &BTreeMap<NaiveDate, f64>,
        prior: &Prior,
    ) -> Step {
        let next = self.steps[to].filter(|_| from + 1 == to);
        next.unwrap_or_else(|| step(&self.points[from], &self.points[to], gains, prior))
    }
}

fn step(
    from: &WeightPoint,
    to: &WeightPoint,
    gains: &BTreeMap<NaiveDate, f64>,
    prior: &Prior,
) -> Step {
    let days = (to.age_days - from.age_days).max(0.04);
    let usual = prior.rate(from.age_days, from.age_days + days);
    let (rate, spread) = match gains.get(&to.day) {
        Some(gain) => (*gain, usual.between_pups + usual.wander),
        None => (usual.mean, usual.between_litters + usual.between_pups + usual.wander),
    };
    let variance = 2.0 * prior.weighing_sd.powi(2) + spread * days * days;
    Step { gain: rate * days, variance }
}

/// What is believed of one pup's last true weight: at which of its points, and its log.
#[derive(Clone, Copy)]
struct Belief {
    at: usize,
    log: f64,
}

type Followed = (Vec<NaiveDate>, f64, bool);

fn follow(
    a: &Track<'_>,
    b: &Track<'_>,
    gains: &BTreeMap<NaiveDate, f64>,
    prior: &Prior,
    limit: f64,
) -> Option<Followed> {
    let mut beliefs: Option<(Belief, Belief)> = None;
    let mut days = Vec::new();
    let mut total = 0.0;
    let mut last_exchanged = false;
    for (p, q) in common_days(a.points, b.points) {
        let (y_a, y_b) = (a.logs[p], b.logs[q]);
        let odds = beliefs.map_or(0.0, |(at_a, at_b)| {
            let (step_a, step_b) =
                (a.step(at_a.at, p, gains, prior), b.step(at_b.at, q, gains, prior));
            let expect_a = (at_a.log + step_a.gain, step_a.variance);
            let expect_b = (at_b.log + step_b.gain, step_b.variance);
            let straight = misfit(y_a, expect_a) + misfit(y_b, expect_b);
            let exchanged = misfit(y_b, expect_a) + misfit(y_a, expect_b);
            // Better is not enough: as exchanged, both must really fit.
            if exchanged < 9.0 { (straight - exchanged) / 2.0 } else { 0.0 }
        });
        last_exchanged = odds >= limit;
        if last_exchanged {
            days.push(a.points[p].day);
            total += odds;
        }
        let (true_a, true_b) = if last_exchanged { (y_b, y_a) } else { (y_a, y_b) };
        beliefs = Some((Belief { at: p, log: true_a }, Belief { at: q, log: true_b }));
    }
    (!days.is_empty()).then_some((days, total, last_exchanged))
}

/// The days on which both were weighed, by place in each series; both are in order.
fn common_days<'a>(
    a: &'a [WeightPoint],
    b: &'a [WeightPoint],
) -> impl Iterator<Item = (usize, usize)> + use<'a> {
    let mut q = 0;
    a.iter().enumerate().filter_map(move |(p, point)| {
        while b.get(q).is_some_and(|other| other.day < point.day) {
            q += 1;
        }
        b.get(q).filter(|other| other.day == point.day).map(|_| (p, q))
    })
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
    SwapProposal {
        dog_ids: pups.map(|pup| pup.dog_id),
        detail: exchanged(pups.map(|pup| &pup.label), &days, still_going_on),
        days,
        weighing_ids,
        still_going_on,
        log_odds,
    }
}

/// When two pups were exchanged, and what to look at; there is one day at least.
fn exchanged([pup, other]: [&Text; 2], days: &[NaiveDate], still_going_on: bool) -> Text {
    let first = days.first().copied().unwrap_or_default();
    let last = days.last().copied().unwrap_or_default();
    match (first == last, still_going_on) {
        (true, false) => {
            said!("growth-swap-on-weights", pup = pup, other = other, day = first)
        }
        (true, true) => said!("growth-swap-on-collars", pup = pup, other = other, day = first),
        (false, false) => {
            said!("growth-swap-from-weights", pup = pup, other = other, first = first, last = last)
        }
        (false, true) => {
            said!("growth-swap-from-collars", pup = pup, other = other, first = first, last = last)
        }
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

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::Duration;

    /// A weight at an age in days.
    fn point(age_days: f64, weight_g: f64) -> WeightPoint {
        let born: DateTime<Utc> = "2026-03-01T06:00:00Z".parse().unwrap();
        let measured_at = born + Duration::minutes((age_days * 1440.0).round() as i64);
        WeightPoint { measured_at, day: measured_at.date_naive(), age_days, weight_g }
    }

    /// The middle of four pups is known, of three it is not; weighings a quarter day apart say nothing.
    #[test]
    fn the_middle_gain_takes_four_pups() {
        let gain = |pups: i32, from: f64| {
            let series: Vec<Vec<WeightPoint>> = (0..pups)
                .map(|n| vec![point(from, 400.0), point(2.0, 420.0 + f64::from(n))])
                .collect();
            daily_gains(&series).into_values().next()
        };
        assert_eq!([gain(3, 1.0), gain(2, 1.0)], [None, None]);
        // ln(421.5/400) would be the middle of the weights; of the logs it is the mean of two.
        let middle = ((421.0_f64 / 400.0).ln() + (422.0_f64 / 400.0).ln()) / 2.0;
        assert!((gain(4, 1.0).unwrap() - middle).abs() < 1e-12);
        assert!((gain(4, 0.0).unwrap() - middle / 2.0).abs() < 1e-12, "a day of two");
        assert_eq!(gain(4, 1.75), None);
        assert!(gain(4, 1.74).is_some());
    }

    /// Days that both were weighed on, wherever they stand.
    #[test]
    fn pups_are_compared_on_days_of_both() {
        let days = |ages: &[f64]| ages.iter().map(|age| point(*age, 400.0)).collect::<Vec<_>>();
        let (a, b) = (days(&[0.0, 1.0, 3.0, 5.0]), days(&[1.0, 2.0, 3.0, 4.0, 6.0]));
        assert_eq!(common_days(&a, &b).collect::<Vec<_>>(), [(1, 0), (2, 2)]);
        assert_eq!(common_days(&b, &a).collect::<Vec<_>>(), [(0, 1), (2, 2)]);
    }

    /// The likeliest of two that name one pup on one day stays; on another day both do.
    #[test]
    fn one_pup_is_exchanged_with_one_other_on_a_day() {
        let proposed = |ids: [u128; 2], age_days: f64| SwapProposal {
            dog_ids: ids.map(Uuid::from_u128),
            days: vec![point(age_days, 400.0).day],
            weighing_ids: Vec::new(),
            still_going_on: false,
            log_odds: 9.0,
            detail: Text::default(),
        };
        let kept = |second| disjoint(vec![proposed([1, 2], 3.0), second]).len();
        assert_eq!(kept(proposed([2, 3], 3.0)), 1);
        assert_eq!(kept(proposed([2, 3], 4.0)), 2);
        assert_eq!(kept(proposed([3, 4], 3.0)), 2);
    }
}
