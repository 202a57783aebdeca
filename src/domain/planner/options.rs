//! Moving a planned mating, or a heat with all that follows from it: what each choice would cost.

use super::{
    DraftTiming, PlannerDam, PlannerInput, PlannerLitter, clashes, draft_whelping, reckon,
};
use crate::{
    day_chances::{DayChance, DayChances, shift},
    fault::Fault,
    rules::Rules,
};
use catalogue::{Text, said};
use chrono::NaiveDate;
use serde::Serialize;
use utoipa::ToSchema;
use uuid::Uuid;

/// One choice: another day, another heat.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct MatingOption {
    /// What it is called in the answer.
    pub label: Text,
    /// Litters that it moves: key, and chance by day of whelping with it.
    pub litters: Vec<(String, Vec<DayChance>)>,
    /// Heats that it moves: key, and likely first day with it.
    pub heats: Vec<(String, NaiveDate)>,
}

/// What moves with a choice.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct MovedDay {
    /// Key of the heat or litter.
    pub key: String,
    /// Likely first day, or day of whelping.
    #[serde(rename = "likely_on")]
    pub likely: NaiveDate,
}

/// What a choice costs; less is better.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct OptionCost {
    /// The choice.
    #[schema(value_type = String, example = "14 days later")]
    pub label: Text,
    /// Likely day of the first whelping that it moves; null for a heat with no litter planned.
    #[serde(rename = "whelping_likely_on")]
    pub whelping_likely: Option<NaiveDate>,
    /// What moves with it.
    pub moves: Vec<MovedDay>,
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

/// The numbers of days to try: every `step_days` to both sides of the plan as it is, the nearest first.
pub(crate) fn days_to_try(days_earlier: i64, days_later: i64, step_days: i64) -> Vec<i64> {
    let step = step_days.max(1);
    let mut days: Vec<i64> =
        (-(days_earlier / step)..=days_later / step).map(|count| count * step).collect();
    days.sort_by_key(|days| days.abs());
    days
}

fn label(moved: i64) -> Text {
    match moved {
        0 => said!("planner-as-planned"),
        d if d < 0 => said!("planner-days-earlier", days = -d),
        d => said!("planner-days-later", days = d),
    }
}

/// The choices of moving the whelping of a litter by each of these numbers of days.
///
/// Only an insemination with stored semen in another heat, or another dam's heat, can truly be
/// chosen; days within a heat can move by one or two.
pub(crate) fn shift_options(key: &str, whelping: &DayChances, days: &[i64]) -> Vec<MatingOption> {
    let option = |moved: &i64| MatingOption {
        label: label(*moved),
        litters: vec![(key.to_owned(), whelping.shifted(*moved).to_list(0.0))],
        heats: Vec::new(),
    };
    days.iter().map(option).collect()
}

/// The choices of mating a dam in each of her coming heats.
///
/// # Errors
/// Faults of the heats: one without a day with a chance.
pub(crate) fn heat_options(
    key: &str,
    dam: &PlannerDam,
    rules: &Rules,
) -> Result<Vec<MatingOption>, Vec<Fault>> {
    dam.heats
        .iter()
        .zip(1..)
        .map(|(begins, number)| {
            let timing = DraftTiming::Heat { begins: begins.to_list(0.0) };
            let whelping = draft_whelping(&timing, rules)?.to_list(0.0);
            Ok(MatingOption {
                label: said!(
                    "planner-heat-likely",
                    number = number,
                    dam = &dam.name,
                    likely = begins.median()
                ),
                litters: vec![(key.to_owned(), whelping)],
                heats: Vec::new(),
            })
        })
        .collect()
}

/// The key of a dam's heat to come, the next being 1.
pub(crate) fn heat_key(dam_id: Uuid, number: u32) -> String {
    format!("heat:{dam_id}:{number}")
}

