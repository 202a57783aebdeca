//! What raw SQL reaches as the service's own role, or as anybody else's: nothing that is not theirs.

use crate::common::*;
use base64::{
    Engine as _,
    engine::general_purpose::{STANDARD, URL_SAFE_NO_PAD},
};
use security::{totp, vault::Vault};
use std::sync::Arc;
use store::{Db, upkeep};
use tokio_postgres::{Client, error::SqlState};

/// The session that a caller's access token belongs to.
pub fn session_of(caller: &Caller) -> Uuid {
    let token = caller.token.clone().unwrap();
    let claims = URL_SAFE_NO_PAD.decode(token.split('.').nth(1).unwrap()).unwrap();
    let claims: Value = serde_json::from_slice(&claims).unwrap();
    claims["sid"].as_str().unwrap().parse().unwrap()
}

fn enter(kennel: Uuid, session: Uuid) -> String {
    format!("SELECT enter_kennel('{kennel}', '{session}', current_date)")
}

async fn count(sql: &Client, table: &str) -> i64 {
    let query = format!("SELECT count(*) FROM {table}");
    sql.query_one(&query, &[]).await.unwrap_or_else(|error| panic!("{query}: {error:?}")).get(0)
}

/// The tables that row-level security guards.
async fn guarded(kennel: &Kennel) -> Vec<String> {
    let query = "SELECT relname FROM pg_class WHERE relnamespace = 'public'::regnamespace \
                 AND relrowsecurity ORDER BY 1";
    let rows = kennel.sql().await.query(query, &[]).await.unwrap();
    assert!(rows.len() > 40, "only {} tables", rows.len());
    rows.iter().map(|row| row.get(0)).collect()
}

#[tokio::test]
async fn the_service_logs_in_as_its_own_role_and_becomes_no_other() {
    let kennel = Kennel::new().await;
    let sql = kennel.service_sql().await;
    let roles = sql.query_one("SELECT session_user::text, current_user::text", &[]).await.unwrap();
    assert_eq!(roles.get::<_, String>(1), "denwright_service");
    // Where only an owner's address is given to the tests, that owner stays behind.
    if roles.get::<_, String>(0) != "denwright_service" {
        return;
    }
    let owner: String =
        kennel.sql().await.query_one("SELECT current_user::text", &[]).await.unwrap().get(0);
    for step in ["RESET ROLE", "SET ROLE NONE", "SET SESSION AUTHORIZATION DEFAULT"] {
        sql.batch_execute(step).await.unwrap();
        let now = sql.query_one("SELECT current_user::text", &[]).await.unwrap();
        assert_eq!(now.get::<_, String>(0), "denwright_service", "{step}");
    }
    for step in [
        format!("SET ROLE {owner}"),
        "SET ROLE denwright_upkeep".to_owned(),
        format!("SET SESSION AUTHORIZATION {owner}"),
        format!("GRANT {owner} TO denwright_service"),
        "ALTER ROLE denwright_service BYPASSRLS".to_owned(),
        "CREATE ROLE mine SUPERUSER".to_owned(),
        "CREATE TABLE public.mine (id integer)".to_owned(),
        "SET row_security = off; SELECT id FROM dogs".to_owned(),
        "COPY (SELECT 1) TO PROGRAM 'cat'".to_owned(),
    ] {
        assert!(sql.batch_execute(&step).await.is_err(), "{step} is allowed");
    }
    let connections = "SELECT count(*) FROM pg_stat_activity \
                       WHERE datname = current_database() AND usename = 'denwright_service'";
    let of_service: i64 = kennel.sql().await.query_one(connections, &[]).await.unwrap().get(0);
    assert!(of_service >= 1, "the running service works as another role");
}

