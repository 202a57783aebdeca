//! The password of the role that the service works as, and who has to give one.
//!
//! Who reaches the socket is the database's user or root, who could read the files as well: the owner of the
//! database and the superuser need none. The service's role does, so that a service that was given that
//! role alone stays that.

use std::fs::{self, OpenOptions, Permissions};
use std::io::{ErrorKind, Write};
use std::os::unix::fs::{OpenOptionsExt, PermissionsExt};
use std::path::Path;

use rand::RngCore as _;

use super::owner::Owner;
use super::{ClusterError, SERVICE_ROLE};

/// The password that is kept in a cluster's folder; made when it is missing, for this user.
///
/// # Errors
/// When it can be neither read nor kept.
pub(crate) fn of_service(home: &Path, owner: Option<&Owner>) -> Result<String, ClusterError> {
    let path = home.join("service.password");
    let error = |source| ClusterError::io("keep the service's password in", &path, source);
    match fs::read_to_string(&path) {
        Ok(text) if !text.trim().is_empty() => return Ok(text.trim().to_owned()),
        Ok(_) => fs::remove_file(&path).map_err(error)?,
        Err(source) if source.kind() == ErrorKind::NotFound => {}
        Err(source) => return Err(error(source)),
    }
    let mut bytes = [0_u8; 32];
    rand::rng().fill_bytes(&mut bytes);
    let password: String = bytes.iter().map(|byte| format!("{byte:02x}")).collect();
    let mut file =
        OpenOptions::new().write(true).create_new(true).mode(0o600).open(&path).map_err(error)?;
    writeln!(file, "{password}").and_then(|()| file.sync_all()).map_err(error)?;
    // Whoever may start the database may also let the service in.
    owner.map_or(Ok(()), |owner| owner.give(&path))?;
    Ok(password)
}

/// Has the server ask the service's role for its password, and nobody else.
///
/// # Errors
/// When the file cannot be written.
pub(crate) fn ask_for_it(pgdata: &Path, owner: &Owner) -> Result<(), ClusterError> {
    let path = pgdata.join("pg_hba.conf");
    let error = |source| ClusterError::io("write who may connect to", &path, source);
    let text = format!(
        "# Written at each start. The socket's folder lets only the database's user and root in.\n\
         local all {SERVICE_ROLE} scram-sha-256\n\
         local all all trust\n\
         local replication all trust\n"
    );
    if fs::read_to_string(&path).is_ok_and(|known| known == text) {
        return Ok(());
    }
    fs::write(&path, text).map_err(error)?;
    fs::set_permissions(&path, Permissions::from_mode(0o600)).map_err(error)?;
    owner.give(&path)
}
