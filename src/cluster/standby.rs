//! A second cluster that follows the first by its log: a hot standby, which answers what is only read.

use std::fs;
use std::path::Path;

use super::folders::{self, Folders};
use super::postmaster::{self, Manner, Postmaster};
use super::{Cluster, ClusterError, SUPERUSER};

impl Cluster {
    /// The same as [`Cluster::start`], so that [`Cluster::standby`] can follow it.
    ///
    /// # Errors
    /// As there.
    pub(crate) fn start_followed(data: &Path, durable: bool) -> Result<Self, ClusterError> {
        Self::start_as(data, if durable { Manner::Durable } else { Manner::ThrowAwayPair })
    }

    /// Starts a standby of this cluster in the folder `data`: a copy, made when the folder holds none, that streams
    /// whatever is written here from then on. It is stopped as any other, before this one.
    ///
    /// # Errors
    /// When this one cannot be copied, or the copy does not start.
    pub(crate) fn standby(&self, data: &Path) -> Result<Self, ClusterError> {
        let data = folders::make_data_folder(data)?;
        let lock = folders::lock(&data)?;
        let (mut folders, owner) = Folders::open(&data)?;
        let pgdata = folders.pgdata();
        if pgdata.is_dir() {
            postmaster::clear_the_way(&pgdata)?;
        } else {
            self.copy_to(&folders)?;
        }
        folders.open_socket_folder(&owner)?;
        let binaries = self.binaries.clone();
        let manner = self.manner;
        let postmaster =
            Postmaster::start(&binaries, &folders, &owner, manner).inspect_err(|_| {
                folders.remove_socket_folder();
            })?;
        tracing::info!("a standby runs on {}", folders.socket().display());
        let password = self.password.clone();
        Ok(Self { binaries, folders, owner, manner, postmaster, password, lock })
    }

    /// Copies the running server, aside first, and notes in the copy whom it follows.
    fn copy_to(&self, folders: &Folders) -> Result<(), ClusterError> {
        let (new, program) = (folders.pgdata_new(), self.binaries.program("pg_basebackup"));
        let mut command = self.owner.command(&program);
        command.arg("-D").arg(&new).arg("-h").arg(self.folders.socket()).args(["-U", SUPERUSER]);
        command.args(["--write-recovery-conf", "--wal-method=stream", "--checkpoint=fast"]);
        if !self.manner.is_durable() {
            command.arg("--no-sync");
        }
        let output =
            command.output().map_err(|source| ClusterError::io("run", &program, source))?;
        if !output.status.success() {
            let _ = fs::remove_dir_all(&new);
            let said = String::from_utf8_lossy(&output.stderr).trim().to_owned();
            return Err(ClusterError::NotCopied { said });
        }
        let pgdata = folders.pgdata();
        fs::rename(&new, &pgdata)
            .map_err(|source| ClusterError::io("name the new database folder", &pgdata, source))
    }
}
