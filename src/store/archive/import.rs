//! Takes an archive in: a new kennel with all its rows, or nothing.

use super::{Shapes, quoted, whole::check_whole};
use crate::{
    Db, StoreError, StoreResult, Tx, constraint, kennels,
    scope::{self, Scope},
};
use catalogue::said;
use chrono::{DateTime, Utc};
use diesel::{
    ExpressionMethods as _, QueryDsl as _, QueryableByName,
    pg::Pg,
    sql_types::{Array, Bool, Nullable, Text, Uuid as SqlUuid},
};
use diesel_async::{RunQueryDsl as _, SimpleAsyncConnection as _};
use domain::{
    archive::{
        ArchiveColumn, ArchiveFile, ArchiveManifest, ArchiveRow, ArchiveTable, CellKind,
        CheckedArchive, MOST_FAULTS,
    },
    fault::Fault,
};
use security::credentials::Subject;
use std::sync::Arc;
use tokio::sync::mpsc;
use uuid::Uuid;

/// Rows written in one statement.
const BATCH: usize = 1_000;
/// Bytes of values from which on fewer lines make a batch: a line may have a megabyte.
const BATCH_BYTES: usize = 4 << 20;

/// Rows of a file that were written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ArrivedRows {
    /// The file.
    pub file: String,
    /// How many rows.
    pub rows: u64,
}

/// What of an archive stays outside.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LeftOut {
    /// The file.
    pub file: String,
    /// The column, when the row itself was written.
    pub column: Option<String>,
    /// How many rows.
    pub rows: u64,
    /// Why.
    pub why: catalogue::Text,
}

/// What has been taken in.
#[derive(Debug, Clone, Default)]
pub struct Arrived {
    /// Files with rows.
    pub files: Vec<ArrivedRows>,
    /// What was left out.
    pub left_out: Vec<LeftOut>,
}

/// The scope in which a person takes an archive in: the kennel that it holds, which is not here
/// yet, under its own id or, for a copy and beside kennels of others, under a new one.
///
/// # Errors
/// When the database is away.
pub async fn restoring_scope(
    db: &Db,
    subject: Subject,
    manifest: &ArchiveManifest,
    copy: bool,
    now: DateTime<Utc>,
) -> StoreResult<Scope> {
    let scope = scope::founding(subject, &manifest.kennel, now);
    if copy {
        return Ok(scope);
    }
    let asked = diesel::sql_query("SELECT keeps_its_id($1, $2) AS keeps")
        .bind::<SqlUuid, _>(subject.session_id)
        .bind::<SqlUuid, _>(manifest.kennel_id)
        .get_result::<KeepsId>(&mut db.connection().await?)
        .await?;
    Ok(if asked.keeps { scope.founding_as(manifest.kennel_id) } else { scope })
}

#[derive(QueryableByName)]
struct KeepsId {
    #[diesel(sql_type = Bool)]
    keeps: bool,
}

/// Founds the kennel of an archive and writes all its rows; the archive has been checked.
///
/// # Errors
/// [`StoreError::Conflict`] when the kennel is here already; [`StoreError::Refused`] with every
/// row that does not go with the others, by file and line.
pub async fn take_in<B: AsRef<[u8]> + Clone + Send + Sync + 'static>(
    tx: &mut Tx,
    source: &Arc<CheckedArchive<B>>,
    shapes: &Shapes,
) -> StoreResult<Arrived> {
    kennels::found(tx).await?;
    let email: String = crate::schema::people::table
        .filter(crate::schema::people::id.eq(tx.scope.person_id()))
        .select(crate::schema::people::email)
        .first(&mut tx.conn)
        .await?;
    tx.conn
        .batch_execute(
            "SET LOCAL denwright.import = 'yes'; SET LOCAL denwright.parents_later = 'yes'",
        )
        .await?;
    let mut taking = Taking {
        was: source.manifest().kennel_id,
        email,
        arrived: Arrived::default(),
        faults: Vec::new(),
    };
    for (table, file) in source.tables() {
        let columns = shapes.get(table.name).ok_or(StoreError::NotFound)?;
        if !taking.table(tx, source, table, file, columns).await? {
            break;
        }
    }
    if source.tables().any(|(table, file)| of_former_edition(table, file)) {
        mark_birth_weights(tx).await?;
    }
    taking.faults.extend(check_whole(tx, source, shapes).await?);
    taking.faults.truncate(MOST_FAULTS);
    if !taking.faults.is_empty() {
        return Err(StoreError::Refused(taking.faults));
    }
    tx.conn.batch_execute("SET CONSTRAINTS dogs_parents IMMEDIATE").await?;
    for file in &source.manifest().files {
        if ArchiveTable::of_file(&file.name).is_none() {
            let (file, rows) = (file.name.clone(), file.rows);
            let why = said!("archive-left-for-reading");
            taking.arrived.left_out.push(LeftOut { file, column: None, rows, why });
        }
    }
    Ok(taking.arrived)
}

