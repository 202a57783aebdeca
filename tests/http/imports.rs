//! Files of spreadsheets: tried by line, taken in whole, and twice the same.

use crate::common::*;
use chrono::Duration;
use std::io::{Cursor, Write as _};
use zip::{ZipWriter, write::SimpleFileOptions};

const CSV: &str = "text/csv";
const WORKBOOK: &str = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet";

async fn import(kennel: &Kennel, kind: &str, text: impl Into<Vec<u8>>) -> Answer {
    kennel.post_raw(&format!("/imports/{kind}"), CSV, text).await
}

/// Created, updated, unchanged and refused.
fn counts(report: &Value) -> [u64; 4] {
    ["created", "updated", "unchanged", "refused"].map(|name| report[name].as_u64().unwrap())
}

/// What became of each line.
fn outcomes(report: &Value) -> Vec<(u64, String)> {
    let line = |line: &Value| {
        (line["line"].as_u64().unwrap(), line["outcome"].as_str().unwrap().to_owned())
    };
    report["lines"].as_array().unwrap().iter().map(line).collect()
}

fn outcome(line: u64, outcome: &str) -> (u64, String) {
    (line, outcome.to_owned())
}

/// A workbook of one sheet, `Dogs`, whose second column is of days.
fn workbook(rows: &[&[&str]]) -> Vec<u8> {
    let mut cells = String::new();
    for (number, row) in rows.iter().enumerate() {
        cells += &format!("<row r=\"{}\">", number + 1);
        for (column, text) in row.iter().enumerate().filter(|(_, text)| !text.is_empty()) {
            let at = format!("{}{}", char::from(b'A' + column as u8), number + 1);
            cells += &match text.parse::<f64>() {
                Ok(number) if column == 1 => format!("<c r=\"{at}\" s=\"1\"><v>{number}</v></c>"),
                Ok(number) => format!("<c r=\"{at}\"><v>{number}</v></c>"),
                Err(_) => format!("<c r=\"{at}\" t=\"inlineStr\"><is><t>{text}</t></is></c>"),
            };
        }
        cells += "</row>";
    }
    let main = "http://schemas.openxmlformats.org/spreadsheetml/2006/main";
    let office = "http://schemas.openxmlformats.org/officeDocument/2006/relationships";
    let package = "http://schemas.openxmlformats.org/package/2006";
    let related = |kind: &str, target: &str| {
        format!(
            "<Relationships xmlns=\"{package}/relationships\"><Relationship Id=\"r1\" Type=\"{office}/{kind}\" Target=\"{target}\"/></Relationships>"
        )
    };
    let parts = [
        ("[Content_Types].xml", format!("<Types xmlns=\"{package}/content-types\"/>")),
        ("_rels/.rels", related("officeDocument", "xl/workbook.xml")),
        ("xl/_rels/workbook.xml.rels", related("worksheet", "worksheets/sheet1.xml")),
        (
            "xl/workbook.xml",
            format!(
                "<workbook xmlns=\"{main}\" xmlns:r=\"{office}\"><sheets><sheet name=\"Dogs\" sheetId=\"1\" r:id=\"r1\"/></sheets></workbook>"
            ),
        ),
        (
            "xl/styles.xml",
            format!(
                "<styleSheet xmlns=\"{main}\"><cellXfs><xf numFmtId=\"0\"/><xf numFmtId=\"14\"/></cellXfs></styleSheet>"
            ),
        ),
        (
            "xl/worksheets/sheet1.xml",
            format!("<worksheet xmlns=\"{main}\"><sheetData>{cells}</sheetData></worksheet>"),
        ),
    ];
    packed(&parts.each_ref().map(|(name, text)| (*name, text.as_str())))
}

fn packed(parts: &[(&str, &str)]) -> Vec<u8> {
    let mut archive = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, text) in parts {
        archive.start_file(*name, SimpleFileOptions::default()).unwrap();
        archive.write_all(text.as_bytes()).unwrap();
    }
    archive.finish().unwrap().into_inner()
}

async fn dogs(kennel: &Kennel) -> Vec<Value> {
    items(&kennel.get("/dogs?limit=500").await.ok()).to_vec()
}

