//! What a dam or a pup needs, when the next feed is due, and what was fed by hand.

use super::{inbreeding::current_book, problem::Kind, query::Query, resource::prelude::*};
use catalogue::said;
use domain::{
    alarms::Sights,
    fault::Fault,
    feeding::RearingPlan,
    litter::{FeedingAnswer, HandFeeding, Nursing, Pregnancy, Weights, orphan_plan, ration},
    record::{Feed, FeedFilter},
};
use serde::Deserialize;
use store::{
    litters::{self, Which},
    own_lines,
    scope::Right,
};
use utoipa::IntoParams;

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config
        .service(read_ration)
        .service(read_rearing_plan)
        .service(create_feed)
        .service(list_feeds)
        .service(read_feed)
        .service(change_feed)
        .service(delete_feed);
}

resource!(Feed, tag "feeding", one "a feed by hand", many "what a pup was fed by hand",
    at "/v1/kennels/{kennel_id}/dogs/{dog_id}/feeds",
       "/v1/kennels/{kennel_id}/dogs/{dog_id}/feeds/{feed_id}", under dog_id;
    create_feed, list_feeds, read_feed, change_feed, delete_feed);

/// How a pup is fed by hand.
#[derive(Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct FeedingQuery {
    /// Share of its need that the pup gets by hand, 0 to 1; 1 (an orphan) when left out.
    #[param(minimum = 0, maximum = 1)]
    share: Option<f64>,
    /// Energy of the milk replacer as mixed, from its label.
    replacer_kcal_per_ml: Option<f64>,
    /// Whether the pup is weak: it is fed as often as a toy pup then.
    weak: Option<bool>,
}

/// Read what a dam or a pup needs, and when the next feed is due.
#[utoipa::path(tag = "feeding", params(FeedingQuery),
    responses((status = 200, description = "Every figure with its source.", body = FeedingAnswer)))]
#[get("/v1/kennels/{kennel_id}/dogs/{dog_id}/ration")]
pub(crate) async fn read_ration(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
    query: Query<FeedingQuery>,
) -> Result<HttpResponse, Problem> {
    scope.0.require(Right::Dogs)?;
    let (_kennel, id) = path.into_inner();
    let seat = app.room.seat(scope.0.kennel_id()).await?;
    let book = current_book(&app, &scope.0).await?;
    let (own, mut litters, lines, moment) = app
        .db
        .within(&scope.0, async |tx| {
            let own = litters::of_dog::<(Weights, Nursing, Sights)>(tx, id).await?;
            let litters = litters::load::<Pregnancy>(tx, Which::OfDams(vec![id])).await?;
            let moment = tx.moment().await?;
            let breed = own.0.breed();
            let lines = own_lines::of_breed(tx, breed.as_deref(), &moment.rules).await?;
            Ok((own, litters, lines, moment))
        })
        .await?;
    let answer = move || {
        litters.iter_mut().for_each(|(_, pregnancy)| pregnancy.look_up_inbreeding(&book));
        let (core, (weights, nursing, sights)) = &own;
        let asked = HandFeeding {
            share: query.0.share.unwrap_or(1.0),
            replacer_kcal_per_ml: query.0.replacer_kcal_per_ml,
            weak: query.0.weak.unwrap_or(false),
        };
        ration(id, (core, weights, nursing, sights), &litters, &lines, &asked, &moment)
            .map_err(|faults| Problem::faults(Kind::NotAcceptable, in_query(faults)))?
            .ok_or_else(Problem::not_found)
    };
    seat.answer(answer).await
}

/// How an orphan is fed.
#[derive(Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct RearingQuery {
    /// Energy of the milk replacer as mixed, from its label.
    replacer_kcal_per_ml: Option<f64>,
    /// Whether the pup is weak: it is fed as often as a toy pup then.
    weak: Option<bool>,
}

/// Read how an orphan is reared, day by day until it is weaned.
///
/// How often and how much it is fed, how warm it lies and when it is helped to pass water and stool, with the
/// published figures side by side where they differ. What it gets now, by what it took, is its ration.
#[utoipa::path(tag = "feeding", params(RearingQuery),
    responses((status = 200, description = "The plan from today on.", body = RearingPlan)))]
#[get("/v1/kennels/{kennel_id}/dogs/{dog_id}/rearing-plan")]
pub(crate) async fn read_rearing_plan(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
    query: Query<RearingQuery>,
) -> Result<HttpResponse, Problem> {
    scope.0.require(Right::Dogs)?;
    let (_kennel, id) = path.into_inner();
    let ((core, (weights, nursing)), moment) = app
        .db
        .within(&scope.0, async |tx| {
            Ok((litters::of_dog::<(Weights, Nursing)>(tx, id).await?, tx.moment().await?))
        })
        .await?;
    let asked = HandFeeding {
        share: 1.0,
        replacer_kcal_per_ml: query.0.replacer_kcal_per_ml,
        weak: query.0.weak.unwrap_or(false),
    };
    let plan = orphan_plan(id, (&core, &weights, &nursing), &asked, &moment)
        .map_err(|faults| Problem::faults(Kind::NotAcceptable, in_query(faults)))?;
    let plan = plan.ok_or_else(|| {
        let detail = said!("fault-not-now-not-nursed");
        Problem::fault(Kind::NotAcceptable, "#path/dog_id", detail)
    })?;
    Ok(HttpResponse::Ok().json(plan))
}

/// What is asked stands in the query.
fn in_query(faults: Vec<Fault>) -> Vec<Fault> {
    faults
        .into_iter()
        .map(|fault| Fault {
            pointer: format!("#query/{}", fault.pointer.trim_start_matches('/')),
            ..fault
        })
        .collect()
}
