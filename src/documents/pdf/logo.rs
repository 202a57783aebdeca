//! The kennel's own picture: what of it may be drawn, and how it is kept.
//!
//! It comes from outside, and is drawn for people without a login. So it is redrawn once, when it is
//! set, to plain shapes; and whatever is stored is looked at before it is drawn: a few elements can
//! stand for billions of others that refer to them, and a small file for a picture of gigabytes.

use super::{PdfError, draw};
use catalogue::{Text, said};
use std::{
    collections::{BTreeMap, BTreeSet},
    sync::{Mutex, PoisonError},
};
use usvg::roxmltree::{Document, Node, ParsingOptions};

/// Most characters of a logo, as it comes and as it is kept.
pub(crate) const LARGEST: usize = 200_000;
/// Most elements, texts and comments.
const MOST_NODES: u32 = 10_000;
/// Most elements that are drawn, with those that others stand for, and the letters of texts.
const MOST_DRAWN: u64 = 50_000;
/// A letter is drawn by about so many lines and curves.
const DRAWN_A_LETTER: u64 = 20;
/// Elements within one another, with those that others stand for.
const DEEPEST: usize = 64;
/// Most pixels of all pictures in it together: unpacked they take four bytes each.
const MOST_PIXELS: u64 = 4_000_000;

/// A logo redrawn to plain shapes and texts, as it is kept.
///
/// # Errors
/// [`PdfError::Picture`] with what cannot be drawn, and what to do; [`PdfError::NoSvg`].
pub fn redrawn(svg: &str) -> Result<String, PdfError> {
    let options = usvg::WriteOptions {
        preserve_text: true,
        coordinates_precision: 4,
        transforms_precision: 6,
        indent: usvg::Indent::None,
        ..usvg::WriteOptions::default()
    };
    let drawn = read(svg)?.to_string(&options);
    check(&drawn)?;
    Ok(drawn)
}

/// Whether a logo can be drawn.
///
/// # Errors
/// As [`redrawn`].
pub fn check(svg: &str) -> Result<(), PdfError> {
    read(svg).map(drop)
}

/// A logo to draw.
pub(super) fn read(svg: &str) -> Result<usvg::Tree, PdfError> {
    if svg.chars().nth(LARGEST).is_some() {
        return refused(said!("fault-too-long-logo", most = LARGEST));
    }
    if svg.contains("<!ENTITY") {
        return refused(said!("fault-unsupported-logo-entities"));
    }
    let options =
        ParsingOptions { allow_dtd: true, nodes_limit: MOST_NODES, ..ParsingOptions::default() };
    let document = Document::parse_with_options(svg, options)
        .map_err(|error| PdfError::NoSvg(error.to_string()))?;
    Outline::of(&document)?.check(document.root_element())?;
    let pictures = Mutex::new(Pictures::default());
    let mut options = draw::svg_options();
    options.image_href_resolver.resolve_data = Box::new(|_, data, _| {
        let mut pictures = pictures.lock().unwrap_or_else(PoisonError::into_inner);
        pictures.admit(data)
    });
    let tree = usvg::Tree::from_xmltree(&document, &options)
        .map_err(|error| PdfError::NoSvg(error.to_string()));
    drop(options);
    let pictures = pictures.into_inner().unwrap_or_else(PoisonError::into_inner);
    if let Some(cause) = pictures.refused {
        return refused(cause);
    }
    let tree = tree?;
    if has_filters(tree.root()) {
        return refused(said!("fault-unsupported-logo-filters"));
    }
    Ok(tree)
}

fn refused<T>(cause: Text) -> Result<T, PdfError> {
    Err(PdfError::Picture(cause))
}

fn has_filters(group: &usvg::Group) -> bool {
    let within = |node: &usvg::Node| {
        let mut found = matches!(node, usvg::Node::Group(group) if has_filters(group));
        node.subroots(|root| found |= has_filters(root));
        found
    };
    !group.filters().is_empty() || group.children().iter().any(within)
}

/// The pictures within, which are not unpacked before their size is known.
#[derive(Default)]
struct Pictures {
    pixels: u64,
    refused: Option<Text>,
}

impl Pictures {
    fn admit(&mut self, data: std::sync::Arc<Vec<u8>>) -> Option<usvg::ImageKind> {
        use imagesize::ImageType;
        let kind = imagesize::image_type(&data).ok();
        let made: fn(_) -> _ = match kind {
            Some(ImageType::Png) => usvg::ImageKind::PNG,
            Some(ImageType::Jpeg) => usvg::ImageKind::JPEG,
            Some(ImageType::Gif) => usvg::ImageKind::GIF,
            Some(ImageType::Webp) => usvg::ImageKind::WEBP,
            _ => {
                self.refused = Some(said!("fault-unsupported-logo-picture"));
                return None;
            }
        };
        let size = imagesize::blob_size(&data).ok()?;
        let pixels = (size.width as u64).saturating_mul(size.height as u64);
        self.pixels = self.pixels.saturating_add(pixels);
        if self.pixels > MOST_PIXELS {
            self.refused = Some(said!("fault-too-many-logo-pixels"));
            return None;
        }
        Some(made(data))
    }
}

