//! The picture itself.

use super::scale::{BOTTOM, HEIGHT, LEFT, RIGHT, Scale, TOP, WIDTH, spread};
use super::{Chart, ChartLine};
use chrono::Duration;
use std::fmt::Write;

/// Colours that people with any colour vision tell apart (Okabe and Ito 2008, Color universal design), one
/// row for light ground, one for dark.
const LIGHT: [&str; 6] = ["#0072b2", "#b34700", "#006b4f", "#8a3a6e", "#7a5a00", "#333333"];
const DARK: [&str; 6] = ["#56b4e9", "#ffa25c", "#4fd6ae", "#e39cc6", "#f0e442", "#dddddd"];
const DASHES: [&str; 3] = ["none", "7 3", "2 3"];
const MARKERS: usize = 6;
const LABEL_GAP: f64 = 15.0;

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
    let scale = Scale::of(ages.fold(0.0, f64::max), weights.fold(0.0, f64::max) * 1.02);
    let mut svg = String::new();
    // Writing to a String cannot fail.
    let _ = open(&mut svg, chart);
    let _ = axes(&mut svg, chart, &scale);
    let _ = marks(&mut svg, chart, &scale);
    for (index, line) in chart.lines.iter().enumerate() {
        let _ = pup(&mut svg, line, index, chart.with_bands, &scale);
    }
    let _ = names(&mut svg, chart, &scale);
    if chart.lines.is_empty() {
        let _ = write!(
            svg,
            r#"<text class="ink" x="{}" y="{}" text-anchor="middle">No weights yet</text>"#,
            (LEFT + RIGHT) / 2.0,
            (TOP + BOTTOM) / 2.0
        );
    }
    svg.push_str("</svg>\n");
    svg
}

fn open(svg: &mut String, chart: &Chart) -> std::fmt::Result {
    let colours = |of: &[&str; 6]| {
        of.iter().enumerate().fold(String::new(), |mut css, (k, colour)| {
            let _ = write!(css, ".c{k}{{stroke:{colour}}}.f{k}{{fill:{colour}}}");
            css
        })
    };
    let light = ".ground{fill:#fff}.ink{fill:#1a1a1a}.soft{fill:#555}.axis{stroke:#333}.grid{stroke:#ddd}.mark{stroke:#666}";
    let dark = ".ground{fill:#16181b}.ink{fill:#eee}.soft{fill:#b5b5b5}.axis{stroke:#ccc}.grid{stroke:#33373c}.mark{stroke:#999}";
    write!(
        svg,
        r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" width="100%" role="img" aria-labelledby="t d"><title id="t">{}</title><desc id="d">{}</desc><style>"#,
        escape(&chart.title),
        escape(&chart.description)
    )?;
    write!(
        svg,
        "text{{font:14px system-ui,sans-serif}}.small{{font-size:12px}}.head{{font-size:17px;font-weight:600}}.line{{fill:none;stroke-width:2}}.band{{fill-opacity:.16;stroke:none}}.edge{{fill:none;stroke-width:1;stroke-dasharray:1 3}}.ahead{{fill:none;stroke-width:1.5;stroke-dasharray:5 4}}.axis{{stroke-width:1.2}}.mark{{stroke-dasharray:2 4}}.dot{{stroke-width:1.6}}{light}{}",
        colours(&LIGHT)
    )?;
    write!(
        svg,
        "@media screen and (prefers-color-scheme:dark){{{dark}{}}}</style>",
        colours(&DARK)
    )?;
    write!(
        svg,
        r#"<rect class="ground" width="{WIDTH}" height="{HEIGHT}"/><text class="ink head" x="12" y="26">{}</text><text class="soft small" x="12" y="46">weight in grams (dots: weighed; dashed: expected)</text>"#,
        escape(&chart.title)
    )
}

