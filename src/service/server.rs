//! Wiring: from settings to a running service, and its end.

use super::{
    background,
    backup::BackupError,
    database::Database,
    docs, edge,
    known_paths::KnownPaths,
    letters,
    log::{log_to_stderr, tell_panics_by_place},
    pages,
};
use crate::config::{Origins, ServeConfig, SignUp};
use api::{
    self, App, FilesLimits, LargeBodies,
    clock::Clock,
    conditional,
    endings::{self, ENDINGS},
    keyring::Keyring,
    language,
    limits::FreeTries,
    openapi,
    operations::Operations,
    problem::Problem,
    uploads,
    work::{WorkLimits, WorkRoom},
};
use cluster::ClusterError;
use domain::today::BoardMemory;
use files::{Blobs, BlobsError};
use security::{
    credentials::{self, CredentialError},
    vault::{Vault, VaultError},
};

use actix_cors::Cors;
use actix_web::{
    App as WebApp, HttpServer,
    dev::Server,
    http::{Method, header},
    middleware::{Compress, from_fn},
    web,
};
use outgoing::{mail::Mailer, rings, webhooks};
use postgres::{
    address,
    wakes::{StreamLimits, Wakes},
};
use std::{any::Any, io, net::TcpListener, sync::Arc, time::Duration};
use store::{Db, StoreError, studbooks::Studbooks, upkeep};
use tokio::{net::TcpStream, sync::watch};
use tracing_actix_web::TracingLogger;
use utoipa_swagger_ui::{Config as DocsConfig, SwaggerUi};

