//! What is taken, what becomes of it, and what is refused.

use super::*;
use crate::{THUMBNAILS, picture::MOST_PIXELS, thumbnail};
use image::{
    DynamicImage, GenericImageView as _, ImageEncoder as _, Rgb, RgbImage, Rgba, RgbaImage,
    codecs::{jpeg::JpegEncoder, png::PngEncoder, webp::WebPEncoder},
};

/// Left half red, right half blue.
fn two_halves(width: u32, height: u32) -> RgbImage {
    let colour = |x| if x < width / 2 { Rgb([220, 20, 20]) } else { Rgb([20, 20, 220]) };
    RgbImage::from_fn(width, height, |x, _| colour(x))
}

fn jpeg_of(image: &RgbImage) -> Vec<u8> {
    let mut bytes = Vec::new();
    JpegEncoder::new_with_quality(&mut bytes, 95).encode_image(image).unwrap();
    bytes
}

/// A JPEG with this as the first segment of application data (ITU-T T.81, B.2.4.6).
fn with_segment(jpeg: &[u8], content: &[u8]) -> Vec<u8> {
    let length = u16::try_from(content.len() + 2).unwrap();
    [&jpeg[..2], b"\xff\xe1", &length.to_be_bytes(), content, &jpeg[2..]].concat()
}

/// Exif (CIPA DC-008) of a picture that was held upright with the camera turned, and where it was taken.
fn exif(orientation: u16) -> Vec<u8> {
    let words = |parts: &[&[u8]]| parts.concat();
    let entry = |tag: u16, kind: u16, count: u32, value: [u8; 4]| {
        words(&[&tag.to_le_bytes(), &kind.to_le_bytes(), &count.to_le_bytes(), &value])
    };
    let (place, day) = (b"7 Hidden Lane\0", b"2026:05:17 10:11:12\0");
    let (place_at, day_at) = (8 + 2 + 3 * 12 + 4, 8 + 2 + 3 * 12 + 4 + 14);
    let [turned_low, turned_high] = orientation.to_le_bytes();
    words(&[
        b"Exif\0\0II*\0\x08\0\0\0",
        &3_u16.to_le_bytes(),
        &entry(0x010e, 2, 14, u32::to_le_bytes(place_at)),
        &entry(0x0112, 3, 1, [turned_low, turned_high, 0, 0]),
        &entry(0x0132, 2, 20, u32::to_le_bytes(day_at)),
        &[0; 4],
        place,
        day,
    ])
}

fn holds(bytes: &[u8], part: &[u8]) -> bool {
    bytes.windows(part.len()).any(|at| at == part)
}

fn is_red(pixel: Rgba<u8>) -> bool {
    pixel.0[0] > 150 && pixel.0[2] < 100
}

fn refused(bytes: &[u8], announced: Option<&str>) -> String {
    let why = judge(bytes.to_vec(), announced).unwrap_err();
    why.id().unwrap_or_default().to_owned()
}

#[test]
fn a_photograph_is_turned_upright_and_says_no_more_where_it_was_taken() {
    let taken = with_segment(&jpeg_of(&two_halves(64, 32)), &exif(6));
    assert!(holds(&taken, b"Hidden Lane"));
    let Judged { bytes, facts, thumbnails } = judge(taken, Some("image/jpeg")).unwrap();
    // Turned by a quarter to the right: what was left is now above.
    assert_eq!((facts.width_px, facts.height_px), (Some(32), Some(64)));
    let drawn = image::load_from_memory(&bytes).unwrap();
    assert_eq!(drawn.dimensions(), (32, 64));
    assert!(is_red(drawn.get_pixel(16, 8)) && !is_red(drawn.get_pixel(16, 56)));
    assert_eq!(facts.taken_on, "2026-05-17".parse().ok());
    for kept in thumbnails.iter().map(|small| &small.bytes).chain([&bytes]) {
        assert!(!holds(kept, b"Hidden Lane") && !holds(kept, b"Exif"));
    }
    assert_eq!(facts.size_bytes, i64::try_from(bytes.len()).unwrap());
    assert_eq!(thumbnails.iter().map(|small| small.edge).collect::<Vec<_>>(), THUMBNAILS);
}

#[test]
fn the_hash_is_that_of_the_bytes_that_are_kept() {
    let judged = judge(minimal_pdf(), None).unwrap();
    assert_eq!((judged.bytes, judged.facts.media_type), (minimal_pdf(), FileType::Pdf));
    // Of "abc": FIPS 180-2, appendix B.1.
    let known = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
    assert_eq!(sha256(b"abc"), known);
    assert_eq!(judged.facts.sha256, sha256(&minimal_pdf()));
}

