//! Files on their way: announced, received part by part, and found to be something.

use super::{
    Db, StoreError, StoreResult, Tx, schema,
    scope::{Right, Scope},
    statement::statement,
};
use crate::columns::Stored;
use catalogue::said;
use chrono::{DateTime, NaiveDate, Utc};
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, QueryDsl as _, QueryableByName, dsl::now,
    sql_types::BigInt,
};
use diesel_async::RunQueryDsl as _;
use domain::record::{FileFacts, FileType};
use uuid::Uuid;

/// Uploads that one person may have under way in a kennel.
const MOST_AT_ONCE: i64 = 100;

/// A file on its way.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Upload {
    /// Id.
    pub id: Uuid,
    /// Bytes that it will have.
    pub announced_bytes: i64,
    /// The media type that the sender named.
    pub announced_type: Option<String>,
    /// Bytes that have come.
    pub received_bytes: i64,
    /// Names of the parts that they lie in, in order.
    pub parts: Vec<String>,
    /// What it was found to be, once it was whole.
    pub file: Option<FileFacts>,
    /// When it is given up.
    pub expires_at: DateTime<Utc>,
}

impl Upload {
    /// Bytes that are still to come.
    pub fn missing_bytes(&self) -> u64 {
        u64::try_from(self.announced_bytes - self.received_bytes).unwrap_or_default()
    }
}

/// Refuses whoever may write no attachment at all.
///
/// # Errors
/// [`StoreError::Forbidden`].
pub fn require(scope: &Scope) -> StoreResult<()> {
    if scope.allows(Right::Placing) { Ok(()) } else { scope.require(Right::Observations) }
}

#[derive(QueryableByName)]
struct Bytes {
    #[diesel(sql_type = BigInt)]
    bytes: i64,
}

/// Bytes that the kennel's pictures and papers take, with what is on its way.
///
/// # Errors
/// When the database is away.
pub async fn bytes_taken(tx: &mut Tx) -> StoreResult<i64> {
    let row: Bytes = statement("SELECT file_bytes() AS bytes").get_result(&mut tx.conn).await?;
    Ok(row.bytes)
}

/// Refuses what goes above the bytes that a kennel may take.
async fn admit(tx: &mut Tx, more: i64, most: i64) -> StoreResult<()> {
    let taken = bytes_taken(tx).await?;
    if taken.saturating_add(more) <= most {
        return Ok(());
    }
    let (taken_mb, most_mb) = (taken >> 20, most >> 20);
    Err(StoreError::Conflict(said!(
        "problem-conflict-files-full",
        taken = taken_mb,
        most = most_mb
    )))
}

/// Announces a file of so many bytes, of `most` that the kennel may take.
///
/// # Errors
/// [`StoreError::Conflict`] when there is no room for it, or too many are under way.
pub async fn announce(
    tx: &mut Tx,
    bytes: i64,
    media_type: Option<&str>,
    most: i64,
) -> StoreResult<Upload> {
    use schema::uploads::dsl;
    require(&tx.scope)?;
    tx.begin_writing().await?;
    admit(tx, bytes, most).await?;
    let kennel_id = tx.scope.kennel_id();
    let under_way: i64 =
        dsl::uploads.filter(dsl::kennel_id.eq(kennel_id)).count().first(&mut tx.conn).await?;
    if under_way >= MOST_AT_ONCE {
        return Err(StoreError::Conflict(said!("problem-conflict-uploads", most = MOST_AT_ONCE)));
    }
    let id = Uuid::now_v7();
    let values = (
        dsl::kennel_id.eq(kennel_id),
        dsl::id.eq(id),
        dsl::announced_bytes.eq(bytes),
        dsl::announced_type.eq(media_type),
    );
    diesel::insert_into(dsl::uploads).values(values).execute(&mut tx.conn).await?;
    find(tx, id).await
}

