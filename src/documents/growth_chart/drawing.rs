//! The picture itself.

use super::labels::{Anchor, LINE, Labels, Place, cut, escape, fits, write_text};
use super::paint::{GROUND, Look, Looks};
use super::scale::{Frame, Scale, spread};
use super::{Chart, ChartLine};
use crate::{dates, words::number};
use catalogue::{said, spoken};
use chrono::Duration;
use domain::units::weight_in_words;
use std::fmt::{Result, Write};

const LABEL_GAP: f64 = 15.0;
/// Rows of events under the upper edge; what finds no place in them is a line without words.
const EVENT_ROWS: u32 = 6;

/// Draws the chart as one SVG document.
pub(super) fn draw(chart: &Chart) -> String {
    let ages = chart
        .lines
        .iter()
        .flat_map(|line| line.weighed.iter().map(|p| p.0).chain(line.forecast.iter().map(|p| p.0)));
    let weights = chart.lines.iter().flat_map(|line| {
        let forecast = line.forecast.iter().map(|p| if chart.with_bands { p.1[2] } else { p.1[0] });
        line.weighed.iter().map(|p| p.1).chain(forecast)
    });
    let top_g = weights.fold(0.0, f64::max) * 1.02;
    let scale = Scale::of(chart.frame, ages.fold(0.0, f64::max), top_g, chart.unit);
    let picture = Picture { chart, scale, looks: Looks::of(&chart.lines) };
    let (mut svg, mut labels) = (String::new(), Labels::default());
    // Writing to a String cannot fail.
    let _ = picture.all(&mut svg, &mut labels);
    svg
}

struct Picture<'c> {
    chart: &'c Chart,
    scale: Scale,
    looks: Looks,
}

