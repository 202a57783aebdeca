//! Whole pedigrees out of a kennel, and what a pedigree shows of an ancestor.

use super::{
    StoreResult, Tx,
    columns::{JsonList, Shape, Word},
    schema,
    scope::Right,
};
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, JoinOnDsl as _,
    NullableExpressionMethods as _, QueryDsl as _, Queryable, QueryableByName,
    sql_types::{Array, Nullable, Text, Uuid as SqlUuid},
};
use diesel_async::RunQueryDsl as _;
use domain::{
    family_tree::PedigreeDog,
    import::dogs::{Details, ImportedDog, StatedRegistration, Words},
    mating_plan::{BreedDog, BreedGroup},
    partial_date::PartialDate,
    record::{Registration, Residence, Sex},
};
use std::collections::HashMap;
use uuid::Uuid;

/// One page of the kennel's dogs as a file has them, by id; parents by their ids in the file.
///
/// # Errors
/// When the database is away.
pub async fn exported(
    tx: &mut Tx,
    after: Option<Uuid>,
    limit: i64,
) -> StoreResult<Vec<(Uuid, ImportedDog)>> {
    tx.scope.require(Right::Dogs)?;
    let (dogs, sires, dams) = diesel::alias!(
        schema::dogs as dogs_out,
        schema::dogs as sires_out,
        schema::dogs as dams_out
    );
    use schema::dogs as d;
    let kennel_id = tx.scope.kennel_id();
    let mut query = dogs
        .left_join(
            sires.on(sires
                .field(d::kennel_id)
                .eq(dogs.field(d::kennel_id))
                .and(sires.field(d::id).nullable().eq(dogs.field(d::sire_id)))),
        )
        .left_join(
            dams.on(dams
                .field(d::kennel_id)
                .eq(dogs.field(d::kennel_id))
                .and(dams.field(d::id).nullable().eq(dogs.field(d::dam_id)))),
        )
        .filter(dogs.field(d::kennel_id).eq(kennel_id))
        .select((
            (
                dogs.field(d::id),
                dogs.field(d::imported_id),
                dogs.field(d::sire_id),
                sires.field(d::imported_id).nullable(),
                dogs.field(d::dam_id),
                dams.field(d::imported_id).nullable(),
            ),
            dogs.fields((d::name, d::call_name, d::breed, d::colour, d::markings)),
            dogs.fields((d::sex, d::born_on, d::died_on, d::chip_number)),
            dogs.fields((
                d::registrations,
                d::adult_weight_g,
                d::residence,
                d::for_breeding,
                d::note,
            )),
        ))
        .order(dogs.field(d::id))
        .limit(limit)
        .into_boxed();
    if let Some(after) = after {
        query = query.filter(dogs.field(d::id).gt(after));
    }
    let rows: Vec<ExportRow> = query.load(&mut tx.conn).await?;
    Ok(rows.into_iter().map(|row| (row.ids.id, exported_dog(row))).collect())
}

/// A dog and its parents, by their ids here and in the file that they came from.
#[derive(Queryable)]
struct ExportedIds {
    id: Uuid,
    imported_id: Option<String>,
    sire_id: Option<Uuid>,
    sire: Option<String>,
    dam_id: Option<Uuid>,
    dam: Option<String>,
}

/// What a dog is called and looks like.
#[derive(Queryable)]
struct ExportedLooks {
    name: Option<String>,
    call_name: Option<String>,
    breed: Option<String>,
    colour: Option<String>,
    markings: Option<String>,
}

/// What a dog is born with, and its days.
#[derive(Queryable)]
struct ExportedLife {
    sex: Option<Sex>,
    born_on: Option<PartialDate>,
    died_on: Option<chrono::NaiveDate>,
    chip_number: Option<String>,
}

/// What the kennel knows beside.
#[derive(Queryable)]
struct ExportedRest {
    registrations: JsonList<Registration>,
    adult_weight_g: Option<i32>,
    residence: Residence,
    for_breeding: bool,
    note: Option<String>,
}

/// A dog as it goes out. Its parents are joined under other names, which no struct can select by itself.
#[derive(Queryable)]
struct ExportRow {
    ids: ExportedIds,
    looks: ExportedLooks,
    life: ExportedLife,
    rest: ExportedRest,
}

