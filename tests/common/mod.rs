//! The tests' own kennel: one Postgres a run, a database and a service a test.
//!
//! ```ignore
//! let kennel = Kennel::new().await;
//! let (juno, castor) = (kennel.dam("Juno").await, kennel.sire("Castor").await);
//! let litter = kennel.post("/litters", json!({ "dam_id": juno, "sire_id": castor })).await.created();
//! kennel.viewer().await.post("/dogs", json!({})).await.problem(403);
//! ```
//!
//! Paths are within the kennel, or as they are when they begin with `/v1/`.

#![allow(dead_code, unused_imports, reason = "no test program uses all of it")]
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test tells of a fault by a panic"
)]

mod answer;
mod caller;
pub mod cluster;
mod counting;
mod database;
mod document;
mod kennel;
mod phone;
mod post_office;
mod receiver;
mod service;
mod waiting;

pub use answer::{Answer, id, ids, items};
pub use caller::{Caller, EventStream, Request};
pub use counting::Counting;
pub use database::{Database, connect, rows_with, service_url, tables};
pub use document::{Shapes, resolved};
pub use domain::record::Role;
pub use kennel::{Kennel, PASSWORD, days_ago, now, session, time_ago, time_zone};
pub use phone::{Phone, opened};
pub use post_office::PostOffice;
pub use receiver::{Received, Receiver};
pub use serde_json::{Value, json};
pub use service::{Service, files_folder, mail_folder, mailed, secret_file, settings, vault};
pub use uuid::Uuid;
pub use waiting::{SOON, until};
