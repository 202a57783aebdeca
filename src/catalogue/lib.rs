//! What the service says, in each language, by code.
//!
//! Code never writes a sentence: it names an entry of the catalogue and the figures that stand in it
//! ([`said!`]), and gets a [`Text`]. A text becomes words when it is written, in the language spoken then
//! ([`speaking`]): an answer's is its reader's, a print's is chosen with it.
//!
//! A language is one file of entries (Fluent, <https://projectfluent.org>) beside this one. To add a third:
//! copy `en.ftl` under the new tag, translate it, and add the tag to [`Language`]; how it writes figures
//! and days stands in `figures.rs`. A test names each entry that is missing, that nobody uses, or whose
//! figures differ from the English one's.

mod bundles;
mod figures;
mod language;
mod text;
mod value;

pub use language::{Language, Speaking, speaking, spoken};
pub use text::Text;
pub use value::{Value, figure};

/// The entry's source in a language, for what checks the catalogue.
pub use bundles::source;

/// A text of the catalogue: its entry, and what stands in it by name.
///
/// `said!("growth-gained", weight_g = figure(312.0, 0), pup = label)`
#[macro_export]
macro_rules! said {
    ($id:literal $(, $name:ident = $value:expr)* $(,)?) => {
        $crate::Text::said($id, vec![$((stringify!($name), $crate::Value::from($value))),*])
    };
}
