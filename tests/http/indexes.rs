//! Questions stay as quick with ten thousand kennels as with ten: each is answered by an index that
//! begins with the kennel, through row-level security, as the role that the service works as.

use crate::common::*;
use tokio_postgres::{Client, SimpleQueryMessage};

/// A connection with the role and the scope of an owner of the kennel.
async fn as_owner(kennel: &Kennel) -> Client {
    let sql = kennel.sql().await;
    sql.batch_execute(&format!("BEGIN; {}", kennel.stand_in(Role::Owner))).await.unwrap();
    sql
}

/// The plan of a statement.
async fn plan(sql: &Client, statement: &str) -> Value {
    let explain = format!("EXPLAIN (FORMAT JSON) {statement}");
    let messages = sql.simple_query(&explain).await;
    let messages = messages.unwrap_or_else(|error| panic!("{statement}: {error:?}"));
    let text = messages.iter().find_map(|message| match message {
        SimpleQueryMessage::Row(row) => row.get(0),
        _ => None,
    });
    serde_json::from_str::<Value>(text.unwrap()).unwrap()[0]["Plan"].clone()
}

/// Every step of a plan.
fn steps(plan: &Value) -> Vec<&Value> {
    let mut found = vec![plan];
    for below in plan["Plans"].as_array().into_iter().flatten() {
        found.extend(steps(below));
    }
    found
}

/// Whether rows of `table` are found by an index whose condition names the kennel, and not read through.
fn goes_by_kennel(plan: &Value, table: &str) -> bool {
    let condition =
        |step: &Value| step["Index Cond"].as_str().is_some_and(|text| text.contains("kennel_id"));
    let steps = steps(plan);
    let through = |step: &&Value| step["Relation Name"] == table;
    let scans: Vec<&Value> = steps.iter().copied().filter(through).collect();
    let by_bitmap =
        steps.iter().any(|step| step["Node Type"] == "Bitmap Index Scan" && condition(step));
    !scans.is_empty()
        && scans.iter().all(|scan| match scan["Node Type"].as_str() {
            Some("Index Scan" | "Index Only Scan") => condition(scan),
            Some("Bitmap Heap Scan") => by_bitmap,
            _ => false,
        })
}

#[tokio::test]
async fn every_kept_row_and_page_is_found_by_its_kennel() {
    let kennel = Kennel::new().await;
    let sql = as_owner(&kennel).await;
    // Without rows the planner would read tables through: it does so now only where no index serves.
    sql.batch_execute("SET enable_seqscan = off").await.unwrap();
    let tables = sql
        .query(
            "SELECT c.table_name::text, bool_or(c.column_name = 'id') FROM information_schema.columns c \
             JOIN pg_class t ON t.oid = c.table_name::regclass AND t.relrowsecurity \
             WHERE c.table_schema = 'public' GROUP BY 1 \
             HAVING bool_or(c.column_name = 'kennel_id') ORDER BY 1",
            &[],
        )
        .await
        .unwrap();
    assert!(tables.len() > 40, "only {} tables", tables.len());
    let id = kennel.kennel_id;
    for row in tables {
        let (table, has_id): (String, bool) = (row.get(0), row.get(1));
        let mut asked = vec![format!("SELECT kennel_id FROM {table} WHERE kennel_id = '{id}'")];
        if has_id {
            asked.push(format!(
                "SELECT id FROM {table} WHERE kennel_id = '{id}' AND id = '{}'",
                Uuid::now_v7()
            ));
            asked.push(format!(
                "SELECT id FROM {table} WHERE kennel_id = '{id}' ORDER BY id LIMIT 101"
            ));
        }
        for statement in asked {
            let plan = plan(&sql, &statement).await;
            assert!(goes_by_kennel(&plan, &table), "{statement}\n{plan:#}");
        }
    }
}

#[tokio::test]
async fn rows_that_hang_on_another_are_found_by_it() {
    let kennel = Kennel::new().await;
    let sql = kennel.sql().await;
    // Each reference within a kennel is asked for: by lists below a row, and by Postgres itself when
    // the row that is referred to is deleted.
    let references = sql
        .query(
            "SELECT c.conrelid::regclass || '.' || a.attname, EXISTS ( \
                 SELECT FROM pg_index i WHERE i.indrelid = c.conrelid \
                 AND i.indkey[0] = k.attnum AND i.indkey[1] = a.attnum AND (i.indpred IS NULL \
                     OR pg_get_expr(i.indpred, i.indrelid) = '(' || a.attname || ' IS NOT NULL)')) \
             FROM pg_constraint c JOIN pg_class t ON t.oid = c.conrelid AND t.relrowsecurity \
             JOIN pg_attribute k ON k.attrelid = c.conrelid AND k.attname = 'kennel_id' \
             JOIN pg_attribute a ON a.attrelid = c.conrelid AND a.attnum = c.conkey[2] \
             WHERE c.contype = 'f' AND array_length(c.conkey, 1) >= 2 \
             AND a.atttypid = 'uuid'::regtype ORDER BY 1",
            &[],
        )
        .await
        .unwrap();
    assert!(references.len() > 20, "only {} references", references.len());
    let slow: Vec<String> =
        references.iter().filter(|row| !row.get::<_, bool>(1)).map(|row| row.get(0)).collect();
    assert!(slow.is_empty(), "no index that begins with kennel and column for {slow:?}");
}

#[tokio::test]
async fn a_full_database_is_asked_by_index_without_being_told() {
    let kennel = Kennel::new().await;
    let dog = kennel.dog("Wren", serde_json::json!({})).await;
    // Rows of many other kennels, and statistics of them, as on a busy host.
    let owner = kennel.sql().await;
    owner
        .batch_execute(
            "ALTER TABLE kennels DISABLE TRIGGER USER; ALTER TABLE dogs DISABLE TRIGGER USER; \
             ALTER TABLE weights DISABLE TRIGGER USER; \
             INSERT INTO kennels (id, name, time_zone) \
                 SELECT md5('k' || k)::uuid, 'Kennel', 'UTC' FROM generate_series(1, 500) k; \
             INSERT INTO dogs (kennel_id, id, name, residence) \
                 SELECT md5('k' || k)::uuid, md5('d' || k || '/' || d)::uuid, 'Dog', 'here' \
                 FROM generate_series(1, 500) k, generate_series(1, 10) d; \
             INSERT INTO weights (kennel_id, id, dog_id, measured_at, weight_g) \
                 SELECT md5('k' || k)::uuid, gen_random_uuid(), md5('d' || k || '/' || d)::uuid, now(), 9000 \
                 FROM generate_series(1, 500) k, generate_series(1, 10) d, generate_series(1, 5) w; \
             ANALYZE dogs; ANALYZE weights",
        )
        .await
        .unwrap();
    let sql = as_owner(&kennel).await;
    let id = kennel.kennel_id;
    for (table, statement) in [
        ("dogs", format!("SELECT * FROM dogs WHERE kennel_id = '{id}' AND id = '{dog}'")),
        ("dogs", format!("SELECT * FROM dogs WHERE kennel_id = '{id}' ORDER BY id LIMIT 101")),
        (
            "weights",
            format!(
                "SELECT * FROM weights WHERE kennel_id = '{id}' AND dog_id = '{dog}' ORDER BY id LIMIT 101"
            ),
        ),
        (
            "weights",
            format!("SELECT * FROM weights WHERE kennel_id = '{id}' AND dog_id = ANY('{{{dog}}}')"),
        ),
    ] {
        let plan = plan(&sql, &statement).await;
        assert!(goes_by_kennel(&plan, table), "{statement}\n{plan:#}");
    }
}
