//! The last wall: what the service's own role can reach in the database, past all of its code.

use crate::common::*;
use tokio_postgres::{Client, error::SqlState};

/// The tables that belong to kennels.
async fn kennel_tables(sql: &Client) -> Vec<String> {
    let query = "SELECT c.relname FROM pg_class c JOIN pg_attribute a ON a.attrelid = c.oid \
         WHERE c.relkind = 'r' AND c.relnamespace = 'public'::regnamespace \
         AND a.attname = 'kennel_id' AND NOT a.attisdropped ORDER BY c.relname";
    let rows = sql.query(query, &[]).await.unwrap();
    let tables: Vec<String> = rows.iter().map(|row| row.get(0)).collect();
    assert!(tables.len() > 15, "{tables:?}");
    tables
}

/// The log itself, what is computed from records and kept, and what is no record of the kennel.
const NO_RECORDS: [&str; 18] = [
    "changes",
    "change_heads",
    "pedigree_heads",
    "inbreeding_heads",
    "inbreeding_coefficients",
    "studbooks",
    "studbook_parts",
    "kennel_people",
    "kennel_ends",
    "uploads",
    "webhook_deliveries",
    "webhook_standing",
    // Of one member each, and of what they were told.
    "ring_choices",
    "push_devices",
    "ring_watches",
    "alarm_states",
    "rings",
    "letters",
];

/// Works as the service does for a member of this role, in this kennel, until the transaction ends.
async fn enter(sql: &Client, kennel: &Kennel, role: Role) {
    let scope = kennel.stand_in(role);
    sql.batch_execute(&format!("ROLLBACK; BEGIN; {scope}")).await.unwrap();
}

/// Tries a statement so that the transaction goes on when it fails.
async fn attempt(sql: &Client, statement: &str) -> Result<u64, tokio_postgres::Error> {
    sql.batch_execute("SAVEPOINT attempt").await.unwrap();
    let done = sql.execute(statement, &[]).await;
    let end = if done.is_ok() { "RELEASE attempt" } else { "ROLLBACK TO attempt" };
    sql.batch_execute(end).await.unwrap();
    done
}

async fn count(sql: &Client, table: &str, condition: &str) -> i64 {
    let query = format!("SELECT count(*) FROM {table} WHERE {condition}");
    sql.query_one(&query, &[]).await.unwrap_or_else(|error| panic!("{query}: {error:?}")).get(0)
}

/// A kennel with a row in most of its tables.
async fn furnish(kennel: &Kennel) {
    let (_, pups) = kennel.born_litter(1, 20).await;
    let buyer = kennel.buyer("Ottilie").await;
    let placement = kennel.post("/placements", Kennel::reservation(pups[0], buyer)).await.id();
    let payment =
        json!({ "kind": "deposit", "amount_minor": 5, "currency": "EUR", "paid_on": days_ago(0) });
    kennel.post(&format!("/placements/{placement}/payments"), payment).await.created();
    kennel
        .post("/invitations", json!({ "email": "wren@example.org", "role": "viewer" }))
        .await
        .created();
    kennel
        .post(
            "/access-tokens",
            json!({ "name": "Screen", "read_only": true, "password": PASSWORD }),
        )
        .await
        .created();
}

/// Each has row-level security with a policy, the triggers of the log, a key that begins with the
/// kennel, and nothing that a row of another kennel could be referred to by.
#[tokio::test]
async fn every_table_of_a_kennel_is_finished() {
    let kennel = Kennel::new().await;
    let sql = kennel.sql().await;
    for table in kennel_tables(&sql).await {
        let facts = sql
            .query_one(
                "SELECT c.relrowsecurity AND c.relforcerowsecurity, \
                 EXISTS (SELECT FROM pg_policy p WHERE p.polrelid = c.oid AND p.polname = 'of_kennel' \
                         AND pg_get_expr(p.polqual, c.oid) LIKE '%kennel_id = ( SELECT proven_scope.kennel%'), \
                 ARRAY(SELECT t.tgname::text FROM pg_trigger t WHERE t.tgrelid = c.oid AND NOT t.tgisinternal), \
                 (SELECT a.attname::text FROM pg_index i JOIN pg_attribute a ON a.attrelid = c.oid \
                  AND a.attnum = i.indkey[0] WHERE i.indrelid = c.oid AND i.indisprimary), \
                 ARRAY(SELECT f.conname::text FROM pg_constraint f WHERE f.conrelid = c.oid AND f.contype = 'f' \
                       AND f.confrelid <> 'people'::regclass \
                       AND NOT EXISTS (SELECT FROM pg_attribute a WHERE a.attrelid = c.oid \
                                       AND a.attname = 'kennel_id' AND a.attnum = ANY (f.conkey))) \
                 FROM pg_class c WHERE c.oid = $1::text::regclass",
                &[&table],
            )
            .await
            .unwrap();
        assert!(
            facts.get::<_, bool>(0),
            "{table}: row-level security is off, or not for its owner"
        );
        assert!(facts.get::<_, bool>(1), "{table}: no policy holds its kennel");
        let loose: Vec<String> = facts.get(4);
        assert!(loose.is_empty(), "{table}: {loose:?} may lead to another kennel");
        // A kennel is its own key.
        if !NO_RECORDS.contains(&table.as_str()) {
            let triggers: Vec<String> = facts.get(2);
            for trigger in ["next_version", "log_created", "log_changed", "log_deleted"] {
                assert!(
                    triggers.iter().any(|name| name == trigger),
                    "{table}: no trigger {trigger}"
                );
            }
            if table != "kennels" {
                assert_eq!(facts.get::<_, String>(3), "kennel_id", "{table}: primary key");
            }
        }
    }
}

