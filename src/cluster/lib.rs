//! The private Postgres: made, started and stopped by the service, for a kennel with no server.
//!
//! It uses the machine's own programs, is reached over a Unix socket only, and keeps everything in
//! the data folder. Its functions block: async code calls them on a thread made for that.
//!
//! Reading order: `folders` (what lies where), `owner` (whom it runs as), `binaries`,
//! `initdb` (the first start), `postmaster` (every start and stop), `standby` (a second one that follows), [`run`]
//! (a command with a cluster around it).

mod binaries;
mod folders;
mod initdb;
mod owner;
mod passwords;
mod postmaster;
pub mod run;
mod standby;

use std::fs::{self, File};
use std::io;
use std::os::unix::ffi::OsStrExt;
use std::path::{Path, PathBuf};

use binaries::Binaries;
use folders::Folders;
use owner::Owner;
use postmaster::{Manner, Postmaster};

pub(crate) use binaries::OLDEST_MAJOR;

/// The role that owns the service's database: may make databases and roles, no more. It migrates.
pub(crate) const ROLE: &str = "denwright";
/// The role the service works as: owns nothing, and needs a password.
pub(crate) const SERVICE_ROLE: &str = "denwright_service";
/// The service's database.
pub const DATABASE: &str = "denwright";
/// The role that may do everything, for upkeep by hand.
pub(crate) const SUPERUSER: &str = "postgres";

/// A private Postgres that runs until this value is stopped or dropped.
pub struct Cluster {
    binaries: Binaries,
    folders: Folders,
    owner: Owner,
    manner: Manner,
    postmaster: Postmaster,
    /// Password of the service's role.
    password: String,
    // Declared last, so released last: nobody may come in before the server is gone.
    lock: File,
}

impl Cluster {
    /// Starts the cluster of the folder `data`, which is made when it is missing.
    ///
    /// Blocks until connections are taken. A server that outlived its service is stopped first.
    /// `durable: false` trades safety in a crash for speed and is for tests.
    ///
    /// # Errors
    /// When there are no programs, no place, no right, or another service uses the folder.
    pub fn start(data: &Path, durable: bool) -> Result<Self, ClusterError> {
        Self::start_as(data, if durable { Manner::Durable } else { Manner::ThrowAway })
    }

    fn start_as(data: &Path, manner: Manner) -> Result<Self, ClusterError> {
        let data = folders::make_data_folder(data)?;
        let lock = folders::lock(&data)?;
        let (mut folders, owner) = Folders::open(&data)?;
        let pgdata = folders.pgdata();
        let binaries = Binaries::find(data_version(&pgdata)?)?;
        if pgdata.is_dir() {
            postmaster::clear_the_way(&pgdata)?;
        } else {
            initdb::create(&binaries, &folders, &owner, manner.is_durable())?;
        }
        let password = passwords::of_service(folders.home(), Some(&owner))?;
        passwords::ask_for_it(&pgdata, &owner)?;
        folders.open_socket_folder(&owner)?;
        let postmaster = match Postmaster::start(&binaries, &folders, &owner, manner) {
            Ok(postmaster) => postmaster,
            Err(error) => {
                folders.remove_socket_folder();
                return Err(error);
            }
        };
        tracing::info!("Postgres {} runs on {}", binaries.major(), folders.socket().display());
        Ok(Self { binaries, folders, owner, manner, postmaster, password, lock })
    }

    /// The addresses of the database of a service that runs on the folder `data`, when one does: as its
    /// owner, and as the service.
    pub fn addresses_of_running(data: &Path) -> Option<(String, String)> {
        let pgdata = data.join("cluster/pgdata").canonicalize().ok()?;
        let socket = postmaster::socket_of_running(&pgdata)?;
        let password = passwords::of_service(pgdata.parent()?, None).ok()?;
        Some((url(ROLE, &socket, DATABASE), service_url(&password, &socket)))
    }

    /// The full path of one of Postgres's programs, such as `pg_dump`, of the version that made the
    /// folder's data, or the newest.
    ///
    /// # Errors
    /// When none is installed.
    pub fn program(data: &Path, name: &str) -> Result<PathBuf, ClusterError> {
        let pgdata = data.join("cluster/pgdata");
        Ok(Binaries::find(data_version(&pgdata)?)?.program(name))
    }

