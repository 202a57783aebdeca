//! Secrets: passwords, signed tokens, codes of a second factor, and what is sealed.

pub mod credentials;
pub mod passwords;
pub mod totp;
pub mod vault;
