//! Whom a dog feeds, and how it is fed.

use super::{Core, Nursing, Pregnancy, Weights};
use crate::{
    feeding::{DamStage, HandFedPup},
    moment::Moment,
    pregnancy::LitterDueWindow,
};
use chrono::{DateTime, Utc};
use uuid::Uuid;

/// Days after the last birth for which a litter that was not weaned is taken to be nursed.
const NURSED_DAYS: i64 = 70;
/// Days of pregnancy after which a litter that never came is carried no more.
const CARRIED_DAYS: i64 = 75;

/// Whether a dam nurses or carries, by her litters, and for how many pups her weeks of nursing are
/// reckoned: those here, or the likeliest number of those that she carries. `None` when both are too long
/// ago, and when the pups of the litter that she nursed are gone.
pub fn dam_stage(litters: &[(Core, Pregnancy)], moment: &Moment) -> Option<(DamStage, u32)> {
    let days = |at: DateTime<Utc>| (moment.today() - moment.day_of(at)).num_days();
    let unweaned = litters
        .iter()
        .filter(|(core, _)| core.whelped_on().is_some() && core.weaned_on().is_none());
    let nursing = unweaned
        .filter_map(|(core, _)| Some((core.last_birth()?, core.count_here(moment))))
        .max()
        .map(|(at, pups)| (DamStage::Lactating { day: days(at), pups }, pups));
    let expected = litters.iter().filter(|(core, _)| core.whelped_on().is_none());
    let carrying = expected
        .filter_map(|(core, pregnancy)| {
            let (records, reading) = pregnancy.read(core, moment)?;
            let likely = reading.pups.as_ref().map_or(0, |pups| pups.likely);
            let window = LitterDueWindow::of(&records, reading, moment.time());
            Some((DamStage::Pregnant { day: window.day_of_pregnancy? }, likely))
        })
        .next();
    let asked = |(stage, _): &(DamStage, u32)| match stage {
        DamStage::Lactating { day, pups } => (0..=NURSED_DAYS).contains(day) && *pups > 0,
        DamStage::Pregnant { day } => (0..=CARRIED_DAYS).contains(day),
    };
    nursing.filter(asked).or_else(|| carrying.filter(asked))
}

/// A pup as the question of feeding by hand sees it; `None` without a birth here or a weight.
///
/// A temperature of a day ago says nothing of now.
pub fn hand_fed(
    core: &Core,
    (weights, nursing): (&Weights, &Nursing),
    dog_id: Uuid,
    share: f64,
    replacer_kcal_per_ml: Option<f64>,
    weak: bool,
    moment: &Moment,
) -> Option<HandFedPup> {
    let pup = core.pup(dog_id)?;
    let born_at = pup.birth.as_ref()?.record.born_at;
    let (_, weight_g) = weights.last(dog_id, moment.now)?;
    let recent = |(at, _): &(DateTime<Utc>, f64)| (moment.now - *at).num_hours() < 24;
    Some(HandFedPup {
        weight_g,
        born_at,
        started_at: nursing.feeds_taken(dog_id).iter().map(|feed| feed.at).min(),
        replacer_kcal_per_ml,
        share,
        temperature_c: nursing
            .last_temperature(dog_id, moment.now)
            .filter(recent)
            .map(|(_, temperature)| temperature),
        adult_weight_g: pup.dog.as_ref()?.adult_weight_g.map(f64::from),
        weak,
    })
}
