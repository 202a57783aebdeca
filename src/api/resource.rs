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
    now,
    problem::Problem,
    query::Listing,
};
use crate::{
    domain::record::Kept,
    store::{
        keep::{self, Keep, Place},
        people::Scope,
    },
};
use actix_web::{HttpRequest, HttpResponse};
use serde::Serialize;
use uuid::Uuid;

impl<R> Created<Kept<R>> {
    /// A new row of the collection at `path`.
    pub fn row(path: &str, kept: Kept<R>) -> Self {
        let location = format!("{}/{}", path.trim_end_matches('/'), kept.id);
        Self { location, version: Some(kept.version), body: kept }
    }
}

/// Adds a record, under the row in the path when there is one.
pub async fn create<R: Keep>(
    app: &App,
    scope: &Scope,
    request: &HttpRequest,
    parent: Option<(&str, Uuid)>,
    body: JsonBody,
) -> Result<HttpResponse, Problem>
where
    Kept<R>: Serialize,
{
    scope.require(R::WRITE)?;
    let raw = body.0.to_string();
    let record: R = match parent {
        Some((field, id)) => body.record_under(field, id, now())?,
        None => body.record(now())?,
    };
    answer::once(app, scope, request, raw.as_bytes(), async |tx| {
        Ok(Created::row(request.path(), keep::create(tx, &record).await?))
    })
    .await
}

/// One page of records.
pub async fn list<R: Keep>(
    app: &App,
    scope: &Scope,
    request: &HttpRequest,
    parent: Option<Uuid>,
    listing: Listing<R::Filter>,
) -> Result<HttpResponse, Problem> {
    let list = app
        .db
        .within(scope, async |tx| keep::list::<R>(tx, parent, &listing.filter, listing.page).await)
        .await?;
    Ok(answer::page(request, &list))
}

/// One record.
pub async fn read<R: Keep>(
    app: &App,
    scope: &Scope,
    place: Place,
) -> Result<HttpResponse, Problem> {
    let kept = app.db.within(scope, async |tx| keep::find::<R>(tx, place).await).await?;
    Ok(answer::versioned(&kept))
}

/// Changes a record by a JSON Merge Patch, from the version that the client has seen.
pub async fn change<R: Keep>(
    app: &App,
    scope: &Scope,
    place: Place,
    version: i64,
    patch: JsonBody,
) -> Result<HttpResponse, Problem> {
    let kept = app
        .db
        .within(scope, async |tx| {
            keep::change::<R, _>(tx, place, version, |kept| patch.patched(&kept.record, now()))
                .await
        })
        .await??;
    Ok(answer::versioned(&kept))
}

/// Deletes a record at the version that the client has seen.
pub async fn delete<R: Keep>(
    app: &App,
    scope: &Scope,
    place: Place,
    version: i64,
) -> Result<HttpResponse, Problem> {
    app.db.within(scope, async |tx| keep::remove::<R>(tx, place, version).await).await?;
    Ok(HttpResponse::NoContent().finish())
}

