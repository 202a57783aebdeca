//! What a pair that somebody has chosen costs all others of a year's plan.

use super::{
    KinshipTable, MatingGrid, ProposalAnimal, YearPlanRequest, YearProposal,
    proposal::{ProposalPair, ProposedMating},
    propose_year,
    search::EQUAL,
};
use crate::rules::Rules;
use catalogue::{Text, figure, said};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use utoipa::ToSchema;
use uuid::Uuid;

/// A pair that somebody would choose.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PairChoice {
    /// The dam, of the plan's.
    pub dam_id: Uuid,
    /// The sire, of the plan's.
    pub sire_id: Uuid,
}

/// Another dam whose mates change when a pair is chosen.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ChangedMate {
    /// The dam.
    pub dam_id: Uuid,
    /// Her mates in the proposal; none where she has no litter in it.
    pub sires_before: Vec<Uuid>,
    /// Her mates with the choice.
    pub sires_after: Vec<Uuid>,
    /// Mean inbreeding of her pups in the proposal; null without a litter.
    pub inbreeding_before: Option<f64>,
    /// The same with the choice.
    pub inbreeding_after: Option<f64>,
}

/// What a chosen pair costs: the best plan that has a litter of it, beside the proposal.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ChoiceCost {
    /// The dam.
    pub dam_id: Uuid,
    /// The sire.
    pub sire_id: Uuid,
    /// Whether a plan with it keeps to the request.
    pub possible: bool,
    /// Why not.
    #[schema(value_type = Vec<String>)]
    pub why_not: Vec<Text>,
    /// Inbreeding of its pups; null when not known.
    #[schema(example = 0.03125)]
    pub inbreeding: Option<f64>,
    /// Mean kinship of all pups in the best plan with it; null where there is none.
    #[schema(example = 0.094)]
    pub mean_kinship: Option<f64>,
    /// What the plan makes lowest (`weighed`) with the pair less the proposal's: what the choice costs all; 0 where the
    /// proposal has the pair.
    #[schema(example = 0.011)]
    pub cost: Option<f64>,
    /// Mean inbreeding of all pups in that plan.
    #[schema(example = 0.028)]
    pub mean_inbreeding: Option<f64>,
    /// Whether that plan is proved to be the best with the pair.
    pub optimal: Option<bool>,
    /// Other dams whose mates change.
    pub others: Vec<ChangedMate>,
    /// All that in words.
    #[schema(value_type = String)]
    pub tells: Text,
}

/// Stands for a dam's litter that is chosen already; no dog has this id.
const CHOSEN: Uuid = Uuid::nil();

impl PairChoice {
    /// Weighs the choice against the proposal `best` of the same request.
    ///
    /// The chosen litter is given to a copy of the dam, as akin to all as she is, who has no other mate and must
    /// have one litter: so the plan may do with her other litters what it likes, and the figure is exact.
    pub(super) fn weighed(
        self,
        request: &YearPlanRequest,
        best: &YearProposal,
        grid: &MatingGrid,
        kinship: &KinshipTable,
        rules: &Rules,
    ) -> ChoiceCost {
        let Self { dam_id, sire_id } = self;
        let inbreeding = kinship.kinship(dam_id, sire_id);
        let none = |why_not: Vec<Text>| ChoiceCost {
            dam_id,
            sire_id,
            possible: false,
            why_not,
            inbreeding,
            mean_kinship: None,
            cost: None,
            mean_inbreeding: None,
            optimal: None,
            others: Vec::new(),
            tells: said!("choice-not-possible"),
        };
        if let Some(reasons) = grid.reasons(dam_id, sire_id) {
            return none(reasons);
        }
        let proposed = |m: &ProposedMating| m.dam_id == dam_id && m.sire_id == sire_id;
        let found = match best.matings.iter().any(proposed) {
            true => Ok(best.clone()),
            false => self.planned(request, kinship, rules),
        };
        let plan = match found {
            Ok(plan) => plan,
            Err(why_not) => return none(why_not),
        };
        let cost = (plan.weighed - best.weighed).max(0.0);
        let others = changed(best, &plan, dam_id);
        let tells = match (cost <= 2.0 * EQUAL, others.len()) {
            (true, 0) => said!("choice-costs-nothing"),
            (true, dams) => said!("choice-costs-nothing-but-mates", dams = dams),
            (false, dams) => {
                let more = figure(100.0 * cost, 2);
                said!("choice-costs", more = more, dams = dams)
            }
        };
        ChoiceCost {
            dam_id,
            sire_id,
            possible: true,
            why_not: Vec::new(),
            inbreeding,
            mean_kinship: Some(plan.mean_kinship),
            cost: Some(cost),
            mean_inbreeding: Some(plan.mean_inbreeding),
            optimal: Some(plan.optimal),
            others,
            tells,
        }
    }

