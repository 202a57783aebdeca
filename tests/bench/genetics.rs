//! Measures the pedigree engine side by side with what else could be used, in one run.

mod breed;
#[path = "../../src/domain/agreement/dice.rs"]
mod dice;
mod many_sires;
#[path = "../../src/domain/inbreeding/tests/meuwissen_luo.rs"]
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

/// Processor time of all threads so far, in milliseconds; Linux counts it in hundredths of a second.
fn processor_ms() -> f64 {
    let stat = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    let fields = stat.rsplit(')').next().unwrap_or_default().split_whitespace();
    10.0 * fields.skip(11).take(2).filter_map(|ticks| ticks.parse::<f64>().ok()).sum::<f64>()
}

/// Sets the peak back to the present size (Linux 4.0).
fn forget_peak() {
    let _ = std::fs::write("/proc/self/clear_refs", "5");
}

/// The invented breeds, by the name under which `rows` and `time` ask for one.
const BREEDS: [(&str, Breed); 2] =
    [("popular-sires", breed::breed), ("many-sires", many_sires::breed)];

type Breed = fn(usize, u64) -> Vec<[Option<u32>; 2]>;

fn main() {
    let mut arguments = std::env::args().skip(1).filter(|argument| argument != "--bench");
    let first = arguments.next();
    let sizes: Vec<usize> = match first.as_deref() {
        Some("rows") => return print_rows(&asked(arguments)),
        Some("time") => return print_time(&asked(arguments)),
        Some(sizes) => sizes.split(',').filter_map(|size| size.parse().ok()).collect(),
        None => vec![10_000, 100_000, 1_000_000],
    };
    let load = std::fs::read_to_string("/proc/loadavg").unwrap_or_default();
    println!("load of the machine at the start: {}", load.trim());
    for (name, breed) in BREEDS {
        for size in &sizes {
            measure(name, &pedigree(breed, *size));
        }
    }
}

/// The pedigree that `SIZE BREED` names.
fn asked(mut arguments: impl Iterator<Item = String>) -> Pedigree<u32> {
    let size = arguments.next().and_then(|size| size.parse().ok()).unwrap_or(10_000);
    let name = arguments.next();
    let named = BREEDS.into_iter().find(|(known, _)| Some(*known) == name.as_deref());
    pedigree(named.unwrap_or(BREEDS[0]).1, size)
}

/// Prints the milliseconds that all coefficients take on one thread.
fn print_time(pedigree: &Pedigree<u32>) {
    println!("{:.3}", timed(7, || coefficients(pedigree.parents(), 1)).0);
}

/// Prints `id,sire,dam,inbreeding` of a generated breed, for an outside check.
fn print_rows(pedigree: &Pedigree<u32>) {
    let book = Studbook::compute(pedigree.clone(), 1);
    let text = |id: Option<u32>| id.map(|id| id.to_string()).unwrap_or_default();
    let mut lines = String::from("id,sire,dam,inbreeding\n");
    for row in book.pedigree().rows() {
        let f = book.inbreeding(&row.id).unwrap_or_default();
        lines += &format!("{},{},{},{f:?}\n", row.id, text(row.sire), text(row.dam));
    }
    print!("{lines}");
}

