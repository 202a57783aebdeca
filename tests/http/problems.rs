//! Requests that cannot be served: each says what is wrong, where, and what to do.

use crate::common::*;
use reqwest::Method;

const JSON: &str = "application/json";

#[tokio::test]
async fn what_is_not_json_is_refused() {
    let kennel = Kennel::among_others().await;
    let deep = "[".repeat(100_000);
    for body in
        ["", "{", "{\"residence\": here}", "\u{feff}{}", "{} {}", "\"\\ud800\"", deep.as_str()]
    {
        kennel.post_raw("/dogs", JSON, body).await.problem(400);
    }
    kennel.post_raw("/dogs", JSON, b"{\"name\": \"\xff\xfe\"}".to_vec()).await.problem(400);
    kennel.post_raw("/dogs", JSON, "[]").await.refused(&[""]);
    kennel.post_raw("/dogs", JSON, "null").await.refused(&[""]);
}

#[tokio::test]
async fn other_media_types_are_refused() {
    let kennel = Kennel::among_others().await;
    let body = "{\"residence\": \"here\"}";
    for media_type in ["text/plain", "application/x-www-form-urlencoded", "application/jsonp", ""] {
        kennel.post_raw("/dogs", media_type, body).await.problem(415);
    }
    kennel.request(Method::POST, "/dogs").body(body).send().await.problem(415);
    kennel.post_raw("/dogs", "Application/JSON; charset=utf-8", body).await.created();
}

#[tokio::test]
async fn a_body_has_a_limit() {
    let kennel = Kennel::with(server_settings(64 * 1024)).await;
    let body = json!({ "residence": "here", "note": "n".repeat(70_000) });
    kennel.post("/dogs", body).await.problem(413);
    kennel
        .post("/dogs", json!({ "residence": "here", "note": "n".repeat(10_000) }))
        .await
        .created();
}

fn server_settings(body_limit_bytes: usize) -> denwright::service::server::Settings {
    denwright::service::server::Settings { body_limit_bytes, ..settings() }
}

#[tokio::test]
async fn all_faults_of_a_body_are_told_at_once() {
    let kennel = Kennel::among_others().await;
    let body = json!({
        "name": 5, "residence": "the moon", "born_on": "2026-02-30", "tail": "long",
        "adult_weight_g": 1, "chip_number": "!", "sire_id": "Castor", "died_on": "yesterday",
        "registrations": [{ "registry": "Stud book" }], "a/b~c": 1,
    });
    let expected = [
        "/name",
        "/residence",
        "/born_on",
        "/tail",
        "/adult_weight_g",
        "/chip_number",
        "/sire_id",
        "/died_on",
        "/registrations/0/number",
        "/a~1b~0c",
    ];
    let answer = kennel.post("/dogs", body).await;
    let problem = answer.clone().problem(422);
    for error in problem["errors"].as_array().unwrap() {
        let detail = error["detail"].as_str().unwrap_or_default();
        assert!(detail.len() > 8, "{error} does not say what is wrong");
    }
    answer.refused(&expected);
    let heat = kennel.post("/heats", json!({})).await;
    heat.refused(&["/began_on", "/dog_id"]);
}

