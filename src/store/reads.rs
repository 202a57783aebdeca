//! What a look at a whole kennel reads, remembered between looks.
//!
//! A wall screen asks the same twenty lists whenever somebody wrote one row. What is remembered holds up to a number of
//! the kennel's log, which has no gaps; the log tells the words of what was written since, and only lists that hold
//! such rows are read again. It tells that to who sees all dogs, and of what was kept: a transaction that has written,
//! or sees some of the dogs, reads all. What one may see by another right than somebody else is remembered apart. An
//! instance may lose all of it at any time.

use super::{Db, StoreResult, Tx, scope::Scope, statement::statement};
use chrono::NaiveDate;
use diesel::{
    QueryableByName,
    sql_types::{Array, BigInt, Nullable, Text},
};
use diesel_async::RunQueryDsl as _;
use domain::record::{Right, Role};
use lru::LruCache;
use std::{
    any::Any,
    collections::HashMap,
    sync::{Arc, Mutex, MutexGuard, PoisonError},
};
use uuid::Uuid;

/// Rows that all kennels together may have remembered: some two hundred bytes each, so 30 MB at most.
const MOST_ROWS: usize = 150_000;

/// As how many rows a list counts beside its own.
const LIST: usize = 4;

/// What was read of kennels of late.
#[derive(Clone, Default)]
pub(crate) struct ReadMemory(Arc<Mutex<Shelf>>);

struct Shelf {
    kennels: LruCache<Reader, Arc<Known>>,
    /// Of all of them.
    rows: usize,
}

impl Default for Shelf {
    fn default() -> Self {
        Self { kennels: LruCache::unbounded(), rows: 0 }
    }
}

impl Shelf {
    /// Remembers a look in place of the one before, and forgets those that nobody asked for the longest.
    fn put(&mut self, reader: Reader, known: Known) {
        self.rows += known.rows;
        if let Some(before) = self.kennels.put(reader, Arc::new(known)) {
            self.rows -= before.rows;
        }
        while self.rows > MOST_ROWS {
            let Some((_, oldest)) = self.kennels.pop_lru() else { return };
            self.rows -= oldest.rows;
        }
    }
}

/// Who reads alike: a kennel, and what may be seen of it.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
struct Reader {
    kennel_id: Uuid,
    role: Role,
    rights: Vec<Right>,
}

impl Reader {
    fn of(scope: &Scope) -> Self {
        let rights = Right::ALL.iter().copied().filter(|right| scope.allows(*right)).collect();
        Self { kennel_id: scope.kennel_id(), role: scope.role(), rights }
    }
}

/// What is known of a kennel.
struct Known {
    /// The number of the log up to which it holds.
    newest: i64,
    lists: HashMap<ListKey, Answered>,
    rows: usize,
}

/// Which list was asked for.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub(crate) struct ListKey {
    /// What is listed.
    list: &'static str,
    /// Of which rows; of several kinds one after the other, parted by nil.
    of: Box<[Uuid]>,
    /// From which day on.
    since: Option<NaiveDate>,
}

impl ListKey {
    /// A list of the whole kennel.
    pub(crate) fn all(list: &'static str) -> Self {
        Self { list, of: Box::default(), since: None }
    }

    /// A list of what hangs on these rows.
    pub(crate) fn of(list: &'static str, rows: &[Uuid]) -> Self {
        Self { list, of: rows.into(), since: None }
    }

    /// A list of what hangs on rows of one kind, or of the other.
    pub(crate) fn of_both(list: &'static str, one: &[Uuid], other: &[Uuid]) -> Self {
        Self::of(list, &[one, &[Uuid::nil()], other].concat())
    }

    /// The same, from a day on.
    pub(crate) fn since(self, day: NaiveDate) -> Self {
        Self { since: Some(day), ..self }
    }
}

/// What was answered.
#[derive(Clone)]
struct Answered {
    /// What the log calls the rows that it was made of.
    words: &'static [&'static str],
    rows: usize,
    list: Arc<dyn Any + Send + Sync>,
}

/// What is known of a kennel when it is looked at, and what this look adds.
pub(crate) struct Recollection {
    reader: Reader,
    newest: i64,
    known: Option<Arc<Known>>,
    /// The words of what was written since; null where the log does not tell them.
    words: Option<Vec<String>>,
    added: Mutex<HashMap<ListKey, Answered>>,
}

