//! How the pups grow: of one litter, of one dog, in figures and as a picture.

use super::{
    alarms::{of_dog, of_litter},
    query::Query,
    resource::prelude::*,
};
use chrono::{DateTime, NaiveDate, Utc};
use documents::growth_chart::{ChartEvent, ChartThreshold, litter_growth_svg, pup_growth_svg};
use domain::{
    advice::STANDING_LINE,
    alarms::Alarm,
    feeding,
    growth::{
        GrowthLitter, LitterForecast, LitterGrowth, PupGrowth, PupRisk, SwapProposal,
        forecast::PupGrowthForecast, litter_forecast, litter_growth, series::age_days,
    },
    litter::{Core, Health, Weights, growth_litter},
    moment::Moment,
    record::HealthKind,
};
use serde::{Deserialize, Serialize};
use store::{StoreError, litters, scope::Right};
use utoipa::{IntoParams, ToSchema};

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config
        .service(read_litter_growth)
        .service(draw_litter_growth)
        .service(read_dog_growth)
        .service(draw_dog_growth);
}

/// How far to look ahead.
#[derive(Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct GrowthQuery {
    /// Forecast every day until this one, as far as there are norms to forecast by. Left out, a dog's
    /// forecast goes to the usual end of weaning; a litter's figures come without one.
    forecast_until: Option<NaiveDate>,
}

/// How a litter grows, with what is expected of it when that was asked for.
#[derive(Serialize, ToSchema)]
pub struct LitterGrowthAnswer {
    #[serde(flatten)]
    growth: LitterGrowth,
    /// Day by day until `forecast_until`; null when no day was asked for.
    forecast: Option<LitterForecast>,
    /// What stands beside every piece of advice.
    advice: &'static str,
}

/// How a dog grew from birth, and what is expected of it.
#[derive(Serialize, ToSchema)]
pub struct DogGrowthAnswer {
    #[serde(flatten)]
    growth: PupGrowth,
    /// The litter it was born into; null when it was not born here.
    litter_id: Option<Uuid>,
    /// The moment it was looked at.
    as_of: DateTime<Utc>,
    /// The probability that it is failing; null when it left the litter.
    risk: Option<PupRisk>,
    /// Where its weights seem exchanged with those of a littermate.
    swaps: Vec<SwapProposal>,
    /// Fit and forecast.
    forecast: Option<PupGrowthForecast>,
    /// Share of weighings that the intervals of the forecast should hold.
    #[schema(example = 0.95)]
    interval: f64,
    /// The norms that the forecast rests on.
    forecast_sources: Vec<String>,
    /// What stands beside every piece of advice.
    advice: &'static str,
}

/// Read how a litter grows: gains, ranks, pups that lose or stand still, early warnings.
#[utoipa::path(tag = "growth", params(GrowthQuery),
    responses((status = 200, description = "The figures of every pup and of the litter.", body = LitterGrowthAnswer)))]
#[get("/v1/kennels/{kennel_id}/litters/{litter_id}/growth")]
pub async fn read_litter_growth(
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
        let mut growth = litter_growth(&litter, moment.now, &moment.rules);
        growth.hear(&alarms);
        Ok(LitterGrowthAnswer {
            growth,
            forecast: until.map(|until| litter_forecast(&litter, until, moment.now, &moment.rules)),
            advice: STANDING_LINE,
        })
    };
    seat.answer(answer).await
}

/// Read how a dog grew since its birth, its place in the litter and what is expected of it.
#[utoipa::path(tag = "growth", params(GrowthQuery),
    responses((status = 200, description = "Its figures and forecast.", body = DogGrowthAnswer)))]
#[get("/v1/kennels/{kennel_id}/dogs/{dog_id}/growth")]
pub async fn read_dog_growth(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
    query: Query<GrowthQuery>,
) -> Result<HttpResponse, Problem> {
    scope.0.require(Right::Dogs)?;
    let (_kennel, id) = path.into_inner();
    let seat = app.room.seat(scope.0.kennel_id()).await?;
    let (core, parts, alarms, moment) = of_dog(&app, &scope.0, &seat, id).await?;
    let litter = born_litter(&core, &parts.0, id, &moment)?;
    let until = query.0.forecast_until.unwrap_or_else(|| weaned_by(&litter, &moment));
    let answer = move || dog_growth(id, &litter, &alarms, until, &moment);
    seat.answer(answer).await
}

