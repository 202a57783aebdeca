//! What of a buyer's data is shown, exported, erased and kept.

use super::placement::BuyerWishes;
use catalogue::{Text, said};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;

/// The name that stands in the place of an erased one.
pub const ERASED_NAME: &str = "(erased)";

/// What a kennel keeps of a buyer.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct BuyerPersonalData {
    /// The buyer.
    pub buyer_id: Uuid,
    /// Name.
    #[schema(example = "Ada Example")]
    pub name: String,
    /// E-mail address.
    #[schema(example = "ada@example.org")]
    pub email: Option<String>,
    /// Telephone number.
    pub phone: Option<String>,
    /// Postal address.
    pub address: Option<String>,
    /// Who lives there: children, other animals, garden.
    pub household: Option<String>,
    /// What came of the talks.
    pub screening: Option<String>,
    /// Anything else.
    pub note: Option<String>,
    /// What is wished for.
    pub wishes: BuyerWishes,
    /// Since when on the waiting list.
    pub joined_on: Option<NaiveDate>,
    /// When the buyer agreed that this is stored.
    pub consented_on: Option<NaiveDate>,
    /// When the buyer took that back.
    pub consent_withdrawn_on: Option<NaiveDate>,
    /// When the personal data were erased.
    pub erased_on: Option<NaiveDate>,
}

/// What hangs on a buyer and does not go with the personal data.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, ToSchema)]
pub struct BuyerTies {
    /// Placements of pups.
    #[schema(example = 1)]
    pub placements: u32,
    /// Entries of accounts.
    #[schema(example = 3)]
    pub ledger_entries: u32,
    /// Health news of dogs.
    #[schema(example = 2)]
    pub health_news: u32,
}

/// Something that is kept after an erasure, and why.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct KeptDatum {
    /// What.
    #[serde(rename = "data", alias = "what")]
    #[schema(value_type = String, example = "3 entries of accounts, without their notes")]
    pub what: Text,
    /// Why.
    #[schema(
        value_type = String,
        example = "Accounts must add up, and tax law asks for them; local law decides."
    )]
    pub why: Text,
}

/// A record after its erasure, and what was done.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct BuyerErasure {
    /// The record as it is to be kept.
    pub record: BuyerPersonalData,
    /// The fields that were emptied.
    #[schema(example = json!(["name", "email"]))]
    pub erased: Vec<String>,
    /// What is kept.
    pub kept: Vec<KeptDatum>,
}

impl BuyerPersonalData {
    /// The record for a reader who need not see how to reach the buyer, nor how the buyer lives.
    pub(crate) fn without_contact(&self) -> Self {
        Self {
            email: None,
            phone: None,
            address: None,
            household: None,
            screening: None,
            note: None,
            ..self.clone()
        }
    }
}

/// Erases a buyer's personal data and keeps what accounts and pedigrees rest on.
///
/// The id, the days, the placements, the sums and the health news of dogs stay, so that no account
/// and no pedigree breaks; name, contact, household, screening, notes and wishes go. Erasing twice
/// changes nothing but keeps the first day. The database takes the notes of account entries and
/// the free texts of placements beside. Local law decides what must be kept and for how long.
pub fn erase(record: &BuyerPersonalData, ties: BuyerTies, on: NaiveDate) -> BuyerErasure {
    let emptied = [
        ("name", record.name != ERASED_NAME),
        ("email", record.email.is_some()),
        ("phone", record.phone.is_some()),
        ("address", record.address.is_some()),
        ("household", record.household.is_some()),
        ("screening", record.screening.is_some()),
        ("note", record.note.is_some()),
        ("wishes", record.wishes != BuyerWishes::default()),
    ];
    let erased = emptied.into_iter().filter(|(_, full)| *full).map(|(name, _)| name.to_owned());
    BuyerErasure {
        record: BuyerPersonalData {
            name: ERASED_NAME.into(),
            wishes: BuyerWishes::default(),
            erased_on: record.erased_on.or(Some(on)),
            ..record.without_contact()
        },
        erased: erased.collect(),
        kept: kept(ties),
    }
}

