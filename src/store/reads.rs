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
    sync::{Arc, Mutex, PoisonError},
};
use uuid::Uuid;

/// Rows that all kennels together may have remembered: some hundred bytes each, so 30 MB at most.
const MOST_ROWS: usize = 150_000;

/// What was read of kennels of late.
#[derive(Clone)]
pub(crate) struct ReadMemory(Arc<Mutex<LruCache<Reader, Arc<Known>>>>);

impl Default for ReadMemory {
    fn default() -> Self {
        Self(Arc::new(Mutex::new(LruCache::unbounded())))
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
}

impl Known {
    fn rows(&self) -> usize {
        self.lists.values().map(|list| list.rows).sum()
    }
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

/// A look at a kennel: what is known of it, and what this look adds.
pub(crate) struct Look {
    reader: Reader,
    newest: i64,
    known: HashMap<ListKey, Answered>,
    added: Mutex<HashMap<ListKey, Answered>>,
}

impl ReadMemory {
    /// Begins a look; null where the log does not tell what was written since the last one.
    async fn look(&self, tx: &Tx) -> StoreResult<Option<Look>> {
        if !tx.scope.sees_all_dogs() {
            return Ok(None);
        }
        let reader = Reader::of(&tx.scope);
        let known = self.0.lock().unwrap_or_else(PoisonError::into_inner).get(&reader).cloned();
        let since = known.as_ref().map(|known| known.newest);
        // What the login has told is as good as asking once more: what is read later is newer.
        let unchanged = tx.scope.state().filter(|state| Some(state.newest_change) == since);
        let news = match unchanged {
            Some(state) => Some(News { newest: state.newest_change, words: Some(Vec::new()) }),
            None => news(tx, since).await?,
        };
        let Some(News { newest, words }) = news else { return Ok(None) };
        let known = match (known, words) {
            (Some(known), Some(words)) => known.without(&words),
            _ => HashMap::new(),
        };
        Ok(Some(Look { reader, newest, known, added: Mutex::default() }))
    }

    /// Remembers a look in place of the one before.
    fn keep(&self, look: Look) {
        let Look { reader, newest, added, .. } = look;
        // Lists that nobody asked for this time are of days or dogs that are gone.
        let lists = added.into_inner().unwrap_or_else(PoisonError::into_inner);
        let known = Known { newest, lists };
        let mut all = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        all.put(reader, Arc::new(known));
        let mut rows: usize = all.iter().map(|(_, known)| known.rows()).sum();
        while rows > MOST_ROWS {
            let Some((_, oldest)) = all.pop_lru() else { return };
            rows -= oldest.rows();
        }
    }
}

impl Known {
    /// The lists that hold no rows of these words.
    fn without(&self, words: &[String]) -> HashMap<ListKey, Answered> {
        let holds =
            |list: &Answered| list.words.iter().all(|word| !words.iter().any(|new| new == word));
        let lists = self.lists.iter().filter(|(_, list)| holds(list));
        lists.map(|(asked, list)| (asked.clone(), list.clone())).collect()
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
            tx.look = self.reads.look(tx).await?;
            let found = work(tx).await?;
            if let Some(look) = tx.look.take() {
                self.reads.keep(look);
            }
            Ok(found)
        })
        .await
    }
}

impl Tx {
    /// What `read` gives; within [`Db::looking`] what it gave before, unless rows of these words were written since.
    ///
    /// The words are those of every table that it reads.
    pub(crate) async fn remembered<T: Clone + Send + Sync + 'static>(
        &self,
        asked: impl FnOnce() -> ListKey,
        words: &'static [&'static str],
        read: impl AsyncFnOnce() -> StoreResult<Vec<T>>,
    ) -> StoreResult<Vec<T>> {
        let Some(look) = &self.look else { return read().await };
        let asked = asked();
        let before = look.known.get(&asked).cloned();
        let (answered, list) =
            match before.and_then(|before| Some((before.clone(), before.told()?))) {
                Some(told) => told,
                None => {
                    let list: Vec<T> = read().await?;
                    (Answered { words, rows: list.len(), list: Arc::new(list.clone()) }, list)
                }
            };
        look.added.lock().unwrap_or_else(PoisonError::into_inner).insert(asked, answered);
        Ok(list)
    }
}

impl Answered {
    fn told<T: Clone + 'static>(&self) -> Option<Vec<T>> {
        self.list.downcast_ref::<Vec<T>>().cloned()
    }
}
