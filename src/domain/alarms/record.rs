//! All alarms of a litter, from all that is on record of it.

use super::{
    Alarm, AlarmAbout, Finding, Sights, dam, feeding, gather, go_home, growth, health, in_order,
    newborn, overdue, whelping, womb,
};
use crate::call_signs::PupSign;
use crate::feeding::FeedTaken;
use crate::growth::LitterGrowth;
use crate::litter::{
    Core, Health, Nursing, Pregnancy, Presence, Pup, Schedules, Weights, WhelpingWatch,
    bereft_buyers, called, dam_after_whelping, followed_schedule, followed_schedules,
    growth_litter, night_case, whole_schedule_of_dam,
};
use crate::moment::Moment;
use crate::newborn::NewbornExam;
use crate::pregnancy::Pregnancy as Reading;
use crate::record::BirthOutcome;
use crate::schedule::DueList;
use crate::shared::Shared;
use crate::stop;
use crate::whelping::{NewbornSigns, WhelpingEvent};
use catalogue::{Text, said, speaking, spoken};
use chrono::{DateTime, Utc};
use rayon::iter::{IntoParallelRefIterator as _, ParallelIterator as _};
use std::collections::BTreeSet;
use uuid::Uuid;

#[cfg(test)]
mod tests;

/// A look at a pup.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct PupCheckFact {
    /// When.
    pub at: DateTime<Utc>,
    /// Signs of illness seen.
    pub signs: Vec<PupSign>,
    /// Whether it was seen to suck.
    pub nurses: Option<bool>,
    /// What was found where it was looked over from head to tail.
    pub exam: Option<NewbornExam>,
}

impl PupCheckFact {
    /// Whether it may have found the pup well: it was not seen to refuse the teat.
    pub(crate) fn looked(&self) -> bool {
        self.nurses != Some(false)
    }
}

/// That a pup was helped to breathe.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct RevivalFact {
    /// When.
    pub at: DateTime<Utc>,
    /// Whether it breathed.
    pub breathed: Option<bool>,
}

/// What is known of a pup beside its weights.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct NewbornFacts {
    /// The pup.
    pub dog_id: Uuid,
    /// What people call it.
    pub label: Text,
    /// When it was born.
    pub born_at: DateTime<Utc>,
    /// Whether it lives and is here.
    pub present: bool,
    /// The signs of its vitality.
    pub vitality: Option<NewbornSigns>,
    /// Minutes after birth at which they were looked at.
    pub vitality_minutes: i64,
    /// When it was helped to breathe.
    pub revived: Vec<RevivalFact>,
    /// Its temperatures in degrees Celsius.
    pub temperatures: Vec<(DateTime<Utc>, f64)>,
    /// Looks at it.
    pub checks: Vec<PupCheckFact>,
    /// What it was fed by hand.
    pub feeds: Vec<FeedTaken>,
}

/// The parts of a litter's record that its alarms are made of, and who has seen which.
pub type Watched = (Weights, Nursing, Health, WhelpingWatch, Pregnancy, Sights);

/// A litter that was looked at.
#[derive(Debug, Clone, PartialEq)]
pub struct WatchedLitter {
    /// Its alarms, the gravest first.
    pub alarms: Vec<Alarm>,
    /// How its pups grow.
    pub growth: LitterGrowth,
    /// What is done about each dog that is here.
    pub schedules: Schedules,
}

/// All alarms of these litters and dogs, the gravest first.
///
/// Litters say nothing of one another: they are looked at side by side, as far as there are processors.
pub fn list(litters: &[(Shared<Core>, Watched)], moment: &Moment) -> Vec<Alarm> {
    let stop = stop::here();
    let look_at = |(core, parts): &(Shared<Core>, Watched)| {
        stop::carried(stop.clone(), || {
            stop::look();
            look_at(core, parts, moment)
        })
    };
    // Each thread has a language of its own.
    let language = spoken();
    let looked_at: Vec<WatchedLitter> =
        litters.par_iter().map(|litter| speaking(language, || look_at(litter))).collect();
    let here = records_here(litters.iter().map(|(core, _)| &**core));
    let of_record = |((core, _), one): (&(Shared<Core>, Watched), WatchedLitter)| {
        let mut alarms = one.alarms;
        alarms.retain(|alarm| told_of_record(alarm, core, &here));
        alarms
    };
    let mut alarms: Vec<Alarm> = litters.iter().zip(looked_at).flat_map(of_record).collect();
    in_order(&mut alarms);
    alarms
}

