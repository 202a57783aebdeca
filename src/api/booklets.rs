//! What goes with a pup to its new home: the booklet, as JSON, as PDF and by a link.

use super::{
    answer::{self, Created, IfMatch},
    attachments::{PictureSize, to_print},
    problem::Kind,
    query::{Query, in_language},
    resource::prelude::*,
    work::Seat,
};
use actix_web::{http::header, put};
use catalogue::{Language, Text, said};
use chrono::{DateTime, Utc};
use documents::{
    booklet::{BookletPictures, age_on_photo, booklet_pdf, name_of},
    growth_chart::{Beside, pup_growth_svg},
    pdf::{PaperFormat, PdfError, Photo, logo},
    pedigree_chart::pedigree_within_text,
};
use domain::{
    booklet::{AlbumPicture, Booklet, BookletDog, album, booklet, booklet_tree},
    family_tree::FamilyTree,
    growth::{LitterGrowth, litter_growth},
    record::BookletTexts,
};
use security::credentials;
use serde::{Deserialize, Serialize};
use store::{attachments, booklets, scope::Scope};
use utoipa::{IntoParams, ToSchema};

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config
        .service(read_booklet)
        .service(print_booklet)
        .service(create_booklet_link)
        .service(list_booklet_links)
        .service(delete_booklet_link)
        .service(read_booklet_texts)
        .service(set_booklet_texts)
        .service(print_shared_booklet)
        .service(read_shared_booklet);
}

/// The booklet with what its pictures are drawn of.
struct Made {
    booklet: Booklet,
    logo: Option<String>,
    tree: Option<FamilyTree>,
    growth: LitterGrowth,
}

async fn make(app: &App, scope: &Scope, seat: &Seat, dog_id: Uuid) -> Result<Made, Problem> {
    let (facts, logo, litter, moment) = app
        .db
        .read_within(scope, async |tx| {
            let (facts, logo, litter) = booklets::facts(tx, dog_id).await?;
            Ok((facts, logo, litter, tx.moment().await?))
        })
        .await?;
    let made = move || {
        let growth = litter_growth(&litter, moment.now, &moment.rules);
        let tree = booklet_tree(&facts);
        Made { booklet: booklet(facts, moment.today()), logo, tree, growth }
    };
    seat.done(made).await
}

/// The files of the pictures that a booklet prints.
#[derive(Default)]
struct AlbumFiles {
    portrait: Option<(AlbumPicture, Vec<u8>)>,
    row: Vec<(AlbumPicture, Vec<u8>)>,
}

async fn album_files(
    app: &App,
    scope: &Scope,
    seat: &Seat,
    dog: &BookletDog,
) -> Result<AlbumFiles, Problem> {
    let shown = async |tx: &mut store::Tx| attachments::shown_to_buyer(tx, dog.dog_id).await;
    let shown = app.db.read_within(scope, shown).await?;
    let album = album(&shown, dog.born_on);
    let file = async |picture: AlbumPicture, size| {
        let named = (picture.sha256.as_str(), size);
        let bytes = to_print(app, seat, scope.kennel_id(), named).await?;
        Ok::<_, Problem>(bytes.map(|bytes| (picture, bytes)))
    };
    let mut files = AlbumFiles::default();
    if let Some(portrait) = album.portrait {
        files.portrait = file(portrait, PictureSize::Screen).await?;
    }
    for picture in album.row {
        files.row.extend(file(picture, PictureSize::Small).await?);
    }
    Ok(files)
}

/// A picture to print, with what it shows in words: what the kennel wrote, else who it is at which age.
fn photo(name: &str, (picture, bytes): (AlbumPicture, Vec<u8>)) -> Option<Photo> {
    let age = picture.age_days.map(age_on_photo);
    let alt = match (&picture.caption, &age) {
        (Some(caption), _) => Text::verbatim(caption),
        (None, Some(age)) => said!("print-booklet-photo-aged", name = name, age = age),
        (None, None) => said!("print-booklet-photo", name = name),
    };
    let below = match (age, picture.caption) {
        (Some(age), Some(caption)) => Text::verbatim(format!("{age}: {caption}")),
        (Some(age), None) => age,
        (None, caption) => Text::verbatim(caption.unwrap_or_default()),
    };
    Photo::of(bytes, alt, below)
}

async fn print(
    app: &App,
    scope: &Scope,
    seat: &Seat,
    made: Made,
    format: PaperFormat,
) -> Result<HttpResponse, Problem> {
    let files = album_files(app, scope, seat, &made.booklet.dog).await?;
    let print = move || {
        let dog = &made.booklet.dog;
        let collar = made.booklet.birth.as_ref().and_then(|birth| birth.collar.clone());
        let beside = Beside {
            collars: collar.map(|collar| (dog.dog_id, collar)).into_iter().collect(),
            unit: made.booklet.kennel.weight_unit,
            wide: true,
            ..Beside::default()
        };
        let title = said!("print-booklet-growth-title").to_string();
        let name = name_of(&made.booklet);
        let pictures = BookletPictures {
            logo: made.logo,
            pedigree: made.tree.map(|tree| pedigree_within_text(&tree)),
            // A dog without a day of birth has no chart.
            chart: pup_growth_svg(&title, dog.dog_id, &made.growth, &beside),
            portrait: files.portrait.and_then(|file| photo(&name, file)),
            album: files.row.into_iter().filter_map(|file| photo(&name, file)).collect(),
        };
        booklet_pdf(&made.booklet, &pictures, format)
    };
    let bytes = seat.done(print).await?;
    printed(bytes, "booklet")
}

