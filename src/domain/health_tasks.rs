//! The health schedule as tasks: one a litter and dose, one a dog that is followed by itself.

use super::{
    litter_record::{AskedOn, DogRecord, LitterRecord},
    schedule::{DueState, DueStep, plus, rule_days},
    tasks::{GeneratedTask, TaskOrigin, task_key},
};
use chrono::NaiveDate;
use std::collections::BTreeMap;
use uuid::Uuid;

/// A dose that is to be given to some pups of a litter, or to one dog.
struct Dose<'a> {
    step: DueStep,
    dogs: Vec<&'a DogRecord>,
}

/// The doses that are open or begin within `schedule.tasks_ahead` days, as tasks.
///
/// The pups of a litter that are due for the same dose make one task, which is there until the last
/// of them has got it; what is needed only where a veterinarian or the law asks for it makes none.
pub fn health_tasks(litters: &[LitterRecord], ask: AskedOn<'_>) -> Vec<GeneratedTask> {
    let mut tasks = Vec::new();
    for litter in litters {
        let mut of_litter: BTreeMap<(String, u32), Dose<'_>> = BTreeMap::new();
        for pup in litter.pups.iter().filter(|pup| pup.here) {
            for step in wanted(litter.followed_schedule(pup, ask).steps, ask) {
                if litter.litter_id.is_none() {
                    tasks.push(of_dog(pup, None, &step));
                    continue;
                }
                let key = (step.step.clone(), step.occurrence);
                let dose = of_litter
                    .entry(key)
                    .or_insert_with(|| Dose { step: step.clone(), dogs: Vec::new() });
                dose.step.earliest_on = dose.step.earliest_on.min(step.earliest_on);
                dose.step.latest_on = dose.step.latest_on.min(step.latest_on);
                dose.dogs.push(pup);
            }
        }
        if let Some(id) = litter.litter_id {
            tasks.extend(of_litter.into_values().filter_map(|dose| of_pups(litter, id, &dose)));
        }
        if let Some(dam) = &litter.dam {
            let steps = wanted(litter.dam_steps(dam, ask), ask);
            tasks.extend(steps.iter().map(|step| of_dog(dam, litter.litter_id, step)));
        }
    }
    tasks
}

fn wanted(steps: Vec<DueStep>, ask: AskedOn<'_>) -> Vec<DueStep> {
    let last = plus(ask.today(), rule_days(ask.rules, "schedule.tasks_ahead"));
    let begins = |step: &DueStep| step.earliest_on.is_some_and(|on| on <= last);
    let open = |step: &DueStep| !matches!(step.state, DueState::Done | DueState::Unknown);
    steps.into_iter().filter(|step| !step.optional && open(step) && begins(step)).collect()
}

fn of_pups(litter: &LitterRecord, id: Uuid, dose: &Dose<'_>) -> Option<GeneratedTask> {
    let name = litter.name.as_deref().unwrap_or("a litter");
    let whom = match dose.dogs.as_slice() {
        [one] => one.label.clone(),
        several => format!("{} pups", several.len()),
    };
    let dog_id = match dose.dogs.as_slice() {
        [one] => Some(one.dog_id),
        _ => None,
    };
    let item = format!("{}:{}", dose.step.step, dose.step.occurrence);
    Some(GeneratedTask {
        key: task_key("litter", id, "health", &item, None),
        origin: TaskOrigin::Health,
        title: format!("{}: {whom} of {name}", dose.step.name),
        litter_id: Some(id),
        dog_id,
        from: dose.step.earliest_on,
        due_on: dose.step.latest_on?,
        source: dose.step.source.clone(),
    })
}

fn of_dog(dog: &DogRecord, litter_id: Option<Uuid>, step: &DueStep) -> GeneratedTask {
    // The dose after this one has another first day, and is another task.
    let item = format!("{}:{}", step.step, step.earliest_on.unwrap_or(NaiveDate::MIN));
    GeneratedTask {
        key: task_key("dog", dog.dog_id, "health", &item, None),
        origin: TaskOrigin::Health,
        title: format!("{}: {}", step.name, dog.label),
        litter_id,
        dog_id: Some(dog.dog_id),
        from: step.earliest_on,
        due_on: step.latest_on.or(step.ideal_on).unwrap_or(NaiveDate::MAX),
        source: step.source.clone(),
    }
}