fn called<'a>(dogs: &'a [Value], name: &str) -> &'a Value {
    dogs.iter().find(|dog| dog["name"] == name).unwrap_or_else(|| panic!("no {name}: {dogs:?}"))
}

/// German, by semicolons, without ids: parents by name and by registration, one of them made up.
#[tokio::test]
async fn dogs_come_in_by_names() {
    let kennel = Kennel::among_others().await;
    let text = "Hundename;Geschlecht;Geburtsdatum;Vater;Mutter;Zuchtbuchnummer;Gewicht ausgewachsen kg\n\
        Juno;Hündin;03.04.2021;Rex;SB 7/1;SB 9/2;28,5\n\
        Alma;HUNDIN;2016;;;SB 7/1;\n\
        Otter;Rüde;12.05.2023;rex;Juno;;\n";
    import(&kennel, "dogs", text).await.refused(&["#line/2/born_on", "#line/4/born_on"]);
    let stated = "dogs?date_order=dmy";
    let tried = import(&kennel, &format!("{stated}&dry_run=true"), text).await.ok();
    assert_eq!((counts(&tried), &tried["implied_parents"]), ([4, 0, 0, 0], &json!(1)));
    assert_eq!(tried["made_up"], json!([{ "line": 2, "role": "sire", "name": "Rex" }]));
    assert_eq!(outcomes(&tried), [2, 3, 4].map(|line| outcome(line, "created")));
    assert!(dogs(&kennel).await.is_empty(), "a try writes nothing");
    let done = import(&kennel, stated, text).await.ok();
    assert_eq!(counts(&done), [4, 0, 0, 0]);
    let kept = dogs(&kennel).await;
    let (juno, otter) = (called(&kept, "Juno"), called(&kept, "Otter"));
    assert_eq!((&juno["born_on"], &juno["adult_weight_g"]), (&json!("2021-04-03"), &json!(28_500)));
    assert_eq!(juno["sire_id"], called(&kept, "Rex")["id"]);
    assert_eq!(juno["dam_id"], called(&kept, "Alma")["id"]);
    assert_eq!((&otter["sire_id"], &otter["dam_id"]), (&juno["sire_id"], &juno["id"]));
    let rex = called(&kept, "Rex");
    assert_eq!((&rex["residence"], &rex["sex"]), (&json!("elsewhere"), &json!("male")));
    assert!(rex["imported_id"].is_null() && juno["imported_id"].is_null());
    // The same file again, and one that knows more of a dog.
    let again = import(&kennel, stated, text).await.ok();
    assert_eq!((counts(&again), dogs(&kennel).await.len()), ([0, 0, 3, 0], 4));
    let more = "name,colour,sire\nJUNO,black,Rex\nPip,,Juno\n";
    let refused = import(&kennel, "dogs?dry_run=true", more).await.ok();
    assert_eq!(outcomes(&refused), [outcome(2, "updated"), outcome(3, "refused")]);
    assert_eq!(refused["lines"][0]["changes"], json!(["colour"]));
    assert!(refused["errors"][0]["detail"].as_str().unwrap().contains("is female in the kennel"));
    import(&kennel, "dogs", more).await.refused(&["#line/3"]);
    assert!(called(&dogs(&kennel).await, "Juno")["colour"].is_null(), "all or nothing");
}

/// Of two dogs of one name the one that can be is taken; where both can, they are listed.
#[tokio::test]
async fn a_name_that_may_mean_several_dogs_is_asked_about() {
    let kennel = Kennel::among_others().await;
    for born_on in ["2018-01-01", "2019-01-01"] {
        kennel.dog("Rex", json!({ "sex": "male", "born_on": born_on })).await;
    }
    let answer = import(&kennel, "dogs", "name,born_on,sire\nOtter,2022,Rex\n").await;
    let problem = answer.problem(422);
    assert_eq!(problem["errors"][0]["pointer"], "#line/2/sire");
    let detail = problem["errors"][0]["detail"].as_str().unwrap();
    assert!(detail.contains("born 2018-01-01") && detail.contains("born 2019-01-01"), "{detail}");
    let done = import(&kennel, "dogs", "name,born_on,sire\nOtter,2018-06-01,Rex\n").await.ok();
    assert_eq!(counts(&done), [1, 0, 0, 0], "the younger one is too young");
    // A row that may be either.
    import(&kennel, "dogs", "name,colour\nRex,black\n").await.refused(&["#line/2"]);
    let told = import(&kennel, "dogs", "name,born_on,colour\nRex,2019,black\n").await.ok();
    assert_eq!(counts(&told), [0, 1, 0, 0]);
    import(&kennel, "dogs", "name\nFern\nFern\n").await.refused(&["#line/3"]);
}

