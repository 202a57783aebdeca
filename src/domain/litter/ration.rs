//! What a dog needs: as a dam, as a pup on supplement, or as a growing dog.

use super::{
    Core, Nursing, Pregnancy, Pup, Weights, adult_weight_of, dam_stage,
    feeding::recent_temperature, hand_fed,
};
use crate::{
    advice::standing_line,
    alarms::{Sights, cautions, of_feeding},
    fault::Fault,
    feeding::{
        DamEnergy, GrowingEnergy, NextFeed, Orphan, PupRation, RearingPlan, WeaningPlan,
        dam_energy, dam_energy_weeks, growing_energy, next_feed, pup_ration, rearing_plan,
        weaned_by, weaning_plan,
    },
    growth::own_lines::{AdultWeightUsed, OwnLines},
    moment::Moment,
};
use catalogue::{Text, said};
use chrono::{DateTime, NaiveDate, Utc};
use serde::Serialize;
use utoipa::ToSchema;
use uuid::Uuid;

/// How a pup is fed by hand, as it is asked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HandFeeding {
    /// Share of its need that the pup gets by hand, 0 to 1; 1 is an orphan.
    pub share: f64,
    /// Energy of the milk replacer as mixed, from its label.
    pub replacer_kcal_per_ml: Option<f64>,
    /// Whether the pup is weak: it is fed as often as a toy pup then.
    pub weak: bool,
}

/// The dam's need now and week by week.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct DamFeeding {
    /// Now.
    pub now: DamEnergy,
    /// Through pregnancy and lactation with the pups that she has, or the likeliest number of those that
    /// she carries.
    pub weeks: Vec<DamEnergy>,
}

/// A pup fed by hand.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct PupFeeding {
    /// What it gets.
    pub ration: PupRation,
    /// The next feed, by what it took.
    pub next: NextFeed,
}

/// What a dog needs: as a dam, as a pup on supplement, or as a growing dog.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct FeedingAnswer {
    /// The dog.
    pub dog_id: Uuid,
    /// The moment it was looked at.
    #[serde(rename = "reckoned_at")]
    pub as_of: DateTime<Utc>,
    /// Its weight in grams that the figures rest on.
    #[schema(example = 28400.0)]
    pub weight_g: Option<f64>,
    /// As a dam that carries or nurses; null when she does neither.
    pub dam: Option<DamFeeding>,
    /// As a pup fed by hand; null after weaning.
    pub pup: Option<PupFeeding>,
    /// The steps from milk to food; null for a dog of which the day of birth is unknown or long past.
    pub weaning: Option<WeaningPlan>,
    /// As a weaned, growing dog; null before and when its adult weight is not known.
    pub growing: Option<GrowingEnergy>,
    /// The adult weight that this rests on: the dog's own, else the mean of enough dogs of the kennel's own lines.
    pub adult_weight: Option<AdultWeightUsed>,
    /// What was not known and would be needed.
    #[schema(value_type = Vec<String>)]
    pub lacks: Vec<Text>,
    /// What stands beside every piece of advice.
    #[schema(value_type = String)]
    pub advice: Text,
}

/// What a dog needs at `moment`: `own` is the record that it was born into, `litters` are those that it has
/// as a dam, `lines` what dogs of its breed weigh in the kennel's own lines.
///
/// `None` when it is not in that record.
///
/// # Errors
/// Faults of what was asked: a share or an energy that cannot be.
pub fn ration(
    dog_id: Uuid,
    own: (&Core, &Weights, &Nursing, &Sights),
    litters: &[(Core, Pregnancy)],
    lines: &OwnLines,
    asked: &HandFeeding,
    moment: &Moment,
) -> Result<Option<FeedingAnswer>, Vec<Fault>> {
    let (core, weights, ..) = own;
    let Some(dog) = core.pup(dog_id) else { return Ok(None) };
    let weight_g = weights.last(dog_id, moment.now).map(|(_, weight)| weight);
    let adult_g = dog.dog.as_ref().and_then(|dog| dog.adult_weight_g).map(f64::from);
    let adult = adult_weight_of(core, dog_id, lines);
    let born_on = dog.birth.as_ref().and_then(|_| dog.born_on(moment));
    let unweaned = unweaned(born_on, moment);
    // One that died, left or was born dead is fed by nobody here.
    let nursed = unweaned.filter(|_| dog.presence(moment).is_here());
    let pup = match nursed {
        Some(_) => by_hand(own, dog, asked, moment)?,
        None => None,
    };
    let grown_up = born_on.is_some() && unweaned.is_none();
    Ok(Some(FeedingAnswer {
        dog_id,
        as_of: moment.now,
        weight_g,
        dam: as_dam(litters, weight_g.or(adult_g), moment)?,
        pup,
        weaning: nursed.map(|born_on| weaning_plan(born_on, moment.today(), &moment.rules)),
        growing: match weight_g.zip(adult.as_ref().map(|used| used.weight_g)).filter(|_| grown_up) {
            Some((weight, adult)) if weight < adult => {
                Some(growing_energy(weight, adult, &moment.rules)?)
            }
            _ => None,
        },
        adult_weight: adult,
        lacks: weight_g.is_none().then(|| said!("feeding-lacks-weight")).into_iter().collect(),
        advice: standing_line(),
    }))
}

