//! Writes an archive, some rows at a time.

use super::{
    ArchiveRow,
    cell::CellKind,
    manifest::{ArchiveFile, ArchiveManifest, FileHolds, MANIFEST},
    pictures::picture_name,
};
use sha2::{Digest as _, Sha256};
use std::io::{Seek, Write};
use zip::{CompressionMethod, ZipWriter, result::ZipResult, write::SimpleFileOptions};

/// An archive under construction, written as it grows.
pub struct ArchiveWriter<W: Write + Seek> {
    zip: ZipWriter<W>,
    open: Option<(ArchiveFile, Vec<CellKind>, Sha256)>,
    files: Vec<ArchiveFile>,
}

impl<W: Write + Seek> ArchiveWriter<W> {
    /// An empty one, written to `out`.
    pub fn new(out: W) -> Self {
        Self { zip: ZipWriter::new(out), open: None, files: Vec::new() }
    }

    /// Begins a file with these columns, and ends the one before.
    ///
    /// # Errors
    /// Writing failed.
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
    /// Writing failed.
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

    /// Adds the file of a picture or paper, under the name that is its hash.
    ///
    /// # Errors
    /// Writing failed.
    pub fn picture(&mut self, sha256: &str, bytes: &[u8]) -> ZipResult<()> {
        self.end();
        // It is compressed already.
        let stored = options().compression_method(CompressionMethod::Stored);
        self.zip.start_file(picture_name(sha256), stored)?;
        self.zip.write_all(bytes)?;
        Ok(())
    }

    /// Ends the archive with what it says about itself; gives what it was written to.
    ///
    /// # Errors
    /// Writing failed.
    pub fn finish(mut self, manifest: ArchiveManifest) -> ZipResult<W> {
        self.end();
        let manifest = ArchiveManifest { files: self.files, ..manifest };
        self.zip.start_file(MANIFEST, options())?;
        serde_json::to_writer_pretty(&mut self.zip, &manifest).map_err(std::io::Error::from)?;
        self.zip.finish()
    }
}

fn options() -> SimpleFileOptions {
    SimpleFileOptions::default().compression_method(CompressionMethod::Deflated).large_file(true)
}

/// Bytes in hexadecimal.
pub fn hexadecimal(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}
