//! How likely an event is on each day: one chance a day, summing to one.

use chrono::{Days, NaiveDate};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// The chance that something happens on one day.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct DayChance {
    /// The day.
    #[schema(example = "2024-03-06")]
    #[serde(rename = "falls_on", alias = "day")]
    pub day: NaiveDate,
    /// Chance of the event on that day, 0–1.
    #[schema(example = 0.39)]
    pub chance: f64,
}

/// A span of days that holds the event with a stated chance.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
pub(crate) struct DaySpan {
    /// First day.
    pub earliest: NaiveDate,
    /// Last day.
    pub latest: NaiveDate,
    /// Chance that the event falls within, 0–1.
    #[schema(example = 0.95)]
    pub coverage: f64,
}

/// Chances of one event by consecutive days, summing to one.
#[derive(Debug, Clone, PartialEq)]
pub struct DayChances {
    first: NaiveDate,
    chances: Vec<f64>,
    /// Chance of all days before each, and of all together: one more than there are days.
    before: Vec<f64>,
}

/// `day` moved by `days`, which may be negative.
pub fn shift(day: NaiveDate, days: i64) -> NaiveDate {
    let count = Days::new(days.unsigned_abs());
    if days < 0 { day.checked_sub_days(count) } else { day.checked_add_days(count) }.unwrap_or(day)
}

impl DayChances {
    fn new(first: NaiveDate, chances: Vec<f64>) -> Self {
        let mut before = Vec::with_capacity(chances.len() + 1);
        let mut sum = 0.0;
        before.push(sum);
        before.extend(chances.iter().map(|chance| {
            sum += chance;
            sum
        }));
        Self { first, chances, before }
    }

    /// Chances in proportion to `weights`, one for each day from `first`.
    ///
    /// `None` when no weight is above zero, or one is negative or not a number.
    pub(crate) fn from_weights(first: NaiveDate, weights: Vec<f64>) -> Option<Self> {
        let total: f64 = weights.iter().sum();
        if !(total.is_finite() && total > 0.0) || weights.iter().any(|w| *w < 0.0) {
            return None;
        }
        Some(Self::new(first, weights.into_iter().map(|w| w / total).collect()))
    }

    /// The same from a list of days, in any order; days left out have no chance.
    ///
    /// `None` when the list is empty, spans more than ten years or has no chance above zero.
    pub(crate) fn from_list(list: &[DayChance]) -> Option<Self> {
        let first = list.iter().map(|c| c.day).min()?;
        let last = list.iter().map(|c| c.day).max()?;
        let length = usize::try_from((last - first).num_days()).ok().filter(|n| *n < 3660)? + 1;
        let mut weights = vec![0.0; length];
        for item in list {
            let index = usize::try_from((item.day - first).num_days()).ok()?;
            *weights.get_mut(index)? += item.chance;
        }
        Self::from_weights(first, weights)
    }

    /// The event is known to fall on `day`.
    pub(crate) fn certain(day: NaiveDate) -> Self {
        Self::new(day, vec![1.0])
    }

    /// First day of the list.
    pub fn first(&self) -> NaiveDate {
        self.first
    }

    /// Last day of the list.
    pub fn last(&self) -> NaiveDate {
        shift(self.first, i64::try_from(self.chances.len()).unwrap_or(1) - 1)
    }

