//! Pictures and papers that people bring: what is taken, what becomes of it, and where its bytes lie.
//!
//! [`judge`] says what a file really is and makes what is kept of it; it reads nothing but the bytes.
//! [`Blobs`] keeps bytes under the hash of what they are, in a folder or in a store that speaks as S3 does.
//! Which row a file belongs to, and who may see it, is the store's.

mod blobs;
mod judge;
mod nameless;
mod paper;
mod picture;
mod s3;

pub use blobs::{Blobs, BlobsError, Kept, Listed, sha256};
pub use judge::{Judged, judge, look_at};
pub use nameless::{nameless_file, read_in_chunks};
pub use picture::{THUMBNAILS, Thumbnail, thumbnail};
