//! The files of pictures and papers in an archive: each under the name that is its hash, so that none needs a
//! line of its own in the manifest.

use super::{ArchiveColumn, source::ArchiveSource};
use crate::fault::{Fault, MOST_TOLD};
use catalogue::said;
use std::{
    collections::{BTreeMap, BTreeSet},
    io::{Cursor, Read as _},
};
use zip::ZipArchive;

/// Entries of an archive, its tables among them.
pub(super) const MOST_PICTURES: usize = 100_000;
/// The table whose rows name them.
const TABLE: &str = "attachments";

/// Name of a file in the archive.
pub(super) fn picture_name(sha256: &str) -> String {
    format!("pictures/{sha256}")
}

/// The hash that a name in the archive tells, when it is that of such a file.
pub(super) fn picture_of(name: &str) -> Option<&str> {
    let sha256 = name.strip_prefix("pictures/")?;
    let is_digit = |byte: u8| matches!(byte, b'0'..=b'9' | b'a'..=b'f');
    (sha256.len() == 64 && sha256.bytes().all(is_digit)).then_some(sha256)
}

/// What the rows of an archive say of a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ArchivedPicture {
    /// SHA-256 of the file, in hexadecimal.
    pub sha256: String,
    /// Where the row that names it stands: `attachments.csv#line/7`.
    pub place: String,
    /// Its media type.
    pub media_type: String,
    /// Its bytes.
    pub size_bytes: i64,
    /// Width and height of a picture in pixels.
    pub size_px: (Option<i32>, Option<i32>),
}

impl ArchivedPicture {
    /// Bytes that files take together.
    pub fn bytes_of(files: &[Self]) -> i64 {
        files.iter().fold(0, |bytes: i64, file| bytes.saturating_add(file.size_bytes))
    }
}

impl<B: AsRef<[u8]> + Clone> ArchiveSource<B> {
    /// The files that the rows of an archive name, each once.
    ///
    /// # Errors
    /// Files that no row names, files that are not there, and what
    /// [`ArchiveSource::checked`] would have found.
    pub fn pictures(
        &self,
        columns: &BTreeMap<String, Vec<ArchiveColumn>>,
    ) -> Result<Vec<ArchivedPicture>, Vec<Fault>> {
        let mut named: BTreeMap<String, ArchivedPicture> = BTreeMap::new();
        let table = self.tables().find(|(table, _)| table.name == TABLE);
        if let Some((_, file)) = table
            && let Some(columns) = columns.get(TABLE)
        {
            let place = |name: &str| columns.iter().position(|column| column.name == name);
            let places = ["sha256", "media_type", "size_bytes", "width_px", "height_px"].map(place);
            self.rows(file, columns, &mut |line, row| {
                let cell = |place: Option<usize>| row.get(place?)?.clone();
                let [sha256, media_type, size, width, height] = places.map(cell);
                let sha256 = sha256.unwrap_or_default();
                let pixels = |text: Option<String>| text.and_then(|text| text.parse().ok());
                named.entry(sha256.clone()).or_insert(ArchivedPicture {
                    sha256,
                    place: format!("{}#line/{line}", file.name),
                    media_type: media_type.unwrap_or_default(),
                    size_bytes: size.and_then(|text| text.parse().ok()).unwrap_or_default(),
                    size_px: (pixels(width), pixels(height)),
                });
                true
            })?;
        }
        let told: BTreeSet<&String> = named.keys().collect();
        let missing = named.values().filter(|file| !self.pictures.contains(&file.sha256));
        let missing = missing.map(|file| {
            Fault::new(format!("{}/sha256", file.place), said!("fault-not-found-archive-picture"))
        });
        let untold = self.pictures.iter().filter(|sha256| !told.contains(sha256)).map(|sha256| {
            Fault::new(picture_name(sha256), said!("fault-unknown-field-archive-file"))
        });
        let faults: Vec<Fault> = missing.chain(untold).take(MOST_TOLD).collect();
        if faults.is_empty() { Ok(named.into_values().collect()) } else { Err(faults) }
    }

    /// The bytes of a file, no more of them than its row says.
    ///
    /// # Errors
    /// That it is not what its row says.
    pub fn picture(&self, told: &ArchivedPicture) -> Result<Vec<u8>, Vec<Fault>> {
        let differs = || {
            let place = format!("{}/sha256", told.place);
            vec![Fault::new(place, said!("fault-differs-archive-picture"))]
        };
        let mut zip = ZipArchive::new(Cursor::new(self.bytes.clone())).map_err(|_| differs())?;
        let entry = zip.by_name(&picture_name(&told.sha256)).map_err(|_| differs())?;
        let size = u64::try_from(told.size_bytes).map_err(|_| differs())?;
        let mut bytes = Vec::new();
        entry.take(size.saturating_add(1)).read_to_end(&mut bytes).map_err(|_| differs())?;
        if bytes.len() as u64 == size { Ok(bytes) } else { Err(differs()) }
    }
}
