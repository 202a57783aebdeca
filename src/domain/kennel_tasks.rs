//! Everything due in a kennel: what all its records ask for, with what people did about it.

use crate::{
    agenda::{
        House, cycle_tasks, litters_ahead, own_tasks, preparation_tasks, shopping, shopping_tasks,
    },
    alarms::{Watched, WatchedLitter, look_at},
    litter::{Core, Dosed, followed},
    litter_tasks::{bereft_tasks, follow_up_tasks, growth_tasks, health_tasks, history_tasks},
    moment::Moment,
    placement::FollowUpsOfPup,
    pregnancy::DamRecords,
    preparation::PreparationTemplate,
    record::{Kept, OwnTask},
    report_tasks::{WaitingReport, report_tasks},
    rings::TaskToRing,
    rules::Rules,
    shared::Shared,
    tasks::{DaysAhead, GeneratedTask, Marked, TaskFilter, TaskLine, Turn, task_list},
};
use chrono::NaiveDate;
use std::collections::BTreeMap;

#[cfg(test)]
mod tests;

/// What tasks are made of.
#[derive(Debug, Clone)]
pub struct TaskRecords {
    /// Dams with their litters and heats.
    pub dams: Vec<DamRecords>,
    /// The kennel's preparation.
    pub template: PreparationTemplate,
    /// Where litters lie, and what is on hand.
    pub house: House,
    /// Tasks that people wrote.
    pub own: Vec<Kept<OwnTask>>,
    /// The litters and grown dogs here.
    pub litters: Vec<(Shared<Core>, Watched)>,
    /// Of pups that have gone; `None` for who may not know of them.
    pub gone: Option<Vec<FollowUpsOfPup>>,
    /// What their new owners told and nobody has decided.
    pub reports: Vec<WaitingReport>,
}

impl TaskRecords {
    /// What they ask for at `moment`.
    pub fn tasks(&self, moment: &Moment) -> Vec<GeneratedTask> {
        let Self { dams, template, house, own, .. } = self;
        let (time, today, rules) = (moment.time(), moment.today(), &moment.rules);
        let ahead = litters_ahead(dams, house, time, rules);
        let mut tasks = preparation_tasks(&ahead, template, today, rules);
        let list = shopping(&ahead, template, &house.stock, (today, None), rules);
        tasks.extend(shopping_tasks(&list, today));
        tasks.extend(cycle_tasks(dams, time, rules));
        tasks.extend(own_tasks(own, rules));
        tasks.extend(self.of_litters(moment));
        tasks.extend(self.of_new_owners(moment));
        tasks
    }

    fn of_litters(&self, moment: &Moment) -> Vec<GeneratedTask> {
        let litters = &self.litters;
        let doses: Vec<Dosed<'_>> =
            litters.iter().map(|(core, parts)| (&**core, &parts.2, &parts.5)).collect();
        let nests = litters.iter().filter(|(core, _)| core.here(moment).next().is_some());
        let watched: Vec<(&Core, WatchedLitter)> =
            nests.map(|(core, parts)| (&**core, look_at(core, parts, moment))).collect();
        let (dogs, _) = followed(&doses, moment);
        let mut tasks = health_tasks(&dogs, &moment.rules);
        tasks.extend(history_tasks(&dogs, moment.today()));
        tasks.extend(growth_tasks(&watched, moment));
        tasks
    }

    fn of_new_owners(&self, moment: &Moment) -> Vec<GeneratedTask> {
        let Some(gone) = &self.gone else { return Vec::new() };
        let cores: Vec<&Core> = self.litters.iter().map(|(core, _)| &**core).collect();
        let mut tasks = bereft_tasks(&cores, moment);
        for pup in gone {
            let dog = (pup.dog_id, pup.dog_name.as_deref());
            let (today, rules) = (moment.today(), &moment.rules);
            let made = follow_up_tasks(pup.placement_id, dog, &pup.reminders, today, rules);
            tasks.extend(made);
        }
        tasks.extend(report_tasks(&self.reports, moment));
        tasks
    }
}

/// Every task that a kennel's records ask for, with what people did about it.
#[derive(Debug, Clone)]
pub struct KennelTasks {
    tasks: Vec<GeneratedTask>,
    marks: BTreeMap<String, Marked>,
    rules: Rules,
    today: NaiveDate,
}

impl KennelTasks {
    /// What the records ask for at `moment`, with these marks by the tasks' keys.
    pub fn of(records: &TaskRecords, marks: BTreeMap<String, Marked>, moment: &Moment) -> Self {
        let tasks = records.tasks(moment);
        Self { tasks, marks, rules: moment.rules.clone(), today: moment.today() }
    }

    /// The same with other marks.
    #[must_use]
    pub fn marked(self, marks: BTreeMap<String, Marked>) -> Self {
        Self { marks, ..self }
    }

    /// The list: rounds of a day and shopping are one line each.
    pub fn lines(&self) -> Vec<TaskLine> {
        self.lines_of(self.tasks.clone())
    }

    /// Those lines of the list that a filter wants.
    pub fn wanted(&self, filter: &TaskFilter) -> Vec<TaskLine> {
        let mut lines = self.lines();
        lines.retain(|line| filter.wants(line, self.today, &self.rules));
        lines
    }

    /// Each task by itself, under its own key whatever else is due.
    pub fn each(&self) -> Vec<TaskLine> {
        self.lines_of(self.tasks.iter().map(alone).collect())
    }

    /// Each task by itself with what it rings together with: those of one line, and all chores. Where somebody has
    /// to look at once an alarm rings.
    pub fn to_ring(&self) -> Vec<TaskToRing> {
        let made: BTreeMap<&str, &GeneratedTask> =
            self.tasks.iter().map(|task| (task.key.as_str(), task)).collect();
        let to_ring = |line: TaskLine| {
            let task = made.get(line.key.as_str()).filter(|task| task.turn != Turn::Look)?;
            let chore = matches!(task.turn, Turn::Chores | Turn::Weigh);
            let together = match &task.group {
                _ if chore => "chores".to_owned(),
                Some(group) => group.key.clone(),
                None => line.key.clone(),
            };
            Some(TaskToRing { line, together, chore })
        };
        self.each().into_iter().filter_map(to_ring).collect()
    }

    fn lines_of(&self, tasks: Vec<GeneratedTask>) -> Vec<TaskLine> {
        task_list(tasks, &self.marks, self.today, DaysAhead::usual(&self.rules))
    }

    /// The line of a key, and the tasks that it stands for: one, or those of a group.
    pub fn find(&self, key: &str) -> Option<(TaskLine, Vec<GeneratedTask>)> {
        if let Some(task) = self.tasks.iter().find(|task| task.key == key) {
            let line = self.lines_of(vec![alone(task)]).pop()?;
            return Some((line, vec![alone(task)]));
        }
        let line = self.lines().into_iter().find(|line| line.key == key)?;
        let is_part = |task: &&GeneratedTask| line.parts.iter().any(|part| part.key == task.key);
        let tasks = self.tasks.iter().filter(is_part).map(alone).collect();
        Some((line, tasks))
    }
}

/// The task outside of its group.
fn alone(task: &GeneratedTask) -> GeneratedTask {
    GeneratedTask { group: None, ..task.clone() }
}
