//! Removes files of pictures and papers that nothing refers to any more.

use super::server::ServerError;
use chrono::{DateTime, Duration, Utc};
use files::{Blobs, Listed};
use store::{
    Db,
    files::{Hold, held, of_no_row},
    uploads,
};
use uuid::Uuid;

/// Hours for which a file stays whatever refers to it: its row may be on its way, and a backup that has read the
/// rows still copies it.
const GRACE_HOURS: i64 = 24;
/// Hours after which a part of an upload is left over: none is under way for so long.
const PARTS_HOURS: i64 = 48;
/// Files asked about at once.
const AT_ONCE: usize = 500;

/// Lets uploads go that are over, and removes what no row refers to, and no change that could be undone; returns
/// how many files it was.
///
/// # Errors
/// When the database or the store of files is away; what was removed until then stays so.
pub async fn sweep(db: &Db, files: &Blobs, now: DateTime<Utc>) -> Result<usize, ServerError> {
    uploads::clear_away(db).await?;
    files.forget_old_parts(now - Duration::hours(PARTS_HOURS)).await?;
    let before = now - Duration::hours(GRACE_HOURS);
    let old: Vec<(Uuid, String)> = files
        .list()
        .await?
        .into_iter()
        .filter(|file| file.written_at < before)
        .map(|Listed { kennel_id, sha256, .. }| (kennel_id, sha256))
        .collect();
    let mut removed = 0;
    for some in old.chunks(AT_ONCE) {
        for file in of_no_row(db, some).await? {
            removed += usize::from(forget(db, files, &file, before).await?);
        }
    }
    Ok(removed)
}

/// Removes one file, unless it was kept anew meanwhile.
async fn forget(
    db: &Db,
    files: &Blobs,
    file: &(Uuid, String),
    before: DateTime<Utc>,
) -> Result<bool, ServerError> {
    let (kennel_id, sha256) = (file.0, file.1.as_str());
    let done = held(db, (kennel_id, sha256), Hold::ToForget, async || {
        let written_at = files.written_at(kennel_id, sha256).await?;
        let is_old = written_at.is_some_and(|written_at| written_at < before);
        if !is_old || of_no_row(db, std::slice::from_ref(file)).await?.is_empty() {
            return Ok(false);
        }
        files.forget(kennel_id, sha256).await?;
        Ok::<bool, ServerError>(true)
    });
    done.await?
}
