//! Lists: pages, order, spans of time, search, and tables for a spreadsheet. Every list alike.

use crate::{
    common::*,
    every_operation::{Ids, Operation, address, furnish, operations},
};
use api::openapi;
use chrono::Duration;
use domain::{
    record::{field_of, register::RECORDS},
    text::from_cell,
};
use reqwest::Method;
use std::collections::BTreeSet;
use store::{
    keep::Keep,
    register::{ByRecord, with_record_of},
};

fn document() -> Value {
    serde_json::from_str(&openapi::document_text()).unwrap()
}

/// The lists of the document: the reads that take a cursor.
fn lists(document: &Value) -> Vec<Operation> {
    let takes_cursor = |operation: &Operation| {
        let parameters = operation.content["parameters"].as_array().into_iter().flatten();
        parameters.into_iter().any(|parameter| parameter["name"] == "cursor")
    };
    operations(document).into_iter().filter(takes_cursor).collect()
}

/// A kennel with a row in every list, and several in most.
async fn furnished(document: &Value) -> (Kennel, Ids) {
    let kennel = Kennel::among_others().await;
    let (litter, pups) = kennel.born_litter(4, 12).await;
    for hours in [30, 20, 10] {
        weigh(&kennel, pups[0], hours).await;
    }
    let litter = kennel.get(&format!("/litters/{litter}")).await.ok();
    let parent = |field: &str| litter[field].as_str().unwrap().parse().unwrap();
    let ids = furnish(document, &kennel, parent("dam_id"), parent("sire_id")).await;
    (kennel, ids)
}

/// A weight of a pup, whatever is expected of it.
async fn weigh(kennel: &Kennel, pup: Uuid, hours_ago: i64) {
    let at = time_ago(Duration::hours(hours_ago));
    let weight = json!({ "measured_at": at, "weight_g": 500, "confirmed": true });
    kennel.post(&format!("/dogs/{pup}/weights"), weight).await.created();
}

fn with(path: &str, query: &str) -> String {
    format!("{path}{}{query}", if path.contains('?') { '&' } else { '?' })
}

/// The rows of a list, page by page of so many, by the link of each to the next.
async fn in_pages(caller: &Caller, path: &str, limit: usize) -> Vec<Value> {
    let mut path = with(path, &format!("limit={limit}"));
    let mut all = Vec::new();
    loop {
        let page = caller.get(&path).await.expect(200);
        let list = page.json();
        assert!(items(&list).len() <= limit, "{path}");
        all.extend(items(&list).to_vec());
        let link = page.header("link");
        let Some(cursor) = list["next_cursor"].as_str() else {
            assert!(list["next_cursor"].is_null() && link.is_empty(), "{path}: {link}");
            return all;
        };
        assert_eq!(items(&list).len(), limit, "{path} goes on after a page that is not full");
        let next = link.strip_prefix('<').and_then(|link| link.strip_suffix(">; rel=\"next\""));
        next.unwrap_or_else(|| panic!("{path}: {link}")).clone_into(&mut path);
        assert!(path.contains(&format!("cursor={cursor}")), "{path}: {cursor}");
    }
}

#[tokio::test]
async fn every_list_pages_alike() {
    let document = document();
    let (kennel, ids) = furnished(&document).await;
    let lists = lists(&document);
    assert!(lists.len() >= 48, "only {} lists", lists.len());
    let mut several = 0;
    for list in &lists {
        let path = address(list, &ids).unwrap();
        let whole = in_pages(&kennel, &path, 500).await;
        several += usize::from(whole.len() > 2);
        // A handful of pages each; rows one by one where there are few.
        let few = (whole.len() / 5).max(1);
        for limit in [few, few + 1] {
            assert_eq!(in_pages(&kennel, &path, limit).await, whole, "{path} by {limit}");
        }
        for (query, place) in [
            ("limit=0", "#query/limit"),
            ("limit=501", "#query/limit"),
            ("limit=x", "#query/limit"),
            ("cursor=no-cursor", "#query/cursor"),
            ("sort=colour_of_money", "#query/sort"),
            ("page=2", "#query/page"),
        ] {
            let refused = kennel.get(&with(&path, query)).await;
            assert_eq!(refused.pointers(400), [place], "{path} {query}");
        }
    }
    assert!(several >= 8, "only {several} lists of more than two rows");
}

