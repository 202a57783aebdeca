//! Puts the migrations together for the program, which carries them: the build script of `store`.
//!
//! A line `\ir ../functions/NAME.sql`, as psql has it, stands for the text of that file.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::{env, fs, io};

fn main() -> io::Result<()> {
    let migrations = Path::new("../../migrations");
    println!("cargo::rerun-if-changed={}", migrations.display());
    let entries = fs::read_dir(migrations)?.map(|entry| entry.map(|entry| entry.path()));
    let mut folders = entries.collect::<io::Result<Vec<PathBuf>>>()?;
    folders.retain(|folder| folder.join("up.sql").is_file());
    folders.sort();
    let mut list = String::from("&[\n");
    for folder in folders {
        let name = folder.file_name().unwrap_or_default().to_string_lossy();
        let (up, down) = (text(&folder.join("up.sql"))?, text(&folder.join("down.sql"))?);
        // Writing to a text does not fail.
        let _ = writeln!(list, "Step {{ name: {name:?}, up: {up:?}, down: {down:?} }},");
    }
    list.push(']');
    fs::write(Path::new(&env::var_os("OUT_DIR").unwrap_or_default()).join("migrations.rs"), list)
}

/// The text of a file, with those that it includes.
fn text(path: &Path) -> io::Result<String> {
    let told =
        |error: io::Error| io::Error::new(error.kind(), format!("{}: {error}", path.display()));
    let mut whole = String::new();
    for line in fs::read_to_string(path).map_err(told)?.lines() {
        match line.strip_prefix(r"\ir ") {
            Some(included) => whole += &text(&path.with_file_name(included))?,
            None => whole += line,
        }
        whole.push('\n');
    }
    Ok(whole)
}
