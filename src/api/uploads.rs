//! Files on their way in, by the protocol tus 1.0 (<https://tus.io/protocols/resumable-upload>): announced,
//! sent in as many pieces as the line needs, and gone on with where it broke off.

use super::{body::not_packed, files_limits::FilesLimits, problem::Kind, resource::prelude::*};
use actix_web::{
    http::header::{self, HeaderMap, HeaderName, HeaderValue},
    options,
    web::{Bytes, BytesMut},
};
use base64::{Engine as _, prelude::BASE64_STANDARD};
use catalogue::said;
use chrono::{DateTime, Utc};
use domain::record::FileFacts;
use files::Judged;
use futures_util::StreamExt as _;
use serde::Serialize;
use store::{
    StoreError, Tx,
    files::{Hold, held},
    scope::Scope,
    uploads::{self, Upload},
};
use utoipa::ToSchema;

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config
        .service(explain_uploads)
        .service(read_file_room)
        .service(create_upload)
        .service(read_upload)
        .service(append_upload)
        .service(delete_upload);
}

/// The edition of the protocol that is spoken.
const VERSION: &str = "1.0.0";
/// What is spoken of it beside its core.
const EXTENSIONS: &str = "creation,expiration,termination";
const TUS_RESUMABLE: HeaderName = HeaderName::from_static("tus-resumable");
const TUS_VERSION: HeaderName = HeaderName::from_static("tus-version");
const TUS_EXTENSION: HeaderName = HeaderName::from_static("tus-extension");
const TUS_MAX_SIZE: HeaderName = HeaderName::from_static("tus-max-size");
const UPLOAD_OFFSET: HeaderName = HeaderName::from_static("upload-offset");
const UPLOAD_LENGTH: HeaderName = HeaderName::from_static("upload-length");
const UPLOAD_METADATA: HeaderName = HeaderName::from_static("upload-metadata");
const UPLOAD_EXPIRES: HeaderName = HeaderName::from_static("upload-expires");
/// The media type of a piece.
pub(crate) const PIECE: &str = "application/offset+octet-stream";

/// Headers that a page of another origin may read of an answer.
pub const EXPOSED: [HeaderName; 6] =
    [TUS_RESUMABLE, TUS_VERSION, TUS_EXTENSION, TUS_MAX_SIZE, UPLOAD_OFFSET, UPLOAD_EXPIRES];

/// A file on its way.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct UploadStatus {
    /// Give it as `upload_id` of what the file becomes.
    id: Uuid,
    /// Bytes that it will have.
    #[schema(example = 2_480_133)]
    length: i64,
    /// Bytes that have come.
    offset: i64,
    /// Whether it is whole and was found to be a picture or a paper.
    finished: bool,
    /// When it is given up.
    expires_at: DateTime<Utc>,
}

impl UploadStatus {
    fn of(upload: &Upload) -> Self {
        Self {
            id: upload.id,
            length: upload.announced_bytes,
            offset: upload.received_bytes,
            finished: upload.file.is_some(),
            expires_at: upload.expires_at,
        }
    }
}

/// How much a kennel's pictures and papers take.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct FileRoom {
    /// Bytes that they take, with what is on its way.
    #[schema(example = 310_402_118)]
    taken_bytes: i64,
    /// Bytes that they may take.
    most_bytes: i64,
    /// Bytes that one file may have.
    most_bytes_each: i64,
}

/// Tell which edition of the upload protocol is spoken.
#[utoipa::path(tag = "attachments", security(()), responses((status = 204, description = "In its headers.")))]
#[options("/v1/kennels/{kennel_id}/uploads")]
pub(crate) async fn explain_uploads(app: web::Data<App>, _path: web::Path<Uuid>) -> HttpResponse {
    HttpResponse::NoContent()
        .insert_header((TUS_RESUMABLE, VERSION))
        .insert_header((TUS_VERSION, VERSION))
        .insert_header((TUS_EXTENSION, EXTENSIONS))
        .insert_header((TUS_MAX_SIZE, app.files_limits.bytes_each))
        .finish()
}

