//! denwright: the whole job of a small dog kennel, as a REST service on Postgres.
//!
//! Dependencies point one way: `api` → `store` → `domain`, and `documents` → `domain`.
//! `tests/layers.rs` keeps these walls.

pub mod documents;
pub mod domain;
