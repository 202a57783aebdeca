//! Texts are what they look like: one line where there is one line, and no formula in a spreadsheet.

use crate::common::*;
use denwright::service::server::Settings;
use reqwest::Method;
use std::io::{Cursor, Read as _};

/// A step into a body.
#[derive(Clone, Debug)]
enum Step {
    Member(String),
    FirstItem,
}

/// A text of a body.
#[derive(Debug)]
struct TextField {
    steps: Vec<Step>,
    several_lines: bool,
    /// Whether it is read by a parser of its own, which tells of lines and not of the field.
    is_file: bool,
}

impl TextField {
    fn pointer(&self) -> String {
        let step = |step: &Step| match step {
            Step::Member(name) => format!("/{name}"),
            Step::FirstItem => "/0".to_owned(),
        };
        self.steps.iter().map(step).collect()
    }

    /// A body that holds nothing but this.
    fn body(&self, text: &str) -> Value {
        self.steps.iter().rev().fold(json!(text), |inner, step| match step {
            Step::Member(name) => json!({ name.as_str(): inner }),
            Step::FirstItem => json!([inner]),
        })
    }
}

/// All texts of a schema that people write freely.
fn texts(document: &Value, schema: &Value, steps: &[Step], found: &mut Vec<TextField>) {
    if steps.len() > 6 {
        return;
    }
    if let Some(reference) = schema["$ref"].as_str() {
        let name = reference.rsplit('/').next().unwrap();
        return texts(document, &document["components"]["schemas"][name], steps, found);
    }
    for part in ["oneOf", "anyOf", "allOf"] {
        for form in schema[part].as_array().into_iter().flatten() {
            texts(document, form, steps, found);
        }
    }
    let is = |name: &str| {
        schema["type"] == name
            || schema["type"].as_array().is_some_and(|types| types.contains(&json!(name)))
    };
    let then = |step: Step| [steps, &[step]].concat();
    if is("string") && schema["enum"].is_null() && schema["format"] != "password" {
        let several_lines = schema["format"] == "several-lines";
        let is_file = schema["format"] == "file";
        found.push(TextField { steps: steps.to_vec(), several_lines, is_file });
    }
    for (name, member) in schema["properties"].as_object().into_iter().flatten() {
        texts(document, member, &then(Step::Member(name.clone())), found);
    }
    if is("array") {
        texts(document, &schema["items"], &then(Step::FirstItem), found);
    }
}

/// Every text of every body that can be posted, with characters that no text holds.
#[tokio::test]
async fn no_text_of_any_body_holds_control_characters() {
    let kennel = Kennel::with(Settings { sign_up_open: true, ..settings() }).await;
    let document = kennel.get("/openapi.json").await.ok();
    let (mut fields, mut several) = (0, 0);
    let operations = document["paths"].as_object().unwrap().iter();
    let operations = operations.flat_map(|(path, of_path)| {
        [(path, Method::POST, &of_path["post"]), (path, Method::PUT, &of_path["put"])]
    });
    for (path, method, operation) in operations {
        let body = &operation["requestBody"]["content"]["application/json"]["schema"];
        // A batch is answered row by row: see below.
        if body.is_null() || path.ends_with("/batch") {
            continue;
        }
        let path =
            path.replace("{kennel_id}", &kennel.kennel_id.to_string()).replace("{sequence}", "1");
        let parts = path.split('/').map(|part| {
            if part.starts_with('{') { Uuid::now_v7().to_string() } else { part.to_owned() }
        });
        let path = parts.collect::<Vec<_>>().join("/");
        let mut found = Vec::new();
        texts(&document, body, &[], &mut found);
        for field in found {
            fields += 1;
            several += usize::from(field.several_lines);
            for (character, refused) in [
                ('\r', true),
                ('\u{1}', true),
                ('\u{85}', true),
                ('\u{2028}', true),
                ('\u{202e}', true),
                ('\n', !field.several_lines),
            ] {
                let body = field.body(&format!("Juno{character}DTSTART:20260101"));
                let request = kennel.request(method.clone(), &path).header("If-Match", "\"0\"");
                let request = request.header("X-Denwright-Page", "1");
                let answer = request.json(&body).send().await;
                let told = if answer.status == 422 { answer.pointers(422) } else { Vec::new() };
                let pointer = field.pointer();
                let is_told =
                    if field.is_file { !told.is_empty() } else { told.contains(&pointer) };
                assert!(
                    !refused || is_told,
                    "{path} {pointer} U+{:04X}: {told:?}",
                    u32::from(character)
                );
            }
        }
    }
    assert!(fields > 150 && several > 30, "{fields} texts, {several} of several lines");
}

