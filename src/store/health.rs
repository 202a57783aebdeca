//! Health events.

use super::keep::keep;
use crate::domain::record::{HealthEvent, HealthEventFilter};

keep!(HealthEvent in health_events { dog_id, kind, given_at, product, batch, expires_on, given_by, note }
    filter HealthEventFilter { dog_id == dog_id, kind == kind };
    read Dogs, write Observations);