#[tokio::test]
async fn a_workbook_is_read_with_its_days() {
    let kennel = Kennel::among_others().await;
    let rows: &[&[&str]] = &[
        &["name", "born_on", "chip_number", "sex"],
        &["Juno", "44289", "276098100123456", "bitch"],
        &[],
        &["Rex", "43000", "", "dog"],
    ];
    let book = workbook(rows);
    let send = async |path: &str, body: Vec<u8>| kennel.post_raw(path, WORKBOOK, body).await;
    let done = send("/imports/dogs?sheet=dogs", book.clone()).await.ok();
    assert_eq!(outcomes(&done), [outcome(2, "created"), outcome(4, "created")]);
    let kept = dogs(&kennel).await;
    let juno = called(&kept, "Juno");
    assert_eq!(
        (&juno["born_on"], &juno["chip_number"]),
        (&json!("2021-04-03"), &json!("276098100123456"))
    );
    assert_eq!(counts(&send("/imports/dogs", book.clone()).await.ok()), [0, 0, 2, 0]);
    send("/imports/dogs?sheet=Pups", book.clone()).await.refused(&["#query/sheet"]);
    send("/imports/dogs", book[..book.len() / 2].to_vec()).await.refused(&["#line/1"]);
    send("/imports/dogs?separator=stroke", book.clone()).await.problem(400);
    send("/imports/cats", book).await.problem(404);
}

/// Sixty-five megabytes of blanks in some sixty kilobytes: refused, and the service goes on.
#[tokio::test]
async fn a_bomb_is_refused() {
    let kennel = Kennel::among_others().await;
    let blank = " ".repeat(65 << 20);
    let bomb = packed(&[("xl/workbook.xml", "<workbook/>"), ("xl/worksheets/sheet1.xml", &blank)]);
    assert!(bomb.len() < 200_000);
    for _ in 0..3 {
        let problem =
            kennel.post_raw("/imports/weights", WORKBOOK, bomb.clone()).await.problem(422);
        let detail = problem["errors"][0]["detail"].as_str().unwrap();
        assert!(detail.contains("unpacks to more than 64 MB"), "{detail}");
    }
    let shared = "<sst uniqueCount=\"99999999999999\"></sst>";
    let promise = packed(&[("xl/workbook.xml", "<workbook/>"), ("xl/sharedStrings.xml", shared)]);
    kennel.post_raw("/imports/weights", WORKBOOK, promise).await.refused(&["#line/1"]);
    kennel.get("/dogs").await.expect(200);
}

async fn weights_of(kennel: &Kennel, dog: Uuid) -> Vec<(String, i64)> {
    let list = kennel.get(&format!("/dogs/{dog}/weights")).await.ok();
    let weight = |row: &Value| {
        (row["measured_at"].as_str().unwrap().to_owned(), row["weight_g"].as_i64().unwrap())
    };
    items(&list).iter().map(weight).collect()
}

