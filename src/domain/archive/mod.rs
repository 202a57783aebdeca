//! The archive that a kennel leaves with and comes back from: a ZIP of one CSV file a table.
//!
//! What a cell looks like is in [`cell`], what the archive says about itself in [`manifest`]; the
//! files are written by [`ArchiveWriter`] and read, never trusted, by [`ArchiveSource`].

pub mod cell;
pub mod manifest;
mod pictures;
mod source;
mod tables;
mod writer;

#[cfg(test)]
mod tests;

use crate::fault::MOST_TOLD;

pub use cell::{ArchiveColumn, CellKind};
pub use manifest::{ArchiveFile, ArchiveManifest, FileHolds};
pub use pictures::ArchivedPicture;
pub use source::{ArchiveSource, CheckedArchive, RowCheck};
pub use tables::{ArchiveTable, HISTORY, PEOPLE, tables};
pub use writer::{ArchiveWriter, hexadecimal};

/// A row of an archive: one value a column, as text; `None` where nothing is known.
pub type ArchiveRow = Vec<Option<String>>;

/// Faults looked for in one archive: one more than are told, to say that there are more.
pub const MOST_FAULTS: usize = MOST_TOLD + 1;