/// Read how much the kennel's files take.
#[utoipa::path(tag = "attachments", responses((status = 200, description = "It.", body = FileRoom)))]
#[get("/v1/kennels/{kennel_id}/uploads")]
pub(crate) async fn read_file_room(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
) -> Result<HttpResponse, Problem> {
    let taken_bytes = app.db.within(&scope.0, async |tx| uploads::bytes_taken(tx).await).await?;
    let FilesLimits { bytes_each, bytes_of_kennel } = app.files_limits;
    let room = FileRoom { taken_bytes, most_bytes: bytes_of_kennel, most_bytes_each: bytes_each };
    Ok(HttpResponse::Ok().json(room))
}

/// Announce a file (tus 1.0).
///
/// Uploads speak tus 1.0 with creation, expiration and termination: any client of it works with a bearer
/// token. `Upload-Length` says how many bytes will come, `filetype` in `Upload-Metadata` of which type they are.
/// Taken are JPEG, PNG, WebP and PDF, of at most 50 million pixels. A picture is kept upright, of at most 4,096
/// pixels an edge, without what the camera wrote beside it.
#[utoipa::path(tag = "attachments", responses((status = 201, description = "Announced.", body = UploadStatus)))]
#[post("/v1/kennels/{kennel_id}/uploads")]
pub(crate) async fn create_upload(
    app: web::Data<App>,
    scope: InKennel,
    request: HttpRequest,
    _path: web::Path<Uuid>,
) -> Result<HttpResponse, Problem> {
    uploads::require(&scope.0)?;
    speaks_tus(&request)?;
    let length = number(request.headers(), &UPLOAD_LENGTH)?;
    if length < 1 {
        return Err(unreadable(&UPLOAD_LENGTH));
    }
    let FilesLimits { bytes_each, bytes_of_kennel } = app.files_limits;
    if length > bytes_each {
        return Err(too_large(bytes_each).with_header(TUS_MAX_SIZE, bytes_each.to_string()));
    }
    let media_type = media_type(request.headers())?;
    let upload = app
        .db
        .within(&scope.0, async |tx| {
            uploads::announce(tx, length, media_type.as_deref(), bytes_of_kennel).await
        })
        .await?;
    let location = format!("{}/{}", request.path().trim_end_matches('/'), upload.id);
    Ok(HttpResponse::Created()
        .insert_header((header::LOCATION, location))
        .insert_header((TUS_RESUMABLE, VERSION))
        .insert_header((UPLOAD_EXPIRES, expires(&upload)))
        .json(UploadStatus::of(&upload)))
}

/// Read how far an upload has come; `HEAD` tells it in its headers.
#[utoipa::path(tag = "attachments", responses((status = 200, description = "It.", body = UploadStatus)))]
#[get("/v1/kennels/{kennel_id}/uploads/{upload_id}")]
pub(crate) async fn read_upload(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    let upload = app.db.within(&scope.0, async |tx| uploads::find(tx, path.1).await).await?;
    Ok(HttpResponse::Ok()
        .insert_header((header::CACHE_CONTROL, "no-store"))
        .insert_header((TUS_RESUMABLE, VERSION))
        .insert_header((UPLOAD_OFFSET, upload.received_bytes))
        .insert_header((UPLOAD_LENGTH, upload.announced_bytes))
        .insert_header((UPLOAD_EXPIRES, expires(&upload)))
        .json(UploadStatus::of(&upload)))
}

/// Send the next bytes of an upload (tus 1.0).
///
/// What arrives before a line breaks is kept. With the last byte the file is looked at: what is no picture or
/// paper is refused, and the upload with it.
#[utoipa::path(tag = "attachments",
    request_body(content = Vec<u8>, content_type = "application/offset+octet-stream"),
    responses((status = 204, description = "They have come; `Upload-Offset` says how far.")))]
