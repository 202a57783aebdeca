//! A hot standby that answers what takes long and changes nothing: reports, prints, archives, booklets.
//!
//! It follows the server by its log, a little behind. So who asks is proven by the server first, as ever: a session
//! that has ended or a link that was withdrawn is told there. What the server then says of the kennel (the number of
//! its newest change) the standby must have reached, or the server answers by itself: who has just written reads it.
//! A promise that is over is ended by that proof, which is a change as well. The standby proves the login once more
//! by the rows that it has, in a transaction that writes nothing.

use super::{
    Db, StoreError, StoreResult, Tx,
    line::Line,
    pools::{Pools, Works},
    scope::Scope,
    statement::statement,
    weighings::WeighingMemory,
};
use diesel::{
    QueryableByName,
    sql_types::{BigInt, Bool, Double, Nullable, Text, Uuid as SqlUuid},
};
use diesel_async::RunQueryDsl as _;
use std::{
    sync::{
        Mutex, PoisonError,
        atomic::{AtomicBool, AtomicU64, Ordering},
    },
    time::Duration,
};
use tokio::time::timeout;

/// How long the standby has until it is known to be as new as the question wants; then the server is asked.
const PATIENCE: Duration = Duration::from_secs(2);
/// How often its lag is looked at, and whether one that was away is there again.
const LOOK_EVERY: Duration = Duration::from_secs(2);
/// What a question begins with on it.
const BEGIN: &str = "BEGIN ISOLATION LEVEL REPEATABLE READ, READ ONLY";

/// A hot standby and what is known of it.
pub(crate) struct Replica {
    pools: Pools,
    /// Of its own: it may remember less than the server's.
    weighings: WeighingMemory,
    is_there: AtomicBool,
    lag: Mutex<Option<ReplicaLag>>,
    answered: AtomicU64,
    behind: AtomicU64,
    failed: AtomicU64,
}

/// How far the standby is behind.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ReplicaLag {
    /// Bytes of the server's log that it has not taken over.
    pub bytes: u64,
    /// Seconds since the last transaction that it took over was kept; 0 when nothing is missing. Where the server was
    /// idle before, it is less in truth. Null when it has taken over none since its start.
    pub seconds: Option<f64>,
}

/// Figures of the standby.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ReplicaFigures {
    /// Whether it answers.
    pub is_there: bool,
    /// How far it is behind; null while it is away.
    pub lag: Option<ReplicaLag>,
    /// Questions that it answered.
    pub answered: u64,
    /// Questions that the server answered, since the standby had not reached the kennel's newest change.
    pub behind: u64,
    /// Questions that the server answered, since the standby was away, failed, or is none.
    pub failed: u64,
}

/// Where a kennel stands, as a transaction sees it.
#[derive(QueryableByName)]
struct KennelHead {
    #[diesel(sql_type = Bool)]
    is_standby: bool,
    #[diesel(sql_type = BigInt)]
    newest_change: i64,
    #[diesel(sql_type = BigInt)]
    renamings: i64,
}

impl KennelHead {
    async fn of(tx: &mut Tx) -> StoreResult<Self> {
        let query = statement(
            "SELECT pg_is_in_recovery() AS is_standby, coalesce(max(sequence), 0) AS newest_change, \
             coalesce(max(renamings), 0) AS renamings FROM change_heads WHERE kennel_id = $1",
        );
        let query = query.bind::<SqlUuid, _>(tx.scope.kennel_id());
        Ok(query.get_result(&mut tx.conn).await?)
    }

    /// Whether all is there that `server` has.
    fn has_reached(&self, server: &Self) -> bool {
        self.newest_change >= server.newest_change && self.renamings >= server.renamings
    }
}

/// Why the standby does not answer a question.
enum Passed {
    /// It is behind.
    Behind,
    /// It is away, or no standby.
    Failed(StoreError),
}

impl Replica {
    pub(crate) fn new(url: &str, size: usize, works: Works) -> StoreResult<Self> {
        Ok(Self {
            pools: Pools::new(url, size, 0, works)?,
            weighings: WeighingMemory::default(),
            is_there: AtomicBool::new(true),
            lag: Mutex::default(),
            answered: AtomicU64::new(0),
            behind: AtomicU64::new(0),
            failed: AtomicU64::new(0),
        })
    }

    fn is_there(&self) -> bool {
        // By its name: the query builder has a `load` as well.
        AtomicBool::load(&self.is_there, Ordering::Relaxed)
    }

