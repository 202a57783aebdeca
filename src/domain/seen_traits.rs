//! What a dog's colour and markings, as people write them, say of genes that nobody has tested.
//!
//! A "blue merle" has one copy of merle whatever the laboratory was not asked. The words are data
//! (`rules/seen_traits.toml`), English and German; a test on file goes before what is seen.

mod text;

use self::text::Clause;
use super::{
    advice::{Caution, CautionCode, Level},
    breeding_limits::BreedingSex,
    markers::{GenotypeResult, UNKNOWN_ALLELE, double_merle_harm},
    rules::{Rules, Status},
};
use catalogue::{Text, said};
use serde::{Deserialize, Serialize};
use std::{collections::BTreeMap, sync::LazyLock};
use utoipa::ToSchema;
use uuid::Uuid;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Table {
    joined_before: Vec<String>,
    joined_after: Vec<String>,
    denied_before: Vec<String>,
    denied_after: Vec<String>,
    hides_merle: Vec<String>,
    #[serde(rename = "trait")]
    traits: Vec<Trait>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Trait {
    key: String,
    name: Text,
    marker: String,
    allele: String,
    level: Level,
    words: Vec<String>,
    not_with: Vec<String>,
    what: Text,
    expected: Text,
    source: String,
    #[expect(dead_code, reason = "kept beside the source for readers of the table")]
    #[serde(rename = "confirmation")]
    status: Status,
}

#[expect(clippy::expect_used, reason = "embedded at compile time; a test reads it")]
static TABLE: LazyLock<Table> = LazyLock::new(|| {
    let mut table: Table =
        toml::from_str(include_str!("rules/seen_traits.toml")).expect("table of seen traits");
    // Each text under its key, so that it can be said in another language.
    for one in &mut table.traits {
        let keyed = |group, text: &Text| Text::keyed(group, &one.key, text.to_string());
        one.name = keyed("seen-trait-name", &one.name);
        one.what = keyed("seen-trait-what", &one.what);
        one.expected = keyed("seen-trait-expected", &one.expected);
    }
    table
});

/// The trait whose second copy is the gravest, and that a pale coat can hide.
const MERLE: &str = "merle";

/// What is on record of a dog's coat.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct CoatOnRecord {
    /// Coat colour, as written.
    pub colour: Option<String>,
    /// Markings, as written.
    pub markings: Option<String>,
    /// Results of its genetic tests.
    pub tests: Vec<GenotypeResult>,
}

/// How a dog stands to one trait.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Sign {
    /// A test found the allele; the genotype.
    Tested(String),
    /// A test ruled it out, although the text speaks of it when some words are given.
    RuledOut(Option<String>),
    /// Written of its coat; the words.
    Seen(String),
    /// Not seen, and the coat would hide it; its colour, where that is on record.
    MayHide(Option<String>),
    /// Neither tested nor seen.
    Unseen,
}

impl Sign {
    fn carries(&self) -> bool {
        matches!(self, Self::Tested(_) | Self::Seen(_))
    }

    fn words(&self) -> Text {
        match self {
            Self::Tested(genotype) => said!("seen-tested", genotype = genotype),
            Self::RuledOut(_) => said!("seen-tested-clear"),
            Self::Seen(words) => said!("seen-described", words = words),
            Self::MayHide(Some(colour)) => said!("seen-may-hide", colour = colour),
            Self::MayHide(None) => said!("seen-no-colour"),
            Self::Unseen => said!("seen-not-described"),
        }
    }
}

/// How a dog stands to every trait of the table, in its order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TraitSigns(Vec<Sign>);

impl TraitSigns {
    /// Reads colour, markings and tests.
    pub fn of(coat: &CoatOnRecord) -> Self {
        let texts = [&coat.colour, &coat.markings];
        let clauses: Vec<Clause> =
            texts.into_iter().flatten().flat_map(|text| Clause::split(text)).collect();
        Self(TABLE.traits.iter().map(|one| sign(one, coat, &clauses)).collect())
    }

    /// Whether the dog is known or seen to carry any of the traits.
    pub(crate) fn carries_any(&self) -> bool {
        self.0.iter().any(Sign::carries)
    }

    /// Keys of the traits that are seen in the dog and not ruled out.
    pub fn seen(&self) -> Vec<&'static str> {
        let pairs = TABLE.traits.iter().zip(&self.0);
        pairs.filter(|(_, sign)| sign.carries()).map(|(one, _)| one.key.as_str()).collect()
    }
}

fn sign(one: &Trait, coat: &CoatOnRecord, clauses: &[Clause]) -> Sign {
    let seen = clauses.iter().find_map(|clause| clause.speaks_of(one, &TABLE));
    let results = || coat.tests.iter().filter(|result| result.marker == one.marker);
    if let Some(found) = results().find(|result| result.alleles.contains(&one.allele)) {
        return Sign::Tested(found.alleles.join("/"));
    }
    if results().any(|result| !result.alleles.iter().any(|allele| allele == UNKNOWN_ALLELE)) {
        return Sign::RuledOut(seen);
    }
    if let Some(words) = seen {
        return Sign::Seen(words);
    }
    if one.key != MERLE {
        return Sign::Unseen;
    }
    match &coat.colour {
        None => Sign::MayHide(None),
        Some(colour) if clauses.iter().any(|clause| clause.has_any(&TABLE.hides_merle, &TABLE)) => {
            Sign::MayHide(Some(colour.clone()))
        }
        Some(_) => Sign::Unseen,
    }
}

