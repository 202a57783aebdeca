//! Everything that is kept: SQL lives here and nowhere else.
//!
//! Rows of a kennel are reached through a [`Tx`] alone, which is begun with a [`scope::Scope`]:
//! it tells the database whose rows the transaction may see, so row-level security stands behind
//! every query. A use case that writes is one function in one transaction.

mod aside;
mod ask;
mod birth_weights;
mod columns;
mod constraint;
pub mod keep;
mod line;
mod litter_parents;
mod moments;
mod pools;
mod schema;
mod schema_alone;
mod search;
mod shared_lines;

pub mod accounts;
pub mod after_placement;
pub mod alarms;
pub mod archive;
pub mod attachments;
pub mod attempts;
pub mod batches;
pub mod births;
pub mod booklets;
pub mod buyer_privacy;
pub mod buyer_reports;
pub mod buyers;
pub mod calendar_links;
pub mod care;
pub mod changes;
pub mod co_ownership;
pub mod dogs;
pub mod files;
pub mod genotypes;
pub mod health;
pub mod heats;
pub mod idempotency;
pub mod imports;
pub mod kennels;
pub mod leaving;
pub mod ledger;
pub mod litters;
pub mod mating_plans;
pub mod matings;
pub mod migrate;
mod migrations;
pub mod own_lines;
pub mod pedigrees;
pub mod people;
pub mod placements;
pub mod planning;
pub mod proposals;
mod pups;
pub mod readiness_rules;
mod reads;
pub mod recall;
pub mod register;
mod replica;
pub mod reports;
pub mod restore;
pub mod rings;
pub mod scope;
pub mod screening;
pub mod seen_traits;
pub mod sessions;
pub mod streams;
pub mod studbooks;
pub mod tasks;
pub mod upkeep;
pub mod uploads;
pub mod webhooks;
mod weighings;
mod weight_batches;
pub mod whelping;

pub use aside::aside;
use catalogue::Text;
pub use replica::{ReplicaFigures, ReplicaLag};

use deadpool::managed::TimeoutType;
use diesel_async::{
    AsyncPgConnection, RunQueryDsl, SimpleAsyncConnection,
    pooled_connection::deadpool::{Object, PoolError},
};
use domain::{
    admission::Refusal,
    fault::{Fault, unquoted},
    growth::GrowthMemory,
    moment::Moment,
};
use line::Line;
use pools::{Pools, Works, soon};
use postgres::{
    address,
    statement::{self, statement},
    turns::{PATIENCE, WriteTurns},
};
use reads::{ReadMemory, Recollection};
use replica::Replica;
use scope::Scope;
use security::vault::{Vault, VaultError};
use std::{fmt, sync::Arc};
use streams::Listeners;
use tokio::sync::OnceCell;
use weighings::WeighingMemory;

/// Why the store did not do what was asked. What it says of itself may go to the log, so what a client
/// sent is not in it.
#[derive(thiserror::Error)]
pub enum StoreError {
    /// No such row, or none that this person may see.
    #[error("not found")]
    NotFound,
    /// The row has been changed since the version given.
    #[error("changed in the meantime")]
    Stale,
    /// The person's role does not allow it; the text says what would.
    #[error("forbidden: {}", entry(.0))]
    Forbidden(Text),
    /// It is taken already, or in use; the text says by what.
    #[error("conflict")]
    Conflict(Text),
    /// The values go against the trade's logic or against other rows.
    #[error("refused: {} faults", .0.len())]
    Refused(Vec<Fault>),
    /// The login is not, or no longer, good.
    #[error("not logged in: {}", entry(.0))]
    Login(Text),
    /// The database cannot be reached now.
    #[error("database unavailable: {}", unquoted(.0))]
    Unavailable(String),
    /// Others hold what is needed, for longer than a request waits.
    #[error("database busy: {}", unquoted(.0))]
    Busy(String),
    /// The database has no room left to write.
    #[error("database full: {}", unquoted(.0))]
    Full(String),
    /// A fault of ours.
    #[error("internal: {}", unquoted(.0))]
    Internal(String),
}