#[test]
fn large_pictures_are_kept_smaller_and_thumbnails_keep_the_shape() {
    let Judged { bytes, facts, thumbnails } =
        judge(jpeg_of(&two_halves(4_200, 100)), None).unwrap();
    assert_eq!((facts.width_px, facts.height_px), (Some(4_096), Some(98)));
    let sizes: Vec<_> = thumbnails
        .iter()
        .map(|small| image::load_from_memory(&small.bytes).unwrap().dimensions())
        .collect();
    assert_eq!(sizes, [(320, 8), (1_280, 31)]);
    // One that is made later, of the file that was kept, is the same.
    let later = thumbnail(&bytes, 320).unwrap();
    assert_eq!(image::load_from_memory(&later.bytes).unwrap().dimensions(), (320, 8));
    // Nothing is made larger.
    let small = judge(jpeg_of(&two_halves(40, 20)), None).unwrap();
    let screen = image::load_from_memory(&small.thumbnails[1].bytes).unwrap();
    assert_eq!(screen.dimensions(), (40, 20));
}

#[test]
fn what_is_seen_through_stays_so_and_is_white_where_it_cannot() {
    let image = RgbaImage::from_fn(8, 8, |x, _| Rgba([0, 0, 0, if x < 4 { 0 } else { 255 }]));
    let mut webp = Vec::new();
    WebPEncoder::new_lossless(&mut webp)
        .write_image(&image, 8, 8, image::ExtendedColorType::Rgba8)
        .unwrap();
    let judged = judge(webp, Some("image/webp")).unwrap();
    assert_eq!(judged.facts.media_type, FileType::Png);
    let kept = image::load_from_memory(&judged.bytes).unwrap();
    assert_eq!((kept.get_pixel(1, 4).0[3], kept.get_pixel(6, 4).0[3]), (0, 255));
    let small = image::load_from_memory(&judged.thumbnails[0].bytes).unwrap();
    assert!(small.get_pixel(1, 4).0[0] > 240 && small.get_pixel(6, 4).0[0] < 15);
    // One of a photograph is a photograph.
    let mut webp = Vec::new();
    let photograph = DynamicImage::ImageRgb8(two_halves(8, 8));
    WebPEncoder::new_lossless(&mut webp)
        .write_image(photograph.as_bytes(), 8, 8, image::ExtendedColorType::Rgb8)
        .unwrap();
    assert_eq!(judge(webp, None).unwrap().facts.media_type, FileType::Jpeg);
}

/// CRC-32 as PNG has it (ISO/IEC 15948, annex D), bit by bit.
fn crc(bytes: &[u8]) -> u32 {
    let mut sum = u32::MAX;
    for byte in bytes {
        sum ^= u32::from(*byte);
        for _ in 0..8 {
            sum = if sum & 1 == 1 { (sum >> 1) ^ 0xedb8_8320 } else { sum >> 1 };
        }
    }
    !sum
}

/// A PNG that promises so many pixels and holds none.
fn promising(width: u32, height: u32) -> Vec<u8> {
    let chunk = |name: &[u8], content: &[u8]| {
        let length = u32::try_from(content.len()).unwrap();
        let named = [name, content].concat();
        [&length.to_be_bytes()[..], &named, &crc(&named).to_be_bytes()].concat()
    };
    let head = [&width.to_be_bytes()[..], &height.to_be_bytes(), &[8, 2, 0, 0, 0]].concat();
    let parts = [chunk(b"IHDR", &head), chunk(b"IDAT", b"\x78\x9c"), chunk(b"IEND", b"")];
    [b"\x89PNG\r\n\x1a\n".to_vec(), parts.concat()].concat()
}

/// The most pixels are taken, one row less too, and one row more not.
#[test]
fn a_picture_of_too_many_pixels_is_not_unpacked() {
    let size = |width, height| look_at(&promising(width, height));
    assert_eq!(u64::from(10_000_u32) * 5_000, MOST_PIXELS);
    for height in [4_999, 5_000] {
        assert_eq!(size(10_000, height).unwrap().height_px, i32::try_from(height).ok());
    }
    let why = size(10_000, 5_001).unwrap_err();
    assert_eq!(why.id(), Some("fault-too-many-pixels"));
    // A bomb: some bytes that would take twelve gigabytes.
    assert_eq!(refused(&promising(65_000, 65_000), None), "fault-too-many-pixels");
    let mut bomb = jpeg_of(&two_halves(16, 16));
    let head = bomb.windows(2).position(|at| at == b"\xff\xc0").unwrap();
    bomb[head + 5..head + 9].copy_from_slice(b"\xff\xdc\xff\xdc");
    assert_eq!(refused(&bomb, None), "fault-too-many-pixels");
}

