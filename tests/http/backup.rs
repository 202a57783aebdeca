//! A backup, restored into an empty cluster and compared; and one beside a service that runs.

use crate::{
    attachments::{attach, photograph},
    common::*,
};
use denwright::service::server::Settings;
use std::{
    collections::BTreeMap,
    fs,
    io::{BufRead as _, BufReader},
    os::unix::fs::PermissionsExt,
    path::Path,
    process::{Command, Stdio},
};
use tokio_postgres::{Client, NoTls};

/// How many rows each table has, and a digest of them all.
async fn contents(sql: &Client) -> BTreeMap<String, (i64, Option<String>)> {
    let tables = "SELECT relname::text FROM pg_class \
                  WHERE relnamespace = 'public'::regnamespace AND relkind = 'r'";
    let mut contents = BTreeMap::new();
    sql.batch_execute("SET TIME ZONE 'UTC'").await.unwrap();
    for row in sql.query(tables, &[]).await.unwrap() {
        let table: String = row.get(0);
        let digest = format!(
            "SELECT count(*), md5(string_agg(t::text, E'\\n' ORDER BY t::text)) FROM {table} t"
        );
        let row = sql.query_one(&digest, &[]).await.unwrap();
        contents.insert(table, (row.get(0), row.get(1)));
    }
    contents
}

/// Functions, triggers, policies and constraints.
async fn schema(sql: &Client) -> Vec<String> {
    let query = "SELECT 'policy ' || polname || polrelid::regclass::text || coalesce(pg_get_expr(polqual, polrelid), '') \
           || coalesce(pg_get_expr(polwithcheck, polrelid), '') FROM pg_policy \
         UNION SELECT 'trigger ' || pg_get_triggerdef(oid) FROM pg_trigger WHERE NOT tgisinternal \
         UNION SELECT 'constraint ' || conname || pg_get_constraintdef(oid) FROM pg_constraint \
           WHERE connamespace = 'public'::regnamespace \
         UNION SELECT 'function ' || proname || md5(prosrc) || prosecdef FROM pg_proc \
           WHERE pronamespace = 'public'::regnamespace \
         UNION SELECT 'right ' || grantee || privilege_type || table_name \
           FROM information_schema.role_table_grants WHERE grantee = 'denwright_service' \
         ORDER BY 1";
    sql.query(query, &[]).await.unwrap().iter().map(|row| row.get(0)).collect()
}

fn denwright(arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_denwright"));
    command.args(arguments).env("DENWRIGHT_LOG", "error");
    command.env_remove("DATABASE_URL").env_remove("DENWRIGHT_SECRET_FILE");
    command
}

fn succeeds(command: &mut Command) -> String {
    let output = command.output().unwrap();
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(output.status.success(), "{command:?}: {said}");
    said
}

