//! Where the bytes lie: in a folder, or in a store that speaks as S3 does.
//!
//! `blobs/KENNEL/SHA256` are the files, written once and never changed; `thumbnails/` follows from them, and
//! `parts/UPLOAD/` is what has come of an upload.

use crate::s3;
use chrono::{DateTime, Utc};
use domain::archive::hexadecimal;
use futures_util::TryStreamExt as _;
use object_store::{
    Error, ObjectStore, ObjectStoreExt as _, PutPayload, local::LocalFileSystem, path::Path,
};
use sha2::{Digest as _, Sha256};
use std::{fs::DirBuilder, io, os::unix::fs::DirBuilderExt as _, sync::Arc};
use uuid::Uuid;

/// Why bytes were not kept or read.
#[derive(Debug, thiserror::Error)]
pub enum BlobsError {
    /// It is not there.
    #[error("a file is not where it was kept")]
    Missing,
    /// It is not what it was when it was kept.
    #[error("a file is not what it was when it was kept")]
    Damaged,
    /// The folder or the store is away, or refuses.
    #[error("the store of files: {0}")]
    Away(String),
}

impl From<Error> for BlobsError {
    fn from(error: Error) -> Self {
        match error {
            Error::NotFound { .. } => Self::Missing,
            other => Self::Away(other.to_string()),
        }
    }
}

impl From<io::Error> for BlobsError {
    fn from(error: io::Error) -> Self {
        Self::Away(error.to_string())
    }
}

/// What bytes are called: their SHA-256, in hexadecimal.
pub fn sha256(bytes: &[u8]) -> String {
    hexadecimal(&Sha256::digest(bytes))
}

/// Where files lie.
#[derive(Debug, Clone)]
pub struct Blobs(Arc<dyn ObjectStore>);

/// A file as it was found; it is held against its hash before anybody has its bytes.
#[derive(Debug)]
pub struct Kept {
    bytes: Vec<u8>,
    sha256: String,
}

impl Kept {
    /// Its bytes, when they are those that were kept; reads them all once.
    ///
    /// # Errors
    /// [`BlobsError::Damaged`] when they are others.
    pub fn checked(self) -> Result<Vec<u8>, BlobsError> {
        if sha256(&self.bytes) == self.sha256 { Ok(self.bytes) } else { Err(BlobsError::Damaged) }
    }
}

/// One of the files that are there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Listed {
    /// The kennel.
    pub kennel_id: Uuid,
    /// SHA-256 of the file.
    pub sha256: String,
    /// When it was written last.
    pub written_at: DateTime<Utc>,
}

fn blob(kennel_id: Uuid, sha256: &str) -> Path {
    Path::from(format!("blobs/{kennel_id}/{sha256}"))
}

fn thumbnail(kennel_id: Uuid, sha256: &str, edge: u32) -> Path {
    Path::from(format!("thumbnails/{kennel_id}/{sha256}/{edge}"))
}

/// Bytes of a hash.
const SEAL_BYTES: usize = 32;

/// What a smaller picture begins with: it is of this file, and whole.
fn seal(sha256: &str, bytes: &[u8]) -> [u8; SEAL_BYTES] {
    Sha256::new().chain_update(sha256).chain_update(bytes).finalize().into()
}

fn parts(upload_id: Uuid) -> Path {
    Path::from(format!("parts/{upload_id}"))
}

impl Blobs {
    /// Files at an address: `s3://BUCKET/FOLDER`, or a folder, which is made when it is missing.
    ///
    /// What else a store needs is taken from the variables that its own tools read (`AWS_ACCESS_KEY_ID`,
    /// `AWS_SECRET_ACCESS_KEY`, `AWS_REGION`, `AWS_ENDPOINT`).
    ///
    /// # Errors
    /// [`BlobsError::Away`] when the address is none, or the folder cannot be made.
    pub fn open(address: &str) -> Result<Self, BlobsError> {
        if address.starts_with("s3://") {
            return Ok(Self(s3::open(address)?));
        }
        // What people bring is for nobody else on the machine.
        DirBuilder::new().recursive(true).mode(0o700).create(address)?;
        let folder = LocalFileSystem::new_with_prefix(address)?.with_fsync(true);
        Ok(Self(Arc::new(folder)))
    }

    /// The same, or nothing where the folder is not there: nobody has brought anything yet.
    ///
    /// # Errors
    /// As [`Blobs::open`].
    pub fn find(address: &str) -> Result<Option<Self>, BlobsError> {
        let is_there = address.starts_with("s3://") || std::path::Path::new(address).is_dir();
        is_there.then(|| Self::open(address)).transpose()
    }

    /// Keeps a file under its hash: whole, or not at all.
    ///
    /// # Errors
    /// [`BlobsError::Away`].
    pub async fn keep(
        &self,
        kennel_id: Uuid,
        sha256: &str,
        bytes: Vec<u8>,
    ) -> Result<(), BlobsError> {
        self.0.put(&blob(kennel_id, sha256), PutPayload::from(bytes)).await?;
        Ok(())
    }

    /// A file.
    ///
    /// # Errors
    /// [`BlobsError::Missing`] when it is not there, [`BlobsError::Away`].
    pub async fn read(&self, kennel_id: Uuid, sha256: &str) -> Result<Kept, BlobsError> {
        let bytes = self.bytes(&blob(kennel_id, sha256)).await?;
        Ok(Kept { bytes, sha256: sha256.to_owned() })
    }

    async fn bytes(&self, path: &Path) -> Result<Vec<u8>, BlobsError> {
        Ok(self.0.get(path).await?.bytes().await?.into())
    }