fn dog_growth(
    id: Uuid,
    litter: &GrowthLitter,
    alarms: &[Alarm],
    until: NaiveDate,
    moment: &Moment,
) -> Result<DogGrowthAnswer, Problem> {
    let mut report = litter_growth(litter, moment.now, &moment.rules);
    report.hear(alarms);
    let mut forecast = litter_forecast(litter, until, moment.now, &moment.rules);
    let growth = report.pups.iter().position(|pup| pup.dog_id == id);
    let growth = growth.map(|index| report.pups.swap_remove(index)).ok_or_else(stillborn)?;
    let index = forecast.pups.iter().position(|pup| pup.dog_id == id);
    report.swaps.retain(|swap| swap.dog_ids.contains(&id));
    Ok(DogGrowthAnswer {
        growth,
        litter_id: (!litter.litter_id.is_nil()).then_some(litter.litter_id),
        as_of: moment.now,
        risk: report.risks.into_iter().find(|risk| risk.dog_id == id),
        swaps: report.swaps,
        forecast: index.map(|index| forecast.pups.swap_remove(index)),
        interval: forecast.interval,
        forecast_sources: forecast.sources,
        advice: STANDING_LINE,
    })
}

fn stillborn() -> Problem {
    let detail = "names a stillborn pup, which has no growth";
    Problem::fault(super::problem::Kind::NotAcceptable, "#path/dog_id", detail)
}

/// Draw how a litter grows.
///
/// An SVG picture in light and dark: every pup's weights and, dashed, what is expected of it.
#[utoipa::path(tag = "growth", params(GrowthQuery),
    responses((status = 200, description = "The picture.", content_type = "image/svg+xml", body = String)))]
#[get("/v1/kennels/{kennel_id}/litters/{litter_id}/growth.svg")]
pub async fn draw_litter_growth(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
    query: Query<GrowthQuery>,
) -> Result<HttpResponse, Problem> {
    scope.0.require(Right::Dogs)?;
    let (_kennel, id) = path.into_inner();
    let seat = app.room.seat(scope.0.kennel_id()).await?;
    let (core, (weights, health), moment) = app
        .db
        .within(&scope.0, async |tx| {
            let (core, parts) = litters::one::<(Weights, Health)>(tx, id).await?;
            Ok((core, parts, tx.moment().await?))
        })
        .await?;
    let until = query.0.forecast_until;
    let drawn = move || {
        let litter = growth_litter(&core, &weights, &moment);
        let pups: Vec<Uuid> = litter.pups.iter().map(|pup| pup.dog_id).collect();
        let (title, given) = (core.title(), given(&health, &pups));
        let until = until.unwrap_or_else(|| weaned_by(&litter, &moment));
        let growth = litter_growth(&litter, moment.now, &moment.rules);
        let forecast = litter_forecast(&litter, until, moment.now, &moment.rules);
        let born_at = litter.pups.iter().map(|pup| pup.born_at).min();
        let events = born_at.map(|born| marks(born, &given, &litter)).unwrap_or_default();
        litter_growth_svg(&title, &growth, Some(&forecast), &events)
    };
    Ok(picture(seat.done(drawn).await?))
}

/// Draw how a dog grew, with the band of its forecast.
#[utoipa::path(tag = "growth", params(GrowthQuery),
    responses((status = 200, description = "The picture.", content_type = "image/svg+xml", body = String)))]
