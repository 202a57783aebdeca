//! Runs pgbench on a script's statements, prepared.

use super::{client::Outcome, statements::Script};
use std::{
    fs,
    path::{Path, PathBuf},
    process::Command,
    time::Duration,
};

/// pgbench, set to a database.
pub struct Pgbench {
    /// The program.
    pub program: PathBuf,
    /// The database's address.
    pub url: String,
    /// Where scripts may be put.
    pub folder: PathBuf,
    /// Connections.
    pub connections: usize,
    /// The role that it works as, beside that of the address.
    pub role: Option<&'static str>,
}

impl Pgbench {
    /// Runs of the scripts a second, each script as often as the others.
    pub fn rate(&self, scripts: &[Script], lasts: Duration) -> Outcome<f64> {
        let mut command = Command::new(&self.program);
        if let Some(role) = self.role {
            command.env("PGOPTIONS", format!("-c role={role}"));
        }
        command.arg(&self.url).args(["--no-vacuum", "--protocol=prepared", "--jobs=2"]);
        command.arg(format!("--client={}", self.connections));
        command.arg(format!("--time={}", lasts.as_secs()));
        for (index, script) in scripts.iter().enumerate() {
            let path = self.folder.join(format!("{index}.sql"));
            fs::write(&path, &script.text)?;
            command.arg("--file").arg(&path);
            for (name, value) in &script.variables {
                command.arg("--define").arg(format!("{name}={value}"));
            }
        }
        let output = command.output()?;
        let told = String::from_utf8_lossy(&output.stdout).into_owned();
        let failed = String::from_utf8_lossy(&output.stderr).into_owned();
        if !output.status.success() || failed.contains("ERROR") {
            return Err(format!("pgbench: {told}{failed}").into());
        }
        let line = told.lines().find(|line| line.starts_with("tps = ")).ok_or("no tps told")?;
        Ok(line.split_whitespace().nth(2).ok_or("no tps told")?.parse()?)
    }
}

/// Where a run puts its scripts.
pub fn folder(data: &Path) -> Outcome<PathBuf> {
    let folder = data.join("pgbench");
    fs::create_dir_all(&folder)?;
    Ok(folder)
}
