//! A person deletes their login: nothing that it opened is open any more, and nothing is left of them but what they
//! wrote in kennels, which names nobody.

use crate::{accounts::from_base32, attachments, common::*};
use chrono::Utc;
use denwright::service::server::Settings;
use outgoing::mail::{MailRoute, Mailer};
use reqwest::Method;
use security::totp;
use std::{fs, path::PathBuf, sync::Arc};
use store::upkeep;

const EMAIL: &str = "zquill@marrowby.example";
/// What is told about them nowhere but in what others wrote.
const TRACES: [&str; 2] = ["marrowby", "zquill"];

/// A new login with this name and address.
async fn sign_up(kennel: &Kennel, name: &str, email: &str) -> Caller {
    let nobody = kennel.nobody();
    let person = json!({ "name": name, "email": email, "password": PASSWORD });
    let person = nobody.post("/v1/people", person).await.id();
    let entry = json!({ "email": email, "password": PASSWORD });
    let session = nobody.post("/v1/auth/login", entry).await.ok();
    let token = session["access_token"].as_str().unwrap().to_owned();
    Caller::new(Arc::clone(&kennel.service), Uuid::nil(), person, Some(token))
}

async fn join(kennel: &Kennel, person: &Caller, role: &str) {
    let email = person.get("/v1/me").await.ok()["person"]["email"].clone();
    let invited = json!({ "email": email, "role": role });
    let token = kennel.post("/invitations", invited).await.created()["token"].clone();
    person.post("/v1/invitations/accept", json!({ "token": token })).await.ok();
}

fn deletion(password: &str) -> Value {
    json!({ "password": password })
}

async fn open() -> Kennel {
    Kennel::with(Settings { sign_up_open: true, ..settings() }).await
}

/// All that somebody may make under their name; what it is reached by.
struct Made {
    secret: Vec<u8>,
    token: String,
    calendar: String,
}

async fn make_all(kennel: &Kennel, person: &Caller) -> Made {
    let in_kennel = person.in_kennel(kennel.kennel_id);
    let token = json!({ "name": "Zquill's screen", "read_only": false, "password": PASSWORD });
    let token = in_kennel.post("/access-tokens", token).await.created();
    let calendar = json!({ "name": "Zquill's phone", "kinds": [] });
    let calendar = in_kennel.post("/calendar-links", calendar).await.created();
    let hook = json!({ "url": "http://127.0.0.1:9/hook", "events": [] });
    in_kennel.post("/webhooks", hook).await.created();
    let phone = Phone::start(&[201]).await;
    in_kennel.post("/rings/devices", phone.subscription("Zquill's phone")).await.created();
    let choices = json!({ "ways": ["push", "mail"], "letter_at": "06:30" });
    let seen = in_kennel.get("/rings").await.expect(200).etag();
    let request = in_kennel.request(Method::PUT, "/rings").header("If-Match", &seen);
    request.json(&choices).send().await.expect(200);
    in_kennel.post("/rings/test", json!({})).await.ok();
    let invited = json!({ "email": "friend@example.org", "role": "viewer" });
    in_kennel.post("/invitations", invited).await.created();
    attachments::upload(&in_kennel, &attachments::photograph(8, 8)).await;
    let reset = json!({ "email": EMAIL });
    in_kennel.nobody().post("/v1/auth/password-reset", reset).await.expect(202);
    let factor = in_kennel.post("/v1/me/second-factor", deletion(PASSWORD)).await.created();
    let secret = from_base32(factor["secret"].as_str().unwrap());
    let code = json!({ "code": totp::code_at(&secret, Utc::now().timestamp()) });
    in_kennel.post("/v1/me/second-factor/confirm", code).await.ok();
    Made {
        secret,
        token: token["token"].as_str().unwrap().to_owned(),
        calendar: calendar["path"].as_str().unwrap().to_owned(),
    }
}

