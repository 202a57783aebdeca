//! The litter as the questions of growth see it.

use super::{Core, Presence, Pup, Weights};
use crate::{
    day_chances::shift,
    feeding::weaned_by,
    growth::{GrowthLitter, GrowthPup, series::median},
    moment::Moment,
    record::Dog,
};
use chrono::{DateTime, NaiveDate, Utc};
use uuid::Uuid;

/// The litter with the weights of the pups that were born alive, as known at `moment`.
///
/// A pup that died or went to its new home is in the litter until then.
pub fn growth_litter(core: &Core, weights: &Weights, moment: &Moment) -> GrowthLitter {
    seen(core, weights, moment, left_at)
}

/// The same, where a pup that was handed over still counts as one to weigh: its new family may.
pub fn litter_to_weigh(core: &Core, weights: &Weights, moment: &Moment) -> GrowthLitter {
    seen(core, weights, moment, |pup, moment| match pup.presence(moment) {
        Presence::Died { .. } => left_at(pup, moment),
        _ => None,
    })
}

/// The last day to which a picture of these weights looks ahead of itself: twice the present age, so that
/// what was weighed fills half of it; at most the usual end of weaning.
pub fn pictured_until(litter: &GrowthLitter, moment: &Moment) -> NaiveDate {
    let born_at = litter.pups.iter().map(|pup| pup.born_at).min().unwrap_or(moment.now);
    let born_on = moment.day_of(born_at);
    let age = (moment.today() - born_on).num_days().max(0);
    shift(moment.today(), age).min(weaned_by(born_on, &moment.rules))
}

fn seen(
    core: &Core,
    weights: &Weights,
    moment: &Moment,
    left_at: impl Fn(&Pup, &Moment) -> Option<DateTime<Utc>>,
) -> GrowthLitter {
    let adult = |dog: &Option<Dog>| Some(f64::from(dog.as_ref()?.adult_weight_g?));
    let (dam_g, sire_g) = (adult(&core.dam), adult(&core.sire));
    // The dam's usual weight is the middle of her own, so that late pregnancy counts little.
    let usual = |dam: Uuid| median(weights.weighings.of(dam).iter().map(|w| w.weight_g).collect());
    let own = || <[Pup]>::first(&core.pups)?.dog.as_ref()?.adult_weight_g.map(f64::from);
    let pup = |pup: &Pup| {
        let birth = pup.birth.as_ref().map(|birth| &birth.record);
        Some(GrowthPup {
            dog_id: pup.dog_id,
            label: pup.label(),
            born_at: match birth {
                Some(birth) => birth.born_at,
                None => moment.midnight(pup.born_on(moment)?),
            },
            birth_weight_g: birth.and_then(|birth| birth.weight_g).map(f64::from),
            is_female: pup.is_female(),
            left_at: left_at(pup, moment),
            weighings: weights.weighings.of(pup.dog_id).to_vec(),
        })
    };
    GrowthLitter {
        // A dog of no litter of ours: this id stands in no answer.
        litter_id: core.id().unwrap_or_else(Uuid::nil),
        breed: core.breed(),
        adult_weight_g: match (dam_g, sire_g) {
            (Some(dam_g), Some(sire_g)) => Some(f64::midpoint(dam_g, sire_g)),
            (dam_g, sire_g) => dam_g.or(sire_g).or_else(|| own().filter(|_| core.litter.is_none())),
        },
        dam_weight_g: dam_g.or_else(|| usual(core.dam_id()?)),
        time_zone: moment.zone,
        pups: core.pups.iter().filter(|pup| pup.born_alive()).filter_map(pup).collect(),
    }
}

/// When a pup ceased to be in the litter: the end of the day on which it died or was handed over.
fn left_at(pup: &Pup, moment: &Moment) -> Option<DateTime<Utc>> {
    let gone = match pup.presence(moment) {
        Presence::Here | Presence::Returned => return None,
        Presence::Died { on } => pup.departed_on().map_or(Some(on), |left| Some(left.min(on))),
        Presence::Left { on } => on,
        Presence::Stillborn | Presence::Unseen => None,
    };
    Some(gone.map_or(moment.now, |on| moment.end_of(on)))
}
