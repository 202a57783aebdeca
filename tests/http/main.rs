//! The service over real HTTP on real Postgres, a module a topic.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test tells of a fault by a panic"
)]

#[path = "../common/mod.rs"]
mod common;

mod archives;
mod batches;
mod births;
mod booklets;
mod buyer_privacy;
mod changes;
mod co_owners;
mod feeding;
mod go_home;
mod growth;
mod health;
mod logins;
mod mating_plans;
mod money;
mod parents;
mod pedigrees;
mod placements;
mod printed;
mod problems;
mod repeats;
mod reports;
mod resources;
mod tenancy;
mod today;
mod walls;
mod whelping;
mod when;
