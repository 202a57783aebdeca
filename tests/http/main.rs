//! The service over real HTTP on real Postgres, a module a topic.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test tells of a fault by a panic"
)]

#[path = "../common/mod.rs"]
mod common;

mod accounts;
mod archives;
mod backup;
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
mod history;
mod indexes;
mod instances;
mod logins;
mod machine_room;
mod mating_plans;
mod memberships;
mod money;
mod outlook;
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
mod upgrade;
mod walls;
mod walls_table;
mod webhooks;
mod whelping;
mod when;
