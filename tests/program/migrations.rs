//! The schema: up, down to nothing, up again, and by two instances at once.

use crate::common::Database;
use std::{fs, path::Path};
use store::migrate::{self, Direction};

/// Tables, views, functions, types and sequences of one's own in the database.
async fn inventory(database: &Database) -> Vec<String> {
    let query = "SELECT 'relation ' || relname FROM pg_class \
           WHERE relnamespace = 'public'::regnamespace \
         UNION SELECT 'function ' || p.oid::regprocedure::text FROM pg_proc p \
           WHERE pronamespace = 'public'::regnamespace \
         UNION SELECT 'type ' || typname FROM pg_type WHERE typnamespace = 'public'::regnamespace \
         UNION SELECT 'policy ' || polname || ' of ' || polrelid::regclass::text FROM pg_policy \
         UNION SELECT 'trigger ' || tgname || ' of ' || tgrelid::regclass::text FROM pg_trigger \
           WHERE NOT tgisinternal \
         UNION SELECT 'constraint ' || conname || ' ' || pg_get_constraintdef(oid) FROM pg_constraint \
           WHERE connamespace = 'public'::regnamespace \
         UNION SELECT 'body ' || proname || md5(prosrc) FROM pg_proc \
           WHERE pronamespace = 'public'::regnamespace \
         ORDER BY 1";
    let rows = database.connect().await.query(query, &[]).await.unwrap();
    rows.iter().map(|row| row.get(0)).collect()
}

#[tokio::test]
async fn the_schema_goes_up_down_to_nothing_and_up_again() {
    let database = Database::empty().await;
    let url = database.url();
    migrate::run(&url, Direction::Up).await.unwrap();
    let first = inventory(&database).await;
    assert!(first.iter().any(|name| name == "relation dogs"), "{first:?}");
    // A second run finds nothing to do.
    migrate::run(&url, Direction::Up).await.unwrap();
    assert_eq!(inventory(&database).await, first);

    migrate::run(&url, Direction::DownToNothing).await.unwrap();
    let left = inventory(&database).await;
    let own = |name: &&String| !name.contains("__diesel_schema_migrations");
    assert_eq!(left.iter().filter(own).collect::<Vec<_>>(), [""; 0]);

    migrate::run(&url, Direction::Up).await.unwrap();
    assert_eq!(inventory(&database).await, first);
    database.remove().await;
}

/// A migration includes what stands there, so whoever reads a file reads what runs.
#[tokio::test]
async fn each_function_is_as_its_file_says() {
    let database = Database::empty().await;
    migrate::run(&database.url(), Direction::Up).await.unwrap();
    let client = database.connect().await;
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("migrations/functions");
    let files = fs::read_dir(folder).unwrap().map(|file| file.unwrap().path());
    let texts: String = files.map(|file| fs::read_to_string(file).unwrap()).collect();
    let functions = async || -> Vec<(String, String)> {
        let query = "SELECT proname::text, pg_get_functiondef(oid) FROM pg_proc \
                     WHERE pronamespace = 'public'::regnamespace ORDER BY oid";
        let rows = client.query(query, &[]).await.unwrap();
        rows.iter().map(|row| (row.get(0), row.get(1))).collect()
    };
    let before = functions().await;
    for (name, _) in &before {
        assert!(texts.contains(&format!("CREATE OR REPLACE FUNCTION {name}(")), "{name}");
    }
    // Unlike a migration it is held against the tables here, so that a column which is not there is found.
    client.batch_execute(&texts).await.unwrap();
    assert_eq!(functions().await, before);
    database.remove().await;
}

#[tokio::test]
async fn two_instances_start_at_once() {
    let database = Database::empty().await;
    let url = database.url();
    let runs = (0..4).map(|_| {
        let url = url.clone();
        tokio::spawn(async move { migrate::run(&url, Direction::Up).await })
    });
    for run in runs.collect::<Vec<_>>() {
        run.await.unwrap().unwrap();
    }
    assert!(inventory(&database).await.iter().any(|name| name == "relation dogs"));
    database.remove().await;
}

#[tokio::test]
async fn a_database_that_is_away_is_told() {
    let refused = migrate::run("postgres://kennel@127.0.0.1:1/dogs", Direction::Up).await;
    assert!(matches!(refused, Err(store::StoreError::Unavailable(_))), "{refused:?}");
}
