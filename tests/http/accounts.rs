//! One's own account: limits on tries, passwords and their reset, the second factor, signing out
//! everywhere, new signing keys, and what access tokens may not do.

use crate::common::*;
use chrono::{Duration, Utc};
use denwright::service::server::Settings;
use security::{credentials, totp};
use std::sync::Arc;
use store::upkeep;

const ADDRESS: &str = "maren@example.org";

async fn open() -> Kennel {
    Kennel::with(Settings { sign_up_open: true, ..settings() }).await
}

/// Somebody who signed up, with this address.
async fn sign_up(kennel: &Kennel, email: &str) -> Caller {
    let person = json!({ "name": "Maren Holt", "email": email, "password": PASSWORD });
    kennel.nobody().post("/v1/people", person).await.created();
    kennel.nobody()
}

async fn log_in(nobody: &Caller, email: &str, password: &str) -> Answer {
    nobody.post("/v1/auth/login", json!({ "email": email, "password": password })).await
}

/// The caller of a session.
fn with(nobody: &Caller, session: &Value) -> Caller {
    nobody.with_token(session["access_token"].as_str().unwrap())
}

async fn refresh(caller: &Caller, session: &Value) -> Answer {
    let body = json!({ "refresh_token": session["refresh_token"] });
    caller.nobody().post("/v1/auth/refresh", body).await
}

/// An address that no other test writes to.
fn own_address() -> String {
    format!("{}@example.org", Uuid::now_v7().simple())
}

#[tokio::test]
async fn an_account_is_tried_five_times_then_waits() {
    let kennel = open().await;
    let nobody = sign_up(&kennel, ADDRESS).await;
    // A second instance on the same database counts with the first.
    let beside = Arc::new(kennel.service.beside(settings()));
    let other = Caller::new(beside, kennel.kennel_id, Uuid::nil(), None);
    for address in [ADDRESS, "nobody@example.org"] {
        for attempt in 0..5 {
            let caller = if attempt % 2 == 0 { &nobody } else { &other };
            log_in(caller, address, "another pass phrase").await.problem(401);
        }
        // Now even the right one waits, on both, and an unknown address looks the same.
        for caller in [&nobody, &other] {
            let refused = log_in(caller, &address.to_uppercase(), PASSWORD).await;
            let wait: u32 = refused.header("retry-after").parse().unwrap();
            assert!((1..=15).contains(&wait), "{wait}");
            refused.problem(429);
        }
    }
    // The wait passes, a good login forgets, and the waits had grown.
    let sql = kennel.sql().await;
    sql.batch_execute("UPDATE attempts SET blocked_until = now()").await.unwrap();
    log_in(&nobody, ADDRESS, "another pass phrase").await.problem(401);
    let refused = log_in(&nobody, ADDRESS, PASSWORD).await;
    assert!(refused.header("retry-after").parse::<u32>().unwrap() > 15);
    sql.batch_execute("UPDATE attempts SET blocked_until = now()").await.unwrap();
    log_in(&nobody, ADDRESS, PASSWORD).await.ok();
    for _ in 0..4 {
        log_in(&nobody, ADDRESS, "another pass phrase").await.problem(401);
    }
    log_in(&nobody, ADDRESS, PASSWORD).await.ok();
    let kept = sql.query("SELECT encode(key, 'escape') FROM attempts", &[]).await.unwrap();
    assert!(kept.iter().all(|row| !row.get::<_, String>(0).contains("example")), "only hashes");
}

#[tokio::test]
async fn an_address_that_tries_many_accounts_waits_too() {
    let kennel = Kennel::with(Settings { sign_up_open: true, proxies: 1, ..settings() }).await;
    let nobody = sign_up(&kennel, ADDRESS).await;
    let sql = kennel.sql().await;
    let from = |address: &'static str, email: String| {
        let request = nobody.request(reqwest::Method::POST, "/v1/auth/login");
        let body = json!({ "email": email, "password": PASSWORD });
        request.header("X-Forwarded-For", address).json(&body).send()
    };
    // 29 tries before, without their slow passwords.
    let key = credentials::hash_secret("login from 203.0.113.7");
    let before = "INSERT INTO attempts VALUES ($1, 28, now(), now())";
    sql.execute(before, &[&key]).await.unwrap();
    from("203.0.113.7", "a@example.org".to_owned()).await.problem(401);
    from("203.0.113.7", "b@example.org".to_owned()).await.problem(401);
    from("203.0.113.7", ADDRESS.to_owned()).await.problem(429);
    // What the client writes itself is not believed, and others go on.
    from("198.51.100.1, 203.0.113.7", ADDRESS.to_owned()).await.problem(429);
    from("203.0.113.8", ADDRESS.to_owned()).await.ok();
}