impl Picture<'_> {
    fn all(&self, svg: &mut String, labels: &mut Labels) -> Result {
        self.open(svg, labels)?;
        self.axes(svg, labels)?;
        self.events(svg, labels)?;
        self.thresholds(svg, labels)?;
        for (line, look) in self.chart.lines.iter().zip(&self.looks.of) {
            self.pup(svg, labels, line, look)?;
        }
        self.names(svg, labels)?;
        if self.chart.lines.is_empty() {
            let Frame { top, bottom, .. } = self.chart.frame;
            let middle = (self.chart.frame.middle(), f64::midpoint(top, bottom));
            let place = Place::new(middle.0, middle.1, Anchor::Middle);
            write_text(svg, "ink", &said!("print-chart-empty").to_string(), place);
        }
        svg.push_str("</svg>\n");
        Ok(())
    }

    fn open(&self, svg: &mut String, labels: &mut Labels) -> Result {
        let (chart, Frame { width, height, .. }) = (self.chart, self.chart.frame);
        let [light, dark] = GROUND;
        write!(
            svg,
            r#"<svg xmlns="http://www.w3.org/2000/svg" lang="{}" viewBox="0 0 {width} {height}" width="100%" role="img" aria-labelledby="t d"><title id="t">{}</title><desc id="d">{}</desc><style>"#,
            spoken().tag(),
            escape(&chart.title),
            escape(&chart.description.to_string())
        )?;
        svg.push_str(concat!(
            "text{font:14px system-ui,sans-serif}.small{font-size:12px}.head{font-size:17px;font-weight:600}",
            ".line{fill:none;stroke-width:2}.rim{fill:none;stroke-width:3.6}.band{fill:#888;fill-opacity:.16;stroke:none}",
            ".edge{fill:none;stroke:#888;stroke-width:1;stroke-dasharray:1 3}",
            ".ahead{fill:none;stroke-dasharray:5 4}.axis{stroke-width:1.2}.mark{stroke-dasharray:2 4}",
            ".spot{stroke-width:.9}.dot{fill:none;stroke-width:1.8}.under{fill:none;stroke-width:3.4}",
        ));
        write!(
            svg,
            ".ground{{fill:{light}}}.ink{{fill:#1a1a1a}}.soft{{fill:#555}}.axis{{stroke:#333}}.grid{{stroke:#ddd}}.mark{{stroke:#666}}{}",
            self.looks.css(0)
        )?;
        write!(
            svg,
            "@media screen and (prefers-color-scheme:dark){{.ground{{fill:{dark}}}.ink{{fill:#eee}}.soft{{fill:#b5b5b5}}.axis{{stroke:#ccc}}.grid{{stroke:#33373c}}.mark{{stroke:#999}}{}}}</style>",
            self.looks.css(1)
        )?;
        write!(svg, r#"<rect class="ground" width="{width}" height="{height}"/>"#)?;
        let title = cut(&chart.title, 17.0, width - 24.0);
        write_text(svg, "ink head", &title, Place::new(12.0, 26.0, Anchor::Start));
        let says = self.scale.unit.heading().to_string();
        labels.put(svg, "soft", &says, Place::new(12.0, 46.0, Anchor::Start));
        Ok(())
    }

    fn axes(&self, svg: &mut String, labels: &mut Labels) -> Result {
        let (scale, Frame { left, right, top, bottom, .. }) = (&self.scale, self.chart.frame);
        for weight in scale.weights() {
            let y = scale.y(weight);
            write!(
                svg,
                r#"<line class="grid" x1="{left}" x2="{right}" y1="{y:.1}" y2="{y:.1}"/>"#
            )?;
            let place = Place::new(left - 6.0, y + 4.0, Anchor::End);
            labels.put(svg, "ink", &scale.unit.figure(weight), place);
        }
        for day in scale.days() {
            let x = scale.x(day);
            write!(
                svg,
                r#"<line class="grid" x1="{x:.1}" x2="{x:.1}" y1="{top}" y2="{bottom}"/>"#
            )?;
            let place = Place::new(x, bottom + 18.0, Anchor::Middle);
            labels.put(svg, "ink", &number(day, 0), place);
        }
        // Dates under the first, middle and last mark: more would run into one another on a phone.
        if let Some(born) = self.chart.born_on {
            let middle = (scale.last_day / scale.step_days / 2.0).floor() * scale.step_days;
            for day in [0.0, middle, scale.last_day] {
                let date = dates::short(born + Duration::days(day as i64));
                let place = Place::new(scale.x(day), bottom + 36.0, Anchor::Middle);
                labels.put(svg, "soft", &date, place);
            }
        }
        write!(
            svg,
            r#"<line class="axis" x1="{left}" x2="{right}" y1="{bottom}" y2="{bottom}"/><line class="axis" x1="{left}" x2="{left}" y1="{top}" y2="{bottom}"/>"#
        )?;
        let below = Place::new(self.chart.frame.middle(), bottom + 54.0, Anchor::Middle);
        labels.put(svg, "ink", &said!("print-chart-days").to_string(), below);
        Ok(())
    }

    /// What happened or is planned, as lines across the days.
    fn events(&self, svg: &mut String, labels: &mut Labels) -> Result {
        let Frame { left, right, top, bottom, .. } = self.chart.frame;
        for event in &self.chart.events {
            if !(0.0..=self.scale.last_day).contains(&event.age_days) {
                continue;
            }
            let (x, label) = (self.scale.x(event.age_days), event.label.to_string());
            write!(
                svg,
                r#"<line class="mark" x1="{x:.1}" x2="{x:.1}" y1="{top}" y2="{bottom}"/>"#
            )?;
            let rows = (0..EVENT_ROWS).map(|row| top + 13.0 + LINE * f64::from(row));
            let places: Vec<Place> = rows
                .flat_map(|y| {
                    [(x + 3.0, right, Anchor::Start), (x - 3.0, left, Anchor::End)]
                        .map(|of| (y, of))
                })
                .filter(|(_, (x, end, _))| fits(&label, *x, *end))
                .map(|(y, (x, _, anchor))| Place::new(x, y, anchor))
                .collect();
            labels.put_first(svg, &label, &places);
        }
        Ok(())
    }

    /// Weights worth a line of their own, and the published ceiling.
    fn thresholds(&self, svg: &mut String, labels: &mut Labels) -> Result {
        let (scale, Frame { left, right, bottom, .. }) = (&self.scale, self.chart.frame);
        for mark in self.chart.thresholds.iter().filter(|mark| mark.weight_g <= scale.top_g) {
            let y = scale.y(mark.weight_g);
            write!(
                svg,
                r#"<line class="mark" x1="{left}" x2="{right}" y1="{y:.1}" y2="{y:.1}"/>"#
            )?;
            let weight = weight_in_words(mark.weight_g, self.chart.unit);
            let text = format!("{} {weight}", mark.label);
            let sides = [(right - 4.0, Anchor::End), (left + 4.0, Anchor::Start)];
            let heights = [y - 4.0, y + 13.0].into_iter().filter(|y| *y < bottom - 3.0);
            let places: Vec<Place> =
                heights.flat_map(|y| sides.map(|(x, anchor)| Place::new(x, y, anchor))).collect();
            labels.put_first(svg, &text, &places);
        }
        let ceiling: Vec<(f64, f64)> =
            self.chart.ceiling.iter().copied().filter(|p| p.1 <= scale.top_g).collect();
        if ceiling.len() > 1 {
            write!(svg, r#"<path class="mark" fill="none" d="{}"/>"#, self.path(&ceiling))?;
            let text = said!("print-chart-ceiling").to_string();
            let before = ceiling.iter().rev().map(|(age, weight_g)| {
                (scale.x(*age) - 4.0, left + 4.0, scale.y(*weight_g) - 6.0, Anchor::End)
            });
            // Early there is no room before its end.
            let behind = ceiling.last().map(|(age, weight_g)| {
                (scale.x(*age) + 4.0, right - 4.0, scale.y(*weight_g) + 4.0, Anchor::Start)
            });
            let places: Vec<Place> = before
                .filter(|(x, end, ..)| x > end)
                .chain(behind)
                .filter(|(x, end, ..)| fits(&text, *x, *end))
                .map(|(x, _, y, anchor)| Place::new(x, y, anchor))
                .collect();
            labels.put_first(svg, &text, &places);
        }
        Ok(())
    }

    fn pup(&self, svg: &mut String, labels: &mut Labels, line: &ChartLine, look: &Look) -> Result {
        let scale = &self.scale;
        if self.chart.with_bands && line.forecast.len() > 1 {
            let low: Vec<_> = line.forecast.iter().map(|p| (p.0, p.1[1])).collect();
            let high: Vec<_> = line.forecast.iter().map(|p| (p.0, p.1[2])).collect();
            let around: Vec<_> = high.iter().chain(low.iter().rev()).copied().collect();
            write!(
                svg,
                r#"<path class="band" d="{}Z"/><path class="edge" d="{}"/><path class="edge" d="{}"/>"#,
                self.path(&around),
                self.path(&low),
                self.path(&high)
            )?;
            self.share_held(svg, labels, &low);
        }
        // What is expected goes on from what was weighed last.
        let from = line.weighed.last().filter(|_| !line.forecast.is_empty()).copied();
        let ahead = line.forecast.iter().map(|p| (p.0, p.1[0]));
        let ahead: Vec<_> = from.into_iter().chain(ahead).collect();
        self.stroke(svg, &ahead, look, "ahead ")?;
        self.stroke(svg, &line.weighed, look, "")?;
        for (age, weight) in &line.weighed {
            marker(svg, scale.x(*age), scale.y(*weight), look)?;
        }
        Ok(())
    }

    /// What share of weighings the band holds, below its lower edge.
    fn share_held(&self, svg: &mut String, labels: &mut Labels, low: &[(f64, f64)]) {
        let text = said!("print-chart-share").to_string();
        let Frame { left, bottom, .. } = self.chart.frame;
        let places: Vec<Place> = low
            .iter()
            .rev()
            .flat_map(|(age, low_g)| {
                let x = self.scale.x(*age) - 4.0;
                [34.0, 18.0, 50.0, 66.0].map(|below| (x, self.scale.y(*low_g) + below))
            })
            .filter(|(x, y)| fits(&text, left + 4.0, *x) && *x > left && *y < bottom - 3.0)
            .map(|(x, y)| Place::new(x, y, Anchor::End))
            .collect();
        labels.put_first(svg, &text, &places);
    }

    /// A line of the pup's colour, within a rim where the colour alone would not show; a second band as
    /// dashes on the first.
    fn stroke(&self, svg: &mut String, points: &[(f64, f64)], look: &Look, of: &str) -> Result {
        if points.len() < 2 {
            return Ok(());
        }
        let (colour, d) = (look.colour, self.path(points));
        let dash = match (of, look.dash) {
            ("", "none") | ("ahead ", _) => String::new(),
            (_, dash) => format!(r#" stroke-dasharray="{dash}""#),
        };
        if look.has_rim {
            write!(svg, r#"<path class="{of}rim r{colour}"{dash} d="{d}"/>"#)?;
        }
        write!(svg, r#"<path class="{of}line c{colour}"{dash} d="{d}"/>"#)?;
        if let Some(second) = look.second.filter(|_| of.is_empty()) {
            write!(svg, r#"<path class="line c{second}" stroke-dasharray="6 6" d="{d}"/>"#)?;
        }
        Ok(())
    }

    /// The name of each pup at the end of its line, with its marker and a thread to the line.
    fn names(&self, svg: &mut String, labels: &mut Labels) -> Result {
        let (scale, frame) = (&self.scale, self.chart.frame);
        let end = |line: &ChartLine| {
            let ahead = line.forecast.last().map(|p| (p.0, p.1[0]));
            ahead.or(line.weighed.last().copied()).map(|(age, g)| (scale.x(age), scale.y(g)))
        };
        let lines = &self.chart.lines;
        let ends: Vec<_> =
            lines.iter().map(|line| end(line).unwrap_or((frame.left, frame.bottom))).collect();
        let places = spread(&ends.iter().map(|e| e.1).collect::<Vec<_>>(), LABEL_GAP, frame);
        let of_lines = lines.iter().zip(&self.looks.of).zip(ends.iter().zip(&places));
        for ((line, look), ((x, y), place)) in of_lines {
            let Frame { right, width, .. } = frame;
            write!(
                svg,
                r#"<path class="edge" d="M{x:.1} {y:.1}L{:.1} {place:.1}"/>"#,
                right + 8.0
            )?;
            marker(svg, right + 14.0, *place, look)?;
            let from = right + 22.0;
            let name = cut(&line.label, super::labels::SMALL, width - 2.0 - from);
            labels.put(svg, "ink", &name, Place::new(from, place + 4.0, Anchor::Start));
        }
        Ok(())
    }

    fn path(&self, points: &[(f64, f64)]) -> String {
        points.iter().enumerate().fold(String::new(), |mut d, (k, (age, weight))| {
            let command = if k == 0 { 'M' } else { 'L' };
            let _ = write!(d, "{command}{:.1} {:.1}", self.scale.x(*age), self.scale.y(*weight));
            d
        })
    }
}

fn marker(svg: &mut String, x: f64, y: f64, look: &Look) -> Result {
    let Look { colour, second, has_rim, .. } = *look;
    let filled = second.unwrap_or(colour);
    let shape = match look.marker {
        0 => {
            return write!(
                svg,
                r#"<circle class="spot f{filled} r{colour}" cx="{x:.1}" cy="{y:.1}" r="3.2"/>"#
            );
        }
        1 => format!("M{:.1} {:.1}h6v6h-6z", x - 3.0, y - 3.0),
        2 => format!("M{x:.1} {:.1}l4 7h-8z", y - 4.0),
        3 => format!("M{x:.1} {:.1}l4 4l-4 4l-4 -4z", y - 4.0),
        open => {
            let d = if open == 4 {
                let (a, b) = (x - 3.0, y - 3.0);
                format!("M{a:.1} {b:.1}l6 6M{:.1} {b:.1}l-6 6", a + 6.0)
            } else {
                format!("M{:.1} {y:.1}h8M{x:.1} {:.1}v8", x - 4.0, y - 4.0)
            };
            if has_rim {
                write!(svg, r#"<path class="under r{colour}" d="{d}"/>"#)?;
            }
            return write!(svg, r#"<path class="dot c{colour}" d="{d}"/>"#);
        }
    };
    write!(svg, r#"<path class="spot f{filled} r{colour}" d="{shape}"/>"#)
}
