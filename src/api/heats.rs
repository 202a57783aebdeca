//! Heats and what is measured in them.

use super::resource::prelude::*;
use domain::record::{Heat, HeatFilter, HeatReading, HeatReadingFilter};

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config
        .service(create_heat)
        .service(list_heats)
        .service(read_heat)
        .service(change_heat)
        .service(delete_heat)
        .service(create_heat_reading)
        .service(list_heat_readings)
        .service(read_heat_reading)
        .service(change_heat_reading)
        .service(delete_heat_reading);
}

resource!(Heat, tag "heats", one "a heat", many "heats",
    at "/v1/kennels/{kennel_id}/heats", "/v1/kennels/{kennel_id}/heats/{heat_id}";
    create_heat, list_heats, read_heat, change_heat, delete_heat);

resource!(HeatReading, tag "heats", one "a reading taken in a heat", many "the readings of a heat",
    at "/v1/kennels/{kennel_id}/heats/{heat_id}/readings",
       "/v1/kennels/{kennel_id}/heats/{heat_id}/readings/{reading_id}", under heat_id;
    create_heat_reading, list_heat_readings, read_heat_reading, change_heat_reading, delete_heat_reading);