/// The generated breed under ids without order, as the rows of a database may come.
fn pedigree(breed: Breed, size: usize) -> Pedigree<u32> {
    let scatter = |id: u32| (id ^ (id >> 7)).wrapping_mul(2_654_435_761);
    let rows = (0..).zip(breed(size, 1)).map(|(id, [sire, dam])| PedigreeRow {
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

fn measure(name: &str, pedigree: &Pedigree<u32>) {
    let parents = pedigree.parents();
    let size = parents.len();
    let (floor, _) = timed(9, || pass(parents));
    describe(name, parents);
    line("pass over the parent arrays (floor)", floor, floor, "");
    let (build, _) = timed(1, || Pedigree::build(pedigree.rows()));
    line("build from rows", build, floor, "");
    let runs = if size > 200_000 { 3 } else { 7 };
    let mut engine = Vec::new();
    let mut one_thread = 0.0;
    for threads in [1, 2, 3, 8] {
        forget_peak();
        let (before, processor) = (memory_mb("VmRSS"), processor_ms());
        let (ms, f) = timed(runs, || coefficients(parents, threads));
        let processor = (processor_ms() - processor) / runs as f64;
        let (peak, mean) = (memory_mb("VmHWM"), f.iter().sum::<f64>() / size as f64);
        let same = threads == 1
            || f.iter().zip(&engine).all(|(a, b): (&f64, &f64)| a.to_bits() == b.to_bits());
        let note = format!(
            "{processor:.0} ms of processor; {peak:.0} MB with the pedigree, {:.0} MB more than before; mean F {mean:.4}{}",
            peak - before,
            if same { "" } else { "; OTHER BITS than on one thread" }
        );
        line(&format!("engine, all coefficients, {threads} thread(s)"), ms, floor, &note);
        if threads == 1 {
            one_thread = ms;
            engine = f;
        }
    }
    if size <= 100_000 {
        let (ms, f) = timed(1, || meuwissen_luo::coefficients(parents));
        let off = f.iter().zip(&engine).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
        let note = format!("{:.0} x engine; largest difference {off:.1e}", ms / one_thread);
        line("Meuwissen & Luo, every animal", ms, floor, &note);
    }
    measure_matings(parents, &engine, floor);
    measure_growth(pedigree, floor);
    measure_file(pedigree, floor);
}

fn describe(name: &str, parents: &Parents) {
    let depths = depths(parents);
    let deepest = depths.iter().map(|depth| depth.deepest).max().unwrap_or(0);
    let equivalents: f64 = depths.iter().map(|depth| depth.equivalents).sum();
    let mut is_parent = vec![false; parents.len()];
    let mut is_sire = vec![false; parents.len()];
    for animal in parents.animals() {
        parents.known(animal).for_each(|parent| is_parent[parent as usize] = true);
        parents.sire(animal).into_iter().for_each(|sire| is_sire[sire as usize] = true);
    }
    let count = |marks: Vec<bool>| marks.into_iter().filter(|mark| *mark).count();
    let size = parents.len();
    println!(
        "\n{name}: {size} dogs, {:.1} % parents, {} sires, {deepest} generations deep ({:.1} complete equivalents on average)",
        100.0 * count(is_parent) as f64 / size as f64,
        count(is_sire),
        equivalents / size as f64
    );
}

/// What it costs to keep a computed pedigree in step.
fn measure_growth(pedigree: &Pedigree<u32>, floor: f64) {
    const LITTERS: u32 = 100;
    let mut book = Studbook::compute(pedigree.clone(), 2);
    let late = |of: fn(&Parents, Animal) -> Option<Animal>| -> Vec<u32> {
        let parents = pedigree.parents();
        let named = parents.animals().rev().filter_map(|animal| of(parents, animal));
        named.map(|parent| *pedigree.id(parent)).take(10 * LITTERS as usize).collect()
    };
    let (sires, dams) = (late(Parents::sire), late(Parents::dam));
    let mut new = (0..u32::MAX).filter(|id| pedigree.find(id).is_none());
    let rows: Vec<PedigreeRow<u32>> = (0..8 * LITTERS as usize)
        .filter_map(|pup| {
            let (sire, dam) = (sires[pup / 8 * 10], dams[(pup / 8 * 7 + 3) % dams.len()]);
            Some(PedigreeRow { id: new.next()?, sire: Some(sire), dam: Some(dam) })
        })
        .collect();
    let (ms, added) = timed(1, || book.append(rows.iter().copied()));
    let note = format!("{LITTERS} of eight pups{}", if added.is_ok() { "" } else { ", REFUSED" });
    line("one new litter", ms / f64::from(LITTERS), floor, &note);

    let breeding = parents_end(pedigree.parents());
    let halfway = *pedigree.id(breeding / 2);
    for (what, id) in [
        ("a pup's sire corrected", rows[0].id),
        ("a late sire's sire corrected", sires[0]),
        ("the same of a dog halfway back", halfway),
    ] {
        let parents = book.pedigree().parents();
        let dam = book.pedigree().find(&id).and_then(|animal| parents.dam(animal));
        let row = PedigreeRow { id, sire: None, dam: dam.map(|dam| *book.pedigree().id(dam)) };
        let (ms, changed) = timed(1, || book.set_parents(row, 1));
        let note = format!("F of {} dogs changed", changed.map_or(0, |changed| changed.len()));
        line(what, ms, floor, &note);
    }
}

/// One more than the last animal that has offspring.
fn parents_end(parents: &Parents) -> Animal {
    parents.animals().flat_map(|animal| parents.known(animal)).max().map_or(0, |last| last + 1)
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
