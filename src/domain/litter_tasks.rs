//! What litters ask to be done: doses that are due, pups that fail, owners to ask.

use super::{
    advice::Level,
    alarms::{Alarm, WatchedLitter},
    day_chances::shift,
    listing::commas,
    litter::{Core, bereft_buyers},
    moment::Moment,
    placement::FollowUp,
    rules::Rules,
    schedule::{DueState, DueStep, HealthKind, WalkEntry, completed_days, rule_days},
    tasks::{GeneratedTask, TaskGroup, TaskOrigin, Turn, task_key},
};
use catalogue::{Text, said};
use chrono::{Datelike as _, NaiveDate};
use std::collections::{BTreeMap, BTreeSet};
use uuid::Uuid;

/// Most dogs that a title names; more are counted.
const NAMED: usize = 3;

/// One task for each dose that can be given or comes next, for all dogs of a litter together.
///
/// It is open from the first day on which the dose counts, due on the last in time, and of use for as
/// long as the rule of its kind says. The same dose of several dogs and litters is one line.
pub(crate) fn health_tasks(dogs: &[WalkEntry], rules: &Rules) -> Vec<GeneratedTask> {
    type Dose<'e> = (Option<Uuid>, &'e str, u32);
    let mut of_litters: BTreeMap<Dose<'_>, Vec<(&WalkEntry, &DueStep)>> = BTreeMap::new();
    let mut tasks = Vec::new();
    for dog in dogs {
        for step in next_steps(&dog.steps) {
            match dog.litter_id {
                Some(litter) => {
                    let dose = (Some(litter), step.step.as_str(), step.occurrence);
                    of_litters.entry(dose).or_default().push((dog, step));
                }
                None => tasks.extend(dose_of_dog(dog, step, rules)),
            }
        }
    }
    tasks.extend(of_litters.values().filter_map(|dogs| dose_of_litter(dogs, rules)));
    tasks
}

/// The steps that can be given today, and of each series without one the next.
fn next_steps(steps: &[DueStep]) -> Vec<&DueStep> {
    let mut series: BTreeSet<(HealthKind, &str)> =
        steps.iter().filter(|step| step.is_open()).map(|s| (s.kind, s.series.as_str())).collect();
    let mut chosen: Vec<&DueStep> = steps.iter().filter(|step| step.is_open()).collect();
    for step in steps.iter().filter(|step| step.state == DueState::TooEarly && !step.forecast) {
        if series.insert((step.kind, step.series.as_str())) {
            chosen.push(step);
        }
    }
    chosen
}

fn dose_of_dog(dog: &WalkEntry, step: &DueStep, rules: &Rules) -> Option<GeneratedTask> {
    let made = dose(("dog", dog.dog_id), &[(dog, step)], rules)?;
    Some(GeneratedTask {
        title: said!("task-dose-of", dose = dose_name(step), who = &dog.dog_name),
        in_short: dog.dog_name.clone().into(),
        group: Some(of_same_step(step)),
        ..made
    })
}

/// One line for the same dose of several dogs and litters that can be given at about the same time.
fn of_same_step(step: &DueStep) -> TaskGroup {
    TaskGroup {
        key: format!("kennel:health:{}", step.step),
        head: dose_name(step),
        due_on: None,
        also_of_one: false,
    }
}

fn dose_of_litter(dogs: &[(&WalkEntry, &DueStep)], rules: &Rules) -> Option<GeneratedTask> {
    let (dog, step) = dogs.first()?;
    let litter_id = dog.litter_id?;
    let who = match dogs.len() {
        ..=NAMED => commas(dogs.iter().map(|(dog, _)| dog.dog_name.clone().into())),
        many => said!("task-dogs", count = many),
    };
    let of_litter = |what: Text| match &dog.litter_name {
        Some(name) => said!("task-of-litter", litter = name, what = what),
        None => what,
    };
    Some(GeneratedTask {
        title: of_litter(said!("task-dose-of", dose = dose_name(step), who = &who)),
        in_short: of_litter(who),
        group: Some(of_same_step(step)),
        litter_id: Some(litter_id),
        litter_name: dog.litter_name.clone().map(Text::verbatim),
        place: dog.place.clone(),
        ..dose(("litter", litter_id), dogs, rules)?
    })
}

/// What is given, and whether only where somebody asks for it.
fn dose_name(step: &DueStep) -> Text {
    let name: Text = step.name.clone();
    if step.optional { said!("task-dose-if-asked", dose = name) } else { name }
}

