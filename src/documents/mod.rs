//! What people look at, print or subscribe to, made of the domain's reports.

pub mod calendar;
