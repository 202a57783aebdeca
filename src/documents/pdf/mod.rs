//! Pages to print: text that wraps, tables that go on over pages, and charts.
//!
//! Build a document from top to bottom with [`Pages`]; what does not fit goes on the next page.
//! Sizes are in points (1/72 inch). Any text may be of any script that the embedded fonts cover.

mod draw;
mod fonts;
pub mod logo;
mod photo;
mod table;
mod tags;
mod text;

#[cfg(test)]
pub(crate) use draw::read_svg;
pub use fonts::Weight;
pub(crate) use fonts::width;
pub use photo::Photo;
pub use table::Column;

use catalogue::{Language, Text, said, spoken};
use serde::{Deserialize, Serialize};
use tags::{Block, Leaf};
use utoipa::ToSchema;

/// Size of the paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum PaperFormat {
    /// ISO 216 A4, 210 × 297 mm.
    #[default]
    A4,
    /// US Letter, 8.5 × 11 inch.
    Letter,
}

impl PaperFormat {
    /// Width and height in points.
    pub(crate) fn size(self) -> (f32, f32) {
        match self {
            Self::A4 => (595.276, 841.89),
            Self::Letter => (612.0, 792.0),
        }
    }
}

/// Why no document was made.
#[derive(Debug, thiserror::Error)]
pub enum PdfError {
    /// The picture may not be drawn: why, as a fault says it.
    #[error("{0}")]
    Picture(Text),
    /// The picture is no SVG, in the words of its reader.
    #[error("the picture is not SVG that can be drawn: {0}")]
    NoSvg(String),
    /// The document cannot be written.
    #[error("the document could not be written: {0}")]
    Writing(String),
}

impl PdfError {
    /// What is told of a picture to whoever sent it: nothing in the words of a library.
    pub fn of_picture(&self) -> Text {
        match self {
            Self::Picture(why) => why.clone(),
            Self::NoSvg(_) | Self::Writing(_) => said!("fault-unreadable-logo"),
        }
    }
}

const MARGIN: f32 = 48.0;
const FOOTER: f32 = 28.0;
const BODY_SIZE: f32 = 9.5;
const SMALL_SIZE: f32 = 7.5;
const LINE_HEIGHT: f32 = 1.35;
const CELL_PAD: f32 = 3.0;

/// One thing on a page, in points from its top left corner.
enum Mark {
    Text {
        x: f32,
        baseline: f32,
        size: f32,
        weight: Weight,
        grey: u8,
        text: String,
    },
    Line {
        x: f32,
        y: f32,
        to_x: f32,
        to_y: f32,
        width: f32,
    },
    Shade {
        x: f32,
        y: f32,
        width: f32,
        height: f32,
    },
    /// A dashed line around a place.
    Frame {
        x: f32,
        y: f32,
        width: f32,
        height: f32,
    },
    Picture {
        x: f32,
        y: f32,
        width: f32,
        height: f32,
        tree: Box<usvg::Tree>,
    },
    Photo {
        x: f32,
        y: f32,
        width: f32,
        height: f32,
        image: krilla::image::Image,
    },
}

/// How the text of a line looks.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Style {
    size: f32,
    weight: Weight,
    grey: u8,
}

const TITLE: Style = Style { size: 20.0, weight: Weight::Bold, grey: 0 };
const HEADING: Style = Style { size: 13.0, weight: Weight::Bold, grey: 0 };
const BODY: Style = Style { size: BODY_SIZE, weight: Weight::Regular, grey: 20 };
const LABEL: Style = Style { size: BODY_SIZE, weight: Weight::Bold, grey: 20 };
const SMALL: Style = Style { size: SMALL_SIZE, weight: Weight::Regular, grey: 90 };

/// A document under construction.
pub struct Pages {
    format: PaperFormat,
    /// In which it is printed: the one that is spoken while it is made.
    language: Language,
    title: String,
    footer: String,
    /// The marks of each page, with the leaf that they belong to.
    pages: Vec<Vec<(Option<Leaf>, Mark)>>,
    y: f32,
    /// What there is to read, in its order.
    blocks: Vec<Block>,
    /// How many leaves there are, and the one to which marks belong now.
    leaves: usize,
    leaf: Option<Leaf>,
}

