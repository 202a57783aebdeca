//! Sessions of the service's own pages: the cookie, its rotation, and who may not use it. And the pages.

use crate::{accounts::from_base32, common::*};
use chrono::Utc;
use denwright::service::server::Settings;
use reqwest::Method;
use security::totp;

const ADDRESS: &str = "maren@example.org";
const PATH: &str = "/v1/auth/page-session";
const REFRESH: &str = "/v1/auth/page-session/refresh";

async fn kennel_of(settings: Settings) -> (Kennel, Caller) {
    let kennel = Kennel::with(Settings { sign_up_open: true, ..settings }).await;
    let person = json!({ "name": "Maren Holt", "email": ADDRESS, "password": PASSWORD });
    kennel.nobody().post("/v1/people", person).await.created();
    let nobody = kennel.nobody();
    (kennel, nobody)
}

fn credentials() -> Value {
    json!({ "email": ADDRESS, "password": PASSWORD })
}

/// A request as a page of the service sends it.
fn from_page(caller: &Caller, method: Method, path: &str, cookie: Option<&str>) -> Request {
    let request = caller.request(method, path).header("X-Denwright-Page", "1");
    match cookie {
        Some(cookie) => request.header("Cookie", cookie),
        None => request,
    }
}

async fn sign_in(caller: &Caller) -> Answer {
    from_page(caller, Method::POST, PATH, None).json(&credentials()).send().await
}

async fn refresh(caller: &Caller, cookie: &str) -> Answer {
    from_page(caller, Method::POST, REFRESH, Some(cookie)).send().await
}

/// Name and value of the cookie that an answer sets, as a browser sends it back.
fn cookie_of(answer: &Answer) -> String {
    answer.header("set-cookie").split(';').next().unwrap().to_owned()
}

async fn is_good(caller: &Caller, session: &Value) -> u16 {
    let caller = caller.with_token(session["access_token"].as_str().unwrap());
    caller.get("/v1/me").await.status
}

#[tokio::test]
async fn a_page_signs_in_goes_on_and_signs_out() {
    let (_kennel, nobody) = kennel_of(settings()).await;
    let answer = sign_in(&nobody).await.expect(200);
    let set = answer.header("set-cookie");
    let mut attributes: Vec<&str> = set.split("; ").skip(1).collect();
    attributes.sort_unstable();
    let expected = ["HttpOnly", "Max-Age=2592000", "Path=/v1/auth/page-session", "SameSite=Strict"];
    assert_eq!(attributes, expected);
    assert_eq!(answer.header("cache-control"), "no-store");
    let first_cookie = cookie_of(&answer);
    let first = answer.json();
    let secret = first_cookie.strip_prefix("denwright-page=").unwrap();
    assert!(secret.len() > 40);
    assert!(first.get("refresh_token").is_none() && !answer.text().contains(secret));
    assert_eq!(is_good(&nobody, &first).await, 200);

    let answer = refresh(&nobody, &first_cookie).await.expect(200);
    let (second_cookie, second) = (cookie_of(&answer), answer.json());
    assert_ne!(first_cookie, second_cookie);
    assert!(second.get("refresh_token").is_none());
    assert_eq!(is_good(&nobody, &second).await, 200);

    let gone = from_page(&nobody, Method::DELETE, PATH, Some(&second_cookie)).send().await;
    assert!(gone.header("set-cookie").starts_with("denwright-page=; "), "{gone:?}");
    assert!(gone.header("set-cookie").contains("Max-Age=0"));
    gone.no_content();
    assert_eq!(is_good(&nobody, &second).await, 401);
    refresh(&nobody, &second_cookie).await.problem(401);
    // Without a session there is none to end, and none to go on with.
    from_page(&nobody, Method::DELETE, PATH, None).send().await.no_content();
    from_page(&nobody, Method::POST, REFRESH, None).send().await.problem(401);
}