    fn figures(&self) -> ReplicaFigures {
        let count = |of: &AtomicU64| AtomicU64::load(of, Ordering::Relaxed);
        ReplicaFigures {
            is_there: self.is_there(),
            lag: *self.lag.lock().unwrap_or_else(PoisonError::into_inner),
            answered: count(&self.answered),
            behind: count(&self.behind),
            failed: count(&self.failed),
        }
    }

    /// Remembers whether it is there, and says in the log when that changes.
    fn found(&self, lag: StoreResult<ReplicaLag>) {
        let (is_there, lag) = match lag {
            Ok(lag) => (true, Some(lag)),
            Err(error) => {
                if self.is_there() {
                    tracing::warn!(%error, "the replica is away; the server answers for it meanwhile");
                }
                (false, None)
            }
        };
        if is_there && !self.is_there() {
            tracing::info!("the replica is there again");
        }
        self.is_there.store(is_there, Ordering::Relaxed);
        *self.lag.lock().unwrap_or_else(PoisonError::into_inner) = lag;
    }

    /// A transaction on it within the scope, when it has reached all that the server has of the kennel.
    async fn entered(&self, db: &Db, scope: &Scope, server: &KennelHead) -> Result<Tx, Passed> {
        let enter = async {
            let limits = self.pools.limits_of_transaction();
            let conn = self.pools.connection().await?;
            let line = Line::new(conn, format!("{BEGIN}{limits}; {}", scope.entry()));
            let mut tx = Tx { weighings: self.weighings.clone(), ..db.tx_on(line, scope) };
            let head = KennelHead::of(&mut tx).await;
            StoreResult::Ok((tx, head))
        };
        let none = || StoreError::Unavailable("the replica does not answer".to_owned());
        let entered = timeout(PATIENCE, enter).await.unwrap_or_else(|_| Err(none()));
        let (mut tx, head) = entered.map_err(Passed::Failed)?;
        let passed = match head {
            Ok(head) if !head.is_standby => {
                let why = "DENWRIGHT_READ_URL leads to a server that is no standby".to_owned();
                Passed::Failed(StoreError::Internal(why))
            }
            Ok(head) if head.has_reached(server) => return Ok(tx),
            // The session, the membership or the link has not come to it yet: the server knows better.
            Ok(_) | Err(StoreError::Login(_) | StoreError::NotFound) => Passed::Behind,
            Err(error) => Passed::Failed(error),
        };
        let _ = tx.ended(false).await;
        Err(passed)
    }

    /// What it answers, or null where the server is to be asked instead.
    async fn answer<T>(
        &self,
        db: &Db,
        scope: &Scope,
        work: &impl AsyncFn(&mut Tx) -> StoreResult<T>,
    ) -> StoreResult<Option<T>> {
        // By the server, also when the standby is away: what was over before is ended there.
        let server = db.within(scope, async |tx| KennelHead::of(tx).await).await?;
        let mut tx = match self.entered(db, scope, &server).await {
            Ok(tx) => tx,
            Err(Passed::Behind) => {
                self.behind.fetch_add(1, Ordering::Relaxed);
                return Ok(None);
            }
            Err(Passed::Failed(error)) => {
                self.failed.fetch_add(1, Ordering::Relaxed);
                self.found(Err(error));
                return Ok(None);
            }
        };
        // Boxed here and below: else its whole state would lie on the stack once for each way that it may go.
        let result = Box::pin(work(&mut tx)).await;
        let ended = tx.ended(result.is_ok()).await;
        match result {
            // What it held may have had to go, or it went away: another matter than what the question is about.
            Err(
                StoreError::Unavailable(_)
                | StoreError::Busy(_)
                | StoreError::Full(_)
                | StoreError::Internal(_),
            ) => {
                self.failed.fetch_add(1, Ordering::Relaxed);
                Ok(None)
            }
            result => {
                self.answered.fetch_add(1, Ordering::Relaxed);
                if let Err(lost) = ended {
                    tracing::debug!(%lost, "a transaction that only read did not end well");
                }
                result.map(Some)
            }
        }
    }

