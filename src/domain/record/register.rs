//! The register of records: a line each, from which follows what is done with rows by their word.
//!
//! Another record is another line here. From it follow what the log and webhooks call its rows, on which row
//! they hang, who reads and writes them, whether they come back from the log, their rows of a batch, and their
//! file in an archive. The store adds how they are kept (`keep!` and `Hooks`), the api their operations.
//!
//! A row refers to rows of the lines above its own: batches are written and archives taken in line by line.
//! What the log tells to whom is the database's own wall (`log_words`, `log_fields`); a test holds the two
//! against each other, so that no word is told by another right than its rows are read by.

use super::{Record, Right, is_same};
use crate::archive::ArchiveTable;
use chrono::{DateTime, Utc};
use uuid::Uuid;

/// Hands the lines of the register to a macro, after what is given in brackets.
#[macro_export]
macro_rules! registered_records {
    ([$($take:tt)+] $($with:tt)*) => { $($take)+! { [$($with)*]
        (RuleOverride "rule_override" in "rule_overrides", read Dogs, write Managing, archived)
        (BreedTest "breed_test" in "breed_tests", read Dogs, write Managing, archived)
        (Place "place" in "places", read Dogs, write Managing, archived)
        (Supply "supply" in "supplies", read Dogs, write Observations, archived)
        (TemplateOverlay "preparation_template" in "preparation_templates", read Dogs, write Managing, archived)
        (PlannerSettings "planner_settings" in "planner_settings", read Dogs, write Managing, archived)
        (Member "member" in "memberships", read Dogs, write Managing, comes_back Never)
        (Invitation "invitation" in "invitations", read Managing, write Managing, comes_back Never)
        (Webhook "webhook" in "webhooks", read Managing, write Managing, comes_back Never)
        // Who is on duty is of the moment, and no archive holds it.
        (DutyRoster "duty_roster" in "duty_rosters", read Dogs, write Managing)
        (Dog "dog" in "dogs", read Dogs, write Breeding, archived)
        (Share "share" in "shares" under "dog" by dog_id, read Money, write Managing,
            archived { people person_id })
        (FormerShare "former_share" in "former_shares" under "dog" by dog_id, read Money, write Managing,
            archived { people person_id })
        (Heat "heat" in "heats", read Dogs, write Breeding, archived)
        (HeatReading "heat_reading" in "heat_readings" under "heat" by heat_id, read Dogs, write Observations,
            observed at taken_at, archived)
        (Mating "mating" in "matings", read Dogs, write Breeding, observed of "dog" by dam_id at ties, archived)
        (PregnancyCheck "pregnancy_check" in "pregnancy_checks" under "mating" by mating_id,
            read Dogs, write Observations, observed at checked_at, archived)
        (Litter "litter" in "litters", read Dogs, write Breeding, archived)
        // The weight at birth stands among the weights.
        (Birth "birth" in "births" under "litter" by litter_id, read Dogs, write Observations,
            observed at born_at, archived { former weight_g })
        (WhelpingLine "whelping_line" in "whelping_lines" under "litter" by litter_id,
            read Dogs, write Observations, observed at at, archived { derived dam_id })
        (DamCheck "dam_check" in "dam_checks" under "litter" by litter_id, read Dogs, write Observations,
            observed at checked_at, archived { derived dam_id })
        (Weight "weight" in "weights" under "dog" by dog_id, read Dogs, write Observations,
            observed at measured_at, archived)
        (Temperature "temperature" in "temperatures" under "dog" by dog_id, read Dogs, write Observations,
            observed at measured_at, archived)
        (Feed "feed" in "feeds" under "dog" by dog_id, read Dogs, write Observations, observed at fed_at, archived)
        (PupCheck "pup_check" in "pup_checks" under "dog" by dog_id, read Dogs, write Observations,
            observed at checked_at, archived)
        (GenotypeTest "genotype_test" in "genotype_tests" under "dog" by dog_id, read Dogs, write Observations,
            archived)
        (FreeTest "free_test" in "free_tests" under "dog" by dog_id, read Dogs, write Observations, archived)
        (GenomicInbreeding "genomic_inbreeding" in "genomic_inbreedings" under "dog" by dog_id, read Dogs,
            write Observations, archived)
        (ScreeningResult "screening_result" in "screening_results" under "dog" by dog_id, read Dogs,
            write Observations, archived)
        (HealthPlan "health_plan" in "health_plans", read Dogs, write Managing, archived)
        (LitterPlan "litter_plan" in "litter_plans" under "litter" by litter_id, read Dogs, write Breeding, archived)
        (Buyer "buyer" in "buyers", read Dogs, write Placing,
            hides Placing { email, phone, address, household, screening, note }, archived { people created_by })
        (HealthEvent "health_event" in "health_events", read Dogs, write Observations,
            observed of "dog" by dog_id at given_at, archived)
        (Paper "paper" in "papers" under "dog" by dog_id, read Dogs, write Placing, archived)
        (SetAside "readiness_override" in "readiness_overrides" under "dog" by dog_id, read Dogs, write Managing,
            archived)
        (Placement "placement" in "placements", read Dogs, write Placing,
            hides Money { price_minor, currency, balance_due_on }, hides Placing { terms, note }, archived)
        (Payment "payment" in "payments" under "placement" by placement_id, read Money, write Money, archived)
        (FollowUpDone "follow_up" in "follow_ups" under "placement" by placement_id, read Placing, write Placing,
            archived)
        (BuyerReport "buyer_report" in "buyer_reports", read Placing, write Placing, archived)
        (Attachment "attachment" in "attachments", read Dogs, write Observations, archived)
        (Cost "cost" in "costs", read Money, write Money, archived)
        (Absence "absence" in "absences", read Dogs, write Dogs, archived { people person_id })
        (OwnTask "own_task" in "own_tasks", read Dogs, write Observations, archived)
    } };
}

