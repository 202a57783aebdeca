//! What to mind before a mating, by the parents' genotypes.

use super::{
    catalogue::{Genotype, Inheritance, MarkerKind},
    mating::{MatingGenotypes, MatingLocus},
    ratio::{Bounds, to_f64},
};
use crate::{
    advice::{Caution, CautionCode, Level},
    rules::Rules,
    seen_traits::SeenTraitCaution,
};
use catalogue::{Text, figure, said};
use num_traits::{One, Zero};

/// Cautions for all markers of a mating, and for what is seen of the parents without a test.
///
/// One cause is one caution: where both parents are seen or tested to be merle, that a test of one
/// is missing is not said again; and where a test says it already, what is seen adds nothing.
pub(super) fn cautions(
    mating: &MatingGenotypes<'_>,
    seen: &[SeenTraitCaution],
    rules: &Rules,
) -> Vec<Caution> {
    let mut all = Vec::new();
    let both_merle = seen.iter().any(|one| one.is_merle() && one.caution.level >= Level::Act);
    let mut merle_said = false;
    for locus in &mating.loci {
        match (locus.marker.kind, locus.marker.key.as_str()) {
            (MarkerKind::Disease, _) => disease(locus, &mut all),
            (_, "coat_m") if !both_merle => {
                let before = all.len();
                merle(locus, mating.locus("coat_e"), rules, &mut all);
                merle_said = all.len() > before;
            }
            _ => {}
        }
        lethal(locus, &mut all);
    }
    let adds = |one: &&SeenTraitCaution| !(one.is_merle() && merle_said);
    all.extend(seen.iter().filter(adds).map(|one| one.caution.clone()));
    all
}

/// A chance in words.
pub(crate) fn percent(bounds: &Bounds) -> Text {
    let (low, high) = (100.0 * to_f64(&bounds.low), 100.0 * to_f64(&bounds.high));
    if bounds.low != bounds.high {
        said!("chance-percent-range", low = figure(low, 1), high = figure(high, 1))
    } else if format!("{low:.4}").ends_with(".0000") {
        said!("chance-percent", share = figure(low, 0))
    } else {
        said!("chance-percent", share = figure(low, 4))
    }
}

/// What the pups' chances are of.
#[derive(Clone, Copy)]
enum ChanceOf {
    Affected,
    Copies,
    OneCopy,
}

/// Chances of daughters and sons in a sentence.
fn chances(of: ChanceOf, [daughters, sons]: &[Bounds; 2]) -> Text {
    let (daughters, sons) = (percent(daughters), percent(sons));
    match of {
        ChanceOf::Affected => said!("marker-chance-affected", daughters = daughters, sons = sons),
        ChanceOf::Copies => said!("marker-chance-copies", daughters = daughters, sons = sons),
        ChanceOf::OneCopy => said!("marker-chance-one-copy", daughters = daughters, sons = sons),
    }
}