/// Whether a file has a column that only earlier editions wrote.
fn of_former_edition(table: &ArchiveTable, file: &ArchiveFile) -> bool {
    table.former.iter().any(|former| file.columns.iter().any(|column| column == former))
}

/// In an archive of an earlier edition a weight at birth is known by its time alone.
async fn mark_birth_weights(tx: &mut Tx) -> StoreResult<()> {
    diesel::sql_query(
        "UPDATE weights w SET at_birth = true FROM births b \
         WHERE b.kennel_id = $1 AND w.kennel_id = $1 AND w.id = ( \
             SELECT o.id FROM weights o \
             WHERE o.kennel_id = $1 AND o.dog_id = b.dog_id AND o.measured_at = b.born_at \
             ORDER BY o.id LIMIT 1)",
    )
    .bind::<SqlUuid, _>(tx.scope.kennel_id())
    .execute(&mut tx.conn)
    .await?;
    Ok(())
}

/// A line of a file with its values.
struct Line {
    number: u64,
    row: ArchiveRow,
}

struct Taking {
    /// The kennel's id in the archive: rows of which a kennel has one carry it.
    was: Uuid,
    /// Whoever takes it in: of all people in the archive, only they are known here.
    email: String,
    arrived: Arrived,
    faults: Vec<Fault>,
}

impl Taking {
    /// Writes the rows of a table; `false` when there are too many faults to go on.
    async fn table<B: AsRef<[u8]> + Clone + Send + Sync + 'static>(
        &mut self,
        tx: &mut Tx,
        source: &Arc<CheckedArchive<B>>,
        table: &ArchiveTable,
        file: &ArchiveFile,
        columns: &[ArchiveColumn],
    ) -> StoreResult<bool> {
        // What the file does not have takes its default.
        let has = |column: &&ArchiveColumn| file.columns.contains(&column.name);
        let columns: Vec<ArchiveColumn> = columns.iter().filter(has).cloned().collect();
        let query = insertion(table.name, &columns);
        let columns = columns.as_slice();
        let mut batches = read(source, file, columns);
        let mut written = 0;
        while let Some(batch) = batches.recv().await {
            let mut batch = batch.map_err(StoreError::Refused)?;
            self.people(tx, file, columns, &mut batch);
            self.own_ids(tx, columns, &mut batch);
            written += batch.len() as u64;
            let whole = tx.attempt(async |tx| insert(tx, &query, columns, &batch).await).await;
            match whole {
                Ok(()) => {}
                Err(Failure::Ours(error)) => return Err(error),
                Err(Failure::Row(_)) => {
                    self.line_by_line(tx, &query, file, columns, &batch).await?;
                }
            }
            if self.faults.len() >= MOST_FAULTS {
                return Ok(false);
            }
        }
        let rows = ArrivedRows { file: file.name.clone(), rows: written };
        self.arrived.files.push(rows);
        Ok(true)
    }

    /// Finds the lines that do not go with what was written before.
    async fn line_by_line(
        &mut self,
        tx: &mut Tx,
        query: &str,
        file: &ArchiveFile,
        columns: &[ArchiveColumn],
        batch: &[Line],
    ) -> StoreResult<()> {
        for line in batch {
            let one = std::slice::from_ref(line);
            match tx.attempt(async |tx| insert(tx, query, columns, one).await).await {
                Ok(()) => {}
                Err(Failure::Ours(error)) => return Err(error),
                Err(Failure::Row(fault)) => {
                    let pointer = format!("{}#line/{}{}", file.name, line.number, fault.pointer);
                    self.faults.push(Fault { pointer, ..fault });
                }
            }
            if self.faults.len() >= MOST_FAULTS {
                break;
            }
        }
        Ok(())
    }

    /// Puts the person who takes the archive in where it names them. Others are not looked up:
    /// whether an address has a login here is nobody's to find out.
    fn people(
        &mut self,
        tx: &Tx,
        file: &ArchiveFile,
        columns: &[ArchiveColumn],
        batch: &mut Vec<Line>,
    ) {
        let own = tx.scope.person_id().to_string();
        for (place, column) in
            columns.iter().enumerate().filter(|(_, column)| column.kind == CellKind::Person)
        {
            let mut lost = 0;
            for line in batch.iter_mut() {
                let Some(value) = line.row.get_mut(place) else { continue };
                let named = value.take();
                *value = named
                    .clone()
                    .filter(|name| name.eq_ignore_ascii_case(&self.email))
                    .map(|_| own.clone());
                lost += u64::from(named.is_some() && value.is_none());
            }
            if column.required {
                batch.retain(|line| line.row.get(place).is_some_and(Option::is_some));
            }
            if lost > 0 {
                self.leave_out(file, column, lost);
            }
        }
    }

    fn leave_out(&mut self, file: &ArchiveFile, column: &ArchiveColumn, rows: u64) {
        let name = (!column.required).then(|| column.name.clone());
        let known = |left: &&mut LeftOut| left.file == file.name && left.column == name;
        if let Some(left) = self.arrived.left_out.iter_mut().find(known) {
            left.rows += rows;
            return;
        }
        let why = said!("archive-left-other-people");
        self.arrived.left_out.push(LeftOut { file: file.name.clone(), column: name, rows, why });
    }

    /// A row that has the kennel's own id has the new one of a copy.
    fn own_ids(&self, tx: &Tx, columns: &[ArchiveColumn], batch: &mut [Line]) {
        let (was, is) = (self.was.to_string(), tx.scope.kennel_id().to_string());
        let Some(place) = columns.iter().position(|column| column.name == "id") else { return };
        for line in batch.iter_mut() {
            if let Some(Some(id)) = line.row.get_mut(place).filter(|id| id.as_deref() == Some(&was))
            {
                id.clone_from(&is);
            }
        }
    }
}

