//! denwright: the whole job of a small dog kennel, as a REST service on Postgres.
//!
//! The layers are crates below `src/`, and depend on one another one way: `api` → `store` → `domain`,
//! and `documents` → `domain`. Here they are put together into a program.

pub mod cli;
pub mod config;
pub mod service;