#[tokio::test]
async fn what_has_rows_is_a_list() {
    let document = document();
    let lists: BTreeSet<String> = lists(&document).into_iter().map(|list| list.name).collect();
    let mut others = Vec::new();
    for operation in operations(&document) {
        let schema =
            &operation.content["responses"]["200"]["content"]["application/json"]["schema"];
        let rows = &resolved(&document, schema)["properties"]["items"];
        let is_list = rows["type"] == "array" && operation.method == Method::GET;
        if is_list && !lists.contains(&operation.name) {
            others.push(operation.name);
        }
    }
    // A paper to take along, whole.
    assert_eq!(others, ["GET /v1/kennels/{kennel_id}/shopping-list"]);
}

/// The fields of a row that hold something: their names, those within others after a dot.
fn leaves(value: &Value, path: &str, found: &mut Vec<String>) {
    match value {
        Value::Object(members) if !members.is_empty() => {
            for (name, member) in members {
                let path = if path.is_empty() { name.clone() } else { format!("{path}.{name}") };
                leaves(member, &path, found);
            }
        }
        _ => found.push(path.to_owned()),
    }
}

/// Compares a table with the same rows as JSON, cell by cell.
fn is_table_of(table: &[u8], rows: &[Value], path: &str) {
    let mut reader = csv::Reader::from_reader(table);
    let columns: Vec<String> = reader.headers().unwrap().iter().map(str::to_owned).collect();
    let once: BTreeSet<&String> = columns.iter().collect();
    assert_eq!(once.len(), columns.len(), "{path}: {columns:?}");
    let lines: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    assert_eq!(lines.len(), rows.len(), "{path}");
    for (line, row) in lines.iter().zip(rows) {
        for (column, cell) in columns.iter().zip(line) {
            let value = column.split('.').fold(row, |within, name| &within[name]);
            match value {
                Value::Null => assert_eq!(cell, "", "{path}: {column}"),
                Value::String(text) => assert_eq!(from_cell(cell), text, "{path}: {column}"),
                other => {
                    let read: Value = serde_json::from_str(cell).unwrap();
                    assert_eq!(&read, other, "{path}: {column}");
                }
            }
        }
        let mut held = Vec::new();
        leaves(row, "", &mut held);
        for field in held {
            let is_told = columns
                .iter()
                .any(|column| field == *column || field.starts_with(&format!("{column}.")))
                || columns.iter().any(|column| column.starts_with(&format!("{field}.")));
            assert!(is_told, "{path}: {field} is in no column of {columns:?}");
        }
    }
}

#[tokio::test]
async fn every_list_is_a_table_for_whoever_asks_for_one() {
    let document = document();
    let (kennel, ids) = furnished(&document).await;
    let as_table = |path: &str| kennel.request(Method::GET, path).header("accept", "text/csv");
    for list in lists(&document) {
        let path = with(&address(&list, &ids).unwrap(), "limit=1");
        let json = kennel.get(&path).await.expect(200);
        let table = as_table(&path).send().await.expect(200);
        assert_eq!(table.header("content-type"), "text/csv; charset=utf-8; header=present");
        assert_eq!(table.header("link"), json.header("link"), "{path}");
        is_table_of(&table.bytes, items(&json.json()), &path);
        for answer in [&json, &table] {
            let varies = answer.headers.get_all("vary").iter();
            let varies: Vec<&str> = varies.map(|value| value.to_str().unwrap()).collect();
            assert!(
                varies.join(",").split(',').any(|one| one.trim() == "Accept"),
                "{path}: {varies:?}"
            );
        }
        assert_ne!(table.etag(), json.etag(), "{path}");
        let known = as_table(&path).header("if-none-match", &table.etag()).send().await;
        assert!(known.expect(304).bytes.is_empty(), "{path}");
        as_table(&path).header("if-none-match", &json.etag()).send().await.expect(200);
        // What is wrong is a problem, as always.
        as_table(&with(&path, "page=2")).send().await.problem(400);
    }
}

