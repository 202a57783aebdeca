//! Pedigree files in and out, and what is computed from them.

use crate::common::*;
use std::collections::HashMap;
use store::{
    scope,
    studbooks::{self, Studbooks},
};

const REFERENCE: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/reference/coi/");

fn reference(file: &str) -> String {
    std::fs::read_to_string(format!("{REFERENCE}{file}")).unwrap()
}

/// The rows of a reference file, by the names of its columns.
fn rows(file: &str) -> Vec<HashMap<String, String>> {
    let text = reference(file);
    let mut rows = csv::Reader::from_reader(text.as_bytes());
    rows.deserialize().map(|row| row.unwrap()).collect()
}

async fn import(kennel: &Kennel, query: &str, text: impl Into<Vec<u8>>) -> Answer {
    kennel.post_raw(&format!("/imports/dogs{query}"), "text/csv", text).await
}

/// The kennel's ids by those of the file.
async fn imported(kennel: &Kennel) -> HashMap<String, Uuid> {
    let mut found = HashMap::new();
    let mut path = "/dogs?limit=500".to_owned();
    loop {
        let page = kennel.get(&path).await.ok();
        for dog in items(&page) {
            found.insert(dog["imported_id"].as_str().unwrap().to_owned(), id(dog));
        }
        match page["next_cursor"].as_str() {
            Some(cursor) => path = format!("/dogs?limit=500&cursor={cursor}"),
            None => return found,
        }
    }
}

fn counts(answer: &Value) -> [u64; 3] {
    ["created", "updated", "unchanged"].map(|name| answer[name].as_u64().unwrap())
}

async fn inbreeding(kennel: &Kennel, dog: Uuid) -> f64 {
    let report = kennel.get(&format!("/dogs/{dog}/inbreeding")).await.ok();
    report["inbreeding"].as_f64().unwrap()
}

/// The coefficients of the reference files (their sources are in the README beside them) come
/// out of import and computation as they are published; a second import doubles nothing.
#[tokio::test]
async fn gives_the_published_coefficients() {
    let first = Kennel::among_others().await;
    let names = [
        "classical_matings",
        "fernando_grossman1990",
        "fullsib_10gen",
        "habsburg_truncated",
        "halfsib_10gen",
        "mrode_ch3",
        "mrode_ex2_1",
    ];
    for name in names {
        let kennel = first.another().await;
        let text = reference(&format!("{name}.csv"));
        let query =
            if text.lines().next().unwrap().contains("birth") { "?born_on=birth" } else { "" };
        let report = import(&kennel, query, text.clone()).await.ok();
        let again = import(&kennel, query, text).await.ok();
        let [created, ..] = counts(&report);
        assert_eq!(counts(&again)[..2], [0, 0], "{name}");
        let dogs = imported(&kennel).await;
        assert_eq!(dogs.len() as u64, created, "{name}");
        for row in rows(&format!("{name}.expected.csv")) {
            let wanted: f64 = row["F"].parse().unwrap();
            let found = inbreeding(&kennel, dogs[&row["id"]]).await;
            assert!((found - wanted).abs() < 1e-12, "{name} {}: {found} {wanted}", row["id"]);
        }
    }
}

