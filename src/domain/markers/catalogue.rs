//! Which markers there are, how each is inherited, and what a genotype shows.

use super::risk::MarkerRisk;
use crate::rules::Status;
use catalogue::{Text, said};
use serde::{Deserialize, Serialize};
use std::sync::LazyLock;
use utoipa::ToSchema;

/// What a marker tells of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum MarkerKind {
    /// A disease or a sensitivity.
    Disease,
    /// The coat's colour or pattern.
    CoatColour,
    /// Another trait that is seen, such as a short tail.
    Trait,
}

/// How a marker's variants are inherited.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Inheritance {
    /// Two copies show, one copy carries.
    AutosomalRecessive,
    /// One copy shows.
    AutosomalDominant,
    /// One copy shows less than two.
    AutosomalIncompletelyDominant,
    /// On the X: males have one copy only, a female needs two to show.
    XLinkedRecessive,
    /// Several alleles, each hidden by those before it.
    MultiAlleleSeries,
}

/// One marker of the catalogue.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = GeneticMarker)]
pub struct Marker {
    /// Stable key.
    #[schema(example = "prcd_pra")]
    pub key: String,
    /// Name of the condition or locus.
    #[schema(value_type = String)]
    pub name: Text,
    /// What it tells of.
    pub kind: MarkerKind,
    /// Gene symbol.
    #[schema(example = "PRCD")]
    pub gene: String,
    /// Variant tested.
    #[schema(value_type = String, example = "c.5G>A")]
    pub variant: Text,
    /// How it is inherited.
    pub inheritance: Inheritance,
    /// Allele symbols; of a series the most dominant first.
    #[schema(example = json!(["N", "prcd"]))]
    pub alleles: Vec<String>,
    /// The allele that is not a variant; a series has none.
    pub normal: Option<String>,
    /// Allele of which two copies die before birth.
    pub lethal_homozygote: Option<String>,
    /// Alleles that differ from the normal one and do nothing by themselves, such as a cryptic
    /// merle; they count as no copy.
    #[serde(default)]
    pub silent_alleles: Vec<String>,
    /// What one copy does; told of every disease of which one copy is enough to harm.
    #[serde(default)]
    #[schema(value_type = Option<String>)]
    pub one_copy: Option<Text>,
    /// Whether the variant raises the risk of falling ill, so that a dog with it may stay well: such a dog
    /// is at risk, not affected.
    #[serde(default)]
    pub raises_risk: bool,
    /// How great the risk is, as it was published: ranges with their sources.
    #[serde(default)]
    pub risks: Vec<MarkerRisk>,
    /// Identifier in Online Mendelian Inheritance in Animals.
    #[schema(example = "OMIA:001298-9615")]
    pub omia: Option<String>,
    /// What keeps two copies from always showing.
    #[schema(value_type = Option<String>)]
    pub penetrance: Option<Text>,
    /// What else to know.
    #[schema(value_type = Option<String>)]
    pub note: Option<Text>,
    /// Where the row comes from.
    pub source: String,
    /// How the row was confirmed.
    #[serde(rename = "confirmation")]
    pub status: Status,
}

/// Alleles of one dog at one marker, by their place in [`Marker::alleles`], smaller first;
/// the second is absent where a male has one X.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Genotype(pub usize, pub Option<usize>);

impl Genotype {
    /// A genotype of two alleles.
    pub fn pair(a: usize, b: usize) -> Self {
        Self(a.min(b), Some(a.max(b)))
    }

    /// Copies of alleles for which `counts` holds.
    pub(crate) fn copies(self, counts: impl Fn(usize) -> bool) -> usize {
        usize::from(counts(self.0)) + usize::from(self.1.is_some_and(counts))
    }
}

impl Marker {
    /// Whether the marker lies on the X.
    pub(crate) fn x_linked(&self) -> bool {
        self.inheritance == Inheritance::XLinkedRecessive
    }

    /// Every genotype a dog can have; males have one allele of an X-linked marker.
    pub(crate) fn genotypes(&self, male: bool) -> Vec<Genotype> {
        let n = self.alleles.len();
        if male && self.x_linked() {
            return (0..n).map(|a| Genotype(a, None)).collect();
        }
        (0..n).flat_map(|a| (a..n).map(move |b| Genotype(a, Some(b)))).collect()
    }

