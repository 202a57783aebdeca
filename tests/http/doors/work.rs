//! Work that costs: behind its limits, within its bounds, and over when nobody waits for it.

use crate::common::*;
use api::work::WorkLimits;
use base64::{Engine as _, engine::general_purpose::STANDARD};
use denwright::service::server::Settings;
use reqwest::Method;
use std::{io::Write as _, net::TcpStream, sync::Arc, time::Duration};

/// No room for any work, and none to wait in.
fn no_room() -> WorkLimits {
    WorkLimits {
        at_once: 0,
        at_once_each: 0,
        waiting_each: 0,
        waiting: 0,
        patience: Duration::from_millis(10),
    }
}

/// What takes more than a blink, on a kennel with a litter.
fn dear(dam: Uuid, sire: Uuid, litter: Uuid, pup: Uuid) -> Vec<(Method, String, Value)> {
    let (get, post) = (Method::GET, Method::POST);
    let mut all = vec![
        (post.clone(), "/planner/what-if".to_owned(), json!({})),
        (post.clone(), "/trial-matings".to_owned(), json!({ "dams": [dam], "sires": [sire] })),
        (
            post.clone(),
            "/trial-matings/genetics".to_owned(),
            json!({ "dam_id": dam, "sire_id": sire }),
        ),
        (post.clone(), "/mating-plans".to_owned(), json!({})),
        (post, format!("/litters/{litter}/placement-proposal"), json!({})),
    ];
    for path in [
        "/planner",
        "/today",
        "/tasks",
        "/due",
        "/alarms",
        "/shopping-list",
        "/calendar.ics",
        "/population",
        "/reports/years/2026",
        "/archive",
        "/dogs/{dog}/inbreeding",
        "/dogs/{dog}/ancestor-shares",
        "/dogs/{dog}/pedigree",
        "/dogs/{dog}/pedigree.svg",
        "/dogs/{dog}/breed-shares",
        "/dogs/{dog}/growth",
        "/dogs/{dog}/growth.svg",
        "/dogs/{dog}/readiness",
        "/dogs/{dog}/schedule",
        "/dogs/{dog}/ration",
        "/dogs/{dog}/booklet.json",
        "/dogs/{dog}/booklet.pdf",
        "/dogs/{dam}/coming-heats",
        "/litters/{litter}/growth",
        "/litters/{litter}/growth.svg",
        "/litters/{litter}/readiness",
        "/litters/{litter}/due-window",
        "/litters/{litter}/expected-pups",
        "/litters/{litter}/temperature",
        "/litters/{litter}/preparation",
        "/litters/{litter}/whelping/status",
        "/litters/{litter}/dam-health",
        "/litters/{litter}/whelping-sheet.pdf",
        "/litters/{litter}/labels.pdf",
    ] {
        let path = path.replace("{dog}", &pup.to_string()).replace("{dam}", &dam.to_string());
        all.push((get.clone(), path.replace("{litter}", &litter.to_string()), Value::Null));
    }
    all
}

async fn ask(kennel: &Kennel, method: Method, path: &str, body: &Value) -> Answer {
    let request = kennel.owner().request(method, path);
    if body.is_null() { request.send().await } else { request.json(body).send().await }
}

#[tokio::test]
async fn a_full_room_refuses_what_is_dear_and_nothing_else() {
    let kennel = Kennel::with(Settings { work: no_room(), ..settings() }).await;
    let (litter, pups) = kennel.born_litter(2, 20).await;
    let read = kennel.get(&format!("/litters/{litter}")).await.ok();
    let id = |name: &str| read[name].as_str().unwrap().parse::<Uuid>().unwrap();
    let (dam, sire) = (id("dam_id"), id("sire_id"));
    for (method, path, body) in dear(dam, sire, litter, pups[0]) {
        let answer = ask(&kennel, method, &path, &body).await;
        assert!(answer.header("retry-after").parse::<u32>().is_ok(), "{path}: {}", answer.text());
        let problem = answer.problem(503);
        assert_eq!(problem["type"], "urn:denwright:problem:busy", "{path}");
    }
    kennel.post_raw("/imports/dogs", "text/csv", "id\nA\n").await.problem(503);
    let zip = kennel.post_raw("/v1/kennels/archive", "application/zip", "PK").await;
    zip.problem(503);
    // Links of strangers, too.
    let link = kennel.post(&format!("/dogs/{}/booklet-links", pups[0]), json!({})).await.created();
    let path = link["path"].as_str().unwrap();
    kennel.nobody().get(path).await.problem(503);
    kennel.nobody().get(&format!("{path}/booklet.pdf")).await.problem(503);
    let link = kennel.post("/calendar-links", json!({ "name": "phone" })).await.created();
    kennel.nobody().get(link["path"].as_str().unwrap()).await.problem(503);
    for path in ["/dogs", "/litters", "/changes", "/v1/me", "/health/live", "/health/ready"] {
        kennel.get(path).await.expect(200);
    }
}

