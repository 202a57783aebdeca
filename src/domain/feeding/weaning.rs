//! From milk to food, and what a weaned pup needs.

use super::dam::EnergyByOtherRule;
use crate::fault::{Fault, Faults};
use crate::rules::{Rules, Status};
use catalogue::{Text, said};
use chrono::{Days, Duration, NaiveDate};
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
    #[schema(value_type = String, example = "Offer soft food once or twice a day; milk stays the main food.")]
    #[serde(rename = "action")]
    pub what: Text,
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

/// The last day of the usual weaning of a litter.
///
/// ```
/// # use {chrono::NaiveDate, domain::{feeding::weaned_by, rules::Rules}};
/// let day = |text: &str| text.parse::<NaiveDate>().unwrap();
/// assert_eq!(weaned_by(day("2026-03-01"), &Rules::standard()), day("2026-04-19"));
/// ```
pub fn weaned_by(born_on: NaiveDate, rules: &Rules) -> NaiveDate {
    let days = rules.value("feeding.weaned_by_day").max(0.0) as u64;
    born_on.checked_add_days(Days::new(days)).unwrap_or(born_on)
}

/// The steps of weaning for a litter born on a day: milk alone, soft food beside it, weaned.
pub(crate) fn weaning_plan(born_on: NaiveDate, today: NaiveDate, rules: &Rules) -> WeaningPlan {
    let solids = rules.get("feeding.solids_from_day");
    let from = rules.get("feeding.weaned_from_day");
    let by = rules.get("feeding.weaned_by_day");
    let spans = [
        (said!("feeding-milk-alone"), 0.0, solids.value - 1.0, &solids.source),
        (said!("feeding-soft-food"), solids.value, from.value - 1.0, &solids.source),
        (said!("feeding-finish-weaning"), from.value, by.value, &by.source),
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
            WeaningStep { what, from_on, to_on, standing, source: source.clone() }
        })
        .collect();
    WeaningPlan { age_days: (today - born_on).num_days(), steps }
}

/// What a weaned, growing pup needs a day.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct GrowingEnergy {
    /// Energy in kcal a day to begin with: the lower figure for large breeds, else the middle.
    #[schema(example = 702.2)]
    pub energy_kcal: f64,
    /// The lower of the published figures.
    #[schema(example = 702.2)]
    pub energy_low_kcal: f64,
    /// The higher of the published figures.
    #[schema(example = 869.4)]
    pub energy_high_kcal: f64,
    /// Its weight as a share of the adult weight expected.
    #[schema(example = 0.19)]
    #[serde(rename = "adult_weight_share")]
    pub of_adult_weight: f64,
    /// Whether it begins with the lower figure, because its breed is large.
    pub begins_low: bool,
    /// Each published way with its figure.
    #[serde(rename = "rules")]
    pub by_rule: Vec<EnergyByOtherRule>,
    /// What to know about the figure.
    #[schema(value_type = Vec<String>)]
    pub notes: Vec<Text>,
    /// How far to trust it: no further than the least sure of the values under it.
    #[serde(rename = "confirmation")]
    pub status: Status,
}