fn dose(
    (subject, id): (&str, Uuid),
    dogs: &[(&WalkEntry, &DueStep)],
    rules: &Rules,
) -> Option<GeneratedTask> {
    let steps = || dogs.iter().map(|(_, step)| *step);
    let step = steps().next()?;
    let due_on = steps().filter_map(|step| step.latest_on.or(step.ideal_on)).min()?;
    let key = task_key(subject, id, "health", &format!("{}-{}", step.step, step.occurrence), None);
    let made = (TaskOrigin::Health, Turn::Health);
    Some(GeneratedTask {
        dog_id: (dogs.len() == 1).then(|| dogs[0].0.dog_id),
        from: steps().filter_map(|step| step.earliest_on).min(),
        of_use_until: Some(shift(due_on, of_use_days(step.kind, rules))),
        ..GeneratedTask::new(key, made, step.name.to_string(), due_on, step.source.clone())
    })
}

/// How long after its last day a step of a plan is of use.
fn of_use_days(kind: HealthKind, rules: &Rules) -> i64 {
    let key = match kind {
        HealthKind::Worming => "tasks.worming_of_use",
        HealthKind::Vaccination => "tasks.vaccination_of_use",
        HealthKind::Microchip => "tasks.microchip_of_use",
        _ => "tasks.examination_of_use",
    };
    rule_days(rules, key)
}

/// What nobody here knows of the dogs' doses before they came: asked in one line, never late.
///
/// It is open up to the end of the month, and asked anew the next.
pub(crate) fn history_tasks(dogs: &[WalkEntry], today: NaiveDate) -> Vec<GeneratedTask> {
    let due_on = last_of_month(today);
    let task = |dog: &WalkEntry| {
        let asked = asked_of(dog);
        if asked.is_empty() {
            return None;
        }
        let (asked, made) = (commas(asked), (TaskOrigin::Health, Turn::Ask));
        let title = said!("task-find-out-of-dog", dog = &dog.dog_name, asked = &asked);
        let key = task_key("dog", dog.dog_id, "health", "history", None);
        let source = "what the dog's plans count from is not on record".to_owned();
        Some(GeneratedTask {
            in_short: said!("task-find-out-in-short", dog = &dog.dog_name, asked = asked),
            dog_id: Some(dog.dog_id),
            from: Some(today),
            group: Some(TaskGroup {
                key: "kennel:health:history".to_owned(),
                head: said!("task-find-out"),
                due_on: None,
                also_of_one: false,
            }),
            ..GeneratedTask::new(key, made, title, due_on, source)
        })
    };
    dogs.iter().filter_map(task).collect()
}

/// What is to be found out of a dog: each kind of dose that its plan cannot count from, once.
fn asked_of(dog: &WalkEntry) -> Vec<Text> {
    let mut asked = Vec::new();
    for step in dog.steps.iter().filter(|step| step.is_asked() && !step.optional) {
        let dosed = step.ideal_on.is_some() || step.lacks_last_dose();
        let what = match step.kind {
            _ if step.lacks_day_of_birth() => said!("task-asked-birth"),
            HealthKind::Worming if dosed => said!("task-asked-worming"),
            HealthKind::Vaccination if dosed => said!("task-asked-vaccination"),
            _ => continue,
        };
        if !asked.contains(&what) {
            asked.push(what);
        }
    }
    asked
}

fn last_of_month(day: NaiveDate) -> NaiveDate {
    let days = i64::from(day.num_days_in_month()) - i64::from(day.day());
    shift(day, days)
}

/// Today's weighing of each young litter until every pup has been weighed (`growth.weighed_daily`,
/// in days), and one task for each pup that somebody has to look at: the words of its alarm.
pub(crate) fn growth_tasks(
    litters: &[(&Core, WatchedLitter)],
    moment: &Moment,
) -> Vec<GeneratedTask> {
    let today = moment.today();
    let mut tasks = Vec::new();
    for (core, watched) in litters.iter().filter(|(core, _)| core.litter.is_some()) {
        let pups = || watched.growth.pups.iter().filter(|pup| pup.present);
        let unweighed =
            pups().filter(|pup| pup.last.as_ref().is_none_or(|last| last.day < today)).count();
        tasks.extend(weighing(core, unweighed, moment));
        for pup in pups() {
            let calls = |alarm: &&Alarm| {
                alarm.about.dog_id == Some(pup.dog_id)
                    && alarm.is_of_growth()
                    && alarm.level >= Level::Act
            };
            let Some(alarm) = watched.alarms.iter().find(calls) else { continue };
            let key = task_key("dog", pup.dog_id, "growth", "look", Some(today));
            let (what, source) = (alarm.what.clone(), alarm.source.clone());
            tasks.push(GeneratedTask {
                dog_id: Some(pup.dog_id),
                ..today_at(core, (key, Turn::Look), (what, source), today)
            });
        }
    }
    tasks
}

