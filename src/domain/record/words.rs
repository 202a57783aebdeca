//! Fixed sets of words.

use crate::fault::{near, quoted};
use catalogue::{Text, said};

/// That a text is none of these words, and which one may be meant.
pub(crate) fn none_of(text: &str, words: &[&'static str]) -> Text {
    let (value, known) = (quoted(text), words.join(", "));
    match near(text, words.iter().copied()) {
        Some(near) => {
            said!("fault-unknown-value-word-near", value = value, known = known, near = near)
        }
        None => said!("fault-unknown-value-word", value = value, known = known),
    }
}

/// Defines an enum whose values are written as single words, in JSON and in the database alike.
macro_rules! words {
    ($(#[$meta:meta])* $name:ident { $($(#[$value_meta:meta])* $value:ident = $word:tt),+ $(,)? }) => {
        $(#[$meta])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize, utoipa::ToSchema)]
        pub enum $name {
            $($(#[$value_meta])* #[serde(rename = $word)] $value,)+
        }

        impl $name {
            /// Every value, in order of definition.
            pub const ALL: &'static [Self] = &[$(Self::$value),+];

            /// The word it is written as.
            pub fn as_str(self) -> &'static str {
                match self { $(Self::$value => $word,)+ }
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str(self.as_str())
            }
        }

        impl std::str::FromStr for $name {
            type Err = catalogue::Text;

            fn from_str(text: &str) -> Result<Self, catalogue::Text> {
                match text {
                    $($word => Ok(Self::$value),)+
                    _ => Err($crate::record::words::none_of(text, &[$($word),+])),
                }
            }
        }
    };
}

pub(crate) use words;

#[cfg(test)]
mod tests {
    use super::super::Sex;
    use catalogue::{Language, speaking};

    #[test]
    fn a_word_that_is_not_known_is_told_with_the_one_that_is_near() {
        let refused = |text: &str| text.parse::<Sex>().unwrap_err();
        assert_eq!(refused("bitch"), "\"bitch\" is none of female, male");
        let near = refused("femal");
        assert_eq!(near, "\"femal\" is none of female, male; did you mean female?");
        speaking(Language::German, || {
            assert_eq!(near, "\"femal\" ist keines von female, male; meintest du female?");
        });
    }
}
