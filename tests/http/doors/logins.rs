//! Sessions that end, tries that keep nobody out, and those who were sent away and stay so.

use crate::common::*;
use api::limits::FreeTries;
use chrono::{Duration, Utc};
use denwright::service::server::Settings;
use reqwest::Method;
use security::{
    credentials::{self, Signer},
    totp,
};
use std::{fs, sync::Arc};
use store::sessions;
use tokio_postgres::Client;

/// A service where anybody may sign up, behind a proxy that tells who asks.
async fn open() -> Kennel {
    Kennel::with(Settings { sign_up_open: true, proxies: 1, ..settings() }).await
}

/// An address that no other test writes to.
fn own_address() -> String {
    format!("{}@example.org", Uuid::now_v7().simple())
}

async fn sign_up(kennel: &Kennel, email: &str) {
    let person = json!({ "name": "Maren Holt", "email": email, "password": PASSWORD });
    kennel.nobody().post("/v1/people", person).await.created();
}

/// A POST without a login, from this network address.
async fn post_from(nobody: &Caller, from: &str, path: &str, body: Value) -> Answer {
    let request = nobody.request(Method::POST, path).header("X-Forwarded-For", from);
    request.json(&body).send().await
}

async fn log_in_from(nobody: &Caller, from: &str, email: &str, password: &str) -> Answer {
    let body = json!({ "email": email, "password": password });
    post_from(nobody, from, "/v1/auth/login", body).await
}

async fn log_in(kennel: &Kennel, email: &str) -> Value {
    log_in_from(&kennel.nobody(), HOME, email, PASSWORD).await.ok()
}

async fn refresh(caller: &Caller, token: &str) -> Answer {
    caller.nobody().post("/v1/auth/refresh", json!({ "refresh_token": token })).await
}

/// The caller of a session.
fn with(kennel: &Kennel, session: &Value) -> Caller {
    kennel.with_token(session["access_token"].as_str().unwrap())
}

const HOME: &str = "203.0.113.7";
const STRANGER: &str = "198.51.100.4";

/// The words of a mail to this address, once it has come.
async fn code_mailed_to(address: &str) -> String {
    let mail = mailed(address, "asked to reset").await;
    let is_code = |word: &&str| word.len() == 14 && word.split('-').all(|part| part.len() == 4);
    mail.split_whitespace().find(is_code).expect("a code").to_owned()
}

async fn ask_for_reset(nobody: &Caller, from: &str, email: &str) -> Answer {
    post_from(nobody, from, "/v1/auth/password-reset", json!({ "email": email })).await
}

async fn reset(nobody: &Caller, from: &str, email: &str, code: &str, password: &str) -> Answer {
    let body = json!({ "email": email, "code": code, "new_password": password });
    post_from(nobody, from, "/v1/auth/password-reset/confirm", body).await
}

async fn generation(sql: &Client, person: Uuid) -> i32 {
    let query = format!("SELECT generation FROM people WHERE id = '{person}'");
    sql.query_one(&query, &[]).await.unwrap().get(0)
}

/// A new session of a person, past the slow password: its access token and its refresh token.
async fn session_of(service: &Service, sql: &Client, person: Uuid) -> (String, String) {
    let generation = generation(sql, person).await;
    let secret = credentials::new_secret("");
    let (hash, until) = (credentials::hash_secret(&secret), Utc::now() + Duration::days(1));
    let begun = sessions::begin(&service.db, person, generation, &hash, until).await;
    let keys = sessions::signing_keys(&service.db, &[]).await.unwrap();
    let signer = Signer::new(keys, Duration::minutes(15));
    (signer.sign(begun.unwrap(), Utc::now()).unwrap(), secret)
}