fn axes(svg: &mut String, chart: &Chart, scale: &Scale) -> std::fmt::Result {
    for weight in scale.weights() {
        let y = scale.y(weight);
        write!(
            svg,
            r#"<line class="grid" x1="{LEFT}" x2="{RIGHT}" y1="{y:.1}" y2="{y:.1}"/><text class="ink small" x="{}" y="{:.1}" text-anchor="end">{weight:.0}</text>"#,
            LEFT - 6.0,
            y + 4.0
        )?;
    }
    for day in scale.days() {
        let x = scale.x(day);
        write!(
            svg,
            r#"<line class="grid" x1="{x:.1}" x2="{x:.1}" y1="{TOP}" y2="{BOTTOM}"/><text class="ink small" x="{x:.1}" y="{}" text-anchor="middle">{day:.0}</text>"#,
            BOTTOM + 17.0
        )?;
    }
    // Dates under the first, middle and last mark: more would run into one another on a phone.
    if let Some(born) = chart.born_on {
        let middle = (scale.last_day / scale.step_days / 2.0).floor() * scale.step_days;
        for day in [0.0, middle, scale.last_day] {
            let date = born + Duration::days(day as i64);
            write!(
                svg,
                r#"<text class="soft small" x="{:.1}" y="{}" text-anchor="middle">{}</text>"#,
                scale.x(day),
                BOTTOM + 34.0,
                date.format("%d %b")
            )?;
        }
    }
    write!(
        svg,
        r#"<line class="axis" x1="{LEFT}" x2="{RIGHT}" y1="{BOTTOM}" y2="{BOTTOM}"/><line class="axis" x1="{LEFT}" x2="{LEFT}" y1="{TOP}" y2="{BOTTOM}"/><text class="ink small" x="{}" y="{}" text-anchor="middle">age in days</text>"#,
        (LEFT + RIGHT) / 2.0,
        BOTTOM + 54.0
    )
}

/// Width of a letter of the small size, on the wide side.
const SMALL_LETTER: f64 = 7.0;

/// The first row in which a label from one place to another covers none that stands there already.
fn free_row(rows: &mut Vec<Vec<(f64, f64)>>, from: f64, to: f64) -> usize {
    let is_free =
        |row: &Vec<(f64, f64)>| row.iter().all(|(left, right)| to < *left || from > *right);
    let found = rows.iter().position(is_free).unwrap_or(rows.len());
    if found == rows.len() {
        rows.push(Vec::new());
    }
    rows[found].push((from, to));
    found
}

/// Events, thresholds and the published ceiling.
fn marks(svg: &mut String, chart: &Chart, scale: &Scale) -> std::fmt::Result {
    let mut rows: Vec<Vec<(f64, f64)>> = Vec::new();
    for event in &chart.events {
        if !(0.0..=scale.last_day).contains(&event.age_days) {
            continue;
        }
        let x = scale.x(event.age_days);
        let width = SMALL_LETTER * event.label.chars().count() as f64;
        let (anchor, at, from) = if x + width > RIGHT {
            ("end", x - 3.0, x - 3.0 - width)
        } else {
            ("start", x + 3.0, x + 3.0)
        };
        let row = free_row(&mut rows, from, from + width);
        let y = TOP + 12.0 + 14.0 * row as f64;
        write!(
            svg,
            r#"<line class="mark" x1="{x:.1}" x2="{x:.1}" y1="{TOP}" y2="{BOTTOM}"/><text class="soft small" x="{at:.1}" y="{y:.1}" text-anchor="{anchor}">{}</text>"#,
            escape(&event.label)
        )?;
    }
    for mark in chart.thresholds.iter().filter(|mark| mark.weight_g <= scale.top_g) {
        let y = scale.y(mark.weight_g);
        write!(
            svg,
            r#"<line class="mark" x1="{LEFT}" x2="{RIGHT}" y1="{y:.1}" y2="{y:.1}"/><text class="soft small" x="{}" y="{:.1}" text-anchor="end">{} {:.0} g</text>"#,
            RIGHT - 4.0,
            y - 4.0,
            escape(&mark.label),
            mark.weight_g
        )?;
    }
    let ceiling: Vec<(f64, f64)> =
        chart.ceiling.iter().copied().filter(|p| p.1 <= scale.top_g).collect();
    if let Some(last) = ceiling.last().filter(|_| ceiling.len() > 1) {
        write!(
            svg,
            r#"<path class="mark" fill="none" d="{}"/><text class="soft small" x="{:.1}" y="{:.1}" text-anchor="end">published ceiling</text>"#,
            path(&ceiling, scale),
            scale.x(last.0).max(LEFT + 104.0) - 4.0,
            scale.y(last.1) - 6.0
        )?;
    }
    Ok(())
}

