//! Whole pedigrees into a kennel: all dogs of a file, or none.

use super::lookup::{self, BY_ID, KnownRow};
use crate::{
    MANY_ROWS, StoreError, StoreResult, Tx, aside,
    columns::{JsonList, Shape, Word},
    schema,
    scope::Right,
};
use catalogue::said;
use diesel::{
    ExpressionMethods as _, QueryDsl as _, Queryable, QueryableByName, Selectable,
    SelectableHelper as _,
    sql_types::{Array, Bool, Date, Integer, Nullable, Text, Uuid as SqlUuid},
};
use diesel_async::RunQueryDsl as _;
use domain::{
    fault::Fault,
    import::{
        ImportLine, ImportOutcome, ImportReport, LineFault,
        dogs::{
            ImportedDog, MergePlan, Merged, PedigreeFile, PlacedDog, StatedRegistration,
            check_new_parents, merge,
        },
        known_dogs::KnownDog,
    },
    pedigree::PedigreeRow,
    record::{Registration, Sex},
};
use std::collections::{BTreeSet, HashMap};
use uuid::Uuid;

/// Dogs written in one statement, which is one entry of the log: 8 MB of a wordy file, of which three copies are on the way at once.
const CHUNK: usize = 20_000;

/// Of a kennel with no more dogs all are read, where a file has more rows than that: a million ids are sent and looked up
/// for nothing otherwise.
const FEW_DOGS: usize = 1_000;

impl From<Vec<LineFault>> for StoreError {
    fn from(faults: Vec<LineFault>) -> Self {
        Self::Refused(faults.into_iter().map(Fault::from).collect())
    }
}

/// Adds the dogs of a file and updates those that are there: all of them, or none.
///
/// # Errors
/// [`StoreError::Refused`] with every line that contradicts the file or, unless it is only tried, the kennel's
/// dogs.
pub async fn import(tx: &mut Tx, file: PedigreeFile, dry_run: bool) -> StoreResult<ImportReport> {
    tx.scope.require(Right::Managing)?;
    // The lock that every change of parents takes: a second import waits, then updates.
    diesel::sql_query(
        "SELECT pg_advisory_xact_lock(hashtext('denwright parents'), hashtext($1::text)), \
         set_config('denwright.import', 'yes', true)",
    )
    .bind::<SqlUuid, _>(tx.scope.kennel_id())
    .execute(&mut tx.conn)
    .await?;
    if file.dogs.len() > MANY_ROWS {
        tx.expect_many_rows().await?;
    }
    let known = known_dogs(tx, &file).await?;
    let Merged { plan, mut faults, made_up } = aside(move || {
        let file = file.among(&known)?;
        Ok::<_, Vec<LineFault>>(merge(file, &known, Uuid::now_v7))
    })
    .await??;
    let plan = if plan.new_parents.is_empty() {
        plan
    } else {
        let kennel = pedigree(tx).await?;
        let (plan, loops) = aside(move || {
            let loops = check_new_parents(&plan, kennel).err();
            (plan, loops)
        })
        .await?;
        faults.extend(loops.into_iter().flatten());
        plan
    };
    if !dry_run && !faults.is_empty() {
        return Err(faults.into());
    }
    let changes = changes(tx, &plan).await?;
    if !dry_run {
        write(tx, &plan, !changes.is_empty()).await?;
    }
    let faults: Vec<Fault> =
        faults.into_iter().map(|fault| Fault::from(fault).in_brief()).collect();
    let report = aside(move || match faults.is_empty() {
        true => ImportReport::of_faultless(dry_run, lines(&plan, changes)),
        false => ImportReport::of(dry_run, lines(&plan, changes).collect(), faults),
    });
    Ok(report.await?.with_made_up(made_up))
}

async fn write(tx: &mut Tx, plan: &MergePlan, any_change: bool) -> StoreResult<()> {
    sex(tx, plan).await?;
    for chunk in plan.new.chunks(CHUNK) {
        insert(tx, &plan.at(chunk).collect::<Vec<_>>()).await?;
    }
    if any_change {
        for chunk in plan.known.chunks(CHUNK) {
            update(tx, &plan.at(chunk).collect::<Vec<_>>()).await?;
        }
    }
    check_ages(tx, plan).await
}