#[tokio::test]
async fn nobody_enters_a_kennel_without_a_session_of_a_member() {
    let kennel = Kennel::new().await;
    let other = kennel.another().await;
    kennel.dog("Juno", json!({})).await;
    let (own, foreign) = (session_of(&kennel), session_of(&other));
    let sql = kennel.service_sql().await;
    sql.batch_execute(&format!("BEGIN; {}", enter(kennel.kennel_id, own))).await.unwrap();
    assert_eq!(count(&sql, "dogs").await, 1);
    sql.batch_execute("ROLLBACK").await.unwrap();

    let (kennel_id, person) = (kennel.kennel_id, kennel.person_id);
    let ended = kennel.stranger().await;
    ended.post("/v1/auth/logout-everywhere", json!({})).await.no_content();
    let tries = [
        enter(kennel_id, foreign),
        enter(kennel_id, Uuid::now_v7()),
        enter(kennel_id, person),
        enter(kennel_id, session_of(&ended)),
        format!("SELECT enter_kennel('{kennel_id}', NULL, current_date)"),
        format!("SELECT enter_kennel('{kennel_id}', '{person}', 'all', 'yes', current_date)"),
        format!("SELECT enter_new_kennel('{kennel_id}', '{foreign}', current_date)"),
        format!("SELECT enter_kennel_by_token('{kennel_id}', '\\x00', current_date)"),
        format!("SELECT enter_kennel_by_calendar_link('{kennel_id}', '\\x00', current_date)"),
        format!("SELECT enter_kennel_by_booklet_link('{kennel_id}', '\\x00', current_date)"),
        format!("SELECT stand_in('{kennel_id}', '{person}', 'owner', current_date)"),
        format!("SELECT sign_scope('{kennel_id}', '{person}', NULL, 'Aobpmg')"),
        format!("SELECT next_changes('{kennel_id}', 5)"),
        format!("SELECT end_sessions_of('{person}')"),
        "SELECT finish_walls()".to_owned(),
        "SELECT kennel_table('dogs', 'dog', 'true')".to_owned(),
    ];
    for attempt in tries {
        let done = sql.batch_execute(&format!("BEGIN; {attempt}")).await;
        assert!(done.is_err(), "{attempt} is allowed");
        sql.batch_execute("ROLLBACK").await.unwrap();
    }
    // One's own kennel shows nothing of the other.
    sql.batch_execute(&format!("BEGIN; {}", enter(other.kennel_id, foreign))).await.unwrap();
    assert_eq!(count(&sql, "dogs").await, 0);
    assert_eq!(count(&sql, "people").await, 1, "oneself");
}

#[tokio::test]
async fn a_setting_that_was_forged_opens_nothing() {
    let kennel = Kennel::new().await;
    let other = kennel.another().await;
    kennel.dog("Juno", json!({})).await;
    let sql = kennel.service_sql().await;
    let told = "SELECT current_setting('denwright.scope'), current_setting('denwright.proof')";
    // What a transaction of the owner was signed with.
    sql.batch_execute(&format!("BEGIN; {}", enter(kennel.kennel_id, session_of(&kennel))))
        .await
        .unwrap();
    let row = sql.query_one(told, &[]).await.unwrap();
    let (scope, proof): (String, String) = (row.get(0), row.get(1));
    sql.batch_execute("COMMIT").await.unwrap();
    let set = |scope: &str, proof: &str| {
        format!("SET LOCAL denwright.scope = '{scope}'; SET LOCAL denwright.proof = '{proof}'")
    };
    let kennels = "SET LOCAL denwright.kennel";
    let forged = [
        set(&scope, &proof),
        set(&scope, ""),
        set(&scope, &"0".repeat(64)),
        set(&format!("{}{}", scope, "A"), &proof),
        format!("{kennels} = '{}'; SET LOCAL denwright.sees = 'all'", kennel.kennel_id),
    ];
    let tables = guarded(&kennel).await;
    for forgery in &forged {
        sql.batch_execute(&format!("BEGIN; {forgery}")).await.unwrap();
        for table in &tables {
            assert_eq!(count(&sql, table).await, 0, "{table} by {forgery}");
        }
        sql.batch_execute("ROLLBACK").await.unwrap();
    }
    // Nor does a member of one kennel turn what they were given into more.
    let helper = kennel.helper().await;
    let begin = format!("BEGIN; {}", enter(kennel.kennel_id, session_of(&helper)));
    sql.batch_execute(&begin).await.unwrap();
    assert_eq!(count(&sql, "dogs").await, 1);
    let row = sql.query_one(told, &[]).await.unwrap();
    let (scope, proof): (String, String) = (row.get(0), row.get(1));
    for more in [
        set(&format!("{scope}pmg"), &proof),
        set(
            &scope.replacen(&kennel.kennel_id.to_string(), &other.kennel_id.to_string(), 1),
            &proof,
        ),
    ] {
        sql.batch_execute(&more).await.unwrap();
        assert_eq!(count(&sql, "dogs").await, 0, "{more}");
    }
    // Without anything at all nothing is there, people and kept answers among it.
    sql.batch_execute("ROLLBACK").await.unwrap();
    for table in &tables {
        assert_eq!(count(&sql, table).await, 0, "{table}");
    }
}