#[tokio::test]
async fn weights_come_in_once_and_are_corrected() {
    let kennel = Kennel::among_others().await;
    let dog = kennel.dog("Fern", json!({ "call_name": "Férn" })).await;
    let text = "dog\tdate\ttime\tlb\toz\n\
        fern\t2027-02-08\t08:00\t61\t11.7\n\
        Fern\t2027-02-09\t\t62\t\n";
    let tried = import(&kennel, "weights?dry_run=true", text).await.ok();
    assert_eq!((counts(&tried), &tried["dry_run"]), ([2, 0, 0, 0], &json!(true)));
    assert!(weights_of(&kennel, dog).await.is_empty(), "a try writes nothing");
    assert_eq!(counts(&import(&kennel, "weights", text).await.ok()), [2, 0, 0, 0]);
    // 61 lb 11.7 oz are 28,000.8 g; Berlin is an hour ahead, and no time is noon.
    assert_eq!(
        weights_of(&kennel, dog).await,
        [("2027-02-08T07:00:00Z".to_owned(), 28_001), ("2027-02-09T11:00:00Z".to_owned(), 28_123)]
    );
    let again = import(&kennel, "weights", text).await.ok();
    assert_eq!(outcomes(&again), [outcome(2, "unchanged"), outcome(3, "unchanged")]);
    // Written down by hand at another time of that day, it is the same weighing.
    kennel
        .post(
            &format!("/dogs/{dog}/weights"),
            json!({ "measured_at": "2027-02-07T19:00:00Z", "weight_g": 28_000 }),
        )
        .await
        .created();
    let more = "dog,date,time,weight_g\nFern,2027-02-07,,28000\nFern,2027-02-08,08:00,28100\n";
    let report = import(&kennel, "weights", more).await.ok();
    assert_eq!(outcomes(&report), [outcome(2, "unchanged"), outcome(3, "updated")]);
    assert_eq!(report["lines"][1]["changes"], json!(["weight_g"]));
    assert_eq!(weights_of(&kennel, dog).await.len(), 3);
}

/// What a single write is asked, a row is asked; every fault has its line and column.
#[tokio::test]
async fn a_row_is_held_against_what_a_single_write_is() {
    let kennel = Kennel::among_others().await;
    let (_, pups) = kennel.born_litter(2, 10).await;
    kennel.change(&format!("/dogs/{}", pups[0]), json!({ "name": "Pip" })).await.ok();
    for dog in ["Rex", "Rex"] {
        kennel.dog(dog, json!({})).await;
    }
    let day = days_ago(1);
    let text = format!(
        "dog,date,weight_g,weight_kg\n\
         Pip,{day},9,\n\
         Nobody,{day},431,\n\
         Rex,{day},28000,\n\
         Pip,{},700,\n",
        days_ago(-3)
    );
    // By themselves first: too light, and a day to come.
    import(&kennel, "weights", text).await.refused(&["#line/2/weight_g", "#line/5/measured_at"]);
    let text = format!(
        "dog,date,weight_kg,note\nPip,{day},7,\nNobody,{day},0.431,\nRex,{day},28,\nPip,{},0.55,\n",
        days_ago(5)
    );
    let wanted = ["#line/2/weight_kg", "#line/3/dog", "#line/4/dog"];
    import(&kennel, "weights", text.clone()).await.refused(&wanted);
    let tried = import(&kennel, "weights?dry_run=true", text).await.ok();
    let lines = [
        outcome(2, "refused"),
        outcome(3, "refused"),
        outcome(4, "refused"),
        outcome(5, "created"),
    ];
    assert_eq!(outcomes(&tried), lines);
    let details: Vec<&str> = tried["errors"]
        .as_array()
        .unwrap()
        .iter()
        .map(|error| error["detail"].as_str().unwrap())
        .collect();
    assert!(details[0].contains("\"confirmed\": true"), "{details:?}");
    assert!(details[1].contains("names no dog"), "{details:?}");
    assert!(details[2].matches("\"Rex\"").count() >= 2, "{details:?}");
    let sure = format!("dog,date,weight_kg,confirmed\nPip,{day},7,yes\n");
    assert_eq!(counts(&import(&kennel, "weights", sure).await.ok()), [1, 0, 0, 0]);
    // Without times both would be of noon.
    let twice =
        format!("dog,date,weight_g,confirmed\nPip,{0},500,yes\nPip,{0},510,yes\n", days_ago(4));
    import(&kennel, "weights", twice).await.refused(&["#line/3"]);
}

