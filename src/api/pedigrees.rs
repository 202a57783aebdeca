//! Pedigrees given out as files; they come in as all files do (`imports`).

use super::resource::prelude::*;
use actix_web::http::header;
use domain::import::dogs;
use futures_util::{StreamExt as _, stream};
use store::{Db, StoreError, aside, pedigrees, scope::Scope};

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config.service(export_pedigree);
}

/// Dogs that an export reads at once.
const EXPORT_PAGE: i64 = 5_000;

/// Write the kennel's dogs as a pedigree file that can be imported again.
///
/// A dog that no file brought stands under its own id. A co-owner gets the shared dogs.
#[utoipa::path(tag = "pedigree",
    responses((status = 200, description = "The file.", body = String, content_type = "text/csv")))]
#[get("/v1/kennels/{kennel_id}/pedigrees/export")]
pub(crate) async fn export_pedigree(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
) -> Result<HttpResponse, Problem> {
    let scope = scope.0;
    // The first page is read before the answer begins, so that a fault still has its status.
    let (first, after) = export_page(&app.db, &scope, None, true).await?;
    let rest = stream::unfold((app.db.clone(), scope, after), |(db, scope, after)| async move {
        let page = export_page(&db, &scope, Some(after?), false).await;
        Some(match page {
            Ok((bytes, after)) => (Ok(bytes), (db, scope, after)),
            Err(error) => (Err(error), (db, scope, None)),
        })
    });
    let body = stream::once(async move { Ok::<_, StoreError>(first) }).chain(rest);
    Ok(HttpResponse::Ok()
        .content_type("text/csv; charset=utf-8")
        .insert_header((header::CONTENT_DISPOSITION, "attachment; filename=\"pedigree.csv\""))
        .streaming(Box::pin(body)))
}

/// One page of the file, and the dog after which the next one begins.
async fn export_page(
    db: &Db,
    scope: &Scope,
    after: Option<Uuid>,
    is_first: bool,
) -> Result<(web::Bytes, Option<Uuid>), StoreError> {
    let page =
        db.within(scope, async |tx| pedigrees::exported(tx, after, EXPORT_PAGE).await).await?;
    let next = page.last().filter(|_| page.len() as i64 == EXPORT_PAGE).map(|(id, _)| *id);
    let write = move || {
        let page = page.iter().map(|(_, dog)| dog);
        if is_first { dogs::export(page) } else { dogs::export_rows(page) }
    };
    let bytes = aside(write).await?.map_err(|error| StoreError::Internal(error.to_string()))?;
    Ok((bytes.into(), next))
}
