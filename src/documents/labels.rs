//! Labels for collars and folders: codes that a phone reads, and that lead to a pup's record.

use super::{
    dates,
    pdf::{Pages, PaperFormat, PdfError, Weight, width},
    words::{collar, sex},
};
use catalogue::{Text, said};
use chrono::NaiveDate;
use domain::{record::Sex, whelping::collar_colours};
use qrcode::{Color, EcLevel, QrCode};
use std::fmt::Write as _;

/// A pup that gets labels.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LabelledPup {
    /// What it is called.
    pub label: String,
    /// The collar it wears.
    pub collar: Option<String>,
    /// Its sex.
    pub sex: Option<Sex>,
    /// When it was born.
    pub born_on: Option<NaiveDate>,
    /// Its chip.
    pub chip_number: Option<String>,
    /// Where its code leads.
    pub address: String,
}

/// One label for a folder, two for collars.
const ROW: (f64, f64) = (500.0, 112.0);
const FOLDER: f64 = 276.0;
const COLLAR: f64 = 108.0;
/// Modules of white around a code, without which readers do not find it (ISO/IEC 18004).
const QUIET: usize = 4;

/// Prints a row of labels to cut out for each pup of a litter, in the language that is spoken.
///
/// # Errors
/// When an address is too long for a code, or the document cannot be written.
pub fn labels_pdf(
    litter: &str,
    kennel: &str,
    pups: &[LabelledPup],
    format: PaperFormat,
) -> Result<Vec<u8>, PdfError> {
    let title = said!("print-labels-title", litter = litter);
    let mut pages = Pages::new(format, title.clone(), format!("{kennel} · {litter}"));
    pages.title(title);
    pages.small(said!("print-labels-how"));
    pages.space(6.0);
    let most_height = pages.room() * (ROW.1 / ROW.0) as f32;
    for pup in pups {
        let alt = said!("print-labels-alt", pup = &pup.label, address = &pup.address);
        pages.picture(&row(litter, pup)?, &alt, most_height)?;
    }
    pages.finish()
}

/// A row as SVG.
fn row(litter: &str, pup: &LabelledPup) -> Result<String, PdfError> {
    let code = QrCode::with_error_correction_level(pup.address.as_bytes(), EcLevel::M)
        .map_err(|error| PdfError::Writing(format!("no code holds {}: {error}", pup.address)))?;
    let mut svg = String::new();
    // Writing to a String cannot fail.
    let _ = write!(
        svg,
        r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {} {}" width="{}" height="{}">"#,
        ROW.0, ROW.1, ROW.0, ROW.1
    );
    svg.push_str("<style>text{font-family:'DejaVu Sans'}.b{font-weight:bold}.cut{fill:none;stroke:#999;stroke-width:.6;stroke-dasharray:3 3}</style>");
    frame(&mut svg, 0.0, FOLDER);
    draw_code(&mut svg, &code, (4.0, 6.0), 100.0);
    let room = FOLDER - 112.0 - 8.0;
    words(&mut svg, (112.0, 28.0), 15.0, true, &pup.label, room);
    let born = pup.born_on.map(|born| said!("print-born", on = dates::day(born)));
    let chip = pup.chip_number.as_ref().map(|chip| said!("print-labels-chip", chip = chip));
    let lines = [pup.sex.map(sex), born, chip, Some(Text::verbatim(litter))];
    let mut y = 46.0;
    if let Some(worn) = &pup.collar {
        swatch(&mut svg, (117.0, y - 3.5), worn);
        let by_collar = said!("print-by-collar", collar = collar(worn)).to_string();
        words(&mut svg, (127.0, y), 9.0, false, &by_collar, room - 15.0);
        y += 14.0;
    }
    for line in lines.into_iter().flatten() {
        words(&mut svg, (112.0, y), 9.0, false, &line.to_string(), room);
        y += 14.0;
    }
    for place in [FOLDER + 4.0, FOLDER + 4.0 + COLLAR + 4.0] {
        frame(&mut svg, place, COLLAR);
        draw_code(&mut svg, &code, (place + 12.0, 2.0), 84.0);
        let left = match &pup.collar {
            Some(collar) => {
                swatch(&mut svg, (place + 12.0, 97.0), collar);
                22.0
            }
            None => 8.0,
        };
        words(&mut svg, (place + left, 101.0), 10.0, true, &pup.label, COLLAR - left - 4.0);
    }
    svg.push_str("</svg>");
    Ok(svg)
}

fn frame(svg: &mut String, x: f64, width: f64) {
    let height = ROW.1 - 1.0;
    let _ = write!(
        svg,
        r#"<rect class="cut" x="{:.1}" y=".5" width="{:.1}" height="{height}"/>"#,
        x + 0.5,
        width - 1.0
    );
}

/// The code with its quiet zone, in a square of this size.
fn draw_code(svg: &mut String, code: &QrCode, (x, y): (f64, f64), size: f64) {
    let modules = code.width();
    let unit = size / (modules + 2 * QUIET) as f64;
    let (x, y) = (x + QUIET as f64 * unit, y + QUIET as f64 * unit);
    let _ = write!(svg, r#"<path transform="translate({x:.3} {y:.3}) scale({unit:.5})" d=""#);
    for (row, colours) in code.to_colors().chunks(modules).enumerate() {
        let mut column = 0;
        // Dark modules beside one another are one shape.
        for run in colours.chunk_by(|a, b| a == b) {
            if run.first() == Some(&Color::Dark) {
                let _ = write!(svg, "M{column} {row}h{0}v1h-{0}z", run.len());
            }
            column += run.len();
        }
    }
    svg.push_str(r#""/>"#);
}

/// A collar's colour, or both of them as halves, within an outline so that white shows.
fn swatch(svg: &mut String, (x, y): (f64, f64), collar: &str) {
    let colours = collar_colours(collar);
    let Some(first) = colours.first() else { return };
    let _ = write!(
        svg,
        r##"<circle fill="{first}" stroke="#333" stroke-width=".7" cx="{x}" cy="{y}" r="5"/>"##
    );
    if let Some(second) = colours.get(1) {
        let top = y - 5.0;
        let _ = write!(
            svg,
            r##"<path fill="{second}" stroke="#333" stroke-width=".7" d="M{x} {top}a5 5 0 0 1 0 10z"/>"##
        );
    }
}

/// A line, set smaller and then cut until it keeps within its room.
fn words(svg: &mut String, (x, y): (f64, f64), size: f64, bold: bool, text: &str, room: f64) {
    let weight = if bold { Weight::Bold } else { Weight::Regular };
    let long = |text: &str, size: f64| f64::from(width(text, weight)) * size;
    let size = size * (room / long(text, size).max(1.0)).clamp(0.7, 1.0);
    let mut shown = text.to_owned();
    while !shown.is_empty() && long(&shown, size) > room {
        shown.pop();
        if long(&format!("{shown}…"), size) <= room {
            shown.push('…');
            break;
        }
    }
    let class = if bold { " class=\"b\"" } else { "" };
    let shown = shown.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;");
    let shown: String = shown.chars().filter(|c| !c.is_control()).collect();
    let _ =
        write!(svg, r#"<text{class} x="{x:.1}" y="{y:.1}" font-size="{size:.2}">{shown}</text>"#);
}
