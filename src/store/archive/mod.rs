//! A kennel as one archive: written whole, and taken in whole or not at all.

mod export;
mod import;
mod whole;

pub use export::{Exported, export};
pub use import::{Arrived, ArrivedRows, LeftOut, restoring_scope, take_in};

use super::{Db, StoreError, StoreResult};
use diesel::{
    QueryableByName,
    pg::Pg,
    sql_types::{Array, Bool, Text},
};
use diesel_async::{AsyncConnectionCore, RunQueryDsl as _};
use domain::archive::{ArchiveColumn, ArchiveTable, CellKind, tables};
use std::collections::BTreeMap;

/// The columns of each table of an archive, as the database has them.
pub type Shapes = BTreeMap<String, Vec<ArchiveColumn>>;

#[derive(QueryableByName)]
struct ColumnRow {
    #[diesel(sql_type = Text)]
    table_name: String,
    #[diesel(sql_type = Text)]
    column_name: String,
    #[diesel(sql_type = Text)]
    sql_type: String,
    #[diesel(sql_type = Bool)]
    required: bool,
}

/// The columns of the tables: whatever migrations add to a table is part of the archive.
///
/// # Errors
/// When the database is away.
pub async fn shapes(db: &Db) -> StoreResult<Shapes> {
    shapes_on(&mut *db.connection().await?).await
}

async fn shapes_on(conn: &mut impl AsyncConnectionCore<Backend = Pg>) -> StoreResult<Shapes> {
    let names: Vec<&str> = tables().map(|table| table.name).collect();
    let rows: Vec<ColumnRow> = diesel::sql_query(
        "SELECT c.relname::text AS table_name, a.attname::text AS column_name, \
             format_type(a.atttypid, a.atttypmod) AS sql_type, a.attnotnull AND NOT a.atthasdef AS required \
         FROM pg_attribute a JOIN pg_class c ON c.oid = a.attrelid \
         WHERE c.relnamespace = 'public'::regnamespace AND c.relkind = 'r' AND c.relname = ANY ($1) \
           AND a.attnum > 0 AND NOT a.attisdropped AND a.attgenerated = '' AND a.attname <> 'kennel_id' \
         ORDER BY c.relname, a.attnum",
    )
    .bind::<Array<Text>, _>(names)
    .load(conn)
    .await?;
    let mut shapes = Shapes::new();
    for row in rows {
        let Some(table) = tables().find(|table| table.name == row.table_name) else {
            continue;
        };
        if let Some(column) = column(table, row)? {
            shapes.entry(table.name.to_owned()).or_default().push(column);
        }
    }
    Ok(shapes)
}

fn column(table: &ArchiveTable, row: ColumnRow) -> StoreResult<Option<ArchiveColumn>> {
    let ColumnRow { table_name, column_name: name, sql_type, required } = row;
    if table.derived.contains(&name.as_str()) {
        return Ok(None);
    }
    let kind = CellKind::of_type(&sql_type).ok_or_else(|| {
        StoreError::Internal(format!("{table_name}.{name} is {sql_type}, which no archive holds"))
    })?;
    let kind = if table.people.contains(&name.as_str()) { CellKind::Person } else { kind };
    Ok(Some(ArchiveColumn { name, kind, required }))
}

/// A name as SQL takes it; all come from the database's own catalogue.
fn quoted(name: &str) -> String {
    format!("\"{}\"", name.replace('"', "\"\""))
}