fn disease(locus: &MatingLocus<'_>, all: &mut Vec<Caution>) {
    parents(locus, all);
    let marker = locus.marker;
    let (name, source) = (&marker.name, &marker.source);
    let mut add = |code, level, what: Text, why: Text| {
        all.push(Caution::new(code, level, what, why, source.clone()));
    };
    let pups = |counts: &dyn Fn(Genotype) -> bool| {
        [locus.pup_bounds(false, counts), locus.pup_bounds(true, counts)]
    };
    let some = |both: &[Bounds; 2]| both.iter().any(|b| !b.high.is_zero());
    let surely = |both: &[Bounds; 2]| both.iter().any(|b| !b.low.is_zero());
    let affected = pups(&|g| marker.affected(g));
    let at_risk = pups(&|g| marker.at_risk(g));
    let copies = pups(&|g| marker.variant_copies(g) > 0);
    if surely(&affected) {
        let on_the_x = marker.inheritance == Inheritance::XLinkedRecessive;
        let more = match marker.inheritance {
            Inheritance::AutosomalDominant => Some(marker.one_copy_says()),
            _ => on_the_x.then(|| said!("marker-on-the-x")),
        };
        let what = said!("marker-pups-affected", name = name);
        let what = Text::sentences([what].into_iter().chain(more));
        let why = why(locus, chances(ChanceOf::Affected, &affected), &|g| marker.affected(g));
        add(CautionCode::MarkerPupsAffected, Level::Act, what, why);
    } else if some(&affected) {
        let what = said!("marker-not-ruled-out", name = name);
        let why = why(locus, chances(ChanceOf::Affected, &affected), &|g| marker.affected(g));
        add(CautionCode::MarkerNotRuledOut, Level::Note, what, why);
    } else if some(&copies) && marker.carried_unseen() {
        let what = said!("marker-some-carry", name = name);
        let why =
            why(locus, chances(ChanceOf::Copies, &copies), &|g| marker.variant_copies(g) == 1);
        add(CautionCode::MarkerCarriers, Level::Note, what, why);
    }
    let told = if marker.raises_risk { ChanceOf::Copies } else { ChanceOf::OneCopy };
    let why = why(locus, chances(told, &at_risk), &|g| marker.at_risk(g));
    if whoever_the_other_is(locus) {
        let what = Text::sentences([
            said!("marker-every-pup-has-a-copy", name = name),
            marker.one_copy_says(),
            said!("marker-pups-copy-tell"),
        ]);
        add(CautionCode::MarkerOneCopy, Level::Note, what, why);
    } else if surely(&at_risk) {
        let what = Text::sentences([
            said!("marker-pups-one-copy", name = name),
            marker.one_copy_says(),
            said!("marker-pups-one-copy-do"),
        ]);
        add(CautionCode::MarkerOneCopy, Level::Act, what, why);
    } else if some(&at_risk) {
        let what = said!("marker-one-copy-not-ruled-out", name = name);
        let what = Text::sentences([what, marker.one_copy_says()]);
        add(CautionCode::MarkerOneCopy, Level::Note, what, why);
    }
}

/// Whether every pup has a copy of a variant that raises the risk, whoever the other parent is: no choice of a
/// mate changes that, so nobody is told to act on it.
fn whoever_the_other_is(locus: &MatingLocus<'_>) -> bool {
    let two = |g| locus.marker.at_risk(g) && locus.marker.variant_copies(g) == 2;
    [false, true].into_iter().any(|male| locus.parent_bounds(male, two).low.is_one())
}

/// The chances with what is published of the risk of such pups; each risk once, of pups that can be.
fn why(locus: &MatingLocus<'_>, chances: Text, counts: &dyn Fn(Genotype) -> bool) -> Text {
    let marker = locus.marker;
    let mut risks: Vec<Text> = Vec::new();
    for male in [false, true] {
        for genotype in marker.genotypes(male) {
            let can_be =
                counts(genotype) && !locus.pup_bounds(male, |g| g == genotype).high.is_zero();
            for risk in marker.risks_of(genotype).filter(|_| can_be) {
                if !risks.contains(&risk) {
                    risks.push(risk);
                }
            }
        }
    }
    Text::sentences([chances].into_iter().chain(risks))
}

/// What is certain of the parents themselves.
fn parents(locus: &MatingLocus<'_>, all: &mut Vec<Caution>) {
    let marker = locus.marker;
    let name = &marker.name;
    for male in [false, true] {
        let (code, level, what, why) =
            if locus.parent_bounds(male, |g| marker.affected(g)).low.is_one() {
                let (what, why) = if male {
                    (said!("marker-sire-affected", name = name), said!("marker-sire-affected-why"))
                } else {
                    (said!("marker-dam-affected", name = name), said!("marker-dam-affected-why"))
                };
                (CautionCode::MarkerParentAffected, Level::Act, what, why)
            } else if locus.parent_bounds(male, |g| marker.at_risk(g)).low.is_one() {
                let two = locus.parent_bounds(male, |g| marker.variant_copies(g) == 2).low.is_one();
                let (what, why) = match (male, two) {
                    (true, false) => (
                        said!("marker-sire-one-copy", name = name),
                        said!("marker-sire-one-copy-why"),
                    ),
                    (false, false) => (
                        said!("marker-dam-one-copy", name = name),
                        said!("marker-dam-one-copy-why"),
                    ),
                    (true, true) => (
                        said!("marker-sire-two-copies", name = name),
                        said!("marker-sire-two-copies-why"),
                    ),
                    (false, true) => (
                        said!("marker-dam-two-copies", name = name),
                        said!("marker-dam-two-copies-why"),
                    ),
                };
                let what = Text::sentences([what, marker.one_copy_says()]);
                (CautionCode::MarkerOneCopy, Level::Note, what, why)
            } else {
                continue;
            };
        all.push(Caution::new(code, level, what, why, marker.source.clone()));
    }
}

