//! What a kennel writes down, one file a kind of record.
//!
//! A record is the body of a resource: the same fields are posted, kept and answered. Its
//! [`Record::check`] reports every fault of the values by themselves, with the place of each;
//! what needs other rows is asked by the store.

mod attachment;
mod batch;
mod booklet;
mod breed_test;
mod buyer;
mod buyer_report;
mod calendar_link;
mod care;
mod dog;
mod free_test;
mod genotype;
mod health;
mod heat;
mod kennel;
mod litter;
mod mating;
mod placement;
mod planning;
mod pup;
mod pup_check;
pub mod register;
mod renamed;
mod ring;
mod schema;
mod screening;
mod search;
mod webhook;
mod whelping;
pub(crate) mod words;

pub use attachment::{Attachment, AttachmentFilter, AttachmentKind, FileFacts, FileType};
pub use batch::{
    BatchAnswer, BatchHead, BatchRowAnswer, DeviceClock, MOST_ROWS, ObservationBatch,
    ObservationKind, ObservationRow, RowStatus, WeightBatch, WeightRow, device_clock,
};
pub use booklet::BookletTexts;
pub use breed_test::{BreedTest, BreedTestFilter, WhichParent};
pub use buyer::{Buyer, BuyerFilter};
pub use buyer_report::{
    BuyerNews, BuyerReport, BuyerReportFilter, ReportPart, ReportStatus, TakenNews, ToldHealth,
    ToldKind,
};
pub use calendar_link::{CalendarKind, CalendarLink};
pub use care::{Temperature, TemperatureFilter, Weight, WeightFilter};
use catalogue::said;
pub use dog::{
    Dog, DogFilter, FormerShare, FormerShareFilter, Registration, Residence, Sex, Share,
    ShareFilter,
};
pub use free_test::{
    FreeTest, FreeTestFilter, GenomicInbreeding, GenomicInbreedingFilter, GenomicMethod,
};
pub use genotype::{GenotypeTest, GenotypeTestFilter};
pub use health::{
    HealthEvent, HealthEventFilter, HealthPlanFilter, LitterPlan, LitterPlanFilter, TestResult,
};
pub use heat::{Heat, HeatFilter, HeatReading, HeatReadingFilter, ReadingKind, ReadingUnit};
pub use kennel::{
    Area, Invitation, InvitationFilter, Kennel, Member, MemberFilter, Right, Role, RuleOverride,
    RuleOverrideFilter,
};
pub use litter::{Birth, BirthFilter, BirthOutcome, Litter, LitterFilter, Placenta, Presentation};
pub use mating::{
    LossKind, Mating, MatingFilter, MatingMethod, MatingStatus, Measure, MeasureKind,
    PregnancyCheck, PregnancyCheckFilter, PregnancyMethod, PregnancyResult, Tie,
};
pub use placement::{
    Cost, CostFilter, FollowUpDone, FollowUpDoneFilter, Payment, PaymentFilter, Placement,
    PlacementFilter,
};
pub use planning::{
    Absence, AbsenceFilter, OnlyOne, OwnTask, OwnTaskFilter, Place, PlaceFilter, PlaceKind,
    PlannerSettings, Supply, SupplyFilter,
};
pub use pup::{Paper, PaperFilter, SetAside, SetAsideFilter};
pub use pup_check::{PupCheck, PupCheckFilter};
pub use renamed::{field_of, is_same, named_now, renew};
pub use ring::{DutyRoster, DutyTurn, PushDevice, PushKeys, QuietHours, RingChoices, RingWay};
pub use schema::{Kept, List, Patch};
pub use screening::{ScreeningResult, ScreeningResultFilter};
pub use search::Search;
pub use webhook::{DeliveryStatus, Webhook, WebhookFilter};
pub use whelping::{DamCheck, DamCheckFilter, Feed, FeedFilter, WhelpingLine, WhelpingLineFilter};

pub use super::{
    placement::{BuyerWishes, LedgerKind, PlacementKind, PlacementStage},
    preparation::TemplateOverlay,
    schedule::{HealthKind, HealthPlan},
};

use super::fault::Faults;
use chrono::{DateTime, Duration, NaiveDate, Utc};
use serde::{Serialize, de::DeserializeOwned};
use utoipa::ToSchema;

/// A body that can be written.
pub trait Record: Serialize + DeserializeOwned + ToSchema + Clone + Send + Sync + 'static {
    /// Fields whose column is called otherwise: the column's name, and the field's.
    const STORED_AS: &'static [(&'static str, &'static str)] = &[];

    /// Reports what is wrong with the values by themselves, as seen at `now`.
    fn check(&self, now: DateTime<Utc>, faults: &mut Faults);
}

/// How far a client's clock may run ahead before a time counts as in the future.
const CLOCK_TOLERANCE_MINUTES: i64 = 10;

/// Reports a time of something observed that lies in the future.
fn check_observed(at: DateTime<Utc>, now: DateTime<Utc>, pointer: &str, faults: &mut Faults) {
    faults.unless(at <= now + Duration::minutes(CLOCK_TOLERANCE_MINUTES), pointer, || {
        said!("fault-in-future-time", now = now.format("%FT%TZ").to_string())
    });
}

/// Reports a day of something observed that is later than today anywhere on earth.
fn check_past_day(day: NaiveDate, now: DateTime<Utc>, pointer: &str, faults: &mut Faults) {
    faults.unless(day <= (now + Duration::hours(14)).date_naive(), pointer, || {
        said!("fault-in-future-day", today = now.date_naive())
    });
}
