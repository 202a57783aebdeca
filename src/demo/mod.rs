//! The demo: an invented kennel, loaded once, with dates relative to today so that it is alive.

use crate::{
    credentials,
    domain::record::Kennel,
    store::{Db, StoreError, StoreResult, kennels, people},
};
use chrono::{DateTime, Utc};

/// Password of every demo login.
pub const PASSWORD: &str = "larkfell-demo-2026";

/// The demo logins and what each may do.
pub const LOGINS: &[(&str, &str)] = &[
    ("maren@example.org", "owner"),
    ("tobias@example.org", "co-owner with half of one dam"),
    ("pia@example.org", "helper"),
];

/// Loads the demo kennel, unless it is there already.
///
/// # Errors
/// When the database is away.
pub async fn load(db: &Db, _now: DateTime<Utc>) -> StoreResult<()> {
    if people::by_email(db, "maren@example.org").await?.is_some() {
        return Ok(());
    }
    let hash = credentials::hash_password(PASSWORD)
        .map_err(|error| StoreError::Internal(error.to_string()))?;
    let maren = people::add(db, "Maren Holt", "maren@example.org", &hash).await?;
    let kennel = Kennel {
        name: "Larkfell Kennel".to_owned(),
        time_zone: "Europe/Berlin".to_owned(),
        jurisdiction: Some("DE".to_owned()),
        currency: "EUR".to_owned(),
    };
    let scope = people::founding_scope(maren.id, &kennel);
    db.within(&scope, async |tx| kennels::found(tx).await).await?;
    Ok(())
}