    /// The genotype as laboratories write it, e.g. `N/prcd`; of a male's X `N/Y`.
    pub fn write(&self, genotype: Genotype) -> String {
        let symbol = |a: usize| self.alleles.get(a).map_or("?", String::as_str);
        format!("{}/{}", symbol(genotype.0), genotype.1.map_or("Y", symbol))
    }

    /// Place of an allele symbol.
    pub(crate) fn allele(&self, symbol: &str) -> Option<usize> {
        self.alleles.iter().position(|a| a == symbol)
    }

    /// Whether an allele is a variant that does something; in a series, whether it is not the most
    /// dominant.
    pub(crate) fn is_variant(&self, allele: usize) -> bool {
        match &self.normal {
            Some(normal) => self
                .alleles
                .get(allele)
                .is_some_and(|symbol| symbol != normal && !self.silent_alleles.contains(symbol)),
            None => allele > 0,
        }
    }

    /// Whether the genotype holds an allele that does nothing by itself.
    pub(crate) fn silent(&self, genotype: Genotype) -> bool {
        let silent =
            |a: usize| self.alleles.get(a).is_some_and(|s| self.silent_alleles.contains(s));
        genotype.copies(silent) > 0
    }

    /// Copies of variant alleles that do something.
    pub(crate) fn variant_copies(&self, genotype: Genotype) -> usize {
        genotype.copies(|a| self.is_variant(a))
    }

    /// Whether a pup of this genotype dies before birth.
    pub(crate) fn lethal(&self, genotype: Genotype) -> bool {
        let lethal = self.lethal_homozygote.as_deref().and_then(|symbol| self.allele(symbol));
        lethal.is_some_and(|a| genotype == Genotype::pair(a, a))
    }

    /// What the genotype shows: `clear`, `carrier`, `affected`, `at risk`, `one copy`, `two copies`, `shows it`,
    /// or the allele of a series that hides the other. A male's one X has nothing beside it, and the class says so.
    pub(crate) fn class(&self, genotype: Genotype) -> Text {
        let copies = self.variant_copies(genotype);
        match self.inheritance {
            _ if self.lethal(genotype) => said!("marker-class-dies"),
            Inheritance::MultiAlleleSeries => {
                let shown = self.alleles.get(genotype.0).map_or("?", String::as_str);
                said!("marker-class-shows", allele = shown)
            }
            _ if copies == 0 => said!("marker-class-clear"),
            Inheritance::AutosomalRecessive | Inheritance::XLinkedRecessive => {
                match (copies, genotype.1) {
                    (1, Some(_)) => said!("marker-class-carrier"),
                    (_, None) => said!("marker-class-hemizygous"),
                    _ if self.raises_risk => said!("marker-class-at-risk-two"),
                    _ => said!("marker-class-affected"),
                }
            }
            Inheritance::AutosomalDominant => match (self.kind, self.raises_risk, copies) {
                (MarkerKind::Disease, true, 1) => said!("marker-class-at-risk-one"),
                (MarkerKind::Disease, true, _) => said!("marker-class-at-risk-two"),
                (MarkerKind::Disease, false, _) => said!("marker-class-affected"),
                _ => said!("marker-class-shows-it"),
            },
            Inheritance::AutosomalIncompletelyDominant => match copies {
                1 => said!("marker-class-one-copy"),
                _ => said!("marker-class-two-copies"),
            },
        }
    }

    /// Whether a genotype counts as affected by a disease.
    pub(crate) fn affected(&self, genotype: Genotype) -> bool {
        let copies = self.variant_copies(genotype);
        self.kind == MarkerKind::Disease
            && match self.inheritance {
                Inheritance::AutosomalRecessive | Inheritance::XLinkedRecessive => {
                    copies == 2 || (copies == 1 && genotype.1.is_none())
                }
                Inheritance::AutosomalDominant => copies > 0 && !self.raises_risk,
                Inheritance::AutosomalIncompletelyDominant => copies == 2,
                Inheritance::MultiAlleleSeries => false,
            }
    }

    /// Whether a genotype that does not count as affected harms all the same: one copy where one copy shows
    /// less than two, and any copy of a dominant variant that raises the risk.
    pub(crate) fn at_risk(&self, genotype: Genotype) -> bool {
        let copies = self.variant_copies(genotype);
        self.kind == MarkerKind::Disease
            && match self.inheritance {
                Inheritance::AutosomalIncompletelyDominant => copies == 1,
                Inheritance::AutosomalDominant => copies > 0 && self.raises_risk,
                _ => false,
            }
    }

