//! What a kennel writes down, one file a kind of record.
//!
//! A record is the body of a resource: the same fields are posted, kept and answered. Its
//! `check` reports every fault of the values by themselves; what needs other rows is the store's.
