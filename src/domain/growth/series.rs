//! The weights of one pup in order, on the kennel's calendar.

use catalogue::Text;
use chrono::{DateTime, Duration, NaiveDate, Utc};
use chrono_tz::Tz;
use serde::Serialize;
use utoipa::ToSchema;
use uuid::Uuid;

/// One weight as it was written down.
#[derive(Debug, Clone, PartialEq)]
pub struct Weighing {
    /// The record it comes from.
    pub id: Option<Uuid>,
    /// When the pup was on the scale.
    pub measured_at: DateTime<Utc>,
    /// Weight in grams.
    pub weight_g: f64,
    /// Flagged as implausible and not confirmed: kept, but left out of every sum.
    pub doubtful: bool,
}

/// A pup as the growth questions see it.
#[derive(Debug, Clone, PartialEq)]
pub struct GrowthPup {
    /// The pup.
    pub dog_id: Uuid,
    /// What people call it in the whelping box: name, collar or number.
    pub label: Text,
    /// When it was born.
    pub born_at: DateTime<Utc>,
    /// Weight at birth in grams, if it was taken.
    pub birth_weight_g: Option<f64>,
    /// Female, male or not known.
    pub is_female: Option<bool>,
    /// When it died or left: nothing is asked of it after that.
    pub left_at: Option<DateTime<Utc>>,
    /// Its weighings in any order; a birth weight may be among them or not.
    pub weighings: Vec<Weighing>,
}

/// A litter as the growth questions see it.
#[derive(Debug, Clone, PartialEq)]
pub struct GrowthLitter {
    /// The litter.
    pub litter_id: Uuid,
    /// Breed of the pups, as written by the kennel.
    pub breed: Option<String>,
    /// Adult weight expected of the pups in grams: of the breed, or the mean of the parents.
    pub adult_weight_g: Option<f64>,
    /// Weight of the dam in grams.
    pub dam_weight_g: Option<f64>,
    /// The kennel's time zone, by which days are counted.
    pub time_zone: Tz,
    /// The pups that were born alive.
    pub pups: Vec<GrowthPup>,
}

/// A weight at an age.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct WeightPoint {
    /// When it was taken (the middle of the weighings when it stands for a day).
    pub measured_at: DateTime<Utc>,
    /// The day on the kennel's calendar.
    #[schema(example = "2026-03-04")]
    #[serde(rename = "weighed_on")]
    pub day: NaiveDate,
    /// Time since birth in days, with fraction.
    #[schema(example = 3.25)]
    pub age_days: f64,
    /// Weight in grams (the median of the weighings when it stands for a day).
    #[schema(example = 412.0)]
    pub weight_g: f64,
}

impl GrowthLitter {
    /// The accepted weights of each pup up to `now`, as [`GrowthPup::points`] gives them.
    pub fn points(&self, now: DateTime<Utc>) -> Vec<Vec<WeightPoint>> {
        self.pups.iter().map(|pup| pup.points(self.time_zone, now)).collect()
    }

    /// Every time on record by which something begins or ends to count, in no order.
    pub(super) fn times(&self) -> impl Iterator<Item = DateTime<Utc>> {
        self.pups.iter().flat_map(|pup| {
            let weighed = pup.weighings.iter().map(|weighing| weighing.measured_at);
            weighed.chain([pup.born_at]).chain(pup.left_at)
        })
    }

    /// The same by day, as [`by_day`] gives them.
    pub fn days(&self, now: DateTime<Utc>) -> Vec<Vec<WeightPoint>> {
        self.points(now).iter().map(|points| by_day(points)).collect()
    }
}

impl GrowthPup {
    /// The accepted weights up to `now` in order of time, the birth weight first.
    ///
    /// Left out are doubtful weights, weights that are not positive, and those taken before birth
    /// or after `now`. The birth weight is added at the time of birth unless a weighing within an
    /// hour of it says the same.
    pub fn points(&self, time_zone: Tz, now: DateTime<Utc>) -> Vec<WeightPoint> {
        let usable = |w: &&Weighing| {
            !w.doubtful
                && w.weight_g.is_finite()
                && w.weight_g > 0.0
                && w.measured_at >= self.born_at
                && w.measured_at <= now
        };
        let point = |at: DateTime<Utc>, weight_g: f64| WeightPoint {
            measured_at: at,
            day: at.with_timezone(&time_zone).date_naive(),
            age_days: age_days(self.born_at, at),
            weight_g,
        };
        let mut points: Vec<WeightPoint> = self
            .weighings
            .iter()
            .filter(usable)
            .map(|w| point(w.measured_at, w.weight_g))
            .collect();
        if let Some(birth) = self.birth_weight_g.filter(|w| w.is_finite() && *w > 0.0)
            && self.born_at <= now
            && !points.iter().any(|p| {
                p.measured_at - self.born_at <= Duration::hours(1)
                    && (p.weight_g - birth).abs() < 0.5
            })
        {
            points.push(point(self.born_at, birth));
        }
        points.sort_by(|a, b| {
            a.measured_at.cmp(&b.measured_at).then(a.weight_g.total_cmp(&b.weight_g))
        });
        points
    }

    /// Whether the pup is in the litter at `now`.
    pub fn present(&self, now: DateTime<Utc>) -> bool {
        self.born_at <= now && self.left_at.is_none_or(|left| left > now)
    }
}

/// One point a day of the kennel's calendar: the median weight at the mean time of that day.
///
/// `points` must be in order of time. A median keeps one odd weighing among three from mattering.
pub fn by_day(points: &[WeightPoint]) -> Vec<WeightPoint> {
    points
        .chunk_by(|a, b| a.day == b.day)
        .filter_map(|day| {
            let first = day.first()?;
            let count = day.len() as f64;
            let age_days = day.iter().map(|p| p.age_days).sum::<f64>() / count;
            let past = (age_days - first.age_days) * 86_400.0;
            Some(WeightPoint {
                measured_at: first.measured_at + Duration::seconds(past.round() as i64),
                day: first.day,
                age_days,
                weight_g: median(day.iter().map(|p| p.weight_g).collect())?,
            })
        })
        .collect()
}

/// Time from `born_at` to `at` in days, with fraction.
pub(crate) fn age_days(born_at: DateTime<Utc>, at: DateTime<Utc>) -> f64 {
    (at - born_at).num_seconds() as f64 / 86_400.0
}

/// The middle value, or the mean of the two middle ones; `None` of nothing.
pub(crate) fn median(mut values: Vec<f64>) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    let upper = values.get(values.len() / 2)?;
    if values.len() % 2 == 1 {
        return Some(*upper);
    }
    values.get(values.len() / 2 - 1).map(|lower| (lower + upper) / 2.0)
}
