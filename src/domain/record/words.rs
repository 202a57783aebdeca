//! Fixed sets of words.

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
            type Err = String;

            fn from_str(text: &str) -> Result<Self, String> {
                match text {
                    $($word => Ok(Self::$value),)+
                    _ => Err(format!("{} is none of {}", $crate::fault::quoted(text), [$($word),+].join(", "))),
                }
            }
        }
    };
}

pub(crate) use words;
