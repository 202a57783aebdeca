//! What is given to a dog, beside its day of birth; a plan beside its former self.

use super::{Admission, Refusal};
use crate::{
    partial_date::PartialDate,
    record::HealthEvent,
    schedule::{HealthPlan, HealthPlanVersion, standard_plans},
};
use catalogue::said;
use chrono::NaiveDate;

#[cfg(test)]
mod tests;

impl HealthEvent {
    /// Refuses what is given before the dog is born: before the first day that a partial date may mean.
    ///
    /// # Errors
    /// A fault at `/given_at`.
    pub fn admit(&self, given_on: NaiveDate, born_on: Option<PartialDate>) -> Admission {
        match born_on.map(PartialDate::earliest) {
            Some(born_on) if given_on < born_on => Err(Refusal::at(
                "/given_at",
                said!("fault-too-early-before-born", born_on = born_on),
            )),
            _ => Ok(()),
        }
    }
}

impl HealthPlan {
    /// Refuses another key: litters follow a plan by it.
    ///
    /// # Errors
    /// A fault at `/key`.
    pub fn admit_change(&self, before: &Self) -> Admission {
        if before.key == self.key {
            return Ok(());
        }
        Err(Refusal::at("/key", said!("fault-fixed-plan-key")))
    }
}

/// The number of the version that a litter follows from now on when a plan is applied to it, by the
/// kennel's own last version of that key; `None` for a standard plan.
///
/// # Errors
/// A fault at `/plan_key` where the kennel has no such plan (any more) and none is standard.
pub fn version_to_apply(
    key: &str,
    last: Option<&HealthPlanVersion>,
) -> Result<Option<u32>, Refusal> {
    match last {
        Some(HealthPlanVersion { number, plan: Some(_), .. }) => Ok(Some(*number)),
        _ if standard_plans().iter().any(|plan| plan.key == key) => Ok(None),
        _ => Err(Refusal::at("/plan_key", said!("fault-not-found-plan"))),
    }
}