#[tokio::test]
async fn temperatures_and_health_events_come_in() {
    let kennel = Kennel::among_others().await;
    let dam = kennel.dam("Juno").await;
    let text = "dam,date,time,°F\nJuno,2027-02-09,8:00 pm,99.1\n";
    assert_eq!(counts(&import(&kennel, "temperatures", text).await.ok()), [1, 0, 0, 0]);
    assert_eq!(counts(&import(&kennel, "temperatures", text).await.ok()), [0, 0, 1, 0]);
    let list = kennel.get(&format!("/dogs/{dam}/temperatures")).await.ok();
    let kept = &items(&list)[0];
    assert_eq!(
        (&kept["temperature_c"], &kept["measured_at"]),
        (&json!(37.28), &json!("2027-02-09T19:00:00Z"))
    );
    let text = "Hund;Art;Datum;Impfstoff;Charge\nJuno;Impfung;2027-01-05;Core 5;B1\nJuno;Wurmkur;2027-01-05;;\n";
    let order = "health-events?dry_run=true";
    assert_eq!(counts(&import(&kennel, order, text).await.ok()), [2, 0, 0, 0]);
    assert_eq!(counts(&import(&kennel, "health-events", text).await.ok()), [2, 0, 0, 0]);
    let corrected = text.replace("B1", "B2");
    let again = import(&kennel, "health-events", corrected).await.ok();
    assert_eq!(outcomes(&again), [outcome(2, "updated"), outcome(3, "unchanged")]);
    assert_eq!(again["lines"][0]["changes"], json!(["batch"]));
    let events = kennel.get(&format!("/health-events?dog_id={dam}")).await.ok();
    assert_eq!(items(&events).len(), 2);
    // What a table of ours writes of a dose of several series, and of tests, comes in as it was.
    let tests = "dog,kind,date,series,also_series,result,protective\n\
        Juno,vaccination,2027-01-12,core,\"[\"\"leptospirosis\"\",\"\"rabies\"\"]\",,\n\
        Juno,test,2027-01-13,brucellosis,,negativ,\n\
        Juno,test,2027-01-14,core,,,ja\n";
    assert_eq!(counts(&import(&kennel, "health-events", tests).await.ok()), [3, 0, 0, 0]);
    assert_eq!(counts(&import(&kennel, "health-events", tests).await.ok()), [0, 0, 3, 0]);
    let kept = kennel.get(&format!("/health-events?dog_id={dam}&since=2027-01-10T00:00:00Z")).await;
    let kept = kept.ok();
    let told = |event: &Value| {
        json!([event["series"], event["also_series"], event["result"], event["protective"]])
    };
    let mut told: Vec<Value> = items(&kept).iter().map(told).collect();
    told.sort_by_key(Value::to_string);
    assert_eq!(
        told,
        [
            json!(["brucellosis", [], "negative", null]),
            json!(["core", ["leptospirosis", "rabies"], null, null]),
            json!(["core", [], null, true]),
        ]
    );
    // Before the dog was born; past its expiry.
    let wrong = "dog,kind,date,expiry\nJuno,vaccinated,2010-01-05,\nJuno,vaccinated,2027-02-01,2026-12-31\n";
    import(&kennel, "health-events", wrong)
        .await
        .refused(&["#line/2/given_at", "#line/3/expires_on"]);
}

#[tokio::test]
async fn chips_are_set_once() {
    let kennel = Kennel::among_others().await;
    let (dog, other) = (kennel.dog("Fern", json!({})).await, kennel.dog("Wren", json!({})).await);
    let text = "name,chip\nFern,276 098 100 123 456\n";
    assert_eq!(counts(&import(&kennel, "microchips?dry_run=true", text).await.ok()), [0, 1, 0, 0]);
    assert!(kennel.get(&format!("/dogs/{dog}")).await.ok()["chip_number"].is_null());
    assert_eq!(counts(&import(&kennel, "microchips", text).await.ok()), [0, 1, 0, 0]);
    assert_eq!(kennel.get(&format!("/dogs/{dog}")).await.ok()["chip_number"], "276098100123456");
    let events = kennel.get(&format!("/health-events?dog_id={dog}&kind=microchip")).await.ok();
    assert_eq!(items(&events).len(), 1);
    assert_eq!(counts(&import(&kennel, "microchips", text).await.ok()), [0, 0, 1, 0]);
    let wrong = "dog,chip\nWren,276098100123456\nFern,276098100123457\nWren,999000000000001\n";
    import(&kennel, "microchips", wrong).await.refused(&["#line/4/chip_number"]);
    let wrong = "dog,chip\nWren,276098100123456\nFern,276098100123457\n";
    let places = ["#line/2/chip_number", "#line/3/chip_number"];
    import(&kennel, "microchips", wrong).await.refused(&places);
    assert!(kennel.get(&format!("/dogs/{other}")).await.ok()["chip_number"].is_null());
}