/// An upload of this person's.
///
/// # Errors
/// [`StoreError::NotFound`] when there is none, or it is over.
pub async fn find(tx: &mut Tx, id: Uuid) -> StoreResult<Upload> {
    use schema::uploads::dsl;
    require(&tx.scope)?;
    type File = (
        Option<String>,
        Option<FileType>,
        Option<i64>,
        Option<i32>,
        Option<i32>,
        Option<NaiveDate>,
    );
    type Row = (i64, Option<String>, i64, Vec<String>, DateTime<Utc>, File);
    let (announced_bytes, announced_type, received_bytes, parts, expires_at, file): Row =
        dsl::uploads
            .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::id.eq(id)))
            .filter(dsl::expires_at.gt(now))
            .select((
                dsl::announced_bytes,
                dsl::announced_type,
                dsl::received_bytes,
                dsl::parts,
                dsl::expires_at,
                (
                    dsl::sha256,
                    dsl::media_type,
                    dsl::size_bytes,
                    dsl::width_px,
                    dsl::height_px,
                    dsl::taken_on,
                ),
            ))
            .first(&mut tx.conn)
            .await?;
    let file = match file {
        (Some(sha256), Some(media_type), Some(size_bytes), width_px, height_px, taken_on) => {
            Some(FileFacts { sha256, media_type, size_bytes, width_px, height_px, taken_on })
        }
        _ => None,
    };
    Ok(Upload { id, announced_bytes, announced_type, received_bytes, parts, file, expires_at })
}

/// What a finished upload was found to be, for the row that it becomes.
///
/// # Errors
/// [`StoreError::Refused`] when there is no such upload, or it is not whole.
pub(crate) async fn finished(tx: &mut Tx, id: Uuid) -> StoreResult<FileFacts> {
    let upload = match find(tx, id).await {
        Err(StoreError::NotFound) => {
            return Err(StoreError::refused("/upload_id", said!("fault-not-found-upload")));
        }
        found => found?,
    };
    let unfinished = || StoreError::refused("/upload_id", said!("fault-not-now-upload"));
    upload.file.ok_or_else(unfinished)
}

/// Writes down that a part has come, where the one before it ended.
///
/// # Errors
/// [`StoreError::Conflict`] when another has come there meanwhile.
pub async fn add_part(tx: &mut Tx, upload: &Upload, name: &str, bytes: i64) -> StoreResult<Upload> {
    use schema::uploads::dsl;
    let mut parts = upload.parts.clone();
    parts.push(name.to_owned());
    let row = dsl::uploads
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::id.eq(upload.id)))
        .filter(dsl::received_bytes.eq(upload.received_bytes).and(dsl::sha256.is_null()));
    let received_bytes = upload.received_bytes + bytes;
    let values = (dsl::received_bytes.eq(received_bytes), dsl::parts.eq(&parts));
    match diesel::update(row).set(values).execute(&mut tx.conn).await? {
        0 => Err(StoreError::Conflict(said!("problem-conflict-upload-moved"))),
        _ => Ok(Upload { received_bytes, parts, ..upload.clone() }),
    }
}

/// Writes down what a whole file was found to be, of `most` bytes that the kennel may take.
///
/// # Errors
/// [`StoreError::Conflict`] when what is kept of it is larger than there is room for.
pub async fn found_to_be(
    tx: &mut Tx,
    upload: &Upload,
    file: &FileFacts,
    most: i64,
) -> StoreResult<()> {
    use schema::uploads::dsl;
    tx.begin_writing().await?;
    admit(tx, (file.size_bytes - upload.announced_bytes).max(0), most).await?;
    let row =
        dsl::uploads.filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::id.eq(upload.id)));
    let values = (
        dsl::sha256.eq(&file.sha256),
        dsl::media_type.eq(Stored(Some(file.media_type))),
        dsl::size_bytes.eq(file.size_bytes),
        dsl::width_px.eq(file.width_px),
        dsl::height_px.eq(file.height_px),
        dsl::taken_on.eq(file.taken_on),
        dsl::parts.eq(Vec::<String>::new()),
    );
    match diesel::update(row).set(values).execute(&mut tx.conn).await? {
        0 => Err(StoreError::NotFound),
        _ => Ok(()),
    }
}

/// Gives an upload up, or lets it go once it has become a row.
///
/// # Errors
/// When the database is away.
pub async fn remove(tx: &mut Tx, id: Uuid) -> StoreResult<()> {
    use schema::uploads::dsl;
    let row = dsl::uploads.filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::id.eq(id)));
    diesel::delete(row).execute(&mut tx.conn).await?;
    Ok(())
}

/// Lets uploads go that are over.
///
/// # Errors
/// When the database is away.
pub async fn clear_away(db: &Db) -> StoreResult<()> {
    statement("SELECT clear_uploads()").execute(&mut db.connection().await?).await?;
    Ok(())
}
