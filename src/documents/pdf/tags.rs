//! What pages say to a reader that speaks them: titles, paragraphs, tables and pictures, in their order.

use krilla::{
    destination::XyzDestination,
    geom::Point,
    outline::{Outline, OutlineNode},
    tagging::{Identifier, TableHeaderScope, Tag, TagGroup, TagTree},
};
use std::num::NonZeroU16;

/// Marks that belong together, by number; what belongs to none is decoration.
pub(super) type Leaf = usize;

/// What a cell of a table is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Cell {
    ColumnTitle,
    RowTitle,
    Value,
}

/// A part of the document, in reading order.
#[derive(Debug)]
pub(super) enum Block {
    /// A title of level 1 or 2, and where it stands.
    Title {
        level: u16,
        text: String,
        leaf: Leaf,
        page: usize,
        y: f32,
    },
    Paragraph(Leaf),
    /// A picture, and what it shows in words.
    Figure {
        alt: String,
        leaf: Leaf,
    },
    /// The rows of a table.
    Table(Vec<Vec<(Cell, Leaf)>>),
}

/// The structure of the document, with what was drawn for each leaf.
pub(super) fn tree(blocks: &[Block], mut leaves: Vec<Vec<Identifier>>) -> TagTree {
    let mut filled = |mut group: TagGroup, leaf: Leaf| {
        let drawn = leaves.get_mut(leaf).map(std::mem::take).unwrap_or_default();
        for identifier in drawn {
            group.push(identifier);
        }
        group
    };
    let mut tree = TagTree::new();
    for block in blocks {
        tree.push(match block {
            Block::Title { level, text, leaf, .. } => {
                let level = NonZeroU16::new(*level).unwrap_or(NonZeroU16::MIN);
                filled(TagGroup::new(Tag::Hn(level, Some(text.clone()))), *leaf)
            }
            Block::Paragraph(leaf) => filled(TagGroup::new(Tag::P), *leaf),
            Block::Figure { alt, leaf } => {
                filled(TagGroup::new(Tag::Figure(Some(alt.clone()))), *leaf)
            }
            Block::Table(rows) => {
                let mut table = TagGroup::new(Tag::Table);
                for row in rows {
                    let mut cells = TagGroup::new(Tag::TR);
                    for (cell, leaf) in row {
                        let group = match cell {
                            Cell::ColumnTitle => TagGroup::new(Tag::TH(TableHeaderScope::Column)),
                            Cell::RowTitle => TagGroup::new(Tag::TH(TableHeaderScope::Row)),
                            Cell::Value => TagGroup::new(Tag::TD),
                        };
                        cells.push(filled(group, *leaf));
                    }
                    table.push(cells);
                }
                table
            }
        });
    }
    tree
}

/// The titles as a reader's list of contents.
pub(super) fn outline(blocks: &[Block]) -> Outline {
    let mut outline = Outline::new();
    for block in blocks {
        if let Block::Title { text, page, y, .. } = block {
            let place = XyzDestination::new(*page, Point::from_xy(0.0, *y));
            outline.push_child(OutlineNode::new(text.clone(), place));
        }
    }
    outline
}