/// The litters whose records are looked at.
pub(crate) fn records_here<'a>(cores: impl Iterator<Item = &'a Core>) -> BTreeSet<Uuid> {
    cores.filter_map(Core::id).collect()
}

/// Whether an alarm that a record finds is told with it: what the record of her birth finds of a dam is told by that
/// of the litter for which she is followed.
pub(crate) fn told_of_record(alarm: &Alarm, core: &Core, here: &BTreeSet<Uuid>) -> bool {
    alarm.about.litter_id.is_none_or(|id| core.id() == Some(id) || !here.contains(&id))
}

/// The alarms of a litter, or of dogs of none, and what the weights say.
pub fn look_at(core: &Core, parts: &Watched, moment: &Moment) -> WatchedLitter {
    let mut weighed = growth_litter(core, &parts.0, moment);
    if core.litter.is_none() && !core.is_of_unseen_litter() {
        // Dogs that came here grown are not watched for growth.
        weighed.pups.clear();
    }
    let growth = moment.growth.figures(&weighed, moment.now, &moment.rules);
    let newborns =
        core.pups.iter().filter_map(|pup| newborn_facts(pup, &parts.1, Some(&parts.3), moment));
    let newborns: Vec<NewbornFacts> = newborns.collect();
    let schedules = followed_schedules(core, &parts.2, moment);
    let watch = Watch { core, parts, newborns, growth: &growth, schedules: &schedules, moment };
    let mut alarms = watch.of_dam();
    alarms.extend(watch.of_pups());
    alarms.extend(watch.of_litter());
    parts.5.mark(&mut alarms);
    in_order(&mut alarms);
    WatchedLitter { alarms, growth, schedules }
}

/// The alarms of the pregnancy and the night alone: what a sheet of the whelping prints.
pub(crate) fn of_night(
    core: &Core,
    night: &WhelpingWatch,
    pregnancy: &Pregnancy,
    moment: &Moment,
) -> Vec<Alarm> {
    gather(&about_dam(core), night_findings(core, night, pregnancy, moment))
}

fn night_findings(
    core: &Core,
    night: &WhelpingWatch,
    pregnancy: &Pregnancy,
    moment: &Moment,
) -> Vec<Finding> {
    let speaks = pregnancy_speaks(core, night, moment);
    let reading = speaks.then(|| pregnancy.read(core, moment)).flatten();
    found_by(core, night, reading.map(|(_, reading)| reading).as_ref(), moment)
}

/// Whether a night can still say anything that rests on what dates the litter and counts its pups: until it is
/// born, and after the last pup or line for as long as any rule looks back.
fn pregnancy_speaks(core: &Core, night: &WhelpingWatch, moment: &Moment) -> bool {
    let Some(last_birth) = core.last_birth() else { return true };
    let heard = night.log.iter().map(|line| line.record.at).max().max(Some(last_birth));
    let looks_back = [
        "whelping.silent_hours",
        "whelping.asked_hours",
        "whelping.early_watch_hours",
        "dam_after_birth.metritis_days",
    ];
    let longest = looks_back.map(|rule| moment.rules.span(rule)).into_iter().max();
    heard.zip(longest).is_none_or(|(heard, longest)| moment.now - heard <= longest)
}

fn found_by(
    core: &Core,
    night: &WhelpingWatch,
    reading: Option<&Reading>,
    moment: &Moment,
) -> Vec<Finding> {
    let case = night_case(core, night, reading, moment);
    let mut found = whelping::findings(&case, moment.now, &moment.rules);
    found.extend(overdue::findings(&case, reading, moment.now, &moment.rules));
    found
}

/// The same with the pregnancy read in every case, as long ago as it may be.
#[cfg(test)]
pub(crate) fn of_night_in_full(
    core: &Core,
    night: &WhelpingWatch,
    pregnancy: &Pregnancy,
    moment: &Moment,
) -> Vec<Alarm> {
    let reading = pregnancy.read(core, moment).map(|(_, reading)| reading);
    gather(&about_dam(core), found_by(core, night, reading.as_ref(), moment))
}

