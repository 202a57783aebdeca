//! How the pups grow: of one litter, of one dog, in figures and as a picture.

use super::{
    alarms::{of_dog, of_litter},
    query::{Query, in_language},
    resource::prelude::*,
};
use catalogue::{Language, Text, said};
use chrono::{DateTime, NaiveDate, Utc};
use documents::growth_chart::{
    Beside, ChartEvent, ChartThreshold, health_kind, litter_growth_svg, pup_growth_svg,
};
use domain::{
    advice::standing_line,
    growth::{
        GrowthLitter, LitterForecast, LitterGrowth, litter_figures, litter_forecast, litter_growth,
        own_lines::OwnLines,
    },
    litter::{
        DogGrowthAnswer, Health, PicturedEvent, Weights, born_litter, dog_growth, growth_litter,
        lines_of_dog, pictured_events, pictured_until, usually_weaned_on,
    },
    moment::Moment,
};
use serde::{Deserialize, Serialize};
use store::{
    StoreError, Tx, kennels, litters, own_lines,
    scope::{Right, Scope},
};
use utoipa::{IntoParams, ToSchema};

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config
        .service(read_litter_growth)
        .service(draw_litter_growth)
        .service(read_dog_growth)
        .service(draw_dog_growth)
        .service(read_growth_norms);
}

/// How far to look ahead.
#[derive(Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct GrowthQuery {
    /// Forecast until this day, as far as there are norms to forecast by. Left out, a dog's goes to the
    /// usual end of weaning, a picture's to twice the present age; a litter's figures come without one.
    forecast_until: Option<NaiveDate>,
}

/// How far to look ahead in a picture, and in which language.
#[derive(Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct PictureQuery {
    /// Forecast until this day, as far as there are norms to forecast by. Left out, a dog's goes to the
    /// usual end of weaning, a picture's to twice the present age; a litter's figures come without one.
    forecast_until: Option<NaiveDate>,
    /// In which language; left out, the one that `Accept-Language` wants most.
    #[param(inline)]
    language: Option<Language>,
}

/// How a litter grows, with what is expected of it when that was asked for.
#[derive(Serialize, ToSchema)]
pub(crate) struct LitterGrowthAnswer {
    #[serde(flatten)]
    growth: LitterGrowth,
    /// Day by day until `forecast_until`; null when no day was asked for.
    forecast: Option<LitterForecast>,
    /// What stands beside every piece of advice.
    #[schema(value_type = String)]
    advice: Text,
}

/// Read how a litter grows: gains, ranks, pups that lose or stand still, early warnings.
#[utoipa::path(tag = "growth", params(GrowthQuery),
    responses((status = 200, description = "The figures of every pup and of the litter.", body = LitterGrowthAnswer)))]
#[get("/v1/kennels/{kennel_id}/litters/{litter_id}/growth")]
pub(crate) async fn read_litter_growth(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
    query: Query<GrowthQuery>,
) -> Result<HttpResponse, Problem> {
    scope.0.require(Right::Dogs)?;
    let (_kennel, id) = path.into_inner();
    let seat = app.room.seat(scope.0.kennel_id()).await?;
    let (core, parts, alarms, moment) = of_litter(&app, &scope.0, &seat, id).await?;
    let until = query.0.forecast_until;
    let answer = move || {
        let litter = growth_litter(&core, &parts.0, &moment);
        let mut growth = litter_figures(&litter, moment.now, &moment.rules);
        growth.hear(&alarms);
        Ok(LitterGrowthAnswer {
            growth,
            forecast: until.map(|until| litter_forecast(&litter, until, moment.now, &moment.rules)),
            advice: standing_line(),
        })
    };
    seat.answer(answer).await
}

/// Read how a dog grew since its birth, its place in the litter and what is expected of it.
#[utoipa::path(tag = "growth", params(GrowthQuery),
    responses((status = 200, description = "Its figures and forecast.", body = DogGrowthAnswer)))]
