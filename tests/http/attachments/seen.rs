//! Who sees a picture or a paper: whoever sees what it hangs on, and a new owner what the kennel chose.

use super::*;

fn path(made: &Value) -> String {
    format!("/attachments/{}", made["id"].as_str().unwrap())
}

#[tokio::test]
async fn it_is_seen_by_those_who_see_what_it_hangs_on() {
    let kennel = Kennel::among_others().await;
    let (litter, pups) = kennel.born_litter(1, 60).await;
    let freya = kennel.dam("Freya").await;
    let buyer = kennel.buyer("Ottilie").await;
    let sale = kennel.post("/placements", Kennel::reservation(pups[0], buyer)).await.id();
    let of_dog = attach(&kennel, &photograph(40, 40), json!({ "dog_id": freya })).await;
    let of_litter = attach(&kennel, &photograph(41, 40), json!({ "litter_id": litter })).await;
    let terms = json!({ "placement_id": sale, "kind": "contract", "caption": "signed" });
    let of_sale = attach(&kennel, &contract("signed"), terms).await;

    let (viewer, helper) = (kennel.viewer().await, kennel.helper().await);
    let co_owner = kennel.co_owner(&[freya]).await;
    let stranger = kennel.stranger().await;
    for (who, caller, dog, of_the_litter, contract) in [
        ("owner", kennel.owner(), 200, 200, 200),
        ("viewer", &viewer, 200, 200, 404),
        ("helper", &helper, 200, 200, 404),
        ("co-owner of the dog", &co_owner, 200, 404, 404),
        ("stranger", &stranger, 404, 404, 404),
    ] {
        for (made, status) in [(&of_dog, dog), (&of_litter, of_the_litter), (&of_sale, contract)] {
            for end in ["", "/file"] {
                let asked = caller.get(&format!("{}{end}", path(made))).await;
                assert_eq!(asked.status, status, "{who}: {}", asked.asked);
            }
        }
    }
    // The log tells as much.
    for (caller, told) in [(kennel.owner(), 3), (&viewer, 2), (&co_owner, 1)] {
        let log = caller.get("/changes?record=attachment").await.ok();
        assert_eq!(items(&log).len(), told, "{log}");
    }
    let listed = helper.get(&format!("/attachments?dog_id={freya}&kind=photo")).await.ok();
    assert_eq!(ids(&listed), [id(&of_dog)]);

    // A helper brings pictures and no contracts, a viewer nothing.
    let taken = attach(&helper, &photograph(42, 40), json!({ "dog_id": freya })).await;
    let upload_id = upload(&helper, &contract("no")).await;
    let body = json!({ "upload_id": upload_id, "placement_id": sale, "kind": "contract" });
    helper.post("/attachments", body).await.problem(403);
    viewer.remove(&path(&taken)).await.problem(403);
    helper.remove(&path(&taken)).await.no_content();
    // Of another's upload nothing is made.
    let upload_id = upload(kennel.owner(), &photograph(43, 40)).await;
    let body = json!({ "upload_id": upload_id, "dog_id": freya, "kind": "photo" });
    helper.post("/attachments", body).await.refused(&["/upload_id"]);
}

#[tokio::test]
async fn a_row_says_what_it_hangs_on_and_its_file_stays() {
    let kennel = Kennel::among_others().await;
    let (litter, pups) = kennel.born_litter(1, 60).await;
    let upload_id = upload(&kennel, &photograph(40, 40)).await;
    let with = |fields: Value| {
        let mut body = json!({ "upload_id": upload_id, "kind": "photo" });
        for (name, value) in fields.as_object().unwrap() {
            body[name] = value.clone();
        }
        body
    };
    for (fields, places) in [
        (json!({}), &["/dog_id"][..]),
        (json!({ "dog_id": pups[0], "litter_id": litter }), &["/dog_id"]),
        (json!({ "dog_id": pups[0], "kind": "contract" }), &["/placement_id"]),
        (json!({ "dog_id": Uuid::now_v7() }), &["/dog_id"]),
        (json!({ "litter_id": Uuid::now_v7() }), &["/litter_id"]),
        (json!({ "placement_id": Uuid::now_v7() }), &["/placement_id"]),
        (json!({ "dog_id": pups[0], "upload_id": Uuid::now_v7() }), &["/upload_id"]),
        (json!({ "dog_id": pups[0], "taken_on": days_ago(-3) }), &["/taken_on"]),
    ] {
        let refused = kennel.post("/attachments", with(fields.clone())).await;
        assert_eq!(refused.pointers(422), places, "{fields}");
    }
    // What the file is, the file says.
    let claimed = json!({ "dog_id": pups[0], "sha256": "0".repeat(64), "size_bytes": 1 });
    let made = kennel.post("/attachments", with(claimed)).await.created();
    assert!(made["sha256"] != "0".repeat(64) && made["size_bytes"].as_i64().unwrap() > 100);
    let changed = kennel.change(&path(&made), json!({ "caption": "Her first steps" })).await.ok();
    assert_eq!(changed["sha256"], made["sha256"]);
    let other = json!({ "upload_id": Uuid::now_v7() });
    kennel.change(&path(&made), other).await.refused(&["/upload_id"]);
    // What others hang on stays.
    kennel.remove(&format!("/dogs/{}", pups[0])).await.problem(409);
}

#[tokio::test]
async fn a_booklet_shows_what_the_kennel_chose() {
    let kennel = Kennel::among_others().await;
    let (litter, pups) = kennel.born_litter(2, 60).await;
    let shown = |fields: Value| {
        let mut body = json!({ "shown_to_buyer": true });
        for (name, value) in fields.as_object().unwrap() {
            body[name] = value.clone();
        }
        body
    };
    let late =
        shown(json!({ "dog_id": pups[0], "taken_on": days_ago(18), "caption": "six weeks" }));
    let late = attach(&kennel, &photograph(40, 40), late).await;
    let early = shown(json!({ "litter_id": litter, "taken_on": days_ago(60) }));
    let early = attach(&kennel, &photograph(41, 40), early).await;
    let hidden = attach(&kennel, &photograph(42, 40), json!({ "dog_id": pups[0] })).await;
    let other = attach(&kennel, &photograph(43, 40), shown(json!({ "dog_id": pups[1] }))).await;
    let link = kennel.post(&format!("/dogs/{}/booklet-links", pups[0]), json!({})).await;
    let link = link.created()["path"].as_str().unwrap().to_owned();

    let nobody = kennel.nobody();
    let booklet = nobody.get(&link).await.ok();
    let pictures = booklet["pictures"].as_array().unwrap();
    let told: Vec<_> = pictures.iter().map(|p| (&p["attachment_id"], &p["age_days"])).collect();
    assert_eq!(told, [(&early["id"], &json!(0)), (&late["id"], &json!(42))]);
    let file = |made: &Value| format!("{link}{}/file?size=320", path(made));
    for made in [&early, &late] {
        let read = nobody.get(&file(made)).await.expect(200);
        assert_eq!(read.header("content-type"), "image/jpeg");
    }
    for made in [&hidden, &other] {
        nobody.get(&file(made)).await.problem(404);
    }
    nobody.get(&format!("{link}x{}/file", path(&early))).await.problem(404);
    let change = json!({ "shown_to_buyer": false });
    kennel.change(&path(&early), change).await.ok();
    nobody.get(&file(&early)).await.problem(404);
}
