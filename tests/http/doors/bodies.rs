//! Bodies that are too large, too deep, packed, or lie about themselves; and answers that stay small.

use crate::common::*;
use denwright::service::server::Settings;
use flate2::{Compression, write::GzEncoder, write::ZlibEncoder};
use reqwest::Method;
use std::{
    io::{self, Read, Write as _},
    net::TcpStream,
    time::Duration,
};

const KB: usize = 1 << 10;
const MB: usize = 1 << 20;

/// An operation of the published document that takes a body.
struct TakesBody {
    name: String,
    method: Method,
    path: String,
    media_type: String,
    /// Whether it needs a login, and whether one of a kennel.
    needs: Needs,
    schema: Value,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Needs {
    Nothing,
    Login,
    Member,
}

async fn operations(kennel: &Kennel) -> Vec<TakesBody> {
    let document = kennel.get("/openapi.json").await.ok();
    let mut found = Vec::new();
    for (path, item) in document["paths"].as_object().unwrap() {
        for (method, operation) in item.as_object().unwrap() {
            let Some(content) = operation["requestBody"]["content"].as_object() else { continue };
            let (media_type, body) = content.iter().next().unwrap();
            let needs = match operation["security"] == json!([]) {
                true => Needs::Nothing,
                false if path.contains("{kennel_id}") => Needs::Member,
                false => Needs::Login,
            };
            let reference = body["schema"]["$ref"].as_str().map(|to| to[1..].to_owned());
            let schema = reference.and_then(|to| document.pointer(&to)).unwrap_or(&body["schema"]);
            found.push(TakesBody {
                name: format!("{method} {path}"),
                method: method.to_uppercase().parse().unwrap(),
                path: filled(path, kennel),
                media_type: media_type.clone(),
                needs,
                schema: schema.clone(),
            });
        }
    }
    assert!(found.len() > 80, "{}", found.len());
    found
}

/// The path with the kennel's id, and ids of nothing.
fn filled(path: &str, kennel: &Kennel) -> String {
    let id = |name: &str| match name {
        "kennel_id" => kennel.kennel_id.to_string(),
        "sequence" | "year" => "1".to_owned(),
        "kind" => "dogs".to_owned(),
        _ => Uuid::now_v7().to_string(),
    };
    let mut parts = path.split('{');
    let mut filled = parts.next().unwrap().to_owned();
    for part in parts {
        let (name, rest) = part.split_once('}').unwrap();
        filled += &id(name);
        filled += rest;
    }
    filled
}

impl TakesBody {
    /// What the law says: the least of what the sender and the kind of body may have.
    fn limit(&self, largest: usize) -> usize {
        let is_file = !self.media_type.ends_with("json");
        match self.needs {
            Needs::Nothing => 16 * KB,
            Needs::Login if !is_file => 16 * KB,
            _ if is_file || self.path.ends_with("/batch") => largest,
            _ => MB.min(largest),
        }
    }

    /// Whether it is a piece of a file, whose limit is what was announced (`attachments::uploads`).
    fn is_piece(&self) -> bool {
        self.media_type == "application/offset+octet-stream"
    }

