//! The next free collar, told apart across every litter in the house.

use serde::Deserialize;
use std::sync::LazyLock;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Collars {
    plain: Vec<String>,
    second: Vec<String>,
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

#[cfg(test)]
mod tests {
    use super::*;

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
