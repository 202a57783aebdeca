//! What a look at a whole kennel reads, remembered between looks.
//!
//! A wall screen asks the same twenty lists whenever somebody wrote one row. What is remembered holds up to a number of
//! the kennel's log, which has no gaps; the log tells the words of what was written since, and only lists that hold
//! such rows are read again. It tells that to who sees all dogs, and of what was kept: a transaction that has written,
//! or sees some of the dogs, reads all. What one may see by another right than somebody else is remembered apart. An
//! instance may lose all of it at any time.
//!
//! A list that is read again and is equal stays the same list, and what was made of lists holds as long as these are the
//! same: grouped by dog, or put together to records.

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

/// Rows that all kennels together may have remembered: some four hundred bytes each, as it was read and in what was made
/// of it, so 30 MB at most.
const MOST_ROWS: usize = 75_000;

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
    made: HashMap<&'static str, Made>,
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
    list: Anything,
}

/// A list, or what was made of lists.
pub(crate) type Anything = Arc<dyn Any + Send + Sync>;

/// What was made of lists.
struct Made {
    /// Held as long as what was made of them, so that no other list can be taken for one of them.
    of: Vec<Anything>,
    made: Anything,
}

/// What is known of a kennel when it is looked at, and what this look adds.
pub(crate) struct Recollection {
    reader: Reader,
    newest: i64,
    known: Option<Arc<Known>>,
    /// The words of what was written since; null where the log does not tell them.
    words: Option<Vec<String>>,
    added: Mutex<HashMap<ListKey, Answered>>,
    made: Mutex<HashMap<&'static str, Made>>,
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
        let (added, made) = Default::default();
        Ok(Some(Recollection { reader, newest, known, words, added, made }))
    }

    /// Remembers what was read.
    fn keep(&self, read: Recollection) {
        let Recollection { reader, newest, added, made, .. } = read;
        // Lists that nobody asked for this time are of days or dogs that are gone.
        let lists = added.into_inner().unwrap_or_else(PoisonError::into_inner);
        let made = made.into_inner().unwrap_or_else(PoisonError::into_inner);
        let rows = lists.values().map(|list| list.rows + LIST).sum();
        self.shelf().put(reader, Known { newest, lists, made, rows });
    }

    fn shelf(&self) -> MutexGuard<'_, Shelf> {
        locked(&self.0)
    }
}

impl Recollection {
    /// What was answered before, and whether it holds: no rows of its words were written since.
    fn before(&self, asked: &ListKey) -> Option<(&Answered, bool)> {
        let (known, words) = (self.known.as_ref()?, self.words.as_ref()?);
        let list = known.lists.get(asked)?;
        let holds = list.words.iter().all(|word| !words.iter().any(|new| new == word));
        Some((list, holds))
    }

    /// What was made of these lists before.
    fn made_before(&self, what: &str, of: &[Anything]) -> Option<Anything> {
        let before = self.known.as_ref()?.made.get(what)?;
        let same = |(one, other): (&Anything, &Anything)| Arc::ptr_eq(one, other);
        let holds = before.of.len() == of.len() && before.of.iter().zip(of).all(same);
        holds.then(|| Arc::clone(&before.made))
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
    pub(crate) async fn remembered<T: PartialEq + Send + Sync + 'static>(
        &self,
        asked: impl FnOnce() -> ListKey,
        words: &'static [&'static str],
        read: impl AsyncFnOnce() -> StoreResult<Vec<T>>,
    ) -> StoreResult<Arc<Vec<T>>> {
        let Some(known) = &self.recollection else { return read().await.map(Arc::new) };
        let asked = asked();
        let before = known.before(&asked);
        let before = before.and_then(|(before, holds)| Some((before.told::<T>()?, holds)));
        let list = match before {
            Some((list, true)) => list,
            before => {
                let list = read().await?;
                match before {
                    Some((before, _)) if *before == list => before,
                    _ => Arc::new(list),
                }
            }
        };
        let answered = Answered { words, rows: list.len(), list: list.clone() };
        locked(&known.added).insert(asked, answered);
        Ok(list)
    }

    /// What `make` makes of these lists; within [`Db::looking`] what was made of the same ones before.
    pub(crate) fn made<T: Send + Sync + 'static>(
        &self,
        what: &'static str,
        of: Vec<Anything>,
        make: impl FnOnce() -> T,
    ) -> Arc<T> {
        let Some(known) = &self.recollection else { return Arc::new(make()) };
        let before = known.made_before(what, &of).and_then(|made| made.downcast().ok());
        let made = before.unwrap_or_else(|| Arc::new(make()));
        locked(&known.made).insert(what, Made { of, made: made.clone() });
        made
    }
}

fn locked<T>(memory: &Mutex<T>) -> MutexGuard<'_, T> {
    memory.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Answered {
    fn told<T: Send + Sync + 'static>(&self) -> Option<Arc<Vec<T>>> {
        Arc::clone(&self.list).downcast().ok()
    }
}