/// Why the service did not start, or ended.
#[derive(Debug, thiserror::Error)]
pub enum ServerError {
    /// The private Postgres.
    #[error(transparent)]
    Cluster(#[from] ClusterError),
    /// A backup or its return.
    #[error(transparent)]
    Backup(#[from] BackupError),
    /// The database.
    #[error("the database: {0}")]
    Store(#[from] StoreError),
    /// Where pictures and papers lie.
    #[error("DENWRIGHT_FILES_URL: {0}")]
    Files(#[from] BlobsError),
    /// Something that the service's own role may not do.
    #[error(
        "this needs the owner of the database, and DATABASE_URL logs in as the service: give the owner's \
         address in DENWRIGHT_MIGRATE_URL"
    )]
    NoOwner,
    /// A pooler that the owner of the database logs in by.
    #[error(
        "by a pooler in transaction mode the service cannot step down to its own role: let DATABASE_URL, \
         DENWRIGHT_DIRECT_URL and DENWRIGHT_READ_URL log in as denwright_service, and give the owner's address, past \
         the pooler, in DENWRIGHT_MIGRATE_URL"
    )]
    PooledOwner,
    /// The key for secrets.
    #[error("DENWRIGHT_SECRET_FILE: {0}")]
    Secret(#[from] VaultError),
    /// A credential could not be made.
    #[error("credentials: {0}")]
    Credentials(#[from] CredentialError),
    /// The network or a file.
    #[error("{0}")]
    Io(#[from] io::Error),
    /// The log filter.
    #[error("DENWRIGHT_LOG: {0}; write a level such as info, or parts such as info,store=debug")]
    Log(String),
}

/// How long requests in flight have to end when the service stops, in seconds.
const SHUTDOWN_SECONDS: u64 = 20;

const DAY: Duration = Duration::from_secs(24 * 3600);

/// How long a client may leave what is sent to it unread; a stream of changes has no other limit.
const UNREAD_LIMIT: Duration = Duration::from_secs(60);

/// Connections that a worker holds at once. Each may have a small body under way: 64 MB in all.
const MOST_CONNECTIONS: usize = 4_000;

/// What a service needs beside its database.
#[derive(Debug, Clone)]
pub struct Settings {
    /// Most database connections.
    pub pool_size: usize,
    /// How long an access token is good.
    pub access_lifetime: chrono::Duration,
    /// How long a refresh token is good.
    pub refresh_lifetime: chrono::Duration,
    /// Whether anybody may sign up.
    pub sign_up_open: bool,
    /// Pages of which origins may call the service.
    pub origins: Origins,
    /// Largest file in bytes.
    pub body_limit_bytes: usize,
    /// Where pictures and papers lie.
    pub files_url: String,
    /// How much of them people may bring.
    pub files_limits: FilesLimits,
    /// How much is computed and drawn at once.
    pub work: WorkLimits,
    /// How many passwords are hashed at once.
    pub hashing: WorkLimits,
    /// How long a request may take.
    pub request_limit: Duration,
    /// How often somebody may try to log in without a wait.
    pub free_tries: FreeTries,
    /// The origin at which others reach the service, where that was said.
    pub own_origin: Option<String>,
    /// Proxies of one's own in front.
    pub proxies: usize,
    /// Whether others reach the service by https.
    pub https: bool,
    /// What requests take for now.
    pub clock: Clock,
    /// Sends mail.
    pub mailer: Mailer,
    /// Days after which a new key signs.
    pub key_days: i64,
    /// How webhooks are delivered.
    pub webhooks: webhooks::Manner,
    /// How people are rung; null when this instance rings nobody.
    pub rings: Option<rings::Manner>,
    /// Threads that answer requests.
    pub workers: usize,
}

impl From<&ServeConfig> for Settings {
    fn from(config: &ServeConfig) -> Self {
        Self {
            pool_size: usize::try_from(config.database.pool_size).unwrap_or(usize::MAX),
            access_lifetime: chrono::Duration::minutes(config.access_minutes.into()),
            refresh_lifetime: chrono::Duration::days(config.refresh_days.into()),
            sign_up_open: config.signup == SignUp::Open,
            origins: config.cors_origins().clone(),
            body_limit_bytes: config.body_limit_bytes(),
            files_url: config.database.files_url(),
            files_limits: FilesLimits::of_megabytes(config.file_limit_mb, config.files_limit_mb),
            work: WorkLimits::computing(),
            hashing: WorkLimits::hashing(),
            request_limit: Duration::from_secs(config.request_seconds.into()),
            free_tries: FreeTries {
                on_account: i32::try_from(config.tries_on_account).unwrap_or(i32::MAX),
                on_account_from_everywhere: i32::try_from(config.tries_on_account_from_everywhere)
                    .unwrap_or(i32::MAX),
                from_address: i32::try_from(config.tries_from_address).unwrap_or(i32::MAX),
            },
            own_origin: config.own_origin(),
            proxies: config.proxies.into(),
            https: config.is_https(),
            clock: Clock::system(),
            mailer: Mailer::new(
                config.mail.clone(),
                config.mail_from.clone(),
                config.database.data.join("mail"),
            ),
            key_days: config.key_days.into(),
            webhooks: webhooks::Manner {
                private_networks: config.webhooks_private.is_on(),
                failing: DAY * config.webhooks_failing_days,
                ..webhooks::Manner::default()
            },
            rings: config.rings.is_on().then(rings::Manner::default),
            workers: std::thread::available_parallelism().map_or(2, usize::from),
        }
    }
}

/// Serves until told to stop, then ends what is in flight and the private Postgres.
///
/// # Errors
/// When the service cannot start.
pub async fn serve(config: &ServeConfig) -> Result<(), ServerError> {
    log_to_stderr(&config.database.log, config.database.log_format)?;
    tell_panics_by_place();
    // Before Postgres starts: a signal meanwhile must not leave it behind.
    let stop = stop_signal()?;
    let listener = TcpListener::bind(config.listen).map_err(|error| {
        io::Error::new(error.kind(), format!("cannot listen on {}: {error}", config.listen))
    })?;
    let mut database = Database::open(&config.database).await?;
    let result = serve_on(config, &mut database, listener, stop).await;
    let closed = database.close().await;
    result.and(closed)
}

async fn serve_on(
    config: &ServeConfig,
    database: &mut Database,
    listener: TcpListener,
    stop: impl Future<Output = ()>,
) -> Result<(), ServerError> {
    let vault = Arc::new(Vault::open_or_make(&config.database.secret_file())?);
    let direct = config.database.direct_url();
    if let Some(direct) = direct {
        log_in_as_service([Some(database.service_url()), Some(direct), config.read_url()])?;
    }
    database.prepare().await?;
    if database.is_one_role() {
        tracing::warn!(
            "DATABASE_URL logs in as the owner of the database, and the service steps down to its own \
             role by SET ROLE: give it that role's address, and the owner's in DENWRIGHT_MIGRATE_URL"
        );
    }
    let settings = Settings::from(config);
    let (url, size) = (database.service_url(), settings.pool_size);
    let db = match direct {
        Some(_) => Db::by_pooler(url, size, settings.workers)?,
        None => Db::for_workers(url, size, settings.workers)?,
    };
    let db = match config.read_url() {
        Some(replica) => db.reading_from(replica, size)?,
        None => db,
    };
    let db = db.sealing_with(vault);
    upkeep::seal_secrets(&db).await?;
    if config.demo.is_on() {
        demo::load(&Db::for_upkeep(database.owner_url()?, 1)?, chrono::Utc::now()).await?;
    }
    let (server, streams) = start(listener, direct.unwrap_or(url), db, &settings).await?;
    let handle = server.handle();
    let serving = tokio::spawn(server);
    announce(config);
    tokio::select! {
        () = stop => {}
        () = database.supervise() => {}
    }
    tracing::info!("stopping");
    drop(streams);
    handle.stop(true).await;
    serving.await.map_err(io::Error::other)??;
    Ok(())
}

/// Refuses addresses that do not log in as the service's own role.
fn log_in_as_service<'a>(
    urls: impl IntoIterator<Item = Option<&'a str>>,
) -> Result<(), ServerError> {
    for url in urls.into_iter().flatten() {
        if !address::is_of_service(url).map_err(StoreError::Unavailable)? {
            return Err(ServerError::PooledOwner);
        }
    }
    Ok(())
}

/// Tells people where to go.
fn announce(config: &ServeConfig) {
    let url = config.public_url();
    println!("denwright serves at {url}");
    println!("documentation      {url}/docs/");
    if config.demo.is_on() {
        println!("demo logins        (password: {})", demo::PASSWORD);
        for (email, role) in demo::LOGINS {
            println!("                   {email}  {role}");
        }
    }
}

/// Completes at the first SIGTERM or SIGINT.
fn stop_signal() -> io::Result<impl Future<Output = ()>> {
    use tokio::signal::unix::{SignalKind, signal};
    let mut terminate = signal(SignalKind::terminate())?;
    let mut interrupt = signal(SignalKind::interrupt())?;
    Ok(async move {
        tokio::select! {
            _ = terminate.recv() => {}
            _ = interrupt.recv() => {}
        }
    })
}

/// Holds the streams of changes open, which would never end by themselves: dropped, it ends them.
pub struct OpenStreams(#[expect(dead_code, reason = "held for its end")] watch::Sender<()>);

/// A service on a migrated database, answering on `listener` once it is polled. At `database_url` it listens for
/// changes, so that is no pooler's.
///
/// # Errors
/// When the database is away or the listener is not good.
pub async fn start(
    listener: TcpListener,
    database_url: &str,
    db: Db,
    settings: &Settings,
) -> Result<(Server, OpenStreams), ServerError> {
    let (streams, ends) = watch::channel(());
    let no_ones_hash = credentials::hash_password(&credentials::new_secret(""))?;
    let app = web::Data::new(App {
        studbooks: Arc::new(Studbooks::new(db.clone())),
        board: BoardMemory::default(),
        keys: Keyring::open(db.clone(), settings.access_lifetime).await?,
        clock: settings.clock.clone(),
        mailer: settings.mailer.clone(),
        // What rings sends their mails as well.
        mails_people: settings.mailer.reaches_people() && settings.rings.is_some(),
        own_origin: settings.own_origin.clone(),
        proxies: settings.proxies,
        free_tries: settings.free_tries,
        db,
        refresh_lifetime: settings.refresh_lifetime,
        sign_up_open: settings.sign_up_open,
        no_ones_hash,
        wakes: Wakes::listen(database_url, StreamLimits::default()),
        ends,
        body_limit: settings.body_limit_bytes,
        large_bodies: LargeBodies::new(settings.body_limit_bytes),
        reading: WorkRoom::new(WorkLimits::reading()),
        hashing: WorkRoom::new(settings.hashing),
        drawing: WorkRoom::new(WorkLimits::drawing()),
        files: Blobs::open(&settings.files_url)?,
        files_limits: settings.files_limits,
        room: WorkRoom::new(settings.work),
        webhooks: settings.webhooks.clone(),
    });
    background::begin(&app, settings);
    let known = Arc::new(KnownPaths::of(openapi::PUBLISHED)?);
    let settings = settings.clone();
    let workers = settings.workers;
    let (limit, https) = (settings.request_limit, settings.https);
    let server = HttpServer::new(move || {
        app.db.welcome_worker();
        let known = Arc::clone(&known);
        let around = Arc::clone(&known);
        WebApp::new()
            .wrap(from_fn(conditional::tagged))
            .wrap(from_fn(|request, next| endings::told(request, next, ENDINGS)))
            .wrap(Compress::default())
            .wrap(cors(&settings.origins))
            .wrap(from_fn(move |request, next| edge::in_time(request, next, limit)))
            .wrap(from_fn(language::spoken_to))
            .wrap(from_fn(move |request, next| {
                edge::around(request, next, Arc::clone(&around), https)
            }))
            .wrap(TracingLogger::<edge::QuietSpan>::new())
            .app_data(app.clone())
            .app_data(
                web::PathConfig::default()
                    .error_handler(|_, request| Problem::unreadable_path(request).into()),
            )
            .configure(|config| Operations::answer(config, api::configure))
            .configure(pages::configure)
            .configure(letters::configure)
            .service(web::redirect("/docs", "/docs/"))
            .service(docs::reference)
            .service(docs::first_litter)
            .service(SwaggerUi::new("/docs/{_:.*}").config(DocsConfig::from("/openapi.json")))
            .default_service(web::to(known.explanation()))
    });
    let server = server
        .workers(workers)
        .max_connections(MOST_CONNECTIONS)
        // Whoever has closed their side waits for nothing: a stream of theirs and work for them end.
        .h1_allow_half_closed(false)
        .on_connect(|connection, _| let_go_of_who_does_not_read(connection))
        .keep_alive(Duration::from_secs(75))
        .client_request_timeout(Duration::from_secs(15))
        .shutdown_timeout(SHUTDOWN_SECONDS)
        .disable_signals()
        .listen(listener)?
        .run();
    Ok((server, OpenStreams(streams)))
}

/// Has the system end a connection whose other side takes nothing of what is sent to it.
fn let_go_of_who_does_not_read(connection: &dyn Any) {
    #[cfg(target_os = "linux")]
    if let Some(connection) = connection.downcast_ref::<TcpStream>() {
        let limit = u32::try_from(UNREAD_LIMIT.as_millis()).unwrap_or(u32::MAX);
        if let Err(error) = rustix::net::sockopt::set_tcp_user_timeout(connection, limit) {
            tracing::debug!(%error, "a connection is without this limit");
        }
    }
}

fn cors(origins: &Origins) -> Cors {
    let cors = Cors::default()
        .allowed_methods([
            Method::GET,
            Method::HEAD,
            Method::POST,
            Method::PATCH,
            Method::PUT,
            Method::DELETE,
        ])
        .allow_any_header()
        .expose_headers([
            header::ETAG,
            header::LINK,
            header::LOCATION,
            header::RETRY_AFTER,
            edge::REQUEST_ID,
        ])
        .expose_headers(uploads::EXPOSED)
        .max_age(3600);
    match origins {
        Origins::All => cors.allow_any_origin(),
        Origins::These(origins) => {
            origins.iter().fold(cors, |cors, origin| cors.allowed_origin(origin))
        }
    }
}
