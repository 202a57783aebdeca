//! The embedded fonts: which of them has a letter, and how wide it is.
//!
//! DejaVu Sans covers the Latin, Greek, Cyrillic, Hebrew and Arabic scripts and more, Droid Sans
//! Fallback the Chinese, Japanese and Korean ones; licences beside the files.

use krilla::text::Font;
use std::sync::{Arc, LazyLock};
use ttf_parser::Face;

const REGULAR: &[u8] = include_bytes!("../fonts/DejaVuSans.ttf");
const BOLD: &[u8] = include_bytes!("../fonts/DejaVuSans-Bold.ttf");
const FALLBACK: &[u8] = include_bytes!("../fonts/DroidSansFallback.ttf");
/// What stands for a letter that no font has.
const UNKNOWN_LETTER: char = '\u{25A1}';

/// Upright weights of text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Weight {
    /// Running text.
    Regular,
    /// Headings and labels.
    Bold,
}

/// One of the embedded fonts.
struct Embedded {
    font: Font,
    face: Face<'static>,
}

impl Embedded {
    fn new(data: &'static [u8]) -> Option<Self> {
        Some(Self { font: Font::new(data.into(), 0)?, face: Face::parse(data, 0).ok()? })
    }

    fn has(&self, letter: char) -> bool {
        self.face.glyph_index(letter).is_some()
    }

    /// Width of a letter for a size of 1.
    fn width(&self, letter: char) -> f32 {
        let glyph = self.face.glyph_index(letter).unwrap_or_default();
        let advance = self.face.glyph_hor_advance(glyph).unwrap_or_default();
        f32::from(advance) / f32::from(self.face.units_per_em())
    }
}

/// The fonts, read once.
struct Fonts {
    regular: Embedded,
    bold: Embedded,
    fallback: Embedded,
}

#[expect(clippy::expect_used, reason = "embedded at compile time; a test reads them")]
static FONTS: LazyLock<Fonts> = LazyLock::new(|| Fonts {
    regular: Embedded::new(REGULAR).expect("embedded font"),
    bold: Embedded::new(BOLD).expect("embedded font"),
    fallback: Embedded::new(FALLBACK).expect("embedded font"),
});

/// A stretch of text in one font.
pub struct Run {
    /// The font.
    pub font: Font,
    /// The text.
    pub text: String,
    /// Its width for a size of 1.
    pub width: f32,
}

fn font_of(letter: char, weight: Weight) -> (&'static Embedded, char) {
    let own = match weight {
        Weight::Regular => &FONTS.regular,
        Weight::Bold => &FONTS.bold,
    };
    [own, &FONTS.regular, &FONTS.fallback]
        .into_iter()
        .find(|font| font.has(letter))
        .map_or((own, UNKNOWN_LETTER), |font| (font, letter))
}

/// The text in stretches of one font each; control characters are dropped.
pub(crate) fn runs(text: &str, weight: Weight) -> Vec<Run> {
    let mut runs: Vec<Run> = Vec::new();
    for letter in text.chars().filter(|letter| !letter.is_control()) {
        let (embedded, letter) = font_of(letter, weight);
        let width = embedded.width(letter);
        match runs.last_mut().filter(|run| run.font == embedded.font) {
            Some(run) => {
                run.text.push(letter);
                run.width += width;
            }
            None => {
                let font = embedded.font.clone();
                runs.push(Run { font, text: letter.to_string(), width });
            }
        }
    }
    runs
}

/// Width of a text for a size of 1.
pub(crate) fn width(text: &str, weight: Weight) -> f32 {
    runs(text, weight).iter().map(|run| run.width).sum()
}

/// Whether a line may end before this letter without a blank: scripts that write none.
pub(crate) fn breaks_anywhere(letter: char) -> bool {
    !FONTS.regular.has(letter) && FONTS.fallback.has(letter)
}

/// The same fonts for the text of embedded SVG.
pub(crate) fn svg_fonts() -> Arc<usvg::fontdb::Database> {
    static DATABASE: LazyLock<Arc<usvg::fontdb::Database>> = LazyLock::new(|| {
        let mut database = usvg::fontdb::Database::new();
        for font in [REGULAR, BOLD, FALLBACK] {
            database.load_font_data(font.to_vec());
        }
        database.set_sans_serif_family("DejaVu Sans");
        database.set_serif_family("DejaVu Sans");
        database.set_monospace_family("DejaVu Sans");
        Arc::new(database)
    });
    Arc::clone(&DATABASE)
}
