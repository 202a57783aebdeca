//! What colours can the pups of a mating have, and how likely is each?
//!
//! The loci A, B, D, E, K, M, S and H are inherited independently; each one's chances come from
//! [`crate::markers`], exactly. Equal phenotypes are merged. Where a parent's alleles are
//! open a chance is a range over the loci's extreme cases; the true range, unless both parents
//! are so open that there are too many cases (rule `breeding.colour_cases_limit`), then a wider one.

mod phenotype;
#[cfg(test)]
mod tests;

use catalogue::{Text, said};
pub use phenotype::{CoatPattern, CoatPhenotype, DarkPigment, MerlePattern, WhiteSpotting};

use crate::{
    fault::Fault,
    markers::{Bounds, Genotype, GenotypeBasis, MatingGenotypes, MendelianChance, Ratio, ratio},
    rules::Rules,
};
use num_traits::{One, Zero};
use phenotype::{Agouti, BlackLocus, Extension, pattern};
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};
use utoipa::ToSchema;

/// Keys of the colour loci in the marker catalogue.
pub(crate) const COLOUR_LOCI: [&str; 8] =
    ["coat_a", "coat_b", "coat_d", "coat_e", "coat_h", "coat_k", "coat_m", "coat_s"];

/// Loci without which no colour can be named.
const BASIC_LOCI: [&str; 5] = ["coat_a", "coat_b", "coat_d", "coat_e", "coat_k"];

const SOURCE: &str = "Kerns JA et al. 2007, Linkage and segregation analysis of black and brindle coat color in domestic dogs, Genetics 176:1679-1689, doi:10.1534/genetics.107.074237; sources of the loci in the marker catalogue";

/// A colour that pups can have.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PupColour {
    /// The colour in words.
    #[schema(value_type = String, example = "black and tan")]
    pub name: Text,
    /// The same in parts.
    pub phenotype: CoatPhenotype,
    /// Chance among pups that live to be born.
    pub chance: MendelianChance,
}

/// What is known of one colour locus in the two parents.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct ColourLocusKnowledge {
    /// Key of the locus.
    #[schema(example = "coat_k")]
    pub locus: String,
    /// How the dam's alleles are known; `null` when nobody in the family is tested for it.
    pub dam: Option<GenotypeBasis>,
    /// How the sire's alleles are known.
    pub sire: Option<GenotypeBasis>,
}

/// Colours of a trial mating's pups.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PupColourReport {
    /// Colours, most likely first (by the middle of the range).
    pub colours: Vec<PupColour>,
    /// What is known of each locus.
    pub loci: Vec<ColourLocusKnowledge>,
    /// Loci that no dog of the family is tested for: any allele is allowed there, except that
    /// merle, harlequin and white are then left out of the names.
    pub untested_loci: Vec<String>,
    /// What the figures rest on.
    #[schema(value_type = Vec<String>)]
    pub assumptions: Vec<Text>,
    /// Where the rules of epistasis come from.
    pub source: String,
}

/// Chance of each class of a locus, one row for each case of the unknown.
type Cases<C> = Vec<BTreeMap<C, Ratio>>;

/// Colours that the pups of a worked-out mating can have.
///
/// # Errors
/// When none of the basic loci A, B, D, E, K is part of the mating: nothing could be said.
pub fn pup_colours(
    mating: &MatingGenotypes<'_>,
    rules: &Rules,
) -> Result<PupColourReport, Vec<Fault>> {
    if BASIC_LOCI.iter().all(|key| mating.locus(key).is_none()) {
        let detail = said!("fault-unknowable-colours", known = COLOUR_LOCI.join(", "));
        return Err(vec![Fault::new("/markers", detail)]);
    }
    let dark = dark_pigments(mating);
    let white = white(mating);
    let patterns = patterns(mating, rules.value("breeding.colour_cases_limit"));
    let merle = merles(mating);
    let estimated =
        COLOUR_LOCI.iter().any(|key| mating.locus(key).is_some_and(|locus| locus.cases.estimated));
    let mut colours = Vec::new();
    for ((pattern, mask), shape) in &patterns {
        let hidden = [(MerlePattern::Hidden, whole())];
        let red = *pattern == CoatPattern::RecessiveRed;
        let merles: &[(MerlePattern, Bounds)] = if red { &hidden } else { &merle };
        for (dark_pigment, pigment) in &dark {
            for (merle, mottle) in merles {
                for (white, spots) in &white {
                    let bounds = shape.times(pigment).times(mottle).times(spots);
                    let phenotype = CoatPhenotype {
                        dark_pigment: *dark_pigment,
                        pattern: *pattern,
                        mask: *mask,
                        merle: *merle,
                        white: *white,
                    };
                    if !bounds.high.is_zero() {
                        colours.push((&bounds.low + &bounds.high, phenotype, bounds));
                    }
                }
            }
        }
    }
    colours.sort_by(|a, b| b.0.cmp(&a.0).then(a.1.cmp(&b.1)));
    let row = |(_, phenotype, bounds): (Ratio, CoatPhenotype, Bounds)| PupColour {
        name: phenotype.name(),
        phenotype,
        chance: bounds.chance(estimated),
    };
    Ok(PupColourReport {
        colours: colours.into_iter().map(row).collect(),
        loci: knowledge(mating),
        untested_loci: COLOUR_LOCI
            .iter()
            .filter(|key| mating.locus(key).is_none())
            .map(|key| (*key).to_owned())
            .collect(),
        assumptions: assumptions(mating),
        source: SOURCE.to_owned(),
    })
}

