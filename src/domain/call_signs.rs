//! Signs seen on a dam or a pup, and what each means: the table `call_signs` of the rules.

use crate::advice::{CautionCode, Level};
use crate::dam_after_birth::DamSign;
use crate::rules::Status;
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
}

/// What a sign means.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SignMeaning<S> {
    /// The sign.
    pub sign: S,
    /// The code of what is said.
    pub code: CautionCode,
    /// How soon to act.
    pub level: Level,
    /// What to do: of a pup as the rest of a sentence, of a dam as a whole one.
    pub what: String,
    /// Where it comes from.
    pub source: String,
    /// How it was confirmed.
    pub status: Status,
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
pub fn dam_sign(sign: DamSign) -> Option<&'static SignMeaning<DamSign>> {
    SIGNS.dam.iter().find(|row| row.sign == sign)
}

/// The meaning of a sign of a pup; a test holds that each has one.
pub fn pup_sign(sign: PupSign) -> Option<&'static SignMeaning<PupSign>> {
    SIGNS.pup.iter().find(|row| row.sign == sign)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_sign_speaks() {
        use PupSign::*;
        for sign in
            [Limp, Blue, Gasping, Cold, NotSucking, Crying, Bloated, Diarrhoea, Vomiting, Weak]
        {
            assert!(pup_sign(sign).is_some_and(|row| row.level >= Level::Act), "{sign:?}");
        }
        for sign in DamSign::ALL {
            let together = sign.is_of_low_calcium();
            assert_eq!(dam_sign(sign).is_none(), together, "{sign:?}");
        }
    }
}
