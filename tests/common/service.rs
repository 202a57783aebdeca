//! A real service on a port of its own, on a database of its own.

use std::net::TcpListener;
use std::path::PathBuf;
use std::sync::{Arc, Mutex, Once, OnceLock, PoisonError, mpsc};
use std::thread::{self, JoinHandle};
use std::{env, fs};

use api::{FilesLimits, clock::Clock, limits::FreeTries, work::WorkLimits};
use chrono::Duration;
use denwright::config::{LogFormat, Origins};
use denwright::service::{
    log::log_to_stderr,
    server::{self, Settings},
};
use outgoing::mail::{MailRoute, Mailer};
use outgoing::webhooks::Manner;
use store::{Db, migrate};
use tokio::sync::oneshot;

use security::vault::Vault;

use super::database::{Database, pooler_url, service_url};
use super::kennel::now;
use super::waiting::until;

/// What a test's service is set to, unless the test wants something else.
pub fn settings() -> Settings {
    Settings {
        pool_size: 8,
        access_lifetime: Duration::minutes(15),
        refresh_lifetime: Duration::days(30),
        sign_up_open: false,
        origins: Origins::These(Vec::new()),
        body_limit_bytes: 16 * 1024 * 1024,
        files_url: files_folder().to_string_lossy().into_owned(),
        files_limits: FilesLimits::of_megabytes(8, 64),
        work: WorkLimits::computing(),
        hashing: WorkLimits::hashing(),
        request_limit: std::time::Duration::from_secs(180),
        free_tries: FreeTries { on_account: 5, on_account_from_everywhere: 100, from_address: 30 },
        own_origin: None,
        proxies: 0,
        https: false,
        clock: Clock::by_hand(now()),
        mailer: mailer(),
        key_days: 90,
        webhooks: webhooks(),
        rings: None,
        workers: 1,
    }
}

/// The folder that the tests' mail lies in.
pub fn mail_folder() -> PathBuf {
    env::temp_dir().join(format!("denwright-test-mail-{}", std::process::id()))
}

/// The mail in it to this address with these words in it, once it is there.
pub async fn mailed(to: &str, with: &str) -> String {
    let is_to = |mail: &String| {
        mail.lines().any(|line| line.starts_with("To: ") && line.contains(to))
            && mail.contains(with)
    };
    until(format_args!("a mail to {to} about {with}"), async || {
        let files = fs::read_dir(mail_folder()).into_iter().flatten().flatten();
        files.filter_map(|file| fs::read_to_string(file.path()).ok()).find(is_to)
    })
    .await
}

/// The folder that the tests' pictures and papers lie in.
pub fn files_folder() -> PathBuf {
    env::temp_dir().join(format!("denwright-test-files-{}", std::process::id()))
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
        ..Manner::default()
    }
}

/// The file of the keys for secrets that all services of a test program share, as instances do.
pub fn secret_file() -> PathBuf {
    env::temp_dir().join(format!("denwright-test-secret-{}.key", std::process::id()))
}

/// The keys in [`secret_file`].
pub fn vault() -> Arc<Vault> {
    static VAULT: OnceLock<Arc<Vault>> = OnceLock::new();
    let open = || Arc::new(Vault::open_or_make(&secret_file()).expect("the file can be made"));
    Arc::clone(VAULT.get_or_init(open))
}

/// A running service; it and its database end with this value.
pub struct Service {
    /// Where it answers, such as `http://127.0.0.1:40123`.
    pub url: String,
    /// The address of its database.
    pub database_url: String,
    /// The store on the same database, in connections of the owner's.
    pub db: Db,
    /// What it takes for now.
    pub clock: Clock,
    stop: Option<oneshot::Sender<()>>,
    thread: Option<JoinHandle<()>>,
    /// How many tests it may serve, this one among them; none where a test has it for itself.
    tests_left: u32,
}

/// Services at their usual settings whose test is through. To start one costs a database, connections and the
/// plans of each statement; a kennel sees nothing of those that were there before.
static FREE: Mutex<Vec<Service>> = Mutex::new(Vec::new());

/// So many tests share a service, one after the other: what they leave behind must not slow the last.
const TESTS: u32 = 30;

impl Service {
    /// One at its usual settings, which tests before this one may have used.
    pub async fn shared() -> Self {
        let free = FREE.lock().unwrap_or_else(PoisonError::into_inner).pop();
        if let Some(service) = free {
            service.clock.set(now());
            return service;
        }
        let mut service = Self::start(settings()).await;
        service.tests_left = TESTS;
        service
    }