/// Rows that are no records of their own, but stand in the log and in archives beside them.
pub(crate) static BESIDE: &[Line] = &[
    Line::beside("kennel", "kennels", Right::Dogs),
    Line::beside("access_token", "access_tokens", Right::Managing),
    Line::beside("calendar_link", "calendar_links", Right::Managing),
    Line::beside("booklet_link", "booklet_links", Right::Placing),
    Line {
        archive: Some(ArchiveTable::of("readiness_rules")),
        ..Line::beside("readiness_rules", "readiness_rules", Right::Dogs)
    },
    Line {
        archive: Some(ArchiveTable::of("booklet_texts")),
        ..Line::beside("booklet_text", "booklet_texts", Right::Dogs)
    },
    Line {
        archive: Some(ArchiveTable::of("health_plan_versions")),
        stored_as: &[("in_force_from", "begins_on")],
        ..Line::beside("health_plan_version", "health_plan_versions", Right::Dogs)
    },
    Line {
        archive: Some(ArchiveTable { people: &["person_id"], ..ArchiveTable::of("alarms_seen") }),
        stored_as: &[("at", "seen_at")],
        comes_back: ComesBack::Copied,
        ..Line::beside("alarm_seen", "alarms_seen", Right::Dogs)
    },
    Line {
        archive: Some(ArchiveTable {
            people: &["assignee_id", "done_by"],
            ..ArchiveTable::of("task_marks")
        }),
        stored_as: &[("snoozed_until", "snooze_ends_on")],
        comes_back: ComesBack::Copied,
        ..Line::beside("task_mark", "task_marks", Right::Dogs)
    },
];

/// What there is to know of one kind of row.
#[derive(Debug, Clone, Copy)]
pub struct Line {
    /// What the log calls its rows.
    pub word: &'static str,
    /// Where they are.
    pub table: &'static str,
    /// What they hang on in the path.
    pub parent: Option<Parent>,
    /// What a person needs to read them.
    pub read: Right,
    /// Fields that need a further right to be read; without it they are null, and not written.
    pub hidden: &'static [(Right, &'static [&'static str])],
    /// Fields whose column is called otherwise.
    pub stored_as: &'static [(&'static str, &'static str)],
    /// Whether a deleted row comes back from the log.
    pub comes_back: ComesBack,
    /// Its file in an archive; null for who may enter, and for secrets: they stay behind.
    pub archive: Option<ArchiveTable>,
}

impl Line {
    /// Whether its rows hang on a row that this field names, or on none but the kennel.
    pub const fn hangs_by(&self, field: Option<&str>) -> bool {
        match (self.parent, field) {
            (Some(parent), Some(field)) => is_same(parent.field, field),
            (None, None) => true,
            _ => false,
        }
    }

    const fn beside(word: &'static str, table: &'static str, read: Right) -> Self {
        Self {
            word,
            table,
            parent: None,
            read,
            hidden: &[],
            stored_as: &[],
            comes_back: ComesBack::Never,
            archive: None,
        }
    }
}

/// The row that others hang on in the path.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Parent {
    /// Its word.
    pub word: &'static str,
    /// The field that names it.
    pub field: &'static str,
}