#[tokio::test]
async fn a_row_of_a_batch_holds_none_either() {
    let kennel = Kennel::among_others().await;
    let dog = kennel.dam("Juno").await;
    let row = |note: &str| {
        json!({ "id": Uuid::now_v7(), "kind": "weight", "subject_id": dog,
        "record": { "dog_id": dog, "measured_at": time_ago(chrono::Duration::hours(3)), "weight_g": 27_000, "note": note } })
    };
    let rows = json!({ "items": [row("one\ntwo"), row("one\r\ntwo"), row("one\u{2029}two")] });
    let answer = kennel.post("/observations/batch", rows).await.ok();
    let statuses: Vec<&Value> = items(&answer).iter().map(|row| &row["status"]).collect();
    assert_eq!(statuses[0], "stored", "{answer}");
    for refused in &items(&answer)[1..] {
        assert_eq!(refused["status"], "refused", "{answer}");
        assert!(refused["errors"][0]["pointer"].as_str().unwrap().ends_with("/note"), "{answer}");
    }
}

#[tokio::test]
async fn names_of_members_and_patches_hold_none_either() {
    let kennel = Kennel::among_others().await;
    let dog = kennel.dam("Juno").await;
    kennel
        .change(&format!("/dogs/{dog}"), json!({ "name": "Juno\rBEGIN:VEVENT" }))
        .await
        .refused(&["/name"]);
    kennel
        .change(&format!("/dogs/{dog}"), json!({ "note": "one\r\ntwo" }))
        .await
        .refused(&["/note"]);
    kennel.change(&format!("/dogs/{dog}"), json!({ "note": "one\ntwo" })).await.ok();
    kennel.post("/dogs", json!({ "name": "Freya", "a\rb": 1 })).await.problem(422);
    // Marks of direction that names need are taken.
    kennel.post("/dogs", json!({ "name": "ג׳ונו\u{200f} Juno" })).await.created();
    let line = |name: &str| format!("id,name\n1,\"{name}\"\n");
    for name in ["a\rb", "a\nb", "a\u{202e}b", "a\u{7f}b"] {
        kennel.post_raw("/imports/dogs", "text/csv", line(name)).await.problem(422);
    }
    let note =
        kennel.post_raw("/imports/dogs", "text/csv", "id,note\n1,\"one\r\ntwo\"\n").await.ok();
    assert_eq!(note["created"], 1);
    let kept = kennel.get("/dogs?imported_id=1").await.ok();
    assert_eq!(items(&kept)[0]["note"], "one\ntwo");
}

/// What was kept before such characters were refused makes no lines of a calendar.
#[tokio::test]
async fn an_old_title_makes_no_lines_of_a_calendar() {
    let kennel = Kennel::new().await;
    let sql = kennel.sql().await;
    let task = json!({ "title": "Order food", "due_on": days_ago(-2) });
    kennel.post("/own-tasks", task).await.created();
    let evil = "x\rEND:VEVENT\rBEGIN:VEVENT\nSUMMARY:forged\u{2028}y\u{85}z";
    sql.execute("UPDATE own_tasks SET title = $1", &[&evil]).await.unwrap();
    sql.execute("UPDATE kennels SET name = $1", &[&evil]).await.unwrap();
    let feed = kennel.get("/calendar.ics").await.expect(200).text();
    assert!(
        !feed.chars().any(|character| character.is_control() && !"\r\n".contains(character)),
        "{feed:?}"
    );
    assert_eq!(feed.matches('\r').count(), feed.matches("\r\n").count());
    for line in feed.replace("\r\n ", "").split("\r\n") {
        assert!(!line.contains('\n') && !line.starts_with("SUMMARY:forged"), "{line:?}");
    }
    let lines = |start: &str| feed.lines().filter(|line| *line == start).count();
    assert_eq!(lines("BEGIN:VEVENT"), lines("END:VEVENT"));
    assert_eq!(feed.matches("UID:").count(), lines("BEGIN:VEVENT"));
}

const FORMULAS: [&str; 9] = [
    "=HYPERLINK(\"http://evil.example\",\"x\")",
    "+1+1",
    "-2+3",
    "@SUM(A1)",
    "＝1+1",
    "＠x",
    "'=1",
    "''+1",
    "plain",
];

fn cells(csv: &str) -> Vec<Vec<String>> {
    let mut reader = csv::ReaderBuilder::new().has_headers(false).from_reader(csv.as_bytes());
    reader.records().map(|row| row.unwrap().iter().map(str::to_owned).collect()).collect()
}