#[get("/v1/kennels/{kennel_id}/dogs/{dog_id}/growth.svg")]
pub async fn draw_dog_growth(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
    query: Query<GrowthQuery>,
) -> Result<HttpResponse, Problem> {
    scope.0.require(Right::Dogs)?;
    let (_kennel, id) = path.into_inner();
    let seat = app.room.seat(scope.0.kennel_id()).await?;
    let (litter, health, moment) = app
        .db
        .within(&scope.0, async |tx| {
            let (core, (weights, health)) = litters::of_dog::<(Weights, Health)>(tx, id).await?;
            let moment = tx.moment().await?;
            Ok((born_litter(&core, &weights, id, &moment)?, health, moment))
        })
        .await?;
    let given = given(&health, &[id]);
    let until = query.0.forecast_until.unwrap_or_else(|| weaned_by(&litter, &moment));
    let drawn = move || dog_drawing(id, &litter, &given, until, &moment);
    let svg = seat.done(drawn).await?;
    Ok(picture(svg.ok_or_else(stillborn)?))
}

fn dog_drawing(
    id: Uuid,
    litter: &GrowthLitter,
    given: &[(DateTime<Utc>, HealthKind)],
    until: NaiveDate,
    moment: &Moment,
) -> Option<String> {
    let growth = litter_growth(litter, moment.now, &moment.rules);
    let forecast = litter_forecast(litter, until, moment.now, &moment.rules);
    let pup = litter.pups.iter().find(|pup| pup.dog_id == id);
    let title = pup.map_or_else(String::new, |pup| format!("Growth of {}", pup.label));
    let events = pup.map(|pup| marks(pup.born_at, given, litter)).unwrap_or_default();
    let grade = growth.pups.iter().find(|pup| pup.dog_id == id);
    let thresholds = grade.and_then(|pup| pup.birth_weight_grade.as_ref()).map(|grade| {
        let label = "normal birth weight from".to_owned();
        ChartThreshold { weight_g: grade.normal_from_g, label }
    });
    let thresholds: Vec<ChartThreshold> = thresholds.into_iter().collect();
    pup_growth_svg(&title, id, &growth, Some(&forecast), &events, &thresholds)
}

fn picture(svg: String) -> HttpResponse {
    HttpResponse::Ok().content_type("image/svg+xml; charset=utf-8").body(svg)
}

/// The litter of a dog as the questions of growth see it.
fn born_litter(
    core: &Core,
    weights: &Weights,
    dog_id: Uuid,
    moment: &Moment,
) -> Result<GrowthLitter, StoreError> {
    let unknown = core.pup(dog_id).is_some_and(|pup| pup.born_on(moment).is_none());
    if unknown {
        return Err(StoreError::refused(
            "#path/dog_id",
            "names a dog whose day of birth is unknown; give it, growth is counted from there",
        ));
    }
    Ok(growth_litter(core, weights, moment))
}

/// The last day of the usual weaning of a litter.
fn weaned_by(litter: &GrowthLitter, moment: &Moment) -> NaiveDate {
    let born = litter.pups.iter().map(|pup| pup.born_at).min().unwrap_or(moment.now);
    feeding::weaned_by(moment.day_of(born), &moment.rules)
}

/// What happened to these dogs that a chart of their growth shows: wormings, vaccinations, illnesses.
fn given(health: &Health, dogs: &[Uuid]) -> Vec<(DateTime<Utc>, HealthKind)> {
    let events = dogs.iter().flat_map(|dog| health.events.of(*dog));
    let mut given: Vec<(DateTime<Utc>, HealthKind)> =
        events.map(|event| (event.record.given_at, event.record.kind)).collect();
    given.sort_by_key(|(at, _)| *at);
    given
}

/// What was given to the pups, once a day and kind.
fn marks(
    born_at: DateTime<Utc>,
    given: &[(DateTime<Utc>, HealthKind)],
    litter: &GrowthLitter,
) -> Vec<ChartEvent> {
    let mut seen: Vec<(NaiveDate, HealthKind)> = Vec::new();
    given
        .iter()
        .filter(|(at, kind)| {
            let mark = (at.with_timezone(&litter.time_zone).date_naive(), *kind);
            let new = *at >= born_at && !seen.contains(&mark);
            if new {
                seen.push(mark);
            }
            new
        })
        .map(|(at, kind)| ChartEvent { age_days: age_days(born_at, *at), label: kind.to_string() })
        .collect()
}