#[patch("/v1/kennels/{kennel_id}/uploads/{upload_id}")]
pub(crate) async fn append_upload(
    app: web::Data<App>,
    scope: InKennel,
    request: HttpRequest,
    path: web::Path<(Uuid, Uuid)>,
    payload: web::Payload,
) -> Result<HttpResponse, Problem> {
    speaks_tus(&request)?;
    let named = request.headers().get(header::CONTENT_TYPE).map(HeaderValue::as_bytes);
    if named != Some(PIECE.as_bytes()) {
        let detail = said!("problem-media-type", wanted = PIECE);
        return Err(Problem::new(Kind::WrongMediaType, detail));
    }
    not_packed(&request)?;
    let offset = number(request.headers(), &UPLOAD_OFFSET)?;
    let upload = app.db.within(&scope.0, async |tx| uploads::find(tx, path.1).await).await?;
    if offset != upload.received_bytes {
        let detail = said!("problem-conflict-upload-offset", offset = upload.received_bytes);
        return Err(Problem::new(Kind::Conflict, detail));
    }
    let upload = receive(&app, &scope.0, upload, payload).await?;
    if upload.missing_bytes() == 0 && upload.file.is_none() {
        finish(&app, &scope.0, &upload).await?;
    }
    Ok(HttpResponse::NoContent()
        .insert_header((TUS_RESUMABLE, VERSION))
        .insert_header((UPLOAD_OFFSET, upload.received_bytes))
        .insert_header((UPLOAD_EXPIRES, expires(&upload)))
        .finish())
}

/// Give an upload up.
#[utoipa::path(tag = "attachments", responses((status = 204, description = "Gone.")))]
#[delete("/v1/kennels/{kennel_id}/uploads/{upload_id}")]
pub(crate) async fn delete_upload(
    app: web::Data<App>,
    scope: InKennel,
    request: HttpRequest,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    speaks_tus(&request)?;
    give_up(&app, &scope.0, path.1).await?;
    Ok(HttpResponse::NoContent().insert_header((TUS_RESUMABLE, VERSION)).finish())
}

async fn give_up(app: &App, scope: &Scope, id: Uuid) -> Result<(), Problem> {
    app.db
        .within(scope, async |tx| {
            uploads::find(tx, id).await?;
            uploads::remove(tx, id).await
        })
        .await?;
    Ok(app.files.forget_parts(id).await?)
}

/// Bytes that are put away together: what is lost of a piece when the service itself ends.
const PART: usize = 1 << 20;

/// Puts away what comes, until it is all or the line breaks.
async fn receive(
    app: &web::Data<App>,
    scope: &Scope,
    mut upload: Upload,
    mut payload: web::Payload,
) -> Result<Upload, Problem> {
    let mut part = BytesMut::new();
    loop {
        let next = payload.next().await;
        let ended = !matches!(next, Some(Ok(_)));
        if let Some(Ok(chunk)) = &next {
            part.extend_from_slice(chunk);
        }
        if part.len() as u64 > upload.missing_bytes() {
            return Err(too_large(upload.announced_bytes));
        }
        if part.len() >= PART || (ended && !part.is_empty()) {
            upload = put_away(app, scope, &upload, part.split().freeze()).await?;
        }
        match next {
            Some(Ok(_)) => {}
            None => return Ok(upload),
            Some(Err(_)) => {
                let detail = said!("problem-not-whole-connection");
                return Err(Problem::new(Kind::Unreadable, detail));
            }
        }
    }
}

/// Keeps a part, also when whoever sent it has gone by then: what waits for an answer ends with the line.
async fn put_away(
    app: &web::Data<App>,
    scope: &Scope,
    upload: &Upload,
    bytes: Bytes,
) -> Result<Upload, Problem> {
    let (app, scope, upload) = (app.clone(), scope.clone(), upload.clone());
    let kept = actix_web::rt::spawn(async move {
        // A name of its own, so that another that comes to the same place does not overwrite it.
        let name = Uuid::now_v7().to_string();
        let count = i64::try_from(bytes.len()).unwrap_or(i64::MAX);
        app.files.keep_part(upload.id, &name, bytes.to_vec()).await?;
        let add = async |tx: &mut Tx| uploads::add_part(tx, &upload, &name, count).await;
        Ok(app.db.within(&scope, add).await?)
    });
    kept.await.map_err(|error| Problem::of_ours(&error))?
}