    /// The same for the next test; leaves nothing behind to be ended.
    fn passed_on(&mut self) -> Self {
        Self {
            url: self.url.clone(),
            database_url: self.database_url.clone(),
            // Connections end with the runtime of their test.
            db: Db::for_upkeep(&self.database_url, 2).expect("the address is good"),
            clock: self.clock.clone(),
            stop: self.stop.take(),
            thread: self.thread.take(),
            tests_left: self.tests_left - 1,
        }
    }

    /// Starts one on a fresh database.
    pub async fn start(settings: Settings) -> Self {
        Self::start_on(Database::migrated().await, settings)
    }

    /// Starts one on a database with the demo kennel.
    pub async fn with_demo() -> Self {
        Self::start_on(Database::with_demo().await, settings())
    }

    /// Starts one on this database, which has its schema.
    pub fn start_on(database: Database, settings: Settings) -> Self {
        let url = database.url();
        Self::start_at(url, Some(database), settings, Ways::default())
    }

    /// Starts one that asks a standby at this address for reports, archives and booklets.
    pub fn start_reading_from(replica: &str, database: Database, settings: Settings) -> Self {
        let ways = Ways { replica: Some(replica.to_owned()), ..Ways::default() };
        Self::start_at(database.url(), Some(database), settings, ways)
    }

    /// Starts one whose requests reach this database through another address, such as a counting one.
    pub fn start_through(address: &str, database: Database, settings: Settings) -> Self {
        let url = database.url();
        let ways = Ways { through: Some(address.to_owned()), ..Ways::default() };
        Self::start_at(url, Some(database), settings, ways)
    }

    /// A second instance on the same database; it must end before the first.
    pub fn beside(&self, settings: Settings) -> Self {
        Self::start_at(self.database_url.clone(), None, settings, Ways::default())
    }

    fn start_at(
        database_url: String,
        database: Option<Database>,
        settings: Settings,
        ways: Ways,
    ) -> Self {
        // A fault of the service (500) says in the log alone what it was.
        static LOG: Once = Once::new();
        LOG.call_once(|| {
            let filter = env::var("DENWRIGHT_LOG").unwrap_or_else(|_| "error".to_owned());
            log_to_stderr(&filter, LogFormat::Text).expect("the filter can be read");
        });
        let listener = TcpListener::bind("127.0.0.1:0").expect("a port is free");
        let url = format!("http://{}", listener.local_addr().expect("it has a port"));
        let db = Db::for_upkeep(&database_url, 2).expect("the address is good");
        let (stop, stopped) = oneshot::channel();
        let (ready, started) = mpsc::channel();
        // On a thread of its own, so that it can be ended from the test's drop.
        let (address, clock) = (database_url.clone(), settings.clock.clone());
        let thread = thread::spawn(move || {
            let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build();
            runtime.expect("a runtime starts").block_on(async move {
                serve((&address, ways), listener, &settings, ready, stopped).await;
                if let Some(database) = database {
                    database.remove().await;
                }
            });
        });
        // Connections made before it accepts wait in the listener's backlog.
        let _ = started.recv();
        Self { url, database_url, db, clock, stop: Some(stop), thread: Some(thread), tests_left: 0 }
    }
}

/// How a service reaches its database, but for the owner's address.
#[derive(Default)]
struct Ways {
    /// The address for its requests, where that is not the database's own.
    through: Option<String>,
    /// The address of a standby.
    replica: Option<String>,
}

async fn serve(
    (url, ways): (&str, Ways),
    listener: TcpListener,
    settings: &Settings,
    ready: mpsc::Sender<()>,
    stopped: oneshot::Receiver<()>,
) {
    // As its own role, by a password where the server asks for one.
    let owner_url = url;
    let url = &service_url(owner_url);
    migrate::let_service_in(owner_url, url).await.expect("the service's role is let in");
    let (size, workers) = (settings.pool_size, settings.workers);
    let db = match (&ways.through, pooler_url(url)) {
        (Some(through), _) => Db::for_workers(through, size, workers),
        (None, Some(pooler)) => Db::by_pooler(&pooler, size, workers),
        (None, None) => Db::for_workers(url, size, workers),
    };
    let db = db.expect("the address is good").sealing_with(vault());
    let db = match &ways.replica {
        Some(replica) => db.reading_from(replica, size).expect("the address is good"),
        None => db,
    };
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
        if self.tests_left > 1 && !thread::panicking() {
            let service = self.passed_on();
            FREE.lock().unwrap_or_else(PoisonError::into_inner).push(service);
            return;
        }
        drop(self.stop.take());
        let ended = self.thread.take().is_none_or(|thread| thread.join().is_ok());
        assert!(ended || thread::panicking(), "the service of the test panicked");
    }
}
