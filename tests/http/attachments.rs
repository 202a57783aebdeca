//! Pictures and papers: how they come in, what is refused, who sees them, and that none is lost.

mod album;
mod hostile;
mod kept;
mod seen;
mod uploads;

use crate::common::*;
use image::{
    ExtendedColorType, GenericImageView as _, ImageEncoder as _, Rgb, RgbImage,
    codecs::{jpeg::JpegEncoder, png::PngEncoder},
};
use reqwest::Method;

/// A photograph, left red and right blue.
pub(crate) fn photograph(width: u32, height: u32) -> Vec<u8> {
    let colour = |x| if x < width / 2 { Rgb([220, 20, 20]) } else { Rgb([20, 20, 220]) };
    let image = RgbImage::from_fn(width, height, |x, _| colour(x));
    let mut bytes = Vec::new();
    JpegEncoder::new_with_quality(&mut bytes, 90).encode_image(&image).unwrap();
    bytes
}

/// A picture that cannot be made small: each point is another.
fn noise(edge: u32, seed: u32) -> Vec<u8> {
    let mut state = seed;
    let mut next = || {
        // Xorshift (Marsaglia G, Journal of Statistical Software 8(14), 2003).
        state ^= state << 13;
        state ^= state >> 17;
        state ^= state << 5;
        state.to_le_bytes()[0]
    };
    let image = RgbImage::from_fn(edge, edge, |_, _| Rgb([next(), next(), next()]));
    let mut bytes = Vec::new();
    PngEncoder::new(&mut bytes).write_image(&image, edge, edge, ExtendedColorType::Rgb8).unwrap();
    bytes
}

/// A contract of one empty page (ISO 32000-1, annex H.2).
pub(crate) fn contract(words: &str) -> Vec<u8> {
    let mut text = format!("%PDF-1.4\n% {words}\n");
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

/// Announces a file of so many bytes; the media type is in Base64.
async fn announce(caller: &Caller, bytes: usize, media_type: &str) -> Answer {
    let request = caller
        .request(Method::POST, "/uploads")
        .header("tus-resumable", "1.0.0")
        .header("upload-length", &bytes.to_string());
    let request = match media_type {
        "" => request,
        named => request.header("upload-metadata", &format!("filename bm90ZQ==,filetype {named}")),
    };
    request.send().await
}

/// Sends a piece of an upload from this place on.
async fn send(caller: &Caller, upload: &str, offset: usize, piece: &[u8]) -> Answer {
    caller
        .request(Method::PATCH, upload)
        .header("tus-resumable", "1.0.0")
        .header("upload-offset", &offset.to_string())
        .header("content-type", "application/offset+octet-stream")
        .body(piece)
        .send()
        .await
}

/// Sends a whole file; gives the upload's id.
pub(crate) async fn upload(caller: &Caller, file: &[u8]) -> Uuid {
    let announced = announce(caller, file.len(), "").await.expect(201);
    send(caller, &announced.header("location"), 0, file).await.no_content();
    id(&announced.json())
}

/// Hangs a file where `fields` say.
pub(crate) async fn attach(caller: &Caller, file: &[u8], fields: Value) -> Value {
    let upload_id = upload(caller, file).await;
    let mut body = json!({ "upload_id": upload_id, "kind": "photo" });
    for (name, value) in fields.as_object().unwrap() {
        body[name] = value.clone();
    }
    caller.post("/attachments", body).await.created()
}

/// Width and height of a picture.
fn size(bytes: &[u8]) -> (u32, u32) {
    image::load_from_memory(bytes).unwrap().dimensions()
}
