//! The wall screen: one answer with all that goes on.

use crate::common::*;
use domain::{
    record::register::RECORDS,
    today::{BoardMemory, today_board},
};
use store::{Db, alarms, litters::Which, scope, studbooks::Studbooks};

#[tokio::test]
async fn the_board_shows_every_litter_its_pups_and_what_is_wrong() {
    let kennel = Kennel::among_others().await;
    let (juno, castor) = (kennel.dam("Juno").await, kennel.sire("Castor").await);
    let young = kennel.litter(juno, castor).await;
    let mut pups = Vec::new();
    for (collar, gains) in [("green", [0, 30, 60]), ("red", [0, 28, 61]), ("blue", [0, 20, -15])] {
        let birth = json!({ "weight_g": 400, "collar": collar });
        let birth = kennel.birth(young, 3 * 24, birth).await;
        let pup: Uuid = birth["dog_id"].as_str().unwrap().parse().unwrap();
        for (hours_ago, gain) in [60, 30, 4].into_iter().zip(gains) {
            kennel.weight(pup, hours_ago, 400 + gain).await;
        }
        pups.push(pup);
    }
    let bramble = kennel.dam("Bramble").await;
    let mating = kennel.mating(bramble, castor, 40).await;
    let body = json!({ "dam_id": bramble, "sire_id": castor, "mating_id": mating, "name": "B" });
    let expected = kennel.post("/litters", body).await.id();
    // A litter of long ago whose kept dog is grown does not stand on the board.
    let (old, _) = kennel.born_litter(1, 400).await;

    let board = kennel.get("/today").await.ok();
    assert_eq!(board["today"], json!(days_ago(0)));
    let litters = items_at(&board, "litters");
    let shown: Vec<&Value> = litters.iter().map(|litter| &litter["litter_id"]).collect();
    assert!(shown.contains(&&json!(young)) && shown.contains(&&json!(expected)), "{shown:?}");
    assert!(!shown.contains(&&json!(old)), "{shown:?}");

    let of = |id: Uuid| litters.iter().find(|litter| litter["litter_id"] == json!(id)).unwrap();
    let window = &of(expected)["expected"];
    let due_window = kennel.get(&format!("/litters/{expected}/due-window")).await.ok();
    for key in ["earliest_on", "likely_on", "latest_on", "day_of_pregnancy"] {
        assert_eq!(window[key], due_window[key], "{key}");
    }
    assert_eq!(of(young)["age_days"], 3);
    let lines = items_at(of(young), "pups");
    assert_eq!(lines.len(), 3);
    let failing = lines.iter().find(|pup| pup["dog_id"] == json!(pups[2])).unwrap();
    assert_eq!(failing["last"]["weight_g"], 385.0);
    assert_eq!((&failing["rank"], &failing["label"]), (&json!(3), &json!("blue collar")));
    let wrong = items_at(&board, "wrong");
    assert!(wrong.iter().any(|one| one["about"]["dog_id"] == json!(pups[2])
        && one["level"] != "note"
        && !one["source"].as_str().unwrap().is_empty()));
    let levels: Vec<usize> = wrong
        .iter()
        .map(|one| ["emergency", "act", "note"].iter().position(|l| one["level"] == *l))
        .map(Option::unwrap)
        .collect();
    assert!(levels.is_sorted(), "the gravest first: {levels:?}");
    assert!(board["standing_line"].as_str().unwrap().contains("veterinarian"));
}

#[tokio::test]
async fn everybody_sees_the_board_of_their_own_dogs_only() {
    let kennel = Kennel::among_others().await;
    let (_, _) = kennel.born_litter(2, 5).await;
    let other = kennel.another().await;
    assert_eq!(other.get("/today").await.ok()["litters"], json!([]));
    let dog = kennel.dam("Shared").await;
    let co_owner = kennel.co_owner(&[dog]).await;
    assert_eq!(co_owner.get("/today").await.ok()["litters"], json!([]));
    for caller in [kennel.helper().await, kennel.viewer().await] {
        assert_eq!(items_at(&caller.get("/today").await.ok(), "litters").len(), 1);
    }
    kennel.stranger().await.get("/today").await.problem(404);
}