    /// Days with their chances, in order.
    pub fn iter(&self) -> impl Iterator<Item = (NaiveDate, f64)> + '_ {
        self.chances.iter().zip(0..).map(|(chance, i)| (shift(self.first, i), *chance))
    }

    /// Chance on `day`.
    pub fn on(&self, day: NaiveDate) -> f64 {
        usize::try_from((day - self.first).num_days())
            .ok()
            .and_then(|i| self.chances.get(i))
            .copied()
            .unwrap_or(0.0)
    }

    /// Chance from `from` to `to`, both included.
    pub fn between(&self, from: NaiveDate, to: NaiveDate) -> f64 {
        let days = self.chances.len();
        // Days of the list before a day, whether it lies in it or not.
        let place = |day: NaiveDate, more: i64| {
            let offset = (day - self.first).num_days() + more;
            usize::try_from(offset).map_or(0, |offset| offset.min(days))
        };
        let (start, end) = (place(from, 0), place(to, 1));
        if start < end { self.before[end] - self.before[start] } else { 0.0 }
    }

    /// Chance on `day` or earlier.
    pub fn by(&self, day: NaiveDate) -> f64 {
        self.between(NaiveDate::MIN, day)
    }

    /// Mean, in days after [`first`](Self::first).
    pub(crate) fn mean_offset_days(&self) -> f64 {
        self.chances.iter().zip(0_u32..).map(|(c, i)| c * f64::from(i)).sum()
    }

    /// Variance in days².
    pub(crate) fn variance_days2(&self) -> f64 {
        let mean = self.mean_offset_days();
        self.chances.iter().zip(0_u32..).map(|(c, i)| c * (f64::from(i) - mean).powi(2)).sum()
    }

    /// The day by which the event is as likely to have come as not.
    pub(crate) fn median(&self) -> NaiveDate {
        let mut sum = 0.0;
        for (day, chance) in self.iter() {
            sum += chance;
            if sum >= 0.5 - 1e-12 {
                return day;
            }
        }
        self.last()
    }

    /// The shortest run of days with a chance of at least `coverage`; of equal ones the likeliest.
    pub(crate) fn shortest_span(&self, coverage: f64) -> DaySpan {
        let mut best = (0, self.chances.len().saturating_sub(1), 1.0);
        let mut start = 0;
        let mut sum = 0.0;
        for (end, chance) in self.chances.iter().enumerate() {
            sum += chance;
            while start < end && sum - self.chances[start] >= coverage - 1e-9 {
                sum -= self.chances[start];
                start += 1;
            }
            let (length, kept) = (end - start, best.1 - best.0);
            if sum >= coverage - 1e-9 && (length < kept || (length == kept && sum > best.2 + 1e-9))
            {
                best = (start, end, sum);
            }
        }
        let day = |i: usize| shift(self.first, i64::try_from(i).unwrap_or(0));
        DaySpan { earliest: day(best.0), latest: day(best.1), coverage: best.2.min(1.0) }
    }

    /// These chances, knowing that the event did not happen before `day`; `None` if it must have.
    pub(crate) fn not_before(&self, day: NaiveDate) -> Option<Self> {
        let weights = self.iter().map(|(d, c)| if d < day { 0.0 } else { c }).collect();
        Self::from_weights(self.first, weights)
    }

    /// The same chances `days` later.
    pub(crate) fn shifted(&self, days: i64) -> Self {
        Self { first: shift(self.first, days), ..self.clone() }
    }

    /// Chances of this event plus an independent delay, whose chances start at `delay_from` days.
    pub(crate) fn plus_delay(&self, delay_from: i64, delay: &[f64]) -> Option<Self> {
        let mut weights = vec![0.0; self.chances.len() + delay.len().checked_sub(1)?];
        for (i, a) in self.chances.iter().enumerate() {
            for (j, b) in delay.iter().enumerate() {
                weights[i + j] += a * b;
            }
        }
        Self::from_weights(shift(self.first, delay_from), weights)
    }

    /// A list to hand out: days of a chance under `floor` left out, the rest summing to one.
    pub(crate) fn to_list(&self, floor: f64) -> Vec<DayChance> {
        let kept: Vec<_> = self.iter().filter(|(_, c)| *c >= floor).collect();
        let total: f64 = kept.iter().map(|(_, c)| c).sum();
        kept.into_iter().map(|(day, chance)| DayChance { day, chance: chance / total }).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    #[test]
    fn finds_the_shortest_span_and_states_its_coverage() {
        let chances =
            DayChances::from_weights(day("2024-02-27"), vec![1.0, 2.0, 10.0, 6.0, 1.0]).unwrap();
        let span = chances.shortest_span(0.9);
        assert_eq!((span.earliest, span.latest), (day("2024-02-28"), day("2024-03-01")));
        assert!((span.coverage - 0.9).abs() < 1e-12);
        assert_eq!(chances.median(), day("2024-02-29"));
        assert!((chances.by(day("2024-02-28")) - 0.15).abs() < 1e-12);
        let between = |from, to| chances.between(day(from), day(to));
        assert!((between("2024-02-28", "2024-02-29") - 0.6).abs() < 1e-12);
        assert!((between("2023-01-01", "2025-01-01") - 1.0).abs() < 1e-12);
        assert!((between("2024-03-02", "2024-09-01") - 0.05).abs() < 1e-12);
        for (from, to) in [("2024-02-20", "2024-02-26"), ("2024-03-03", "2024-03-09")] {
            assert_eq!(between(from, to), 0.0);
        }
        assert_eq!(between("2024-03-01", "2024-02-28"), 0.0, "a span that ends before it begins");
        let later = chances.not_before(day("2024-03-01")).unwrap();
        assert!((later.on(day("2024-03-01")) - 6.0 / 7.0).abs() < 1e-12);
        assert!(chances.not_before(day("2024-03-03")).is_none());
    }

    #[test]
    fn adds_a_delay_and_lists_what_matters() {
        let two = DayChances::from_weights(day("2024-01-01"), vec![0.5, 0.5]).unwrap();
        let sum = two.plus_delay(63, &[0.25, 0.5, 0.25]).unwrap();
        assert_eq!(sum.first(), day("2024-03-04"));
        assert!((sum.on(day("2024-03-05")) - 0.375).abs() < 1e-12);
        let list = sum.to_list(0.2);
        assert_eq!(list.len(), 2);
        assert!((list.iter().map(|c| c.chance).sum::<f64>() - 1.0).abs() < 1e-12);
        assert_eq!(DayChances::from_list(&sum.to_list(0.0)).unwrap(), sum);
        assert!(DayChances::from_weights(day("2024-01-01"), vec![0.0]).is_none());
    }
}