fn pup(
    svg: &mut String,
    line: &ChartLine,
    index: usize,
    with_band: bool,
    scale: &Scale,
) -> std::fmt::Result {
    let colour = index % LIGHT.len();
    let dash = DASHES[index / LIGHT.len() % DASHES.len()];
    if with_band && line.forecast.len() > 1 {
        let low: Vec<_> = line.forecast.iter().map(|p| (p.0, p.1[1])).collect();
        let high: Vec<_> = line.forecast.iter().map(|p| (p.0, p.1[2])).collect();
        let around: Vec<_> = high.iter().chain(low.iter().rev()).copied().collect();
        write!(
            svg,
            r#"<path class="band f{colour}" d="{}Z"/><path class="edge c{colour}" d="{}"/><path class="edge c{colour}" d="{}"/>"#,
            path(&around, scale),
            path(&low, scale),
            path(&high, scale)
        )?;
        if let Some((age, [_, low_g, _])) = line.forecast.last() {
            write!(
                svg,
                r#"<text class="soft small" x="{:.1}" y="{:.1}" text-anchor="end">19 of 20 weighings</text>"#,
                scale.x(*age) - 4.0,
                (scale.y(*low_g) + 34.0).min(BOTTOM - 4.0)
            )?;
        }
    }
    let ahead: Vec<_> = line.forecast.iter().map(|p| (p.0, p.1[0])).collect();
    if ahead.len() > 1 {
        write!(svg, r#"<path class="ahead c{colour}" d="{}"/>"#, path(&ahead, scale))?;
    }
    if line.weighed.len() > 1 {
        write!(
            svg,
            r#"<path class="line c{colour}" stroke-dasharray="{dash}" d="{}"/>"#,
            path(&line.weighed, scale)
        )?;
    }
    for (age, weight) in &line.weighed {
        marker(svg, scale.x(*age), scale.y(*weight), index)?;
    }
    Ok(())
}

fn marker(svg: &mut String, x: f64, y: f64, index: usize) -> std::fmt::Result {
    let colour = index % LIGHT.len();
    // A colour that comes again comes with another marker.
    let shape = match (index + index / LIGHT.len()) % MARKERS {
        0 => return write!(svg, r#"<circle class="f{colour}" cx="{x:.1}" cy="{y:.1}" r="3.2"/>"#),
        1 => format!("M{:.1} {:.1}h6v6h-6z", x - 3.0, y - 3.0),
        2 => format!("M{x:.1} {:.1}l4 7h-8z", y - 4.0),
        3 => format!("M{x:.1} {:.1}l4 4l-4 4l-4 -4z", y - 4.0),
        4 => {
            let (a, b) = (x - 3.0, y - 3.0);
            let d = format!("M{a:.1} {b:.1}l6 6M{:.1} {b:.1}l-6 6", a + 6.0);
            return write!(svg, r#"<path class="dot c{colour}" fill="none" d="{d}"/>"#);
        }
        _ => {
            let d = format!("M{:.1} {y:.1}h8M{x:.1} {:.1}v8", x - 4.0, y - 4.0);
            return write!(svg, r#"<path class="dot c{colour}" fill="none" d="{d}"/>"#);
        }
    };
    write!(svg, r#"<path class="f{colour}" d="{shape}"/>"#)
}

/// The name of each pup at the end of its line, with its marker and a thread to the line.
fn names(svg: &mut String, chart: &Chart, scale: &Scale) -> std::fmt::Result {
    let end = |line: &ChartLine| {
        let ahead = line.forecast.last().map(|p| (p.0, p.1[0]));
        ahead.or(line.weighed.last().copied()).map(|(age, g)| (scale.x(age), scale.y(g)))
    };
    let ends: Vec<_> = chart.lines.iter().map(|line| end(line).unwrap_or((LEFT, BOTTOM))).collect();
    let places = spread(&ends.iter().map(|e| e.1).collect::<Vec<_>>(), LABEL_GAP);
    for (index, ((line, (x, y)), place)) in chart.lines.iter().zip(&ends).zip(&places).enumerate() {
        let colour = index % LIGHT.len();
        let mut name: String = line.label.chars().take(10).collect();
        if name.chars().count() < line.label.chars().count() {
            name.push('…');
        }
        write!(
            svg,
            r#"<path class="edge c{colour}" d="M{x:.1} {y:.1}L{:.1} {place:.1}"/>"#,
            RIGHT + 8.0
        )?;
        marker(svg, RIGHT + 13.0, *place, index)?;
        write!(
            svg,
            r#"<text class="ink small" x="{}" y="{:.1}">{}</text>"#,
            RIGHT + 20.0,
            place + 4.0,
            escape(&name)
        )?;
    }
    Ok(())
}

fn path(points: &[(f64, f64)], scale: &Scale) -> String {
    points.iter().enumerate().fold(String::new(), |mut d, (k, (age, weight))| {
        let command = if k == 0 { 'M' } else { 'L' };
        let _ = write!(d, "{command}{:.1} {:.1}", scale.x(*age), scale.y(*weight));
        d
    })
}

/// Text that cannot be taken for markup.
fn escape(text: &str) -> String {
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
