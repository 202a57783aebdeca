//! What is to be given to the dam, the pups and the grown dogs, and when.
//!
//! The reckoning is [`schedule`](crate::schedule)'s; here each dog gets its plans, days and events.

use super::{Core, Health, Pup, health::laid_out};
use crate::{
    advice::Caution,
    alarms::{Alarm, AlarmAbout, Sights, cautions as told, gather, health::findings, of_home},
    moment::Moment,
    partial_date::PartialDate,
    record::{Dog, HealthEvent, Kept},
    schedule::{
        DueList, DueState, DueStep, Lifetime, PlanStep, PlanSubject, ScheduleDates, WalkEntry,
        WalkStop, due, due_when_grown, follow, open_steps, walk,
    },
};
use catalogue::said;
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};
use utoipa::ToSchema;
use uuid::Uuid;

/// Cautions about what was given to one dog.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct DogCautions {
    /// The dog.
    pub dog_id: Uuid,
    /// Its name or collar.
    #[schema(example = "Red collar")]
    pub dog_name: String,
    /// What to know.
    pub cautions: Vec<Caution>,
}

/// What is open today, as one walks through the kennel.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct DueWalk {
    /// The day on the kennel's calendar.
    pub today: NaiveDate,
    /// The stops: by place and litter, the dam first, then the pups in order of birth.
    pub stops: Vec<WalkStop>,
    /// What was wrong with what was given.
    pub cautions: Vec<DogCautions>,
}

/// The days on which steps are anchored, for the dam or for one of the dogs.
fn dates(core: &Core, dog: Option<(&Pup, &Health)>, moment: &Moment) -> ScheduleDates {
    ScheduleDates {
        born_on: dog.and_then(|(dog, _)| born_on(core, dog, moment)),
        mated_on: core.mated_on(moment),
        whelped_on: core.whelped_on(),
        weaned_on: core.weaned_on(),
        record_from: dog.and_then(|(dog, health)| {
            let events = health.events.of(dog.dog_id);
            record_from(dog.dog.as_ref(), dog.birth.is_some(), events, moment)
        }),
    }
}

fn born_on(core: &Core, pup: &Pup, moment: &Moment) -> Option<NaiveDate> {
    pup.born_on(moment).or(core.whelped_on())
}

/// The day from which all that a dog got is on record: that on which it came, else that of the first
/// event, else today. `None` for a dog that was born here: from birth on.
fn record_from(
    dog: Option<&Dog>,
    born_here: bool,
    events: &[Kept<HealthEvent>],
    moment: &Moment,
) -> Option<NaiveDate> {
    let first = || events.iter().map(|event| moment.day_of(event.record.given_at)).min();
    let came_on = || dog.and_then(|dog| dog.came_on);
    (!born_here).then(|| came_on().or_else(first).unwrap_or(moment.today()))
}

/// The latest day on which a dog can have been born, where only the month or year is known.
fn born_by(dog: Option<&Dog>) -> Option<NaiveDate> {
    dog.and_then(|dog| dog.born_on).map(PartialDate::latest)
}

fn pup_steps(core: &Core, pup: &Pup, moment: &Moment) -> Vec<PlanStep> {
    let on = born_on(core, pup, moment).unwrap_or(moment.today());
    moment.plans.steps(PlanSubject::Pup, core.id(), on)
}

/// The schedule of one pup: every dose given, due and to come. The day of its birth chooses the version
/// of a plan.
pub(crate) fn pup_schedule(core: &Core, health: &Health, pup: &Pup, moment: &Moment) -> DueList {
    let steps = pup_steps(core, pup, moment);
    let events: Vec<&Kept<HealthEvent>> = health.events.of(pup.dog_id).iter().collect();
    scheduled(&steps, dates(core, Some((pup, health)), moment), &events, moment)
}

fn life(core: &Core, health: &Health, dog: &Pup, moment: &Moment) -> Lifetime {
    let dates = dates(core, Some((dog, health)), moment);
    Lifetime { dates, born_by: born_by(dog.dog.as_ref()) }
}

/// Whether a dog follows the plans of grown dogs (`schedule.grown_from`).
fn is_grown(core: &Core, health: &Health, dog: &Pup, moment: &Moment) -> bool {
    life(core, health, dog, moment).is_grown(moment.today(), &moment.rules)
}

/// The plans of a litter's dogs by the day that chooses their version, each looked up once.
struct Plans<'a> {
    core: &'a Core,
    moment: &'a Moment,
    known: Vec<((PlanSubject, NaiveDate), Vec<PlanStep>)>,
}

impl<'a> Plans<'a> {
    fn of(core: &'a Core, moment: &'a Moment) -> Self {
        Self { core, moment, known: Vec::new() }
    }

    fn look_up(&mut self, subject: PlanSubject, on: NaiveDate) {
        if self.known.iter().all(|(of, _)| *of != (subject, on)) {
            let steps = self.moment.plans.steps(subject, self.core.id(), on);
            self.known.push(((subject, on), steps));
        }
    }

