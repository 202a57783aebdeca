//! What to mind before a mating, by the parents' genotypes.

use super::{
    catalogue::{Inheritance, MarkerKind},
    mating::{MatingGenotypes, MatingLocus},
    ratio::{Bounds, to_f64},
};
use crate::domain::{
    advice::{Caution, Level},
    rules::Rules,
};
use num_traits::{One, Zero};

/// Cautions for all markers of a mating.
pub(super) fn cautions(mating: &MatingGenotypes<'_>, rules: &Rules) -> Vec<Caution> {
    let mut all = Vec::new();
    for locus in &mating.loci {
        match (locus.marker.kind, locus.marker.key.as_str()) {
            (MarkerKind::Disease, _) => disease(locus, &mut all),
            (_, "coat_m") => merle(locus, mating.locus("coat_e"), rules, &mut all),
            _ => {}
        }
        lethal(locus, &mut all);
    }
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
    let bounds = |male| locus.pup_bounds(male, |g| marker.affected(g));
    let (daughters, sons) = (bounds(false), bounds(true));
    let why = format!("Affected: daughters {}, sons {}.", percent(&daughters), percent(&sons));
    let name = &marker.name;
    let mut add = |level, what: String, why: String| {
        all.push(Caution::new(level, what, why, marker.source.clone()));
    };
    for (male, who) in [(false, "dam"), (true, "sire")] {
        let affected = locus.parent_bounds(male, |g| marker.affected(g));
        if affected.low.is_one() {
            add(
                Level::Act,
                format!("The {who} is affected by {name}: ask a veterinarian before breeding."),
                format!("The {who}'s genotype counts as affected."),
            );
        }
    }
    let copies = |male| locus.pup_bounds(male, |g| marker.variant_copies(g) > 0);
    let some = |b: &Bounds| !b.high.is_zero();
    if !daughters.low.is_zero() || !sons.low.is_zero() {
        let dominance = match marker.inheritance {
            Inheritance::XLinkedRecessive => {
                " It lies on the X: sons of a carrier dam are at risk."
            }
            _ => "",
        };
        let what = format!("Pups can be affected by {name}: choose another mate.{dominance}");
        add(Level::Act, what, why);
    } else if some(&daughters) || some(&sons) {
        let what = format!("Affected pups ({name}) are not ruled out: test the parents first.");
        add(Level::Note, what, why);
    } else if some(&copies(false)) || some(&copies(true)) {
        let carriers = format!(
            "Pups with a copy: daughters {}, sons {}.",
            percent(&copies(false)),
            percent(&copies(true))
        );
        let what = format!(
            "No pup can be affected by {name}; some can carry it: test those kept for breeding."
        );
        add(Level::Note, what, carriers);
    }
}

fn merle(
    locus: &MatingLocus<'_>,
    extension: Option<&MatingLocus<'_>>,
    rules: &Rules,
    all: &mut Vec<Caution>,
) {
    let marker = locus.marker;
    let double = locus.pup_bounds(false, |g| marker.variant_copies(g) == 2);
    if double.high.is_zero() {
        return;
    }
    let one = rules.get("breeding.double_merle_deaf_one_ear");
    let both = rules.value("breeding.double_merle_deaf_both_ears");
    let why = format!(
        "Double merle pups: {}. Of double merles {:.0} % were deaf in one ear and {:.0} % in both; eye defects occur too.",
        percent(&double),
        100.0 * one.value,
        100.0 * both
    );
    let carries = |male| locus.parent_bounds(male, |g| marker.variant_copies(g) > 0).low.is_one();
    let (dam, sire) = (carries(false), carries(true));
    if dam && sire {
        let what = "Both parents carry merle, shown or cryptic: do not make this mating.";
        all.push(Caution::new(Level::Act, what, why, one.source.clone()));
    } else if dam || sire {
        let other = if dam { "sire" } else { "dam" };
        let hidden = extension.is_some_and(|e| {
            let recessive = e.marker.allele("e");
            e.parent_bounds(dam, |g| Some(g.0) == recessive && g.1 == recessive).low.is_one()
        });
        let reason = if hidden {
            "is red or yellow (e/e), which hides merle"
        } else {
            "may carry merle unseen (cryptic, or hidden by e/e)"
        };
        let what =
            format!("One parent carries merle and the {other} {reason}: test the {other} first.");
        all.push(Caution::new(Level::Act, what, why, one.source.clone()));
    } else {
        let what = "Double merle is not ruled out: test both parents for merle.";
        all.push(Caution::new(Level::Note, what, why, one.source.clone()));
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
        level,
        format!("Pups with two copies ({name}) {what}."),
        format!("Lost before birth: {}.", percent(&lost)),
        marker.source.clone(),
    ));
}
