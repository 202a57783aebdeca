//! Whole pedigrees into a kennel: all dogs of a file, or none.

use super::{
    StoreError, StoreResult, Tx, aside,
    columns::{JsonList, Shape, Word},
    schema,
    scope::Right,
};
use diesel::{
    ExpressionMethods as _, QueryDsl as _, QueryableByName,
    sql_types::{Array, Bool, Date, Integer, Nullable, Text, Uuid as SqlUuid},
};
use diesel_async::RunQueryDsl as _;
use domain::{
    fault::Fault,
    partial_date::PartialDate,
    pedigree::PedigreeRow,
    pedigree_csv::{
        ImportedDog, KnownDog, MergePlan, ParsedPedigree, PedigreeFault, PedigreeImport, PlacedDog,
        StatedRegistration, StatedSex, check_new_parents, merge,
    },
    record::{Registration, Sex},
};
use std::collections::{BTreeSet, HashMap};
use uuid::Uuid;

/// Dogs written in one statement, which is one entry of the log: 40 MB of a wordy file.
const CHUNK: usize = 100_000;

impl From<Vec<PedigreeFault>> for StoreError {
    fn from(faults: Vec<PedigreeFault>) -> Self {
        Self::Refused(faults.into_iter().map(Fault::from).collect())
    }
}

/// Adds the dogs of a file and updates those that are there: all of them, or none.
///
/// # Errors
/// [`StoreError::Refused`] with every line that conflicts with the kennel's dogs.
pub async fn import(
    tx: &mut Tx,
    file: ParsedPedigree,
    dry_run: bool,
) -> StoreResult<PedigreeImport> {
    tx.scope.require(Right::Managing)?;
    // The lock that every change of parents takes: a second import waits, then updates.
    diesel::sql_query(
        "SELECT pg_advisory_xact_lock(hashtext('denwright parents'), hashtext($1::text)), \
         set_config('denwright.import', 'yes', true)",
    )
    .bind::<SqlUuid, _>(tx.scope.kennel_id())
    .execute(&mut tx.conn)
    .await?;
    if file.dogs.len() > super::MANY_ROWS {
        tx.expect_many_rows().await?;
    }
    let known = known_dogs(tx, &file).await?;
    let plan = aside(move || merge(file, &known, Uuid::now_v7)).await??;
    let plan = if plan.new_parents.is_empty() {
        plan
    } else {
        let kennel = pedigree(tx).await?;
        aside(move || check_new_parents(&plan, kennel).map(|()| plan)).await??
    };
    let mut updated = BTreeSet::new();
    sex(tx, &plan, dry_run, &mut updated).await?;
    if !dry_run {
        for chunk in plan.new.chunks(CHUNK) {
            insert(tx, chunk).await?;
        }
    }
    for chunk in plan.known.chunks(CHUNK) {
        update(tx, chunk, dry_run, &mut updated).await?;
    }
    if !dry_run {
        check_ages(tx, &plan).await?;
    }
    let implied_parents = plan.new.iter().filter(|dog| dog.stated.line.is_none()).count();
    let created = plan.new.len();
    let unchanged = plan.known.iter().filter(|dog| !updated.contains(&dog.id)).count();
    Ok(PedigreeImport { dry_run, created, updated: updated.len(), unchanged, implied_parents })
}

#[derive(QueryableByName)]
struct KnownRow {
    #[diesel(sql_type = SqlUuid)]
    id: Uuid,
    #[diesel(sql_type = Nullable<Text>)]
    imported_id: Option<String>,
    #[diesel(sql_type = Nullable<Word>)]
    sex: Option<Sex>,
    #[diesel(sql_type = Nullable<Word>)]
    born_on: Option<PartialDate>,
    #[diesel(sql_type = Nullable<SqlUuid>)]
    sire_id: Option<Uuid>,
    #[diesel(sql_type = Nullable<SqlUuid>)]
    dam_id: Option<Uuid>,
    #[diesel(sql_type = Nullable<Text>)]
    chip_number: Option<String>,
}

impl From<KnownRow> for KnownDog {
    fn from(row: KnownRow) -> Self {
        Self {
            id: row.id,
            imported_id: row.imported_id.map(String::into_boxed_str),
            sex: row.sex.map(stated_sex),
            born_on: row.born_on,
            sire_id: row.sire_id,
            dam_id: row.dam_id,
            chip_number: row.chip_number.map(String::into_boxed_str),
        }
    }
}

