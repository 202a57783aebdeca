//! The user that the database runs as, since Postgres refuses to run as root.

use std::env;
use std::fs;
use std::os::unix::fs::{MetadataExt, chown};
use std::os::unix::process::CommandExt;
use std::path::{Path, PathBuf};
use std::process::Command;

use super::ClusterError;

/// Users to drop to when the service runs as root, best first.
const UNPRIVILEGED: [&str; 2] = ["postgres", "nobody"];

/// A user and group, and whether the service must change to them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Owner {
    uid: u32,
    gid: u32,
    /// The service runs as root and its children become this user.
    dropped: bool,
}

impl Owner {
    /// The service's own user; as root that of `existing` data, else `postgres` or `nobody`.
    ///
    /// # Errors
    /// When data of another user is there, or root finds nobody to drop to.
    pub fn of(existing: Option<&Path>) -> Result<Self, ClusterError> {
        let uid = rustix::process::geteuid().as_raw();
        let found = existing.and_then(|path| Some((path, path.metadata().ok()?)));
        if uid != 0 {
            return match found {
                Some((path, metadata)) if metadata.uid() != uid => Err(ClusterError::OtherOwner {
                    path: path.to_owned(),
                    owner: metadata.uid(),
                    user: uid,
                }),
                _ => Ok(Self { uid, gid: rustix::process::getegid().as_raw(), dropped: false }),
            };
        }
        match found {
            Some((path, metadata)) if metadata.uid() == 0 => {
                Err(ClusterError::OwnedByRoot { path: path.to_owned() })
            }
            Some((_, metadata)) => {
                Ok(Self { uid: metadata.uid(), gid: metadata.gid(), dropped: true })
            }
            None => {
                let users = fs::read_to_string("/etc/passwd").unwrap_or_default();
                let chosen = UNPRIVILEGED.iter().find_map(|name| ids_of(name, &users));
                let (uid, gid) = chosen.ok_or(ClusterError::NobodyToRunAs)?;
                Ok(Self { uid, gid, dropped: true })
            }
        }
    }

    /// A command that runs as this user, in `/`, with an environment that holds no surprises.
    pub fn command(&self, program: &Path) -> Command {
        let mut command = Command::new(program);
        command.current_dir("/").env_clear().env("TZ", "UTC").env("LC_MESSAGES", "C");
        for kept in ["PATH", "LD_LIBRARY_PATH", "DYLD_LIBRARY_PATH"] {
            if let Some(value) = env::var_os(kept) {
                command.env(kept, value);
            }
        }
        if self.dropped {
            // The standard library also drops root's supplementary groups here.
            command.uid(self.uid).gid(self.gid);
        }
        command
    }

    /// Gives `path` to this user.
    ///
    /// # Errors
    /// When the file system does not let root give files away.
    pub(crate) fn give(&self, path: &Path) -> Result<(), ClusterError> {
        if !self.dropped {
            return Ok(());
        }
        chown(path, Some(self.uid), Some(self.gid))
            .map_err(|source| ClusterError::io("give the database's user", path, source))
    }

    /// The first folder on the way to `path` (itself included) that this user may not enter.
    pub(crate) fn barred_at(&self, path: &Path) -> Option<PathBuf> {
        if !self.dropped {
            return None;
        }
        let mut folders: Vec<&Path> = path.ancestors().collect();
        folders.reverse();
        folders.into_iter().find(|folder| !self.may_enter(folder)).map(Path::to_owned)
    }

    /// Whether the mode bits of `folder` let this user pass through.
    fn may_enter(&self, folder: &Path) -> bool {
        let Ok(metadata) = folder.metadata() else { return false };
        let shift = if metadata.uid() == self.uid {
            6
        } else if metadata.gid() == self.gid {
            3
        } else {
            0
        };
        (metadata.mode() >> shift) & 0o1 == 1
    }

    /// Whether children run as another user than the service itself.
    pub(crate) fn is_dropped(&self) -> bool {
        self.dropped
    }
}

/// User and group of `name` in the lines of `/etc/passwd`; never root.
fn ids_of(name: &str, users: &str) -> Option<(u32, u32)> {
    let fields = users
        .lines()
        .map(|line| line.split(':').collect::<Vec<_>>())
        .find(|fields| fields.first() == Some(&name))?;
    let uid: u32 = fields.get(2)?.parse().ok()?;
    let gid: u32 = fields.get(3)?.parse().ok()?;
    (uid != 0).then_some((uid, gid))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::os::unix::fs::PermissionsExt;

    const USERS: &str = "root:x:0:0:root:/root:/bin/bash\n\
                         postgres:x:101:104:admin,,,:/var/lib/postgresql:/bin/bash\n\
                         toor:x:0:0::/root:/bin/sh\n";

    #[test]
    fn finds_a_user_by_name_but_never_root() {
        assert_eq!(ids_of("postgres", USERS), Some((101, 104)));
        assert_eq!(ids_of("toor", USERS), None);
        assert_eq!(ids_of("nobody", USERS), None);
    }

    #[test]
    fn names_the_folder_that_bars_the_way() {
        let base = env::temp_dir().join(format!("denwright-owner-{}", std::process::id()));
        let closed = base.join("closed");
        let inner = closed.join("inner");
        fs::create_dir_all(&inner).unwrap();
        fs::set_permissions(&base, PermissionsExt::from_mode(0o755)).unwrap();
        fs::set_permissions(&closed, PermissionsExt::from_mode(0o700)).unwrap();
        let stranger = Owner { uid: 65_533, gid: 65_533, dropped: true };
        assert_eq!(stranger.barred_at(&inner), Some(closed.clone()));
        fs::set_permissions(&closed, PermissionsExt::from_mode(0o711)).unwrap();
        fs::set_permissions(&inner, PermissionsExt::from_mode(0o711)).unwrap();
        assert_eq!(stranger.barred_at(&inner), None);
        fs::remove_dir_all(&base).unwrap();
    }
}