#[tokio::test]
async fn signing_out_everywhere_ends_every_session_at_once() {
    let kennel = open().await;
    let nobody = sign_up(&kennel, ADDRESS).await;
    let (phone, laptop) = (
        log_in(&nobody, ADDRESS, PASSWORD).await.ok(),
        log_in(&nobody, ADDRESS, PASSWORD).await.ok(),
    );
    let body = json!({ "name": "Larkfell", "time_zone": "Europe/Berlin" });
    let own = with(&nobody, &phone).post("/v1/kennels", body).await.id();
    let on_phone = with(&nobody, &phone).in_kennel(own);
    on_phone.get("/dogs").await.ok();
    let mut stream = on_phone.follow(None).await;
    stream.next().await;

    with(&nobody, &laptop).post("/v1/auth/logout-everywhere", json!({})).await.no_content();
    for session in [&phone, &laptop] {
        refresh(&nobody, session).await.problem(401);
        with(&nobody, session).get("/v1/me").await.problem(401);
        with(&nobody, session).in_kennel(own).get("/dogs").await.problem(401);
    }
    // An open stream does not outlive its session.
    let again = log_in(&nobody, ADDRESS, PASSWORD).await.ok();
    let again = with(&nobody, &again).in_kennel(own);
    again.post("/dogs", json!({ "residence": "here" })).await.created();
    while let Some((_, change)) = stream.next_or_end().await {
        assert_ne!(change["record"], "dog", "told after the end of its session");
    }
    again.get("/dogs").await.ok();
}

#[tokio::test]
async fn a_member_who_leaves_hears_no_more() {
    let kennel = Kennel::among_others().await;
    let helper = kennel.helper().await;
    let start = kennel.get("/changes").await.ok()["newest_sequence"].as_i64();
    let mut stream = helper.follow(start).await;
    let members = kennel.get("/members").await.ok();
    let membership = id(&items(&members)[1]);
    kennel.remove(&format!("/members/{membership}")).await.no_content();
    kennel.dog("Juno", json!({})).await;
    while let Some((_, change)) = stream.next_or_end().await {
        assert_ne!(change["record"], "dog", "told after they had left");
    }
}

#[tokio::test]
async fn a_password_is_changed_by_who_knows_it() {
    let kennel = open().await;
    let address = own_address();
    let nobody = sign_up(&kennel, &address).await;
    let phone = log_in(&nobody, &address, PASSWORD).await.ok();
    let laptop = log_in(&nobody, &address, PASSWORD).await.ok();
    let maren = with(&nobody, &laptop);
    let change = |old: &str, new: &str| {
        let body = json!({ "password": old, "new_password": new });
        let maren = maren.clone();
        async move { maren.post("/v1/me/password", body).await }
    };
    change("a wrong pass phrase", "a new pass phrase").await.refused(&["/password"]);
    change(PASSWORD, "short").await.refused(&["/new_password"]);
    let session = change(PASSWORD, "a new pass phrase").await.ok();
    with(&nobody, &session).get("/v1/me").await.ok();
    refresh(&nobody, &session).await.ok();
    // All others end.
    refresh(&nobody, &phone).await.problem(401);
    maren.get("/v1/me").await.problem(401);
    log_in(&nobody, &address, PASSWORD).await.problem(401);
    log_in(&nobody, &address, "a new pass phrase").await.ok();
    mailed(&address, "was changed").await;
    let sql = kennel.sql().await;
    let hash: String = sql
        .query_one("SELECT password_hash FROM people WHERE email = $1", &[&address])
        .await
        .unwrap()
        .get(0);
    // OWASP's Password Storage Cheat Sheet: argon2id, 19 MiB, two passes, one lane.
    assert!(hash.starts_with("$argon2id$v=19$m=19456,t=2,p=1$"), "{hash}");
}

async fn ask_for_reset(nobody: &Caller, email: &str) -> Answer {
    nobody.post("/v1/auth/password-reset", json!({ "email": email })).await
}

async fn reset(nobody: &Caller, email: &str, code: &str, password: &str) -> Answer {
    let body = json!({ "email": email, "code": code, "new_password": password });
    nobody.post("/v1/auth/password-reset/confirm", body).await
}

