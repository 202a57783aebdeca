//! The growth of a pup or a litter as a picture (SVG), for a phone, a wall and paper.
//!
//! Pups are told apart by marker, dash and a name at the end of the line, never by colour alone; the picture
//! follows the viewer's light or dark scheme and prints light.

mod drawing;
mod scale;

use chrono::NaiveDate;
use domain::growth::standards::growth_norms;
use domain::growth::{LitterForecast, LitterGrowth, PupGrowth};
use uuid::Uuid;

/// Something that happened or is planned, shown as a line across the days.
#[derive(Debug, Clone, PartialEq)]
pub struct ChartEvent {
    /// Age in days.
    pub age_days: f64,
    /// A word or two.
    pub label: String,
}

/// A weight worth a line of its own.
#[derive(Debug, Clone, PartialEq)]
pub struct ChartThreshold {
    /// Weight in grams.
    pub weight_g: f64,
    /// A word or two.
    pub label: String,
}

/// The weights of one pup.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct ChartLine {
    pub(crate) label: String,
    /// Age in days and weight in grams.
    pub(crate) weighed: Vec<(f64, f64)>,
    /// Age in days; middle, lower and upper weight in grams.
    pub(crate) forecast: Vec<(f64, [f64; 3])>,
}

/// All that is drawn.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Chart {
    pub(crate) title: String,
    pub(crate) description: String,
    pub(crate) born_on: Option<NaiveDate>,
    pub(crate) lines: Vec<ChartLine>,
    pub(crate) with_bands: bool,
    /// The published ceiling of growth, as age and weight.
    pub(crate) ceiling: Vec<(f64, f64)>,
    pub(crate) events: Vec<ChartEvent>,
    pub(crate) thresholds: Vec<ChartThreshold>,
}

/// Draws the growth of a litter: every pup's weights, and dashed what is expected of it.
///
/// Weights are in grams, ages in days. Pups without weights are left out; an empty litter gives a picture that
/// says so.
pub fn litter_growth_svg(
    title: &str,
    growth: &LitterGrowth,
    forecast: Option<&LitterForecast>,
    events: &[ChartEvent],
) -> String {
    let lines: Vec<ChartLine> = growth
        .pups
        .iter()
        .filter(|pup| pup.last.is_some())
        .map(|pup| line(pup, forecast))
        .collect();
    drawing::draw(&Chart {
        title: title.to_owned(),
        description: format!("Weights of {} pups by day of age.", lines.len()),
        born_on: growth.pups.iter().map(|pup| pup.born_on).min(),
        lines,
        with_bands: false,
        ceiling: Vec::new(),
        events: events.to_vec(),
        thresholds: Vec::new(),
    })
}

/// Draws the growth of one pup of a litter: weights, forecast band of 95 %, birth weight and its double,
/// and the published ceiling to day 21. `None` when it is not of the litter.
pub fn pup_growth_svg(
    title: &str,
    dog_id: Uuid,
    growth: &LitterGrowth,
    forecast: Option<&LitterForecast>,
    events: &[ChartEvent],
    thresholds: &[ChartThreshold],
) -> Option<String> {
    let pup = growth.pups.iter().find(|pup| pup.dog_id == dog_id)?;
    let mut marks = thresholds.to_vec();
    let mut ceiling = Vec::new();
    if let Some(birth) = pup.birth_weight_g {
        marks
            .push(ChartThreshold { weight_g: birth * 2.0, label: "twice birth weight".to_owned() });
        let curve = &growth_norms().upper_reference;
        let last = pup.last.map_or(0.0, |p| p.age_days).max(7.0).ceil() as i32;
        ceiling = (0..=last)
            .map(f64::from)
            .filter_map(|day| Some((day, birth * curve.multiple(day)?)))
            .collect();
    }
    let drawn = line(pup, forecast);
    let description = match pup.last {
        Some(last) => format!("{}: {:.0} g on {}.", pup.label, last.weight_g, last.day),
        None => format!("{}: not weighed yet.", pup.label),
    };
    Some(drawing::draw(&Chart {
        title: title.to_owned(),
        description,
        born_on: Some(pup.born_on),
        lines: vec![drawn],
        with_bands: true,
        ceiling,
        events: events.to_vec(),
        thresholds: marks,
    }))
}

fn line(pup: &PupGrowth, forecast: Option<&LitterForecast>) -> ChartLine {
    let days = forecast
        .and_then(|f| f.pups.iter().find(|p| p.dog_id == pup.dog_id))
        .map(|p| p.days.as_slice())
        .unwrap_or_default();
    let last_age = pup.last.map_or(-1.0, |p| p.age_days);
    ChartLine {
        label: pup.label.clone(),
        weighed: pup.days.iter().map(|d| (d.weight.age_days, d.weight.weight_g)).collect(),
        forecast: days
            .iter()
            .filter(|d| pup.present && d.age_days as f64 >= last_age)
            .map(|d| (d.age_days as f64, [d.weight_g, d.low_g, d.high_g]))
            .collect(),
    }
}

#[cfg(test)]
mod tests;
