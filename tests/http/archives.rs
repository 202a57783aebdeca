//! A kennel leaves with everything, and comes back.

use crate::{attachments, common::*};
use chrono::Duration;

use domain::{archive::tables, record::register};
use reqwest::Method;
use sha2::{Digest as _, Sha256};
use std::{
    collections::{BTreeMap, BTreeSet},
    io::{Cursor, Read as _, Write as _},
    sync::Arc,
};
use store::{accounts, people};
use zip::{ZipArchive, ZipWriter, write::SimpleFileOptions};

/// The files of an archive.
type Files = BTreeMap<String, Vec<u8>>;

fn unpacked(archive: &[u8]) -> Files {
    let mut zip = ZipArchive::new(Cursor::new(archive)).unwrap();
    let names: Vec<String> = zip.file_names().map(|name| name.unwrap().into_owned()).collect();
    let mut files = Files::new();
    for name in names {
        let mut bytes = Vec::new();
        zip.by_name(&name).unwrap().read_to_end(&mut bytes).unwrap();
        files.insert(name, bytes);
    }
    files
}

fn packed(files: &Files) -> Vec<u8> {
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, bytes) in files {
        zip.start_file(name.as_str(), SimpleFileOptions::default()).unwrap();
        zip.write_all(bytes).unwrap();
    }
    zip.finish().unwrap().into_inner()
}

fn manifest(files: &Files) -> Value {
    serde_json::from_slice(&files["manifest.json"]).unwrap()
}

fn text(files: &Files, name: &str) -> String {
    String::from_utf8(files[name].clone()).unwrap()
}

/// The archive with one file changed, as if it had been written so; the first row is the columns.
fn changed(archive: &[u8], name: &str, change: impl FnOnce(&mut Vec<Vec<String>>)) -> Vec<u8> {
    let mut files = unpacked(archive);
    let mut csv = csv::ReaderBuilder::new().has_headers(false).from_reader(&*files[name]);
    let mut rows: Vec<Vec<String>> = csv.deserialize().map(|row| row.unwrap()).collect();
    change(&mut rows);
    let mut csv = csv::WriterBuilder::new().flexible(true).from_writer(Vec::new());
    for row in &rows {
        csv.write_record(row).unwrap();
    }
    let written = csv.into_inner().unwrap();
    let mut manifest = manifest(&files);
    let told = manifest["files"].as_array_mut().unwrap();
    let told = told.iter_mut().find(|file| file["name"] == name).unwrap();
    let hash: String = Sha256::digest(&written).iter().map(|byte| format!("{byte:02x}")).collect();
    (told["rows"], told["sha256"]) = (json!(rows.len() - 1), json!(hash));
    told["columns"] = json!(rows[0]);
    files.insert(name.to_owned(), written);
    files.insert("manifest.json".to_owned(), manifest.to_string().into_bytes());
    packed(&files)
}

/// The place of a column.
fn place(rows: &[Vec<String>], column: &str) -> usize {
    rows[0].iter().position(|name| name == column).unwrap()
}

/// Somebody with this address on a service.
async fn person(service: &Arc<Service>, email: &str) -> Caller {
    let known = accounts::by_email(&service.db, email).await.unwrap();
    let person = match known {
        Some(account) => account.person,
        None => people::add(&service.db, "Maren Holt", email, "none", true).await.unwrap(),
    };
    let token = session(service, person.id).await;
    let kennels = people::kennels_of(&service.db, person.id).await.unwrap();
    let kennel_id = kennels.first().map_or(Uuid::nil(), |of| of.kennel_id);
    Caller::new(Arc::clone(service), kennel_id, person.id, Some(token))
}

const OWNER: &str = "maren@example.org";

async fn put(caller: &Caller, path: &str, body: Value) {
    let etag = caller.get(path).await.expect(200).etag();
    let request = caller.request(Method::PUT, path).header("If-Match", &etag);
    request.json(&body).send().await.expect(200);
}