#[tokio::test]
async fn a_backup_comes_back_whole_into_an_empty_cluster() {
    let files = std::env::temp_dir().join(format!("denwright-files-{}", Uuid::now_v7()));
    let files_url = files.to_str().unwrap().to_owned();
    let kennel = Kennel::with(Settings { files_url: files_url.clone(), ..settings() }).await;
    let (litter, pups) = kennel.born_litter(3, 20).await;
    for pup in &pups {
        kennel.weight(*pup, 1, 2_000).await;
    }
    let buyer = kennel.buyer("Ottilie Märsch").await;
    kennel.post("/placements", Kennel::reservation(pups[0], buyer)).await.created();
    kennel
        .post("/webhooks", json!({ "url": "http://127.0.0.1:9/", "active": false }))
        .await
        .created();
    kennel.change(&format!("/litters/{litter}"), json!({ "note": "änderte sich" })).await.ok();
    let picture = attach(&kennel, &photograph(64, 64), json!({ "dog_id": pups[0] })).await;
    let picture = picture["sha256"].as_str().unwrap().to_owned();
    let (before, form) = {
        let sql = kennel.sql().await;
        (contents(&sql).await, schema(&sql).await)
    };
    assert!(before["dogs"].0 >= 5 && before["changes"].0 > 10, "{before:?}");

    let folder = std::env::temp_dir().join(format!("denwright-backup-{}", Uuid::now_v7()));
    fs::create_dir_all(&folder).unwrap();
    fs::set_permissions(&folder, PermissionsExt::from_mode(0o755)).unwrap();
    let (file, data) = (folder.join("kennel.dump"), folder.join("data"));
    let (file_name, data_name) = (file.to_str().unwrap(), data.to_str().unwrap());
    let url = &kennel.service.database_url;
    let with_key = &["backup", file_name, "--with-key"];
    succeeds(
        denwright(with_key)
            .env("DATABASE_URL", url)
            .env("DENWRIGHT_SECRET_FILE", secret_file())
            .env("DENWRIGHT_FILES_URL", &files_url),
    );
    let key = folder.join("kennel.dump.key");
    for private in [&file, &key] {
        assert_eq!(fs::metadata(private).unwrap().permissions().mode() & 0o777, 0o600);
    }
    assert_eq!(fs::read(&key).unwrap(), fs::read(secret_file()).unwrap());
    assert_eq!(fs::read_dir(&folder).unwrap().count(), 3, "nothing half-made is left");
    let own = Path::new(&kennel.kennel_id.to_string()).join(&picture);
    let kept = fs::read(files.join("blobs").join(&own)).unwrap();
    assert_eq!(fs::read(folder.join("kennel.dump.pictures").join(&own)).unwrap(), kept);
    // Never over what is there.
    let refused = denwright(&["restore", file_name]).env("DATABASE_URL", url).output().unwrap();
    let said = String::from_utf8_lossy(&refused.stderr).into_owned();
    assert!(!refused.status.success() && said.contains("empty"), "{said}");

    succeeds(&mut denwright(&["restore", file_name, "--data", data_name]));
    let mut cluster = denwright(&["cluster", "run", "--data", data_name, "--"])
        .args(["sh", "-c", "echo \"$DATABASE_URL\"; exec cat >/dev/null"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let mut restored = String::new();
    BufReader::new(cluster.stdout.take().unwrap()).read_line(&mut restored).unwrap();
    let (sql, connection) = tokio_postgres::connect(restored.trim(), NoTls).await.unwrap();
    tokio::spawn(connection);
    assert_eq!(contents(&sql).await, before);
    assert_eq!(schema(&sql).await, form);
    assert_eq!(fs::read(data.join("files/blobs").join(&own)).unwrap(), kept);
    // The key came back with what is sealed under it.
    assert_eq!(fs::read(data.join("secret.key")).unwrap(), fs::read(&key).unwrap());
    drop(sql);
    drop(cluster.stdin.take());
    cluster.wait().unwrap();

    beside_a_running_service(&folder, data_name, &kennel).await;
    fs::remove_dir_all(&folder).unwrap();
    fs::remove_dir_all(&files).unwrap();
}

/// The restored service answers its old logins; a backup and a new key are made beside it.
async fn beside_a_running_service(folder: &Path, data: &str, kennel: &Kennel) {
    let port = std::net::TcpListener::bind("127.0.0.1:0").unwrap().local_addr().unwrap().port();
    let listen = format!("127.0.0.1:{port}");
    let mut service = denwright(&["serve", "--data", data, "--listen", &listen])
        .stdout(Stdio::null())
        .spawn()
        .unwrap();
    let http = reqwest::Client::new();
    let ready = format!("http://{listen}/health/ready");
    until("the service is ready", async || http.get(&ready).send().await.ok()).await;
    let dogs = || async {
        let request = http.get(format!("http://{listen}{}", kennel.path("/dogs")));
        let answer = request.bearer_auth(kennel.token.as_ref().unwrap()).send().await.unwrap();
        assert_eq!(answer.status(), 200);
        answer.json::<Value>().await.unwrap()
    };
    assert_eq!(dogs().await, kennel.get("/dogs").await.ok());
    let file = folder.join("live.dump");
    succeeds(&mut denwright(&["backup", file.to_str().unwrap(), "--data", data]));
    assert!(fs::read(&file).unwrap().starts_with(b"PGDMP"));
    succeeds(&mut denwright(&["keys", "rotate", "--data", data]));
    dogs().await;
    let pid = rustix::process::Pid::from_raw(service.id().cast_signed()).unwrap();
    rustix::process::kill_process(pid, rustix::process::Signal::TERM).unwrap();
    assert!(service.wait().unwrap().success());
}
