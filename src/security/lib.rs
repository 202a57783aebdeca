//! Secrets: passwords, signed tokens, codes of a second factor, what is sealed, and messages to devices.

pub mod credentials;
mod hashing;
pub mod passwords;
pub mod totp;
pub mod vault;
pub mod web_push;
