//! Collars: the next free one, told apart across every litter in the house, and their colours.

use serde::Deserialize;
use std::{collections::BTreeMap, sync::LazyLock};

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Collars {
    plain: Vec<String>,
    second: Vec<String>,
    colours: BTreeMap<String, String>,
}

#[expect(clippy::expect_used, reason = "embedded at compile time; a test reads it")]
static COLLARS: LazyLock<Collars> =
    LazyLock::new(|| toml::from_str(include_str!("../rules/collars.toml")).expect("collars.toml"));

/// The first collar that no pup in any litter present wears.
///
/// `own` is the kennel's list in its order; empty, the standard one counts. When all are taken, two bands
/// are proposed ("red and white"). `None` only when those are taken as well.
pub fn next_free_collar(worn: &[String], own: &[String]) -> Option<String> {
    let standard = &COLLARS.plain;
    let plain: &[String] = if own.is_empty() { standard } else { own };
    let taken = |name: &str| worn.iter().any(|w| w.trim().eq_ignore_ascii_case(name.trim()));
    let doubles = COLLARS.second.iter().flat_map(|second| {
        plain
            .iter()
            .filter(move |first| !first.eq_ignore_ascii_case(second))
            .map(move |first| format!("{first} and {second}"))
    });
    plain.iter().cloned().chain(doubles).find(|name| !taken(name))
}

/// The colours of a collar as `#rrggbb`, one a band; none for a name of the kennel's own.
pub fn collar_colours(name: &str) -> Vec<&'static str> {
    let colour = |band: &str| COLLARS.colours.get(&band.trim().to_lowercase()).map(String::as_str);
    name.split(" and ").map(colour).collect::<Option<_>>().unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_standard_collar_has_its_colour_and_two_bands_have_two() {
        for name in COLLARS.plain.iter().chain(&COLLARS.second) {
            let colours = collar_colours(name);
            assert_eq!(colours.len(), 1, "{name}");
            let digits = colours[0].strip_prefix('#').unwrap();
            assert!(digits.len() == 6 && u32::from_str_radix(digits, 16).is_ok(), "{name}");
        }
        assert_eq!(collar_colours("Red and white"), ["#d32f2f", "#ffffff"]);
        assert!(collar_colours("lime").is_empty() && collar_colours("red and lime").is_empty());
    }

    /// A pup's line is of the colour of its swatch.
    #[test]
    fn the_pages_draw_the_same_colours() {
        let pages = include_str!("../../pages/parts/collars.js");
        for (name, colour) in &COLLARS.colours {
            assert!(pages.contains(&format!("{name}: \"{colour}\"")), "{name}");
        }
    }

    #[test]
    fn never_proposes_one_that_is_worn() {
        let mut worn = Vec::new();
        while let Some(next) = next_free_collar(&worn, &[]) {
            assert!(!worn.contains(&next), "{next}");
            worn.push(next);
        }
        assert_eq!(worn[0], "red");
        assert!(worn.len() > 30, "three litters of ten: {}", worn.len());
    }

    #[test]
    fn the_kennels_own_list_comes_first_and_case_does_not_matter() {
        let own = ["Lime".to_owned(), "Sky".to_owned()];
        let worn = [" lime".to_owned()];
        assert_eq!(next_free_collar(&worn, &own).as_deref(), Some("Sky"));
        let worn = ["lime".to_owned(), "sky".to_owned()];
        assert_eq!(next_free_collar(&worn, &own).as_deref(), Some("Lime and white"));
    }
}