#[tokio::test]
async fn nothing_is_left_of_a_login_that_was_deleted() {
    let folder = std::env::temp_dir().join(format!("denwright-mail-{}", Uuid::now_v7()));
    let from = "denwright@example.org".parse().unwrap();
    let mailer = Mailer::new(MailRoute::Folder(Some(folder.clone())), from, PathBuf::new());
    let settings = Settings { sign_up_open: true, mailer: mailer.clone(), ..settings() };
    let kennel = Kennel::with(settings).await;
    let (second, third) = (kennel.another().await, kennel.another().await);
    let juno = kennel.dam("Juno").await;
    let zquill = sign_up(&kennel, "Zquill Marrowby", EMAIL).await;
    join(&kennel, &zquill, "owner").await;
    join(&second, &zquill, "co_owner").await;
    let waiting = json!({ "email": EMAIL, "role": "viewer" });
    third.post("/invitations", waiting).await.created();
    let half = json!({ "person_id": zquill.person_id, "numerator": 1, "denominator": 2 });
    kennel.post(&format!("/dogs/{juno}/shares"), half).await.created();
    // What they wrote, once by a repeat of a request.
    let own = zquill.in_kennel(kennel.kennel_id);
    let weight = json!({ "measured_at": time_ago(chrono::Duration::hours(2)), "weight_g": 27_000 });
    let weights = format!("/dogs/{juno}/weights");
    own.post_once(&weights, "a-key", &weight).await.created();
    let made = make_all(&kennel, &zquill).await;
    mailer.send("someone@example.org", "Hello", "Nothing of anybody.\n".into()).await.unwrap();
    mailer.send(EMAIL, "Hello", "Something.\n".into()).await.unwrap();
    let sql = kennel.sql().await;
    assert!(rows_with(&sql, "marrowby").await.len() >= 6);
    assert!(rows_with(&sql, "zquill").await.len() >= 6);

    let code = || totp::code_at(&made.secret, Utc::now().timestamp() + 30);
    zquill.post("/v1/me/deletion", deletion("not it, not it")).await.refused(&["/password"]);
    zquill.post("/v1/me/deletion", deletion(PASSWORD)).await.refused(&["/code"]);
    let wrong = json!({ "password": PASSWORD, "code": "000000" });
    zquill.post("/v1/me/deletion", wrong).await.refused(&["/code"]);
    zquill.get("/v1/me").await.ok();
    let proof = json!({ "password": PASSWORD, "code": code() });
    zquill.post("/v1/me/deletion", proof.clone()).await.no_content();

    for trace in TRACES {
        let left = rows_with(&sql, trace).await;
        assert!(left.is_empty(), "{trace} is left in {}:\n{}", left.len(), left.join("\n"));
    }
    let mails: Vec<String> = fs::read_dir(&folder)
        .unwrap()
        .map(|file| fs::read_to_string(file.unwrap().path()).unwrap())
        .collect();
    assert!(mails.len() == 1 && mails[0].contains("Nothing of anybody"), "{mails:?}");

    // What it opened is shut, at once.
    zquill.get("/v1/me").await.problem(401);
    zquill.post("/v1/me/deletion", proof).await.problem(401);
    own.with_token(made.token).get("/dogs").await.problem(401);
    own.nobody().get(&made.calendar).await.problem(404);
    let entry = json!({ "email": EMAIL, "password": PASSWORD });
    own.nobody().post("/v1/auth/login", entry).await.problem(401);
    let of_nobody = "SELECT (SELECT count(*) FROM push_devices) + (SELECT count(*) FROM ring_choices) \
         + (SELECT count(*) FROM letters) + (SELECT count(*) FROM rings) + (SELECT count(*) FROM uploads) \
         + (SELECT count(*) FROM recovery_codes) + (SELECT count(*) FROM password_resets) \
         + (SELECT count(*) FROM webhooks) + (SELECT count(*) FROM invitations)";
    assert_eq!(sql.query_one(of_nobody, &[]).await.unwrap().get::<_, i64>(0), 0);

    // What they wrote stays, by an id that is nobody's, and so does their share.
    assert_eq!(items(&kennel.get(&weights).await.ok()).len(), 1);
    let log = kennel.get("/changes?limit=500").await.ok();
    let theirs = |change: &&Value| change["person_id"] == json!(zquill.person_id);
    let told: Vec<&Value> = items(&log).iter().filter(theirs).collect();
    assert!(told.iter().any(|change| change["record"] == "weight"), "{log}");
    assert!(told.iter().any(|c| c["record"] == "member" && c["action"] == "deleted"), "{log}");
    let members = kennel.get("/members").await.ok();
    assert!(!members.to_string().contains(&zquill.person_id.to_string()), "{members}");
    assert_eq!(items(&kennel.get(&format!("/dogs/{juno}/shares")).await.ok()).len(), 1);
    let archive = kennel.get("/archive").await.expect(200);
    assert!(!archive.bytes.is_empty());

    // The address is free, and its next login is another person's.
    let again = sign_up(&kennel, "Somebody Else", EMAIL).await;
    assert_ne!(again.person_id, zquill.person_id);
    assert_eq!(again.get("/v1/me").await.ok()["kennels"], json!([]));
    again.in_kennel(kennel.kennel_id).get("/dogs").await.problem(404);
    fs::remove_dir_all(&folder).unwrap();
}