/// What becomes of each line.
fn lines(
    plan: &MergePlan,
    mut changes: HashMap<Uuid, Vec<String>>,
) -> impl Iterator<Item = ImportLine> {
    let line = |dog: PlacedDog<'_>, outcome, changes| {
        Some(ImportLine { line: dog.stated.line?, outcome, id: Some(dog.id), changes })
    };
    let new = plan.at(&plan.new);
    let new = new.filter_map(move |dog| line(dog, ImportOutcome::Created, Vec::new()));
    new.chain(plan.at(&plan.known).filter_map(move |dog| match changes.remove(&dog.id) {
        Some(changes) => line(dog, ImportOutcome::Updated, changes),
        None => line(dog, ImportOutcome::Unchanged, Vec::new()),
    }))
}

/// The dogs of the kennel that the file speaks of, with their parents and offspring.
async fn known_dogs(tx: &mut Tx, file: &PedigreeFile) -> StoreResult<Vec<KnownDog>> {
    if file.dogs.len() > FEW_DOGS
        && let Some(all) = lookup::all_of_few(tx, FEW_DOGS).await?
    {
        return Ok(all);
    }
    let mut found = HashMap::new();
    if file.has_ids {
        let own = file.dogs.iter().map(|dog| &*dog.imported_id);
        let parents = file.dogs.iter().flat_map(|dog| [&dog.sire, &dog.dam]).flatten();
        let named: BTreeSet<&str> = own.chain(parents.map(|text| &**text)).collect();
        let named: Vec<&str> = named.into_iter().collect();
        let own: Vec<Uuid> = named.iter().filter_map(|id| id.parse().ok()).collect();
        look_up::<Text, _>(tx, "imported_id", named, &mut found).await?;
        look_up::<SqlUuid, _>(tx, "id", own, &mut found).await?;
    }
    let chips: Vec<&str> = file.dogs.iter().filter_map(|dog| dog.chip_number.as_deref()).collect();
    look_up::<Text, _>(tx, "chip_number", chips, &mut found).await?;
    let by_ids: Vec<KnownDog> = found.values().cloned().collect();
    let open = file.unresolved(&by_ids);
    let named = lookup::named(tx, &open.texts).await?;
    found.extend(named.into_iter().map(|dog| (dog.id, dog)));
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
    let query = format!("SELECT {BY_ID} FROM dogs WHERE kennel_id = $1 AND {column} = ANY ($2)");
    let rows = diesel::sql_query(query)
        .bind::<SqlUuid, _>(tx.scope.kennel_id())
        .bind::<Array<S>, _>(values)
        .load::<KnownRow>(&mut tx.conn)
        .await?;
    for dog in rows.into_iter().map(KnownDog::from) {
        // What was found by its name has more to tell.
        found.entry(dog.id).or_insert(dog);
    }
    Ok(())
}

/// A dog with its parents.
#[derive(Queryable, Selectable)]
#[diesel(table_name = schema::dogs)]
struct ParentsRow {
    id: Uuid,
    sire_id: Option<Uuid>,
    dam_id: Option<Uuid>,
}

/// Every dog of the kennel with its parents.
async fn pedigree(tx: &mut Tx) -> StoreResult<Vec<PedigreeRow<Uuid>>> {
    use schema::dogs::dsl;
    let rows: Vec<ParentsRow> = dsl::dogs
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()))
        .select(ParentsRow::as_select())
        .load(&mut tx.conn)
        .await?;
    let row = |ParentsRow { id, sire_id: sire, dam_id: dam }| PedigreeRow { id, sire, dam };
    Ok(rows.into_iter().map(row).collect())
}