fn kept(ties: BuyerTies) -> Vec<KeptDatum> {
    let BuyerTies { placements, ledger_entries, health_news } = ties;
    let rows = [
        (1, said!("erasure-keeps-record"), said!("erasure-keeps-record-why")),
        (
            placements,
            said!("erasure-keeps-placements", count = placements),
            said!("erasure-keeps-placements-why"),
        ),
        (
            ledger_entries,
            said!("erasure-keeps-accounts", count = ledger_entries),
            said!("erasure-keeps-accounts-why"),
        ),
        (
            health_news,
            said!("erasure-keeps-news", count = health_news),
            said!("erasure-keeps-news-why"),
        ),
    ];
    let kept = rows.into_iter().filter(|(count, ..)| *count > 0);
    kept.map(|(_, what, why)| KeptDatum { what, why }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::Sex;
    use catalogue::{Language, speaking};

    fn day(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    fn buyer() -> BuyerPersonalData {
        BuyerPersonalData {
            buyer_id: Uuid::from_u128(1),
            name: "Ada Example".into(),
            email: Some("ada@example.org".into()),
            phone: Some("+00 000 5550100".into()),
            address: Some("1 Example Road".into()),
            household: Some("two children named Bo and Cy".into()),
            screening: Some("visited, good".into()),
            note: Some("met through Dee Example".into()),
            wishes: BuyerWishes { sex: Some(Sex::Female), ..Default::default() },
            joined_on: Some(day("2025-05-01")),
            consented_on: Some(day("2025-05-01")),
            consent_withdrawn_on: None,
            erased_on: None,
        }
    }

    #[test]
    fn nothing_of_the_person_is_left() {
        let ties = BuyerTies { placements: 1, ledger_entries: 3, health_news: 0 };
        let erasure = erase(&buyer(), ties, day("2026-03-01"));
        let text = serde_json::to_string(&erasure.record).unwrap();
        for trace in ["Ada", "example.org", "555", "Road", "children", "visited", "Dee", "female"] {
            assert!(!text.contains(trace), "{trace} in {text}");
        }
        assert_eq!(erasure.erased.len(), 8);
        assert_eq!(erasure.kept.len(), 3);
        assert_eq!(erasure.record.buyer_id, buyer().buyer_id);
        assert_eq!(erasure.record.joined_on, buyer().joined_on);
        let again = erase(&erasure.record, ties, day("2026-04-01"));
        assert_eq!(again.record, erasure.record);
        assert!(again.erased.is_empty());
    }

    #[test]
    fn one_and_several_are_counted_as_the_language_does() {
        let whats = |ledger_entries| {
            let ties = BuyerTies { placements: 1, ledger_entries, health_news: 0 };
            kept(ties).into_iter().map(|kept| kept.what.to_string()).collect::<Vec<_>>()
        };
        assert_eq!(whats(3)[2], "3 entries of accounts, without their notes");
        speaking(Language::German, || {
            assert_eq!(whats(3)[1], "eine Abgabe: Welpe, Bedingungen und Tage");
            assert_eq!(whats(3)[2], "3 Buchungen, ohne ihre Notizen");
            assert_eq!(whats(1)[2], "eine Buchung, ohne ihre Notiz");
        });
    }

    #[test]
    fn a_helper_sees_the_name_and_no_way_to_reach_the_buyer() {
        let seen = buyer().without_contact();
        assert_eq!((seen.name.as_str(), &seen.wishes), ("Ada Example", &buyer().wishes));
        let text = serde_json::to_string(&seen).unwrap();
        for trace in ["example.org", "555", "Road", "children", "visited", "Dee"] {
            assert!(!text.contains(trace), "{trace}");
        }
    }
}
