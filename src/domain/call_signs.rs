//! Signs seen on a dam or a pup, and what each means: the table `call_signs` of the rules.

use crate::advice::{CautionCode, Level};
use crate::dam_after_birth::DamSign;
use crate::rules::Status;
use catalogue::{Text, said};
use serde::{Deserialize, Serialize};
use std::sync::LazyLock;
use utoipa::ToSchema;

/// A sign seen on a pup.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, ToSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum PupSign {
    /// Limp, hardly moves.
    Limp,
    /// Blue or grey tongue or gums.
    Blue,
    /// Breathes hard or gasps.
    Gasping,
    /// Feels cold.
    Cold,
    /// Does not suck.
    NotSucking,
    /// Cries and does not settle.
    Crying,
    /// A tight, swollen belly.
    Bloated,
    /// Diarrhoea.
    Diarrhoea,
    /// Vomits, or milk comes from its nose.
    Vomiting,
    /// Weak.
    Weak,
    /// Trembles or has fits.
    Fits,
    /// Dry gums, skin that stays up when it is lifted.
    Dehydrated,
    /// A red, swollen or weeping navel.
    Navel,
}

impl PupSign {
    /// Every sign.
    pub const ALL: [Self; 13] = [
        Self::Limp,
        Self::Blue,
        Self::Gasping,
        Self::Cold,
        Self::NotSucking,
        Self::Crying,
        Self::Bloated,
        Self::Diarrhoea,
        Self::Vomiting,
        Self::Weak,
        Self::Fits,
        Self::Dehydrated,
        Self::Navel,
    ];

    /// The sign, as one of several.
    pub fn word(self) -> Text {
        match self {
            Self::Limp => said!("word-pup-limp"),
            Self::Blue => said!("word-pup-blue"),
            Self::Gasping => said!("word-pup-gasping"),
            Self::Cold => said!("word-pup-cold"),
            Self::NotSucking => said!("word-pup-not-sucking"),
            Self::Crying => said!("word-pup-crying"),
            Self::Bloated => said!("word-pup-bloated"),
            Self::Diarrhoea => said!("word-pup-diarrhoea"),
            Self::Vomiting => said!("word-pup-vomiting"),
            Self::Weak => said!("word-pup-weak"),
            Self::Fits => said!("word-pup-fits"),
            Self::Dehydrated => said!("word-pup-dehydrated"),
            Self::Navel => said!("word-pup-navel"),
        }
    }
}

/// What a sign means.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct SignMeaning<S> {
    /// The sign.
    pub sign: S,
    /// The code of what is said.
    pub code: CautionCode,
    /// How soon to act.
    pub level: Level,
    /// What to do: of a pup as the rest of a sentence, of a dam as a whole one.
    pub what: String,
    /// What it adds to the log odds that a pup is fading; of a dam nothing.
    #[serde(default)]
    pub fading_log_odds: f64,
    /// Where it comes from.
    pub source: String,
    /// How it was confirmed.
    #[serde(rename = "confirmation")]
    pub status: Status,
}

impl SignMeaning<DamSign> {
    /// What to do.
    pub fn said(&self) -> Text {
        Text::keyed("call-sign-dam", &key(self.sign), &*self.what)
    }
}

impl SignMeaning<PupSign> {
    /// What to do about the pup of this name.
    pub(crate) fn said_of(&self, pup: &Text) -> Text {
        let sign = Text::keyed("call-sign-pup", &key(self.sign), &*self.what);
        said!("alarm-newborn-sign", pup = pup, sign = sign)
    }
}

/// The word by which the table names a sign.
fn key(sign: impl Serialize) -> String {
    let word = serde_json::to_value(sign).unwrap_or_default();
    word.as_str().unwrap_or_default().to_owned()
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SignTable {
    dam: Vec<SignMeaning<DamSign>>,
    pup: Vec<SignMeaning<PupSign>>,
}

#[expect(clippy::expect_used, reason = "embedded at compile time; a test reads it")]
static SIGNS: LazyLock<SignTable> = LazyLock::new(|| {
    toml::from_str(include_str!("rules/call_signs.toml")).expect("call_signs.toml")
});

/// The meaning of a sign of a dam; `None` for those that speak together, as signs of low calcium.
pub(crate) fn dam_sign(sign: DamSign) -> Option<&'static SignMeaning<DamSign>> {
    SIGNS.dam.iter().find(|row| row.sign == sign)
}

/// The meaning of a sign of a pup; a test holds that each has one.
pub(crate) fn pup_sign(sign: PupSign) -> Option<&'static SignMeaning<PupSign>> {
    SIGNS.pup.iter().find(|row| row.sign == sign)
}

#[cfg(test)]
mod tests {
    use super::*;
    use catalogue::{Language, speaking};

    #[test]
    fn every_sign_speaks() {
        for sign in PupSign::ALL {
            let row = pup_sign(sign).unwrap();
            assert!(row.level >= Level::Act && row.fading_log_odds > 0.0, "{sign:?}");
        }
        for sign in DamSign::ALL {
            let together = DamSign::EARLY.contains(&sign) || DamSign::GRAVE.contains(&sign);
            assert_eq!(dam_sign(sign).is_none(), together, "{sign:?}");
        }
    }

    /// A sign without an entry would be told in English.
    #[test]
    fn every_sign_is_said_in_german() {
        speaking(Language::German, || {
            for row in &SIGNS.dam {
                assert_ne!(row.said(), row.what.as_str(), "{:?}", row.sign);
            }
            for row in &SIGNS.pup {
                let said = row.said_of(&Text::verbatim("Moss"));
                assert!(said.contains("Moss ") && !said.contains(&row.what), "{said}");
            }
        });
        let limp = pup_sign(PupSign::Limp).unwrap().said_of(&Text::verbatim("Moss"));
        assert!(limp.contains("Moss is limp: warm it"), "{limp}");
    }
}
