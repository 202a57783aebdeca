//! The trade's knowledge: plain values in, plain values out.
//!
//! Nothing here reads a clock, a file, the environment or a database: `today` and `now` are
//! arguments, and defaults and thresholds are data with their source (see [`rules`]).
//! Each file is named for the question it answers; [`record`] holds what a kennel writes down.

#![warn(missing_docs)]

pub mod advice;
pub mod dam_after_birth;
pub mod fault;
pub mod feeding;
pub mod growth;
pub mod partial_date;
pub mod record;
pub mod rules;
pub mod vital_signs;
pub mod whelping;
