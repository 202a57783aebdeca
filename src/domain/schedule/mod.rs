//! What is to be given when, what was given, what is due and what is late.
//!
//! A [`HealthPlan`] is data: steps anchored on birth, mating, whelping, weaning or the dose before,
//! each with the earliest, ideal and latest day and a minimum spacing. [`due`] lays the events given
//! against the steps; [`follow`] chooses the plans by a dog's age; [`walk`] puts what is open in the
//! order of a walk through the kennel.

mod age;
mod antibodies;
mod book;
mod due;
mod follow;
mod grown;
mod layout;
mod live;
mod plan;
mod recall;
mod regional;
mod walk;

#[cfg(test)]
mod ages;
#[cfg(test)]
mod doses_tests;
#[cfg(test)]
pub(crate) mod limits_tests;
#[cfg(test)]
mod properties;
#[cfg(test)]
mod published;
#[cfg(test)]
mod vaccines_tests;

pub(crate) use age::{completed_days, completed_weeks};
pub(crate) use age::{plus, rule_days};
pub(crate) use antibodies::{UnshownTest, due_after};
pub use book::{AppliedPlan, PlanBook};
pub(crate) use due::due;
pub use due::{DueList, DueState, DueStep, GivenEvent, ScheduleDates};
pub(crate) use follow::{Lifetime, follow};
pub(crate) use grown::due_when_grown;
pub(crate) use live::keep_apart;
#[cfg(test)]
pub(crate) use plan::steps_in_force;
pub use plan::{
    BeforeGoHome, HealthKind, HealthPlan, HealthPlanVersion, LastDose, PlanAnchor, PlanStep,
    PlanSubject, StepAnchor, StepRepeat, standard_plans, standard_plans_in,
};
pub use recall::{BatchRecall, RecalledDog, Whereabouts, recall};
pub use regional::{RegionalSchedule, regional_schedule};
pub(crate) use walk::open_steps;
pub use walk::{WalkDog, WalkEntry, WalkStop, walk};
