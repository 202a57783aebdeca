//! The report on a litter and the report on a year, from plain values.

mod club;
mod litter;
mod spread;
mod view;
mod year;

pub use club::{ClubLitterReport, ReportedParent, ReportedPup};
pub use litter::{
    LitterReport, LitterReportInput, LossAge, LossesByAge, LossesByCause, ReportPup, SexCount,
    WeightsAtAge, litter_report,
};
pub use spread::WeightSpread;
pub use view::{club_report, litter_input, parent_name};
pub use year::{
    MoneyLine, MoneyLineKind, MoneySums, YearLitter, YearLitterRow, YearReport, YearReportInput,
    year_report,
};