#[tokio::test]
async fn a_page_goes_on_when_its_password_is_changed_and_nobody_else_does() {
    const CHANGED: &str = "/v1/auth/page-session/password";
    let (_kennel, nobody) = kennel_of(settings()).await;
    let begun = sign_in(&nobody).await.expect(200);
    let (old_cookie, old) = (cookie_of(&begun), begun.json());
    let other = sign_in(&nobody).await.expect(200);
    let phone = nobody.post("/v1/auth/login", credentials()).await.ok();
    let page = nobody.with_token(old["access_token"].as_str().unwrap());
    let body =
        |password: &str| json!({ "password": password, "new_password": "a thimble of moss" });
    let change = |caller: &Caller, password: &str| {
        from_page(caller, Method::POST, CHANGED, Some(&old_cookie)).json(&body(password)).send()
    };
    // The password once more, and a page that is signed in: the cookie by itself is not enough.
    change(&page, "a wrong pass phrase").await.refused(&["/password"]);
    change(&nobody, PASSWORD).await.problem(401);
    page.post(CHANGED, body(PASSWORD)).await.problem(403);

    let changed = change(&page, PASSWORD).await.expect(200);
    let set = changed.header("set-cookie");
    assert!(set.contains("HttpOnly") && set.contains("Path=/v1/auth/page-session"), "{set}");
    assert_eq!(changed.header("cache-control"), "no-store");
    let (cookie, session) = (cookie_of(&changed), changed.json());
    assert!(session.get("refresh_token").is_none());
    assert_eq!(is_good(&nobody, &session).await, 200);
    // All that was handed out before is dead: the page's own tokens, another page's, a phone's.
    assert_eq!(is_good(&nobody, &old).await, 401);
    assert_eq!(is_good(&nobody, &other.json()).await, 401);
    assert_eq!(is_good(&nobody, &phone).await, 401);
    refresh(&nobody, &old_cookie).await.problem(401);
    refresh(&nobody, &cookie_of(&other)).await.problem(401);
    let next = refresh(&nobody, &cookie).await.expect(200);
    assert_eq!(is_good(&nobody, &next.json()).await, 200);
    nobody.post("/v1/auth/login", credentials()).await.problem(401);
}

#[tokio::test]
async fn a_cookie_used_twice_ends_its_session() {
    let (_kennel, nobody) = kennel_of(settings()).await;
    let cookie = cookie_of(&sign_in(&nobody).await.expect(200));
    let next = refresh(&nobody, &cookie).await.expect(200);
    let last = refresh(&nobody, &cookie_of(&next)).await.expect(200);
    refresh(&nobody, &cookie).await.problem(401);
    assert_eq!(is_good(&nobody, &last.json()).await, 401);
    refresh(&nobody, &cookie_of(&last)).await.problem(401);
}

/// Moves the moment at which cookies were spent back.
async fn spent_earlier(kennel: &Kennel, seconds: u32) {
    let sql =
        format!("UPDATE refresh_tokens SET spent_at = spent_at - interval '{seconds} seconds'");
    kennel.sql().await.execute(&sql, &[]).await.unwrap();
}

/// An answer that a phone did not get: the cookie that it still has is good again for a minute.
#[tokio::test]
async fn an_answer_that_was_lost_does_not_end_the_session() {
    let (kennel, nobody) = kennel_of(settings()).await;
    let cookie = cookie_of(&sign_in(&nobody).await.expect(200));
    for _ in 0..2 {
        refresh(&nobody, &cookie).await.expect(200);
    }
    spent_earlier(&kennel, 55).await;
    let next = refresh(&nobody, &cookie).await.expect(200);
    assert_eq!(is_good(&nobody, &next.json()).await, 200);
    spent_earlier(&kennel, 5).await;
    refresh(&nobody, &cookie).await.problem(401);
    assert_eq!(is_good(&nobody, &next.json()).await, 401, "a minute was over");
}

