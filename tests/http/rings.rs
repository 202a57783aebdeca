//! Rings: at the device, by mail and by webhook; once, late rather than never, and to nobody beyond the walls.

use crate::common::*;
use base64::{Engine as _, engine::general_purpose::URL_SAFE_NO_PAD};
use chrono::{DateTime, Duration, Utc};
use denwright::service::server::Settings;
use outgoing::rings::Manner;
use p256::SecretKey;
use reqwest::Method;
use std::{collections::BTreeSet, time};

/// Rings that are watched for and sent soon.
pub(crate) fn ringing() -> Settings {
    let manner = Manner {
        glance: time::Duration::from_millis(50),
        sweep: time::Duration::from_millis(500),
        lease: time::Duration::from_secs(3),
        waits: vec![time::Duration::from_millis(100); 4],
    };
    Settings { rings: Some(manner), ..settings() }
}

/// The same beside a service, by its clock.
pub(crate) fn beside(kennel: &Kennel) -> Settings {
    Settings { clock: kennel.service.clock.clone(), ..ringing() }
}

pub(crate) async fn put(caller: &Caller, path: &str, body: Value) -> Answer {
    let version = caller.get(path).await.expect(200).etag();
    caller.request(Method::PUT, path).header("If-Match", &version).json(&body).send().await
}

/// Has somebody rung by pushes at a new device, from now on.
pub(crate) async fn listen(kennel: &Kennel, caller: &Caller, choices: Value) -> Phone {
    let phone = Phone::start(&[201]).await;
    listen_at(kennel, caller, &phone, choices).await;
    phone
}

pub(crate) async fn listen_at(kennel: &Kennel, caller: &Caller, phone: &Phone, choices: Value) {
    caller.post("/rings/devices", phone.subscription("Phone")).await.created();
    let mut chosen = json!({ "ways": ["push"] });
    chosen.as_object_mut().unwrap().extend(choices.as_object().unwrap().clone());
    put(caller, "/rings", chosen).await.expect(200);
    looked_at(kennel).await;
}

/// Waits until a worker has taken note of all that there is.
pub(crate) async fn looked_at(kennel: &Kennel) {
    let query = "SELECT count(*) FROM ring_watches w JOIN change_heads h USING (kennel_id) \
         WHERE w.next_at <> 'epoch' AND w.lease IS NULL AND w.looked_sequence >= h.sequence";
    let sql = kennel.sql().await;
    let has_looked =
        async || (sql.query_one(query, &[]).await.unwrap().get::<_, i64>(0) > 0).then_some(());
    until("somebody looks at the kennel", has_looked).await;
}

pub(crate) async fn a_moment() {
    tokio::time::sleep(time::Duration::from_millis(700)).await;
}

/// A litter of four days whose pups gain as healthy ones do: nothing else is wrong with them.
pub(crate) async fn healthy_litter(kennel: &Kennel, count: usize) -> (Uuid, Vec<Uuid>) {
    let (dam, sire) = (kennel.dam("Juno").await, kennel.sire("Castor").await);
    let litter = kennel.litter(dam, sire).await;
    let mut pups = Vec::new();
    for ordinal in 1..=count {
        let fields = json!({ "sex": "female", "weight_g": 450, "ordinal": ordinal });
        let birth = kennel.birth(litter, 4 * 24, fields).await;
        pups.push(birth["dog_id"].as_str().unwrap().parse().unwrap());
    }
    for pup in &pups {
        for (hours_ago, weight_g) in [(66, 480), (42, 515), (18, 550), (1, 575)] {
            kennel.weight(*pup, hours_ago, weight_g).await;
        }
    }
    (litter, pups)
}

/// Something seen on a pup: `limp` calls a veterinarian now, `crying` asks for something today.
pub(crate) async fn seen_on(kennel: &Kennel, pup: Uuid, sign: &str) -> Uuid {
    let at = kennel.service.clock.now() - Duration::minutes(1);
    let check = json!({ "checked_at": at, "signs": [sign] });
    kennel.post(&format!("/dogs/{pup}/pup-checks"), check).await.id()
}

pub(crate) async fn alarm_of(caller: &Caller, pup: Uuid) -> Value {
    let list = caller.get(&format!("/alarms?dog_id={pup}")).await.ok();
    let found = items(&list).iter().find(|alarm| alarm["code"] == "newborn.unwell").cloned();
    found.unwrap_or_else(|| panic!("{list}"))
}

