//! Who takes which pup: stages of a placement, money, and the proposal for a waiting list.

mod account;
mod assignment;
mod currency;
mod follow_up;
mod ledger;
mod money;
mod proposal;
mod stage;
mod wishes;

#[cfg(test)]
mod limits_tests;
#[cfg(test)]
mod tests;

pub use account::Bookings;
pub use currency::{Currency, NotACurrency};
pub use follow_up::{FollowUp, FollowUpAnchor, FollowUpsOfPup, follow_ups};
pub use ledger::{LedgerEntry, LedgerKind, LedgerSums, add_up, close_account};
pub use money::{Money, split_evenly};
pub use proposal::{
    PlacementProposal, ProposedPair, UnplacedBuyer, WaitingBuyer, objective, propose,
};
pub use stage::{PlacementKind, PlacementStage, StageFacts, has_lapsed};
pub use wishes::{BuyerWishes, FreePup, WishKind, WishesFare};
