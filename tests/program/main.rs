//! The program beside its answers to requests: its settings, its schema, its published document, its demo.
//!
//! One program, since each that is linked with the service costs seconds of every build.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test tells of a fault by a panic"
)]

#[path = "../common/mod.rs"]
mod common;

mod demo;
mod document;
mod migrations;
mod settings;