/// What was printed, under a name for the file.
pub(super) fn printed(
    bytes: Result<Vec<u8>, PdfError>,
    name: &str,
) -> Result<HttpResponse, Problem> {
    let bytes = bytes.map_err(|error| Problem::of_ours(&error))?;
    Ok(HttpResponse::Ok()
        .content_type("application/pdf")
        .insert_header((header::CONTENT_DISPOSITION, format!("inline; filename=\"{name}.pdf\"")))
        .body(bytes))
}

/// On which paper, and in which language.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct PaperQuery {
    /// `a4`, or `letter`.
    #[serde(default)]
    #[param(inline)]
    pub(super) format: PaperFormat,
    /// In which language; left out, the one that `Accept-Language` wants most.
    #[param(inline)]
    pub(super) language: Option<Language>,
}

/// Read a pup's booklet: everything recorded of it, and what is not.
#[utoipa::path(tag = "go-home", responses((status = 200, description = "The booklet.", body = Booklet)))]
#[get("/v1/kennels/{kennel_id}/dogs/{dog_id}/booklet.json")]
pub(crate) async fn read_booklet(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    let seat = app.room.seat(scope.0.kennel_id()).await?;
    Ok(HttpResponse::Ok().json(make(&app, &scope.0, &seat, path.1).await?.booklet))
}

/// Print a pup's booklet.
#[utoipa::path(tag = "go-home", params(PaperQuery),
    responses((status = 200, description = "The pages.", content_type = "application/pdf", body = Vec<u8>)))]
#[get("/v1/kennels/{kennel_id}/dogs/{dog_id}/booklet.pdf")]
pub(crate) async fn print_booklet(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
    query: Query<PaperQuery>,
) -> Result<HttpResponse, Problem> {
    let PaperQuery { format, language } = query.0;
    let printed = async {
        let seat = app.room.seat(scope.0.kennel_id()).await?;
        let made = make(&app, &scope.0, &seat, path.1).await?;
        print(&app, &scope.0, &seat, made, format).await
    };
    in_language(language, printed).await
}

/// The dog whose booklet a link opens, and the scope in which it is read.
pub(super) async fn linked(app: &App, secret: &str) -> Result<(Scope, Uuid), Problem> {
    let hash = credentials::hash_secret(secret);
    Ok(booklets::linked(&app.db, &hash, app.clock.now()).await?)
}

/// Read a booklet by its link, without a login.
#[utoipa::path(tag = "go-home", security(()),
    responses((status = 200, description = "The booklet.", body = Booklet)))]
#[get("/v1/booklets/{secret}")]
pub(crate) async fn read_shared_booklet(
    app: web::Data<App>,
    path: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    let (scope, dog_id) = linked(&app, &path.into_inner()).await?;
    let seat = app.room.seat(scope.kennel_id()).await?;
    Ok(HttpResponse::Ok()
        .insert_header((header::CACHE_CONTROL, "private, no-store"))
        .json(make(&app, &scope, &seat, dog_id).await?.booklet))
}

/// Print a booklet by its link, without a login.
#[utoipa::path(tag = "go-home", security(()), params(PaperQuery),
    responses((status = 200, description = "The pages.", content_type = "application/pdf", body = Vec<u8>)))]
#[get("/v1/booklets/{secret}/booklet.pdf")]
pub(crate) async fn print_shared_booklet(
    app: web::Data<App>,
    path: web::Path<String>,
    query: Query<PaperQuery>,
) -> Result<HttpResponse, Problem> {
    let (scope, dog_id) = linked(&app, &path.into_inner()).await?;
    let PaperQuery { format, language } = query.0;
    let printed = async {
        let seat = app.room.seat(scope.kennel_id()).await?;
        let made = make(&app, &scope, &seat, dog_id).await?;
        print(&app, &scope, &seat, made, format).await
    };
    in_language(language, printed).await
}

/// A link to be made.
#[derive(Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct NewBookletLink {
    /// For whom.
    #[serde(default)]
    #[schema(example = "Ottilie Marsh", min_length = 1, max_length = 200)]
    label: Option<String>,
    /// When it ends by itself; null when it is only ever withdrawn.
    #[serde(default)]
    expires_at: Option<DateTime<Utc>>,
}

/// A link to a booklet.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct BookletLinkAnswer {
    /// Id.
    id: Uuid,
    /// Whose booklet.
    dog_id: Uuid,
    /// For whom.
    label: Option<String>,
    /// When it ends.
    expires_at: Option<DateTime<Utc>>,
    /// When it was made.
    created_at: DateTime<Utc>,
    /// Path of the booklet, shown once when the link is made, null afterwards.
    #[schema(example = "/v1/booklets/dwb_6b…")]
    path: Option<String>,
}