pub(super) fn stated_sex(sex: Sex) -> StatedSex {
    match sex {
        Sex::Female => StatedSex::Female,
        Sex::Male => StatedSex::Male,
    }
}

/// The dogs of the kennel that the file speaks of, with their parents and offspring.
async fn known_dogs(tx: &mut Tx, file: &ParsedPedigree) -> StoreResult<Vec<KnownDog>> {
    let named: Vec<&str> = file.dogs.iter().map(|dog| &*dog.imported_id).collect();
    let own: Vec<Uuid> = named.iter().filter_map(|id| id.parse().ok()).collect();
    let chips: Vec<&str> = file.dogs.iter().filter_map(|dog| dog.chip_number.as_deref()).collect();
    let mut found = HashMap::new();
    look_up::<Text, _>(tx, "imported_id", named, &mut found).await?;
    look_up::<SqlUuid, _>(tx, "id", own, &mut found).await?;
    look_up::<Text, _>(tx, "chip_number", chips, &mut found).await?;
    let spoken_of: Vec<Uuid> = found.keys().copied().collect();
    let parents: BTreeSet<Uuid> =
        found.values().flat_map(|dog| [dog.sire_id, dog.dam_id]).flatten().collect();
    let parents = parents.into_iter().filter(|id| !found.contains_key(id)).collect();
    look_up::<SqlUuid, _>(tx, "id", parents, &mut found).await?;
    look_up::<SqlUuid, _>(tx, "sire_id", spoken_of.clone(), &mut found).await?;
    look_up::<SqlUuid, _>(tx, "dam_id", spoken_of, &mut found).await?;
    Ok(found.into_values().collect())
}

/// Adds the dogs of which a column has one of the values.
async fn look_up<S, V>(
    tx: &mut Tx,
    column: &'static str,
    values: Vec<V>,
    found: &mut HashMap<Uuid, KnownDog>,
) -> StoreResult<()>
where
    S: diesel::sql_types::SingleValue + diesel::query_builder::QueryId + Send + 'static,
    Vec<V>: diesel::serialize::ToSql<Array<S>, diesel::pg::Pg> + Send,
    diesel::pg::Pg: diesel::sql_types::HasSqlType<S>,
{
    if values.is_empty() {
        return Ok(());
    }
    let query = format!(
        "SELECT id, imported_id, sex, born_on, sire_id, dam_id, chip_number \
         FROM dogs WHERE kennel_id = $1 AND {column} = ANY ($2)"
    );
    let rows = diesel::sql_query(query)
        .bind::<SqlUuid, _>(tx.scope.kennel_id())
        .bind::<Array<S>, _>(values)
        .load::<KnownRow>(&mut tx.conn)
        .await?;
    found.extend(rows.into_iter().map(|row| (row.id, KnownDog::from(row))));
    Ok(())
}

/// Every dog of the kennel with its parents.
async fn pedigree(tx: &mut Tx) -> StoreResult<Vec<PedigreeRow<Uuid>>> {
    use schema::dogs::dsl;
    let rows: Vec<(Uuid, Option<Uuid>, Option<Uuid>)> = dsl::dogs
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()))
        .select((dsl::id, dsl::sire_id, dsl::dam_id))
        .load(&mut tx.conn)
        .await?;
    Ok(rows.into_iter().map(|(id, sire, dam)| PedigreeRow { id, sire, dam }).collect())
}

#[derive(QueryableByName)]
struct IdRow {
    #[diesel(sql_type = SqlUuid)]
    id: Uuid,
}

/// Gives dogs of unknown sex the one that their role tells, before others name them as parents.
async fn sex(
    tx: &mut Tx,
    plan: &MergePlan,
    dry_run: bool,
    updated: &mut BTreeSet<Uuid>,
) -> StoreResult<()> {
    updated.extend(plan.sexed.iter().map(|(id, _)| *id));
    if dry_run || plan.sexed.is_empty() {
        return Ok(());
    }
    let (ids, sexes): (Vec<Uuid>, Vec<&str>) =
        plan.sexed.iter().map(|(id, sex)| (*id, sex.as_str())).unzip();
    diesel::sql_query(
        "UPDATE dogs SET sex = n.sex FROM unnest($2, $3) AS n (id, sex) \
         WHERE kennel_id = $1 AND dogs.id = n.id",
    )
    .bind::<SqlUuid, _>(tx.scope.kennel_id())
    .bind::<Array<SqlUuid>, _>(ids)
    .bind::<Array<Text>, _>(sexes)
    .execute(&mut tx.conn)
    .await?;
    Ok(())
}

