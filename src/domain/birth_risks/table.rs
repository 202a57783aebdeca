//! What each risk means: rows of `risks.toml`.

use super::BirthRiskCode;
use crate::{advice::Level, rules::Status};
use catalogue::Text;
use serde::Deserialize;
use std::{collections::BTreeMap, sync::LazyLock};

/// What one risk means.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Row {
    pub code: BirthRiskCode,
    pub level: Level,
    what: String,
    pub plan: Vec<String>,
    pub kit: Vec<String>,
    pub on_call: Vec<String>,
    pub source: String,
    #[serde(rename = "confirmation")]
    pub status: Status,
}

/// A breed that often needs a caesarean, with the share of litters where one was read.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Breed {
    pub names: Vec<String>,
    pub share: Option<f64>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Table {
    risk: Vec<Row>,
    plan: BTreeMap<String, String>,
    kit: BTreeMap<String, String>,
    on_call: BTreeMap<String, String>,
    breed: Vec<Breed>,
}

static TABLE: LazyLock<Table> = LazyLock::new(|| {
    #[expect(clippy::expect_used, reason = "embedded at compile time; a test reads it")]
    let table = toml::from_str(include_str!("risks.toml")).expect("embedded risks of a birth");
    table
});

impl Row {
    /// What it is, in a sentence.
    pub fn what(&self) -> Text {
        Text::keyed("birth-risk", &slug(self.code.as_str()), self.what.as_str())
    }
}

/// A key as entries of the catalogue are named.
fn slug(key: &str) -> String {
    key.replace('_', "-")
}

pub(super) fn row(code: BirthRiskCode) -> Option<&'static Row> {
    TABLE.risk.iter().find(|row| row.code == code)
}

/// Lines of the plan, the kit or who is on call, in words; each once, in the order in which they are first named.
pub(super) fn lines<'k>(
    group: &'static str,
    keys: impl IntoIterator<Item = &'k String>,
) -> Vec<Text> {
    let table = match group {
        "birth-plan" => &TABLE.plan,
        "birth-kit" => &TABLE.kit,
        _ => &TABLE.on_call,
    };
    let mut named: Vec<&String> = Vec::new();
    for key in keys {
        if !named.contains(&key) {
            named.push(key);
        }
    }
    let line = |key: &String| Some(Text::keyed(group, &slug(key), table.get(key)?.as_str()));
    named.into_iter().filter_map(line).collect()
}

/// The breed among those that often need a caesarean.
pub(super) fn breed_of(breed: &str) -> Option<&'static Breed> {
    let wanted = breed.trim().to_lowercase();
    TABLE.breed.iter().find(|breed| breed.names.iter().any(|name| name.to_lowercase() == wanted))
}

#[cfg(test)]
mod tests {
    use super::*;
    use catalogue::{Language, speaking};

    #[test]
    fn every_code_has_a_row_and_every_line_stands_in_its_table() {
        for code in BirthRiskCode::ALL {
            let row = row(*code).unwrap_or_else(|| panic!("{code:?}"));
            for (table, keys) in
                [(&TABLE.plan, &row.plan), (&TABLE.kit, &row.kit), (&TABLE.on_call, &row.on_call)]
            {
                assert!(!keys.is_empty(), "{code:?}");
                assert!(keys.iter().all(|key| table.contains_key(key)), "{code:?} {keys:?}");
            }
        }
        assert_eq!(TABLE.risk.len(), BirthRiskCode::ALL.len());
    }

    #[test]
    fn rows_and_lines_are_told_in_german() {
        for row in &TABLE.risk {
            let english: Vec<String> = std::iter::once(row.what())
                .chain(lines("birth-plan", &row.plan))
                .chain(lines("birth-kit", &row.kit))
                .chain(lines("birth-on-call", &row.on_call))
                .map(|text| text.to_string())
                .collect();
            speaking(Language::German, || {
                let german = std::iter::once(row.what())
                    .chain(lines("birth-plan", &row.plan))
                    .chain(lines("birth-kit", &row.kit))
                    .chain(lines("birth-on-call", &row.on_call));
                for (german, english) in german.zip(&english) {
                    assert_ne!(german.to_string(), *english);
                }
            });
        }
    }

    #[test]
    fn a_breed_is_found_by_each_of_its_names() {
        assert_eq!(breed_of(" french bulldog ").and_then(|breed| breed.share), Some(0.8));
        assert!(breed_of("Mops").is_some());
        assert!(breed_of("Labrador Retriever").is_none());
    }
}
