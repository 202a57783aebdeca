//! What people write stays out of the log, the figures and the database's log.

use crate::{common::*, every_operation::example};
use reqwest::{Client, Method, RequestBuilder, header::CONTENT_TYPE};
use std::{
    collections::BTreeMap,
    fs::{self, File},
    os::unix::fs::PermissionsExt,
    path::{Path, PathBuf},
    process::{Child, Command},
    time::Duration,
};

/// In every value that is sent, and in nothing that is told of it elsewhere.
const MARK: &str = "zq7hidden";
const PASSWORD: &str = "larkfell-demo-2026";

/// A service with the demo as a process of its own, with its own Postgres; all that it says is kept.
struct Served {
    folder: PathBuf,
    url: String,
    process: Child,
    http: Client,
    token: String,
    kennel_id: String,
}

impl Served {
    async fn start() -> Self {
        let folder = std::env::temp_dir().join(format!("denwright-logs-{}", Uuid::now_v7()));
        fs::create_dir_all(&folder).unwrap();
        fs::set_permissions(&folder, PermissionsExt::from_mode(0o755)).unwrap();
        let port = std::net::TcpListener::bind("127.0.0.1:0").unwrap().local_addr().unwrap().port();
        let log = File::create(folder.join("service.log")).unwrap();
        // Its announcement, with the logins of the demo, is for whoever starts it and no log.
        let announced = File::create(folder.join("announced")).unwrap();
        let process = Command::new(env!("CARGO_BIN_EXE_denwright"))
            .args(["serve", "--data", folder.join("data").to_str().unwrap()])
            .args(["--listen", &format!("127.0.0.1:{port}"), "--demo", "on", "--signup", "open"])
            .env("DENWRIGHT_LOG", "trace")
            .env("DENWRIGHT_TRIES_ON_ACCOUNT", "100000")
            .env("DENWRIGHT_TRIES_FROM_ADDRESS", "100000")
            .env_remove("DATABASE_URL")
            .stdout(announced)
            .stderr(log)
            .spawn()
            .unwrap();
        let url = format!("http://127.0.0.1:{port}");
        let http = Client::new();
        let mut served =
            Self { folder, url, process, http, token: String::new(), kennel_id: String::new() };
        served.log_in().await;
        served
    }

    async fn log_in(&mut self) {
        let body = json!({ "email": "maren@example.org", "password": PASSWORD });
        let request = self.http.post(format!("{}/v1/auth/login", self.url)).json(&body);
        let answers = async || request.try_clone()?.send().await.ok();
        let session: Value = until("it serves", answers).await.json().await.unwrap();
        self.token = session["access_token"].as_str().unwrap().to_owned();
        let me = self.get("/v1/me").await;
        self.kennel_id = me["kennels"][0]["kennel_id"].as_str().unwrap().to_owned();
    }

    fn ask(&self, method: &Method, path: &str) -> RequestBuilder {
        let request = self.http.request(method.clone(), format!("{}{path}", self.url));
        let request = request.bearer_auth(&self.token).header("if-match", "\"1\"");
        // As the service's own pages ask, which some operations are for.
        request.header("x-denwright-page", "1")
    }

    async fn get(&self, path: &str) -> Value {
        self.ask(&Method::GET, path).send().await.unwrap().json().await.unwrap()
    }

    /// Ids of rows of the demo by the name of their parameter.
    async fn ids(&self) -> BTreeMap<String, String> {
        let mut ids = BTreeMap::from([("kennel_id".to_owned(), self.kennel_id.clone())]);
        for (name, list) in [
            ("dog_id", "dogs?residence=here"),
            ("litter_id", "litters?born=true"),
            ("heat_id", "heats"),
            ("mating_id", "matings"),
            ("buyer_id", "buyers"),
            ("placement_id", "placements"),
            ("plan_id", "health-plans"),
        ] {
            let list = self.get(&format!("/v1/kennels/{}/{list}", self.kennel_id)).await;
            let known = list["items"][0]["id"].as_str().map(str::to_owned);
            ids.insert(name.to_owned(), known.unwrap_or_else(|| Uuid::now_v7().to_string()));
        }
        ids
    }