    fn steps(&self, subject: PlanSubject, on: NaiveDate) -> &[PlanStep] {
        let of = self.known.iter().find(|(of, _)| *of == (subject, on));
        of.map(|(_, steps)| steps.as_slice()).unwrap_or_default()
    }

    /// What is done about one dog.
    fn followed(&mut self, health: &Health, dog: &Pup) -> DueList {
        let (core, moment, today) = (self.core, self.moment, self.moment.today());
        let life = life(core, health, dog, moment);
        let is_grown = life.is_grown(today, &moment.rules);
        let born_on = born_on(core, dog, moment).unwrap_or(today);
        let on = if is_grown { today } else { born_on };
        self.look_up(PlanSubject::Pup, on);
        if is_grown {
            self.look_up(PlanSubject::Grown, today);
        }
        let (as_pup, when_grown) =
            (self.steps(PlanSubject::Pup, on), self.steps(PlanSubject::Grown, today));
        let events: Vec<&Kept<HealthEvent>> = health.events.of(dog.dog_id).iter().collect();
        laid_out(&events, moment, |given| {
            follow((as_pup, when_grown), life, given, today, &moment.rules)
        })
    }
}

/// What is done about one dog, by the plans of its age; a grown dog's are those of today.
pub(crate) fn followed_schedule(
    core: &Core,
    health: &Health,
    dog: &Pup,
    moment: &Moment,
) -> DueList {
    Plans::of(core, moment).followed(health, dog)
}

/// What is done about each dog of a record that is here.
pub type Schedules = BTreeMap<Uuid, DueList>;

/// The same for all of them.
pub(crate) fn followed_schedules(core: &Core, health: &Health, moment: &Moment) -> Schedules {
    let mut plans = Plans::of(core, moment);
    core.here(moment).map(|dog| (dog.dog_id, plans.followed(health, dog))).collect()
}

/// The same as it is answered, with what its alarms say of the doses: what is history is not cautioned.
pub fn told_schedule(
    core: &Core,
    (health, sights): (&Health, &Sights),
    dog: &Pup,
    moment: &Moment,
) -> DueList {
    let list = followed_schedule(core, health, dog, moment);
    let mut alarms = of_home(core, (health, sights), dog, moment);
    alarms.retain(Alarm::is_of_doses);
    DueList { cautions: told(&alarms), ..list }
}

/// The schedule of the dam for this litter: events since its mating, or its whelping.
fn dam_schedule(core: &Core, health: &Health, moment: &Moment) -> DueList {
    let on = core.whelped_on().unwrap_or(moment.today());
    let steps = moment.plans.steps(PlanSubject::Dam, core.id(), on);
    let since = core.mated_on(moment).or(core.whelped_on());
    let all = core.dam_id().map(|dam| health.events.of(dam)).unwrap_or_default();
    let of_litter = |event: &&Kept<HealthEvent>| {
        since.is_some_and(|on| moment.day_of(event.record.given_at) >= on)
    };
    let events: Vec<&Kept<HealthEvent>> = all.iter().filter(of_litter).collect();
    scheduled(&steps, dates(core, None, moment), &events, moment)
}

/// What is done about the dam as the grown dog that she is.
fn own_schedule_of_dam(core: &Core, health: &Health, moment: &Moment) -> DueList {
    let Some(dam_id) = core.dam_id() else { return DueList::default() };
    let (today, dam) = (moment.today(), core.dam.as_ref());
    let steps = |subject| moment.plans.steps(subject, core.id(), today);
    let (of_grown, of_pups) = (steps(PlanSubject::Grown), steps(PlanSubject::Pup));
    let events = health.events.of(dam_id);
    let dates = ScheduleDates {
        born_on: dam.and_then(|dam| dam.born_on).and_then(PartialDate::day),
        record_from: record_from(dam, core.dam_born_here, events, moment),
        ..ScheduleDates::default()
    };
    let life = Lifetime { dates, born_by: born_by(dam) };
    let grown_on = life.grown_on(&moment.rules);
    let plans = (of_grown.as_slice(), of_pups.as_slice());
    let events: Vec<&Kept<HealthEvent>> = events.iter().collect();
    laid_out(&events, moment, |given| {
        due_when_grown(plans, life.dates, grown_on, given, today, &moment.rules)
    })
}

/// The schedule of the dam for this litter with that of the grown dog that she is: all that is done about her, and
/// all that was wrong with what she was given.
pub(crate) fn whole_schedule_of_dam(core: &Core, health: &Health, moment: &Moment) -> DueList {
    let DueList { steps, mut cautions, .. } = own_schedule_of_dam(core, health, moment);
    let mut all = dam_schedule(core, health, moment);
    let carries = core.whelped_on().is_none();
    all.steps.extend(steps.into_iter().map(|step| {
        let optional = step.optional || (carries && step.state != DueState::Done);
        DueStep { optional, ..step }
    }));
    cautions.retain(|caution| !all.cautions.contains(caution));
    all.cautions.extend(cautions);
    all
}

