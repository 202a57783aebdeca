//! Webhooks: addresses that are told of changes.

use super::{Record, words::words};
use crate::fault::{Faults, near};
use catalogue::{Text, said};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

words! {
    /// How far the telling of a change has come.
    DeliveryStatus {
        /// To be tried, or tried again.
        Waiting = "waiting",
        /// Arrived.
        Delivered = "delivered",
        /// Given up.
        Dead = "dead",
        /// Not tried to the end: too many waited, for too long, or the webhook was switched off.
        Dropped = "dropped",
    }
}

/// An address that is told of changes in the kennel.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Webhook {
    /// Where to post; https, unless the service allows private networks.
    #[schema(example = "https://kennel.example/hooks/denwright", min_length = 1, max_length = 500)]
    pub url: String,
    /// Of what to tell, as the log of changes calls it (`weight`), or one action only
    /// (`dog.deleted`, `alarm.raised`); empty for everything.
    #[serde(default)]
    #[schema(example = json!(["birth", "weight.created"]), max_items = 100)]
    pub events: Vec<String>,
    /// Whether it is told.
    #[serde(default = "yes")]
    #[schema(example = true)]
    pub active: bool,
    /// Anything else.
    #[serde(default)]
    #[schema(example = "The buyers' pages", max_length = 2000, format = "several-lines")]
    pub note: Option<String>,
}

fn yes() -> bool {
    true
}

/// What can happen to a row.
const ACTIONS: [&str; 4] = ["created", "changed", "deleted", "imported"];
/// What can become of an alarm, which is no row.
const OF_ALARMS: [&str; 4] = ["raised", "worse", "seen", "over"];

impl Record for Webhook {
    fn check(&self, _now: DateTime<Utc>, faults: &mut Faults) {
        for (index, event) in self.events.iter().enumerate() {
            let Some((what, action)) = event.split_once('.') else { continue };
            let known = if what == "alarm" { OF_ALARMS } else { ACTIONS };
            if !known.contains(&action) {
                faults.add(format!("/events/{index}"), no_action(action, known));
            }
        }
    }
}

/// That nothing of this name can happen to a row.
fn no_action(action: &str, known: [&'static str; 4]) -> Text {
    let nearest = near(action, known);
    let known = known.join(", ");
    match nearest {
        Some(near) => said!("fault-unknown-value-action-near", known = known, near = near),
        None => said!("fault-unknown-value-action", known = known),
    }
}

/// Which webhooks to list.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct WebhookFilter {
    /// Only those that are told, or are not.
    pub active: Option<bool>,
}
