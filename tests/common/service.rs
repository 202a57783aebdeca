//! A real service on a port of its own, on a database of its own.

use std::env;
use std::net::TcpListener;
use std::path::PathBuf;
use std::sync::{Once, mpsc};
use std::thread::{self, JoinHandle};

use chrono::Duration;
use denwright::api::limits::FreeTries;
use denwright::config::{LogFormat, Origins};
use denwright::mail::{MailRoute, Mailer};
use denwright::server::{self, Settings};
use denwright::store::Db;
use denwright::webhooks::Manner;
use tokio::sync::oneshot;

use super::database::Database;

/// What a test's service is set to, unless the test wants something else.
pub fn settings() -> Settings {
    Settings {
        pool_size: 8,
        access_lifetime: Duration::minutes(15),
        refresh_lifetime: Duration::days(30),
        sign_up_open: false,
        origins: Origins::These(Vec::new()),
        body_limit_bytes: 16 * 1024 * 1024,
        request_limit: std::time::Duration::from_secs(60),
        free_tries: FreeTries { on_account: 5, from_address: 30 },
        proxies: 0,
        https: false,
        mailer: mailer(),
        key_days: 90,
        webhooks: webhooks(),
        workers: 1,
    }
}

/// The folder that the tests' mail lies in.
pub fn mail_folder() -> PathBuf {
    env::temp_dir().join(format!("denwright-test-mail-{}", std::process::id()))
}

fn mailer() -> Mailer {
    let from = "denwright@example.org".parse().expect("an address");
    Mailer::new(MailRoute::Folder(None), from, mail_folder())
}

/// Webhooks that call this machine, and soon.
fn webhooks() -> Manner {
    Manner {
        private_networks: true,
        waits: vec![std::time::Duration::from_millis(100); 2],
        glance: std::time::Duration::from_millis(100),
        patience: std::time::Duration::from_secs(5),
    }
}

/// A running service; it and its database end with this value.
pub struct Service {
    /// Where it answers, such as `http://127.0.0.1:40123`.
    pub url: String,
    /// The address of its database.
    pub database_url: String,
    /// The store on the same database, in connections of the test's own.
    pub db: Db,
    stop: Option<oneshot::Sender<()>>,
    thread: Option<JoinHandle<()>>,
}

impl Service {
    /// Starts one on a fresh database.
    pub async fn start(settings: Settings) -> Self {
        Self::start_on(Database::migrated().await, settings)
    }

    /// Starts one on this database, which has its schema.
    pub fn start_on(database: Database, settings: Settings) -> Self {
        let url = database.url();
        Self::start_at(url, Some(database), settings)
    }

    /// A second instance on the same database; it must end before the first.
    pub fn beside(&self, settings: Settings) -> Self {
        Self::start_at(self.database_url.clone(), None, settings)
    }

    fn start_at(database_url: String, database: Option<Database>, settings: Settings) -> Self {
        // A fault of the service (500) says in the log alone what it was.
        static LOG: Once = Once::new();
        LOG.call_once(|| {
            let filter = env::var("DENWRIGHT_LOG").unwrap_or_else(|_| "error".to_owned());
            server::log_to_stderr(&filter, LogFormat::Text).expect("the filter can be read");
        });
        let listener = TcpListener::bind("127.0.0.1:0").expect("a port is free");
        let url = format!("http://{}", listener.local_addr().expect("it has a port"));
        let db = Db::connect(&database_url, 2).expect("the address is good");
        let (stop, stopped) = oneshot::channel();
        let (ready, started) = mpsc::channel();
        // On a thread of its own, so that it can be ended from the test's drop.
        let address = database_url.clone();
        let thread = thread::spawn(move || {
            let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build();
            runtime.expect("a runtime starts").block_on(async move {
                serve(&address, listener, &settings, ready, stopped).await;
                if let Some(database) = database {
                    database.remove().await;
                }
            });
        });
        // Connections made before it accepts wait in the listener's backlog.
        let _ = started.recv();
        Self { url, database_url, db, stop: Some(stop), thread: Some(thread) }
    }
}

async fn serve(
    url: &str,
    listener: TcpListener,
    settings: &Settings,
    ready: mpsc::Sender<()>,
    stopped: oneshot::Receiver<()>,
) {
    let db =
        Db::for_workers(url, settings.pool_size, settings.workers).expect("the address is good");
    let started = server::start(listener, url, db, settings).await;
    let (server, streams) = started.expect("the service starts");
    let handle = server.handle();
    let running = tokio::spawn(server);
    drop(ready);
    let _ = stopped.await;
    drop(streams);
    handle.stop(false).await;
    let _ = running.await;
}

impl Drop for Service {
    fn drop(&mut self) {
        drop(self.stop.take());
        let ended = self.thread.take().is_none_or(|thread| thread.join().is_ok());
        assert!(ended || thread::panicking(), "the service of the test panicked");
    }
}