    fn request(&self, kennel: &Kennel) -> Request {
        let caller = match self.needs {
            Needs::Nothing => kennel.nobody(),
            _ => kennel.owner().clone(),
        };
        let request = caller.request(self.method.clone(), &self.path);
        let request = request.header("x-denwright-page", "1").header("tus-resumable", "1.0.0");
        request.header("content-type", &self.media_type).header("if-match", "\"1\"")
    }
}

/// A JSON text, or a file, of so many bytes.
fn body_of(bytes: usize) -> Vec<u8> {
    let mut body = b"{}".to_vec();
    body.resize(bytes, b' ');
    body
}

/// Sends bytes as they are and reads until the service closes or falls silent; the status and the text.
fn raw(kennel: &Kennel, bytes: &[u8]) -> (u16, String) {
    let mut stream = TcpStream::connect(kennel.service.url.trim_start_matches("http://")).unwrap();
    stream.set_read_timeout(Some(Duration::from_secs(20))).unwrap();
    // A refusal may come, and the connection end, before all is sent.
    let _ = stream.write_all(bytes);
    answer_on(&mut stream)
}

fn answer_on(stream: &mut TcpStream) -> (u16, String) {
    let (mut text, mut part) = (Vec::new(), [0; 4096]);
    loop {
        match stream.read(&mut part) {
            Ok(0) | Err(_) => break,
            Ok(count) => text.extend_from_slice(&part[..count]),
        }
        let seen = String::from_utf8_lossy(&text);
        if seen.contains("\r\n\r\n") && seen.trim_end().ends_with('}') {
            break;
        }
    }
    let text = String::from_utf8_lossy(&text).into_owned();
    let status = text.split(' ').nth(1).and_then(|status| status.parse().ok());
    (status.unwrap_or_default(), text)
}

/// The head of a request with these further headers.
fn head(kennel: &Kennel, operation: &TakesBody, headers: &str) -> String {
    let token = match operation.needs {
        Needs::Nothing => String::new(),
        _ => format!("Authorization: Bearer {}\r\n", kennel.token.as_deref().unwrap()),
    };
    format!(
        "{} {} HTTP/1.1\r\nHost: kennel\r\nContent-Type: {}\r\nIf-Match: \"1\"\r\nX-Denwright-Page: 1\r\n{token}{headers}\r\n",
        operation.method, operation.path, operation.media_type
    )
}

fn chunked(body: &[u8]) -> Vec<u8> {
    let mut bytes = Vec::new();
    for chunk in body.chunks(10_000) {
        bytes.extend(format!("{:x}\r\n", chunk.len()).into_bytes());
        bytes.extend(chunk);
        bytes.extend(b"\r\n");
    }
    bytes.extend(b"0\r\n\r\n");
    bytes
}

#[tokio::test]
async fn every_operation_has_its_limit() {
    let largest = 2 * MB;
    let kennel = Kennel::with(Settings { body_limit_bytes: largest, ..settings() }).await;
    for operation in operations(&kennel).await.iter().filter(|it| !it.is_piece()) {
        let (name, limit) = (&operation.name, operation.limit(largest));
        let at_limit = operation.request(&kennel).body(body_of(limit)).send().await;
        assert_ne!(at_limit.status, 413, "{name} takes {limit} bytes");
        assert!(at_limit.status < 500, "{name}: {}", at_limit.text());
        operation.request(&kennel).body(body_of(limit + 1)).send().await.problem(413);
    }
}

#[tokio::test]
async fn limits_hold_without_a_length_and_against_a_false_one() {
    let kennel = Kennel::among_others().await;
    for operation in operations(&kennel).await {
        if operation.path.ends_with("/batch") || !operation.media_type.ends_with("json") {
            continue;
        }
        let (name, limit) = (&operation.name, operation.limit(16 * MB));
        let mut request = head(&kennel, &operation, "Transfer-Encoding: chunked\r\n").into_bytes();
        request.extend(chunked(&body_of(limit + 1)));
        assert_eq!(raw(&kennel, &request).0, 413, "{name} in chunks");
        // A length alone is refused before anything came.
        let told = format!("Content-Length: {}\r\n", limit + 1);
        assert_eq!(raw(&kennel, head(&kennel, &operation, &told).as_bytes()).0, 413, "{name}");
    }
}

#[tokio::test]
async fn nothing_is_read_for_whom_it_is_not() {
    let kennel = Kennel::among_others().await;
    let stranger = kennel.nobody().with_token("dwt_0000000000000000000000000000000000000000000");
    for operation in operations(&kennel).await.iter().filter(|o| o.needs != Needs::Nothing) {
        let request = stranger.request(operation.method.clone(), &operation.path);
        let body = body_of(operation.limit(16 * MB) + 1);
        let request = request.header("content-type", "text/nothing").header("if-match", "\"1\"");
        request.header("content-encoding", "gzip").body(body).send().await.problem(401);
    }
}

fn gzip(mut bytes: impl Read) -> Vec<u8> {
    let mut encoder = GzEncoder::new(Vec::new(), Compression::best());
    io::copy(&mut bytes, &mut encoder).unwrap();
    encoder.finish().unwrap()
}

#[tokio::test]
async fn packed_bodies_are_for_files_alone() {
    let kennel = Kennel::among_others().await;
    // 126 MB that come as 122 KB.
    let bomb = gzip(io::repeat(b' ').take(126_000_000));
    let login = kennel.nobody().request(Method::POST, "/v1/auth/login");
    let login = login.header("content-type", "application/json").header("content-encoding", "gzip");
    let refused = login.body(bomb.clone()).send().await;
    assert_eq!(refused.header("accept-encoding"), "identity");
    refused.problem(415);
    let small = gzip(&b"{}"[..]);
    for operation in operations(&kennel).await {
        let is_packable = !operation.media_type.ends_with("json") && !operation.is_piece();
        let mut encodings = vec!["br", "gzip, gzip", "zstd", "x", "identity, gzip, identity, br"];
        if !is_packable {
            encodings.extend(["gzip", "GZIP", "deflate", "x-gzip", "identity,gzip"]);
        }
        for encoding in encodings {
            let request = operation.request(&kennel).header("content-encoding", encoding);
            let answer = request.body(small.clone()).send().await;
            assert_eq!(answer.status, 415, "{} with {encoding}: {}", operation.name, answer.text());
        }
        if is_packable {
            let request = operation.request(&kennel).header("content-encoding", "gzip");
            request.body(bomb.clone()).send().await.problem(413);
        }
        let request = operation.request(&kennel).header("content-encoding", "identity");
        assert_ne!(request.body("{}").send().await.status, 415, "{}", operation.name);
    }
}

#[tokio::test]
async fn files_may_come_packed_within_their_limit() {
    let kennel = Kennel::with(Settings { body_limit_bytes: MB, ..settings() }).await;
    let file = |id: &str| format!("id,name,sex\n{id},Ada,female\n").into_bytes();
    let send = async |encoding: &str, body: Vec<u8>| {
        let request = kennel.owner().request(Method::POST, "/imports/dogs");
        let request = request.header("content-type", "text/csv");
        request.header("content-encoding", encoding).body(body).send().await
    };
    assert_eq!(send("gzip", gzip(&file("a")[..])).await.ok()["created"], 1);
    let mut deflated = ZlibEncoder::new(Vec::new(), Compression::fast());
    deflated.write_all(&file("b")).unwrap();
    assert_eq!(send("deflate", deflated.finish().unwrap()).await.ok()["created"], 1);
    let mut long = file("c");
    long.resize(MB, b'\n');
    send("gzip", gzip(&long[..])).await.expect(200);
    long.push(b'\n');
    send("gzip", gzip(&long[..])).await.problem(413);
    let twice = [gzip(&long[..MB / 2]), gzip(&long[..MB / 2 + 2])].concat();
    send("gzip", twice).await.problem(413);
    send("gzip", file("d")).await.problem(400);
    let whole = gzip(&file("e")[..]);
    send("gzip", whole[..whole.len() - 4].to_vec()).await.problem(400);
}

#[tokio::test]
async fn large_bodies_have_so_much_room_and_no_more() {
    // Room for two files of 1 MB.
    let kennel = Kennel::with(Settings { body_limit_bytes: MB, ..settings() }).await;
    let operations = operations(&kennel).await;
    let import = operations.iter().find(|it| it.name.ends_with("/imports/{kind}")).unwrap();
    let file = |bytes: usize| {
        let mut file = b"id,name,sex\na,Ada,female\n".to_vec();
        file.resize(bytes, b'\n');
        file
    };
    let hold = || {
        let mut stream =
            TcpStream::connect(kennel.service.url.trim_start_matches("http://")).unwrap();
        let told = format!("Content-Length: {MB}\r\n");
        stream.write_all(head(&kennel, import, &told).as_bytes()).unwrap();
        stream.write_all(&file(MB - 1)).unwrap();
        stream
    };
    let send = async |bytes| kennel.post_raw("/imports/dogs", "text/csv", file(bytes)).await;
    let refused = |stream: &TcpStream| {
        stream.set_nonblocking(true).unwrap();
        let answered = stream.peek(&mut [0]).is_ok();
        stream.set_nonblocking(false).unwrap();
        answered
    };
    let mut held = [hold(), hold()];
    // Until both are read to their last byte but one; a third that comes sooner takes the room of one.
    let mut answer = send(900 * KB).await;
    for _ in 0..100 {
        let lost: Vec<_> = held.iter_mut().filter(|stream| refused(stream)).collect();
        if answer.status == 503 && lost.is_empty() {
            break;
        }
        lost.into_iter().for_each(|stream| *stream = hold());
        tokio::time::sleep(Duration::from_millis(100)).await;
        answer = send(900 * KB).await;
    }
    assert_eq!(answer.header("retry-after"), "10");
    answer.problem(503);
    // What is small needs none.
    send(64 * KB).await.expect(200);
    kennel.get("/dogs").await.ok();
    for stream in &mut held {
        stream.write_all(b"\n").unwrap();
        assert_eq!(answer_on(stream).0, 200);
    }
    send(900 * KB).await.expect(200);
}

#[tokio::test]
async fn nesting_and_numbers_of_values_are_bounded() {
    let kennel = Kennel::among_others().await;
    let nested = |levels: usize| "[".repeat(levels) + &"]".repeat(levels);
    let send = async |body: String| kennel.post_raw("/dogs", "application/json", body).await;
    send(nested(32)).await.refused(&[""]);
    send(nested(33)).await.problem(400);
    send("{\"a\":".repeat(33)).await.problem(400);
    let list = |values: usize| format!("[{}0]", "0,".repeat(values - 2));
    send(list(50_000)).await.refused(&[""]);
    send(list(50_001)).await.problem(413);
    let batch = |values: usize| format!("{{\"items\":[{}0]}}", "0,".repeat(values - 3));
    let path = "/weights/batch";
    let send = async |body: String| kennel.post_raw(path, "application/json", body).await;
    assert_eq!(send(batch(300_000)).await.pointers(422), ["/items"]);
    send(batch(300_001)).await.problem(413);
}

/// So many rows, lines, fields at fault; each way to say so tells fifty.
#[tokio::test]
async fn fifty_faults_are_told_and_that_there_are_more() {
    let kennel = Kennel::among_others().await;
    let unknown = |count: usize| {
        let fields = (0..count).map(|number| (format!("field_{number}"), json!(1)));
        let mut body: serde_json::Map<String, Value> = fields.collect();
        body.insert("residence".to_owned(), json!("here"));
        Value::Object(body)
    };
    let told = |answer: Answer| {
        let size = answer.bytes.len();
        let problem = answer.problem(422);
        assert!(size < 64 * KB, "{size} bytes");
        let more = problem["detail"].as_str().unwrap().contains("ore than 50");
        (problem["errors"].as_array().unwrap().len(), more)
    };
    assert_eq!(told(kennel.post("/dogs", unknown(50)).await), (50, false));
    assert_eq!(told(kennel.post("/dogs", unknown(51)).await), (50, true));
    assert_eq!(told(kennel.post("/dogs", unknown(9_000)).await), (50, true));
    // The trade's logic, row after row.
    let both = json!({
        "dams": (0..60).map(|_| Uuid::now_v7()).collect::<Vec<_>>(), "sires": [Uuid::now_v7()],
    });
    assert_eq!(told(kennel.post("/trial-matings", both).await), (50, true));
    let file = |lines: usize| "id,name,sex\n".to_owned() + &"x,Ada,neither\n".repeat(lines);
    let import = async |lines| kennel.post_raw("/imports/dogs", "text/csv", file(lines)).await;
    assert_eq!(told(import(20_000).await), (50, true));
    // Values that are long themselves.
    let texts: Vec<String> =
        (0..1_000).map(|number| format!("{number}{}", "x".repeat(900))).collect();
    let registrations = json!({ "residence": "here", "registrations": texts });
    assert_eq!(told(kennel.post("/dogs", registrations).await), (50, true));
}

#[tokio::test]
async fn a_batch_of_faults_is_answered_in_brief() {
    let kennel = Kennel::among_others().await;
    let row = |number: usize| {
        let mut row = json!({ "id": Uuid::now_v7(), "dog_id": "x".repeat(500), "weight_g": 0.5 });
        row[format!("field_{number}{}", "y".repeat(500))] = json!("z".repeat(500));
        row
    };
    let rows: Vec<Value> = (0..4_000).map(row).collect();
    let answer = kennel.post("/weights/batch", json!({ "items": rows })).await;
    assert!(answer.bytes.len() < MB, "{} bytes", answer.bytes.len());
    let answer = answer.ok();
    assert_eq!(answer["refused"], 4_000);
    for row in items(&answer) {
        assert!(!row["errors"].as_array().unwrap().is_empty(), "{row}");
    }
}

/// A mark, repeated: no answer holds more than forty of it.
const MARK: char = '~';

#[track_caller]
fn quotes_little(name: &str, answer: &Answer) {
    assert!((400..500).contains(&answer.status), "{name}: {} {}", answer.status, answer.text());
    let text = answer.text();
    let longest = text.split(|letter| letter != MARK).map(str::len).max().unwrap_or(0);
    assert!(longest <= 40, "{name} quotes {longest} characters: {text}");
    assert!(text.len() < 64 * KB, "{name}: {} bytes", text.len());
}

#[tokio::test]
async fn nothing_of_a_client_is_quoted_at_length() {
    let kennel = Kennel::among_others().await;
    let long = MARK.to_string().repeat(5_000);
    let texts = [long.clone(), format!("\"`'{long}"), format!("{long}, expected {long}")];
    for operation in operations(&kennel).await {
        let name = &operation.name;
        if !operation.media_type.ends_with("json") {
            continue;
        }
        for text in &texts {
            let fields = operation.schema["properties"].as_object().cloned().unwrap_or_default();
            let mut body = serde_json::Map::new();
            for field in fields.keys() {
                body.insert(field.clone(), json!(text));
            }
            body.insert(text.clone(), json!([{ text: text }]));
            let send = |body: Value| operation.request(&kennel).body(body.to_string()).send();
            for body in [json!(body), json!([[text]]), json!(text), json!({ "items": [body] })] {
                let answer = send(body).await;
                // A batch answers for each row.
                if answer.status == 429 || (answer.status == 200 && name.ends_with("/batch")) {
                    continue;
                }
                quotes_little(name, &answer);
            }
        }
        let answer = operation.request(&kennel).body(long.clone()).send().await;
        if answer.status != 429 {
            quotes_little(name, &answer);
        }
    }
    for file in [
        format!("id,{long}\n"),
        format!("id,name,sex\n{long},Ada,{long}\n{long},Ada,\n"),
        format!("id,sire,dam\n{long},{long},{long}\n"),
        format!("{long}\n"),
    ] {
        quotes_little("pedigree", &kennel.post_raw("/imports/dogs", "text/csv", file).await);
    }
}

#[tokio::test]
async fn queries_paths_and_headers_are_not_quoted_at_length_either() {
    let kennel = Kennel::among_others().await;
    let long = MARK.to_string().repeat(2_000);
    let document = kennel.get("/openapi.json").await.ok();
    for (path, item) in document["paths"].as_object().unwrap() {
        let Some(operation) = item.get("get") else { continue };
        let own = filled(path, &kennel);
        let names = operation["parameters"].as_array().into_iter().flatten();
        let names = names.map(|parameter| resolved(&document, parameter));
        let names = names.filter(|parameter| parameter["in"] == "query");
        for name in names.filter_map(|parameter| parameter["name"].as_str()) {
            let answer = kennel.get(&format!("{own}?{name}={long}")).await;
            // A text to search by may be long.
            if answer.status != 200 {
                quotes_little(path, &answer);
            }
        }
        if own.starts_with("/v1/kennels/") {
            let answer = kennel.get(&format!("{own}?{long}={long}")).await;
            if answer.status != 200 {
                quotes_little(path, &answer);
            }
            quotes_little(path, &kennel.get(&format!("{own}{long}")).await);
        }
    }
    let key = kennel.post_once("/dogs", &long, &json!({ "residence": "here" })).await;
    quotes_little("Idempotency-Key", &key);
    let wrong = kennel.owner().post_raw("/dogs", &format!("text/{long}"), "{}").await;
    quotes_little("Content-Type", &wrong);
}
