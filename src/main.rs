//! The program: reads what is asked and hands it to the part that does it.

use denwright::{
    api::openapi,
    backup,
    cli::{
        BackupArgs, Cli, ClusterCommand, Command, KeysCommand, OpenapiArgs, PersonAddArgs,
        PersonCommand,
    },
    cluster,
    config::DatabaseConfig,
    credentials, demo,
    server::{self, Database, ServerError},
    store::{Db, migrate, people, upkeep},
};
use std::{
    fs,
    io::{self, BufRead as _},
    process::ExitCode,
};

#[tokio::main]
async fn main() -> ExitCode {
    let done = match Cli::read().command {
        Command::Serve(config) => server::serve(&config).await,
        Command::Migrate(config) => migrate_only(&config).await,
        Command::Openapi(arguments) => print_document(&arguments).map_err(ServerError::from),
        Command::Demo(config) => load_demo(&config).await,
        Command::Person(PersonCommand::Add(arguments)) => add_person(&arguments).await,
        Command::Keys(KeysCommand::Rotate(config)) => rotate_keys(&config).await,
        Command::Backup(arguments) => write_backup(&arguments).await,
        Command::Restore(arguments) => read_backup(&arguments).await,
        Command::Cluster(ClusterCommand::Run(arguments)) => {
            return match cluster::run::run(arguments.data, arguments.command).await {
                Ok(code) => ExitCode::from(code),
                Err(error) => fail(&error),
            };
        }
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => fail(&error),
    }
}

/// Tells why the program ends.
fn fail(error: &dyn std::fmt::Display) -> ExitCode {
    eprintln!("denwright: {error}");
    ExitCode::FAILURE
}

/// Does `work` on a migrated database.
async fn on_database(
    config: &DatabaseConfig,
    work: impl AsyncFnOnce(&Db) -> Result<(), ServerError>,
) -> Result<(), ServerError> {
    server::log_to_stderr(&config.log, config.log_format)?;
    let database = Database::join(config).await?;
    let done = async {
        migrate::run(database.url(), migrate::Direction::Up).await?;
        work(&Db::connect(database.url(), 2)?).await
    };
    let done = done.await;
    done.and(database.close().await)
}

async fn migrate_only(config: &DatabaseConfig) -> Result<(), ServerError> {
    on_database(config, async |_| Ok(())).await
}

async fn load_demo(config: &DatabaseConfig) -> Result<(), ServerError> {
    on_database(config, async |db| Ok(demo::load(db, chrono::Utc::now()).await?)).await
}

async fn rotate_keys(config: &DatabaseConfig) -> Result<(), ServerError> {
    on_database(config, async |db| {
        let key = upkeep::rotate_keys(db, &credentials::random_key()).await?;
        println!("{key}");
        Ok(())
    })
    .await
}

async fn write_backup(arguments: &BackupArgs) -> Result<(), ServerError> {
    let config = &arguments.database;
    server::log_to_stderr(&config.log, config.log_format)?;
    let database = Database::join(config).await?;
    let done = backup::backup(&config.data, database.url(), &arguments.file).await;
    let closed = database.close().await;
    done.map_err(ServerError::from).and(closed)
}

async fn read_backup(arguments: &BackupArgs) -> Result<(), ServerError> {
    let config = &arguments.database;
    server::log_to_stderr(&config.log, config.log_format)?;
    let database = Database::open(config).await?;
    let done = async {
        backup::restore(&config.data, database.url(), &arguments.file).await?;
        // A backup of an earlier edition is brought to this one's form.
        Ok(migrate::run(database.url(), migrate::Direction::Up).await?)
    };
    let done: Result<(), ServerError> = done.await;
    done.and(database.close().await)
}

async fn add_person(arguments: &PersonAddArgs) -> Result<(), ServerError> {
    let password = read_password(arguments)?;
    if password.chars().count() < credentials::SHORTEST_PASSWORD {
        let shortest = credentials::SHORTEST_PASSWORD;
        return Err(
            io::Error::other(format!("a password has {shortest} characters or more")).into()
        );
    }
    let hash = credentials::hash_password(&password)?;
    on_database(&arguments.database, async |db| {
        let person = people::add(db, &arguments.name, &arguments.email, &hash).await?;
        println!("{}", person.id);
        Ok(())
    })
    .await
}

/// The first line of the password file, or of standard input.
fn read_password(arguments: &PersonAddArgs) -> io::Result<String> {
    let text = match &arguments.password_file {
        Some(file) => fs::read_to_string(file).map_err(|error| {
            io::Error::new(error.kind(), format!("{}: {error}", file.display()))
        })?,
        None => {
            let mut line = String::new();
            io::stdin().lock().read_line(&mut line)?;
            line
        }
    };
    Ok(text.lines().next().unwrap_or_default().to_owned())
}

fn print_document(arguments: &OpenapiArgs) -> io::Result<()> {
    let text = openapi::document_text();
    match &arguments.out {
        Some(file) => fs::write(file, text),
        None => {
            print!("{text}");
            Ok(())
        }
    }
}