impl BookletLinkAnswer {
    fn of(link: booklets::BookletLink, path: Option<String>) -> Self {
        let booklets::BookletLink { id, dog_id, label, expires_at, created_at } = link;
        Self { id, dog_id, label, expires_at, created_at, path }
    }
}

/// The links to a booklet.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct BookletLinks {
    /// Oldest first.
    items: Vec<BookletLinkAnswer>,
    /// The next page's `cursor`; null on the last.
    next_cursor: Option<String>,
}

/// Make a link by which a new owner reads the booklet of this dog, and nothing else.
#[utoipa::path(tag = "go-home", request_body = NewBookletLink,
    responses((status = 201, description = "Made; the path is shown this once.", body = BookletLinkAnswer)))]
#[post("/v1/kennels/{kennel_id}/dogs/{dog_id}/booklet-links")]
pub(crate) async fn create_booklet_link(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
    request: HttpRequest,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    let raw = body.digest();
    let NewBookletLink { label, expires_at } = body.parse().await?;
    let secret = credentials::new_secret(credentials::BOOKLET_LINK_PREFIX);
    let hash = credentials::hash_secret(&secret);
    answer::once_shown(&app, &scope.0, &request, &raw, async |tx| {
        let link = booklets::add_link(tx, path.1, label.as_deref(), &hash, expires_at).await?;
        let location = format!("{}/{}", request.path(), link.id);
        let path = format!("/v1/booklets/{secret}");
        Ok(Created { location, version: None, body: BookletLinkAnswer::of(link, Some(path)) })
    })
    .await
}

/// List the links to a dog's booklet.
#[utoipa::path(tag = "go-home", params(Paging), responses((status = 200, description = "A page.", body = BookletLinks)))]
#[get("/v1/kennels/{kennel_id}/dogs/{dog_id}/booklet-links")]
pub(crate) async fn list_booklet_links(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
    request: HttpRequest,
    listing: Listing<All>,
) -> Result<HttpResponse, Problem> {
    let links = app.db.within(&scope.0, async |tx| booklets::links(tx, path.1).await).await?;
    let (links, next_cursor) = listing.asked.cut(links, |link| link.id.to_string())?;
    let items = links.into_iter().map(|link| BookletLinkAnswer::of(link, None)).collect();
    let list = BookletLinks { items, next_cursor };
    answer::list::<BookletLinkAnswer>(&request, list.next_cursor.as_deref(), &list)
}

/// Withdraw a link to a booklet: it is dead from now on.
#[utoipa::path(tag = "go-home", responses((status = 204, description = "Withdrawn.")))]
#[delete("/v1/kennels/{kennel_id}/dogs/{dog_id}/booklet-links/{link_id}")]
pub(crate) async fn delete_booklet_link(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    let (_, dog_id, id) = path.into_inner();
    app.db.writing(&scope.0, async |tx| booklets::remove_link(tx, dog_id, id).await).await?;
    Ok(HttpResponse::NoContent().finish())
}

/// Read the kennel's own words and logo for the booklet.
///
/// The ETag is `"0"` as long as nothing was set.
#[utoipa::path(tag = "go-home", responses((status = 200, description = "The words.", body = BookletTexts)))]
#[get("/v1/kennels/{kennel_id}/booklet-texts")]
pub(crate) async fn read_booklet_texts(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
) -> Result<HttpResponse, Problem> {
    let (texts, version) = app.db.within(&scope.0, async |tx| booklets::texts(tx).await).await?;
    Ok(answer::tagged(version, &texts))
}

/// Set the kennel's own words and logo for the booklet.
///
/// The logo is kept as it is drawn: plain shapes, texts and pictures, without scripts, filters, markers
/// and drawings within it; 4,000,000 pixels in all pictures and 50,000 shapes are the most.
#[utoipa::path(tag = "go-home", request_body = BookletTexts,
    responses((status = 200, description = "The words as they are now.", body = BookletTexts)))]
#[put("/v1/kennels/{kennel_id}/booklet-texts")]
pub(crate) async fn set_booklet_texts(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
    version: IfMatch,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    let mut texts: BookletTexts = body.record(scope.0.now()).await?;
    if let Some(svg) = texts.logo_svg.take() {
        let seat = app.room.seat(scope.0.kennel_id()).await?;
        let drawn = seat.done(move || logo::redrawn(&svg)).await?;
        let refused =
            |error: PdfError| Problem::fault(Kind::NotAcceptable, "/logo_svg", error.of_picture());
        texts.logo_svg = Some(drawn.map_err(refused)?);
    }
    let (texts, version) = app
        .db
        .writing(&scope.0, async |tx| {
            booklets::set_texts(tx, &texts, version.0).await?;
            booklets::texts(tx).await
        })
        .await?;
    Ok(answer::tagged(version, &texts))
}
