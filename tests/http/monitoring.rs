//! Figures, request ids, headers, limits: what whoever runs the service sees of it.

use crate::common::*;
use denwright::{config::Origins, service::server::Settings};
use reqwest::Method;
use std::{sync::Arc, time::Duration};
use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};

#[tokio::test]
async fn figures_are_told_by_route_and_without_ids() {
    let kennel = Kennel::new().await;
    let juno = kennel.dam("Juno").await;
    kennel.get(&format!("/dogs/{juno}")).await.ok();
    kennel.get(&format!("/dogs/{}", Uuid::now_v7())).await.problem(404);
    let answer = kennel.nobody().get("/metrics").await.expect(200);
    assert!(answer.header("content-type").starts_with("text/plain"));
    let text = answer.text();
    let route = "/v1/kennels/{kennel_id}/dogs/{dog_id}";
    for line in [
        format!("denwright_requests_total{{method=\"GET\",route=\"{route}\",status=\"200\"}}"),
        format!("denwright_requests_total{{method=\"GET\",route=\"{route}\",status=\"404\"}}"),
        format!("denwright_request_seconds_count{{method=\"GET\",route=\"{route}\"}}"),
        "denwright_pool_connections{state=\"limit\"} 8".to_owned(),
        "# TYPE denwright_request_seconds histogram".to_owned(),
    ] {
        assert!(text.contains(&line), "{line} is not in\n{text}");
    }
    assert!(!text.contains(&juno.to_string()), "ids do not belong in figures");
}

#[tokio::test]
async fn every_answer_has_its_id_and_the_common_headers() {
    let kennel = Kennel::with(Settings { https: true, ..settings() }).await;
    let mut ids = std::collections::BTreeSet::new();
    for path in ["/dogs", "/nothing", "/v1/me", "/health/ready", "/docs/"] {
        let answer = kennel.get(path).await;
        ids.insert(answer.header("x-request-id"));
        assert_eq!(answer.header("x-content-type-options"), "nosniff", "{path}");
        assert_eq!(answer.header("x-frame-options"), "DENY", "{path}");
        assert_eq!(answer.header("referrer-policy"), "no-referrer", "{path}");
        assert!(answer.header("content-security-policy").contains("frame-ancestors 'none'"));
        assert_eq!(answer.header("strict-transport-security"), "max-age=31536000");
    }
    assert_eq!(ids.len(), 5, "{ids:?}");
    assert_eq!(kennel.get("/dogs").await.header("cache-control"), "private, no-cache");
    let plain = Kennel::new().await.get("/dogs").await;
    assert_eq!(plain.header("strict-transport-security"), "");
}

#[tokio::test]
async fn pages_of_named_origins_alone_may_call() {
    let origins = Origins::These(vec!["https://kennel.example".to_owned()]);
    let kennel = Kennel::with(Settings { origins, ..settings() }).await;
    let ask = |origin: &'static str| {
        let request = kennel.request(Method::OPTIONS, "/dogs").header("origin", origin);
        request.header("access-control-request-method", "PATCH").send()
    };
    let allowed = ask("https://kennel.example").await;
    assert_eq!(allowed.header("access-control-allow-origin"), "https://kennel.example");
    let refused = ask("https://elsewhere.example").await;
    assert_eq!(refused.header("access-control-allow-origin"), "");
    let read = kennel.request(Method::GET, "/dogs").header("origin", "https://kennel.example");
    let exposed = read.send().await.header("access-control-expose-headers").to_lowercase();
    for name in ["etag", "x-request-id", "retry-after"] {
        assert!(exposed.contains(name), "{exposed}");
    }
}

