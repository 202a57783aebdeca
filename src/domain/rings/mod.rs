//! Whom an alarm, or a task that is due, reaches, by which way and when.
//!
//! [`turns`] compares the alarms that there are with what was told last: each that was raised, became graver,
//! was seen or is over is a [`Turn`]. Of the first two follow rings ([`plan`]): who is on duty is rung at once,
//! the others when nobody has seen it for as long as they chose. A ring that is due later is planned at once,
//! and dropped when its time comes if the alarm was seen, is over, or has turned again.
//!
//! A task rings for whoever wants that at the hour that they chose, once ([`due_tasks`]).

mod clock;
mod due;
mod letter;
mod plan;
mod turn;

#[cfg(test)]
mod due_limits_tests;
#[cfg(test)]
mod limits_tests;

pub use clock::{next_time, time_of_day};
pub use due::{Hearing, Noted, RingOfTasks, TaskToRing, TasksTold, due_tasks};
pub use letter::{Letter, letter};
pub use plan::{Listener, NextLook, PlannedRing, plan};
pub use turn::{Told, Turn, TurnKind, turns};
