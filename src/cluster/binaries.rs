//! Where the machine's own Postgres programs are, and which version they are.

use std::collections::BTreeSet;
use std::env;
use std::path::{Path, PathBuf};
use std::process::Command;

use super::ClusterError;

/// The oldest major version the service is written for.
pub(crate) const OLDEST_MAJOR: u32 = 13;

/// Folders in which packagers put the server's programs, with `*` for a version.
const PACKAGED: [(&str, &str, &str); 5] = [
    ("/usr/lib/postgresql", "", "bin"),
    ("/usr", "pgsql-", "bin"),
    ("/opt/homebrew/opt", "postgresql", "bin"),
    ("/usr/local/opt", "postgresql", "bin"),
    ("/usr/libexec", "postgresql", ""),
];

/// A folder with `initdb` and `postgres` of one version.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Binaries {
    folder: PathBuf,
    major: u32,
}

impl Binaries {
    /// Finds the programs: `$PG_BINDIR` alone when set, else the newest that is installed.
    ///
    /// `wanted` is the major version that made existing data; only that version can read it.
    ///
    /// # Errors
    /// When none is installed, all are too old, or none fits the data.
    pub fn find(wanted: Option<u32>) -> Result<Self, ClusterError> {
        if let Some(folder) = env::var_os("PG_BINDIR").filter(|folder| !folder.is_empty()) {
            let folder = PathBuf::from(folder);
            let found = Self::look_in(&folder).ok_or_else(|| ClusterError::NoBinaries {
                looked_in: folder.display().to_string(),
            })?;
            return Self::choose(vec![found], wanted);
        }
        let folders = candidate_folders();
        let found: Vec<Self> = folders.iter().filter_map(|folder| Self::look_in(folder)).collect();
        if found.is_empty() {
            let looked_in = "/usr/lib/postgresql/*/bin, /usr/pgsql-*/bin, Homebrew's folders, PATH, \
                             `pg_config --bindir`";
            return Err(ClusterError::NoBinaries { looked_in: looked_in.to_owned() });
        }
        Self::choose(found, wanted)
    }

    /// The newest of `found` that is new enough and fits the data.
    fn choose(mut found: Vec<Self>, wanted: Option<u32>) -> Result<Self, ClusterError> {
        found.sort_by_key(|binaries| std::cmp::Reverse(binaries.major));
        let majors =
            found.iter().map(|binaries| binaries.major.to_string()).collect::<Vec<_>>().join(", ");
        let newest = found.first().cloned();
        let fitting = match wanted {
            Some(major) => found.into_iter().find(|binaries| binaries.major == major),
            None => newest.clone(),
        };
        match (fitting, newest, wanted) {
            (Some(fits), _, _) if fits.major >= OLDEST_MAJOR => Ok(fits),
            (None, Some(_), Some(data)) => Err(ClusterError::OtherVersion { data, found: majors }),
            (_, Some(newest), _) => {
                Err(ClusterError::TooOld { folder: newest.folder, major: newest.major })
            }
            (_, None, _) => Err(ClusterError::NoBinaries { looked_in: String::new() }),
        }
    }

    /// The programs in `folder`, when both are there and tell their version.
    fn look_in(folder: &Path) -> Option<Self> {
        if !folder.join("initdb").is_file() {
            return None;
        }
        // `--version` is answered before Postgres refuses to run as root.
        let output = Command::new(folder.join("postgres")).arg("--version").output().ok()?;
        let major = major_version(&String::from_utf8_lossy(&output.stdout))?;
        Some(Self { folder: folder.to_owned(), major })
    }

    /// The full path of the program `name`.
    pub fn program(&self, name: &str) -> PathBuf {
        self.folder.join(name)
    }

    /// The major version, such as 15.
    pub(crate) fn major(&self) -> u32 {
        self.major
    }
}

/// Every folder worth a look, each once.
fn candidate_folders() -> BTreeSet<PathBuf> {
    let mut folders = BTreeSet::new();
    for (parent, prefix, below) in PACKAGED {
        let Ok(entries) = Path::new(parent).read_dir() else { continue };
        for entry in entries.flatten() {
            if entry.file_name().to_string_lossy().starts_with(prefix) {
                folders.insert(entry.path().join(below));
            }
        }
    }
    if let Some(path) = env::var_os("PATH") {
        folders.extend(env::split_paths(&path).filter(|folder| folder.is_absolute()));
    }
    if let Ok(output) = Command::new("pg_config").arg("--bindir").output() {
        folders.insert(PathBuf::from(String::from_utf8_lossy(&output.stdout).trim()));
    }
    folders
}

/// The major version in a line such as `postgres (PostgreSQL) 15.14 (Debian 15.14-0+deb12u1)`.
fn major_version(line: &str) -> Option<u32> {
    let version = line.split("PostgreSQL)").nth(1)?.trim_start();
    let digits: String = version.chars().take_while(char::is_ascii_digit).collect();
    digits.parse().ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn installed(majors: &[u32]) -> Vec<Binaries> {
        let folder = |major| PathBuf::from(format!("/usr/lib/postgresql/{major}/bin"));
        majors.iter().map(|&major| Binaries { folder: folder(major), major }).collect()
    }

    #[test]
    fn reads_the_version_of_releases_and_betas() {
        assert_eq!(major_version("postgres (PostgreSQL) 15.14 (Debian 15.14-0+deb12u1)"), Some(15));
        assert_eq!(major_version("postgres (PostgreSQL) 18beta2"), Some(18));
        assert_eq!(major_version("postgres (PostgreSQL) 9.6.24"), Some(9));
        assert_eq!(major_version("something else"), None);
    }

    #[test]
    fn takes_the_newest_for_new_data_and_the_same_for_old_data() {
        let newest = Binaries::choose(installed(&[15, 17, 13]), None).unwrap();
        assert_eq!(newest.major(), 17);
        let same = Binaries::choose(installed(&[15, 17, 13]), Some(15)).unwrap();
        assert_eq!(same.major(), 15);
    }

    #[test]
    fn refuses_what_is_too_old_and_what_cannot_read_the_data() {
        let too_old = Binaries::choose(installed(&[12, 11]), None).unwrap_err();
        assert!(matches!(too_old, ClusterError::TooOld { major: 12, .. }), "{too_old}");
        let other = Binaries::choose(installed(&[17]), Some(15)).unwrap_err();
        assert!(matches!(other, ClusterError::OtherVersion { data: 15, .. }), "{other}");
        let old_data = Binaries::choose(installed(&[12]), Some(12)).unwrap_err();
        assert!(matches!(old_data, ClusterError::TooOld { major: 12, .. }), "{old_data}");
    }
}