/// A crowd that is sent away must not keep Postgres from others: no record is loaded for it.
#[tokio::test]
async fn whoever_is_sent_away_has_asked_the_database_nothing() {
    let database = Database::migrated().await;
    let counting = Counting::before(&service_url(&database.url()));
    let settings = Settings { work: no_room(), ..settings() };
    let service = Service::start_through(&counting.url, database, settings);
    let kennel = Kennel::on(Arc::new(service)).await;
    let (litter, pups) = kennel.born_litter(2, 20).await;
    let read = kennel.get(&format!("/litters/{litter}")).await.ok();
    let id = |name: &str| read[name].as_str().unwrap().parse::<Uuid>().unwrap();
    counting.taken();
    kennel.get("/changes").await.ok();
    assert!(counting.taken() > 0, "what is answered within a transaction is counted");
    for (method, path, body) in dear(id("dam_id"), id("sire_id"), litter, pups[0]) {
        ask(&kennel, method, &path, &body).await.problem(503);
        assert_eq!(counting.taken(), 0, "{path}");
    }
}

#[tokio::test]
async fn the_same_is_answered_when_there_is_room() {
    let kennel = Kennel::among_others().await;
    let (litter, pups) = kennel.born_litter(2, 20).await;
    let read = kennel.get(&format!("/litters/{litter}")).await.ok();
    let id = |name: &str| read[name].as_str().unwrap().parse::<Uuid>().unwrap();
    for (method, path, body) in dear(id("dam_id"), id("sire_id"), litter, pups[0]) {
        ask(&kennel, method, &path, &body).await.expect(200);
    }
}

#[tokio::test]
async fn passwords_are_hashed_in_a_room_of_their_own() {
    let settings = Settings { hashing: no_room(), sign_up_open: true, ..settings() };
    let kennel = Kennel::with(settings).await;
    let nobody = kennel.nobody();
    let known = kennel.get("/v1/me").await.ok()["person"]["email"].clone();
    // An unknown address makes the same work: it would be told by the clock else.
    for email in [known, json!("wren@example.org")] {
        let credentials = json!({ "email": email, "password": "a long pass phrase" });
        // More often than wrong tries go without a wait: what was not tried does not count.
        for _ in 0..7 {
            let refused = nobody.post("/v1/auth/login", credentials.clone()).await;
            assert!(refused.header("retry-after").parse::<u32>().is_ok());
            refused.problem(503);
        }
    }
    let person =
        json!({ "name": "Wren", "email": "wren@example.org", "password": "a long pass phrase" });
    nobody.post("/v1/people", person).await.problem(503);
    let again = json!({ "password": PASSWORD });
    kennel.post("/v1/me/second-factor", again).await.problem(503);
    kennel.get("/today").await.expect(200);
}

#[tokio::test]
async fn choices_of_a_plan_are_bounded() {
    let kennel = Kennel::among_others().await;
    let dam = kennel.dam("Juno").await;
    let ask = async |earlier: i64, later: i64, step: i64| {
        let drafts = json!([{ "dam_id": dam, "mated_on": days_ago(-30) }]);
        let shift = json!({
            "key": "draft:1", "days_earlier": earlier, "days_later": later, "step_days": step,
        });
        kennel.post("/planner/what-if", json!({ "drafts": drafts, "shift": shift })).await
    };
    assert!(!ask(60, 59, 1).await.ok()["options"].as_array().unwrap().is_empty());
    assert_eq!(ask(60, 60, 1).await.pointers(422), ["/shift/step_days"]);
    assert_eq!(ask(365, 365, 6).await.pointers(422), ["/shift/step_days"]);
    ask(365, 365, 7).await.ok();
    let drafts: Vec<Value> = (0..21).map(|_| json!({ "dam_id": dam })).collect();
    let many = kennel.post("/planner/what-if", json!({ "drafts": drafts })).await;
    assert_eq!(many.pointers(422), ["/drafts"]);
}

