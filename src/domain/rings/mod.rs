//! Whom an alarm reaches, by which way and when.
//!
//! [`turns`] compares the alarms that there are with what was told last: each that was raised, became graver,
//! was seen or is over is a [`Turn`]. Of the first two follow rings ([`plan`]): who is on duty is rung at once,
//! the others when nobody has seen it for as long as they chose. A ring that is due later is planned at once,
//! and dropped when its time comes if the alarm was seen, is over, or has turned again.

mod letter;
mod plan;
mod turn;

#[cfg(test)]
mod limits_tests;

pub use letter::{Letter, letter, next_letter};
pub use plan::{Listener, PlannedRing, next_look, plan};
pub use turn::{Told, Turn, TurnKind, turns};