fn items_at<'a>(answer: &'a Value, key: &str) -> &'a [Value] {
    answer[key].as_array().unwrap()
}

/// What was read for a look is remembered; the board is as it is on record all the same, whatever was taken away or
/// changed in which table.
#[tokio::test]
async fn a_board_that_is_remembered_is_that_on_record() {
    let maren = Kennel::demo().await;
    let sql = maren.sql().await;
    let board = async || maren.get("/today").await.ok();
    // On a connection of its own, and so by who has never looked.
    let afresh = async || {
        let db = Db::for_upkeep(&maren.service.database_url, 1).unwrap();
        let scope = scope::of_person(&db, maren.person_id, maren.kennel_id, now()).await.unwrap();
        let books = Studbooks::new(db.clone());
        let whole = alarms::watched(&db, &books, &scope, Which::Kennel).await;
        let (litters, moment) = whole.unwrap();
        json!(today_board(litters, &moment, &BoardMemory::default()))
    };
    let mut before = board().await;
    let mut told = Vec::new();
    for write in writes(&sql, maren.kennel_id).await {
        // What something else hangs on is not taken away.
        if sql.batch_execute(&write).await.is_err() {
            continue;
        }
        let seen = board().await;
        assert_eq!(seen, afresh().await, "after {write}");
        if seen != before {
            told.push(write);
        }
        before = seen;
    }
    assert!(told.len() >= 11, "only these writes were to be seen on the board: {told:#?}");
}

/// Rows changed of each table that the board tells of, and the last row of each table taken away.
async fn writes(sql: &tokio_postgres::Client, kennel_id: Uuid) -> Vec<String> {
    let changed = [
        ("dogs", "call_name = call_name || ' II'"),
        ("places", "name = name || ' above'"),
        ("litters", "name = name || ' again'"),
        ("litters", "whelped_on = whelped_on - 1"),
        (
            "matings",
            "ties = jsonb_set(ties, '{0,at}', to_jsonb((ties #>> '{0,at}')::timestamptz - interval '2 days'))",
        ),
        ("births", "collar = 'orange'"),
        ("births", "born_at = born_at - interval '1 hour'"),
        ("weights", "weight_g = weight_g - 40"),
        ("temperatures", "temperature_c = 34.0"),
        ("feeds", "fed_at = fed_at - interval '9 hours'"),
        ("health_events", "given_at = given_at - interval '9 days'"),
        ("placements", "stage = 'withdrawn'"),
        ("dogs", "residence = 'elsewhere'"),
    ];
    let changed = changed.into_iter().map(|(table, set)| {
        let rows = if table == "matings" { "AND ties <> '[]'" } else { "" };
        format!("UPDATE {table} SET {set} WHERE kennel_id = '{kennel_id}' {rows}")
    });
    let own = format!(
        "INSERT INTO rule_overrides (kennel_id, id, key, value, source) \
         VALUES ('{kennel_id}', gen_random_uuid(), 'schedule.dam_followed', 1, 'our own')"
    );
    let tables =
        RECORDS.iter().map(|line| line.table).chain(["alarms_seen", "health_plan_versions"]);
    let mut all = Vec::new();
    for table in tables {
        let rows = format!(
            "SELECT ctid FROM {table} WHERE kennel_id = '{kennel_id}' ORDER BY ctid DESC LIMIT 1"
        );
        if !sql.query(&rows, &[]).await.unwrap().is_empty() {
            all.push(format!("DELETE FROM {table} WHERE ctid = ({rows})"));
        }
    }
    changed.chain([own]).chain(all).collect()
}