#[tokio::test]
async fn secrets_are_not_read_even_by_an_owner() {
    let kennel = Kennel::new().await;
    let sql = kennel.service_sql().await;
    let begin = format!("BEGIN; {}", enter(kennel.kennel_id, session_of(&kennel)));
    sql.batch_execute(&begin).await.unwrap();
    for secret in [
        "SELECT password_hash FROM people",
        "SELECT totp_secret FROM people",
        "SELECT generation FROM people",
        "SELECT * FROM people",
        "SELECT token_hash FROM access_tokens",
        "SELECT token_hash FROM invitations",
        "SELECT token_hash FROM calendar_links",
        "SELECT token_hash FROM booklet_links",
        "SELECT 1 FROM access_tokens WHERE token_hash = '\\x00'",
        "SELECT 1 FROM access_tokens ORDER BY token_hash",
        "SELECT secret FROM webhooks",
        "SELECT to_jsonb(w) FROM webhooks w",
        "SELECT w FROM webhooks w",
        "DELETE FROM webhooks RETURNING secret",
        "SELECT * FROM signing_keys",
        "SELECT * FROM sessions",
        "SELECT * FROM refresh_tokens",
        "SELECT * FROM recovery_codes",
        "SELECT * FROM password_resets",
        "SELECT * FROM attempts",
        "SELECT * FROM wall_key",
        "UPDATE people SET password_hash = 'x'",
        "UPDATE people SET name = 'x'",
        "INSERT INTO sessions (id, person_id, generation) SELECT gen_random_uuid(), id, 0 FROM people",
        "DELETE FROM people",
    ] {
        sql.batch_execute("SAVEPOINT attempt").await.unwrap();
        let refused = sql.batch_execute(secret).await.expect_err(secret);
        assert_eq!(
            refused.code(),
            Some(&SqlState::INSUFFICIENT_PRIVILEGE),
            "{secret}: {refused:?}"
        );
        sql.batch_execute("ROLLBACK TO attempt").await.unwrap();
    }
    // Any column of a later table that is called like a secret is one.
    let open = kennel
        .sql()
        .await
        .query(
            "SELECT c.oid::regclass || '.' || a.attname FROM pg_attribute a JOIN pg_class c ON c.oid = a.attrelid \
             WHERE c.relnamespace = 'public'::regnamespace AND c.relkind = 'r' AND a.attnum > 0 \
             AND a.attname ~ '(^|_)(secret|hash|password|seed)($|_)' \
             AND has_column_privilege('denwright_service', c.oid, a.attnum, 'SELECT')",
            &[],
        )
        .await
        .unwrap();
    let open: Vec<String> = open.iter().map(|row| row.get(0)).collect();
    assert!(open.is_empty(), "{open:?} can be read");
}

#[tokio::test]
async fn a_role_of_somebody_elses_sees_nothing() {
    let kennel = Kennel::new().await;
    kennel.dog("Juno", json!({})).await;
    let tables = guarded(&kennel).await;
    let owner = kennel.sql().await;
    let fresh = format!("fresh_{}", Uuid::now_v7().simple());
    owner
        .batch_execute(&format!("CREATE ROLE {fresh}; GRANT {fresh} TO current_user"))
        .await
        .unwrap();
    let outcome = async {
        owner.batch_execute(&format!("SET ROLE {fresh}")).await.unwrap();
        for table in &tables {
            let refused =
                owner.query(&format!("SELECT 1 FROM {table}"), &[]).await.expect_err(table);
            assert_eq!(refused.code(), Some(&SqlState::INSUFFICIENT_PRIVILEGE), "{table}");
        }
        let enter = enter(kennel.kennel_id, session_of(&kennel));
        let refused = owner.batch_execute(&enter).await.expect_err("a fresh role enters");
        assert_eq!(refused.code(), Some(&SqlState::INSUFFICIENT_PRIVILEGE));
        // Not even one that was given the tables.
        owner.batch_execute("RESET ROLE").await.unwrap();
        let grant = format!("GRANT SELECT (id) ON dogs TO {fresh}; SET ROLE {fresh}");
        owner.batch_execute(&grant).await.unwrap();
        let seen: i64 = owner.query_one("SELECT count(id) FROM dogs", &[]).await.unwrap().get(0);
        assert_eq!(seen, 0);
    };
    outcome.await;
    let end = format!("RESET ROLE; REVOKE SELECT (id) ON dogs FROM {fresh}; DROP ROLE {fresh}");
    owner.batch_execute(&end).await.unwrap();
}