    /// The address of the service's database, as its owner (not a superuser).
    pub fn database_url(&self) -> String {
        url(ROLE, self.folders.socket(), DATABASE)
    }

    /// The address of the service's database, as the role that it works as.
    pub fn service_url(&self) -> String {
        service_url(&self.password, self.folders.socket())
    }

    /// The address of the maintenance database, as superuser.
    pub fn admin_url(&self) -> String {
        url(SUPERUSER, self.folders.socket(), "postgres")
    }

    /// Starts the server again when it has died by itself; true when it had.
    ///
    /// The addresses stay the same.
    ///
    /// # Errors
    /// When it does not start.
    pub fn ensure_running(&mut self) -> Result<bool, ClusterError> {
        if self.postmaster.is_running() {
            return Ok(false);
        }
        tracing::error!("Postgres has ended by itself; starting it again");
        postmaster::clear_the_way(&self.folders.pgdata())?;
        self.folders.reopen_socket_folder(&self.owner)?;
        self.postmaster =
            Postmaster::start(&self.binaries, &self.folders, &self.owner, self.manner)?;
        Ok(true)
    }

    /// Stops the server and waits until it is gone; open connections are ended.
    ///
    /// # Errors
    /// When the server does not end.
    pub fn stop(mut self) -> Result<(), ClusterError> {
        self.shut_down()
    }

    /// Stops the server and deletes all its data.
    ///
    /// # Errors
    /// When the server does not end or the data cannot be deleted.
    pub fn stop_and_delete(mut self) -> Result<(), ClusterError> {
        self.shut_down()?;
        let home = self.folders.home();
        fs::remove_dir_all(home).map_err(|source| ClusterError::io("delete", home, source))
    }

    fn shut_down(&mut self) -> Result<(), ClusterError> {
        self.postmaster.stop()?;
        self.folders.remove_socket_folder();
        Ok(())
    }
}

impl std::fmt::Debug for Cluster {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(formatter, "Cluster({})", self.folders.home().display())
    }
}

impl Drop for Cluster {
    fn drop(&mut self) {
        if let Err(error) = self.shut_down() {
            tracing::error!("{error}");
        }
        let _ = self.lock.unlock();
    }
}

/// The major version that made the data, when there is any.
fn data_version(pgdata: &Path) -> Result<Option<u32>, ClusterError> {
    if !pgdata.is_dir() {
        return Ok(None);
    }
    let path = pgdata.join("PG_VERSION");
    let text = fs::read_to_string(&path)
        .map_err(|source| ClusterError::io("read the version of the data in", &path, source))?;
    let major = text.trim().split('.').next().and_then(|major| major.parse().ok());
    major.map(Some).ok_or_else(|| {
        let source = io::Error::new(io::ErrorKind::InvalidData, "not a version");
        ClusterError::io("read the version of the data in", &path, source)
    })
}

fn service_url(password: &str, socket: &Path) -> String {
    url(&format!("{SERVICE_ROLE}:{password}"), socket, DATABASE)
}

/// A connection address over the socket in `folder`.
fn url(role: &str, folder: &Path, database: &str) -> String {
    let mut host = String::new();
    for &byte in folder.as_os_str().as_bytes() {
        // RFC 3986, section 2.3: these need no encoding.
        if byte.is_ascii_alphanumeric() || b"-._~".contains(&byte) {
            host.push(char::from(byte));
        } else {
            host.push_str(&format!("%{byte:02X}"));
        }
    }
    format!("postgres://{role}@{host}/{database}")
}

