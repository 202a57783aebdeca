//! What statements between co-owners are made of.
//!
//! Read by functions of the database that look past the walls, and tell of dogs in which somebody held a share then
//! (`migrations/functions/co_ownership.sql`): nobody but [`domain::co_ownership`] gets to see it whole.

use super::{StoreError, StoreResult, Tx, scope::Right, statement::statement};
use catalogue::said;
use chrono::NaiveDate;
use diesel::{
    QueryableByName,
    sql_types::{BigInt, Bool, Date, Integer, Nullable, Text, Uuid as SqlUuid},
};
use diesel_async::RunQueryDsl as _;
use domain::{
    co_ownership::{
        BornLitter, BornPup, CoOwnership, Holder, Holding, MoneyEntry, MoneyEntryKind,
        StatementSpan,
    },
    placement::Money,
};
use uuid::Uuid;

/// Whose statement a person may read: their own, and that of every holder who sees all of the kennel's money.
///
/// # Errors
/// [`StoreError::Forbidden`] for another's, [`StoreError::NotFound`] for somebody who never belonged to the kennel.
pub async fn holder(tx: &mut Tx, holder_id: Uuid) -> StoreResult<Holder> {
    tx.scope.require(Right::Money)?;
    if !tx.scope.sees_all_dogs() && holder_id != tx.scope.person_id() {
        return Err(StoreError::Forbidden(said!("problem-forbidden-statement")));
    }
    if holder_id == tx.scope.kennel_id() {
        return Ok(Holder::Kennel);
    }
    #[derive(QueryableByName)]
    struct Known {
        #[diesel(sql_type = Bool)]
        known: bool,
    }
    let asked: Known = statement(
        "SELECT EXISTS (SELECT FROM kennel_people WHERE kennel_id = $1 AND person_id = $2) AS known",
    )
    .bind::<SqlUuid, _>(tx.scope.kennel_id())
    .bind::<SqlUuid, _>(holder_id)
    .get_result(&mut tx.conn)
    .await?;
    if asked.known { Ok(Holder::Person(holder_id)) } else { Err(StoreError::NotFound) }
}

/// The only holder whose sums a person may read; none for who may read those of all.
pub fn only_holder(tx: &Tx) -> Option<Uuid> {
    (!tx.scope.sees_all_dogs()).then(|| tx.scope.person_id())
}

/// All that the statements of these days rest on.
///
/// # Errors
/// When the role does not see money.
pub async fn known(tx: &mut Tx, span: StatementSpan) -> StoreResult<CoOwnership> {
    tx.scope.require(Right::Money)?;
    let holdings = holdings(tx).await?;
    let entries = entries(tx, span).await?;
    Ok(CoOwnership { holdings, entries, litters: litters(tx, span).await? })
}

#[derive(QueryableByName)]
struct HoldingRow {
    #[diesel(sql_type = SqlUuid)]
    dog_id: Uuid,
    #[diesel(sql_type = SqlUuid)]
    person_id: Uuid,
    #[diesel(sql_type = Integer)]
    numerator: i32,
    #[diesel(sql_type = Integer)]
    denominator: i32,
    #[diesel(sql_type = Nullable<Date>)]
    held_from: Option<NaiveDate>,
    #[diesel(sql_type = Nullable<Date>)]
    held_until: Option<NaiveDate>,
}

async fn holdings(tx: &mut Tx) -> StoreResult<Vec<Holding>> {
    let rows: Vec<HoldingRow> =
        statement("SELECT * FROM shares_of_statements()").load(&mut tx.conn).await?;
    let holding = |row: HoldingRow| {
        let HoldingRow { dog_id, person_id, numerator, denominator, held_from, held_until } = row;
        Holding { dog_id, person_id, numerator, denominator, held_from, held_until }
    };
    Ok(rows.into_iter().map(holding).collect())
}

#[derive(QueryableByName)]
struct EntryRow {
    #[diesel(sql_type = SqlUuid)]
    id: Uuid,
    #[diesel(sql_type = Text)]
    kind: String,
    #[diesel(sql_type = BigInt)]
    amount_minor: i64,
    #[diesel(sql_type = Text)]
    currency: String,
    #[diesel(sql_type = Date)]
    paid_on: NaiveDate,
    #[diesel(sql_type = Nullable<SqlUuid>)]
    placement_id: Option<Uuid>,
    #[diesel(sql_type = Nullable<SqlUuid>)]
    litter_id: Option<Uuid>,
    #[diesel(sql_type = Nullable<SqlUuid>)]
    dog_id: Option<Uuid>,
    #[diesel(sql_type = Nullable<SqlUuid>)]
    dam_id: Option<Uuid>,
    #[diesel(sql_type = Nullable<Text>)]
    about: Option<String>,
}

async fn entries(tx: &mut Tx, span: StatementSpan) -> StoreResult<Vec<MoneyEntry>> {
    let rows: Vec<EntryRow> = statement("SELECT * FROM money_of_statements($1, $2)")
        .bind::<Date, _>(span.first_on)
        .bind::<Date, _>(span.last_on)
        .load(&mut tx.conn)
        .await?;
    let entry = |row: EntryRow| {
        let kind: MoneyEntryKind = row
            .kind
            .parse()
            .map_err(|_| StoreError::Internal(format!("{} is no kind of entry", row.kind)))?;
        let currency = row
            .currency
            .parse()
            .map_err(|_| StoreError::Internal(format!("{} is no currency", row.currency)))?;
        Ok(MoneyEntry {
            id: row.id,
            kind,
            on: row.paid_on,
            amount: Money { amount_minor: row.amount_minor, currency },
            placement_id: row.placement_id,
            litter_id: row.litter_id,
            dog_id: row.dog_id,
            dam_id: row.dam_id,
            about: row.about,
        })
    };
    rows.into_iter().map(entry).collect()
}

#[derive(QueryableByName)]
struct PupRow {
    #[diesel(sql_type = SqlUuid)]
    litter_id: Uuid,
    #[diesel(sql_type = Nullable<Text>)]
    name: Option<String>,
    #[diesel(sql_type = SqlUuid)]
    dam_id: Uuid,
    #[diesel(sql_type = Date)]
    whelped_on: NaiveDate,
    #[diesel(sql_type = SqlUuid)]
    dog_id: Uuid,
    #[diesel(sql_type = Bool)]
    is_divided: bool,
}

async fn litters(tx: &mut Tx, span: StatementSpan) -> StoreResult<Vec<BornLitter>> {
    let rows: Vec<PupRow> = statement("SELECT * FROM pups_of_statements($1, $2)")
        .bind::<Date, _>(span.first_on)
        .bind::<Date, _>(span.last_on)
        .load(&mut tx.conn)
        .await?;
    let mut litters: Vec<BornLitter> = Vec::new();
    for PupRow { litter_id, name, dam_id, whelped_on, dog_id, is_divided } in rows {
        let pup = BornPup { dog_id, is_divided };
        match litters.last_mut().filter(|litter| litter.litter_id == litter_id) {
            Some(litter) => litter.pups.push(pup),
            None => {
                litters.push(BornLitter { litter_id, name, dam_id, whelped_on, pups: vec![pup] });
            }
        }
    }
    Ok(litters)
}
