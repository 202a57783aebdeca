//! The demo: an invented kennel, loaded once, with dates relative to today so that it is alive.
//!
//! Everything is written through the store as a client would write it, in one transaction a kennel:
//! a load that breaks off leaves nothing behind, and the next start does it whole. What people
//! write afterwards is theirs: a kennel whose owner has a login is not touched again.

mod births;
mod book;
mod booklet;
mod calendar;
mod genotypes;
mod greywether;
mod growth;
mod health;
mod heats;
mod litters;
mod pedigree;
mod people;
mod screening;
mod stock;
mod waiting_list;

use book::Book;
use chrono::{DateTime, Utc};
use domain::record::Kennel;
use security::credentials;
use store::{Db, StoreError, StoreResult, accounts, kennels, people::Person, scope};

/// Password of every demo login.
pub const PASSWORD: &str = "larkfell-demo-2026";

/// The demo logins and what each may do.
pub const LOGINS: &[(&str, &str)] = &[
    ("maren@example.org", "owner"),
    ("tobias@example.org", "co-owner with half of one dam and a dog of his own"),
    ("pia@example.org", "helper"),
    ("ines@example.org", "owner of another kennel"),
];

/// Loads the demo kennels, unless they are there already.
///
/// # Errors
/// When the database is away, or an address of the demo belongs to somebody else.
pub async fn load(db: &Db, now: DateTime<Utc>) -> StoreResult<()> {
    let own = |text: &str| text.to_owned();
    let law = Some(own("DE"));
    let larkfell = Kennel::of(own("Larkfell Kennel"), own("Europe/Berlin"), law, own("EUR"));
    let larkfell = Kennel { vet_phone: Some(own("+49 30 23125 100")), ..larkfell };
    let maren = people::person("Maren Holt", "maren@example.org");
    found(db, now, &maren, &larkfell, async |book, hash| load_larkfell(book, hash).await).await?;
    let ines = people::person("Ines Calloway", "ines@example.org");
    found(db, now, &ines, &greywether::kennel(), async |book, _| greywether::load(book).await).await
}

/// Founds a kennel with its owner and fills it, all in one transaction, unless the owner is there.
async fn found(
    db: &Db,
    now: DateTime<Utc>,
    owner: &Person,
    kennel: &Kennel,
    fill: impl AsyncFnOnce(&mut Book<'_>, &str) -> StoreResult<()>,
) -> StoreResult<()> {
    if accounts::by_email(db, &owner.email).await?.is_some() {
        return Ok(());
    }
    let hash = credentials::hash_password(PASSWORD)
        .map_err(|error| StoreError::Internal(error.to_string()))?;
    let scope = scope::founding_at_upkeep(owner.id, kennel, now);
    let done = db
        .within(&scope, async |tx| {
            store::people::add_known(tx, owner, &hash).await?;
            kennels::found(tx).await?;
            fill(&mut Book::new(tx, now), &hash).await
        })
        .await;
    match done {
        // Another instance that started at the same moment was first.
        Err(StoreError::Conflict(_)) if accounts::by_email(db, &owner.email).await?.is_some() => {
            Ok(())
        }
        done => done,
    }
}

async fn load_larkfell(book: &mut Book<'_>, password_hash: &str) -> StoreResult<()> {
    let tobias = people::load(book, password_hash).await?;
    pedigree::load(book).await?;
    people::share(book, tobias).await?;
    litters::load(book).await?;
    stock::load(book).await?;
    heats::load(book).await?;
    heats::plan_mating(book).await?;
    health::load(book).await?;
    genotypes::load(book).await?;
    screening::load(book).await?;
    waiting_list::load(book).await?;
    booklet::load(book).await
}
