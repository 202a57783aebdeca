//! Writes an archive, some rows at a time.

use super::{
    ArchiveRow,
    cell::CellKind,
    manifest::{ArchiveFile, ArchiveManifest, FileHolds, MANIFEST},
};
use sha2::{Digest as _, Sha256};
use std::io::{Cursor, Write as _};
use zip::{CompressionMethod, ZipWriter, result::ZipResult, write::SimpleFileOptions};

/// An archive under construction; only its compressed form is held.
pub struct ArchiveWriter {
    zip: ZipWriter<Cursor<Vec<u8>>>,
    open: Option<(ArchiveFile, Vec<CellKind>, Sha256)>,
    files: Vec<ArchiveFile>,
}

impl Default for ArchiveWriter {
    fn default() -> Self {
        Self { zip: ZipWriter::new(Cursor::default()), open: None, files: Vec::new() }
    }
}

impl ArchiveWriter {
    /// Begins a file with these columns, and ends the one before.
    ///
    /// # Errors
    /// Writing to memory failed.
    pub fn begin(
        &mut self,
        name: &str,
        holds: FileHolds,
        columns: &[(&str, CellKind)],
    ) -> ZipResult<()> {
        self.end();
        self.zip.start_file(name, options())?;
        let (columns, kinds): (Vec<&str>, Vec<CellKind>) = columns.iter().copied().unzip();
        let file = ArchiveFile {
            name: name.to_owned(),
            holds,
            rows: 0,
            sha256: String::new(),
            columns: columns.iter().map(|column| (*column).to_owned()).collect(),
        };
        self.open = Some((file, kinds, Sha256::new()));
        self.write(|csv| csv.write_record(&columns))
    }

    /// Adds rows to the file that was begun.
    ///
    /// # Errors
    /// Writing to memory failed.
    pub fn rows(&mut self, rows: &[ArchiveRow]) -> ZipResult<()> {
        let Some((file, kinds, _)) = &mut self.open else { return Ok(()) };
        file.rows += rows.len() as u64;
        let kinds = kinds.clone();
        self.write(|csv| {
            for row in rows {
                let cells = row.iter().zip(&kinds);
                csv.write_record(
                    cells.map(|(value, kind)| kind.written(value.as_deref()).into_owned()),
                )?;
            }
            Ok(())
        })
    }

    fn write(
        &mut self,
        lines: impl FnOnce(&mut csv::Writer<Vec<u8>>) -> csv::Result<()>,
    ) -> ZipResult<()> {
        let mut csv = csv::Writer::from_writer(Vec::new());
        lines(&mut csv).map_err(std::io::Error::other)?;
        let bytes = csv.into_inner().map_err(|error| std::io::Error::other(error.to_string()))?;
        if let Some((_, _, hash)) = &mut self.open {
            hash.update(&bytes);
        }
        self.zip.write_all(&bytes)?;
        Ok(())
    }

    fn end(&mut self) {
        if let Some((file, _, hash)) = self.open.take() {
            self.files.push(ArchiveFile { sha256: hexadecimal(&hash.finalize()), ..file });
        }
    }

    /// Ends the archive with what it says about itself; gives its bytes.
    ///
    /// # Errors
    /// Writing to memory failed.
    pub fn finish(mut self, manifest: ArchiveManifest) -> ZipResult<Vec<u8>> {
        self.end();
        let manifest = ArchiveManifest { files: self.files, ..manifest };
        self.zip.start_file(MANIFEST, options())?;
        serde_json::to_writer_pretty(&mut self.zip, &manifest).map_err(std::io::Error::from)?;
        Ok(self.zip.finish()?.into_inner())
    }
}

fn options() -> SimpleFileOptions {
    SimpleFileOptions::default().compression_method(CompressionMethod::Deflated).large_file(true)
}

/// Bytes in hexadecimal.
pub(super) fn hexadecimal(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}
