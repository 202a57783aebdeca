//! Secrets that the service needs in the clear, sealed under a key that lies outside the database.
//!
//! Whoever reads the database, or a backup of it, has neither the seeds of second factors nor the
//! secrets of webhooks without the file of the key.

use crate::credentials::random_key;
use base64::{Engine as _, engine::general_purpose::STANDARD};
use chacha20poly1305::{
    XChaCha20Poly1305, XNonce,
    aead::{Aead as _, KeyInit as _, Payload},
};
use sha2::{Digest as _, Sha256};
use std::{
    fs::{self, OpenOptions},
    io::{self, Write as _},
    os::unix::fs::{MetadataExt as _, OpenOptionsExt as _},
    path::Path,
};

/// What tells one key from another: the beginning of a hash of it.
pub type KeyId = [u8; 8];

/// What a sealed secret begins with: the form, then the key's id and the nonce.
const FORM: u8 = 1;
const NONCE_BYTES: usize = 24;
const HEAD_BYTES: usize = 1 + size_of::<KeyId>() + NONCE_BYTES;
const KEY_BYTES: usize = 32;

/// The keys that open, newest first, which seals.
pub struct Vault {
    keys: Vec<(KeyId, XChaCha20Poly1305)>,
}

/// Why there is no vault, or why it does not open.
#[derive(Debug, thiserror::Error)]
pub enum VaultError {
    /// The file.
    #[error("{path}: {source}")]
    File {
        /// Where it lies.
        path: String,
        /// Why not.
        source: io::Error,
    },
    /// What is in the file.
    #[error(
        "{path}: line {line} is no key; each line holds 32 bytes in base 64, as `openssl rand -base64 32` gives them"
    )]
    NoKey {
        /// Where it lies.
        path: String,
        /// Which line, from 1.
        line: usize,
    },
    /// Others may read it.
    #[error("{path} can be read by others: chmod 600 it; whoever has read it has the secrets")]
    Open {
        /// Where it lies.
        path: String,
    },
    /// Sealed under another key, or spoiled.
    #[error(
        "a secret in the database is sealed under a key that DENWRIGHT_SECRET_FILE does not hold: give the \
         file that holds it, or, when it is lost, run denwright keys forget-sealed"
    )]
    OtherKey,
    /// Spoiled, or moved to another row.
    #[error("a sealed secret is not what was sealed")]
    Spoiled,
}

impl Vault {
    /// A vault with a key that nobody else has.
    pub fn fresh() -> Self {
        Self { keys: vec![key(&random_key())] }
    }

    /// The vault whose keys lie in a file, one a line, newest first; made with a fresh one when there
    /// is no such file.
    ///
    /// # Errors
    /// When the file cannot be made or read, holds no key, or can be read by others.
    pub fn open_or_make(path: &Path) -> Result<Self, VaultError> {
        let told = || path.display().to_string();
        let file_error = |source| VaultError::File { path: told(), source };
        let text = match fs::read_to_string(path) {
            Ok(text) => text,
            Err(error) if error.kind() == io::ErrorKind::NotFound => {
                make(path).map_err(file_error)?;
                fs::read_to_string(path).map_err(file_error)?
            }
            Err(error) => return Err(file_error(error)),
        };
        let mode = path.metadata().map_err(file_error)?.mode();
        if mode & 0o077 != 0 {
            return Err(VaultError::Open { path: told() });
        }
        let mut keys = Vec::new();
        for (index, line) in text.lines().enumerate() {
            let line = line.trim();
            if line.is_empty() || line.starts_with('#') {
                continue;
            }
            let bytes: Option<[u8; KEY_BYTES]> =
                STANDARD.decode(line).ok().and_then(|bytes| bytes.try_into().ok());
            let bytes = bytes.ok_or(VaultError::NoKey { path: told(), line: index + 1 })?;
            keys.push(key(&bytes));
        }
        if keys.is_empty() {
            Err(VaultError::NoKey { path: told(), line: 1 })
        } else {
            Ok(Self { keys })
        }
    }

    /// The id of the key that seals.
    pub fn key_id(&self) -> KeyId {
        self.keys.first().map_or([0; 8], |(id, _)| *id)
    }

    /// The ids of all keys.
    pub fn key_ids(&self) -> Vec<KeyId> {
        self.keys.iter().map(|(id, _)| *id).collect()
    }

    /// Seals a secret for one purpose, such as one row's: moved to another one it does not open.
    ///
    /// # Errors
    /// When there is no key.
    pub fn seal(&self, purpose: &str, secret: &[u8]) -> Result<Vec<u8>, VaultError> {
        let (id, cipher) = self.keys.first().ok_or(VaultError::OtherKey)?;
        let mut nonce = [0; NONCE_BYTES];
        nonce.copy_from_slice(&random_key()[..NONCE_BYTES]);
        let payload = Payload { msg: secret, aad: purpose.as_bytes() };
        let sealed =
            cipher.encrypt(&XNonce::from(nonce), payload).map_err(|_| VaultError::Spoiled)?;
        let mut whole = Vec::with_capacity(HEAD_BYTES + sealed.len());
        whole.push(FORM);
        whole.extend_from_slice(id);
        whole.extend_from_slice(&nonce);
        whole.extend_from_slice(&sealed);
        Ok(whole)
    }

