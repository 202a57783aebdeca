//! A file as the body of a request.

use super::{
    body::{media_type, unreadable},
    problem::{Kind, Problem},
};
use actix_web::{FromRequest, HttpRequest, dev::Payload, web};
use std::{marker::PhantomData, pin::Pin};

/// A kind of file.
pub trait FileKind {
    /// Its media type.
    const MEDIA_TYPE: &'static str;
}

/// Comma-separated text.
pub struct Csv;

impl FileKind for Csv {
    const MEDIA_TYPE: &'static str = "text/csv";
}

/// A ZIP archive.
pub struct Zip;

impl FileKind for Zip {
    const MEDIA_TYPE: &'static str = "application/zip";
}

/// The bytes of a file of the kind that the operation takes.
pub struct FileBody<K>(pub web::Bytes, PhantomData<K>);

impl<K: FileKind> FromRequest for FileBody<K> {
    type Error = actix_web::Error;
    type Future = Pin<Box<dyn Future<Output = Result<Self, Self::Error>>>>;

    fn from_request(request: &HttpRequest, payload: &mut Payload) -> Self::Future {
        let media_type = media_type(request);
        let bytes = web::Bytes::from_request(request, payload);
        Box::pin(async move {
            if media_type != K::MEDIA_TYPE {
                let detail = format!("Send the file with Content-Type: {}.", K::MEDIA_TYPE);
                return Err(Problem::new(Kind::WrongMediaType, detail).into());
            }
            Ok(Self(bytes.await.map_err(unreadable)?, PhantomData))
        })
    }
}