/// A grid of trial matings and the figures of limited generations; the contributions listed and
/// not listed sum to the coefficient.
#[tokio::test]
async fn tries_matings_as_published() {
    let kennel = Kennel::among_others().await;
    import(&kennel, "?born_on=birth", reference("mating_600.csv")).await.ok();
    let dogs = imported(&kennel).await;
    let grid = rows("mating_600.grid.csv");
    let ids = |role: &str| {
        let mut ids: Vec<Uuid> = grid.iter().map(|row| dogs[&row[role]]).collect();
        ids.sort_unstable();
        ids.dedup();
        ids
    };
    let body = json!({ "dams": ids("dam"), "sires": ids("sire") });
    let answer = kennel.post("/trial-matings", body).await.ok();
    let pair = |dam: &Value, sire: &Value| {
        (dam.as_str().unwrap().to_owned(), sire.as_str().unwrap().to_owned())
    };
    let found: HashMap<_, f64> = answer["pairs"]
        .as_array()
        .unwrap()
        .iter()
        .map(|p| (pair(&p["dam_id"], &p["sire_id"]), p["inbreeding"].as_f64().unwrap()))
        .collect();
    assert!(grid.len() > 50);
    for row in &grid {
        let key = (dogs[&row["dam"]].to_string(), dogs[&row["sire"]].to_string());
        let wanted: f64 = row["F_offspring"].parse().unwrap();
        assert!((found[&key] - wanted).abs() < 1e-12, "{row:?}");
    }
    for row in rows("mating_600.generations.csv").iter().take(6) {
        for generations in [3, 5, 8, 10] {
            let body = json!({
                "dams": [dogs[&row["dam"]]], "sires": [dogs[&row["sire"]]],
                "generations": generations, "explain": true,
            });
            let answer = kennel.post("/trial-matings", body).await.ok();
            let wanted: f64 = row[&format!("F_k{generations}")].parse().unwrap();
            let limited = answer["pairs"][0]["limited_inbreeding"].as_f64().unwrap();
            assert!((limited - wanted).abs() < 1e-12, "{row:?} over {generations}");
            let report = &answer["explanations"][0]["report"];
            let ancestors = report["ancestors"].as_array().unwrap().iter();
            let sum: f64 = ancestors.map(|one| one["contribution"].as_f64().unwrap()).sum();
            let rest = report["contribution_not_listed"].as_f64().unwrap();
            let whole = answer["pairs"][0]["inbreeding"].as_f64().unwrap();
            assert!((sum + rest - whole).abs() < 1e-12, "{row:?}");
        }
    }
}

#[tokio::test]
async fn refuses_the_faulty_reference_files_by_line() {
    let kennel = Kennel::among_others().await;
    for (file, wanted) in [
        ("cycle_own_ancestor", "#line/4"),
        ("same_sire_and_dam", "#line/6"),
        ("sire_is_female", "#line/6"),
    ] {
        let answer =
            import(&kennel, "?born_on=birth", reference(&format!("errors/{file}.csv"))).await;
        answer.refused(&[wanted]);
    }
    assert!(items(&kennel.get("/dogs").await.ok()).is_empty(), "all or nothing");
}

#[tokio::test]
async fn takes_what_other_programs_export() {
    let kennel = Kennel::among_others().await;
    let text = "\u{feff}ID,Sire,Dam,Sex,Birth,Kind\r\nB,A,C,f,2020-05,x\r\n\"D, the younger\",A,B,male,2022,y\r\n";
    let query = "?born_on=birth&ignore=kind";
    let tried = import(&kennel, &format!("{query}&dry_run=true"), text).await.ok();
    assert_eq!((counts(&tried), &tried["dry_run"]), ([4, 0, 0], &json!(true)));
    assert!(items(&kennel.get("/dogs").await.ok()).is_empty(), "a dry run writes nothing");
    let done = import(&kennel, query, text).await.ok();
    assert_eq!((counts(&done), &done["implied_parents"]), ([4, 0, 0], &json!(2)));
    let found = kennel.get("/dogs?imported_id=A").await.ok();
    let sire = &items(&found)[0];
    assert_eq!((&sire["sex"], &sire["residence"]), (&json!("male"), &json!("elsewhere")));
    // A change of the file updates; an empty value leaves what the kennel wrote.
    let b = items(&kennel.get("/dogs?imported_id=B").await.ok())[0].clone();
    kennel.change(&format!("/dogs/{}", id(&b)), json!({ "call_name": "Bee" })).await.ok();
    let again = import(&kennel, "", "id,call_name,name,born_on\nB,,Bella,2020-05-17\n").await.ok();
    assert_eq!(counts(&again), [0, 1, 0]);
    let b = kennel.get(&format!("/dogs/{}", id(&b))).await.ok();
    assert_eq!(
        (&b["call_name"], &b["name"], &b["born_on"]),
        (&json!("Bee"), &json!("Bella"), &json!("2020-05-17"))
    );
}

