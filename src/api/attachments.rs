//! Pictures and papers of dogs, litters and placements.

use super::{booklets::linked, conditional, query::Query, resource::prelude::*, work::Seat};
use actix_web::http::header;
use domain::record::{Attachment, AttachmentFilter, FileType};
use files::BlobsError;
use serde::Deserialize;
use store::{StoreError, attachments, keep, scope::Scope};
use utoipa::{IntoParams, ToSchema};

resource!(
    Attachment, tag "attachments", one "a picture or paper", many "pictures and papers",
    at "/v1/kennels/{kennel_id}/attachments", "/v1/kennels/{kennel_id}/attachments/{attachment_id}";
    create_attachment, list_attachments, read_attachment, change_attachment, delete_attachment
);

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config
        .service(create_attachment)
        .service(list_attachments)
        .service(read_attachment)
        .service(change_attachment)
        .service(delete_attachment)
        .service(read_attachment_file)
        .service(read_shared_attachment_file);
}

/// Pixels of the longer edge of a smaller picture.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, ToSchema)]
pub(crate) enum PictureSize {
    /// For a list.
    #[serde(rename = "320")]
    Small,
    /// For a screen.
    #[serde(rename = "1280")]
    Screen,
}

impl PictureSize {
    fn edge(self) -> u32 {
        let [small, screen] = files::THUMBNAILS;
        match self {
            Self::Small => small,
            Self::Screen => screen,
        }
    }
}

/// How large.
#[derive(Debug, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct FileQuery {
    /// A smaller picture, a JPEG; left out, the file itself. A paper has none.
    #[param(inline)]
    size: Option<PictureSize>,
}

/// Read the file of a picture or paper.
#[utoipa::path(tag = "attachments", params(FileQuery),
    responses((status = 200, description = "The file.",
        content((Vec<u8> = "image/jpeg"), (Vec<u8> = "image/png"), (Vec<u8> = "application/pdf")))))]
#[get("/v1/kennels/{kennel_id}/attachments/{attachment_id}/file")]
pub(crate) async fn read_attachment_file(
    app: web::Data<App>,
    scope: InKennel,
    request: HttpRequest,
    path: web::Path<(Uuid, Uuid)>,
    query: Query<FileQuery>,
) -> Result<HttpResponse, Problem> {
    let find = async |tx: &mut store::Tx| keep::find::<Attachment>(tx, path.1).await;
    let kept = app.db.within(&scope.0, find).await?;
    file(&app, &scope.0, &request, &kept, query.0.size).await
}

/// Read a picture that a booklet shows, by its link and without a login.
#[utoipa::path(tag = "attachments", security(()), params(FileQuery),
    responses((status = 200, description = "The file.",
        content((Vec<u8> = "image/jpeg"), (Vec<u8> = "image/png"), (Vec<u8> = "application/pdf")))))]
#[get("/v1/booklets/{secret}/attachments/{attachment_id}/file")]
pub(crate) async fn read_shared_attachment_file(
    app: web::Data<App>,
    request: HttpRequest,
    path: web::Path<(String, Uuid)>,
    query: Query<FileQuery>,
) -> Result<HttpResponse, Problem> {
    let (secret, id) = path.into_inner();
    let (scope, dog_id) = linked(&app, &secret).await?;
    let shown =
        app.db.within(&scope, async |tx| attachments::shown_to_buyer(tx, dog_id).await).await?;
    let kept = shown.into_iter().find(|kept| kept.id == id).ok_or(StoreError::NotFound)?;
    file(&app, &scope, &request, &kept, query.0.size).await
}

