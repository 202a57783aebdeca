//! None is lost that is wanted, and none stays that nothing refers to: sweeps, the log, archives, erasure.

use super::*;
use chrono::{Duration, Utc};
use denwright::service::{server::Settings, sweep::sweep};
use files::Blobs;
use std::{
    fs,
    io::{Cursor, Read as _, Write as _},
    path::{Path, PathBuf},
};
use zip::{ZipArchive, ZipWriter, write::SimpleFileOptions};

/// A kennel whose files lie in a folder of its own.
async fn apart() -> (Kennel, PathBuf) {
    let folder = std::env::temp_dir().join(format!("denwright-files-{}", Uuid::now_v7()));
    let files_url = folder.to_str().unwrap().to_owned();
    (Kennel::with(Settings { files_url, ..settings() }).await, folder)
}

/// The hashes of the files that lie there.
fn there(folder: &Path) -> Vec<String> {
    let mut found = Vec::new();
    for kennel in fs::read_dir(folder.join("blobs")).into_iter().flatten().flatten() {
        for file in fs::read_dir(kennel.path()).unwrap().flatten() {
            found.push(file.file_name().into_string().unwrap());
        }
    }
    found.sort();
    found
}

async fn swept(kennel: &Kennel, folder: &Path, in_hours: i64) -> usize {
    let blobs = Blobs::open(folder.to_str().unwrap()).unwrap();
    let now = Utc::now() + Duration::hours(in_hours);
    sweep(&kennel.service.db, &blobs, now).await.unwrap()
}

fn of(made: &Value) -> String {
    format!("/attachments/{}", made["id"].as_str().unwrap())
}

fn hash(made: &Value) -> String {
    made["sha256"].as_str().unwrap().to_owned()
}

#[tokio::test]
async fn a_file_goes_when_nothing_refers_to_it_and_not_before() {
    let (kennel, folder) = apart().await;
    let juno = kennel.dam("Juno").await;
    let same = photograph(40, 40);
    let first = attach(&kennel, &same, json!({ "dog_id": juno })).await;
    let second = attach(&kennel, &same, json!({ "dog_id": juno, "kind": "other" })).await;
    // One that becomes nothing, and one that was left by a fault between file and row.
    upload(&kennel, &photograph(41, 40)).await;
    let stray = folder.join("blobs").join(kennel.kennel_id.to_string()).join("f".repeat(64));
    fs::write(&stray, b"stray").unwrap();
    assert_eq!(there(&folder).len(), 3);
    // Whatever refers to it: on the day on which it came, it stays.
    assert_eq!(swept(&kennel, &folder, 23).await, 0);
    assert_eq!(swept(&kennel, &folder, 25).await, 1);
    let sql = kennel.sql().await;
    sql.batch_execute("UPDATE uploads SET expires_at = now()").await.unwrap();
    assert_eq!(swept(&kennel, &folder, 25).await, 1);
    assert_eq!(there(&folder), [hash(&first)]);

    kennel.remove(&of(&first)).await.no_content();
    assert_eq!(swept(&kennel, &folder, 25).await, 0);
    kennel.remove(&of(&second)).await.no_content();
    // The log can bring the row back, for thirty days: so long the file stays.
    assert_eq!(swept(&kennel, &folder, 25).await, 0);
    let log = kennel.get(&format!("/changes?row_id={}", second["id"].as_str().unwrap())).await.ok();
    let deleted = items(&log).iter().find(|change| change["action"] == "deleted").unwrap();
    let restore = format!("/changes/{}/restore", deleted["sequence"]);
    kennel.post(&restore, json!({ "version": null })).await.ok();
    kennel.get(&format!("{}/file", of(&second))).await.expect(200);
    kennel.remove(&of(&second)).await.no_content();
    let past = |days: i64| format!("UPDATE changes SET at = now() - interval '{days} days'");
    sql.batch_execute(&past(29)).await.unwrap();
    assert_eq!(swept(&kennel, &folder, 25).await, 0);
    sql.batch_execute(&past(31)).await.unwrap();
    kennel.post(&restore, json!({ "version": null })).await.problem(409);
    assert_eq!(swept(&kennel, &folder, 25).await, 1);
    assert_eq!(there(&folder), [""; 0]);
    assert!(
        fs::read_dir(
            folder.join("thumbnails").join(kennel.kennel_id.to_string()).join(hash(&first))
        )
        .map_or(0, Iterator::count)
            == 0
    );
    fs::remove_dir_all(&folder).unwrap();
}

/// The files of an archive.
fn unpacked(archive: &[u8]) -> Vec<(String, Vec<u8>)> {
    let mut zip = ZipArchive::new(Cursor::new(archive)).unwrap();
    let names: Vec<String> = zip.file_names().map(|name| name.unwrap().into_owned()).collect();
    let read = |name: String| {
        let mut bytes = Vec::new();
        zip.by_name(&name).unwrap().read_to_end(&mut bytes).unwrap();
        (name, bytes)
    };
    names.into_iter().map(read).collect()
}

fn packed(files: &[(String, Vec<u8>)]) -> Vec<u8> {
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, bytes) in files {
        zip.start_file(name.as_str(), SimpleFileOptions::default()).unwrap();
        zip.write_all(bytes).unwrap();
    }
    zip.finish().unwrap().into_inner()
}