/// What was in the lost answer is no good any more: whoever shows it has listened.
#[tokio::test]
async fn the_cookie_of_a_lost_answer_ends_the_session() {
    let (_kennel, nobody) = kennel_of(settings()).await;
    let cookie = cookie_of(&sign_in(&nobody).await.expect(200));
    let lost = refresh(&nobody, &cookie).await.expect(200);
    let own = refresh(&nobody, &cookie).await.expect(200);
    refresh(&nobody, &cookie_of(&lost)).await.problem(401);
    assert_eq!(is_good(&nobody, &own.json()).await, 401);
    refresh(&nobody, &cookie_of(&own)).await.problem(401);
}

#[tokio::test]
async fn a_forged_request_does_nothing() {
    let (_kennel, nobody) = kennel_of(settings()).await;
    let host = nobody.service.url.split_once("://").unwrap().1.to_owned();
    let answer = sign_in(&nobody).await.expect(200);
    let (cookie, session) = (cookie_of(&answer), answer.json());
    let bare = |method, path| nobody.request(method, path).header("Cookie", &cookie);
    // What a form or an image of another site can have a browser send.
    bare(Method::POST, REFRESH).send().await.problem(403);
    bare(Method::DELETE, PATH).send().await.problem(403);
    nobody.request(Method::POST, PATH).json(&credentials()).send().await.problem(403);
    bare(Method::POST, REFRESH).header("X-Denwright-Page", "0").send().await.problem(403);
    // What a browser says of a script of another site, or of a neighbour.
    for (name, value) in [
        ("Sec-Fetch-Site", "cross-site".to_owned()),
        ("Sec-Fetch-Site", "same-site".to_owned()),
        ("Sec-Fetch-Site", "none".to_owned()),
        ("Origin", "https://elsewhere.example".to_owned()),
        ("Origin", format!("http://{host}.elsewhere.example")),
        ("Origin", "null".to_owned()),
    ] {
        for (method, path) in [(Method::POST, REFRESH), (Method::DELETE, PATH)] {
            let forged = from_page(&nobody, method, path, Some(&cookie)).header(name, &value);
            forged.send().await.problem(403);
        }
        let forged = from_page(&nobody, Method::POST, PATH, None).header(name, &value);
        let refused = forged.json(&credentials()).send().await;
        assert_eq!(refused.header("set-cookie"), "");
        refused.problem(403);
    }
    // Nothing was spent or ended.
    assert_eq!(is_good(&nobody, &session).await, 200);
    let own = from_page(&nobody, Method::POST, REFRESH, Some(&cookie))
        .header("Sec-Fetch-Site", "same-origin")
        .header("Origin", &format!("http://{host}"));
    own.send().await.expect(200);
}

#[tokio::test]
async fn behind_https_the_cookie_is_for_https_alone() {
    let address = "https://kennel.example";
    let settings = Settings { own_origin: Some(address.to_owned()), https: true, ..settings() };
    let (_kennel, nobody) = kennel_of(settings).await;
    let answer = sign_in(&nobody).await.expect(200);
    let set = answer.header("set-cookie");
    assert!(set.starts_with("__Secure-denwright-page=") && set.contains("; Secure"), "{set}");
    // The address that others use is its own, whatever the proxy calls this machine.
    let own = from_page(&nobody, Method::POST, REFRESH, Some(&cookie_of(&answer)));
    let next = own.header("Origin", address).send().await.expect(200);
    let other = from_page(&nobody, Method::POST, REFRESH, Some(&cookie_of(&next)));
    other.header("Origin", "https://kennel.example.elsewhere.example").send().await.problem(403);
}