    /// Opens what was sealed for this purpose.
    ///
    /// # Errors
    /// When it was sealed under a key that is not here, for another purpose, or is spoiled.
    pub fn open(&self, purpose: &str, sealed: &[u8]) -> Result<Vec<u8>, VaultError> {
        let (head, body) = sealed.split_at_checked(HEAD_BYTES).ok_or(VaultError::Spoiled)?;
        let (Some(&FORM), Some((id, nonce))) = (head.first(), head[1..].split_at_checked(8)) else {
            return Err(VaultError::Spoiled);
        };
        let (_, cipher) =
            self.keys.iter().find(|(known, _)| known == id).ok_or(VaultError::OtherKey)?;
        let nonce: [u8; NONCE_BYTES] = nonce.try_into().map_err(|_| VaultError::Spoiled)?;
        let payload = Payload { msg: body, aad: purpose.as_bytes() };
        cipher.decrypt(&XNonce::from(nonce), payload).map_err(|_| VaultError::Spoiled)
    }
}

impl std::fmt::Debug for Vault {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(formatter, "Vault({} keys, hidden)", self.keys.len())
    }
}

fn key(bytes: &[u8; KEY_BYTES]) -> (KeyId, XChaCha20Poly1305) {
    let hash = Sha256::new().chain_update(b"denwright key id").chain_update(bytes).finalize();
    let mut id = KeyId::default();
    id.copy_from_slice(&hash[..8]);
    (id, XChaCha20Poly1305::new(bytes.into()))
}

/// Writes a file with a fresh key that only its owner reads. Of two that start at once, one makes it:
/// it appears whole, under its name, or not at all.
fn make(path: &Path) -> io::Result<()> {
    if let Some(folder) = path.parent().filter(|folder| !folder.as_os_str().is_empty()) {
        fs::create_dir_all(folder)?;
    }
    let mut name = path.file_name().unwrap_or_default().to_owned();
    name.push(format!(".new-{}", std::process::id()));
    let aside = path.with_file_name(name);
    let written = add_key(&aside, "").and_then(|()| match fs::hard_link(&aside, path) {
        Err(error) if error.kind() == io::ErrorKind::AlreadyExists => Ok(()),
        done => done,
    });
    let _ = fs::remove_file(&aside);
    written
}

fn add_key(path: &Path, after: &str) -> io::Result<()> {
    let mut file = OpenOptions::new().write(true).create_new(true).mode(0o600).open(path)?;
    writeln!(file, "{}", STANDARD.encode(random_key()))?;
    file.write_all(after.as_bytes())?;
    file.sync_all()
}

/// Puts a fresh key before those of the file: it seals from the next start on, the others still open.
///
/// # Errors
/// When the file cannot be read or written.
pub fn renew(path: &Path) -> io::Result<()> {
    let text = fs::read_to_string(path)?;
    let mut name = path.file_name().unwrap_or_default().to_owned();
    name.push(".new");
    let aside = path.with_file_name(name);
    add_key(&aside, &text)?;
    fs::rename(&aside, path)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn path() -> std::path::PathBuf {
        std::env::temp_dir().join(format!("denwright-vault-{}", uuid::Uuid::now_v7().simple()))
    }

    #[test]
    fn what_is_sealed_opens_for_its_purpose_alone() {
        let vault = Vault::fresh();
        let sealed = vault.seal("row 1", b"a seed of a second factor").unwrap();
        assert!(!sealed.windows(6).any(|part| part == b"a seed"));
        assert_eq!(vault.open("row 1", &sealed).unwrap(), b"a seed of a second factor");
        assert!(matches!(vault.open("row 2", &sealed), Err(VaultError::Spoiled)));
        assert!(matches!(Vault::fresh().open("row 1", &sealed), Err(VaultError::OtherKey)));
        assert_ne!(sealed, vault.seal("row 1", b"a seed of a second factor").unwrap());
        for at in 0..sealed.len() {
            let mut spoiled = sealed.clone();
            spoiled[at] ^= 1;
            assert!(vault.open("row 1", &spoiled).is_err(), "byte {at}");
            assert!(vault.open("row 1", &sealed[..at]).is_err(), "cut at {at}");
        }
    }

    #[test]
    fn a_file_is_made_once_for_its_owner_and_renewed() {
        let path = path();
        let first = Vault::open_or_make(&path).unwrap();
        assert_eq!(path.metadata().unwrap().mode() & 0o777, 0o600);
        let sealed = first.seal("row", b"secret").unwrap();
        assert_eq!(Vault::open_or_make(&path).unwrap().open("row", &sealed).unwrap(), b"secret");
        renew(&path).unwrap();
        let second = Vault::open_or_make(&path).unwrap();
        assert_eq!(second.key_ids().len(), 2);
        assert_ne!(second.key_id(), first.key_id());
        assert_eq!(second.open("row", &sealed).unwrap(), b"secret");
        assert_eq!(path.metadata().unwrap().mode() & 0o777, 0o600);
        fs::remove_file(&path).unwrap();
    }

    #[test]
    fn a_file_that_others_read_or_without_a_key_is_refused() {
        use std::os::unix::fs::PermissionsExt as _;
        let path = path();
        Vault::open_or_make(&path).unwrap();
        fs::set_permissions(&path, fs::Permissions::from_mode(0o640)).unwrap();
        assert!(matches!(Vault::open_or_make(&path), Err(VaultError::Open { .. })));
        fs::set_permissions(&path, fs::Permissions::from_mode(0o600)).unwrap();
        for text in ["", "# nothing\n", "short\n"] {
            fs::write(&path, text).unwrap();
            assert!(
                matches!(Vault::open_or_make(&path), Err(VaultError::NoKey { .. })),
                "{text:?}"
            );
        }
        fs::remove_file(&path).unwrap();
    }
}
