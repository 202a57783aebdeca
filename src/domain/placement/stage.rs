//! The stages of a placement, and which may follow which.

use crate::{
    fault::{Fault, Faults},
    record::words::words,
};
use catalogue::said;
use chrono::NaiveDate;

words! {
    /// On what terms a pup goes, or stays.
    PlacementKind {
        /// Sold to a buyer.
        Sale = "sale",
        /// Kept in the kennel.
        Kept = "kept",
        /// Lives with family or friends, the kennel stays its owner.
        Family = "family",
        /// Shared with a co-owner.
        CoOwner = "co_owner",
        /// Comes back to the kennel.
        Return = "return",
    }
}

words! {
    /// How far a placement has come.
    PlacementStage {
        /// Proposed to the buyer; the pup is still free.
        Offered = "offered",
        /// Held for the buyer until a day.
        Reserved = "reserved",
        /// Agreed by contract or deposit.
        Confirmed = "confirmed",
        /// The pup has gone; a pup that is kept stays for good; one that returns has arrived.
        HandedOver = "handed_over",
        /// Given up by either side.
        Withdrawn = "withdrawn",
        /// The reservation ran out.
        Lapsed = "lapsed",
        /// The pup came back after the hand-over.
        Returned = "returned",
    }
}

/// What is known when a placement is to go to another stage.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct StageFacts {
    /// The day of the change.
    pub today: NaiveDate,
    /// Last day of the reservation, as it will be kept.
    pub reserved_until: Option<NaiveDate>,
    /// Whether the pup is ready to go home; `None` where nothing was checked.
    pub ready: Option<bool>,
}

impl PlacementStage {
    /// Whether the pup is taken by a placement at this stage. One pup has at most one such.
    pub(crate) fn holds_pup(self) -> bool {
        matches!(self, Self::Reserved | Self::Confirmed | Self::HandedOver)
    }

    /// Whether nothing can follow.
    pub(crate) fn is_final(self) -> bool {
        matches!(self, Self::Withdrawn | Self::Lapsed | Self::Returned)
    }
}

