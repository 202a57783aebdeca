//! A dog's pedigree as a picture (SVG) that prints on one page.
//!
//! The dog stands on the left, its ancestors by generation to the right, the sire's side above.
//! Sires have square boxes and dams round ones, besides the words; repeated ancestors carry a
//! number and a heavier frame; a place whose animal is not known is dashed.

use crate::dates;
use catalogue::{Text, figure, said, spoken};
use domain::family_tree::{AncestorPlace, FamilyTree, PedigreeDog};
use std::{collections::HashMap, fmt::Write, ops::RangeInclusive};

/// Generations that a page holds legibly.
pub const GENERATIONS_DRAWN: RangeInclusive<u32> = 3..=6;

/// A4 in units of which the long side has 1122: one is three quarters of a point.
const LONG_SIDE: f64 = 1122.0;
const SHORT_SIDE: f64 = 793.0;
/// Size of a picture within text.
const WITHIN_TEXT: (f64, f64) = (760.0, 540.0);
const MARGIN: f64 = 16.0;
const HEAD: f64 = 62.0;
const FOOT: f64 = 24.0;
const GAP: f64 = 12.0;
/// Width of a mean letter against the size of the type, in a wide typeface; bold beside it.
const LETTER: f64 = 0.58;
const BOLD_LETTER: f64 = 0.66;
/// How much smaller than usual a line may be set before it is cut.
const SMALLEST: f64 = 0.82;

/// Draws the family tree over its generations, 3 to 6 of them, for a page of its own, with words of the
/// language that is spoken.
pub fn pedigree_svg(tree: &FamilyTree) -> String {
    draw(tree, &Page::of(drawn(tree)))
}

/// Draws three generations as a picture within text, which is read at two thirds of its size.
pub fn pedigree_within_text(tree: &FamilyTree) -> String {
    draw(tree, &Page::in_columns(*GENERATIONS_DRAWN.start(), WITHIN_TEXT))
}

fn drawn(tree: &FamilyTree) -> u32 {
    tree.generations.clamp(*GENERATIONS_DRAWN.start(), *GENERATIONS_DRAWN.end())
}

fn draw(tree: &FamilyTree, page: &Page) -> String {
    let generations = page.generations;
    let places: HashMap<(u32, u32), &AncestorPlace> =
        tree.ancestors.iter().map(|place| ((place.generation, place.position), place)).collect();
    let mut svg = String::new();
    // Writing to a String cannot fail.
    let _ = page.head(&mut svg, tree);
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
    let _ = page.foot(&mut svg, tree);
    svg.push_str("</svg>\n");
    svg
}

/// Where things stand.
struct Page {
    width: f64,
    height: f64,
    /// Left edge of each generation's column, the dog's own first, and of what follows the last.
    columns: Vec<f64>,
    generations: u32,
}

struct Box {
    x: f64,
    y: f64,
    width: f64,
    height: f64,
}

impl Page {
    /// Landscape; six generations need the height of a portrait page.
    fn of(generations: u32) -> Self {
        let size = if generations > 5 { (SHORT_SIDE, LONG_SIDE) } else { (LONG_SIDE, SHORT_SIDE) };
        Self::in_columns(generations, size)
    }

    fn in_columns(generations: u32, (width, height): (f64, f64)) -> Self {
        // Later boxes are lower, so that their names need more of the width.
        let weight = |generation: u32| match generations - generation {
            0 if generations > 4 => 1.5,
            1 if generations > 4 => 1.25,
            _ => 1.0,
        };
        let all: f64 = (0..=generations).map(weight).sum();
        let unit = (width - 2.0 * MARGIN + GAP) / all;
        let mut columns = vec![MARGIN];
        let mut x = MARGIN;
        for generation in 0..=generations {
            x += unit * weight(generation);
            columns.push(x);
        }
        Self { width, height, columns, generations }
    }

