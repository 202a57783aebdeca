//! denwright: the whole job of a small dog kennel, as a REST service on Postgres.
//!
//! Dependencies point one way: `api` → `store` → `domain`, and `documents` → `domain`.
//! `tests/layers.rs` keeps these walls.

pub mod api;
pub mod background;
pub mod backup;
pub mod cli;
pub mod cluster;
pub mod config;
pub mod credentials;
pub mod demo;
pub mod documents;
pub mod domain;
pub mod edge;
pub mod known_paths;
pub mod mail;
pub mod metrics;
pub mod server;
pub mod store;
pub mod totp;
pub mod webhooks;