/// The demo kennel with a row more in every table that the demo leaves empty.
pub(crate) async fn full_kennel() -> Caller {
    let service = Arc::new(Service::with_demo().await);
    let owner = person(&service, OWNER).await;
    let dogs = owner.get("/dogs?limit=500&residence=here").await.ok();
    let dam = items(&dogs).iter().find(|dog| dog["sex"] == "female").unwrap().clone();
    let dog = id(&dam);
    let births = owner.get("/litters?limit=500&born=true").await.ok();
    let litter = ids(&births)[0];
    let at = time_ago(Duration::minutes(5));
    let post = async |path: &str, body: Value| owner.post(path, body).await.created();
    post(
        &format!("/dogs/{dog}/former-shares"),
        json!({
            "person_id": owner.person_id, "numerator": 1, "denominator": 16, "held_from": "2020-01-01",
            "held_until": "2020-12-31",
        }),
    )
    .await;
    let link = post(&format!("/dogs/{dog}/booklet-links"), json!({})).await["path"].clone();
    post(
        &format!("{}/reports", link.as_str().unwrap()),
        json!({ "weight_g": 28_000, "temperament": "+kind, \"shy\"" }),
    )
    .await;
    post(
        &format!("/dogs/{dog}/shares"),
        json!({ "person_id": owner.person_id, "numerator": 1, "denominator": 8 }),
    )
    .await;
    post(
        "/rules/overrides",
        json!({ "key": "placement.reservation_days", "value": 10.0, "source": "our own" }),
    )
    .await;
    post("/places", json!({ "name": "=Warm room", "kind": "whelping_room", "note": "" })).await;
    post(
        "/absences",
        json!({ "person_id": owner.person_id, "from_on": days_ago(2), "to_on": days_ago(1) }),
    )
    .await;
    post("/supplies", json!({ "key": "towels", "on_hand": 12.5 })).await;
    attachments::attach(&owner, &attachments::photograph(64, 64), json!({ "dog_id": dog })).await;
    let task = post(
        "/own-tasks",
        json!({
            "title": "Řídký \"crate\", big", "note": "Řídký \"crate\",\nbig", "due_on": days_ago(-3),
            "dog_id": dog,
        }),
    )
    .await;
    owner
        .change(
            &format!("/tasks/own:{}", id(&task)),
            json!({ "done_at": at, "assignee_id": owner.person_id }),
        )
        .await
        .ok();
    post("/costs", json!({ "litter_id": litter, "purpose": "X-ray", "amount_minor": 8_500, "currency": "EUR", "paid_on": days_ago(3) })).await;
    post(&format!("/dogs/{dog}/feeds"), json!({ "fed_at": at, "volume_ml": 4.25 })).await;
    post(
        &format!("/dogs/{dog}/papers"),
        json!({ "paper": "sale_contract", "done_on": days_ago(1) }),
    )
    .await;
    post(
        &format!("/dogs/{dog}/readiness-overrides"),
        json!({ "rule": "minimum_age", "reason": "Agreed with the veterinarian." }),
    )
    .await;
    post(
        &format!("/litters/{litter}/dam-checks"),
        json!({ "checked_at": at, "temperature_c": 38.6 }),
    )
    .await;
    post(
        &format!("/litters/{litter}/whelping"),
        json!({ "happened_at": at, "event": { "kind": "waters" }, "note": "quiet" }),
    )
    .await;
    post(&format!("/dogs/{dog}/pup-checks"), json!({ "checked_at": at, "signs": ["crying"] }))
        .await;
    let alarms = owner.get("/alarms").await.ok();
    let alarm = alarms["items"][0]["id"].as_str().unwrap().to_owned();
    post(&format!("/alarms/{alarm}/seen"), json!({ "note": "looked at" })).await;
    let standard = owner.get("/health-plans/standard").await.ok();
    let plan = post("/health-plans", standard["items"][0].clone()).await;
    post(&format!("/litters/{litter}/health-plans"), json!({ "plan_key": plan["key"] })).await;
    let tested = json!({ "marker": "prcd_pra", "alleles": ["N", "prcd"] });
    post(&format!("/dogs/{dog}/genotype-tests"), tested).await;
    let free = json!({
        "name": "Řídká \"neuropathy\"", "result": "carrier", "kind": "disease",
        "inheritance": "autosomal_recessive", "copies": 1, "note": "two\nlines",
    });
    post(&format!("/dogs/{dog}/free-tests"), free).await;
    let measured =
        json!({ "inbreeding": 0.21, "method": "runs_of_homozygosity", "shortest_run_mb": 0.5 });
    post(&format!("/dogs/{dog}/genomic-inbreeding"), measured).await;
    let asked = json!({ "breed": "=Kooikerhondje", "series": "patella", "source": "our \"club\"" });
    post("/rules/mating-tests", asked).await;
    put(&owner, "/planner/settings", json!({ "breeding_rules": "careful" })).await;
    put(&owner, "/preparation-template", json!({ "without": ["towels"] })).await;
    let gone = owner.get("/follow-ups").await.ok();
    let open = items(&gone).iter().find_map(|pup| {
        let mut reminders = pup["reminders"].as_array()?.iter();
        let open = reminders.find(|reminder| reminder["done_on"].is_null())?;
        Some((pup["placement_id"].as_str()?, open["key"].clone()))
    });
    let (placement, key) = open.expect("a reminder that is open");
    let done = json!({ "key": key, "done_on": days_ago(0) });
    post(&format!("/placements/{placement}/follow-ups"), done).await;
    owner.change("", json!({ "collars": ["red", "moss green"] })).await.ok();
    put(&owner, "/rules/readiness", json!({ "minimum_age_weeks": 9 })).await;
    put(&owner, "/booklet-texts", json!({ "welcome": "+Welcome", "contact": "王小明" })).await;
    owner
}

