//! What litters ask to be done: doses that are due, pups that fail, owners to ask.

use super::{
    advice::Level,
    growth::litter_growth,
    litter_record::{AskedOn, DueWalk, LitterRecord},
    placement::FollowUp,
    schedule::{DueStep, WalkDog, completed_days},
    tasks::{GeneratedTask, TaskOrigin, task_key},
};
use chrono::NaiveDate;
use std::collections::BTreeMap;
use uuid::Uuid;

/// Most dogs that a title names; more are counted.
const NAMED: usize = 3;

/// One task for each dose that can be given or comes next, for all dogs of a stop together.
///
/// It is open from the first day on which the dose counts, and due on the last in time.
pub fn health_tasks(walk: &DueWalk) -> Vec<GeneratedTask> {
    let mut tasks = Vec::new();
    for stop in &walk.stops {
        let mut doses: BTreeMap<(&str, u32), Vec<(&WalkDog, &DueStep)>> = BTreeMap::new();
        for dog in &stop.dogs {
            for step in &dog.steps {
                doses.entry((&step.step, step.occurrence)).or_default().push((dog, step));
            }
        }
        match stop.litter_id {
            Some(litter) => tasks.extend(doses.into_values().filter_map(|dogs| {
                dose(stop.litter_name.as_deref(), ("litter", litter), Some(litter), &dogs)
            })),
            None => {
                let single = doses.into_values().flatten();
                tasks.extend(
                    single.filter_map(|one| dose(None, ("dog", one.0.dog_id), None, &[one])),
                );
            }
        }
    }
    tasks
}

fn dose(
    whose: Option<&str>,
    (subject, id): (&str, Uuid),
    litter_id: Option<Uuid>,
    dogs: &[(&WalkDog, &DueStep)],
) -> Option<GeneratedTask> {
    let steps = || dogs.iter().map(|(_, step)| *step);
    let step = steps().next()?;
    let due_on = steps().filter_map(|step| step.latest_on.or(step.ideal_on)).min()?;
    let names: Vec<&str> = dogs.iter().map(|(dog, _)| dog.dog_name.as_str()).collect();
    let who = match names.as_slice() {
        few if few.len() <= NAMED => few.join(", "),
        many => format!("{} dogs", many.len()),
    };
    let whose = whose.map(|name| format!("{name}: ")).unwrap_or_default();
    let asked = if step.optional { ", where your veterinarian or the law asks for it" } else { "" };
    Some(GeneratedTask {
        key: task_key(subject, id, "health", &format!("{}-{}", step.step, step.occurrence), None),
        origin: TaskOrigin::Health,
        title: format!("{whose}{}{asked} ({who})", step.name),
        litter_id,
        dog_id: (dogs.len() == 1).then(|| dogs[0].0.dog_id),
        from: steps().filter_map(|step| step.earliest_on).min(),
        due_on,
        source: step.source.clone(),
    })
}

/// Today's weighing of each young litter until every pup has been weighed (`growth.weighed_daily`,
/// in days), and one task for each pup whose weights ask for somebody to act: its gravest caution.
pub fn growth_tasks(litters: &[LitterRecord], ask: AskedOn<'_>) -> Vec<GeneratedTask> {
    let today = ask.today();
    let mut tasks = Vec::new();
    for record in litters {
        let Some(litter) = record.growth_litter(ask.zone) else { continue };
        let pups = litter_growth(&litter, ask.now, ask.rules).pups;
        let is_here = |id: Uuid| record.pups.iter().any(|dog| dog.dog_id == id && dog.here);
        let unweighed = pups
            .iter()
            .filter(|pup| is_here(pup.dog_id))
            .filter(|pup| pup.last.as_ref().is_none_or(|last| last.day < today))
            .count();
        tasks.extend(weighing(record, unweighed, ask));
        for pup in pups {
            let here = is_here(pup.dog_id);
            let gravest = pup.cautions.iter().max_by_key(|caution| caution.level);
            let Some(caution) = gravest.filter(|c| here && c.level >= Level::Act) else { continue };
            tasks.push(GeneratedTask {
                key: task_key("dog", pup.dog_id, "growth", "look", Some(today)),
                origin: TaskOrigin::Growth,
                title: caution.what.clone(),
                litter_id: record.litter_id,
                dog_id: Some(pup.dog_id),
                from: None,
                due_on: today,
                source: caution.source.clone(),
            });
        }
    }
    tasks
}

fn weighing(record: &LitterRecord, unweighed: usize, ask: AskedOn<'_>) -> Option<GeneratedTask> {
    let rule = ask.rules.get("growth.weighed_daily");
    let today = ask.today();
    let age = completed_days(record.whelped_on?, today)?;
    let litter_id = record.litter_id?;
    (unweighed > 0 && age as f64 <= rule.value).then(|| GeneratedTask {
        key: task_key("litter", litter_id, "growth", "weigh", Some(today)),
        origin: TaskOrigin::Growth,
        title: format!(
            "{}: weigh the pups ({unweighed} not weighed today)",
            record.name.as_deref().unwrap_or("Litter")
        ),
        litter_id: Some(litter_id),
        dog_id: None,
        from: None,
        due_on: today,
        source: rule.source.clone(),
    })
}

/// The reminders to ask a new owner that are not done and fall due within `ahead_days`.
pub fn follow_up_tasks(
    placement_id: Uuid,
    (dog_id, dog_name): (Uuid, Option<&str>),
    reminders: &[FollowUp],
    today: NaiveDate,
    ahead_days: i64,
) -> Vec<GeneratedTask> {
    let soon = |reminder: &&FollowUp| {
        reminder.done_on.is_none() && (reminder.due_on - today).num_days() <= ahead_days
    };
    reminders
        .iter()
        .filter(soon)
        .map(|reminder| GeneratedTask {
            key: task_key("placement", placement_id, "follow-up", &reminder.key, None),
            origin: TaskOrigin::GoHome,
            title: format!("{}: {}", dog_name.unwrap_or("A pup"), reminder.name),
            litter_id: None,
            dog_id: Some(dog_id),
            from: Some(reminder.due_on),
            due_on: reminder.due_on,
            source: reminder.source.clone(),
        })
        .collect()
}
