//! The night of whelping: what was written down, where it stands, and when to call.

pub mod collars;
pub mod doubles;
mod limits;
pub mod log;
pub mod sheet;
pub mod status;
#[cfg(test)]
mod tests;
pub mod vitality;

pub use collars::next_free_collar;
pub use doubles::{BirthMarks, double_of, possible_doubles};
pub use log::{
    Contractions, DischargeColour, ExpectedPups, PupOut, WhelpingAlarm, WhelpingCase,
    WhelpingEntry, WhelpingEvent, check_entry,
};
pub use status::{CallUrgency, WhelpingLimit, WhelpingStage, WhelpingStatus, where_it_stands};
pub use vitality::{NewbornSigns, VitalityScore, vitality_score};