/// What is drawn when an element is, with all that it refers to.
struct Outline<'a, 'input> {
    by_id: BTreeMap<&'a str, Node<'a, 'input>>,
    known: BTreeMap<u32, u64>,
    open: BTreeSet<u32>,
    /// What the style sheet may add to each element: two gradients, for its surface and its line.
    by_style: u64,
}

impl<'a, 'input> Outline<'a, 'input> {
    fn of(document: &'a Document<'input>) -> Result<Self, PdfError> {
        let elements = || document.descendants().filter(Node::is_element);
        let by_id = elements().filter_map(|node| Some((node.attribute("id")?, node))).collect();
        let mut outline =
            Self { by_id, known: BTreeMap::new(), open: BTreeSet::new(), by_style: 0 };
        let sheets = elements().filter(|node| node.tag_name().name() == "style");
        let sheets: Vec<String> = sheets
            .map(|node| node.descendants().filter_map(|part| part.text()).collect())
            .collect();
        let mut largest = 0;
        for target in sheets.iter().flat_map(|sheet| references(sheet)) {
            let Some(node) = outline.by_id.get(target).copied() else { continue };
            if !node.tag_name().name().ends_with("Gradient") {
                return refused(said!("fault-unsupported-logo-style-sheet"));
            }
            largest = outline.drawn(node, 0)?.max(largest);
        }
        // Only now: the gradients themselves take nothing from it.
        outline.known.clear();
        outline.by_style = 2 * largest;
        Ok(outline)
    }

    fn check(&mut self, root: Node<'a, 'input>) -> Result<(), PdfError> {
        if self.drawn(root, 0)? > MOST_DRAWN {
            return refused(said!("fault-too-many-logo-shapes", most = MOST_DRAWN));
        }
        Ok(())
    }

    /// How much is drawn for this element.
    fn drawn(&mut self, node: Node<'a, 'input>, depth: usize) -> Result<u64, PdfError> {
        if let Some(known) = self.known.get(&node.id().get()) {
            return Ok(*known);
        }
        if depth > DEEPEST || !self.open.insert(node.id().get()) {
            return refused(said!("fault-unsupported-logo-nested"));
        }
        let mut drawn = 1 + self.by_style;
        for child in node.children() {
            let more = if child.is_element() {
                self.drawn(child, depth + 1)?
            } else {
                letters(child) * DRAWN_A_LETTER
            };
            drawn = drawn.saturating_add(more);
        }
        for attribute in node.attributes() {
            let (name, value) = (attribute.name(), attribute.value());
            if references(value).next().is_some()
                && (name.starts_with("marker") || value.contains("marker"))
            {
                return refused(said!("fault-unsupported-logo-markers"));
            }
            let linked = value.strip_prefix('#').filter(|_| name == "href" && !is_link(node));
            for target in references(value).chain(linked) {
                if let Some(target) = self.by_id.get(target).copied() {
                    drawn = drawn.saturating_add(self.drawn(target, depth + 1)?);
                }
            }
        }
        self.open.remove(&node.id().get());
        self.known.insert(node.id().get(), drawn);
        Ok(drawn)
    }
}

fn is_link(node: Node<'_, '_>) -> bool {
    node.tag_name().name() == "a"
}

/// Letters of a text that is drawn.
fn letters(node: Node<'_, '_>) -> u64 {
    const UNSEEN: [&str; 4] = ["style", "title", "desc", "metadata"];
    let parent = node.parent().map_or("", |parent| parent.tag_name().name());
    let text = node.text().filter(|_| node.is_text() && !UNSEEN.contains(&parent));
    text.map_or(0, |text| text.trim().chars().count() as u64)
}

