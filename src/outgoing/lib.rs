//! What goes out to others: mail, and webhooks.

pub mod mail;
mod webhook_address;
pub mod webhooks;