#[get("/v1/kennels/{kennel_id}/dogs/{dog_id}/growth")]
pub(crate) async fn read_dog_growth(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
    query: Query<GrowthQuery>,
) -> Result<HttpResponse, Problem> {
    scope.0.require(Right::Dogs)?;
    let (_kennel, id) = path.into_inner();
    let seat = app.room.seat(scope.0.kennel_id()).await?;
    let (core, parts, alarms, moment) = of_dog(&app, &scope.0, &seat, id).await?;
    let litter = born_litter(&core, &parts.0, id, &moment).map_err(StoreError::Refused)?;
    let until = query.0.forecast_until.unwrap_or_else(|| usually_weaned_on(&litter, &moment));
    let breed = core.breed();
    let find = async |tx: &mut _| own_lines::of_breed(tx, breed.as_deref(), &moment.rules).await;
    let lines = app.db.within(&scope.0, find).await?;
    let answer = move || {
        let lines = lines_of_dog(&core, id, lines);
        dog_growth(id, &litter, &alarms, lines, until, &moment).ok_or_else(stillborn)
    };
    seat.answer(answer).await
}

/// Of which breed.
#[derive(Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct NormsQuery {
    /// The breed, as dogs of it are written down; capitals do not matter.
    #[param(example = "Labrador Retriever", min_length = 1, max_length = 100)]
    breed: String,
}

/// Read what dogs of a breed weigh in the kennel's own lines, beside what is published.
///
/// Of dogs that were born here and that you may see: adult weights, and weights at ages from birth to a year, each with
/// the number of dogs and of litters. From `growth.own_lines_dogs` dogs of a sex on they are used where a dog's own
/// adult weight is not known; the published norm is told all the same.
#[utoipa::path(tag = "growth", params(NormsQuery),
    responses((status = 200, description = "Own lines and published norms.", body = OwnLines)))]
#[get("/v1/kennels/{kennel_id}/growth-norms")]
pub(crate) async fn read_growth_norms(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
    query: Query<NormsQuery>,
) -> Result<HttpResponse, Problem> {
    let find = async |tx: &mut Tx| {
        let moment = tx.moment().await?;
        own_lines::of_breed(tx, Some(&query.0.breed), &moment.rules).await
    };
    Ok(HttpResponse::Ok().json(app.db.within(&scope.0, find).await?))
}

fn stillborn() -> Problem {
    let detail = said!("fault-gone-stillborn-growth");
    Problem::fault(super::problem::Kind::NotAcceptable, "#path/dog_id", detail)
}

/// Draw how a litter grows, each pup in the colour of its collar.
#[utoipa::path(tag = "growth", params(PictureQuery),
    responses((status = 200, description = "The picture.", content_type = "image/svg+xml", body = String)))]
#[get("/v1/kennels/{kennel_id}/litters/{litter_id}/growth.svg")]
pub(crate) async fn draw_litter_growth(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
    query: Query<PictureQuery>,
) -> Result<HttpResponse, Problem> {
    scope.0.require(Right::Dogs)?;
    let PictureQuery { forecast_until, language } = query.0;
    let drawn = litter_drawing(&app, &scope.0, path.1, forecast_until);
    Ok(picture(in_language(language, drawn).await?))
}

async fn litter_drawing(
    app: &App,
    scope: &Scope,
    id: Uuid,
    until: Option<NaiveDate>,
) -> Result<String, Problem> {
    let seat = app.room.seat(scope.kennel_id()).await?;
    let (core, (weights, health), moment, (unit, _)) = app
        .db
        .within(scope, async |tx| {
            let (core, parts) = litters::one::<(Weights, Health)>(tx, id).await?;
            Ok((core, parts, tx.moment().await?, kennels::units(tx).await?))
        })
        .await?;
    let drawn = move || {
        let litter = growth_litter(&core, &weights, &moment);
        let pups: Vec<Uuid> = litter.pups.iter().map(|pup| pup.dog_id).collect();
        let title = core.title();
        let until = until.unwrap_or_else(|| pictured_until(&litter, &moment));
        let growth = litter_growth(&litter, moment.now, &moment.rules);
        let born_at = litter.pups.iter().map(|pup| pup.born_at).min();
        let beside = Beside {
            forecast: Some(litter_forecast(&litter, until, moment.now, &moment.rules)),
            events: born_at.map(|at| marks(&health, &pups, at, &litter)).unwrap_or_default(),
            collars: core.collars(),
            unit,
            ..Beside::default()
        };
        litter_growth_svg(&title, &growth, &beside)
    };
    seat.done(drawn).await
}

