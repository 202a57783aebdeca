//! Measures the pedigree engine side by side with what else could be used, in one run.

mod breed;
#[path = "../../src/domain/agreement/dice.rs"]
mod dice;
mod meuwissen_luo;

use chrono::NaiveDate;
use domain::{
    import::{ImportHow, dogs::parse},
    inbreeding::{
        Studbook, coefficients,
        explanation::{common_ancestors, shortest_paths},
        kinship, kinship_grid,
    },
    pedigree::{Animal, Parents, Pedigree, PedigreeRow, completeness::depths},
};
use std::{hint::black_box, time::Instant};

/// The shortest of some runs, in milliseconds, and the last result.
fn timed<T>(runs: usize, mut work: impl FnMut() -> T) -> (f64, T) {
    let start = Instant::now();
    let mut last = black_box(work());
    let mut best = start.elapsed();
    for _ in 1..runs {
        let start = Instant::now();
        last = black_box(work());
        best = best.min(start.elapsed());
    }
    (best.as_secs_f64() * 1000.0, last)
}

/// A line of `/proc/self/status` in MB (Linux).
fn memory_mb(key: &str) -> f64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find(|line| line.starts_with(key)).unwrap_or_default();
    let kb: f64 = line.split_whitespace().nth(1).and_then(|kb| kb.parse().ok()).unwrap_or(0.0);
    kb / 1024.0
}

/// Sets the peak back to the present size (Linux 4.0).
fn forget_peak() {
    let _ = std::fs::write("/proc/self/clear_refs", "5");
}

fn main() {
    let mut arguments = std::env::args().skip(1).filter(|argument| argument != "--bench");
    let sizes: Vec<usize> = match arguments.next().as_deref() {
        Some("rows") => return print_rows(size_of(arguments.next())),
        Some("time") => return print_time(size_of(arguments.next())),
        Some(sizes) => sizes.split(',').filter_map(|size| size.parse().ok()).collect(),
        None => vec![10_000, 100_000, 1_000_000],
    };
    for size in sizes {
        measure(size);
    }
}

fn size_of(argument: Option<String>) -> usize {
    argument.and_then(|size| size.parse().ok()).unwrap_or(10_000)
}

/// Prints the milliseconds that all coefficients take on one thread.
fn print_time(size: usize) {
    let pedigree = pedigree(size);
    println!("{:.3}", timed(7, || coefficients(pedigree.parents(), 1)).0);
}

/// Prints `id,sire,dam,inbreeding` of a generated breed, for an outside check.
fn print_rows(size: usize) {
    let pedigree = pedigree(size);
    let book = Studbook::compute(pedigree, 1);
    let text = |id: Option<u32>| id.map(|id| id.to_string()).unwrap_or_default();
    let mut lines = String::from("id,sire,dam,inbreeding\n");
    for row in book.pedigree().rows() {
        let f = book.inbreeding(&row.id).unwrap_or_default();
        lines += &format!("{},{},{},{f:?}\n", row.id, text(row.sire), text(row.dam));
    }
    print!("{lines}");
}

/// The generated breed under ids without order, as the rows of a database may come.
fn pedigree(size: usize) -> Pedigree<u32> {
    let scatter = |id: u32| (id ^ (id >> 7)).wrapping_mul(2_654_435_761);
    let rows = (0..).zip(breed::breed(size, 1)).map(|(id, [sire, dam])| PedigreeRow {
        id: scatter(id),
        sire: sire.map(scatter),
        dam: dam.map(scatter),
    });
    Pedigree::build(rows).unwrap_or_else(|error| unreachable!("generated in order: {error}"))
}

/// The floor: both parents of every animal read once.
fn pass(parents: &Parents) -> u64 {
    parents.animals().map(|a| parents.known(a).map(u64::from).sum::<u64>()).sum()
}

fn line(name: &str, ms: f64, floor: f64, note: &str) {
    println!("{name:<44}{ms:>12.3} ms{:>12.1} x floor  {note}", ms / floor);
}

