//! Where things stand: the layers' manifests, files, the top level, what is built in.

use std::collections::BTreeSet;
use std::fs;
use std::process::Command;

use crate::files::{Texts, root, texts, walk};
use crate::walls::{OURS, TEXTS};

#[test]
fn every_file_belongs_to_the_crate_of_its_folder() {
    assert_eq!(OURS.astray, [""; 0]);
    assert!(OURS.modules > 400, "{} modules", OURS.modules);
}

/// No manifest may call a library by another name, under which it would pass the walls.
#[test]
fn dependencies_keep_their_names() {
    let manifests = texts("src", &["toml"]);
    let manifests = manifests.iter().filter(|(path, _)| path.ends_with("Cargo.toml"));
    let own = fs::read_to_string(root().join("Cargo.toml")).unwrap();
    for (path, text) in manifests.map(|(path, text)| (&**path, text)).chain([("Cargo.toml", &own)])
    {
        assert!(!text.contains("package = \""), "{path} renames a dependency");
    }
}

/// What each layer may be built on; the compiler refuses whatever its manifest does not name.
#[test]
fn layers_depend_one_way() {
    let layers: [(&str, &[&str]); 11] = [
        ("domain", &[]),
        ("documents", &["domain"]),
        ("files", &["domain"]),
        ("security", &[]),
        ("metrics", &[]),
        ("cluster", &[]),
        ("postgres", &[]),
        ("store", &["domain", "postgres", "security"]),
        ("outgoing", &["domain", "metrics", "postgres", "security", "store"]),
        (
            "api",
            &[
                "documents",
                "domain",
                "files",
                "metrics",
                "outgoing",
                "postgres",
                "security",
                "store",
            ],
        ),
        ("demo", &["domain", "security", "store"]),
    ];
    let worlds =
        ["actix-web", "diesel", "diesel-async", "reqwest", "tokio", "tokio-postgres", "lettre"];
    for (layer, below) in layers {
        let manifest = root().join("src").join(layer).join("Cargo.toml");
        let manifest = fs::read_to_string(&manifest).unwrap();
        let dependencies = manifest.split("[dependencies]").nth(1).unwrap();
        let dependencies = dependencies.split("\n[").next().unwrap();
        let named: BTreeSet<&str> = dependencies
            .lines()
            .filter_map(|line| line.split_once('.'))
            .map(|(name, _)| name)
            .collect();
        let ours: BTreeSet<&str> =
            layers.iter().map(|(name, _)| *name).filter(|name| named.contains(name)).collect();
        assert_eq!(ours, below.iter().copied().collect(), "{layer}");
        if ["domain", "documents", "security"].contains(&layer) {
            let outside: Vec<_> = worlds.iter().filter(|world| named.contains(*world)).collect();
            assert!(outside.is_empty(), "{layer} uses {outside:?}");
        }
    }
}

#[test]
fn files_stay_readable() {
    for (path, text) in TEXTS.iter() {
        let lines = text.lines().count();
        assert!(lines <= 800, "{path} has {lines} lines; part it");
        let name = path.rsplit('/').next().unwrap();
        assert!(!["utils.rs", "util.rs", "helpers.rs", "misc.rs"].contains(&name), "{path}");
    }
}

/// `scripts/test` lints a library where its tests are, so nothing of it may be missing there.
#[test]
fn no_code_is_left_out_of_tests() {
    for (path, text) in TEXTS.iter() {
        let text: String = text.split_whitespace().collect();
        assert!(!text.contains("not(test)") && !text.contains("cfg!(test)"), "{path}");
    }
}

#[test]
fn the_top_level_holds_what_it_should() {
    const ALLOWED: [&str; 9] = [
        "Cargo.lock",
        "Cargo.toml",
        "DEVELOPERS.md",
        "README.md",
        "migrations",
        "openapi",
        "scripts",
        "src",
        "tests",
    ];
    // What git ignores is nobody's business.
    let listed = Command::new("git").args(["ls-files"]).current_dir(root()).output();
    let Ok(listed) = listed.map(|output| String::from_utf8(output.stdout).unwrap()) else { return };
    let top: BTreeSet<&str> = listed.lines().filter_map(|path| path.split('/').next()).collect();
    for name in top {
        assert!(name.starts_with('.') || ALLOWED.contains(&name), "{name} is at the top level");
    }
}

/// Paths of the machine it was written on, and the like, have no place in a repository.
#[test]
fn nothing_names_the_machine_it_was_written_on() {
    let home = ["/ho", "me/"].concat();
    let mut texts: Texts = texts("src", &["rs", "toml", "css", "js", "html"]);
    for folder in ["tests", "scripts", "migrations"] {
        let mut files = Vec::new();
        walk(&root().join(folder), &mut files);
        files.retain(|path| !path.components().any(|part| part.as_os_str() == "node_modules"));
        texts.extend(files.into_iter().filter_map(|path| {
            let text = fs::read_to_string(&path).ok()?;
            Some((path.to_string_lossy().into_owned(), text))
        }));
    }
    let checkout = root().to_string_lossy().into_owned();
    for (file, text) in texts {
        for path in [home.as_str(), checkout.as_str()] {
            assert!(!text.contains(path), "{file} names {path}");
        }
    }
}

/// What `.cargo/deny.toml` says of sources and bans, as far as the lock file tells it by itself.
#[test]
fn what_is_built_comes_from_the_registry_and_links_nothing_of_the_machine() {
    let lock = fs::read_to_string(root().join("Cargo.lock")).unwrap();
    let packages: Vec<&str> = lock.split("[[package]]\n").skip(1).collect();
    assert!(packages.len() > 100, "{}", packages.len());
    let banned = ["openssl", "openssl-sys", "native-tls", "pq-sys", "libsqlite3-sys"];
    for package in packages {
        let field = |name: &str| {
            package
                .lines()
                .find_map(|line| line.strip_prefix(&format!("{name} = "))?.split('"').nth(1))
        };
        let name = field("name").unwrap();
        assert!(!banned.contains(&name), "{name}");
        let registry = "registry+https://github.com/rust-lang/crates.io-index";
        // The program, the tool of scripts/mutants, and the layers.
        let ours = ["denwright", "switches"].contains(&name)
            || root().join("src").join(name).join("Cargo.toml").is_file();
        assert!(ours || field("source") == Some(registry), "{package}");
        assert!(ours || field("checksum").is_some(), "{package}");
    }
}
