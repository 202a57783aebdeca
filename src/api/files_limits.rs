//! How much people may bring.

use std::time::Duration;

/// Limits of pictures and papers.
#[derive(Debug, Clone, Copy)]
pub struct FilesLimits {
    /// Bytes of one file, as it is sent.
    pub bytes_each: i64,
    /// Bytes of all files of a kennel, as they are kept.
    pub bytes_of_kennel: i64,
}

impl FilesLimits {
    /// So many megabytes each, and in all of a kennel.
    pub fn of_megabytes(each: u32, of_kennel: u32) -> Self {
        Self { bytes_each: i64::from(each) << 20, bytes_of_kennel: i64::from(of_kennel) << 20 }
    }

    /// How long one may be looked at and drawn anew: the largest takes some two seconds.
    pub(crate) fn patience(self) -> Duration {
        Duration::from_secs(60)
    }
}
