//! A file as the body of a request.

use super::body::{Arrived, Taken, read};
use actix_web::{FromRequest, HttpRequest, dev::Payload, web::Bytes};
use std::{marker::PhantomData, pin::Pin};
use tokio::sync::OwnedSemaphorePermit;

/// A kind of file.
pub(crate) trait FileKind {
    /// Its media types; the first is the usual one.
    const MEDIA_TYPES: &'static [&'static str];
}

/// A table: comma-separated text or a workbook.
pub struct Table;

/// The media type of a workbook (.xlsx).
pub(crate) const WORKBOOK: &str =
    "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet";

impl FileKind for Table {
    const MEDIA_TYPES: &'static [&'static str] =
        &["text/csv", WORKBOOK, "text/tab-separated-values"];
}

/// A ZIP archive.
pub(crate) struct Zip;

impl FileKind for Zip {
    const MEDIA_TYPES: &'static [&'static str] = &["application/zip"];
}

/// The bytes of a file of the kind that the operation takes; one that came packed is unpacked.
pub(crate) struct FileBody<K> {
    /// Its bytes.
    pub bytes: Bytes,
    /// What tells it from others.
    pub digest: [u8; 32],
    _room: Vec<OwnedSemaphorePermit>,
    _kind: PhantomData<K>,
}

impl<K: FileKind> FromRequest for FileBody<K> {
    type Error = actix_web::Error;
    type Future = Pin<Box<dyn Future<Output = Result<Self, Self::Error>>>>;

    fn from_request(request: &HttpRequest, payload: &mut Payload) -> Self::Future {
        let (request, payload) = (request.clone(), payload.take());
        Box::pin(async move {
            let arrived = read(request, payload, Taken::File, K::MEDIA_TYPES).await?;
            let Arrived { bytes, digest, room, .. } = arrived;
            Ok(Self { bytes, digest, _room: room, _kind: PhantomData })
        })
    }
}