    /// Ends the service and gives what it and its Postgres have said.
    fn said(&mut self) -> BTreeMap<&'static str, String> {
        let pid = rustix::process::Pid::from_raw(self.process.id().cast_signed()).unwrap();
        rustix::process::kill_process(pid, rustix::process::Signal::TERM).unwrap();
        assert!(self.process.wait().unwrap().success());
        let mut of_postgres = String::new();
        logs(&self.folder.join("data"), &mut of_postgres);
        let service = fs::read(self.folder.join("service.log")).unwrap();
        let service = String::from_utf8_lossy(&service).into_owned();
        let announced = fs::read_to_string(self.folder.join("announced")).unwrap();
        BTreeMap::from([
            ("the log", service),
            ("the announcement", announced),
            ("Postgres's log", of_postgres),
        ])
    }
}

impl Drop for Served {
    fn drop(&mut self) {
        let _ = self.process.kill();
        let _ = fs::remove_dir_all(&self.folder);
    }
}

/// What the files of logs below a folder hold.
fn logs(folder: &Path, text: &mut String) {
    for entry in fs::read_dir(folder).unwrap().map(Result::unwrap) {
        let path = entry.path();
        let name = entry.file_name().to_string_lossy().into_owned();
        if path.is_dir() {
            logs(&path, text);
        } else if name.ends_with("log") || name.contains(".log") {
            text.push_str(&String::from_utf8_lossy(&fs::read(path).unwrap()));
        }
    }
}

/// A body as the document shows it, with the mark wherever any text may stand.
fn marked(document: &Value, schema: &Value, name: &str) -> Value {
    let schema = match schema["$ref"].as_str() {
        Some(reference) => document.pointer(&reference[1..]).unwrap(),
        None => schema,
    };
    if let Some(fields) = schema["properties"].as_object() {
        let field = |(name, of): (&String, &Value)| (name.clone(), marked(document, of, name));
        return Value::Object(fields.iter().map(field).collect());
    }
    let is_text = match &schema["type"] {
        Value::Array(kinds) => kinds.contains(&json!("string")),
        kind => kind == "string",
    };
    let is_free = ["format", "enum", "pattern"].iter().all(|bound| schema[*bound].is_null());
    match (is_text && is_free, name.contains("email")) {
        (_, true) => json!(format!("{MARK}@example.org")),
        (true, _) => json!(format!("{MARK} of {name}")),
        _ => example(document, schema, &BTreeMap::new(), name),
    }
}

/// What is sent as a body: good, and bad in every way that answers repeat.
fn bodies(document: &Value, schema: &Value) -> Vec<String> {
    let good = marked(document, schema, "");
    let mut more = good.clone();
    let mut all_marks = good.clone();
    if let (Some(more), Some(all)) = (more.as_object_mut(), all_marks.as_object_mut()) {
        more.insert(MARK.to_owned(), json!(MARK));
        all.values_mut().for_each(|value| *value = json!(MARK));
    }
    let short =
        json!({ "email": format!("{MARK}@example.org"), "name": MARK, "password": "zq7hidden" });
    let mut bodies: Vec<String> =
        [&good, &more, &all_marks, &json!([MARK]), &json!({ MARK: { MARK: [MARK] } }), &short]
            .iter()
            .map(|body| body.to_string())
            .collect();
    bodies.extend([
        MARK.to_owned(),
        format!("{{\"{MARK}\": \"{MARK}"),
        format!("{{\"a\": {MARK}}}"),
    ]);
    bodies
}

fn filled(path: &str, id: impl Fn(&str) -> String) -> String {
    let mut parts = path.split('{');
    let mut filled = parts.next().unwrap().to_owned();
    for part in parts {
        let (name, rest) = part.split_once('}').unwrap();
        filled += &id(name);
        filled += rest;
    }
    filled
}

