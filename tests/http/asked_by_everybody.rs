//! Every operation of the published document, asked by everybody: `walls.csv` says what each is
//! answered, and every cell is asked over HTTP.
//!
//! Changes and deletions name a version that was never there, so 412 says "might, had they seen it". After a new
//! operation, run with `DENWRIGHT_WALLS=write`, read what changed in the table, and mend what should not be. It takes as
//! long as a hundred other tests; by its name it is among the first to begin, and not the last that all wait for.

use crate::{
    common::*,
    every_operation::{Ids, Operation, ask, furnish, operations},
};
use api::openapi;
use chrono::{Duration, Utc};
use denwright::service::server::Settings;
use reqwest::Method;
use security::credentials::{Signer, Subject};
use std::{collections::BTreeMap, env, fs, path::PathBuf};
use store::sessions;

/// Who asks. The last may do the most, so that nobody finds what somebody before has changed.
const COLUMNS: [&str; 9] = [
    "forged",
    "expired",
    "no_login",
    "other_kennel",
    "viewer",
    "helper",
    "co_owner_unshared",
    "co_owner_shared",
    "owner",
];

/// Everybody, in the order of the columns.
async fn callers(kennel: &Kennel, shared: Uuid) -> Vec<Caller> {
    let subject = Subject { person_id: kennel.person_id, session_id: Uuid::now_v7() };
    let sign = |signer: Signer| kennel.with_token(signer.sign(subject, Utc::now()).unwrap());
    let keys = sessions::signing_keys(&kennel.service.db, &[]).await.unwrap();
    let forged = Signer::new(vec![(keys[0].0, vec![7; 32])], Duration::minutes(15));
    let expired = Signer::new(keys, Duration::minutes(-1));
    let co_owner = kennel.co_owner(&[shared]).await;
    vec![
        sign(forged),
        sign(expired),
        kennel.nobody(),
        kennel.another().await.in_kennel(kennel.kennel_id),
        kennel.viewer().await,
        kennel.helper().await,
        co_owner.clone(),
        co_owner,
        kennel.owner().clone(),
    ]
}

/// Links and tokens have no version to miss: each is asked to withdraw one made for them.
async fn fresh_secret(
    document: &Value,
    kennel: &Kennel,
    operation: &Operation,
    ids: &Ids,
) -> Option<Ids> {
    let (collection, parameter) = operation.path.rsplit_once('/')?;
    let name = collection.rsplit_once('/')?.1;
    if operation.method != Method::DELETE || !(name.ends_with("-links") || name == "access-tokens")
    {
        return None;
    }
    let making = operations(document)
        .into_iter()
        .find(|making| making.method == Method::POST && making.path == collection)?;
    let made = ask(document, kennel, &making, ids).await.id();
    let mut ids = ids.clone();
    ids.insert(format!("{name}/{}", parameter.trim_matches(['{', '}'])), made.to_string());
    Some(ids)
}

type Table = BTreeMap<String, [u16; 9]>;

fn file() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/http/walls.csv")
}

fn written(table: &Table) -> String {
    let mut text = format!("operation,{}\n", COLUMNS.join(","));
    for (name, statuses) in table {
        let statuses: Vec<String> = statuses.iter().map(u16::to_string).collect();
        text.push_str(&format!("{name},{}\n", statuses.join(",")));
    }
    text
}