impl PlacementKind {
    /// The stages with which a placement of this kind may begin.
    pub(crate) fn first_stages(self) -> &'static [PlacementStage] {
        use PlacementStage::{Confirmed, HandedOver, Offered, Reserved};
        match self {
            Self::Sale | Self::Family | Self::CoOwner => &[Offered, Reserved, Confirmed],
            Self::Kept => &[Reserved, Confirmed],
            Self::Return => &[Offered, HandedOver],
        }
    }

    /// The stages that may follow `stage`.
    pub(crate) fn next_stages(self, stage: PlacementStage) -> &'static [PlacementStage] {
        use PlacementStage::{
            Confirmed, HandedOver, Lapsed, Offered, Reserved, Returned, Withdrawn,
        };
        match (self, stage) {
            // A return is only announced and then done; it holds no pup back.
            (Self::Return, Offered) => &[HandedOver, Withdrawn],
            (Self::Return, _) => &[],
            // What is kept never leaves, so it cannot come back; plans for it may change.
            (Self::Kept, HandedOver) => &[Withdrawn],
            (_, Offered) => &[Reserved, Confirmed, Withdrawn, Lapsed],
            (_, Reserved) => &[Confirmed, HandedOver, Withdrawn, Lapsed],
            (_, Confirmed) => &[HandedOver, Withdrawn],
            (_, HandedOver) => &[Returned],
            (_, Withdrawn | Lapsed | Returned) => &[],
        }
    }

    /// Whether the pup leaves the kennel at the hand-over, so that it must be ready for it.
    pub fn leaves_kennel(self) -> bool {
        matches!(self, Self::Sale | Self::Family | Self::CoOwner)
    }

    /// Checks the step from one stage (`None` for a new placement) to the next.
    ///
    /// # Errors
    /// Every fault, at `/stage` or `/reserved_until`: a stage that cannot follow, a reservation without
    /// a last day or with one that is past, a lapse before the last day is over, a hand-over of a
    /// pup that is not ready.
    pub(crate) fn advance(
        self,
        from: Option<PlacementStage>,
        to: PlacementStage,
        facts: StageFacts,
    ) -> Result<(), Vec<Fault>> {
        let mut faults = Faults::new();
        let allowed = from.map_or(self.first_stages(), |stage| self.next_stages(stage));
        faults.unless(allowed.contains(&to), "/stage", || {
            let names: Vec<&str> = allowed.iter().map(|stage| stage.as_str()).collect();
            let possible = names.join(", ");
            match from.map(PlacementStage::as_str) {
                Some(from) if names.is_empty() => said!("fault-not-now-stage-end", from = from),
                Some(from) => said!("fault-not-now-stage", from = from, possible = possible),
                None => said!("fault-not-now-first-stage", possible = possible),
            }
        });
        let StageFacts { today, reserved_until, ready } = facts;
        match to {
            PlacementStage::Reserved if self != Self::Kept => match reserved_until {
                None => faults.add("/reservation_ends_on", said!("fault-missing-reserved-until")),
                Some(on) => faults.unless(on >= today, "/reservation_ends_on", || {
                    said!("fault-too-early-reserved-until", today = today)
                }),
            },
            PlacementStage::Lapsed => {
                let over = reserved_until.is_some_and(|on| on < today);
                faults.unless(over, "/stage", || said!("fault-not-now-reserved"));
            }
            PlacementStage::HandedOver if self.leaves_kennel() => {
                faults.unless(ready == Some(true), "/stage", || said!("fault-not-met-readiness"));
            }
            _ => {}
        }
        faults.into_result()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use PlacementStage::*;

    const KINDS: [PlacementKind; 5] = [
        PlacementKind::Sale,
        PlacementKind::Kept,
        PlacementKind::Family,
        PlacementKind::CoOwner,
        PlacementKind::Return,
    ];
    const STAGES: [PlacementStage; 7] =
        [Offered, Reserved, Confirmed, HandedOver, Withdrawn, Lapsed, Returned];

    fn facts(ready: Option<bool>) -> StageFacts {
        let day = |text: &str| text.parse().unwrap();
        StageFacts { today: day("2026-03-10"), reserved_until: Some(day("2026-03-10")), ready }
    }

    #[test]
    fn a_sale_runs_from_offer_to_hand_over() {
        let sale = PlacementKind::Sale;
        let path = [None, Some(Offered), Some(Reserved), Some(Confirmed), Some(HandedOver)];
        for (from, to) in path.into_iter().zip([Offered, Reserved, Confirmed, HandedOver, Returned])
        {
            sale.advance(from, to, facts(Some(true))).unwrap();
        }
        assert!(sale.advance(Some(Returned), Reserved, facts(None)).is_err());
        for stage in STAGES {
            let written = serde_json::to_string(&stage).unwrap();
            assert_eq!(written, format!("{:?}", stage.as_str()));
        }
        assert!(sale.advance(Some(Offered), HandedOver, facts(Some(true))).is_err());
    }

    #[test]
    fn a_pup_that_is_not_ready_stays() {
        for ready in [Some(false), None] {
            let sale = PlacementKind::Sale.advance(Some(Confirmed), HandedOver, facts(ready));
            assert_eq!(sale.unwrap_err()[0].pointer, "/stage");
            assert!(PlacementKind::Kept.advance(Some(Confirmed), HandedOver, facts(ready)).is_ok());
        }
    }

    #[test]
    fn a_reservation_has_a_last_day_and_lapses_after_it() {
        let sale = PlacementKind::Sale;
        let mut at = facts(None);
        assert!(sale.advance(Some(Reserved), Lapsed, at).is_err());
        at.today = at.today.succ_opt().unwrap();
        assert!(sale.advance(Some(Reserved), Lapsed, at).is_ok());
        let past = sale.advance(None, Reserved, at).unwrap_err();
        assert_eq!(past[0].pointer, "/reservation_ends_on");
        at.reserved_until = None;
        assert_eq!(
            sale.advance(None, Reserved, at).unwrap_err()[0].pointer,
            "/reservation_ends_on"
        );
        assert!(PlacementKind::Kept.advance(None, Reserved, at).is_ok());
    }

    #[test]
    fn an_end_is_an_end_and_frees_the_pup() {
        for kind in KINDS {
            for stage in STAGES.into_iter().filter(|stage| stage.is_final()) {
                assert!(kind.next_stages(stage).is_empty() && !stage.holds_pup());
            }
            // Whatever holds a pup can give it back.
            for stage in STAGES.into_iter().filter(|stage| stage.holds_pup()) {
                let next = kind.next_stages(stage);
                let freed = next.iter().any(|stage| !stage.holds_pup());
                assert!(freed || kind == PlacementKind::Return, "{kind:?} {stage:?}");
            }
        }
    }
}
