//! Whom a dog feeds, and how it is fed.

use super::{Core, Nursing, Pregnancy, Weights};
use crate::{
    fault::Fault,
    feeding::{DamStage, HandFedPup},
    moment::Moment,
    pregnancy::LitterDueWindow,
    record::Feed,
    slips,
};
use chrono::{DateTime, Utc};
use uuid::Uuid;

/// Whether a dam nurses or carries, by her litters, and for how many pups her weeks of nursing are
/// reckoned: those here, or the likeliest number of those that she carries. `None` when both are too long
/// ago, and when the pups of the litter that she nursed are gone.
pub(crate) fn dam_stage(litters: &[(Core, Pregnancy)], moment: &Moment) -> Option<(DamStage, u32)> {
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
    let asked = |(stage, _): &(DamStage, u32)| stage.is_of_now(&moment.rules);
    nursing.filter(asked).or_else(|| carrying.filter(asked))
}

/// Whether a temperature taken then says how a pup is to be fed now: it is younger than
/// `feeding.temperature_recent_hours`.
pub(super) fn tells_of_now(taken_at: DateTime<Utc>, moment: &Moment) -> bool {
    moment.now - taken_at < moment.rules.span("feeding.temperature_recent_hours")
}

/// The last temperature of a pup in degrees Celsius, where it says how it is to be fed now.
pub(super) fn recent_temperature(nursing: &Nursing, dog_id: Uuid, moment: &Moment) -> Option<f64> {
    let taken = nursing.last_temperature(dog_id, moment.now);
    taken.filter(|(at, _)| tells_of_now(*at, moment)).map(|(_, temperature_c)| temperature_c)
}

/// A pup as the question of feeding by hand sees it; `None` without a birth here or a weight.
pub(crate) fn hand_fed(
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
    Some(HandFedPup {
        weight_g,
        born_at,
        started_at: nursing.feeds_taken(dog_id).iter().map(|feed| feed.at).min(),
        replacer_kcal_per_ml,
        share,
        temperature_c: recent_temperature(nursing, dog_id, moment),
        adult_weight_g: pup.dog.as_ref()?.adult_weight_g.map(f64::from),
        weak,
    })
}

/// Asks about a feed that the stomach of a pup born here does not hold (see [`slips::feed`]), by its last
/// weight at `moment`.
pub fn feed_of_pup(feed: &Feed, core: &Core, weights: &Weights, moment: &Moment) -> Vec<Fault> {
    let birth = core.pup(feed.dog_id).and_then(|pup| pup.birth.as_ref());
    let Some(born_at) = birth.map(|birth| birth.record.born_at) else { return Vec::new() };
    let weight_g = weights.last(feed.dog_id, moment.now).map(|(_, weight_g)| weight_g);
    let age_days = (moment.day_of(feed.fed_at) - moment.day_of(born_at)).num_days();
    slips::feed(feed, weight_g, Some(age_days), &moment.rules)
}