fn whole() -> Bounds {
    Bounds { low: Ratio::one(), high: Ratio::one() }
}

/// Chances of a locus's classes among pups born, in every case; all cases at once where nobody
/// is tested or where there were too many.
fn cases<C: Ord + Copy>(
    mating: &MatingGenotypes<'_>,
    key: &str,
    alleles: usize,
    class: impl Fn(Genotype) -> C,
) -> Cases<C> {
    let known = mating.locus(key).filter(|locus| !locus.cases.cases.is_empty());
    let Some(locus) = known else {
        let mut classes = BTreeSet::new();
        for a in 0..alleles {
            classes.extend((a..alleles).map(|b| class(Genotype::pair(a, b))));
        }
        return classes.into_iter().map(|c| [(c, Ratio::one())].into()).collect();
    };
    let genotypes = locus.marker.genotypes(false);
    let mut rows: Cases<C> = Vec::new();
    for case in &locus.cases.cases {
        let born =
            || genotypes.iter().zip(&case.daughters).filter(|(g, _)| !locus.marker.lethal(**g));
        let total: Ratio = born().map(|(_, p)| p).sum();
        let mut row: BTreeMap<C, Ratio> = BTreeMap::new();
        for (genotype, chance) in born().filter(|(_, p)| !p.is_zero()) {
            *row.entry(class(*genotype)).or_insert_with(Ratio::zero) += chance / &total;
        }
        if !row.is_empty() && !rows.contains(&row) {
            rows.push(row);
        }
    }
    rows
}

fn of<C: Ord>(row: &BTreeMap<C, Ratio>, class: &C) -> Ratio {
    row.get(class).cloned().unwrap_or_else(Ratio::zero)
}

/// Black, brown, blue and lilac: B and D are independent, so bounds multiply.
fn dark_pigments(mating: &MatingGenotypes<'_>) -> Vec<(DarkPigment, Bounds)> {
    let recessive = |g: Genotype| g == Genotype::pair(1, 1);
    let (b, d) = (cases(mating, "coat_b", 2, recessive), cases(mating, "coat_d", 2, recessive));
    let bounds = |rows: &Cases<bool>, class: bool| Bounds::of(rows.iter().map(|r| of(r, &class)));
    [
        (DarkPigment::Black, false, false),
        (DarkPigment::Brown, true, false),
        (DarkPigment::Blue, false, true),
        (DarkPigment::Lilac, true, true),
    ]
    .map(|(pigment, brown, dilute)| (pigment, bounds(&b, brown).times(&bounds(&d, dilute))))
    .to_vec()
}

/// White by S; left out of the names when nobody is tested.
fn white(mating: &MatingGenotypes<'_>) -> Vec<(WhiteSpotting, Bounds)> {
    if mating.locus("coat_s").is_none() {
        return vec![(WhiteSpotting::None, whole())];
    }
    let class = |g: Genotype| match g {
        Genotype(0, Some(0)) => WhiteSpotting::None,
        Genotype(0, _) => WhiteSpotting::SmallMarks,
        Genotype(1, _) => WhiteSpotting::Irish,
        Genotype(2, _) => WhiteSpotting::Piebald,
        Genotype(..) => WhiteSpotting::ExtremeWhite,
    };
    bounds_of(&cases(mating, "coat_s", 4, class))
}

fn bounds_of<C: Ord + Copy>(rows: &Cases<C>) -> Vec<(C, Bounds)> {
    let classes: BTreeSet<C> = rows.iter().flat_map(|row| row.keys().copied()).collect();
    let bounds = |class: C| (class, Bounds::of(rows.iter().map(|row| of(row, &class))));
    classes.into_iter().map(bounds).collect()
}

