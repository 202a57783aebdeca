//! breeds
