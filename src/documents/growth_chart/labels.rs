//! Words on the picture, of which none stands on another.

use crate::pdf::{Weight, width};
use std::fmt::Write as _;

/// Above and below the line that letters stand on, for a size of 1: the widest of the fonts that are taken.
const ASCENT: f64 = 0.95;
const DESCENT: f64 = 0.25;
/// Size of small letters.
pub(super) const SMALL: f64 = 12.0;
/// Height of a line of small letters.
pub(super) const LINE: f64 = 15.0;

/// Which end of a text its place is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Anchor {
    Start,
    Middle,
    End,
}

/// Where a text may stand.
#[derive(Debug, Clone, Copy)]
pub(super) struct Place {
    pub(super) x: f64,
    pub(super) y: f64,
    pub(super) anchor: Anchor,
}

impl Place {
    pub(super) fn new(x: f64, y: f64, anchor: Anchor) -> Self {
        Self { x, y, anchor }
    }
}

#[derive(Debug, Clone, Copy)]
struct Area {
    left: f64,
    right: f64,
    top: f64,
    bottom: f64,
}

impl Area {
    fn meets(&self, other: &Self) -> bool {
        self.left < other.right
            && other.left < self.right
            && self.top < other.bottom
            && other.top < self.bottom
    }
}

/// The words that stand on the picture already.
#[derive(Debug, Default)]
pub(super) struct Labels(Vec<Area>);

impl Labels {
    /// Writes a small text at its place, whatever stands there.
    pub(super) fn put(&mut self, svg: &mut String, class: &str, text: &str, place: Place) {
        self.0.push(area(text, SMALL, place));
        write_text(svg, &format!("{class} small"), text, place);
    }

    /// Writes a small text at the first of the places where it covers no other; not at all without one.
    pub(super) fn put_first(&mut self, svg: &mut String, text: &str, places: &[Place]) {
        let is_free =
            |place: &&Place| !self.0.iter().any(|taken| taken.meets(&area(text, SMALL, **place)));
        if let Some(place) = places.iter().find(is_free) {
            self.put(svg, "soft", text, *place);
        }
    }
}

/// Writes a text that is not among the labels.
pub(super) fn write_text(svg: &mut String, class: &str, text: &str, place: Place) {
    let anchor = match place.anchor {
        Anchor::Start => "start",
        Anchor::Middle => "middle",
        Anchor::End => "end",
    };
    // Writing to a String cannot fail.
    let _ = write!(
        svg,
        r#"<text class="{class}" x="{:.1}" y="{:.1}" text-anchor="{anchor}">{}</text>"#,
        place.x,
        place.y,
        escape(text)
    );
}

/// How long a text is; what is larger than small is bold.
fn length(text: &str, size: f64) -> f64 {
    let weight = if size > SMALL { Weight::Bold } else { Weight::Regular };
    f64::from(width(text, weight)) * size
}

/// Whether a text ends before this place, to the right or to the left of where it begins.
pub(super) fn fits(text: &str, from: f64, to: f64) -> bool {
    length(text, SMALL) <= (to - from).abs()
}

/// As much of a text as fits.
pub(super) fn cut(text: &str, size: f64, room: f64) -> String {
    if length(text, size) <= room {
        return text.to_owned();
    }
    let mut cut: String = text.to_owned();
    while !cut.is_empty() && length(&format!("{cut}…"), size) > room {
        cut.pop();
    }
    format!("{}…", cut.trim_end())
}

fn area(text: &str, size: f64, place: Place) -> Area {
    let long = length(text, size);
    let left = match place.anchor {
        Anchor::Start => place.x,
        Anchor::Middle => place.x - long / 2.0,
        Anchor::End => place.x - long,
    };
    let (top, bottom) = (place.y - ASCENT * size, place.y + DESCENT * size);
    Area { left, right: left + long, top, bottom }
}

/// Text that cannot be taken for markup.
pub(super) fn escape(text: &str) -> String {
    text.chars().filter(|c| !c.is_control()).fold(String::new(), |mut out, c| {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            _ => out.push(c),
        }
        out
    })
}
