//! The program: reads what is asked and hands it to the part that does it.

use std::process::ExitCode;

use denwright::cli::{Cli, ClusterCommand, Command};
use denwright::cluster;

#[tokio::main]
async fn main() -> ExitCode {
    match Cli::read().command {
        Command::Cluster(ClusterCommand::Run(arguments)) => {
            match cluster::run::run(arguments.data, arguments.command).await {
                Ok(code) => ExitCode::from(code),
                Err(error) => fail(&error),
            }
        }
        _ => fail(&"this build answers `denwright cluster run` only"),
    }
}

/// Tells why the program ends.
fn fail(error: &dyn std::fmt::Display) -> ExitCode {
    eprintln!("denwright: {error}");
    ExitCode::FAILURE
}
