//! What goes out to others: mail, webhooks, and rings.

mod lanes;
pub mod mail;
pub mod rings;
mod webhook_address;
pub mod webhooks;
