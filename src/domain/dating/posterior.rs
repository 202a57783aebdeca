//! All evidence multiplied into one chance by day.

use super::{
    CountedFrom, DatingInput, EvidenceConflict, EvidenceLine,
    anchors::{Anchor, Family, Law, day_number},
};
use crate::{
    day_chances::{DayChances, shift as shift_day},
    distribution::normal_cdf,
    rules::Rules,
};
use catalogue::said;
use chrono::NaiveDate;

/// Steps of the ovulation grid in a day.
const STEPS: usize = 4;

/// The days looked at, and what all pregnancies share.
pub(super) struct Grid {
    first: NaiveDate,
    days: usize,
    gestation_sd: f64,
    edge_sd: f64,
    mating_earliest: f64,
    mating_latest: f64,
    last_mating_earliest: f64,
    ovulation_days: f64,
    error: f64,
    repeat_weight: f64,
    coverage: f64,
    /// Chance that whelping comes on a day, by how far its begin lies after a grid point: an entry for
    /// each step, from `delays_from` on. Chances too small to matter are left out.
    delays: Vec<f64>,
    delays_from: usize,
    shift: f64,
}

/// Less than this is nothing beside the chances of the other days.
const LEAST_CHANCE: f64 = 1e-17;

/// Days around the outermost evidence that are looked at.
const MARGIN_DAYS: f64 = 25.0;

impl Grid {
    /// A grid wide enough for all anchors and for today; `shift` moves whelping by days.
    pub fn around(anchors: &[Anchor], shift: f64, today: NaiveDate, rules: &Rules) -> Self {
        let value = |key| rules.value(key);
        let last_mating_earliest = value("dating.last_mating_earliest_days");
        let mating_latest = value("dating.mating_latest_days");
        let reach = |anchor: &Anchor| match &anchor.law {
            Law::Around { due, .. } => (*due, *due),
            Law::Matings { days, .. } => {
                let ends = days.iter().map(|(day, _)| *day);
                let first = ends.clone().fold(f64::INFINITY, f64::min);
                let last = ends.fold(f64::NEG_INFINITY, f64::max);
                (first + last_mating_earliest, last + mating_latest)
            }
            Law::Soon { at, .. } | Law::NotYet { at, .. } | Law::After { at, .. } => (*at, *at),
            Law::Silent => (day_number(anchor.on), day_number(anchor.on)),
        };
        let low = anchors.iter().map(|a| reach(a).0).fold(f64::INFINITY, f64::min) - MARGIN_DAYS;
        let high = anchors.iter().map(|a| reach(a).1).fold(day_number(today), f64::max);
        let days = (high + MARGIN_DAYS - low).clamp(1.0, 400.0);
        let gestation_sd = value("dating.gestation_sd_days");
        let edge = value("dating.mating_edge_sd_days");
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped")]
        let (first, days) = ((low - day_number(today)).floor() as i64, days.ceil() as usize);
        // The chance of a day depends on its distance from a grid point only: one table does.
        let reach = (days + 1) * STEPS;
        #[expect(clippy::cast_precision_loss, reason = "a few hundred steps")]
        let edges: Vec<f64> = (0..=2 * reach)
            .map(|i| {
                let distance = (i as f64 - reach as f64 - 0.5) / STEPS as f64;
                normal_cdf((distance - shift) / gestation_sd)
            })
            .collect();
        let delays: Vec<f64> = edges.windows(STEPS + 1).map(|day| day[STEPS] - day[0]).collect();
        let matters = |chance: &f64| *chance > LEAST_CHANCE;
        let delays_from = delays.iter().position(matters).unwrap_or(0);
        let delays_to = delays.iter().rposition(matters).map_or(delays_from, |last| last + 1);
        Self {
            first: shift_day(today, first),
            days,
            delays: delays[delays_from..delays_to].to_vec(),
            delays_from,
            shift,
            gestation_sd,
            edge_sd: (edge * edge - gestation_sd * gestation_sd).max(0.01).sqrt(),
            mating_earliest: value("dating.mating_earliest_days"),
            mating_latest,
            last_mating_earliest,
            ovulation_days: value("dating.ovulation_days"),
            error: value("dating.recording_error"),
            repeat_weight: value("dating.repeat_weight"),
            coverage: value("dating.coverage"),
        }
    }

    /// Expected due days looked at: ovulation + 63, before the pregnancy's own variation.
    fn points(&self) -> impl Iterator<Item = f64> + use<> {
        let first = day_number(self.first);
        #[expect(clippy::cast_precision_loss, reason = "a few hundred steps")]
        (0..self.days * STEPS).map(move |i| first - 0.5 + (i as f64 + 0.5) / STEPS as f64)
    }

