//! Connections to the database: a pool for each worker, and one for everybody else.
//!
//! A connection is moved on by the thread that made it. If workers shared them, each statement and each
//! answer to it would wake another thread first; with their own, a worker waits for the database alone.

use super::{
    StoreError, StoreResult, address,
    shared_lines::{SharedLine, SharedLines},
};
use deadpool::{
    Status,
    managed::{HookError, QueueMode},
};
use diesel_async::{
    AsyncPgConnection, SimpleAsyncConnection as _,
    pooled_connection::{
        AsyncDieselConnectionManager, ManagerConfig, RecyclingMethod,
        deadpool::{Hook, Object, Pool},
    },
};
use std::{
    cell::Cell,
    sync::atomic::{AtomicUsize, Ordering},
    time::Duration,
};

/// How long a request waits for a free connection, and for a new one to be made.
const POOL_TIMEOUT: Duration = Duration::from_secs(5);
/// A connection that lay idle for longer shows that it lives before it is used.
const IDLE_LIMIT: Duration = Duration::from_millis(500);
/// How long it has for that.
const SIGN_OF_LIFE_TIMEOUT: Duration = Duration::from_secs(2);
/// The longest way to a connection: of several that hang, each would take its time.
pub(crate) const CHECKOUT_TIMEOUT: Duration = Duration::from_secs(8);

/// The way to the database and the first statement there, together no longer than the way alone may
/// take: a connection that was used just now is not asked whether it lives.
///
/// # Errors
/// Those of `work`, and [`StoreError::Unavailable`] when the time is over.
pub(crate) async fn soon<T>(work: impl Future<Output = StoreResult<T>>) -> StoreResult<T> {
    match tokio::time::timeout(CHECKOUT_TIMEOUT, work).await {
        Ok(done) => done,
        Err(_) => Err(StoreError::Unavailable("the database does not answer".to_owned())),
    }
}
/// Connections for what is done beside answering: webhooks, rings, keys, upkeep.
const COMMON: usize = 4;

/// As whom connections work.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Works {
    /// As the service's role, which cannot bypass the walls; whoever logs in as that is it already.
    AsService,
    /// As the service's role, which logs in by a pooler that gives each transaction another connection.
    ByPooler,
    /// As whoever logs in: the owner of the database, at upkeep.
    AsItself,
}

/// The role that cannot bypass the walls.
const AS_SERVICE: &str = "SET ROLE denwright_service; ";

/// The time zone of each connection, which poolers keep for their clients as well.
const TIME_ZONE: &str = "SET TIME ZONE 'UTC'";

/// What each connection begins with beside it: limits.
///
/// A statement that waits for another transaction gives up, so that the writers of one kennel who
/// wait for a long import do not take every connection from all others. A transaction whose client
/// fell silent, as on a machine that froze, lets go of what it holds.
///
/// A statement is planned once a connection, whatever its values: they are ids and short lists, which are found by the
/// same indexes, and behind the walls a plan costs five to ten times what it takes to run. Postgres by itself plans at
/// each run what seems cheaper for a list of one id than for the ten that it takes a list to have.
const LIMITS: &str = "; SET lock_timeout = '10s'; SET idle_in_transaction_session_timeout = '5min'; \
                      SET plan_cache_mode = 'force_generic_plan'";

/// The same for one transaction alone, where the connection is another one each time.
const LIMITS_OF_TRANSACTION: &str = "; SET LOCAL lock_timeout = '10s'; SET LOCAL idle_in_transaction_session_timeout = '5min'; \
     SET LOCAL plan_cache_mode = 'force_generic_plan'";

impl Works {
    fn set_up(self) -> String {
        match self {
            Self::AsService => format!("{AS_SERVICE}{TIME_ZONE}{LIMITS}"),
            Self::ByPooler => TIME_ZONE.to_owned(),
            Self::AsItself => format!("{TIME_ZONE}{LIMITS}"),
        }
    }
}

thread_local! {
    /// The number of the worker that this thread is.
    static WORKER: Cell<Option<usize>> = const { Cell::new(None) };
}

/// All connections of an instance.
pub(crate) struct Pools {
    common: Connections,
    own: Vec<Connections>,
    workers_come: AtomicUsize,
    works: Works,
}

/// A pool, and what of it is shared just now.
struct Connections {
    pool: Pool<AsyncPgConnection>,
    shared: SharedLines,
}