#[test]
fn a_phone_opens_the_example_of_the_standard() {
    // RFC 8291, appendix A.
    let bytes = |text: &str| URL_SAFE_NO_PAD.decode(text).unwrap();
    let secret = SecretKey::from_slice(&bytes("q1dXpw3UpT5VOmu_cf_v6ih07Aems3njxI-JWgLcM94"));
    let auth: [u8; 16] = bytes("BTBZMqHH6r4Tts7J_aSIgg").try_into().unwrap();
    let body = "DGv6ra1nlYgDCS1FRnbzlwAAEABBBP4z9KsN6nGRTbVYI_c7VJSPQTBtkgcy27mlmlMoZIIgDll6e3vCYLocInmYWAmS\
         6TlzAC8wEqKK6PBru3jl7A_yl95bQpu6cVPTpK4Mqgkf1CXztLVBSt2Ks3oZwbuwXPXLWyouBWLVWGNWQexSgSxsj_Qulcy4\
         a-fN";
    let text = opened(&bytes(body), &secret.unwrap(), &auth);
    assert_eq!(text, b"When I grow up, I want to be a watermelon");
}

#[tokio::test]
async fn an_alarm_rings_once_a_turn_at_the_device() {
    let kennel = Kennel::with(ringing()).await;
    let (litter, pups) = healthy_litter(&kennel, 2).await;
    let phone = listen(&kennel, &kennel, json!({})).await;
    seen_on(&kennel, pups[0], "crying").await;
    let first = phone.wait(1).await.remove(0);
    let alarm = alarm_of(&kennel, pups[0]).await;
    assert_eq!((&first["tag"], &first["level"]), (&alarm["id"], &json!("act")));
    assert_eq!(first["path"], format!("/#/in/{}/litter/{litter}", kennel.kennel_id));
    assert_eq!(first["language"], "en");
    let title = first["title"].as_str().unwrap();
    let label = alarm["about"]["label"].as_str().unwrap();
    assert!(title.contains("Thornwick") && title.contains(label), "{title}");
    let body = format!("{}\n{}", alarm["what"].as_str().unwrap(), alarm["why"].as_str().unwrap());
    assert_eq!(first["body"], body);

    let sent = phone.service.all().remove(0);
    assert!(sent.bytes.len() < 3_000, "{} bytes", sent.bytes.len());
    assert_eq!(sent.headers["content-encoding"], "aes128gcm");
    assert_eq!(sent.headers["urgency"], "high");
    assert_eq!(sent.headers["ttl"], "14400");
    let id: Uuid = alarm["id"].as_str().unwrap().parse().unwrap();
    assert_eq!(sent.headers["topic"], URL_SAFE_NO_PAD.encode(id.as_bytes()));
    let key = kennel.get("/rings").await.ok()["push_key"].as_str().unwrap().to_owned();
    let sender = Phone::sender(&sent, &key);
    let origin = phone.service.url.split("/hook").next().unwrap();
    assert_eq!(
        (&sender["aud"], &sender["sub"]),
        (&json!(origin), &json!("mailto:denwright@example.org"))
    );
    let left = sender["exp"].as_i64().unwrap() - Utc::now().timestamp();
    assert!((11 * 3600..=12 * 3600).contains(&left), "{left} s");

    // What changes beside it is no turn; that it was seen rings nobody.
    kennel.dam("Freya").await;
    let seen = format!("/alarms/{id}/seen");
    kennel.post(&seen, json!({})).await.created();
    looked_at(&kennel).await;
    a_moment().await;
    assert_eq!(phone.messages().len(), 1);
    seen_on(&kennel, pups[0], "limp").await;
    let worse = phone.wait(2).await.remove(1);
    assert_eq!((&worse["tag"], &worse["level"]), (&first["tag"], &json!("emergency")));
    assert_ne!(worse["id"], first["id"]);
    assert!(worse["title"].as_str().unwrap().starts_with("Emergency"), "{worse}");
}

/// A dam between two litters has no page of a litter: what rings of her womb opens her own.
#[tokio::test]
async fn a_sign_of_the_womb_opens_the_dams_page() {
    let kennel = Kennel::with(ringing()).await;
    let dam = kennel.dam("Juno").await;
    let heat = kennel.heat(dam, 60).await;
    let phone = listen(&kennel, &kennel, json!({})).await;
    let sign = json!({ "kind": "sign", "finding": "drinks more", "taken_at": time_ago(Duration::hours(3)) });
    kennel.post(&format!("/heats/{heat}/readings"), sign).await.created();
    let ring = phone.wait(1).await.remove(0);
    assert_eq!(ring["path"], format!("/#/in/{}/dam/{dam}", kennel.kennel_id));
    assert!(ring["title"].as_str().unwrap().contains("Juno"), "{ring}");
}