async fn archive_of(owner: &Caller) -> Vec<u8> {
    let answer = owner.get("/archive").await.expect(200);
    assert_eq!(answer.header("content-type"), "application/zip");
    answer.bytes
}

async fn take_in(caller: &Caller, path: &str, archive: impl Into<Vec<u8>>) -> Answer {
    caller.post_raw(path, "application/zip", archive).await
}

const IMPORT: &str = "/v1/kennels/archive";

#[tokio::test]
async fn a_kennel_leaves_with_everything_and_comes_back() {
    let owner = full_kennel().await;
    let archive = archive_of(&owner).await;
    let files = unpacked(&archive);
    let told = manifest(&files);
    assert_eq!(
        (&told["format"], &told["format_version"]),
        (&json!("denwright-archive"), &json!(1))
    );
    let rows: BTreeMap<&str, u64> = told["files"]
        .as_array()
        .unwrap()
        .iter()
        .map(|file| (file["name"].as_str().unwrap(), file["rows"].as_u64().unwrap()))
        .collect();
    let empty: Vec<&&str> =
        rows.iter().filter(|(_, rows)| **rows == 0).map(|(name, _)| name).collect();
    assert!(empty.is_empty(), "the test's kennel has a row in every table: {empty:?}");
    assert!(text(&files, "places.csv").contains("\\=Warm room"), "no cell is a formula");
    assert!(text(&files, "history.csv").contains("Larkfell"));
    for secret in ["password", "token_hash", "argon2"] {
        assert!(
            !files.values().any(|file| String::from_utf8_lossy(file).contains(secret)),
            "{secret}"
        );
    }

    // Into a fresh database, by the same person.
    let elsewhere = Arc::new(Service::start(settings()).await);
    let arriving = person(&elsewhere, OWNER).await;
    let answer = take_in(&arriving, IMPORT, archive.clone()).await;
    let location = answer.header("location");
    let arrived = answer.created();
    assert_eq!(arrived["kennel_id"], json!(owner.kennel_id), "the kennel keeps its id");
    assert_eq!(location, format!("/v1/kennels/{}", owner.kennel_id));
    let left = arrived["left_out"].as_array().unwrap();
    let left: BTreeSet<&str> = left.iter().map(|left| left["file"].as_str().unwrap()).collect();
    assert!(left.contains("shares.csv") && left.contains("history.csv"), "{arrived}");

    let back = arriving.in_kennel(owner.kennel_id);
    let again = unpacked(&archive_of(&back).await);
    for table in tables() {
        let name = table.file();
        // The shares of the co-owner, who has no login there, have been told as left out.
        if name == "shares.csv" {
            let own = |line: &&str| line.starts_with("id,") || line.contains(OWNER);
            let (before, after) = (text(&files, &name), text(&again, &name));
            assert!(before.lines().filter(own).count() < before.lines().count());
            assert!(before.lines().filter(own).eq(after.lines()), "{after}");
            continue;
        }
        let (before, after) = (text(&files, &name), text(&again, &name));
        assert_eq!(before, after, "{name}");
    }
    assert_eq!(manifest(&again)["kennel"], told["kennel"]);

    // It answers as it did.
    let dogs = ids(&owner.get("/dogs?limit=500&residence=here").await.ok());
    let litters = ids(&owner.get("/litters?limit=500&born=true").await.ok());
    let mut paths = vec![
        "/due".to_owned(),
        "/placements?limit=500".to_owned(),
        "/health-plans".to_owned(),
        "/rules/readiness".to_owned(),
    ];
    paths.extend(dogs.iter().take(12).flat_map(|dog| {
        [format!("/dogs/{dog}"), format!("/dogs/{dog}/inbreeding"), format!("/dogs/{dog}/schedule")]
    }));
    paths.extend(litters.iter().take(4).flat_map(|litter| {
        [
            format!("/litters/{litter}/report"),
            format!("/litters/{litter}/readiness"),
            format!("/litters/{litter}/births"),
        ]
    }));
    for path in paths {
        let (before, after) = (owner.get(&path).await, back.get(&path).await);
        assert_eq!((before.status, before.json()), (after.status, after.json()), "{path}");
    }
    // And it goes on: a new row has its place in the log.
    back.post("/dogs", json!({ "residence": "here", "name": "Nova" })).await.created();
    let changes = back.get("/changes?limit=500").await.ok();
    assert!(items(&changes).iter().any(|change| change["action"] == "imported"));
    // It is nobody else's.
    person(&elsewhere, "ines@example.org")
        .await
        .in_kennel(owner.kennel_id)
        .get("/dogs")
        .await
        .problem(404);
}

