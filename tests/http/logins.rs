//! Sign-up, login, and what becomes of sessions and tokens.

use crate::common::*;
use chrono::{DateTime, Duration, SecondsFormat, Utc};
use denwright::service::server::Settings;
use security::credentials::{Signer, Subject};
use store::sessions;

/// A service where anybody may sign up.
async fn open() -> Kennel {
    Kennel::with(Settings { sign_up_open: true, ..settings() }).await
}

fn person(email: &str) -> Value {
    json!({ "name": "Maren Holt", "email": email, "password": PASSWORD })
}

async fn log_in(caller: &Caller, email: &str) -> Value {
    let body = json!({ "email": email, "password": PASSWORD });
    caller.nobody().post("/v1/auth/login", body).await.ok()
}

async fn refresh(caller: &Caller, session: &Value) -> Answer {
    let body = json!({ "refresh_token": session["refresh_token"] });
    caller.nobody().post("/v1/auth/refresh", body).await
}

/// Where sign-up is closed, an invitation is the permission: to its holder, for the address that was invited.
#[tokio::test]
async fn an_invitation_makes_a_login_where_sign_up_is_closed() {
    let kennel = Kennel::new().await;
    let nobody = kennel.nobody();
    let invited = json!({ "email": "Maren@Example.org", "role": "helper" });
    let secret = kennel.post("/invitations", invited.clone()).await.created()["token"].clone();
    let sign_up = async |email: &str, secret: &Value| {
        let person = json!({ "name": "Maren Holt", "email": email, "password": PASSWORD, "invitation": secret });
        nobody.post("/v1/people", person).await
    };
    nobody.post("/v1/people", person("maren@example.org")).await.problem(403);
    sign_up("maren@example.org", &json!("made up")).await.refused(&["/invitation"]);
    sign_up("other@example.org", &secret).await.refused(&["/invitation"]);
    let made = sign_up("maren@example.org", &secret).await.created();
    assert_eq!(made["email"], "maren@example.org");
    sign_up("maren@example.org", &secret).await.problem(409);
    // The login joins by the same invitation, and by nothing less.
    let session = log_in(&nobody, "maren@example.org").await;
    let maren = nobody.with_token(session["access_token"].as_str().unwrap());
    assert_eq!(maren.get("/v1/me").await.ok()["kennels"], json!([]));
    maren.post("/v1/invitations/accept", json!({ "token": secret })).await.ok();
    assert_eq!(maren.get("/v1/me").await.ok()["kennels"][0]["role"], "helper");
    // Used, withdrawn or run out, it makes no login any more.
    let other = json!({ "email": "wenda@example.org", "role": "viewer" });
    let used = "UPDATE invitations SET email = 'wenda@example.org' WHERE accepted_at IS NOT NULL";
    kennel.sql().await.batch_execute(used).await.unwrap();
    sign_up("wenda@example.org", &secret).await.refused(&["/invitation"]);
    let over = kennel.post("/invitations", other.clone()).await.created();
    let past = "UPDATE invitations SET expires_at = now() WHERE accepted_at IS NULL";
    kennel.sql().await.batch_execute(past).await.unwrap();
    sign_up("wenda@example.org", &over["token"]).await.refused(&["/invitation"]);
    let withdrawn = kennel.post("/invitations", other).await.created();
    let row = format!("/invitations/{}", id(&withdrawn["invitation"]));
    kennel.delete(&row, "*").await.no_content();
    sign_up("wenda@example.org", &withdrawn["token"]).await.refused(&["/invitation"]);
}

/// Whoever guesses at invitations waits as at the other doors.
#[tokio::test]
async fn guesses_at_invitations_are_counted() {
    let kennel = Kennel::new().await;
    let nobody = kennel.nobody();
    let guess = || {
        let mut person = person("maren@example.org");
        person["invitation"] = json!("a guess");
        nobody.post("/v1/people", person)
    };
    for _ in 0..settings().free_tries.on_account {
        guess().await.refused(&["/invitation"]);
    }
    assert!(guess().await.header("retry-after").parse::<u32>().unwrap() > 0);
    guess().await.problem(429);
}