    /// The best plan with a litter of the pair, or why there is none.
    fn planned(
        self,
        request: &YearPlanRequest,
        kinship: &KinshipTable,
        rules: &Rules,
    ) -> Result<YearProposal, Vec<Text>> {
        let kinship = kinship.with_copy(self.dam_id, CHOSEN).unwrap_or_else(|| kinship.clone());
        let mut request = request.clone();
        let mut spent = true;
        for dam in request.dams.iter_mut().filter(|dam| dam.id == self.dam_id) {
            spent = dam.at_most == 0;
            dam.at_most = dam.at_most.saturating_sub(1);
            dam.at_least = dam.at_least.saturating_sub(1);
        }
        if spent {
            return Err(vec![said!("choice-dam-without-litter")]);
        }
        if let Some(aim) = &mut request.breed {
            let own = aim.of_dogs.iter().find(|(id, _)| *id == self.dam_id).map(|(_, k)| *k);
            aim.of_dogs.extend(own.map(|kinship| (CHOSEN, kinship)));
        }
        request.dams.push(ProposalAnimal { id: CHOSEN, at_least: 1, at_most: 1 });
        request.pairs.push(ProposalPair { dam_id: CHOSEN, sire_id: self.sire_id, at_most: 1 });
        let plan = propose_year(&request, &kinship, rules);
        let mut plan = plan.map_err(|faults| {
            faults.into_iter().map(|fault| fault.detail).collect::<Vec<Text>>()
        })?;
        for mating in plan.matings.iter_mut().filter(|mating| mating.dam_id == CHOSEN) {
            mating.dam_id = self.dam_id;
        }
        Ok(plan)
    }
}

/// Each dam's mates, with the sum of the inbreeding of her litters and their number.
fn mates(plan: &YearProposal) -> BTreeMap<Uuid, (Vec<Uuid>, f64, u32)> {
    let mut of_dam: BTreeMap<Uuid, (Vec<Uuid>, f64, u32)> = BTreeMap::new();
    for mating in &plan.matings {
        let (sires, inbreeding, litters) = of_dam.entry(mating.dam_id).or_default();
        sires.extend((0..mating.litters).map(|_| mating.sire_id));
        sires.sort_unstable();
        *inbreeding += f64::from(mating.litters) * mating.inbreeding;
        *litters += mating.litters;
    }
    of_dam
}

/// Dams other than the chosen one whose mates differ.
fn changed(before: &YearProposal, after: &YearProposal, chosen: Uuid) -> Vec<ChangedMate> {
    let (before, after) = (mates(before), mates(after));
    let nobody = (Vec::new(), 0.0, 0);
    let mut dams: Vec<&Uuid> = before.keys().chain(after.keys()).collect();
    dams.sort_unstable();
    dams.dedup();
    let of = |dam: &Uuid| {
        let (was, is) = (before.get(dam).unwrap_or(&nobody), after.get(dam).unwrap_or(&nobody));
        let mean = |(_, sum, litters): &(Vec<Uuid>, f64, u32)| {
            (*litters > 0).then(|| sum / f64::from(*litters))
        };
        (was.0 != is.0).then(|| ChangedMate {
            dam_id: *dam,
            sires_before: was.0.clone(),
            sires_after: is.0.clone(),
            inbreeding_before: mean(was),
            inbreeding_after: mean(is),
        })
    };
    dams.into_iter().filter(|dam| **dam != chosen).filter_map(of).collect()
}