/// What the log calls a text: its entry, since its words may hold what a client sent.
fn entry(text: &Text) -> &'static str {
    text.id().unwrap_or("in other words")
}

/// What a store function gives.
pub type StoreResult<T> = Result<T, StoreError>;

/// Refuses what is to be asked about before it counts.
fn asked(faults: Vec<Fault>) -> StoreResult<()> {
    if faults.is_empty() { Ok(()) } else { Err(StoreError::Refused(faults)) }
}

impl fmt::Debug for StoreError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{self}")
    }
}

impl StoreError {
    /// One fault at `pointer`.
    pub fn refused(pointer: &str, detail: impl Into<Text>) -> Self {
        Self::Refused(vec![Fault::new(pointer, detail)])
    }
}

impl From<Refusal> for StoreError {
    fn from(refusal: Refusal) -> Self {
        match refusal {
            Refusal::Faults(faults) => Self::Refused(faults),
            Refusal::Conflict(text) => Self::Conflict(text),
            Refusal::Forbidden(text) => Self::Forbidden(text),
        }
    }
}

impl From<diesel::result::Error> for StoreError {
    fn from(error: diesel::result::Error) -> Self {
        constraint::explain(error)
    }
}

impl From<PoolError> for StoreError {
    fn from(error: PoolError) -> Self {
        match error {
            PoolError::Timeout(TimeoutType::Wait) => Self::Busy(error.to_string()),
            _ => Self::Unavailable(error.to_string()),
        }
    }
}

impl From<VaultError> for StoreError {
    fn from(error: VaultError) -> Self {
        Self::Internal(error.to_string())
    }
}

/// The database, shared by all workers of an instance.
#[derive(Clone)]
pub struct Db {
    pools: Arc<Pools>,
    /// What answers reports, prints, archives and booklets, where one is set.
    replica: Option<Arc<Replica>>,
    vault: Option<Arc<Vault>>,
    growth: GrowthMemory,
    weighings: WeighingMemory,
    reads: ReadMemory,
    turns: WriteTurns,
    listeners: Listeners,
}

impl Db {
    /// A database with at most `size` connections, each working as the role that cannot bypass the
    /// walls.
    ///
    /// # Errors
    /// When no pool can be made.
    pub fn connect(url: &str, size: usize) -> StoreResult<Self> {
        Self::for_workers(url, size, 0)
    }

    /// The same, where so many workers have connections of their own once each has called
    /// [`Db::welcome_worker`] on its thread.
    ///
    /// # Errors
    /// When no pool can be made.
    pub fn for_workers(url: &str, size: usize, workers: usize) -> StoreResult<Self> {
        Ok(Self::of(Pools::new(url, size, workers, Works::AsService)?))
    }

    /// The same, where `url` is a pooler's that gives each transaction another connection, and logs in as the
    /// service's own role.
    ///
    /// # Errors
    /// When no pool can be made.
    pub fn by_pooler(url: &str, size: usize, workers: usize) -> StoreResult<Self> {
        Ok(Self::of(Pools::new(url, size, workers, Works::ByPooler)?))
    }

    /// A database for upkeep by its owner, as at `url`: it stands in for anybody in any kennel, and then
    /// works within the walls as they do.
    ///
    /// # Errors
    /// When no pool can be made.
    pub fn for_upkeep(url: &str, size: usize) -> StoreResult<Self> {
        Ok(Self::of(Pools::new(url, size, 0, Works::AsItself)?))
    }

    fn of(pools: Pools) -> Self {
        Self {
            pools: Arc::new(pools),
            replica: None,
            vault: None,
            growth: GrowthMemory::default(),
            weighings: WeighingMemory::default(),
            reads: ReadMemory::default(),
            turns: WriteTurns::default(),
            listeners: Listeners::default(),
        }
    }

    /// The same, with the keys under which secrets lie sealed.
    #[must_use]
    pub fn sealing_with(self, vault: Arc<Vault>) -> Self {
        Self { vault: Some(vault), ..self }
    }