/// Why there is no private Postgres, and what to do.
#[derive(Debug, thiserror::Error)]
pub enum ClusterError {
    /// No server is installed.
    #[error(
        "no Postgres server found (looked in {looked_in}). Install it (Debian, Ubuntu: `apt-get \
         install postgresql`; Fedora: `dnf install postgresql-server`; macOS: `brew install \
         postgresql`), or set PG_BINDIR to the folder of `initdb` and `postgres`, or set \
         DATABASE_URL to a server of yours"
    )]
    NoBinaries {
        /// The places.
        looked_in: String,
    },
    /// Only versions that the service is not written for.
    #[error(
        "Postgres {major} in {} is too old: version {OLDEST_MAJOR} or newer is needed. Install a \
         newer one, or set DATABASE_URL to a server that is",
        folder.display()
    )]
    TooOld {
        /// Where it is.
        folder: PathBuf,
        /// Its version.
        major: u32,
    },
    /// The data is of a version that is not installed.
    #[error(
        "the data folder was made by Postgres {data}, and only version {found} is installed. \
         Install Postgres {data} beside it (Debian: `apt-get install postgresql-{data}`), or set \
         PG_BINDIR to the folder of its programs"
    )]
    OtherVersion {
        /// Version of the data.
        data: u32,
        /// Versions installed.
        found: String,
    },
    /// The other server could not be copied.
    #[error("Postgres could not copy the server that it is to follow. It said:\n{said}")]
    NotCopied {
        /// What Postgres said.
        said: String,
    },
    /// Another service uses the folder.
    #[error(
        "the data folder {} is in use by {holder}: stop that one first, or give this one another \
         folder (DENWRIGHT_DATA)",
        data.display()
    )]
    InUse {
        /// The folder.
        data: PathBuf,
        /// Who uses it.
        holder: String,
    },
    /// The database's user cannot get to its files.
    #[error(
        "the user that the database runs as may not enter {}, so it cannot use {}: set \
         DENWRIGHT_DATA to a folder below one that all may enter, such as /srv/denwright, or allow \
         it with `chmod o+x {}`",
        folder.display(), home.display(), folder.display()
    )]
    Barred {
        /// Where it is stopped.
        folder: PathBuf,
        /// Where it has to go.
        home: PathBuf,
    },
    /// Root found no user for the database.
    #[error(
        "Postgres does not run as root, and there is neither a user `postgres` nor `nobody`: make \
         one (`useradd --system postgres`), or start the service as an ordinary user"
    )]
    NobodyToRunAs,
    /// The data belongs to another user.
    #[error(
        "{} belongs to user {owner} and the service runs as user {user}: start it as that user or \
         as root, or set DENWRIGHT_DATA to another folder",
        path.display()
    )]
    OtherOwner {
        /// The data.
        path: PathBuf,
        /// Whose it is.
        owner: u32,
        /// Who asks.
        user: u32,
    },
    /// The data belongs to root, as whom Postgres does not run.
    #[error(
        "{} belongs to root, as whom Postgres does not run: give it to an ordinary user with \
         `chown -R postgres {}`",
        path.display(), path.display()
    )]
    OwnedByRoot {
        /// The data.
        path: PathBuf,
    },
    /// The link to data that lies elsewhere leads nowhere.
    #[error(
        "{} leads to {}, which is gone: bring it back, or remove the link to begin with an empty \
         database",
        link.display(), target.display()
    )]
    LinkGone {
        /// The link.
        link: PathBuf,
        /// Where it leads.
        target: PathBuf,
    },
    /// The first start failed.
    #[error("Postgres could not make a new database. It said:\n{said}")]
    NotMade {
        /// What Postgres said.
        said: String,
    },
    /// The server ended at once.
    #[error("Postgres did not start. It said:\n{said}")]
    DidNotStart {
        /// What Postgres said.
        said: String,
    },
    /// The server takes too long.
    #[error(
        "Postgres was not ready after {seconds} s: see postgres.log in the data folder, and start \
         again"
    )]
    NotReady {
        /// How long it was given.
        seconds: u64,
    },
    /// The server does not end.
    #[error("Postgres (process {pid}) does not stop: end it by hand, then start again")]
    DoesNotStop {
        /// Its process id.
        pid: i32,
    },
    /// The system refused.
    #[error("cannot {action} {}: {source}", path.display())]
    Io {
        /// What was tried.
        action: &'static str,
        /// On what.
        path: PathBuf,
        /// Why not.
        source: io::Error,
    },
}

impl ClusterError {
    fn io(action: &'static str, path: &Path, source: io::Error) -> Self {
        Self::Io { action, path: path.to_owned(), source }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_address_survives_spaces_and_slashes() {
        let address = url(ROLE, Path::new("/srv/kennel data/ä/socket"), DATABASE);
        let expected = "postgres://denwright@%2Fsrv%2Fkennel%20data%2F%C3%A4%2Fsocket/denwright";
        assert_eq!(address, expected);
    }
}
