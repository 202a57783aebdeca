//! The published document names a schema by its bare type name: of two types with one name, one is published
//! for both.

use std::collections::BTreeMap;

use syn::visit::{self, Visit};
use syn::{Attribute, Item};

use crate::files::{Module, Program, attributes, for_tests, line};
use crate::names::parts;
use crate::walls::OURS;

/// Every type that is published by its own name, and where it stands.
pub fn published(program: &Program) -> Vec<(String, String)> {
    let mut found = Vec::new();
    for module in &program.modules {
        let mut reader = Reader { module, found: &mut found };
        module.items.iter().for_each(|item| reader.visit_item(item));
    }
    found
}

struct Reader<'a> {
    module: &'a Module,
    found: &'a mut Vec<(String, String)>,
}

impl<'ast> Visit<'ast> for Reader<'_> {
    fn visit_item(&mut self, item: &'ast Item) {
        if attributes(item).is_some_and(for_tests) {
            return;
        }
        let named = match item {
            Item::Struct(item) => Some((&item.attrs, &item.ident)),
            Item::Enum(item) => Some((&item.attrs, &item.ident)),
            _ => None,
        };
        if let Some((attributes, name)) = named
            && attributes.iter().any(derives_a_schema)
        {
            self.found.push((name.to_string(), format!("{}:{}", self.module.path, line(name))));
        }
        visit::visit_item(self, item);
    }
}

fn derives_a_schema(attribute: &Attribute) -> bool {
    let mut found = false;
    if attribute.path().is_ident("derive") {
        // What cannot be read is none of these.
        let _ = attribute.parse_nested_meta(|derived| {
            found |= parts(&derived.path).last().is_some_and(|name| name == "ToSchema");
            Ok(())
        });
    }
    found
}

#[test]
fn every_published_type_has_a_name_of_its_own() {
    let mut names = BTreeMap::new();
    for (name, place) in &OURS.published {
        if let Some(other) = names.insert(name, place) {
            panic!("{name} is published by both {other} and {place}");
        }
    }
    assert!(names.len() > 400, "only {} types are published", names.len());
}