#[tokio::test]
async fn a_limit_rings_when_its_moment_comes() {
    let kennel = Kennel::with(ringing()).await;
    let (dam, sire) = (kennel.dam("Juno").await, kennel.sire("Castor").await);
    let mating = kennel.mating(dam, sire, 63).await;
    let body = json!({ "dam_id": dam, "sire_id": sire, "mating_id": mating, "name": "K litter" });
    let litter = kennel.post("/litters", body).await.id();
    let event = json!({ "kind": "contractions", "strength": "strong" });
    let line = json!({ "happened_at": time_ago(Duration::minutes(5)), "event": event });
    kennel.post(&format!("/litters/{litter}/whelping"), line).await.created();
    let phone = listen(&kennel, &kennel, json!({ "kinds": ["whelping"], "language": "de" })).await;
    let list = kennel.get("/alarms").await.ok();
    let note = items(&list).iter().find(|alarm| alarm["code"] == "whelping.straining");
    let note = note.unwrap_or_else(|| panic!("{list}"));
    let limit: DateTime<Utc> = note["next_limit_at"].as_str().unwrap().parse().unwrap();
    kennel.set_moment(limit - Duration::seconds(1));
    a_moment().await;
    assert!(phone.messages().is_empty(), "{:?}", phone.messages());
    kennel.set_moment(limit + Duration::seconds(1));
    let ring = phone.wait(1).await.remove(0);
    assert_eq!((&ring["tag"], &ring["level"]), (&note["id"], &json!("emergency")));
    assert_eq!(ring["path"], format!("/#/in/{}/night/{litter}", kennel.kennel_id));
    assert_eq!(ring["language"], "de");
    assert!(ring["title"].as_str().unwrap().starts_with("Notfall"), "{ring}");
}

#[tokio::test]
async fn of_two_instances_one_rings() {
    let kennel = Kennel::with(ringing()).await;
    let second = kennel.service.beside(beside(&kennel));
    let (_, pups) = healthy_litter(&kennel, 6).await;
    let phone = listen(&kennel, &kennel, json!({})).await;
    for pup in &pups {
        seen_on(&kennel, *pup, "limp").await;
    }
    let messages = phone.wait(6).await;
    a_moment().await;
    assert_eq!(phone.messages().len(), 6);
    let tags: BTreeSet<String> = messages.iter().map(|one| one["tag"].to_string()).collect();
    assert_eq!(tags.len(), 6, "each pup's alarm");
    tokio::task::spawn_blocking(move || drop(second)).await.unwrap();
}

#[tokio::test]
async fn a_restart_rings_late_rather_than_never() {
    let kennel = Kennel::new().await;
    let (_, pups) = healthy_litter(&kennel, 2).await;
    // The first instance dies while the push service takes its time.
    let slow = Phone::of(Receiver::slow(&[201], time::Duration::from_secs(2)).await);
    let first = kennel.service.beside(beside(&kennel));
    listen_at(&kennel, &kennel, &slow, json!({})).await;
    seen_on(&kennel, pups[0], "limp").await;
    let began = slow.wait(1).await.remove(0);
    tokio::task::spawn_blocking(move || drop(first)).await.unwrap();
    // While none is there, another alarm is raised.
    seen_on(&kennel, pups[1], "limp").await;
    a_moment().await;
    assert_eq!(slow.messages().len(), 1);
    let second = kennel.service.beside(beside(&kennel));
    let all = slow.wait(3).await;
    let again: Vec<&Value> = all.iter().filter(|one| one["tag"] == began["tag"]).collect();
    assert_eq!(again.len(), 2, "whether it arrived nobody knows");
    assert_eq!(again[0]["id"], again[1]["id"], "a device that has heard it is silent");
    let other: Vec<&Value> = all.iter().filter(|one| one["tag"] != began["tag"]).collect();
    assert_eq!(other.len(), 1);
    tokio::time::sleep(time::Duration::from_secs(4)).await;
    assert_eq!(slow.messages().len(), 3);
    tokio::task::spawn_blocking(move || drop(second)).await.unwrap();
}