fn scheduled(
    steps: &[PlanStep],
    dates: ScheduleDates,
    events: &[&Kept<HealthEvent>],
    moment: &Moment,
) -> DueList {
    laid_out(events, moment, |given| due(steps, dates, given, moment.today(), &moment.rules))
}

/// A litter with what was given to its dogs, and who has seen which of their alarms.
pub type Dosed<'a> = (&'a Core, &'a Health, &'a Sights);

/// What is open today for all who are there, grouped as one would walk the kennel.
pub fn due_walk(litters: &[Dosed<'_>], moment: &Moment) -> DueWalk {
    let walked = all_walked(litters, moment);
    due_walk_of(&walked, moment)
}

/// The same, where it is known what the walk takes of each record.
pub(crate) fn due_walk_of<'a>(
    records: impl IntoIterator<Item = &'a Walked> + Clone,
    moment: &Moment,
) -> DueWalk {
    let (entries, cautions) = met_once(records);
    DueWalk { today: moment.today(), stops: walk(entries.into_iter().cloned()), cautions }
}

/// Every dog that is followed with all its steps, and what was wrong with what was given.
pub(crate) fn followed(
    litters: &[Dosed<'_>],
    moment: &Moment,
) -> (Vec<WalkEntry>, Vec<DogCautions>) {
    let walked = all_walked(litters, moment);
    let (entries, cautions) = met_once(&walked);
    (entries.into_iter().cloned().collect(), cautions)
}

/// What a walk through the kennel takes of one record.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Walked {
    /// The dam, where she is followed for this litter.
    dam: Option<Met>,
    pups: Vec<Met>,
}

/// A dog with its steps, and what was wrong with what it was given.
#[derive(Debug, Clone, PartialEq)]
struct Met {
    entry: WalkEntry,
    cautions: Vec<Caution>,
}

impl Walked {
    /// The same with what can be given today alone.
    pub(crate) fn open(mut self) -> Self {
        for met in self.dam.iter_mut().chain(&mut self.pups) {
            met.entry.steps = open_steps(met.entry.steps.clone());
        }
        self
    }
}

/// All dogs of the records, each once: a dog that was born here and nurses here is met as the dam.
fn met_once<'a>(
    records: impl IntoIterator<Item = &'a Walked> + Clone,
) -> (Vec<&'a WalkEntry>, Vec<DogCautions>) {
    let dams =
        records.clone().into_iter().filter_map(|record| Some(record.dam.as_ref()?.entry.dog_id));
    let dams: BTreeSet<Uuid> = dams.collect();
    let (mut entries, mut cautions) = (Vec::new(), Vec::new());
    for record in records {
        let pups = record.pups.iter().filter(|met| !dams.contains(&met.entry.dog_id));
        for Met { entry, cautions: found } in record.dam.iter().chain(pups) {
            if !found.is_empty() {
                let (dog_id, dog_name) = (entry.dog_id, entry.dog_name.clone());
                cautions.push(DogCautions { dog_id, dog_name, cautions: found.clone() });
            }
            entries.push(entry);
        }
    }
    (entries, cautions)
}

fn all_walked(litters: &[Dosed<'_>], moment: &Moment) -> Vec<Walked> {
    litters.iter().map(|litter| walked(*litter, Schedules::new(), moment)).collect()
}

/// What the walk takes of one record, of which some schedules are known already.
pub(crate) fn walked(
    (core, health, sights): Dosed<'_>,
    mut known: Schedules,
    moment: &Moment,
) -> Walked {
    let mut plans = Plans::of(core, moment);
    let met =
        |dog_id: Uuid, dog_name: String, ordinal: Option<u32>, in_litter: bool, list: DueList| {
            let label = dog_name.clone().into();
            let about = AlarmAbout { litter_id: core.id(), dog_id: Some(dog_id), label };
            let mut alarms = gather(&about, findings(&list.cautions, moment));
            sights.mark(&mut alarms);
            let entry = WalkEntry {
                dog_id,
                dog_name,
                ordinal,
                place: core.place.clone().filter(|_| in_litter),
                litter_id: core.id().filter(|_| in_litter),
                litter_name: core.called().filter(|_| in_litter),
                steps: list.steps.into(),
            };
            Met { entry, cautions: told(&alarms) }
        };
    let of_pup = |pup: &Pup| {
        let list = known.remove(&pup.dog_id).unwrap_or_else(|| plans.followed(health, pup));
        // Who was kept and is grown is a dog like the others, and no pup of its litter any more.
        let in_litter = !is_grown(core, health, pup, moment);
        let ordinal = pup.ordinal().filter(|_| in_litter);
        met(pup.dog_id, pup.label().to_string(), ordinal, in_litter, list)
    };
    let of_dam = |dam: &Dog| {
        let list = whole_schedule_of_dam(core, health, moment);
        let unnamed = || said!("called-without-name").to_string();
        let name = super::core::called(dam).unwrap_or_else(unnamed);
        Some(met(core.dam_id()?, name, None, true, list))
    };
    let dam = core.dam.as_ref().filter(|_| core.follows_dam(moment)).and_then(of_dam);
    Walked { dam, pups: core.here(moment).map(of_pup).collect() }
}