async fn take_in(caller: &Caller, archive: Vec<u8>) -> Answer {
    caller.post_raw("/v1/kennels/archive?copy=true", "application/zip", archive).await
}

#[tokio::test]
async fn an_archive_takes_pictures_along_and_brings_them_back() {
    let (kennel, folder) = apart().await;
    let (_, pups) = kennel.born_litter(1, 60).await;
    let buyer = kennel.buyer("Ottilie").await;
    let sale = kennel.post("/placements", Kennel::reservation(pups[0], buyer)).await.id();
    let photo = attach(&kennel, &photograph(400, 300), json!({ "dog_id": pups[0] })).await;
    let terms = json!({ "placement_id": sale, "kind": "contract" });
    let paper = attach(&kennel, &contract("signed"), terms).await;
    let archive = kennel.get("/archive").await.expect(200);
    assert_eq!(archive.header("content-type"), "application/zip");
    let files = unpacked(&archive.bytes);
    let names: Vec<&str> = files.iter().map(|(name, _)| name.as_str()).collect();
    for made in [&photo, &paper] {
        assert!(names.contains(&format!("pictures/{}", hash(made)).as_str()), "{names:?}");
    }

    let arrived = take_in(kennel.owner(), archive.bytes.clone()).await.created();
    let copy = kennel.owner().in_kennel(arrived["kennel_id"].as_str().unwrap().parse().unwrap());
    for made in [&photo, &paper] {
        let (was, is) = (kennel.get(&of(made)).await.ok(), copy.get(&of(made)).await.ok());
        for field in ["sha256", "kind", "media_type", "size_bytes", "width_px", "taken_on"] {
            assert_eq!(was[field], is[field], "{field}");
        }
        let file = format!("{}/file", of(made));
        assert_eq!(
            kennel.get(&file).await.expect(200).bytes,
            copy.get(&file).await.expect(200).bytes
        );
    }
    // Smaller ones are drawn where they are asked for.
    let small = copy.get(&format!("{}/file?size=320", of(&photo))).await.expect(200);
    assert_eq!(size(&small.bytes), (320, 240));
    // The copy has its own, which stay when the first kennel's go.
    assert_eq!(there(&folder).len(), 4);

    // An archive that is not whole, or that was changed.
    let place = |made: &Value| format!("pictures/{}", hash(made));
    let without: Vec<_> =
        files.iter().filter(|(name, _)| *name != place(&photo)).cloned().collect();
    let told = take_in(kennel.owner(), packed(&without)).await.pointers(422);
    assert!(told.len() == 1 && told[0].starts_with("attachments.csv#line/"), "{told:?}");
    let changed = |with: Vec<u8>| {
        let change = |(name, bytes): &(String, Vec<u8>)| {
            (name.clone(), if *name == place(&photo) { with.clone() } else { bytes.clone() })
        };
        packed(&files.iter().map(change).collect::<Vec<_>>())
    };
    for other in [photograph(400, 300), b"<script>".to_vec(), Vec::new()] {
        let told = take_in(kennel.owner(), changed(other)).await.pointers(422);
        assert!(told.len() == 1 && told[0].ends_with("/sha256"), "{told:?}");
    }
    let mut more = files.clone();
    more.push((format!("pictures/{}", "0".repeat(64)), b"untold".to_vec()));
    let told = take_in(kennel.owner(), packed(&more)).await.pointers(422);
    let named = told.iter().map(|place| place.trim_end_matches('…')).collect::<Vec<_>>();
    assert!(named.len() == 1 && named[0].starts_with("pictures/00000000"), "{told:?}");
    assert_eq!(there(&folder).len(), 4, "nothing of what was refused is kept");
    fs::remove_dir_all(&folder).unwrap();
}

#[tokio::test]
async fn a_buyers_contract_goes_with_the_erasure() {
    let (kennel, folder) = apart().await;
    let (_, pups) = kennel.born_litter(1, 60).await;
    let buyer = kennel.buyer("Ottilie").await;
    let sale = kennel.post("/placements", Kennel::reservation(pups[0], buyer)).await.id();
    let photo = attach(
        &kennel,
        &photograph(40, 40),
        json!({ "dog_id": pups[0], "caption": "with Ottilie Marsh" }),
    )
    .await;
    let terms = json!({ "placement_id": sale, "kind": "contract", "caption": "hers" });
    let paper = attach(&kennel, &contract("signed"), terms).await;
    let export = kennel.get(&format!("/buyers/{buyer}/export")).await.ok();
    assert_eq!(export["contracts"][0]["id"], paper["id"]);
    kennel.change(&format!("/placements/{sale}"), json!({ "stage": "withdrawn" })).await.ok();
    kennel.post(&format!("/buyers/{buyer}/erasure"), json!({})).await.ok();
    kennel.get(&of(&paper)).await.problem(404);
    kennel.get(&of(&photo)).await.expect(200);
    let log = kennel.get("/changes?record=attachment").await;
    assert!(!log.text().contains(&hash(&paper)) && !log.text().contains("hers"), "{}", log.text());
    assert_eq!(swept(&kennel, &folder, 25).await, 1);
    assert_eq!(there(&folder), [hash(&photo)]);
    fs::remove_dir_all(&folder).unwrap();
}