#[tokio::test]
async fn buyers_are_known_by_address_or_name() {
    let kennel = Kennel::among_others().await;
    let text = "Name,E-Mail,waiting since,wished gender,phone\n\
        Ottilie Marsh,ottilie@example.org,2026-01-20,bitch,\n\
        Wren Holt,,2026-02-01,,1\n";
    assert_eq!(counts(&import(&kennel, "buyers?dry_run=true", text).await.ok()), [2, 0, 0, 0]);
    assert_eq!(counts(&import(&kennel, "buyers", text).await.ok()), [2, 0, 0, 0]);
    assert_eq!(counts(&import(&kennel, "buyers", text).await.ok()), [0, 0, 2, 0]);
    let more = "name,email,joined_on,phone\nOttilie M.,OTTILIE@example.org,2026-01-20,2\nwren holt,w@example.org,2026-02-01,\n";
    let report = import(&kennel, "buyers", more).await.ok();
    assert_eq!(report["lines"][0]["changes"], json!(["name", "email", "phone"]));
    assert_eq!(counts(&report), [0, 2, 0, 0]);
    let list = kennel.get("/buyers").await.ok();
    assert_eq!(items(&list).len(), 2);
    assert_eq!(
        (&items(&list)[0]["phone"], &items(&list)[0]["wishes"]["sex"]),
        (&json!("2"), &json!("female"))
    );
    let wrong = "name,email,joined_on,wished_from,wished_until\nA,none,2026-01-20,,\nB,,2026-01-20,2026-05-01,2026-04-01\n,,2026-01-20,,\n";
    let places = ["#line/2/email", "#line/3/wished_until", "#line/4/name"];
    import(&kennel, "buyers", wrong).await.refused(&places);
}

#[tokio::test]
async fn who_may_not_write_such_rows_takes_no_file_in() {
    let kennel = Kennel::among_others().await;
    kennel.dog("Fern", json!({})).await;
    let (helper, viewer) = (kennel.helper().await, kennel.viewer().await);
    let files = [
        ("dogs", "name\nWren\n", 403),
        ("weights", "dog,date,kg\nFern,2027-02-09,28\n", 200),
        ("temperatures", "dog,date,celsius\nFern,2027-02-09,38\n", 200),
        ("health-events", "dog,kind,date\nFern,worming,2027-02-09\n", 200),
        ("microchips", "dog,chip\nFern,276098100123456\n", 200),
        ("buyers", "name,joined_on\nOttilie,2026-01-20\n", 403),
    ];
    for (kind, text, of_helper) in files {
        let path = format!("/imports/{kind}");
        viewer.post_raw(&path, CSV, text).await.problem(403);
        let answer = helper.post_raw(&path, CSV, text).await;
        assert_eq!(answer.status, of_helper, "{kind}: {}", answer.text());
        kennel.nobody().post_raw(&path, CSV, text).await.problem(401);
    }
    // Who sees one dog names no other.
    let shared = kennel.dog("Alma", json!({})).await;
    let co_owner = kennel.co_owner(&[shared]).await;
    let weigh = async |dog: &str| {
        let text = format!("dog,date,kg\n{dog},2027-02-08,28\n");
        co_owner.post_raw("/imports/weights", CSV, text).await
    };
    assert_eq!(counts(&weigh("Alma").await.ok()), [1, 0, 0, 0]);
    weigh("Fern").await.refused(&["#line/2/dog"]);
}

#[tokio::test]
async fn many_weights_come_in_within_a_request() {
    let kennel = Kennel::among_others().await;
    let (_, pups) = kennel.born_litter(6, 40).await;
    let mut text = "dog,date,time,weight_g\n".to_owned();
    for (at, pup) in pups.iter().enumerate() {
        for day in 0..38 {
            let grams = 420.0 * 1.06_f64.powi(day) + 5.0 * at as f64;
            let on = now() - Duration::days(39 - i64::from(day));
            text += &format!("{pup},{},07:00,{grams:.0}\n", on.date_naive());
        }
    }
    let report = import(&kennel, "weights", text.clone()).await.ok();
    assert_eq!(counts(&report), [228, 0, 0, 0], "{report}");
    assert_eq!(counts(&import(&kennel, "weights", text).await.ok()), [0, 0, 228, 0]);
}
