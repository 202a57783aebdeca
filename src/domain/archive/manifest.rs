//! What an archive says about itself, in `manifest.json`.

use crate::record::Kennel;
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use uuid::Uuid;

/// Name of the file.
pub(crate) const MANIFEST: &str = "manifest.json";
/// The name of the format.
pub const FORMAT: &str = "denwright-archive";
/// The version of the format that is written, and the newest that is read.
pub const FORMAT_VERSION: u32 = 1;
/// How cells are written, for whoever reads the files without this service.
pub const NOTATION: &str = "UTF-8, comma-separated (RFC 4180), first line column names. An empty \
    cell is unknown. A text that is empty or begins with one of \\ = + - @ tab or carriage return \
    has a backslash before it. Times are UTC, sums are in minor units, lists and objects are JSON. \
    People are named by their email address.";

/// Whether a file is taken in again.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum FileHolds {
    /// Rows of a table.
    Records,
    /// For reading only.
    Reading,
}

/// A file of the archive.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct ArchiveFile {
    /// Its name.
    pub name: String,
    /// Whether it is taken in again.
    pub holds: FileHolds,
    /// Rows, without the first line.
    pub rows: u64,
    /// SHA-256 of the file's bytes, in hexadecimal.
    pub sha256: String,
    /// Its columns.
    pub columns: Vec<String>,
}

/// What an archive says about itself.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ArchiveManifest {
    /// [`FORMAT`].
    pub format: String,
    /// [`FORMAT_VERSION`].
    pub format_version: u32,
    /// The newest migration of the database that it was written from.
    pub schema: String,
    /// When it was written.
    pub written_at: DateTime<Utc>,
    /// Id of the kennel.
    pub kennel_id: Uuid,
    /// The kennel.
    pub kennel: Kennel,
    /// How cells are written.
    pub notation: String,
    /// The files, in the order in which they are taken in.
    pub files: Vec<ArchiveFile>,
}