/// Fifty rounds of a refresh under way, on either instance, while all sessions end: whatever it hands out
/// opens nothing.
#[tokio::test]
async fn a_refresh_under_way_outlives_no_end_of_sessions() {
    let kennel = Kennel::new().await;
    let beside = Arc::new(kennel.service.beside(settings()));
    let sql = kennel.sql().await;
    let mut password = PASSWORD.to_owned();
    let mut handed_out = 0;
    for round in 0..50 {
        let (phone, phones_refresh) = session_of(&kennel.service, &sql, kennel.person_id).await;
        let (laptop, _) = session_of(&kennel.service, &sql, kennel.person_id).await;
        let instance = if round % 2 == 0 { &kennel.service } else { &beside };
        let phone =
            Caller::new(Arc::clone(instance), kennel.kennel_id, kennel.person_id, Some(phone));
        let laptop = kennel.with_token(laptop);
        let (path, body) = if round % 4 < 2 {
            ("/v1/auth/logout-everywhere", json!({}))
        } else {
            let new = format!("pass phrase of round {round}");
            let body = json!({ "password": password, "new_password": new });
            password = new;
            ("/v1/me/password", body)
        };
        let ending = async {
            tokio::time::sleep(std::time::Duration::from_micros(200 * (round % 10))).await;
            laptop.post(path, body).await
        };
        let slow = std::time::Duration::from_millis(if path.ends_with("password") {
            8 * round
        } else {
            0
        });
        let going_on = async {
            tokio::time::sleep(slow).await;
            refresh(&phone, &phones_refresh).await
        };
        let (ended, went_on) = tokio::join!(ending, going_on);
        assert!(ended.status < 300, "round {round}: {}", ended.status);
        for access in [phone.token.clone().unwrap(), laptop.token.clone().unwrap()] {
            kennel.with_token(access).get("/v1/me").await.problem(401);
        }
        if went_on.status == 200 {
            handed_out += 1;
            let session = went_on.ok();
            let still = phone.with_token(session["access_token"].as_str().unwrap());
            still.get("/v1/me").await.problem(401);
            still.get("/dogs").await.problem(401);
            refresh(&phone, session["refresh_token"].as_str().unwrap()).await.problem(401);
        } else {
            went_on.problem(401);
        }
    }
    assert!(handed_out > 0, "no refresh came before an end: nothing was raced");
    // Who changed the password last goes on.
    let sql = "SELECT count(*) FROM sessions s JOIN people p ON p.id = s.person_id \
               WHERE s.ended_at IS NULL AND s.generation <> p.generation";
    let loose: i64 = kennel.sql().await.query_one(sql, &[]).await.unwrap().get(0);
    assert_eq!(loose, 0);
}

#[tokio::test]
async fn a_login_under_way_outlives_no_change_of_the_password() {
    let kennel = Kennel::new().await;
    let sql = kennel.sql().await;
    let (token, _) = session_of(&kennel.service, &sql, kennel.person_id).await;
    // What a login has read before the password was changed.
    let seen = generation(&sql, kennel.person_id).await;
    let body = json!({ "password": PASSWORD, "new_password": "another long pass phrase" });
    kennel.with_token(token).post("/v1/me/password", body).await.ok();
    let until = Utc::now() + Duration::days(1);
    let late = sessions::begin(&kennel.service.db, kennel.person_id, seen, &[7; 32], until).await;
    assert!(matches!(late, Err(store::StoreError::Login(_))), "{late:?}");
}

#[tokio::test]
async fn logging_out_ends_the_access_token_and_its_stream() {
    let kennel = open().await;
    let address = own_address();
    sign_up(&kennel, &address).await;
    let (phone, laptop) = (log_in(&kennel, &address).await, log_in(&kennel, &address).await);
    let body = json!({ "name": "Larkfell", "time_zone": "Europe/Berlin" });
    let own = with(&kennel, &laptop).post("/v1/kennels", body).await.id();
    let (on_phone, on_laptop) =
        (with(&kennel, &phone).in_kennel(own), with(&kennel, &laptop).in_kennel(own));
    let mut stream = on_phone.follow(None).await;
    stream.next().await;

    let token = json!({ "refresh_token": phone["refresh_token"] });
    kennel.nobody().post("/v1/auth/logout", token).await.no_content();
    on_phone.get("/v1/me").await.problem(401);
    on_phone.get("/dogs").await.problem(401);
    on_phone.post("/dogs", json!({ "residence": "here" })).await.problem(401);
    refresh(&kennel, phone["refresh_token"].as_str().unwrap()).await.problem(401);
    // The other session goes on, and the stream tells nothing any more.
    on_laptop.post("/dogs", json!({ "residence": "here" })).await.created();
    while let Some((_, change)) = stream.next_or_end().await {
        assert_ne!(change["record"], "dog", "told after the logout");
    }
    // A refresh token that comes back after its session ended harms no other session.
    on_laptop.get("/v1/me").await.ok();
}

