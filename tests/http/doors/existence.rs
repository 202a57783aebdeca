//! Nobody learns by a number or an id what others have.

use crate::common::*;
use std::sync::Arc;

const CHIP: &str = "276098106123456";

#[tokio::test]
async fn a_chip_that_a_hidden_dog_wears_is_taken_like_any_other() {
    let kennel = Kennel::among_others().await;
    let hidden = kennel.dog("Hidden", json!({ "chip_number": CHIP, "imported_id": "A 1" })).await;
    let shared = kennel.dam("Shared").await;
    let co_owner = kennel.co_owner(&[shared]).await;
    let path = format!("/dogs/{shared}");
    for (field, taken, free) in
        [("chip_number", CHIP, "276098106999999"), ("imported_id", "A 1", "A 2")]
    {
        let of_free = co_owner.change(&path, json!({ field: free })).await;
        let of_taken = co_owner.change(&path, json!({ field: taken })).await;
        assert_eq!((of_taken.status, of_free.status), (200, 200), "{field}");
        co_owner.change(&path, json!({ field: null })).await.ok();
        // Whoever sees both is told.
        let problem = kennel.change(&path, json!({ field: taken })).await.problem(409);
        assert!(problem["detail"].as_str().unwrap().contains(field), "{problem}");
        assert_eq!(
            items(
                &co_owner.get(&format!("/dogs?{field}={}", taken.replace(' ', "%20"))).await.ok()
            )
            .len(),
            0
        );
    }
    // What is written twice so stands in nobody's way: another field may be changed.
    co_owner.change(&path, json!({ "chip_number": CHIP })).await.ok();
    kennel.change(&path, json!({ "colour": "black" })).await.ok();
    kennel.change(&format!("/dogs/{hidden}"), json!({ "colour": "fawn" })).await.ok();
    // Between kennels a number was never compared.
    kennel.another().await.dog("Elsewhere", json!({ "chip_number": CHIP })).await;
}

#[tokio::test]
async fn two_dogs_of_a_kennel_do_not_wear_one_chip_whatever_the_race() {
    let kennel = Kennel::among_others().await;
    let body = json!({ "name": "Juno", "residence": "here", "chip_number": CHIP });
    let answers = kennel.post_at_once(8, "/dogs", &body).await;
    let made = answers.iter().filter(|answer| answer.status == 201).count();
    let taken = answers.iter().filter(|answer| answer.status == 409).count();
    assert_eq!((made, taken), (1, 7));
    assert_eq!(items(&kennel.get(&format!("/dogs?chip_number={CHIP}")).await.ok()).len(), 1);
}

const IMPORT: &str = "/v1/kennels/archive";

/// An archive whose kennel has another id.
fn renamed(archive: &[u8], from: Uuid, to: Uuid) -> Vec<u8> {
    use std::io::{Cursor, Read as _, Write as _};
    let mut old = zip::ZipArchive::new(Cursor::new(archive)).unwrap();
    let mut new = zip::ZipWriter::new(Cursor::new(Vec::new()));
    for place in 0..old.len() {
        let mut entry = old.by_index(place).unwrap();
        let name = entry.name().unwrap().into_owned();
        let mut bytes = Vec::new();
        entry.read_to_end(&mut bytes).unwrap();
        if name == "manifest.json" {
            bytes = String::from_utf8(bytes)
                .unwrap()
                .replace(&from.to_string(), &to.to_string())
                .into_bytes();
        }
        new.start_file(name, zip::write::SimpleFileOptions::default()).unwrap();
        new.write_all(&bytes).unwrap();
    }
    new.finish().unwrap().into_inner()
}

#[tokio::test]
async fn an_archive_does_not_tell_whose_kennel_is_here() {
    let owner = Kennel::new().await;
    let victim = owner.another().await;
    owner.dam("Juno").await;
    let archive = owner.get("/archive").await.expect(200).bytes;
    let stranger = owner.stranger().await;
    let mut answers = Vec::new();
    // Of somebody else's kennel that is here, and of one that is nowhere.
    for id in [victim.kennel_id, Uuid::now_v7(), owner.kennel_id] {
        let file = renamed(&archive, owner.kennel_id, id);
        let answer = stranger.post_raw(IMPORT, "application/zip", file).await;
        let mut arrived = answer.created();
        assert_ne!(arrived["kennel_id"], json!(id), "beside kennels of others it has a new id");
        arrived["kennel_id"] = Value::Null;
        answers.push(arrived);
    }
    assert_eq!(answers[0], answers[1]);
    assert_eq!(answers[0], answers[2]);
    // Whoever belongs to it is told that it is here.
    owner.post_raw(IMPORT, "application/zip", archive.clone()).await.problem(409);
    // Where nobody else has a kennel, there is nothing to tell: it keeps its id.
    let alone = Arc::new(Service::start(settings()).await);
    let elsewhere = Kennel::on(alone).await;
    let arrived = elsewhere.post_raw(IMPORT, "application/zip", archive).await.created();
    assert_eq!(arrived["kennel_id"], json!(owner.kennel_id));
    assert_eq!(victim.get("/dogs").await.ok()["items"], json!([]));
}
