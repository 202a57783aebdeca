//! A batch is called back: all dogs that got it.

use super::{problem::Kind, query::Query, resource::prelude::*};
use catalogue::said;
use domain::schedule::BatchRecall;
use serde::Deserialize;
use utoipa::IntoParams;

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config.service(read_batch_recall);
}

/// Which batch.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct BatchQuery {
    /// The number of the batch; blanks, dashes and case aside.
    #[param(example = "B2291", min_length = 1, max_length = 100)]
    batch: String,
    /// Only of products whose name holds this, or whose name was not written down.
    #[param(example = "paste", min_length = 1, max_length = 200)]
    product: Option<String>,
}

/// Read which dogs got a batch that is called back, and where they are now.
///
/// A batch number is compared by its letters and digits alone. `without_batch` counts the doses that may be of it
/// as well, since nobody wrote their batch down.
#[utoipa::path(tag = "health", params(BatchQuery),
    responses((status = 200, description = "Its doses.", body = BatchRecall)))]
#[get("/v1/kennels/{kennel_id}/batch-recall")]
pub(crate) async fn read_batch_recall(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
    query: Query<BatchQuery>,
) -> Result<HttpResponse, Problem> {
    let BatchQuery { batch, product } = query.0;
    if !batch.chars().any(char::is_alphanumeric) {
        let detail = said!("fault-empty-batch");
        return Err(Problem::fault(Kind::Unreadable, "#query/batch", detail));
    }
    let work = async |tx: &mut _| store::recall::of_batch(tx, &batch, product.as_deref()).await;
    let found = app.db.within(&scope.0, work).await?;
    Ok(HttpResponse::Ok().json(found))
}
