//! From the first schema to this one, with rows in every table: nothing is lost, and life goes on.

use crate::common::*;
use std::{fs, path::Path, sync::Arc};
use store::migrate::{self, Direction};
use tokio_postgres::Client;

const HEDDA: &str = "a0000000-0000-7000-8000-000000000001";
const KENNEL: &str = "c0000000-0000-7000-8000-000000000001";

/// The first schema, as a service of that time had made it, and its rows.
async fn first_schema(client: &Client) {
    let ledger = "CREATE TABLE __diesel_schema_migrations (version varchar(50) PRIMARY KEY, \
                  run_on timestamp NOT NULL DEFAULT CURRENT_TIMESTAMP)";
    client.batch_execute(ledger).await.unwrap();
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    for name in ["kennels", "dogs", "litters", "care", "placement"].iter().zip(1..) {
        let folder = format!("2026-11-01-{:06}_{}", name.1, name.0);
        let up = fs::read_to_string(root.join("migrations").join(&folder).join("up.sql")).unwrap();
        client.batch_execute(&up).await.unwrap();
        let version = folder.split('_').next().unwrap().replace('-', "");
        let applied = "INSERT INTO __diesel_schema_migrations (version) VALUES ($1)";
        client.execute(applied, &[&version]).await.unwrap();
    }
    let rows = fs::read_to_string(root.join("tests/reference/first_schema/rows.sql")).unwrap();
    client.batch_execute(&rows).await.unwrap();
}

/// How many rows each table of the first schema holds.
async fn counts(client: &Client) -> Vec<(String, i64)> {
    let tables = [
        "people",
        "kennels",
        "memberships",
        "invitations",
        "access_tokens",
        "rule_overrides",
        "dogs",
        "shares",
        "heats",
        "heat_readings",
        "matings",
        "pregnancy_checks",
        "litters",
        "births",
        "weights",
        "temperatures",
        "health_events",
        "buyers",
        "placements",
        "payments",
        "changes",
        "idempotency_keys",
        "signing_keys",
        "refresh_tokens",
    ];
    let mut counts = Vec::new();
    for table in tables {
        let row = client.query_one(&format!("SELECT count(*) FROM {table}"), &[]).await.unwrap();
        counts.push((table.to_owned(), row.get(0)));
    }
    counts
}

#[tokio::test]
async fn the_first_schema_with_data_becomes_this_one() {
    let database = Database::empty().await;
    let client = database.connect().await;
    first_schema(&client).await;
    let before = counts(&client).await;
    assert!(before.iter().all(|(_, rows)| *rows > 0), "a table is not tried: {before:?}");

    migrate::run(&database.url(), Direction::Up).await.unwrap();
    // The younger pup's birth weight stood in its birth alone; since then it is a row of weights.
    let mut after = before.clone();
    let weights = after.iter_mut().find(|(table, _)| table == "weights").unwrap();
    weights.1 += 1;
    assert_eq!(counts(&client).await, after);

    let service = Arc::new(Service::start_on(database, settings()));
    let nobody = Caller::new(service, KENNEL.parse().unwrap(), HEDDA.parse().unwrap(), None);
    let login =
        json!({ "email": "hedda@example.org", "password": "a pass phrase of the first edition" });
    let session = nobody.post("/v1/auth/login", login).await.ok();
    let hedda = nobody.with_token(session["access_token"].as_str().unwrap());
    reads_all_that_was_written(&hedda).await;
    credentials_of_then_are_good(&nobody).await;
    goes_on(&hedda).await;
}

