//! Invitations by mail where it is set up: once, in the language that was chosen, and never in the clear on the way.

use crate::{
    common::*,
    letters::{parts, writing},
};
use denwright::service::server::Settings;

fn invited(email: &str) -> Value {
    json!({ "email": email, "role": "helper" })
}

#[tokio::test]
async fn an_invitation_goes_by_mail_and_lets_its_reader_in() {
    // The mail server is busy at first.
    let office = PostOffice::start(2).await;
    let kennel = Kennel::with(writing(&office)).await;
    let nobody = kennel.nobody();
    let body = invited("wren@example.org");
    let made = kennel.owner().post_once("/invitations", "a-key", &body).await.created();
    assert_eq!(made["mailed"], true);
    // A repeat invites nobody twice.
    kennel.owner().post_once("/invitations", "a-key", &body).await.problem(409);
    let mail = office.wait(1).await.remove(0);
    let (head, parts) = parts(&mail);
    assert!(head.contains("To: wren@example.org"), "{head}");
    assert!(head.contains("Subject: Owner invites you to Thornwick Kennel"), "{head}");
    let kinds: Vec<&str> = parts.iter().map(|(kind, _)| kind.as_str()).collect();
    assert_eq!(kinds, ["text/plain", "text/html"]);
    let link = format!("https://kennel.example/#/join/{}", made["token"].as_str().unwrap());
    assert!(parts[0].1.contains(&link), "{}", parts[0].1);
    assert!(parts[1].1.contains(&format!("href=\"{link}\"")), "{}", parts[1].1);

    let secret = parts[0].1.split("#/join/").nth(1).unwrap().split_whitespace().next().unwrap();
    let person = json!({ "name": "Wren Ashby", "email": "wren@example.org", "password": PASSWORD, "invitation": secret });
    nobody.post("/v1/people", person).await.created();
    let entry = json!({ "email": "wren@example.org", "password": PASSWORD });
    let session = nobody.post("/v1/auth/login", entry).await.ok();
    let wren = nobody.with_token(session["access_token"].as_str().unwrap());
    wren.post("/v1/invitations/accept", json!({ "token": secret })).await.ok();
    wren.get("/dogs").await.ok();
    tokio::time::sleep(std::time::Duration::from_millis(500)).await;
    assert_eq!(office.mails().len(), 1, "once");
}

#[tokio::test]
async fn it_is_in_the_language_that_was_chosen() {
    let office = PostOffice::start(0).await;
    let kennel = Kennel::with(writing(&office)).await;
    let chosen = json!({ "email": "wren@example.org", "role": "viewer", "language": "de" });
    kennel.post("/invitations", chosen).await.created();
    let (_, german) = parts(&office.wait(1).await[0]);
    assert!(german[0].1.contains("als Zuschauer eingeladen"), "{}", german[0].1);
    assert!(german[1].1.contains("<html lang=\"de\">"), "{}", german[1].1);
    // Else in that of whoever invites.
    let request =
        kennel.request(reqwest::Method::POST, "/invitations").header("Accept-Language", "de");
    request.json(&invited("ulla@example.org")).send().await.created();
    let (_, german) = parts(&office.wait(2).await[1]);
    assert!(german[0].1.contains("als Helfer eingeladen"), "{}", german[0].1);
    kennel.post("/invitations", invited("ines@example.org")).await.created();
    let (_, english) = parts(&office.wait(3).await[2]);
    assert!(english[0].1.contains("as a helper"), "{}", english[0].1);
    let unknown = json!({ "email": "wren@example.org", "role": "viewer", "language": "fr" });
    kennel.post("/invitations", unknown).await.refused(&["/language"]);
}

#[tokio::test]
async fn where_no_mail_is_set_up_the_link_is_handed_over() {
    let office = PostOffice::start(0).await;
    let set_up = writing(&office);
    for settings in [
        // To a folder, which nobody reads; without rings, whose mails they are; or to a page that nobody knows.
        Settings { mailer: settings().mailer, ..writing(&office) },
        Settings { rings: None, ..writing(&office) },
        Settings { own_origin: None, ..set_up },
    ] {
        let kennel = Kennel::with(settings).await;
        let made = kennel.post("/invitations", invited("wren@example.org")).await.created();
        assert_eq!(made["mailed"], false);
        assert!(made["token"].as_str().unwrap().len() > 20);
        let sql = kennel.sql().await;
        let waiting: i64 = sql.query_one("SELECT count(*) FROM rings", &[]).await.unwrap().get(0);
        assert_eq!(waiting, 0);
    }
    tokio::time::sleep(std::time::Duration::from_millis(500)).await;
    assert!(office.mails().is_empty());
}

#[tokio::test]
async fn a_mail_that_waits_is_sealed_and_goes_with_its_invitation() {
    // The mail server never takes it.
    let office = PostOffice::start(usize::MAX).await;
    let kennel = Kennel::with(writing(&office)).await;
    let made = kennel.post("/invitations", invited("wren@example.org")).await.created();
    let token = made["token"].as_str().unwrap();
    let sql = kennel.sql().await;
    let waiting = "SELECT count(*) FROM rings WHERE status = 'waiting'";
    let waiting = async || sql.query_one(waiting, &[]).await.unwrap().get::<_, i64>(0);
    assert_eq!(waiting().await, 1);
    assert_eq!(rows_with(&sql, token).await, [""; 0], "nobody who reads the database comes in");
    // Tried more often than a ring, since it is of use later as well.
    let tries = "SELECT max(attempts) FROM rings";
    let tries = async || sql.query_one(tries, &[]).await.unwrap().get::<_, Option<i32>>(0);
    until("it is tried seven times", async || tries().await.filter(|tries| *tries > 6)).await;
    assert_eq!(waiting().await, 1);
    let row = format!("/invitations/{}", id(&made["invitation"]));
    kennel.delete(&row, "*").await.no_content();
    assert_eq!(waiting().await, 0);
}

/// An instance that dies with a mail in its hands has lost nothing.
#[tokio::test]
async fn what_an_instance_held_another_sends_once() {
    let office = PostOffice::start(usize::MAX).await;
    let kennel = Kennel::with(writing(&office)).await;
    kennel.post("/invitations", invited("wren@example.org")).await.created();
    let sql = kennel.sql().await;
    let held = "UPDATE rings SET leased_until = now() + interval '1 second', attempts = 1";
    sql.batch_execute(held).await.unwrap();
    let taking = PostOffice::start(0).await;
    let clock = kennel.service.clock.clone();
    let _second = kennel.service.beside(Settings { clock, ..writing(&taking) });
    taking.wait(1).await;
    tokio::time::sleep(std::time::Duration::from_millis(1500)).await;
    assert_eq!(taking.mails().len(), 1);
    let sent = "SELECT count(*) FROM rings WHERE status = 'sent' AND content = '{}'";
    assert_eq!(sql.query_one(sent, &[]).await.unwrap().get::<_, i64>(0), 1);
}
