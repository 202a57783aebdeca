//! The calendar as others subscribe to it: what it shows, and who chooses that.

use crate::common::*;
use ical::{parser::ical::component::IcalEvent, property::Property};
use std::collections::BTreeMap;

fn events(text: &str) -> Vec<IcalEvent> {
    let mut calendars = ical::IcalParser::new(text.as_bytes());
    let calendar = calendars.next().unwrap().unwrap();
    assert!(calendars.next().is_none());
    calendar.events
}

fn value(properties: &[Property], name: &str) -> String {
    let found = properties.iter().find(|property| property.name == name);
    found.and_then(|property| property.value.clone()).unwrap_or_default()
}

/// How many events there are of each category.
fn counts(events: &[IcalEvent]) -> BTreeMap<String, usize> {
    let mut counts = BTreeMap::new();
    for event in events {
        *counts.entry(value(&event.properties, "CATEGORIES")).or_default() += 1;
    }
    counts
}

/// A kennel with a litter that is expected, a person who is away, and something to do.
async fn busy() -> Kennel {
    let kennel = Kennel::among_others().await;
    let (dam, sire) = (kennel.dam("Alma").await, kennel.sire("Rex").await);
    let mating = kennel.mating(dam, sire, 40).await;
    let litter = json!({ "dam_id": dam, "sire_id": sire, "mating_id": mating });
    kennel.post("/litters", litter).await.created();
    let away = json!({ "person_id": kennel.owner().person_id, "from_on": days_ago(-3), "to_on": days_ago(-5) });
    kennel.post("/absences", away).await.created();
    for n in 0..3 {
        let task = json!({ "title": format!("Task {n}"), "due_on": days_ago(-100) });
        kennel.post("/own-tasks", task).await.created();
    }
    kennel
}

async fn read(caller: &Caller, path: &str) -> Vec<IcalEvent> {
    events(&caller.get(path).await.expect(200).text())
}

#[tokio::test]
async fn a_feed_shows_what_it_is_asked_for() {
    let kennel = busy().await;
    let all = counts(&read(&kennel, "/calendar.ics").await);
    for category in ["Whelping", "Going home", "Chores", "Absences"] {
        assert!(all.contains_key(category), "{category} of {all:?}");
    }
    let some = read(&kennel, "/calendar.ics?kinds=whelping,absences").await;
    assert_eq!(counts(&some), [("Absences".to_owned(), 1), ("Whelping".to_owned(), 1)].into());
    assert!(some.iter().all(|event| event.alarms.is_empty()), "only links ring");
    let due =
        some.iter().find(|event| value(&event.properties, "CATEGORIES") == "Whelping").unwrap();
    assert!(value(&due.properties, "DESCRIPTION").contains("% from"), "the window is told");

    let chores = read(&kennel, "/calendar.ics?kinds=chores").await;
    let days: Vec<String> =
        chores.iter().map(|event| value(&event.properties, "DTSTART")).collect();
    let mut once = days.clone();
    once.sort();
    once.dedup();
    assert_eq!(days.len(), once.len(), "one event a day");
    let far = chores.iter().find(|event| value(&event.properties, "SUMMARY").contains("Task"));
    let detail = value(&far.unwrap().properties, "DESCRIPTION");
    assert!((0..3).all(|n| detail.contains(&format!("Task {n}"))), "{detail}");

    for wrong in ["kinds=", "kinds=births", "kinds=health,", "kind=health"] {
        kennel.get(&format!("/calendar.ics?{wrong}")).await.problem(400);
    }
}

#[tokio::test]
async fn a_link_shows_what_it_was_made_for_until_that_is_changed() {
    let kennel = busy().await;
    let new = json!({ "name": "Phone", "kinds": ["whelping"], "alarms": true });
    let link = kennel.post("/calendar-links", new).await.created();
    assert_eq!((&link["kinds"], &link["alarms"]), (&json!(["whelping"]), &json!(true)));
    let nobody = kennel.owner().nobody();
    let path = link["path"].as_str().unwrap().to_owned();
    let before = read(&nobody, &path).await;
    assert_eq!(counts(&before), [("Whelping".to_owned(), 1)].into());
    assert!(before.iter().all(|event| !event.alarms.is_empty()));

    let place = format!("/calendar-links/{}", id(&link));
    let put = |caller: &Caller, version: &str, body: Value| {
        let request = caller.request(reqwest::Method::PUT, &place);
        request.header("If-Match", version).json(&body).send()
    };
    let other = json!({ "name": "Wall", "kinds": ["absences", "chores"] });
    let changed = put(&kennel, "\"1\"", other.clone()).await.expect(200);
    assert_eq!(changed.etag(), "\"2\"");
    let changed = changed.json();
    assert_eq!((&changed["name"], &changed["alarms"]), (&json!("Wall"), &json!(false)));
    assert!(changed["path"].is_null(), "the address is not told again");
    let after = counts(&read(&nobody, &path).await);
    assert_eq!(after.keys().collect::<Vec<_>>(), ["Absences", "Chores"]);
    let listed = kennel.get("/calendar-links").await.ok();
    assert_eq!(
        (&items(&listed)[0]["version"], &items(&listed)[0]["kinds"]),
        (&json!(2), &other["kinds"])
    );

    put(&kennel, "\"1\"", other.clone()).await.problem(412);
    let unseen = kennel.request(reqwest::Method::PUT, &place).json(&other).send().await;
    unseen.problem(428);
    let odd = json!({ "name": "", "kinds": ["births"] });
    put(&kennel, "\"2\"", odd).await.refused(&["/kinds/0", "/name"]);
    // Nobody but those who manage the kennel touches another's.
    put(&kennel.helper().await, "*", other).await.problem(404);
    let all = json!({ "name": "Wall" });
    put(&kennel, "*", all).await.expect(200);
    assert!(read(&nobody, &path).await.len() > 3, "a link without kinds shows everything");
}

/// The calendar of a kennel with litters in the house can be read: it was 234 events, one of 936 days.
#[tokio::test]
async fn the_demos_calendar_is_one_that_can_be_read() {
    let maren = Kennel::demo().await;
    let shown = read(&maren, "/calendar.ics").await;
    let told: Vec<String> = shown
        .iter()
        .map(|event| {
            ["DTSTART", "CATEGORIES", "SUMMARY"].map(|of| value(&event.properties, of)).join(" ")
        })
        .collect();
    assert!(shown.len() < 60, "{} events: {told:#?}", shown.len());
    for category in ["Whelping", "Going home", "Health", "Heats", "Chores"] {
        assert!(counts(&shown).contains_key(category), "{category} of {told:#?}");
    }
    let day = |event: &IcalEvent, of| {
        chrono::NaiveDate::parse_from_str(&value(&event.properties, of), "%Y%m%d").unwrap()
    };
    for event in &shown {
        let days = (day(event, "DTEND") - day(event, "DTSTART")).num_days();
        assert!((1..=14).contains(&days), "{days} days: {:?}", event.properties);
    }
    // The same events, by the same ids, a minute later and by a link.
    let ids = |events: &[IcalEvent]| -> Vec<String> {
        let mut ids: Vec<_> = events.iter().map(|event| value(&event.properties, "UID")).collect();
        ids.sort();
        ids
    };
    let first = ids(&shown);
    let mut once = first.clone();
    once.dedup();
    assert_eq!(first, once, "each id is there once");
    let link = maren.post("/calendar-links", json!({ "name": "Phone" })).await.created();
    let linked = read(&maren.nobody(), link["path"].as_str().unwrap()).await;
    assert_eq!(ids(&linked), first);
}