    /// The box of a place; the dog itself is place 0 of generation 0.
    fn place(&self, generation: u32, position: u32) -> Box {
        let room = (self.height - HEAD - FOOT) / f64::from(1u32 << generation);
        let height = (room - if room > 24.0 { 4.0 } else { 1.5 }).min(self.height / 9.0);
        let middle = HEAD + room * (f64::from(position) + 0.5);
        let column = generation as usize;
        let x = self.columns.get(column).copied().unwrap_or(MARGIN);
        let next = self.columns.get(column + 1).copied().unwrap_or(self.width);
        Box { x, y: middle - height / 2.0, width: next - x - GAP, height }
    }

    fn head(&self, svg: &mut String, tree: &FamilyTree) -> std::fmt::Result {
        let Self { width, height, .. } = self;
        let title = said!("print-tree-title", dog = name_of(&tree.dog)).to_string();
        let described = said!(
            "print-tree-described",
            generations = tree.generations,
            repeated = tree.ancestors.iter().filter(|place| place.repeated.is_some()).count(),
            share = figure(tree.inbreeding * 100.0, 2),
            why = &tree.lower_bound.why
        );
        write!(
            svg,
            r#"<svg xmlns="http://www.w3.org/2000/svg" lang="{}" viewBox="0 0 {width} {height}" width="100%" role="img" aria-labelledby="t d"><title id="t">{}</title><desc id="d">{}</desc>"#,
            spoken().tag(),
            escape(&title),
            escape(&described.to_string()),
        )?;
        let turned = if width > height { "landscape" } else { "portrait" };
        write!(svg, "<style>@page{{size:A4 {turned};margin:8mm}}")?;
        svg.push_str(concat!(
            "text{font-family:'Liberation Sans',Arial,Helvetica,sans-serif;fill:#111}",
            ".box{fill:#fff;stroke:#444;stroke-width:1}.dam{fill:#f6f1ea}.again{stroke-width:2.2;stroke:#111}",
            ".unknown{fill:none;stroke:#777;stroke-width:1;stroke-dasharray:4 3}.tie{fill:none;stroke:#777;stroke-width:1}",
            ".soft{fill:#444}.strong{font-weight:600}.mark{fill:#111}.in{fill:#fff;font-weight:700}</style>",
        ));
        write!(svg, r##"<rect width="{width}" height="{height}" fill="#fff"/>"##)?;
        let room = width - 2.0 * MARGIN;
        line(svg, [MARGIN, 32.0], true, &fitted(&title, room, width / 50.0, true))?;
        let known = &tree.known_ancestors;
        let below = said!(
            "print-tree-known",
            share = figure(tree.inbreeding * 100.0, 2),
            equivalents = figure(known.complete_generation_equivalents, 1),
            full = known.full_generations
        );
        line(svg, [MARGIN, 51.0], false, &fitted(&below.to_string(), room, 12.0, false))
    }

    fn foot(&self, svg: &mut String, tree: &FamilyTree) -> std::fmt::Result {
        let words = match tree.repeated.is_empty() {
            true => said!("print-tree-signs"),
            false => said!("print-tree-signs-again"),
        };
        let fitted = fitted(&words.to_string(), self.width - 2.0 * MARGIN, 9.5, false);
        line(svg, [MARGIN, self.height - 9.0], false, &fitted)
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
        let round = tree.dog.sex == Some(domain::record::Sex::Female);
        frame(svg, &place, round, false)?;
        let f = coefficient(tree.inbreeding, tree.known_ancestors.complete_generation_equivalents);
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
            let f = coefficient(ancestor.inbreeding, ancestor.complete_generation_equivalents);
            lines.insert(1.min(lines.len()), f);
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
        let who: Text = match position % 2 {
            1 => said!("print-tree-no-dam"),
            _ => said!("print-tree-no-sire"),
        };
        words(svg, &place, &[who.to_string()], 0.0)
    }
}

fn disc_radius(place: &Box) -> f64 {
    (place.height / 2.0 - 1.5).min(9.0)
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

/// Writes as many of the lines as the box holds; the name first, in several lines where it is
/// long and there is room beside one line of particulars.
fn words(svg: &mut String, place: &Box, lines: &[String], taken: f64) -> std::fmt::Result {
    // A low box holds two smaller lines rather than one, as long as they can be read.
    let lines_at_best = if place.height > 20.0 { 2.75 } else { 1.35 };
    let size = (place.height / lines_at_best).min(11.5);
    let leading = size * 1.2;
    let room = ((place.height - 2.0) / leading).floor().max(1.0) as usize;
    let width = place.width - 9.0 - taken;
    let Some((name, particulars)) = lines.split_first() else { return Ok(()) };
    let spared = usize::from(!particulars.is_empty() && room > 2);
    let for_name = room.saturating_sub(spared).clamp(1, 5);
    let mut shown: Vec<(bool, Fitted)> = broken(name, width, size, for_name)
        .iter()
        .map(|part| (true, fitted(part, width, size, true)))
        .collect();
    let left = room.saturating_sub(shown.len());
    // The last line takes what else there is, as far as it goes.
    let mut others: Vec<String> =
        particulars.iter().take(left.saturating_sub(1)).cloned().collect();
    let rest = particulars.get(others.len()..).unwrap_or_default();
    others.extend((left > 0 && !rest.is_empty()).then(|| rest.join(" · ")));
    shown.extend(others.iter().map(|text| (false, fitted(text, width, size * 0.95, false))));
    let top = place.y + (place.height - leading * shown.len() as f64) / 2.0 + size * 0.9;
    for (number, (is_name, text)) in shown.iter().enumerate() {
        line(svg, [place.x + 4.5, top + leading * number as f64], *is_name, text)?;
    }
    Ok(())
}

/// A line in at most `most` parts that fit the width, broken between words.
fn broken(text: &str, width: f64, size: f64, most: usize) -> Vec<String> {
    let mut parts: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        let room = parts.len() < most;
        match parts.last_mut() {
            Some(last) if !room || length(&format!("{last} {word}"), size, true) <= width => {
                last.push(' ');
                last.push_str(word);
            }
            _ => parts.push(word.to_owned()),
        }
    }
    parts
}

/// A text as it is set.
struct Fitted {
    text: String,
    size: f64,
}

/// Sets a text smaller, and then cuts it, until it keeps within a width.
fn fitted(text: &str, width: f64, size: f64, bold: bool) -> Fitted {
    let needed = length(text, size, bold);
    let size = size * (width / needed).clamp(SMALLEST, 1.0);
    if length(text, size, bold) <= width {
        return Fitted { text: text.to_owned(), size };
    }
    let letter = length("n", size, bold);
    let kept: String = text.chars().take((width / letter).max(2.0) as usize - 1).collect();
    Fitted { text: format!("{}…", kept.trim_end()), size }
}

fn length(text: &str, size: f64, bold: bool) -> f64 {
    text.chars().count() as f64 * size * if bold { BOLD_LETTER } else { LETTER }
}

fn line(svg: &mut String, at: [f64; 2], strong: bool, text: &Fitted) -> std::fmt::Result {
    write!(
        svg,
        r#"<text class="{}" x="{:.1}" y="{:.1}" font-size="{:.1}">{}</text>"#,
        if strong { "strong" } else { "soft" },
        at[0],
        at[1],
        text.size,
        escape(&text.text)
    )
}

/// Name, then birth, register, colour.
fn lines_of(dog: &PedigreeDog) -> Vec<String> {
    let born = dog.born_on.map(|born| said!("print-born", on = dates::partial(born)).to_string());
    let register = dog.registrations.first().map(|entry| entry.number.clone());
    let particulars = [born, register, dog.colour.clone()].into_iter().flatten();
    [name_of(dog)].into_iter().chain(particulars).collect()
}

fn name_of(dog: &PedigreeDog) -> String {
    dog.name
        .clone()
        .or_else(|| dog.call_name.clone())
        .unwrap_or_else(|| said!("print-tree-nameless").to_string())
}

/// A coefficient, never without the generations behind it.
fn coefficient(inbreeding: f64, generations: f64) -> String {
    let share = figure(inbreeding * 100.0, 2);
    said!("print-tree-coefficient", share = share, generations = figure(generations, 1)).to_string()
}

fn escape(text: &str) -> String {
    let plain: String = text.chars().filter(|c| !c.is_control()).collect();
    plain.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

#[cfg(test)]
mod tests {
    use super::*;
    use catalogue::{Language, speaking};
    use domain::{
        family_tree::family_tree,
        inbreeding::Studbook,
        pedigree::{Pedigree, PedigreeRow},
    };
    use uuid::Uuid;

    /// Full sibs mated: both grandparents stand twice; no great-grandparent is known.
    fn tree(generations: u32, name: &str) -> FamilyTree {
        let id = Uuid::from_u128;
        let rows = [(3, 1, 2), (4, 1, 2), (5, 3, 4)];
        let row = |(n, s, d)| PedigreeRow { id: id(n), sire: Some(id(s)), dam: Some(id(d)) };
        let book = Studbook::compute(Pedigree::build(rows.map(row)).unwrap(), 1);
        let dog = PedigreeDog {
            dog_id: id(1),
            name: Some(name.to_owned()),
            call_name: None,
            sex: None,
            breed: None,
            colour: None,
            born_on: None,
            registrations: Vec::new(),
        };
        family_tree(&book, id(5), generations, vec![dog]).unwrap()
    }

    #[test]
    fn marks_repeated_and_unknown_ancestors_in_words_and_shapes() {
        let svg = pedigree_svg(&tree(3, "Rex <of> Larkfell"));
        assert_eq!(svg.matches("class=\"mark\"").count(), 4, "two ancestors on two places each");
        assert_eq!(svg.matches("again\"").count(), 4);
        assert_eq!(svg.matches("sire not known").count(), 4);
        assert_eq!(svg.matches("dam not known").count(), 4);
        assert!(svg.contains("at least 25.00 %"), "the dog's inbreeding");
        assert!(svg.contains("F ≥ 25.00 % (2.0 g)") && svg.contains("count as unrelated"));
        assert!(svg.contains("Rex &lt;of&gt; Larkfell"));
    }

    /// What stands between tags: words for the eye, and those for who is read to.
    fn texts(svg: &str) -> Vec<&str> {
        let shown = svg.split('<').filter_map(|part| part.split_once('>'));
        let shown = shown.filter(|(tag, text)| *tag != "style" && !text.trim().is_empty());
        shown.map(|(_, text)| text).collect()
    }

    #[test]
    fn a_german_pedigree_has_no_english_text_of_ours() {
        let tree = tree(3, "Rex");
        let drawn = || pedigree_svg(&tree);
        let [english, german] = Language::ALL.map(|language| speaking(language, drawn));
        assert!(german.contains("lang=\"de\"") && german.contains("Inzucht mindestens 25,00 %"));
        assert!(german.contains("F ≥ 25,00 % (2,0 g)") && german.contains("Vater nicht bekannt"));
        let english = texts(&english);
        let shared: Vec<&str> =
            texts(&german).into_iter().filter(|text| english.contains(text)).collect();
        let is_ours = |text: &&str| text.chars().any(char::is_alphabetic) && !text.contains("Rex");
        assert!(!shared.iter().any(is_ours), "{shared:?}");
    }

    #[test]
    fn keeps_every_text_within_its_page() {
        let long = "Champion Winterquellengrund Hohenstein of Somewhere and Elsewhere ".repeat(3);
        let pages = GENERATIONS_DRAWN.map(|generations| {
            let width = if generations > 5 { SHORT_SIDE } else { LONG_SIDE };
            (width, pedigree_svg(&tree(generations, &long)))
        });
        let within = speaking(Language::German, || pedigree_within_text(&tree(3, &long)));
        for (width, svg) in pages.chain([(WITHIN_TEXT.0, within)]) {
            for text in svg.split("<text class=\"s").skip(1) {
                let value = |name: &str| -> f64 {
                    let from = text.split(&format!("{name}=\"")).nth(1).unwrap();
                    from.split('"').next().unwrap().parse().unwrap()
                };
                let words = text.split('>').nth(1).unwrap().split('<').next().unwrap();
                let end =
                    value(" x") + length(words, value("font-size"), text.starts_with("trong"));
                assert!(end <= width, "{words} ends at {end}");
            }
        }
    }
}