/// The ids that `url(#id)` names in an attribute or a style sheet.
fn references(text: &str) -> impl Iterator<Item = &str> {
    text.split("url(").skip(1).filter_map(|rest| {
        let (inner, _) = rest.split_once(')')?;
        inner.trim().trim_matches(['"', '\'']).trim().strip_prefix('#')
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use base64::{Engine as _, engine::general_purpose::STANDARD};

    fn svg(inner: &str) -> String {
        format!(
            "<svg xmlns='http://www.w3.org/2000/svg' xmlns:xlink='http://www.w3.org/1999/xlink' \
             width='40' height='40'>{inner}</svg>"
        )
    }

    fn cause(inner: &str) -> String {
        check(&svg(inner)).err().map(|error| error.to_string()).unwrap_or_default()
    }

    fn picture(media_type: &str, bytes: &[u8]) -> String {
        let data = STANDARD.encode(bytes);
        format!("<image width='9' height='9' xlink:href='data:{media_type};base64,{data}'/>")
    }

    /// The head of a PNG of this size; nobody should want to read more of it.
    fn png(width: u32, height: u32) -> Vec<u8> {
        let mut bytes = b"\x89PNG\r\n\x1a\n\0\0\0\x0dIHDR".to_vec();
        bytes.extend(width.to_be_bytes());
        bytes.extend(height.to_be_bytes());
        bytes.extend([8, 2, 0, 0, 0, 0, 0, 0, 0]);
        bytes
    }

    #[test]
    fn a_logo_is_kept_as_drawn() {
        let drawn = redrawn(&svg(
            "<style>.a{fill:url(#g)}</style><linearGradient id='g'><stop stop-color='red'/></linearGradient>\
             <script>alert(1)</script><rect class='a' width='9' height='9'/><text y='9'>LARK</text>",
        ))
        .unwrap();
        assert!(drawn.contains("LARK") && !drawn.contains("script"), "{drawn}");
        assert_eq!(redrawn(&drawn).unwrap(), drawn, "what is drawn stays as it is");
    }

    #[test]
    fn pictures_are_measured_before_they_are_unpacked() {
        assert_eq!(cause(&picture("image/png", &png(2000, 2000))), "");
        for (width, height) in [(2000, 2001), (33_000, 33_000), (u32::MAX, u32::MAX)] {
            assert!(cause(&picture("image/png", &png(width, height))).contains("pixels"));
        }
        let half = picture("image/png", &png(1500, 1500));
        assert!(cause(&half.repeat(2)).contains("pixels"), "all of them count");
        let lying = picture("image/svg+xml", &png(33_000, 33_000));
        assert!(cause(&lying).contains("pixels"), "whatever they are called");
        let used = format!("<g id='p'>{half}</g><use xlink:href='#p'/>");
        assert!(cause(&used).contains("pixels"), "as often as they are drawn");
    }

    #[test]
    fn drawings_within_are_refused() {
        let inner = svg("<rect width='9' height='9'/>");
        for media_type in ["image/svg+xml", "text/plain", "image/png"] {
            assert!(cause(&picture(media_type, inner.as_bytes())).contains("its own"));
        }
    }

    #[test]
    fn few_elements_cannot_stand_for_many() {
        let level = |number: usize, element: &str| {
            let below = format!("<use xlink:href='#l{}'/>", number - 1).repeat(10);
            format!("<{element} id='l{number}'>{below}</{element}>")
        };
        let laughs = |levels: usize| {
            let mut text = "<g id='l0'><rect width='1' height='1'/></g>".to_owned();
            text.extend((1..=levels).map(|number| level(number, "g")));
            text
        };
        assert_eq!(cause(&laughs(3)), "");
        assert!(cause(&laughs(5)).contains("shapes"));
        let mask = |number: usize| {
            let shape =
                format!("<rect width='1' height='1' style='mask: url( \"#m{}\" )'/>", number - 1);
            format!("<mask id='m{number}'>{}</mask>", shape.repeat(10))
        };
        let masks: String = (1..=6).map(mask).collect();
        assert!(
            cause(&format!("{masks}<rect mask='url(#m6)' width='1' height='1'/>"))
                .contains("shapes")
        );
        let sheet = "<style>rect{clip-path:url(#c)}</style><clipPath id='c'><rect/></clipPath>";
        assert!(cause(sheet).contains("style sheet"));
        let dashes =
            "<marker id='k'><path d='M0 0h1'/></marker><path marker-mid='url(#k)' d='M0 0h1h1'/>";
        assert!(cause(dashes).contains("markers"));
        assert!(cause("<g id='a'><use xlink:href='#a'/></g>").contains("themselves"));
        let deep = "<g>".repeat(DEEPEST + 1) + &"</g>".repeat(DEEPEST + 1);
        assert!(cause(&deep).contains("within one another"));
        assert!(!cause(&"<g/>".repeat(MOST_NODES as usize)).is_empty());
        assert!(cause(&format!("<text>{}</text>", "x".repeat(3_000))).contains("shapes"));
        assert!(cause("<rect filter='blur(5)' width='9' height='9'/>").contains("filters"));
    }

    #[test]
    fn entities_and_length_are_bounded() {
        let entities = "<!DOCTYPE svg [<!ENTITY a 'x'>]>".to_owned() + &svg("<text>&a;</text>");
        assert!(check(&entities).is_err());
        let plain = "<!DOCTYPE svg PUBLIC \"-//W3C//DTD SVG 1.1//EN\" \"svg11.dtd\">".to_owned();
        assert!(check(&(plain + &svg("<rect width='9' height='9'/>"))).is_ok());
        let comment = |length: usize| format!("<!--{}-->", "x".repeat(length));
        let around = svg(&comment(0)).len();
        assert_eq!(cause(&comment(LARGEST - around)), "");
        assert!(cause(&comment(LARGEST - around + 1)).contains("characters"));
    }
}
