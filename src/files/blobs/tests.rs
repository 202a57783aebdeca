//! Files in a folder.

use super::*;
use std::{fs, os::unix::fs::PermissionsExt as _, path::PathBuf};

struct Folder(PathBuf);

impl Folder {
    fn new() -> (Self, Blobs) {
        let folder = std::env::temp_dir().join(format!("denwright-blobs-{}", Uuid::now_v7()));
        let blobs = Blobs::open(folder.to_str().unwrap()).unwrap();
        (Self(folder), blobs)
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

#[tokio::test]
async fn a_file_comes_back_as_it_was_or_not_at_all() {
    let (folder, blobs) = Folder::new();
    assert_eq!(fs::metadata(&folder.0).unwrap().permissions().mode() & 0o777, 0o700);
    let (kennel, sum) = (Uuid::now_v7(), sha256(b"abc"));
    blobs.keep(kennel, &sum, b"abc".to_vec()).await.unwrap();
    blobs.keep(kennel, &sum, b"abc".to_vec()).await.unwrap();
    assert_eq!(blobs.read(kennel, &sum).await.unwrap().checked().unwrap(), b"abc");
    let other = blobs.read(Uuid::now_v7(), &sum).await;
    assert!(matches!(other, Err(BlobsError::Missing)));
    fs::write(folder.0.join(format!("blobs/{kennel}/{sum}")), b"abd").unwrap();
    let damaged = blobs.read(kennel, &sum).await.unwrap().checked();
    assert!(matches!(damaged, Err(BlobsError::Damaged)));
}

#[tokio::test]
async fn what_is_forgotten_goes_with_what_was_made_of_it() {
    let (folder, blobs) = Folder::new();
    let kennel = Uuid::now_v7();
    let sums = [sha256(b"a"), sha256(b"b")];
    for sum in &sums {
        blobs.keep(kennel, sum, b"x".to_vec()).await.unwrap();
        blobs.keep_thumbnail(kennel, sum, 320, b"y".to_vec()).await.unwrap();
    }
    fs::write(folder.0.join("blobs/README"), b"left alone").unwrap();
    blobs.forget(kennel, &sums[0]).await.unwrap();
    blobs.forget(kennel, &sums[0]).await.unwrap();
    let left = blobs.list().await.unwrap();
    assert_eq!(left.iter().map(|file| &file.sha256).collect::<Vec<_>>(), [&sums[1]]);
    assert_eq!(blobs.thumbnail(kennel, &sums[0], 320).await.unwrap(), None);
    assert_eq!(blobs.thumbnail(kennel, &sums[1], 320).await.unwrap(), Some(b"y".to_vec()));
    assert_eq!(blobs.written_at(kennel, &sums[0]).await.unwrap(), None);
    assert!(blobs.written_at(kennel, &sums[1]).await.unwrap().is_some());
}

#[tokio::test]
async fn a_smaller_picture_that_is_not_what_was_kept_is_none() {
    let (folder, blobs) = Folder::new();
    let kennel = Uuid::now_v7();
    let (own, other) = (sha256(b"a"), sha256(b"b"));
    blobs.keep_thumbnail(kennel, &own, 320, b"picture".to_vec()).await.unwrap();
    let place = |sum: &str| folder.0.join(format!("thumbnails/{kennel}/{sum}/320"));
    let kept = fs::read(place(&own)).unwrap();
    let mut turned = kept.clone();
    *turned.last_mut().unwrap() ^= 1;
    for bad in
        [&turned[..], &kept[..kept.len() - 1], &kept[..31], b"", b"\xff\xd8 as it was kept before"]
    {
        fs::write(place(&own), bad).unwrap();
        assert_eq!(blobs.thumbnail(kennel, &own, 320).await.unwrap(), None, "{bad:?}");
    }
    // Nor is one that was made of another file.
    blobs.keep_thumbnail(kennel, &other, 320, b"picture".to_vec()).await.unwrap();
    fs::write(place(&other), &kept).unwrap();
    assert_eq!(blobs.thumbnail(kennel, &other, 320).await.unwrap(), None);
    fs::write(place(&own), &kept).unwrap();
    assert_eq!(blobs.thumbnail(kennel, &own, 320).await.unwrap(), Some(b"picture".to_vec()));
}

#[tokio::test]
async fn what_one_kennel_has_goes_and_no_more() {
    let (_folder, blobs) = Folder::new();
    goes_with_its_kennel(&blobs).await;
}

async fn goes_with_its_kennel(blobs: &Blobs) {
    let (kennel, other, sum) = (Uuid::now_v7(), Uuid::now_v7(), sha256(b"a"));
    for one in [kennel, other] {
        blobs.keep(one, &sum, b"x".to_vec()).await.unwrap();
        blobs.keep_thumbnail(one, &sum, 320, b"y".to_vec()).await.unwrap();
    }
    // Once more, as after a crash.
    for _ in 0..2 {
        blobs.forget_kennel(kennel).await.unwrap();
        assert_eq!(blobs.written_at(kennel, &sum).await.unwrap(), None);
        assert_eq!(blobs.thumbnail(kennel, &sum, 320).await.unwrap(), None);
    }
    assert!(blobs.written_at(other, &sum).await.unwrap().is_some());
    assert_eq!(blobs.thumbnail(other, &sum, 320).await.unwrap(), Some(b"y".to_vec()));
}

#[tokio::test]
async fn an_upload_is_put_together_in_the_order_of_its_parts() {
    let (_folder, blobs) = Folder::new();
    let upload = Uuid::now_v7();
    for (name, bytes) in [("b", "first "), ("c", "lost"), ("a", "second")] {
        blobs.keep_part(upload, name, bytes.into()).await.unwrap();
    }
    let names = ["b".to_owned(), "a".to_owned()];
    assert_eq!(blobs.put_together(upload, &names).await.unwrap(), b"first second");
    blobs.forget_old_parts(Utc::now() - chrono::Duration::hours(1)).await.unwrap();
    assert_eq!(blobs.put_together(upload, &names).await.unwrap(), b"first second");
    blobs.forget_old_parts(Utc::now() + chrono::Duration::hours(1)).await.unwrap();
    let gone = blobs.put_together(upload, &names).await;
    assert!(matches!(gone, Err(BlobsError::Missing)));
}

/// As in a folder; `tests/clients/s3/check` starts the store.
#[tokio::test]
#[ignore = "asks the store that DENWRIGHT_TEST_S3 names"]
async fn a_store_that_speaks_as_s3_does_keeps_the_same() {
    let blobs = Blobs::open(&std::env::var("DENWRIGHT_TEST_S3").unwrap()).unwrap();
    let (kennel, upload) = (Uuid::now_v7(), Uuid::now_v7());
    let large = vec![7; 3 << 20];
    let sum = sha256(&large);
    assert!(matches!(blobs.read(kennel, &sum).await, Err(BlobsError::Missing)));
    blobs.keep(kennel, &sum, large.clone()).await.unwrap();
    blobs.keep_thumbnail(kennel, &sum, 320, b"y".to_vec()).await.unwrap();
    assert_eq!(blobs.read(kennel, &sum).await.unwrap().checked().unwrap(), large);
    let listed = blobs.list().await.unwrap();
    let own: Vec<_> = listed.iter().filter(|file| file.kennel_id == kennel).collect();
    assert_eq!(own.iter().map(|file| &file.sha256).collect::<Vec<_>>(), [&sum]);
    let age = Utc::now() - own[0].written_at;
    assert!(age.num_seconds().abs() < 60, "{age}");
    assert_eq!(blobs.thumbnail(kennel, &sum, 320).await.unwrap(), Some(b"y".to_vec()));
    assert_eq!(blobs.thumbnail(kennel, &sum, 1280).await.unwrap(), None);
    for (name, bytes) in [("b", "first "), ("a", "second")] {
        blobs.keep_part(upload, name, bytes.into()).await.unwrap();
    }
    let names = ["b".to_owned(), "a".to_owned()];
    assert_eq!(blobs.put_together(upload, &names).await.unwrap(), b"first second");
    blobs.forget_parts(upload).await.unwrap();
    assert!(blobs.put_together(upload, &names).await.is_err());
    blobs.forget(kennel, &sum).await.unwrap();
    assert_eq!(blobs.written_at(kennel, &sum).await.unwrap(), None);
    assert_eq!(blobs.thumbnail(kennel, &sum, 320).await.unwrap(), None);
    goes_with_its_kennel(&blobs).await;
}
