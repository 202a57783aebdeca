//! Wiring: from settings to a running service, and its end.

use crate::{
    api::{
        self, App, keyring::Keyring, limits::FreeTries, openapi, operations::Operations,
        problem::Problem,
    },
    background,
    backup::BackupError,
    cluster::{Cluster, ClusterError},
    config::{DatabaseConfig, LogFormat, Origins, ServeConfig, SignUp},
    credentials::{self, CredentialError},
    demo, edge,
    known_paths::KnownPaths,
    mail::Mailer,
    store::{Db, StoreError, migrate, studbooks::Studbooks, wakes},
    webhooks,
};
use actix_cors::Cors;
use actix_web::{
    App as WebApp, HttpServer,
    dev::Server,
    http::{Method, header},
    middleware::{Compress, from_fn},
    web,
};
use std::{any::Any, io, net::TcpListener, sync::Arc, time::Duration};
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
    /// A credential could not be made.
    #[error("credentials: {0}")]
    Credentials(#[from] CredentialError),
    /// The network or a file.
    #[error("{0}")]
    Io(#[from] io::Error),
    /// The log filter.
    #[error(
        "DENWRIGHT_LOG: {0}; write a level such as info, or parts such as info,denwright=debug"
    )]
    Log(String),
}

/// A database that is there for as long as this value is.
pub struct Database {
    url: String,
    cluster: Option<Cluster>,
}

/// How often the private Postgres is looked after.
const SUPERVISION: Duration = Duration::from_secs(1);

/// How long requests in flight have to end when the service stops, in seconds.
const SHUTDOWN_SECONDS: u64 = 20;

/// How long a client may leave what is sent to it unread; a stream of changes has no other limit.
const UNREAD_LIMIT: Duration = Duration::from_secs(60);

impl Database {
    /// The database that the settings name: a server of one's own, or the private one, started.
    ///
    /// # Errors
    /// When the private one does not start.
    pub async fn open(config: &DatabaseConfig) -> Result<Self, ServerError> {
        if let Some(url) = config.database_url() {
            return Ok(Self { url: url.to_owned(), cluster: None });
        }
        let data = config.data.clone();
        let cluster = blocking(move || Cluster::start(&data, true)).await??;
        Ok(Self { url: cluster.database_url(), cluster: Some(cluster) })
    }

    /// The same, beside a service that uses the private one already.
    ///
    /// # Errors
    /// When the private one neither runs nor starts.
    pub async fn join(config: &DatabaseConfig) -> Result<Self, ServerError> {
        match Cluster::address_of_running(&config.data) {
            Some(url) if config.database_url().is_none() => Ok(Self { url, cluster: None }),
            _ => Self::open(config).await,
        }
    }

    /// Its address.
    pub fn url(&self) -> &str {
        &self.url
    }

    /// Stops the private Postgres, when it is that.
    ///
    /// # Errors
    /// When it does not end.
    pub async fn close(self) -> Result<(), ServerError> {
        match self.cluster {
            Some(cluster) => Ok(blocking(move || cluster.stop()).await??),
            None => Ok(()),
        }
    }
}

async fn blocking<T: Send + 'static>(work: impl FnOnce() -> T + Send + 'static) -> io::Result<T> {
    tokio::task::spawn_blocking(work).await.map_err(io::Error::other)
}

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
    /// Largest body in bytes.
    pub body_limit_bytes: usize,
    /// How long a request may take.
    pub request_limit: Duration,
    /// How often somebody may try to log in without a wait.
    pub free_tries: FreeTries,
    /// Proxies of one's own in front.
    pub proxies: usize,
    /// Whether others reach the service by https.
    pub https: bool,
    /// Sends mail.
    pub mailer: Mailer,
    /// Days after which a new key signs.
    pub key_days: i64,
    /// How webhooks are delivered.
    pub webhooks: webhooks::Manner,
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
            request_limit: Duration::from_secs(config.request_seconds.into()),
            free_tries: FreeTries {
                on_account: i32::try_from(config.tries_on_account).unwrap_or(i32::MAX),
                from_address: i32::try_from(config.tries_from_address).unwrap_or(i32::MAX),
            },
            proxies: config.proxies.into(),
            https: config.is_https(),
            mailer: Mailer::new(
                config.mail.clone(),
                config.mail_from.clone(),
                config.database.data.join("mail"),
            ),
            key_days: config.key_days.into(),
            webhooks: webhooks::Manner {
                private_networks: config.webhooks_private.is_on(),
                ..webhooks::Manner::default()
            },
            workers: std::thread::available_parallelism().map_or(2, usize::from),
        }
    }
}

