//! A placement beside its former self, its pup and its buyer; what is done after a hand-over.

use super::{Admission, Refusal};
use crate::{
    fault::Fault,
    litter::Presence,
    placement::{PlacementKind, PlacementStage, StageFacts, follow_ups},
    readiness::ReadinessCheck,
    record::{Buyer, FollowUpDone, Placement},
    rules::Rules,
    schedule::{plus, rule_days},
};
use catalogue::said;
use chrono::NaiveDate;

#[cfg(test)]
mod tests;

/// What a step of a placement is held against.
#[derive(Debug, Clone, Copy)]
pub struct PlacementFacts<'a> {
    /// The stage before; null for a new placement.
    pub from: Option<PlacementStage>,
    /// The day on the kennel's calendar.
    pub today: NaiveDate,
    /// The rules for going home that are not met; looked at where the pup leaves.
    pub open: &'a [ReadinessCheck],
}

impl Placement {
    /// The placement with the last day of a reservation and the day of a hand-over where they were left
    /// out: `placement.reservation_days` from today, and today.
    #[must_use]
    pub fn completed_on(mut self, before: Option<&Self>, today: NaiveDate, rules: &Rules) -> Self {
        if self.is_reserved() && self.reserved_until.is_none() {
            let days = rule_days(rules, "placement.reservation_days");
            self.reserved_until = Some(plus(today, days));
        }
        let arrives = self.stage == PlacementStage::HandedOver
            && before.is_none_or(|before| before.stage != PlacementStage::HandedOver);
        if arrives && self.handed_over_on.is_none() {
            self.handed_over_on = Some(today);
        }
        self
    }

    /// Whether it holds the pup for somebody until a day.
    pub(crate) fn is_reserved(&self) -> bool {
        self.stage == PlacementStage::Reserved && self.kind != PlacementKind::Kept
    }

    /// Whether the pup leaves the kennel by it, so that it must be ready.
    pub fn sends_away(&self) -> bool {
        self.stage == PlacementStage::HandedOver && self.kind.leaves_kennel()
    }

    /// Refuses another pup, and another footing once it is more than an offer.
    ///
    /// # Errors
    /// A fault at `/dog_id` or `/kind`.
    pub fn admit_change(&self, before: &Self) -> Admission {
        if before.dog_id != self.dog_id {
            return Err(Refusal::at("/dog_id", said!("fault-fixed-placement-dog")));
        }
        if before.stage != PlacementStage::Offered && before.kind != self.kind {
            return Err(Refusal::at("/kind", said!("fault-fixed-placement-kind")));
        }
        Ok(())
    }

    /// Refuses to offer, promise or hand over a pup that is dead; the placement can still be given up.
    ///
    /// # Errors
    /// A fault at `/stage`.
    pub fn admit_presence(&self, presence: Presence) -> Admission {
        if !self.needs_live_pup() {
            return Ok(());
        }
        let detail = match presence {
            Presence::Died { on } => said!("fault-gone-pup-died", died_on = on),
            Presence::Stillborn => said!("fault-gone-pup-stillborn"),
            _ => return Ok(()),
        };
        Err(Refusal::at("/stage", detail))
    }

    /// Whether its pup must live: not once it has ended, nor for one that returns.
    pub fn needs_live_pup(&self) -> bool {
        !self.stage.is_final() && self.kind != PlacementKind::Return
    }

    /// Refuses a stage that cannot follow, and the hand-over of a pup that is not ready.
    ///
    /// # Errors
    /// Those of [`PlacementKind::advance`], and every rule that is not met at `#readiness/RULE`.
    pub fn admit_stage(&self, facts: &PlacementFacts<'_>) -> Admission {
        let PlacementFacts { from, today, open } = *facts;
        let ready = self.sends_away().then_some(open.is_empty());
        let stage = StageFacts { today, reserved_until: self.reserved_until, ready };
        self.kind.advance(from, self.stage, stage).map_err(|mut faults| {
            faults.extend(open.iter().map(not_met));
            Refusal::Faults(faults)
        })
    }

    /// Refuses to take away what has happened.
    ///
    /// # Errors
    /// [`Refusal::Conflict`] once the pup has gone.
    pub fn admit_removal(&self) -> Admission {
        if matches!(self.stage, PlacementStage::HandedOver | PlacementStage::Returned) {
            return Err(Refusal::Conflict(said!("problem-conflict-handed-over")));
        }
        Ok(())
    }
}

/// A rule for going home that is not met, at its own place.
fn not_met(check: &ReadinessCheck) -> Fault {
    let pointer = format!("#readiness/{}", check.rule);
    Fault::new(
        pointer,
        said!("fault-not-met-rule", rule = check.rule.to_string(), what = &check.detail),
    )
}

/// The stage in which a placement ends that is closed now: withdrawn before the hand-over, returned after
/// it.
///
/// # Errors
/// A fault at `/stage` when it has ended already.
pub fn end_of(stage: PlacementStage) -> Result<PlacementStage, Refusal> {
    match stage {
        PlacementStage::HandedOver => Ok(PlacementStage::Returned),
        ended if ended.is_final() => {
            Err(Refusal::at("/stage", said!("fault-already-done-placement-ended")))
        }
        _ => Ok(PlacementStage::Withdrawn),
    }
}

impl Buyer {
    /// Refuses to place a pup with a buyer whose data were erased.
    ///
    /// # Errors
    /// A fault at `/buyer_id`.
    pub fn admit_to_placement(&self) -> Admission {
        if self.erased_on.is_none() {
            return Ok(());
        }
        Err(Refusal::at("/buyer_id", said!("fault-gone-buyer-erased")))
    }

    /// Refuses to erase a buyer to whom a pup is still offered or promised: the kennel needs the name.
    ///
    /// # Errors
    /// [`Refusal::Conflict`].
    pub fn admit_erasure<'p>(placements: impl IntoIterator<Item = &'p Placement>) -> Admission {
        use PlacementStage::{Confirmed, Offered, Reserved};
        let is_open =
            |placement: &Placement| matches!(placement.stage, Offered | Reserved | Confirmed);
        if placements.into_iter().any(is_open) {
            return Err(Refusal::Conflict(said!("problem-conflict-buyer-waits")));
        }
        Ok(())
    }
}

impl FollowUpDone {
    /// Refuses a reminder of a pup that has not gone, and one that there is not.
    ///
    /// # Errors
    /// A fault of the whole body, or at `/key` with the reminders that there are.
    pub fn admit(&self, handed_over_on: Option<NaiveDate>) -> Admission {
        let Some(handed_over_on) = handed_over_on else {
            return Err(Refusal::at("", said!("fault-not-now-not-handed-over")));
        };
        let known = follow_ups(handed_over_on, Some(handed_over_on), &[], handed_over_on);
        if known.iter().any(|reminder| reminder.key == self.key) {
            return Ok(());
        }
        let keys: Vec<String> = known.into_iter().map(|reminder| reminder.key).collect();
        Err(Refusal::at("/key", said!("fault-unknown-value", known = keys.join(", "))))
    }
}
