//! Rules are looked up by literal keys, which the compiler cannot check.

use std::collections::BTreeSet;

use domain::rules::Rules;

use crate::walls::OURS;

#[test]
fn every_rule_that_the_code_names_is_in_a_table() {
    let rules = Rules::standard();
    let known: BTreeSet<&str> = rules.iter().map(|(key, _)| key).collect();
    let tables: BTreeSet<&str> = known.iter().filter_map(|key| key.split('.').next()).collect();
    // The words of cautions look like keys of rules and are none.
    let codes = "src/domain/advice/code.rs";
    let mut named = BTreeSet::new();
    for literal in OURS.reading.literals.iter().filter(|literal| literal.path != codes) {
        let Some((table, name)) = literal.text.split_once('.') else { continue };
        let is_name =
            name.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_');
        if is_name && name != "toml" && tables.contains(table) {
            let place = format!("{}:{}", literal.path, literal.line);
            assert!(known.contains(&*literal.text), "{place}: there is no rule {:?}", literal.text);
            named.insert(&literal.text);
        }
    }
    assert!(named.len() > 100, "only {} rules are looked up", named.len());
}
