//! The growth of a pup or a litter as a picture (SVG), for a phone, a wall and paper.
//!
//! A pup's line is of the colour of its collar. Pups are told apart by marker, dash and a name at the end of
//! the line, never by colour alone; the picture follows the viewer's light or dark scheme and prints light.

mod drawing;
mod labels;
mod paint;
mod scale;

use crate::dates;
pub use crate::words::health_kind;
use catalogue::{Text, said};
use chrono::NaiveDate;
use domain::growth::standards::growth_norms;
use domain::growth::{LitterForecast, LitterGrowth, PupGrowth};
use domain::units::{WeightUnit, weight_in_words};
use scale::Frame;
use std::collections::BTreeMap;
use uuid::Uuid;

/// Something that happened or is planned, shown as a line across the days.
#[derive(Debug, Clone, PartialEq)]
pub struct ChartEvent {
    /// Age in days.
    pub age_days: f64,
    /// A word or two.
    pub label: Text,
}

/// A weight worth a line of its own.
#[derive(Debug, Clone, PartialEq)]
pub struct ChartThreshold {
    /// Weight in grams.
    pub weight_g: f64,
    /// A word or two.
    pub label: Text,
}

/// What a picture shows beside the weights.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Beside {
    /// What is expected.
    pub forecast: Option<LitterForecast>,
    /// What happened or is planned.
    pub events: Vec<ChartEvent>,
    /// Weights worth a line of their own; of one pup alone.
    pub thresholds: Vec<ChartThreshold>,
    /// The collar of each pup that has one.
    pub collars: BTreeMap<Uuid, String>,
    /// In what weights are read.
    pub unit: WeightUnit,
    /// Whether it is for the width of a page, and not for a phone.
    pub wide: bool,
}

impl Beside {
    fn frame(&self) -> Frame {
        if self.wide { Frame::WIDE } else { Frame::TALL }
    }
}

/// The weights of one pup.
#[derive(Debug, Clone, PartialEq)]
struct ChartLine {
    label: String,
    collar: Option<String>,
    /// Age in days and weight in grams.
    weighed: Vec<(f64, f64)>,
    /// Age in days; middle, lower and upper weight in grams.
    forecast: Vec<(f64, [f64; 3])>,
}

/// All that is drawn.
#[derive(Debug, Clone, PartialEq)]
struct Chart {
    frame: Frame,
    title: String,
    description: Text,
    born_on: Option<NaiveDate>,
    lines: Vec<ChartLine>,
    unit: WeightUnit,
    with_bands: bool,
    /// The published ceiling of growth, as age and weight.
    ceiling: Vec<(f64, f64)>,
    events: Vec<ChartEvent>,
    thresholds: Vec<ChartThreshold>,
}

/// Draws the growth of a litter, with words of the language that is spoken: every pup's weights, and dashed what is expected of it.
///
/// Weights are in grams and read in the unit that is wanted, ages in days. Pups without weights are left
/// out; an empty litter gives a picture that says so.
pub fn litter_growth_svg(title: &str, growth: &LitterGrowth, beside: &Beside) -> String {
    let pups = growth.pups.iter().filter(|pup| pup.last.is_some());
    let lines: Vec<ChartLine> = pups.map(|pup| line(pup, beside)).collect();
    drawing::draw(&Chart {
        frame: beside.frame(),
        title: title.to_owned(),
        description: said!("print-chart-litter", pups = lines.len()),
        born_on: growth.pups.iter().map(|pup| pup.born_on).min(),
        unit: beside.unit,
        lines,
        with_bands: false,
        ceiling: Vec::new(),
        events: beside.events.clone(),
        thresholds: Vec::new(),
    })
}

/// Draws the growth of one pup of a litter: weights, forecast band of 95 %, birth weight and its double,
/// and the published ceiling to day 21. `None` when it is not of the litter.
pub fn pup_growth_svg(
    title: &str,
    dog_id: Uuid,
    growth: &LitterGrowth,
    beside: &Beside,
) -> Option<String> {
    let pup = growth.pups.iter().find(|pup| pup.dog_id == dog_id)?;
    let mut marks = beside.thresholds.clone();
    let mut ceiling = Vec::new();
    if let Some(birth) = pup.birth_weight_g {
        let label = said!("print-chart-twice");
        marks.push(ChartThreshold { weight_g: birth * 2.0, label });
        let curve = &growth_norms().upper_reference;
        let last = pup.last.map_or(0.0, |p| p.age_days).max(7.0).ceil() as i32;
        ceiling = (0..=last)
            .map(f64::from)
            .filter_map(|day| Some((day, birth * curve.multiple(day)?)))
            .collect();
    }
    let description = match pup.last {
        Some(last) => {
            let weight = weight_in_words(last.weight_g, beside.unit);
            let on = dates::day(last.day);
            said!("print-chart-pup", pup = &pup.label, weight = weight, on = on)
        }
        None => said!("print-chart-not-weighed", pup = &pup.label),
    };
    Some(drawing::draw(&Chart {
        frame: beside.frame(),
        title: title.to_owned(),
        description,
        born_on: Some(pup.born_on),
        unit: beside.unit,
        lines: vec![line(pup, beside)],
        with_bands: true,
        ceiling,
        events: beside.events.clone(),
        thresholds: marks,
    }))
}

fn line(pup: &PupGrowth, beside: &Beside) -> ChartLine {
    let forecast = beside.forecast.iter().flat_map(|forecast| &forecast.pups);
    let days = forecast.filter(|ahead| ahead.dog_id == pup.dog_id).flat_map(|ahead| &ahead.days);
    let last_age = pup.last.map_or(-1.0, |p| p.age_days);
    ChartLine {
        label: pup.label.to_string(),
        collar: beside.collars.get(&pup.dog_id).cloned(),
        weighed: pup.days.iter().map(|d| (d.weight.age_days, d.weight.weight_g)).collect(),
        forecast: days
            .filter(|d| pup.present && d.age_days as f64 >= last_age)
            .map(|d| (d.age_days as f64, [d.weight_g, d.low_g, d.high_g]))
            .collect(),
    }
}

#[cfg(test)]
mod tests;
