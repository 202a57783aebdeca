//! Writes a kennel's archive.

use super::{Shapes, quoted, shapes_on};
use crate::{Db, StoreError, StoreResult, Tx, aside, kennels, scope::Scope};
use chrono::{DateTime, Utc};
use diesel::{
    ExpressionMethods as _, QueryDsl as _, QueryableByName,
    sql_types::{Array, BigInt, Nullable, Text, Uuid as SqlUuid},
};
use diesel_async::RunQueryDsl as _;
use domain::{
    archive::{
        ArchiveColumn, ArchiveManifest, ArchiveWriter, CellKind, FileHolds, HISTORY, PEOPLE,
        manifest::{FORMAT, FORMAT_VERSION, NOTATION},
        tables,
    },
    record::Kennel,
};
use std::io::{Seek, Write};
use uuid::Uuid;

/// Rows read at once.
const PAGE: i64 = 2_000;

impl From<zip::result::ZipError> for StoreError {
    fn from(error: zip::result::ZipError) -> Self {
        Self::Internal(format!("the archive could not be written: {error}"))
    }
}

#[derive(QueryableByName)]
struct CellsRow {
    #[diesel(sql_type = Array<Nullable<Text>>)]
    cells: Vec<Option<String>>,
}

#[derive(QueryableByName)]
struct VersionRow {
    #[diesel(sql_type = Text)]
    version: String,
}

/// An archive with all rows, to which the files of pictures and papers are still to be added.
pub struct Exported<W: Write + Seek> {
    /// The archive.
    pub archive: ArchiveWriter<W>,
    /// What it will say about itself.
    pub manifest: ArchiveManifest,
    /// SHA-256 of the files, each once.
    pub pictures: Vec<String>,
}

/// Writes the kennel as an archive, as it stands at one moment, into what `out` makes: it is asked again where a
/// standby fails on the way.
///
/// Its files are never changed, and stay for a while after the last row that names them: so they may be added
/// afterwards, and are of the same moment.
///
/// # Errors
/// When the role does not allow it, or the database is away.
pub async fn export<W: Write + Seek + Send + 'static>(
    db: &Db,
    scope: &Scope,
    now: DateTime<Utc>,
    out: impl Fn() -> StoreResult<W>,
) -> StoreResult<Exported<W>> {
    scope.require_all()?;
    db.read_at_one_moment(scope, async |tx| Box::pin(write(tx, now, out()?)).await).await
}

async fn write<W: Write + Seek + Send + 'static>(
    tx: &mut Tx,
    now: DateTime<Utc>,
    out: W,
) -> StoreResult<Exported<W>> {
    let shapes: Shapes = shapes_on(&mut tx.conn).await?;
    let schema = diesel::sql_query(
        "SELECT coalesce(max(version), '') AS version FROM __diesel_schema_migrations",
    )
    .get_result::<VersionRow>(&mut tx.conn)
    .await?
    .version;
    let mut archive = ArchiveWriter::new(out);
    for table in tables() {
        let columns = shapes.get(table.name).map(Vec::as_slice).unwrap_or_default();
        let shape: Vec<(&str, CellKind)> =
            columns.iter().map(|column| (column.name.as_str(), column.kind)).collect();
        archive.begin(&table.file(), FileHolds::Records, &shape)?;
        archive = write_table(tx, archive, table.name, columns).await?;
    }
    archive = write_people(tx, archive).await?;
    archive = write_history(tx, archive).await?;
    let (collars, vet_phone) = (kennels::collars(tx).await?, kennels::vet_phone(tx).await?);
    let (weight_unit, temperature_unit) = kennels::units(tx).await?;
    let manifest = ArchiveManifest {
        format: FORMAT.to_owned(),
        format_version: FORMAT_VERSION,
        schema,
        written_at: now,
        kennel_id: tx.scope.kennel_id(),
        kennel: Kennel {
            collars,
            vet_phone,
            weight_unit,
            temperature_unit,
            ..tx.scope.kennel().clone()
        },
        notation: NOTATION.to_owned(),
        files: Vec::new(),
    };
    let pictures = {
        use crate::schema::attachments::dsl;
        dsl::attachments
            .filter(dsl::kennel_id.eq(tx.scope.kennel_id()))
            .select(dsl::sha256)
            .distinct()
            .order(dsl::sha256)
            .load(&mut tx.conn)
            .await?
    };
    Ok(Exported { archive, manifest, pictures })
}

/// Adds rows to the archive, away from the threads that answer: they are compressed.
async fn added<W: Write + Seek + Send + 'static>(
    mut archive: ArchiveWriter<W>,
    rows: Vec<Vec<Option<String>>>,
) -> StoreResult<ArchiveWriter<W>> {
    Ok(aside(move || archive.rows(&rows).map(|()| archive)).await??)
}

