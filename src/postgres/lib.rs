//! How Postgres is spoken to: where it is, statements that it prepares once, lists in any order, and what it
//! wakes up. It knows no table: those are the store's.

pub mod address;
pub mod expression;
pub mod order;
pub mod statement;
pub mod turns;
pub mod wakes;
