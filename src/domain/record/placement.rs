//! Which pup goes where, and the money.

use super::{Record, check_past_day, words::words};
use crate::domain::fault::Faults;
use chrono::{DateTime, NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};
use uuid::Uuid;

words! {
    /// On what footing a pup is placed.
    PlacementKind {
        /// Sold.
        Sale = "sale",
        /// Retained in the kennel.
        Kept = "kept",
        /// Within the family.
        Family = "family",
        /// With a co-owner.
        CoOwner = "co_owner",
        /// Comes back to the kennel.
        Return = "return",
    }
}

words! {
    /// How far a placement has come.
    PlacementStage {
        /// Offered, not yet promised.
        Offered = "offered",
        /// Promised: nobody else can have this pup.
        Reserved = "reserved",
        /// Gone to its home.
        HandedOver = "handed_over",
        /// Given up before hand-over.
        Withdrawn = "withdrawn",
        /// Came back after hand-over.
        Returned = "returned",
    }
}

impl PlacementStage {
    /// Whether a placement may go on from this stage to `next`.
    pub fn may_become(self, next: Self) -> bool {
        use PlacementStage::{HandedOver, Offered, Reserved, Returned, Withdrawn};
        self == next
            || matches!(
                (self, next),
                (Offered, Reserved | Withdrawn)
                    | (Reserved, HandedOver | Withdrawn | Offered)
                    | (HandedOver, Returned)
            )
    }
}

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
    /// Day on which a reservation lapses.
    #[serde(default)]
    pub reserved_until: Option<NaiveDate>,
    /// Day of hand-over.
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
    /// Breeding terms and other conditions.
    #[serde(default)]
    #[schema(max_length = 10000)]
    pub terms: Option<String>,
    /// Anything else.
    #[serde(default)]
    #[schema(max_length = 10000)]
    pub note: Option<String>,
}

impl Placement {
    /// The placement without money, for roles that need not see it.
    pub fn without_money(self) -> Self {
        Self { price_minor: None, currency: None, terms: None, note: None, ..self }
    }
}

impl Record for Placement {
    fn check(&self, now: DateTime<Utc>, faults: &mut Faults) {
        faults.unless(self.price_minor.is_some() == self.currency.is_some(), "/currency", || {
            "goes with price_minor; give both or neither".to_owned()
        });
        if let Some(day) = self.handed_over_on {
            check_past_day(day, now, "/handed_over_on", faults);
        }
        let gone = matches!(self.stage, PlacementStage::HandedOver | PlacementStage::Returned);
        faults.unless(!gone || self.handed_over_on.is_some(), "/handed_over_on", || {
            format!("is missing; a placement that is {} has its day", self.stage)
        });
        let needs_buyer = matches!(self.kind, PlacementKind::Sale);
        faults.unless(!needs_buyer || self.buyer_id.is_some(), "/buyer_id", || {
            "is missing; a sale has a buyer".to_owned()
        });
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
}

words! {
    /// What a payment is.
    PaymentKind {
        /// Paid ahead.
        Deposit = "deposit",
        /// Paid.
        Payment = "payment",
        /// Paid back.
        Refund = "refund",
    }
}

/// Money received for a placement, or paid back.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Payment {
    /// The placement, from the path.
    #[serde(default)]
    #[schema(read_only)]
    pub placement_id: Uuid,
    /// What it is.
    pub kind: PaymentKind,
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
    #[schema(max_length = 10000)]
    pub note: Option<String>,
}

impl Record for Payment {
    fn check(&self, now: DateTime<Utc>, faults: &mut Faults) {
        check_past_day(self.paid_on, now, "/paid_on", faults);
    }
}

/// Which payments to list.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct PaymentFilter {
    /// Only of this kind.
    pub kind: Option<PaymentKind>,
}