/// The code in a mail.
fn code_of(mail: &str) -> String {
    let is_code = |word: &&str| word.len() == 14 && word.split('-').all(|part| part.len() == 4);
    mail.split_whitespace().find(is_code).expect("a code").to_owned()
}

#[tokio::test]
async fn a_password_is_reset_by_a_code_that_is_good_once() {
    let kennel = open().await;
    let address = own_address();
    let nobody = sign_up(&kennel, &address).await;
    let session = log_in(&nobody, &address, PASSWORD).await.ok();
    let known = ask_for_reset(&nobody, &address.to_uppercase()).await.expect(202).json();
    let unknown = ask_for_reset(&nobody, &own_address()).await.expect(202).json();
    assert_eq!(known, unknown);
    let code = code_of(&mailed(&address, "asked to reset").await);

    reset(&nobody, &address, &code, "short").await.refused(&["/new_password"]);
    reset(&nobody, &address, "AAAA-BBBB-CCCC", "a new pass phrase").await.refused(&["/code"]);
    reset(&nobody, &own_address(), &code, "a new pass phrase").await.refused(&["/code"]);
    // As it may be typed.
    let typed = code.to_lowercase().replace('-', " ");
    reset(&nobody, &address, &typed, "a new pass phrase").await.no_content();
    reset(&nobody, &address, &code, "another pass phrase").await.refused(&["/code"]);
    refresh(&nobody, &session).await.problem(401);
    with(&nobody, &session).get("/v1/me").await.problem(401);
    log_in(&nobody, &address, PASSWORD).await.problem(401);
    log_in(&nobody, &address, "a new pass phrase").await.ok();
    let sql = kennel.sql().await;
    let left = sql.query_one("SELECT count(*) FROM password_resets", &[]).await.unwrap();
    assert_eq!(left.get::<_, i64>(0), 0);
}

#[tokio::test]
async fn a_reset_ends_in_time_and_after_five_wrong_codes() {
    let kennel = open().await;
    let sql = kennel.sql().await;
    for spoil in [
        "UPDATE password_resets SET expires_at = now()",
        "UPDATE password_resets SET tries_left = 0",
    ] {
        let address = own_address();
        let nobody = sign_up(&kennel, &address).await;
        ask_for_reset(&nobody, &address).await.expect(202);
        let code = code_of(&mailed(&address, "asked to reset").await);
        let kept: Vec<u8> =
            sql.query_one("SELECT code_hash FROM password_resets", &[]).await.unwrap().get(0);
        assert_eq!(kept, credentials::hash_secret(&code.replace('-', "")), "a hash alone is kept");
        let tries = "SELECT tries_left FROM password_resets";
        reset(&nobody, &address, "AAAA-BBBB-CCCC", "a new pass phrase").await.refused(&["/code"]);
        assert_eq!(sql.query_one(tries, &[]).await.unwrap().get::<_, i16>(0), 4);
        sql.batch_execute(spoil).await.unwrap();
        reset(&nobody, &address, &code, "a new pass phrase").await.refused(&["/code"]);
        sql.batch_execute("DELETE FROM password_resets").await.unwrap();
    }
    // Nobody's mailbox is flooded.
    let address = own_address();
    for _ in 0..5 {
        ask_for_reset(&kennel.nobody(), &address).await.expect(202);
    }
    ask_for_reset(&kennel.nobody(), &address).await.problem(429);
}

/// The secret behind a base 32 text (RFC 4648).
pub(super) fn from_base32(text: &str) -> Vec<u8> {
    let (mut held, mut bits, mut bytes) = (0_u32, 0, Vec::new());
    for letter in text.bytes() {
        let value = if letter.is_ascii_uppercase() { letter - b'A' } else { letter - b'2' + 26 };
        held = (held << 5) | u32::from(value);
        bits += 5;
        if bits >= 8 {
            bits -= 8;
            bytes.push((held >> bits) as u8);
            held &= (1 << bits) - 1;
        }
    }
    bytes
}