#[tokio::test]
async fn what_fails_is_tried_again_and_who_is_gone_is_forgotten() {
    let kennel = Kennel::with(ringing()).await;
    let (_, pups) = healthy_litter(&kennel, 2).await;
    let busy = Phone::start(&[503, 429, 201]).await;
    let gone = Phone::start(&[410]).await;
    kennel.post("/rings/devices", gone.subscription("Old phone")).await.created();
    listen_at(&kennel, &kennel, &busy, json!({})).await;
    seen_on(&kennel, pups[0], "limp").await;
    let tries = busy.wait(3).await;
    assert!(tries.iter().all(|one| one["id"] == tries[0]["id"]), "one ring, one id: {tries:?}");
    gone.wait(1).await;
    a_moment().await;
    assert_eq!((busy.messages().len(), gone.messages().len()), (3, 1));
    let devices = kennel.get("/rings").await.ok()["devices"].clone();
    assert_eq!(devices.as_array().unwrap().len(), 1, "{devices}");
    assert_eq!(devices[0]["name"], "Phone");
    seen_on(&kennel, pups[1], "limp").await;
    busy.wait(4).await;
    assert_eq!(gone.messages().len(), 1);
}

#[tokio::test]
async fn duty_is_rung_first_and_the_others_when_nobody_has_seen_it() {
    let kennel = Kennel::with(ringing()).await;
    let (_, pups) = healthy_litter(&kennel, 2).await;
    let helper = kennel.helper().await;
    let turn = json!({
        "person_id": helper.person_id, "begins_at": time_ago(Duration::hours(1)),
        "ends_at": time_ago(Duration::hours(-8)),
    });
    put(&kennel, "/duty", json!({ "turns": [turn] })).await.expect(200);
    let on_duty = listen(&kennel, &helper, json!({})).await;
    let second = listen(&kennel, &kennel, json!({ "unseen_minutes": 20 })).await;
    let never = kennel.viewer().await;
    let never = listen(&kennel, &never, json!({ "unseen_minutes": null })).await;
    seen_on(&kennel, pups[0], "limp").await;
    seen_on(&kennel, pups[1], "limp").await;
    on_duty.wait(2).await;
    let seen = format!("/alarms/{}/seen", alarm_of(&kennel, pups[0]).await["id"].as_str().unwrap());
    helper.post(&seen, json!({ "note": "on my way" })).await.created();
    looked_at(&kennel).await;
    kennel.set_moment(now() + Duration::minutes(20) - Duration::seconds(1));
    a_moment().await;
    assert!(second.messages().is_empty());
    kennel.set_moment(now() + Duration::minutes(20));
    let rung = second.wait(1).await.remove(0);
    assert_eq!(rung["tag"], alarm_of(&kennel, pups[1]).await["id"], "the one that nobody has seen");
    a_moment().await;
    assert_eq!((second.messages().len(), never.messages().len()), (1, 0));
    assert_eq!(on_duty.messages().len(), 2);
}

#[tokio::test]
async fn quiet_hours_hold_back_all_but_an_emergency() {
    let kennel = Kennel::with(ringing()).await;
    let (_, pups) = healthy_litter(&kennel, 3).await;
    // It is noon in Berlin.
    let quiet = json!({ "begin": "11:30", "end": "12:30" });
    let phone = listen(&kennel, &kennel, json!({ "quiet": quiet })).await;
    seen_on(&kennel, pups[0], "crying").await;
    seen_on(&kennel, pups[1], "limp").await;
    let first = phone.wait(1).await.remove(0);
    assert_eq!(first["level"], "emergency");
    kennel.set_moment(now() + Duration::minutes(30) - Duration::seconds(1));
    a_moment().await;
    assert_eq!(phone.messages().len(), 1);
    kennel.set_moment(now() + Duration::minutes(30));
    assert_eq!(phone.wait(2).await[1]["level"], "act");
}

#[tokio::test]
async fn a_test_rings_at_each_device_and_by_mail() {
    let kennel = Kennel::with(ringing()).await;
    let nothing = kennel.post("/rings/test", json!({})).await.problem(409);
    assert!(nothing["detail"].as_str().unwrap().contains("choose a way"), "{nothing}");
    let phone = listen(&kennel, &kennel, json!({ "ways": ["push", "mail"] })).await;
    assert_eq!(kennel.post("/rings/test", json!({})).await.ok()["messages"], 2);
    let test = phone.wait(1).await.remove(0);
    assert!(test["title"].as_str().unwrap().starts_with("A test, Thornwick"), "{test}");
    assert_eq!(test["path"], format!("/#/in/{}", kennel.kennel_id));
    let address = kennel.get("/v1/me").await.ok()["person"]["email"].as_str().unwrap().to_owned();
    let mail = mailed(&address, "").await;
    assert!(mail.contains("Subject: A test, Thornwick Kennel"), "{mail}");
    assert!(mail.contains("There is nothing to do."), "{mail}");
}

