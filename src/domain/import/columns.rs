//! Which column of a file holds which field.

use super::{
    fault::{LineFault, LineFaultKind as Kind, LineFaults},
    fold::heading,
};
use crate::fault::{near, quoted};
use catalogue::{Text, Value, said};
use std::{
    collections::{BTreeMap, HashMap},
    sync::LazyLock,
};

/// A field that a file of some kind can hold.
pub(crate) trait Field: Copy + Eq + std::fmt::Debug + 'static {
    /// The kind of file, as its table of `columns.toml` is named.
    const KIND: &'static str;
    /// All of them, in the order in which they are told.
    const ALL: &'static [Self];

    /// Its name in the first line of a file.
    fn name(self) -> &'static str;
}

/// Makes the fields of a kind of file.
macro_rules! fields {
    ($(#[$meta:meta])* $name:ident of $kind:literal { $($variant:ident = $word:literal $doc:literal,)* }) => {
        $(#[$meta])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum $name {
            $(#[doc = $doc] $variant,)*
        }

        impl $crate::import::columns::Field for $name {
            const KIND: &'static str = $kind;
            const ALL: &'static [Self] = &[$(Self::$variant,)*];

            fn name(self) -> &'static str {
                match self { $(Self::$variant => $word,)* }
            }
        }
    };
}
pub(super) use fields;

const NAMES: &str = include_str!("columns.toml");

/// The other names of a field, by kind of file and field.
type OtherNames = BTreeMap<String, BTreeMap<String, Vec<String>>>;

#[expect(clippy::expect_used, reason = "embedded at compile time; a test reads it")]
static OTHER_NAMES: LazyLock<OtherNames> =
    LazyLock::new(|| toml::from_str(NAMES).expect("embedded names of columns"));

/// What a field of a kind goes by, as names are compared.
fn names_of<F: Field>(field: F) -> impl Iterator<Item = String> {
    let others = OTHER_NAMES.get(F::KIND).and_then(|kind| kind.get(field.name()));
    let others = others.into_iter().flatten().map(|name| heading(name));
    std::iter::once(heading(field.name())).chain(others)
}

/// The mapping word for columns of the file that are to be left out.
const IGNORE: &str = "ignore";

/// Says which column of the file holds a field, where the names differ.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ColumnMap(Vec<(String, String)>);

impl ColumnMap {
    /// A mapping of our field's name to the file's column (`("born_on", "kennel day")`); the field
    /// `ignore` names columns, separated by commas, that are left out.
    pub fn new(pairs: impl IntoIterator<Item = (String, String)>) -> Self {
        Self(pairs.into_iter().collect())
    }

    /// The field of each column of the file, `None` where it is left out.
    pub(super) fn resolve<F: Field>(
        &self,
        header: &[String],
        line: u64,
        faults: &mut LineFaults,
    ) -> Vec<Option<F>> {
        let known = known::<F>();
        let names: Vec<String> = header.iter().map(|name| heading(name)).collect();
        let mut fields: Vec<Option<F>> =
            names.iter().map(|name| known.get(name).copied()).collect();
        prefer_own_names(&names, &mut fields);
        let mut settled = vec![false; names.len()];
        for (field, column) in &self.0 {
            let ignored = field == IGNORE;
            let target = F::ALL.iter().copied().find(|own| heading(own.name()) == heading(field));
            if target.is_none() && !ignored {
                faults.push(LineFault::of_query(field, not_a_field::<F>(field)));
                continue;
            }
            let columns: Vec<&str> =
                if ignored { column.split(',').collect() } else { vec![column.as_str()] };
            for column in columns {
                let Some(at) = names.iter().position(|name| *name == heading(column)) else {
                    let detail = said!("fault-not-found-column", column = quoted(column));
                    faults.push(LineFault::of_query(field, detail));
                    continue;
                };
                // A column of the field's own name gives way to the one that is mapped to it.
                for (other, place) in fields.iter_mut().enumerate() {
                    if target.is_some() && *place == target && !settled[other] {
                        *place = None;
                        settled[other] = true;
                    }
                }
                fields[at] = target;
                settled[at] = true;
            }
        }
        for (at, name) in header.iter().enumerate().filter(|(at, _)| fields[*at].is_none()) {
            if !settled[at] {
                let detail = unknown::<F>(name, at, &known);
                faults.push(LineFault::at_line(Kind::Column, line, &[], detail));
            }
        }
        report_repeats(&fields, line, faults);
        fields
    }
}

/// Every name by which a field of this kind is known.
fn known<F: Field>() -> HashMap<String, F> {
    let mut known = HashMap::new();
    for field in F::ALL.iter().copied() {
        known.extend(names_of(field).map(|name| (name, field)));
    }
    known
}

/// Of two columns for one field, the one with its own name holds it; the other is asked about as unknown.
fn prefer_own_names<F: Field>(names: &[String], fields: &mut [Option<F>]) {
    for at in 0..fields.len() {
        let Some(field) = fields[at].filter(|field| names[at] == heading(field.name())) else {
            continue;
        };
        for other in 0..fields.len() {
            if fields[other] == Some(field) && names[other] != names[at] {
                fields[other] = None;
            }
        }
    }
}

/// That columns cannot be mapped to a field of this name, and which field may be meant.
fn not_a_field<F: Field>(name: &str) -> Text {
    let known = fields_known::<F>();
    match near(name, F::ALL.iter().map(|field| field.name())) {
        Some(near) => said!("fault-unknown-field-mapped-near", known = known, near = near),
        None => said!("fault-unknown-field-mapped", known = known),
    }
}

/// Says that a column is not known, and which one may be meant.
fn unknown<F: Field>(name: &str, at: usize, names: &HashMap<String, F>) -> Text {
    let (column, known) = (quoted(name.trim()), fields_known::<F>());
    let field = F::ALL.last().map_or("note", |field| field.name());
    if name.trim().is_empty() {
        let number = at + 1;
        return said!(
            "fault-unknown-field-column-nameless",
            number = number,
            known = known,
            field = field
        );
    }
    match meant(&heading(name), names) {
        Some(near) => said!(
            "fault-unknown-field-column-near",
            column = column,
            near = near.name(),
            known = known,
            field = field
        ),
        None => {
            said!("fault-unknown-field-column", column = column, known = known, field = field)
        }
    }
}

/// The field of which a name is near; of several, the first by its own name.
fn meant<F: Field>(wanted: &str, names: &HashMap<String, F>) -> Option<F> {
    let mut names: Vec<(&str, F)> =
        names.iter().map(|(name, field)| (name.as_str(), *field)).collect();
    names.sort_unstable_by_key(|(name, field)| (field.name(), *name));
    let found = near(wanted, names.iter().map(|(name, _)| *name))?;
    names.iter().find(|(name, _)| *name == found).map(|(_, field)| *field)
}

fn report_repeats<F: Field>(fields: &[Option<F>], line: u64, faults: &mut LineFaults) {
    for field in F::ALL {
        let times = fields.iter().filter(|f| **f == Some(*field)).count();
        if times > 1 {
            let detail = said!("fault-twice-column", field = field.name(), times = times);
            faults.push(LineFault::at_line(Kind::Column, line, &[], detail));
        }
    }
}

/// Reports that none of these columns is there, of which there must be one.
pub(super) fn require<F: Field>(
    columns: &[Option<F>],
    one_of: &[F],
    line: u64,
    faults: &mut LineFaults,
) {
    if one_of.iter().any(|field| columns.contains(&Some(*field))) {
        return;
    }
    let names = one_of.iter().map(|field| field.name());
    let first = one_of.first().map_or("", |field| field.name());
    let detail = said!("fault-missing-column", columns = Value::any(names), field = first);
    faults.push(LineFault::at_line(Kind::MissingColumn, line, &[], detail));
}

fn fields_known<F: Field>() -> String {
    let names: Vec<&str> = F::ALL.iter().map(|field| field.name()).collect();
    names.join(", ")
}

#[cfg(test)]
pub(super) fn check_names<F: Field>() {
    let mut seen: HashMap<String, F> = HashMap::new();
    for field in F::ALL.iter().copied() {
        for name in names_of(field) {
            let before = seen.insert(name.clone(), field);
            assert!(before.is_none_or(|before| before == field), "{name} of {} is twice", F::KIND);
        }
    }
    for field in OTHER_NAMES.get(F::KIND).expect("a table of names").keys() {
        assert!(F::ALL.iter().any(|own| own.name() == field), "{field} is no field of {}", F::KIND);
    }
}