#[tokio::test]
async fn a_person_signs_up_logs_in_and_founds_a_kennel() {
    let kennel = open().await;
    let nobody = kennel.nobody();
    let maren = nobody.post("/v1/people", person("Maren@Example.org")).await.created();
    assert_eq!(maren["email"], "maren@example.org");
    assert!(maren.get("password").is_none() && maren.get("password_hash").is_none());

    // The address in any case, as phones write it.
    let session = log_in(&nobody, "MAREN@example.org").await;
    assert_eq!((&session["token_type"], &session["expires_in"]), (&json!("Bearer"), &json!(900)));
    let maren = nobody.with_token(session["access_token"].as_str().unwrap());
    assert!(maren.get("/v1/me").await.ok()["kennels"].as_array().unwrap().is_empty());

    let body = json!({ "name": "Larkfell", "time_zone": "Europe/Berlin", "jurisdiction": "DE" });
    let founded = maren.post("/v1/kennels", body).await.created();
    assert_eq!(founded["currency"], "EUR");
    let me = maren.get("/v1/me").await.ok();
    assert_eq!(
        (&me["kennels"][0]["kennel_id"], &me["kennels"][0]["role"]),
        (&founded["id"], &json!("owner"))
    );
    maren.in_kennel(id(&founded)).dogs().await.ok();
}

#[tokio::test]
async fn a_kennel_is_in_a_time_zone_that_exists() {
    let kennel = Kennel::among_others().await;
    for (field, value) in
        [("time_zone", "Mars/Olympus"), ("currency", "euro"), ("jurisdiction", "Germany")]
    {
        let mut body = json!({ "name": "Larkfell", "time_zone": "Europe/Berlin" });
        body[field] = json!(value);
        kennel.post("/v1/kennels", body).await.refused(&[&format!("/{field}")]);
    }
}

#[tokio::test]
async fn sign_up_is_closed_unless_it_is_opened() {
    let kennel = Kennel::new().await;
    kennel.nobody().post("/v1/people", person("maren@example.org")).await.problem(403);
}

#[tokio::test]
async fn an_address_signs_up_once() {
    let kennel = open().await;
    let nobody = kennel.nobody();
    nobody.post("/v1/people", person("maren@example.org")).await.created();
    nobody.post("/v1/people", person("MAREN@example.org")).await.problem(409);
    nobody.post("/v1/people", person("no address")).await.refused(&["/email"]);
    let short = json!({ "name": "Pia", "email": "pia@example.org", "password": "short" });
    nobody.post("/v1/people", short).await.refused(&["/password"]);
}

#[tokio::test]
async fn a_wrong_password_and_an_unknown_address_look_alike() {
    let kennel = open().await;
    let nobody = kennel.nobody();
    nobody.post("/v1/people", person("maren@example.org")).await.created();
    let attempt = |email: &str, password: &str| {
        let body = json!({ "email": email, "password": password });
        let nobody = nobody.clone();
        async move { nobody.post("/v1/auth/login", body).await.problem(401) }
    };
    let wrong = attempt("maren@example.org", "another pass phrase").await;
    assert_eq!(wrong, attempt("nobody@example.org", PASSWORD).await);
}

#[tokio::test]
async fn a_session_goes_on_by_refresh_tokens_that_are_good_once() {
    let kennel = open().await;
    kennel.nobody().post("/v1/people", person("maren@example.org")).await.created();
    let phone = log_in(&kennel, "maren@example.org").await;
    let laptop = log_in(&kennel, "maren@example.org").await;

    let second = refresh(&kennel, &phone).await.ok();
    let third = refresh(&kennel, &second).await.ok();
    let maren = kennel.with_token(third["access_token"].as_str().unwrap());
    maren.get("/v1/me").await.ok();

    // A spent one comes back: one of the two who hold it has stolen it, so all of them end.
    refresh(&kennel, &second).await.problem(401);
    refresh(&kennel, &third).await.problem(401);
    // The other session is untouched.
    refresh(&kennel, &laptop).await.ok();
}

