//! What is on record of a litter's preparation and rounds, and which tasks that closes.

use super::{PreparationTask, template::ClosedBy};
use crate::record::PregnancyMethod;
use chrono::NaiveDate;

/// What was recorded that tasks of a litter ask for.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct PreparationRecords {
    /// Checks of the pregnancy.
    pub checks: Vec<(NaiveDate, PregnancyMethod)>,
    /// Days of the dam's temperatures, one a reading.
    pub temperatures: Vec<NaiveDate>,
    /// The day on which a supply was last counted.
    pub counted_on: Option<NaiveDate>,
}

impl PreparationRecords {
    /// The day on which what a task asks for was recorded; `None` while it is open.
    pub(crate) fn recorded_on(&self, task: &PreparationTask) -> Option<NaiveDate> {
        match task.closed_by? {
            // A radiograph shows that she is pregnant, too.
            ClosedBy::Ultrasound => {
                self.checked(&[PregnancyMethod::Ultrasound, PregnancyMethod::Xray])
            }
            ClosedBy::Xray => self.checked(&[PregnancyMethod::Xray]),
            ClosedBy::Temperature => {
                let asked = task.times_a_day.unwrap_or(1);
                (self.times_taken(task) >= asked).then(|| self.last_taken(task)).flatten()
            }
            ClosedBy::SupplyCount => self.counted_on.filter(|on| *on >= task.from),
        }
    }

    /// How often what recurs on a day was done so far.
    pub(crate) fn times_taken(&self, task: &PreparationTask) -> u32 {
        if task.closed_by != Some(ClosedBy::Temperature) {
            return 0;
        }
        u32::try_from(self.readings_of(task).count()).unwrap_or(u32::MAX)
    }

    fn last_taken(&self, task: &PreparationTask) -> Option<NaiveDate> {
        self.readings_of(task).max()
    }

    fn readings_of(&self, task: &PreparationTask) -> impl Iterator<Item = NaiveDate> {
        let (from, to) = (task.from, task.of_use_until);
        self.temperatures.iter().copied().filter(move |on| from <= *on && *on <= to)
    }

    fn checked(&self, methods: &[PregnancyMethod]) -> Option<NaiveDate> {
        let by = |check: &&(NaiveDate, PregnancyMethod)| methods.contains(&check.1);
        self.checks.iter().filter(by).map(|(on, _)| *on).min()
    }
}