/// Merle by M and H; left out of the names when nobody is tested for M.
fn merles(mating: &MatingGenotypes<'_>) -> Vec<(MerlePattern, Bounds)> {
    if mating.locus("coat_m").is_none() {
        return vec![(MerlePattern::None, whole())];
    }
    // Alleles M, Mc, m: a cryptic copy does nothing to the colour, alone or beside another.
    let copies = |g: Genotype| match g.copies(|a| a == 0) {
        0 => MerlePattern::None,
        1 => MerlePattern::Merle,
        _ => MerlePattern::DoubleMerle,
    };
    let m = cases(mating, "coat_m", 3, copies);
    let h = match mating.locus("coat_h") {
        Some(_) => cases(mating, "coat_h", 2, |g: Genotype| g.0 == 0),
        None => vec![[(false, Ratio::one())].into()],
    };
    let mut rows: Cases<MerlePattern> = Vec::new();
    for merle in &m {
        for harlequin in &h {
            let mut row = BTreeMap::new();
            for (class, chance) in merle {
                let shows = of(harlequin, &true);
                if *class == MerlePattern::Merle && !shows.is_zero() {
                    row.insert(MerlePattern::Harlequin, chance * &shows);
                    row.insert(*class, chance * (Ratio::one() - shows));
                } else {
                    row.insert(*class, chance.clone());
                }
            }
            rows.push(row);
        }
    }
    bounds_of(&rows)
}

/// Patterns by E, K and A, which hide one another: all their cases together.
fn patterns(mating: &MatingGenotypes<'_>, limit: f64) -> Vec<((CoatPattern, bool), Bounds)> {
    let e = cases(mating, "coat_e", 4, |g: Genotype| match g.0 {
        0 => Extension::Mask,
        1 => Extension::Normal,
        2 => Extension::Grizzle,
        _ => Extension::Red,
    });
    let k = cases(mating, "coat_k", 3, |g: Genotype| match g.0 {
        0 => BlackLocus::Solid,
        1 => BlackLocus::Brindle,
        _ => BlackLocus::Yellow,
    });
    let a = cases(mating, "coat_a", 5, |g: Genotype| match g.0 {
        0 => Agouti::Fawn,
        1 => Agouti::Wolf,
        2 => Agouti::Saddle,
        3 => Agouti::Points,
        _ => Agouti::Black,
    });
    let all = e.len().saturating_mul(k.len()).saturating_mul(a.len());
    let (e, k, a) =
        if all as f64 > limit { (corners(&e), corners(&k), corners(&a)) } else { (e, k, a) };
    let mut found: BTreeMap<(CoatPattern, bool), (Bounds, usize)> = BTreeMap::new();
    let mut count = 0;
    for e in &e {
        for k in &k {
            for a in &a {
                count += 1;
                for (shown, chance) in joint(e, k, a) {
                    let entry = found.entry(shown).or_insert_with(|| {
                        (Bounds { low: chance.clone(), high: chance.clone() }, 0)
                    });
                    entry.0.low = entry.0.low.clone().min(chance.clone());
                    entry.0.high = entry.0.high.clone().max(chance);
                    entry.1 += 1;
                }
            }
        }
    }
    let close = |(bounds, seen): (Bounds, usize)| {
        if seen < count { Bounds { low: ratio(0, 1), ..bounds } } else { bounds }
    };
    found.into_iter().map(|(shown, entry)| (shown, close(entry))).collect()
}

/// Every class for certain: wider than any case can be.
fn corners<C: Ord + Copy>(rows: &Cases<C>) -> Cases<C> {
    let classes: BTreeSet<C> = rows.iter().flat_map(|row| row.keys().copied()).collect();
    classes.into_iter().map(|c| [(c, Ratio::one())].into()).collect()
}

fn joint(
    e: &BTreeMap<Extension, Ratio>,
    k: &BTreeMap<BlackLocus, Ratio>,
    a: &BTreeMap<Agouti, Ratio>,
) -> BTreeMap<(CoatPattern, bool), Ratio> {
    let mut shown = BTreeMap::new();
    for (extension, p) in e {
        for (black, q) in k {
            let both = p * q;
            for (agouti, r) in a {
                *shown.entry(pattern(*extension, *black, *agouti)).or_insert_with(Ratio::zero) +=
                    &both * r;
            }
        }
    }
    shown
}

fn knowledge(mating: &MatingGenotypes<'_>) -> Vec<ColourLocusKnowledge> {
    let row = |key: &&str| {
        let locus = mating.locus(key);
        ColourLocusKnowledge {
            locus: (*key).to_owned(),
            dam: locus.map(|l| l.parent_basis(false)),
            sire: locus.map(|l| l.parent_basis(true)),
        }
    };
    COLOUR_LOCI.iter().map(row).collect()
}

fn assumptions(mating: &MatingGenotypes<'_>) -> Vec<Text> {
    let mut lines = vec![said!("colours-independent")];
    let tested = |key: &str| mating.locus(key).is_some();
    if BASIC_LOCI.iter().any(|key| !tested(key)) {
        lines.push(said!("colours-untested-loci"));
    }
    if !tested("coat_m") {
        lines.push(said!("colours-no-merle"));
    }
    if !tested("coat_s") {
        lines.push(said!("colours-no-white"));
    }
    if tested("coat_s") {
        lines.push(said!("colours-white-series"));
    }
    if tested("coat_h") {
        lines.push(said!("colours-born-only"));
    }
    lines
}