#[tokio::test]
async fn a_stolen_refresh_token_that_comes_back_ends_the_access_tokens_too() {
    let kennel = open().await;
    let address = own_address();
    sign_up(&kennel, &address).await;
    let first = log_in(&kennel, &address).await;
    let spent = first["refresh_token"].as_str().unwrap();
    let second = refresh(&kennel, spent).await.ok();
    with(&kennel, &second).get("/v1/me").await.ok();
    refresh(&kennel, spent).await.problem(401);
    for session in [&first, &second] {
        with(&kennel, session).get("/v1/me").await.problem(401);
    }
}

fn code_now(secret: &[u8], ahead: i64) -> String {
    totp::code_at(secret, Utc::now().timestamp() + ahead)
}

/// A second factor for this caller; its secret.
async fn second_factor(caller: &Caller) -> Vec<u8> {
    let begun =
        caller.post("/v1/me/second-factor", json!({ "password": PASSWORD })).await.created();
    let text = begun["secret"].as_str().unwrap();
    let secret = from_base32(text);
    let code = json!({ "code": code_now(&secret, 0) });
    caller.post("/v1/me/second-factor/confirm", code).await.ok();
    secret
}

/// The bytes behind a base 32 text (RFC 4648).
fn from_base32(text: &str) -> Vec<u8> {
    let value = |letter: u8| match letter {
        b'A'..=b'Z' => letter - b'A',
        _ => letter - b'2' + 26,
    };
    let bits: Vec<u8> = text
        .bytes()
        .flat_map(|letter| (0..5).rev().map(move |at| value(letter) >> at & 1))
        .collect();
    bits.chunks_exact(8).map(|byte| byte.iter().fold(0, |sum, bit| sum << 1 | bit)).collect()
}

#[tokio::test]
async fn turning_a_second_factor_on_or_off_ends_the_other_sessions() {
    let kennel = open().await;
    let address = own_address();
    sign_up(&kennel, &address).await;
    let (phone, laptop) = (log_in(&kennel, &address).await, log_in(&kennel, &address).await);
    let own = with(&kennel, &laptop);
    let secret = second_factor(&own).await;
    own.get("/v1/me").await.ok();
    with(&kennel, &phone).get("/v1/me").await.problem(401);
    refresh(&kennel, phone["refresh_token"].as_str().unwrap()).await.problem(401);

    let body = json!({ "email": address, "password": PASSWORD, "code": code_now(&secret, 30) });
    let again = post_from(&kennel.nobody(), HOME, "/v1/auth/login", body).await.ok();
    own.post("/v1/me/second-factor/end", json!({ "password": PASSWORD })).await.no_content();
    own.get("/v1/me").await.ok();
    with(&kennel, &again).get("/v1/me").await.problem(401);
    refresh(&kennel, laptop["refresh_token"].as_str().unwrap()).await.ok();
}

#[tokio::test]
async fn a_stranger_keeps_the_owner_of_an_account_out_nowhere_but_where_they_are() {
    let kennel = open().await;
    let address = own_address();
    sign_up(&kennel, &address).await;
    let nobody = kennel.nobody();
    for _ in 0..5 {
        log_in_from(&nobody, STRANGER, &address, "another pass phrase").await.problem(401);
    }
    log_in_from(&nobody, STRANGER, &address, PASSWORD).await.problem(429);
    log_in_from(&nobody, HOME, &address, PASSWORD).await.ok();
    // A good login elsewhere does not open the door to the stranger again.
    log_in_from(&nobody, STRANGER, &address, PASSWORD).await.problem(429);
}

#[tokio::test]
async fn tries_from_everywhere_have_a_limit_that_a_reset_clears() {
    let free_tries = FreeTries { on_account: 3, on_account_from_everywhere: 8, from_address: 30 };
    let settings = Settings { sign_up_open: true, proxies: 1, free_tries, ..settings() };
    let kennel = Kennel::with(settings).await;
    let address = own_address();
    sign_up(&kennel, &address).await;
    let nobody = kennel.nobody();
    let wrong = |number: u8| {
        let (nobody, address) = (nobody.clone(), address.clone());
        async move {
            let from = format!("198.51.100.{number}");
            log_in_from(&nobody, &from, &address, "another pass phrase").await.status
        }
    };
    // One before the limit the owner gets in, which forgets them.
    for number in 0..7 {
        assert_eq!(wrong(number).await, 401);
    }
    log_in_from(&nobody, HOME, &address, PASSWORD).await.ok();
    // On it, nobody does any more, from wherever.
    for number in 10..18 {
        assert_eq!(wrong(number).await, 401, "try {number}");
    }
    assert_eq!(wrong(18).await, 429);
    log_in_from(&nobody, HOME, &address, PASSWORD).await.problem(429);

    ask_for_reset(&nobody, HOME, &address).await.expect(202);
    let code = code_mailed_to(&address).await;
    reset(&nobody, HOME, &address, &code, "a new pass phrase").await.no_content();
    log_in_from(&nobody, HOME, &address, "a new pass phrase").await.ok();
}