/// Gives dogs of unknown sex the one that their role tells, before others name them as parents.
async fn sex(tx: &mut Tx, plan: &MergePlan) -> StoreResult<()> {
    if plan.sexed.is_empty() {
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
    AS n (id, sire_id, dam_id, imported_id, name, call_name, sex, breed, colour, markings, \
    born_on, died_on, chip_number, registrations, adult_weight_g, residence, for_breeding, note)";

macro_rules! bound {
    ($query:expr, $tx:ident, $dogs:ident) => {{
        let words = |of: fn(&ImportedDog) -> Option<&str>| -> Vec<Option<&str>> {
            $dogs.iter().map(|dog| of(dog.stated)).collect()
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
            .bind::<Array<Nullable<Text>>, _>(words(|dog| {
                (!dog.without_id).then_some(&*dog.imported_id)
            }))
            .bind::<Array<Nullable<Text>>, _>(words(|dog| dog.name.as_deref()))
            .bind::<Array<Nullable<Text>>, _>(words(|dog| dog.call_name.as_deref()))
            .bind::<Array<Nullable<Text>>, _>(words(|dog| dog.sex.map(Sex::as_str)))
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
                $dogs.iter().map(|dog| registrations(dog.stated)).collect::<Vec<_>>(),
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

async fn insert(tx: &mut Tx, dogs: &[PlacedDog<'_>]) -> StoreResult<()> {
    let today = tx.scope.today();
    let query = format!(
        "INSERT INTO dogs (kennel_id, id, sire_id, dam_id, imported_id, name, call_name, sex, breed, colour, \
             markings, born_on, died_on, chip_number, registrations, adult_weight_g, residence, for_breeding, note, \
             came_on) \
         SELECT $1, id, sire_id, dam_id, imported_id, name, call_name, sex, breed, colour, markings, born_on, died_on, \
             chip_number, coalesce(registrations, '[]'), adult_weight_g, coalesce(residence, 'elsewhere'), \
             coalesce(for_breeding, false), note, CASE WHEN residence = 'here' THEN DATE '{today}' END \
             FROM {STATED}"
    );
    bound!(query, tx, dogs).execute(&mut tx.conn).await?;
    Ok(())
}

/// What a file can change of a dog.
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

#[derive(QueryableByName)]
struct ChangeRow {
    #[diesel(sql_type = SqlUuid)]
    id: Uuid,
    #[diesel(sql_type = Array<Text>)]
    fields: Vec<String>,
}

/// The dogs that the file states differently, with the fields in which they differ.
async fn changes(tx: &mut Tx, plan: &MergePlan) -> StoreResult<HashMap<Uuid, Vec<String>>> {
    let differs = |field: &str| match field {
        // Another sex than the kennel's is a fault, not a change.
        "sex" => "(n.sex IS NOT NULL AND d.sex IS NULL)".to_owned(),
        _ => format!("coalesce(n.{field}, d.{field}) IS DISTINCT FROM d.{field}"),
    };
    let told = FIELDS.map(|field| format!("CASE WHEN {} THEN '{field}' END", differs(field)));
    let any = FIELDS.map(differs).join(" OR ");
    let query = format!(
        "SELECT d.id, array_remove(ARRAY[{}], NULL) AS fields FROM dogs d, {STATED} \
         WHERE d.kennel_id = $1 AND d.id = n.id AND ({any})",
        told.join(", ")
    );
    let mut changes: HashMap<Uuid, Vec<String>> = HashMap::new();
    for chunk in plan.known.chunks(CHUNK) {
        let dogs: Vec<PlacedDog<'_>> = plan.at(chunk).collect();
        let rows: Vec<ChangeRow> = bound!(&query, tx, dogs).load(&mut tx.conn).await?;
        changes.extend(rows.into_iter().map(|row| (row.id, row.fields)));
    }
    for (id, _) in &plan.sexed {
        let fields = changes.entry(*id).or_default();
        if !fields.iter().any(|field| field == "sex") {
            fields.push("sex".to_owned());
        }
    }
    Ok(changes)
}

/// Writes what the file states differently; what it leaves open stays. Who comes to live here came today, as with
/// any write of a dog.
async fn update(tx: &mut Tx, dogs: &[PlacedDog<'_>]) -> StoreResult<()> {
    let today = tx.scope.today();
    let list = |of: fn(&str) -> String| FIELDS.map(of).join(", ");
    let stated = list(|field| format!("coalesce(n.{field}, d.{field})"));
    let present = list(|field| format!("d.{field}"));
    let query = format!(
        "UPDATE dogs d SET ({}, came_on) = ROW({stated}, \
             CASE WHEN n.residence = 'here' AND d.residence <> 'here' THEN coalesce(d.came_on, DATE '{today}') \
                  ELSE d.came_on END) FROM {STATED} \
         WHERE d.kennel_id = $1 AND d.id = n.id AND ({stated}) IS DISTINCT FROM ({present})",
        FIELDS.join(", ")
    );
    bound!(query, tx, dogs).execute(&mut tx.conn).await?;
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
    let ids = plan.beside_known();
    if ids.is_empty() {
        return Ok(());
    }
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
        Some(PairRow { child, parent }) => Err(StoreError::Conflict(said!(
            "problem-conflict-birth-changed",
            parent = parent.to_string(),
            child = child.to_string()
        ))),
    }
}
