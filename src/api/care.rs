//! Weights, temperatures and looks at a pup, and the round of the newborns.

use super::{alarms::of_litter, resource::prelude::*};
use domain::{
    newborn::{NewbornRound, newborn_round},
    record::{PupCheck, PupCheckFilter, Temperature, TemperatureFilter, Weight, WeightFilter},
};
use store::scope::Right;

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config
        .service(create_weight)
        .service(list_weights)
        .service(read_weight)
        .service(change_weight)
        .service(delete_weight)
        .service(create_temperature)
        .service(list_temperatures)
        .service(read_temperature)
        .service(change_temperature)
        .service(delete_temperature)
        .service(read_newborns)
        .service(create_pup_check)
        .service(list_pup_checks)
        .service(read_pup_check)
        .service(change_pup_check)
        .service(delete_pup_check);
}

resource!(Weight, tag "weights", one "a weight", many "the weights of a dog",
    at "/v1/kennels/{kennel_id}/dogs/{dog_id}/weights",
       "/v1/kennels/{kennel_id}/dogs/{dog_id}/weights/{weight_id}", under dog_id;
    create_weight, list_weights, read_weight, change_weight, delete_weight);

resource!(Temperature, tag "temperatures", one "a body temperature", many "the temperatures of a dog",
    at "/v1/kennels/{kennel_id}/dogs/{dog_id}/temperatures",
       "/v1/kennels/{kennel_id}/dogs/{dog_id}/temperatures/{temperature_id}", under dog_id;
    create_temperature, list_temperatures, read_temperature, change_temperature, delete_temperature);

resource!(PupCheck, tag "pup checks", one "a look at a pup", many "the looks at a pup",
    at "/v1/kennels/{kennel_id}/dogs/{dog_id}/pup-checks",
       "/v1/kennels/{kennel_id}/dogs/{dog_id}/pup-checks/{check_id}", under dog_id;
    create_pup_check, list_pup_checks, read_pup_check, change_pup_check, delete_pup_check);

/// Make a round of the newborns of a litter.
///
/// Who was looked over from head to tail and what is left to look at, who fed, and how probable it is that a pup is
/// fading, by its weights, its temperature, how it feeds and what was seen of it.
#[utoipa::path(tag = "pup checks",
    responses((status = 200, description = "The pups that are here.", body = NewbornRound)))]
#[get("/v1/kennels/{kennel_id}/litters/{litter_id}/newborns")]
pub(crate) async fn read_newborns(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    scope.0.require(Right::Dogs)?;
    let (_kennel, id) = path.into_inner();
    let seat = app.room.seat(scope.0.kennel_id()).await?;
    let (core, parts, alarms, moment) = of_litter(&app, &scope.0, &seat, id).await?;
    seat.answer(move || Ok(newborn_round(&core, &parts, &alarms, &moment))).await
}
