//! Whether the pups may go home.

use super::{
    Core, Health, Homes, Placed, Presence, Pup, Weights, doses::pup_schedule,
    growing::growth_litter,
};
use crate::{
    advice::{Caution, CautionCode, Level},
    alarms::{Sights, cautions as told, of_home},
    growth::{GrowthLitter, GrowthModel, summary::since_yesterday, weight_reached_on},
    moment::Moment,
    readiness::{
        DayRange, LitterReadiness, PupReadiness, Readiness, ReadinessFacts, ReadinessRule,
        ReadinessRuleSet, WeightFact, litter_readiness, readiness,
    },
    record::PlacementStage,
};
use catalogue::said;
use chrono::NaiveDate;

/// The parts that going home is judged by, and who has seen what of the alarms.
type Parts<'a> = (&'a Weights, &'a Health, &'a Homes, &'a Sights);

/// The growth of the litter, fitted only when a weight is asked for: it is the dear part.
struct Growing {
    litter: GrowthLitter,
    model: Option<GrowthModel>,
}

impl Growing {
    fn of(core: &Core, weights: &Weights, set: &ReadinessRuleSet, moment: &Moment) -> Self {
        let litter = growth_litter(core, weights, moment);
        let asked = set.get(ReadinessRule::WeightReached);
        let model = asked.and_then(|_| GrowthModel::fit(&litter, moment.now, &moment.rules));
        Self { litter, model }
    }
}

/// Whether one dog may go home.
pub fn dog_readiness(
    core: &Core,
    parts: Parts<'_>,
    pup: &Pup,
    set: &ReadinessRuleSet,
    moment: &Moment,
) -> Readiness {
    let growing = Growing::of(core, parts.0, set, moment);
    of_pup(core, parts, pup, set, &growing, moment)
}

/// Whether the pups that are here may go home, and whose buyer is to be told that it died.
pub fn pups_readiness(
    core: &Core,
    parts: Parts<'_>,
    set: &ReadinessRuleSet,
    moment: &Moment,
) -> LitterReadiness {
    let growing = Growing::of(core, parts.0, set, moment);
    let answer = |pup: &Pup| {
        let readiness = of_pup(core, parts, pup, set, &growing, moment);
        PupReadiness::new(pup.dog_id, pup.label().to_string(), readiness)
    };
    let mut litter = litter_readiness(core.here(moment).map(answer).collect());
    let bereft = bereft_buyers(core, moment)
        .flat_map(|(pup, ..)| told(&of_home(core, (parts.1, parts.3), pup, moment)));
    litter.cautions.splice(0..0, bereft);
    litter
}

fn of_pup(
    core: &Core,
    parts: Parts<'_>,
    pup: &Pup,
    set: &ReadinessRuleSet,
    growing: &Growing,
    moment: &Moment,
) -> Readiness {
    let facts = facts(core, parts, pup, set, growing, moment);
    let set_aside = parts.2.overrides(pup.dog_id);
    let found = readiness(set, &facts, &set_aside, moment.today(), &moment.rules);
    // What is the case comes from the one list; the rest judges the question whether it may go.
    let mut cautions = told(&of_home(core, (parts.1, parts.3), pup, moment));
    cautions.extend(stays_because(pup, moment));
    cautions.extend(found.cautions);
    if pup.presence(moment).is_here() {
        Readiness { cautions, ..found }
    } else {
        Readiness { ready: false, ready_on: None, cautions, ..found }
    }
}

/// Why a pup goes to no home whatever the rules say: it is not there.
fn stays_because(pup: &Pup, moment: &Moment) -> Option<Caution> {
    let (what, why) = match pup.presence(moment) {
        Presence::Here | Presence::Returned => return None,
        // That somebody waits for it is an alarm.
        Presence::Died { .. } if is_awaited(pup) => return None,
        Presence::Died { on } => {
            let what = said!("litter-home-died", pup = pup.label());
            let why = said!("litter-home-died-why", day = on);
            let caution = Caution::new(CautionCode::GoHomeDied, Level::Note, what, why, RECORD);
            return Some(caution.with("died_on", on.to_string()));
        }
        Presence::Stillborn => (said!("litter-home-born-dead"), said!("litter-home-born-dead-why")),
        Presence::Left { on } => {
            let why = on.map_or_else(
                || said!("litter-home-lives-elsewhere"),
                |on| said!("litter-home-handed-over", day = on),
            );
            (said!("litter-home-gone", pup = pup.label()), why)
        }
        Presence::Unseen => (said!("litter-home-unseen"), said!("litter-home-unseen-why")),
    };
    Some(Caution::new(CautionCode::GoHomeNotHere, Level::Note, what, why, RECORD))
}

const RECORD: &str = "the kennel's own record";

/// Whether somebody waits for a pup: it is promised and not handed over.
fn is_awaited(pup: &Pup) -> bool {
    pup.promised().is_some_and(|placed| placed.stage != PlacementStage::HandedOver)
}

/// The pups that died while somebody waits for them, with the placement and the day.
pub(crate) fn bereft_buyers<'c>(
    core: &'c Core,
    moment: &'c Moment,
) -> impl Iterator<Item = (&'c Pup, &'c Placed, NaiveDate)> {
    core.pups.iter().filter_map(|pup| {
        let Presence::Died { on } = pup.presence(moment) else { return None };
        Some((pup, pup.promised().filter(|_| is_awaited(pup))?, on))
    })
}

fn facts(
    core: &Core,
    (_, health, homes, _): Parts<'_>,
    pup: &Pup,
    set: &ReadinessRuleSet,
    growing: &Growing,
    moment: &Moment,
) -> ReadinessFacts {
    let Growing { litter, model } = growing;
    let grown = litter.pups.iter().find(|grown| grown.dog_id == pup.dog_id);
    let points = grown.map(|grown| grown.points(moment.zone, moment.now)).unwrap_or_default();
    let least_g = set.get(ReadinessRule::WeightReached).and_then(|row| row.minimum_weight_g);
    let weight_forecast = least_g.zip(model.as_ref()).and_then(|(least_g, model)| {
        let reached = weight_reached_on(litter, model, pup.dog_id, least_g, moment.now)?;
        let likely = reached.likely_on?;
        let earliest = reached.earliest_on.unwrap_or(likely);
        Some(DayRange { earliest, likely, latest: reached.latest_on? })
    });
    ReadinessFacts {
        born_on: pup.born_on(moment).or(core.whelped_on()),
        weaned_on: core.weaned_on(),
        last_weight: points
            .last()
            .map(|point| WeightFact { weight_g: point.weight_g, measured_on: point.day }),
        gaining: since_yesterday(&points, &moment.rules).map(|change| change.gain_g > 0.0),
        weight_forecast,
        health_steps: pup_schedule(core, health, pup, moment).steps,
        chip_number: pup.dog.as_ref().and_then(|dog| dog.chip_number.clone()),
        papers: homes.papers_done(pup.dog_id),
        balance: homes.balances.get(&pup.dog_id).copied().unwrap_or_default(),
        goes_to: pup.promised().and_then(|placed| placed.country),
    }
}
