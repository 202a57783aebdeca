//! The five operations that every kept record has.
//!
//! [`resource!`] writes their documented handlers, named by the operation ids of the published
//! document; each is a line that calls one of the functions here. The longer form is for rows that
//! hang on another row in the path. The summaries are given apart from the docs, since utoipa reads
//! literal docs only.

use super::{
    App,
    answer::{self, Created},
    body::JsonBody,
    problem::Problem,
    query::Listing,
};
use actix_web::{HttpRequest, HttpResponse};
use domain::record::{Kept, register::Registered as _};
use serde::Serialize;
use store::{
    StoreResult, Tx,
    keep::{self, Keep, RowPath, Seen},
    scope::{Claim, Scope},
};
use utoipa::ToSchema;
use uuid::Uuid;

/// How a record is answered: as it is kept, or with what is to be said beside it.
pub trait Shown: Serialize + Sized {
    /// The record.
    type Record: Keep;

    /// The answer where nothing belongs beside a record.
    fn alone(kept: Kept<Self::Record>) -> Result<Self, Kept<Self::Record>> {
        Err(kept)
    }

    /// Adds what belongs beside a record, in the transaction that has found or written it.
    async fn of(tx: &mut Tx, kept: Kept<Self::Record>) -> StoreResult<Self>;

    /// The record as it is kept.
    fn kept(&self) -> &Kept<Self::Record>;
}

impl<R: Keep> Shown for Kept<R>
where
    Self: Serialize,
{
    type Record = R;

    fn alone(kept: Self) -> Result<Self, Self> {
        Ok(kept)
    }

    async fn of(_: &mut Tx, kept: Self) -> StoreResult<Self> {
        Ok(kept)
    }

    fn kept(&self) -> &Self {
        self
    }
}

impl<R> Created<Kept<R>> {
    /// A new row of the collection at `path`.
    pub fn row(path: &str, kept: Kept<R>) -> Self {
        let location = format!("{}/{}", path.trim_end_matches('/'), kept.id);
        Self { location, version: Some(kept.version), body: kept }
    }
}

fn answered<S: Shown>(shown: &S) -> HttpResponse {
    answer::tagged(shown.kept().version, shown)
}

/// Adds a record, under the row in the path when there is one.
pub async fn create<S: Shown>(
    app: &App,
    scope: &Scope,
    request: &HttpRequest,
    parent: Option<(&str, Uuid)>,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    scope.require(S::Record::WRITE)?;
    let raw = body.digest();
    let record: S::Record = match parent {
        Some((field, id)) => body.record_under(field, id, scope.now()).await?,
        None => body.record(scope.now()).await?,
    };
    answer::once(app, scope, request, &raw, async |tx| {
        let Created { location, version, body } =
            Created::row(request.path(), keep::create(tx, &record).await?);
        Ok(Created { location, version, body: S::of(tx, body).await? })
    })
    .await
}

/// One page of records.
pub async fn list<R: Keep + ToSchema + 'static>(
    app: &App,
    claim: &Claim,
    request: &HttpRequest,
    parent: Option<Uuid>,
    listing: Listing<R::Filter>,
) -> Result<HttpResponse, Problem> {
    let Listing { filter, asked } = listing;
    let page = match asked.of_records::<R>() {
        Ok(page) => page,
        // Whose login is not good is told that first.
        Err(problem) => {
            claim.proven(&app.db).await?.ok_or_else(Problem::no_kennel)?;
            return Err(problem);
        }
    };
    let found = keep::ask_list::<R>(&app.db, claim, parent, &filter, page).await?;
    answer::page(request, &found.ok_or_else(Problem::no_kennel)?)
}

/// One record.
pub async fn read<S: Shown>(
    app: &App,
    claim: &Claim,
    place: RowPath,
) -> Result<HttpResponse, Problem> {
    let found = keep::ask::<S::Record>(&app.db, claim, place).await?;
    let (scope, kept) = found.ok_or_else(Problem::no_kennel)?;
    let shown = match S::alone(kept) {
        Ok(shown) => shown,
        Err(kept) => app.db.within(&scope, async |tx| S::of(tx, kept).await).await?,
    };
    Ok(answered(&shown))
}

