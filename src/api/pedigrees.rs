//! Pedigree files: taken in whole, and given back.

use super::{
    answer,
    file_body::{Csv, FileBody},
    query::Query,
    resource::prelude::*,
};
use actix_web::http::header;
use domain::pedigree_csv::{self, ColumnMap, PedigreeImport};
use futures_util::{StreamExt as _, stream};
use serde::Deserialize;
use store::{
    Db, StoreError, aside, pedigree_import, pedigrees,
    scope::{Right, Scope},
};
use utoipa::IntoParams;

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config.service(import_pedigree).service(export_pedigree);
}

/// Dogs that an export reads at once.
const EXPORT_PAGE: i64 = 5_000;

macro_rules! import_query {
    ($($field:ident),+) => {
        /// How to read a pedigree file. A column that has the name of its field, in any case,
        /// needs no mapping.
        #[derive(Debug, Default, Deserialize, IntoParams)]
        #[serde(deny_unknown_fields)]
        #[into_params(parameter_in = Query)]
        pub struct ImportQuery {
            /// Only report what would be done.
            dry_run: Option<bool>,
            /// Columns to leave out, separated by commas.
            ignore: Option<String>,
            $(
                #[doc = concat!("The file's column for `", stringify!($field), "`.")]
                $field: Option<String>,
            )+
        }

        impl ImportQuery {
            fn columns(self) -> ColumnMap {
                let mapped = [("ignore", self.ignore), $((stringify!($field), self.$field)),+];
                let mapped = mapped.into_iter();
                ColumnMap::new(mapped.filter_map(|(field, column)| Some((field.to_owned(), column?))))
            }
        }
    };
}

import_query!(
    id,
    name,
    call_name,
    sex,
    breed,
    colour,
    markings,
    born_on,
    died_on,
    sire,
    dam,
    chip_number,
    registrations,
    adult_weight_g,
    residence,
    for_breeding,
    note
);

/// Take in a pedigree file: all of it, or nothing.
///
/// The first line names the columns; only `id` must be there. Rows may stand in any order. A
/// parent without a row of its own becomes an ancestor living elsewhere, and so does every new
/// dog unless a column `residence` says `here`. A dog keeps the file's id as `imported_id`: a
/// second import finds it by that and updates what the file states differently; an empty value
/// leaves what is known. Lines at fault are told as `#line/N`,
/// the first fifty of them; a file may have 1,000,000 rows.
#[utoipa::path(tag = "pedigree", params(ImportQuery),
    request_body(content = String, content_type = "text/csv",
        example = "id,name,sex,born_on,sire,dam\nA1,Juno,F,2021-04-03,B7,B9\nB7,Rex,M,2018,,\n"),
    responses((status = 200, description = "Done, or tried.", body = PedigreeImport)))]
#[post("/v1/kennels/{kennel_id}/pedigrees/import")]
pub async fn import_pedigree(
    app: web::Data<App>,
    scope: InKennel,
    request: HttpRequest,
    _path: web::Path<Uuid>,
    query: Query<ImportQuery>,
    body: FileBody<Csv>,
) -> Result<HttpResponse, Problem> {
    let scope = scope.0;
    scope.require(Right::Managing)?;
    let dry_run = query.0.dry_run.unwrap_or(false);
    let columns = query.0.columns();
    let today = scope.today();
    let _seat = app.room.seat(scope.kennel_id()).await?;
    let (bytes, digest) = (body.bytes.clone(), body.digest);
    let file = aside(move || pedigree_csv::parse(&bytes, &columns, today))
        .await?
        .map_err(StoreError::from)?;
    drop(body);
    answer::once_done(&app, &scope, &request, &digest, async |tx| {
        pedigree_import::import(tx, file, dry_run).await
    })
    .await
}

/// Write the kennel's dogs as a pedigree file that can be imported again.
///
/// A dog that no file brought stands under its own id. A co-owner gets the shared dogs.
#[utoipa::path(tag = "pedigree",
    responses((status = 200, description = "The file.", body = String, content_type = "text/csv")))]
#[get("/v1/kennels/{kennel_id}/pedigrees/export")]
pub async fn export_pedigree(
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
        let dogs = page.iter().map(|(_, dog)| dog);
        if is_first { pedigree_csv::export(dogs) } else { pedigree_csv::export_rows(dogs) }
    };
    let bytes = aside(write).await?.map_err(|error| StoreError::Internal(error.to_string()))?;
    Ok((bytes.into(), next))
}
