//! From milk to food, and what a weaned pup needs.

use super::dam::resting_kcal;
use crate::domain::fault::{Fault, Faults};
use crate::domain::rules::{Rules, Status};
use chrono::{Duration, NaiveDate};
use serde::Serialize;
use utoipa::ToSchema;

/// Whether a step of weaning is past, at hand or to come.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum WeaningStanding {
    /// Its days are over.
    Past,
    /// Today lies in it.
    Now,
    /// To come.
    Ahead,
}

/// One step of weaning.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct WeaningStep {
    /// What is done.
    #[schema(example = "Offer soft food once or twice a day; milk stays the main food.")]
    pub what: String,
    /// First day.
    #[schema(example = "2026-03-22")]
    pub from_on: NaiveDate,
    /// Last day.
    #[schema(example = "2026-04-11")]
    pub to_on: NaiveDate,
    /// Where today stands.
    pub standing: WeaningStanding,
    /// Where it comes from.
    pub source: String,
}

/// The steps of weaning of a litter.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct WeaningPlan {
    /// Age in days today.
    #[schema(example = 25)]
    pub age_days: i64,
    /// In order.
    pub steps: Vec<WeaningStep>,
}

/// The steps of weaning for a litter born on a day: milk alone, soft food beside it, weaned.
pub fn weaning_plan(born_on: NaiveDate, today: NaiveDate, rules: &Rules) -> WeaningPlan {
    let solids = rules.get("feeding.solids_from_day");
    let from = rules.get("feeding.weaned_from_day");
    let by = rules.get("feeding.weaned_by_day");
    let spans = [
        ("Milk alone.", 0.0, solids.value - 1.0, &solids.source),
        (
            "Offer soft food beside the milk and more of it week by week; fresh water always.",
            solids.value,
            from.value - 1.0,
            &solids.source,
        ),
        ("Finish weaning: solid food in several meals a day.", from.value, by.value, &by.source),
    ];
    let steps = spans
        .into_iter()
        .map(|(what, first, last, source)| {
            let from_on = born_on + Duration::days(first as i64);
            let to_on = born_on + Duration::days(last as i64);
            let standing = if today > to_on {
                WeaningStanding::Past
            } else if today < from_on {
                WeaningStanding::Ahead
            } else {
                WeaningStanding::Now
            };
            WeaningStep { what: what.to_owned(), from_on, to_on, standing, source: source.clone() }
        })
        .collect();
    WeaningPlan { age_days: (today - born_on).num_days(), steps }
}

/// What a weaned, growing pup needs a day.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct GrowingEnergy {
    /// Energy in kcal a day.
    #[schema(example = 955.0)]
    pub energy_kcal: f64,
    /// Its weight as a share of the adult weight expected.
    #[schema(example = 0.19)]
    pub of_adult_weight: f64,
    /// The factor on maintenance energy used.
    #[schema(example = 2.0)]
    pub times_maintenance: f64,
    /// Where the factor comes from.
    pub source: String,
    /// How far to trust it: no further than the maintenance energy under it.
    pub status: Status,
}

/// The energy of a weaned pup: maintenance times 2.0 to half of its adult weight, 1.6 to four fifths,
/// 1.2 until grown (NRC 2006).
///
/// # Errors
/// Faults of the weights.
pub fn growing_energy(
    weight_g: f64,
    adult_weight_g: f64,
    rules: &Rules,
) -> Result<GrowingEnergy, Vec<Fault>> {
    let mut faults = Faults::new();
    faults.unless((100.0..=150_000.0).contains(&weight_g), "/weight_g", || {
        "must be in grams, 100 to 150000".to_owned()
    });
    faults.unless((500.0..=150_000.0).contains(&adult_weight_g), "/adult_weight_g", || {
        "must be the adult weight expected in grams, 500 to 150000".to_owned()
    });
    faults.into_result()?;
    let of_adult_weight = weight_g / adult_weight_g;
    let rule = rules.get(if of_adult_weight < rules.value("feeding.growing_half") {
        "feeding.growing_to_half"
    } else if of_adult_weight < rules.value("feeding.growing_four_fifths") {
        "feeding.growing_to_four_fifths"
    } else {
        "feeding.growing_to_grown"
    });
    let maintenance = rules.get("feeding.mer_factor");
    let per_resting = maintenance.value / rules.value("feeding.rer_factor");
    Ok(GrowingEnergy {
        energy_kcal: rule.value * per_resting * resting_kcal(weight_g / 1000.0, rules),
        of_adult_weight,
        times_maintenance: rule.value,
        source: rule.source.clone(),
        status: maintenance.status,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn weaning_goes_from_week_three_to_week_seven() {
        let born = "2026-03-01".parse().unwrap();
        let plan = weaning_plan(born, "2026-03-22".parse().unwrap(), &Rules::standard());
        let standings: Vec<_> = plan.steps.iter().map(|s| s.standing).collect();
        use WeaningStanding::{Ahead, Now, Past};
        assert_eq!(standings, [Past, Now, Ahead]);
        assert_eq!(plan.steps[1].from_on.to_string(), "2026-03-22");
        assert_eq!(plan.steps[2].to_on.to_string(), "2026-04-19");
    }

    /// By hand: 130 x 5^0.75 = 434.7 kcal; twice that at a sixth of the adult weight.
    #[test]
    fn a_weaned_pup_by_its_share_of_adult_weight() {
        let rules = Rules::standard();
        let energy = |weight| growing_energy(weight, 30_000.0, &rules).unwrap();
        assert!((energy(5_000.0).energy_kcal - 869.35).abs() < 0.1);
        assert_eq!(energy(14_999.0).times_maintenance, 2.0);
        assert_eq!(energy(15_000.0).times_maintenance, 1.6);
        assert_eq!(energy(24_000.0).times_maintenance, 1.2);
        assert_eq!(growing_energy(5.0, 30.0, &rules).unwrap_err().len(), 2);
    }
}
