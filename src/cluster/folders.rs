//! Where a cluster keeps its files, and the lock that says whose it is.
//!
//! ```text
//! DATA/lock              held by the running service, holds its process id
//! DATA/cluster/          of the database's user, mode 0700; or a link to such a folder
//! DATA/cluster/pgdata/   the database
//! DATA/cluster/socket/   the Unix socket, unless its path would be too long
//! DATA/cluster/postgres.log
//! DATA/cluster/service.password
//! ```

use std::fs::{self, DirBuilder, File, OpenOptions, Permissions, TryLockError};
use std::io::{ErrorKind, Read, Seek, Write};
use std::os::unix::fs::{DirBuilderExt, MetadataExt, PermissionsExt, symlink};
use std::path::{Path, PathBuf};
use std::thread;
use std::time::Duration;

use uuid::Uuid;

use super::ClusterError;
use super::owner::Owner;

/// Where root keeps a cluster whose data folder the database's user cannot reach.
const ELSEWHERE: &str = "/var/lib/denwright";
/// A socket's address holds 108 bytes on Linux and 104 on macOS, the closing zero included.
const LONGEST_SOCKET_PATH: usize = 100;
/// Postgres names its socket after the port.
const SOCKET_NAME: &str = ".s.PGSQL.5432";
/// How the names of short socket folders begin.
const SHORT_PREFIX: &str = "denwright-";

/// Makes the data folder when it is missing and answers its full path.
///
/// # Errors
/// When the folder cannot be made or is something else.
pub(crate) fn make_data_folder(data: &Path) -> Result<PathBuf, ClusterError> {
    let error = |source| ClusterError::io("make the data folder", data, source);
    if !data.is_dir() {
        fs::create_dir_all(data).map_err(error)?;
        // The database's user must be able to pass through, whatever the umask.
        fs::set_permissions(data, Permissions::from_mode(0o711)).map_err(error)?;
    }
    data.canonicalize().map_err(error)
}

/// Locks the data folder; the lock dies with the process, however that ends.
///
/// # Errors
/// When another process holds it (named when known).
pub(crate) fn lock(data: &Path) -> Result<File, ClusterError> {
    let path = data.join("lock");
    let error = |source| ClusterError::io("lock the data folder by", &path, source);
    let mut file = OpenOptions::new()
        .read(true)
        .write(true)
        .create(true)
        .truncate(false)
        .open(&path)
        .map_err(|source| match path.metadata() {
            Ok(metadata) if source.kind() == ErrorKind::PermissionDenied => {
                let user = rustix::process::geteuid().as_raw();
                ClusterError::OtherOwner { path: path.clone(), owner: metadata.uid(), user }
            }
            _ => error(source),
        })?;
    // A service that was just stopped may need a moment to be gone.
    for attempt in 0..10 {
        match file.try_lock() {
            Ok(()) => {
                file.set_len(0).map_err(error)?;
                file.rewind().map_err(error)?;
                writeln!(file, "{}", std::process::id()).map_err(error)?;
                return Ok(file);
            }
            Err(TryLockError::WouldBlock) if attempt < 9 => {
                thread::sleep(Duration::from_millis(100));
            }
            Err(TryLockError::WouldBlock) => {}
            Err(TryLockError::Error(source)) => return Err(error(source)),
        }
    }
    let mut holder = String::new();
    file.read_to_string(&mut holder).map_err(error)?;
    let holder = match holder.trim() {
        "" => "another process".to_owned(),
        pid => format!("process {pid}"),
    };
    Err(ClusterError::InUse { data: data.to_owned(), holder })
}

/// The folders of one cluster.
#[derive(Debug, Clone)]
pub struct Folders {
    home: PathBuf,
    socket: PathBuf,
}

impl Folders {
    /// Finds or makes the folders below `data` and the user they belong to.
    ///
    /// # Errors
    /// When the database's user cannot be made to reach any place for them.
    pub fn open(data: &Path) -> Result<(Self, Owner), ClusterError> {
        let home = data.join("cluster");
        let pgdata = home.join("pgdata");
        // Root may have been stopped between making the folder and giving it away, so that for
        // root only the database in it tells whose it is.
        let is_root = rustix::process::geteuid().is_root();
        let existing = [&pgdata, &home].into_iter().find(|path| path.is_dir());
        let owner = Owner::of(existing.filter(|&path| !is_root || *path == pgdata).map(|p| &**p))?;
        if home.symlink_metadata().is_err() {
            make_home(data, &home, &owner)?;
        }
        let Ok(home) = home.canonicalize() else {
            let target = fs::read_link(&home).unwrap_or_default();
            return Err(ClusterError::LinkGone { link: home, target });
        };
        owner.give(&home)?;
        if let Some(folder) = owner.barred_at(&home) {
            return Err(ClusterError::Barred { folder, home });
        }
        let socket = home.join("socket");
        let folders = Self { home, socket };
        folders.clear_half_made();
        Ok((folders, owner))
    }

    /// Makes an empty socket folder that only the database's user and root can enter.
    ///
    /// To be called when no server runs: what lies in the folder is removed.
    ///
    /// # Errors
    /// When the folder cannot be made.
    pub(crate) fn open_socket_folder(&mut self, owner: &Owner) -> Result<(), ClusterError> {
        let inside = self.home.join("socket");
        self.socket = if fits_a_socket(&inside) { inside } else { short_folder(owner) };
        self.reopen_socket_folder(owner)
    }

