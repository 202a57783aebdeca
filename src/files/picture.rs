//! Pictures: unpacked under limits, drawn anew upright, and made smaller.

use catalogue::{Text, said};
use chrono::NaiveDate;
use domain::record::FileType;
use exif::{In, Tag, Value};
use image::{
    DynamicImage, ExtendedColorType, ImageDecoder as _, ImageEncoder, ImageFormat, ImageReader,
    Limits, RgbImage,
    codecs::{jpeg::JpegEncoder, png::PngEncoder},
    imageops::FilterType,
    metadata::Orientation,
};
use std::{
    io::Cursor,
    panic::{AssertUnwindSafe, catch_unwind},
};

/// Pixels of the largest picture that is unpacked: those of a telephone's largest usual setting.
pub(crate) const MOST_PIXELS: u64 = 50_000_000;
/// Pixels of an edge above which a picture is kept smaller: an A4 page at 300 dots an inch has 3,508.
const LONGEST_EDGE: u32 = 4_096;
/// Pixels of the longer edge of smaller pictures: for lists, and for a screen.
pub const THUMBNAILS: [u32; 2] = [320, 1280];
/// Bytes that unpacking may take: the picture itself, and as much again.
const MOST_MEMORY: u64 = MOST_PIXELS * 4 * 2;
/// Passes over the picture in a JPEG; usual progressive ones have some ten, and each pass costs the same time.
const MOST_SCANS: usize = 100;
/// Bytes of a colour profile; a description of a screen takes some thousands.
const LARGEST_PROFILE: usize = 128 << 10;
/// Of 100: no loss that can be seen in a print (common practice, no source).
const QUALITY: u8 = 88;
const THUMBNAIL_QUALITY: u8 = 80;

/// A smaller picture.
#[derive(Debug)]
pub struct Thumbnail {
    /// Pixels of its longer edge at the most.
    pub edge: u32,
    /// A JPEG.
    pub bytes: Vec<u8>,
}

/// A picture that was drawn anew.
#[derive(Debug)]
pub(crate) struct Drawn {
    pub bytes: Vec<u8>,
    pub kind: FileType,
    pub width: u32,
    pub height: u32,
    pub taken_on: Option<NaiveDate>,
    pub thumbnails: Vec<Thumbnail>,
}

/// What a camera wrote beside a picture, as far as it is of use.
#[derive(Debug, Default)]
struct Noted {
    turned: Option<Orientation>,
    taken_on: Option<NaiveDate>,
}

/// A picture in memory with what stood beside it.
struct Unpacked {
    image: DynamicImage,
    noted: Noted,
    profile: Option<Vec<u8>>,
}

/// Draws a picture anew, upright.
///
/// # Errors
/// In words for the sender.
pub(crate) fn drawn_anew(bytes: &[u8], format: ImageFormat) -> Result<Drawn, Text> {
    let Unpacked { mut image, noted, profile } = unpacked(bytes, format)?;
    if image.width().max(image.height()) > LONGEST_EDGE {
        image = image.resize(LONGEST_EDGE, LONGEST_EDGE, FilterType::Triangle);
    }
    if let Some(turned) = noted.turned {
        image.apply_orientation(turned);
    }
    let keeps_points = format == ImageFormat::Png || image.color().has_alpha();
    let (bytes, kind) = if keeps_points {
        (png(&image, profile)?, FileType::Png)
    } else {
        (jpeg(&image, QUALITY, profile)?, FileType::Jpeg)
    };
    let thumbnails = THUMBNAILS.iter().map(|edge| smaller(&image, *edge)).collect::<Result<_, _>>();
    Ok(Drawn {
        bytes,
        kind,
        width: image.width(),
        height: image.height(),
        taken_on: noted.taken_on,
        thumbnails: thumbnails?,
    })
}

