//! The kennel's limits on breeding, held against matings that are planned.

use super::{PlannerRecords, ReadPlan};
use crate::{
    breeding_limits::{DamHistory, LimitFinding, PastWhelping, SireHistory, check_dam, check_sire},
    partial_date::PartialDate,
    pregnancy::{DamRecords, LitterOnRecord},
    record::{Dog, Kept, Mating, MatingStatus},
};
use chrono::NaiveDate;
use serde::Serialize;
use std::collections::BTreeSet;
use utoipa::ToSchema;
use uuid::Uuid;

/// The limits held against a mating that is planned.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct PlannedMatingLimits {
    /// Key of the litter in the plan.
    #[schema(example = "mating:018f2f3e-0000-7000-8000-000000000001")]
    pub key: String,
    /// The dam.
    pub dam_id: Uuid,
    /// The sire, if one is named.
    pub sire_id: Option<Uuid>,
    /// Day of the mating that was reckoned with.
    pub mated_on: NaiveDate,
    /// Each limit and whether it is kept.
    pub findings: Vec<LimitFinding>,
}

/// A mating as the limits see it.
pub(super) struct PairOnDay {
    pub sire_id: Option<Uuid>,
    pub mated_on: NaiveDate,
    /// Other sires of the same heat; `None` when its heat is not known.
    pub other_sires: Option<u32>,
}

/// Sires other than this mating's that mated the dam in the same heat, or are planned to.
pub(super) fn other_sires(dam: &DamRecords, mating: &Kept<Mating>) -> Option<u32> {
    let heat_id = mating.record.heat_id?;
    let sires: BTreeSet<Uuid> = dam
        .matings
        .iter()
        .filter(|other| other.record.heat_id == Some(heat_id))
        .filter(|other| other.record.status != MatingStatus::CalledOff)
        .map(|other| other.record.sire_id)
        .filter(|sire| *sire != mating.record.sire_id)
        .collect();
    u32::try_from(sires.len()).ok()
}

/// What the limits on dams ask of a dam's records, without a sire.
pub(crate) fn history_of(dam: &DamRecords) -> DamHistory {
    let whelping = |litter: &LitterOnRecord| {
        let whelped_on = PartialDate::Day(litter.litter.record.whelped_on?);
        Some(PastWhelping { whelped_on, caesarean: litter.caesarean })
    };
    DamHistory {
        born_on: dam.dog.as_ref().and_then(|dog| dog.born_on),
        whelpings: dam.litters.iter().filter_map(whelping).collect(),
        complete: dam.born_here,
        ..DamHistory::default()
    }
}

/// Holds the kennel's limits against a planned mating.
pub(super) fn limits(
    plan: &mut ReadPlan,
    records: &PlannerRecords,
    dam: &DamRecords,
    key: &str,
    thought: &PairOnDay,
) {
    let Some(set) = records.limits else { return };
    let (sire_id, mated_on) = (thought.sire_id, thought.mated_on);
    let sire = sire_id.and_then(|id| records.sires.get(&id).map(|dog| (id, dog)));
    let history = DamHistory {
        other_sires_this_heat: thought.other_sires,
        parent_offspring_or_full_sib: sire
            .and_then(|(sire_id, sire)| close_kin(dam.dam_id, dam.dog.as_ref()?, sire_id, sire)),
        ..history_of(dam)
    };
    let mut findings = check_dam(set, &history, mated_on);
    if sire_id.is_some() {
        let born_on = sire.and_then(|(_, dog)| dog.born_on);
        findings.extend(check_sire(set, &SireHistory { born_on }, mated_on));
    }
    let key = key.to_owned();
    plan.limits.push(PlannedMatingLimits { key, dam_id: dam.dam_id, sire_id, mated_on, findings });
}

/// Whether two dogs are parent and offspring or full sibs; unknown while parents are.
fn close_kin(dam_id: Uuid, dam: &Dog, sire_id: Uuid, sire: &Dog) -> Option<bool> {
    if dam.sire_id == Some(sire_id) || sire.dam_id == Some(dam_id) {
        return Some(true);
    }
    let (dam_parents, sire_parents) = (dam.sire_id.zip(dam.dam_id), sire.sire_id.zip(sire.dam_id));
    Some(dam_parents? == sire_parents?)
}