#[tokio::test]
async fn a_login_that_no_kennel_knows_leaves_no_row() {
    let kennel = open().await;
    let sql = kennel.sql().await;
    let count = "SELECT count(*) FROM people";
    let before: i64 = sql.query_one(count, &[]).await.unwrap().get(0);
    let zquill = sign_up(&kennel, "Zquill Marrowby", EMAIL).await;
    zquill.post("/v1/me/deletion", deletion(PASSWORD)).await.no_content();
    assert_eq!(sql.query_one(count, &[]).await.unwrap().get::<_, i64>(0), before);
}

#[tokio::test]
async fn the_only_owner_of_a_kennel_hands_it_on_or_deletes_it_first() {
    let kennel = open().await;
    let zquill = sign_up(&kennel, "Zquill Marrowby", EMAIL).await;
    let founded = json!({ "name": "Larkfell", "time_zone": "Europe/Berlin" });
    let own = id(&zquill.post("/v1/kennels", founded).await.created());
    join(&kennel, &zquill, "helper").await;
    let leave = || zquill.post("/v1/me/deletion", deletion(PASSWORD));
    let refused = leave().await.problem(409);
    assert!(refused["detail"].as_str().unwrap().contains("Larkfell"), "{refused}");
    // Nothing has happened: also not in the kennels where they own nothing.
    zquill.in_kennel(kennel.kennel_id).get("/dogs").await.ok();
    let in_own = zquill.in_kennel(own);
    in_own.post("/dogs", json!({ "name": "Nova", "residence": "here" })).await.created();

    // Handed on.
    let other = sign_up(&kennel, "Ulla Brandt", "ulla@example.org").await;
    let invited = json!({ "email": "ulla@example.org", "role": "owner" });
    let token = in_own.post("/invitations", invited).await.created()["token"].clone();
    other.post("/v1/invitations/accept", json!({ "token": token })).await.ok();
    leave().await.no_content();
    assert_eq!(items(&other.in_kennel(own).get("/dogs").await.ok()).len(), 1);

    // Deleted: the last owner need not wait for the end.
    other.post("/v1/me/deletion", deletion(PASSWORD)).await.problem(409);
    let end = json!({ "name": "Larkfell", "password": PASSWORD });
    other.in_kennel(own).post("/deletion", end).await.ok();
    other.post("/v1/me/deletion", deletion(PASSWORD)).await.no_content();
}

/// Of two owners who leave at once, one stays.
#[tokio::test]
async fn two_owners_who_leave_at_once_leave_one() {
    let kennel = open().await;
    let one = sign_up(&kennel, "One Owner", "one@example.org").await;
    let founded = json!({ "name": "Larkfell", "time_zone": "Europe/Berlin" });
    let own = id(&one.post("/v1/kennels", founded).await.created());
    let two = sign_up(&kennel, "Two Owner", "two@example.org").await;
    let invited = json!({ "email": "two@example.org", "role": "owner" });
    let token = one.in_kennel(own).post("/invitations", invited).await.created()["token"].clone();
    two.post("/v1/invitations/accept", json!({ "token": token })).await.ok();
    let body = deletion(PASSWORD);
    let (first, second) = tokio::join!(
        one.post("/v1/me/deletion", body.clone()),
        two.post("/v1/me/deletion", body.clone())
    );
    let mut statuses = [first.status, second.status];
    statuses.sort_unstable();
    assert_eq!(statuses, [204, 409]);
    let sql = kennel.sql().await;
    let owners = format!("SELECT count(*) FROM memberships WHERE kennel_id = '{own}'");
    assert_eq!(sql.query_one(&owners, &[]).await.unwrap().get::<_, i64>(0), 1);
}

/// Once no row of a kennel names them, the id goes as well.
#[tokio::test]
async fn who_has_left_is_kept_for_as_long_as_a_kennel_names_them() {
    let kennel = open().await;
    let zquill = sign_up(&kennel, "Zquill Marrowby", EMAIL).await;
    join(&kennel, &zquill, "helper").await;
    zquill.post("/v1/me/deletion", deletion(PASSWORD)).await.no_content();
    let sql = kennel.sql().await;
    let left = "SELECT count(*) FROM people WHERE left_at IS NOT NULL";
    let left = async || sql.query_one(left, &[]).await.unwrap().get::<_, i64>(0);
    upkeep::clear_away(&kennel.service.db).await.unwrap();
    assert_eq!(left().await, 1);
    let unnamed = format!("DELETE FROM kennel_people WHERE person_id = '{}'", zquill.person_id);
    sql.batch_execute(&unnamed).await.unwrap();
    upkeep::clear_away(&kennel.service.db).await.unwrap();
    assert_eq!(left().await, 0);
}