#[tokio::test]
async fn values_against_the_trades_logic_are_refused() {
    let kennel = Kennel::among_others().await;
    let (juno, castor) = (kennel.dam("Juno").await, kennel.sire("Castor").await);
    let heat = kennel.heat(juno, 20).await;
    let tomorrow = days_ago(-2);
    let later = time_ago(chrono::Duration::hours(-3));
    for (path, body, pointer) in [
        ("/dogs", json!({ "residence": "here", "born_on": tomorrow }), "/born_on"),
        (
            "/dogs",
            json!({ "residence": "here", "born_on": "2020-05", "died_on": "2019-01-01" }),
            "/died_on",
        ),
        ("/dogs", json!({ "residence": "here", "sire_id": castor, "dam_id": castor }), "/dam_id"),
        ("/heats", json!({ "dog_id": castor, "began_on": days_ago(2) }), "/dog_id"),
        ("/heats", json!({ "dog_id": juno, "began_on": tomorrow }), "/began_on"),
        (
            "/heats",
            json!({ "dog_id": juno, "began_on": "2025-03-02", "ended_on": "2025-03-01" }),
            "/ended_on",
        ),
        (
            "/matings",
            json!({ "dam_id": castor, "sire_id": castor, "status": "planned", "method": "natural" }),
            "/sire_id",
        ),
        (
            "/matings",
            json!({ "dam_id": castor, "sire_id": juno, "status": "planned", "method": "natural" }),
            "/dam_id",
        ),
        (
            "/matings",
            json!({ "dam_id": juno, "sire_id": castor, "status": "done", "method": "natural" }),
            "/ties",
        ),
        (
            "/matings",
            json!({
                "dam_id": juno, "sire_id": castor, "heat_id": heat, "status": "done",
                "method": "natural", "ties": [{ "happened_at": time_ago(chrono::Duration::days(30)) }],
            }),
            "/ties/0/happened_at",
        ),
        (
            "/matings",
            json!({
                "dam_id": juno, "sire_id": castor, "status": "done", "method": "natural",
                "ties": [{ "happened_at": later }],
            }),
            "/ties/0/happened_at",
        ),
        ("/litters", json!({ "dam_id": juno, "weaned_on": days_ago(3) }), "/weaned_on"),
        ("/buyers", json!({ "name": "Jon", "joined_on": tomorrow }), "/joined_on"),
        ("/buyers", json!({ "name": "Jon", "joined_on": "2025-01-01", "email": "jon" }), "/email"),
        (
            "/placements",
            json!({ "dog_id": juno, "kind": "sale", "stage": "reserved" }),
            "/buyer_id",
        ),
        (
            "/placements",
            json!({ "dog_id": juno, "kind": "kept", "stage": "offered", "price_minor": 5 }),
            "/currency",
        ),
        ("/rules/overrides", json!({ "key": "no.rule", "value": 1, "source": "we" }), "/key"),
    ] {
        kennel.post(path, body).await.refused(&[pointer]);
    }
    let weights = format!("/dogs/{juno}/weights");
    kennel
        .post(&weights, json!({ "measured_at": later, "weight_g": 9000 }))
        .await
        .refused(&["/measured_at"]);
    let huge = "{\"measured_at\": \"2026-01-01T00:00:00Z\", \"weight_g\": 99999999999999999999}";
    assert_eq!(kennel.post_raw(&weights, JSON, huge).await.pointers(422), ["/weight_g"]);
}

#[tokio::test]
async fn text_that_postgres_cannot_keep_is_refused() {
    let kennel = Kennel::among_others().await;
    let nul = json!({ "residence": "here", "name": "Ju\0no", "registrations": [{ "registry": "\0", "number": "1" }] });
    kennel.post("/dogs", nul).await.refused(&["/name", "/registrations/0/registry"]);
    let in_a_name = json!({ "residence": "here", "na\0me": 1 });
    assert!(!kennel.post("/dogs", in_a_name).await.pointers(422).is_empty());
    assert_eq!(kennel.get("/dogs?breed=a%00b").await.pointers(400), ["#query/breed"]);
    kennel.get("/dogs/%00").await.problem(404);
    // Postgres would keep these; no text holds a control character, or one that turns its direction.
    let unseen = json!({ "residence": "here", "name": "Juno \u{202e}", "note": "\u{1}" });
    kennel.post("/dogs", unseen).await.refused(&["/name", "/note"]);
    let emoji = json!({ "residence": "here", "name": "Jüno 🐕 \u{200d}", "note": "\u{ffff}" });
    let dog = kennel.post("/dogs", emoji.clone()).await.created();
    assert_eq!((&dog["name"], &dog["note"]), (&emoji["name"], &emoji["note"]));
}