/// An orphan, day by day from today until it is weaned; `None` for a dog that was not born here, is weaned, or is
/// not here.
///
/// # Errors
/// Faults of what was asked: an energy that cannot be.
pub fn orphan_plan(
    dog_id: Uuid,
    (core, weights, nursing): (&Core, &Weights, &Nursing),
    asked: &HandFeeding,
    moment: &Moment,
) -> Result<Option<RearingPlan>, Vec<Fault>> {
    let pup = core.pup(dog_id).filter(|pup| pup.presence(moment).is_here());
    let born = pup.and_then(|pup| Some((pup, pup.birth.as_ref()?, pup.born_on(moment)?)));
    let Some((pup, birth, born_on)) = born.filter(|it| unweaned(Some(it.2), moment).is_some())
    else {
        return Ok(None);
    };
    let orphan = Orphan {
        dog_id,
        born_at: birth.record.born_at,
        born_on,
        weight_g: weights.last(dog_id, moment.now).map(|(_, weight_g)| weight_g),
        temperature_c: recent_temperature(nursing, dog_id, moment),
        adult_weight_g: pup.dog.as_ref().and_then(|dog| dog.adult_weight_g).map(f64::from),
        weak: asked.weak,
        replacer_kcal_per_ml: asked.replacer_kcal_per_ml,
    };
    rearing_plan(&orphan, (moment.now, moment.today()), &moment.rules).map(Some)
}

/// The day of birth of one that is not weaned yet, as pups usually are.
fn unweaned(born_on: Option<NaiveDate>, moment: &Moment) -> Option<NaiveDate> {
    born_on.filter(|born| moment.today() <= weaned_by(*born, &moment.rules))
}

/// What a dam that carries or nurses needs at so many grams.
fn as_dam(
    litters: &[(Core, Pregnancy)],
    weight_g: Option<f64>,
    moment: &Moment,
) -> Result<Option<DamFeeding>, Vec<Fault>> {
    let Some(((stage, pups), weight_g)) = dam_stage(litters, moment).zip(weight_g) else {
        return Ok(None);
    };
    Ok(Some(DamFeeding {
        now: dam_energy(weight_g, stage, &moment.rules)?,
        weeks: dam_energy_weeks(weight_g, pups, &moment.rules)?,
    }))
}

/// What a pup gets by hand, and when next.
fn by_hand(
    (core, weights, nursing, sights): (&Core, &Weights, &Nursing, &Sights),
    pup: &Pup,
    asked: &HandFeeding,
    moment: &Moment,
) -> Result<Option<PupFeeding>, Vec<Fault>> {
    let HandFeeding { share, replacer_kcal_per_ml, weak } = *asked;
    let parts = (weights, nursing);
    let fed = hand_fed(core, parts, pup.dog_id, share, replacer_kcal_per_ml, weak, moment);
    let Some(fed) = fed else { return Ok(None) };
    let ration = pup_ration(&fed, moment.now, &moment.rules)?;
    let taken = nursing.feeds_taken(pup.dog_id);
    let next = next_feed(&taken, &ration, moment.now, &moment.rules);
    // What was asked is judged by the ration; how it is fed comes from the one list.
    let alarms = of_feeding(core, (weights, nursing, sights), pup, moment);
    Ok(Some(PupFeeding { ration, next: NextFeed { cautions: cautions(&alarms), ..next } }))
}
