//! What the dogs of a kennel's own lines weigh: of those that were born here and that this person may see.

use super::{StoreResult, Tx, columns::Word, scope::Right, statement::statement};
use diesel::{
    QueryableByName,
    sql_types::{Array, Integer, Nullable, Text, Uuid as SqlUuid},
};
use diesel_async::RunQueryDsl as _;
use domain::{
    growth::own_lines::{LineDog, OwnLines, TOLD_AGES, own_lines},
    record::Sex,
    rules::Rules,
};
use std::collections::BTreeMap;
use uuid::Uuid;

#[derive(QueryableByName)]
struct GrownRow {
    #[diesel(sql_type = SqlUuid)]
    dog_id: Uuid,
    #[diesel(sql_type = SqlUuid)]
    litter_id: Uuid,
    #[diesel(sql_type = Word)]
    sex: Sex,
    #[diesel(sql_type = Nullable<Integer>)]
    adult_weight_g: Option<i32>,
}

#[derive(QueryableByName)]
struct AgeRow {
    #[diesel(sql_type = SqlUuid)]
    dog_id: Uuid,
    #[diesel(sql_type = Integer)]
    age_days: i32,
    #[diesel(sql_type = Integer)]
    weight_g: i32,
}

/// Dogs of a breed, however it is capitalised, that were born here alive.
const GROWN: &str = "SELECT d.id AS dog_id, b.litter_id, d.sex, d.adult_weight_g \
    FROM dogs d JOIN births b ON b.kennel_id = d.kennel_id AND b.dog_id = d.id \
    WHERE d.kennel_id = $1 AND lower(btrim(d.breed)) = lower(btrim($2)) AND d.sex IS NOT NULL AND b.outcome = 'alive' \
    ORDER BY d.id";

/// Of each of these dogs the weight nearest to each age, not further off than is said.
const AT_AGES: &str = "WITH asked AS (SELECT $1 AS kennel_id, $2 AS dogs, $3 AS ages, $4 AS offs, $5 AS zone) \
    SELECT DISTINCT ON (b.dog_id, a.age) b.dog_id, a.age AS age_days, w.weight_g \
    FROM asked q JOIN births b ON b.kennel_id = q.kennel_id AND b.dog_id = ANY (q.dogs) \
    CROSS JOIN LATERAL unnest(q.ages, q.offs) AS a (age, most_off) \
    JOIN weights w ON w.kennel_id = b.kennel_id AND w.dog_id = b.dog_id \
    CROSS JOIN LATERAL (SELECT abs((w.measured_at AT TIME ZONE q.zone)::date - (b.born_at AT TIME ZONE q.zone)::date \
                                   - a.age) AS days_off) AS e \
    WHERE e.days_off <= a.most_off \
    ORDER BY b.dog_id, a.age, e.days_off, w.measured_at DESC, w.id";

/// What dogs of a breed weigh in the kennel's own lines, beside what is published; of no breed no dogs.
///
/// # Errors
/// When the database is away.
pub async fn of_breed(tx: &mut Tx, breed: Option<&str>, rules: &Rules) -> StoreResult<OwnLines> {
    tx.scope.require(Right::Dogs)?;
    let (kennel_id, zone) = (tx.scope.kennel_id(), tx.scope.tz());
    let Some(breed) = breed else { return Ok(own_lines("", &[], rules)) };
    let rows: Vec<GrownRow> = statement(GROWN)
        .bind::<SqlUuid, _>(kennel_id)
        .bind::<Text, _>(breed)
        .load(&mut tx.conn)
        .await?;
    let ids: Vec<Uuid> = rows.iter().map(|row| row.dog_id).collect();
    let (ages, off): (Vec<i32>, Vec<i32>) = TOLD_AGES.iter().copied().unzip();
    let weighed: Vec<AgeRow> = statement(AT_AGES)
        .bind::<SqlUuid, _>(kennel_id)
        .bind::<Array<SqlUuid>, _>(ids)
        .bind::<Array<Integer>, _>(ages)
        .bind::<Array<Integer>, _>(off)
        .bind::<Text, _>(zone.name())
        .load(&mut tx.conn)
        .await?;
    let mut weights: BTreeMap<Uuid, Vec<(i32, f64)>> = BTreeMap::new();
    for AgeRow { dog_id, age_days, weight_g } in weighed {
        weights.entry(dog_id).or_default().push((age_days, f64::from(weight_g)));
    }
    let dog = |GrownRow { dog_id, litter_id, sex, adult_weight_g }| LineDog {
        litter_id,
        sex,
        adult_weight_g: adult_weight_g.map(f64::from),
        weights: weights.remove(&dog_id).unwrap_or_default(),
    };
    let dogs: Vec<LineDog> = rows.into_iter().map(dog).collect();
    Ok(own_lines(breed, &dogs, rules))
}
