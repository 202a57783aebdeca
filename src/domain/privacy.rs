//! What of a buyer's data is shown, exported, erased and kept.

use super::placement::{BuyerWishes, LedgerEntry};
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
    #[schema(example = "3 entries of accounts, without their notes")]
    pub what: String,
    /// Why.
    #[schema(example = "Accounts must add up, and tax law asks for them; local law decides.")]
    pub why: String,
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
    /// Whether the buyer agrees, as of `today`, that these data are stored.
    pub fn has_consent(&self, today: NaiveDate) -> bool {
        let given = self.consented_on.filter(|on| *on <= today);
        let withdrawn = self.consent_withdrawn_on.filter(|on| *on <= today);
        // Consent given again after a withdrawal counts.
        given.is_some_and(|given| withdrawn.is_none_or(|withdrawn| withdrawn < given))
    }

    /// The record for a reader who need not see how to reach the buyer, nor how the buyer lives.
    pub fn without_contact(&self) -> Self {
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
/// changes nothing but keeps the first day. Pass account entries through [`without_note`] and
/// clear the free texts of placements as well. Local law decides what must be kept and for how
/// long.
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
    let rows = [
        (1, "the number of the record and its days".to_owned(), "Other records point to it."),
        (
            ties.placements,
            format!("{} placements: pup, terms and days", ties.placements),
            "Where a pup went is part of its record, and its chip may ask for it; local law \
             decides.",
        ),
        (
            ties.ledger_entries,
            format!("{} entries of accounts, without their notes", ties.ledger_entries),
            "Accounts must add up, and tax law asks for them; local law decides.",
        ),
        (
            ties.health_news,
            format!("{} pieces of health news, without the sender", ties.health_news),
            "They belong to the dogs and to the record of dam and sire.",
        ),
    ];
    rows.into_iter()
        .filter(|(count, ..)| *count > 0)
        .map(|(_, what, why)| KeptDatum { what, why: why.into() })
        .collect()
}

/// An account entry without its note, which may name a person; the sum stays.
pub fn without_note(entry: &LedgerEntry) -> LedgerEntry {
    LedgerEntry { note: None, ..entry.clone() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        placement::{LedgerKind, Money, add_up},
        record::Sex,
    };

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
    fn accounts_still_add_up() {
        let entry = |kind, amount_minor, note: Option<&str>| LedgerEntry {
            kind,
            amount: Money { amount_minor, currency: "EUR".parse().unwrap() },
            on: day("2026-03-01"),
            note: note.map(Into::into),
        };
        let account = [
            entry(LedgerKind::Price, 150_000, None),
            entry(LedgerKind::Payment, 150_000, Some("from Ada Example")),
        ];
        let erased: Vec<LedgerEntry> = account.iter().map(without_note).collect();
        assert_eq!(add_up(&erased), add_up(&account));
        assert!(erased.iter().all(|entry| entry.note.is_none()));
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

    #[test]
    fn consent_is_given_withdrawn_and_given_again() {
        let mut buyer = buyer();
        assert!(!buyer.has_consent(day("2025-04-30")));
        assert!(buyer.has_consent(day("2025-05-01")));
        buyer.consent_withdrawn_on = Some(day("2026-01-01"));
        assert!(buyer.has_consent(day("2025-12-31")));
        assert!(!buyer.has_consent(day("2026-01-01")));
        buyer.consented_on = Some(day("2026-02-01"));
        assert!(buyer.has_consent(day("2026-02-01")));
    }
}