/// Answers with a file, held against its hash, or with the smaller picture of it.
async fn file(
    app: &App,
    scope: &Scope,
    request: &HttpRequest,
    kept: &Kept<Attachment>,
    size: Option<PictureSize>,
) -> Result<HttpResponse, Problem> {
    let Attachment { sha256, media_type, .. } = &kept.record;
    let size = size.filter(|_| media_type.is_picture());
    let edge = size.map(PictureSize::edge);
    let tag = match edge {
        Some(edge) => format!("\"{sha256}-{edge}\""),
        None => format!("\"{sha256}\""),
    };
    if let Some(unchanged) = conditional::unchanged(request, &tag) {
        return Ok(unchanged);
    }
    let (bytes, shown_as) = match edge {
        Some(edge) => (smaller(app, scope.kennel_id(), sha256, edge).await?, FileType::Jpeg),
        None => (whole(app, scope.kennel_id(), sha256).await?, *media_type),
    };
    // A paper is saved, never shown by a browser that may run what is in it.
    let manner = if shown_as.is_picture() { "inline" } else { "attachment" };
    let name = format!("{}-{}.{}", kept.record.kind, kept.id, shown_as.ending());
    Ok(HttpResponse::Ok()
        .content_type(shown_as.as_str())
        .insert_header((header::ETAG, tag))
        .insert_header((header::CACHE_CONTROL, "private, max-age=3600"))
        .insert_header((header::CONTENT_SECURITY_POLICY, "default-src 'none'; sandbox"))
        .insert_header((header::CONTENT_DISPOSITION, format!("{manner}; filename=\"{name}\"")))
        .body(bytes))
}

/// A file as it was kept.
pub(super) async fn whole(app: &App, kennel_id: Uuid, sha256: &str) -> Result<Vec<u8>, Problem> {
    let seat = app.drawing.seat(kennel_id).await?;
    let kept = app.files.read(kennel_id, sha256).await?;
    Ok(seat.done(move || kept.checked()).await??)
}

/// The smaller picture of a file, made now when it is not there.
async fn smaller(app: &App, kennel_id: Uuid, sha256: &str, edge: u32) -> Result<Vec<u8>, Problem> {
    if let Some(bytes) = app.files.thumbnail(kennel_id, sha256, edge).await? {
        return Ok(bytes);
    }
    let seat = app.drawing.seat(kennel_id).await?;
    Ok(drawn(app, &seat, kennel_id, sha256, edge).await??)
}

/// The same to print, made in the seat of who prints; null for a file that is lost or damaged: what is printed
/// goes without it.
pub(super) async fn to_print(
    app: &App,
    seat: &Seat,
    kennel_id: Uuid,
    (sha256, size): (&str, PictureSize),
) -> Result<Option<Vec<u8>>, Problem> {
    let edge = size.edge();
    if let Some(bytes) = app.files.thumbnail(kennel_id, sha256, edge).await? {
        return Ok(Some(bytes));
    }
    match drawn(app, seat, kennel_id, sha256, edge).await? {
        Ok(bytes) => Ok(Some(bytes)),
        Err(BlobsError::Away(cause)) => Err(BlobsError::Away(cause).into()),
        Err(error @ (BlobsError::Missing | BlobsError::Damaged)) => {
            tracing::error!(%error, "a booklet is printed without a picture");
            Ok(None)
        }
    }
}

async fn drawn(
    app: &App,
    seat: &Seat,
    kennel_id: Uuid,
    sha256: &str,
    edge: u32,
) -> Result<Result<Vec<u8>, BlobsError>, Problem> {
    let kept = match app.files.read(kennel_id, sha256).await {
        Ok(kept) => kept,
        Err(error) => return Ok(Err(error)),
    };
    let draw = move || {
        let bytes = kept.checked()?;
        // What could be drawn when it came can be drawn now.
        files::thumbnail(&bytes, edge).map_err(|_| BlobsError::Damaged)
    };
    let small = match seat.done(draw).await? {
        Ok(small) => small,
        Err(error) => return Ok(Err(error)),
    };
    let kept = app.files.keep_thumbnail(kennel_id, sha256, edge, small.bytes.clone()).await;
    Ok(kept.map(|()| small.bytes))
}