#[tokio::test]
async fn a_kennel_that_is_here_comes_back_as_a_copy_only() {
    let kennel = Kennel::among_others().await;
    let (_, pups) = kennel.born_litter(2, 20).await;
    let put_texts =
        kennel.owner().request(Method::PUT, "/booklet-texts").header("If-Match", "\"0\"");
    put_texts.json(&json!({ "welcome": "Hello" })).send().await.expect(200);
    let archive = archive_of(kennel.owner()).await;
    for caller in [kennel.helper().await, kennel.viewer().await, kennel.co_owner(&[pups[0]]).await]
    {
        caller.get("/archive").await.problem(403);
    }
    let problem = take_in(kennel.owner(), IMPORT, archive.clone()).await.problem(409);
    assert!(problem["detail"].as_str().unwrap().contains("copy=true"), "{problem}");

    let copy = format!("{IMPORT}?copy=true");
    let first = kennel
        .owner()
        .request(Method::POST, &copy)
        .header("Idempotency-Key", "k1")
        .header("Content-Type", "application/zip")
        .body(archive.clone())
        .send()
        .await
        .created();
    let second = kennel
        .owner()
        .request(Method::POST, &copy)
        .header("Idempotency-Key", "k1")
        .header("Content-Type", "application/zip")
        .body(archive.clone())
        .send()
        .await
        .created();
    assert_eq!(first, second, "a repeat makes no second copy");
    let kennel_id: Uuid = first["kennel_id"].as_str().unwrap().parse().unwrap();
    assert_ne!(kennel_id, kennel.kennel_id);
    let of_copy = kennel.in_kennel(kennel_id);
    assert_eq!(ids(&of_copy.get("/dogs").await.ok()), ids(&kennel.get("/dogs").await.ok()));
    assert_eq!(of_copy.get("/booklet-texts").await.ok()["welcome"], "Hello");
    // Each goes its own way.
    of_copy.change(&format!("/dogs/{}", pups[0]), json!({ "name": "Copy" })).await.ok();
    assert_eq!(kennel.get(&format!("/dogs/{}", pups[0])).await.ok()["name"], json!(null));

    kennel.owner().nobody().post_raw(IMPORT, "application/zip", archive.clone()).await.problem(401);
    kennel.owner().post_raw(IMPORT, "text/csv", archive).await.problem(415);
}