/// A smaller picture of one that is kept.
///
/// # Errors
/// When it cannot be unpacked.
pub fn thumbnail(bytes: &[u8], edge: u32) -> Result<Thumbnail, Text> {
    let format = image::guess_format(bytes).map_err(|_| damaged())?;
    smaller(&unpacked(bytes, format)?.image, edge)
}

/// Width and height, without unpacking more than the head.
///
/// # Errors
/// As [`drawn_anew`].
pub(crate) fn size_of(bytes: &[u8], format: ImageFormat) -> Result<(u32, u32), Text> {
    guarded(|| checked(bytes, format).map(|decoder| decoder.dimensions()))
}

fn unpacked(bytes: &[u8], format: ImageFormat) -> Result<Unpacked, Text> {
    guarded(|| {
        let mut decoder = checked(bytes, format)?;
        let noted = match decoder.exif_metadata().ok().flatten() {
            Some(raw) => noted(raw)?,
            None => Noted::default(),
        };
        let profile = decoder.icc_profile().ok().flatten();
        let image = DynamicImage::from_decoder(decoder).map_err(|_| damaged())?;
        let image = plain(image);
        let profile = profile.filter(|profile| suits(profile, &image));
        Ok(Unpacked { image, noted, profile })
    })
}

/// Does what others' code does with a stranger's bytes: where it breaks off, the file is at fault.
fn guarded<T>(work: impl FnOnce() -> Result<T, Text>) -> Result<T, Text> {
    catch_unwind(AssertUnwindSafe(work)).unwrap_or_else(|_| Err(damaged()))
}

fn damaged() -> Text {
    said!("fault-unreadable-picture")
}

/// A picture's head, when what it promises is not too much.
fn checked(bytes: &[u8], format: ImageFormat) -> Result<impl image::ImageDecoder + '_, Text> {
    let scans = bytes.windows(2).filter(|pair| *pair == b"\xff\xda").count();
    if format == ImageFormat::Jpeg && scans > MOST_SCANS {
        return Err(said!("fault-too-many-scans", count = scans, most = MOST_SCANS));
    }
    let mut limits = Limits::no_limits();
    limits.max_alloc = Some(MOST_MEMORY);
    let mut reader = ImageReader::with_format(Cursor::new(bytes), format);
    reader.limits(limits);
    let decoder = reader.into_decoder().map_err(|_| damaged())?;
    let (width, height) = decoder.dimensions();
    let pixels = u64::from(width) * u64::from(height);
    if pixels > MOST_PIXELS {
        return Err(said!(
            "fault-too-many-pixels",
            width = width,
            height = height,
            most = MOST_PIXELS / 1_000_000
        ));
    }
    // What is missing would be drawn in grey.
    if format == ImageFormat::Jpeg && !has_end(bytes) {
        return Err(damaged());
    }
    Ok(decoder)
}

/// Whether a JPEG has its end mark behind the head of its first scan (ITU-T T.81, B.1.1).
fn has_end(bytes: &[u8]) -> bool {
    let mut at = 2;
    while let Some([0xff, marker, high, low]) = bytes.get(at..at + 4) {
        match *marker {
            0xda => return bytes[at..].windows(2).any(|pair| pair == b"\xff\xd9"),
            // Filled up.
            0xff => at += 1,
            _ => at += 2 + usize::from(u16::from_be_bytes([*high, *low])),
        }
    }
    false
}

/// Eight bits a colour; transparency only where something is seen through.
fn plain(image: DynamicImage) -> DynamicImage {
    if image.color().has_alpha() {
        let image = image.into_rgba8();
        if image.pixels().any(|pixel| pixel.0[3] < u8::MAX) {
            return DynamicImage::ImageRgba8(image);
        }
        return DynamicImage::ImageRgb8(DynamicImage::ImageRgba8(image).into_rgb8());
    }
    if image.color().has_color() {
        DynamicImage::ImageRgb8(image.into_rgb8())
    } else {
        DynamicImage::ImageLuma8(image.into_luma8())
    }
}

