//! What surrounds a request, and what runs beside it.

pub(crate) mod background;
pub mod backup;
pub mod database;
mod docs;
pub mod edge;
pub mod kennel_ends;
pub(crate) mod known_paths;
mod letters;
pub mod log;
mod pages;
pub mod server;
pub mod sweep;
