//! From days and grams to places on the picture.

use crate::words::number;
use catalogue::{Text, said};
use domain::units::{GRAMS_PER_KILOGRAM, GRAMS_PER_OUNCE, GRAMS_PER_POUND, WeightUnit};

/// The shape of a picture, in its own units, and where its axes stand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Frame {
    pub(super) width: f64,
    pub(super) height: f64,
    pub(super) left: f64,
    pub(super) right: f64,
    pub(super) top: f64,
    pub(super) bottom: f64,
}

impl Frame {
    /// For a phone, which shows about three quarters of a unit to a pixel.
    pub(super) const TALL: Self = Self::of(480.0, 520.0);
    /// For paper, over the width of a page.
    pub(super) const WIDE: Self = Self::of(720.0, 400.0);

    const fn of(width: f64, height: f64) -> Self {
        let (right, bottom) = (width - 112.0, height - 68.0);
        Self { width, height, left: 52.0, right, top: 64.0, bottom }
    }

    pub(super) fn middle(&self) -> f64 {
        f64::midpoint(self.left, self.right)
    }
}

/// In what a weight axis is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum ReadIn {
    Grams,
    Kilograms,
    Ounces,
    Pounds,
}

/// The unit of the weight axis.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct AxisUnit {
    read_in: ReadIn,
    /// Grams of one.
    grams: f64,
    /// Digits behind the point of a mark.
    digits: u8,
}

impl AxisUnit {
    /// The unit in which a kennel reads an axis up to so many grams: small pups have ounces.
    fn of(unit: WeightUnit, top_g: f64) -> Self {
        match unit {
            WeightUnit::G => Self { read_in: ReadIn::Grams, grams: 1.0, digits: 0 },
            WeightUnit::Kg => {
                Self { read_in: ReadIn::Kilograms, grams: GRAMS_PER_KILOGRAM, digits: 0 }
            }
            WeightUnit::LbOz if top_g < 2.0 * GRAMS_PER_POUND => {
                Self { read_in: ReadIn::Ounces, grams: GRAMS_PER_OUNCE, digits: 0 }
            }
            WeightUnit::LbOz => Self { read_in: ReadIn::Pounds, grams: GRAMS_PER_POUND, digits: 0 },
        }
    }

    /// What stands above the axis: its unit, and what the lines mean.
    pub(super) fn heading(self) -> Text {
        match self.read_in {
            ReadIn::Grams => said!("print-chart-in-grams"),
            ReadIn::Kilograms => said!("print-chart-in-kilograms"),
            ReadIn::Ounces => said!("print-chart-in-ounces"),
            ReadIn::Pounds => said!("print-chart-in-pounds"),
        }
    }

    /// A mark of the axis.
    pub(super) fn figure(self, weight_g: f64) -> String {
        number(weight_g / self.grams, self.digits)
    }
}

/// The scales of a picture.
pub(super) struct Scale {
    pub(super) frame: Frame,
    pub(super) unit: AxisUnit,
    pub(super) last_day: f64,
    pub(super) top_g: f64,
    pub(super) step_g: f64,
    pub(super) step_days: f64,
}

impl Scale {
    /// Round scales that hold every age and weight given.
    pub(super) fn of(frame: Frame, last_day: f64, top_g: f64, unit: WeightUnit) -> Self {
        let top_g = top_g.max(100.0);
        let unit = AxisUnit::of(unit, top_g);
        let step = round_step(top_g / unit.grams / 5.0);
        let step_g = step * unit.grams;
        // As many digits as the step has: 0.5 one, 0.05 two.
        let digits = (0..3u8).find(|digits| step * 10f64.powi((*digits).into()) >= 1.0 - 1e-9);
        let unit = AxisUnit { digits: digits.unwrap_or(3), ..unit };
        let step_days = match last_day {
            d if d <= 10.0 => 1.0,
            d if d <= 63.0 => 7.0,
            _ => 14.0,
        };
        let last_day = (last_day.max(7.0) / step_days).ceil() * step_days;
        let top_g = (top_g / step_g - 1e-9).ceil() * step_g;
        Self { frame, unit, last_day, top_g, step_g, step_days }
    }

    pub(super) fn x(&self, age_days: f64) -> f64 {
        self.frame.left + (self.frame.right - self.frame.left) * age_days / self.last_day
    }

    pub(super) fn y(&self, weight_g: f64) -> f64 {
        self.frame.bottom - (self.frame.bottom - self.frame.top) * weight_g / self.top_g
    }

    /// Marks of the weight axis from 0 up.
    pub(super) fn weights(&self) -> impl Iterator<Item = f64> {
        marks(self.top_g, self.step_g)
    }

    /// Marks of the day axis from 0 on.
    pub(super) fn days(&self) -> impl Iterator<Item = f64> {
        marks(self.last_day, self.step_days)
    }
}

fn marks(last: f64, step: f64) -> impl Iterator<Item = f64> {
    let count = (last / step).round() as u32;
    (0..=count).map(move |k| f64::from(k) * step)
}

/// The next of 1, 2, 5 times a power of ten.
fn round_step(rough: f64) -> f64 {
    let power = 10f64.powf(rough.log10().floor());
    [1.0, 2.0, 5.0, 10.0].map(|k| k * power).into_iter().find(|s| *s >= rough).unwrap_or(rough)
}

/// Places for labels at wanted heights, at least `gap` apart and between the axes, in the order given.
pub(super) fn spread(wanted: &[f64], gap: f64, frame: Frame) -> Vec<f64> {
    let mut order: Vec<usize> = (0..wanted.len()).collect();
    order.sort_by(|a, b| wanted[*a].total_cmp(&wanted[*b]));
    let mut placed = wanted.to_vec();
    let mut lowest = frame.top;
    for index in &order {
        placed[*index] = placed[*index].max(lowest);
        lowest = placed[*index] + gap;
    }
    // What ran over the lower edge is pushed back up.
    let mut highest = frame.bottom;
    for index in order.iter().rev() {
        placed[*index] = placed[*index].min(highest);
        highest = placed[*index] - gap;
    }
    placed
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scales_are_round_and_hold_everything() {
        for (day, top, want_day, want_top, step) in [
            (3.0, 430.0, 7.0, 500.0, 100.0),
            (21.0, 1630.0, 21.0, 2000.0, 500.0),
            (56.0, 6100.0, 56.0, 8000.0, 2000.0),
            (80.0, 12_000.0, 84.0, 15_000.0, 5000.0),
        ] {
            let scale = Scale::of(Frame::TALL, day, top, WeightUnit::G);
            assert_eq!((scale.last_day, scale.top_g, scale.step_g), (want_day, want_top, step));
            let Frame { top: edge, right, .. } = Frame::TALL;
            assert!(scale.y(top) >= edge && scale.x(day) <= right);
        }
    }

    #[test]
    fn labels_never_overlap() {
        let Frame { top, bottom, .. } = Frame::TALL;
        let placed = spread(&[100.0, 101.0, 102.0, 451.0, 452.0], 15.0, Frame::TALL);
        let mut sorted = placed.clone();
        sorted.sort_by(f64::total_cmp);
        assert!(sorted.windows(2).all(|pair| pair[1] - pair[0] >= 14.999), "{placed:?}");
        assert!(placed.iter().all(|y| (top..=bottom).contains(y)));
    }
}
