//! Whom alarms reach: what members chose, their devices, who is on duty; and the worker that rings.
//!
//! The worker belongs to no kennel. It takes a kennel by a lease ([`watches`]), looks at its alarms, keeps what
//! was told together with the rings that follow, and takes those that are due ([`outbox`]).

pub mod letters;
pub mod outbox;
pub mod watches;

use super::{
    Db, StoreError, StoreResult, Tx,
    keep::{Hooks, Seen, keep},
    kennels, schema,
    statement::statement,
};
use crate::columns::Stored;
use base64::{Engine as _, engine::general_purpose::STANDARD};
use catalogue::{Language, said};
use chrono::{DateTime, Utc};
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, OptionalExtension as _, QueryDsl as _,
    QueryableByName, sql_types::Bytea,
};
use diesel_async::RunQueryDsl as _;
use domain::{
    record::{DutyRoster, Kept, OnlyOne, PushDevice, PushKeys, RingChoices, RingWay},
    rings::next_time,
};
use security::{credentials::hash_secret, web_push::PushKey};
use serde_json::{Value, json};
use uuid::Uuid;

keep!(DutyRoster in duty_rosters { turns as json }
    sorted {}
    filter OnlyOne {});

impl Hooks for DutyRoster {
    async fn validate(&self, tx: &mut Tx, _before: Option<&Kept<Self>>) -> StoreResult<()> {
        let members = kennels::members(tx).await?;
        for (index, turn) in self.turns.iter().enumerate() {
            if !members.iter().any(|member| member.person.id == turn.person_id) {
                let pointer = format!("/turns/{index}/person_id");
                return Err(StoreError::refused(&pointer, said!("fault-not-found-member")));
            }
        }
        Ok(())
    }
}

/// What the person of the scope chose, and its version; 0 when they never did.
///
/// # Errors
/// When the database is away.
pub async fn choices(tx: &mut Tx) -> StoreResult<(i64, RingChoices)> {
    use schema::ring_choices::dsl;
    let found: Option<(i64, RingChoices)> = dsl::ring_choices
        .filter(
            dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::person_id.eq(tx.scope.person_id())),
        )
        .select((dsl::version, dsl::choices))
        .first(&mut tx.conn)
        .await
        .optional()?;
    Ok(found.unwrap_or_default())
}

/// Sets what the person of the scope chose, from the version that they have seen.
///
/// # Errors
/// [`StoreError::Stale`] when it was set meanwhile, [`StoreError::Forbidden`] for an access token.
pub async fn choose(tx: &mut Tx, seen: Seen, chosen: &RingChoices) -> StoreResult<i64> {
    use schema::ring_choices::dsl;
    tx.scope.require_person()?;
    let own = dsl::ring_choices.filter(
        dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::person_id.eq(tx.scope.person_id())),
    );
    let before: Option<i64> =
        own.select(dsl::version).for_update().first(&mut tx.conn).await.optional()?;
    seen.must_be(before.unwrap_or(0))?;
    expect_letter(tx, chosen).await?;
    if before.is_some() {
        let set = diesel::update(own).set(dsl::choices.eq(Stored(chosen)));
        return Ok(set.returning(dsl::version).get_result(&mut tx.conn).await?);
    }
    let row = (
        dsl::kennel_id.eq(tx.scope.kennel_id()),
        dsl::id.eq(Uuid::now_v7()),
        dsl::choices.eq(Stored(chosen)),
    );
    let added = diesel::insert_into(dsl::ring_choices).values(row).returning(dsl::version);
    Ok(added.get_result(&mut tx.conn).await?)
}

/// Has the next letter written at the hour that was chosen, or none any more.
async fn expect_letter(tx: &mut Tx, chosen: &RingChoices) -> StoreResult<()> {
    use schema::letters::dsl;
    let (kennel_id, person_id) = (tx.scope.kennel_id(), tx.scope.person_id());
    let own = dsl::letters.filter(dsl::kennel_id.eq(kennel_id).and(dsl::person_id.eq(person_id)));
    diesel::delete(own).execute(&mut tx.conn).await?;
    let time = chosen.letter_at.as_deref();
    if let Some(next_at) = time.and_then(|at| next_time(at, tx.scope.now(), tx.scope.tz())) {
        diesel::insert_into(dsl::letters)
            .values((dsl::kennel_id.eq(kennel_id), dsl::next_at.eq(next_at)))
            .execute(&mut tx.conn)
            .await?;
    }
    Ok(())
}

/// A device that rings, without what only its push service may know.
#[derive(Debug, Clone, diesel::Queryable)]
pub struct Device {
    /// Id.
    pub id: Uuid,
    /// What it is called.
    pub name: String,
    /// The host of its push service.
    pub host: String,
    /// When it was entered.
    pub created_at: DateTime<Utc>,
}

/// The devices of the person of the scope, oldest first.
///
/// # Errors
/// When the database is away.
pub async fn devices(tx: &mut Tx) -> StoreResult<Vec<Device>> {
    use schema::push_devices::dsl;
    Ok(dsl::push_devices
        .filter(
            dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::person_id.eq(tx.scope.person_id())),
        )
        .select((dsl::id, dsl::name, dsl::host, dsl::created_at))
        .order(dsl::id)
        .load(&mut tx.conn)
        .await?)
}

/// What the addresses and keys of a kennel's devices are sealed for.
pub(super) fn devices_of(kennel_id: Uuid) -> String {
    format!("devices of {kennel_id}")
}

/// What the mails of a kennel's invitations are sealed for: whoever reads one may come in.
pub(super) fn invitations_of(kennel_id: Uuid) -> String {
    format!("invitations of {kennel_id}")
}

