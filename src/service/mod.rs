//! What surrounds a request, and what runs beside it.

pub mod background;
pub mod backup;
pub mod database;
mod docs;
pub mod edge;
pub mod known_paths;
pub mod log;
mod pages;
pub mod server;
