//! The register of records: a line each, from which follows what is done with rows by their word.
//!
//! What the log tells to whom is the database's own wall (`log_words`, `log_fields`); a test holds the
//! two against each other, so that no word is told by another right than its rows are read by.

use super::{keep::Keep, scope::Right};
use domain::{
    preparation::TemplateOverlay,
    record::{
        Absence, Birth, Buyer, Cost, DamCheck, Dog, Feed, FollowUpDone, GenotypeTest, HealthEvent,
        Heat, HeatReading, Invitation, Litter, LitterPlan, Mating, Member, OwnTask, Paper, Payment,
        Place, Placement, PlannerSettings, PregnancyCheck, PupCheck, RuleOverride, SetAside, Share,
        Supply, Temperature, Webhook, Weight, WhelpingLine,
    },
    schedule::HealthPlan,
};

/// What there is to know of one kind of record.
#[derive(Debug, Clone, Copy)]
pub struct Line {
    /// What the log calls its rows.
    pub word: &'static str,
    /// Where they are.
    pub table: &'static str,
    /// The word of the rows that these hang on in the path.
    pub parent: Option<&'static str>,
    /// What a person needs to read them.
    pub read: Right,
    /// What a person needs to write them.
    pub write: Right,
    /// Fields that need a further right to be read.
    pub hidden: &'static [(Right, &'static [&'static str])],
    /// Whether a row comes back from the log: who belongs to the kennel, and what lets others in, does not.
    pub comes_back: bool,
}

/// Work that is done with whatever record a word names.
pub trait ByRecord {
    /// What comes of it.
    type Done;

    /// Does it for rows of `R`.
    fn with<R: Keep>(self) -> impl Future<Output = Self::Done>;
}

macro_rules! register {
    ($($word:literal in $table:literal $(under $parent:literal)? => $record:ty, $fate:ident;)+) => {
        /// All records, by their words.
        pub const RECORDS: &[Line] = &[$(Line {
            word: $word,
            table: $table,
            parent: register!(@parent $($parent)?),
            read: <$record as Keep>::READ,
            write: <$record as Keep>::WRITE,
            hidden: <$record as Keep>::HIDDEN,
            comes_back: register!(@$fate),
        }),+];

        /// Does `work` with the record that a word names; null when it names none.
        pub async fn with_record_of<W: ByRecord>(word: &str, work: W) -> Option<W::Done> {
            match word {
                $($word => Some(work.with::<$record>().await),)+
                _ => None,
            }
        }
    };
    (@parent) => { None };
    (@parent $parent:literal) => { Some($parent) };
    (@comes_back) => { true };
    (@stays_gone) => { false };
}

register! {
    "absence" in "absences" => Absence, comes_back;
    "birth" in "births" under "litter" => Birth, comes_back;
    "buyer" in "buyers" => Buyer, comes_back;
    "cost" in "costs" => Cost, comes_back;
    "dam_check" in "dam_checks" under "litter" => DamCheck, comes_back;
    "dog" in "dogs" => Dog, comes_back;
    "feed" in "feeds" under "dog" => Feed, comes_back;
    "follow_up" in "follow_ups" under "placement" => FollowUpDone, comes_back;
    "genotype_test" in "genotype_tests" under "dog" => GenotypeTest, comes_back;
    "health_event" in "health_events" => HealthEvent, comes_back;
    "health_plan" in "health_plans" => HealthPlan, comes_back;
    "heat" in "heats" => Heat, comes_back;
    "heat_reading" in "heat_readings" under "heat" => HeatReading, comes_back;
    "invitation" in "invitations" => Invitation, stays_gone;
    "litter" in "litters" => Litter, comes_back;
    "litter_plan" in "litter_plans" under "litter" => LitterPlan, comes_back;
    "mating" in "matings" => Mating, comes_back;
    "member" in "memberships" => Member, stays_gone;
    "own_task" in "own_tasks" => OwnTask, comes_back;
    "paper" in "papers" under "dog" => Paper, comes_back;
    "payment" in "payments" under "placement" => Payment, comes_back;
    "place" in "places" => Place, comes_back;
    "placement" in "placements" => Placement, comes_back;
    "planner_settings" in "planner_settings" => PlannerSettings, comes_back;
    "pregnancy_check" in "pregnancy_checks" under "mating" => PregnancyCheck, comes_back;
    "preparation_template" in "preparation_templates" => TemplateOverlay, comes_back;
    "pup_check" in "pup_checks" under "dog" => PupCheck, comes_back;
    "readiness_override" in "readiness_overrides" under "dog" => SetAside, comes_back;
    "rule_override" in "rule_overrides" => RuleOverride, comes_back;
    "share" in "shares" under "dog" => Share, comes_back;
    "supply" in "supplies" => Supply, comes_back;
    "temperature" in "temperatures" under "dog" => Temperature, comes_back;
    "webhook" in "webhooks" => Webhook, stays_gone;
    "weight" in "weights" under "dog" => Weight, comes_back;
    "whelping_line" in "whelping_lines" under "litter" => WhelpingLine, comes_back;
}

/// The line of a word.
pub fn line(word: &str) -> Option<&'static Line> {
    RECORDS.iter().find(|line| line.word == word)
}
