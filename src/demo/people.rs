//! Who belongs to Larkfell, and who holds which share.

use super::book::Book;
use domain::record::{Member, Role, Share};
use store::{StoreResult, people, people::Person};
use uuid::Uuid;

/// A person of the demo under a new id.
pub fn person(name: &str, email: &str) -> Person {
    Person { id: Uuid::now_v7(), name: name.to_owned(), email: email.to_owned() }
}

/// Writes the co-owner and the helper; returns the co-owner.
pub async fn load(book: &mut Book<'_>, password_hash: &str) -> StoreResult<Uuid> {
    let tobias = person("Tobias Lindqvist", "tobias@example.org");
    let pia = person("Pia Sandberg", "pia@example.org");
    for (person, role) in [(&tobias, Role::CoOwner), (&pia, Role::Helper)] {
        people::add_known(book.tx(), person, password_hash).await?;
        book.add(&Member { person_id: person.id, role }).await?;
    }
    Ok(tobias.id)
}

/// Writes the shares: Juno is shared half and half, Otter is Tobias' own.
pub(crate) async fn share(book: &mut Book<'_>, tobias: Uuid) -> StoreResult<()> {
    let maren = book.tx().scope().person_id();
    let shares = [
        ("juno", maren, 1, 2),
        ("juno", tobias, 1, 2),
        ("otter", tobias, 1, 1),
        ("bramble", maren, 1, 1),
    ];
    for (dog, person_id, numerator, denominator) in shares {
        let dog_id = book.dog(dog)?;
        book.add(&Share { dog_id, person_id, numerator, denominator, held_from: None }).await?;
    }
    Ok(())
}