/// Whether, and how, a deleted row comes back from the log.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ComesBack {
    /// It is written again, and held against what any write is held against.
    Written,
    /// It is a mark beside a row, and is copied as it was.
    Copied,
    /// Who belongs to the kennel, and what lets others in, does not come back.
    Never,
}

/// A record that has a line in the register.
pub trait Registered: Record {
    /// Its line.
    const LINE: Line;
    /// What a person needs to read it.
    const READ: Right;
    /// What a person needs to write it.
    const WRITE: Right;

    /// The row in the path that this one hangs on, when there is one.
    fn parent(&self) -> Option<Uuid> {
        None
    }

    /// The record without the fields of [`Line::hidden`] that need a right which is not among those allowed.
    #[must_use]
    fn redacted(self, _allows: impl Fn(Right) -> bool) -> Self {
        self
    }
}

/// Work that is done with whatever record is in a table.
pub trait OfTable {
    /// What comes of it.
    type Done;

    /// Does it for rows of `R`.
    fn with<R: Registered>(self) -> Self::Done;
}

/// A record that is observed, and may be sent in a batch.
pub trait Observed: Registered {
    /// Which of them it is.
    const KIND: super::ObservationKind;
    /// What it is about: the word of that row, and the field that names it.
    const ABOUT: Parent;

    /// The row that it is about.
    fn subject(&self) -> Uuid;
    /// When it was observed first; `None` for what is only planned.
    fn at(&self) -> Option<DateTime<Utc>>;
    /// All its times.
    fn times(&mut self) -> Vec<&mut DateTime<Utc>>;
}

/// A field that holds the times of an observation.
pub(super) trait Times {
    fn first(&self) -> Option<DateTime<Utc>>;
    fn all(&mut self) -> Vec<&mut DateTime<Utc>>;
}

impl Times for DateTime<Utc> {
    fn first(&self) -> Option<DateTime<Utc>> {
        Some(*self)
    }

    fn all(&mut self) -> Vec<&mut DateTime<Utc>> {
        vec![self]
    }
}

impl Times for Vec<super::Tie> {
    fn first(&self) -> Option<DateTime<Utc>> {
        self.iter().map(|tie| tie.at).min()
    }

    fn all(&mut self) -> Vec<&mut DateTime<Utc>> {
        self.iter_mut().map(|tie| &mut tie.at).collect()
    }
}

/// The grammar of a line, and what the domain makes of it.
macro_rules! registered {
    ([] $((
        $record:ident $word:tt in $table:literal $(under $parent:literal by $field:ident)?,
        read $read:ident, write $write:ident
        $(, hides $right:ident { $($hidden:ident),+ })*
        $(, observed $(of $subject:literal by $subject_field:ident)? at $at:ident)?
        $(, archived $({ $fact:ident $column:ident })?)?
        $(, comes_back $comes_back:ident)?
    ))+) => {
        $(
            impl Registered for super::$record {
                const LINE: Line = Line {
                    word: $word,
                    table: $table,
                    parent: registered!(@parent $($parent $field)?),
                    read: Right::$read,
                    hidden: &[$((Right::$right, &[$(stringify!($hidden)),+])),*],
                    stored_as: <Self as Record>::STORED_AS,
                    comes_back: registered!(@comes_back $($comes_back)?),
                    archive: registered!(@archive $table $(, archived $({ $fact $column })?)?),
                };
                const READ: Right = Right::$read;
                const WRITE: Right = Right::$write;

                $(fn parent(&self) -> Option<Uuid> {
                    Some(self.$field)
                })?

                registered!(@redacted $($right { $($hidden),+ })*);
            }

            registered!(@observed $record [$($at)?] [$($parent $field)?]
                [$($($subject $subject_field)?)?]);
        )+

        /// All records, by their words.
        pub static RECORDS: &[Line] = &[$(<super::$record as Registered>::LINE),+];

        /// Does `work` with the record of a table; null when there is none.
        pub fn with_record_in<W: OfTable>(table: &str, work: W) -> Option<W::Done> {
            match table {
                $($table => Some(work.with::<super::$record>()),)+
                _ => None,
            }
        }
    };
    (@parent) => { None };
    (@parent $parent:literal $field:ident) => {
        Some(Parent { word: $parent, field: stringify!($field) })
    };
    (@comes_back) => { ComesBack::Written };
    (@comes_back $comes_back:ident) => { ComesBack::$comes_back };
    (@archive $table:literal) => { None };
    (@archive $table:literal, archived) => { Some(ArchiveTable::of($table)) };
    (@archive $table:literal, archived { $fact:ident $column:ident }) => {
        Some(ArchiveTable { $fact: &[stringify!($column)], ..ArchiveTable::of($table) })
    };
    (@redacted) => {};
    (@redacted $($right:ident { $($hidden:ident),+ })+) => {
        fn redacted(mut self, allows: impl Fn(Right) -> bool) -> Self {
            $(if !allows(Right::$right) {
                $(self.$hidden = None;)+
            })+
            self
        }
    };
    // What it is about is the row that it hangs on, unless the line says otherwise.
    (@observed $record:ident [] $parent:tt $subject:tt) => {};
    (@observed $record:ident [$at:ident] [$($parent:tt)+] []) => {
        registered!(@observed $record [$at] [] [$($parent)+]);
    };
    (@observed $record:ident [$at:ident] [] [$subject:literal $field:ident]) => {
        impl Observed for super::$record {
            const KIND: super::ObservationKind = super::ObservationKind::$record;
            const ABOUT: Parent = Parent { word: $subject, field: stringify!($field) };

            fn subject(&self) -> Uuid {
                self.$field
            }

            fn at(&self) -> Option<DateTime<Utc>> {
                Times::first(&self.$at)
            }

            fn times(&mut self) -> Vec<&mut DateTime<Utc>> {
                Times::all(&mut self.$at)
            }
        }
    };
}

