//! Files of the machine that are gone when nobody has them open any more.

use crate::BlobsError;
use bytes::Bytes;
use futures_util::{Stream, stream::try_unfold};
use std::{
    fs::{File, OpenOptions, remove_file},
    io::{self, Read as _, Seek as _, SeekFrom},
    os::unix::fs::OpenOptionsExt as _,
};
use uuid::Uuid;

/// Bytes that are read at once.
const CHUNK: usize = 256 << 10;

/// An empty file without a name, in the folder for what passes.
///
/// # Errors
/// [`BlobsError::Away`] when there is no room for one.
pub fn nameless_file() -> Result<File, BlobsError> {
    let path = std::env::temp_dir().join(format!("denwright-{}", Uuid::now_v7()));
    let file =
        OpenOptions::new().read(true).write(true).create_new(true).mode(0o600).open(&path)?;
    remove_file(&path)?;
    Ok(file)
}

/// How long a file is, and its bytes from the first on.
///
/// # Errors
/// [`BlobsError::Away`] when it cannot be read.
pub fn read_in_chunks(
    mut file: File,
) -> Result<(u64, impl Stream<Item = io::Result<Bytes>> + 'static), BlobsError> {
    let length = file.seek(SeekFrom::End(0))?;
    file.rewind()?;
    let chunks = try_unfold(file, async |mut file: File| {
        // A quarter of a megabyte out of the system's memory, where it was written just now.
        let mut chunk = vec![0; CHUNK];
        let count = file.read(&mut chunk)?;
        chunk.truncate(count);
        Ok::<_, io::Error>((count > 0).then(|| (Bytes::from(chunk), file)))
    });
    Ok((length, Box::pin(chunks)))
}
