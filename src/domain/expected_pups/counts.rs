//! What a count before birth tells of the number of pups.

use crate::rules::Rules;
use catalogue::{Text, said};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// How pups were counted before birth.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum PupCountMethod {
    /// Ultrasound.
    Ultrasound,
    /// Radiograph.
    Xray,
    /// Felt through the belly.
    Palpation,
}

/// A count of pups before birth; either limit may be unknown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct PupCount {
    /// How.
    pub method: PupCountMethod,
    /// At least so many.
    #[schema(example = 5)]
    pub count_at_least: Option<u32>,
    /// At most so many; `None` for a lower limit.
    #[schema(example = 5)]
    pub count_at_most: Option<u32>,
    /// Day of pregnancy, if known: an early radiograph is a lower limit only.
    #[schema(example = 57)]
    pub day_of_pregnancy: Option<i64>,
}

/// What the counts, the oldest first, make sure of: the last radiograph's lower limit, else that of the
/// last other count, an ultrasound's less `expected_pups.ultrasound_margin`.
pub(super) fn counted_at_least(counts: &[PupCount], rules: &Rules) -> Option<u32> {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a rule of pups")]
    let margin = rules.value("expected_pups.ultrasound_margin") as u32;
    let known = || counts.iter().rev().filter(|count| count.count_at_least.is_some());
    let best = known().find(|count| count.method == PupCountMethod::Xray).or(known().next())?;
    let low = best.count_at_least?;
    Some(match best.method {
        PupCountMethod::Xray | PupCountMethod::Palpation => low,
        PupCountMethod::Ultrasound => low.saturating_sub(margin),
    })
}

/// The limits that a count gives, an early radiograph and palpation only the lower one.
fn limits(count: &PupCount, rules: &Rules) -> (Option<u32>, Option<u32>) {
    let day = count.day_of_pregnancy.and_then(|d| i32::try_from(d).ok()).map(f64::from);
    let early = day.is_some_and(|d| d < rules.value("expected_pups.xray_count_day"));
    let lower_only = match count.method {
        PupCountMethod::Xray => early,
        PupCountMethod::Palpation => true,
        PupCountMethod::Ultrasound => false,
    };
    (count.count_at_least, count.count_at_most.filter(|_| !lower_only))
}

/// Chance of the count when `n` pups are there, up to a factor.
pub(super) fn likelihood(count: &PupCount, n: u32, rules: &Rules) -> f64 {
    let ratio = rules.value("expected_pups.miss_ratio");
    let (low, high) = limits(count, rules);
    let too_many = low.map_or(0, |low| low.saturating_sub(n));
    let missed = high.map_or(0, |high| n.saturating_sub(high));
    let off = too_many.max(missed);
    let far = |from: u32| ratio.powi(i32::try_from(off.saturating_sub(from)).unwrap_or(i32::MAX));
    if count.method == PupCountMethod::Ultrasound {
        let exact = rules.value("expected_pups.ultrasound_exact");
        let within = rules.value("expected_pups.ultrasound_within_1");
        return match off {
            0 => exact,
            1 => 0.5 * (within - exact),
            _ => 0.5 * (1.0 - within) * (1.0 - ratio) * far(2),
        };
    }
    let error = rules.value("expected_pups.count_error");
    let hidden = rules.value("expected_pups.count_missed");
    match (too_many, missed) {
        (0, 0) => 1.0 - error - hidden,
        (0, _) => hidden * (1.0 - ratio) * far(1),
        _ => error * (1.0 - ratio) * far(1),
    }
}

pub(super) fn describe(count: &PupCount, rules: &Rules) -> Text {
    let method = match count.method {
        PupCountMethod::Ultrasound => said!("expected-pups-ultrasound"),
        PupCountMethod::Xray => said!("expected-pups-radiograph"),
        PupCountMethod::Palpation => said!("expected-pups-palpation"),
    };
    let source = match count.method {
        PupCountMethod::Ultrasound => &rules.get("expected_pups.ultrasound_exact").source,
        _ => &rules.get("expected_pups.count_error").source,
    };
    match limits(count, rules) {
        (Some(low), Some(high)) if low == high => {
            said!("expected-pups-counts", method = method, count = low, source = source)
        }
        (Some(low), Some(high)) => said!(
            "expected-pups-counts-range",
            method = method,
            least = low,
            most = high,
            source = source
        ),
        (Some(low), None) => {
            said!("expected-pups-counts-at-least", method = method, least = low, source = source)
        }
        (None, Some(high)) => {
            said!("expected-pups-counts-at-most", method = method, most = high, source = source)
        }
        (None, None) => said!("expected-pups-counts-nothing", method = method),
    }
}
