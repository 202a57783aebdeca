//! How long a dam is watched.

use super::*;
use crate::limits_tests::{Limit, at_least, at_most, check};
use chrono::Duration;

fn watched(days: f64, rules: &Rules) -> bool {
    let last_pup_at: DateTime<Utc> = "2026-03-01T00:00:00Z".parse().unwrap();
    let dam = DamAfterBirth {
        last_pup_at,
        pups: 0,
        first_litter: None,
        placentas_missing: None,
        observations: Vec::new(),
    };
    dam.is_watched(last_pup_at + Duration::minutes((days * 1440.0).round() as i64), rules)
}

fn weeks(dam: &DamInMilk<'_>, days: i64, rules: &Rules) -> Puerperium {
    let last = "2026-03-01T00:00:00Z".parse::<DateTime<Utc>>().unwrap();
    let now = last + Duration::days(days);
    puerperium(dam, (now, now.date_naive()), rules)
}

fn nursing() -> DamInMilk<'static> {
    let last_pup_at: DateTime<Utc> = "2026-03-01T00:00:00Z".parse().unwrap();
    DamInMilk {
        whelped_on: last_pup_at.date_naive(),
        last_pup_at,
        nursing: 8,
        first_litter: false,
        usual_g: Some(28_000.0),
        usual_pups: None,
        observations: &[],
        weighings: &[],
        low_calcium_before: Vec::new(),
    }
}

fn raised(dam: &DamInMilk<'_>, rules: &Rules) -> bool {
    weeks(dam, 10, rules).calcium_risk.level == CalciumRiskLevel::Raised
}

fn too_low(share: f64, rules: &Rules) -> bool {
    let measured_at = "2026-03-09T00:00:00Z".parse().unwrap();
    let weight_g = 28_000.0 * (1.0 - share);
    let all = [crate::growth::Weighing { id: None, measured_at, weight_g, doubtful: false }];
    weeks(&DamInMilk { weighings: &all, ..nursing() }, 10, rules).weight.unwrap().too_low
}

pub(crate) const LIMITS: &[Limit] = &[
    at_most("dam_after_birth.watched_days", "up to this many days", 1.0 / 1440.0, watched),
    at_most("dam_after_birth.small_dam_g", "at most this weight", 1.0, |grams, r| {
        raised(&DamInMilk { usual_g: Some(grams), ..nursing() }, r)
    }),
    at_least("dam_after_birth.large_litter_share", "at least this many times", 0.01, |share, r| {
        raised(&DamInMilk { usual_pups: Some(8.0 / share), ..nursing() }, r)
    }),
    at_least("dam_after_birth.nursing_loss", "at least this share", 0.001, too_low),
];

#[test]
fn each_limit_of_the_watch_on_it_before_and_after() {
    check(LIMITS);
}
