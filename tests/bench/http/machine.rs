//! What processes take of the machine (Linux: `/proc`).

use super::client::Outcome;
use std::{fs, process::Command};

/// Memory that a process holds now, in MiB.
pub fn memory_mib(pid: u32) -> Outcome<f64> {
    status_mib(pid, "VmRSS:")
}

/// The most that it ever held, in MiB.
pub fn peak_mib(pid: u32) -> Outcome<f64> {
    status_mib(pid, "VmHWM:")
}

fn status_mib(pid: u32, key: &str) -> Outcome<f64> {
    let status = fs::read_to_string(format!("/proc/{pid}/status"))?;
    let line = status.lines().find(|line| line.starts_with(key)).ok_or("not told")?;
    let kib: f64 = line.split_whitespace().nth(1).ok_or("not told")?.parse()?;
    Ok(kib / 1024.0)
}

/// Processor time of a process and its ended children, in seconds.
fn processor_seconds(pid: u32) -> Outcome<f64> {
    let stat = fs::read_to_string(format!("/proc/{pid}/stat"))?;
    // The name, in brackets, may hold spaces.
    let rest = stat.rsplit_once(')').ok_or("not told")?.1;
    let ticks = rest.split_whitespace().skip(11).take(4).map(str::parse::<f64>);
    let ticks: f64 = ticks.sum::<Result<f64, _>>()?;
    Ok(ticks / ticks_per_second()?)
}

fn ticks_per_second() -> Outcome<f64> {
    let told = Command::new("getconf").arg("CLK_TCK").output()?.stdout;
    Ok(String::from_utf8(told)?.trim().parse()?)
}

/// Processor time of a server whose first process is `pid`: its own and that of all its children.
pub fn processor_seconds_of_family(pid: u32) -> Outcome<f64> {
    let children = fs::read_to_string(format!("/proc/{pid}/task/{pid}/children"))?;
    let mut sum = processor_seconds(pid)?;
    for child in children.split_whitespace() {
        // One that ended meanwhile counts with its parent at the next look.
        sum += processor_seconds(child.parse()?).unwrap_or(0.0);
    }
    Ok(sum)
}
