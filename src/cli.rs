//! The command line: what can be asked of the program, not how it is done.

use std::env;
use std::ffi::OsString;
use std::path::PathBuf;

use clap::error::{ContextKind, ErrorKind};
use clap::{Args, Parser, Subcommand};

use crate::config::{DatabaseConfig, ServeConfig};
use domain::text::{Lines, refused};

/// The whole job of a small dog kennel, as a REST service on Postgres.
#[derive(Debug, Parser)]
#[command(
    name = "denwright",
    version,
    after_help = "Settings come from flags or the environment (DENWRIGHT_LISTEN, DENWRIGHT_DATA, \
                  DATABASE_URL and more): `denwright serve --help` lists them all."
)]
pub struct Cli {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

impl Cli {
    /// Reads the command line and the environment; ends the program with a message when wrong.
    pub fn read() -> Self {
        Self::read_from(env::args_os()).unwrap_or_else(|error| error.exit())
    }

    /// Reads these words, the program's name first, and the environment.
    ///
    /// # Errors
    /// What is wrong, to be shown: it holds no secret.
    pub fn read_from(
        words: impl IntoIterator<Item = impl Into<OsString> + Clone>,
    ) -> Result<Self, clap::Error> {
        Self::try_parse_from(words).map_err(without_secrets)
    }
}

/// What can be asked of the program.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Answer requests until told to stop.
    Serve(Box<ServeConfig>),
    /// Bring the database to this version's form, then end.
    Migrate(DatabaseConfig),
    /// Print the OpenAPI document.
    Openapi(OpenapiArgs),
    /// Load the invented demo kennel, once, then end.
    Demo(DatabaseConfig),
    /// Look after logins.
    #[command(subcommand)]
    Person(PersonCommand),
    /// Look after the keys that sign access tokens.
    #[command(subcommand)]
    Keys(KeysCommand),
    /// Write all data into one file, also while the service runs.
    Backup(BackupArgs),
    /// Read a backup into an empty database.
    Restore(RestoreArgs),
    /// Use the private Postgres without the service.
    #[command(subcommand)]
    Cluster(ClusterCommand),
}

/// Where the OpenAPI document goes.
#[derive(Debug, Args)]
pub struct OpenapiArgs {
    /// File to write instead of printing.
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
}

/// What can be done with logins.
#[derive(Debug, Subcommand)]
pub enum PersonCommand {
    /// Make a login, such as the first one.
    Add(PersonAddArgs),
}

/// A new login.
#[derive(Debug, Args)]
pub struct PersonAddArgs {
    /// Where the data is.
    #[command(flatten)]
    pub database: DatabaseConfig,

    /// The person's name.
    #[arg(long, value_parser = parse_name)]
    pub name: String,

    /// The e-mail address to log in with.
    #[arg(long)]
    pub email: String,

    /// File with the password in its first line; without it, the first line of standard input.
    ///
    /// There is no flag for the password itself: others on the machine could read it.
    #[arg(long, value_name = "FILE")]
    pub password_file: Option<PathBuf>,
}

fn parse_name(text: &str) -> Result<String, String> {
    refused(text, Lines::One).map_or_else(|| Ok(text.to_owned()), |why| Err(why.to_string()))
}

/// What can be done with signing keys.
#[derive(Debug, Subcommand)]
pub enum KeysCommand {
    /// Sign with a new key from now on; nobody is logged out.
    Rotate(DatabaseConfig),
    /// Seal secrets in the database under a new key; start the instances anew afterwards.
    Seal(DatabaseConfig),
    /// Give up secrets whose key is lost: second factors go off, webhooks are deleted.
    ForgetSealed(DatabaseConfig),
}

/// A backup and the database it is of.
#[derive(Debug, Args)]
pub struct BackupArgs {
    /// Where the data is.
    #[command(flatten)]
    pub database: DatabaseConfig,

    /// The file of the backup.
    pub file: PathBuf,

    /// Write the key for secrets beside it, as FILE.key: without that key second factors and webhooks of
    /// the backup are of no use, with it whoever has both has the secrets.
    #[arg(long)]
    pub with_key: bool,
}

/// A backup and the database it is for.
#[derive(Debug, Args)]
pub struct RestoreArgs {
    /// Where the data is.
    #[command(flatten)]
    pub database: DatabaseConfig,

    /// The file of the backup; a key beside it, as FILE.key, is taken in where there is none yet.
    pub file: PathBuf,
}

/// What can be done with the private Postgres.
#[derive(Debug, Subcommand)]
pub enum ClusterCommand {
    /// Run a command with its address in DATABASE_URL, and stop Postgres when it ends.
    Run(ClusterRunArgs),
}

/// A command and where its cluster lives.
#[derive(Debug, Args)]
pub struct ClusterRunArgs {
    /// Folder to keep the data in; without it a temporary one, quick and deleted at the end.
    #[arg(long, value_name = "FOLDER")]
    pub data: Option<PathBuf>,

    /// Beside it a streaming replica, as tests want it: its addresses stand in DENWRIGHT_TEST_READ_URL and, as
    /// superuser, DENWRIGHT_TEST_READ_ADMIN_URL.
    #[arg(long)]
    pub standby: bool,

    /// The command and its arguments, after `--`.
    #[arg(required = true, trailing_var_arg = true, value_name = "COMMAND")]
    pub command: Vec<OsString>,
}

/// Takes a refused address of a database or mail server, which may hold a password, out of the message.
fn without_secrets(mut error: clap::Error) -> clap::Error {
    let argument = error.get(ContextKind::InvalidArg).map(ToString::to_string);
    let is_address = argument.is_some_and(|argument| {
        ["--database-url", "--migrate-url", "--read-url", "--direct-url", "--mail "]
            .iter()
            .any(|flag| argument.starts_with(flag))
    });
    if is_address && error.kind() == ErrorKind::ValueValidation {
        let hidden = clap::error::ContextValue::String("(hidden)".to_owned());
        error.insert(ContextKind::InvalidValue, hidden);
    }
    error
}