/// Looks at a whole file and keeps it, or refuses it and lets it go.
async fn finish(app: &App, scope: &Scope, upload: &Upload) -> Result<(), Problem> {
    let kennel_id = scope.kennel_id();
    let seat = app.drawing.seat(kennel_id).await?;
    let bytes = app.files.put_together(upload.id, &upload.parts).await?;
    let announced = upload.announced_type.clone();
    let look = seat.done(move || files::judge(bytes, announced.as_deref()));
    let judged = match tokio::time::timeout(app.files_limits.patience(), look).await {
        Ok(judged) => judged?,
        Err(_) => Err(said!("fault-unsupported-file-slow")),
    };
    let Judged { bytes, facts, thumbnails } = match judged {
        Ok(judged) => judged,
        Err(why) => {
            give_up(app, scope, upload.id).await?;
            return Err(Problem::fault(Kind::NotAcceptable, "", why));
        }
    };
    for small in thumbnails {
        app.files.keep_thumbnail(kennel_id, &facts.sha256, small.edge, small.bytes).await?;
    }
    keep(app, kennel_id, &facts, bytes).await?;
    let most = app.files_limits.bytes_of_kennel;
    let written =
        app.db.within(scope, async |tx| uploads::found_to_be(tx, upload, &facts, most).await).await;
    if matches!(written, Err(StoreError::Conflict(_))) {
        give_up(app, scope, upload.id).await?;
    }
    written?;
    Ok(app.files.forget_parts(upload.id).await?)
}

/// Keeps a file, which no sweep of any instance removes meanwhile.
pub(super) async fn keep(
    app: &App,
    kennel_id: Uuid,
    facts: &FileFacts,
    bytes: Vec<u8>,
) -> Result<(), Problem> {
    let sha256 = facts.sha256.as_str();
    let kept = held(&app.db, (kennel_id, sha256), Hold::ToKeep, async || {
        app.files.keep(kennel_id, sha256, bytes).await
    });
    Ok(kept.await??)
}

/// Refuses another edition of the protocol, or another protocol.
fn speaks_tus(request: &HttpRequest) -> Result<(), Problem> {
    let spoken = request.headers().get(TUS_RESUMABLE).map(HeaderValue::as_bytes);
    if spoken == Some(VERSION.as_bytes()) {
        return Ok(());
    }
    let detail = said!("problem-wrong-protocol", version = VERSION);
    Err(Problem::new(Kind::WrongProtocol, detail).with_header(TUS_VERSION, VERSION))
}

fn unreadable(name: &HeaderName) -> Problem {
    let detail = said!("fault-malformed-upload-header");
    Problem::fault(Kind::Unreadable, &format!("#header/{name}"), detail)
}

fn number(headers: &HeaderMap, name: &HeaderName) -> Result<i64, Problem> {
    let text = headers.get(name).and_then(|value| value.to_str().ok());
    let number = text.and_then(|text| text.parse().ok());
    number.filter(|number| *number >= 0).ok_or_else(|| unreadable(name))
}

/// The media type that the sender names, of the pairs of a key and a value in Base64.
fn media_type(headers: &HeaderMap) -> Result<Option<String>, Problem> {
    let Some(value) = headers.get(UPLOAD_METADATA) else { return Ok(None) };
    let pairs = value.to_str().map_err(|_| unreadable(&UPLOAD_METADATA))?;
    for pair in pairs.split(',') {
        let Some(("filetype", value)) = pair.trim().split_once(' ') else { continue };
        let decoded = BASE64_STANDARD.decode(value.trim()).ok();
        let named = decoded.and_then(|bytes| String::from_utf8(bytes).ok());
        let named = named.filter(|named| named.len() <= 200 && !named.contains(char::is_control));
        return named.map(Some).ok_or_else(|| unreadable(&UPLOAD_METADATA));
    }
    Ok(None)
}

/// As HTTP writes times (RFC 9110, 5.6.7).
fn expires(upload: &Upload) -> String {
    upload.expires_at.format("%a, %d %b %Y %H:%M:%S GMT").to_string()
}

fn too_large(most: i64) -> Problem {
    let most_mb = (most >> 20).max(1);
    Problem::new(Kind::TooLarge, said!("problem-too-large-file", most = most_mb))
}
