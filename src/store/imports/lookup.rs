//! The dogs that a file may mean by names and numbers.

use crate::{
    StoreResult, Tx,
    columns::{JsonList, Shape, Word},
};
use diesel::{
    QueryableByName,
    sql_types::{Array, Nullable, Text, Uuid as SqlUuid},
};
use diesel_async::RunQueryDsl as _;
use domain::{
    import::{
        fold::{MARKED, PLAIN, folded},
        known_dogs::KnownDog,
    },
    partial_date::PartialDate,
    record::{Registration, Sex},
};
use uuid::Uuid;

#[derive(QueryableByName)]
pub(super) struct KnownRow {
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
    #[diesel(sql_type = Nullable<Text>)]
    name: Option<String>,
    #[diesel(sql_type = Nullable<Text>)]
    call_name: Option<String>,
    #[diesel(sql_type = Nullable<Shape>)]
    registrations: Option<JsonList<Registration>>,
}

/// The columns of a [`KnownRow`] without names, which long files of ids do not need.
pub(super) const BY_ID: &str = "id, imported_id, sex, born_on, sire_id, dam_id, chip_number, \
    NULL::text AS name, NULL::text AS call_name, NULL::jsonb AS registrations";
const BY_NAME: &str =
    "id, imported_id, sex, born_on, sire_id, dam_id, chip_number, name, call_name, registrations";

impl From<KnownRow> for KnownDog {
    fn from(row: KnownRow) -> Self {
        let boxed = |text: Option<String>| text.map(String::into_boxed_str);
        let numbers = row.registrations.into_iter().flat_map(|JsonList(entries)| entries);
        Self {
            id: row.id,
            imported_id: boxed(row.imported_id),
            sex: row.sex,
            born_on: row.born_on,
            sire_id: row.sire_id,
            dam_id: row.dam_id,
            chip_number: boxed(row.chip_number),
            name: boxed(row.name),
            call_name: boxed(row.call_name),
            numbers: numbers.map(|entry| entry.number.into_boxed_str()).collect(),
        }
    }
}

/// The dogs that this person sees and that one of these texts may mean: by an id, a chip, a number in a register
/// or a name, without regard to case, accents and what stands between digits.
///
/// # Errors
/// When the database is away.
pub(super) async fn named(tx: &mut Tx, texts: &[String]) -> StoreResult<Vec<KnownDog>> {
    if texts.is_empty() {
        return Ok(Vec::new());
    }
    let names: Vec<String> = texts.iter().map(|text| folded(text)).collect();
    let numbers: Vec<String> = names.iter().map(|text| text.replace([' ', '-', '.'], "")).collect();
    let name = |column: &str| {
        format!(
            "regexp_replace(translate(lower(btrim({column})), $5, $6), '\\s+', ' ', 'g') = ANY ($3)"
        )
    };
    let number = |text: &str| format!("translate(lower({text}), $5 || ' -.', $6) = ANY ($4)");
    let query = format!(
        "SELECT {BY_NAME} FROM dogs WHERE kennel_id = $1 AND (imported_id = ANY ($2) OR id::text = ANY ($3) \
         OR name = ANY ($2) OR call_name = ANY ($2) OR {} OR {} OR {} \
         OR EXISTS (SELECT FROM jsonb_array_elements(registrations) AS entry WHERE {}))",
        name("name"),
        name("call_name"),
        number("chip_number"),
        number("(entry ->> 'number')"),
    );
    let rows = diesel::sql_query(query)
        .bind::<SqlUuid, _>(tx.scope.kennel_id())
        .bind::<Array<Text>, _>(texts.to_vec())
        .bind::<Array<Text>, _>(names)
        .bind::<Array<Text>, _>(numbers)
        .bind::<Text, _>(MARKED)
        .bind::<Text, _>(PLAIN)
        .load::<KnownRow>(&mut tx.conn)
        .await?;
    Ok(rows.into_iter().map(KnownDog::from).collect())
}

/// The dogs of the kennel that this person sees; `None` where there are more than so many.
///
/// # Errors
/// When the database is away.
pub(super) async fn all_of_few(tx: &mut Tx, most: usize) -> StoreResult<Option<Vec<KnownDog>>> {
    let query = format!("SELECT {BY_NAME} FROM dogs WHERE kennel_id = $1 LIMIT {}", most + 1);
    let rows = diesel::sql_query(query)
        .bind::<SqlUuid, _>(tx.scope.kennel_id())
        .load::<KnownRow>(&mut tx.conn)
        .await?;
    Ok((rows.len() <= most).then(|| rows.into_iter().map(KnownDog::from).collect()))
}
