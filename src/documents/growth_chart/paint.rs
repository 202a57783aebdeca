//! How each line looks: the colour of its collar, and what tells it from others of that colour.

use super::ChartLine;
use domain::whelping::collar_colours;
use std::fmt::Write as _;

/// Grounds of the two schemes.
pub(super) const GROUND: [&str; 2] = ["#ffffff", "#16181b"];
/// The outline of a colour that is too close to the ground.
const RIM: [&str; 2] = ["#555555", "#bbbbbb"];
/// Colours for pups without a collar of the standard ones, which people with any colour vision tell apart
/// (Okabe and Ito 2008, Color universal design): one row for light ground, one for dark.
const LIGHT: [&str; 6] = ["#0072b2", "#b34700", "#006b4f", "#8a3a6e", "#7a5a00", "#333333"];
const DARK: [&str; 6] = ["#56b4e9", "#ffa25c", "#4fd6ae", "#e39cc6", "#f0e442", "#dddddd"];
/// Shapes of the marker, and what is left when a colour has worn all of them.
pub(super) const MARKERS: usize = 6;
const DASHES: [&str; 3] = ["none", "7 3", "2 3"];
/// Contrast that a line needs against the ground (WCAG 2.2, 1.4.11).
const ENOUGH: f64 = 3.0;

/// A colour on light and on dark ground.
type Colour = [String; 2];

/// How a line looks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Look {
    /// Number of its colour.
    pub(super) colour: usize,
    /// Number of the colour of its second band.
    pub(super) second: Option<usize>,
    /// Shape of its marker.
    pub(super) marker: usize,
    pub(super) dash: &'static str,
    /// Whether a rim is drawn on some ground.
    pub(super) has_rim: bool,
}

/// How all lines of a picture look.
#[derive(Debug, Default)]
pub(super) struct Looks {
    colours: Vec<Colour>,
    pub(super) of: Vec<Look>,
}

impl Looks {
    pub(super) fn of(lines: &[ChartLine]) -> Self {
        let mut looks = Self::default();
        for (index, line) in lines.iter().enumerate() {
            let bands = line.collar.as_deref().map(collar_colours).unwrap_or_default();
            let both = |colour: &&str| [(*colour).to_owned(), (*colour).to_owned()];
            let own = || [LIGHT, DARK].map(|row| row[index % LIGHT.len()].to_owned());
            let colour = looks.number(bands.first().map_or_else(own, both));
            let second = bands.get(1).map(|colour| looks.number(both(colour)));
            let look = looks.told_apart(colour, second, index);
            looks.of.push(look);
        }
        looks
    }

    fn number(&mut self, colour: Colour) -> usize {
        let known = self.colours.iter().position(|known| *known == colour);
        known.unwrap_or_else(|| {
            self.colours.push(colour);
            self.colours.len() - 1
        })
    }

    /// The marker at its turn, unless another line of these colours has it.
    fn told_apart(&self, colour: usize, second: Option<usize>, index: usize) -> Look {
        let has_rim = self.rims(colour).iter().any(|rim| *rim);
        let look = |n: usize| Look {
            colour,
            second,
            marker: (index + n) % MARKERS,
            dash: DASHES[n / MARKERS % DASHES.len()],
            has_rim,
        };
        let is_free = |look: &Look| !self.of.contains(look);
        (0..MARKERS * DASHES.len()).map(look).find(is_free).unwrap_or_else(|| look(0))
    }

    /// Whether a colour needs a rim on light and on dark ground.
    fn rims(&self, colour: usize) -> [bool; 2] {
        [0, 1].map(|k| contrast(&self.colours[colour][k], GROUND[k]) < ENOUGH)
    }

    /// The rules of one scheme: 0 for light, 1 for dark.
    pub(super) fn css(&self, scheme: usize) -> String {
        let mut css = String::new();
        for (k, colour) in self.colours.iter().enumerate() {
            let rim = if self.rims(k)[scheme] { RIM[scheme] } else { "none" };
            let colour = &colour[scheme];
            // Writing to a String cannot fail.
            let _ =
                write!(css, ".c{k}{{stroke:{colour}}}.f{k}{{fill:{colour}}}.r{k}{{stroke:{rim}}}");
        }
        css
    }
}

/// The contrast of two colours (WCAG 2.2: 1 for the same, 21 for black on white).
pub(super) fn contrast(a: &str, b: &str) -> f64 {
    let (a, b) = (luminance(a), luminance(b));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

fn luminance(colour: &str) -> f64 {
    let part = |at: usize| {
        let digits = colour.get(at..at + 2).unwrap_or("00");
        let value = f64::from(u8::from_str_radix(digits, 16).unwrap_or(0)) / 255.0;
        if value <= 0.04045 { value / 12.92 } else { ((value + 0.055) / 1.055).powf(2.4) }
    };
    0.2126 * part(1) + 0.7152 * part(3) + 0.0722 * part(5)
}
