//! The kennel itself, its people and its own rules.

use super::{Record, words::words};
use crate::{
    fault::Faults,
    units::{TemperatureUnit, WeightUnit},
};
use catalogue::said;
use chrono::{DateTime, Utc};
use chrono_tz::Tz;
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};
use uuid::Uuid;

/// A kennel.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Kennel {
    /// Its name.
    #[schema(example = "Larkfell Kennel", min_length = 1, max_length = 200)]
    pub name: String,
    /// IANA time zone; days and ages are counted on its calendar.
    #[schema(example = "Europe/Berlin", max_length = 60)]
    pub time_zone: String,
    /// Whose law applies: ISO 3166 country, or country and subdivision.
    #[serde(default)]
    #[schema(example = "DE", pattern = "^[A-Z]{2}(-[A-Z0-9]{1,3})?$")]
    pub jurisdiction: Option<String>,
    /// Currency of prices, ISO 4217.
    #[serde(default = "euro")]
    #[schema(example = "EUR", pattern = "^[A-Z]{3}$")]
    pub currency: String,
    /// The bands that the kennel owns to tell pups apart, in the order in which it takes them; empty for
    /// the standard list.
    #[serde(default)]
    #[schema(example = json!(["red", "lime"]), max_items = 60)]
    pub collars: Vec<String>,
    /// The number under which the kennel's veterinarian, or an emergency clinic, can be rung at any hour.
    #[serde(default)]
    #[schema(example = "+49 30 23125 100", pattern = "^\\+?[0-9][0-9 ()/.-]{1,38}[0-9]$")]
    pub vet_phone: Option<String>,
    /// In what it reads weights: what is printed has them so.
    #[serde(default = "grams")]
    pub weight_unit: WeightUnit,
    /// In what it reads temperatures.
    #[serde(default = "celsius")]
    pub temperature_unit: TemperatureUnit,
}

fn grams() -> WeightUnit {
    WeightUnit::G
}

fn celsius() -> TemperatureUnit {
    TemperatureUnit::C
}

fn euro() -> String {
    "EUR".to_owned()
}

impl Kennel {
    /// A kennel of which no more than this is known, the rest as it is at first.
    pub fn of(
        name: String,
        time_zone: String,
        jurisdiction: Option<String>,
        currency: String,
    ) -> Self {
        Self {
            name,
            time_zone,
            jurisdiction,
            currency,
            collars: Vec::new(),
            vet_phone: None,
            weight_unit: grams(),
            temperature_unit: celsius(),
        }
    }

    /// The time zone; UTC when the stored name is no longer known.
    pub fn tz(&self) -> Tz {
        self.time_zone.parse().unwrap_or(Tz::UTC)
    }
}

/// Characters that the name of a collar can have.
const LONGEST_COLLAR: usize = 60;

impl Record for Kennel {
    fn check(&self, _now: DateTime<Utc>, faults: &mut Faults) {
        faults.unless(self.time_zone.parse::<Tz>().is_ok(), "/time_zone", || {
            said!("fault-unknown-value-time-zone")
        });
        for (index, collar) in self.collars.iter().enumerate() {
            let pointer = format!("/collars/{index}");
            let name = collar.trim();
            faults.unless(!name.is_empty(), &pointer, || {
                said!("fault-empty-name-from-to", least = 1, most = LONGEST_COLLAR)
            });
            faults.unless(name.chars().count() <= LONGEST_COLLAR, &pointer, || {
                said!("fault-too-long-name-from-to", least = 1, most = LONGEST_COLLAR)
            });
            let again = self.collars[..index].iter().any(|c| c.trim().eq_ignore_ascii_case(name));
            faults.unless(!again, &pointer, || said!("fault-twice-in-list"));
        }
    }
}

words! {
    /// What a member may do.
    Role {
        /// Everything.
        Owner = "owner",
        /// Everything about the dogs in which they hold a share, and nothing of the rest.
        CoOwner = "co_owner",
        /// Sees dogs and litters and records observations; no contact data, no money.
        Helper = "helper",
        /// Reads, without contact data and money.
        Viewer = "viewer",
    }
}

words! {
    /// A part of what a role allows, opened by an access token; reading dogs is always open.
    Area {
        /// Record what is observed.
        Observations = "observations",
        /// Enter and change dogs, heats, matings and litters.
        Breeding = "breeding",
        /// Place pups: buyers and placements.
        Placing = "placing",
        /// See and record money.
        Money = "money",
        /// Manage the kennel's plans and rules; never its people.
        Managing = "managing",
    }
}

/// Something that a role allows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Right {
    /// See dogs, litters and what is recorded of them.
    Dogs,
    /// Record what is observed: births, weights, temperatures, health events, readings.
    Observations,
    /// Enter and change dogs, heats, matings and litters.
    Breeding,
    /// Place pups: buyers and placements.
    Placing,
    /// See and record money.
    Money,
    /// Manage the kennel: its people, tokens, plans and rules.
    Managing,
}

impl Right {
    /// All of them.
    pub const ALL: [Self; 6] = [
        Self::Dogs,
        Self::Observations,
        Self::Breeding,
        Self::Placing,
        Self::Money,
        Self::Managing,
    ];

    /// Its word, as the database has it.
    pub fn as_str(self) -> &'static str {
        match self {
            Self::Dogs => "dogs",
            Self::Observations => "observations",
            Self::Breeding => "breeding",
            Self::Placing => "placing",
            Self::Money => "money",
            Self::Managing => "managing",
        }
    }
}

/// A person who belongs to the kennel.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Member {
    /// The person.
    pub person_id: Uuid,
    /// What they may do.
    pub role: Role,
}

impl Record for Member {
    fn check(&self, _now: DateTime<Utc>, _faults: &mut Faults) {}
}

/// Which members to list.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct MemberFilter {
    /// Only with this role.
    pub role: Option<Role>,
}

/// An invitation to join the kennel.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Invitation {
    /// Address of the person invited.
    #[schema(example = "wren@example.org", format = "email", min_length = 3, max_length = 254)]
    pub email: String,
    /// The role they will have.
    pub role: Role,
}

impl Record for Invitation {
    fn check(&self, _now: DateTime<Utc>, _faults: &mut Faults) {}
}

/// Which invitations to list.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct InvitationFilter {
    /// Only for this role.
    pub role: Option<Role>,
}

/// The kennel's own value for one of the rules.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct RuleOverride {
    /// Key of the rule, as listed by `GET …/rules`.
    #[schema(example = "growth.early_loss", min_length = 1, max_length = 100)]
    pub key: String,
    /// The kennel's value, in the rule's unit and range.
    #[schema(example = 0.1)]
    pub value: f64,
    /// Who set it and why.
    #[schema(example = "Our veterinarian, 2026-02-03", min_length = 1, max_length = 500)]
    pub source: String,
}

impl Record for RuleOverride {
    fn check(&self, _now: DateTime<Utc>, faults: &mut Faults) {
        let rules = crate::rules::Rules::standard();
        let set = rules.with_override(&self.key, self.value, &self.source);
        faults.extend(set.err().into_iter().collect());
    }
}

/// Which of the kennel's own rules to list.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct RuleOverrideFilter {
    /// Only this key.
    pub key: Option<String>,
}
