//! The walls of the program that the compiler does not see: which part may use what, and where things stand.
//!
//! Code is read as syntax. [`files`] puts the modules together, [`names`] knows what a name means where it is
//! used, [`reading`] and [`tokens`] collect what is named, [`sums`] finds arithmetic, [`turns`] who writes without one,
//! [`walls`] say what may not be. Each known way around a wall is tried in [`ways_around`].

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test tells of a fault by a panic")]

mod catalogue;
mod files;
mod layout;
mod names;
mod published;
mod reading;
mod rules;
mod sums;
mod tokens;
mod turns;
mod walls;
mod ways_around;