/// What is published of two copies of merle.
pub(crate) fn double_merle_harm(rules: &Rules) -> (Text, String) {
    let one = rules.get("breeding.double_merle_deaf_one_ear");
    let both = rules.value("breeding.double_merle_deaf_both_ears");
    let harm = said!(
        "double-merle-harm",
        one_ear = figure(100.0 * one.value, 0),
        both_ears = figure(100.0 * both, 0)
    );
    (harm, one.source.clone())
}

fn merle(
    locus: &MatingLocus<'_>,
    extension: Option<&MatingLocus<'_>>,
    rules: &Rules,
    all: &mut Vec<Caution>,
) {
    let marker = locus.marker;
    let carries = |male| locus.parent_bounds(male, |g| marker.variant_copies(g) > 0).low.is_one();
    let (dam, sire) = (carries(false), carries(true));
    let cryptic = |male| locus.parent_bounds(male, |g| marker.silent(g)).low.is_one();
    if (dam && cryptic(true)) || (sire && cryptic(false)) {
        let what = if dam && cryptic(true) {
            said!("merle-cryptic-sire")
        } else {
            said!("merle-cryptic-dam")
        };
        all.push(Caution::new(
            CautionCode::MarkerCrypticMerle,
            Level::Note,
            what,
            said!("merle-cryptic-why"),
            marker.source.clone(),
        ));
    }
    let double = locus.pup_bounds(false, |g| marker.variant_copies(g) == 2);
    if double.high.is_zero() {
        return;
    }
    let (harm, source) = double_merle_harm(rules);
    let why = Text::sentences([said!("double-merle-pups", chance = percent(&double)), harm]);
    if dam && sire {
        let what = said!("double-merle-both");
        all.push(Caution::new(CautionCode::MarkerDoubleMerle, Level::Act, what, why, source));
    } else if dam || sire {
        let hidden = extension.is_some_and(|e| {
            let recessive = e.marker.allele("e");
            e.parent_bounds(dam, |g| Some(g.0) == recessive && g.1 == recessive).low.is_one()
        });
        // The one that carries it is the dam, or else the sire; the other may hide it.
        let what = match (dam, hidden) {
            (true, true) => said!("double-merle-sire-red"),
            (true, false) => said!("double-merle-sire-unseen"),
            (false, true) => said!("double-merle-dam-red"),
            (false, false) => said!("double-merle-dam-unseen"),
        };
        all.push(Caution::new(CautionCode::MarkerDoubleMerle, Level::Act, what, why, source));
    } else {
        let what = said!("double-merle-not-ruled-out");
        all.push(Caution::new(CautionCode::MarkerDoubleMerle, Level::Note, what, why, source));
    }
}

fn lethal(locus: &MatingLocus<'_>, all: &mut Vec<Caution>) {
    let marker = locus.marker;
    let lost = locus.pup_bounds(false, |g| marker.lethal(g));
    if lost.high.is_zero() {
        return;
    }
    let name = &marker.name;
    let (level, what) = if lost.low.is_zero() {
        (Level::Note, said!("marker-may-be-lethal", name = name))
    } else {
        (Level::Act, said!("marker-lethal", name = name))
    };
    all.push(Caution::new(
        CautionCode::MarkerLethal,
        level,
        what,
        said!("marker-lethal-why", chance = percent(&lost)),
        marker.source.clone(),
    ));
}
