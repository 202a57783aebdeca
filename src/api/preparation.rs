//! What to do and have ready for every litter, and what is on hand.

use super::{
    answer::{self, IfMatch},
    conditional::unless_unchanged,
    inbreeding::current_book,
    query::Query,
    resource::prelude::*,
};
use actix_web::put;
use domain::{
    agenda::{LitterPreparation, ShoppingList, litters_ahead, prepare, shopping},
    preparation::{PreparationTemplate, TemplateOverlay},
    record::{Litter, Supply, SupplyFilter},
    tasks::DaysAhead,
};
use serde::{Deserialize, Serialize};
use store::{Tx, keep, litters, planning};
use utoipa::{IntoParams, ToSchema};

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config
        .service(read_preparation)
        .service(read_shopping_list)
        .service(read_preparation_template)
        .service(set_preparation_template)
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
pub(crate) async fn read_preparation(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    let litter_id = path.1;
    let seat = app.room.seat(scope.0.kennel_id()).await?;
    let book = current_book(&app, &scope.0).await?;
    let (dams, moment, template, house, marks) = app
        .db
        .within(&scope.0, async |tx| {
            keep::find::<Litter>(tx, litter_id).await?;
            let dam_ids = litters::planned_dams(tx).await?;
            let dams = litters::of_dams(tx, &book, &dam_ids).await?;
            let template = planning::template(tx).await?;
            let house = planning::house(tx, &dams).await?;
            Ok((dams, tx.moment().await?, template, house, planning::marks(tx).await?))
        })
        .await?;
    let answer = move || {
        let (rules, time) = (&moment.rules, moment.time());
        let ahead = litters_ahead(&dams, &house, time, rules);
        Ok(prepare(litter_id, &ahead, &template, &house.stock, &marks, time, rules))
    };
    seat.answer(answer).await
}

/// How far ahead to shop.
#[derive(Debug, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct ShoppingQuery {
    /// Days ahead; 14 when left out, or what the kennel set as `tasks.horizon`.
    #[param(value_type = Option<i64>, minimum = 0, maximum = 366, example = 14)]
    horizon_days: Option<DaysAhead>,
}

/// Read the shopping list: what is short for all the kennel's litters together.
///
/// Lasting things are counted by the largest number in use at one time, consumables by what is on hand
/// and their rate of use, both in whole packs. To close a line, write down what is on hand.
#[utoipa::path(tag = "preparation", params(ShoppingQuery),
    responses((status = 200, description = "The list, soonest first.", body = ShoppingList)))]
#[get("/v1/kennels/{kennel_id}/shopping-list")]
pub(crate) async fn read_shopping_list(
    app: web::Data<App>,
    scope: InKennel,
    request: HttpRequest,
    _path: web::Path<Uuid>,
    query: Query<ShoppingQuery>,
) -> Result<HttpResponse, Problem> {
    unless_unchanged(&scope.0, &request, async || {
        let seat = app.room.seat(scope.0.kennel_id()).await?;
        let book = current_book(&app, &scope.0).await?;
        let read = async |tx: &mut Tx| {
            let dam_ids = litters::planned_dams(tx).await?;
            let dams = litters::of_dams(tx, &book, &dam_ids).await?;
            let template = planning::template(tx).await?;
            let house = planning::house(tx, &dams).await?;
            Ok((dams, tx.moment().await?, template, house))
        };
        let (dams, moment, template, house) = app.db.within(&scope.0, read).await?;
        let answer = move || {
            let (rules, time) = (&moment.rules, moment.time());
            let ahead = litters_ahead(&dams, &house, time, rules);
            let days = (time.today(), query.0.horizon_days);
            Ok(shopping(&ahead, &template, &house.stock, days, rules))
        };
        seat.answer(answer).await
    })
    .await
}

/// The kennel's preparation.
#[derive(Serialize, ToSchema)]
pub(crate) struct PreparationTemplateAnswer {
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
    responses((status = 200, description = "The template.", body = PreparationTemplateAnswer)))]
#[get("/v1/kennels/{kennel_id}/preparation-template")]
pub(crate) async fn read_preparation_template(
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
    responses((status = 200, description = "The template as it is now.", body = PreparationTemplateAnswer)))]
#[put("/v1/kennels/{kennel_id}/preparation-template")]
pub(crate) async fn set_preparation_template(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
    version: IfMatch,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    let overlay: TemplateOverlay = body.record(scope.0.now()).await?;
    let (own, in_force) = app
        .db
        .writing(&scope.0, async |tx| {
            let own = keep::put_only(tx, version.0, &overlay).await?;
            Ok((own, planning::template(tx).await?))
        })
        .await?;
    Ok(template_answer(Some(own), in_force))
}
