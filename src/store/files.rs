//! Which files of pictures and papers rows refer to. Their bytes lie elsewhere.

use super::{Db, StoreResult, Tx, line::Line, statement::statement};
use diesel::{
    QueryDsl as _, QueryableByName,
    sql_types::{Array, Bool, Text, Uuid as SqlUuid},
};
use diesel_async::RunQueryDsl as _;
use uuid::Uuid;

#[derive(QueryableByName)]
struct FileRow {
    #[diesel(sql_type = SqlUuid)]
    kennel_id: Uuid,
    #[diesel(sql_type = Text)]
    sha256: String,
}

/// Those of these files (the kennel, and SHA-256) that no row refers to, and no change that could be undone.
///
/// # Errors
/// When the database is away.
pub async fn of_no_row(db: &Db, files: &[(Uuid, String)]) -> StoreResult<Vec<(Uuid, String)>> {
    let (kennels, sums): (Vec<Uuid>, Vec<String>) = files.iter().cloned().unzip();
    let rows: Vec<FileRow> = statement("SELECT kennel_id, sha256 FROM files_of_no_row($1, $2)")
        .bind::<Array<SqlUuid>, _>(kennels)
        .bind::<Array<Text>, _>(sums)
        .load(&mut db.connection().await?)
        .await?;
    Ok(rows.into_iter().map(|row| (row.kennel_id, row.sha256)).collect())
}

#[derive(QueryableByName)]
struct KnownRow {
    #[diesel(sql_type = Bool)]
    known: bool,
}

/// Whether a row of this kennel, or a change that could be undone, refers to a file: so it is there.
///
/// # Errors
/// When the database is away.
pub(crate) async fn is_remembered(tx: &mut Tx, sha256: &str) -> StoreResult<bool> {
    let row: KnownRow =
        statement("SELECT NOT EXISTS (SELECT FROM files_of_no_row(ARRAY[$1], ARRAY[$2])) AS known")
            .bind::<SqlUuid, _>(tx.scope.kennel_id())
            .bind::<Text, _>(sha256.to_owned())
            .get_result(&mut tx.conn)
            .await?;
    Ok(row.known)
}

/// How a file is held while something is done to its bytes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hold {
    /// It is written, which many may do at once: they write the same.
    ToKeep,
    /// It is removed.
    ToForget,
}

/// Does `work` with the bytes of a file while nobody of any instance removes them, or while nobody keeps them.
///
/// # Errors
/// When the database is away, or others hold the file for too long.
pub async fn held<T>(
    db: &Db,
    (kennel_id, sha256): (Uuid, &str),
    hold: Hold,
    work: impl AsyncFnOnce() -> T,
) -> StoreResult<T> {
    let text = match hold {
        Hold::ToKeep => "SELECT pg_advisory_xact_lock_shared(hashtextextended($1, 0))",
        Hold::ToForget => "SELECT pg_advisory_xact_lock(hashtextextended($1, 0))",
    };
    let mut conn = Line::new(db.connection().await?, "BEGIN".to_owned());
    let taken = statement(text)
        .bind::<Text, _>(format!("file {kennel_id} {sha256}"))
        .execute(&mut conn)
        .await;
    let done = match taken {
        Ok(_) => Ok(work().await),
        Err(error) => Err(error),
    };
    // Nothing was written: the end lets the file go.
    conn.end(false).await?;
    Ok(done?)
}

/// The files that rows of all kennels refer to, at upkeep.
///
/// # Errors
/// When the database is away.
pub async fn named_by_rows(db: &Db) -> StoreResult<Vec<(Uuid, String)>> {
    use super::schema::attachments::dsl;
    let rows = dsl::attachments.select((dsl::kennel_id, dsl::sha256)).distinct();
    Ok(rows.load(&mut db.connection().await?).await?)
}
