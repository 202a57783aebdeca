//! Clears away kennels whose end has come: rows, pictures and papers; and reminds their owners a week before.
//!
//! In steps, each of which may be the last before a crash: who is at it next goes on where nothing is done yet.
//! Nobody gets in any more at first; files go before the rows that say whose they are; the kennel itself goes last.
//! What a request that was under way has kept meanwhile belongs to no row, and is swept ([`super::sweep`]).

use super::server::ServerError;
use chrono::{DateTime, Utc};
use files::Blobs;
use outgoing::notices;
use store::{Db, leaving};
use uuid::Uuid;

/// Rows deleted at once: others wait no longer than for a batch of an import.
const AT_ONCE: i32 = 10_000;

/// Reminds the owners of kennels that end within a week, of each once; returns of how many. `link` leads to the pages.
///
/// # Errors
/// When the database is away.
pub async fn remind(db: &Db, link: Option<&str>, now: DateTime<Utc>) -> Result<usize, ServerError> {
    let mut reminded = 0;
    for kennel in leaving::kennels_to_remind(db).await? {
        let (name, day) = (kennel.name.as_str(), kennel.ends_on());
        let mail = |language| notices::kennel_ends_soon(name, day, link, language);
        reminded += usize::from(leaving::remind_owners(db, kennel.id, now, mail).await?);
    }
    Ok(reminded)
}

/// Clears away all kennels whose end has come; returns how many are gone.
///
/// # Errors
/// When the database or the store of files is away; what was done until then stays so, and is gone on with.
pub async fn clear(db: &Db, files: &Blobs) -> Result<usize, ServerError> {
    let mut gone = 0;
    for kennel_id in leaving::ended_kennels(db).await? {
        // One that is taken back at this moment goes on.
        if leaving::close(db, kennel_id).await? {
            clear_files(db, files, kennel_id).await?;
            while leaving::clear_some(db, kennel_id, AT_ONCE).await? {}
            gone += 1;
        }
    }
    Ok(gone)
}

/// Removes the files of a kennel, and what has come of those on their way.
async fn clear_files(db: &Db, files: &Blobs, kennel_id: Uuid) -> Result<(), ServerError> {
    for upload_id in leaving::uploads_of(db, kennel_id).await? {
        files.forget_parts(upload_id).await?;
    }
    Ok(files.forget_kennel(kennel_id).await?)
}
