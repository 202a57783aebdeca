//! One pregnancy: when it ends, how many pups, the dam's temperature.

use super::{alarms::of_litter, resource::prelude::*};
use domain::{
    alarms::Alarm,
    birth_risks::{EarlierLitter, LitterBirthRisks, birth_risks},
    litter::WhelpingWatch,
    moment::Moment,
    pregnancy::{
        LitterDueWindow, LitterPups, LitterTemperature, Pregnancy as Reading, PregnancyRecords,
    },
};
use store::{
    StoreError,
    litters::{self, Which},
    scope::Scope,
};

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config
        .service(read_due_window)
        .service(read_expected_pups)
        .service(read_litter_temperature)
        .service(read_birth_risks);
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
    answer(&app, &scope.0, path.1, |records, reading, moment, _| {
        LitterPups::of(records, reading, moment.time())
    })
    .await
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

/// Read the risks of a birth before it: what each means for the plan, the kit and who is on call.
///
/// Size, breed, age, weight, first litter, earlier caesareans, hard births, dead pups, losses and eclampsia, one
/// pup, few or very many. What is not on record is told as lacking and is no risk. How a dam whelped before she
/// came here is entered as illnesses of the series `caesarean`, `dystocia`, `eclampsia` or `pregnancy-loss`. Whether
/// a caesarean is planned the veterinarian decides.
#[utoipa::path(tag = "litters", responses((status = 200, description = "The risks.", body = LitterBirthRisks)))]
#[get("/v1/kennels/{kennel_id}/litters/{litter_id}/birth-risks")]
pub(crate) async fn read_birth_risks(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    let seat = app.room.seat(scope.0.kennel_id()).await?;
    let (core, parts, _, moment) = of_litter(&app, &scope.0, &seat, path.1).await?;
    let which = Which::OfDams(core.dam_id().into_iter().collect());
    let work = async |tx: &mut _| litters::load::<WhelpingWatch>(tx, which.clone()).await;
    let hers = app.db.within(&scope.0, work).await?;
    let answer = move || {
        let others = hers.iter().filter(|(other, _)| other.id() != core.id());
        let earlier: Vec<EarlierLitter> =
            others.filter_map(|(other, watch)| EarlierLitter::of(other, watch)).collect();
        let of_litter = (&parts.0, &parts.2, &parts.4);
        Ok(birth_risks(&core, of_litter, &earlier, &moment).ok_or(StoreError::NotFound)?)
    };
    seat.answer(answer).await
}
