//! From days and grams to places on the picture.

/// Width of the picture in its own units; a phone shows about three quarters of one to a pixel.
pub(super) const WIDTH: f64 = 480.0;
/// Height of the picture.
pub(super) const HEIGHT: f64 = 520.0;
pub(super) const LEFT: f64 = 52.0;
pub(super) const RIGHT: f64 = 384.0;
pub(super) const TOP: f64 = 64.0;
pub(super) const BOTTOM: f64 = 452.0;

/// The scales of a picture.
pub(super) struct Scale {
    pub(super) last_day: f64,
    pub(super) top_g: f64,
    pub(super) step_g: f64,
    pub(super) step_days: f64,
}

impl Scale {
    /// Round scales that hold every age and weight given.
    pub(super) fn of(last_day: f64, top_g: f64) -> Self {
        let step_g = round_step(top_g.max(100.0) / 5.0);
        let step_days = match last_day {
            d if d <= 10.0 => 1.0,
            d if d <= 63.0 => 7.0,
            _ => 14.0,
        };
        let last_day = (last_day.max(7.0) / step_days).ceil() * step_days;
        Self { last_day, top_g: (top_g.max(100.0) / step_g).ceil() * step_g, step_g, step_days }
    }

    pub(super) fn x(&self, age_days: f64) -> f64 {
        LEFT + (RIGHT - LEFT) * age_days / self.last_day
    }

    pub(super) fn y(&self, weight_g: f64) -> f64 {
        BOTTOM - (BOTTOM - TOP) * weight_g / self.top_g
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

/// Places for labels at wanted heights, at least `gap` apart and inside the picture, in the order given.
pub(super) fn spread(wanted: &[f64], gap: f64) -> Vec<f64> {
    let mut order: Vec<usize> = (0..wanted.len()).collect();
    order.sort_by(|a, b| wanted[*a].total_cmp(&wanted[*b]));
    let mut placed = wanted.to_vec();
    let mut lowest = TOP;
    for index in &order {
        placed[*index] = placed[*index].max(lowest);
        lowest = placed[*index] + gap;
    }
    // What ran over the lower edge is pushed back up.
    let mut highest = BOTTOM;
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
            let scale = Scale::of(day, top);
            assert_eq!((scale.last_day, scale.top_g, scale.step_g), (want_day, want_top, step));
            assert!(scale.y(top) >= TOP && scale.x(day) <= RIGHT);
        }
    }

    #[test]
    fn labels_never_overlap() {
        let placed = spread(&[100.0, 101.0, 102.0, 451.0, 452.0], 15.0);
        let mut sorted = placed.clone();
        sorted.sort_by(f64::total_cmp);
        assert!(sorted.windows(2).all(|pair| pair[1] - pair[0] >= 14.999), "{placed:?}");
        assert!(placed.iter().all(|y| (TOP..=BOTTOM).contains(y)));
    }
}