    /// Makes the socket folder anew under the name it had.
    ///
    /// # Errors
    /// When the folder cannot be made.
    pub(crate) fn reopen_socket_folder(&self, owner: &Owner) -> Result<(), ClusterError> {
        self.remove_socket_folder();
        // Fails when somebody else put something there meanwhile.
        DirBuilder::new()
            .mode(0o700)
            .create(&self.socket)
            .map_err(|source| ClusterError::io("make the socket folder", &self.socket, source))?;
        owner.give(&self.socket)
    }

    /// Removes the socket folder; harmless when it is gone already.
    pub(crate) fn remove_socket_folder(&self) {
        remove_socket_folder(&self.socket);
    }

    /// The folder that holds all of the cluster.
    pub(crate) fn home(&self) -> &Path {
        &self.home
    }

    /// The database's own folder.
    pub(crate) fn pgdata(&self) -> PathBuf {
        self.home.join("pgdata")
    }

    /// A folder to make the database in before it gets its name.
    ///
    /// Its name is new every time: an `initdb` that outlived its service may still write to the last.
    pub(crate) fn pgdata_new(&self) -> PathBuf {
        self.home.join(format!("pgdata.new-{}", short_name()))
    }

    /// The socket folder.
    pub(crate) fn socket(&self) -> &Path {
        &self.socket
    }

    /// Where the database's messages go.
    pub fn log(&self) -> PathBuf {
        self.home.join("postgres.log")
    }

    /// Removes what first starts that were broken off have left.
    fn clear_half_made(&self) {
        let Ok(entries) = self.home.read_dir() else { return };
        for entry in entries.flatten() {
            if entry.file_name().to_string_lossy().starts_with("pgdata.new-") {
                // Left for the next start when something still writes into it.
                let _ = fs::remove_dir_all(entry.path());
            }
        }
    }
}

/// Removes `folder` when it is a socket folder of ours and nothing else.
pub(crate) fn remove_socket_folder(folder: &Path) {
    let name = folder.file_name().unwrap_or_default().to_string_lossy();
    if name == "socket" || name.starts_with(SHORT_PREFIX) {
        let _ = fs::remove_dir_all(folder);
    }
}

/// A name that no other folder has.
pub(crate) fn short_name() -> String {
    let mut name = Uuid::now_v7().simple().to_string();
    // The last 12 of the 32 digits are random.
    name.split_off(20)
}

/// Makes the cluster's folder at `home`, or elsewhere with a link when the user cannot get there.
fn make_home(data: &Path, home: &Path, owner: &Owner) -> Result<(), ClusterError> {
    let error = |path: &Path, source| ClusterError::io("make the folder", path, source);
    let Some(barred) = owner.barred_at(data) else {
        DirBuilder::new().mode(0o700).create(home).map_err(|source| error(home, source))?;
        return owner.give(home);
    };
    let base = Path::new(ELSEWHERE);
    let elsewhere = base.join(short_name());
    let made = fs::create_dir_all(base)
        .and_then(|()| fs::set_permissions(base, Permissions::from_mode(0o711)))
        .and_then(|()| DirBuilder::new().mode(0o700).create(&elsewhere));
    if made.is_err() || owner.barred_at(base).is_some() {
        return Err(ClusterError::Barred { folder: barred, home: home.to_owned() });
    }
    owner.give(&elsewhere)?;
    symlink(&elsewhere, home).map_err(|source| error(home, source))?;
    tracing::warn!(
        "the database lives in {}, since its user may not enter {}; {} leads there",
        elsewhere.display(),
        barred.display(),
        home.display()
    );
    Ok(())
}

/// Whether a socket in `folder` has a path that the system and the settings can hold.
fn fits_a_socket(folder: &Path) -> bool {
    let path = folder.join(SOCKET_NAME);
    path.as_os_str().len() <= LONGEST_SOCKET_PATH
        // A comma parts folders in the setting and hosts in a URL; a quote ends a quoted name.
        && folder.to_str().is_some_and(|name| !name.contains([',', '"', '\\']))
}

/// A path for a socket folder that is short whatever the data folder's is.
fn short_folder(owner: &Owner) -> PathBuf {
    let run = Path::new("/run");
    let base = if owner.is_dropped() && run.is_dir() && owner.barred_at(run).is_none() {
        run
    } else {
        Path::new("/tmp")
    };
    base.join(format!("{SHORT_PREFIX}{}", short_name()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_or_odd_path_is_no_place_for_a_socket() {
        assert!(fits_a_socket(Path::new("/srv/kennel data/cluster/socket")));
        assert!(!fits_a_socket(&Path::new("/srv").join("x".repeat(90))));
        assert!(!fits_a_socket(Path::new("/srv/a,b")));
        assert!(!fits_a_socket(Path::new("/srv/a\"b")));
    }

    #[test]
    fn removes_no_folder_but_a_socket_folder() {
        let folder = std::env::temp_dir().join(format!("kept-{}", short_name()));
        fs::create_dir(&folder).unwrap();
        remove_socket_folder(&folder);
        assert!(folder.is_dir());
        let socket = folder.join("denwright-1");
        fs::create_dir(&socket).unwrap();
        remove_socket_folder(&socket);
        assert!(!socket.exists());
        fs::remove_dir(&folder).unwrap();
    }
}