#[tokio::test]
async fn a_page_asks_for_the_second_factor_and_counts_tries_as_a_login_does() {
    let (_kennel, nobody) = kennel_of(settings()).await;
    let answer = sign_in(&nobody).await.expect(200);
    let caller = nobody.with_token(answer.json()["access_token"].as_str().unwrap());
    let begun = caller.post("/v1/me/second-factor", json!({ "password": PASSWORD })).await;
    let secret = from_base32(begun.created()["secret"].as_str().unwrap());
    let code = |ahead: i64| totp::code_at(&secret, Utc::now().timestamp() + ahead);
    let confirmed = json!({ "code": code(0) });
    caller.post("/v1/me/second-factor/confirm", confirmed).await.ok();

    let asked = sign_in(&nobody).await;
    assert_eq!(asked.header("set-cookie"), "");
    assert_eq!(asked.problem(401)["type"], "urn:denwright:problem:second-factor");
    let with = |code: String| {
        let mut body = credentials();
        body["code"] = json!(code);
        from_page(&nobody, Method::POST, PATH, None).json(&body)
    };
    with(code(30)).send().await.expect(200);
    // Five wrong ones, then even a login elsewhere waits.
    for _ in 0..5 {
        with("000000".to_owned()).send().await.problem(401);
    }
    nobody.post("/v1/auth/login", credentials()).await.problem(429);
    sign_in(&nobody).await.problem(429);
}

#[tokio::test]
async fn the_pages_are_served_to_be_kept_and_checked() {
    let kennel = Kennel::new().await;
    let nobody = kennel.nobody();
    for (path, media_type) in [
        ("/", "text/html; charset=utf-8"),
        ("/pages/parts/api.js", "text/javascript; charset=utf-8"),
        ("/pages/look/base.css", "text/css; charset=utf-8"),
        ("/service-worker.js", "text/javascript; charset=utf-8"),
        ("/manifest.webmanifest", "application/manifest+json"),
    ] {
        let answer = nobody.request(Method::GET, path).send().await.expect(200);
        assert_eq!(answer.header("content-type"), media_type, "{path}");
        let policy = answer.header("content-security-policy");
        assert!(policy.starts_with("default-src 'none'; script-src 'self'; style-src 'self';"));
        assert!(policy.ends_with("frame-ancestors 'none'") && !policy.contains("unsafe"));
        assert_eq!(answer.header("x-content-type-options"), "nosniff");
        assert_eq!(answer.header("referrer-policy"), "no-referrer");
        assert_eq!(answer.header("cache-control"), "no-cache");
        let tag = answer.header("etag");
        assert!(tag.starts_with('"') && tag.len() > 10, "{path}: {tag}");
        let again = nobody.request(Method::GET, path).header("If-None-Match", &tag).send().await;
        assert_eq!((again.status, again.text().as_str()), (304, ""), "{path}");
        let changed = nobody.request(Method::GET, path).header("If-None-Match", "\"old\"");
        changed.send().await.expect(200);
    }
    for path in ["/pages/", "/pages/none.js", "/pages/..%2FCargo.toml", "/pages/vendor/preact.d.ts"]
    {
        assert_eq!(nobody.request(Method::GET, path).send().await.status, 404, "{path}");
    }
    // Nothing of a page runs or looks from within it, and whoever has no scripts finds the way.
    let page = nobody.request(Method::GET, "/").send().await.text();
    assert!(!page.contains("<style") && !page.contains(" style=") && !page.contains("onclick"));
    assert!(
        page.matches("<script").count() == page.matches("<script type=\"module\" src=").count()
    );
    for way in ["/docs/", "/openapi.json", "/health/ready"] {
        assert!(page.contains(&format!("href=\"{way}\"")), "{way}");
    }
    // The worker is told each file, and each is there.
    let worker = nobody.request(Method::GET, "/service-worker.js").send().await.text();
    let told = worker.lines().next().unwrap();
    let told = told.strip_prefix("self.PAGES = ").unwrap().strip_suffix(';').unwrap();
    let told: Value = serde_json::from_str(told).unwrap();
    let files = told["files"].as_array().unwrap();
    assert!(files.contains(&json!("/")) && files.contains(&json!("/pages/parts/queue.js")));
    for file in files {
        nobody.request(Method::GET, file.as_str().unwrap()).send().await.expect(200);
    }
}
