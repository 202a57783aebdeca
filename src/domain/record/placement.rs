//! Which pup goes where, and the money.

use super::{Record, check_past_day};
use crate::{
    fault::Faults,
    law::Country,
    placement::{Currency, LedgerKind, PlacementKind, PlacementStage},
};
use catalogue::said;
use chrono::{DateTime, NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};
use uuid::Uuid;

/// The placement of one pup.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Placement {
    /// The pup.
    pub dog_id: Uuid,
    /// Who gets it; null when it is kept.
    #[serde(default)]
    pub buyer_id: Option<Uuid>,
    /// On what footing.
    pub kind: PlacementKind,
    /// How far it has come.
    pub stage: PlacementStage,
    /// Last day of a reservation; when null, so many days from now as the rule
    /// `placement.reservation_days` says.
    #[serde(default, rename = "reservation_ends_on", alias = "reserved_until")]
    pub reserved_until: Option<NaiveDate>,
    /// Day of hand-over; today when null at a placement that is handed over.
    #[serde(default)]
    pub handed_over_on: Option<NaiveDate>,
    /// Price in minor units (cents); hidden (null) from roles that do not see money.
    #[serde(default)]
    #[schema(example = 180000, minimum = 0, maximum = 100000000000i64)]
    pub price_minor: Option<i64>,
    /// Currency of the price, ISO 4217.
    #[serde(default)]
    #[schema(example = "EUR", pattern = "^[A-Z]{3}$")]
    pub currency: Option<String>,
    /// Day on which the balance is agreed to be paid.
    #[serde(default)]
    pub balance_due_on: Option<NaiveDate>,
    /// Where it will live, ISO 3166-1 alpha-2, when not in the kennel's country.
    #[serde(default)]
    #[schema(example = "CH", pattern = "^[A-Z]{2}$")]
    pub country: Option<String>,
    /// Breeding terms and other conditions.
    #[serde(default)]
    #[schema(max_length = 10000, format = "several-lines")]
    pub terms: Option<String>,
    /// Anything else.
    #[serde(default)]
    #[schema(max_length = 10000, format = "several-lines")]
    pub note: Option<String>,
}

impl Record for Placement {
    const STORED_AS: &'static [(&'static str, &'static str)] =
        &[("reserved_until", "reservation_ends_on")];

    fn check(&self, now: DateTime<Utc>, faults: &mut Faults) {
        faults.unless(self.price_minor.is_some() == self.currency.is_some(), "/currency", || {
            said!("fault-only-together-price")
        });
        if let Some(day) = self.handed_over_on {
            check_past_day(day, now, "/handed_over_on", faults);
        }
        if let Some(Err(why)) = self.country.as_deref().map(str::parse::<Country>) {
            faults.add("/country", why);
        }
        let needs_buyer = matches!(self.kind, PlacementKind::Sale);
        faults.unless(!needs_buyer || self.buyer_id.is_some(), "/buyer_id", || {
            said!("fault-missing-buyer")
        });
    }
}

impl Placement {
    /// The country that the pup will live in, when one is named.
    pub fn goes_to(&self) -> Option<Country> {
        self.country.as_deref()?.parse().ok()
    }
}

/// Which placements to list.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct PlacementFilter {
    /// Only of this pup.
    pub dog_id: Option<Uuid>,
    /// Only to this buyer.
    pub buyer_id: Option<Uuid>,
    /// Only at this stage.
    pub stage: Option<PlacementStage>,
    /// Only on this day or later.
    #[param(example = "2026-01-01")]
    pub since: Option<NaiveDate>,
    /// Only before this day.
    #[param(example = "2027-01-01")]
    pub until: Option<NaiveDate>,
}

