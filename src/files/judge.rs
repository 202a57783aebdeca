//! What a file really is, and what is kept of it.

use crate::{
    blobs::sha256,
    paper,
    picture::{self, Thumbnail},
};
use catalogue::{Text, said};
use domain::record::{FileFacts, FileType};
use image::ImageFormat;

/// A file that is taken.
#[derive(Debug)]
pub struct Judged {
    /// The bytes that are kept: a picture's are drawn anew.
    pub bytes: Vec<u8>,
    /// What is known of them.
    pub facts: FileFacts,
    /// The smaller pictures of it.
    pub thumbnails: Vec<Thumbnail>,
}

/// What the first bytes of a file say that it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Form {
    Picture(ImageFormat),
    Pdf,
}

impl Form {
    fn media_type(self) -> &'static str {
        match self {
            Self::Picture(format) => format.to_mime_type(),
            Self::Pdf => FileType::Pdf.as_str(),
        }
    }
}

/// Media types of pictures and papers that are taken.
const TAKEN: [&str; 4] = ["image/jpeg", "image/png", "image/webp", "application/pdf"];

/// Takes a file as what it is, or says why not.
///
/// A picture is drawn anew, upright and of at most 4,096 pixels an edge: what the camera wrote beside it, where
/// it was taken among it, stays behind with everything else that is no picture. A paper stays as it is.
/// `announced` is the media type that the sender named, when one was.
///
/// # Errors
/// In words for the sender: it is of another type, damaged, too large when it is unpacked.
pub fn judge(bytes: Vec<u8>, announced: Option<&str>) -> Result<Judged, Text> {
    let form = form_of(&bytes)?;
    let known = announced.filter(|named| TAKEN.contains(named));
    if let Some(named) = known.filter(|named| *named != form.media_type()) {
        return Err(said!("fault-differs-file-type", said = named, is = form.media_type()));
    }
    let Form::Picture(format) = form else {
        paper::check(&bytes)?;
        let facts = facts(&bytes, FileType::Pdf, None);
        return Ok(Judged { bytes, facts, thumbnails: Vec::new() });
    };
    let drawn = picture::drawn_anew(&bytes, format)?;
    let size = Some((drawn.width, drawn.height));
    let facts = FileFacts { taken_on: drawn.taken_on, ..facts(&drawn.bytes, drawn.kind, size) };
    Ok(Judged { bytes: drawn.bytes, facts, thumbnails: drawn.thumbnails })
}

/// What is known of a file that was judged before, without drawing it: one that an archive brings.
///
/// # Errors
/// As [`judge`].
pub fn look_at(bytes: &[u8]) -> Result<FileFacts, Text> {
    match form_of(bytes)? {
        Form::Pdf => {
            paper::check(bytes)?;
            Ok(facts(bytes, FileType::Pdf, None))
        }
        Form::Picture(format) => {
            let size = picture::size_of(bytes, format)?;
            let kind = if format == ImageFormat::Jpeg { FileType::Jpeg } else { FileType::Png };
            Ok(facts(bytes, kind, Some(size)))
        }
    }
}

fn facts(bytes: &[u8], media_type: FileType, size: Option<(u32, u32)>) -> FileFacts {
    let pixels = |of: u32| i32::try_from(of).unwrap_or(i32::MAX);
    FileFacts {
        sha256: sha256(bytes),
        media_type,
        size_bytes: i64::try_from(bytes.len()).unwrap_or(i64::MAX),
        width_px: size.map(|(width, _)| pixels(width)),
        height_px: size.map(|(_, height)| pixels(height)),
        taken_on: None,
    }
}

/// Brands of the container that phones write HEIC and AVIF in (ISO/IEC 23008-12, annex B).
const HEIC: [&[u8]; 7] = [b"heic", b"heix", b"hevc", b"heim", b"mif1", b"msf1", b"avif"];

fn form_of(bytes: &[u8]) -> Result<Form, Text> {
    let begins = |with: &[u8]| bytes.starts_with(with);
    let brand = bytes.get(8..12).filter(|_| bytes.get(4..8) == Some(b"ftyp"));
    if begins(b"\xff\xd8\xff") {
        Ok(Form::Picture(ImageFormat::Jpeg))
    } else if begins(b"\x89PNG\r\n\x1a\n") {
        Ok(Form::Picture(ImageFormat::Png))
    } else if begins(b"RIFF") && bytes.get(8..12) == Some(b"WEBP") {
        Ok(Form::Picture(ImageFormat::WebP))
    } else if begins(b"%PDF-") {
        Ok(Form::Pdf)
    } else if brand.is_some_and(|brand| HEIC.contains(&brand)) {
        Err(said!("fault-unsupported-file-heic"))
    } else if is_markup(bytes) {
        Err(said!("fault-unsupported-file-markup"))
    } else {
        Err(said!("fault-unsupported-file"))
    }
}

/// Whether it is SVG, HTML or another text of marks, which may hold programs.
fn is_markup(bytes: &[u8]) -> bool {
    let text = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    text.trim_ascii_start().starts_with(b"<")
}

#[cfg(test)]
mod tests;
