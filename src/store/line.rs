//! The connection of a transaction, which begins with its first statement.
//!
//! What a transaction begins with and its first statement (or the first ones, when they are asked for at the
//! same time) are sent together: Postgres works on both before anybody waits. Where it lets nobody enter, the
//! transaction has failed, and whatever was sent behind is refused.

use super::pools::CHECKOUT_TIMEOUT;
use diesel::{
    QueryResult,
    pg::Pg,
    query_builder::{AsQuery, QueryFragment, QueryId},
    result::{DatabaseErrorKind, Error},
};
use diesel_async::{
    AsyncConnection, AsyncConnectionCore, AsyncPgConnection, SimpleAsyncConnection,
    TransactionManager as _, pooled_connection::deadpool::Object,
};
use futures_util::future::{BoxFuture, try_join};
use std::{
    future::poll_fn,
    pin::pin,
    sync::atomic::{AtomicBool, Ordering},
    task::Poll,
    time::Duration,
};
use tokio::{sync::OnceCell, time::timeout};

type Manager = <AsyncPgConnection as AsyncConnection>::TransactionManager;

/// A connection of the pool on which a transaction begins with its first statement.
pub(crate) struct Line {
    conn: Object<AsyncPgConnection>,
    /// What it begins with.
    begin: String,
    /// How long the beginning may take.
    patience: Duration,
    begun: OnceCell<Result<(), Failure>>,
    /// Whether the beginning was sent: what follows is sent after it.
    is_sent: AtomicBool,
    /// Whether it has ended; a connection whose transaction may stand open is nobody's any more.
    is_ended: bool,
    savepoints: u32,
}

/// Why a transaction did not begin, for each statement that was sent with the beginning.
#[derive(Debug, Clone)]
struct Failure {
    kind: DatabaseErrorKind,
    message: String,
}

impl From<Error> for Failure {
    fn from(error: Error) -> Self {
        match error {
            Error::DatabaseError(kind, info) => Self { kind, message: info.message().to_owned() },
            other => Self { kind: DatabaseErrorKind::Unknown, message: other.to_string() },
        }
    }
}

impl From<Failure> for Error {
    fn from(Failure { kind, message }: Failure) -> Self {
        Self::DatabaseError(kind, Box::new(message))
    }
}

impl Line {
    /// A transaction on this connection, which begins with these statements; they are text without values.
    pub fn new(conn: Object<AsyncPgConnection>, begin: String) -> Self {
        Self {
            conn,
            begin,
            patience: CHECKOUT_TIMEOUT,
            begun: OnceCell::new(),
            is_sent: AtomicBool::new(false),
            is_ended: false,
            savepoints: 0,
        }
    }

    /// The same, where the beginning waits for other transactions for so long.
    #[must_use]
    pub fn waiting(mut self, wait: Duration) -> Self {
        self.patience += wait;
        self
    }

    /// Begins, unless that was done; also when several statements are under way, once.
    async fn begin(&self) -> QueryResult<()> {
        let begin = async {
            let mut conn = &*self.conn;
            let mut sending = pin!(timeout(self.patience, conn.batch_execute(&self.begin)));
            let sent = poll_fn(|context| {
                let done = sending.as_mut().poll(context);
                self.is_sent.store(true, Ordering::Relaxed);
                done
            });
            match sent.await {
                Ok(begun) => begun.map_err(Failure::from),
                Err(_) => Err(Failure {
                    kind: DatabaseErrorKind::UnableToSendCommand,
                    message: "the database does not answer".to_owned(),
                }),
            }
        };
        Ok(self.begun.get_or_init(|| begin).await.clone()?)
    }