    #[expect(clippy::cast_precision_loss, reason = "a few hundred days")]
    fn flat(&self) -> f64 {
        1.0 / self.days as f64
    }

    /// Chance of the evidence if the due day by ovulation is `due`; `None` if it dates whelping.
    fn likelihood(&self, law: &Law, due: f64) -> Option<f64> {
        let background = self.error * self.flat();
        match law {
            Law::Around { due: centre, spread, foretold } => {
                let centre = if *foretold { centre - self.shift } else { *centre };
                let own = spread.without(self.gestation_sd);
                Some((1.0 - self.error) * own.density(due - centre) + background)
            }
            Law::Matings { days, natural } => {
                let within = |lag: f64, low: f64, high: f64| {
                    normal_cdf((lag - low + 0.5) / self.edge_sd)
                        * normal_cdf((high + 0.5 - lag) / self.edge_sd)
                };
                let none_met: f64 = days
                    .iter()
                    .map(|(day, latest)| 1.0 - within(due - day, self.mating_earliest, *latest))
                    .product();
                let stood: f64 = natural
                    .iter()
                    .map(|day| within(due - day, self.last_mating_earliest, self.mating_latest))
                    .product();
                Some((1.0 - none_met) * stood + self.error * self.error)
            }
            _ => None,
        }
    }

    /// Chance of evidence near term if whelping is on day number `day`.
    fn term_likelihood(&self, law: &Law, day: f64) -> f64 {
        let (start, end) = (day - 0.5, day + 0.5);
        let left = |at: f64| (end - start.max(at)).max(0.0);
        match law {
            Law::Soon { at, mean_days } => {
                let waiting = |t: f64| (-(t - at).max(0.0) / mean_days).exp();
                (1.0 - self.error) * (waiting(start) - waiting(end))
                    + self.error * self.flat() * left(*at)
            }
            Law::NotYet { at, days, share } => {
                let late = left(*at + days);
                late + share * (left(*at) - late)
            }
            Law::After { at, mean_days, sd_days, share } => {
                let by = |t: f64| normal_cdf((t.max(*at) - at - mean_days) / sd_days);
                share * (by(end) - by(start)) + (1.0 - share) * self.flat() * left(*at)
            }
            _ => 1.0,
        }
    }

    /// Posterior of the due day by ovulation, in proportion, one value a grid point.
    fn ovulation_posterior(&self, anchors: &[&Anchor]) -> Vec<f64> {
        let powers = self.powers(anchors);
        let logs: Vec<f64> = self
            .points()
            .map(|due| {
                anchors
                    .iter()
                    .zip(&powers)
                    .filter_map(|(a, power)| Some(power * self.likelihood(&a.law, due)?.ln()))
                    .sum()
            })
            .collect();
        let top = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        logs.into_iter().map(|log| (log - top).exp()).collect()
    }

    /// The weight of each anchor within its family: the sharpest counts fully, others in part.
    pub(crate) fn powers(&self, anchors: &[&Anchor]) -> Vec<f64> {
        let rank = |a: &Anchor| match &a.law {
            Law::Around { due, spread, .. } => (spread.sd(), *due),
            _ => (0.0, 0.0),
        };
        let sharper = |a: &Anchor, b: &Anchor| {
            let ((sd_a, due_a), (sd_b, due_b)) = (rank(a), rank(b));
            sd_a.total_cmp(&sd_b).then(b.on.cmp(&a.on)).then(due_a.total_cmp(&due_b)).is_lt()
        };
        anchors
            .iter()
            .enumerate()
            .map(|(i, a)| {
                let shares = [Family::Progesterone, Family::Ultrasound].contains(&a.family);
                let beaten = anchors.iter().enumerate().any(|(j, b)| {
                    j != i && b.family == a.family && (sharper(b, a) || (j < i && !sharper(a, b)))
                });
                if shares && beaten { self.repeat_weight } else { 1.0 }
            })
            .collect()
    }

    /// Chance of whelping by day out of these anchors; `None` if they exclude every day.
    pub(crate) fn combine(&self, anchors: Vec<&Anchor>) -> Option<DayChances> {
        let posterior = self.ovulation_posterior(&anchors);
        let first = day_number(self.first);
        let weights = (0..self.days)
            .zip(0_u32..)
            .map(|(d, number)| {
                let day = first + f64::from(number);
                let by_ovulation = self.by_ovulation(&posterior, d);
                let term: f64 = anchors.iter().map(|a| self.term_likelihood(&a.law, day)).product();
                by_ovulation * term
            })
            .collect();
        DayChances::from_weights(self.first, weights)
    }

