//! What the reports on litters and years are made of.

use super::{
    StoreError, StoreResult, Tx, keep::Gather as _, matings, pedigrees, people::Right, schema,
};
use crate::domain::{
    family_tree::PedigreeDog,
    placement::{Currency, LedgerKind, Money},
    record::{BirthOutcome, Dog, Kept},
    reports::{
        ClubLitterReport, LitterReportInput, MoneyLine, MoneyLineKind, ReportPup, ReportedParent,
        ReportedPup, YearLitter, YearReportInput, litter_report,
    },
};
use chrono::{DateTime, NaiveDate, Utc};
use diesel::{BoolExpressionMethods as _, ExpressionMethods as _, QueryDsl as _};
use diesel_async::RunQueryDsl as _;
use std::collections::{BTreeMap, BTreeSet};
use uuid::Uuid;

/// A litter that has been whelped, with all that is reported of it.
struct Whelped {
    id: Uuid,
    name: Option<String>,
    dam_id: Uuid,
    sire_id: Option<Uuid>,
    whelped_on: NaiveDate,
    mated_on: Option<NaiveDate>,
    pups: Vec<WhelpedPup>,
}

/// A birth, the pup's dog where this person sees it, and its weights.
struct WhelpedPup {
    birth: BirthRow,
    dog: Option<Dog>,
    weights: Vec<(NaiveDate, f64)>,
}

#[derive(Clone, diesel::Queryable)]
struct BirthRow {
    litter_id: Uuid,
    dog_id: Uuid,
    ordinal: i32,
    born_at: DateTime<Utc>,
    outcome: BirthOutcome,
    weight_g: Option<i32>,
}

impl Whelped {
    fn input(&self) -> LitterReportInput {
        LitterReportInput {
            litter_id: self.id,
            name: self.name.clone(),
            mated_on: self.mated_on,
            whelped_on: self.whelped_on,
            pups: self.pups.iter().map(WhelpedPup::reported).collect(),
        }
    }
}

impl WhelpedPup {
    fn reported(&self) -> ReportPup {
        ReportPup {
            dog_id: self.birth.dog_id,
            sex: self.dog.as_ref().and_then(|dog| dog.sex),
            stillborn: self.birth.outcome == BirthOutcome::Stillborn,
            birth_weight_g: self.birth.weight_g.map(f64::from),
            weights: self.weights.clone(),
            died_on: self.dog.as_ref().and_then(|dog| dog.died_on),
            cause_of_loss: self.dog.as_ref().and_then(|dog| dog.died_of.clone()),
        }
    }

    fn listed(&self) -> ReportedPup {
        let dog = self.dog.as_ref();
        ReportedPup {
            dog_id: self.birth.dog_id,
            ordinal: self.birth.ordinal,
            born_at: self.birth.born_at,
            outcome: self.birth.outcome,
            name: dog.and_then(|dog| dog.name.clone().or_else(|| dog.call_name.clone())),
            sex: dog.and_then(|dog| dog.sex),
            colour: dog.and_then(|dog| dog.colour.clone()),
            birth_weight_g: self.birth.weight_g,
            chip_number: dog.and_then(|dog| dog.chip_number.clone()),
            registrations: dog.map(|dog| dog.registrations.clone()).unwrap_or_default(),
            died_on: dog.and_then(|dog| dog.died_on),
            died_of: dog.and_then(|dog| dog.died_of.clone()),
        }
    }
}

/// The report on one litter.
///
/// # Errors
/// [`StoreError::NotFound`] when there is no such litter, [`StoreError::Refused`] when it has not
/// been whelped yet.
pub async fn litter(
    tx: &mut Tx,
    litter_id: Uuid,
    now: DateTime<Utc>,
) -> StoreResult<ClubLitterReport> {
    use schema::litters::dsl;
    tx.scope.require(Right::Dogs)?;
    let whelped_on: Option<NaiveDate> = dsl::litters
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::id.eq(litter_id)))
        .select(dsl::whelped_on)
        .first(&mut tx.conn)
        .await?;
    if whelped_on.is_none() {
        return Err(StoreError::refused(
            "#path/litter_id",
            "names a litter that has not been whelped; there is a report from its first birth on",
        ));
    }
    let litter = whelped(tx, &[litter_id]).await?.pop().ok_or(StoreError::NotFound)?;
    let as_of = tx.scope.day_of(now);
    let parents: Vec<Uuid> = [Some(litter.dam_id), litter.sire_id].into_iter().flatten().collect();
    let mut parents = by_id(pedigrees::particulars(tx, &parents).await?);
    let dam = parents.remove(&litter.dam_id).ok_or(StoreError::NotFound)?;
    Ok(ClubLitterReport {
        kennel: tx.scope.kennel().name.clone(),
        as_of,
        dam: parent(dam),
        sire: litter.sire_id.and_then(|id| parents.remove(&id)).map(parent),
        mated_on: litter.mated_on,
        report: litter_report(&litter.input(), as_of),
        pups: litter.pups.iter().map(WhelpedPup::listed).collect(),
    })
}

