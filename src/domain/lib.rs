//! The trade's knowledge: plain values in, plain values out.
//!
//! Nothing here reads a clock, a file, the environment or a database: `today` and `now` are
//! arguments, and defaults and thresholds are data with their source (see [`rules`]).
//! Each file is named for the question it answers; [`record`] holds what a kennel writes down.

#![warn(missing_docs)]

pub mod admission;
pub mod advice;
pub mod agenda;
pub mod alarms;
pub mod archive;
pub mod birth_risks;
pub mod booklet;
pub mod breeding_again;
pub mod breeding_limits;
pub mod breeding_values;
pub mod breeds;
pub mod call_signs;
mod cholesky;
pub mod co_ownership;
pub mod coat_colour;
pub mod cycle;
pub mod dam_after_birth;
pub mod dating;
pub mod day_chances;
mod distribution;
pub mod expected_pups;
pub mod family_tree;
pub mod fault;
pub mod feeding;
pub mod growth;
pub mod import;
pub mod inbreeding;
pub mod kennel_tasks;
mod law;
pub(crate) mod listing;
pub mod litter;
mod litter_tasks;
pub mod markers;
pub mod mating_plan;
pub mod mating_tests;
pub mod microchip;
pub mod moment;
pub mod newborn;
pub mod partial_date;
pub mod pedigree;
pub mod placement;
pub mod planner;
pub mod pregnancy;
pub mod preparation;
pub mod privacy;
pub mod readiness;
pub mod record;
pub mod report_tasks;
pub mod reports;
pub mod rings;
pub mod rules;
mod sayings;
pub mod schedule;
pub mod screening;
pub mod seen_traits;
pub mod shared;
pub mod slips;
pub mod stop;
pub mod table;
pub mod tasks;
mod temperature;
pub mod text;
pub mod today;
pub mod trial_genetics;
pub mod units;
mod vital_signs;
pub mod whelping;

// What tests and measurements outside share with those here names this crate as they do.
#[cfg(test)]
mod german_tests;
#[cfg(test)]
extern crate self as domain;

#[cfg(test)]
mod agreement;
#[cfg(test)]
pub(crate) mod limits_tests;
#[cfg(test)]
mod published_tests;