#[tokio::test]
async fn a_stranger_spoils_nobodys_reset() {
    let kennel = open().await;
    let address = own_address();
    sign_up(&kennel, &address).await;
    let nobody = kennel.nobody();
    ask_for_reset(&nobody, HOME, &address).await.expect(202);
    let code = code_mailed_to(&address).await;
    for _ in 0..5 {
        let wrong = "AAAA-BBBB-CCCC";
        reset(&nobody, STRANGER, &address, wrong, "a new pass phrase").await.refused(&["/code"]);
    }
    reset(&nobody, STRANGER, &address, &code, "a new pass phrase").await.problem(429);
    for _ in 0..5 {
        ask_for_reset(&nobody, STRANGER, &address).await.expect(202);
    }
    ask_for_reset(&nobody, STRANGER, &address).await.problem(429);
    reset(&nobody, HOME, &address, &code, "a new pass phrase").await.no_content();
}

#[tokio::test]
async fn passwords_that_others_would_guess_are_refused_wherever_one_is_set() {
    let kennel = open().await;
    let address = format!("bramble.{}", own_address());
    sign_up(&kennel, &address).await;
    let nobody = kennel.nobody();
    let maren = with(&kennel, &log_in(&kennel, &address).await);
    ask_for_reset(&nobody, HOME, &address).await.expect(202);
    let code = code_mailed_to(&address).await;
    for weak in
        ["password123", "1234567890", "qwertyuiop", "Maren Holt", "marenholt1", address.as_str()]
    {
        let fresh = own_address();
        let body = json!({ "name": "Maren Holt", "email": fresh, "password": weak });
        let body = if weak == address {
            json!({ "name": "B", "email": address, "password": weak })
        } else {
            body
        };
        post_from(&nobody, HOME, "/v1/people", body).await.refused(&["/password"]);
        let body = json!({ "password": PASSWORD, "new_password": weak });
        maren.post("/v1/me/password", body).await.refused(&["/new_password"]);
        reset(&nobody, HOME, &address, &code, weak).await.refused(&["/new_password"]);
        let added = std::process::Command::new(env!("CARGO_BIN_EXE_denwright"))
            .args(["person", "add", "--name", "Maren Holt", "--email", &address])
            .args(["--password-file", "/dev/stdin"])
            .env("DATABASE_URL", &kennel.service.database_url)
            .stdin({
                let (read, mut write) = std::io::pipe().unwrap();
                std::io::Write::write_all(&mut write, weak.as_bytes()).unwrap();
                read
            })
            .output()
            .unwrap();
        let said = String::from_utf8_lossy(&added.stderr).into_owned();
        assert!(!added.status.success() && said.contains("password"), "{said}");
        assert!(!said.contains(weak) || weak == address, "{said}");
        // The eighth of these would wait.
        kennel.sql().await.batch_execute("DELETE FROM attempts").await.unwrap();
    }
    reset(&nobody, HOME, &address, &code, "a long pass phrase").await.no_content();
}

async fn membership(kennel: &Kennel, person: &Caller) -> String {
    let members = kennel.get("/members").await.ok();
    let own = items(&members).iter().find(|m| m["person_id"] == json!(person.person_id));
    format!("/members/{}", id(own.unwrap_or_else(|| panic!("no member: {members}"))))
}

/// What an owner made: a token's caller, the paths of a calendar and a booklet, and a webhook.
struct Made {
    token: Caller,
    calendar: String,
    booklet: String,
    webhook: String,
}

