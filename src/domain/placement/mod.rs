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
pub(crate) use ledger::add_up;
pub use ledger::{LedgerEntry, LedgerKind, LedgerSums, close_account};
pub use money::Money;
pub use proposal::{PlacementProposal, ProposedPair, UnplacedBuyer, WaitingBuyer, propose};
pub(crate) use stage::StageFacts;
pub use stage::{PlacementKind, PlacementStage};
pub use wishes::{BuyerWishes, FreePup, WishKind, WishesFare};