    /// The published risks of dogs with a genotype, in sentences.
    pub(crate) fn risks_of(&self, genotype: Genotype) -> impl Iterator<Item = Text> {
        let copies = self.variant_copies(genotype);
        self.risks.iter().filter(move |risk| risk.is_of(copies, genotype)).map(MarkerRisk::says)
    }

    /// Whether dogs without sign of the disease can only carry it: no single copy does harm.
    pub(crate) fn carried_unseen(&self) -> bool {
        matches!(self.inheritance, Inheritance::AutosomalRecessive | Inheritance::XLinkedRecessive)
    }

    /// What a result shows: its class and, where one copy harms, what it does; `None` when the
    /// alleles are not one or two of the marker's.
    pub fn meaning(&self, alleles: &[String]) -> Option<Text> {
        let places: Option<Vec<usize>> = alleles.iter().map(|symbol| self.allele(symbol)).collect();
        let genotype = match places?.as_slice() {
            [one] => Genotype(*one, None),
            [one, other] => Genotype::pair(*one, *other),
            _ => return None,
        };
        let class = self.class(genotype);
        let harms = self.at_risk(genotype)
            || (self.affected(genotype) && self.inheritance == Inheritance::AutosomalDominant);
        let class = if harms {
            said!("marker-meaning", class = class, one_copy = self.one_copy_says())
        } else {
            class
        };
        let risks: Vec<Text> = self.risks_of(genotype).collect();
        Some(match (risks.is_empty(), harms) {
            (true, _) => class,
            (false, true) => Text::sentences([class].into_iter().chain(risks)),
            (false, false) => {
                said!("marker-meaning", class = class, one_copy = Text::sentences(risks))
            }
        })
    }

    /// What one copy does, in a sentence.
    pub(crate) fn one_copy_says(&self) -> Text {
        self.one_copy.clone().unwrap_or_else(|| said!("marker-one-copy-ask"))
    }

    /// The same with each text under its key, so that it can be said in another language.
    fn keyed(mut self) -> Self {
        let keyed = |group, text: &Text| Text::keyed(group, &self.key, text.to_string());
        self.name = keyed("marker-name", &self.name);
        self.variant = keyed("marker-variant", &self.variant);
        self.one_copy = self.one_copy.as_ref().map(|text| keyed("marker-copy-does", text));
        self.penetrance = self.penetrance.as_ref().map(|text| keyed("marker-penetrance", text));
        self.note = self.note.as_ref().map(|text| keyed("marker-note", text));
        let risks = std::mem::take(&mut self.risks);
        self.risks = (1..).zip(risks).map(|(at, risk)| risk.keyed(&self.key, at)).collect();
        self
    }
}

#[derive(Debug, Deserialize)]
struct Table {
    marker: Vec<Marker>,
}

static STANDARD: LazyLock<MarkerCatalogue> = LazyLock::new(|| {
    #[expect(clippy::expect_used, reason = "embedded at compile time; a test reads it")]
    let table: Table =
        toml::from_str(include_str!("../rules/markers.toml")).expect("embedded markers");
    MarkerCatalogue(table.marker.into_iter().map(Marker::keyed).collect())
});

/// The markers that results can be recorded for.
#[derive(Debug, Clone, PartialEq)]
pub struct MarkerCatalogue(Vec<Marker>);

impl MarkerCatalogue {
    /// The embedded catalogue.
    pub fn standard() -> &'static Self {
        &STANDARD
    }

    /// A catalogue of one marker that the embedded one does not know.
    pub(crate) fn of_one(marker: Marker) -> Self {
        Self(vec![marker])
    }

    /// The marker with this key.
    pub fn get(&self, key: &str) -> Option<&Marker> {
        self.0.iter().find(|marker| marker.key == key)
    }

    /// All markers.
    pub fn iter(&self) -> impl Iterator<Item = &Marker> {
        self.0.iter()
    }

    /// The keys of all markers, for a message.
    pub fn keys(&self) -> String {
        self.0.iter().map(|m| m.key.as_str()).collect::<Vec<_>>().join(", ")
    }
}