#[tokio::test]
async fn a_refresh_token_used_twice_at_once_gives_one_session() {
    let kennel = open().await;
    kennel.nobody().post("/v1/people", person("maren@example.org")).await.created();
    let session = log_in(&kennel, "maren@example.org").await;
    let attempts = (0..5).map(|_| {
        let (caller, session) = (kennel.owner().clone(), session.clone());
        tokio::spawn(async move { refresh(&caller, &session).await.status })
    });
    let mut statuses = Vec::new();
    for attempt in attempts.collect::<Vec<_>>() {
        statuses.push(attempt.await.unwrap());
    }
    statuses.sort_unstable();
    assert_eq!(statuses, [200, 401, 401, 401, 401]);
}

#[tokio::test]
async fn logging_out_ends_the_session() {
    let kennel = open().await;
    let nobody = kennel.nobody();
    nobody.post("/v1/people", person("maren@example.org")).await.created();
    let session = log_in(&kennel, "maren@example.org").await;
    let token = json!({ "refresh_token": session["refresh_token"] });
    nobody.post("/v1/auth/logout", token.clone()).await.no_content();
    refresh(&kennel, &session).await.problem(401);
    nobody.post("/v1/auth/logout", token).await.no_content();
    nobody.post("/v1/auth/logout", json!({ "refresh_token": "unknown" })).await.no_content();
    refresh(&kennel, &json!({ "refresh_token": "unknown" })).await.problem(401);
}

#[tokio::test]
async fn sessions_end_by_themselves() {
    let lifetimes = Settings {
        sign_up_open: true,
        access_lifetime: Duration::seconds(-1),
        refresh_lifetime: Duration::seconds(-1),
        ..settings()
    };
    let kennel = Kennel::with(lifetimes).await;
    kennel.nobody().post("/v1/people", person("maren@example.org")).await.created();
    let session = log_in(&kennel, "maren@example.org").await;
    let late = kennel.with_token(session["access_token"].as_str().unwrap());
    assert_eq!(late.get("/v1/me").await.header("www-authenticate"), "Bearer");
    late.get("/v1/me").await.problem(401);
    late.get("/dogs").await.problem(401);
    refresh(&kennel, &session).await.problem(401);
}

#[tokio::test]
async fn forged_tokens_open_nothing() {
    let kennel = Kennel::new().await;
    let good = kennel.token.clone().unwrap();
    let parts: Vec<&str> = good.split('.').collect();
    let other_key = Signer::new(vec![(Uuid::now_v7(), vec![7; 32])], Duration::minutes(15));
    // Signed by a key that leaked, for a session that there is not.
    let keys = sessions::signing_keys(&kennel.service.db, &[]).await.unwrap();
    let own_key = Signer::new(keys, Duration::minutes(15));
    let nobodys_session = Subject { person_id: kennel.person_id, session_id: Uuid::now_v7() };
    // {"typ":"JWT","alg":"none"}
    let unsigned = format!("eyJ0eXAiOiJKV1QiLCJhbGciOiJub25lIn0.{}.", parts[1]);
    let stranger = kennel.stranger().await.token.unwrap();
    let swapped = format!("{}.{}.{}", parts[0], stranger.split('.').nth(1).unwrap(), parts[2]);
    for token in [
        "x".to_owned(),
        String::new(),
        format!("{}.{}.", parts[0], parts[1]),
        unsigned,
        swapped,
        other_key.sign(nobodys_session, Utc::now()).unwrap(),
        own_key.sign(nobodys_session, Utc::now()).unwrap(),
        "dwt_AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA".to_owned(),
    ] {
        let forger = kennel.with_token(token);
        forger.get("/dogs").await.problem(401);
        forger.get("/v1/me").await.problem(401);
        forger.post("/dogs", json!({ "residence": "here" })).await.problem(401);
    }
    kennel.nobody().get("/dogs").await.problem(401);
    let basic = kennel
        .nobody()
        .request(reqwest::Method::GET, "/dogs")
        .header("authorization", "Basic eDp5");
    basic.send().await.problem(401);
}

