//! What a buyer wishes for, and which pup meets it.

use crate::{
    fault::{Fault, Faults},
    record::Sex,
};
use catalogue::said;
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;

/// One wish of a buyer.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, ToSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum WishKind {
    /// The sex.
    Sex,
    /// The colour.
    Colour,
    /// What the dog is for.
    Purpose,
    /// The litter.
    Litter,
    /// When it can come.
    Date,
}

/// What a buyer wishes for; `null` is no wish.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields, default)]
pub struct BuyerWishes {
    /// Sex.
    pub sex: Option<Sex>,
    /// Colour, in the kennel's words.
    #[schema(example = "black", min_length = 1, max_length = 100)]
    pub colour: Option<String>,
    /// What the dog is for, in the kennel's words.
    #[schema(example = "companion", min_length = 1, max_length = 100)]
    pub purpose: Option<String>,
    /// A certain litter.
    pub litter_id: Option<Uuid>,
    /// First day on which the pup may come.
    pub from_on: Option<NaiveDate>,
    /// Last day on which the pup may come.
    pub until_on: Option<NaiveDate>,
    /// The wishes without which the buyer takes no pup.
    #[schema(max_items = 5)]
    pub must: Vec<WishKind>,
}

/// A pup that is still free.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct FreePup {
    /// The pup.
    pub dog_id: Uuid,
    /// Its name or collar.
    #[schema(example = "Red collar")]
    pub name: String,
    /// Its litter.
    pub litter_id: Option<Uuid>,
    /// Its sex.
    pub sex: Option<Sex>,
    /// Its colour.
    #[schema(example = "black")]
    pub colour: Option<String>,
    /// What the kennel finds it suited for.
    #[schema(example = json!(["companion"]))]
    pub suited_for: Vec<String>,
    /// The first day on which it can go.
    pub ready_on: Option<NaiveDate>,
}

/// How the wishes of a buyer fare with one pup.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize, ToSchema)]
pub struct WishesFare {
    /// Met.
    pub met: Vec<WishKind>,
    /// Not met.
    pub unmet: Vec<WishKind>,
    /// What is not recorded of the pup.
    pub unknown: Vec<WishKind>,
}

impl BuyerWishes {
    /// Checks the wishes.
    ///
    /// # Errors
    /// Every fault: a text that is empty or too long, days in the wrong order, a must that is no
    /// wish.
    pub fn check(&self) -> Result<(), Vec<Fault>> {
        let mut faults = Faults::new();
        for (at, text) in [("/colour", &self.colour), ("/purpose", &self.purpose)] {
            let length = text.as_ref().map(|text| text.trim().chars().count());
            faults.unless(length.is_none_or(|n| (1..=100).contains(&n)), at, || match length {
                Some(0) => said!("fault-empty-wish", most = 100),
                _ => said!("fault-too-long-wish", most = 100),
            });
        }
        if let (Some(from), Some(until)) = (self.from_on, self.until_on) {
            faults.unless(from <= until, "/until_on", || {
                said!("fault-disordered-wish", from_on = from)
            });
        }
        for (index, wish) in self.must.iter().enumerate() {
            faults.unless(self.kinds().contains(wish), &format!("/must/{index}"), || {
                said!("fault-only-together-must")
            });
        }
        faults.into_result()
    }

    /// The wishes there are.
    pub fn kinds(&self) -> Vec<WishKind> {
        let dated = self.from_on.is_some() || self.until_on.is_some();
        [
            (WishKind::Sex, self.sex.is_some()),
            (WishKind::Colour, self.colour.is_some()),
            (WishKind::Purpose, self.purpose.is_some()),
            (WishKind::Litter, self.litter_id.is_some()),
            (WishKind::Date, dated),
        ]
        .into_iter()
        .filter_map(|(kind, wished)| wished.then_some(kind))
        .collect()
    }

    /// How the wishes fare with a pup. Texts are compared without regard to case and outer blanks.
    pub fn with(&self, pup: &FreePup) -> WishesFare {
        let mut fare = WishesFare::default();
        for kind in self.kinds() {
            match self.one(kind, pup) {
                Some(true) => fare.met.push(kind),
                Some(false) => fare.unmet.push(kind),
                None => fare.unknown.push(kind),
            }
        }
        fare
    }

    /// Whether a wish is met; `None` when it is not recorded of the pup.
    fn one(&self, kind: WishKind, pup: &FreePup) -> Option<bool> {
        let same = |a: &str, b: &str| a.trim().to_lowercase() == b.trim().to_lowercase();
        match kind {
            WishKind::Sex => pup.sex.map(|sex| Some(sex) == self.sex),
            WishKind::Colour => {
                let wished = self.colour.as_deref().unwrap_or_default();
                pup.colour.as_deref().map(|colour| same(colour, wished))
            }
            WishKind::Purpose => {
                let wished = self.purpose.as_deref().unwrap_or_default();
                let suited = pup.suited_for.iter().any(|purpose| same(purpose, wished));
                (!pup.suited_for.is_empty()).then_some(suited)
            }
            WishKind::Litter => pup.litter_id.map(|litter| Some(litter) == self.litter_id),
            WishKind::Date => pup.ready_on.map(|on| {
                self.from_on.is_none_or(|from| from <= on)
                    && self.until_on.is_none_or(|until| on <= until)
            }),
        }
    }

    /// Whether the buyer takes the pup: everything that must be is met, and known to be.
    pub(crate) fn accepts(&self, fare: &WishesFare) -> bool {
        self.must.iter().all(|must| fare.met.contains(must))
    }
}
