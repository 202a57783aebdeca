//! Writes changes into the sources of a tree, each behind a switch, so that one build holds all of them.
//!
//! ```text
//! switches TREE <changes.json >left-out.json
//! ```
//!
//! `a + b` becomes `(if !crate::change_is_on(7) { (a + b) } else { (a - b) })`. What a switch cannot stand
//! before (constants, chains with `let`, functions whose type is not named) is left as it is, and told.
//! Comments mark where the changed text of 7 stands (`/*<7*/ … /*7>*/`) and what was taken apart for 7 and 8
//! (`/*[7,8*/ … /*]*/`), so that a fault of the compiler has its change.

mod places;
mod written;

use std::collections::{BTreeMap, BTreeSet};
use std::error::Error;
use std::io::Read as _;
use std::path::Path;
use std::{env, fs, io};

use serde::Deserialize;

/// A change as cargo-mutants lists it, with a number of its own.
#[derive(Clone, Debug, Deserialize)]
pub struct Change {
    /// Its number.
    pub id: u32,
    /// The file, from the tree's root.
    pub file: String,
    /// Which kind of place it changes.
    pub genre: Genre,
    /// What is replaced.
    pub span: Span,
    /// What stands there instead.
    pub replacement: String,
}

/// What cargo-mutants changes.
#[derive(Clone, Copy, Debug, Deserialize, Eq, Ord, PartialEq, PartialOrd)]
pub enum Genre {
    /// The body of a function becomes a value.
    FnValue,
    /// An operator between two becomes another one.
    BinaryOperator,
    /// An operator before one goes.
    UnaryOperator,
    /// An arm of a match goes.
    MatchArm,
    /// The condition of an arm holds always, or never.
    MatchArmGuard,
    /// A field goes where the others come from a base.
    StructField,
}

/// Where a text stands.
#[derive(Clone, Copy, Debug, Deserialize)]
pub struct Span {
    /// Its first character.
    pub start: Position,
    /// What comes behind its last one.
    pub end: Position,
}

/// A character of a file.
#[derive(Clone, Copy, Debug, Deserialize)]
pub struct Position {
    /// From 1 on.
    pub line: usize,
    /// From 1 on, in characters.
    pub column: usize,
}

fn main() -> Result<(), Box<dyn Error>> {
    let tree = env::args_os().nth(1).ok_or("which tree? switches TREE <changes.json")?;
    let mut given = String::new();
    io::stdin().read_to_string(&mut given)?;
    let mut by_file: BTreeMap<String, Vec<Change>> = BTreeMap::new();
    for change in serde_json::from_str::<Vec<Change>>(&given)? {
        by_file.entry(change.file.clone()).or_default().push(change);
    }
    let mut left_out = BTreeSet::new();
    for (file, changes) in by_file {
        let path = Path::new(&tree).join(&file);
        let (text, unwritten) = written::with_switches(&fs::read_to_string(&path)?, &changes)
            .map_err(|error| format!("{file}: {error}"))?;
        fs::write(&path, text)?;
        left_out.extend(unwritten);
    }
    println!("{}", serde_json::to_string(&left_out)?);
    Ok(())
}
