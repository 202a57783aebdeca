//! What goes out to others: mail, webhooks, and rings.

pub mod mail;
pub mod rings;
mod webhook_address;
pub mod webhooks;
