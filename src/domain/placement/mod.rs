//! Who takes which pup: stages of a placement, money, and the proposal for a waiting list.

mod currency;
mod money;

pub use currency::{Currency, NotACurrency};
pub use money::{Money, split_evenly};