impl Made {
    async fn by(owner: &Caller, dog: Uuid) -> Self {
        let body = json!({ "name": "Scale", "read_only": false, "password": PASSWORD });
        let token = owner.post("/access-tokens", body).await.created();
        let calendar = owner.post("/calendar-links", json!({ "name": "Phone" })).await.created();
        let links = format!("/dogs/{dog}/booklet-links");
        let booklet = owner.post(&links, json!({})).await.created();
        let hook = json!({ "url": "http://127.0.0.1:9/hook" });
        let webhook = owner.post("/webhooks", hook).await.created();
        let path = |made: &Value| made["path"].as_str().unwrap().to_owned();
        Self {
            token: owner.with_token(token["token"].as_str().unwrap()),
            calendar: path(&calendar),
            booklet: path(&booklet),
            webhook: format!("/webhooks/{}", id(&webhook["webhook"])),
        }
    }

    /// The statuses of all four, asked by an owner of the kennel.
    async fn statuses(&self, kennel: &Kennel) -> [u16; 4] {
        [
            self.token.get("/dogs").await.status,
            kennel.nobody().get(&self.calendar).await.status,
            kennel.nobody().get(&self.booklet).await.status,
            kennel.get(&self.webhook).await.status,
        ]
    }
}

async fn email_of(person: &Caller) -> String {
    person.get("/v1/me").await.ok()["person"]["email"].as_str().unwrap().to_owned()
}

async fn invite(owner: &Caller, email: &str, role: &str) -> Value {
    let body = json!({ "email": email, "role": role });
    json!({ "token": owner.post("/invitations", body).await.created()["token"] })
}

#[tokio::test]
async fn what_a_member_made_ends_with_the_membership_and_stays_ended() {
    let kennel = Kennel::new().await;
    let juno = kennel.dam("Juno").await;
    let second = kennel.member(Role::Owner).await;
    let made = Made::by(&second, juno).await;
    let kept = Made::by(&kennel, juno).await;
    assert_eq!(made.statuses(&kennel).await, [200, 200, 200, 200]);
    // Ways back: an invitation that is open still, and one to another address of theirs.
    let (email, other) = (email_of(&second).await, kennel.stranger().await);
    let back = invite(&kennel, &email, "owner").await;
    let sideways = invite(&second, &email_of(&other).await, "owner").await;
    let honest = kennel.stranger().await;
    let welcome = invite(&kennel, &email_of(&honest).await, "viewer").await;

    kennel.remove(&membership(&kennel, &second).await).await.no_content();
    assert_eq!(made.statuses(&kennel).await, [401, 404, 404, 404]);
    second.get("/dogs").await.problem(404);
    second.post("/v1/invitations/accept", back).await.problem(401);
    other.post("/v1/invitations/accept", sideways).await.problem(401);
    // Nothing else ended.
    assert_eq!(kept.statuses(&kennel).await, [200, 200, 200, 200]);
    honest.post("/v1/invitations/accept", welcome).await.ok();

    let again = invite(&kennel, &email, "owner").await;
    second.post("/v1/invitations/accept", again).await.ok();
    second.get("/dogs").await.ok();
    assert_eq!(made.statuses(&kennel).await, [401, 404, 404, 404]);
    assert_eq!(items(&second.get("/access-tokens").await.ok()).len(), 1, "the other owner's");
    let new = Made::by(&second, juno).await;
    assert_eq!(new.statuses(&kennel).await, [200, 200, 200, 200]);
}

#[tokio::test]
async fn what_needs_a_role_ends_with_it() {
    let kennel = Kennel::new().await;
    let juno = kennel.dam("Juno").await;
    let second = kennel.member(Role::Owner).await;
    let made = Made::by(&second, juno).await;
    let stranger = kennel.stranger().await;
    let sideways = invite(&second, &email_of(&stranger).await, "owner").await;
    kennel.change(&membership(&kennel, &second).await, json!({ "role": "viewer" })).await.ok();
    assert_eq!(made.statuses(&kennel).await, [200, 200, 404, 404]);
    let dog = json!({ "residence": "here" });
    made.token.post("/dogs", dog).await.problem(403);
    stranger.post("/v1/invitations/accept", sideways).await.problem(401);

    // A co-owner's booklet ends with the share in the dog.
    let tobias = kennel.co_owner(&[juno]).await;
    let links = format!("/dogs/{juno}/booklet-links");
    let booklet = tobias.post(&links, json!({})).await.created()["path"].clone();
    let booklet = booklet.as_str().unwrap();
    kennel.nobody().get(booklet).await.ok();
    let shares = kennel.get(&format!("/dogs/{juno}/shares")).await.ok();
    let share = format!("/dogs/{juno}/shares/{}", id(&items(&shares)[0]));
    kennel.remove(&share).await.no_content();
    kennel.nobody().get(booklet).await.problem(404);
}