#[tokio::test]
async fn a_grid_of_trial_matings_is_bounded() {
    let kennel = Kennel::among_others().await;
    let many: Vec<Uuid> = (0..4_001).map(|_| Uuid::now_v7()).collect();
    let ask = |dams: &[Uuid], sires: &[Uuid]| {
        kennel
            .owner()
            .request(Method::POST, "/trial-matings")
            .json(&json!({ "dams": dams, "sires": sires }))
            .send()
    };
    assert_eq!(ask(&many, &many[..1]).await.pointers(422), ["/dams"]);
    assert_eq!(ask(&many[..4_000 / 50 + 1], &many[..50]).await.pointers(422), ["/sires"]);
    // Of the most that there may be, each is looked at.
    let all = ask(&many[..80], &many[..50]).await.pointers(422);
    assert_eq!(all.len(), 50);
}

/// Work of a client that has gone ends, and the room is free for the next.
#[tokio::test]
async fn work_ends_with_its_client() {
    let narrow = WorkLimits {
        at_once: 1,
        at_once_each: 1,
        waiting_each: 100,
        waiting: 100,
        patience: Duration::from_secs(120),
    };
    let kennel = Kennel::with(Settings { work: narrow, ..settings() }).await;
    let mut lines = "id,name,sex,sire,dam\n".to_owned();
    for number in 0..6_000 {
        let sex = ["male", "female"][number % 2];
        let (sire, dam) = match number.checked_sub(400) {
            None => (String::new(), String::new()),
            Some(before) => (format!("d{}", before / 2 * 2), format!("d{}", before / 2 * 2 + 1)),
        };
        lines += &format!("d{number},Dog {number},{sex},{sire},{dam}\n");
    }
    kennel.post_raw("/imports/dogs", "text/csv", lines).await.expect(200);
    let mut dogs: [Vec<Uuid>; 2] = Default::default();
    let mut cursor = String::new();
    while dogs[0].len() < 1_900 {
        let page = kennel.get(&format!("/dogs?limit=500{cursor}")).await.ok();
        for dog in items(&page) {
            dogs[usize::from(dog["sex"] == "female")].push(id(dog));
        }
        cursor = format!("&cursor={}", page["next_cursor"].as_str().unwrap_or_default());
    }
    let [sires, dams] = dogs;
    let (sires, dams) = (&sires[sires.len() - 45..], &dams[dams.len() - 44..]);
    let body = json!({ "dams": dams, "sires": sires, "generations": 50 });
    // The second time, when the pedigree is in memory.
    kennel.post("/trial-matings", body.clone()).await.expect(200);
    let began = std::time::Instant::now();
    kennel.post("/trial-matings", body.clone()).await.expect(200);
    let alone = began.elapsed();
    let text = body.to_string();
    for _ in 0..20 {
        let address = kennel.service.url.trim_start_matches("http://");
        let mut stream = TcpStream::connect(address).unwrap();
        let head = format!(
            "POST {} HTTP/1.1\r\nHost: kennel\r\nAuthorization: Bearer {}\r\n\
             Content-Type: application/json\r\nContent-Length: {}\r\n\r\n{text}",
            kennel.path("/trial-matings"),
            kennel.token.as_deref().unwrap(),
            text.len()
        );
        stream.write_all(head.as_bytes()).unwrap();
        // Long enough for the work to begin, and not for it to end.
        tokio::time::sleep(alone / 3).await;
    }
    let began = std::time::Instant::now();
    kennel.post("/trial-matings", body).await.expect(200);
    let after = began.elapsed();
    let given_up = kennel.nobody().get("/metrics").await.text();
    let line =
        given_up.lines().find(|line| line.contains("denwright_work_total{outcome=\"given_up\"}"));
    let count: u64 = line.and_then(|line| line.split(' ').nth(1)?.parse().ok()).unwrap_or(0);
    assert!(count > 0, "none was given up: {alone:?} alone, {after:?} after twenty that went");
}

fn svg(inner: &str) -> String {
    format!(
        "<svg xmlns='http://www.w3.org/2000/svg' xmlns:x='http://www.w3.org/1999/xlink' \
         width='40' height='40'>{inner}</svg>"
    )
}

fn picture(media_type: &str, bytes: &[u8]) -> String {
    format!(
        "<image width='9' height='9' x:href='data:{media_type};base64,{}'/>",
        STANDARD.encode(bytes)
    )
}

/// The head of a PNG of this size.
fn png(side: u32) -> Vec<u8> {
    let mut bytes = b"\x89PNG\r\n\x1a\n\0\0\0\x0dIHDR".to_vec();
    bytes.extend(side.to_be_bytes());
    bytes.extend(side.to_be_bytes());
    bytes.extend([8, 2, 0, 0, 0, 0, 0, 0, 0]);
    bytes
}

async fn set_logo(kennel: &Kennel, logo: &str) -> Answer {
    let etag = kennel.get("/booklet-texts").await.etag();
    let request = kennel.owner().request(Method::PUT, "/booklet-texts").header("if-match", &etag);
    request.json(&json!({ "logo_svg": logo })).send().await
}