/// The record of which a kennel has one at most; what holds until it is set.
pub async fn read_single<R: Keep + Default>(
    app: &App,
    claim: &Claim,
) -> Result<HttpResponse, Problem> {
    let kept = keep::ask_only::<R>(&app.db, claim).await?.ok_or_else(Problem::no_kennel)?;
    let version = kept.as_ref().map_or(0, |kept| kept.version);
    Ok(answer::tagged(version, &kept.map(|kept| kept.record).unwrap_or_default()))
}

/// Sets it, from the version that the client has seen.
pub async fn set_single<R: Keep + ToSchema + 'static>(
    app: &App,
    scope: &Scope,
    seen: Seen,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    let record: R = body.record(scope.now()).await?;
    let kept = app.db.writing(scope, async |tx| keep::put_only(tx, seen, &record).await).await?;
    Ok(answer::tagged(kept.version, &kept.record))
}

/// Changes a record by a JSON Merge Patch, from the version that the client has seen.
pub async fn change<S: Shown>(
    app: &App,
    scope: &Scope,
    place: RowPath,
    seen: Seen,
    patch: JsonBody,
) -> Result<HttpResponse, Problem> {
    let changed = app.db.writing(scope, async |tx| {
        let make = async |kept: &Kept<S::Record>| patch.patched(&kept.record, scope.now()).await;
        match keep::change::<S::Record, _>(tx, place, seen, make).await? {
            Ok(kept) => Ok(Ok(S::of(tx, kept).await?)),
            Err(problem) => Ok(Err(problem)),
        }
    });
    Ok(answered(&changed.await??))
}

/// Deletes a record at the version that the client has seen.
pub async fn delete<R: Keep>(
    app: &App,
    scope: &Scope,
    place: RowPath,
    seen: Seen,
) -> Result<HttpResponse, Problem> {
    app.db.writing(scope, async |tx| keep::remove::<R>(tx, place, seen).await).await?;
    Ok(HttpResponse::NoContent().finish())
}

