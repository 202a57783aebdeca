//! What the kennel as a whole writes: members, webhooks, what is on hand.

use super::{Admission, Refusal};
use crate::{
    preparation::PreparationTemplate,
    record::{Member, Supply, Webhook},
};
use catalogue::said;

#[cfg(test)]
mod tests;

impl Member {
    /// Refuses to make a membership somebody else's.
    ///
    /// # Errors
    /// A fault at `/person_id`.
    pub fn admit_change(&self, before: &Self) -> Admission {
        if before.person_id == self.person_id {
            return Ok(());
        }
        Err(Refusal::at("/person_id", said!("fault-fixed-member")))
    }
}

impl Webhook {
    /// Refuses an event of which the log knows no word; `known` are its words in their order.
    ///
    /// # Errors
    /// A fault at the first such event.
    pub fn admit(&self, known: &[String]) -> Admission {
        for (index, event) in self.events.iter().enumerate() {
            let what = event.split('.').next().unwrap_or_default();
            if !known.iter().any(|word| word == what) {
                let detail = said!("fault-unknown-value-event", known = known.join(", "));
                return Err(Refusal::at(format!("/events/{index}"), detail));
            }
        }
        Ok(())
    }
}

impl Supply {
    /// Refuses a supply that the kennel's preparation does not name.
    ///
    /// # Errors
    /// A fault at `/key` with those that it names.
    pub fn admit(&self, template: &PreparationTemplate) -> Admission {
        if template.supplies.iter().any(|supply| supply.key == self.key) {
            return Ok(());
        }
        let keys: Vec<&str> = template.supplies.iter().map(|s| s.key.as_str()).collect();
        let detail = said!("fault-unknown-value-supply", known = keys.join(", "));
        Err(Refusal::at("/key", detail))
    }
}