#[tokio::test]
async fn an_access_token_stands_for_its_maker_in_one_kennel() {
    let kennel = Kennel::among_others().await;
    let juno = kennel.dam("Juno").await;
    let body = json!({ "name": "Wall screen", "read_only": true, "password": PASSWORD });
    let made = kennel.post("/access-tokens", body).await.created();
    let screen = kennel.with_token(made["token"].as_str().unwrap());
    assert_eq!(ids(&screen.dogs().await.ok()), [juno]);
    screen.post("/dogs", json!({ "residence": "here" })).await.problem(403);
    screen.patch(&format!("/dogs/{juno}"), "\"1\"", json!({ "note": "x" })).await.problem(403);
    screen.delete(&format!("/dogs/{juno}"), "\"1\"").await.problem(403);
    screen.in_kennel(kennel.another().await.kennel_id).dogs().await.problem(404);
    screen.get("/v1/me").await.problem(401);

    let writing = json!({ "name": "Scale", "read_only": false, "password": PASSWORD });
    let scale = kennel.post("/access-tokens", writing).await.created();
    let scale = kennel.with_token(scale["token"].as_str().unwrap());
    scale.post("/dogs", json!({ "residence": "here" })).await.created();

    // Shown once, never again.
    let list = kennel.get("/access-tokens").await.ok();
    assert_eq!(items(&list).len(), 2);
    assert!(items(&list).iter().all(|token| token["token"].is_null()), "{list}");
    let changes = kennel.get("/changes?limit=500").await.expect(200).text();
    assert!(!changes.contains("token_hash"), "secrets stay out of the log");

    let path = format!("/access-tokens/{}", id(&made));
    kennel.request(reqwest::Method::DELETE, &path).send().await.no_content();
    screen.dogs().await.problem(401);
}

#[tokio::test]
async fn an_access_token_ends_in_time_and_with_the_membership() {
    let kennel = Kennel::new().await;
    // Secrets end by the system's clock, not by the moment of the test.
    let with_end = async |ends: DateTime<Utc>| {
        let ends = ends.to_rfc3339_opts(SecondsFormat::Micros, true);
        let body =
            json!({ "name": "Guest", "read_only": true, "expires_at": ends, "password": PASSWORD });
        let made = kennel.post("/access-tokens", body).await.created();
        let kept: DateTime<Utc> = made["expires_at"].as_str().unwrap().parse().unwrap();
        assert_eq!(kept.to_rfc3339_opts(SecondsFormat::Micros, true), ends);
        kennel.with_token(made["token"].as_str().unwrap())
    };
    let ended = with_end(Utc::now() - Duration::seconds(1)).await;
    ended.dogs().await.problem(401);
    let guest = with_end(Utc::now() + Duration::hours(1)).await;
    guest.dogs().await.ok();
    let sql = kennel.sql().await;
    let end = "UPDATE access_tokens SET expires_at = now() + $1::text::interval";
    sql.execute(end, &[&"5 minutes"]).await.unwrap();
    guest.dogs().await.ok();
    sql.execute(end, &[&"0 seconds"]).await.unwrap();
    guest.dogs().await.problem(401);

    let helper = kennel.helper().await;
    let body = json!({ "name": "Phone", "read_only": false, "password": PASSWORD });
    let phone = helper.post("/access-tokens", body).await.created();
    // A helper sees and withdraws none but their own.
    assert_eq!(items(&helper.get("/access-tokens").await.ok()).len(), 1);
    let phone = helper.with_token(phone["token"].as_str().unwrap());
    phone.dogs().await.ok();
    let members = kennel.get("/members").await.ok();
    let membership =
        items(&members).iter().find(|m| m["person_id"] == json!(helper.person_id)).unwrap();
    kennel.remove(&format!("/members/{}", id(membership))).await.no_content();
    phone.dogs().await.problem(401);
    helper.dogs().await.problem(404);
}

/// The shortest question that needs a good login.
trait Dogs {
    async fn dogs(&self) -> Answer;
}

impl Dogs for Caller {
    async fn dogs(&self) -> Answer {
        self.get("/dogs").await
    }
}
