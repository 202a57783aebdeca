//! The release binary, served from an empty data folder on a free port.

#![allow(dead_code, reason = "each bench uses a part of it")]

use rustix::process::{Pid, Signal, kill_process};
use std::{
    error::Error,
    fs::File,
    net::TcpListener,
    path::PathBuf,
    process::{Child, Command},
    time::{Duration, Instant},
};

type Outcome<T> = Result<T, Box<dyn Error>>;

impl Drop for Served {
    /// Nothing may go on when the measuring ends by an error.
    fn drop(&mut self) {
        let _ = self.end();
    }
}

/// A service that runs.
pub struct Served {
    data: PathBuf,
    settings: Vec<(&'static str, String)>,
    child: Child,
    /// Where it listens.
    pub url: String,
}

impl Served {
    /// Starts it on an empty folder, open to sign up.
    pub async fn start() -> Outcome<Self> {
        Self::start_with(Vec::new()).await
    }

    /// The same, with settings of the environment beside the usual ones.
    pub async fn start_with(settings: Vec<(&'static str, String)>) -> Outcome<Self> {
        let data = std::env::temp_dir().join(format!("denwright-bench-{}", std::process::id()));
        let _ = std::fs::remove_dir_all(&data);
        Self::on(data, settings).await
    }

    async fn on(data: PathBuf, settings: Vec<(&'static str, String)>) -> Outcome<Self> {
        std::fs::create_dir_all(&data)?;
        let port = TcpListener::bind("127.0.0.1:0")?.local_addr()?.port();
        let log = File::create(data.with_extension("log"))?;
        // Another build, to be measured against this one, can be named.
        let program = std::env::var_os("BENCH_PROGRAM")
            .unwrap_or_else(|| env!("CARGO_BIN_EXE_denwright").into());
        let child = Command::new(program)
            .arg("serve")
            .env_remove("DATABASE_URL")
            .env("DENWRIGHT_DATA", data.join("data"))
            .env("DENWRIGHT_LISTEN", format!("127.0.0.1:{port}"))
            .env("DENWRIGHT_SIGNUP", "open")
            .env("DENWRIGHT_LOG", "warn")
            .envs(settings.iter().cloned())
            .stdout(log.try_clone()?)
            .stderr(log)
            .spawn()?;
        let url = format!("http://127.0.0.1:{port}");
        let served = Self { data, settings, child, url };
        served.ready().await?;
        Ok(served)
    }

    async fn ready(&self) -> Outcome<()> {
        let start = Instant::now();
        loop {
            match reqwest::get(format!("{}/health/ready", self.url)).await {
                Ok(answer) if answer.status().is_success() => return Ok(()),
                _ if start.elapsed() > Duration::from_secs(60) => {
                    let log = std::fs::read_to_string(self.data.with_extension("log"))?;
                    return Err(format!("the service does not come up:\n{log}").into());
                }
                _ => tokio::time::sleep(Duration::from_millis(50)).await,
            }
        }
    }

    /// Ends it as a machine that shuts down would, and starts it again on the same data.
    pub async fn restarted(mut self) -> Outcome<Self> {
        self.end()?;
        Self::on(std::mem::take(&mut self.data), std::mem::take(&mut self.settings)).await
    }

    /// Ends it and takes its data away.
    pub async fn stop(mut self) -> Outcome<()> {
        self.end()?;
        std::fs::remove_dir_all(&self.data)?;
        Ok(std::fs::remove_file(self.data.with_extension("log"))?)
    }

    fn end(&mut self) -> Outcome<()> {
        if self.child.try_wait()?.is_none() {
            kill_process(Pid::from_child(&self.child), Signal::TERM)?;
            self.child.wait()?;
        }
        Ok(())
    }

    /// The number of its process.
    pub fn pid(&self) -> u32 {
        self.child.id()
    }

    /// Memory held now.
    pub fn memory(&self) -> Outcome<String> {
        self.status("VmRSS:")
    }

    /// The most memory that was ever held.
    pub fn peak(&self) -> Outcome<String> {
        self.status("VmHWM:")
    }

    /// A line of `/proc/PID/status` (Linux).
    fn status(&self, key: &str) -> Outcome<String> {
        let status = std::fs::read_to_string(format!("/proc/{}/status", self.child.id()))?;
        let line = status.lines().find(|line| line.starts_with(key)).ok_or("not told")?;
        let kb: f64 = line.split_whitespace().nth(1).ok_or("not told")?.parse()?;
        Ok(format!("{:.0} MB", kb / 1024.0))
    }
}
