//! What people look at and print, made from the domain's types alone.

pub mod growth_chart;
pub mod pdf;
