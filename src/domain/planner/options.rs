//! Moving a planned mating: what each choice would cost.

use super::{DraftTiming, PlannerDam, PlannerInput, clashes, draft_whelping, reckon};
use crate::{
    day_chances::{DayChance, DayChances},
    fault::Fault,
    rules::Rules,
};
use chrono::NaiveDate;
use serde::Serialize;
use std::ops::RangeInclusive;
use utoipa::ToSchema;

/// One choice for a planned litter: another day, another heat.
#[derive(Debug, Clone, PartialEq)]
pub struct MatingOption {
    /// What it is called in the answer.
    pub label: String,
    /// Chance by day of whelping with it.
    pub whelping: Vec<DayChance>,
}

/// What a choice costs; less is better.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct OptionCost {
    /// The choice.
    #[schema(example = "14 days later")]
    pub label: String,
    /// Likely day of whelping.
    pub whelping_likely: NaiveDate,
    /// Births expected on the same nights as another (sum of chances over pairs of litters).
    pub same_nights: f64,
    /// Days expected without a free place.
    pub place_days_short: f64,
    /// Days expected with too few hands.
    pub hands_days_short: f64,
    /// Births expected while a person is away.
    pub births_while_away: f64,
    /// All of it, weighted by the rules `planner.weight_…`.
    pub cost: f64,
}

/// The choices of moving a whelping by each number of days in `days`, of which `step`th are kept.
///
/// Only an insemination with stored semen in another heat, or another dam's heat, can truly be
/// chosen; days within a heat can move by one or two.
pub fn shift_options(
    whelping: &DayChances,
    days: RangeInclusive<i64>,
    step: usize,
) -> Vec<MatingOption> {
    days.step_by(step.max(1))
        .map(|moved| MatingOption {
            label: match moved {
                0 => "as planned".to_owned(),
                d if d < 0 => format!("{} days earlier", -d),
                d => format!("{d} days later"),
            },
            whelping: whelping.shifted(moved).to_list(0.0),
        })
        .collect()
}

/// The choices of mating a dam in each of her coming heats.
///
/// # Errors
/// Faults of the heats: one without a day with a chance.
pub fn heat_options(dam: &PlannerDam, rules: &Rules) -> Result<Vec<MatingOption>, Vec<Fault>> {
    dam.heats
        .iter()
        .zip(1..)
        .map(|(begins, number)| {
            let timing = DraftTiming::Heat { begins: begins.to_list(0.0) };
            Ok(MatingOption {
                label: format!("heat {number} of {}, likely {}", dam.name, begins.median()),
                whelping: draft_whelping(&timing, rules)?.to_list(0.0),
            })
        })
        .collect()
}

/// Costs of the whole plan with each choice for the litter `key`, cheapest first.
///
/// # Errors
/// Faults of the plan (see [`plan`](super::plan)), `/key` when there is no such litter, and
/// `/options/0/whelping` for a choice without chances.
pub fn compare_options(
    input: &PlannerInput,
    key: &str,
    options: &[MatingOption],
    rules: &Rules,
) -> Result<Vec<OptionCost>, Vec<Fault>> {
    let fault = |pointer: String, detail: &str| vec![Fault { pointer, detail: detail.to_owned() }];
    let index = input
        .litters
        .iter()
        .position(|litter| litter.key == key)
        .ok_or_else(|| fault("/key".to_owned(), "names no litter of the plan"))?;
    reckon(input)?;
    let mut costs = Vec::new();
    let mut changed = input.clone();
    for (i, option) in options.iter().enumerate() {
        let whelping = DayChances::from_list(&option.whelping)
            .ok_or_else(|| fault(format!("/options/{i}/whelping"), "has no day with a chance"))?;
        changed.litters[index].whelping.clone_from(&option.whelping);
        costs.push(cost(&changed, option.label.clone(), whelping.median(), rules)?);
    }
    costs.sort_by(|a, b| a.cost.total_cmp(&b.cost));
    Ok(costs)
}

fn cost(
    input: &PlannerInput,
    label: String,
    whelping_likely: NaiveDate,
    rules: &Rules,
) -> Result<OptionCost, Vec<Fault>> {
    let litters = reckon(input)?;
    let days = |chances: Vec<(NaiveDate, f64)>| chances.iter().map(|(_, p)| p).sum::<f64>();
    let same_nights: f64 =
        clashes::births(input.span, &litters, rules).iter().map(|c| c.chance).sum();
    let births_while_away: f64 = clashes::away(input, &litters).iter().map(|c| c.chance).sum();
    let all: Vec<_> = litters.iter().collect();
    let place_days_short = days(clashes::place_shortage(input.span, &input.places, &all, rules));
    let hands_days_short = days(clashes::hands_shortage(input, &litters, rules));
    Ok(OptionCost {
        label,
        whelping_likely,
        cost: rules.value("planner.weight_same_nights") * same_nights
            + rules.value("planner.weight_place_day") * place_days_short
            + rules.value("planner.weight_hands_day") * hands_days_short
            + rules.value("planner.weight_away") * births_while_away,
        same_nights,
        place_days_short,
        hands_days_short,
        births_while_away,
    })
}
