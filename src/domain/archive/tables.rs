//! What an archive holds: the files that the register of records names.

use crate::record::register;

/// A table of an archive.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ArchiveTable {
    /// Its name; the file is called `NAME.csv`.
    pub name: &'static str,
    /// Columns that name a person: they hold the email address.
    pub people: &'static [&'static str],
    /// Columns that follow from others and are left out.
    pub derived: &'static [&'static str],
    /// Columns that archives of earlier editions have, and that are read past.
    pub former: &'static [&'static str],
}

impl ArchiveTable {
    /// A table whose file has all its columns.
    pub(crate) const fn of(name: &'static str) -> Self {
        Self { name, people: &[], derived: &[], former: &[] }
    }

    /// The table of this file, such as `dogs.csv`.
    pub fn of_file(file: &str) -> Option<&'static Self> {
        let name = file.strip_suffix(".csv")?;
        tables().find(|table| table.name == name)
    }

    /// Name of its file.
    pub fn file(&self) -> String {
        format!("{}.csv", self.name)
    }
}

/// The people whom rows name, with their email addresses and roles: for reading.
pub const PEOPLE: &str = "people.csv";
/// The log of changes: for reading. What happened is not made to happen again.
pub const HISTORY: &str = "history.csv";

/// All tables that an archive holds; what a row refers to stands in a file before it.
pub fn tables() -> impl Iterator<Item = &'static ArchiveTable> {
    register::lines().filter_map(|line| line.archive.as_ref())
}
