//! A dam's cycle: where she stands in a heat, and her heats to come.

use super::{alarms::watched, inbreeding::current_book, query::Query, resource::prelude::*};
use catalogue::{Text, said};
use domain::{
    advice::standing_line,
    alarms::{Alarm, list},
    breeding_again::{BreedingAgain, DamToBreed, breeding_again},
    cycle::coming_heats::{HeatForecast, forecast_heats},
    litter::Weights,
    planner::heat_history,
    pregnancy::{HeatReport, heat_report},
    record::{Dog, Heat, Sex},
};
use serde::{Deserialize, Serialize};
use store::{
    StoreError, keep,
    litters::{self, Which},
    planning,
};
use utoipa::{IntoParams, ToSchema};

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config.service(read_heat_timing).service(read_coming_heats).service(read_breeding_again);
}

/// Read where a dam stands in a heat.
///
/// LH surge and ovulation with their uncertainty, when to test next, the best days for each method.
#[utoipa::path(tag = "heats", responses((status = 200, description = "The timing.", body = HeatReport)))]
#[get("/v1/kennels/{kennel_id}/heats/{heat_id}/timing")]
pub(crate) async fn read_heat_timing(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    let heat_id = path.1;
    let (heat, readings, moment) = app
        .db
        .within(&scope.0, async |tx| {
            let heat: Kept<Heat> = keep::find(tx, heat_id).await?;
            let readings = litters::readings_of(tx, heat_id).await?;
            Ok((heat, readings, tx.moment().await?))
        })
        .await?;
    let readings: Vec<_> = readings.iter().map(|kept| &kept.record).collect();
    let report = heat_report(heat_id, &heat.record, &readings, moment.time(), &moment.rules)
        .map_err(StoreError::Refused)?;
    Ok(HttpResponse::Ok().json(report))
}

/// How far to look ahead.
#[derive(Debug, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct ComingHeatsQuery {
    /// How many heats, 1–6; 2 when left out.
    #[param(minimum = 1, maximum = 6)]
    count: Option<u32>,
}

/// A dam's heats to come.
#[derive(Serialize, ToSchema)]
pub(crate) struct ComingHeats {
    /// The dam.
    dog_id: Uuid,
    /// What is expected, and from what.
    #[serde(flatten)]
    forecast: HeatForecast,
    /// The line that stands beside every piece of advice.
    #[schema(value_type = String)]
    standing_line: Text,
}

/// Read a dam's heats to come.
///
/// From her own intervals, drawn towards those of all dams by how many there are.
#[utoipa::path(tag = "heats", params(ComingHeatsQuery),
    responses((status = 200, description = "The forecast.", body = ComingHeats)))]
#[get("/v1/kennels/{kennel_id}/dogs/{dog_id}/coming-heats")]
pub(crate) async fn read_coming_heats(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
    query: Query<ComingHeatsQuery>,
) -> Result<HttpResponse, Problem> {
    let dog_id = path.1;
    let count = query.0.count.unwrap_or(2);
    if !(1..=6).contains(&count) {
        let kind = super::problem::Kind::Unreadable;
        return Err(Problem::fault(
            kind,
            "#query/count",
            said!("fault-out-of-range-of-query", least = 1, most = 6),
        ));
    }
    let seat = app.room.seat(scope.0.kennel_id()).await?;
    let book = current_book(&app, &scope.0).await?;
    let (dams, moment) = app
        .db
        .within(&scope.0, async |tx| {
            let dog: Kept<Dog> = keep::find(tx, dog_id).await?;
            if dog.record.sex != Some(Sex::Female) {
                let detail = said!("fault-wrong-sex-heats");
                return Err(StoreError::refused("#path/dog_id", detail));
            }
            let dams = litters::of_dams(tx, &book, &[dog_id]).await?;
            Ok((dams, tx.moment().await?))
        })
        .await?;
    let answer = move || {
        let dam = dams.first().ok_or(StoreError::NotFound)?;
        let forecast = forecast_heats(&heat_history(dam), count, moment.today(), &moment.rules)
            .map_err(StoreError::Refused)?;
        let standing_line = standing_line();
        Ok(ComingHeats { dog_id, forecast, standing_line })
    };
    seat.answer(answer).await
}

/// Read when a dam may be bred again.
///
/// One answer by her own state, the law of the kennel's jurisdiction and the rules that it keeps to, with every
/// ground, the day from which each is met, and her next heats. What only a vet can say is asked and not decided.
#[utoipa::path(tag = "heats",
    responses((status = 200, description = "The answer with its grounds.", body = BreedingAgain)))]
#[get("/v1/kennels/{kennel_id}/dogs/{dog_id}/breeding-again")]
pub(crate) async fn read_breeding_again(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    let dog_id = path.1;
    let seat = app.room.seat(scope.0.kennel_id()).await?;
    let book = current_book(&app, &scope.0).await?;
    let ((dams, (_, weights)), kennel_set) = app
        .db
        .within(&scope.0, async |tx| {
            let dog: Kept<Dog> = keep::find(tx, dog_id).await?;
            if dog.record.sex != Some(Sex::Female) {
                let detail = said!("fault-wrong-sex-heats");
                return Err(StoreError::refused("#path/dog_id", detail));
            }
            let dams = litters::of_dams(tx, &book, &[dog_id]).await?;
            let own = litters::of_dog::<Weights>(tx, dog_id).await?;
            Ok(((dams, own), planning::breeding_rules(tx).await?))
        })
        .await?;
    let (mut known, moment) = watched(&app, &scope.0, Which::OfDams(vec![dog_id])).await?;
    let (herself, _) = watched(&app, &scope.0, Which::OfDogs(vec![dog_id])).await?;
    let whelped = known.len();
    known.extend(herself);
    let jurisdiction = scope.0.jurisdiction().to_owned();
    let answer = move || {
        let records = dams.first().ok_or(StoreError::NotFound)?;
        let mut alarms: Vec<Alarm> = list(&known, &moment);
        alarms.retain(|alarm| alarm.about.dog_id == Some(dog_id));
        let dam = DamToBreed {
            records,
            litters: &known[..whelped],
            alarms: &alarms,
            weighings: weights.weighings.of(dog_id),
            jurisdiction: &jurisdiction,
            kennel_set,
        };
        Ok(breeding_again(dam, &moment))
    };
    seat.answer(answer).await
}