async fn reads_all_that_was_written(hedda: &Caller) {
    let dog = |number: u32| format!("/dogs/d0000000-0000-7000-8000-0000000000{number:02}");
    let juno = hedda.get(&dog(2)).await.ok();
    for (field, value) in [
        ("name", json!("Aldermere Juno")),
        ("call_name", json!("Juno")),
        ("born_on", json!("2019-04")),
        ("version", json!(2)),
        ("registrations", json!([{ "registry": "stud book", "number": "A 17" }])),
    ] {
        assert_eq!(juno[field], value, "{field}");
    }
    assert_eq!(items(&hedda.get("/dogs").await.ok()).len(), 5);
    hedda.get(&dog(21)).await.problem(404);
    assert_eq!(items(&hedda.get(&format!("{}/weights", dog(11))).await.ok()).len(), 20);
    let of_birth = hedda.get(&format!("{}/weights", dog(12))).await.ok();
    assert_eq!(items(&of_birth).len(), 1, "{of_birth}");
    assert_eq!(items(&of_birth)[0]["weight_g"], 432);
    // Half-sibs by one sire: 1/8.
    assert_eq!(
        hedda.get(&format!("{}/inbreeding", dog(11))).await.ok()["inbreeding"],
        json!(0.125)
    );
    let litter = "/litters/f0000000-0000-7000-8000-000000000001";
    assert_eq!(hedda.get(litter).await.ok()["whelped_on"], "2024-05-04");
    assert_eq!(items(&hedda.get(&format!("{litter}/births")).await.ok()).len(), 2);
    hedda.get(&format!("{litter}/growth")).await.ok();
    let heat = "/heats/e0000000-0000-7000-8000-000000000001";
    assert_eq!(items(&hedda.get(&format!("{heat}/readings")).await.ok())[0]["value"], json!(5.4));
    let mating = "/matings/e2000000-0000-7000-8000-000000000001";
    assert_eq!(items(&hedda.get(&format!("{mating}/pregnancy-checks")).await.ok()).len(), 1);
    let placement = "/placements/f6000000-0000-7000-8000-000000000001";
    assert_eq!(hedda.get(placement).await.ok()["price_minor"], 180_000);
    assert_eq!(items(&hedda.get(&format!("{placement}/payments")).await.ok()).len(), 2);
    for path in ["/buyers", "/health-events", "/rules/overrides", "/members", "/invitations"] {
        assert!(!items(&hedda.get(path).await.ok()).is_empty(), "{path}");
    }
    for path in ["/today", "/planner", "/due", &format!("{}/booklet.pdf", dog(11))] {
        hedda.get(path).await.expect(200);
    }
    let log = hedda.get("/changes?limit=500").await.ok();
    let sequences = items(&log).iter().map(|change| change["sequence"].as_i64().unwrap());
    assert!(sequences.eq(1..=log["last_sequence"].as_i64().unwrap()), "{log}");
}

async fn credentials_of_then_are_good(nobody: &Caller) {
    let screen = nobody.with_token("dwt_an-access-token-of-the-first-edition");
    assert_eq!(items(&screen.get("/dogs").await.ok()).len(), 5);
    screen.post("/dogs", json!({ "residence": "here" })).await.problem(403);
    let token = json!({ "refresh_token": "a refresh token of the first edition" });
    nobody.post("/v1/auth/refresh", token).await.ok();
}

/// Old rows are changed, restored and referred to like those of today.
async fn goes_on(hedda: &Caller) {
    let pup = "/dogs/d0000000-0000-7000-8000-000000000012";
    hedda.change(pup, json!({ "name": "Flint" })).await.ok();
    let weight = json!({ "measured_at": "2024-05-05T08:00:00Z", "weight_g": 455 });
    hedda.post(&format!("{pup}/weights"), weight).await.created();
    let log = hedda.get("/changes?record=weight").await.ok();
    let deleted = items(&log).iter().find(|change| change["action"] == "deleted").unwrap();
    let restore = format!("/changes/{}/restore", deleted["sequence"]);
    hedda.post(&restore, json!({})).await.ok();
    let weights = hedda.get("/dogs/d0000000-0000-7000-8000-000000000011/weights").await.ok();
    assert_eq!(items(&weights).len(), 21);
    hedda
        .post(
            "/dogs",
            json!({ "residence": "here", "dam_id": "d0000000-0000-7000-8000-000000000011" }),
        )
        .await
        .created();
}