fn begins_a_formula(cell: &str) -> bool {
    cell.starts_with(['=', '+', '-', '@', '\t', '\r', '\n', '＝', '＋', '－', '＠'])
}

#[tokio::test]
async fn no_cell_of_a_pedigree_runs_and_each_comes_back_as_it_was() {
    let kennel = Kennel::among_others().await;
    for (number, text) in FORMULAS.iter().enumerate() {
        let fields = json!({
            "name": text, "call_name": text, "breed": text, "colour": text, "markings": text, "note": text,
            "imported_id": format!("{text}{number}"),
            "registrations": [{ "registry": text, "number": text }],
        });
        kennel
            .add("/dogs", json!({ "residence": "here", "sex": "male", "born_on": "2019" }), fields)
            .await;
    }
    let sire = items(&kennel.get("/dogs").await.ok())[0].clone();
    let pup =
        json!({ "name": "Pup", "sire_id": sire["id"], "born_on": "2024", "imported_id": "pup" });
    kennel.post("/dogs", pup).await.created();
    let file = kennel.get("/pedigrees/export").await.expect(200).text();
    for cell in cells(&file).into_iter().flatten() {
        assert!(!begins_a_formula(&cell), "{cell:?}");
    }
    // Here it changes nothing; elsewhere it makes the same dogs.
    let again = kennel.post_raw("/imports/dogs", "text/csv", file.clone()).await.ok();
    assert_eq!((&again["created"], &again["updated"]), (&json!(0), &json!(0)), "{again}");
    let other = kennel.another().await;
    other.post_raw("/imports/dogs", "text/csv", file.clone()).await.ok();
    assert_eq!(other.get("/pedigrees/export").await.expect(200).text(), file);
    let names = |list: &Value| {
        let mut names: Vec<String> =
            items(list).iter().map(|dog| dog["name"].to_string()).collect();
        names.sort();
        names
    };
    assert_eq!(names(&other.get("/dogs").await.ok()), names(&kennel.get("/dogs").await.ok()));
    // A name that begins with an apostrophe is nobody's formula.
    other.post_raw("/imports/dogs", "text/csv", "id,name\nt,'t Hoen\n").await.ok();
    assert_eq!(items(&other.get("/dogs?imported_id=t").await.ok())[0]["name"], "'t Hoen");
}

#[tokio::test]
async fn no_cell_of_an_archive_runs_and_each_comes_back_as_it_was() {
    let kennel = Kennel::new().await;
    for text in FORMULAS {
        kennel
            .post("/dogs", json!({ "name": text, "note": format!("{text}\n=1") }))
            .await
            .created();
    }
    // Addresses of people begin so as well.
    let sql = kennel.sql().await;
    let person = kennel.person_id;
    let set = format!("UPDATE people SET email = '=cmd' || email WHERE id = '{person}'");
    sql.batch_execute(&set).await.unwrap();
    let task = json!({ "title": "Order food", "due_on": days_ago(-2) });
    let task = kennel.post("/own-tasks", task).await.created();
    let assigned = json!({ "assignee_id": kennel.person_id });
    kennel.change(&format!("/tasks/own:{}", id(&task)), assigned).await.ok();
    let archive = kennel.get("/archive").await.expect(200).bytes;
    let mut zip = zip::ZipArchive::new(Cursor::new(archive.clone())).unwrap();
    let mut seen = 0;
    for place in 0..zip.len() {
        let mut entry = zip.by_index(place).unwrap();
        let name = entry.name().unwrap().into_owned();
        if !name.ends_with(".csv") {
            continue;
        }
        let mut text = String::new();
        entry.read_to_string(&mut text).unwrap();
        for cell in cells(&text).into_iter().flatten() {
            let is_number = cell.parse::<f64>().is_ok();
            assert!(is_number || !begins_a_formula(&cell), "{name}: {cell:?}");
            seen += usize::from(cell.contains("=cmd"));
        }
    }
    assert!(seen >= 2, "the address is there, as a text");
    let copy = kennel
        .post_raw("/v1/kennels/archive?copy=true", "application/zip", archive)
        .await
        .created();
    let copy = kennel.in_kennel(copy["kennel_id"].as_str().unwrap().parse().unwrap());
    let texts = |list: &Value| {
        items(list).iter().map(|dog| (dog["name"].clone(), dog["note"].clone())).collect::<Vec<_>>()
    };
    assert_eq!(texts(&copy.get("/dogs").await.ok()), texts(&kennel.get("/dogs").await.ok()));
    assert_eq!(
        items(&copy.get("/tasks").await.ok()).len(),
        items(&kennel.get("/tasks").await.ok()).len()
    );
}
