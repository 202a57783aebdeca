//! One pregnancy: when it ends, how many pups, the dam's temperature.

use super::{inbreeding::current_book, now, resource::prelude::*};
use crate::{
    domain::pregnancy::{
        KennelTime, LitterDueWindow, LitterPups, LitterTemperature, Pregnancy, PregnancyRecords,
        read_pregnancy,
    },
    store::{StoreError, kennels, people::Scope, pregnancies},
};

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config.service(read_due_window).service(read_expected_pups).service(read_litter_temperature);
}

/// Reads a pregnancy and makes an answer of it.
async fn answer<T: serde::Serialize>(
    app: &App,
    scope: &Scope,
    litter_id: Uuid,
    make: impl FnOnce(&PregnancyRecords<'_>, Pregnancy, KennelTime) -> T,
) -> Result<HttpResponse, Problem> {
    let now = now();
    let book = current_book(app, scope).await?;
    let (dam, rules, time) = app
        .db
        .within(scope, async |tx| {
            let (_, dam) = pregnancies::of_litter(tx, &book, litter_id, now).await?;
            Ok((dam, kennels::rules(tx).await?, tx.time(now)))
        })
        .await?;
    let records =
        PregnancyRecords::of(&dam, litter_id, time, &rules).ok_or(StoreError::NotFound)?;
    let pregnancy = read_pregnancy(&records, time, &rules);
    Ok(HttpResponse::Ok().json(make(&records, pregnancy, time)))
}

/// Read when a litter is due.
///
/// All evidence on record counts: ties, progesterone, LH, cytology, ultrasound measures, the dam's
/// temperature. Each kind has a published spread; together they give a chance by day. For a born
/// litter the window is what was foretold.
#[utoipa::path(tag = "litters", responses((status = 200, description = "The window.", body = LitterDueWindow)))]
#[get("/v1/kennels/{kennel_id}/litters/{litter_id}/due-window")]
pub async fn read_due_window(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    answer(&app, &scope.0, path.1, LitterDueWindow::of).await
}

/// Read how many pups to expect.
///
/// From the dam's earlier litters, her breed or size, the mating's method, her inbreeding and the
/// litter's, and every count.
#[utoipa::path(tag = "litters", responses((status = 200, description = "The forecast.", body = LitterPups)))]
#[get("/v1/kennels/{kennel_id}/litters/{litter_id}/expected-pups")]
pub async fn read_expected_pups(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    answer(&app, &scope.0, path.1, |records, pregnancy, _| LitterPups::of(records, pregnancy)).await
}

/// Read what the dam's temperature says near term.
///
/// Temperatures are recorded at the dam, in °C or °F, and answered in °C.
#[utoipa::path(tag = "litters", responses((status = 200, description = "The assessment.", body = LitterTemperature)))]
#[get("/v1/kennels/{kennel_id}/litters/{litter_id}/temperature")]
pub async fn read_litter_temperature(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    answer(&app, &scope.0, path.1, |records, pregnancy, _| {
        LitterTemperature::of(records, pregnancy)
    })
    .await
}
