//! The migrations that the program carries; `migrations/embed.rs` puts them together.

use diesel::connection::BoxableConnection;
use diesel::migration::{
    Migration, MigrationMetadata, MigrationName, MigrationSource, MigrationVersion, Result,
};
use diesel::pg::Pg;
use std::fmt;

/// All of them, the oldest first.
#[derive(Clone, Copy)]
pub(super) struct Migrations;

const STEPS: &[Step] = include!(concat!(env!("OUT_DIR"), "/migrations.rs"));

/// One migration: the name of its folder, the way there and the way back.
#[derive(Clone, Copy)]
struct Step {
    name: &'static str,
    up: &'static str,
    down: &'static str,
}

impl MigrationSource<Pg> for Migrations {
    fn migrations(&self) -> Result<Vec<Box<dyn Migration<Pg>>>> {
        Ok(STEPS.iter().map(|step| Box::new(*step) as Box<dyn Migration<Pg>>).collect())
    }
}

impl Migration<Pg> for Step {
    fn run(&self, conn: &mut dyn BoxableConnection<Pg>) -> Result<()> {
        Ok(conn.batch_execute(self.up)?)
    }

    fn revert(&self, conn: &mut dyn BoxableConnection<Pg>) -> Result<()> {
        Ok(conn.batch_execute(self.down)?)
    }

    fn metadata(&self) -> &dyn MigrationMetadata {
        self
    }

    fn name(&self) -> &dyn MigrationName {
        self
    }
}

impl MigrationMetadata for Step {}

impl MigrationName for Step {
    /// What stands in the ledger: `20261101000001` of `2026-11-01-000001_kennels`.
    fn version(&self) -> MigrationVersion<'_> {
        let number = self.name.split('_').next().unwrap_or_default();
        number.replace('-', "").into()
    }
}

impl fmt::Display for Step {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name)
    }
}