#[tokio::test]
async fn a_second_factor_is_asked_for_once_it_is_confirmed() {
    let kennel = open().await;
    let nobody = sign_up(&kennel, ADDRESS).await;
    let maren = with(&nobody, &log_in(&nobody, ADDRESS, PASSWORD).await.ok());
    let again = json!({ "password": PASSWORD });
    maren
        .post("/v1/me/second-factor", json!({ "password": "wrong" }))
        .await
        .refused(&["/password"]);
    let begun = maren.post("/v1/me/second-factor", again.clone()).await.created();
    let secret = from_base32(begun["secret"].as_str().unwrap());
    assert_eq!(secret.len(), 20);
    assert!(begun["address"].as_str().unwrap().starts_with("otpauth://totp/denwright:maren%40"));
    // Not asked for before it is confirmed.
    log_in(&nobody, ADDRESS, PASSWORD).await.ok();
    let confirm = |code: String| {
        let maren = maren.clone();
        async move { maren.post("/v1/me/second-factor/confirm", json!({ "code": code })).await }
    };
    confirm("000000x".to_owned()).await.refused(&["/code"]);
    let code = |ahead: i64| totp::code_at(&secret, Utc::now().timestamp() + ahead);
    let codes = confirm(code(0)).await.ok()["recovery_codes"].clone();
    assert_eq!(codes.as_array().unwrap().len(), 10);
    confirm(code(30)).await.problem(409);
    maren.post("/v1/me/second-factor", again.clone()).await.problem(409);
    let state = maren.get("/v1/me/second-factor").await.ok();
    assert_eq!(state, json!({ "required": true, "recovery_codes_left": 10 }));

    let log_in_with = |code: Value| {
        let body = json!({ "email": ADDRESS, "password": PASSWORD, "code": code });
        let nobody = nobody.clone();
        async move { nobody.post("/v1/auth/login", body).await }
    };
    let asked = log_in(&nobody, ADDRESS, PASSWORD).await.problem(401);
    assert_eq!(asked["type"], "urn:denwright:problem:second-factor");
    // With a wrong password the second factor does not show.
    let wrong = log_in(&nobody, ADDRESS, "a wrong pass phrase").await.problem(401);
    assert_eq!(wrong["type"], "urn:denwright:problem:not-logged-in");
    log_in_with(json!("123")).await.problem(401);
    let next = code(30);
    log_in_with(json!(next)).await.ok();
    // Each code is good once.
    log_in_with(json!(next)).await.problem(401);
    log_in_with(codes[0].clone()).await.ok();
    log_in_with(codes[0].clone()).await.problem(401);
    let state = maren.get("/v1/me/second-factor").await.ok();
    assert_eq!(state["recovery_codes_left"], 9);

    maren.post("/v1/me/second-factor/end", again).await.no_content();
    log_in(&nobody, ADDRESS, PASSWORD).await.ok();
}

#[tokio::test]
async fn wrong_codes_are_limited_like_wrong_passwords() {
    let kennel = open().await;
    let nobody = sign_up(&kennel, ADDRESS).await;
    let sql = kennel.sql().await;
    let on = "UPDATE people SET totp_secret = $1, totp_on = true WHERE id::text = $2";
    for row in sql.query("SELECT id::text FROM people", &[]).await.unwrap() {
        let person: String = row.get(0);
        let purpose = format!("second factor of {person}");
        let sealed = vault().seal(&purpose, b"12345678901234567890").unwrap();
        sql.execute(on, &[&sealed, &person]).await.unwrap();
    }
    let body = json!({ "email": ADDRESS, "password": PASSWORD, "code": "000000" });
    for _ in 0..5 {
        nobody.post("/v1/auth/login", body.clone()).await.problem(401);
    }
    nobody.post("/v1/auth/login", body).await.problem(429);
}

