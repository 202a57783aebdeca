//! The risks of a birth, before it: what each means for its plan, the kit and who is on call.
//!
//! Nothing here decides: a planned caesarean, any medicine and every test are the veterinarian's.

mod facts;
mod judge;
mod table;

#[cfg(test)]
pub(crate) mod limits_tests;
#[cfg(test)]
mod tests;

pub use facts::EarlierLitter;

use crate::{
    advice::{Level, Params, standing_line},
    litter::{Core, Health, Pregnancy, Weights},
    moment::Moment,
    record::words::words,
    rules::Status,
    schedule::{plus, rule_days},
};
use catalogue::Text;
use chrono::NaiveDate;
use serde::Serialize;
use utoipa::ToSchema;
use uuid::Uuid;

words! {
    /// What makes a birth riskier.
    BirthRiskCode {
        /// She had a caesarean before.
        EarlierCaesarean = "earlier_caesarean",
        /// She had a hard birth before.
        EarlierDystocia = "earlier_dystocia",
        /// She bore dead pups before.
        EarlierStillborn = "earlier_stillborn",
        /// She lost a pregnancy before.
        EarlierLoss = "earlier_loss",
        /// She ran low on calcium with a litter before.
        PastEclampsia = "past_eclampsia",
        /// Her breed often needs a caesarean.
        BreedShape = "breed_shape",
        /// One pup was counted.
        SinglePup = "single_pup",
        /// Few pups were counted.
        SmallLitter = "small_litter",
        /// Very many pups were counted.
        VeryLargeLitter = "very_large_litter",
        /// A small dam with several pups.
        LowCalcium = "low_calcium",
        /// A small dam.
        SmallDam = "small_dam",
        /// A very large dam.
        LargeDam = "large_dam",
        /// A first litter, late in her life.
        LateFirstLitter = "late_first_litter",
        /// Her first litter.
        FirstLitter = "first_litter",
        /// An older dam.
        OlderDam = "older_dam",
        /// She was mated overweight.
        Overweight = "overweight",
    }
}

/// One risk of a birth.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct BirthRisk {
    /// Which.
    pub code: BirthRiskCode,
    /// `act`: talk it over with the veterinarian beforehand. `note`: worth knowing. It rings nowhere.
    pub level: Level,
    /// What it is.
    #[schema(value_type = String)]
    pub what: Text,
    /// By which figures.
    #[schema(value_type = String)]
    pub why: Text,
    /// The same figures by name.
    #[schema(value_type = Object)]
    pub params: Params,
    /// What it means for the plan.
    #[schema(value_type = Vec<String>)]
    pub plan: Vec<Text>,
    /// What to have ready for it.
    #[schema(value_type = Vec<String>)]
    pub kit: Vec<Text>,
    /// Who is to be reachable.
    #[schema(value_type = Vec<String>)]
    pub on_call: Vec<Text>,
    /// Where it comes from.
    pub source: String,
    /// How far that is confirmed.
    pub confirmation: Status,
}

/// The risks of one birth, and what they mean together.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct LitterBirthRisks {
    /// The litter.
    pub litter_id: Uuid,
    /// The dam.
    pub dam_id: Uuid,
    /// The risks, those to talk over first; none once the litter is born.
    pub risks: Vec<BirthRisk>,
    /// The plan for all of them, each line once.
    #[schema(value_type = Vec<String>)]
    pub plan: Vec<Text>,
    /// The kit for all of them.
    #[schema(value_type = Vec<String>)]
    pub kit: Vec<Text>,
    /// Who is to be reachable for any of them.
    #[schema(value_type = Vec<String>)]
    pub on_call: Vec<Text>,
    /// Day by which they have been talked over with the veterinarian; null while nothing dates the birth, and
    /// where there is nothing to talk over.
    pub talk_over_on: Option<NaiveDate>,
    /// What is not on record, and may be a risk.
    #[schema(value_type = Vec<String>)]
    pub lacking: Vec<Text>,
    /// The line that stands beside every piece of advice.
    #[schema(value_type = String)]
    pub standing_line: Text,
}

/// The risks of the birth of a litter; `None` when it is not this dam's.
///
/// `earlier` are her other litters. What is not on record is told as lacking, and is no risk.
pub fn birth_risks(
    core: &Core,
    (weights, health, pregnancy): (&Weights, &Health, &Pregnancy),
    earlier: &[EarlierLitter],
    moment: &Moment,
) -> Option<LitterBirthRisks> {
    let (litter_id, dam_id) = (core.id()?, core.dam_id()?);
    let facts = facts::BirthFacts::of(core, (weights, health, pregnancy), earlier, moment)?;
    let mut risks =
        if core.whelped_on().is_some() { Vec::new() } else { judge::risks(&facts, &moment.rules) };
    risks.sort_by_key(|risk| std::cmp::Reverse(risk.level));
    let rows = || risks.iter().filter_map(|risk| table::row(risk.code));
    let before = rule_days(&moment.rules, "birth_risks.talk_over_days");
    let to_talk_over = risks.iter().any(|risk| risk.level >= Level::Act);
    Some(LitterBirthRisks {
        litter_id,
        dam_id,
        plan: table::lines("birth-plan", rows().flat_map(|row| &row.plan)),
        kit: table::lines("birth-kit", rows().flat_map(|row| &row.kit)),
        on_call: table::lines("birth-on-call", rows().flat_map(|row| &row.on_call)),
        talk_over_on: facts.earliest_on.filter(|_| to_talk_over).map(|on| plus(on, -before)),
        lacking: if core.whelped_on().is_some() { Vec::new() } else { judge::lacking(&facts) },
        risks,
        standing_line: standing_line(),
    })
}
