//! What goes out to others: mail, webhooks, and rings.

mod html;
mod lanes;
pub mod mail;
pub mod notices;
pub mod rings;
mod webhook_address;
pub mod webhooks;