/// A task for one day, at the place of a litter.
fn today_at(
    core: &Core,
    (key, turn): (String, Turn),
    (title, source): (Text, String),
    today: NaiveDate,
) -> GeneratedTask {
    GeneratedTask {
        litter_id: core.id(),
        litter_name: core.called().map(Text::verbatim),
        place: core.place.clone(),
        of_use_until: Some(today),
        ..GeneratedTask::new(key, (TaskOrigin::Growth, turn), title, today, source)
    }
}

fn weighing(core: &Core, unweighed: usize, moment: &Moment) -> Option<GeneratedTask> {
    let rule = moment.rules.get("growth.weighed_daily");
    let today = moment.today();
    let age = completed_days(core.whelped_on()?, today)?;
    let key = task_key("litter", core.id()?, "growth", "weigh", Some(today));
    (unweighed > 0 && age as f64 <= rule.value).then(|| {
        let title = match core.called() {
            Some(name) => said!("task-weigh", litter = name, unweighed = unweighed),
            None => said!("task-weigh-nameless", unweighed = unweighed),
        };
        today_at(core, (key, Turn::Weigh), (title, rule.source.clone()), today)
    })
}

/// One task for each pup that died while somebody waits for it: its buyer is to be told.
///
/// It is there until the placement is withdrawn, or the task marked as done.
pub(crate) fn bereft_tasks(litters: &[&Core], moment: &Moment) -> Vec<GeneratedTask> {
    let mut tasks = Vec::new();
    for core in litters {
        tasks.extend(bereft_buyers(core, moment).map(|(pup, placed, on)| {
            let key = task_key("placement", placed.placement_id, "go-home", "tell-of-death", None);
            let title = said!("task-tell-of-death", pup = pup.label(), died_on = on);
            let made = (TaskOrigin::GoHome, Turn::Ask);
            let source = "the kennel's own record".to_owned();
            GeneratedTask {
                litter_id: core.id(),
                litter_name: core.called().map(Text::verbatim),
                dog_id: Some(pup.dog_id),
                from: Some(on),
                ..GeneratedTask::new(key, made, title, moment.today(), source)
            }
        }));
    }
    tasks
}

/// The reminders to ask a new owner that are not done and fall due within
/// `placement.reminded_days`; those of several pups are one line.
pub(crate) fn follow_up_tasks(
    placement_id: Uuid,
    (dog_id, dog_name): (Uuid, Option<&str>),
    reminders: &[FollowUp],
    today: NaiveDate,
    rules: &Rules,
) -> Vec<GeneratedTask> {
    let ahead_days = rule_days(rules, "placement.reminded_days");
    let soon = |reminder: &&FollowUp| {
        reminder.done_on.is_none() && (reminder.due_on - today).num_days() <= ahead_days
    };
    let pup = dog_name.map_or_else(|| said!("task-a-pup"), Text::verbatim);
    let task = |reminder: &FollowUp| {
        let made = (TaskOrigin::GoHome, Turn::Ask);
        let key = task_key("placement", placement_id, "follow-up", &reminder.key, None);
        let (name, on) = (reminder.name.clone(), reminder.due_on);
        let title = said!("task-follow-up", pup = &pup, what = name.clone().going_on());
        GeneratedTask {
            in_short: pup.clone(),
            dog_id: Some(dog_id),
            from: Some(on),
            of_use_until: Some(shift(on, rule_days(rules, "tasks.follow_up_of_use"))),
            group: Some(TaskGroup {
                key: format!("kennel:follow-up:{}", reminder.key),
                head: name,
                due_on: None,
                also_of_one: false,
            }),
            ..GeneratedTask::new(key, made, title, on, reminder.source.clone())
        }
    };
    reminders.iter().filter(soon).map(task).collect()
}