/// How a column is selected as the text of its cell.
fn selected(column: &ArchiveColumn) -> String {
    let name = quoted(&column.name);
    match column.kind {
        CellKind::Time => {
            format!("to_char({name} AT TIME ZONE 'UTC', 'YYYY-MM-DD\"T\"HH24:MI:SS.US\"Z\"')")
        }
        CellKind::Person => format!("address_of({name})"),
        _ => format!("{name}::text"),
    }
}

async fn write_table<W: Write + Seek + Send + 'static>(
    tx: &mut Tx,
    mut archive: ArchiveWriter<W>,
    table: &str,
    columns: &[ArchiveColumn],
) -> StoreResult<ArchiveWriter<W>> {
    let place = columns
        .iter()
        .position(|column| column.name == "id")
        .ok_or_else(|| StoreError::Internal(format!("{table} has no id")))?;
    let cells: Vec<String> = columns.iter().map(selected).collect();
    let query = format!(
        "SELECT ARRAY[{}]::text[] AS cells FROM {} \
         WHERE kennel_id = $1 AND ($2 IS NULL OR id > $2) ORDER BY id LIMIT {PAGE}",
        cells.join(", "),
        quoted(table)
    );
    let mut after: Option<Uuid> = None;
    loop {
        let rows: Vec<CellsRow> = diesel::sql_query(&query)
            .bind::<SqlUuid, _>(tx.scope.kennel_id())
            .bind::<Nullable<SqlUuid>, _>(after)
            .load(&mut tx.conn)
            .await?;
        after = rows
            .last()
            .filter(|_| rows.len() as i64 == PAGE)
            .and_then(|row| row.cells.get(place)?.as_ref()?.parse().ok());
        archive = added(archive, rows.into_iter().map(|row| row.cells).collect()).await?;
        if after.is_none() {
            return Ok(archive);
        }
    }
}

/// Everybody whom the archive names, and the members.
async fn write_people<W: Write + Seek + Send + 'static>(
    tx: &mut Tx,
    mut archive: ArchiveWriter<W>,
) -> StoreResult<ArchiveWriter<W>> {
    let text = |name| (name, CellKind::Text);
    let columns = [text("email"), text("name"), text("role")];
    archive.begin(PEOPLE, FileHolds::Reading, &columns)?;
    let named: Vec<String> = tables()
        .flat_map(|table| table.people.iter().map(move |column| (table.name, *column)))
        .map(|(table, column)| {
            format!("SELECT {} FROM {} WHERE kennel_id = $1", quoted(column), quoted(table))
        })
        .collect();
    let rows: Vec<CellsRow> = diesel::sql_query(format!(
        "SELECT ARRAY[p.email, p.name, m.role]::text[] AS cells FROM people_of_log() p \
         LEFT JOIN memberships m ON m.kennel_id = $1 AND m.person_id = p.id \
         WHERE m.id IS NOT NULL OR p.id IN ({}) ORDER BY p.email",
        named.join(" UNION ")
    ))
    .bind::<SqlUuid, _>(tx.scope.kennel_id())
    .load(&mut tx.conn)
    .await?;
    added(archive, rows.into_iter().map(|row| row.cells).collect()).await
}

#[derive(QueryableByName)]
struct HistoryRow {
    #[diesel(sql_type = BigInt)]
    sequence: i64,
    #[diesel(sql_type = Array<Nullable<Text>>)]
    cells: Vec<Option<String>>,
}

/// The log of changes, as it is.
async fn write_history<W: Write + Seek + Send + 'static>(
    tx: &mut Tx,
    mut archive: ArchiveWriter<W>,
) -> StoreResult<ArchiveWriter<W>> {
    use CellKind::{BigInteger, Id, Json, Text as Words, Time};
    let columns = [
        ("sequence", BigInteger),
        ("at", Time),
        ("person", Words),
        ("what", Words),
        ("row_id", Id),
        ("action", Words),
        ("before", Json),
        ("after", Json),
    ];
    archive.begin(HISTORY, FileHolds::Reading, &columns)?;
    let query = format!(
        "SELECT c.sequence, ARRAY[c.sequence::text, to_char(c.at AT TIME ZONE 'UTC', 'YYYY-MM-DD\"T\"HH24:MI:SS.US\"Z\"'), \
             p.email, c.what, c.row_id::text, c.action, c.before::text, c.after::text]::text[] AS cells \
         FROM changes c LEFT JOIN people_of_log() p ON p.id = c.person_id \
         WHERE c.kennel_id = $1 AND c.sequence > $2 ORDER BY c.sequence LIMIT {PAGE}"
    );
    let mut after = 0;
    loop {
        let rows: Vec<HistoryRow> = diesel::sql_query(&query)
            .bind::<SqlUuid, _>(tx.scope.kennel_id())
            .bind::<BigInt, _>(after)
            .load(&mut tx.conn)
            .await?;
        let full = rows.len() as i64 == PAGE;
        after = rows.last().map_or(after, |row| row.sequence);
        archive = added(archive, rows.into_iter().map(|row| row.cells).collect()).await?;
        if !full {
            return Ok(archive);
        }
    }
}