#[tokio::test]
async fn a_new_key_signs_and_nobody_is_logged_out() {
    let kennel = open().await;
    let nobody = sign_up(&kennel, ADDRESS).await;
    let beside = Arc::new(kennel.service.beside(settings()));
    let session = log_in(&nobody, ADDRESS, PASSWORD).await.ok();
    // As `denwright keys rotate` does.
    let db = &kennel.service.db;
    upkeep::rotate_keys(db, &credentials::random_key()).await.unwrap();
    // An instance that starts now signs with the new key; the others learn of it when they see it.
    let fresh = Arc::new(kennel.service.beside(settings()));
    let on = |service: &Arc<Service>| {
        Caller::new(Arc::clone(service), kennel.kennel_id, Uuid::nil(), None)
    };
    let signed_new = log_in(&on(&fresh), ADDRESS, PASSWORD).await.ok();
    tokio::time::sleep(std::time::Duration::from_millis(1100)).await;
    for caller in [&nobody, &on(&beside), &on(&fresh)] {
        with(caller, &session).get("/v1/me").await.ok();
        with(caller, &signed_new).get("/v1/me").await.ok();
    }
    let kid = |session: &Value| {
        session["access_token"].as_str().unwrap().split('.').next().unwrap().to_owned()
    };
    assert_ne!(kid(&session), kid(&signed_new));

    // The old key goes when no token of its can be left, and the new one stays.
    upkeep::clear_away(db).await.unwrap();
    with(&nobody, &session).get("/v1/me").await.ok();
    let sql = kennel.sql().await;
    sql.batch_execute("UPDATE signing_keys SET created_at = created_at - interval '26 hours'")
        .await
        .unwrap();
    upkeep::clear_away(db).await.unwrap();
    let left = sql.query_one("SELECT count(*) FROM signing_keys", &[]).await.unwrap();
    assert_eq!(left.get::<_, i64>(0), 1);
    // By itself when the newest is old, once.
    assert!(upkeep::rotate_old_keys(db, 90, &[7; 32]).await.unwrap().is_none());
    assert!(upkeep::rotate_old_keys(db, 1, &[7; 32]).await.unwrap().is_some());
    assert!(upkeep::rotate_old_keys(db, 1, &[7; 32]).await.unwrap().is_none());
}

#[tokio::test]
async fn an_access_token_opens_its_areas_and_lets_nobody_in() {
    let kennel = Kennel::new().await;
    let juno = kennel.dam("Juno").await;
    let make = |areas: Value| {
        let body =
            json!({ "name": "Scale", "read_only": false, "areas": areas, "password": PASSWORD });
        let owner = kennel.owner().clone();
        async move {
            let made = owner.post("/access-tokens", body).await.created();
            owner.with_token(made["token"].as_str().unwrap())
        }
    };
    let weight = json!({ "measured_at": time_ago(Duration::hours(1)), "weight_g": 27_000 });
    let scale = make(json!(["observations"])).await;
    scale.post(&format!("/dogs/{juno}/weights"), weight).await.created();
    scale.get(&format!("/dogs/{juno}")).await.ok();
    for (path, body) in [
        ("/dogs", json!({ "residence": "here" })),
        ("/buyers", json!({ "name": "Jon", "joined_on": days_ago(1) })),
        (
            "/rules/overrides",
            json!({ "key": "dating.ovulation_days", "value": 63, "source": "vet" }),
        ),
    ] {
        scale.post(path, body).await.problem(403);
    }
    // Neither contact data nor money.
    kennel.buyer("Ottilie").await;
    assert!(items(&scale.get("/buyers").await.ok())[0]["email"].is_null());
    let placing = make(json!(["placing"])).await;
    assert!(items(&placing.get("/buyers").await.ok())[0]["email"].is_string());
    let unknown =
        json!({ "name": "Scale", "read_only": false, "areas": ["sleeping"], "password": PASSWORD });
    kennel.post("/access-tokens", unknown).await.refused(&["/areas/0"]);

    // Not even one that opens all lets others in, or outlives itself by another secret.
    let all = make(Value::Null).await;
    all.post("/dogs", json!({ "residence": "here" })).await.created();
    all.post(
        "/rules/overrides",
        json!({ "key": "dating.ovulation_days", "value": 63, "source": "vet" }),
    )
    .await
    .created();
    let member = kennel.helper().await;
    let members = kennel.get("/members").await.ok();
    let membership = items(&members).iter().find(|m| m["person_id"] == json!(member.person_id));
    let membership = format!("/members/{}", id(membership.unwrap()));
    all.post("/access-tokens", json!({ "name": "More", "read_only": true, "password": PASSWORD }))
        .await
        .problem(403);
    all.post("/calendar-links", json!({ "name": "More" })).await.problem(403);
    all.post("/invitations", json!({ "email": "x@example.org", "role": "owner" }))
        .await
        .problem(403);
    all.post("/webhooks", json!({ "url": "http://127.0.0.1:1/" })).await.problem(403);
    all.patch(&membership, "\"1\"", json!({ "role": "owner" })).await.problem(403);
    all.delete(&membership, "\"1\"").await.problem(403);
    let tokens = kennel.get("/access-tokens").await.ok();
    let own = format!("/access-tokens/{}", id(&items(&tokens)[0]));
    all.request(reqwest::Method::DELETE, &own).send().await.problem(403);
}