/// As with any write of a dog: who comes to live here came today.
#[tokio::test]
async fn a_dog_that_a_file_brings_home_came_today() {
    let kennel = Kennel::among_others().await;
    let file = |home: &str| format!("id,name,sex,residence\n1,Sorrel,female,{home}\n");
    let came_on = async || {
        let dog = imported(&kennel).await["1"];
        kennel.get(&format!("/dogs/{dog}")).await.ok()["came_on"].clone()
    };
    import(&kennel, "", file("elsewhere")).await.ok();
    assert_eq!(came_on().await, json!(null));
    import(&kennel, "", file("here")).await.ok();
    assert_eq!(came_on().await, json!(days_ago(0)));
}

#[tokio::test]
async fn export_gives_back_what_import_took() {
    let kennel = Kennel::among_others().await;
    let text = "id,name,sex,born_on,sire,dam,registrations,residence,note\n\
        A,\"Rex, \"\"the Old\"\"\",male,1999,,,Stud book: 7/1,elsewhere,\n\
        B,Alma,female,2000-02,,,,elsewhere,\"two\nlines\"\n\
        C,Juno,female,2003-04-05,A,B,Stud book: 9/2; Club: 4,here,\n";
    import(&kennel, "", text).await.ok();
    let own = kennel.dog("Wren", json!({ "sex": "female" })).await;
    let export = kennel.get("/pedigrees/export").await.expect(200);
    assert_eq!(export.header("content-type"), "text/csv; charset=utf-8");
    let lines = |text: &str| {
        let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
        lines.sort();
        lines
    };
    assert_eq!(counts(&import(&kennel, "", export.text()).await.ok()), [0, 0, 4]);
    let other = kennel.another().await;
    assert_eq!(counts(&import(&other, "", export.text()).await.ok()), [4, 0, 0]);
    let back = other.get("/pedigrees/export").await.expect(200);
    assert_eq!(lines(&back.text()), lines(&export.text()));
    assert!(export.text().contains(&own.to_string()), "a dog without a file's id goes by its own");
}

#[tokio::test]
async fn conflicts_with_the_kennels_dogs_are_told_by_line() {
    let kennel = Kennel::among_others().await;
    let first =
        "id,sex,born_on,sire,chip_number\nA,M,2010,,\nB,M,2012,A,\nC,M,2014,B,276098100123456\n";
    import(&kennel, "", first).await.ok();
    for (text, wanted) in [
        ("id,dam\nX,\nD,A\n", &["#line/3"][..]),
        ("id,sex\nA,F\n", &["#line/2"]),
        // Born too late, and its own descendant.
        ("id,sire\nX,\nA,C\n", &["#line/3", "#line/3"]),
        ("id,born_on,sire\nD,2009,A\n", &["#line/2"]),
        ("id,born_on\nA,2013\n", &["#line/2"]),
        ("id,chip_number\nE,276098100123456\n", &["#line/2"]),
    ] {
        import(&kennel, "", text).await.refused(wanted);
        let tried = import(&kennel, "?dry_run=true", text).await.ok();
        assert_eq!(
            (&tried["refused"], &tried["errors"][0]["pointer"]),
            (&json!(1), &json!(wanted[0]))
        );
    }
    assert_eq!(items(&kennel.get("/dogs").await.ok()).len(), 3);
}