#[tokio::test]
async fn functions_are_nobodys_and_find_their_tables_where_they_are() {
    let kennel = Kennel::new().await;
    let sql = kennel.sql().await;
    let list = async |condition: &str| -> Vec<String> {
        let query = format!(
            "SELECT p.oid::regprocedure::text FROM pg_proc p \
             WHERE p.pronamespace = 'public'::regnamespace AND {condition} ORDER BY 1"
        );
        sql.query(&query, &[]).await.unwrap().iter().map(|row| row.get(0)).collect()
    };
    assert!(list("true").await.len() > 60);
    assert_eq!(list("has_function_privilege('public', p.oid, 'EXECUTE')").await, [""; 0]);
    let loose = "p.prosecdef AND NOT coalesce(array_to_string(p.proconfig, ',') LIKE '%search_path=public, pg_temp%', false)";
    assert_eq!(list(loose).await, [""; 0]);
    // A function that comes later is nobody's by itself either.
    sql.batch_execute("CREATE FUNCTION later() RETURNS integer LANGUAGE sql AS 'SELECT 1'")
        .await
        .unwrap();
    assert_eq!(list("has_function_privilege('public', p.oid, 'EXECUTE')").await, [""; 0]);
    // What the service's role may run past the walls takes no kennel or person on trust, but these: the work
    // of a role that belongs to no kennel, or a question that is held to what was proven
    // (what_names_somebody_is_answered_by_what_is_proven).
    let trusting = list(
        "p.prosecdef AND has_function_privilege('denwright_service', p.oid, 'EXECUTE') \
         AND p.proargnames && ARRAY['kennel', 'person', 'in_kennel'] AND p.proname NOT LIKE 'enter\\_%'",
    )
    .await;
    let names: Vec<&str> = trusting.iter().filter_map(|name| name.split('(').next()).collect();
    let known = [
        // To the managers of the kennel that was entered, and of its own people alone.
        "address_of",
        "begin_session",
        "finish_webhook_delivery",
        // Of the session's own person.
        "keeps_its_id",
        "seal_secret",
        "session_in_kennel",
        "spend_recovery_code",
        "spend_step",
    ];
    assert_eq!(names, known);
}

#[tokio::test]
async fn what_names_somebody_is_answered_by_what_is_proven() {
    let kennel = Kennel::new().await;
    let other = kennel.another().await;
    let (owner, helper) = (session_of(&kennel), session_of(&kennel.helper().await));
    let sql = kennel.service_sql().await;
    let told = async |session: Option<Uuid>, person: Uuid| -> bool {
        sql.batch_execute("BEGIN").await.unwrap();
        if let Some(session) = session {
            sql.batch_execute(&enter(kennel.kennel_id, session)).await.unwrap();
        }
        let query = format!("SELECT address_of('{person}') IS NOT NULL");
        let told = sql.query_one(&query, &[]).await.unwrap().get(0);
        sql.batch_execute("ROLLBACK").await.unwrap();
        told
    };
    assert!(told(Some(owner), kennel.person_id).await);
    assert!(!told(Some(owner), other.person_id).await, "a stranger's");
    assert!(!told(Some(helper), kennel.person_id).await, "to who does not manage");
    assert!(!told(None, kennel.person_id).await, "to nobody");

    let keeps = async |session: Uuid, kennel: Uuid| -> bool {
        let query = format!("SELECT keeps_its_id('{session}', '{kennel}')");
        sql.query_one(&query, &[]).await.unwrap().get(0)
    };
    assert!(keeps(owner, kennel.kennel_id).await, "and is refused then");
    // Whether it is here or not, beside kennels of others.
    assert!(!keeps(owner, other.kennel_id).await);
    assert!(!keeps(owner, Uuid::now_v7()).await);
    // A person's id shows nobody, nor does a session that was ended.
    assert!(!keeps(kennel.person_id, kennel.kennel_id).await);
    let end = format!("UPDATE sessions SET ended_at = now() WHERE id = '{owner}'");
    kennel.sql().await.batch_execute(&end).await.unwrap();
    assert!(!keeps(owner, kennel.kennel_id).await);
}

