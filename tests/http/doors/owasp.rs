//! What the table says holds a requirement is there.

use std::path::Path;

const TABLE: &str = include_str!("ASVS.md");

/// The code of the table: what stands between backticks.
fn codes() -> impl Iterator<Item = &'static str> {
    TABLE.lines().flat_map(|line| line.split('`').skip(1).step_by(2))
}

fn is_word(text: &str, more: &str) -> bool {
    text.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || more.contains(c))
}

#[test]
fn every_test_and_file_that_the_table_names_is_there() {
    let (mut tests, mut files) = (0, 0);
    for code in codes() {
        if let Some((module, name)) = code.rsplit_once("::")
            && is_word(module, "_:")
            && is_word(name, "_*")
        {
            tests += 1;
            let path = format!("tests/http/{}.rs", module.replace("::", "/"));
            let text = std::fs::read_to_string(&path);
            let text = text.unwrap_or_else(|_| panic!("{code}: there is no {path}"));
            let there = name == "*" || text.contains(&format!("fn {name}("));
            assert!(there, "{code} is not in {path}");
        } else if ["src/", "tests/", "scripts/"].iter().any(|start| code.starts_with(start)) {
            files += 1;
            let path = code.split(' ').next().unwrap_or_default();
            assert!(Path::new(path).exists(), "{path} is not there");
        }
    }
    assert!(tests > 60 && files > 15, "{tests} tests and {files} files");
}

#[test]
fn each_requirement_stands_once_and_in_its_chapter() {
    let mut ids: Vec<(u32, u32, u32)> = Vec::new();
    for cell in TABLE.lines().filter_map(|line| line.strip_prefix("| ")?.split(" |").next()) {
        for id in cell.split([',', ' ']).filter(|part| part.contains('.')) {
            let numbers = |id: &str| -> Option<(u32, u32, u32)> {
                let mut parts = id.split('.').map(|part| part.parse().ok());
                Some((parts.next()??, parts.next()??, parts.next()??))
            };
            let (first, last) = id.split_once('–').unwrap_or((id, id));
            let (Some(first), Some(last)) = (numbers(first), numbers(last)) else { continue };
            assert_eq!((first.0, first.1), (last.0, last.1), "{id} is of one section");
            ids.extend((first.2..=last.2).map(|number| (first.0, first.1, number)));
        }
    }
    assert!(ids.len() > 150, "{}", ids.len());
    assert!(ids.iter().map(|id| id.0).collect::<Vec<_>>().is_sorted(), "chapters in their order");
    let count = ids.len();
    ids.sort_unstable();
    ids.dedup();
    assert_eq!(ids.len(), count, "no requirement twice");
}
