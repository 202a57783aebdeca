//! A dog's pedigree as a picture (SVG) that prints on one landscape page.
//!
//! The dog stands on the left, its ancestors by generation to the right, the sire's side above.
//! Sires have square boxes and dams round ones, besides the words; repeated ancestors carry a
//! number and a heavier frame; a place whose animal is not known is dashed.

use crate::domain::family_tree::{AncestorPlace, FamilyTree, PedigreeDog};
use std::{collections::HashMap, fmt::Write, ops::RangeInclusive};

/// Generations that a page holds legibly.
pub const GENERATIONS_DRAWN: RangeInclusive<u32> = 3..=6;

/// A landscape page of A4 proportions, in units of which 1122 make its width.
const WIDTH: f64 = 1122.0;
const HEIGHT: f64 = 793.0;
const MARGIN: f64 = 16.0;
const HEAD: f64 = 62.0;
const FOOT: f64 = 24.0;
const GAP: f64 = 14.0;
/// Width of a mean letter against the size of the type; a wide one is cut to fit by `textLength`.
const LETTER: f64 = 0.54;

/// Draws the family tree over its generations, 3 to 6 of them.
pub fn pedigree_svg(tree: &FamilyTree) -> String {
    let generations = tree.generations.clamp(*GENERATIONS_DRAWN.start(), *GENERATIONS_DRAWN.end());
    let places: HashMap<(u32, u32), &AncestorPlace> =
        tree.ancestors.iter().map(|place| ((place.generation, place.position), place)).collect();
    let page = Page { generations };
    let mut svg = String::new();
    // Writing to a String cannot fail.
    let _ = head(&mut svg, tree);
    for generation in 1..=generations {
        for position in 0..1u32 << generation {
            // Nothing is drawn above a place that is not known: the dashes would say no more.
            let is_drawn = generation == 1 || places.contains_key(&(generation - 1, position / 2));
            if is_drawn {
                let _ = page.line(&mut svg, generation, position);
            }
        }
    }
    let _ = page.dog(&mut svg, tree);
    for generation in 1..=generations {
        for position in 0..1u32 << generation {
            let place = places.get(&(generation, position));
            let is_drawn = generation == 1 || places.contains_key(&(generation - 1, position / 2));
            let _ = match place {
                Some(place) => page.ancestor(&mut svg, place),
                None if is_drawn => page.unknown(&mut svg, generation, position),
                None => Ok(()),
            };
        }
    }
    let _ = foot(&mut svg, tree);
    svg.push_str("</svg>\n");
    svg
}

fn head(svg: &mut String, tree: &FamilyTree) -> std::fmt::Result {
    let name = name_of(&tree.dog);
    let title = format!("Pedigree of {name}");
    write!(
        svg,
        r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" width="100%" role="img" aria-labelledby="t d"><title id="t">{}</title><desc id="d">{} generations; {} of the places hold a repeated ancestor. Inbreeding {}.</desc>"#,
        escape(&title),
        tree.generations,
        tree.ancestors.iter().filter(|place| place.repeated.is_some()).count(),
        percent(tree.inbreeding),
    )?;
    svg.push_str(concat!(
        "<style>@page{size:A4 landscape;margin:8mm}text{font-family:system-ui,'Liberation Sans',sans-serif;fill:#111}",
        ".box{fill:#fff;stroke:#444;stroke-width:1}.dam{fill:#f6f1ea}.again{stroke-width:2.6;stroke:#111}",
        ".unknown{fill:none;stroke:#777;stroke-width:1;stroke-dasharray:4 3}.tie{fill:none;stroke:#777;stroke-width:1}",
        ".soft{fill:#444}.strong{font-weight:600}.mark{fill:#111}.in{fill:#fff;font-weight:700}</style>",
    ));
    write!(
        svg,
        r##"<rect width="{WIDTH}" height="{HEIGHT}" fill="#fff"/>{}"##,
        Text::at(MARGIN, 32.0, 20.0, &title).strong().within(WIDTH - 2.0 * MARGIN)
    )?;
    let known = &tree.known_ancestors;
    let line = format!(
        "inbreeding {} over the whole pedigree · known ancestors: {:.1} complete generation equivalents, {} full generations",
        percent(tree.inbreeding),
        known.complete_generation_equivalents,
        known.full_generations,
    );
    write!(svg, "{}", Text::at(MARGIN, 51.0, 12.0, &line).soft().within(WIDTH - 2.0 * MARGIN))
}