#[tokio::test]
async fn a_body_that_does_not_arrive_is_not_waited_for() {
    let limit = Duration::from_millis(400);
    let kennel = Kennel::with(Settings { request_limit: limit, ..settings() }).await;
    let address = kennel.service.url.trim_start_matches("http://").to_owned();
    let mut connection = tokio::net::TcpStream::connect(&address).await.unwrap();
    let head = format!(
        "POST {} HTTP/1.1\r\nHost: x\r\nAuthorization: Bearer {}\r\nContent-Type: application/json\r\n\
         Content-Length: 100\r\n\r\n{{\"name\"",
        kennel.path("/dogs"),
        kennel.token.as_ref().unwrap()
    );
    connection.write_all(head.as_bytes()).await.unwrap();
    let mut answer = vec![0; 1000];
    let read = tokio::time::timeout(SOON, connection.read(&mut answer));
    let count = read.await.expect("an answer in time").unwrap();
    let answer = String::from_utf8_lossy(&answer[..count]).into_owned();
    assert!(answer.starts_with("HTTP/1.1 408"), "{answer}");
    kennel.get("/dogs").await.ok();
}

/// The log of a real process: JSON with request ids, and nothing secret in it.
#[tokio::test]
async fn the_log_is_structured_and_keeps_secrets() {
    let kennel = Kennel::new().await;
    let folder = std::env::temp_dir().join(format!("denwright-log-{}", Uuid::now_v7()));
    std::fs::create_dir_all(&folder).unwrap();
    let log = std::fs::File::create(folder.join("log")).unwrap();
    let port = std::net::TcpListener::bind("127.0.0.1:0").unwrap().local_addr().unwrap().port();
    let mut process = std::process::Command::new(env!("CARGO_BIN_EXE_denwright"))
        .args(["serve", "--listen", &format!("127.0.0.1:{port}"), "--log-format", "json"])
        .args(["--log", "debug", "--data", &folder.to_string_lossy()])
        .env("DATABASE_URL", &kennel.service.database_url)
        .stdout(std::process::Stdio::null())
        .stderr(log)
        .spawn()
        .unwrap();
    let url = format!("http://127.0.0.1:{port}");
    let http = reqwest::Client::new();
    let ready = format!("{url}/health/ready");
    until("the service is ready", async || http.get(&ready).send().await.ok()).await;
    let secrets = [
        "dwc_a-secret-calendar",
        "dwb_a-secret-booklet",
        "a secret pass phrase",
        "dwt_a-secret-token",
    ];
    http.get(format!("{url}/v1/calendars/{}.ics", secrets[0])).send().await.unwrap();
    http.get(format!("{url}/v1/booklets/{}", secrets[1])).send().await.unwrap();
    http.get(format!("{url}/v1/booklets/{}/booklet.pdf", secrets[1])).send().await.unwrap();
    let body = json!({ "email": "nobody@example.org", "password": secrets[2] });
    http.post(format!("{url}/v1/auth/login")).json(&body).send().await.unwrap();
    let read = http.get(format!("{url}{}", kennel.path("/dogs?breed=x"))).bearer_auth(secrets[3]);
    let id = read.send().await.unwrap().headers()["x-request-id"].to_str().unwrap().to_owned();
    let stop = rustix::process::Pid::from_raw(process.id().cast_signed()).unwrap();
    rustix::process::kill_process(stop, rustix::process::Signal::TERM).unwrap();
    process.wait().unwrap();
    let text = std::fs::read_to_string(folder.join("log")).unwrap();
    std::fs::remove_dir_all(&folder).unwrap();
    for secret in secrets.iter().chain(&["nobody@example.org"]) {
        assert!(!text.contains(secret), "{secret} is in the log:\n{text}");
    }
    let lines = text.lines().map(|line| serde_json::from_str::<Value>(line).expect("JSON"));
    let own: Vec<Value> = lines.filter(|line| line["span"]["id"] == json!(id)).collect();
    let answered =
        own.iter().find(|line| line["message"] == "answered").unwrap_or_else(|| panic!("{text}"));
    assert_eq!(answered["status"], 401);
    assert_eq!(answered["route"], "/v1/kennels/{kennel_id}/dogs");
}

#[tokio::test]
async fn metrics_count_what_the_database_failed() {
    let kennel = Kennel::new().await;
    let service = Arc::clone(&kennel.service);
    drop(service);
    kennel.sql().await.batch_execute("ALTER TABLE dogs RENAME TO hounds").await.unwrap();
    kennel.get("/dogs").await.problem(500);
    let text = kennel.get("/metrics").await.expect(200).text();
    assert!(text.contains("denwright_database_errors_total{kind=\"fault\"}"), "{text}");
}