    fn vault(&self) -> StoreResult<&Vault> {
        let none = || StoreError::Internal("this connection has no keys for secrets".to_owned());
        self.vault.as_deref().ok_or_else(none)
    }

    /// Gives this thread, which is a worker, connections of its own.
    pub fn welcome_worker(&self) {
        self.pools.welcome_worker();
    }

    /// Whether the database answers.
    ///
    /// # Errors
    /// [`StoreError::Unavailable`] when it does not.
    pub async fn ping(&self) -> StoreResult<()> {
        soon(async {
            let mut conn = self.connection().await?;
            Ok(conn.batch_execute("SELECT 1").await?)
        })
        .await
    }

    /// Connections in use and in all.
    pub fn pool_use(&self) -> (usize, usize) {
        self.pools.in_use()
    }

    /// A connection of the pool, soon or not at all. By itself it serves what belongs to no kennel:
    /// logins and the list of kennels.
    async fn connection(&self) -> StoreResult<Object<AsyncPgConnection>> {
        self.pools.connection().await
    }

    /// Does `work` in one transaction within `scope`: all of it is kept, or nothing.
    ///
    /// # Errors
    /// Those of `work`, and [`StoreError::Unavailable`] when the database is away.
    pub async fn within<T>(
        &self,
        scope: &Scope,
        work: impl AsyncFnOnce(&mut Tx) -> StoreResult<T>,
    ) -> StoreResult<T> {
        self.begun_by("BEGIN", scope, false, work).await
    }

    /// The same for work that writes: it waits for its turn in the kennel before it takes a connection, so that however
    /// many write there, others find one.
    ///
    /// # Errors
    /// As [`Db::within`], and [`StoreError::Busy`] when others write for too long.
    pub async fn writing<T>(
        &self,
        scope: &Scope,
        work: impl AsyncFnOnce(&mut Tx) -> StoreResult<T>,
    ) -> StoreResult<T> {
        let turn = self.turns.turn(scope.kennel_id(), PATIENCE).await;
        let _turn =
            turn.ok_or_else(|| StoreError::Busy("others write in this kennel".to_owned()))?;
        self.begun_by("BEGIN", scope, scope.is_entered(), work).await
    }

    /// Reads in one transaction within `scope`: all statements see the kennel at one moment.
    ///
    /// # Errors
    /// Those of `work`, and [`StoreError::Unavailable`] when the database is away.
    pub(crate) async fn at_one_moment<T>(
        &self,
        scope: &Scope,
        work: impl AsyncFnOnce(&mut Tx) -> StoreResult<T>,
    ) -> StoreResult<T> {
        self.begun_by("BEGIN ISOLATION LEVEL REPEATABLE READ, READ ONLY", scope, false, work).await
    }

    async fn begun_by<T>(
        &self,
        begin: &str,
        scope: &Scope,
        writes: bool,
        work: impl AsyncFnOnce(&mut Tx) -> StoreResult<T>,
    ) -> StoreResult<T> {
        let mut tx = self.tx(begin, scope, writes).await?;
        let result = work(&mut tx).await;
        tx.ended(result.is_ok()).await?;
        result
    }

    /// A transaction that begins with its first statement. Beginning and end stand by themselves, so that they
    /// are compiled once and not with each of the pieces of work between them. One that `writes` has waited for all
    /// others when its first statement runs, by the same message.
    async fn tx(&self, begin: &str, scope: &Scope, writes: bool) -> StoreResult<Tx> {
        let limits = self.pools.limits_of_transaction();
        let mut begin = format!("{begin}{limits}; {}", scope.entry());
        if writes {
            begin.push_str("; ");
            begin.push_str(BEGIN_WRITING);
        }
        let line = Line::new(self.connection().await?, begin);
        // Postgres itself ends the waiting after as long.
        let line = if writes { line.waiting(PATIENCE) } else { line };
        Ok(Tx { has_begun_writing: writes, ..self.tx_on(line, scope) })
    }