fn foot(svg: &mut String, tree: &FamilyTree) -> std::fmt::Result {
    let again = if tree.repeated.is_empty() {
        "no ancestor stands twice".to_owned()
    } else {
        "a number in a black disc and a heavy frame mark an ancestor that stands on several places"
            .to_owned()
    };
    let line = format!(
        "♂ square: sire · ♀ round: dam · {again} · F: inbreeding of an ancestor · dashed: not known"
    );
    let y = HEIGHT - 9.0;
    write!(svg, "{}", Text::at(MARGIN, y, 10.5, &line).soft().within(WIDTH - 2.0 * MARGIN))
}

/// Where things stand.
struct Page {
    generations: u32,
}

struct Box {
    x: f64,
    y: f64,
    width: f64,
    height: f64,
}

impl Page {
    fn column_width(&self) -> f64 {
        (WIDTH - 2.0 * MARGIN + GAP) / f64::from(self.generations + 1)
    }

    /// The box of a place; the dog itself is place 0 of generation 0.
    fn place(&self, generation: u32, position: u32) -> Box {
        let room = (HEIGHT - HEAD - FOOT) / f64::from(1u32 << generation);
        let height = (room - if room > 24.0 { 4.0 } else { 1.0 }).min(76.0);
        let middle = HEAD + room * (f64::from(position) + 0.5);
        Box {
            x: MARGIN + self.column_width() * f64::from(generation),
            y: middle - height / 2.0,
            width: self.column_width() - GAP,
            height,
        }
    }

    fn line(&self, svg: &mut String, generation: u32, position: u32) -> std::fmt::Result {
        let from = self.place(generation - 1, position / 2);
        let to = self.place(generation, position);
        let (start, bend) = (from.x + from.width, to.x - GAP / 2.0);
        let (a, b) = (from.y + from.height / 2.0, to.y + to.height / 2.0);
        write!(svg, r#"<path class="tie" d="M{start:.1} {a:.1}H{bend:.1}V{b:.1}H{:.1}"/>"#, to.x)
    }

    fn dog(&self, svg: &mut String, tree: &FamilyTree) -> std::fmt::Result {
        let place = self.place(0, 0);
        let round = tree.dog.sex == Some(crate::domain::record::Sex::Female);
        frame(svg, &place, round, false)?;
        let f = format!("F {}", percent(tree.inbreeding));
        let mut lines = lines_of(&tree.dog);
        lines.insert(1.min(lines.len()), f);
        words(svg, &place, &lines, 0.0)
    }

    fn ancestor(&self, svg: &mut String, ancestor: &AncestorPlace) -> std::fmt::Result {
        let place = self.place(ancestor.generation, ancestor.position);
        let is_dam = ancestor.position % 2 == 1;
        frame(svg, &place, is_dam, ancestor.repeated.is_some())?;
        let sign = if is_dam { "♀" } else { "♂" };
        let mut lines = lines_of(&ancestor.dog);
        if let Some(first) = lines.first_mut() {
            *first = format!("{sign} {first}");
        }
        if ancestor.inbreeding > 0.0 {
            let f = format!("F {}", percent(ancestor.inbreeding));
            match lines.get_mut(1) {
                Some(second) => *second = format!("{f} · {second}"),
                None => lines.push(f),
            }
        }
        let disc = if ancestor.repeated.is_some() { 2.0 * disc_radius(&place) + 4.0 } else { 0.0 };
        words(svg, &place, &lines, disc)?;
        let Some(number) = ancestor.repeated else { return Ok(()) };
        let r = disc_radius(&place);
        let (x, y) = (place.x + place.width - r - 2.0, place.y + place.height / 2.0);
        write!(
            svg,
            r#"<circle class="mark" cx="{x:.1}" cy="{y:.1}" r="{r:.1}"/><text class="in" x="{x:.1}" y="{:.1}" font-size="{:.1}" text-anchor="middle">{number}</text>"#,
            y + r * 0.4,
            r * 1.15,
        )
    }

    fn unknown(&self, svg: &mut String, generation: u32, position: u32) -> std::fmt::Result {
        let place = self.place(generation, position);
        write!(
            svg,
            r#"<rect class="unknown" x="{:.1}" y="{:.1}" width="{:.1}" height="{:.1}"/>"#,
            place.x, place.y, place.width, place.height
        )?;
        let who = if position % 2 == 1 { "♀ dam not known" } else { "♂ sire not known" };
        words(svg, &place, &[who.to_owned()], 0.0)
    }
}

fn disc_radius(place: &Box) -> f64 {
    (place.height / 2.0 - 0.5).min(9.0)
}

fn frame(svg: &mut String, place: &Box, round: bool, again: bool) -> std::fmt::Result {
    let radius = if round { (place.height / 2.0).min(12.0) } else { 0.0 };
    let mut class = "box".to_owned();
    class.push_str(if round { " dam" } else { "" });
    class.push_str(if again { " again" } else { "" });
    write!(
        svg,
        r#"<rect class="{class}" x="{:.1}" y="{:.1}" width="{:.1}" height="{:.1}" rx="{radius:.1}"/>"#,
        place.x, place.y, place.width, place.height
    )
}

/// Writes as many of the lines as the box holds, the first broken in two where it is long.
fn words(svg: &mut String, place: &Box, lines: &[String], taken: f64) -> std::fmt::Result {
    let size = (place.height / 1.35).min(11.5);
    let leading = size * 1.22;
    let room = ((place.height - 2.0) / leading).floor().max(1.0) as usize;
    let width = place.width - 10.0 - taken;
    let letters = (width / (size * LETTER)).max(4.0) as usize;
    let mut shown = Vec::new();
    for (index, line) in lines.iter().enumerate() {
        let left = room.saturating_sub(shown.len());
        // The name may take what the particulars leave; those keep a line if there is one.
        let most =
            if index == 0 { left.saturating_sub(usize::from(lines.len() > 1)).max(1) } else { 1 };
        if left > 0 {
            shown.extend(
                broken(line, letters, most.min(left)).into_iter().map(|part| (index, part)),
            );
        }
    }
    let top = place.y + (place.height - leading * shown.len() as f64) / 2.0 + size * 0.92;
    for (number, (index, line)) in shown.iter().enumerate() {
        let text = Text::at(place.x + 5.0, top + leading * number as f64, size, line).within(width);
        write!(svg, "{}", if *index == 0 { text.strong() } else { text.soft() })?;
    }
    Ok(())
}

/// A line in at most `most` parts of about `letters` letters, broken between words.
fn broken(line: &str, letters: usize, most: usize) -> Vec<String> {
    let mut parts: Vec<String> = vec![String::new()];
    for word in line.split_whitespace() {
        let last = parts.len() - 1;
        let long = parts[last].chars().count() + 1 + word.chars().count();
        if !parts[last].is_empty() && long > letters && parts.len() < most {
            parts.push(word.to_owned());
        } else {
            if !parts[last].is_empty() {
                parts[last].push(' ');
            }
            parts[last].push_str(word);
        }
    }
    parts
}

/// Name, then birth and register.
fn lines_of(dog: &PedigreeDog) -> Vec<String> {
    let born = dog.born_on.map(|born| format!("born {born}"));
    let register = dog.registrations.first().map(|entry| entry.number.clone());
    let colour = dog.colour.clone();
    let particulars: Vec<String> = [born, register, colour].into_iter().flatten().collect();
    let mut lines = vec![name_of(dog)];
    lines.extend((!particulars.is_empty()).then(|| particulars.join(" · ")));
    lines
}

fn name_of(dog: &PedigreeDog) -> String {
    dog.name
        .clone()
        .or_else(|| dog.call_name.clone())
        .unwrap_or_else(|| "without a name".to_owned())
}

fn percent(fraction: f64) -> String {
    format!("{:.2} %", fraction * 100.0)
}

/// A line of text.
struct Text<'a> {
    x: f64,
    y: f64,
    size: f64,
    text: &'a str,
    class: &'static str,
    width: f64,
}

