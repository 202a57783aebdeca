//! The dogs that a mating plan weighs.

use super::{StoreResult, Tx, litters, schema, scope::Right};
use chrono::NaiveDate;
use diesel::{BoolExpressionMethods as _, ExpressionMethods as _, QueryDsl as _};
use diesel_async::RunQueryDsl as _;
use domain::{
    breeding_limits::{BreedingSex, DamHistory, PastWhelping},
    mating_plan::MatingCandidate,
    partial_date::PartialDate,
    record::{Residence, Sex},
};
use std::collections::HashMap;
use uuid::Uuid;

/// The dogs with these ids as candidates, by id; those of unknown sex are left out.
///
/// # Errors
/// When the database is away.
pub async fn candidates(
    tx: &mut Tx,
    dog_ids: &[Uuid],
) -> StoreResult<HashMap<Uuid, MatingCandidate>> {
    use schema::dogs::dsl;
    tx.scope.require(Right::Dogs)?;
    type Row = (
        Uuid,
        Option<Sex>,
        Option<PartialDate>,
        Option<Uuid>,
        Option<Uuid>,
        Option<NaiveDate>,
        Residence,
    );
    let rows: Vec<Row> = dsl::dogs
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::id.eq_any(dog_ids)))
        .select((
            dsl::id,
            dsl::sex,
            dsl::born_on,
            dsl::sire_id,
            dsl::dam_id,
            dsl::died_on,
            dsl::residence,
        ))
        .load(&mut tx.conn)
        .await?;
    let mut whelpings = whelpings(tx, dog_ids).await?;
    let candidate = |(id, sex, born_on, sire_id, dam_id, died_on, residence): Row| {
        let sex = match sex? {
            Sex::Female => BreedingSex::Female,
            Sex::Male => BreedingSex::Male,
        };
        let history = DamHistory {
            born_on,
            whelpings: whelpings.remove(&id).unwrap_or_default(),
            // The kennel knows its own dams' litters; of another's it may not know all.
            complete: residence == Residence::Here,
            // The plan is of a heat to come.
            other_sires_this_heat: None,
            parent_offspring_or_full_sib: None,
        };
        let unavailable = died_on.map(|day| format!("it died on {day}"));
        Some((id, MatingCandidate { id, sex, born_on, sire_id, dam_id, unavailable, history }))
    };
    Ok(rows.into_iter().filter_map(candidate).collect())
}

/// The litters born to each of some dams.
async fn whelpings(tx: &mut Tx, dam_ids: &[Uuid]) -> StoreResult<HashMap<Uuid, Vec<PastWhelping>>> {
    use schema::litters::dsl;
    let rows: Vec<(Uuid, Uuid, Option<NaiveDate>)> = dsl::litters
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::dam_id.eq_any(dam_ids)))
        .select((dsl::id, dsl::dam_id, dsl::whelped_on))
        .load(&mut tx.conn)
        .await?;
    let whelped: Vec<Uuid> = rows.iter().map(|(id, ..)| *id).collect();
    let caesareans = litters::caesareans(tx, &whelped).await?;
    let mut of_dam: HashMap<Uuid, Vec<PastWhelping>> = HashMap::new();
    for (litter_id, dam_id, whelped_on) in rows {
        let caesarean = caesareans.get(&litter_id).copied();
        let whelped =
            whelped_on.map(|day| PastWhelping { whelped_on: PartialDate::Day(day), caesarean });
        of_dam.entry(dam_id).or_default().extend(whelped);
    }
    Ok(of_dam)
}