/// Begins to log, as the filter says.
///
/// # Errors
/// When the filter cannot be read.
pub fn log_to_stderr(filter: &str, format: LogFormat) -> Result<(), ServerError> {
    use tracing_subscriber::EnvFilter;
    let filter = EnvFilter::try_new(filter).map_err(|error| ServerError::Log(error.to_string()))?;
    // The driver tells each statement with its values: people's addresses, and keys.
    let quiet = "tokio_postgres=info".parse().map_err(|_| ServerError::Log(String::new()))?;
    let log = tracing_subscriber::fmt()
        .with_env_filter(filter.add_directive(quiet))
        .with_writer(io::stderr)
        // A line that cannot be written, as on a full disk, must not end the request it tells of.
        .log_internal_errors(false);
    match format {
        LogFormat::Text => log.init(),
        LogFormat::Json => log.json().flatten_event(true).with_span_list(false).init(),
    }
    Ok(())
}

/// Serves until told to stop, then ends what is in flight and the private Postgres.
///
/// # Errors
/// When the service cannot start.
pub async fn serve(config: &ServeConfig) -> Result<(), ServerError> {
    log_to_stderr(&config.database.log, config.database.log_format)?;
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
    migrate::run(database.url(), migrate::Direction::Up).await?;
    let settings = Settings::from(config);
    let db = Db::for_workers(database.url(), settings.pool_size, settings.workers)?;
    if config.demo.is_on() {
        demo::load(&db, chrono::Utc::now()).await?;
    }
    let (server, streams) = start(listener, database.url(), db, &settings).await?;
    let handle = server.handle();
    let serving = tokio::spawn(server);
    announce(config);
    tokio::select! {
        () = stop => {}
        () = supervise(database) => {}
    }
    tracing::info!("stopping");
    drop(streams);
    handle.stop(true).await;
    serving.await.map_err(io::Error::other)??;
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

/// Starts the private Postgres again whenever it has died by itself.
async fn supervise(database: &mut Database) {
    loop {
        tokio::time::sleep(SUPERVISION).await;
        let Some(mut cluster) = database.cluster.take() else {
            std::future::pending::<()>().await;
            return;
        };
        let looked = blocking(move || {
            let result = cluster.ensure_running();
            (cluster, result)
        });
        match looked.await {
            Ok((cluster, result)) => {
                database.cluster = Some(cluster);
                if let Err(error) = result {
                    tracing::error!(%error, "Postgres does not start again");
                }
            }
            Err(error) => {
                tracing::error!(%error, "lost sight of Postgres");
                return;
            }
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

/// A service on a migrated database, answering on `listener` once it is polled.
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
        studbooks: Studbooks::new(db.clone()),
        keys: Keyring::open(db.clone(), settings.access_lifetime).await?,
        mailer: settings.mailer.clone(),
        proxies: settings.proxies,
        free_tries: settings.free_tries,
        db,
        refresh_lifetime: settings.refresh_lifetime,
        sign_up_open: settings.sign_up_open,
        no_ones_hash,
        wakes: wakes::listen(database_url),
        ends,
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
        WebApp::new()
            .wrap(Compress::default())
            .wrap(cors(&settings.origins))
            .wrap(from_fn(move |request, next| edge::in_time(request, next, limit)))
            .wrap(from_fn(move |request, next| edge::around(request, next, https)))
            .wrap(TracingLogger::<edge::QuietSpan>::new())
            .app_data(app.clone())
            .app_data(web::PayloadConfig::new(settings.body_limit_bytes))
            .app_data(web::PathConfig::default().error_handler(|_, _| Problem::not_found().into()))
            .configure(|config| known.refuse_wrong_methods(config))
            .configure(|config| Operations::answer(config, api::configure))
            .service(web::redirect("/docs", "/docs/"))
            .service(SwaggerUi::new("/docs/{_:.*}").config(DocsConfig::from("/openapi.json")))
            .default_service(web::to(known.explanation()))
    });
    let server = server
        .workers(workers)
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
        .allowed_methods([Method::GET, Method::POST, Method::PATCH, Method::PUT, Method::DELETE])
        .allow_any_header()
        .expose_headers([
            header::ETAG,
            header::LINK,
            header::LOCATION,
            header::RETRY_AFTER,
            edge::REQUEST_ID,
        ])
        .max_age(3600);
    match origins {
        Origins::All => cors.allow_any_origin(),
        Origins::These(origins) => {
            origins.iter().fold(cors, |cors, origin| cors.allowed_origin(origin))
        }
    }
}
