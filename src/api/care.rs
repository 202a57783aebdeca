//! Weights, temperatures and looks at a pup.

use super::resource::prelude::*;
use domain::record::{
    PupCheck, PupCheckFilter, Temperature, TemperatureFilter, Weight, WeightFilter,
};

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
