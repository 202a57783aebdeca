//! Labels for collars and folders.

use super::{
    booklets::{PaperQuery, printed},
    problem::Kind,
    query::{Query, in_language},
    resource::prelude::*,
};
use catalogue::said;
use documents::{
    labels::{LabelledPup, labels_pdf},
    pdf::PaperFormat,
};
use domain::{
    litter::{Core, Pup},
    moment::Moment,
};
use store::{
    litters,
    scope::{Right, Scope},
};

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config.service(print_labels);
}

/// Print labels for a litter's collars and folders; a code on each leads to its pup.
#[utoipa::path(tag = "litters", params(PaperQuery),
    responses((status = 200, description = "The pages.", content_type = "application/pdf", body = Vec<u8>)))]
#[get("/v1/kennels/{kennel_id}/litters/{litter_id}/labels.pdf")]
pub(crate) async fn print_labels(
    app: web::Data<App>,
    scope: InKennel,
    request: HttpRequest,
    path: web::Path<(Uuid, Uuid)>,
    query: Query<PaperQuery>,
) -> Result<HttpResponse, Problem> {
    scope.0.require(Right::Dogs)?;
    let PaperQuery { format, language } = query.0;
    let origin = app.own_origin.clone().unwrap_or_else(|| {
        let asked = request.connection_info();
        format!("{}://{}", asked.scheme(), asked.host())
    });
    in_language(language, print(&app, &scope.0, path.1, &origin, format)).await
}

/// The labels of a litter, on a page of the service at this origin.
async fn print(
    app: &App,
    scope: &Scope,
    id: Uuid,
    origin: &str,
    format: PaperFormat,
) -> Result<HttpResponse, Problem> {
    let seat = app.room.seat(scope.kennel_id()).await?;
    let (core, moment) = app
        .db
        .read_within(scope, async |tx| {
            let (core, ()) = litters::one::<()>(tx, id).await?;
            Ok((core, tx.moment().await?))
        })
        .await?;
    let pups = labelled(&core, &moment, &format!("{origin}/#/litter/{id}"));
    if pups.is_empty() {
        let detail = said!("fault-not-now-nothing-to-label");
        return Err(Problem::fault(Kind::NotAcceptable, "#path/litter_id", detail));
    }
    let kennel = scope.kennel().name.clone();
    let print = move || labels_pdf(&core.title(), &kennel, &pups, format);
    printed(seat.done(print).await?, "labels")
}

/// The pups that are here; `page` is that of their litter.
fn labelled(core: &Core, moment: &Moment, page: &str) -> Vec<LabelledPup> {
    let label = |pup: &Pup| LabelledPup {
        label: pup.label().to_string(),
        collar: pup.birth.as_ref().and_then(|birth| birth.record.collar.clone()),
        sex: pup.dog.as_ref().and_then(|dog| dog.sex),
        born_on: pup.born_on(moment),
        chip_number: pup.dog.as_ref().and_then(|dog| dog.chip_number.clone()),
        address: format!("{page}/{}", pup.dog_id),
    };
    core.here(moment).map(label).collect()
}