/// The energy of a weaned pup by two published ways that differ by a fifth: maintenance times 2.0 to
/// half of its adult weight, 1.6 to four fifths, 1.2 until grown (NRC 2006), and 210, 175, 140 kcal
/// per kg^0.75 over the same shares (FEDIAF).
///
/// # Errors
/// Faults of the weights.
pub(crate) fn growing_energy(
    weight_g: f64,
    adult_weight_g: f64,
    rules: &Rules,
) -> Result<GrowingEnergy, Vec<Fault>> {
    let mut faults = Faults::new();
    faults.unless((100.0..=150_000.0).contains(&weight_g), "/weight_g", || {
        said!("fault-out-of-range-growing-weight-g", least = 100, most = 150_000)
    });
    faults.unless((500.0..=150_000.0).contains(&adult_weight_g), "/adult_weight_g", || {
        said!("fault-out-of-range-adult-weight-g", least = 500, most = 150_000)
    });
    faults.into_result()?;
    let of_adult_weight = weight_g / adult_weight_g;
    let (factor, per_kg) = if of_adult_weight < rules.value("feeding.growing_half") {
        ("feeding.growing_to_half", "feeding.growing_fediaf_to_half")
    } else if of_adult_weight < rules.value("feeding.growing_four_fifths") {
        ("feeding.growing_to_four_fifths", "feeding.growing_fediaf_to_four_fifths")
    } else {
        ("feeding.growing_to_grown", "feeding.growing_fediaf_to_grown")
    };
    let (factor, per_kg) = (rules.get(factor), rules.get(per_kg));
    let maintenance = rules.get("feeding.mer_factor");
    let size = (weight_g / 1000.0).powf(0.75);
    let line = |rule: Text, kcal: f64, source: &str| EnergyByOtherRule {
        rule,
        low_kcal: kcal,
        high_kcal: kcal,
        source: source.to_owned(),
    };
    let by_rule = vec![
        line(
            said!(
                "feeding-times-maintenance",
                times = factor.value,
                maintenance = maintenance.value
            ),
            factor.value * maintenance.value * size,
            &factor.source,
        ),
        line(said!("feeding-kg-power", factor = per_kg.value), per_kg.value * size, &per_kg.source),
    ];
    let kcal = || by_rule.iter().map(|line| line.low_kcal);
    let (low, high) = (kcal().fold(f64::INFINITY, f64::min), kcal().fold(0.0, f64::max));
    let begins_low = adult_weight_g > rules.value("feeding.large_breed_g");
    let statuses = [maintenance, factor, per_kg].map(|rule| rule.status);
    let unsure = statuses.into_iter().find(|status| *status != Status::Verified);
    Ok(GrowingEnergy {
        energy_kcal: if begins_low { low } else { 0.5 * (low + high) },
        energy_low_kcal: low,
        energy_high_kcal: high,
        of_adult_weight,
        begins_low,
        notes: growing_notes(begins_low, adult_weight_g, rules),
        by_rule,
        status: unsure.unwrap_or(Status::Verified),
    })
}

fn growing_notes(begins_low: bool, adult_weight_g: f64, rules: &Rules) -> Vec<Text> {
    let mut notes = vec![said!("feeding-figures-differ")];
    if begins_low {
        notes.push(said!("feeding-large-breed"));
    }
    if adult_weight_g < rules.value("feeding.toy_adult_g") {
        notes.push(said!("feeding-toy-breed"));
    }
    notes
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

    /// NRC 2006 by hand: 130 x 5^0.75 = 434.7 kcal, twice that at a sixth of the adult weight;
    /// FEDIAF 2021: 210 x 5^0.75. Each limit on it and below it.
    #[test]
    fn a_weaned_pup_by_its_share_of_adult_weight() {
        let rules = Rules::standard();
        let energy = |weight| growing_energy(weight, 30_000.0, &rules).unwrap();
        let young = energy(5_000.0);
        assert!((young.energy_high_kcal - 869.35).abs() < 0.1);
        assert!((young.energy_low_kcal - 702.17).abs() < 0.1);
        let per_size = |weight: f64| {
            let found = energy(weight);
            let size = (weight / 1000.0_f64).powf(0.75);
            [found.energy_low_kcal / size, found.energy_high_kcal / size].map(f64::round)
        };
        assert_eq!(per_size(14_999.0), [210.0, 260.0]);
        assert_eq!(per_size(15_000.0), [175.0, 208.0]);
        assert_eq!(per_size(23_999.0), [175.0, 208.0]);
        assert_eq!(per_size(24_000.0), [140.0, 156.0]);
        assert_eq!(young.by_rule.len(), 2);
        assert_eq!(growing_energy(5.0, 30.0, &rules).unwrap_err().len(), 2);
    }

    /// Over 23 kg grown up a breed is large (Kerby 2018).
    #[test]
    fn large_breeds_begin_low_and_toys_are_warned_of_low_sugar() {
        let rules = Rules::standard();
        let found = |adult| growing_energy(2_000.0, adult, &rules).unwrap();
        let large = found(23_001.0);
        assert!(large.begins_low && large.energy_kcal == large.energy_low_kcal);
        for adult in [22_999.0, 23_000.0] {
            let other = found(adult);
            let middle = 0.5 * (other.energy_low_kcal + other.energy_high_kcal);
            assert!(!other.begins_low && (other.energy_kcal - middle).abs() < 1e-9);
        }
        let sugar = |adult| found(adult).notes.iter().any(|note| note.contains("sugar"));
        assert_eq!([sugar(4_999.0), sugar(5_000.0)], [true, false]);
    }
}