#[test]
fn a_picture_of_too_many_passes_is_not_unpacked() {
    let jpeg = jpeg_of(&two_halves(16, 16));
    let passes = |count: usize| [jpeg.clone(), b"\xff\xda".repeat(count - 1)].concat();
    // What stands behind the end of the picture is no part of it.
    assert!(judge(passes(99), None).is_ok() && judge(passes(100), None).is_ok());
    assert_eq!(refused(&passes(101), None), "fault-too-many-scans");
}

#[test]
fn what_is_behind_a_picture_stays_behind() {
    let page = b"<html><script>alert(1)</script></html>PK\x05\x06";
    let kept = judge([jpeg_of(&two_halves(16, 16)), page.to_vec()].concat(), None).unwrap();
    assert!(!holds(&kept.bytes, b"script"));
}

#[test]
fn what_is_no_picture_and_no_paper_is_refused_by_what_it_is() {
    let jpeg = jpeg_of(&two_halves(16, 16));
    let svg = b"<svg xmlns=\"http://www.w3.org/2000/svg\"><script>alert(1)</script></svg>";
    let mut png = Vec::new();
    PngEncoder::new(&mut png)
        .write_image(&two_halves(8, 8), 8, 8, image::ExtendedColorType::Rgb8)
        .unwrap();
    for (bytes, announced, why) in [
        (&svg[..], Some("image/svg+xml"), "fault-unsupported-file-markup"),
        (b"\xef\xbb\xbf <!DOCTYPE html>", None, "fault-unsupported-file-markup"),
        (b"\0\0\0\x18ftypheic\0\0\0\0", Some("image/heic"), "fault-unsupported-file-heic"),
        (b"GIF89a\x01\0\x01\0", None, "fault-unsupported-file"),
        (b"MZ\x90\0", Some("image/jpeg"), "fault-unsupported-file"),
        (b"", None, "fault-unsupported-file"),
        (&minimal_pdf(), Some("image/jpeg"), "fault-differs-file-type"),
        (&jpeg, Some("application/pdf"), "fault-differs-file-type"),
        (&png, Some("image/jpeg"), "fault-differs-file-type"),
        (&jpeg[..jpeg.len() / 2], None, "fault-unreadable-picture"),
        (&png[..png.len() / 2], None, "fault-unreadable-picture"),
        (&with_segment(&jpeg, b"Exif\0\0broken"), None, "fault-unreadable-exif"),
        (&promising(10, 10), None, "fault-unreadable-picture"),
    ] {
        assert_eq!(refused(bytes, announced), why, "{:?}", &bytes[..bytes.len().min(12)]);
    }
}

/// A page without content (ISO 32000-1, annex H.2).
fn minimal_pdf() -> Vec<u8> {
    let mut text = "%PDF-1.4\n".to_owned();
    let mut places = Vec::new();
    for object in [
        "<< /Type /Catalog /Pages 2 0 R >>",
        "<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
        "<< /Type /Page /Parent 2 0 R /MediaBox [0 0 100 100] >>",
    ] {
        places.push(text.len());
        text += &format!("{} 0 obj\n{object}\nendobj\n", places.len());
    }
    let table = text.len();
    text += "xref\n0 4\n0000000000 65535 f \n";
    for place in places {
        text += &format!("{place:010} 00000 n \n");
    }
    text += &format!("trailer\n<< /Size 4 /Root 1 0 R >>\nstartxref\n{table}\n%%EOF\n");
    text.into_bytes()
}

#[test]
fn a_paper_is_whole_and_nothing_else() {
    let pdf = minimal_pdf();
    let text = String::from_utf8(pdf.clone()).unwrap();
    let with = |from: &str, to: &str| text.replace(from, to).into_bytes();
    for (bytes, why) in [
        (pdf[..pdf.len() - 6].to_vec(), "fault-unreadable-pdf-end"),
        (b"%PDF-1.7\nnothing\n%%EOF".to_vec(), "fault-unreadable-pdf"),
        (with("/Kids [3 0 R] /Count 1", "/Kids [] /Count 0"), "fault-unreadable-pdf"),
        (
            with("/Pages 2 0 R", "/Pages 2 0 R /OpenAction << /S /JavaScript >>"),
            "fault-unsupported-pdf-active",
        ),
        (
            [pdf.clone(), b"PK\x05\x06".to_vec(), vec![0; 18], b"%%EOF".to_vec()].concat(),
            "fault-unsupported-pdf-archive",
        ),
    ] {
        assert_eq!(refused(&bytes, None), why);
    }
}
