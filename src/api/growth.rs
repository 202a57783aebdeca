//! How the pups grow: of one litter, of one dog, in figures and as a picture.

use super::{now, query::Query, resource::prelude::*};
use crate::{
    documents::growth_chart::{ChartEvent, ChartThreshold, litter_growth_svg, pup_growth_svg},
    domain::{
        advice::STANDING_LINE,
        growth::{
            GrowthLitter, LitterForecast, LitterGrowth, PupGrowth, PupRisk, SwapProposal,
            forecast::PupGrowthForecast, litter_forecast, litter_growth, series::age_days,
        },
        record::HealthKind,
        rules::Rules,
    },
    store::{growth as store, kennels, people::Right},
};
use chrono::{DateTime, Days, NaiveDate, Utc};
use serde::{Deserialize, Serialize};
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
    let now = now();
    let (litter, rules) = app
        .db
        .within(&scope.0, async |tx| {
            Ok((store::litter(tx, id, now).await?, kennels::rules(tx).await?))
        })
        .await?;
    let until = query.0.forecast_until;
    Ok(HttpResponse::Ok().json(LitterGrowthAnswer {
        growth: litter_growth(&litter, now, &rules),
        forecast: until.map(|until| litter_forecast(&litter, until, now, &rules)),
        advice: STANDING_LINE,
    }))
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
    let now = now();
    let (litter, rules) = app
        .db
        .within(&scope.0, async |tx| {
            Ok((store::litter_of_dog(tx, id, now).await?, kennels::rules(tx).await?))
        })
        .await?;
    let until = query.0.forecast_until.unwrap_or_else(|| weaned_by(&litter, &rules));
    let mut report = litter_growth(&litter, now, &rules);
    let mut forecast = litter_forecast(&litter, until, now, &rules);
    let growth = report.pups.iter().position(|pup| pup.dog_id == id);
    let Some(growth) = growth.map(|index| report.pups.swap_remove(index)) else {
        return Err(super::problem::Problem::fault(
            super::problem::Kind::NotAcceptable,
            "#path/dog_id",
            "names a stillborn pup, which has no growth",
        ));
    };
    let index = forecast.pups.iter().position(|pup| pup.dog_id == id);
    report.swaps.retain(|swap| swap.dog_ids.contains(&id));
    Ok(HttpResponse::Ok().json(DogGrowthAnswer {
        growth,
        litter_id: (!litter.litter_id.is_nil()).then_some(litter.litter_id),
        as_of: now,
        risk: report.risks.into_iter().find(|risk| risk.dog_id == id),
        swaps: report.swaps,
        forecast: index.map(|index| forecast.pups.swap_remove(index)),
        interval: forecast.interval,
        forecast_sources: forecast.sources,
        advice: STANDING_LINE,
    }))
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
    let now = now();
    let (litter, rules, title, given) = app
        .db
        .within(&scope.0, async |tx| {
            let litter = store::litter(tx, id, now).await?;
            let rules = kennels::rules(tx).await?;
            let pups: Vec<Uuid> = litter.pups.iter().map(|pup| pup.dog_id).collect();
            Ok((litter, rules, store::title(tx, id).await?, store::events(tx, &pups).await?))
        })
        .await?;
    let until = query.0.forecast_until.unwrap_or_else(|| weaned_by(&litter, &rules));
    let growth = litter_growth(&litter, now, &rules);
    let forecast = litter_forecast(&litter, until, now, &rules);
    let born_at = litter.pups.iter().map(|pup| pup.born_at).min();
    let events = born_at.map(|born| marks(born, &given, &litter)).unwrap_or_default();
    Ok(picture(litter_growth_svg(&title, &growth, Some(&forecast), &events)))
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
    let now = now();
    let (litter, rules, given) = app
        .db
        .within(&scope.0, async |tx| {
            let litter = store::litter_of_dog(tx, id, now).await?;
            Ok((litter, kennels::rules(tx).await?, store::events(tx, &[id]).await?))
        })
        .await?;
    let until = query.0.forecast_until.unwrap_or_else(|| weaned_by(&litter, &rules));
    let growth = litter_growth(&litter, now, &rules);
    let forecast = litter_forecast(&litter, until, now, &rules);
    let pup = litter.pups.iter().find(|pup| pup.dog_id == id);
    let title = pup.map_or_else(String::new, |pup| format!("Growth of {}", pup.label));
    let events = pup.map(|pup| marks(pup.born_at, &given, &litter)).unwrap_or_default();
    let grade = growth.pups.iter().find(|pup| pup.dog_id == id);
    let thresholds = grade.and_then(|pup| pup.birth_weight_grade.as_ref()).map(|grade| {
        let label = "normal birth weight from".to_owned();
        ChartThreshold { weight_g: grade.normal_from_g, label }
    });
    let thresholds: Vec<ChartThreshold> = thresholds.into_iter().collect();
    match pup_growth_svg(&title, id, &growth, Some(&forecast), &events, &thresholds) {
        Some(svg) => Ok(picture(svg)),
        None => Err(super::problem::Problem::fault(
            super::problem::Kind::NotAcceptable,
            "#path/dog_id",
            "names a stillborn pup, which has no growth",
        )),
    }
}

fn picture(svg: String) -> HttpResponse {
    HttpResponse::Ok().content_type("image/svg+xml; charset=utf-8").body(svg)
}

/// The last day of the usual weaning of a litter.
fn weaned_by(litter: &GrowthLitter, rules: &Rules) -> NaiveDate {
    let born = litter.pups.iter().map(|pup| pup.born_at).min().unwrap_or_else(now);
    let days = rules.value("feeding.weaned_by_day").max(0.0) as u64;
    let born_on = born.with_timezone(&litter.time_zone).date_naive();
    born_on.checked_add_days(Days::new(days)).unwrap_or(born_on)
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