/// The alarms about what was given to a dog and about its going home alone: what its schedule and its
/// readiness show.
pub(crate) fn of_home(
    core: &Core,
    (health, sights): (&Health, &Sights),
    pup: &Pup,
    moment: &Moment,
) -> Vec<Alarm> {
    let list = followed_schedule(core, health, pup, moment);
    let mut alarms = gather(&about_pup(core, pup, moment), home_findings(core, &list, pup, moment));
    sights.mark(&mut alarms);
    alarms
}

fn home_findings(core: &Core, list: &DueList, pup: &Pup, moment: &Moment) -> Vec<Finding> {
    match pup.presence(moment) {
        Presence::Here | Presence::Returned => {
            let born_on = pup.born_on(moment).or(core.whelped_on());
            let mut found = health::findings(&list.cautions, moment);
            found.extend(go_home::hindered(pup, born_on, &list.steps, moment));
            found
        }
        Presence::Died { .. } => bereft_buyers(core, moment)
            .filter(|(bereft, ..)| bereft.dog_id == pup.dog_id)
            .map(|(pup, _, on)| go_home::bereft(pup, on, moment))
            .collect(),
        Presence::Left { .. } | Presence::Stillborn | Presence::Unseen => Vec::new(),
    }
}

/// The alarms about how a pup is fed by hand alone: what the question of its feeding shows.
pub(crate) fn of_feeding(
    core: &Core,
    (weights, nursing, sights): (&Weights, &Nursing, &Sights),
    pup: &Pup,
    moment: &Moment,
) -> Vec<Alarm> {
    let newborn = newborn_facts(pup, nursing, None, moment);
    let weighings = weights.weighings.of(pup.dog_id);
    let found = newborn
        .filter(|newborn| newborn.present)
        .map(|newborn| feeding::findings(&newborn, weighings, moment.now, &moment.rules));
    let mut alarms = gather(&about_pup(core, pup, moment), found.unwrap_or_default());
    sights.mark(&mut alarms);
    alarms
}

/// What is found of a dog is about the litter for which it is followed as the dam, else that of its record.
fn about_pup(core: &Core, pup: &Pup, moment: &Moment) -> AlarmAbout {
    let litter_id = pup.followed_for(moment).or(core.id()).or(pup.litter_id());
    AlarmAbout { litter_id, dog_id: Some(pup.dog_id), label: pup.label() }
}

fn about_dam(core: &Core) -> AlarmAbout {
    let label = core.dam.as_ref().and_then(called);
    AlarmAbout {
        litter_id: core.id(),
        dog_id: core.dam_id(),
        label: label.map_or_else(|| said!("label-the-dam"), Text::from),
    }
}

struct Watch<'a> {
    core: &'a Core,
    parts: &'a Watched,
    newborns: Vec<NewbornFacts>,
    growth: &'a LitterGrowth,
    schedules: &'a Schedules,
    moment: &'a Moment,
}