#[tokio::test]
async fn a_table_runs_nothing_and_has_its_names_without_rows() {
    let kennel = Kennel::among_others().await;
    let table =
        |path: &'static str| kennel.request(Method::GET, path).header("accept", "text/csv").send();
    let text = table("/buyers").await.expect(200).text();
    assert!(text.starts_with("id,version,created_at,updated_at,") && text.lines().count() == 1);
    assert!(text.contains(",wishes."), "{text}");

    let buyer = json!({ "name": "=cmd|'/c calc'!A1", "joined_on": "2026-01-20", "phone": "+49 30 1234",
        "note": "two\nlines, and \"quotes\"" });
    kennel.post("/buyers", buyer).await.created();
    let text = table("/buyers").await.expect(200).text();
    assert!(text.contains(",'=cmd|'/c calc'!A1,"), "{text}");
    assert!(text.contains(",'+49 30 1234,"), "{text}");
    assert!(text.contains(",\"two\nlines, and \"\"quotes\"\"\""), "{text}");
    assert!(text.contains("2026-01-20"), "{text}");
}

async fn names(caller: &Caller, path: &str, limit: usize) -> Vec<String> {
    let rows = in_pages(caller, path, limit).await;
    rows.iter().map(|row| row["name"].as_str().unwrap_or("-").to_owned()).collect()
}

#[tokio::test]
async fn a_list_is_sorted_by_its_fields_and_pages_stay_right() {
    let kennel = Kennel::among_others().await;
    for (name, born_on) in [
        ("Zoë", json!("2020")),
        ("anna", json!("2020-05")),
        ("Änne", json!("2020-05-17")),
        ("Bo", json!(null)),
        ("Anna", json!(null)),
        ("Ørsted", json!("2019-12-31")),
        ("anna", json!("2021-01-01")),
    ] {
        kennel.dog(name, json!({ "born_on": born_on })).await;
    }
    let nameless = json!({ "residence": "elsewhere", "born_on": "2018" });
    kennel.post("/dogs", nameless).await.created();
    for (sort, expected) in [
        // What is known less precisely comes first; what is unknown last, in the order of entry.
        ("born_on", ["-", "Ørsted", "Zoë", "anna", "Änne", "anna", "Bo", "Anna"]),
        ("-born_on", ["anna", "Änne", "anna", "Zoë", "Ørsted", "-", "Bo", "Anna"]),
        // Accents and case aside; equal ones in the order of entry.
        ("name", ["anna", "Anna", "anna", "Änne", "Bo", "Ørsted", "Zoë", "-"]),
        ("-name", ["Zoë", "Ørsted", "Bo", "Änne", "anna", "Anna", "anna", "-"]),
        ("created_at", ["Zoë", "anna", "Änne", "Bo", "Anna", "Ørsted", "anna", "-"]),
        ("-created_at", ["-", "anna", "Ørsted", "Anna", "Bo", "Änne", "anna", "Zoë"]),
    ] {
        for limit in [1, 2, 3, 7, 8, 9] {
            let path = format!("/dogs?sort={sort}");
            assert_eq!(names(&kennel, &path, limit).await, expected, "{sort} by {limit}");
        }
    }
    let born = |rows: Vec<Value>| -> Vec<Value> {
        rows.iter().map(|row| row["born_on"].clone()).take(4).collect()
    };
    for limit in [1, 2, 8] {
        let by_name = in_pages(&kennel, "/dogs?sort=name,-born_on", limit).await;
        assert_eq!(
            born(by_name),
            [json!("2021-01-01"), json!("2020-05"), json!(null), json!("2020-05-17")]
        );
    }
}