impl Pages {
    /// An empty document; `title` is for the reader's window, `footer` stands on every page.
    pub fn new(format: PaperFormat, title: impl Into<Text>, footer: impl Into<Text>) -> Self {
        let (title, footer) = (title.into().to_string(), footer.into().to_string());
        let (language, pages, blocks) = (spoken(), vec![Vec::new()], Vec::new());
        Self { format, language, title, footer, pages, y: MARGIN, blocks, leaves: 0, leaf: None }
    }

    /// Width that text and tables may take, in points.
    pub(crate) fn room(&self) -> f32 {
        self.format.size().0 - 2.0 * MARGIN
    }

    /// Height left on this page, in points.
    pub(crate) fn height_left(&self) -> f32 {
        self.format.size().1 - MARGIN - FOOTER - self.y
    }

    /// Goes on with a new page.
    pub(crate) fn new_page(&mut self) {
        self.pages.push(Vec::new());
        self.y = MARGIN;
    }

    /// Goes on with a new page unless `height` points are left on this one.
    pub(crate) fn need(&mut self, height: f32) {
        if self.height_left() < height && self.y > MARGIN {
            self.new_page();
        }
    }

    /// Leaves `height` points free.
    pub(crate) fn space(&mut self, height: f32) {
        self.y += height;
    }

    /// The title of the document.
    pub fn title(&mut self, text: impl Into<Text>) {
        self.titled(1, text.into().to_string(), TITLE);
        self.space(4.0);
    }

    /// A heading, kept together with what begins under it.
    pub fn heading(&mut self, text: impl Into<Text>) {
        self.need(70.0);
        if self.y > MARGIN {
            self.space(10.0);
        }
        self.titled(2, text.into().to_string(), HEADING);
        let (y, to_x) = (self.y + 1.0, MARGIN + self.room());
        self.mark(Mark::Line { x: MARGIN, y, to_x, to_y: y, width: 0.6 });
        self.space(6.0);
    }

    fn titled(&mut self, level: u16, text: String, style: Style) {
        let (page, y, room) = (self.pages.len() - 1, self.y, self.room());
        let leaf = self.leaf(|pages| pages.lines(&text, style, MARGIN, room));
        self.blocks.push(Block::Title { level, text, leaf, page, y });
    }

    /// Running text; its own line ends are kept.
    pub(crate) fn paragraph(&mut self, text: impl Into<Text>) {
        self.text(&text.into(), BODY);
        self.space(4.0);
    }

    /// A small grey line: a source, a hint.
    pub(crate) fn small(&mut self, text: impl Into<Text>) {
        self.text(&text.into(), SMALL);
        self.space(2.0);
    }

    /// A line larger than running text.
    pub(crate) fn large(&mut self, text: impl Into<Text>) {
        self.text(&text.into(), Style { weight: Weight::Regular, ..HEADING });
        self.space(4.0);
    }

    fn text(&mut self, text: &Text, style: Style) {
        let (text, room) = (text.to_string(), self.room());
        let leaf = self.leaf(|pages| pages.lines(&text, style, MARGIN, room));
        self.blocks.push(Block::Paragraph(leaf));
    }

    /// An empty place of this height over the whole width, for what is glued in, with words in its middle
    /// that say so.
    pub(crate) fn place_to_glue(&mut self, height: f32, says: &Text) {
        let says = says.to_string();
        self.need(height);
        let (y, room) = (self.y, self.room());
        self.mark(Mark::Frame { x: MARGIN, y, width: room, height });
        self.y = y + height / 2.0;
        let x = MARGIN + (room - fonts::width(&says, SMALL.weight) * SMALL.size) / 2.0;
        let leaf = self.leaf(|pages| pages.lines(&says, SMALL, x, room));
        self.blocks.push(Block::Paragraph(leaf));
        self.y = y + height;
        self.space(12.0);
    }

    /// Lines to sign on, beside one another, each with what belongs there below it.
    pub(crate) fn lines_to_sign(&mut self, below: &[Text]) {
        const ROOM_TO_WRITE: f32 = 44.0;
        const BETWEEN: f32 = 18.0;
        self.need(ROOM_TO_WRITE + 2.0 * SMALL_SIZE);
        self.space(ROOM_TO_WRITE);
        #[expect(clippy::cast_precision_loss, reason = "a row has a few")]
        let width = (self.room() + BETWEEN) / below.len().max(1) as f32 - BETWEEN;
        let (y, mut x) = (self.y, MARGIN);
        for says in below {
            self.mark(Mark::Line { x, y, to_x: x + width, to_y: y, width: 0.6 });
            self.y = y + 2.0;
            let leaf = self.leaf(|pages| pages.lines(&says.to_string(), SMALL, x, width));
            self.blocks.push(Block::Paragraph(leaf));
            x += width + BETWEEN;
        }
        self.space(6.0);
    }

