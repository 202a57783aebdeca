//! What a birth is held against: its mating, its dam, and the pups that are written down already.

use super::{births_of_litter, next_ordinal};
use crate::{StoreResult, Tx, changes, columns::Stored, keep::Keep as _, schema};
use chrono::NaiveDate;
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, JoinOnDsl as _, QueryDsl as _, Queryable,
    Selectable, SelectableHelper as _,
};
use diesel_async::RunQueryDsl as _;
use domain::{
    admission::{BirthFacts, CollaredPup},
    record::{Birth, BirthOutcome, Dog, Litter, Mating, Residence},
};
use uuid::Uuid;

/// Holds a birth against its litter's mating and dam.
pub(super) async fn validate(tx: &mut Tx, litter: &Litter, birth: &Birth) -> StoreResult<()> {
    let first_tie_at = match litter.mating_id {
        Some(mating_id) => Mating::select(tx, mating_id, false).await?.record.first_tie_at(),
        None => None,
    };
    let dam = Dog::select(tx, litter.dam_id, false).await?.record;
    let moment = tx.moment().await?;
    let facts = BirthFacts {
        first_tie_at,
        whelped_on: litter.whelped_on,
        born_on: tx.scope.day_of(birth.born_at),
        dam_weight_g: dam.adult_weight_g,
        rules: &moment.rules,
    };
    Ok(birth.admit(&facts)?)
}

/// Refuses a new birth that does not go with its litter. The litter is locked, so that two phones at once never
/// make two pups with one ordinal.
pub(super) async fn admit_new(tx: &mut Tx, birth: &Birth) -> StoreResult<()> {
    let litter = Litter::select(tx, birth.litter_id, true).await?;
    validate(tx, &litter.record, birth).await?;
    let ordinal = next_ordinal(tx, birth.litter_id).await?;
    birth.admit_ordinal(ordinal)?;
    if birth.ordinal == 0 && !birth.confirmed {
        admit_beside(tx, birth, ordinal).await?;
    }
    admit_collar(tx, birth).await
}

/// A pup with its collar.
#[derive(Queryable, Selectable)]
#[diesel(table_name = schema::births)]
struct CollaredRow {
    ordinal: i32,
    dog_id: Uuid,
    collar: Option<String>,
    #[diesel(select_expression = schema::dogs::died_on)]
    died_on: Option<NaiveDate>,
    #[diesel(select_expression = schema::dogs::residence)]
    residence: Residence,
}

impl From<CollaredRow> for CollaredPup {
    fn from(row: CollaredRow) -> Self {
        let CollaredRow { ordinal, dog_id, collar, died_on, residence } = row;
        Self { ordinal, dog_id, collar, died_on, residence }
    }
}

/// Holds the collar of a birth against those of the litter.
pub(super) async fn admit_collar(tx: &mut Tx, birth: &Birth) -> StoreResult<()> {
    use schema::{births as b, dogs as d};
    if !birth.wears_collar() {
        return Ok(());
    }
    let rows: Vec<CollaredRow> = b::table
        .inner_join(d::table.on(d::kennel_id.eq(b::kennel_id).and(d::id.eq(b::dog_id))))
        .filter(b::kennel_id.eq(tx.scope.kennel_id()).and(b::litter_id.eq(birth.litter_id)))
        .filter(b::outcome.eq(Stored(BirthOutcome::Alive)).and(b::collar.is_not_null()))
        .order(b::ordinal)
        .select(CollaredRow::as_select())
        .load(&mut tx.conn)
        .await?;
    let collared: Vec<CollaredPup> = rows.into_iter().map(CollaredPup::from).collect();
    Ok(birth.admit_collar(&collared, tx.scope.today())?)
}

/// Holds a birth that would be number `next` against the pups of the litter.
async fn admit_beside(tx: &mut Tx, birth: &Birth, next: i32) -> StoreResult<()> {
    let moment = tx.moment().await?;
    let known = births_of_litter(tx, birth.litter_id).await?;
    let Some(other) = birth.admit_beside(&known, next, &moment.rules)? else { return Ok(()) };
    let same_writer = changes::created_by(tx, other.id).await? == Some(tx.scope.person_id());
    Ok(birth.admit_double(&other.record, same_writer, next)?)
}