/// An entry of a placement's account: money received or paid back, or a change of what is charged.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Payment {
    /// The placement, from the path.
    #[serde(default)]
    #[schema(read_only)]
    pub placement_id: Uuid,
    /// What it is; the price itself stands on the placement.
    pub kind: LedgerKind,
    /// Minor units (cents), always positive.
    #[schema(example = 30000, minimum = 1, maximum = 100000000000i64)]
    pub amount_minor: i64,
    /// ISO 4217; the currency of the placement's price.
    #[schema(example = "EUR", pattern = "^[A-Z]{3}$")]
    pub currency: String,
    /// Day of the payment.
    #[schema(example = "2026-05-20")]
    pub paid_on: NaiveDate,
    /// Anything else.
    #[serde(default)]
    #[schema(max_length = 10000, format = "several-lines")]
    pub note: Option<String>,
}

impl Record for Payment {
    fn check(&self, now: DateTime<Utc>, faults: &mut Faults) {
        check_past_day(self.paid_on, now, "/paid_on", faults);
        faults.unless(self.kind != LedgerKind::Price, "/kind", || said!("fault-wrong-kind-price"));
    }
}

/// Which payments to list.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct PaymentFilter {
    /// Only of this kind.
    pub kind: Option<LedgerKind>,
    /// Only on this day or later.
    #[param(example = "2026-01-01")]
    pub since: Option<NaiveDate>,
    /// Only before this day.
    #[param(example = "2027-01-01")]
    pub until: Option<NaiveDate>,
}

/// A follow-up after hand-over that was done.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct FollowUpDone {
    /// The placement, from the path.
    #[serde(default)]
    #[schema(read_only)]
    pub placement_id: Uuid,
    /// Which of the reminders.
    #[schema(example = "first_call", min_length = 1, max_length = 100)]
    pub key: String,
    /// When it was done.
    pub done_on: NaiveDate,
    /// What was heard.
    #[serde(default)]
    #[schema(max_length = 10000, format = "several-lines")]
    pub note: Option<String>,
}

impl Record for FollowUpDone {
    fn check(&self, now: DateTime<Utc>, faults: &mut Faults) {
        check_past_day(self.done_on, now, "/done_on", faults);
    }
}

/// Which follow-ups done to list.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct FollowUpDoneFilter {
    /// Only of this reminder.
    pub key: Option<String>,
    /// Only on this day or later.
    #[param(example = "2026-01-01")]
    pub since: Option<NaiveDate>,
    /// Only before this day.
    #[param(example = "2027-01-01")]
    pub until: Option<NaiveDate>,
}

/// Money that the kennel spent, for a litter or for itself.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Cost {
    /// The litter it was for; null for the kennel as a whole.
    #[serde(default)]
    pub litter_id: Option<Uuid>,
    /// What for.
    #[schema(example = "X-ray before whelping", min_length = 1, max_length = 200)]
    #[serde(rename = "purpose", alias = "what")]
    pub what: String,
    /// Minor units (cents), always positive.
    #[schema(example = 8500, minimum = 1, maximum = 100000000000i64)]
    pub amount_minor: i64,
    /// ISO 4217.
    #[schema(example = "EUR", pattern = "^[A-Z]{3}$")]
    pub currency: String,
    /// Day of the payment.
    pub paid_on: NaiveDate,
    /// Anything else.
    #[serde(default)]
    #[schema(max_length = 10000, format = "several-lines")]
    pub note: Option<String>,
}

impl Record for Cost {
    const STORED_AS: &'static [(&'static str, &'static str)] = &[("what", "purpose")];

    fn check(&self, now: DateTime<Utc>, faults: &mut Faults) {
        check_past_day(self.paid_on, now, "/paid_on", faults);
        faults.unless(self.currency.parse::<Currency>().is_ok(), "/currency", || {
            said!("fault-unknown-value-currency")
        });
    }
}

/// Which costs to list.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct CostFilter {
    /// Only for this litter.
    pub litter_id: Option<Uuid>,
    /// Only on this day or later.
    #[param(example = "2026-01-01")]
    pub since: Option<NaiveDate>,
    /// Only before this day.
    #[param(example = "2027-01-01")]
    pub until: Option<NaiveDate>,
}