    /// An SVG picture over the whole width, at most `most_height` points high; `alt` says what it shows.
    ///
    /// # Errors
    /// [`PdfError::NoSvg`] when the SVG cannot be read.
    pub fn picture(&mut self, svg: &str, alt: &Text, most_height: f32) -> Result<(), PdfError> {
        self.drawing(draw::read_svg(svg)?, alt, (self.room(), most_height));
        Ok(())
    }

    /// The kennel's own picture, in a box of at most this width and height at the left; nothing where
    /// it is none that may be drawn.
    pub fn logo(&mut self, svg: &str, alt: &Text, most: (f32, f32)) {
        if let Ok(tree) = logo::read(svg) {
            self.drawing(tree, alt, most);
        }
    }

    fn drawing(&mut self, tree: usvg::Tree, alt: &Text, (most_width, most_height): (f32, f32)) {
        let (own_width, own_height) = (tree.size().width(), tree.size().height());
        let scale = (most_width / own_width).min(most_height / own_height);
        let (width, height) = (own_width * scale, own_height * scale);
        self.need(height);
        let y = self.y;
        let picture = Mark::Picture { x: MARGIN, y, width, height, tree: Box::new(tree) };
        let leaf = self.leaf(|pages| pages.mark(picture));
        self.blocks.push(Block::Figure { alt: alt.to_string(), leaf });
        self.space(height + 6.0);
    }

    /// The finished document.
    ///
    /// # Errors
    /// [`PdfError::Writing`] when it cannot be written.
    pub fn finish(self) -> Result<Vec<u8>, PdfError> {
        draw::write(&self)
    }

    fn mark(&mut self, mark: Mark) {
        let leaf = self.leaf;
        if let Some(page) = self.pages.last_mut() {
            page.push((leaf, mark));
        }
    }

    /// What `draws` draws belongs together.
    fn leaf(&mut self, draws: impl FnOnce(&mut Self)) -> Leaf {
        let leaf = self.leaves;
        self.leaves += 1;
        self.leaf = Some(leaf);
        draws(self);
        self.leaf = None;
        leaf
    }

    /// What was drawn for these leaves says nothing that was not said.
    fn decoration(&mut self, leaves: &[(tags::Cell, Leaf)]) {
        for (leaf, _) in self.pages.last_mut().into_iter().flatten() {
            if leaves.iter().any(|(_, of)| *leaf == Some(*of)) {
                *leaf = None;
            }
        }
    }

    /// Lines of text from here downwards; goes on over pages.
    fn lines(&mut self, text: &str, style: Style, x: f32, room: f32) {
        self.first_lines(text, style, (x, room), usize::MAX);
    }

    /// No more lines of it than these.
    fn first_lines(&mut self, text: &str, style: Style, (x, room): (f32, f32), most: usize) {
        for line in text::lines(text, style.weight, style.size, room).into_iter().take(most) {
            let height = style.size * LINE_HEIGHT;
            self.need(height);
            let baseline = self.y + style.size;
            let Style { size, weight, grey } = style;
            self.mark(Mark::Text { x, baseline, size, weight, grey, text: line });
            self.y += height;
        }
    }
}

/// The sources of a table, each told once below it under its number.
#[derive(Debug, Default)]
pub(crate) struct Sources(Vec<String>);

impl Sources {
    /// The number of a source.
    pub fn number(&mut self, source: &str) -> usize {
        let known = self.0.iter().position(|known| known == source);
        known.unwrap_or_else(|| {
            self.0.push(source.to_owned());
            self.0.len() - 1
        }) + 1
    }

    /// Prints them with their numbers.
    pub(crate) fn print(&self, pages: &mut Pages) {
        for (index, source) in self.0.iter().enumerate() {
            pages.small(format!("{} {source}", index + 1));
        }
    }
}

#[cfg(test)]
mod tests;