#[tokio::test]
async fn says_what_is_wrong_with_a_request() {
    let kennel = Kennel::among_others().await;
    let json = kennel.post_raw("/imports/dogs", "application/json", "{}").await;
    json.problem(415);
    assert_eq!(import(&kennel, "?colr=x", "id\nA\n").await.pointers(400).len(), 1);
    import(&kennel, "?born_on=birth", "id\nA\n").await.refused(&["#query/born_on"]);
    import(&kennel, "", "").await.refused(&["#line/1"]);
    let many: String = (0..1500).map(|n| format!("A{n},x\n")).collect();
    let pointers = import(&kennel, "", format!("id,sex\n{many}")).await.pointers(422);
    assert_eq!(pointers.len(), 50, "fifty are told");
    for caller in [kennel.helper().await, kennel.viewer().await, kennel.member(Role::CoOwner).await]
    {
        caller.post_raw("/imports/dogs", "text/csv", "id\nA\n").await.problem(403);
    }
}

#[tokio::test]
async fn two_imports_at_once_double_nothing() {
    let kennel = Kennel::among_others().await;
    let text: String = (0..300).map(|n| format!("D{n},D{}\n", n + 1)).collect();
    let text = format!("id,sire\n{text}");
    let (a, b) = tokio::join!(import(&kennel, "", text.clone()), import(&kennel, "", text));
    let mut created = [counts(&a.ok())[0], counts(&b.ok())[0]];
    created.sort_unstable();
    assert_eq!(created, [0, 301]);
    let log = kennel.get("/changes?after=0&limit=500").await.ok();
    let imports = log["items"].as_array().unwrap().iter().filter(|c| c["action"] == "imported");
    assert_eq!(imports.count(), 1, "an import is one entry of the log");
}

#[tokio::test]
async fn refuses_matings_that_cannot_be() {
    let kennel = Kennel::among_others().await;
    let (dam, sire) = (kennel.dam("Juno").await, kennel.sire("Castor").await);
    let tried = async |body: Value| kennel.post("/trial-matings", body).await;
    tried(json!({ "dams": [dam], "sires": [Uuid::now_v7()] })).await.refused(&["/sires/0"]);
    tried(json!({ "dams": [sire], "sires": [dam] })).await.refused(&["/dams/0", "/sires/0"]);
    tried(json!({ "dams": [dam], "sires": [sire, sire] })).await.refused(&["/sires/1"]);
    tried(json!({ "dams": [], "sires": [sire] })).await.refused(&["/dams"]);
    tried(json!({ "dams": [dam], "sires": [sire], "generations": 0 }))
        .await
        .refused(&["/generations"]);
    let many: Vec<Uuid> = (0..201).map(|_| Uuid::now_v7()).collect();
    tried(json!({ "dams": many, "sires": many })).await.refused(&["/sires"]);
    let other = kennel.another().await;
    let body = json!({ "dams": [dam], "sires": [sire] });
    other.post("/trial-matings", body).await.refused(&["/dams/0", "/sires/0"]);
    let nowhere = Uuid::now_v7();
    for path in ["inbreeding", "pedigree", "pedigree.svg", "ancestor-shares", "breed-shares"] {
        kennel.get(&format!("/dogs/{nowhere}/{path}")).await.problem(404);
        other.get(&format!("/dogs/{dam}/{path}")).await.problem(404);
    }
}