#[tokio::test]
async fn a_named_token_asks_for_the_password_again_and_for_the_second_factor() {
    let kennel = open().await;
    let address = own_address();
    sign_up(&kennel, &address).await;
    let maren = with(&kennel, &log_in(&kennel, &address).await);
    let body = json!({ "name": "Larkfell", "time_zone": "Europe/Berlin" });
    let maren = maren.in_kennel(maren.post("/v1/kennels", body).await.id());
    let token = |more: Value| {
        let mut body = json!({ "name": "Scale", "read_only": true });
        body.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
        let maren = maren.clone();
        async move { maren.post("/access-tokens", body).await }
    };
    token(json!({})).await.refused(&["/password"]);
    token(json!({ "password": "another pass phrase" })).await.refused(&["/password"]);
    token(json!({ "password": PASSWORD })).await.created();

    let secret = second_factor(&maren).await;
    token(json!({ "password": PASSWORD })).await.refused(&["/code"]);
    token(json!({ "password": PASSWORD, "code": "000000x" })).await.refused(&["/code"]);
    let code = code_now(&secret, 30);
    token(json!({ "password": PASSWORD, "code": code })).await.created();
    // A code is good once, here too.
    token(json!({ "password": PASSWORD, "code": code })).await.refused(&["/code"]);
    assert_eq!(items(&maren.get("/access-tokens").await.ok()).len(), 2);
}

#[tokio::test]
async fn what_was_set_up_before_an_address_was_proven_goes_when_it_is() {
    let kennel = open().await;
    let address = own_address();
    let nobody = kennel.nobody();
    // Somebody signs up with another's address, and bars the way with a second factor.
    sign_up(&kennel, &address).await;
    let squatter = with(&kennel, &log_in(&kennel, &address).await);
    let body = json!({ "name": "Larkfell", "time_zone": "Europe/Berlin" });
    let squatter = squatter.in_kennel(squatter.post("/v1/kennels", body).await.id());
    let dog = squatter.post("/dogs", json!({ "residence": "here" })).await.id();
    let made = Made::by(&squatter, dog).await;
    second_factor(&squatter).await;

    ask_for_reset(&nobody, HOME, &address).await.expect(202);
    let code = code_mailed_to(&address).await;
    reset(&nobody, HOME, &address, &code, "the own pass phrase").await.no_content();
    let own = log_in_from(&nobody, HOME, &address, "the own pass phrase").await.ok();
    let own = with(&kennel, &own).in_kennel(squatter.kennel_id);
    squatter.get("/v1/me").await.problem(401);
    made.token.get("/dogs").await.problem(401);
    nobody.get(&made.calendar).await.problem(404);
    nobody.get(&made.booklet).await.problem(404);
    own.get(&made.webhook).await.problem(404);

    // From now on the address is theirs: what they set up stays over a reset.
    let begun =
        own.post("/v1/me/second-factor", json!({ "password": "the own pass phrase" })).await;
    let secret = from_base32(begun.created()["secret"].as_str().unwrap());
    let confirm = json!({ "code": code_now(&secret, 0) });
    own.post("/v1/me/second-factor/confirm", confirm).await.ok();
    let mails = fs::read_dir(mail_folder()).unwrap().flatten();
    for mail in mails {
        if fs::read_to_string(mail.path()).is_ok_and(|text| text.contains(&address)) {
            let _ = fs::remove_file(mail.path());
        }
    }
    ask_for_reset(&nobody, HOME, &address).await.expect(202);
    let code = code_mailed_to(&address).await;
    reset(&nobody, HOME, &address, &code, "yet another phrase").await.no_content();
    log_in_from(&nobody, HOME, &address, "yet another phrase").await.problem(401);
    let body = json!({ "email": address, "password": "yet another phrase", "code": code_now(&secret, 30) });
    post_from(&nobody, HOME, "/v1/auth/login", body).await.ok();
}