fn by_id(dogs: Vec<PedigreeDog>) -> BTreeMap<Uuid, PedigreeDog> {
    dogs.into_iter().map(|dog| (dog.dog_id, dog)).collect()
}

fn parent(dog: PedigreeDog) -> ReportedParent {
    let PedigreeDog { dog_id, name, call_name, breed, born_on, registrations, .. } = dog;
    ReportedParent { dog_id, name: name.or(call_name), breed, born_on, registrations }
}

/// What the report on a year takes in: the litters whelped in it or with money of it, and that
/// money. A person who may not see money gets none.
///
/// # Errors
/// When the database is away.
pub async fn year(tx: &mut Tx, year: i32, now: DateTime<Utc>) -> StoreResult<YearReportInput> {
    use schema::litters::dsl;
    tx.scope.require(Right::Dogs)?;
    let (Some(first), Some(last)) =
        (NaiveDate::from_ymd_opt(year, 1, 1), NaiveDate::from_ymd_opt(year, 12, 31))
    else {
        return Err(StoreError::NotFound);
    };
    let money = if tx.scope.sees_money() { money(tx, first, last).await? } else { Vec::new() };
    let of_year: Vec<Uuid> = dsl::litters
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::whelped_on.between(first, last)))
        .select(dsl::id)
        .load(&mut tx.conn)
        .await?;
    let mut ids: BTreeSet<Uuid> = of_year.into_iter().collect();
    ids.extend(money.iter().filter_map(|line| line.litter_id));
    let ids: Vec<Uuid> = ids.into_iter().collect();
    let litters = whelped(tx, &ids).await?;
    let parents: BTreeSet<Uuid> =
        litters.iter().flat_map(|litter| [Some(litter.dam_id), litter.sire_id]).flatten().collect();
    let parents =
        by_id(pedigrees::particulars(tx, &parents.into_iter().collect::<Vec<_>>()).await?);
    let name = |id: &Uuid| {
        let dog = parents.get(id)?;
        dog.name.clone().or_else(|| dog.call_name.clone())
    };
    let today = tx.scope.day_of(now);
    let known: BTreeSet<Uuid> = litters.iter().map(|litter| litter.id).collect();
    let litters = litters.iter().map(|litter| YearLitter {
        dam: name(&litter.dam_id).unwrap_or_else(|| "without a name".to_owned()),
        sire: litter.sire_id.as_ref().and_then(name),
        report: litter_report(&litter.input(), today),
    });
    // Costs of a litter that is still expected stand with the kennel until it is whelped.
    let money = money.into_iter().map(|line| MoneyLine {
        litter_id: line.litter_id.filter(|id| known.contains(id)),
        ..line
    });
    Ok(YearReportInput { year, litters: litters.collect(), money: money.collect() })
}

/// What was received, paid back and spent from `first` to `last`.
async fn money(tx: &mut Tx, first: NaiveDate, last: NaiveDate) -> StoreResult<Vec<MoneyLine>> {
    use diesel::{JoinOnDsl as _, NullableExpressionMethods as _};
    use schema::{births as b, costs as c, payments as e, placements as p};
    let kennel_id = tx.scope.kennel_id();
    let paid: Vec<(LedgerKind, i64, String, NaiveDate, Option<Uuid>)> = e::table
        .inner_join(p::table.on(p::kennel_id.eq(e::kennel_id).and(p::id.eq(e::placement_id))))
        .left_join(b::table.on(b::kennel_id.eq(p::kennel_id).and(b::dog_id.eq(p::dog_id))))
        .filter(e::kennel_id.eq(kennel_id).and(e::paid_on.between(first, last)))
        .select((e::kind, e::amount_minor, e::currency, e::paid_on, b::litter_id.nullable()))
        .order(e::id)
        .load(&mut tx.conn)
        .await?;
    let spent: Vec<(i64, String, NaiveDate, Option<Uuid>)> = c::table
        .filter(c::kennel_id.eq(kennel_id).and(c::paid_on.between(first, last)))
        .select((c::amount_minor, c::currency, c::paid_on, c::litter_id))
        .order(c::id)
        .load(&mut tx.conn)
        .await?;
    let mut lines = Vec::with_capacity(paid.len() + spent.len());
    for (kind, amount_minor, currency, on, litter_id) in paid {
        // Prices and what is taken off them are owed, not paid.
        let amount_minor = match kind {
            LedgerKind::Deposit | LedgerKind::Payment => amount_minor,
            LedgerKind::Refund => -amount_minor,
            _ => continue,
        };
        let amount = Money { amount_minor, currency: currency_of(&currency)? };
        lines.push(MoneyLine { kind: MoneyLineKind::Income, amount, on, litter_id });
    }
    for (amount_minor, currency, on, litter_id) in spent {
        let amount = Money { amount_minor, currency: currency_of(&currency)? };
        lines.push(MoneyLine { kind: MoneyLineKind::Cost, amount, on, litter_id });
    }
    Ok(lines)
}

