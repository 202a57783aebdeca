//! The program: reads what is asked and hands it to the part that does it.

#![recursion_limit = "256"]

use api::openapi;
use denwright::{
    cli::{
        BackupArgs, Cli, ClusterCommand, Command, KeysCommand, OpenapiArgs, PersonAddArgs,
        PersonCommand, RestoreArgs,
    },
    config::DatabaseConfig,
    service::backup,
    service::{
        database::Database,
        log::log_to_stderr,
        server::{self, ServerError},
    },
};

use files::Blobs;
use security::{
    credentials, passwords,
    vault::{self, Vault},
};

use std::{
    fs,
    io::{self, BufRead as _},
    process::ExitCode,
    sync::Arc,
};
use store::{Db, people, upkeep};

#[tokio::main]
async fn main() -> ExitCode {
    let done = match Cli::read().command {
        Command::Serve(config) => server::serve(&config).await,
        Command::Migrate(config) => migrate_only(&config).await,
        Command::Openapi(arguments) => print_document(&arguments).map_err(ServerError::from),
        Command::Demo(config) => load_demo(&config).await,
        Command::Person(PersonCommand::Add(arguments)) => add_person(&arguments).await,
        Command::Keys(KeysCommand::Rotate(config)) => rotate_keys(&config).await,
        Command::Keys(KeysCommand::Seal(config)) => seal_anew(&config).await,
        Command::Keys(KeysCommand::ForgetSealed(config)) => forget_sealed(&config).await,
        Command::Backup(arguments) => write_backup(&arguments).await,
        Command::Restore(arguments) => read_backup(&arguments).await,
        Command::Cluster(ClusterCommand::Run(arguments)) => {
            let run = cluster::run::run(arguments.data, arguments.standby, arguments.command);
            return match run.await {
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
    log_to_stderr(&config.log, config.log_format)?;
    let database = Database::join(config).await?;
    let done = async {
        database.prepare().await?;
        work(&Db::for_upkeep(database.owner_url()?, 2)?).await
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

async fn seal_anew(config: &DatabaseConfig) -> Result<(), ServerError> {
    let file = config.secret_file();
    Vault::open_or_make(&file)?;
    vault::renew(&file)?;
    let vault = Arc::new(Vault::open_or_make(&file)?);
    on_database(config, async |db| {
        let sealed = upkeep::seal_secrets(&db.clone().sealing_with(vault)).await?;
        println!(
            "{sealed} secrets are sealed under a new key: start the instances anew with {}",
            file.display()
        );
        Ok(())
    })
    .await
}

async fn forget_sealed(config: &DatabaseConfig) -> Result<(), ServerError> {
    let vault = Arc::new(Vault::open_or_make(&config.secret_file())?);
    on_database(config, async |db| {
        let given_up = upkeep::forget_sealed(&db.clone().sealing_with(vault)).await?;
        println!("{given_up} secrets are given up");
        Ok(())
    })
    .await
}

async fn write_backup(arguments: &BackupArgs) -> Result<(), ServerError> {
    let config = &arguments.database;
    log_to_stderr(&config.log, config.log_format)?;
    let database = Database::join(config).await?;
    let done = async {
        let files = Blobs::find(&config.files_url())?;
        let owner = database.owner_url()?;
        Ok(backup::backup(&config.data, owner, files.as_ref(), &arguments.file).await?)
    };
    let done: Result<(), ServerError> = done.await;
    let done = match done {
        Ok(()) if arguments.with_key => {
            let key = config.secret_file();
            backup::copy_key(&key, &backup::key_beside(&arguments.file)).map_err(ServerError::from)
        }
        done => done,
    };
    let closed = database.close().await;
    done.and(closed)
}

async fn read_backup(arguments: &RestoreArgs) -> Result<(), ServerError> {
    let config = &arguments.database;
    log_to_stderr(&config.log, config.log_format)?;
    let database = Database::open(config).await?;
    let done = async {
        let files = Blobs::open(&config.files_url())?;
        backup::restore(&config.data, database.owner_url()?, &files, &arguments.file).await?;
        let (kept, own) = (backup::key_beside(&arguments.file), config.secret_file());
        if kept.exists() && !own.exists() {
            backup::copy_key(&kept, &own)?;
        }
        // A backup of an earlier edition is brought to this one's form.
        database.prepare().await?;
        let db = Db::for_upkeep(database.owner_url()?, 1)?;
        Ok(backup::require_all(&db, &files).await?)
    };
    let done: Result<(), ServerError> = done.await;
    done.and(database.close().await)
}

async fn add_person(arguments: &PersonAddArgs) -> Result<(), ServerError> {
    let password = read_password(arguments)?;
    if let Some(weakness) = passwords::weakness(&password, &arguments.name, &arguments.email) {
        return Err(io::Error::other(format!("the password {weakness}")).into());
    }
    let hash = credentials::hash_password(&password)?;
    on_database(&arguments.database, async |db| {
        let person = people::add(db, &arguments.name, &arguments.email, &hash, true).await?;
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