#[tokio::test]
async fn nothing_that_is_sent_is_logged() {
    let mut served = Served::start().await;
    let ids = served.ids().await;
    let document = served.get("/openapi.json").await;
    let real = |name: &str| ids.get(name).cloned().unwrap_or_else(|| Uuid::now_v7().to_string());
    let mut echoed = 0;
    let mut asked = 0;
    for (path, item) in document["paths"].as_object().unwrap() {
        for (method, operation) in item.as_object().unwrap() {
            if method == "parameters" {
                continue;
            }
            let method: Method = method.to_uppercase().parse().unwrap();
            if path.ends_with("/logout-everywhere") {
                continue;
            }
            let own = filled(path, real);
            let mut requests = vec![
                served.ask(&method, &format!("{own}?{MARK}={MARK}")),
                served.ask(&method, &filled(path, |_| format!("dwb_{MARK}"))),
                served.ask(&method, &own).header("idempotency-key", MARK.repeat(40)),
                served.ask(&method, &own).header("content-type", format!("text/{MARK}")).body(MARK),
            ];
            for parameter in operation["parameters"].as_array().into_iter().flatten() {
                let name = resolved(&document, parameter)["name"].as_str().unwrap();
                requests.push(served.ask(&method, &format!("{own}?{name}={MARK}")));
            }
            for (media_type, content) in
                operation["requestBody"]["content"].as_object().into_iter().flatten()
            {
                for body in bodies(&document, &content["schema"]) {
                    let ask = || served.ask(&method, &own).body(body.clone());
                    requests.push(ask().header(CONTENT_TYPE, media_type));
                    // A change is taken as plain JSON as well.
                    if media_type.ends_with("+json") {
                        requests.push(ask().header(CONTENT_TYPE, "application/json"));
                    }
                }
            }
            for request in requests {
                let request = request.header("user-agent", MARK).header("x-forwarded-for", MARK);
                // The stream of changes never ends.
                let patience = if path.ends_with("/stream") { 1 } else { 20 };
                let answer = tokio::time::timeout(Duration::from_secs(patience), async {
                    request.send().await.unwrap().text().await.unwrap_or_default()
                });
                asked += 1;
                echoed += usize::from(answer.await.unwrap_or_default().contains(MARK));
            }
        }
    }
    let import = format!("/v1/kennels/{}/imports/dogs", served.kennel_id);
    for file in [
        format!("id,name,sex\n{MARK},{MARK},female\n"),
        format!("id,name,sex,{MARK}\n{MARK},{MARK},{MARK}\n"),
        format!("id,name,sex\n{MARK},{MARK},{MARK}\n{MARK},,\n"),
    ] {
        let request = served.ask(&Method::POST, &import).header(CONTENT_TYPE, "text/csv");
        request.body(file).send().await.unwrap();
    }
    for path in
        [format!("/{MARK}"), format!("/v1/booklets//{MARK}"), format!("//v1/calendars/{MARK}.ics")]
    {
        served.ask(&Method::GET, &path).send().await.unwrap();
        served.ask(&Method::from_bytes(b"ZQ7HIDDEN").unwrap(), &path).send().await.unwrap();
    }
    let dogs = format!("/v1/kennels/{}/dogs", served.kennel_id);
    let refused = json!({ "name": MARK, "sex": "female", "residence": MARK });
    let refused = served.ask(&Method::POST, &dogs).json(&refused).send().await.unwrap();
    assert_eq!(refused.status(), 422);
    let nobody = served.http.get(format!("{}/v1/me", served.url)).bearer_auth(MARK);
    nobody.send().await.unwrap();
    assert!(asked > 1_500 && echoed > 300, "{asked} requests, {echoed} answers with the mark");

    let figures = served.http.get(format!("{}/metrics", served.url)).send().await.unwrap();
    let figures = figures.text().await.unwrap();
    let mut said = served.said();
    said.insert("the figures", figures);
    for (what, text) in &said {
        let found = text.lines().find(|line| line.to_lowercase().contains(MARK));
        assert!(found.is_none(), "{what} holds what was sent: {}", found.unwrap_or_default());
    }
    // What is told instead: the kind, and the places that the document names.
    let log = &said["the log"];
    let told = |line: &&str| line.contains("not-acceptable-values") && line.contains("/residence");
    assert!(log.lines().any(|line| told(&line)), "the log tells kinds and places");
    assert!(said["Postgres's log"].contains("LOG:"), "Postgres's log was found");
    assert!(!log.contains(PASSWORD) && !log.contains(&served.token));
}
