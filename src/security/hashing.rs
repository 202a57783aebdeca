//! Hashes of passwords, whose memory goes back to the system.
//!
//! glibc gives a large block back at once only while it has mapped it by itself. The first one of 19 MB that is freed
//! raises the size from which it does so above 19 MB, and from then on each thread that hashes keeps as much. It raises
//! that size to 32 MB at most: a block that is asked for with more room than that, of which only what is needed is ever
//! touched, is mapped by itself and given back each time.

use argon2::{
    Algorithm, Argon2, Block, Params, Version,
    password_hash::phc::{Output, ParamsString, PasswordHash, Salt},
};
use rand::RngCore as _;

/// Blocks (1 KiB each) above the largest size that glibc takes from its own heap (32 MiB).
const MAPPED_BLOCKS: usize = 33 * 1024;
/// Bytes of a salt, as the PHC string format recommends.
const SALT_BYTES: usize = 16;

/// What speaks against a hash, in the library's words.
type Outcome<T> = Result<T, Box<dyn std::error::Error>>;

/// Hashes with the crate's defaults and a new salt.
pub(crate) fn hashed(password: &[u8]) -> Outcome<PasswordHash> {
    let hasher = Argon2::default();
    let mut salt = [0; SALT_BYTES];
    rand::rng().fill_bytes(&mut salt);
    let salt = Salt::new(&salt)?;
    let length = hasher.params().output_len().unwrap_or(Params::DEFAULT_OUTPUT_LEN);
    let output = output(&hasher, password, &salt, length)?;
    Ok(PasswordHash {
        algorithm: Algorithm::default().ident(),
        version: Some(Version::default().into()),
        params: ParamsString::try_from(hasher.params())?,
        salt: Some(salt),
        hash: Some(output),
    })
}

/// Whether a password fits a hash, by the hash's own parameters; compared in constant time.
pub(crate) fn fits(password: &[u8], hash: &PasswordHash) -> Outcome<bool> {
    let (Some(salt), Some(expected)) = (&hash.salt, &hash.hash) else { return Ok(false) };
    let algorithm = Algorithm::try_from(hash.algorithm.as_str())?;
    let version = hash.version.map(Version::try_from).transpose()?.unwrap_or_default();
    let hasher = Argon2::new(algorithm, version, Params::try_from(hash)?);
    Ok(output(&hasher, password, salt, expected.len())? == *expected)
}

fn output(hasher: &Argon2<'_>, password: &[u8], salt: &[u8], length: usize) -> Outcome<Output> {
    let blocks = hasher.params().block_count();
    let mut memory: Vec<Block> = Vec::with_capacity(blocks.max(MAPPED_BLOCKS));
    memory.resize(blocks, Block::new());
    let mut bytes = vec![0; length];
    hasher.hash_password_into_with_memory(password, salt, &mut bytes, &mut memory)?;
    Ok(Output::new(&bytes)?)
}

#[cfg(test)]
mod tests {
    use super::*;
    use argon2::password_hash::{PasswordHasher as _, PasswordVerifier as _};

    /// What the library would make by itself, either way round, and by other parameters too.
    #[test]
    fn the_library_and_we_know_each_others_hashes() {
        let ours = hashed(b"a long pass phrase").unwrap();
        let library = Argon2::default();
        assert!(library.verify_password(b"a long pass phrase", &ours).is_ok());
        assert!(library.verify_password(b"a long pass phrasf", &ours).is_err());
        let small = Params::new(64, 3, 2, Some(24)).unwrap();
        for hasher in [library, Argon2::new(Algorithm::Argon2i, Version::V0x10, small)] {
            let theirs: PasswordHash = hasher.hash_password(b"a long pass phrase").unwrap();
            assert!(fits(b"a long pass phrase", &theirs).unwrap());
            assert!(!fits(b"a long pass phrasf", &theirs).unwrap());
        }
        assert_ne!(ours.salt, hashed(b"a long pass phrase").unwrap().salt);
    }

    /// The rest that is left of 20 hashes in a heap would be 19 MB and more a thread. In a process of its own, since
    /// what tests beside it leave behind counts as well.
    #[cfg(target_os = "linux")]
    #[test]
    fn no_thread_keeps_the_memory_of_a_hash() {
        const ALONE: &str = "DENWRIGHT_TEST_ALONE";
        if std::env::var_os(ALONE).is_none() {
            let own = ["--exact", "hashing::tests::no_thread_keeps_the_memory_of_a_hash"];
            let program = std::env::current_exe().unwrap();
            let ran = std::process::Command::new(program).args(own).env(ALONE, "1").output();
            let ran = ran.unwrap();
            let told = String::from_utf8_lossy(&ran.stdout);
            assert!(ran.status.success() && told.contains("1 passed"), "{told}");
            return;
        }
        let resident = || {
            let status = std::fs::read_to_string("/proc/self/status").unwrap();
            let line = status.lines().find(|line| line.starts_with("VmRSS:")).unwrap();
            line.split_whitespace().nth(1).unwrap().parse::<usize>().unwrap()
        };
        let before = resident();
        for _ in 0..2 {
            let threads: Vec<_> =
                (0..4).map(|_| std::thread::spawn(|| hashed(b"a pass phrase").is_ok())).collect();
            threads.into_iter().for_each(|thread| assert!(thread.join().unwrap()));
        }
        let more = resident().saturating_sub(before);
        assert!(more < 16 * 1024, "{more} kB are left of eight hashes");
    }
}