#[tokio::test]
async fn a_faulty_archive_is_told_line_by_line_and_changes_nothing() {
    let kennel = Kennel::new().await;
    let (_, pups) = kennel.born_litter(2, 40).await;
    let buyer = kennel.buyer("Ottilie").await;
    let placement = kennel.post("/placements", Kennel::reservation(pups[0], buyer)).await.id();
    let deposit = json!({ "kind": "deposit", "amount_minor": 30_000, "currency": "EUR", "paid_on": days_ago(1) });
    kennel.post(&format!("/placements/{placement}/payments"), deposit).await.created();
    let archive = archive_of(kennel.owner()).await;
    let stranger = kennel.stranger().await;
    let copy = format!("{IMPORT}?copy=true");
    let refused = async |archive: Vec<u8>| take_in(&stranger, &copy, archive).await.pointers(422);
    let cell = |file: &str, column: &str, value: String| {
        changed(&archive, file, |rows| {
            let place = place(rows, column);
            rows[1][place] = value;
        })
    };

    assert_eq!(refused(b"PK not really".to_vec()).await, [""]);
    assert_eq!(
        refused(cell("weights.csv", "weight_g", "heavy".into())).await,
        ["weights.csv#line/2/weight_g"]
    );
    assert_eq!(
        refused(cell("weights.csv", "weight_g", "5".into())).await,
        ["weights.csv#line/2/weight_g"]
    );
    assert_eq!(
        refused(cell("weights.csv", "dog_id", Uuid::now_v7().to_string())).await,
        ["weights.csv#line/2/dog_id"]
    );
    assert_eq!(
        refused(cell("placements.csv", "stage", "sold".into())).await,
        ["placements.csv#line/2/stage"]
    );
    assert_eq!(
        refused(cell("buyers.csv", "wishes", r#"{"sex":7}"#.into())).await,
        ["buyers.csv#line/2/wishes/sex"]
    );
    assert_eq!(
        refused(cell("payments.csv", "currency", "GBP".into())).await,
        ["placements.csv#line/2/price_minor"]
    );
    assert_eq!(
        refused(cell("births.csv", "version", "0".into())).await,
        ["births.csv#line/2/version"]
    );
    // A sex that does not fit the role, a parent that is not there, one that is younger.
    let with = async |archive: Vec<u8>, expected: [&str; 3]| {
        let told = refused(archive).await;
        for at in expected {
            assert!(told.iter().any(|told| told == at), "{at} in {told:?}");
        }
    };
    let parents = ["dogs.csv#line/4/dam_id", "dogs.csv#line/5/dam_id", "litters.csv#line/2/dam_id"];
    with(cell("dogs.csv", "sex", "male".into()), parents).await;
    let orphaned = changed(&archive, "dogs.csv", |rows| {
        rows.retain(|row| !row.contains(&"Castor".to_owned()));
    });
    let sires =
        ["dogs.csv#line/3/sire_id", "dogs.csv#line/4/sire_id", "litters.csv#line/2/sire_id"];
    with(orphaned, sires).await;
    let born_late = cell("dogs.csv", "born_on", days_ago(1).to_string());
    assert_eq!(refused(born_late).await, ["dogs.csv#line/4/dam_id", "dogs.csv#line/5/dam_id"]);
    // The dam as the daughter of her own daughter.
    let daughter = pups[0].to_string();
    let own_ancestor = changed(&archive, "dogs.csv", |rows| {
        let (born, dam) = (place(rows, "born_on"), place(rows, "dam_id"));
        for row in &mut rows[1..] {
            row[born] = String::new();
        }
        rows[1][dam].clone_from(&daughter);
    });
    assert_eq!(refused(own_ancestor).await.len(), 2);
    let twice = changed(&archive, "buyers.csv", |rows| rows.push(rows[1].clone()));
    assert_eq!(refused(twice).await, ["buyers.csv#line/3"]);
    let unknown = changed(&archive, "heats.csv", |rows| rows[0].push("moon".to_owned()));
    assert_eq!(refused(unknown).await, ["heats.csv"]);
    let mut damaged = unpacked(&archive);
    damaged.get_mut("dogs.csv").unwrap().extend(b"x");
    assert_eq!(refused(packed(&damaged)).await, ["dogs.csv"]);
    let mut stowaway = unpacked(&archive);
    stowaway.insert("../../etc/cron.d/x".to_owned(), b"x".to_vec());
    assert_eq!(refused(packed(&stowaway)).await, ["../../etc/cron.d/x"]);
    let mut zone = unpacked(&archive);
    let told = text(&zone, "manifest.json").replace(&time_zone(), "Europe/Atlantis");
    zone.insert("manifest.json".to_owned(), told.into_bytes());
    assert_eq!(refused(packed(&zone)).await, ["manifest.json#/kennel/time_zone"]);

    // Nothing of all that is there.
    assert!(people::kennels_of(&kennel.service.db, stranger.person_id).await.unwrap().is_empty());
    // As it was written, it is good.
    take_in(&stranger, &copy, archive).await.created();
}

/// What packs to little is not unpacked to much.
#[tokio::test]
async fn a_bomb_is_given_up_early() {
    let kennel = Kennel::among_others().await;
    let archive = archive_of(kennel.owner()).await;
    let refused =
        async |archive: Vec<u8>| take_in(kennel.owner(), IMPORT, archive).await.pointers(422);
    let long = changed(&archive, "heats.csv", |rows| {
        let mut row = vec![String::new(); rows[0].len()];
        row[0] = "9".repeat(60_000_000);
        rows.push(row);
    });
    assert_eq!(refused(long).await, ["heats.csv"]);
    let many = changed(&archive, "heats.csv", |rows| {
        let row = vec![String::new(); rows[0].len()];
        rows.extend(std::iter::repeat_n(row, 300_000));
    });
    assert_eq!(refused(many).await.len(), 50);
    // Larger than any body may be.
    let problem = take_in(kennel.owner(), IMPORT, vec![0; 17 * 1024 * 1024]).await;
    problem.problem(413);
}

/// A table that a migration adds is either taken along, or left behind on purpose.
#[tokio::test]
async fn every_table_of_a_kennel_is_thought_of() {
    let kennel = Kennel::new().await;
    let sql = kennel.sql().await;
    let query = "SELECT relname::text FROM pg_class JOIN pg_trigger ON tgrelid = pg_class.oid \
                 WHERE tgname = 'log_created' ORDER BY 1";
    let rows = sql.query(query, &[]).await.unwrap();
    let tables: BTreeSet<String> = rows.iter().map(|row| row.get(0)).collect();
    let thought_of: BTreeSet<String> =
        register::lines().map(|line| line.table.to_owned()).collect();
    assert_eq!(tables, thought_of);
}
