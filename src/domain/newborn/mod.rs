//! The newborn as a neonatologist goes round: the look over it before its first feed, and all that is known of it
//! weighed together.

pub mod exam;
pub mod fading;
mod round;

pub(crate) use exam::exam_row;
pub use exam::{ExamFinding, ExamItem, ExamQuestion, NewbornExam, exam_questions};
pub use fading::{FadingEvidence, FadingGround, FadingScore};
pub(crate) use fading::{fading_score, takes_little};
pub use round::{ExamLine, NewbornRound, RoundOfPup, newborn_round};
pub(crate) use round::{exam_of, not_looked_at};

#[cfg(test)]
pub(crate) mod limits_tests;