fn currency_of(code: &str) -> StoreResult<Currency> {
    code.parse().map_err(|_| StoreError::Internal(format!("{code} is no currency")))
}

/// Those of the litters that have been whelped, by their day.
async fn whelped(tx: &mut Tx, ids: &[Uuid]) -> StoreResult<Vec<Whelped>> {
    use schema::litters::dsl;
    type Row = (Uuid, Option<String>, Uuid, Option<Uuid>, Option<Uuid>, Option<NaiveDate>);
    let rows: Vec<Row> = dsl::litters
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::id.eq_any(ids)))
        .filter(dsl::whelped_on.is_not_null())
        .select((dsl::id, dsl::name, dsl::dam_id, dsl::sire_id, dsl::mating_id, dsl::whelped_on))
        .order((dsl::whelped_on, dsl::id))
        .load(&mut tx.conn)
        .await?;
    let mated: Vec<Uuid> = rows.iter().filter_map(|row| row.4).collect();
    let mated = matings::first_ties(tx, &mated).await?;
    let mut pups = pups(tx, &rows.iter().map(|row| row.0).collect::<Vec<_>>()).await?;
    let litter = |(id, name, dam_id, sire_id, mating_id, whelped_on): Row| {
        let mated_on = mating_id.and_then(|mating| mated.get(&mating)).copied();
        let pups = pups.remove(&id).unwrap_or_default();
        Some(Whelped { id, name, dam_id, sire_id, whelped_on: whelped_on?, mated_on, pups })
    };
    Ok(rows.into_iter().filter_map(litter).collect())
}

async fn pups(tx: &mut Tx, litters: &[Uuid]) -> StoreResult<BTreeMap<Uuid, Vec<WhelpedPup>>> {
    use schema::{births, weights};
    let kennel_id = tx.scope.kennel_id();
    let rows: Vec<BirthRow> = births::table
        .filter(births::kennel_id.eq(kennel_id).and(births::litter_id.eq_any(litters)))
        .select((
            births::litter_id,
            births::dog_id,
            births::ordinal,
            births::born_at,
            births::outcome,
            births::weight_g,
        ))
        .order((births::litter_id, births::ordinal))
        .load(&mut tx.conn)
        .await?;
    let ids: Vec<Uuid> = rows.iter().map(|row| row.dog_id).collect();
    let dogs: Vec<Kept<Dog>> = Dog::gather(tx, &ids).await?;
    let mut dogs: BTreeMap<Uuid, Dog> =
        dogs.into_iter().map(|kept| (kept.id, kept.record)).collect();
    let weighed: Vec<(Uuid, DateTime<Utc>, i32)> = weights::table
        .filter(weights::kennel_id.eq(kennel_id).and(weights::dog_id.eq_any(&ids)))
        .select((weights::dog_id, weights::measured_at, weights::weight_g))
        .order((weights::measured_at, weights::id))
        .load(&mut tx.conn)
        .await?;
    let mut weights: BTreeMap<Uuid, Vec<(NaiveDate, f64)>> = BTreeMap::new();
    for (dog_id, at, weight_g) in weighed {
        weights.entry(dog_id).or_default().push((tx.scope.day_of(at), f64::from(weight_g)));
    }
    let mut by_litter: BTreeMap<Uuid, Vec<WhelpedPup>> = BTreeMap::new();
    for birth in rows {
        let dog = dogs.remove(&birth.dog_id);
        let weights = weights.remove(&birth.dog_id).unwrap_or_default();
        by_litter.entry(birth.litter_id).or_default().push(WhelpedPup { birth, dog, weights });
    }
    Ok(by_litter)
}