#[tokio::test]
async fn a_query_is_known_or_refused() {
    let kennel = Kennel::among_others().await;
    for (query, pointer) in [
        ("colour=black", "#query"),
        ("sex=both", "#query/sex"),
        ("limit=0", "#query/limit"),
        ("limit=501", "#query/limit"),
        ("limit=many", "#query/limit"),
        ("cursor=next", "#query/cursor"),
        ("sire_id=Castor", "#query/sire_id"),
        ("for_breeding=perhaps", "#query/for_breeding"),
    ] {
        let pointers = kennel.get(&format!("/dogs?{query}")).await.pointers(400);
        assert!(pointers.len() == 1 && pointers[0].starts_with(pointer), "{query}: {pointers:?}");
    }
    kennel.get("/changes?after=-1").await.problem(400);
    kennel.get("/changes?after=x").await.problem(400);
}

#[tokio::test]
async fn a_wrong_method_is_told_the_right_ones() {
    let kennel = Kennel::among_others().await;
    let juno = kennel.dam("Juno").await;
    for (method, path, allowed) in [
        (Method::PUT, "/dogs".to_owned(), "GET, POST"),
        (Method::DELETE, "/dogs".to_owned(), "GET, POST"),
        (Method::POST, format!("/dogs/{juno}"), "GET, PATCH, DELETE"),
        (Method::DELETE, "/v1/me".to_owned(), "GET"),
        (Method::PATCH, "/health-plans/standard".to_owned(), "GET"),
        (Method::GET, "/v1/auth/login".to_owned(), "POST"),
    ] {
        let request = kennel.request(method, &path).header("if-match", "\"1\"");
        let answer = request.json(&json!({})).send().await;
        assert_eq!(answer.header("allow"), allowed, "{path}");
        answer.problem(405);
    }
}

/// A path with a fixed name where another has an id takes its own methods alone; all such pairs of the
/// published document, with good headers and with none.
#[tokio::test]
async fn a_name_in_the_place_of_an_id_takes_its_own_methods() {
    let kennel = Kennel::among_others().await;
    let document = kennel.get("/openapi.json").await.ok();
    let paths = document["paths"].as_object().unwrap();
    let is_variable = |segment: &str| segment.starts_with('{');
    let mut tried = 0;
    for (path, own) in paths {
        let fits = |wide: &&String| {
            let mut pairs = wide.split('/').zip(path.split('/'));
            wide.split('/').count() == path.split('/').count()
                && pairs.clone().all(|(a, b)| a == b || is_variable(a))
                && pairs.any(|(a, b)| is_variable(a) && !is_variable(b))
        };
        for wide in paths.keys().filter(fits) {
            let filled = path.replace("{kennel_id}", &kennel.kennel_id.to_string());
            let filled: Vec<_> = filled.split('/').collect();
            let id = Uuid::now_v7().to_string();
            let filled =
                filled.iter().map(|part| if is_variable(part) { id.as_str() } else { part });
            let filled = filled.collect::<Vec<_>>().join("/");
            for method in [Method::GET, Method::POST, Method::PUT, Method::PATCH, Method::DELETE] {
                if own.get(method.as_str().to_lowercase()).is_some() {
                    continue;
                }
                for headers in [true, false] {
                    let request = kennel.request(method.clone(), &filled);
                    let request =
                        if headers { request.header("if-match", "\"1\"") } else { request };
                    let answer = request.json(&json!({})).send().await;
                    assert!(!answer.header("allow").contains(method.as_str()), "{method} {path}");
                    assert!(!answer.header("allow").is_empty(), "{method} {path} beside {wide}");
                    answer.problem(405);
                    tried += 1;
                }
            }
        }
    }
    assert!(tried >= 24, "{tried}");
}