/// Writes create, list, read, change and delete for a record, answered as it is kept (`Birth`) or as
/// something else that is [`Shown`] (`Litter as OfPair`).
macro_rules! resource {
    ($record:ident, $($rest:tt)*) => { resource!($record as Kept, $($rest)*); };
    (
        $record:ident as $shown:ident, tag $tag:literal, one $one:literal, many $many:literal,
        at $collection:literal, $item:literal;
        $create:ident, $list:ident, $read:ident, $change:ident, $delete:ident
    ) => {
        resource!(@all $record, $shown, $tag, $one, $many, $collection, $item, (Uuid,), (Uuid, Uuid),
            None, (_kennel,) => None, None; (_kennel, id) => store::keep::RowPath { id, parent: None };
            $create, $list, $read, $change, $delete);
    };
    (
        $record:ident as $shown:ident, tag $tag:literal, one $one:literal, many $many:literal,
        at $collection:literal, $item:literal, under $parent:ident;
        $create:ident, $list:ident, $read:ident, $change:ident, $delete:ident
    ) => {
        resource!(@all $record, $shown, $tag, $one, $many, $collection, $item, (Uuid, Uuid), (Uuid, Uuid, Uuid),
            Some(stringify!($parent)), (_kennel, parent) => Some((stringify!($parent), parent)), Some(parent);
            (_kennel, parent, id) => store::keep::RowPath { id, parent: Some(parent) };
            $create, $list, $read, $change, $delete);
    };
    (
        @all $record:ident, $shown:ident, $tag:literal, $one:literal, $many:literal, $collection:literal, $item:literal,
        $collection_path:ty, $item_path:ty, $hangs_by:expr,
        $collection_names:pat => $named_parent:expr, $parent:expr; $item_names:pat => $place:expr;
        $create:ident, $list:ident, $read:ident, $change:ident, $delete:ident
    ) => { pastey::paste! {
        // The path names the row that the register says.
        const _: () = assert!(
            <$record as domain::record::register::Registered>::LINE.hangs_by($hangs_by)
        );

        type [<$shown $record>] = $shown<$record>;
        type [<$record List>] = List<$record>;
        type [<$record Patch>] = Patch<$record>;
        type [<$record Sort>] = Sort<$record>;

        #[doc = concat!("Add ", $one, ".")]
        #[utoipa::path(tag = $tag, summary = concat!("Add ", $one, "."), request_body = $record,
            responses((status = 201, description = "Written.", body = [<$shown $record>])))]
        #[post($collection)]
        pub async fn $create(
            app: web::Data<App>,
            scope: InKennel,
            request: HttpRequest,
            path: web::Path<$collection_path>,
            body: JsonBody,
        ) -> Result<HttpResponse, Problem> {
            let $collection_names = path.into_inner();
            crate::resource::create::<[<$shown $record>]>(&app, &scope.0, &request, $named_parent, body).await
        }

        #[doc = concat!("List ", $many, ".")]
        #[utoipa::path(tag = $tag, summary = concat!("List ", $many, "."), params(Paging, [<$record Sort>], [<$record Filter>]),
            responses((status = 200, description = "A page.", body = [<$record List>])))]
        #[get($collection)]
        pub async fn $list(
            app: web::Data<App>,
            claim: Asks,
            request: HttpRequest,
            path: web::Path<$collection_path>,
            listing: Listing<[<$record Filter>]>,
        ) -> Result<HttpResponse, Problem> {
            let $collection_names = path.into_inner();
            crate::resource::list::<$record>(&app, &claim.0, &request, $parent, listing).await
        }

        #[doc = concat!("Read ", $one, ".")]
        #[utoipa::path(tag = $tag, summary = concat!("Read ", $one, "."), responses((status = 200, description = "It.", body = [<$shown $record>])))]
        #[get($item)]
        pub async fn $read(
            app: web::Data<App>,
            claim: Asks,
            path: web::Path<$item_path>,
        ) -> Result<HttpResponse, Problem> {
            let $item_names = path.into_inner();
            crate::resource::read::<[<$shown $record>]>(&app, &claim.0, $place).await
        }

        #[doc = concat!("Change ", $one, " by a JSON Merge Patch.")]
        #[utoipa::path(tag = $tag, summary = concat!("Change ", $one, " by a JSON Merge Patch."), request_body(content = [<$record Patch>], content_type = "application/merge-patch+json"),
            responses((status = 200, description = "As it is now.", body = [<$shown $record>])))]
        #[patch($item)]
        pub async fn $change(
            app: web::Data<App>,
            scope: InKennel,
            path: web::Path<$item_path>,
            version: IfMatch,
            body: JsonBody,
        ) -> Result<HttpResponse, Problem> {
            let $item_names = path.into_inner();
            crate::resource::change::<[<$shown $record>]>(&app, &scope.0, $place, version.0, body).await
        }

        #[doc = concat!("Delete ", $one, ".")]
        #[utoipa::path(tag = $tag, summary = concat!("Delete ", $one, "."), responses((status = 204, description = "Gone.")))]
        #[delete($item)]
        pub async fn $delete(
            app: web::Data<App>,
            scope: InKennel,
            path: web::Path<$item_path>,
            version: IfMatch,
        ) -> Result<HttpResponse, Problem> {
            let $item_names = path.into_inner();
            crate::resource::delete::<$record>(&app, &scope.0, $place, version.0).await
        }
    }};
}

pub(crate) use resource;

/// What the handlers that [`resource!`] writes need in scope.
pub mod prelude {
    pub(crate) use super::super::{
        App,
        answer::IfMatch,
        body::JsonBody,
        login::{Asks, InKennel},
        problem::Problem,
        query::{All, Listing, Paging, Sort},
    };
    pub(crate) use super::resource;
    pub(crate) use actix_web::{HttpRequest, HttpResponse, delete, get, patch, post, web};
    pub(crate) use domain::record::{Kept, List, Patch};
    pub(crate) use uuid::Uuid;
}
