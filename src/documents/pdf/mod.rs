//! Pages to print: text that wraps, tables that go on over pages, and charts.
//!
//! Build a document from top to bottom with [`Pages`]; what does not fit goes on the next page.
//! Sizes are in points (1/72 inch). Any text may be of any script that the embedded fonts cover.

mod draw;
mod fonts;
pub mod logo;
mod text;

pub use fonts::Weight;

use serde::{Deserialize, Serialize};
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
    pub fn size(self) -> (f32, f32) {
        match self {
            Self::A4 => (595.276, 841.89),
            Self::Letter => (612.0, 792.0),
        }
    }
}

/// Why no document was made.
#[derive(Debug, thiserror::Error)]
pub enum PdfError {
    /// The SVG cannot be read.
    #[error("the picture is not SVG that can be drawn: {0}")]
    Picture(String),
    /// The document cannot be written.
    #[error("the document could not be written: {0}")]
    Writing(String),
}

const MARGIN: f32 = 48.0;
const FOOTER: f32 = 28.0;
const BODY_SIZE: f32 = 9.5;
const SMALL_SIZE: f32 = 7.5;
const LINE_HEIGHT: f32 = 1.35;
const CELL_PAD: f32 = 3.0;

/// One thing on a page, in points from its top left corner.
enum Mark {
    Text { x: f32, baseline: f32, size: f32, weight: Weight, grey: u8, text: String },
    Line { x: f32, y: f32, to_x: f32, to_y: f32, width: f32 },
    Shade { x: f32, y: f32, width: f32, height: f32 },
    Picture { x: f32, y: f32, width: f32, height: f32, tree: Box<usvg::Tree> },
}

/// How the text of a line looks.
#[derive(Clone, Copy)]
struct Style {
    size: f32,
    weight: Weight,
    grey: u8,
}

const BODY: Style = Style { size: BODY_SIZE, weight: Weight::Regular, grey: 20 };
const LABEL: Style = Style { size: BODY_SIZE, weight: Weight::Bold, grey: 20 };
const SMALL: Style = Style { size: SMALL_SIZE, weight: Weight::Regular, grey: 90 };

/// A column of a table: its title and its share of the width.
#[derive(Debug, Clone, Copy)]
pub struct Column<'a> {
    /// Title, repeated on every page.
    pub title: &'a str,
    /// Share of the width; the shares of a table are relative to their sum.
    pub share: f32,
}

/// A document under construction.
pub struct Pages {
    format: PaperFormat,
    title: String,
    footer: String,
    pages: Vec<Vec<Mark>>,
    y: f32,
}

impl Pages {
    /// An empty document; `title` is for the reader's window, `footer` stands on every page.
    pub fn new(format: PaperFormat, title: impl Into<String>, footer: impl Into<String>) -> Self {
        let (title, footer) = (title.into(), footer.into());
        Self { format, title, footer, pages: vec![Vec::new()], y: MARGIN }
    }

    /// Width that text and tables may take, in points.
    pub fn room(&self) -> f32 {
        self.format.size().0 - 2.0 * MARGIN
    }

    /// Height left on this page, in points.
    pub fn height_left(&self) -> f32 {
        self.format.size().1 - MARGIN - FOOTER - self.y
    }

    /// Goes on with a new page.
    pub fn new_page(&mut self) {
        self.pages.push(Vec::new());
        self.y = MARGIN;
    }

    /// Goes on with a new page unless `height` points are left on this one.
    pub fn need(&mut self, height: f32) {
        if self.height_left() < height && self.y > MARGIN {
            self.new_page();
        }
    }

    /// Leaves `height` points free.
    pub fn space(&mut self, height: f32) {
        self.y += height;
    }

    /// The title of the document.
    pub fn title(&mut self, text: &str) {
        self.lines(text, Style { size: 20.0, weight: Weight::Bold, grey: 0 }, MARGIN, self.room());
        self.space(4.0);
    }

    /// A heading, kept together with what begins under it.
    pub fn heading(&mut self, text: &str) {
        self.need(70.0);
        if self.y > MARGIN {
            self.space(10.0);
        }
        self.lines(text, Style { size: 13.0, weight: Weight::Bold, grey: 0 }, MARGIN, self.room());
        let (y, to_x) = (self.y + 1.0, MARGIN + self.room());
        self.mark(Mark::Line { x: MARGIN, y, to_x, to_y: y, width: 0.6 });
        self.space(6.0);
    }

    /// Running text; its own line ends are kept.
    pub fn paragraph(&mut self, text: &str) {
        self.lines(text, BODY, MARGIN, self.room());
        self.space(4.0);
    }

    /// A small grey line: a source, a hint.
    pub fn small(&mut self, text: &str) {
        self.lines(text, SMALL, MARGIN, self.room());
        self.space(2.0);
    }

