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
pub(crate) fn percent(bounds: &Bounds) -> String {
    let (low, high) = (100.0 * to_f64(&bounds.low), 100.0 * to_f64(&bounds.high));
    if bounds.low == bounds.high {
        format!("{low:.4} %").replace(".0000", "")
    } else {
        format!("{low:.1} to {high:.1} %")
    }
}

fn disease(locus: &MatingLocus<'_>, all: &mut Vec<Caution>) {
    let marker = locus.marker;
    let (name, source) = (&marker.name, &marker.source);
    let mut add = |code, level, what: String, why: String| {
        all.push(Caution::new(code, level, what, why, source.clone()));
    };
    for (male, who) in [(false, "dam"), (true, "sire")] {
        if locus.parent_bounds(male, |g| marker.affected(g)).low.is_one() {
            add(
                CautionCode::MarkerParentAffected,
                Level::Act,
                format!("The {who} is affected by {name}: ask a veterinarian before breeding."),
                format!("The {who}'s genotype counts as affected."),
            );
        } else if locus.parent_bounds(male, |g| marker.at_risk(g)).low.is_one() {
            add(
                CautionCode::MarkerOneCopy,
                Level::Note,
                format!("The {who} has one copy of {name}. {}", marker.one_copy_says()),
                format!("The {who}'s genotype holds one copy."),
            );
        }
    }
    let pups = |counts: &dyn Fn(Genotype) -> bool| {
        [locus.pup_bounds(false, counts), locus.pup_bounds(true, counts)]
    };
    let some = |both: &[Bounds; 2]| both.iter().any(|b| !b.high.is_zero());
    let surely = |both: &[Bounds; 2]| both.iter().any(|b| !b.low.is_zero());
    let say = |what: &str, [daughters, sons]: &[Bounds; 2]| {
        format!("{what}: daughters {}, sons {}.", percent(daughters), percent(sons))
    };
    let affected = pups(&|g| marker.affected(g));
    let at_risk = pups(&|g| marker.at_risk(g));
    let copies = pups(&|g| marker.variant_copies(g) > 0);
    if surely(&affected) {
        let more = match marker.inheritance {
            Inheritance::XLinkedRecessive => {
                " It lies on the X: sons of a carrier dam are at risk.".to_owned()
            }
            Inheritance::AutosomalDominant => format!(" {}", marker.one_copy_says()),
            _ => String::new(),
        };
        let what = format!("Pups can be affected by {name}: choose another mate.{more}");
        add(CautionCode::MarkerPupsAffected, Level::Act, what, say("Affected", &affected));
    } else if some(&affected) {
        let what = format!("Affected pups ({name}) are not ruled out: test the parents first.");
        add(CautionCode::MarkerNotRuledOut, Level::Note, what, say("Affected", &affected));
    } else if some(&copies) && marker.carried_unseen() {
        let what = format!(
            "No pup can be affected by {name}; some can carry it: test those kept for breeding."
        );
        add(CautionCode::MarkerCarriers, Level::Note, what, say("Pups with a copy", &copies));
    }
    if surely(&at_risk) {
        let what = format!(
            "Pups can have one copy of {name}, and one copy harms already. {} Have every pup \
             tested and tell its owner and vet.",
            marker.one_copy_says()
        );
        add(CautionCode::MarkerOneCopy, Level::Act, what, say("One copy", &at_risk));
    } else if some(&at_risk) {
        let what = format!(
            "Pups with one copy of {name}, of which one copy harms already, are not ruled out: \
             test the parents first. {}",
            marker.one_copy_says()
        );
        add(CautionCode::MarkerOneCopy, Level::Note, what, say("One copy", &at_risk));
    }
}

/// What is published of two copies of merle.
pub(crate) fn double_merle_harm(rules: &Rules) -> (String, String) {
    let one = rules.get("breeding.double_merle_deaf_one_ear");
    let both = rules.value("breeding.double_merle_deaf_both_ears");
    let harm = format!(
        "Of double merles {:.0} % were deaf in one ear and {:.0} % in both; eye defects occur too.",
        100.0 * one.value,
        100.0 * both
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
        let other = if dam && cryptic(true) { "sire" } else { "dam" };
        all.push(Caution::new(
            CautionCode::MarkerCrypticMerle,
            Level::Note,
            format!(
                "The {other} has a cryptic merle (Mc), which does not affect colour or health; it \
                 can lengthen in a pup: have the length measured of pups kept for breeding."
            ),
            "A short insertion counts as no copy of merle.",
            marker.source.clone(),
        ));
    }
    let double = locus.pup_bounds(false, |g| marker.variant_copies(g) == 2);
    if double.high.is_zero() {
        return;
    }
    let (harm, source) = double_merle_harm(rules);
    let why = format!("Double merle pups: {}. {harm}", percent(&double));
    if dam && sire {
        let what = "Both parents carry merle: do not make this mating.";
        all.push(Caution::new(CautionCode::MarkerDoubleMerle, Level::Act, what, why, source));
    } else if dam || sire {
        let other = if dam { "sire" } else { "dam" };
        let hidden = extension.is_some_and(|e| {
            let recessive = e.marker.allele("e");
            e.parent_bounds(dam, |g| Some(g.0) == recessive && g.1 == recessive).low.is_one()
        });
        let reason = if hidden {
            "is red or yellow (e/e), which hides merle"
        } else {
            "may carry merle unseen (too little of it to see, or hidden by red and yellow)"
        };
        let what =
            format!("One parent carries merle and the {other} {reason}: test the {other} first.");
        all.push(Caution::new(CautionCode::MarkerDoubleMerle, Level::Act, what, why, source));
    } else {
        let what = "Double merle is not ruled out: test both parents for merle.";
        all.push(Caution::new(CautionCode::MarkerDoubleMerle, Level::Note, what, why, source));
    }
}

fn lethal(locus: &MatingLocus<'_>, all: &mut Vec<Caution>) {
    let marker = locus.marker;
    let lost = locus.pup_bounds(false, |g| marker.lethal(g));
    if lost.high.is_zero() {
        return;
    }
    let (level, what) = if lost.low.is_zero() {
        (Level::Note, "may die before birth: test both parents")
    } else {
        (Level::Act, "die before birth: expect a smaller litter, or choose another mate")
    };
    let name = &marker.name;
    all.push(Caution::new(
        CautionCode::MarkerLethal,
        level,
        format!("Pups with two copies ({name}) {what}."),
        format!("Lost before birth: {}.", percent(&lost)),
        marker.source.clone(),
    ));
}
