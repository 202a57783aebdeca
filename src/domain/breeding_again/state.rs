//! What of a dam's own state stands against a mating.

use super::{BreedingAnswer, DamToBreed};
use crate::advice::Level;
use crate::dam_after_birth::{low_calcium_after, usual_weight};
use crate::day_chances::shift;
use crate::feeding::weaned_by;
use crate::litter::{Presence, signs_of_dam};
use crate::moment::Moment;
use catalogue::{Text, figure, said};
use chrono::{Duration, NaiveDate};

/// A reason of her own state, as it is on any day.
pub(super) struct StateGround {
    /// What it says while it stands against a mating.
    pub(super) against: BreedingAnswer,
    /// From this day on it does not; null where no day ends it.
    pub(super) met_from: Option<NaiveDate>,
    pub(super) what: Text,
    pub(super) source: String,
}

impl StateGround {
    pub(super) fn on(&self, day: NaiveDate) -> BreedingAnswer {
        match self.met_from {
            Some(from) if day >= from => BreedingAnswer::Yes,
            _ => self.against,
        }
    }
}

/// All grounds of her own state that may stand against a mating.
pub(super) fn states(dam: &DamToBreed<'_>, moment: &Moment) -> Vec<StateGround> {
    let mut found: Vec<StateGround> = presence(dam, moment).into_iter().collect();
    found.extend(carries(dam));
    found.extend(nurses(dam, moment));
    found.extend(womb(dam, moment));
    found.extend(caesareans(dam, moment));
    found.extend(low_calcium(dam, moment));
    found.extend(calls(dam));
    found.extend(weight(dam, moment));
    found
}

fn presence(dam: &DamToBreed<'_>, moment: &Moment) -> Option<StateGround> {
    let dog = dam.records.dog.as_ref()?;
    let of_record = |against, what| StateGround {
        against,
        met_from: None,
        what,
        source: "her record".to_owned(),
    };
    if let Some(on) = dog.died_on {
        return Some(of_record(BreedingAnswer::No, said!("breed-again-died", on = on)));
    }
    let here = Presence::by_record(dog.died_on, dog.residence, moment.today()).is_here();
    (!here).then(|| of_record(BreedingAnswer::NotYet, said!("breed-again-not-here")))
}

fn carries(dam: &DamToBreed<'_>) -> Option<StateGround> {
    let open = dam.records.litters.iter().any(|it| it.litter.record.whelped_on.is_none());
    open.then(|| StateGround {
        against: BreedingAnswer::NotYet,
        met_from: None,
        what: said!("breed-again-carries"),
        source: "her record".to_owned(),
    })
}

/// The day of her last whelping.
fn last_whelped(dam: &DamToBreed<'_>) -> Option<NaiveDate> {
    dam.records.litters.iter().filter_map(|it| it.litter.record.whelped_on).max()
}

fn nurses(dam: &DamToBreed<'_>, moment: &Moment) -> Option<StateGround> {
    let rules = &moment.rules;
    let unweaned =
        dam.records.litters.iter().filter(|it| it.litter.record.weaned_on.is_none() && it.here > 0);
    let whelped_on = unweaned.filter_map(|it| it.litter.record.whelped_on).max()?;
    let met_from = weaned_by(whelped_on, rules);
    (moment.today() < met_from).then(|| StateGround {
        against: BreedingAnswer::NotYet,
        met_from: Some(met_from),
        what: said!("breed-again-nurses", weaned_by = met_from),
        source: rules.get("feeding.weaned_by_day").source.clone(),
    })
}

fn womb(dam: &DamToBreed<'_>, moment: &Moment) -> Option<StateGround> {
    let rule = moment.rules.get("dam_after_birth.healed_days");
    let healed_on = shift(last_whelped(dam)?, rule.value as i64);
    (moment.today() < healed_on).then(|| StateGround {
        against: BreedingAnswer::NotYet,
        met_from: Some(healed_on),
        what: said!("breed-again-womb", healed_on = healed_on),
        source: rule.source.clone(),
    })
}

/// After a caesarean a vet has seen the womb and says whether it may carry again.
fn caesareans(dam: &DamToBreed<'_>, moment: &Moment) -> Option<StateGround> {
    let rule = moment.rules.get("dam_after_birth.rebred_caesareans");
    let litters = &dam.records.litters;
    let count = litters.iter().filter(|it| it.caesarean == Some(true)).count();
    let last = litters.iter().max_by_key(|it| it.litter.record.whelped_on)?;
    let what = if count as f64 >= rule.value {
        said!("breed-again-caesareans", count = count)
    } else if last.caesarean == Some(true) {
        said!("breed-again-caesarean-last")
    } else {
        return None;
    };
    let source = rule.source.clone();
    Some(StateGround { against: BreedingAnswer::AskVet, met_from: None, what, source })
}

fn low_calcium(dam: &DamToBreed<'_>, moment: &Moment) -> Option<StateGround> {
    let checks: Vec<_> =
        dam.litters.iter().flat_map(|(_, parts)| parts.3.dam_checks.clone()).collect();
    let before = low_calcium_after(&signs_of_dam(&dam.records.whelpings, &checks));
    let last = before.into_iter().max()?;
    Some(StateGround {
        against: BreedingAnswer::AskVet,
        met_from: None,
        what: said!("breed-again-low-calcium", whelped_on = last),
        source: moment.rules.get("dam_after_birth.low_calcium_to_day").source.clone(),
    })
}

/// What calls about her now.
fn calls(dam: &DamToBreed<'_>) -> Option<StateGround> {
    let own = dam.alarms.iter().filter(|it| it.about.dog_id == Some(dam.records.dam_id));
    let worst = own.filter(|it| it.level >= Level::Act).max_by_key(|it| it.level)?;
    Some(StateGround {
        against: BreedingAnswer::NotYet,
        met_from: None,
        what: said!("breed-again-calls", what = &worst.what),
        source: worst.source.clone(),
    })
}

/// Whether she is back at her usual weight; asked of a dam that has whelped.
fn weight(dam: &DamToBreed<'_>, moment: &Moment) -> Option<StateGround> {
    let whelped_on = last_whelped(dam)?;
    let (loss, fresh) =
        ("dam_after_birth.rebred_weight_loss", "dam_after_birth.rebred_weight_days");
    let rules = &moment.rules;
    let ground = |against, what| {
        let source = rules.get(loss).source.clone();
        Some(StateGround { against, met_from: None, what, source })
    };
    let written = dam.records.dog.as_ref().and_then(|dog| dog.adult_weight_g).map(f64::from);
    // Some nine weeks before the birth she was not heavy with it.
    let before = moment.midnight(whelped_on) - Duration::days(63);
    let usual = written.or_else(|| usual_weight(dam.weighings, before));
    let known = dam.weighings.iter().filter(|it| !it.doubtful && it.measured_at <= moment.now);
    let last = known.max_by_key(|it| it.measured_at).filter(|it| {
        moment.now - it.measured_at <= rules.span(fresh)
            && moment.day_of(it.measured_at) >= whelped_on
    });
    let Some((last, usual)) = last.zip(usual) else {
        return ground(BreedingAnswer::Unknown, said!("breed-again-weight-unknown"));
    };
    let below = 1.0 - last.weight_g / usual;
    if below > rules.value(loss) + 1e-9 {
        let (percent, limit) = (figure(below * 100.0, 0), figure(rules.value(loss) * 100.0, 0));
        let what = said!("breed-again-weight-low", percent = percent, limit_percent = limit);
        return ground(BreedingAnswer::NotYet, what);
    }
    None
}
