//! What a kennel plans with: places, people away, stock, its own tasks, and which limits it keeps.

use super::{Record, check_past_day, words::words};
use crate::{
    breeding_limits::RuleSet,
    fault::{Faults, near},
    planner::DateSpan,
    preparation::{PreparationTemplate, TemplateOverlay},
    rules::Rules,
};
use catalogue::said;
use chrono::{DateTime, NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};
use uuid::Uuid;

words! {
    /// What kind of place it is.
    PlaceKind {
        /// A room to whelp and nurse in.
        WhelpingRoom = "whelping_room",
        /// A pen.
        Pen = "pen",
        /// A run outside.
        Run = "run",
        /// Another place.
        Other = "other",
    }
}

/// A place where a dam can whelp and raise her litter.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Place {
    /// What the kennel calls it.
    #[schema(example = "Warm room", min_length = 1, max_length = 100)]
    pub name: String,
    /// What kind of place it is.
    pub kind: PlaceKind,
    /// How many litters it takes at once.
    #[serde(default = "one")]
    #[schema(example = 1, minimum = 1, maximum = 50)]
    pub capacity: i32,
    /// Days on which it cannot be used.
    #[serde(default)]
    #[schema(max_items = 100)]
    pub closed: Vec<DateSpan>,
    /// Anything else.
    #[serde(default)]
    #[schema(max_length = 10000, format = "several-lines")]
    pub note: Option<String>,
}

fn one() -> i32 {
    1
}

impl Record for Place {
    fn check(&self, _now: DateTime<Utc>, faults: &mut Faults) {
        for (index, span) in self.closed.iter().enumerate() {
            faults.unless(span.from <= span.to, &format!("/closed/{index}/last_on"), || {
                said!("fault-disordered-first-day", first_day = span.from)
            });
        }
    }
}

/// Which places to list.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct PlaceFilter {
    /// Only of this kind.
    pub kind: Option<PlaceKind>,
}

/// Days on which a member of the kennel is away.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Absence {
    /// Who: a member of the kennel.
    pub person_id: Uuid,
    /// First day away.
    #[schema(example = "2026-05-10")]
    pub from_on: NaiveDate,
    /// Last day away.
    #[schema(example = "2026-05-17")]
    pub to_on: NaiveDate,
    /// Anything else.
    #[serde(default)]
    #[schema(max_length = 10000, format = "several-lines")]
    pub note: Option<String>,
}

impl Record for Absence {
    fn check(&self, _now: DateTime<Utc>, faults: &mut Faults) {
        faults.unless(self.from_on <= self.to_on, "/to_on", || {
            said!("fault-disordered-first-day", first_day = self.from_on)
        });
    }
}

/// Which absences to list.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct AbsenceFilter {
    /// Only of this person.
    pub person_id: Option<Uuid>,
    /// Only on this day or later.
    #[param(example = "2026-01-01")]
    pub since: Option<NaiveDate>,
    /// Only before this day.
    #[param(example = "2027-01-01")]
    pub until: Option<NaiveDate>,
}

/// What is on hand of one supply.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Supply {
    /// Key of the supply in the kennel's preparation template.
    #[schema(example = "towels", min_length = 1, max_length = 100, pattern = "^[a-z0-9_]+$")]
    pub key: String,
    /// Amount, in the supply's unit.
    #[schema(example = 12.0, minimum = 0, maximum = 1000000)]
    pub on_hand: f64,
    /// Day on which it was counted; today when left out, or when the amount changes alone.
    #[serde(default)]
    #[schema(example = "2026-05-04")]
    pub counted_on: Option<NaiveDate>,
    /// Anything else.
    #[serde(default)]
    #[schema(max_length = 10000, format = "several-lines")]
    pub note: Option<String>,
}

impl Supply {
    /// The supply with the day on which it was counted: an amount that changes was counted `today`, unless
    /// another day is said with it.
    #[must_use]
    pub fn completed_on(self, before: Option<&Self>, today: NaiveDate) -> Self {
        let counted_anew = before.is_some_and(|old| {
            old.on_hand.to_bits() != self.on_hand.to_bits() && old.counted_on == self.counted_on
        });
        Self { counted_on: self.counted_on.filter(|_| !counted_anew).or(Some(today)), ..self }
    }
}

impl Record for Supply {
    fn check(&self, now: DateTime<Utc>, faults: &mut Faults) {
        if let Some(counted_on) = self.counted_on {
            check_past_day(counted_on, now, "/counted_on", faults);
        }
    }
}

/// Which supplies to list.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct SupplyFilter {
    /// Only of this key.
    pub key: Option<String>,
}

/// A task that a person wrote.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct OwnTask {
    /// What to do.
    #[schema(example = "Ask the neighbour for the big crate", min_length = 1, max_length = 200)]
    pub title: String,
    /// First day on which it can be done; null if always.
    #[serde(default)]
    pub from_on: Option<NaiveDate>,
    /// Last day on which it should be done.
    #[schema(example = "2026-05-08")]
    pub due_on: NaiveDate,
    /// The litter it is about.
    #[serde(default)]
    pub litter_id: Option<Uuid>,
    /// The dog it is about.
    #[serde(default)]
    pub dog_id: Option<Uuid>,
    /// Anything else.
    #[serde(default)]
    #[schema(max_length = 10000, format = "several-lines")]
    pub note: Option<String>,
}

impl Record for OwnTask {
    fn check(&self, _now: DateTime<Utc>, faults: &mut Faults) {
        faults.unless(self.from_on.is_none_or(|from| from <= self.due_on), "/from_on", || {
            said!("fault-disordered-last-day", last_day = self.due_on)
        });
    }
}

/// Which tasks of one's own to list.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct OwnTaskFilter {
    /// Only about this litter.
    pub litter_id: Option<Uuid>,
    /// Only about this dog.
    pub dog_id: Option<Uuid>,
    /// Only on this day or later.
    #[param(example = "2026-01-01")]
    pub since: Option<NaiveDate>,
    /// Only before this day.
    #[param(example = "2027-01-01")]
    pub until: Option<NaiveDate>,
}

/// How a kennel plans.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PlannerSettings {
    /// Name of the set of breeding limits that it keeps, of `GET …/rules/breeding-sets`.
    #[schema(example = "careful", min_length = 1, max_length = 100)]
    pub breeding_rules: String,
}

impl Default for PlannerSettings {
    fn default() -> Self {
        Self { breeding_rules: "careful".to_owned() }
    }
}

impl Record for PlannerSettings {
    fn check(&self, _now: DateTime<Utc>, faults: &mut Faults) {
        faults.unless(RuleSet::named(&self.breeding_rules).is_some(), "/breeding_rules", || {
            let names: Vec<&str> = RuleSet::all().iter().map(|set| set.name.as_str()).collect();
            let known = names.join(", ");
            match near(&self.breeding_rules, names) {
                Some(near) => {
                    said!("fault-unknown-value-rule-set-near", known = known, near = near)
                }
                None => said!("fault-unknown-value-rule-set", known = known),
            }
        });
    }
}

impl Record for TemplateOverlay {
    fn check(&self, _now: DateTime<Utc>, faults: &mut Faults) {
        let found = PreparationTemplate::standard().with(self, &Rules::standard());
        faults.extend(found.err().unwrap_or_default());
    }
}

/// No filter: a kennel has one.
#[derive(Debug, Clone, Default)]
pub struct OnlyOne;