registered_records!([registered]);

/// Hands each record to a macro, as `(type, word, table)`.
#[macro_export]
macro_rules! each_record {
    ($take:ident) => { $crate::registered_records!([$crate::each_record] @of $take); };
    ([@of $take:ident] $((
        $record:ident $word:tt in $table:literal $($rest:tt)*
    ))+) => {
        $take! { $(($crate::record::$record, $word, $table))+ }
    };
}

/// Hands each record that is observed to a macro, as `(type, kind, word, field of its times)`.
#[macro_export]
macro_rules! each_observation {
    ($take:ident) => { $crate::registered_records!([$crate::each_observation] @of $take); };
    ([@of $take:ident] $((
        $record:ident $word:tt in $table:literal $(under $parent:literal by $field:ident)?,
        read $read:ident, write $write:ident
        $(, hides $right:ident { $($hidden:ident),+ })*
        $(, observed $(of $subject:literal by $subject_field:ident)? at $at:ident)?
        $(, archived $({ $fact:ident $column:ident })?)?
        $(, comes_back $comes_back:ident)?
    ))+) => {
        $take! { $($(($crate::record::$record, $record, $word, $at))?)+ }
    };
}

/// The line of a word, be it of a record or not.
pub fn line(word: &str) -> Option<&'static Line> {
    lines().find(|line| line.word == word)
}

/// All lines, those of records first.
pub fn lines() -> impl Iterator<Item = &'static Line> {
    RECORDS.iter().chain(BESIDE)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::Buyer;
    use serde_json::json;
    use std::collections::BTreeSet;

    #[test]
    fn a_word_and_a_table_have_one_line() {
        let words: BTreeSet<&str> = lines().map(|line| line.word).collect();
        let tables: BTreeSet<&str> = lines().map(|line| line.table).collect();
        assert_eq!((words.len(), tables.len()), (lines().count(), lines().count()));
    }

    /// An archive is taken in line by line: what a row hangs on is there before it.
    #[test]
    fn a_row_hangs_on_one_of_a_line_above() {
        let mut above: Vec<&str> = Vec::new();
        for line in RECORDS {
            if let Some(parent) = line.parent {
                assert!(above.contains(&parent.word), "{}: {}", line.word, parent.word);
            }
            above.push(line.word);
        }
    }

    #[test]
    fn what_a_person_may_not_read_is_null() {
        let told = |allows: fn(Right) -> bool| {
            let buyer = json!({
                "name": "Ottilie Marsh", "joined_on": "2026-01-20", "email": "b@example.org", "note": "calls late",
            });
            let buyer: Buyer = serde_json::from_value(buyer).unwrap();
            let told = buyer.redacted(allows);
            (told.name, told.email, told.note)
        };
        let name = "Ottilie Marsh".to_owned();
        assert_eq!(told(|right| right != Right::Placing), (name.clone(), None, None));
        let known = |text: &str| Some(text.to_owned());
        assert_eq!(
            told(|right| right == Right::Placing),
            (name, known("b@example.org"), known("calls late"))
        );
    }
}
