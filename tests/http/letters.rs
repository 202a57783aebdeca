//! The daily letter: one a day, when something is due, in its reader's language; and its end by one tap.

use crate::common::*;
use chrono::Duration;
use denwright::service::server::Settings;
use outgoing::rings::Manner;
use reqwest::Method;
use std::time;

pub(crate) fn writing(office: &PostOffice) -> Settings {
    let manner = Manner {
        glance: time::Duration::from_millis(20),
        waits: vec![time::Duration::from_millis(100); 4],
        ..Manner::default()
    };
    let own_origin = Some("https://kennel.example".to_owned());
    Settings { rings: Some(manner), mailer: office.mailer(), own_origin, ..settings() }
}

async fn choose(caller: &Caller, choices: Value) {
    let version = caller.get("/rings").await.expect(200).etag();
    let request = caller.request(Method::PUT, "/rings").header("If-Match", &version);
    request.json(&choices).send().await.expect(200);
}

async fn own_task(kennel: &Kennel, title: &str, due_days_ago: i64) {
    let task = json!({ "title": title, "due_on": days_ago(due_days_ago) });
    kennel.post("/own-tasks", task).await.created();
}

/// The parts of a mail by their media type, in plain words, and its head.
pub(crate) fn parts(mail: &str) -> (String, Vec<(String, String)>) {
    let (head, body) = mail.split_once("\r\n\r\n").unwrap();
    let head = head.replace("\r\n ", " ").replace("\r\n\t", " ");
    let boundary = head.split("boundary=\"").nth(1).and_then(|rest| rest.split('"').next());
    let mark = format!("--{}", boundary.unwrap_or_else(|| panic!("{head}")));
    let part = |part: &str| {
        let (head, body) = part.trim_start().split_once("\r\n\r\n")?;
        let head = head.to_lowercase();
        let kind = head.split("content-type: ").nth(1)?.split(';').next()?.to_owned();
        let bytes = match head.contains("quoted-printable") {
            true => {
                let robust = quoted_printable::ParseMode::Robust;
                quoted_printable::decode(body, robust).unwrap()
            }
            false => body.as_bytes().to_vec(),
        };
        assert!(!head.contains("base64"), "words that can be read on the way");
        Some((kind, String::from_utf8(bytes).unwrap()))
    };
    (head.clone(), body.split(&mark).filter_map(part).collect())
}

#[tokio::test]
async fn a_letter_comes_once_a_day_when_something_is_due() {
    let office = PostOffice::start(1).await;
    let kennel = Kennel::with(writing(&office)).await;
    choose(&kennel, json!({ "letter_at": "12:30" })).await;
    own_task(&kennel, "Order <worming> & food", 0).await;
    own_task(&kennel, "Clip the claws", 2).await;
    own_task(&kennel, "Ring the club", -3).await;
    own_task(&kennel, "Far away", -9).await;
    // It is noon in Berlin.
    tokio::time::sleep(time::Duration::from_millis(800)).await;
    assert!(office.mails().is_empty());
    kennel.set_moment(now() + Duration::minutes(30));
    let mail = office.wait(1).await.remove(0);
    let (head, parts) = parts(&mail);
    assert!(head.contains("Subject: Thornwick Kennel: one thing to do today, 1 late"), "{head}");
    assert!(head.contains("multipart/alternative"), "{head}");
    assert!(head.contains("List-Unsubscribe-Post: List-Unsubscribe=One-Click"), "{head}");
    let kinds: Vec<&str> = parts.iter().map(|(kind, _)| kind.as_str()).collect();
    assert_eq!(kinds, ["text/plain", "text/html"]);
    let (text, html) = (&parts[0].1, &parts[1].1);
    for words in ["Clip the claws (2 days late)", "- Order <worming> & food", "Ring the club"] {
        assert!(text.contains(words), "{words}: {text}");
    }
    assert!(!text.contains("Far away"), "{text}");
    assert!(html.contains("<li>Order &lt;worming&gt; &amp; food</li>"), "{html}");
    assert!(html.contains("<html lang=\"en\">"), "{html}");

    // Once a day, also when the hour is chosen anew.
    choose(&kennel, json!({ "letter_at": "13:00" })).await;
    kennel.set_moment(now() + Duration::hours(1));
    tokio::time::sleep(time::Duration::from_millis(1200)).await;
    assert_eq!(office.mails().len(), 1);
    kennel.set_moment(now() + Duration::hours(25));
    office.wait(2).await;
    tokio::time::sleep(time::Duration::from_millis(800)).await;
    assert_eq!(office.mails().len(), 2);
}