#[tokio::test]
async fn numbers_and_times_are_sorted_as_such() {
    let kennel = Kennel::among_others().await;
    let juno = kennel.dam("Juno").await;
    for (hours, weight) in [(5, 9_900), (4, 10_100), (3, 9_900), (2, 10_200)] {
        kennel.weight(juno, hours, weight).await;
    }
    for (hours, temperature) in [(5, 38.5), (4, 38.25), (3, 39.0)] {
        let body = json!({ "measured_at": time_ago(Duration::hours(hours)), "temperature_c": temperature });
        kennel.post(&format!("/dogs/{juno}/temperatures"), body).await.created();
    }
    let figures = async |path: String, field: &str, limit: usize| -> Vec<f64> {
        in_pages(&kennel, &path, limit)
            .await
            .iter()
            .map(|row| row[field].as_f64().unwrap())
            .collect()
    };
    for limit in [1, 2, 3, 4] {
        let weights = format!("/dogs/{juno}/weights?sort=");
        let by = async |sort: &str| figures(format!("{weights}{sort}"), "weight_g", limit).await;
        assert_eq!(by("weight_g").await, [9_900.0, 9_900.0, 10_100.0, 10_200.0]);
        assert_eq!(by("-weight_g").await, [10_200.0, 10_100.0, 9_900.0, 9_900.0]);
        assert_eq!(by("-measured_at").await, [10_200.0, 9_900.0, 10_100.0, 9_900.0]);
        assert_eq!(by("weight_g,-measured_at").await, [9_900.0, 9_900.0, 10_100.0, 10_200.0]);
        let path = format!("/dogs/{juno}/temperatures?sort=temperature_c");
        assert_eq!(figures(path, "temperature_c", limit).await, [38.25, 38.5, 39.0]);
    }
    // The times of two equal weights, the later first.
    let rows =
        in_pages(&kennel, &format!("/dogs/{juno}/weights?sort=weight_g,-measured_at"), 1).await;
    assert!(rows[0]["measured_at"].as_str() > rows[1]["measured_at"].as_str());
}

#[tokio::test]
async fn a_sorted_list_goes_on_whatever_became_of_the_last_row() {
    let kennel = Kennel::among_others().await;
    let mut dogs = Vec::new();
    for name in ["Alma", "Berta", "Cora", "Dora", "Elsa"] {
        dogs.push(kennel.dog(name, json!({})).await);
    }
    let first = kennel.get("/dogs?sort=-name&limit=2").await.ok();
    assert_eq!(ids(&first), [dogs[4], dogs[3]]);
    let cursor = first["next_cursor"].as_str().unwrap();
    kennel.change(&format!("/dogs/{}", dogs[3]), json!({ "name": "Anton" })).await.ok();
    kennel.remove(&format!("/dogs/{}", dogs[4])).await.no_content();
    let rest = kennel.get(&format!("/dogs?sort=-name&cursor={cursor}")).await.ok();
    assert_eq!(ids(&rest), [dogs[2], dogs[1], dogs[3], dogs[0]]);
    // It is a cursor of this order alone.
    for other in ["sort=name&", "sort=-name,born_on&", ""] {
        let answer = kennel.get(&format!("/dogs?{other}cursor={cursor}")).await;
        assert_eq!(answer.pointers(400), ["#query/cursor"], "{other}");
    }
}

#[tokio::test]
async fn what_a_list_is_not_sorted_by_is_told_with_what_it_is() {
    let kennel = Kennel::among_others().await;
    let told = kennel.get("/dogs?sort=colour").await.problem(400);
    let fault = &told["errors"][0];
    assert_eq!(fault["pointer"], "#query/sort");
    for known in ["born_on", "name", "call_name", "created_at", "updated_at"] {
        assert!(fault["detail"].as_str().unwrap().contains(known), "{fault}");
    }
    for sort in ["", "name,", "-", "name,-name", "Name", "name;born_on", "name desc"] {
        let sort = sort.replace(';', "%3B").replace(' ', "%20");
        let answer = kennel.get(&format!("/dogs?sort={sort}")).await;
        assert_eq!(answer.pointers(400), ["#query/sort"], "{sort}");
    }
    // Nobody learns by an order what they may not read; those who may have no other orders.
    for path in ["/buyers?sort=email", "/buyers?sort=phone", "/placements?sort=price_minor"] {
        for caller in [kennel.owner().clone(), kennel.viewer().await] {
            assert_eq!(caller.get(path).await.pointers(400), ["#query/sort"], "{path}");
        }
    }
}

/// Of a record, the fields that it is sorted by, those that are hidden from some, and all of its own.
struct Orders;

