//! The reports as views of the record of a litter.

use super::{
    ClubLitterReport, LitterReportInput, ReportPup, ReportedParent, ReportedPup, litter_report,
};
use crate::{
    family_tree::PedigreeDog,
    litter::{Core, Pup, Weights},
    moment::Moment,
};
use std::collections::BTreeMap;
use uuid::Uuid;

/// A litter as the reports take it in; `None` while it is expected.
pub fn litter_input(core: &Core, weights: &Weights, moment: &Moment) -> Option<LitterReportInput> {
    let born = core.pups.iter().filter(|pup| pup.birth.is_some());
    Some(LitterReportInput {
        litter_id: core.id()?,
        name: core.litter.as_ref().and_then(|litter| litter.record.name.clone()),
        mated_on: core.mated_on(moment),
        whelped_on: core.whelped_on()?,
        pups: born.map(|pup| taken_in(pup, weights, moment)).collect(),
    })
}

fn taken_in(pup: &Pup, weights: &Weights, moment: &Moment) -> ReportPup {
    let weighed = weights.weighings.of(pup.dog_id);
    let dog = pup.dog.as_ref();
    ReportPup {
        dog_id: pup.dog_id,
        sex: dog.and_then(|dog| dog.sex),
        stillborn: !pup.born_alive(),
        birth_weight_g: birth_weight(pup).map(f64::from),
        weights: weighed.iter().map(|w| (moment.day_of(w.measured_at), w.weight_g)).collect(),
        died_on: dog.and_then(|dog| dog.died_on),
        cause_of_loss: dog.and_then(|dog| dog.died_of.clone()),
    }
}

fn birth_weight(pup: &Pup) -> Option<i32> {
    pup.birth.as_ref().and_then(|birth| birth.record.weight_g)
}

fn listed(pup: &Pup) -> Option<ReportedPup> {
    let birth = &pup.birth.as_ref()?.record;
    let dog = pup.dog.as_ref();
    Some(ReportedPup {
        dog_id: pup.dog_id,
        ordinal: birth.ordinal,
        born_at: birth.born_at,
        outcome: birth.outcome,
        name: dog.and_then(|dog| dog.name.clone().or_else(|| dog.call_name.clone())),
        sex: dog.and_then(|dog| dog.sex),
        colour: dog.and_then(|dog| dog.colour.clone()),
        birth_weight_g: birth.weight_g,
        chip_number: dog.and_then(|dog| dog.chip_number.clone()),
        registrations: dog.map(|dog| dog.registrations.clone()).unwrap_or_default(),
        died_on: dog.and_then(|dog| dog.died_on),
        died_of: dog.and_then(|dog| dog.died_of.clone()),
    })
}

/// The name of a parent on a report: registered, else the one it is called by.
pub fn parent_name(dog: &PedigreeDog) -> Option<String> {
    dog.name.clone().or_else(|| dog.call_name.clone())
}

fn parent(dog: &PedigreeDog) -> ReportedParent {
    ReportedParent {
        dog_id: dog.dog_id,
        name: parent_name(dog),
        breed: dog.breed.clone(),
        born_on: dog.born_on,
        registrations: dog.registrations.clone(),
    }
}

/// The report on one litter of the kennel of this name; `None` while it is expected.
pub fn club_report(
    kennel: &str,
    core: &Core,
    weights: &Weights,
    parents: &BTreeMap<Uuid, PedigreeDog>,
    moment: &Moment,
) -> Option<ClubLitterReport> {
    let input = litter_input(core, weights, moment)?;
    let known = |id: Option<Uuid>| parents.get(&id?).map(parent);
    Some(ClubLitterReport {
        kennel: kennel.to_owned(),
        as_of: moment.today(),
        dam: known(core.dam_id())?,
        sire: known(core.sire_id()),
        mated_on: input.mated_on,
        report: litter_report(&input, moment.today()),
        pups: core.pups.iter().filter_map(listed).collect(),
    })
}