#[tokio::test]
async fn an_alarm_is_mailed_with_its_source() {
    let kennel = Kennel::with(ringing()).await;
    let (_, pups) = healthy_litter(&kennel, 2).await;
    put(&kennel, "/rings", json!({ "ways": ["mail"] })).await.expect(200);
    looked_at(&kennel).await;
    seen_on(&kennel, pups[0], "limp").await;
    let address = kennel.get("/v1/me").await.ok()["person"]["email"].as_str().unwrap().to_owned();
    let mail = mailed(&address, "").await;
    assert!(mail.contains("Subject: Emergency, Thornwick Kennel"), "{mail}");
    assert!(mail.contains("licensed veterinarian"), "{mail}");
}

#[tokio::test]
async fn webhooks_hear_what_becomes_of_an_alarm() {
    let kennel = Kennel::with(ringing()).await;
    let (litter, pups) = healthy_litter(&kennel, 2).await;
    let receiver = Receiver::start(&[200]).await;
    let hook = json!({ "url": receiver.url, "events": ["alarm"] });
    kennel.post("/webhooks", hook).await.created();
    kennel
        .post("/webhooks", json!({ "url": receiver.url, "events": ["alarm.created"] }))
        .await
        .refused(&["/events/0"]);
    looked_at(&kennel).await;
    let crying = seen_on(&kennel, pups[0], "crying").await;
    receiver.wait(1).await;
    let id = alarm_of(&kennel, pups[0]).await["id"].clone();
    kennel.post(&format!("/alarms/{}/seen", id.as_str().unwrap()), json!({})).await.created();
    receiver.wait(2).await;
    let limp = seen_on(&kennel, pups[0], "limp").await;
    receiver.wait(3).await;
    // The graver one last: a look in between finds nothing new.
    for check in [crying, limp] {
        kennel.remove(&format!("/dogs/{}/pup-checks/{check}", pups[0])).await.no_content();
    }
    let told = receiver.wait(4).await;
    a_moment().await;
    assert_eq!(receiver.all().len(), 4);
    let told: Vec<Value> =
        told.iter().map(|one| serde_json::from_str(&one.body).unwrap()).collect();
    let types: Vec<&str> = told.iter().map(|one| one["type"].as_str().unwrap()).collect();
    assert_eq!(types, ["alarm.raised", "alarm.seen", "alarm.worse", "alarm.over"]);
    for one in &told {
        assert_eq!((&one["data"]["what"], &one["data"]["row_id"]), (&json!("alarm"), &id));
        assert_eq!(one["data"]["after"]["litter_id"], json!(litter));
        assert_eq!(one["data"]["after"]["dog_id"], json!(pups[0]));
    }
    assert_eq!(told[2]["data"]["after"]["level"], "emergency");
    assert_eq!(told[1]["data"]["after"]["seen_by"], json!(kennel.person_id));
}