impl ByRecord for Orders {
    type Done = (Vec<&'static str>, Vec<&'static str>, Vec<&'static str>);

    async fn with<R: Keep>(self) -> Self::Done {
        let sorts = R::SORTS.iter().map(|sortable| sortable.name).collect();
        let hidden = R::LINE.hidden.iter().flat_map(|(_, fields)| fields.iter().copied()).collect();
        let own = R::FIELDS.iter().map(|column| field_of(R::STORED_AS, column)).collect();
        (sorts, hidden, own)
    }
}

#[tokio::test]
async fn no_record_is_sorted_by_what_somebody_may_not_read() {
    let mut with_orders_of_their_own = 0;
    for line in RECORDS {
        let (sorts, hidden, own) = with_record_of(line.word, Orders).await.unwrap();
        let (times, fields): (Vec<&str>, Vec<&str>) =
            sorts.into_iter().partition(|name| ["created_at", "updated_at"].contains(name));
        assert_eq!(times, ["created_at", "updated_at"], "{}", line.word);
        for field in &fields {
            assert!(own.contains(field), "{}: {field} is no field of it", line.word);
            assert!(!hidden.contains(field), "{}: {field} is hidden from some", line.word);
        }
        with_orders_of_their_own += usize::from(!fields.is_empty());
    }
    assert!(with_orders_of_their_own >= 30, "{with_orders_of_their_own}");
}

#[tokio::test]
async fn a_span_takes_its_first_day_and_not_the_one_after_its_last() {
    let kennel = Kennel::among_others().await;
    for paid_on in ["2026-01-31", "2026-02-01", "2026-02-28", "2026-03-01"] {
        let cost = json!({ "purpose": "food", "amount_minor": 500, "currency": "EUR", "paid_on": paid_on });
        kennel.post("/costs", cost).await.created();
    }
    let days = async |query: &str| -> Vec<String> {
        let list = kennel.get(&format!("/costs?sort=paid_on&{query}")).await.ok();
        items(&list).iter().map(|row| row["paid_on"].as_str().unwrap()[5..].to_owned()).collect()
    };
    assert_eq!(days("since=2026-01-31").await, ["01-31", "02-01", "02-28", "03-01"]);
    assert_eq!(days("since=2026-02-01").await, ["02-01", "02-28", "03-01"]);
    assert_eq!(days("since=2026-02-02").await, ["02-28", "03-01"]);
    assert_eq!(days("until=2026-02-28").await, ["01-31", "02-01"]);
    assert_eq!(days("until=2026-03-01").await, ["01-31", "02-01", "02-28"]);
    assert_eq!(days("until=2026-03-02").await, ["01-31", "02-01", "02-28", "03-01"]);
    assert_eq!(days("since=2026-02-01&until=2026-03-01").await, ["02-01", "02-28"]);
    assert_eq!(kennel.get("/costs?since=2026-02-30").await.pointers(400), ["#query/since"]);
}

#[tokio::test]
async fn a_span_of_times_is_as_exact_as_they_are() {
    let kennel = Kennel::among_others().await;
    let juno = kennel.dam("Juno").await;
    let at = now() - Duration::hours(5);
    let at = at - Duration::nanoseconds(i64::from(at.timestamp_subsec_nanos()));
    let body = json!({ "measured_at": at, "weight_g": 27_000 });
    let weight = kennel.post(&format!("/dogs/{juno}/weights"), body).await.id();
    for (word, microseconds, found) in [
        ("since", -1, true),
        ("since", 0, true),
        ("since", 1, false),
        ("until", -1, false),
        ("until", 0, false),
        ("until", 1, true),
    ] {
        let time = (at + Duration::microseconds(microseconds)).to_rfc3339().replace('+', "%2B");
        let list = kennel.get(&format!("/dogs/{juno}/weights?{word}={time}")).await.ok();
        assert_eq!(ids(&list), vec![weight; usize::from(found)], "{word} {microseconds}");
    }
}

#[tokio::test]
async fn a_birth_that_is_known_by_its_year_counts_where_it_may_fit() {
    let kennel = Kennel::among_others().await;
    for born_on in ["2019", "2020", "2020-05", "2020-05-17", "2020-06-01"] {
        kennel.dog(born_on, json!({ "born_on": born_on })).await;
    }
    kennel.dog("unknown", json!({})).await;
    let found = async |query: &str| names(&kennel, &format!("/dogs?sort=born_on&{query}"), 9).await;
    assert_eq!(found("since=2020-01-01").await, ["2020", "2020-05", "2020-05-17", "2020-06-01"]);
    assert_eq!(found("since=2019-12-31").await.len(), 5);
    assert_eq!(found("since=2020-05-17").await, ["2020", "2020-05", "2020-05-17", "2020-06-01"]);
    assert_eq!(found("since=2020-05-18").await, ["2020", "2020-05", "2020-06-01"]);
    assert_eq!(found("since=2020-05-31").await, ["2020", "2020-05", "2020-06-01"]);
    assert_eq!(found("since=2020-06-01").await, ["2020", "2020-06-01"]);
    assert_eq!(found("since=2020-06-02").await, ["2020"]);
    assert_eq!(found("until=2020-01-01").await, ["2019"]);
    assert_eq!(found("until=2020-01-02").await, ["2019", "2020"]);
    assert_eq!(found("until=2020-05-01").await, ["2019", "2020"]);
    assert_eq!(found("until=2020-05-02").await, ["2019", "2020", "2020-05"]);
    assert_eq!(found("until=2020-05-17").await, ["2019", "2020", "2020-05"]);
    assert_eq!(found("until=2020-05-18").await, ["2019", "2020", "2020-05", "2020-05-17"]);
}

fn in_url(text: &str) -> String {
    form_urlencoded::byte_serialize(text.as_bytes()).collect()
}

#[tokio::test]
async fn dogs_are_found_by_any_of_their_names_and_numbers() {
    let kennel = Kennel::among_others().await;
    let fields = json!({
        "call_name": "Søren", "chip_number": "276098100123456", "note": "secretive",
        "registrations": [{ "registry": "Stambog", "number": "DK 10/2231" }, { "registry": "Other", "number": "Ł-77" }],
    });
    let rosa = kennel.dog("Schloß Çelik's Röschen", fields).await;
    let wren = kennel.dog("Wren 100%_of Larkfell", json!({ "call_name": "Æsa" })).await;
    // The letter and its accent may be written apart.
    let anouk =
        kennel.dog("Anouk Zoe\u{308} \u{c5}berg", json!({ "call_name": "Юля Ωmega" })).await;
    for (search, expected) in [
        ("röschen", vec![rosa]),
        ("ROSCHEN", vec![rosa]),
        ("schloss", vec![rosa]),
        ("SCHLOẞ", vec![rosa]),
        ("celik", vec![rosa]),
        ("soren", vec![rosa]),
        ("SØREN", vec![rosa]),
        ("276098100123456", vec![rosa]),
        ("0123", vec![rosa]),
        ("dk 10/2231", vec![rosa]),
        ("l-77", vec![rosa]),
        ("chen  schlo", vec![rosa]),
        ("röschen wren", vec![]),
        ("stambog", vec![]),
        ("secretive", vec![]),
        ("number", vec![]),
        ("aesa", vec![wren]),
        ("100%", vec![wren]),
        ("%_", vec![wren]),
        ("1%0", vec![]),
        ("_", vec![wren]),
        ("\\", vec![]),
        ("zoë", vec![anouk]),
        ("zoe", vec![anouk]),
        ("aberg", vec![anouk]),
        ("ＡＮＯＵＫ", vec![anouk]),
        ("юля", vec![anouk]),
        ("ЮЛЯ ωMEGA", vec![anouk]),
        ("o", vec![rosa, wren, anouk]),
        ("", vec![rosa, wren, anouk]),
    ] {
        let list = kennel.get(&format!("/dogs?search={}", in_url(search))).await.ok();
        assert_eq!(ids(&list), expected, "{search}");
    }
    let long = |letters: usize| format!("/dogs?search={}", in_url(&"ö".repeat(letters)));
    kennel.get(&long(99)).await.ok();
    kennel.get(&long(100)).await.ok();
    assert_eq!(kennel.get(&long(101)).await.pointers(400), ["#query/search"]);
    // With filters, orders and pages.
    let path = "/dogs?search=o&residence=here&sort=-name";
    assert_eq!(in_pages(&kennel, path, 1).await.len(), 3);
    assert_eq!(in_pages(&kennel, path, 1).await[0]["id"], json!(wren));
}

#[tokio::test]
async fn a_search_finds_nothing_that_one_may_not_see() {
    let kennel = Kennel::among_others().await;
    let shared = kennel.dog("Larkfell Juno", json!({ "chip_number": "276098100000001" })).await;
    kennel.dog("Larkfell Freya", json!({ "chip_number": "276098100000002" })).await;
    let co_owner = kennel.co_owner(&[shared]).await;
    for (search, expected) in
        [("larkfell", vec![shared]), ("freya", vec![]), ("27609810000000", vec![shared])]
    {
        let list = co_owner.get(&format!("/dogs?search={search}")).await.ok();
        assert_eq!(ids(&list), expected, "{search}");
    }
    let other = kennel.another().await;
    assert!(items(&other.get("/dogs?search=larkfell").await.ok()).is_empty());

    let body = json!({
        "name": "Ottilie Müller", "email": "secret@example.org", "phone": "+49 30 4711", "address": "Hidden Lane 5",
        "household": "two cats", "screening": "calm", "note": "wary", "joined_on": days_ago(30),
    });
    let buyer = kennel.post("/buyers", body).await.id();
    let readers = [kennel.owner().clone(), kennel.viewer().await, kennel.helper().await];
    for (number, reader) in readers.iter().enumerate() {
        for search in ["muller", "MÜLLER ott", "ottilie"] {
            let list = reader.get(&format!("/buyers?search={}", in_url(search))).await.ok();
            assert_eq!(ids(&list), [buyer], "{search} by {number}");
        }
        // What is hidden from some is searched for nobody.
        for search in ["secret", "4711", "hidden", "cats", "calm", "wary"] {
            let list = reader.get(&format!("/buyers?search={search}")).await.ok();
            assert!(items(&list).is_empty(), "{search} by {number}");
        }
    }
    assert!(items(&co_owner.get("/buyers?search=ottilie").await.ok()).is_empty());
    // Whoever does not see the buyers at all learns as little by a search.
    kennel.stranger().await.get("/buyers?search=ottilie").await.problem(404);
}

fn sequences(list: &[Value]) -> Vec<i64> {
    list.iter().map(|change| change["sequence"].as_i64().unwrap()).collect()
}

#[tokio::test]
async fn the_log_is_read_from_either_end() {
    let kennel = Kennel::among_others().await;
    let juno = kennel.dam("Juno").await;
    for hours in 1..6 {
        kennel.weight(juno, hours, 27_000).await;
    }
    let newest = kennel.get("/changes").await.ok()["newest_sequence"].as_i64().unwrap();
    for limit in [1, 2, 500] {
        let up = sequences(&in_pages(&kennel, "/changes", limit).await);
        assert_eq!(up, (1..=newest).collect::<Vec<_>>());
        let mut down = sequences(&in_pages(&kennel, "/changes?sort=-sequence", limit).await);
        down.reverse();
        assert_eq!(down, up);
        let last =
            sequences(&in_pages(&kennel, &format!("/changes?after={}", newest - 3), limit).await);
        assert_eq!(last, [newest - 2, newest - 1, newest]);
        let path = format!("/changes?after={}&sort=-sequence&record=weight", newest - 3);
        assert_eq!(
            sequences(&in_pages(&kennel, &path, limit).await),
            [newest, newest - 1, newest - 2]
        );
    }
    let page = kennel.get("/changes?sort=-sequence&limit=2").await.ok();
    assert_eq!(page["last_sequence"], newest);
    let page = kennel.get("/changes?limit=2").await.ok();
    assert_eq!(page["last_sequence"], 2);
    assert_eq!(kennel.get("/changes?sort=at").await.pointers(400), ["#query/sort"]);
}

#[tokio::test]
async fn the_log_tells_what_belongs_to_a_litter_or_to_a_dog() {
    let kennel = Kennel::among_others().await;
    let (litter, pups) = kennel.born_litter(2, 20).await;
    let parents = kennel.get(&format!("/litters/{litter}")).await.ok();
    let parent = |field: &str| -> Uuid { parents[field].as_str().unwrap().parse().unwrap() };
    let (dam, sire) = (parent("dam_id"), parent("sire_id"));
    weigh(&kennel, pups[0], 5).await;
    kennel.weight(dam, 5, 28_000).await;
    let line =
        json!({ "event": { "kind": "waters" }, "happened_at": time_ago(Duration::days(20)) });
    kennel.post(&format!("/litters/{litter}/whelping"), line).await.created();
    let buyer = kennel.buyer("Ottilie").await;
    let placement = kennel.post("/placements", Kennel::reservation(pups[1], buyer)).await.id();
    let paid = json!({ "kind": "deposit", "amount_minor": 5_000, "currency": "EUR", "paid_on": days_ago(1) });
    kennel.post(&format!("/placements/{placement}/payments"), paid).await.created();
    // Another litter of the same dam, and a mating.
    let body = json!({ "dam_id": dam, "sire_id": sire, "confirmed": true });
    let other = kennel.post("/litters", body).await.id();
    kennel.mating(dam, sire, 3).await;

    let told = async |caller: &Caller, query: &str| -> Vec<(String, Uuid)> {
        let rows = in_pages(caller, &format!("/changes?{query}"), 3).await;
        rows.iter()
            .map(|row| {
                (
                    row["record"].as_str().unwrap().to_owned(),
                    row["row_id"].as_str().unwrap().parse().unwrap(),
                )
            })
            .collect()
    };
    // Rows of a kind, however often they were changed.
    let of = |told: &[(String, Uuid)], what: &str| {
        let rows = told.iter().filter(|(word, _)| word == what);
        rows.map(|(_, row)| *row).collect::<BTreeSet<Uuid>>().len()
    };
    let all = told(&kennel, &format!("litter_id={litter}")).await;
    assert!(all.contains(&("litter".to_owned(), litter)));
    assert_eq!((of(&all, "birth"), of(&all, "weight")), (2, 3), "{all:?}");
    assert!(pups.iter().all(|pup| all.contains(&("dog".to_owned(), *pup))), "{all:?}");
    assert_eq!((of(&all, "placement"), of(&all, "payment")), (1, 1), "{all:?}");
    assert_eq!(of(&all, "whelping_line"), 1);
    assert!(!all.iter().any(|(_, row)| [dam, sire, other].contains(row)), "{all:?}");
    assert_eq!(of(&all, "mating"), 0);
    let mut newest_first = told(&kennel, &format!("litter_id={litter}&sort=-sequence")).await;
    newest_first.reverse();
    assert_eq!(newest_first, all);
    let weights = told(&kennel, &format!("litter_id={litter}&record=weight")).await;
    assert_eq!((of(&weights, "weight"), of(&weights, "dog")), (3, 0));

    let of_pup = told(&kennel, &format!("dog_id={}", pups[0])).await;
    assert_eq!(
        (of(&of_pup, "dog"), of(&of_pup, "birth"), of(&of_pup, "weight")),
        (1, 1, 2),
        "{of_pup:?}"
    );
    let of_dam = told(&kennel, &format!("dog_id={dam}")).await;
    assert_eq!(
        (of(&of_dam, "weight"), of(&of_dam, "litter"), of(&of_dam, "mating")),
        (1, 2, 1),
        "{of_dam:?}"
    );

    // What was taken away was of the litter as well.
    let third = kennel.birth(litter, 24 * 20, json!({ "ordinal": 3 })).await;
    kennel.remove(&format!("/litters/{litter}/births/{}", id(&third))).await.no_content();
    let after = told(&kennel, &format!("litter_id={litter}")).await;
    let gone: Uuid = third["dog_id"].as_str().unwrap().parse().unwrap();
    assert_eq!((of(&after, "birth"), of(&after, "weight")), (3, 3), "{after:?}");
    assert_eq!(
        after.iter().filter(|(_, row)| *row == gone).count(),
        2,
        "made and removed: {after:?}"
    );

    // The walls stand before it.
    let stranger = kennel.dog("Freya", json!({})).await;
    let co_owner = kennel.co_owner(&[stranger]).await;
    assert!(told(&co_owner, &format!("litter_id={litter}")).await.is_empty());
    assert!(told(&co_owner, &format!("dog_id={}", pups[0])).await.is_empty());
    let viewer = kennel.viewer().await;
    let seen = told(&viewer, &format!("litter_id={litter}")).await;
    assert_eq!((of(&seen, "payment"), of(&seen, "placement")), (0, 1), "{seen:?}");
    let nobodys = told(&kennel, &format!("litter_id={}", Uuid::now_v7())).await;
    assert!(nobodys.is_empty());
}