/// The pedigree in memory follows births, corrections, deletions and imports, also those that
/// another instance writes.
#[tokio::test]
async fn figures_follow_every_change() {
    let kennel = Kennel::new().await;
    let (dam, sire) = (kennel.dam("Juno").await, kennel.sire("Castor").await);
    let born = json!({ "born_on": "2024-01-01", "sire_id": sire, "dam_id": dam });
    let (son, daughter) = (kennel.dog("Otter", born.clone()).await, kennel.dog("Fern", born).await);
    kennel.change(&format!("/dogs/{son}"), json!({ "sex": "male" })).await.ok();
    kennel.change(&format!("/dogs/{daughter}"), json!({ "sex": "female" })).await.ok();
    assert_eq!(inbreeding(&kennel, son).await, 0.0);
    let inbred = json!({ "born_on": "2025-06-01", "sire_id": son, "dam_id": daughter });
    let pup = kennel.dog("Wren", inbred).await;
    assert_eq!(inbreeding(&kennel, pup).await, 0.25);
    // The pedigree as a second instance holds it.
    let second = Studbooks::new(kennel.service.db.clone());
    let elsewhere = async |dog| second_inbreeding(&kennel, &second, dog).await;
    assert_eq!(elsewhere(pup).await, Some(0.25));
    kennel.change(&format!("/dogs/{daughter}"), json!({ "sire_id": null })).await.ok();
    assert_eq!(elsewhere(pup).await, Some(0.125), "half sibs now");
    assert_eq!(inbreeding(&kennel, pup).await, 0.125);
    let file = format!("id,sire\n{daughter},{sire}\nnew,\n");
    import(&kennel, "", file).await.ok();
    assert_eq!(elsewhere(pup).await, Some(0.25));
    assert_eq!(inbreeding(&kennel, pup).await, 0.25);
    // After a restart, from what is kept and from what is not.
    let third = Studbooks::new(kennel.service.db.clone());
    assert_eq!(second_inbreeding(&kennel, &third, pup).await, Some(0.25));
    kennel.remove(&format!("/dogs/{pup}")).await.no_content();
    kennel.get(&format!("/dogs/{pup}/inbreeding")).await.problem(404);
    assert_eq!(elsewhere(son).await, Some(0.0));
}

async fn second_inbreeding(kennel: &Kennel, books: &Studbooks, dog: Uuid) -> Option<f64> {
    let db = &kennel.service.db;
    let scope = scope::of_person(db, kennel.person_id, kennel.kennel_id, now()).await.unwrap();
    let head = db.within(&scope, async |tx| studbooks::head(tx).await).await.unwrap();
    books.at_least(&scope, head).await.unwrap().inbreeding(&dog)
}

/// What was computed is kept: the database holds the book up to the last change, also of one that is added to, corrected and
/// that loses a dog; and a new instance reads the same of it.
#[tokio::test]
async fn books_are_kept_in_the_database() {
    let kennel = Kennel::new().await;
    import(&kennel, "", reference("mrode_ex2_1.csv")).await.ok();
    let dogs = imported(&kennel).await;
    inbreeding(&kennel, dogs["1"]).await;
    let sql = kennel.sql().await;
    // Dogs and parts of the book that is kept up to the last change.
    let kept = async || {
        let query = "SELECT s.dogs, (SELECT count(*) FROM studbook_parts t WHERE t.kennel_id = s.kennel_id) \
            FROM studbooks s JOIN pedigree_heads p USING (kennel_id) WHERE s.sequence = p.sequence";
        let row = sql.query_opt(query, &[]).await.unwrap();
        row.map(|row| (row.get::<_, i64>(0) as usize, row.get::<_, i64>(1)))
    };
    let is_kept = async |dogs: usize, parts: i64| {
        let is_kept = async || (kept().await == Some((dogs, parts))).then_some(());
        until(format_args!("{dogs} dogs in {parts} parts are kept"), is_kept).await;
    };
    let anew = async |dog| {
        let book = Studbooks::new(kennel.service.db.clone());
        second_inbreeding(&kennel, &book, dog).await
    };
    is_kept(dogs.len(), 1).await;
    for (name, dog) in &dogs {
        assert_eq!(anew(*dog).await, Some(inbreeding(&kennel, *dog).await), "{name}");
    }
    // A pup is a part of its own.
    let (sire, dam) = (kennel.sire("Castor").await, kennel.dam("Juno").await);
    let pup = kennel.dog("Wren", json!({ "sire_id": sire, "dam_id": dam })).await;
    assert_eq!(inbreeding(&kennel, pup).await, 0.0);
    is_kept(dogs.len() + 3, 2).await;
    assert_eq!(anew(pup).await, Some(0.0));
    // After a correction all is written again.
    kennel.change(&format!("/dogs/{pup}"), json!({ "dam_id": null })).await.ok();
    assert_eq!(inbreeding(&kennel, pup).await, 0.0);
    is_kept(dogs.len() + 3, 1).await;
    // Of a dog that is deleted nothing comes back.
    kennel.remove(&format!("/dogs/{pup}")).await.no_content();
    assert_eq!(anew(pup).await, None);
    assert_eq!(anew(sire).await, Some(0.0));
    // What is spoilt is made anew of the dogs.
    sql.batch_execute("UPDATE studbook_parts SET content = substr(content, 2)").await.unwrap();
    assert_eq!(anew(sire).await, Some(0.0));
}