    async fn lag_behind(&self, server: &str) -> StoreResult<ReplicaLag> {
        #[derive(QueryableByName)]
        struct LagRow {
            #[diesel(sql_type = Bool)]
            is_standby: bool,
            #[diesel(sql_type = Nullable<Double>)]
            bytes: Option<f64>,
            #[diesel(sql_type = Nullable<Double>)]
            seconds: Option<f64>,
        }
        let query = statement(
            "SELECT pg_is_in_recovery() AS is_standby, \
             pg_wal_lsn_diff($1::text::pg_lsn, pg_last_wal_replay_lsn())::float8 AS bytes, \
             extract(epoch FROM now() - pg_last_xact_replay_timestamp())::float8 AS seconds",
        );
        let query = query.bind::<Text, _>(server);
        let row: LagRow = query.get_result(&mut *self.pools.connection().await?).await?;
        if !row.is_standby {
            let why = "DENWRIGHT_READ_URL leads to a server that is no standby".to_owned();
            return Err(StoreError::Internal(why));
        }
        let bytes = row.bytes.unwrap_or_default().max(0.0);
        let seconds = if bytes > 0.0 { row.seconds } else { Some(0.0) };
        Ok(ReplicaLag { bytes: bytes as u64, seconds: seconds.map(|span| span.max(0.0)) })
    }
}

impl Db {
    /// The same, with a hot standby at `url` for what [`Db::read_within`] reads, at most `size` connections to it.
    ///
    /// # Errors
    /// When no pool can be made.
    pub fn reading_from(self, url: &str, size: usize) -> StoreResult<Self> {
        let works = self.pools.works();
        let replica = Some(std::sync::Arc::new(Replica::new(url, size, works)?));
        Ok(Self { replica, ..self })
    }

    /// Reads in one transaction within `scope`, on the standby where there is one that has reached all that is
    /// known of the kennel, else on the server. Where the standby fails on the way, `work` is done once more.
    ///
    /// # Errors
    /// Those of `work`, and [`StoreError::Unavailable`] when the database is away.
    pub async fn read_within<T>(
        &self,
        scope: &Scope,
        work: impl AsyncFn(&mut Tx) -> StoreResult<T>,
    ) -> StoreResult<T> {
        match self.read_on_replica(scope, &work).await? {
            Some(answer) => Ok(answer),
            None => self.within(scope, async |tx| Box::pin(work(tx)).await).await,
        }
    }

    /// The same, where all statements see the kennel at one moment.
    ///
    /// # Errors
    /// As [`Db::read_within`].
    pub(crate) async fn read_at_one_moment<T>(
        &self,
        scope: &Scope,
        work: impl AsyncFn(&mut Tx) -> StoreResult<T>,
    ) -> StoreResult<T> {
        match self.read_on_replica(scope, &work).await? {
            Some(answer) => Ok(answer),
            None => self.at_one_moment(scope, async |tx| Box::pin(work(tx)).await).await,
        }
    }

    async fn read_on_replica<T>(
        &self,
        scope: &Scope,
        work: &impl AsyncFn(&mut Tx) -> StoreResult<T>,
    ) -> StoreResult<Option<T>> {
        let Some(replica) = &self.replica else { return Ok(None) };
        if !replica.is_there() {
            replica.failed.fetch_add(1, Ordering::Relaxed);
            return Ok(None);
        }
        Box::pin(replica.answer(self, scope, work)).await
    }

    /// Figures of the standby; null where none is set.
    pub fn replica_figures(&self) -> Option<ReplicaFigures> {
        self.replica.as_deref().map(Replica::figures)
    }

    /// Looks after the standby's lag, and whether it is there, for as long as the runtime; ends at once where none is
    /// set.
    pub async fn watch_replica(self) {
        let Some(replica) = &self.replica else { return };
        loop {
            // When the server itself is away, nothing is known of the lag, and the standby is not to blame.
            if let Ok(Ok(place)) = timeout(PATIENCE, self.place_in_log()).await {
                let away = || StoreError::Unavailable("the replica does not answer".to_owned());
                let lag = timeout(PATIENCE, replica.lag_behind(&place)).await;
                replica.found(lag.unwrap_or_else(|_| Err(away())));
            }
            tokio::time::sleep(LOOK_EVERY).await;
        }
    }

    /// How far the server has written its log.
    async fn place_in_log(&self) -> StoreResult<String> {
        #[derive(QueryableByName)]
        struct PlaceRow {
            #[diesel(sql_type = Text)]
            place: String,
        }
        let query = statement("SELECT pg_current_wal_lsn()::text AS place");
        let row: PlaceRow = query.get_result(&mut *self.connection().await?).await?;
        Ok(row.place)
    }
}