/// What the statements below take, one array a column.
const STATED: &str = "unnest($2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18, $19) \
    WITH ORDINALITY AS n (id, sire_id, dam_id, imported_id, name, call_name, sex, breed, colour, markings, \
    born_on, died_on, chip_number, registrations, adult_weight_g, residence, for_breeding, note, place)";

macro_rules! bound {
    ($query:expr, $tx:ident, $dogs:ident) => {{
        let words = |of: fn(&ImportedDog) -> Option<&str>| -> Vec<Option<&str>> {
            $dogs.iter().map(|dog| of(&dog.stated)).collect()
        };
        diesel::sql_query($query)
            .bind::<SqlUuid, _>($tx.scope.kennel_id())
            .bind::<Array<SqlUuid>, _>($dogs.iter().map(|dog| dog.id).collect::<Vec<_>>())
            .bind::<Array<Nullable<SqlUuid>>, _>(
                $dogs.iter().map(|dog| dog.sire_id).collect::<Vec<_>>(),
            )
            .bind::<Array<Nullable<SqlUuid>>, _>(
                $dogs.iter().map(|dog| dog.dam_id).collect::<Vec<_>>(),
            )
            .bind::<Array<Nullable<Text>>, _>(words(|dog| Some(&dog.imported_id)))
            .bind::<Array<Nullable<Text>>, _>(words(|dog| dog.name.as_deref()))
            .bind::<Array<Nullable<Text>>, _>(words(|dog| dog.call_name.as_deref()))
            .bind::<Array<Nullable<Text>>, _>(words(|dog| dog.sex.map(StatedSex::as_str)))
            .bind::<Array<Nullable<Text>>, _>(words(|dog| dog.breed.as_deref()))
            .bind::<Array<Nullable<Text>>, _>(words(|dog| dog.colour.as_deref()))
            .bind::<Array<Nullable<Text>>, _>(words(|dog| dog.markings.as_deref()))
            .bind::<Array<Nullable<Word>>, _>(
                $dogs.iter().map(|dog| dog.stated.born_on).collect::<Vec<_>>(),
            )
            .bind::<Array<Nullable<Date>>, _>(
                $dogs.iter().map(|dog| dog.stated.died_on).collect::<Vec<_>>(),
            )
            .bind::<Array<Nullable<Text>>, _>(words(|dog| dog.chip_number.as_deref()))
            .bind::<Array<Nullable<Shape>>, _>(
                $dogs.iter().map(|dog| registrations(&dog.stated)).collect::<Vec<_>>(),
            )
            .bind::<Array<Nullable<Integer>>, _>(
                $dogs.iter().map(|dog| dog.stated.adult_weight_g).collect::<Vec<_>>(),
            )
            .bind::<Array<Nullable<Text>>, _>(words(|dog| {
                dog.lives_here.map(|here| if here { "here" } else { "elsewhere" })
            }))
            .bind::<Array<Nullable<Bool>>, _>(
                $dogs.iter().map(|dog| dog.stated.for_breeding).collect::<Vec<_>>(),
            )
            .bind::<Array<Nullable<Text>>, _>(words(|dog| dog.note.as_deref()))
    }};
}

/// `None` where the file says nothing.
fn registrations(dog: &ImportedDog) -> Option<JsonList<Registration>> {
    let entry = |entry: &StatedRegistration| Registration {
        registry: entry.registry.to_string(),
        number: entry.number.to_string(),
    };
    let entries: Vec<Registration> = dog.registrations.iter().map(entry).collect();
    (!entries.is_empty()).then_some(JsonList(entries))
}

