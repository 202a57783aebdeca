//! What is recorded of single dogs, one question a kind of record.

use super::facts::DogRow;
use crate::{
    domain::{
        litter_record::RecordedEvent,
        partial_date::PartialDate,
        placement::{Money, PlacementKind},
        readiness::{BalanceFact, PaperDone, ReadinessOverride, ReadinessRule},
        record::{Residence, Sex},
        schedule::{GivenEvent, HealthKind},
    },
    store::{StoreResult, Tx, schema, statement::statement},
};
use chrono::{DateTime, NaiveDate, Utc};
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, QueryDsl as _, QueryableByName,
    sql_types::{Array, BigInt, Date, Nullable, Text, Uuid as SqlUuid},
};
use diesel_async::RunQueryDsl as _;
use std::collections::BTreeMap;
use uuid::Uuid;

pub async fn dogs(tx: &mut Tx, ids: &[Uuid]) -> StoreResult<BTreeMap<Uuid, DogRow>> {
    use schema::dogs::dsl;
    type Names = (Option<String>, Option<String>, Option<Sex>, Option<String>);
    type Rest = (Option<PartialDate>, Option<NaiveDate>, Option<String>, Option<i32>, Residence);
    let rows: Vec<(Uuid, Names, Rest)> = dsl::dogs
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::id.eq_any(ids)))
        .select((
            dsl::id,
            (dsl::name, dsl::call_name, dsl::sex, dsl::breed),
            (dsl::born_on, dsl::died_on, dsl::chip_number, dsl::adult_weight_g, dsl::residence),
        ))
        .load(&mut tx.conn)
        .await?;
    let row = |(id, (name, call_name, sex, breed), rest): (Uuid, Names, Rest)| {
        let (born_on, died_on, chip_number, adult_weight_g, residence) = rest;
        let dog = DogRow {
            name,
            call_name,
            sex,
            breed,
            born_on,
            died_on,
            chip_number,
            adult_weight_g,
            residence,
        };
        (id, dog)
    };
    Ok(rows.into_iter().map(row).collect())
}

pub async fn events(tx: &Tx, ids: &[Uuid]) -> StoreResult<BTreeMap<Uuid, Vec<RecordedEvent>>> {
    use schema::health_events::dsl;
    type Row =
        (Uuid, Uuid, HealthKind, Option<String>, Option<String>, DateTime<Utc>, Option<NaiveDate>);
    let rows: Vec<Row> = dsl::health_events
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::dog_id.eq_any(ids)))
        .select((
            dsl::dog_id,
            dsl::id,
            dsl::kind,
            dsl::series,
            dsl::step,
            dsl::given_at,
            dsl::expires_on,
        ))
        .order((dsl::given_at, dsl::id))
        .load(&mut tx.together())
        .await?;
    let mut by_dog: BTreeMap<Uuid, Vec<RecordedEvent>> = BTreeMap::new();
    for (dog_id, id, kind, series, step, given_at, expires_on) in rows {
        let given_on = tx.scope.day_of(given_at);
        let given = GivenEvent { id: Some(id), kind, series, step, given_on };
        by_dog.entry(dog_id).or_default().push(RecordedEvent { given, expires_on });
    }
    Ok(by_dog)
}

pub async fn papers(tx: &Tx, ids: &[Uuid]) -> StoreResult<BTreeMap<Uuid, Vec<PaperDone>>> {
    use schema::papers::dsl;
    let rows: Vec<(Uuid, String, NaiveDate)> = dsl::papers
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::dog_id.eq_any(ids)))
        .select((dsl::dog_id, dsl::paper, dsl::done_on))
        .order(dsl::id)
        .load(&mut tx.together())
        .await?;
    let mut by_dog: BTreeMap<Uuid, Vec<PaperDone>> = BTreeMap::new();
    for (dog_id, paper, done_on) in rows {
        by_dog.entry(dog_id).or_default().push(PaperDone { paper, done_on });
    }
    Ok(by_dog)
}

pub async fn set_aside(
    tx: &Tx,
    ids: &[Uuid],
) -> StoreResult<BTreeMap<Uuid, Vec<ReadinessOverride>>> {
    use schema::readiness_overrides::dsl;
    type Row = (Uuid, ReadinessRule, String, Option<String>, Option<NaiveDate>);
    let rows: Vec<Row> = dsl::readiness_overrides
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::dog_id.eq_any(ids)))
        .select((dsl::dog_id, dsl::rule, dsl::reason, dsl::by, dsl::on))
        .order(dsl::id)
        .load(&mut tx.together())
        .await?;
    let mut by_dog: BTreeMap<Uuid, Vec<ReadinessOverride>> = BTreeMap::new();
    for (dog_id, rule, reason, by, on) in rows {
        if let (Some(by), Some(on)) = (by, on) {
            let set_aside = ReadinessOverride { rule, reason, by, on };
            by_dog.entry(dog_id).or_default().push(set_aside);
        }
    }
    Ok(by_dog)
}

#[derive(QueryableByName)]
struct AccountRow {
    #[diesel(sql_type = SqlUuid)]
    dog_id: Uuid,
    #[diesel(sql_type = Text)]
    kind: PlacementKind,
    #[diesel(sql_type = Nullable<BigInt>)]
    price_minor: Option<i64>,
    #[diesel(sql_type = Nullable<Text>)]
    currency: Option<String>,
    #[diesel(sql_type = BigInt)]
    balance_minor: i64,
    #[diesel(sql_type = Nullable<Date>)]
    due_on: Option<NaiveDate>,
    #[diesel(sql_type = Nullable<Date>)]
    paid_on: Option<NaiveDate>,
}

/// How the accounts stand, asked past the wall around money: readiness tells whether, not how much.
pub async fn balances(tx: &Tx, ids: &[Uuid]) -> StoreResult<BTreeMap<Uuid, BalanceFact>> {
    let rows: Vec<AccountRow> = statement(
        "SELECT dog_id, kind, price_minor, currency, balance_minor, due_on, paid_on FROM accounts_of($1)",
    )
        .bind::<Array<SqlUuid>, _>(ids)
        .load(&mut tx.together())
        .await?;
    let fact = |row: AccountRow| {
        let currency = row.currency.as_deref().and_then(|code| code.parse().ok());
        let fact = match (row.price_minor, currency) {
            (Some(_), Some(currency)) => BalanceFact::Known {
                balance_due: Money { amount_minor: row.balance_minor, currency },
                due_on: row.due_on,
                paid_on: row.paid_on,
            },
            _ if row.kind == PlacementKind::Sale => BalanceFact::Unknown,
            _ => BalanceFact::NoSale,
        };
        (row.dog_id, fact)
    };
    Ok(rows.into_iter().map(fact).collect())
}
