//! Heats and their readings.

use super::keep::keep;
use crate::domain::record::{Heat, HeatFilter, HeatReading, HeatReadingFilter};

keep!(Heat in heats { dog_id, began_on, ended_on, note }
    filter HeatFilter { dog_id == dog_id };
    read Dogs, write Breeding, of dog_id);

keep!(HeatReading in heat_readings { heat_id, kind, taken_at, value, unit, finding, note }
    under heat_id of Heat
    filter HeatReadingFilter { kind == kind };
    read Dogs, write Observations, of heat_id);