fn exported_dog(row: ExportRow) -> ImportedDog {
    let ExportRow { ids, looks, life, rest } = row;
    let ExportedIds { id, imported_id, sire_id, sire, dam_id, dam } = ids;
    let ExportedLooks { name, call_name, breed, colour, markings } = looks;
    let ExportedLife { sex, born_on, died_on, chip_number } = life;
    let ExportedRest { registrations, adult_weight_g, residence, for_breeding, note } = rest;
    let boxed = |text: Option<String>| text.map(String::into_boxed_str);
    // A dog that no file brought goes out under its id here.
    let in_file = |id: Option<Uuid>, imported: Option<String>| {
        imported.or_else(|| id.map(|id| id.to_string())).map(Words::from)
    };
    let stated = |entry: Registration| StatedRegistration {
        registry: entry.registry.into(),
        number: entry.number.into(),
    };
    let details = Details {
        died_on,
        call_name: boxed(call_name),
        breed: boxed(breed),
        colour: boxed(colour),
        markings: boxed(markings),
        chip_number: boxed(chip_number),
        registrations: registrations.0.into_iter().map(stated).collect(),
        adult_weight_g,
        note: boxed(note),
    };
    ImportedDog {
        line: None,
        imported_id: in_file(Some(id), imported_id).unwrap_or_default(),
        sire: in_file(sire_id, sire),
        dam: in_file(dam_id, dam),
        name: name.map(Words::from),
        born_on,
        without_id: false,
        sex,
        lives_here: Some(residence == Residence::Here),
        for_breeding: Some(for_breeding),
        details: Some(Box::new(details)),
    }
}

#[derive(QueryableByName)]
struct ParticularsRow {
    #[diesel(sql_type = SqlUuid)]
    id: Uuid,
    #[diesel(sql_type = Nullable<Text>)]
    name: Option<String>,
    #[diesel(sql_type = Nullable<Text>)]
    call_name: Option<String>,
    #[diesel(sql_type = Nullable<Word>)]
    sex: Option<Sex>,
    #[diesel(sql_type = Nullable<Text>)]
    breed: Option<String>,
    #[diesel(sql_type = Nullable<Text>)]
    colour: Option<String>,
    #[diesel(sql_type = Nullable<Word>)]
    born_on: Option<PartialDate>,
    #[diesel(sql_type = Shape)]
    registrations: JsonList<Registration>,
}

/// What a pedigree shows of dogs. Ask only for dogs that this person may see and for their
/// ancestors: those are part of the record, whoever holds a share in them.
///
/// # Errors
/// When the database is away.
pub async fn particulars(tx: &mut Tx, dog_ids: &[Uuid]) -> StoreResult<Vec<PedigreeDog>> {
    tx.scope.require(Right::Dogs)?;
    let rows: Vec<ParticularsRow> =
        diesel::sql_query("SELECT * FROM pedigree_particulars($1) ORDER BY id")
            .bind::<Array<SqlUuid>, _>(dog_ids)
            .load(&mut tx.conn)
            .await?;
    let dog = |row: ParticularsRow| PedigreeDog {
        dog_id: row.id,
        name: row.name,
        call_name: row.call_name,
        sex: row.sex,
        breed: row.breed,
        colour: row.colour,
        born_on: row.born_on,
        registrations: row.registrations.0,
    };
    Ok(rows.into_iter().map(dog).collect())
}

/// The sex of each of some dogs; what this person may not see is not among them.
///
/// # Errors
/// When the database is away.
pub async fn sexes(tx: &Tx, dog_ids: &[Uuid]) -> StoreResult<HashMap<Uuid, Option<Sex>>> {
    use schema::dogs::dsl;
    tx.scope.require(Right::Dogs)?;
    let rows: Vec<(Uuid, Option<Sex>)> = dsl::dogs
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::id.eq_any(dog_ids)))
        .select((dsl::id, dsl::sex))
        .load(&mut tx.pipelined())
        .await?;
    Ok(rows.into_iter().collect())
}

/// The living dogs that the kennel breeds from, of those that this person may see.
///
/// # Errors
/// When the database is away.
pub async fn breeding_stock(tx: &mut Tx) -> StoreResult<Vec<Uuid>> {
    use schema::dogs::dsl;
    tx.scope.require(Right::Dogs)?;
    Ok(dsl::dogs
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()))
        .filter(dsl::for_breeding.eq(true).and(dsl::died_on.is_null()))
        .select(dsl::id)
        .order(dsl::id)
        .load(&mut tx.conn)
        .await?)
}

/// Dogs of a breed, as it is written on them, of which no death is on record, of those that this person may see.
///
/// # Errors
/// When the database is away.
pub async fn of_breed(tx: &mut Tx, breed: &str) -> StoreResult<BreedGroup> {
    use schema::dogs::dsl;
    tx.scope.require(Right::Dogs)?;
    let rows: Vec<(Uuid, Option<PartialDate>)> = dsl::dogs
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()))
        .filter(dsl::breed.eq(breed).and(dsl::died_on.is_null()))
        .select((dsl::id, dsl::born_on))
        .order(dsl::id)
        .load(&mut tx.conn)
        .await?;
    let dogs = rows.into_iter().map(|(id, born_on)| BreedDog { id, born_on }).collect();
    Ok(BreedGroup { breed: breed.to_owned(), dogs })
}
