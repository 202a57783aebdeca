//! What a dog's colour genotype looks like: epistasis of the loci, and names for the result.
//!
//! Kerns JA et al. 2007, Genetics 176:1679-1689, doi:10.1534/genetics.107.074237: e/e is yellow
//! whatever A and K; KB with E is black whatever A; ky/ky shows A; kbr is brindle where A would
//! be yellow. B and D change the dark pigment, M and H mottle it, S takes pigment away.

use crate::listing::commas;
use catalogue::{Text, said};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// Dark pigment, by B and D.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum DarkPigment {
    /// B and D.
    Black,
    /// b/b: liver, chocolate.
    Brown,
    /// d/d: diluted black.
    Blue,
    /// b/b and d/d: diluted brown, isabella.
    Lilac,
}

/// Where dark and yellow pigment stand, by E, K and A.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum CoatPattern {
    /// Dark all over (KB, or a/a).
    Solid,
    /// Yellow to red with at most dark tips (Ay).
    FawnSable,
    /// Ay with dark stripes.
    Brindle,
    /// Banded hairs (aw).
    WolfSable,
    /// aw with stripes.
    BrindleWolfSable,
    /// Dark saddle on yellow (asa).
    SaddleTan,
    /// asa with striped yellow.
    BrindleSaddleTan,
    /// Dark with yellow points (at).
    TanPoints,
    /// at with striped points.
    BrindlePoints,
    /// at with Eg: pale face and points spread upward.
    Grizzle,
    /// e/e: yellow to red all over.
    RecessiveRed,
}

/// Merle, by M and H; not seen on a coat without dark pigment.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum MerlePattern {
    /// m/m, or cryptic.
    None,
    /// One copy.
    Merle,
    /// Two copies.
    DoubleMerle,
    /// Merle with H/h.
    Harlequin,
    /// e/e hides whether there is merle.
    Hidden,
}

/// White by the classical series of S.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum WhiteSpotting {
    /// S/S.
    None,
    /// One S: none to small marks.
    SmallMarks,
    /// si above sp and sw: collar, chest and feet.
    Irish,
    /// sp above sw.
    Piebald,
    /// sw/sw.
    ExtremeWhite,
}

/// A colour that can be told by eye.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, ToSchema)]
pub struct CoatPhenotype {
    /// Dark pigment of coat and nose; of a red dog the nose's alone.
    pub dark_pigment: DarkPigment,
    /// Pattern.
    pub pattern: CoatPattern,
    /// Dark mask (Em), where a pattern lets it show.
    pub mask: bool,
    /// Merle or harlequin.
    pub merle: MerlePattern,
    /// White.
    pub white: WhiteSpotting,
}

/// What E allows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Extension {
    Mask,
    Normal,
    Grizzle,
    Red,
}

/// What K allows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum BlackLocus {
    Solid,
    Brindle,
    Yellow,
}

/// What A shows where K lets it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Agouti {
    Fawn,
    Wolf,
    Saddle,
    Points,
    Black,
}

/// Pattern and mask of the three loci together.
pub(super) fn pattern(e: Extension, k: BlackLocus, a: Agouti) -> (CoatPattern, bool) {
    if e == Extension::Red {
        return (CoatPattern::RecessiveRed, false);
    }
    if k == BlackLocus::Solid || a == Agouti::Black {
        return (CoatPattern::Solid, false);
    }
    let brindle = k == BlackLocus::Brindle;
    let shown = match (a, brindle) {
        (Agouti::Fawn, false) => CoatPattern::FawnSable,
        (Agouti::Fawn, true) => CoatPattern::Brindle,
        (Agouti::Wolf, false) => CoatPattern::WolfSable,
        (Agouti::Wolf, true) => CoatPattern::BrindleWolfSable,
        (Agouti::Saddle, false) => CoatPattern::SaddleTan,
        (Agouti::Saddle, true) => CoatPattern::BrindleSaddleTan,
        (Agouti::Points, false) if e == Extension::Grizzle => CoatPattern::Grizzle,
        (Agouti::Points, false) => CoatPattern::TanPoints,
        (_, true) => CoatPattern::BrindlePoints,
        (Agouti::Black, false) => CoatPattern::Solid,
    };
    (shown, e == Extension::Mask)
}

impl DarkPigment {
    fn word(self) -> Text {
        match self {
            Self::Black => said!("coat-black"),
            Self::Brown => said!("coat-brown"),
            Self::Blue => said!("coat-blue"),
            Self::Lilac => said!("coat-lilac"),
        }
    }
}

impl CoatPattern {
    /// The pattern with the dark pigment in it.
    fn words(self, dark: Text) -> Text {
        match self {
            Self::Solid => dark,
            Self::FawnSable => said!("coat-fawn-sable", dark = dark),
            Self::Brindle => said!("coat-brindle", dark = dark),
            Self::WolfSable => said!("coat-wolf-sable", dark = dark),
            Self::BrindleWolfSable => said!("coat-brindle-wolf-sable", dark = dark),
            Self::SaddleTan => said!("coat-saddle-tan", dark = dark),
            Self::BrindleSaddleTan => said!("coat-saddle-brindle", dark = dark),
            Self::TanPoints => said!("coat-tan-points", dark = dark),
            Self::BrindlePoints => said!("coat-brindle-points", dark = dark),
            Self::Grizzle => said!("coat-grizzle", dark = dark),
            Self::RecessiveRed => said!("coat-recessive-red", dark = dark),
        }
    }
}

impl CoatPhenotype {
    /// The colour in words, e.g. `black and tan, merle, irish white`.
    pub fn name(&self) -> Text {
        let merle = match self.merle {
            MerlePattern::None | MerlePattern::Hidden => None,
            MerlePattern::Merle => Some(said!("coat-merle")),
            MerlePattern::DoubleMerle => Some(said!("coat-double-merle")),
            MerlePattern::Harlequin => Some(said!("coat-harlequin")),
        };
        let white = match self.white {
            WhiteSpotting::None => None,
            WhiteSpotting::SmallMarks => Some(said!("coat-small-marks")),
            WhiteSpotting::Irish => Some(said!("coat-irish-white")),
            WhiteSpotting::Piebald => Some(said!("coat-piebald")),
            WhiteSpotting::ExtremeWhite => Some(said!("coat-extreme-white")),
        };
        let pattern = self.pattern.words(self.dark_pigment.word());
        let mask = self.mask.then(|| said!("coat-mask"));
        commas([Some(pattern), mask, merle, white].into_iter().flatten())
    }
}
