//! Money and pups between co-owners: divided by the shares held on the day, with a statement a holder.
//!
//! What nobody holds by name is the kennel's own. Whose a pup is, and who bears which cost, is for the
//! contract between co-owners and for local law; here is reckoned what the recorded shares say.

mod division;
mod holdings;
mod statement;
#[cfg(test)]
mod tests;

pub use division::whole_parts;
pub use holdings::{Holder, Holding, Holdings};
pub use statement::{
    BornLitter, BornPup, CoOwnership, HolderSums, MoneyEntry, MoneyEntryKind, ShareHeld, Statement,
    StatementLine, StatementLitter, StatementSpan, StatementSums, statement, sums_by_holder,
};
