//! Tables and fields: rows that stay whole, titles on every page.

use super::{
    BODY, CELL_PAD, LABEL, LINE_HEIGHT, MARGIN, Mark, Pages, Style,
    fonts::width,
    tags::{Block, Cell, Leaf},
    text,
};
use catalogue::Text;

/// A column of a table: its title and its share of the width.
#[derive(Debug, Clone)]
pub struct Column {
    /// Title, repeated on every page.
    pub title: Text,
    /// Share of the width; the shares of a table are relative to their sum.
    pub share: f32,
}

impl Pages {
    /// Labels with their values, one under the other.
    pub fn fields(&mut self, fields: &[(Text, String)]) {
        let label_room = self.room() * 0.3;
        let mut rows = Vec::new();
        for (label, value) in fields {
            let value_room = self.room() - label_room - 8.0;
            let height = block_height(value, BODY, value_room);
            self.need(height);
            let top = self.y;
            let title =
                self.leaf(|pages| pages.lines(&label.to_string(), LABEL, MARGIN, label_room));
            let after_label = self.y;
            self.y = top;
            let x = MARGIN + label_room + 8.0;
            let value = self.leaf(|pages| pages.lines(value, BODY, x, value_room));
            self.y = self.y.max(after_label) + 1.5;
            rows.push(vec![(Cell::RowTitle, title), (Cell::Value, value)]);
        }
        self.blocks.push(Block::Table(rows));
        self.space(4.0);
    }

    /// A table whose rows stay whole; the titles are repeated on every page.
    pub fn table(&mut self, columns: &[Column], rows: &[Vec<String>]) {
        self.table_to_fill(columns, rows, 0, 0.0);
    }

    /// A table that goes on with so many empty rows, each so high, to write in by hand.
    pub(crate) fn table_to_fill(
        &mut self,
        columns: &[Column],
        rows: &[Vec<String>],
        empty: usize,
        height: f32,
    ) {
        let (titles, widths) = self.columns(columns);
        self.need(3.0 * row_height(&titles, &widths, LABEL));
        let mut all = vec![self.row(&titles, &widths, LABEL, 0.0)];
        let blank = vec![String::new(); columns.len()];
        let filled = rows.iter().map(|row| (row, 0.0));
        for (row, least_height) in filled.chain(std::iter::repeat_n((&blank, height), empty)) {
            domain::stop::look();
            if self.height_left() < row_height(row, &widths, BODY).max(least_height) {
                self.new_page();
                // Again for the eye: who is read to has heard it.
                let again = self.row(&titles, &widths, LABEL, 0.0);
                self.decoration(&again);
            }
            all.push(self.row(row, &widths, BODY, least_height));
        }
        self.blocks.push(Block::Table(all));
        self.space(6.0);
    }

    /// How high a page's rest is that such a table has for its empty rows after these, when so much is to
    /// stand below it.
    pub(crate) fn left_for_empty(
        &self,
        columns: &[Column],
        rows: &[Vec<String>],
        below: f32,
    ) -> f32 {
        let (titles, widths) = self.columns(columns);
        let filled: f32 = rows.iter().map(|row| row_height(row, &widths, BODY)).sum();
        self.height_left() - row_height(&titles, &widths, LABEL) - filled - below
    }

    /// Titles and widths: by the shares, but none narrower than a word of its title, which would be broken
    /// in a language of long words; the others give way.
    fn columns(&self, columns: &[Column]) -> (Vec<String>, Vec<f32>) {
        let titles: Vec<String> = columns.iter().map(|column| column.title.to_string()).collect();
        let least: Vec<f32> = titles.iter().map(|title| least_width(title)).collect();
        let mut narrow: Vec<Option<f32>> = vec![None; columns.len()];
        loop {
            let taken: f32 = narrow.iter().flatten().sum();
            let others = narrow.iter().zip(columns).filter(|(narrow, _)| narrow.is_none());
            let shares: f32 = others.map(|(_, column)| column.share).sum();
            let width = |column: &Column| (self.room() - taken) * column.share / shares;
            let next = (0..columns.len())
                .find(|place| narrow[*place].is_none() && width(&columns[*place]) < least[*place]);
            match next {
                Some(place) => narrow[place] = Some(least[place]),
                None => {
                    let of_each = narrow.iter().zip(columns);
                    let widths = of_each.map(|(own, column)| own.unwrap_or_else(|| width(column)));
                    return (titles, widths.collect());
                }
            }
        }
    }

    fn row(
        &mut self,
        cells: &[String],
        widths: &[f32],
        style: Style,
        least_height: f32,
    ) -> Vec<(Cell, Leaf)> {
        let height = row_height(cells, widths, style).max(least_height);
        let (top, room) = (self.y, self.room());
        let is_title = style == LABEL;
        if is_title {
            self.mark(Mark::Shade { x: MARGIN, y: top, width: room, height });
        }
        let mut leaves = Vec::new();
        let mut x = MARGIN;
        for (cell, width) in cells.iter().zip(widths) {
            self.y = top + CELL_PAD;
            // A cell without content would be left out, and those beside it shift.
            let content = if cell.is_empty() { " " } else { cell };
            let room = width - 2.0 * CELL_PAD;
            let leaf = self.leaf(|pages| pages.lines(content, style, x + CELL_PAD, room));
            leaves.push((if is_title { Cell::ColumnTitle } else { Cell::Value }, leaf));
            self.mark(Mark::Line { x, y: top, to_x: x, to_y: top + height, width: 0.3 });
            x += width;
        }
        for y in [top, top + height] {
            self.mark(Mark::Line { x: MARGIN, y, to_x: MARGIN + room, to_y: y, width: 0.3 });
        }
        self.mark(Mark::Line { x, y: top, to_x: x, to_y: top + height, width: 0.3 });
        self.y = top + height;
        leaves
    }
}

/// What the longest word of a title takes, with what is left free around it.
fn least_width(title: &str) -> f32 {
    let words = title.split_whitespace().map(|word| width(word, LABEL.weight) * LABEL.size);
    // A hair more, so that rounding breaks nothing.
    words.fold(0.0, f32::max) + 2.0 * CELL_PAD + 0.1
}

pub(super) fn block_height(text: &str, style: Style, room: f32) -> f32 {
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
