//! Before any count: what is usual for the breed or size, and what the dam had before.

use super::ExpectedPupsInput;
use crate::{
    record::MatingMethod,
    rules::{Rules, Status},
    sayings::signed,
};
use catalogue::{Text, figure, said};
use serde::Deserialize;
use std::sync::LazyLock;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Breed {
    names: Vec<String>,
    mean: f64,
    source: String,
}

/// Size classes of breeds (Borge et al. 2011), by adult weight.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
enum SizeClass {
    #[serde(rename = "under_5_kg")]
    Miniature,
    #[serde(rename = "5_to_10_kg")]
    Small,
    #[serde(rename = "10_to_25_kg")]
    Medium,
    #[serde(rename = "25_to_45_kg")]
    Large,
    #[serde(rename = "over_45_kg")]
    Giant,
}

impl SizeClass {
    fn of(adult_weight_g: f64) -> Self {
        match adult_weight_g {
            g if g < 5_000.0 => Self::Miniature,
            g if g < 10_000.0 => Self::Small,
            g if g < 25_000.0 => Self::Medium,
            g if g <= 45_000.0 => Self::Large,
            _ => Self::Giant,
        }
    }

    /// The rule of its mean, and what its dams are called.
    fn mean(self) -> (&'static str, Text) {
        match self {
            Self::Miniature => {
                ("expected_pups.mean_under_5_kg", said!("expected-pups-size-under-5-kg"))
            }
            Self::Small => {
                ("expected_pups.mean_5_to_10_kg", said!("expected-pups-size-5-to-10-kg"))
            }
            Self::Medium => {
                ("expected_pups.mean_10_to_25_kg", said!("expected-pups-size-10-to-25-kg"))
            }
            Self::Large => {
                ("expected_pups.mean_25_to_45_kg", said!("expected-pups-size-25-to-45-kg"))
            }
            Self::Giant => {
                ("expected_pups.mean_over_45_kg", said!("expected-pups-size-over-45-kg"))
            }
        }
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Size {
    class: SizeClass,
    names: Vec<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Origin {
    source: String,
    #[expect(dead_code, reason = "kept beside the source for readers of the table")]
    #[serde(rename = "confirmation")]
    status: Status,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Table {
    breed: Vec<Breed>,
    size: Vec<Size>,
    origin: Origin,
}

/// Pups of a usual litter of a dam of this grown weight in grams, by the mean of her size.
pub(crate) fn usual_of_size(adult_weight_g: f64, rules: &Rules) -> f64 {
    rules.value(SizeClass::of(adult_weight_g).mean().0)
}

fn names_it(names: &[String], wanted: &str) -> bool {
    names.iter().any(|name| name.to_lowercase() == wanted)
}

#[expect(clippy::expect_used, reason = "embedded at compile time; a test reads it")]
static TABLE: LazyLock<Table> =
    LazyLock::new(|| toml::from_str(include_str!("litter_size.toml")).expect("litter size table"));

/// Mean and deviation before any count.
pub(super) fn prior(input: &ExpectedPupsInput, rules: &Rules, basis: &mut Vec<Text>) -> (f64, f64) {
    let (group_mean, name, source) = group_mean(input, rules);
    basis.push(said!(
        "expected-pups-mean",
        group = name,
        mean = figure(group_mean, 1),
        source = source
    ));
    let variance = (group_mean * rules.value("expected_pups.relative_sd")).powi(2);
    let share = rules.value("expected_pups.repeatability");
    let (between, within) = (share * variance, (1.0 - share) * variance);
    let litters: f64 = input.earlier_litters.iter().map(|_| 1.0).sum();
    let pups: f64 = input.earlier_litters.iter().map(|n| f64::from(*n)).sum();
    let precision = 1.0 / between + litters / within;
    let mut mean = (group_mean / between + pups / within) / precision;
    if litters > 0.0 {
        basis.push(said!(
            "expected-pups-earlier",
            litters = input.earlier_litters.len(),
            mean = figure(pups / litters, 1),
            percent = figure(100.0 * litters / within / precision, 0),
            source = &rules.get("expected_pups.repeatability").source
        ));
    }
    for (effect, what, key) in effects(input, rules) {
        mean += effect;
        let rule = rules.get(key);
        let (pups, source) = (signed(effect, 1), &rule.source);
        basis.push(if rule.status == Status::FromMemory {
            said!("expected-pups-effect-unconfirmed", what = what, pups = pups, source = source)
        } else {
            said!("expected-pups-effect", what = what, pups = pups, source = source)
        });
    }
    (mean.max(1.0), (within + 1.0 / precision).sqrt())
}

/// The mean of her breed, else of her size by weight, else by what her breed usually weighs.
fn group_mean(input: &ExpectedPupsInput, rules: &Rules) -> (f64, Text, String) {
    let wanted = input.breed.as_deref().map(|b| b.trim().to_lowercase()).unwrap_or_default();
    if let Some(breed) = TABLE.breed.iter().find(|breed| names_it(&breed.names, &wanted)) {
        let names = Text::verbatim(breed.names.join(" / "));
        return (breed.mean, names, breed.source.clone());
    }
    let size_of = |key| (rules.value(key), rules.get(key).source.clone());
    let usual = TABLE.size.iter().find(|size| names_it(&size.names, &wanted));
    match (input.adult_weight_g.map(SizeClass::of), usual) {
        (Some(class), _) => {
            let (key, name) = class.mean();
            let (mean, source) = size_of(key);
            (mean, name, source)
        }
        (None, Some(usual)) => {
            let (key, name) = usual.class.mean();
            let (mean, source) = size_of(key);
            (
                mean,
                said!("expected-pups-size-usual", size = name),
                format!("{source}; {}", TABLE.origin.source),
            )
        }
        (None, None) => {
            let (mean, source) = size_of("expected_pups.mean");
            (mean, said!("expected-pups-all-breeds"), source)
        }
    }
}

/// Effects of the mating and of inbreeding on the mean: pups, reason, rule.
fn effects(input: &ExpectedPupsInput, rules: &Rules) -> Vec<(f64, Text, &'static str)> {
    let mut effects = Vec::new();
    match input.method {
        Some(MatingMethod::Fresh | MatingMethod::Chilled) => effects.push((
            -rules.value("expected_pups.fresh_fewer"),
            said!("expected-pups-insemination"),
            "expected_pups.fresh_fewer",
        )),
        Some(MatingMethod::Frozen) => effects.push((
            -rules.value("expected_pups.frozen_fewer"),
            said!("expected-pups-insemination-frozen"),
            "expected_pups.frozen_fewer",
        )),
        Some(MatingMethod::Natural) | None => {}
    }
    let inbred = |inbreeding: Option<f64>| inbreeding.filter(|f| *f > 0.0);
    if let Some(f) = inbred(input.litter_inbreeding) {
        let key = "expected_pups.litter_inbreeding_slope";
        let what = said!("expected-pups-litter-inbreeding", inbreeding = figure(f, 3));
        effects.push((rules.value(key) * f, what, key));
    }
    if let Some(f) = inbred(input.dam_inbreeding) {
        let key = "expected_pups.dam_inbreeding_slope";
        let what = said!("expected-pups-dam-inbreeding", inbreeding = figure(f, 3));
        effects.push((rules.value(key) * f, what, key));
    }
    effects
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Leroy 2015 for a breed that was sampled for it, Borge 2011 by size for the others; the means
    /// of Mugnier 2020 (a sample for birth weights that contradicts itself) are gone.
    #[test]
    fn breeds_take_means_that_were_sampled_for_litters() {
        let of = |breed: &str, grams: Option<f64>| {
            let input = ExpectedPupsInput {
                breed: Some(breed.into()),
                adult_weight_g: grams,
                ..Default::default()
            };
            group_mean(&input, &Rules::standard()).0
        };
        assert_eq!(of("West Highland White Terrier", None), 3.5);
        assert_eq!(of("leonberger", Some(60_000.0)), 6.3);
        assert_eq!([of("Bichon Frise", None), of("Labrador", None)], [4.2, 6.9]);
        assert_eq!(of("Labrador Retriever", Some(24_999.0)), 5.7, "her own weight goes first");
        assert_eq!(of("a cross", None), 5.4);
        for (grams, mean) in [
            (4_999.0, 3.5),
            (5_000.0, 4.2),
            (9_999.0, 4.2),
            (10_000.0, 5.7),
            (24_999.0, 5.7),
            (25_000.0, 6.9),
            (45_000.0, 6.9),
            (45_001.0, 7.1),
        ] {
            assert_eq!(of("a cross", Some(grams)), mean, "{grams} g");
        }
        let names = || {
            let breeds = TABLE.breed.iter().flat_map(|b| &b.names);
            breeds.chain(TABLE.size.iter().flat_map(|s| &s.names)).map(|n| n.to_lowercase())
        };
        let (all, once) =
            (names().count(), names().collect::<std::collections::BTreeSet<_>>().len());
        assert_eq!(all, once, "no breed stands twice");
        assert!(TABLE.breed.iter().all(|breed| !breed.source.contains("Mugnier")));
    }
}