/// Has an invitation mailed to the address that it is for.
///
/// # Errors
/// When the database is away.
pub async fn mail_invitation(tx: &mut Tx, invitation_id: Uuid, content: &Value) -> StoreResult<()> {
    use schema::rings::dsl;
    let kennel_id = tx.scope.kennel_id();
    let sealed = tx.vault()?.seal(&invitations_of(kennel_id), content.to_string().as_bytes())?;
    let row = (
        (dsl::kennel_id.eq(kennel_id), dsl::id.eq(Uuid::now_v7()), dsl::turn.eq(0)),
        (dsl::alarm_id.eq(invitation_id), dsl::invitation_id.eq(invitation_id)),
        (dsl::way.eq(Stored(RingWay::Mail)), dsl::due_at.eq(tx.scope.now())),
        (dsl::content.eq(json!({ "sealed": STANDARD.encode(sealed) })), dsl::patient.eq(true)),
    );
    diesel::insert_into(dsl::rings).values(row).execute(&mut tx.conn).await?;
    Ok(())
}

/// What the key that shows who sends is sealed for.
pub(super) const PUSH_KEY: &str = "key for push services";

/// Enters a device of the person of the scope, in the place of one with the same address.
///
/// # Errors
/// [`StoreError::Forbidden`] for an access token.
pub async fn add_device(tx: &mut Tx, device: &PushDevice, host: &str) -> StoreResult<Device> {
    use schema::push_devices::dsl;
    tx.scope.require_person()?;
    let hash = hash_secret(&device.endpoint);
    statement("SELECT make_room_for_device($1)")
        .bind::<Bytea, _>(&hash)
        .execute(&mut tx.conn)
        .await?;
    let PushKeys { p256dh, auth } = &device.keys;
    let secret = json!({ "endpoint": device.endpoint, "p256dh": p256dh, "auth": auth }).to_string();
    let kennel_id = tx.scope.kennel_id();
    let sealed = tx.vault()?.seal(&devices_of(kennel_id), secret.as_bytes())?;
    let row = (
        (dsl::kennel_id.eq(kennel_id), dsl::id.eq(Uuid::now_v7()), dsl::name.eq(&device.name)),
        (dsl::host.eq(host), dsl::token_hash.eq(hash), dsl::secret.eq(sealed)),
    );
    Ok(diesel::insert_into(dsl::push_devices)
        .values(row)
        .returning((dsl::id, dsl::name, dsl::host, dsl::created_at))
        .get_result(&mut tx.conn)
        .await?)
}

/// Takes a device of the person of the scope away.
///
/// # Errors
/// [`StoreError::NotFound`] when they have no such device.
pub async fn remove_device(tx: &mut Tx, id: Uuid) -> StoreResult<()> {
    use schema::push_devices::dsl;
    tx.scope.require_person()?;
    let own = dsl::push_devices.filter(
        dsl::kennel_id
            .eq(tx.scope.kennel_id())
            .and(dsl::person_id.eq(tx.scope.person_id()))
            .and(dsl::id.eq(id)),
    );
    match diesel::delete(own).execute(&mut tx.conn).await? {
        0 => Err(StoreError::NotFound),
        _ => Ok(()),
    }
}

/// Has a test ring wherever the person of the scope is rung; how many messages that makes.
///
/// # Errors
/// [`StoreError::Conflict`] when nothing rings for them.
pub async fn ring_test(
    tx: &mut Tx,
    content: impl Fn(RingWay, Language) -> Value,
) -> StoreResult<usize> {
    use schema::rings::dsl;
    tx.scope.require_person()?;
    let (_, RingChoices { ways, language, .. }) = choices(tx).await?;
    let mut targets: Vec<(RingWay, Option<Uuid>)> = Vec::new();
    if ways.contains(&RingWay::Push) {
        targets.extend(devices(tx).await?.iter().map(|one| (RingWay::Push, Some(one.id))));
    }
    if ways.contains(&RingWay::Mail) {
        targets.push((RingWay::Mail, None));
    }
    if targets.is_empty() {
        return Err(StoreError::Conflict(said!("problem-conflict-nothing-rings")));
    }
    let (kennel_id, test) = (tx.scope.kennel_id(), Uuid::now_v7());
    for (way, device_id) in &targets {
        diesel::insert_into(dsl::rings)
            .values((
                (dsl::kennel_id.eq(kennel_id), dsl::id.eq(Uuid::now_v7()), dsl::alarm_id.eq(test)),
                (dsl::turn.eq(0), dsl::way.eq(Stored(*way)), dsl::device_id.eq(device_id)),
                (dsl::due_at.eq(tx.scope.now()), dsl::content.eq(content(*way, language))),
            ))
            .execute(&mut tx.conn)
            .await?;
    }
    Ok(targets.len())
}

/// The key by which push services know this service; made at the first call.
///
/// # Errors
/// When the database is away, or the key does not open.
pub async fn push_key(db: &Db) -> StoreResult<PushKey> {
    #[derive(QueryableByName)]
    struct Row {
        #[diesel(sql_type = Bytea)]
        sealed: Vec<u8>,
    }
    let vault = db.vault()?;
    let fresh = vault.seal(PUSH_KEY, &PushKey::fresh())?;
    let row: Row = statement("SELECT push_key($1) AS sealed")
        .bind::<Bytea, _>(fresh)
        .get_result(&mut db.connection().await?)
        .await?;
    let bytes = vault.open(PUSH_KEY, &row.sealed)?;
    PushKey::of(&bytes).map_err(|error| StoreError::Internal(error.to_string()))
}
