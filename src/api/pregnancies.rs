//! One pregnancy: when it ends, how many pups, the dam's temperature.

use super::{alarms::of_litter, resource::prelude::*};
use domain::{
    alarms::Alarm,
    moment::Moment,
    pregnancy::{
        LitterDueWindow, LitterPups, LitterTemperature, Pregnancy as Reading, PregnancyRecords,
    },
};
use store::{StoreError, scope::Scope};

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config.service(read_due_window).service(read_expected_pups).service(read_litter_temperature);
}

/// Reads a pregnancy and makes an answer of it.
async fn answer<T: serde::Serialize + 'static>(
    app: &App,
    scope: &Scope,
    litter_id: Uuid,
    make: impl FnOnce(&PregnancyRecords<'_>, Reading, &Moment, Vec<Alarm>) -> T + Send + 'static,
) -> Result<HttpResponse, Problem> {
    let seat = app.room.seat(scope.kennel_id()).await?;
    let (core, parts, alarms, moment) = of_litter(app, scope, &seat, litter_id).await?;
    let answer = move || {
        let (records, reading) = parts.4.read(&core, &moment).ok_or(StoreError::NotFound)?;
        Ok(make(&records, reading, &moment, alarms))
    };
    seat.answer(answer).await
}

/// Read when a litter is due.
///
/// All evidence on record counts: ties, progesterone, LH, cytology, ultrasound measures, the dam's
/// temperature. Each kind has a published spread; together they give a chance by day. For a born
/// litter the window is what was foretold.
#[utoipa::path(tag = "litters", responses((status = 200, description = "The window.", body = LitterDueWindow)))]
#[get("/v1/kennels/{kennel_id}/litters/{litter_id}/due-window")]
pub(crate) async fn read_due_window(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    answer(&app, &scope.0, path.1, |records, reading, moment, alarms| {
        let mut window = LitterDueWindow::of(records, reading, moment.time());
        let told = alarms.iter().filter(|alarm| alarm.is_of_night());
        window.cautions = told.map(Alarm::caution).collect();
        window
    })
    .await
}

/// Read how many pups to expect.
///
/// From the dam's earlier litters, her breed or size, the mating's method, her inbreeding and the
/// litter's, and every count.
#[utoipa::path(tag = "litters", responses((status = 200, description = "The forecast.", body = LitterPups)))]
#[get("/v1/kennels/{kennel_id}/litters/{litter_id}/expected-pups")]
pub(crate) async fn read_expected_pups(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    answer(&app, &scope.0, path.1, |records, reading, _, _| LitterPups::of(records, reading)).await
}

/// Read what the dam's temperature says near term.
///
/// Temperatures are recorded at the dam, in °C or °F, and answered in °C.
#[utoipa::path(tag = "litters", responses((status = 200, description = "The assessment.", body = LitterTemperature)))]
#[get("/v1/kennels/{kennel_id}/litters/{litter_id}/temperature")]
pub(crate) async fn read_litter_temperature(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    answer(&app, &scope.0, path.1, |records, reading, _, alarms| {
        let mut told = LitterTemperature::of(records, reading);
        if let Some(assessment) = &mut told.assessment {
            let of_it = alarms.iter().filter(|alarm| alarm.is_of_temperature());
            assessment.cautions = of_it.map(Alarm::caution).collect();
        }
        told
    })
    .await
}