impl Watch<'_> {
    /// The pregnancy, the night, the dam after it, and what was given to her.
    fn of_dam(&self) -> Vec<Alarm> {
        let (core, moment) = (self.core, self.moment);
        let (_, _, health, night, pregnancy, _) = self.parts;
        if core.litter.is_none() {
            return Vec::new();
        }
        let mut found = night_findings(core, night, pregnancy, moment);
        let dam = dam_after_whelping(core, night, moment);
        let dam = dam.filter(|dam| dam.is_watched(moment.now, &moment.rules));
        found.extend(dam.iter().flat_map(|dam| dam::findings(dam, moment.now, &moment.rules)));
        if core.follows_dam(moment) {
            let list = whole_schedule_of_dam(core, health, moment);
            found.extend(health::findings(&list.cautions, moment));
            let signs = core.dam_id().map(|dam| health.heat_signs.of(dam));
            found.extend(signs.iter().flat_map(|signs| womb::findings(signs, moment)));
        }
        gather(&about_dam(core), found)
    }

    fn of_pups(&self) -> Vec<Alarm> {
        let (core, moment) = (self.core, self.moment);
        let mut alarms: Vec<Alarm> = core.here(moment).flat_map(|pup| self.of_pup(pup)).collect();
        // Of those that died only what is left to do for the living.
        for (pup, ..) in bereft_buyers(core, moment) {
            let found = home_findings(core, &DueList::default(), pup, moment);
            alarms.extend(gather(&about_pup(core, pup, moment), found));
        }
        alarms
    }

    fn of_pup(&self, pup: &Pup) -> Vec<Alarm> {
        let (core, moment, growth) = (self.core, self.moment, self.growth);
        let weights = &self.parts.0;
        let (now, rules) = (moment.now, &moment.rules);
        let fed = self.feeds_are_kept();
        let mut found = Vec::new();
        let risk = growth.risks.iter().find(|risk| risk.dog_id == pup.dog_id);
        if let Some(grown) = growth.pups.iter().find(|one| one.dog_id == pup.dog_id) {
            found.extend(growth::of_pup(grown, risk, now, rules));
        }
        if let Some(newborn) = self.newborns.iter().find(|one| one.dog_id == pup.dog_id) {
            found.extend(newborn::findings(newborn, fed, now, rules));
            let feeds = feeding::findings(newborn, weights.weighings.of(pup.dog_id), now, rules);
            found.extend(newborn::fades(newborn, risk, &feeds, now, rules));
            found.extend(feeds);
        }
        if let Some(list) = self.schedules.get(&pup.dog_id) {
            found.extend(home_findings(core, list, pup, moment));
        }
        found.extend(womb::findings(self.parts.2.heat_signs.of(pup.dog_id), moment));
        gather(&about_pup(core, pup, moment), found)
    }

    fn of_litter(&self) -> Vec<Alarm> {
        let (core, moment) = (self.core, self.moment);
        if core.litter.is_none() {
            return Vec::new();
        }
        let fed = self.feeds_are_kept();
        let mut found: Vec<Finding> =
            growth::of_litter(self.growth, &moment.rules).into_iter().collect();
        found.extend(newborn::first_milk(&self.newborns, fed, moment.now, &moment.rules));
        found.extend(newborn::unexamined(&self.newborns, moment.now, &moment.rules));
        let label = core.called().map_or_else(|| said!("label-litter"), Text::from);
        gather(&AlarmAbout { litter_id: core.id(), dog_id: None, label }, found)
    }

    /// Whether somebody writes down what the pups of this litter take.
    fn feeds_are_kept(&self) -> bool {
        let now = self.moment.now;
        self.newborns.iter().any(|pup| {
            pup.feeds.iter().any(|feed| feed.at <= now)
                || pup.checks.iter().any(|check| check.at <= now && check.nurses.is_some())
        })
    }
}

/// What is known of a pup beside its weights; `None` for one that was born dead, or not in this kennel.
pub(crate) fn newborn_facts(
    pup: &Pup,
    nursing: &Nursing,
    night: Option<&WhelpingWatch>,
    moment: &Moment,
) -> Option<NewbornFacts> {
    let birth = &pup.birth.as_ref()?.record;
    if birth.outcome != BirthOutcome::Alive {
        return None;
    }
    let log = night.map(|night| night.log.as_slice()).unwrap_or_default();
    let revived = log.iter().filter_map(|line| match &line.record.event {
        WhelpingEvent::Resuscitation { ordinal: Some(ordinal), breathed, .. }
            if i64::from(*ordinal) == i64::from(birth.ordinal) =>
        {
            Some(RevivalFact { at: line.record.at, breathed: *breathed })
        }
        _ => None,
    });
    let temperatures = nursing.temperatures.of(pup.dog_id).iter();
    let checks = nursing.pup_checks.of(pup.dog_id).iter();
    Some(NewbornFacts {
        dog_id: pup.dog_id,
        label: pup.label(),
        born_at: birth.born_at,
        present: pup.presence(moment).is_here(),
        vitality: birth.vitality.clone(),
        vitality_minutes: birth.vitality_minutes.unwrap_or(0).into(),
        revived: revived.collect(),
        temperatures: temperatures
            .map(|taken| (taken.record.measured_at, taken.record.temperature_c))
            .collect(),
        checks: checks
            .map(|check| PupCheckFact {
                at: check.record.checked_at,
                signs: check.record.signs.clone(),
                nurses: check.record.nurses,
                exam: check.record.exam.clone(),
            })
            .collect(),
        feeds: nursing.feeds_taken(pup.dog_id),
    })
}
