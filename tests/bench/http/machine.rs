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

/// Ticks of a process and its ended children, and those of the latter by themselves.
fn ticks(pid: u32) -> Outcome<(f64, f64)> {
    let stat = fs::read_to_string(format!("/proc/{pid}/stat"))?;
    // The name, in brackets, may hold spaces.
    let rest = stat.rsplit_once(')').ok_or("not told")?.1;
    let ticks = rest.split_whitespace().skip(11).take(4).map(str::parse::<f64>);
    let ticks: Vec<f64> = ticks.collect::<Result<_, _>>()?;
    let [user, system, of_children @ ..] = &ticks[..] else { return Err("not told".into()) };
    let of_children: f64 = of_children.iter().sum();
    Ok((user + system + of_children, of_children))
}

fn ticks_per_second() -> Outcome<f64> {
    let told = Command::new("getconf").arg("CLK_TCK").output()?.stdout;
    Ok(String::from_utf8(told)?.trim().parse()?)
}

/// Processor time of a server whose first process is `pid`: its own and that of all its children, in seconds.
pub fn processor_seconds_of_family(pid: u32) -> Outcome<f64> {
    let per_second = ticks_per_second()?;
    for _ in 0..100 {
        let children = fs::read_to_string(format!("/proc/{pid}/task/{pid}/children"))?;
        let (own, ended) = ticks(pid)?;
        let mut sum = own;
        for child in children.split_whitespace() {
            sum += ticks(child.parse()?).map_or(0.0, |(all, _)| all);
        }
        // One that ended meanwhile would count here or with its parent, or not at all.
        if ticks(pid)?.1 == ended {
            return Ok(sum / per_second);
        }
    }
    Err("its processes end too often".into())
}
