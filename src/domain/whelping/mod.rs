//! The night of whelping: what was written down, where it stands, and when to call.

pub mod collars;
pub(crate) mod course;
pub(crate) mod doubles;
pub(crate) mod limits;
#[cfg(test)]
pub(crate) mod limits_tests;
pub mod log;
#[cfg(test)]
mod record_tests;
pub mod sheet;
pub mod status;
#[cfg(test)]
mod tests;
pub mod vitality;

pub use collars::{collar_colours, next_free_collar};
pub use doubles::BirthMarks;
pub(crate) use doubles::{double_of, possible_doubles, same_pup};
pub(crate) use log::check_entry;
pub use log::{
    Contractions, DayCount, DischargeAmount, DischargeColour, GivenTo, LabourSign, PupOut,
    WhelpingAlarm, WhelpingCase, WhelpingEntry, WhelpingEvent, by_caesarean,
};
pub use status::{CallUrgency, WhelpingLimit, WhelpingStage, WhelpingStatus, where_it_stands};
pub use vitality::{NewbornSigns, VitalityScore, vitality_score};