    /// When a file was written last; null when it is not there.
    ///
    /// # Errors
    /// [`BlobsError::Away`].
    pub async fn written_at(
        &self,
        kennel_id: Uuid,
        sha256: &str,
    ) -> Result<Option<DateTime<Utc>>, BlobsError> {
        match self.0.head(&blob(kennel_id, sha256)).await {
            Ok(found) => Ok(Some(found.last_modified)),
            Err(Error::NotFound { .. }) => Ok(None),
            Err(error) => Err(error.into()),
        }
    }

    /// All files, of one kennel or of all, in no order.
    ///
    /// # Errors
    /// [`BlobsError::Away`].
    pub async fn list(&self) -> Result<Vec<Listed>, BlobsError> {
        let mut found = Vec::new();
        let mut files = self.0.list(Some(&Path::from("blobs")));
        while let Some(file) = files.try_next().await? {
            let mut names = file.location.parts().skip(1);
            let (kennel, sha256) = (names.next(), names.next());
            let kennel_id = kennel.and_then(|name| name.as_ref().parse().ok());
            // Whatever else somebody has put there is left alone.
            let (Some(kennel_id), Some(sha256)) = (kennel_id, sha256) else { continue };
            let sha256 = sha256.as_ref().to_owned();
            found.push(Listed { kennel_id, sha256, written_at: file.last_modified });
        }
        Ok(found)
    }

    /// Removes a file and what was made of it.
    ///
    /// # Errors
    /// [`BlobsError::Away`].
    pub async fn forget(&self, kennel_id: Uuid, sha256: &str) -> Result<(), BlobsError> {
        self.forget_all_in(&Path::from(format!("thumbnails/{kennel_id}/{sha256}"))).await?;
        self.forget_one(&blob(kennel_id, sha256)).await
    }

    /// Removes all files of a kennel and what was made of them.
    ///
    /// # Errors
    /// [`BlobsError::Away`]; what was removed until then stays so.
    pub async fn forget_kennel(&self, kennel_id: Uuid) -> Result<(), BlobsError> {
        for kind in ["thumbnails", "blobs"] {
            self.forget_all_in(&Path::from(format!("{kind}/{kennel_id}"))).await?;
        }
        Ok(())
    }

    async fn forget_one(&self, path: &Path) -> Result<(), BlobsError> {
        match self.0.delete(path).await {
            Ok(()) | Err(Error::NotFound { .. }) => Ok(()),
            Err(error) => Err(error.into()),
        }
    }

    async fn forget_all_in(&self, folder: &Path) -> Result<(), BlobsError> {
        let found: Vec<_> = self.0.list(Some(folder)).try_collect().await?;
        for file in found {
            self.forget_one(&file.location).await?;
        }
        Ok(())
    }

    /// Keeps a smaller picture beside its file, with what it is known again by.
    ///
    /// # Errors
    /// [`BlobsError::Away`].
    pub async fn keep_thumbnail(
        &self,
        kennel_id: Uuid,
        sha256: &str,
        edge: u32,
        bytes: Vec<u8>,
    ) -> Result<(), BlobsError> {
        let kept = [seal(sha256, &bytes).as_slice(), &bytes].concat();
        self.0.put(&thumbnail(kennel_id, sha256, edge), PutPayload::from(kept)).await?;
        Ok(())
    }

    /// The smaller picture of a file; null when there is none yet, or what is there is not what was kept: it is
    /// made anew then.
    ///
    /// # Errors
    /// [`BlobsError::Away`].
    pub async fn thumbnail(
        &self,
        kennel_id: Uuid,
        sha256: &str,
        edge: u32,
    ) -> Result<Option<Vec<u8>>, BlobsError> {
        match self.bytes(&thumbnail(kennel_id, sha256, edge)).await {
            Ok(mut kept) => {
                let bytes = kept.split_off(kept.len().min(SEAL_BYTES));
                Ok((kept == seal(sha256, &bytes)).then_some(bytes))
            }
            Err(BlobsError::Missing) => Ok(None),
            Err(error) => Err(error),
        }
    }

    /// Keeps a part of an upload under a name of its own.
    ///
    /// # Errors
    /// [`BlobsError::Away`].
    pub async fn keep_part(
        &self,
        upload_id: Uuid,
        name: &str,
        bytes: Vec<u8>,
    ) -> Result<(), BlobsError> {
        self.0.put(&parts(upload_id).join(name), PutPayload::from(bytes)).await?;
        Ok(())
    }

    /// What has come of an upload, put together of these parts.
    ///
    /// # Errors
    /// [`BlobsError::Missing`] when a part is not there, [`BlobsError::Away`].
    pub async fn put_together(
        &self,
        upload_id: Uuid,
        names: &[String],
    ) -> Result<Vec<u8>, BlobsError> {
        let mut whole = Vec::new();
        for name in names {
            whole.extend(self.bytes(&parts(upload_id).join(name.as_str())).await?);
        }
        Ok(whole)
    }

    /// Removes what has come of an upload.
    ///
    /// # Errors
    /// [`BlobsError::Away`].
    pub async fn forget_parts(&self, upload_id: Uuid) -> Result<(), BlobsError> {
        self.forget_all_in(&parts(upload_id)).await
    }

    /// Removes parts that were written before this moment: their uploads are over.
    ///
    /// # Errors
    /// [`BlobsError::Away`].
    pub async fn forget_old_parts(&self, before: DateTime<Utc>) -> Result<(), BlobsError> {
        let found: Vec<_> = self.0.list(Some(&Path::from("parts"))).try_collect().await?;
        for part in found.into_iter().filter(|part| part.last_modified < before) {
            self.forget_one(&part.location).await?;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests;