#[tokio::test]
async fn every_operation_answers_everybody_as_the_table_says() {
    let document: Value = serde_json::from_str(&openapi::document_text()).unwrap();
    let kennel = Kennel::with(Settings { sign_up_open: true, ..settings() }).await;
    let (shared, unshared) = (kennel.dam("Juno").await, kennel.dam("Freya").await);
    let sire = kennel.sire("Castor").await;
    let callers = callers(&kennel, shared).await;
    let of_unshared = furnish(&document, &kennel, unshared, sire).await;
    let of_shared = furnish(&document, &kennel, shared, sire).await;
    let sql = kennel.sql().await;
    let mut asked = Table::new();
    for operation in operations(&document) {
        let mut statuses = [0; 9];
        for (column, (caller, status)) in callers.iter().zip(&mut statuses).enumerate() {
            let is_unshared = COLUMNS[column] == "co_owner_unshared";
            let ids = if is_unshared { &of_unshared } else { &of_shared };
            let counts =
                ["/v1/auth", "/v1/booklets"].iter().any(|at| operation.path.starts_with(at));
            if counts || !operation.path.contains("{") {
                sql.batch_execute("DELETE FROM attempts").await.unwrap();
            }
            let fresh = fresh_secret(&document, &kennel, &operation, ids).await;
            let ids = fresh.as_ref().unwrap_or(ids);
            *status = ask(&document, caller, &operation, ids).await.status;
        }
        asked.insert(operation.name.clone(), statuses);
    }
    hold_by_themselves(&document, &asked);
    let now = written(&asked);
    if env::var("DENWRIGHT_WALLS").is_ok_and(|word| word == "write") {
        fs::write(file(), &now).unwrap();
    }
    let table = fs::read_to_string(file()).unwrap_or_default();
    let differing: Vec<String> = now
        .lines()
        .filter(|line| !table.lines().any(|known| known == *line))
        .map(|line| format!("asked  {line}"))
        .chain(
            table
                .lines()
                .filter(|line| !now.lines().any(|known| known == *line))
                .map(|line| format!("table  {line}")),
        )
        .collect();
    assert!(
        differing.is_empty(),
        "tests/http/walls.csv says otherwise ({}):\n{}",
        COLUMNS.join(","),
        differing.join("\n")
    );
}

/// What no table may allow, however it was written.
fn hold_by_themselves(document: &Value, table: &Table) {
    let open: Vec<String> = operations(document)
        .into_iter()
        .filter(|operation| operation.content["security"] == json!([]))
        .map(|operation| operation.name)
        .collect();
    let mut faults = Vec::new();
    for (name, statuses) in table {
        let by = |column: &str| statuses[COLUMNS.iter().position(|c| *c == column).unwrap()];
        let mut unless = |good: bool, what: &str| {
            if !good {
                faults.push(format!("{name}: {what}: {statuses:?}"));
            }
        };
        unless(statuses.iter().all(|status| *status < 500), "a fault of the service");
        if open.contains(name) {
            continue;
        }
        for column in ["forged", "expired", "no_login"] {
            unless(by(column) == 401, column);
        }
        if !name.contains("/v1/kennels/{kennel_id}") {
            continue;
        }
        unless(by("other_kennel") == 404, "another kennel");
        // A device is entered by whose it is, and nobody else's.
        let is_device = name.ends_with("/rings/devices/{device_id}");
        unless(is_device || ![401, 403, 404].contains(&by("owner")), "an owner may do everything");
        // Questions that need a body, one's own links and tokens, which show what one sees anyway, one's own
        // uploads, of which whoever may write makes something, and what rings for oneself.
        // An absence is refused by whose it is, once its version was seen.
        let questions = [
            "/absences/{absence_id}",
            "/access-tokens",
            "/calendar-links",
            "/mating-plans",
            "/microchips/read",
            "/placement-proposal",
            "/rings",
            "/rings/devices",
            "/rings/test",
            "/trial-matings",
            "/trial-matings/genetics",
            "/uploads/{upload_id}",
            "/what-if",
        ];
        if !name.starts_with("GET ") && !questions.iter().any(|end| name.ends_with(end)) {
            unless([403, 404].contains(&by("viewer")), "a viewer writes");
        }
        // What names the unshared dog, or hangs on it, is not there for its sharer's partner.
        let hangs =
            ["/dogs/{dog_id}", "/heats/{heat_id}", "/litters/{litter_id}", "/matings/{mating_id}"];
        if hangs.iter().any(|path| name.contains(path)) {
            unless([403, 404].contains(&by("co_owner_unshared")), "an unshared dog");
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}