/// A co-owner's figures rest on the whole pedigree, and its ancestors are shown; the other dogs
/// of the kennel stay out of sight.
#[tokio::test]
async fn a_co_owner_sees_the_ancestors_of_the_shared_dog() {
    let kennel = Kennel::among_others().await;
    let text =
        "id,name,sex,sire,dam\nS,Rex,M,,\nD,Alma,F,,\nA,Otter,M,S,D\nB,Fern,F,S,D\nP,Wren,F,A,B\n";
    import(&kennel, "", text).await.ok();
    let dogs = imported(&kennel).await;
    let co_owner = kennel.co_owner(&[dogs["P"]]).await;
    let report = co_owner.get(&format!("/dogs/{}/inbreeding", dogs["P"])).await.ok();
    assert_eq!(report["inbreeding"], 0.25);
    let named = report["dogs"].as_array().unwrap().iter().filter(|dog| dog["name"] == "Rex");
    assert_eq!(named.count(), 1);
    let tree = co_owner.get(&format!("/dogs/{}/pedigree?generations=2", dogs["P"])).await.ok();
    assert_eq!(tree["ancestors"].as_array().unwrap().len(), 6);
    assert_eq!(tree["repeated"].as_array().unwrap().len(), 2);
    co_owner.get(&format!("/dogs/{}/inbreeding", dogs["A"])).await.problem(404);
    let body = json!({ "dams": [dogs["P"]], "sires": [dogs["A"]] });
    co_owner.post("/trial-matings", body).await.refused(&["/sires/0"]);
    let export = co_owner.get("/pedigrees/export").await.expect(200).text();
    assert_eq!(export.lines().count(), 2, "the shared dog alone");
}

/// A breed's whole studbook in one request, rows in any order; each parent is looked up by its key.
#[tokio::test]
async fn a_studbook_of_a_hundred_thousand_comes_in_at_once() {
    let kennel = Kennel::new().await;
    // Dogs of an earlier day, so that the database has plans for a small kennel.
    kennel.born_litter(3, 30).await;
    let mut text = "id,name,sex,born_on,sire,dam\n".to_owned();
    for number in (0..100_000).rev() {
        let sex = if number % 2 == 0 { "M" } else { "F" };
        let (sire, dam) = match number / 1000 {
            0 => (String::new(), String::new()),
            generation => {
                let first = (generation - 1) * 1000;
                // Twenty popular sires a year, and every other bitch.
                let (sire, dam) = (number * 31 % 20 * 2, number * 7919 % 250 * 2 + 1);
                (format!("D{}", first + sire), format!("D{}", first + dam))
            }
        };
        let year = 1900 + number / 1000;
        text.push_str(&format!("D{number},Dog {number},{sex},{year},{sire},{dam}\n"));
    }
    assert_eq!(counts(&import(&kennel, "", text).await.ok()), [100_000, 0, 0]);
    let last = kennel.get("/dogs?imported_id=D99999").await.ok();
    let sire = kennel.get("/dogs?imported_id=D99998").await.ok();
    let body = json!({ "dams": [ids(&last)[0]], "sires": [ids(&sire)[0]] });
    let pair = kennel.post("/trial-matings", body).await.ok()["pairs"][0].clone();
    assert!((0.0..1.0).contains(&pair["inbreeding"].as_f64().unwrap()), "{pair}");
    assert!(pair["complete_generation_equivalents"].as_f64().unwrap() > 90.0, "{pair}");
}