#[tokio::test]
async fn the_walls_hold_for_rings() {
    let kennel = Kennel::with(ringing()).await;
    let (_, pups) = healthy_litter(&kennel, 1).await;
    // Who has a share of a dam sees her litter.
    let (litter, shared) = healthy_litter(&kennel, 1).await;
    let dam = kennel.get(&format!("/litters/{litter}")).await.ok()["dam_id"].clone();
    let co_owner = kennel.co_owner(&[dam.as_str().unwrap().parse().unwrap()]).await;
    let of_one = listen(&kennel, &co_owner, json!({})).await;
    let helper = kennel.helper().await;
    let of_all = listen(&kennel, &helper, json!({})).await;
    seen_on(&kennel, pups[0], "limp").await;
    of_all.wait(1).await;
    seen_on(&kennel, shared[0], "limp").await;
    of_all.wait(2).await;
    let rung = of_one.wait(1).await;
    a_moment().await;
    assert_eq!((of_one.messages().len(), of_all.messages().len()), (1, 2));
    let own = co_owner.get("/alarms").await.ok();
    assert!(items(&own).iter().any(|alarm| alarm["id"] == rung[0]["tag"]), "{own}");

    // What one chose and where one is rung is one's own, and an address is told to nobody.
    let settings = helper.get("/rings").await.expect(200);
    assert!(!settings.text().contains(&of_all.service.url), "{}", settings.text());
    let device = settings.json()["devices"][0]["id"].as_str().unwrap().to_owned();
    assert_eq!(kennel.get("/rings").await.ok()["devices"], json!([]));
    let path = format!("/rings/devices/{device}");
    let remove = |caller: &Caller| caller.request(Method::DELETE, &path).send();
    remove(&kennel).await.problem(404);
    let version = helper.get("/duty").await.etag();
    let duty = helper.request(Method::PUT, "/duty").header("If-Match", &version).json(&json!({}));
    duty.send().await.problem(403);
    kennel.stranger().await.get("/rings").await.problem(404);
    let stranger = json!({
        "turns": [{ "person_id": Uuid::now_v7(), "begins_at": "2027-02-10T20:00:00Z",
                    "ends_at": "2027-02-11T06:00:00Z" }],
    });
    put(&kennel, "/duty", stranger).await.refused(&["/turns/0/person_id"]);

    // Who leaves is rung no more.
    remove(&helper).await.no_content();
    kennel.remove(&format!("/members/{}", member(&kennel, &co_owner).await)).await.no_content();
    seen_on(&kennel, shared[0], "blue").await;
    looked_at(&kennel).await;
    a_moment().await;
    assert_eq!((of_one.messages().len(), of_all.messages().len()), (1, 2));
}

async fn member(kennel: &Kennel, of: &Caller) -> String {
    let members = kennel.get("/members").await.ok();
    let found = items(&members).iter().find(|one| one["person_id"] == json!(of.person_id));
    found.unwrap()["id"].as_str().unwrap().to_owned()
}

#[tokio::test]
async fn a_device_is_held_to_public_addresses_and_whole_keys() {
    let kennel = Kennel::with(Settings { webhooks: Default::default(), ..ringing() }).await;
    let phone = Phone::start(&[201]).await;
    let mut device = phone.subscription("Phone");
    kennel.post("/rings/devices", device.clone()).await.refused(&["/endpoint"]);
    for (endpoint, good) in [
        ("https://127.0.0.1/push", false),
        ("https://[::1]/push", false),
        ("http://push.example/x", false),
        ("https://a:b@push.example/x", false),
        ("https://push.example/x", true),
    ] {
        device["endpoint"] = json!(endpoint);
        let answer = kennel.post("/rings/devices", device.clone()).await;
        assert_eq!(answer.status == 201, good, "{endpoint}: {}", answer.text());
    }
    // Entered again it is the same device.
    kennel.post("/rings/devices", device.clone()).await.created();
    let devices = kennel.get("/rings").await.ok()["devices"].clone();
    assert_eq!(devices.as_array().unwrap().len(), 1, "{devices}");
    assert_eq!(devices[0]["host"], "push.example");
    let point = device["keys"]["p256dh"].as_str().unwrap().to_owned();
    for (p256dh, auth, at) in [
        (point.replacen('B', "C", 1), "BTBZMqHH6r4Tts7J_aSIgg", "/keys/p256dh"),
        (point, "BTBZMqHH6r4Tts7J_aSI%g", "/keys/auth"),
    ] {
        device["keys"] = json!({ "p256dh": p256dh, "auth": auth });
        kennel.post("/rings/devices", device.clone()).await.refused(&[at]);
    }
}

#[tokio::test]
async fn choices_are_set_from_the_version_that_was_seen() {
    let kennel = Kennel::among_others().await;
    let first = kennel.get("/rings").await.expect(200);
    assert_eq!(first.json()["choices"]["level"], "act");
    assert_eq!(first.json()["sends_mail"], false, "a folder reaches nobody");
    let set = async |version: &str, body: Value| {
        let request = kennel.request(Method::PUT, "/rings").header("If-Match", version);
        request.json(&body).send().await
    };
    let second = set(&first.etag(), json!({ "ways": ["mail"] })).await.expect(200);
    set(&first.etag(), json!({ "ways": [] })).await.problem(412);
    set(&second.etag(), json!({ "kinds": ["whelp"] })).await.refused(&["/kinds/0"]);
    let quiet = json!({ "quiet": { "begin": "24:00", "end": "6:00" } });
    set(&second.etag(), quiet).await.refused(&["/quiet/begin", "/quiet/end"]);
    let third = set(&second.etag(), json!({ "ways": [] })).await.expect(200);
    assert_ne!(third.etag(), second.etag());
}
