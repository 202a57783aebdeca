//! Reads that are made on a condition (RFC 9110, section 13), and changes of whatever is there.

use crate::common::*;
use chrono::{Duration, Timelike as _};
use reqwest::Method;
use std::sync::Arc;

async fn unless(caller: &Caller, path: &str, tag: &str) -> Answer {
    caller.request(Method::GET, path).header("if-none-match", tag).send().await
}

/// A read that is answered in full, and its tag.
async fn whole(caller: &Caller, path: &str, known: &str) -> String {
    let answer = unless(caller, path, known).await.expect(200);
    assert!(answer.json().is_object(), "{path}");
    assert_ne!(answer.etag(), known, "{path}");
    answer.etag()
}

async fn unchanged(caller: &Caller, path: &str, tag: &str) {
    let answer = unless(caller, path, tag).await.expect(304);
    let opaque = |tag: &str| tag.trim_start_matches("W/").to_owned();
    assert_eq!(opaque(&answer.etag()), opaque(tag), "{path}");
    assert!(answer.bytes.is_empty() && answer.header("content-type").is_empty(), "{path}");
    assert_eq!(answer.header("cache-control"), "private, no-cache");
}

#[tokio::test]
async fn a_row_and_a_list_are_not_told_again() {
    let kennel = Kennel::among_others().await;
    let juno = kennel.dam("Juno").await;
    let path = format!("/dogs/{juno}");
    let first = whole(&kennel, &path, "\"1\"").await;
    assert!(first.starts_with("\"1-"), "the version stands in front: {first}");
    unchanged(&kennel, &path, &first).await;
    unchanged(&kennel, &path, &format!("W/{first}")).await;
    unless(&kennel, &path, &format!("\"0\", {first}")).await.expect(304);
    let any = unless(&kennel, &path, "*").await.expect(304);
    assert_eq!(any.etag(), first);
    let head = kennel.request(Method::HEAD, &path).header("if-none-match", &first).send().await;
    assert_eq!((head.expect(304).etag()), first);
    let list = whole(&kennel, "/dogs", "").await;
    unchanged(&kennel, "/dogs", &list).await;

    // The tag of a read is good for a change, and the change's for the next.
    let changed = kennel.patch(&path, &first, json!({ "colour": "fox" })).await.expect(200);
    assert_eq!(changed.etag(), "\"2\"");
    kennel.patch(&path, &first, json!({ "colour": "red" })).await.problem(412);
    whole(&kennel, &path, &first).await;
    whole(&kennel, "/dogs", &list).await;
    // Who may not see it learns nothing by a tag.
    let other = kennel.another().await;
    unless(&other, &path, "*").await.problem(404);
    unless(&kennel.nobody(), &path, &first).await.problem(401);
}

/// A caution beside a row changes while the row does not: the answer is told anew, and the row is still the
/// version that was seen.
#[tokio::test]
async fn what_stands_beside_a_row_is_part_of_the_answer() {
    let kennel = Kennel::among_others().await;
    let (dam, sire) = (kennel.dam("Juno").await, kennel.sire("Castor").await);
    let path = format!("/matings/{}", kennel.mating(dam, sire, 20).await);
    let before = whole(&kennel, &path, "").await;
    for dog in [dam, sire] {
        kennel.change(&format!("/dogs/{dog}"), json!({ "colour": "blue merle" })).await.ok();
    }
    let after = whole(&kennel, &path, &before).await;
    let version = |tag: &str| tag.split('-').next().unwrap_or_default().to_owned();
    assert_eq!(version(&before), version(&after));
    kennel.patch(&path, &before, json!({ "note": "calm" })).await.expect(200);
}

const OF_THE_WHOLE_KENNEL: [&str; 5] =
    ["/today", "/alarms", "/planner", "/tasks", "/shopping-list"];

#[tokio::test]
async fn a_wall_is_told_again_when_something_changed_or_a_minute_went() {
    let kennel = Kennel::among_others().await;
    let start = now();
    let (_, pups) = kennel.born_litter(2, 3).await;
    let helper = kennel.helper().await;
    for (round, path) in (1..).zip(OF_THE_WHOLE_KENNEL) {
        kennel.set_moment(start);
        let tag = whole(&kennel, path, "").await;
        assert!(tag.starts_with("W/"), "{path}: {tag}");
        unchanged(&kennel, path, &tag).await;
        // Of another person, another question, another minute.
        whole(&helper, path, &tag).await;
        let asked = format!("{path}{}", if path == "/alarms" { "?level=act" } else { "?" });
        whole(&kennel, &asked, &tag).await;
        kennel.set_moment(start + Duration::seconds(59 - i64::from(start.second())));
        unchanged(&kennel, path, &tag).await;
        kennel.set_moment(start + Duration::seconds(60 - i64::from(start.second())));
        let later = whole(&kennel, path, &tag).await;
        kennel.weight(pups[0], round, 500).await;
        whole(&kennel, path, &later).await;
    }
}