#[tokio::test]
async fn without_a_kennel_nothing_is_seen() {
    let kennel = Kennel::new().await;
    furnish(&kennel).await;
    let sql = kennel.sql().await;
    let tables = kennel_tables(&sql).await;
    for settings in [
        "",
        "SET denwright.sees = 'all'; SET denwright.rights = 'observations,placing,money,managing'",
        "SET denwright.kennel = ''; SET denwright.person = ''",
    ] {
        sql.batch_execute(&format!("SET ROLE denwright_service; {settings}")).await.unwrap();
        for table in &tables {
            assert_eq!(count(&sql, table, "true").await, 0, "{table} with {settings:?}");
        }
    }
}

#[tokio::test]
async fn no_row_of_another_kennel_is_seen_or_written() {
    let kennel = Kennel::new().await;
    let other = kennel.another().await;
    furnish(&kennel).await;
    furnish(&other).await;
    let sql = kennel.sql().await;
    let tables = kennel_tables(&sql).await;
    enter(&sql, &kennel, Role::Owner).await;
    let foreign = format!("kennel_id = '{}'", other.kennel_id);
    let mut seen = 0;
    for table in &tables {
        assert_eq!(count(&sql, table, &foreign).await, 0, "{table} shows another kennel's rows");
        seen += count(&sql, table, "true").await;
        if !NO_RECORDS.contains(&table.as_str()) {
            // The kennel of a kennel is computed.
            let column = if table == "kennels" { "name" } else { "kennel_id" };
            let update = format!("UPDATE {{table}} SET {column} = {column}");
            for write in [update.as_str(), "DELETE FROM {table}"] {
                let write = write.replace("{table}", table) + " WHERE " + &foreign;
                match attempt(&sql, &write).await {
                    Ok(written) => assert_eq!(written, 0, "{write}"),
                    // What is only ever added to may not even be tried.
                    Err(error) => {
                        assert_eq!(
                            error.code(),
                            Some(&SqlState::INSUFFICIENT_PRIVILEGE),
                            "{write}"
                        );
                    }
                }
            }
        }
    }
    assert!(seen > 20, "the own kennel is seen");
    let into_other = format!(
        "INSERT INTO dogs (kennel_id, id, residence) VALUES ('{}', gen_random_uuid(), 'here')",
        other.kennel_id
    );
    let refused = attempt(&sql, &into_other).await.unwrap_err();
    assert!(refused.as_db_error().unwrap().message().contains("row-level security"), "{refused:?}");
    let moved = format!("UPDATE dogs SET kennel_id = '{}'", other.kennel_id);
    assert!(attempt(&sql, &moved).await.is_err(), "a dog is moved to another kennel");
    sql.batch_execute("ROLLBACK").await.unwrap();
    assert!(count(&sql, "dogs", &foreign).await > 0, "the other kennel has lost nothing");
}

#[tokio::test]
async fn the_services_role_cannot_get_past_the_wall() {
    let kennel = Kennel::new().await;
    let sql = kennel.sql().await;
    let role = "SELECT rolsuper OR rolbypassrls OR rolcreaterole OR rolcreatedb \
                FROM pg_roles WHERE rolname = 'denwright_service'";
    assert!(!sql.query_one(role, &[]).await.unwrap().get::<_, bool>(0));
    let owned = "SELECT count(*) FROM pg_class WHERE relowner = 'denwright_service'::regrole";
    assert_eq!(sql.query_one(owned, &[]).await.unwrap().get::<_, i64>(0), 0);
    enter(&sql, &kennel, Role::Owner).await;
    for statement in [
        "ALTER TABLE dogs DISABLE ROW LEVEL SECURITY",
        "CREATE POLICY open ON dogs USING (true)",
        "DELETE FROM changes",
        "UPDATE changes SET person_id = NULL",
        "INSERT INTO changes (kennel_id, sequence, what, action) VALUES (gen_random_uuid(), 1, 'dog', 'created')",
        "UPDATE change_heads SET sequence = 0",
        "TRUNCATE dogs",
        "DROP TABLE dogs",
        "ALTER TABLE dogs DISABLE TRIGGER ALL",
    ] {
        assert!(attempt(&sql, statement).await.is_err(), "{statement} is allowed");
    }
}

#[tokio::test]
async fn money_is_hidden_from_those_who_do_not_see_it() {
    let kennel = Kennel::new().await;
    furnish(&kennel).await;
    let sql = kennel.sql().await;
    enter(&sql, &kennel, Role::Helper).await;
    for table in ["payments", "shares", "invitations"] {
        assert_eq!(count(&sql, table, "true").await, 0, "{table}");
    }
    let words =
        "('payment', 'share', 'cost', 'follow_up', 'booklet_link', 'invitation', 'access_token')";
    assert_eq!(count(&sql, "changes", &format!("what IN {words}")).await, 0);
    enter(&sql, &kennel, Role::CoOwner).await;
    for table in
        ["dogs", "litters", "births", "weights", "placements", "payments", "shares", "heats"]
    {
        assert_eq!(count(&sql, table, "true").await, 0, "{table} without a share");
    }
}