/// Draw how a dog grew, with the band of its forecast.
#[utoipa::path(tag = "growth", params(PictureQuery),
    responses((status = 200, description = "The picture.", content_type = "image/svg+xml", body = String)))]
#[get("/v1/kennels/{kennel_id}/dogs/{dog_id}/growth.svg")]
pub(crate) async fn draw_dog_growth(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
    query: Query<PictureQuery>,
) -> Result<HttpResponse, Problem> {
    scope.0.require(Right::Dogs)?;
    let PictureQuery { forecast_until, language } = query.0;
    let drawn = drawing_of_dog(&app, &scope.0, path.1, forecast_until);
    Ok(picture(in_language(language, drawn).await?))
}

async fn drawing_of_dog(
    app: &App,
    scope: &Scope,
    id: Uuid,
    until: Option<NaiveDate>,
) -> Result<String, Problem> {
    let seat = app.room.seat(scope.kennel_id()).await?;
    let (litter, collars, health, moment, (unit, _)) = app
        .db
        .within(scope, async |tx| {
            let (core, (weights, health)) = litters::of_dog::<(Weights, Health)>(tx, id).await?;
            let moment = tx.moment().await?;
            let litter = born_litter(&core, &weights, id, &moment).map_err(StoreError::Refused)?;
            Ok((litter, core.collars(), health, moment, kennels::units(tx).await?))
        })
        .await?;
    let until = until.unwrap_or_else(|| pictured_until(&litter, &moment));
    let drawn = move || {
        let beside = Beside {
            forecast: Some(litter_forecast(&litter, until, moment.now, &moment.rules)),
            collars,
            unit,
            ..Beside::default()
        };
        dog_drawing(id, &litter, &health, beside, &moment)
    };
    seat.done(drawn).await?.ok_or_else(stillborn)
}

fn dog_drawing(
    id: Uuid,
    litter: &GrowthLitter,
    health: &Health,
    beside: Beside,
    moment: &Moment,
) -> Option<String> {
    let growth = litter_growth(litter, moment.now, &moment.rules);
    let pup = litter.pups.iter().find(|pup| pup.dog_id == id);
    let title =
        pup.map_or_else(String::new, |pup| said!("print-chart-of", pup = &pup.label).to_string());
    let grade = growth.pups.iter().find(|pup| pup.dog_id == id);
    let thresholds = grade.and_then(|pup| pup.birth_weight_grade.as_ref()).map(|grade| {
        let label = said!("print-chart-normal-from");
        ChartThreshold { weight_g: grade.normal_from_g, label }
    });
    let beside = Beside {
        events: pup.map(|pup| marks(health, &[id], pup.born_at, litter)).unwrap_or_default(),
        thresholds: thresholds.into_iter().collect(),
        ..beside
    };
    pup_growth_svg(&title, id, &growth, &beside)
}

fn picture(svg: String) -> HttpResponse {
    HttpResponse::Ok().content_type("image/svg+xml; charset=utf-8").body(svg)
}

/// What happened to these dogs, as a picture of their growth marks it.
fn marks(
    health: &Health,
    dogs: &[Uuid],
    born_at: DateTime<Utc>,
    litter: &GrowthLitter,
) -> Vec<ChartEvent> {
    let mark = |PicturedEvent { age_days, kind }| ChartEvent { age_days, label: health_kind(kind) };
    pictured_events(health, dogs, born_at, litter).into_iter().map(mark).collect()
}