/// A screen that asks in vain costs the question who asks, which comes before the kennel's transactions.
#[tokio::test]
async fn an_unchanged_wall_asks_the_database_who_it_is_alone() {
    let database = Database::migrated().await;
    let counting = Counting::before(&service_url(&database.url()));
    let service = Service::start_through(&counting.url, database, settings());
    let kennel = Kennel::on(Arc::new(service)).await;
    kennel.born_litter(2, 3).await;
    for path in OF_THE_WHOLE_KENNEL {
        let tag = whole(&kennel, path, "").await;
        unchanged(&kennel, path, &tag).await;
        counting.quiet().await;
        unchanged(&kennel, path, &tag).await;
        assert_eq!(counting.taken(), 0, "{path}");
    }
}

/// A role that changes is another answer, also while nothing else does.
#[tokio::test]
async fn a_token_with_fewer_rights_is_told_its_own() {
    let kennel = Kennel::among_others().await;
    kennel.born_litter(1, 3).await;
    let tag = whole(&kennel, "/today", "").await;
    let viewer = kennel.viewer().await;
    whole(&viewer, "/today", &tag).await;
}

/// `If-Match: *` means whichever version is there, also where nothing was written yet.
#[tokio::test]
async fn whichever_is_there_is_changed() {
    let kennel = Kennel::among_others().await;
    let path = format!("/dogs/{}", kennel.dam("Juno").await);
    for colour in ["fox", "red"] {
        kennel.patch(&path, "*", json!({ "colour": colour })).await.expect(200);
    }
    kennel.patch("", "*", json!({ "vet_phone": "+49 30 1234567" })).await.expect(200);
    let (settings, texts) = ("/planner/settings", "/booklet-texts");
    for path in [settings, texts] {
        let now = kennel.get(path).await.ok();
        for _ in 0..2 {
            let request = kennel.request(Method::PUT, path).header("if-match", "*");
            request.json(&now).send().await.expect(200);
        }
    }
    kennel.delete(&path, "\"x\"").await.problem(412);
    kennel.delete(&path, "*").await.no_content();
    kennel.delete(&path, "*").await.problem(404);
}

#[tokio::test]
async fn answers_are_compressed_as_asked() {
    let kennel = Kennel::among_others().await;
    kennel.dam("Juno").await;
    for (asked, sent) in [("br", "br"), ("gzip", "gzip"), ("identity", "")] {
        let request = kennel.request(Method::GET, "/dogs").header("accept-encoding", asked);
        let answer = request.send().await.expect(200);
        assert_eq!(answer.header("content-encoding"), sent, "{asked}");
    }
}

/// A name stands in answers and is no change of the kennel: also who asks by a tag is told the new one at once,
/// of members and of who has left; what is no matter of the kennel's people leaves its tags alone.
#[tokio::test]
async fn a_person_who_is_renamed_is_another_answer() {
    let kennel = Kennel::new().await;
    kennel.born_litter(1, 3).await;
    let (member, stranger) = (kennel.helper().await, kennel.stranger().await);
    let left = kennel.viewer().await;
    let members = kennel.get("/members").await.ok();
    let membership = items(&members).iter().find(|one| one["person_id"] == json!(left.person_id));
    kennel.remove(&format!("/members/{}", id(membership.unwrap()))).await.no_content();
    let other = kennel.another().await;
    let sql = kennel.sql().await;
    let set = async |what: &str, person: uuid::Uuid| {
        let set = format!("UPDATE people SET {what} WHERE id = '{person}'");
        sql.batch_execute(&set).await.unwrap();
    };
    let mut tag = whole(&kennel, "/alarms", "").await;
    let elsewhere = whole(&other, "/alarms", "").await;
    for person in [member.person_id, left.person_id] {
        set("name = 'Renamed ' || name", person).await;
        tag = whole(&kennel, "/alarms", &tag).await;
    }
    set("name = 'Renamed'", stranger.person_id).await;
    set("name = name, email = 'new-' || email", member.person_id).await;
    unchanged(&kennel, "/alarms", &tag).await;
    unchanged(&other, "/alarms", &elsewhere).await;
}