async fn secrets(sql: &Client) -> (Vec<u8>, Vec<u8>) {
    let row = sql
        .query_one(
            "SELECT (SELECT totp_secret FROM people WHERE totp_secret IS NOT NULL), (SELECT secret FROM webhooks)",
            &[],
        )
        .await
        .unwrap();
    (row.get(0), row.get(1))
}

#[tokio::test]
async fn secrets_lie_sealed_under_a_key_that_is_not_there() {
    let kennel = Kennel::new().await;
    let begun =
        kennel.post("/v1/me/second-factor", json!({ "password": PASSWORD })).await.created();
    let hook = json!({ "url": "http://127.0.0.1:9/hook", "active": false });
    let hook = kennel.post("/webhooks", hook).await.created();
    let sql = kennel.sql().await;
    let (factor, signs) = secrets(&sql).await;
    let shown = |secret: &Value| secret.as_str().unwrap().to_owned();
    let person = kennel.person_id;
    let seed = vault().open(&format!("second factor of {person}"), &factor).unwrap();
    assert_eq!(totp::base32(&seed), shown(&begun["secret"]));
    let key = vault().open(&format!("webhook of {}", kennel.kennel_id), &signs).unwrap();
    assert_eq!(format!("whsec_{}", STANDARD.encode(&key)), shown(&hook["secret"]));
    for (sealed, secret) in [(&factor, &seed), (&signs, &key)] {
        assert!(!sealed.windows(secret.len()).any(|part| part == secret.as_slice()));
    }
    // Not under another key, and not on another row.
    assert!(Vault::fresh().open(&format!("second factor of {person}"), &factor).is_err());
    assert!(vault().open(&format!("second factor of {}", Uuid::now_v7()), &factor).is_err());
}

#[tokio::test]
async fn what_lay_in_the_clear_is_sealed_at_the_next_start_and_goes_on() {
    let kennel = Kennel::new().await;
    let hook = json!({ "url": "http://127.0.0.1:9/hook", "active": false });
    kennel.post("/webhooks", hook).await.created();
    let sql = kennel.sql().await;
    // As the edition before kept them.
    let (seed, signs) = ([7_u8; 20], [8_u8; 32]);
    let person = kennel.person_id;
    let plain = format!("UPDATE people SET totp_secret = $1, totp_on = true WHERE id = '{person}'");
    sql.execute(&plain, &[&seed.as_slice()]).await.unwrap();
    sql.execute("UPDATE webhooks SET secret = $1", &[&signs.as_slice()]).await.unwrap();

    let url = service_url(&kennel.service.database_url);
    let db = Db::connect(&url, 1).unwrap().sealing_with(vault());
    assert_eq!(upkeep::seal_secrets(&db).await.unwrap(), 2);
    assert_eq!(upkeep::seal_secrets(&db).await.unwrap(), 0, "once");
    let (factor, sealed) = secrets(&sql).await;
    let (factor_of, hook_of) = (
        format!("second factor of {}", kennel.person_id),
        format!("webhook of {}", kennel.kennel_id),
    );
    assert_eq!(vault().open(&factor_of, &factor).unwrap(), seed);
    assert_eq!(vault().open(&hook_of, &sealed).unwrap(), signs);
    // The login still asks for the same codes.
    let email = kennel.get("/v1/me").await.ok()["person"]["email"].clone();
    let log_in = |code: Value| {
        let body = json!({ "email": email, "password": PASSWORD, "code": code });
        let nobody = kennel.nobody();
        async move { nobody.post("/v1/auth/login", body).await }
    };
    log_in(Value::Null).await.problem(401);
    let code = totp::code_at(&seed, chrono::Utc::now().timestamp());
    log_in(json!(code)).await.ok();

    // Under a key that is lost nothing opens, and nothing is lost by trying.
    let lost = Db::connect(&url, 1).unwrap().sealing_with(Arc::new(Vault::fresh()));
    let refused = upkeep::seal_secrets(&lost).await.unwrap_err().to_string();
    assert!(refused.contains("forget-sealed"), "{refused}");
    assert_eq!(secrets(&sql).await, (factor, sealed));
    // Given up by the owner, the person logs in without.
    let owner = Db::for_upkeep(&kennel.service.database_url, 1).unwrap();
    let owner = owner.sealing_with(Arc::new(Vault::fresh()));
    assert_eq!(upkeep::forget_sealed(&owner).await.unwrap(), 2);
    log_in(Value::Null).await.ok();
    assert!(upkeep::forget_sealed(&lost).await.is_err(), "the service's role gives nothing up");
}
