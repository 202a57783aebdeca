//! Shifts of the expected day for what is known of the dam and the litter.

use super::{DatingAdjustment, DatingInput};
use crate::rules::Rules;
use catalogue::{figure, said};
use serde::Deserialize;
use std::sync::LazyLock;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Breed {
    names: Vec<String>,
    days_from_progesterone_rise: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Origin {
    source: String,
    #[expect(dead_code, reason = "kept beside the source for readers of the table")]
    #[serde(rename = "confirmation")]
    status: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Table {
    breed: Vec<Breed>,
    origin: Origin,
}

#[expect(clippy::expect_used, reason = "embedded at compile time; a test reads it")]
static TABLE: LazyLock<Table> =
    LazyLock::new(|| toml::from_str(include_str!("breeds.toml")).expect("breed table"));

/// The shifts that apply: the breed's own mean, and that of a small or larger litter.
///
/// Published lengths are means over litters of all sizes, so a litter known to be small lies above
/// them by the effect times the share of larger ones, and a larger one below by the rest.
pub(super) fn adjustments(input: &DatingInput, rules: &Rules) -> Vec<DatingAdjustment> {
    let mut shifts = Vec::new();
    let wanted = input.breed.as_deref().map(|b| b.trim().to_lowercase());
    let found = TABLE
        .breed
        .iter()
        .find(|breed| breed.names.iter().any(|name| Some(name.to_lowercase()) == wanted));
    if let Some(breed) = found {
        shifts.push(DatingAdjustment {
            what: said!("dating-breed-mean", breed = breed.names.join(" / ")),
            days: breed.days_from_progesterone_rise - rules.value("dating.progesterone_rise_days"),
            source: TABLE.origin.source.clone(),
        });
    }
    if let Some(chance) = input.chance_small_litter {
        let longer = rules.value("dating.small_litter_longer_days");
        let days = longer * (chance - rules.value("dating.small_litter_share"));
        let small_percent = figure(100.0 * chance, 0);
        shifts.push(DatingAdjustment {
            what: match days >= 0.0 {
                true => said!("dating-small-litter", small_percent = small_percent),
                false => said!("dating-larger-litter", small_percent = small_percent),
            },
            days,
            source: rules.get("dating.small_litter_longer_days").source.clone(),
        });
    }
    shifts
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_reads_and_names_no_breed_twice() {
        let mut names: Vec<String> = TABLE.breed.iter().flat_map(|b| b.names.clone()).collect();
        let all = names.len();
        names.sort();
        names.dedup();
        assert_eq!(names.len(), all);
        assert!(all > 0);
    }
}