/// The choices of a heat to come beginning by each of these numbers of days earlier or later.
///
/// With it move the litters planned in it, the dam's later heats and the litters planned in those. A heat
/// that is still to come cannot have begun: choices whose likely day lies before `today` are left out.
/// `None` when the plan has no heat of this key.
pub(crate) fn heat_moves(
    input: &PlannerInput,
    key: &str,
    days: &[i64],
    today: NaiveDate,
) -> Option<Vec<MatingOption>> {
    let numbered = |dam: &'_ PlannerDam, number: u32| heat_key(dam.dam_id, number) == key;
    let (dam, number) = input.dams.iter().find_map(|dam| {
        let (_, number) = dam.heats.iter().zip(1..).find(|(_, number)| numbered(dam, *number))?;
        Some((dam, number))
    })?;
    let follows = |heat: u32| heat >= number;
    let heats: Vec<(&DayChances, u32)> =
        dam.heats.iter().zip(1..).filter(|(_, heat)| follows(*heat)).collect();
    let likely = heats.first().map(|(begins, _)| begins.median())?;
    let litters: Vec<(&PlannerLitter, DayChances)> = input
        .litters
        .iter()
        .filter(|litter| litter.dam_id == dam.dam_id && litter.heat.is_some_and(follows))
        .filter_map(|litter| Some((litter, DayChances::from_list(&litter.whelping)?)))
        .collect();
    let option = |moved: i64| MatingOption {
        label: label(moved),
        litters: litters
            .iter()
            .map(|(litter, chances)| (litter.key.clone(), chances.shifted(moved).to_list(0.0)))
            .collect(),
        heats: heats
            .iter()
            .map(|(begins, heat)| (heat_key(dam.dam_id, *heat), shift(begins.median(), moved)))
            .collect(),
    };
    let to_come = |moved: &i64| *moved >= 0 || shift(likely, *moved) >= today;
    Some(days.iter().copied().filter(to_come).map(option).collect())
}

/// Costs of the whole plan with each choice, cheapest first; of equal cost as they were given.
///
/// # Errors
/// Faults of the plan (see [`plan`](super::plan)), `/key` when a choice moves a litter that is not
/// there, and `/options/0/whelping` for one without chances.
pub(crate) fn compare_options(
    input: &PlannerInput,
    options: &[MatingOption],
    rules: &Rules,
) -> Result<Vec<OptionCost>, Vec<Fault>> {
    reckon(input)?;
    let mut costs = Vec::new();
    for (i, option) in options.iter().enumerate() {
        costs.push(cost(input, i, option, rules)?);
    }
    costs.sort_by(|a, b| a.cost.total_cmp(&b.cost));
    Ok(costs)
}

/// The plan with a choice, and what it moves.
fn with(
    input: &PlannerInput,
    i: usize,
    option: &MatingOption,
) -> Result<(PlannerInput, Vec<MovedDay>), Vec<Fault>> {
    let fault = |pointer: String, detail: Text| vec![Fault::new(pointer, detail)];
    let mut changed = input.clone();
    let mut moves: Vec<MovedDay> = Vec::new();
    for (key, whelping) in &option.litters {
        let litter = changed.litters.iter_mut().find(|litter| litter.key == *key);
        let litter = litter
            .ok_or_else(|| fault("/key".to_owned(), said!("fault-not-found-litter-of-plan")))?;
        let chances = DayChances::from_list(whelping)
            .ok_or_else(|| fault(format!("/options/{i}/whelping"), said!("fault-empty-chances")))?;
        moves.push(MovedDay { key: key.clone(), likely: chances.median() });
        litter.whelping.clone_from(whelping);
    }
    Ok((changed, moves))
}

fn cost(
    input: &PlannerInput,
    i: usize,
    option: &MatingOption,
    rules: &Rules,
) -> Result<OptionCost, Vec<Fault>> {
    let (input, moved) = with(input, i, option)?;
    let input = &input;
    let whelping_likely = moved.iter().map(|litter| litter.likely).min();
    let heats =
        option.heats.iter().map(|(key, likely)| MovedDay { key: key.clone(), likely: *likely });
    let moves = heats.chain(moved).collect();
    let litters = reckon(input)?;
    let days = |chances: Vec<(NaiveDate, f64)>| chances.iter().map(|(_, p)| p).sum::<f64>();
    let same_nights: f64 =
        clashes::births(input.span, &litters, rules).iter().map(|c| c.chance).sum();
    let births_while_away: f64 = clashes::away(input, &litters).iter().map(|c| c.chance).sum();
    let all: Vec<_> = litters.iter().collect();
    let place_days_short = days(clashes::place_shortage(input.span, &input.places, &all, rules));
    let hands_days_short = days(clashes::hands_shortage(input, &litters, rules));
    Ok(OptionCost {
        label: option.label.clone(),
        whelping_likely,
        moves,
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