    fn tx_on(&self, conn: Line, scope: &Scope) -> Tx {
        let (vault, growth) = (self.vault.clone(), self.growth.clone());
        let (weighings, moment) = (self.weighings.clone(), OnceCell::new());
        let has_begun_writing = false;
        Tx {
            conn,
            scope: scope.clone(),
            vault,
            growth,
            weighings,
            recollection: None,
            moment,
            has_begun_writing,
        }
    }
}

/// A transaction within one person's scope in one kennel.
pub struct Tx {
    conn: Line,
    scope: Scope,
    vault: Option<Arc<Vault>>,
    growth: GrowthMemory,
    weighings: WeighingMemory,
    /// What a look at the whole kennel knows already; null for all other questions.
    recollection: Option<Recollection>,
    moment: OnceCell<Arc<Moment>>,
    /// Whether it began by waiting until no other transaction writes in the kennel.
    has_begun_writing: bool,
}

/// Waits until no other transaction writes in the kennel.
const BEGIN_WRITING: &str = "SELECT begin_writing()";

/// From so many rows on, a statement over a list of them says so to the planner.
const MANY_ROWS: usize = 1_000;

impl Tx {
    /// Keeps what was done, or undoes it.
    async fn ended(&mut self, is_good: bool) -> StoreResult<()> {
        match self.conn.end(is_good).await {
            Err(error) if is_good => Err(error.into()),
            // When the connection is lost there is nothing left to roll back.
            Err(lost) => {
                tracing::debug!(%lost, "rollback failed");
                Ok(())
            }
            Ok(()) => Ok(()),
        }
    }

    /// Tells the planner, for the rest of the transaction, that statements run over long lists: it
    /// takes them for short ones, and knows nothing of rows that were written just now. So it plans them anew, and keeps
    /// none of these plans for short ones.
    async fn expect_many_rows(&mut self) -> StoreResult<()> {
        let settings =
            "SET LOCAL enable_nestloop = off; SET LOCAL plan_cache_mode = 'force_custom_plan'";
        self.conn.batch_execute(settings).await?;
        Ok(())
    }

    /// The connection for several questions at once: they are sent one after the other without a wait,
    /// and the answers read while Postgres works on the next.
    fn pipelined(&self) -> &Line {
        &self.conn
    }

    fn vault(&self) -> StoreResult<&Vault> {
        let none = || StoreError::Internal("this connection has no keys for secrets".to_owned());
        self.vault.as_deref().ok_or_else(none)
    }

    /// Who acts, in which kennel, and what they may see.
    pub fn scope(&self) -> &Scope {
        &self.scope
    }

    /// Does `work` so that, when it fails, only what it wrote is undone and the transaction goes on.
    ///
    /// # Errors
    /// Those of `work`.
    pub async fn attempt<T, E: From<diesel::result::Error>>(
        &mut self,
        work: impl AsyncFnOnce(&mut Tx) -> Result<T, E>,
    ) -> Result<T, E> {
        self.conn.mark().await?;
        let result = work(self).await;
        self.conn.end_mark(result.is_ok()).await?;
        result
    }

    /// Does `work` and undoes what it wrote, whatever came of it; the transaction goes on.
    ///
    /// # Errors
    /// Those of `work`.
    pub(crate) async fn tried<T>(
        &mut self,
        work: impl AsyncFnOnce(&mut Tx) -> StoreResult<T>,
    ) -> StoreResult<T> {
        self.conn.mark().await?;
        let found = work(self).await;
        self.conn.end_mark(false).await?;
        found
    }

    /// Waits until no other transaction writes in the kennel; to be called before the first write.
    ///
    /// The log's next number is locked by every write until it commits, so writers of a kennel wait
    /// for each other anyway. Taken last, after rows that others need, that lock makes deadlocks.
    pub(crate) async fn begin_writing(&mut self) -> StoreResult<()> {
        // Not kept in mind here: within a mark the lock would go with it.
        if !self.has_begun_writing {
            statement(BEGIN_WRITING).execute(&mut self.conn).await?;
        }
        Ok(())
    }
}
