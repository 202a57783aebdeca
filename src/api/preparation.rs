//! What to do and have ready for every litter, and what is on hand.

use super::{
    answer::{self, IfMatch},
    inbreeding::current_book,
    now,
    resource::prelude::*,
};
use crate::{
    domain::{
        agenda::{LitterPreparation, litters_ahead, prepare},
        preparation::{PreparationTemplate, TemplateOverlay},
        record::{Litter, Supply, SupplyFilter},
    },
    store::{keep, kennels, planning, pregnancies},
};
use actix_web::put;
use serde::Serialize;
use utoipa::ToSchema;

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config
        .service(read_preparation)
        .service(read_preparation_template)
        .service(put_preparation_template)
        .service(create_supply)
        .service(list_supplies)
        .service(read_supply)
        .service(change_supply)
        .service(delete_supply);
}

resource!(Supply, tag "preparation", one "what is on hand of a supply", many "what is on hand",
    at "/v1/kennels/{kennel_id}/supplies", "/v1/kennels/{kennel_id}/supplies/{supply_id}";
    create_supply, list_supplies, read_supply, change_supply, delete_supply);

/// Read what to do and have ready for a litter.
///
/// A dated list, supplies scaled to the pups expected, and what is short for all the kennel's
/// litters together. Until the birth the days move with the due window.
#[utoipa::path(tag = "preparation", responses((status = 200, description = "The preparation.", body = LitterPreparation)))]
#[get("/v1/kennels/{kennel_id}/litters/{litter_id}/preparation")]
pub async fn read_preparation(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    let (now, litter_id) = (now(), path.1);
    let book = current_book(&app, &scope.0).await?;
    let answer = app
        .db
        .within(&scope.0, async |tx| {
            keep::find::<Litter>(tx, litter_id).await?;
            let dam_ids = pregnancies::planned_dams(tx).await?;
            let dams = pregnancies::of_dams(tx, &book, &dam_ids, now).await?;
            let (rules, time) = (kennels::rules(tx).await?, tx.time(now));
            let template = planning::template(tx).await?;
            let stock = planning::stock(tx).await?;
            let marks = planning::marks(tx).await?;
            let marks = marks.into_iter().map(|(key, (_, mark))| (key, mark)).collect();
            let ahead = litters_ahead(&dams, time, &rules);
            Ok(prepare(litter_id, &ahead, &template, &stock, &marks, time, &rules))
        })
        .await?;
    Ok(HttpResponse::Ok().json(answer))
}

/// The kennel's preparation.
#[derive(Serialize, ToSchema)]
pub struct PreparationTemplateAnswer {
    /// What the kennel does differently from the default.
    own: TemplateOverlay,
    /// The default with that on top: what every litter gets.
    in_force: PreparationTemplate,
}

fn template_answer(
    own: Option<Kept<TemplateOverlay>>,
    in_force: PreparationTemplate,
) -> HttpResponse {
    let version = own.as_ref().map_or(0, |kept| kept.version);
    let own = own.map(|kept| kept.record).unwrap_or_default();
    answer::tagged(version, &PreparationTemplateAnswer { own, in_force })
}

/// Read the kennel's preparation template.
#[utoipa::path(tag = "preparation",
    responses((status = 200, description = "The template, with its ETag.", body = PreparationTemplateAnswer)))]
#[get("/v1/kennels/{kennel_id}/preparation-template")]
pub async fn read_preparation_template(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
) -> Result<HttpResponse, Problem> {
    let (own, in_force) = app
        .db
        .within(&scope.0, async |tx| {
            Ok((keep::only::<TemplateOverlay>(tx).await?, planning::template(tx).await?))
        })
        .await?;
    Ok(template_answer(own, in_force))
}

/// Set what the kennel does differently from the default preparation.
///
/// A task or supply of a default's key replaces it, another is added; `without` leaves defaults out.
#[utoipa::path(tag = "preparation", request_body = TemplateOverlay,
    responses((status = 200, description = "The template as it is now, with its ETag.", body = PreparationTemplateAnswer)))]
#[put("/v1/kennels/{kennel_id}/preparation-template")]
pub async fn put_preparation_template(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
    version: IfMatch,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    let overlay: TemplateOverlay = body.record(now())?;
    let (own, in_force) = app
        .db
        .within(&scope.0, async |tx| {
            let own = keep::put_only(tx, version.0, &overlay).await?;
            Ok((own, planning::template(tx).await?))
        })
        .await?;
    Ok(template_answer(Some(own), in_force))
}