/// Whether a colour profile (ICC.1:2022, 7.2) is of the colours that are kept.
fn suits(profile: &[u8], image: &DynamicImage) -> bool {
    let colours: &[u8] = if image.color().has_color() { b"RGB " } else { b"GRAY" };
    profile.len() <= LARGEST_PROFILE && profile.get(16..20) == Some(colours)
}

/// What the camera noted (CIPA DC-008, Exif); what it says of places is not read.
fn noted(raw: Vec<u8>) -> Result<Noted, Text> {
    let mut reader = exif::Reader::new();
    // A maker's own notes are often cut off, and of no use here.
    reader.continue_on_error(true);
    let read = match reader.read_raw(raw) {
        Ok(read) => read,
        Err(exif::Error::PartialResult(partial)) => partial.into_inner().0,
        Err(_) => return Err(said!("fault-unreadable-exif")),
    };
    let field = |tag| read.get_field(tag, In::PRIMARY).map(|field| &field.value);
    let turned = field(Tag::Orientation).and_then(|value| value.get_uint(0));
    let turned = turned.and_then(|turned| Orientation::from_exif(u8::try_from(turned).ok()?));
    let taken = field(Tag::DateTimeOriginal).or_else(|| field(Tag::DateTime));
    let taken_on = match taken {
        Some(Value::Ascii(texts)) => texts.first().and_then(|text| {
            let day = std::str::from_utf8(text.get(..10)?).ok()?;
            NaiveDate::parse_from_str(day, "%Y:%m:%d").ok()
        }),
        _ => None,
    };
    Ok(Noted { turned, taken_on })
}

fn smaller(image: &DynamicImage, edge: u32) -> Result<Thumbnail, Text> {
    let small = if image.width().max(image.height()) > edge {
        image.thumbnail(edge, edge)
    } else {
        image.clone()
    };
    Ok(Thumbnail { edge, bytes: jpeg(&on_white(small), THUMBNAIL_QUALITY, None)? })
}

/// What is seen through is white, as the page below it.
fn on_white(image: DynamicImage) -> DynamicImage {
    let DynamicImage::ImageRgba8(seen) = image else { return image };
    let mix = |colour: u8, alpha: u8| {
        let (colour, alpha) = (u32::from(colour), u32::from(alpha));
        let mixed = (colour * alpha + 255 * (255 - alpha)) / 255;
        u8::try_from(mixed).unwrap_or(u8::MAX)
    };
    let mut page = RgbImage::new(seen.width(), seen.height());
    for (point, pixel) in page.pixels_mut().zip(seen.pixels()) {
        let [red, green, blue, alpha] = pixel.0;
        point.0 = [mix(red, alpha), mix(green, alpha), mix(blue, alpha)];
    }
    DynamicImage::ImageRgb8(page)
}

fn jpeg(image: &DynamicImage, quality: u8, profile: Option<Vec<u8>>) -> Result<Vec<u8>, Text> {
    let mut bytes = Vec::new();
    let encoder = JpegEncoder::new_with_quality(&mut bytes, quality);
    written(encoder, image, profile)?;
    Ok(bytes)
}

fn png(image: &DynamicImage, profile: Option<Vec<u8>>) -> Result<Vec<u8>, Text> {
    let mut bytes = Vec::new();
    written(PngEncoder::new(&mut bytes), image, profile)?;
    Ok(bytes)
}

fn written(
    mut encoder: impl ImageEncoder,
    image: &DynamicImage,
    profile: Option<Vec<u8>>,
) -> Result<(), Text> {
    if let Some(profile) = profile {
        // Both kinds take one.
        let _ = encoder.set_icc_profile(profile);
    }
    let colours = ExtendedColorType::from(image.color());
    encoder
        .write_image(image.as_bytes(), image.width(), image.height(), colours)
        .map_err(|_| damaged())
}
