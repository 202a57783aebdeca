//! What the reports on litters and years are made of.

use super::{
    StoreError, StoreResult, Tx,
    litters::{self, Which},
    pedigrees, schema,
    scope::Right,
};
use catalogue::said;
use chrono::NaiveDate;
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, NullableExpressionMethods as _,
    QueryDsl as _, Queryable, Selectable, SelectableHelper as _,
};
use diesel_async::RunQueryDsl as _;
use domain::{
    family_tree::PedigreeDog,
    litter::{Core, Weights},
    placement::{Currency, LedgerKind, Money},
    reports::{
        ClubLitterReport, MoneyLine, MoneyLineKind, YearLitter, YearReportInput, club_report,
        litter_input, litter_report, parent_name,
    },
};
use std::collections::{BTreeMap, BTreeSet};
use uuid::Uuid;

/// The report on one litter.
///
/// # Errors
/// [`StoreError::NotFound`] when there is no such litter, [`StoreError::Refused`] when it has not
/// been whelped yet.
pub async fn litter(tx: &mut Tx, litter_id: Uuid) -> StoreResult<ClubLitterReport> {
    let (core, weights) = litters::one::<Weights>(tx, litter_id).await?;
    if core.whelped_on().is_none() {
        return Err(StoreError::refused(
            "#path/litter_id",
            said!("fault-not-now-report-unwhelped"),
        ));
    }
    let parents = parents(tx, &[&core]).await?;
    let moment = tx.moment().await?;
    club_report(&tx.scope.kennel().name, &core, &weights, &parents, &moment)
        .ok_or(StoreError::NotFound)
}

/// The parents of litters, also those whom only the pedigree shows to this person.
async fn parents(tx: &mut Tx, litters: &[&Core]) -> StoreResult<BTreeMap<Uuid, PedigreeDog>> {
    let ids = litters.iter().flat_map(|core| [core.dam_id(), core.sire_id()]).flatten();
    let ids: BTreeSet<Uuid> = ids.collect();
    let ids: Vec<Uuid> = ids.into_iter().collect();
    let dogs = pedigrees::particulars(tx, &ids).await?;
    Ok(dogs.into_iter().map(|dog| (dog.dog_id, dog)).collect())
}

/// What the report on a year takes in: the litters whelped in it or with money of it, and that
/// money. A person who may not see money gets none.
///
/// # Errors
/// When the database is away.
pub async fn year(tx: &mut Tx, year: i32) -> StoreResult<YearReportInput> {
    tx.scope.require(Right::Dogs)?;
    let (Some(first), Some(last)) =
        (NaiveDate::from_ymd_opt(year, 1, 1), NaiveDate::from_ymd_opt(year, 12, 31))
    else {
        return Err(StoreError::NotFound);
    };
    let money =
        if tx.scope.allows(Right::Money) { money(tx, first, last).await? } else { Vec::new() };
    let and = money.iter().filter_map(|line| line.litter_id).collect();
    let wanted = Which::Whelped { from: first, to: last, and };
    let mut litters = litters::load::<Weights>(tx, wanted).await?;
    litters.retain(|(core, _)| core.whelped_on().is_some());
    let cores: Vec<&Core> = litters.iter().map(|(core, _)| core).collect();
    let parents = parents(tx, &cores).await?;
    let moment = tx.moment().await?;
    let known: BTreeSet<Uuid> = cores.iter().filter_map(|core| core.id()).collect();
    let litters = litters.iter().filter_map(|(core, weights)| {
        let name = |id: Option<Uuid>| parent_name(parents.get(&id?)?);
        Some(YearLitter {
            dam: name(core.dam_id()).unwrap_or_else(|| "without a name".to_owned()),
            sire: name(core.sire_id()),
            report: litter_report(&litter_input(core, weights, &moment)?, moment.today()),
        })
    });
    // Costs of a litter that is still expected stand with the kennel until it is whelped.
    let money = money.into_iter().map(|line| MoneyLine {
        litter_id: line.litter_id.filter(|id| known.contains(id)),
        ..line
    });
    Ok(YearReportInput { year, litters: litters.collect(), money: money.collect() })
}

/// Money that came in or went out for a placement, with the litter of its pup.
#[derive(Queryable, Selectable)]
#[diesel(table_name = schema::payments)]
struct PaidRow {
    kind: LedgerKind,
    amount_minor: i64,
    currency: String,
    paid_on: NaiveDate,
    #[diesel(
        select_expression = schema::births::litter_id.nullable(),
        select_expression_type = diesel::dsl::Nullable<schema::births::litter_id>
    )]
    litter_id: Option<Uuid>,
}

/// Money that was spent.
#[derive(Queryable, Selectable)]
#[diesel(table_name = schema::costs)]
struct SpentRow {
    amount_minor: i64,
    currency: String,
    paid_on: NaiveDate,
    litter_id: Option<Uuid>,
}

/// What was received, paid back and spent from `first` to `last`.
async fn money(tx: &mut Tx, first: NaiveDate, last: NaiveDate) -> StoreResult<Vec<MoneyLine>> {
    use diesel::JoinOnDsl as _;
    use schema::{births as b, costs as c, payments as e, placements as p};
    let kennel_id = tx.scope.kennel_id();
    let paid: Vec<PaidRow> = e::table
        .inner_join(p::table.on(p::kennel_id.eq(e::kennel_id).and(p::id.eq(e::placement_id))))
        .left_join(b::table.on(b::kennel_id.eq(p::kennel_id).and(b::dog_id.eq(p::dog_id))))
        .filter(e::kennel_id.eq(kennel_id).and(e::paid_on.between(first, last)))
        .select(PaidRow::as_select())
        .order(e::id)
        .load(&mut tx.conn)
        .await?;
    let spent: Vec<SpentRow> = c::table
        .filter(c::kennel_id.eq(kennel_id).and(c::paid_on.between(first, last)))
        .select(SpentRow::as_select())
        .order(c::id)
        .load(&mut tx.conn)
        .await?;
    let mut lines = Vec::with_capacity(paid.len() + spent.len());
    for PaidRow { kind, amount_minor, currency, paid_on: on, litter_id } in paid {
        let Some(amount_minor) = kind.received(amount_minor) else { continue };
        let amount = Money { amount_minor, currency: currency_of(&currency)? };
        lines.push(MoneyLine { kind: MoneyLineKind::Income, amount, on, litter_id });
    }
    for SpentRow { amount_minor, currency, paid_on: on, litter_id } in spent {
        let amount = Money { amount_minor, currency: currency_of(&currency)? };
        lines.push(MoneyLine { kind: MoneyLineKind::Cost, amount, on, litter_id });
    }
    Ok(lines)
}

fn currency_of(code: &str) -> StoreResult<Currency> {
    code.parse().map_err(|_| StoreError::Internal(format!("{code} is no currency")))
}