/// A caution about a pair, and the trait that it is about.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct SeenTraitCaution {
    /// Key of the trait.
    #[serde(rename = "trait")]
    #[schema(example = "merle")]
    pub trait_key: String,
    /// What to mind.
    pub caution: Caution,
}

impl SeenTraitCaution {
    /// Whether it is about merle.
    pub(crate) fn is_merle(&self) -> bool {
        self.trait_key == MERLE
    }
}

/// What to mind before a dam and a sire are mated, by what is seen of them.
///
/// Nothing is said where both are tested: their genotypes speak for themselves.
pub fn pair_cautions(dam: &TraitSigns, sire: &TraitSigns, rules: &Rules) -> Vec<SeenTraitCaution> {
    let mut found = Vec::new();
    for ((one, dam), sire) in TABLE.traits.iter().zip(&dam.0).zip(&sire.0) {
        let caution = match (dam, sire) {
            (Sign::Tested(_), Sign::Tested(_)) => None,
            (dam, sire) if dam.carries() && sire.carries() => Some(both(one, dam, sire, rules)),
            (dam, Sign::MayHide(_)) if dam.carries() => {
                Some(hidden(one, dam, sire, BreedingSex::Male))
            }
            (Sign::MayHide(_), sire) if sire.carries() => {
                Some(hidden(one, sire, dam, BreedingSex::Female))
            }
            (Sign::RuledOut(Some(words)), other) if other.carries() => {
                Some(mismatch(one, BreedingSex::Female, words))
            }
            (other, Sign::RuledOut(Some(words))) if other.carries() => {
                Some(mismatch(one, BreedingSex::Male, words))
            }
            _ => None,
        };
        let entry = |caution| SeenTraitCaution { trait_key: one.key.clone(), caution };
        found.extend(caution.map(entry));
    }
    found
}

fn both(one: &Trait, dam: &Sign, sire: &Sign, rules: &Rules) -> Caution {
    let harm = (one.key == MERLE).then(|| double_merle_harm(rules).0);
    let signs = said!("seen-both-why", dam = dam.words(), sire = sire.words());
    let why = [signs, one.expected.clone()].into_iter().chain(harm);
    Caution::new(
        CautionCode::TraitBoth,
        one.level,
        said!("seen-both", name = &one.name, what = &one.what),
        Text::sentences(why),
        one.source.clone(),
    )
}

fn hidden(one: &Trait, carrier: &Sign, other: &Sign, hides: BreedingSex) -> Caution {
    let what = match hides {
        BreedingSex::Female => said!("seen-hidden-dam", name = &one.name),
        BreedingSex::Male => said!("seen-hidden-sire", name = &one.name),
    };
    Caution::new(
        CautionCode::TraitHidden,
        Level::Note,
        what,
        said!("seen-hidden-why", one = carrier.words(), other = other.words()),
        one.source.clone(),
    )
}

fn mismatch(one: &Trait, described: BreedingSex, words: &str) -> Caution {
    let what = match described {
        BreedingSex::Female => said!("seen-mismatch-dam", words = words, name = &one.name),
        BreedingSex::Male => said!("seen-mismatch-sire", words = words, name = &one.name),
    };
    Caution::new(
        CautionCode::TraitMismatch,
        Level::Note,
        what,
        said!("seen-mismatch-why"),
        one.source.clone(),
    )
}

/// The same caution for every dam of a list with every sire of another.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct SeenTraitPairs {
    /// Key of the trait.
    #[serde(rename = "trait")]
    #[schema(example = "merle")]
    pub trait_key: String,
    /// The dam.
    pub dam_id: Uuid,
    /// The sires with whom it holds.
    pub sire_ids: Vec<Uuid>,
    /// What to mind.
    pub caution: Caution,
}

/// Cautions for all pairs of dams and sires, those of one dam and the same words together.
pub fn grid_cautions(
    dams: &[(Uuid, TraitSigns)],
    sires: &[(Uuid, TraitSigns)],
    rules: &Rules,
) -> Vec<SeenTraitPairs> {
    let mut all = Vec::new();
    for (dam_id, dam) in dams {
        let mut of_dam: BTreeMap<(String, String), SeenTraitPairs> = BTreeMap::new();
        for (sire_id, sire) in sires {
            if !(dam.carries_any() || sire.carries_any()) {
                continue;
            }
            for found in pair_cautions(dam, sire, rules) {
                let key = (found.trait_key.clone(), found.caution.why.to_string());
                let row = of_dam.entry(key).or_insert_with(|| SeenTraitPairs {
                    trait_key: found.trait_key,
                    dam_id: *dam_id,
                    sire_ids: Vec::new(),
                    caution: found.caution,
                });
                row.sire_ids.push(*sire_id);
            }
        }
        all.extend(of_dam.into_values());
    }
    all
}

#[cfg(test)]
mod tests;
