//! Weights and temperatures.

use super::keep::keep;
use crate::domain::record::{Dog, Temperature, TemperatureFilter, Weight, WeightFilter};

keep!(Weight in weights { dog_id, measured_at, weight_g, confirmed, note }
    under dog_id of Dog
    filter WeightFilter {}
    and |query, filter| {
        match filter.since {
            Some(since) => query.filter(dsl::measured_at.ge(since)),
            None => query,
        }
    };
    read Dogs, write Observations);

keep!(Temperature in temperatures { dog_id, measured_at, temperature_c, note }
    under dog_id of Dog
    filter TemperatureFilter {}
    and |query, filter| {
        match filter.since {
            Some(since) => query.filter(dsl::measured_at.ge(since)),
            None => query,
        }
    };
    read Dogs, write Observations);