/// Reads a file on a thread of its own, a batch ahead.
fn read<B: AsRef<[u8]> + Clone + Send + Sync + 'static>(
    source: &Arc<CheckedArchive<B>>,
    file: &ArchiveFile,
    columns: &[ArchiveColumn],
) -> mpsc::Receiver<Result<Vec<Line>, Vec<Fault>>> {
    let (send, batches) = mpsc::channel(1);
    let (source, file, columns) = (Arc::clone(source), file.clone(), columns.to_vec());
    tokio::task::spawn_blocking(move || {
        let mut batch = Vec::with_capacity(BATCH);
        let mut bytes = 0;
        let read = source.rows(&file, &columns, &mut |number, row| {
            bytes += row.iter().flatten().map(String::len).sum::<usize>();
            batch.push(Line { number, row });
            if batch.len() < BATCH && bytes < BATCH_BYTES {
                return true;
            }
            bytes = 0;
            // Nobody listens any more when the rows before were refused.
            send.blocking_send(Ok(std::mem::take(&mut batch))).is_ok()
        });
        let last = read.map(|()| batch);
        let _ = send.blocking_send(last);
    });
    batches
}

fn insertion(table: &str, columns: &[ArchiveColumn]) -> String {
    let list = |of: &dyn Fn(usize, &ArchiveColumn) -> String| {
        let parts: Vec<String> =
            columns.iter().enumerate().map(|(index, column)| of(index, column)).collect();
        parts.join(", ")
    };
    format!(
        "INSERT INTO {} (kennel_id, {}) SELECT $1, {} FROM unnest({}) AS n ({})",
        quoted(table),
        list(&|_, column| quoted(&column.name)),
        list(&|index, column| format!("n.c{index}::{}", sql_type(column.kind))),
        list(&|index, _| format!("${}::text[]", index + 2)),
        list(&|index, _| format!("c{index}")),
    )
}

fn sql_type(kind: CellKind) -> &'static str {
    match kind {
        CellKind::Id | CellKind::Person => "uuid",
        CellKind::Text => "text",
        CellKind::Day => "date",
        CellKind::Time => "timestamptz",
        CellKind::Integer => "integer",
        CellKind::BigInteger => "bigint",
        CellKind::Number => "double precision",
        CellKind::Truth => "boolean",
        CellKind::Json => "jsonb",
    }
}

/// Why rows were not written.
enum Failure {
    /// One of them does not go with the others.
    Row(Fault),
    /// Everything else.
    Ours(StoreError),
}

impl From<diesel::result::Error> for Failure {
    fn from(error: diesel::result::Error) -> Self {
        match constraint::explain_row(error) {
            Ok(fault) => Self::Row(fault),
            Err(error) => Self::Ours(error),
        }
    }
}

async fn insert(
    tx: &mut Tx,
    query: &str,
    columns: &[ArchiveColumn],
    lines: &[Line],
) -> Result<(), Failure> {
    let mut query =
        diesel::sql_query(query).into_boxed::<Pg>().bind::<SqlUuid, _>(tx.scope.kennel_id());
    for place in 0..columns.len() {
        let values: Vec<Option<&str>> =
            lines.iter().map(|line| line.row.get(place).and_then(Option::as_deref)).collect();
        query = query.bind::<Array<Nullable<Text>>, _>(values);
    }
    query.execute(&mut tx.conn).await?;
    Ok(())
}