    /// Chance that whelping comes on a day of the grid, by the due days alone.
    fn by_ovulation(&self, posterior: &[f64], day: usize) -> f64 {
        // The day begins this many steps, and some for the shortest delay told, after the first point.
        let begins = (self.days + 1) * STEPS + day * STEPS;
        let Some(last) = begins.checked_sub(self.delays_from) else { return 0.0 };
        let first = (last + 1).saturating_sub(self.delays.len());
        let end = (last + 1).min(posterior.len());
        let points = posterior.get(first..end).unwrap_or_default();
        let delays = self.delays.get(..=last - first).unwrap_or_default();
        let mut sum = 0.0;
        for (chance, delay) in points.iter().zip(delays.iter().rev()) {
            sum += chance * delay;
        }
        sum
    }

    /// Median of the due day by ovulation, as a day number.
    fn ovulation_due(&self, anchors: &[&Anchor]) -> f64 {
        let posterior = self.ovulation_posterior(anchors);
        let half = 0.5 * posterior.iter().sum::<f64>();
        let mut sum = 0.0;
        for (due, p) in self.points().zip(&posterior) {
            sum += p;
            if sum >= half {
                return due;
            }
        }
        day_number(self.first)
    }
}

/// What the days of pregnancy are counted from, and that day.
pub(super) fn day_count(
    anchors: &[Anchor],
    grid: &Grid,
    input: &DatingInput,
) -> Option<(CountedFrom, NaiveDate)> {
    let all: Vec<&Anchor> = anchors.iter().collect();
    if anchors.iter().any(|a| matches!(a.law, Law::Around { .. })) {
        let ovulation = grid.ovulation_due(&all) - grid.ovulation_days;
        #[expect(clippy::cast_possible_truncation, reason = "within a grid of 400 days")]
        let away = (ovulation - day_number(input.today)).round() as i64;
        return Some((CountedFrom::Ovulation, shift_day(input.today, away)));
    }
    let first = anchors.iter().find(|a| a.family == Family::Matings)?;
    Some((CountedFrom::FirstMating, first.on))
}

/// The answer's line for each anchor: its own window and its share of all information.
pub(super) fn lines(
    anchors: &[Anchor],
    own: &[Option<DayChances>],
    grid: &Grid,
) -> Vec<EvidenceLine> {
    let powers = grid.powers(&anchors.iter().collect::<Vec<_>>());
    let information: Vec<f64> = anchors
        .iter()
        .zip(own)
        .zip(powers)
        .map(|((anchor, chances), power)| match (&anchor.law, chances) {
            (Law::Silent, _) | (_, None) => 0.0,
            // A sample that excludes half a day tells that much and no more.
            (Law::NotYet { days, share, .. }, _) => (1.0 - share) * days * grid.flat().powi(2),
            (_, Some(chances)) => power / chances.variance_days2().max(1.0 / 12.0),
        })
        .collect();
    let total: f64 = information.iter().sum();
    anchors
        .iter()
        .zip(own)
        .zip(information)
        .map(|((anchor, chances), information)| {
            let dates = !matches!(anchor.law, Law::Silent | Law::NotYet { .. });
            let chances = chances.as_ref().filter(|_| dates);
            let span = chances.map(|c| c.shortest_span(grid.coverage));
            EvidenceLine {
                kind: anchor.kind,
                on: anchor.on,
                earliest: span.map(|s| s.earliest),
                likely: chances.map(DayChances::median),
                latest: span.map(|s| s.latest),
                weight: if total > 0.0 { information / total } else { 0.0 },
                detail: anchor.detail.clone(),
                source: anchor.source.clone(),
            }
        })
        .collect()
}

/// Pairs of evidence whose own chances by day hardly overlap.
pub(super) fn conflicts(
    lines: &[EvidenceLine],
    own: &[Option<DayChances>],
    rules: &Rules,
) -> Vec<EvidenceConflict> {
    let limit = rules.value("dating.conflict_overlap");
    let mut found = Vec::new();
    let dated: Vec<_> = lines
        .iter()
        .zip(own)
        .enumerate()
        .filter_map(|(i, (line, chances))| Some((i, line, line.likely?, chances.as_ref()?)))
        .collect();
    for (n, (i, a, likely_a, chances_a)) in dated.iter().enumerate() {
        for (j, b, likely_b, chances_b) in &dated[n + 1..] {
            let overlap: f64 = chances_a.iter().map(|(day, p)| p.min(chances_b.on(day))).sum();
            if overlap < limit {
                found.push(EvidenceConflict {
                    between: [*i, *j],
                    days_apart: (*likely_b - *likely_a).num_days().abs(),
                    overlap,
                    detail: said!(
                        "dating-conflict",
                        one = &a.detail,
                        day = *likely_a,
                        other = &b.detail,
                        other_day = *likely_b
                    ),
                });
            }
        }
    }
    found
}