impl Pools {
    /// At most `size` connections, shared out among so many workers; when they do not suffice for that,
    /// all share one pool.
    ///
    /// # Errors
    /// When a pool cannot be made.
    pub fn new(url: &str, size: usize, workers: usize, works: Works) -> StoreResult<Self> {
        let each = size.saturating_sub(COMMON).checked_div(workers).unwrap_or(0);
        let workers = if each == 0 { 0 } else { workers };
        let connections = |size| {
            StoreResult::Ok(Connections {
                pool: pool(url, size, works)?,
                shared: SharedLines::default(),
            })
        };
        let own = (0..workers).map(|_| connections(each)).collect::<StoreResult<_>>()?;
        let common = connections(size - each * workers)?;
        Ok(Self { common, own, workers_come: AtomicUsize::new(0), works })
    }

    /// As whom its connections work.
    pub(crate) fn works(&self) -> Works {
        self.works
    }

    /// What a transaction begins with where its connection does not have it already.
    pub(crate) fn limits_of_transaction(&self) -> &'static str {
        if self.works == Works::ByPooler { LIMITS_OF_TRANSACTION } else { "" }
    }

    /// Gives this thread, which is a worker, a pool of its own.
    pub fn welcome_worker(&self) {
        if WORKER.get().is_none() {
            WORKER.set(Some(self.workers_come.fetch_add(1, Ordering::Relaxed)));
        }
    }

    /// A connection, soon or not at all.
    ///
    /// # Errors
    /// [`StoreError::Busy`] when none becomes free, [`StoreError::Unavailable`] when none can be made.
    pub(crate) async fn connection(&self) -> StoreResult<Object<AsyncPgConnection>> {
        let pool = &self.of_this_thread().pool;
        soon(async { Ok(pool.get().await?) }).await
    }

    /// A connection for one statement that begins and ends by itself, which others of its kind may be using. While
    /// somebody waits for a connection alone, it waits as well, so that those in use are given back.
    ///
    /// # Errors
    /// As [`Pools::connection`].
    pub(crate) async fn for_question(&self) -> StoreResult<SharedLine> {
        let Connections { pool, shared } = self.of_this_thread();
        let Status { available, size, max_size, waiting } = pool.status();
        let some_are_free = available > 0 || size < max_size;
        // Behind a pooler a question that is sent early would keep the server of the one before.
        let may_share = waiting == 0 && self.works != Works::ByPooler;
        if may_share && let Some(line) = shared.join(some_are_free) {
            return Ok(line);
        }
        Ok(shared.open(self.connection().await?))
    }

    fn of_this_thread(&self) -> &Connections {
        let own = WORKER.get().and_then(|number| self.own.get(number));
        own.unwrap_or(&self.common)
    }

    /// Connections in use and in all.
    pub(crate) fn in_use(&self) -> (usize, usize) {
        let all =
            || self.own.iter().chain([&self.common]).map(|connections| connections.pool.status());
        (
            all().map(|status| status.size.saturating_sub(status.available)).sum(),
            all().map(|status| status.max_size).sum(),
        )
    }
}

fn pool(url: &str, size: usize, works: Works) -> StoreResult<Pool<AsyncPgConnection>> {
    let mut config = ManagerConfig::default();
    // Asking before each use would double the round trips of a short request.
    config.recycling_method = RecyclingMethod::Fast;
    let set_up = works.set_up();
    config.custom_setup = Box::new(move |url| {
        let set_up = set_up.clone();
        Box::pin(async move {
            let mut conn = address::establish(url).await?;
            conn.batch_execute(&set_up)
                .await
                .map_err(diesel::ConnectionError::CouldntSetupConfiguration)?;
            Ok(conn)
        })
    });
    Pool::builder(AsyncDieselConnectionManager::new_with_config(url, config))
        .max_size(size)
        // The one that was used last has its plans, and what Postgres knows of tables: others stay idle until they are
        // needed.
        .queue_mode(QueueMode::Lifo)
        .wait_timeout(Some(POOL_TIMEOUT))
        .create_timeout(Some(POOL_TIMEOUT))
        .recycle_timeout(Some(SIGN_OF_LIFE_TIMEOUT))
        .pre_recycle(Hook::async_fn(|conn: &mut AsyncPgConnection, metrics| {
            let idle = metrics.last_used();
            Box::pin(async move {
                if idle < IDLE_LIMIT {
                    return Ok(());
                }
                let sign = tokio::time::timeout(SIGN_OF_LIFE_TIMEOUT, conn.batch_execute("")).await;
                match sign {
                    Ok(Ok(())) => Ok(()),
                    Ok(Err(error)) => Err(HookError::message(error.to_string())),
                    Err(_) => Err(HookError::message("no sign of life")),
                }
            })
        }))
        .runtime(deadpool::Runtime::Tokio1)
        .build()
        .map_err(|error| StoreError::Internal(error.to_string()))
}