#[tokio::test]
async fn no_letter_comes_when_nothing_is_due_and_each_reads_their_own() {
    let office = PostOffice::start(0).await;
    let kennel = Kennel::with(writing(&office)).await;
    let (juno, freya) = (kennel.dam("Juno").await, kennel.dam("Freya").await);
    let co_owner = kennel.co_owner(&[juno]).await;
    choose(&co_owner, json!({ "letter_at": "12:30", "language": "de" })).await;
    let task =
        |dog: Uuid, title: &str| json!({ "title": title, "due_on": days_ago(0), "dog_id": dog });
    kennel.post("/own-tasks", task(freya, "Clip Freya")).await.created();
    own_task(&kennel, "Later", -3).await;
    kennel.set_moment(now() + Duration::minutes(30));
    tokio::time::sleep(time::Duration::from_millis(1500)).await;
    assert!(office.mails().is_empty(), "nothing is due for them: {:?}", office.mails());
    kennel.post("/own-tasks", task(juno, "Clip Juno")).await.created();
    kennel.set_moment(now() + Duration::minutes(30) + Duration::days(1));
    let mail = office.wait(1).await.remove(0);
    let (_, parts) = parts(&mail);
    assert!(parts[0].1.contains("Clip Juno") && !parts[0].1.contains("Freya"), "{}", parts[0].1);
    assert!(parts[0].1.contains("Verspätet"), "{}", parts[0].1);
}

#[tokio::test]
async fn a_tap_ends_the_letters_and_a_look_does_not() {
    let office = PostOffice::start(0).await;
    let kennel = Kennel::with(writing(&office)).await;
    choose(&kennel, json!({ "letter_at": "12:30" })).await;
    own_task(&kennel, "Order food", 0).await;
    kennel.set_moment(now() + Duration::minutes(30));
    let (head, written) = parts(&office.wait(1).await.remove(0));
    let place = format!("https://kennel.example/#/in/{}", kennel.kennel_id);
    assert!(written.iter().all(|(_, text)| text.contains(&place)), "{written:?}");
    let link = head.split("List-Unsubscribe: <").nth(1).and_then(|rest| rest.split('>').next());
    let path = link.unwrap_or_else(|| panic!("{head}")).strip_prefix("https://kennel.example");
    let address = format!("{}{}", kennel.service.url, path.expect("the service's own"));
    let http = reqwest::Client::new();
    let looked = http.get(&address).send().await.unwrap();
    assert_eq!(looked.status(), 200);
    assert!(looked.text().await.unwrap().contains("<form method=\"post\">"));
    assert_eq!(kennel.get("/rings").await.ok()["choices"]["letter_at"], "12:30");
    for forged in [format!("{address}x"), address[..address.len() - 3].to_owned()] {
        assert_eq!(http.post(&forged).send().await.unwrap().status(), 404);
    }
    for _ in 0..2 {
        let tapped = http.post(&address).form(&[("List-Unsubscribe", "One-Click")]).send().await;
        assert_eq!(tapped.unwrap().status(), 200, "ended stays ended");
    }
    assert_eq!(kennel.get("/rings").await.ok()["choices"]["letter_at"], Value::Null);
    kennel.set_moment(now() + Duration::days(2));
    tokio::time::sleep(time::Duration::from_millis(1200)).await;
    assert_eq!(office.mails().len(), 1);
}