    /// A statement, sent with the beginning when it is the first one.
    fn after_beginning<'a, T: Send + 'a>(
        &'a self,
        statement: BoxFuture<'a, QueryResult<T>>,
    ) -> BoxFuture<'a, QueryResult<T>> {
        if matches!(self.begun.get(), Some(Ok(()))) {
            return statement;
        }
        Box::pin(async move {
            let behind = async {
                let is_sent = || self.is_sent.load(Ordering::Relaxed);
                poll_fn(|_| if is_sent() { Poll::Ready(()) } else { Poll::Pending }).await;
                match statement.await {
                    Ok(answer) => Ok(answer),
                    // Why it did not begin says more than that the transaction has failed.
                    Err(error) => self.begin().await.and(Err(error)),
                }
            };
            let ((), answer) = try_join(self.begin(), behind).await?;
            Ok(answer)
        })
    }

    /// Keeps what was done, or undoes it. A transaction without a statement has not begun.
    pub async fn end(&mut self, is_good: bool) -> QueryResult<()> {
        let end = if is_good { "COMMIT" } else { "ROLLBACK" };
        let ended = match self.is_sent.load(Ordering::Relaxed) {
            true => (&*self.conn).batch_execute(end).await,
            false => Ok(()),
        };
        // Whatever Postgres answers, what it refuses to keep is undone.
        self.is_ended = true;
        ended
    }

    /// Sets a mark to which what follows can be undone, while the transaction goes on.
    pub async fn mark(&mut self) -> QueryResult<()> {
        self.savepoints += 1;
        let sql = format!("SAVEPOINT mark_{}", self.savepoints);
        self.batch_execute(&sql).await
    }

    /// Takes the last mark away: what followed is kept with the transaction, or undone.
    pub async fn end_mark(&mut self, is_good: bool) -> QueryResult<()> {
        let mark = format!("mark_{}", self.savepoints);
        self.savepoints = self.savepoints.saturating_sub(1);
        let undone = if is_good { String::new() } else { format!("ROLLBACK TO {mark}; ") };
        self.batch_execute(&format!("{undone}RELEASE {mark}")).await
    }
}

impl Drop for Line {
    fn drop(&mut self) {
        if !self.is_ended && *self.is_sent.get_mut() {
            Manager::transaction_manager_status_mut(&mut *self.conn).set_in_error();
        }
    }
}

// Rows own what they hold.
type Stream = <AsyncPgConnection as AsyncConnectionCore>::Stream<'static, 'static>;
type Row = <AsyncPgConnection as AsyncConnectionCore>::Row<'static, 'static>;

/// Statements one after the other.
impl AsyncConnectionCore for Line {
    type ExecuteFuture<'conn, 'query> = BoxFuture<'conn, QueryResult<usize>>;
    type LoadFuture<'conn, 'query> = BoxFuture<'conn, QueryResult<Stream>>;
    type Stream<'conn, 'query> = Stream;
    type Row<'conn, 'query> = Row;
    type Backend = Pg;

    fn load<'conn, 'query, T>(&'conn mut self, source: T) -> Self::LoadFuture<'conn, 'query>
    where
        T: AsQuery + 'query,
        T::Query: QueryFragment<Pg> + QueryId + 'query,
    {
        let line: &'conn Self = self;
        line.after_beginning(AsyncConnectionCore::load(&mut &*line.conn, source))
    }

    fn execute_returning_count<'conn, 'query, T>(
        &'conn mut self,
        source: T,
    ) -> Self::ExecuteFuture<'conn, 'query>
    where
        T: QueryFragment<Pg> + QueryId + 'query,
    {
        let line: &'conn Self = self;
        line.after_beginning(AsyncConnectionCore::execute_returning_count(&mut &*line.conn, source))
    }
}

/// Several statements at the same time: each is sent without a wait for the answer to the one before.
impl<'a> AsyncConnectionCore for &'a Line {
    type ExecuteFuture<'conn, 'query> = BoxFuture<'a, QueryResult<usize>>;
    type LoadFuture<'conn, 'query> = BoxFuture<'a, QueryResult<Stream>>;
    type Stream<'conn, 'query> = Stream;
    type Row<'conn, 'query> = Row;
    type Backend = Pg;

    fn load<'conn, 'query, T>(&'conn mut self, source: T) -> Self::LoadFuture<'conn, 'query>
    where
        T: AsQuery + 'query,
        T::Query: QueryFragment<Pg> + QueryId + 'query,
    {
        let line: &'a Line = self;
        line.after_beginning(AsyncConnectionCore::load(&mut &*line.conn, source))
    }

    fn execute_returning_count<'conn, 'query, T>(
        &'conn mut self,
        source: T,
    ) -> Self::ExecuteFuture<'conn, 'query>
    where
        T: QueryFragment<Pg> + QueryId + 'query,
    {
        let line: &'a Line = self;
        line.after_beginning(AsyncConnectionCore::execute_returning_count(&mut &*line.conn, source))
    }
}

impl SimpleAsyncConnection for Line {
    async fn batch_execute(&mut self, query: &str) -> QueryResult<()> {
        (&*self).batch_execute(query).await
    }
}

impl SimpleAsyncConnection for &Line {
    async fn batch_execute(&mut self, query: &str) -> QueryResult<()> {
        let line: &Line = self;
        let statement = async move { (&*line.conn).batch_execute(query).await };
        line.after_beginning(Box::pin(statement)).await
    }
}