/// HEAD tells what GET would, without the body; the stream of changes is not begun by it.
#[tokio::test]
async fn a_head_is_a_get_without_its_body() {
    let kennel = Kennel::among_others().await;
    let juno = kennel.dam("Juno").await;
    for path in [format!("/dogs/{juno}"), "/dogs?limit=1".to_owned(), "/openapi.json".to_owned()] {
        let (get, head) =
            (kennel.get(&path).await, kennel.request(Method::HEAD, &path).send().await);
        assert_eq!((get.status, head.status), (200, 200), "{path}");
        for name in ["etag", "content-type", "link", "cache-control"] {
            assert_eq!(head.header(name), get.header(name), "{path}: {name}");
        }
        assert!(head.bytes.is_empty() && !get.bytes.is_empty(), "{path}");
    }
    let missing = format!("/dogs/{}", Uuid::now_v7());
    assert_eq!(kennel.request(Method::HEAD, &missing).send().await.status, 404);
    assert_eq!(kennel.nobody().request(Method::HEAD, "/dogs").send().await.status, 401);
    let stream = kennel.request(Method::HEAD, "/changes").header("accept", "text/event-stream");
    assert_eq!(stream.send().await.header("content-type"), "application/json");
    let only_posted = kennel.request(Method::HEAD, "/v1/auth/login").send().await;
    assert_eq!((only_posted.status, only_posted.header("allow").as_str()), (405, "POST"));
}

#[tokio::test]
async fn what_is_not_there_is_not_found() {
    let kennel = Kennel::among_others().await;
    for path in [
        "/dogs/00000000-0000-0000-0000-000000000000",
        "/dogs/7",
        "/dogs/7/weights",
        "/cats",
        "/v1/kennels/00000000-0000-0000-0000-000000000000/dogs",
        "/v1/kennels/x/dogs",
        "/v1/nothing",
        "/docs/nothing",
    ] {
        let answer = kennel.get(path).await;
        if path.starts_with("/docs") {
            answer.expect(404);
        } else {
            answer.problem(404);
        }
    }
    // Which of the three it is shows by its code.
    for (path, place, code) in [
        ("/dogs/00000000-0000-0000-0000-000000000000", "#path", "not_found"),
        ("/dogs/7", "#path/dog_id", "not_an_id"),
        ("/cats", "#path", "no_such_path"),
        ("/v1/kennels/00000000-0000-0000-0000-000000000000/dogs", "#path/kennel_id", "not_found"),
        ("/v1/kennels/x/dogs", "#path/kennel_id", "not_an_id"),
        ("/v1/nothing", "#path", "no_such_path"),
    ] {
        let fault = &kennel.get(path).await.problem(404)["errors"][0];
        assert_eq!((&fault["pointer"], &fault["code"]), (&json!(place), &json!(code)), "{path}");
    }
}

#[tokio::test]
async fn the_monitoring_needs_no_login() {
    let kennel = Kennel::new().await;
    let nobody = kennel.nobody();
    assert_eq!(nobody.get("/health/live").await.ok()["status"], "ok");
    assert_eq!(nobody.get("/health/ready").await.ok()["status"], "ok");
    assert_eq!(nobody.get("/openapi.json").await.ok()["openapi"], "3.1.0");
    assert!(nobody.get("/metrics").await.expect(200).text().contains("denwright_pool_connections"));
    let page = nobody.get("/docs/").await.expect(200).text();
    // Our own page, with nothing from elsewhere; what it draws with is beside it.
    assert!(page.contains("<title>denwright") && !page.contains("://"), "{page}");
    for file in ["swagger-ui.css", "swagger-ui-bundle.js"] {
        assert!(page.contains(file), "{file}");
        nobody.get(&format!("/docs/{file}")).await.expect(200);
    }
}

#[tokio::test]
async fn answers_are_safe_in_a_browser() {
    let kennel = Kennel::among_others().await;
    let answer = kennel.get("/dogs").await.expect(200);
    assert_eq!(answer.header("x-content-type-options"), "nosniff");
    assert_eq!(answer.header("x-frame-options"), "DENY");
    assert_eq!(answer.header("access-control-allow-origin"), "");
}
