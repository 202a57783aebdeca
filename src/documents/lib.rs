//! What people look at, print or subscribe to, made from the domain's types alone.

pub mod booklet;
pub mod calendar;
mod dates;
pub mod growth_chart;
pub mod labels;
pub mod pdf;
pub mod pedigree_chart;
pub mod whelping_sheet;
mod words;

#[cfg(test)]
mod languages;