    /// Labels with their values, one under the other.
    pub fn fields(&mut self, fields: &[(&str, String)]) {
        let label_room = self.room() * 0.3;
        for (label, value) in fields {
            let value_room = self.room() - label_room - 8.0;
            let height = block_height(value, BODY, value_room);
            self.need(height);
            let top = self.y;
            self.lines(label, LABEL, MARGIN, label_room);
            let after_label = self.y;
            self.y = top;
            self.lines(value, BODY, MARGIN + label_room + 8.0, value_room);
            self.y = self.y.max(after_label) + 1.5;
        }
        self.space(4.0);
    }

    /// A table whose rows stay whole; the titles are repeated on every page.
    pub fn table(&mut self, columns: &[Column<'_>], rows: &[Vec<String>]) {
        self.rows(columns, rows, 0.0);
    }

    /// An empty table to write in by hand: so many rows, each so high.
    pub fn blank_table(&mut self, columns: &[Column<'_>], rows: usize, row_height: f32) {
        let empty = vec![vec![String::new(); columns.len()]; rows];
        self.rows(columns, &empty, row_height);
    }

    fn rows(&mut self, columns: &[Column<'_>], rows: &[Vec<String>], least_height: f32) {
        let sum: f32 = columns.iter().map(|column| column.share).sum();
        let widths: Vec<f32> =
            columns.iter().map(|column| self.room() * column.share / sum).collect();
        let titles: Vec<String> = columns.iter().map(|column| column.title.to_owned()).collect();
        self.need(3.0 * row_height(&titles, &widths, LABEL));
        self.row(&titles, &widths, LABEL, 0.0);
        for row in rows {
            domain::stop::look();
            let height = row_height(row, &widths, BODY).max(least_height);
            if self.height_left() < height {
                self.new_page();
                self.row(&titles, &widths, LABEL, 0.0);
            }
            self.row(row, &widths, BODY, least_height);
        }
        self.space(6.0);
    }

    fn row(&mut self, cells: &[String], widths: &[f32], style: Style, least_height: f32) {
        let height = row_height(cells, widths, style).max(least_height);
        let (top, room) = (self.y, self.room());
        if style.weight == Weight::Bold {
            self.mark(Mark::Shade { x: MARGIN, y: top, width: room, height });
        }
        let mut x = MARGIN;
        for (cell, width) in cells.iter().zip(widths) {
            self.y = top + CELL_PAD;
            self.lines(cell, style, x + CELL_PAD, width - 2.0 * CELL_PAD);
            self.mark(Mark::Line { x, y: top, to_x: x, to_y: top + height, width: 0.3 });
            x += width;
        }
        for y in [top, top + height] {
            self.mark(Mark::Line { x: MARGIN, y, to_x: MARGIN + room, to_y: y, width: 0.3 });
        }
        self.mark(Mark::Line { x, y: top, to_x: x, to_y: top + height, width: 0.3 });
        self.y = top + height;
    }

    /// An SVG picture over the whole width, at most `most_height` points high.
    ///
    /// # Errors
    /// [`PdfError::Picture`] when the SVG cannot be read.
    pub fn picture(&mut self, svg: &str, most_height: f32) -> Result<(), PdfError> {
        self.drawing(draw::read_svg(svg)?, self.room(), most_height);
        Ok(())
    }

    /// The kennel's own picture, in a box of at most this width and height at the left; nothing where
    /// it is none that may be drawn.
    pub fn logo(&mut self, svg: &str, most_width: f32, most_height: f32) {
        if let Ok(tree) = logo::read(svg) {
            self.drawing(tree, most_width, most_height);
        }
    }

    fn drawing(&mut self, tree: usvg::Tree, most_width: f32, most_height: f32) {
        let (own_width, own_height) = (tree.size().width(), tree.size().height());
        let scale = (most_width / own_width).min(most_height / own_height);
        let (width, height) = (own_width * scale, own_height * scale);
        self.need(height);
        let y = self.y;
        self.mark(Mark::Picture { x: MARGIN, y, width, height, tree: Box::new(tree) });
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
        if let Some(page) = self.pages.last_mut() {
            page.push(mark);
        }
    }

    /// Lines of text from here downwards; goes on over pages.
    fn lines(&mut self, text: &str, style: Style, x: f32, room: f32) {
        for line in text::lines(text, style.weight, style.size, room) {
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
pub struct Sources(Vec<String>);

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
    pub fn print(&self, pages: &mut Pages) {
        for (index, source) in self.0.iter().enumerate() {
            pages.small(&format!("{} {source}", index + 1));
        }
    }
}

fn block_height(text: &str, style: Style, room: f32) -> f32 {
    let lines = text::lines(text, style.weight, style.size, room).len();
    #[expect(clippy::cast_precision_loss, reason = "a text has no 2^23 lines")]
    let lines = lines as f32;
    lines * style.size * LINE_HEIGHT
}

fn row_height(cells: &[String], widths: &[f32], style: Style) -> f32 {
    let heights = cells
        .iter()
        .zip(widths)
        .map(|(cell, width)| block_height(cell, style, width - 2.0 * CELL_PAD) + 2.0 * CELL_PAD);
    heights.fold(style.size * LINE_HEIGHT + 2.0 * CELL_PAD, f32::max)
}

#[cfg(test)]
mod tests;