/// Writes create, list, read, change and delete for a record.
macro_rules! resource {
    (
        $record:ident, tag $tag:literal, one $one:literal, many $many:literal,
        at $collection:literal, $item:literal;
        $create:ident, $list:ident, $read:ident, $change:ident, $delete:ident
    ) => {
        resource!(@all $record, $tag, $one, $many, $collection, $item, (Uuid,), (Uuid, Uuid),
            (_kennel,) => None, None; (_kennel, id) => crate::store::keep::Place { id, parent: None };
            $create, $list, $read, $change, $delete);
    };
    (
        $record:ident, tag $tag:literal, one $one:literal, many $many:literal,
        at $collection:literal, $item:literal, under $parent:ident;
        $create:ident, $list:ident, $read:ident, $change:ident, $delete:ident
    ) => {
        resource!(@all $record, $tag, $one, $many, $collection, $item, (Uuid, Uuid), (Uuid, Uuid, Uuid),
            (_kennel, parent) => Some((stringify!($parent), parent)), Some(parent);
            (_kennel, parent, id) => crate::store::keep::Place { id, parent: Some(parent) };
            $create, $list, $read, $change, $delete);
    };
    (
        @all $record:ident, $tag:literal, $one:literal, $many:literal, $collection:literal, $item:literal,
        $collection_path:ty, $item_path:ty,
        $collection_names:pat => $named_parent:expr, $parent:expr; $item_names:pat => $place:expr;
        $create:ident, $list:ident, $read:ident, $change:ident, $delete:ident
    ) => { pastey::paste! {
        type [<Kept $record>] = Kept<$record>;
        type [<$record List>] = List<$record>;
        type [<$record Patch>] = Patch<$record>;

        #[doc = concat!("Add ", $one, ".")]
        #[utoipa::path(tag = $tag, summary = concat!("Add ", $one, "."), request_body = $record,
            responses((status = 201, description = "Written.", body = [<Kept $record>])))]
        #[post($collection)]
        pub async fn $create(
            app: web::Data<App>,
            scope: InKennel,
            request: HttpRequest,
            path: web::Path<$collection_path>,
            body: JsonBody,
        ) -> Result<HttpResponse, Problem> {
            let $collection_names = path.into_inner();
            crate::api::resource::create::<$record>(&app, &scope.0, &request, $named_parent, body).await
        }

        #[doc = concat!("List ", $many, ", oldest first.")]
        #[utoipa::path(tag = $tag, summary = concat!("List ", $many, ", oldest first."), params(Paging, [<$record Filter>]),
            responses((status = 200, description = "A page.", body = [<$record List>])))]
        #[get($collection)]
        pub async fn $list(
            app: web::Data<App>,
            scope: InKennel,
            request: HttpRequest,
            path: web::Path<$collection_path>,
            listing: Listing<[<$record Filter>]>,
        ) -> Result<HttpResponse, Problem> {
            let $collection_names = path.into_inner();
            crate::api::resource::list::<$record>(&app, &scope.0, &request, $parent, listing).await
        }

        #[doc = concat!("Read ", $one, ".")]
        #[utoipa::path(tag = $tag, summary = concat!("Read ", $one, "."), responses((status = 200, description = "It, with its ETag.", body = [<Kept $record>])))]
        #[get($item)]
        pub async fn $read(
            app: web::Data<App>,
            scope: InKennel,
            path: web::Path<$item_path>,
        ) -> Result<HttpResponse, Problem> {
            let $item_names = path.into_inner();
            crate::api::resource::read::<$record>(&app, &scope.0, $place).await
        }

        #[doc = concat!("Change ", $one, " by a JSON Merge Patch.")]
        #[utoipa::path(tag = $tag, summary = concat!("Change ", $one, " by a JSON Merge Patch."), request_body(content = [<$record Patch>], content_type = "application/merge-patch+json"),
            responses((status = 200, description = "As it is now, with its ETag.", body = [<Kept $record>])))]
        #[patch($item)]
        pub async fn $change(
            app: web::Data<App>,
            scope: InKennel,
            path: web::Path<$item_path>,
            version: IfMatch,
            body: JsonBody,
        ) -> Result<HttpResponse, Problem> {
            let $item_names = path.into_inner();
            crate::api::resource::change::<$record>(&app, &scope.0, $place, version.0, body).await
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
            crate::api::resource::delete::<$record>(&app, &scope.0, $place, version.0).await
        }
    }};
}

pub(crate) use resource;

/// What the handlers that [`resource!`] writes need in scope.
pub mod prelude {
    pub use super::super::{
        App,
        answer::IfMatch,
        body::JsonBody,
        login::InKennel,
        problem::Problem,
        query::{Listing, Paging},
    };
    pub(crate) use super::resource;
    pub use crate::{
        domain::record::{Kept, List, Patch},
        store::keep::Keep,
    };
    pub use actix_web::{HttpRequest, HttpResponse, delete, get, patch, post, web};
    pub use uuid::Uuid;
}
