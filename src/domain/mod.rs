//! The trade's knowledge: plain values in, plain values out.
//!
//! Nothing here reads a clock, a file, the environment or a database: `today` and `now` are
//! arguments, and defaults and thresholds are data with their source (see [`rules`]).
//! Each file is named for the question it answers; [`record`] holds what a kennel writes down.

#![warn(missing_docs)]

pub mod advice;
pub mod cycle;
pub mod dating;
pub mod day_chances;
pub mod distribution;
pub mod expected_pups;
pub mod fault;
pub mod partial_date;
pub mod planner;
pub mod preparation;
pub mod record;
pub mod rules;
pub mod tasks;
pub mod temperature;
