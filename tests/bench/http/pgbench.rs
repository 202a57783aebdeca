//! Runs pgbench on a script's statements, prepared.

use super::{
    client::{Load, Outcome},
    statements::Script,
};
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
}

impl Pgbench {
    /// Runs of the scripts a second, each script as often as the others.
    pub fn rate(&self, scripts: &[Script], lasts: Duration) -> Outcome<f64> {
        let told = self.run(scripts, lasts, &[])?;
        let line = told.lines().find(|line| line.starts_with("tps = ")).ok_or("no tps told")?;
        Ok(line.split_whitespace().nth(2).ok_or("no tps told")?.parse()?)
    }

    /// The times of runs that should begin so often a second, counted from when they should have.
    pub fn paced(&self, scripts: &[Script], lasts: Duration, rate: f64) -> Outcome<Load> {
        let logs = self.folder.join("logs");
        fs::create_dir_all(&logs)?;
        let prefix = logs.join("run").to_string_lossy().into_owned();
        let rate = format!("--rate={rate}");
        self.run(scripts, lasts, &["--log", &format!("--log-prefix={prefix}"), &rate])?;
        let mut times = Vec::new();
        for log in fs::read_dir(&logs)? {
            let text = fs::read_to_string(log?.path())?;
            let micros =
                text.lines().filter_map(|line| line.split(' ').nth(2)?.parse::<f64>().ok());
            times.extend(micros.map(|micros| micros / 1000.0));
        }
        fs::remove_dir_all(&logs)?;
        Ok(Load::of(times, lasts))
    }

    fn run(&self, scripts: &[Script], lasts: Duration, more: &[&str]) -> Outcome<String> {
        let mut command = Command::new(&self.program);
        command.arg(&self.url).args(["--no-vacuum", "--protocol=prepared", "--jobs=2"]);
        command.arg(format!("--client={}", self.connections));
        command.arg(format!("--time={}", lasts.as_secs())).args(more);
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
        Ok(told)
    }
}

/// Where a run puts its scripts.
pub fn folder(data: &Path) -> Outcome<PathBuf> {
    let folder = data.join("pgbench");
    fs::create_dir_all(&folder)?;
    Ok(folder)
}
