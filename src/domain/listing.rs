//! Texts of any number, one after the other.

use catalogue::{Text, said};

/// `a, b, c`; nothing of none.
pub(crate) fn commas(texts: impl IntoIterator<Item = Text>) -> Text {
    let joined = |begin, end| said!("listing-comma", begin = begin, end = end);
    texts.into_iter().reduce(joined).unwrap_or_default()
}

/// `a; b; c`, for texts that hold commas themselves; nothing of none.
pub(crate) fn semicolons(texts: impl IntoIterator<Item = Text>) -> Text {
    let joined = |begin, end| said!("listing-semicolon", begin = begin, end = end);
    texts.into_iter().reduce(joined).unwrap_or_default()
}
