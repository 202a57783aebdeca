//! A batch is called back: which dogs got it, and where they are.

use super::plan::HealthKind;
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;

/// Where a dog is that got something.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Whereabouts {
    /// It lives here.
    Here,
    /// It has gone to a new home.
    Gone,
    /// It lives elsewhere.
    Elsewhere,
    /// It is dead.
    Dead,
}

/// A dose that a dog got, and whom to tell of it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct RecalledDog {
    /// The dog.
    pub dog_id: Uuid,
    /// Its name or collar.
    #[schema(example = "Juno")]
    pub dog_name: Option<String>,
    /// Its chip.
    #[schema(example = "276098100123456")]
    pub chip_number: Option<String>,
    /// Where it is.
    pub whereabouts: Whereabouts,
    /// Its new owner, for those who may see buyers.
    pub buyer_id: Option<Uuid>,
    /// The health event.
    pub event_id: Uuid,
    /// What was done.
    pub kind: HealthKind,
    /// The day on the kennel's calendar.
    pub given_on: NaiveDate,
    /// The product, as it was written down.
    #[schema(example = "wormer paste")]
    pub product: Option<String>,
    /// The batch, as it was written down.
    #[schema(example = "B2291")]
    pub batch: String,
    /// When it expired.
    pub expires_on: Option<NaiveDate>,
    /// Who gave it.
    #[schema(example = "Dr Ilse Brandt")]
    pub given_by: Option<String>,
}

/// Every dog that got a batch.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct BatchRecall {
    /// The batch that was asked for.
    #[schema(example = "B2291")]
    pub batch: String,
    /// The product that it was narrowed to.
    pub product: Option<String>,
    /// Each dose: dogs that live here first, then those that have gone, then the others.
    pub doses: Vec<RecalledDog>,
    /// How many dogs that are.
    #[schema(example = 6)]
    pub dogs: usize,
    /// Doses of which no batch was written down, and which might be of it: of the product that was asked for,
    /// or of one that the found doses name.
    #[schema(example = 0)]
    pub without_batch: usize,
}

/// A batch number as it is compared: letters and digits alone, whatever their case.
fn spelled(batch: &str) -> String {
    batch.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_uppercase).collect()
}

fn is_product(product: Option<&str>, wanted: &str) -> bool {
    product.is_some_and(|product| product.to_lowercase().contains(&wanted.trim().to_lowercase()))
}

/// The doses of a batch among `given`: those with its number, however it was spaced or cased, and of a
/// product whose name holds `product` or was not written down. `without_batch` are the products of doses
/// whose batch nobody wrote down.
pub fn recall(
    batch: &str,
    product: Option<&str>,
    given: Vec<RecalledDog>,
    without_batch: &[Option<String>],
) -> BatchRecall {
    let wanted = spelled(batch);
    let of_product = |dose: &RecalledDog| {
        product.is_none_or(|wanted| {
            dose.product.is_none() || is_product(dose.product.as_deref(), wanted)
        })
    };
    let mut doses: Vec<RecalledDog> = given
        .into_iter()
        .filter(|dose| !wanted.is_empty() && spelled(&dose.batch) == wanted && of_product(dose))
        .collect();
    doses.sort_by(|a, b| {
        let key = |dose: &RecalledDog| (dose.whereabouts, dose.given_on);
        key(a).cmp(&key(b)).then_with(|| (&a.dog_name, a.dog_id).cmp(&(&b.dog_name, b.dog_id)))
    });
    let mut dogs: Vec<Uuid> = doses.iter().map(|dose| dose.dog_id).collect();
    dogs.sort_unstable();
    dogs.dedup();
    let may_be = |of: &&Option<String>| match (of, product) {
        (Some(of), Some(wanted)) => is_product(Some(of), wanted),
        (Some(of), None) => doses.iter().any(|dose| {
            dose.product.as_ref().is_some_and(|found| found.to_lowercase() == of.to_lowercase())
        }),
        (None, _) => false,
    };
    let without_batch = without_batch.iter().filter(may_be).count();
    BatchRecall {
        batch: batch.trim().to_owned(),
        product: product.map(|product| product.trim().to_owned()),
        dogs: dogs.len(),
        doses,
        without_batch,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn dose(n: u128, batch: &str, product: Option<&str>, whereabouts: Whereabouts) -> RecalledDog {
        RecalledDog {
            dog_id: Uuid::from_u128(n),
            dog_name: Some(format!("Dog {n}")),
            chip_number: None,
            whereabouts,
            buyer_id: None,
            event_id: Uuid::from_u128(100 + n),
            kind: HealthKind::Vaccination,
            given_on: "2026-03-01".parse().unwrap(),
            product: product.map(str::to_owned),
            batch: batch.to_owned(),
            expires_on: None,
            given_by: None,
        }
    }

    #[test]
    fn a_batch_is_found_however_it_was_written() {
        let given = vec![
            dose(3, "B2291", Some("Vax one"), Whereabouts::Dead),
            dose(1, "b-2291", Some("VAX ONE"), Whereabouts::Gone),
            dose(2, "B 2291", None, Whereabouts::Here),
            dose(4, "B22910", Some("Vax one"), Whereabouts::Here),
            dose(5, "B2291", Some("Paste"), Whereabouts::Here),
        ];
        let ids = |product| {
            let found = recall(" b2291 ", product, given.clone(), &[]);
            let ids = found.doses.iter().map(|dose| dose.dog_id.as_u128());
            (ids.collect::<Vec<_>>(), found.dogs)
        };
        assert_eq!(ids(None), (vec![2, 5, 1, 3], 4));
        assert_eq!(ids(Some("vax")), (vec![2, 1, 3], 3));
        assert_eq!(recall("-", None, given, &[]).dogs, 0);
    }

    #[test]
    fn a_dog_with_two_doses_is_one_dog_and_doses_without_a_batch_are_counted() {
        let given = vec![
            dose(1, "X1", Some("Vax one"), Whereabouts::Here),
            RecalledDog { event_id: Uuid::nil(), ..dose(1, "X1", None, Whereabouts::Here) },
        ];
        let unknown = [Some("vax ONE".to_owned()), Some("Paste".to_owned()), None];
        let found = recall("X1", None, given, &unknown);
        assert_eq!((found.doses.len(), found.dogs, found.without_batch), (2, 1, 1));
        assert_eq!(recall("X1", Some("paste"), vec![], &unknown).without_batch, 1);
    }
}