#[tokio::test]
async fn logos_that_explode_are_refused() {
    let kennel = Kennel::among_others().await;
    let mut nested = "<rect width='1' height='1'/>".to_owned();
    while nested.len() < 12_000 {
        nested = picture("image/svg+xml", svg(&nested).as_bytes()).repeat(2);
    }
    let mut laughs = "<g id='l0'><rect width='1' height='1'/></g>".to_owned();
    for level in 1..10 {
        let below = format!("<use x:href='#l{}'/>", level - 1).repeat(10);
        laughs += &format!("<g id='l{level}'>{below}</g>");
    }
    for (inner, word) in [
        (nested, "its own"),
        (picture("image/png", &png(33_000)), "pixels"),
        (laughs, "shapes"),
        ("<rect filter='blur(9)' width='9' height='9'/>".to_owned(), "filters"),
    ] {
        let problem = set_logo(&kennel, &svg(&inner)).await.problem(422);
        assert_eq!(problem["errors"][0]["pointer"], "/logo_svg");
        let detail = problem["errors"][0]["detail"].as_str().unwrap();
        assert!(detail.contains(word), "{detail}");
    }
}

#[tokio::test]
async fn a_logo_is_kept_as_drawn_and_what_was_stored_before_harms_nobody() {
    let kennel = Kennel::new().await;
    let (_, pups) = kennel.born_litter(1, 20).await;
    let logo = svg("<script>alert(1)</script><rect onclick='alert(2)' width='9' height='9'/>");
    let kept = set_logo(&kennel, &logo).await.ok();
    let kept = kept["logo_svg"].as_str().unwrap();
    assert!(kept.contains("<path") && !kept.contains("alert"), "{kept}");
    // As it might stand there from an earlier edition, or a restored one.
    let bomb = svg(&picture("image/png", &png(33_000)));
    let sql = kennel.sql().await;
    sql.execute("UPDATE booklet_texts SET logo_svg = $1", &[&bomb]).await.unwrap();
    let link = kennel.post(&format!("/dogs/{}/booklet-links", pups[0]), json!({})).await.created();
    let path = format!("{}/booklet.pdf", link["path"].as_str().unwrap());
    let pages = kennel.nobody().get(&path).await.expect(200);
    assert!(pages.bytes.starts_with(b"%PDF"));
}

/// Writers of a kennel wait for each other, and hold no connection while they do: however many, others are answered.
#[tokio::test]
async fn a_crowd_of_writers_keeps_nobody_from_reading() {
    let kennel = Kennel::new().await;
    let juno = kennel.dam("Juno").await;
    let elsewhere = kennel.another().await;
    let sql = kennel.sql().await;
    let head =
        format!("SELECT FROM change_heads WHERE kennel_id = '{}' FOR UPDATE", kennel.kennel_id);
    // As a long import does.
    sql.batch_execute(&format!("BEGIN; {head}")).await.unwrap();
    let weight = json!({ "measured_at": now(), "weight_g": 24_000 });
    let path = format!("/dogs/{juno}/weights");
    let writers = kennel.owner().post_at_once(50, &path, &weight);
    let readers = async {
        tokio::time::sleep(Duration::from_millis(500)).await;
        // Who is kept out is told after five seconds that all are busy.
        for _ in 0..3 {
            kennel.get(&format!("/dogs/{juno}")).await.ok();
            kennel.get("/dogs").await.ok();
            elsewhere.dam("Wren").await;
        }
        sql.batch_execute("COMMIT").await.unwrap();
    };
    for answer in tokio::join!(writers, readers).0 {
        answer.expect(201);
    }
}

/// Who waits for another writer as long as a statement may wait is told that others write, and not that the database is
/// away.
#[tokio::test]
async fn a_writer_who_waits_too_long_is_told_to_come_again() {
    let kennel = Kennel::new().await;
    let juno = kennel.dam("Juno").await;
    let sql = kennel.sql().await;
    let head =
        format!("SELECT FROM change_heads WHERE kennel_id = '{}' FOR UPDATE", kennel.kennel_id);
    sql.batch_execute(&format!("BEGIN; {head}")).await.unwrap();
    let weight = json!({ "measured_at": now(), "weight_g": 24_000 });
    let answer = kennel.post(&format!("/dogs/{juno}/weights"), weight.clone()).await;
    assert_eq!(answer.header("retry-after"), "3");
    assert_eq!(answer.problem(503)["type"], "urn:denwright:problem:busy");
    sql.batch_execute("COMMIT").await.unwrap();
    kennel.post(&format!("/dogs/{juno}/weights"), weight).await.created();
}