impl<'a> Text<'a> {
    fn at(x: f64, y: f64, size: f64, text: &'a str) -> Self {
        Self { x, y, size, text, class: "", width: f64::INFINITY }
    }

    fn strong(self) -> Self {
        Self { class: "strong", ..self }
    }

    fn soft(self) -> Self {
        Self { class: "soft", ..self }
    }

    /// Keeps it within a width: a long text is set narrower, down to half, then cut.
    fn within(self, width: f64) -> Self {
        Self { width, ..self }
    }
}

impl std::fmt::Display for Text<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let Self { x, y, size, class, width, .. } = self;
        let letters = self.text.chars().count();
        // Bold type is a little wider.
        let letter = size * LETTER * if self.class == "strong" { 1.08 } else { 1.0 };
        let most = (width / letter * 1.6).max(1.0);
        let text = if letters as f64 > most {
            let kept: String = self.text.chars().take(most as usize - 1).collect();
            format!("{}…", kept.trim_end())
        } else {
            self.text.to_owned()
        };
        let needed = text.chars().count() as f64 * letter;
        write!(f, r#"<text class="{class}" x="{x:.1}" y="{y:.1}" font-size="{size:.1}""#)?;
        if needed > *width {
            write!(f, r#" textLength="{width:.1}" lengthAdjust="spacingAndGlyphs""#)?;
        }
        write!(f, ">{}</text>", escape(&text))
    }
}

fn escape(text: &str) -> String {
    let plain: String = text.chars().filter(|c| !c.is_control()).collect();
    plain.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}