impl ReadMemory {
    /// What is known when a look begins; null where the log does not tell what was written since the last one.
    async fn recollect(&self, tx: &Tx) -> StoreResult<Option<Recollection>> {
        if !tx.scope.sees_all_dogs() {
            return Ok(None);
        }
        let reader = Reader::of(&tx.scope);
        let known = self.shelf().kennels.get(&reader).cloned();
        let since = known.as_ref().map(|known| known.newest);
        // What the login has told is as good as asking once more: what is read later is newer.
        let unchanged = tx.scope.state().filter(|state| Some(state.newest_change) == since);
        let news = match unchanged {
            Some(state) => Some(News { newest: state.newest_change, words: Some(Vec::new()) }),
            None => news(tx, since).await?,
        };
        let Some(News { newest, words }) = news else { return Ok(None) };
        Ok(Some(Recollection { reader, newest, known, words, added: Mutex::default() }))
    }

    /// Remembers what was read.
    fn keep(&self, read: Recollection) {
        let Recollection { reader, newest, added, .. } = read;
        // Lists that nobody asked for this time are of days or dogs that are gone.
        let lists = added.into_inner().unwrap_or_else(PoisonError::into_inner);
        let rows = lists.values().map(|list| list.rows + LIST).sum();
        self.shelf().put(reader, Known { newest, lists, rows });
    }

    fn shelf(&self) -> MutexGuard<'_, Shelf> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Recollection {
    /// What was answered before, unless rows of its words were written since.
    fn before(&self, asked: &ListKey) -> Option<&Answered> {
        let (known, words) = (self.known.as_ref()?, self.words.as_ref()?);
        let list = known.lists.get(asked)?;
        let holds = list.words.iter().all(|word| !words.iter().any(|new| new == word));
        holds.then_some(list)
    }
}

/// What the log tells of all that was written.
#[derive(QueryableByName)]
struct News {
    /// The number of its newest change.
    #[diesel(sql_type = BigInt)]
    newest: i64,
    /// Of which words there are changes since; null when all has to be read anew.
    #[diesel(sql_type = Nullable<Array<Text>>)]
    words: Option<Vec<String>>,
}

async fn news(tx: &Tx, since: Option<i64>) -> StoreResult<Option<News>> {
    let query = statement("SELECT newest, words FROM written_since($1)");
    let rows: Vec<News> =
        query.bind::<Nullable<BigInt>, _>(since).load(&mut tx.pipelined()).await?;
    Ok(rows.into_iter().next())
}

impl Db {
    /// [`Db::within`] for a look at a whole kennel, which reads only what was written since the last one.
    ///
    /// # Errors
    /// As [`Db::within`].
    pub(crate) async fn looking<T>(
        &self,
        scope: &Scope,
        work: impl AsyncFnOnce(&mut Tx) -> StoreResult<T>,
    ) -> StoreResult<T> {
        self.within(scope, async |tx| {
            tx.recollection = self.reads.recollect(tx).await?;
            let found = work(tx).await?;
            if let Some(read) = tx.recollection.take() {
                self.reads.keep(read);
            }
            Ok(found)
        })
        .await
    }
}

impl Tx {
    /// A number of the log, where a look at the whole kennel knows that nothing was written after it.
    pub(crate) fn unchanged_since(&self, number: Option<i64>) -> Option<i64> {
        let read = self.recollection.as_ref()?;
        number.filter(|number| *number == read.newest)
    }

    /// What `read` gives; within [`Db::looking`] what it gave before, unless rows of these words were written since.
    ///
    /// The words are those of every table that it reads.
    pub(crate) async fn remembered<T: Clone + Send + Sync + 'static>(
        &self,
        asked: impl FnOnce() -> ListKey,
        words: &'static [&'static str],
        read: impl AsyncFnOnce() -> StoreResult<Vec<T>>,
    ) -> StoreResult<Vec<T>> {
        let Some(known) = &self.recollection else { return read().await };
        let asked = asked();
        let told = |before: &Answered| Some((before.clone(), before.told()?));
        let (answered, list) = match known.before(&asked).and_then(told) {
            Some(told) => told,
            None => {
                let list: Vec<T> = read().await?;
                (Answered { words, rows: list.len(), list: Arc::new(list.clone()) }, list)
            }
        };
        known.added.lock().unwrap_or_else(PoisonError::into_inner).insert(asked, answered);
        Ok(list)
    }
}

impl Answered {
    fn told<T: Clone + 'static>(&self) -> Option<Vec<T>> {
        self.list.downcast_ref::<Vec<T>>().cloned()
    }
}
