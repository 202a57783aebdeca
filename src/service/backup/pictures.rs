//! The pictures and papers of a backup: a folder a kennel, a file for each under the hash of what it is.

use super::{BackupError, PICTURES, beside, file_error};
use files::Blobs;
use std::{
    collections::BTreeSet,
    fs::{self, DirBuilder, OpenOptions},
    io::{self, Write as _},
    os::unix::fs::{DirBuilderExt as _, OpenOptionsExt as _},
    path::{Path, PathBuf},
};
use store::{Db, StoreError};
use uuid::Uuid;

/// Copies all files into a folder, which has its name once it is whole. What an earlier backup beside it has is
/// not written a second time, but named twice.
pub(super) async fn copy(files: &Blobs, folder: &Path) -> Result<(), BackupError> {
    let found = files.list().await?;
    if found.is_empty() {
        return remove(folder);
    }
    let partial = beside(folder, ".partial");
    let earlier = earlier_beside(folder);
    let copied = async {
        for file in &found {
            let (kennel, sha256) = (file.kennel_id.to_string(), file.sha256.as_str());
            make(&partial.join(&kennel))?;
            let to = partial.join(&kennel).join(sha256);
            let had = earlier.as_ref().map(|folder| folder.join(&kennel).join(sha256));
            if had.is_some_and(|had| fs::hard_link(had, &to).is_ok()) {
                continue;
            }
            match files.read(file.kennel_id, sha256).await {
                Ok(kept) => write(&to, &kept.checked()?).map_err(file_error(&to))?,
                // Nothing referred to it, and it was swept meanwhile.
                Err(files::BlobsError::Missing) => {}
                Err(error) => return Err(error.into()),
            }
        }
        remove(folder)?;
        fs::rename(&partial, folder).map_err(file_error(folder))
    };
    let done = copied.await;
    if done.is_err() {
        let _ = fs::remove_dir_all(&partial);
    }
    done
}

/// Makes place for a folder, where a backup of the same name was written before.
fn remove(folder: &Path) -> Result<(), BackupError> {
    match fs::remove_dir_all(folder) {
        Err(error) if error.kind() != io::ErrorKind::NotFound => Err(file_error(folder)(error)),
        _ => Ok(()),
    }
}

fn make(folder: &Path) -> Result<(), BackupError> {
    DirBuilder::new().recursive(true).mode(0o700).create(folder).map_err(file_error(folder))
}

fn write(to: &Path, bytes: &[u8]) -> io::Result<()> {
    let mut file = OpenOptions::new().write(true).create_new(true).mode(0o600).open(to)?;
    file.write_all(bytes)?;
    file.sync_all()
}

/// The pictures of the newest backup beside this one.
fn earlier_beside(folder: &Path) -> Option<PathBuf> {
    let beside = fs::read_dir(folder.parent()?).ok()?.flatten().map(|entry| entry.path());
    beside.filter(|path| path.is_dir() && path.to_string_lossy().ends_with(PICTURES)).max()
}

/// Keeps the files of a backup, each held against the hash that is its name.
pub(super) async fn take_in(files: &Blobs, folder: &Path) -> Result<(), BackupError> {
    if !folder.exists() {
        return Ok(());
    }
    for kennel in entries(folder)? {
        let name = kennel.file_name().unwrap_or_default().to_string_lossy().into_owned();
        let Ok(kennel_id) = name.parse::<Uuid>() else { continue };
        for file in entries(&kennel)? {
            let sha256 = file.file_name().unwrap_or_default().to_string_lossy().into_owned();
            let bytes = fs::read(&file).map_err(file_error(&file))?;
            let found = files::sha256(&bytes);
            if found != sha256 {
                return Err(BackupError::Damaged(file));
            }
            files.keep(kennel_id, &sha256, bytes).await?;
        }
    }
    Ok(())
}

fn entries(folder: &Path) -> Result<Vec<PathBuf>, BackupError> {
    let entries = fs::read_dir(folder).map_err(file_error(folder))?;
    let paths = entries.map(|entry| entry.map(|entry| entry.path()));
    paths.collect::<io::Result<_>>().map_err(file_error(folder))
}

/// Holds the rows that came back against the files that are there.
///
/// # Errors
/// [`BackupError::Incomplete`] when files are missing.
pub async fn require_all(db: &Db, files: &Blobs) -> Result<(), BackupError> {
    let there: BTreeSet<(Uuid, String)> =
        files.list().await?.into_iter().map(|file| (file.kennel_id, file.sha256)).collect();
    let named = store::files::named_by_rows(db).await;
    let named = named.map_err(|error: StoreError| BackupError::Address(error.to_string()))?;
    match named.into_iter().filter(|file| !there.contains(file)).count() {
        0 => Ok(()),
        missing => Err(BackupError::Incomplete(missing)),
    }
}