fn measure(size: usize) {
    let (build, pedigree) = timed(1, || pedigree(size));
    let parents = pedigree.parents();
    let (floor, _) = timed(9, || pass(parents));
    let runs = if size > 200_000 { 3 } else { 7 };
    let depths = depths(parents);
    let deepest = depths.iter().map(|depth| depth.deepest).max().unwrap_or(0);
    let mean = depths.iter().map(|depth| depth.equivalents).sum::<f64>() / size as f64;
    let breeding = {
        let mut is_parent = vec![false; parents.len()];
        parents.animals().flat_map(|a| parents.known(a)).for_each(|p| is_parent[p as usize] = true);
        is_parent.iter().filter(|p| **p).count()
    };
    println!(
        "\n{size} dogs, {:.1} % parents, {} generations deep ({:.1} complete equivalents on average)",
        100.0 * breeding as f64 / size as f64,
        deepest,
        mean
    );
    line("pass over the parent arrays (floor)", floor, floor, "");
    line("generate and build", build, floor, "");
    let mut engine = Vec::new();
    let mut one_thread = 0.0;
    for threads in [1, 2] {
        forget_peak();
        let before = memory_mb("VmRSS");
        let (ms, f) = timed(runs, || coefficients(parents, threads));
        let (peak, mean) = (memory_mb("VmHWM"), f.iter().sum::<f64>() / size as f64);
        let note = format!(
            "{:.0} MB with the pedigree, {:.0} MB more than before; mean F {mean:.4}",
            peak,
            peak - before
        );
        line(&format!("engine, all coefficients, {threads} thread(s)"), ms, floor, &note);
        if threads == 1 {
            one_thread = ms;
        }
        engine = f;
    }
    if size <= 100_000 {
        let (ms, f) = timed(1, || meuwissen_luo::coefficients(parents));
        let off = f.iter().zip(&engine).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
        let note = format!("{:.0} x engine; largest difference {off:.1e}", ms / one_thread);
        line("Meuwissen & Luo, every animal", ms, floor, &note);
    }
    measure_matings(parents, &engine, floor);
    measure_file(&pedigree, floor);
}

fn measure_matings(parents: &Parents, f: &[f64], floor: f64) {
    let mut sires: Vec<Animal> = parents.animals().rev().filter_map(|a| parents.sire(a)).collect();
    let mut dams: Vec<Animal> = parents.animals().rev().filter_map(|a| parents.dam(a)).collect();
    for list in [&mut sires, &mut dams] {
        list.sort_unstable_by_key(|animal| std::cmp::Reverse(*animal));
        list.dedup();
        list.truncate(200);
    }
    let (ms, single) = timed(20, || kinship(parents, f, sires[0], dams[0]));
    line("one trial mating", ms, floor, "");
    let (ms, found) =
        timed(1, || common_ancestors(parents, f, sires[0], dams[0], usize::MAX).contributions);
    let (took, paths) = timed(1, || {
        let top = found.iter().take(50);
        top.map(|one| shortest_paths(parents, sires[0], dams[0], one.ancestor, 10).len()).sum()
    });
    let paths: usize = paths;
    let note = format!("{} of them; {paths} paths to the first 50: {took:.1} ms", found.len());
    line("contributions of all common ancestors", ms, floor, &note);
    let (ms, grid) = timed(5, || kinship_grid(parents, f, &dams, &sires));
    let off = (grid[0][0] - single).abs();
    let note = format!("{} x {}; difference to the single one {off:.1e}", dams.len(), sires.len());
    line("grid of dams and sires", ms, floor, &note);
}

/// Reading a studbook's file, faults looked for.
fn measure_file(pedigree: &Pedigree<u32>, floor: f64) {
    let text = |id: Option<u32>| id.map(|id| format!("D{id:010}")).unwrap_or_default();
    let mut file = String::from("id,name,sire,dam\n");
    for row in pedigree.rows() {
        let (id, sire, dam) = (text(Some(row.id)), text(row.sire), text(row.dam));
        file += &format!("{id},Dog {id} of Somewhere,{sire},{dam}\n");
    }
    forget_peak();
    let before = memory_mb("VmRSS");
    let (ms, read) = timed(1, || parse(file.as_bytes(), &ImportHow::default(), NaiveDate::MAX));
    let dogs = read.map_or(0, |file| file.dogs.len());
    let more = memory_mb("VmHWM") - before;
    line(
        "read the pedigree file",
        ms,
        floor,
        &format!("{dogs} dogs; {more:.0} MB more than before"),
    );
}
