//! What an archive holds, and what it does not.

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

const fn table(name: &'static str) -> ArchiveTable {
    ArchiveTable { name, people: &[], derived: &[], former: &[] }
}

impl ArchiveTable {
    /// The table of this file, such as `dogs.csv`.
    pub fn of_file(file: &str) -> Option<&'static Self> {
        let name = file.strip_suffix(".csv")?;
        TABLES.iter().find(|table| table.name == name)
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

/// All tables of records; what a row refers to stands in a file before it.
pub const TABLES: &[ArchiveTable] = &[
    table("rule_overrides"),
    table("places"),
    table("supplies"),
    table("preparation_templates"),
    table("planner_settings"),
    table("readiness_rules"),
    table("booklet_texts"),
    table("dogs"),
    ArchiveTable { people: &["person_id"], ..table("shares") },
    table("heats"),
    table("heat_readings"),
    table("matings"),
    table("pregnancy_checks"),
    table("litters"),
    // The weight at birth stands among the weights.
    ArchiveTable { former: &["weight_g"], ..table("births") },
    ArchiveTable { derived: &["dam_id"], ..table("whelping_lines") },
    ArchiveTable { derived: &["dam_id"], ..table("dam_checks") },
    table("weights"),
    table("temperatures"),
    table("feeds"),
    table("pup_checks"),
    ArchiveTable { people: &["person_id"], ..table("alarms_seen") },
    table("genotype_tests"),
    table("health_plans"),
    table("health_plan_versions"),
    table("litter_plans"),
    ArchiveTable { people: &["created_by"], ..table("buyers") },
    table("health_events"),
    table("papers"),
    table("readiness_overrides"),
    table("placements"),
    table("payments"),
    table("follow_ups"),
    table("costs"),
    ArchiveTable { people: &["person_id"], ..table("absences") },
    table("own_tasks"),
    ArchiveTable { people: &["assignee_id", "done_by"], ..table("task_marks") },
];

/// Tables of a kennel that stay behind: who may enter, and secrets.
pub const LEFT_OUT: &[&str] = &[
    "kennels",
    "memberships",
    "invitations",
    "access_tokens",
    "calendar_links",
    "booklet_links",
    "webhooks",
];