async fn insert(tx: &mut Tx, dogs: &[PlacedDog]) -> StoreResult<()> {
    let today = tx.scope.today();
    let query = format!(
        "INSERT INTO dogs (kennel_id, id, sire_id, dam_id, imported_id, name, call_name, sex, breed, colour, \
             markings, born_on, died_on, chip_number, registrations, adult_weight_g, residence, for_breeding, note, \
             came_on) \
         SELECT $1, id, sire_id, dam_id, imported_id, name, call_name, sex, breed, colour, markings, born_on, died_on, \
             chip_number, coalesce(registrations, '[]'), adult_weight_g, coalesce(residence, 'elsewhere'), \
             coalesce(for_breeding, false), note, CASE WHEN residence = 'here' THEN DATE '{today}' END \
             FROM {STATED} ORDER BY place"
    );
    bound!(query, tx, dogs).execute(&mut tx.conn).await?;
    Ok(())
}

/// Writes what the file states differently; what it leaves open stays.
async fn update(
    tx: &mut Tx,
    dogs: &[PlacedDog],
    dry_run: bool,
    updated: &mut BTreeSet<Uuid>,
) -> StoreResult<()> {
    const FIELDS: [&str; 16] = [
        "sire_id",
        "dam_id",
        "name",
        "call_name",
        "sex",
        "breed",
        "colour",
        "markings",
        "born_on",
        "died_on",
        "chip_number",
        "registrations",
        "adult_weight_g",
        "residence",
        "for_breeding",
        "note",
    ];
    let list = |of: fn(&str) -> String| FIELDS.map(of).join(", ");
    let stated = list(|field| format!("coalesce(n.{field}, d.{field})"));
    let present = list(|field| format!("d.{field}"));
    let differs =
        format!("d.kennel_id = $1 AND d.id = n.id AND ({stated}) IS DISTINCT FROM ({present})");
    let query = if dry_run {
        format!("SELECT d.id FROM dogs d, {STATED} WHERE {differs}")
    } else {
        let fields = FIELDS.join(", ");
        format!(
            "UPDATE dogs d SET ({fields}) = ROW({stated}) FROM {STATED} WHERE {differs} RETURNING d.id"
        )
    };
    let rows: Vec<IdRow> = bound!(query, tx, dogs).load(&mut tx.conn).await?;
    updated.extend(rows.into_iter().map(|row| row.id));
    Ok(())
}

#[derive(QueryableByName)]
struct PairRow {
    #[diesel(sql_type = SqlUuid)]
    child: Uuid,
    #[diesel(sql_type = SqlUuid)]
    parent: Uuid,
}

/// Refuses what somebody else wrote meanwhile to contradict the file: the row-by-row check of
/// births is off during an import.
async fn check_ages(tx: &mut Tx, plan: &MergePlan) -> StoreResult<()> {
    let ids: Vec<Uuid> = plan.new.iter().chain(&plan.known).map(|dog| dog.id).collect();
    let rows: Vec<PairRow> = diesel::sql_query(
        "WITH touched AS MATERIALIZED (SELECT unnest($2) AS id) \
         SELECT c.id AS child, p.id AS parent FROM touched t \
         JOIN dogs c ON c.kennel_id = $1 AND c.id = t.id \
         JOIN dogs p ON p.kennel_id = $1 AND p.id = c.sire_id WHERE NOT born_before(p.born_on, c.born_on) \
         UNION ALL SELECT c.id, p.id FROM touched t \
         JOIN dogs c ON c.kennel_id = $1 AND c.id = t.id \
         JOIN dogs p ON p.kennel_id = $1 AND p.id = c.dam_id WHERE NOT born_before(p.born_on, c.born_on) \
         UNION ALL SELECT c.id, p.id FROM touched t \
         JOIN dogs p ON p.kennel_id = $1 AND p.id = t.id \
         JOIN dogs c ON c.kennel_id = $1 AND c.sire_id = p.id WHERE NOT born_before(p.born_on, c.born_on) \
         UNION ALL SELECT c.id, p.id FROM touched t \
         JOIN dogs p ON p.kennel_id = $1 AND p.id = t.id \
         JOIN dogs c ON c.kennel_id = $1 AND c.dam_id = p.id WHERE NOT born_before(p.born_on, c.born_on) \
         LIMIT 1",
    )
    .bind::<SqlUuid, _>(tx.scope.kennel_id())
    .bind::<Array<SqlUuid>, _>(ids)
    .load(&mut tx.conn)
    .await?;
    match rows.as_slice().first() {
        None => Ok(()),
        Some(PairRow { child, parent }) => Err(StoreError::Conflict(format!(
            "a birth was changed meanwhile: parent {parent} would not be older than {child}; try again"
        ))),
    }
}
