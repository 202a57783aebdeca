//! The pedigree of each kennel in memory, with the inbreeding of all its dogs.
//!
//! It is a cache: the database tells which change moved a kennel's pedigree last, every use asks
//! for a book at least as new, and what changed since is read from the log. A litter is appended;
//! a corrected parent computes the descendants anew. The book is kept in the database as well
//! ([`kept`]), so that neither a restart nor another instance reads and computes a breed again.

mod kept;

use super::{Db, StoreError, StoreResult, Tx, aside, scope::Scope, statement::statement};
use diesel::{
    OptionalExtension as _, QueryableByName,
    sql_types::{Array, BigInt, Nullable, Uuid as SqlUuid},
};
use diesel_async::RunQueryDsl as _;
use domain::{
    inbreeding::Studbook,
    pedigree::{Pedigree, PedigreeError, PedigreeRow},
};
use futures_util::TryStreamExt as _;
use kept::Kept;
use std::{
    collections::HashMap,
    sync::{Arc, Mutex, PoisonError, RwLock},
    time::Duration,
};
use uuid::Uuid;

/// Dogs that all books together may hold: about 100 MB. A larger kennel's book stands alone.
const MOST_DOGS: usize = 2_000_000;
/// With more changes than this since a book was made, it is read anew.
const MOST_CHANGES: usize = 2_000;
/// Books computed at once; each takes all processors.
const AT_ONCE: usize = 2;
/// How long one waits for that.
const PATIENCE: Duration = Duration::from_secs(30);

/// The change that moved a kennel's pedigree last.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct PedigreeHead(i64);

#[derive(QueryableByName)]
struct HeadRow {
    #[diesel(sql_type = BigInt)]
    sequence: i64,
}

/// Where the pedigree of the kennel stands, as this transaction sees it.
///
/// # Errors
/// When the database is away.
pub async fn head(tx: &Tx) -> StoreResult<PedigreeHead> {
    let row = statement("SELECT sequence FROM pedigree_heads WHERE kennel_id = $1")
        .bind::<SqlUuid, _>(tx.scope.kennel_id())
        .get_result::<HeadRow>(&mut tx.pipelined())
        .await
        .optional()?;
    Ok(PedigreeHead(row.map_or(0, |row| row.sequence)))
}

/// The books of the kennels that were asked for last.
pub struct Studbooks {
    db: Db,
    threads: usize,
    shelf: Mutex<Shelf>,
    computing: tokio::sync::Semaphore,
}

#[derive(Default)]
struct Shelf {
    places: HashMap<Uuid, (Arc<KennelShelf>, u64)>,
    /// Counts the uses, so that the longest unused book goes first.
    uses: u64,
}

/// A kennel's place on the shelf.
#[derive(Default)]
struct KennelShelf {
    book: RwLock<Option<Book>>,
    /// Held by the one who brings the book up to date; nobody waits for it with a connection in hand.
    keeper: tokio::sync::Mutex<Standing>,
    /// Held by the one who writes to the database what was computed.
    writer: tokio::sync::Mutex<()>,
}

/// A book and the change up to which it goes.
#[derive(Clone)]
struct Book {
    head: PedigreeHead,
    studbook: Arc<Studbook<Uuid>>,
}

/// How a book stands beside what the database keeps of it.
#[derive(Clone, Default)]
struct Standing {
    /// What is kept; `None` for nothing, or what is not known here.
    kept: Option<Kept>,
    /// Whether dogs that are kept have other parents since.
    is_edited: bool,
}

impl KennelShelf {
    fn book(&self) -> Option<Book> {
        self.book.read().unwrap_or_else(PoisonError::into_inner).clone()
    }

    /// The book, to be written in: whoever has it open already keeps a copy of its own, others
    /// wait for it to come back, and read the pedigree anew if it does not.
    fn taken_out(&self) -> Option<Book> {
        self.book.write().unwrap_or_else(PoisonError::into_inner).take()
    }

    fn dogs(&self) -> usize {
        self.book().map_or(0, |book| book.studbook.pedigree().len())
    }
}

impl Studbooks {
    /// An empty shelf.
    pub fn new(db: Db) -> Self {
        let threads = std::thread::available_parallelism().map_or(1, usize::from);
        let computing = tokio::sync::Semaphore::new(AT_ONCE);
        Self { db, threads, shelf: Mutex::default(), computing }
    }

    /// The pedigree of the scope's kennel, at least as new as `head`. Ask outside a transaction:
    /// a large pedigree takes seconds to compute, and a connection should not wait for it.
    ///
    /// # Errors
    /// When the database is away.
    pub async fn at_least(
        &self,
        scope: &Scope,
        head: PedigreeHead,
    ) -> StoreResult<Arc<Studbook<Uuid>>> {
        let place = self.place(scope.kennel_id());
        let current = || place.book().filter(|book| book.head >= head);
        if let Some(book) = current() {
            return Ok(book.studbook);
        }
        let mut standing = place.keeper.lock().await;
        if let Some(book) = current() {
            return Ok(book.studbook);
        }
        let seat = tokio::time::timeout(PATIENCE, self.computing.acquire()).await;
        let seat = seat.map_err(|_| StoreError::Busy("pedigrees are computed".to_owned()))?;
        let (book, stands) = self.renewed(scope, &place, head, standing.clone()).await?;
        drop(seat);
        *place.book.write().unwrap_or_else(PoisonError::into_inner) = Some(book.clone());
        *standing = stands;
        drop(standing);
        self.make_room(scope.kennel_id());
        if scope.writes() {
            tokio::spawn(keep(self.db.clone(), scope.clone(), place));
        }
        Ok(book.studbook)
    }

    /// The pedigree of the scope's kennel as it stands now.
    ///
    /// # Errors
    /// As [`Studbooks::at_least`].
    pub async fn current(&self, scope: &Scope) -> StoreResult<Arc<Studbook<Uuid>>> {
        let head = self.db.within(scope, async |tx| head(tx).await).await?;
        self.at_least(scope, head).await
    }

    fn place(&self, kennel_id: Uuid) -> Arc<KennelShelf> {
        let mut shelf = self.shelf.lock().unwrap_or_else(PoisonError::into_inner);
        shelf.uses += 1;
        let uses = shelf.uses;
        let (place, used) = shelf.places.entry(kennel_id).or_default();
        *used = uses;
        Arc::clone(place)
    }

    /// Takes the longest unused books away until the rest is small enough.
    fn make_room(&self, stays: Uuid) {
        let mut shelf = self.shelf.lock().unwrap_or_else(PoisonError::into_inner);
        let mut dogs: usize = shelf.places.values().map(|(place, _)| place.dogs()).sum();
        while dogs > MOST_DOGS {
            let others = shelf.places.iter().filter(|(id, _)| **id != stays);
            let Some((id, place)) =
                others.min_by_key(|(_, (_, used))| *used).map(|(id, (place, _))| (*id, place))
            else {
                return;
            };
            dogs -= place.dogs();
            shelf.places.remove(&id);
        }
    }

    async fn renewed(
        &self,
        scope: &Scope,
        place: &KennelShelf,
        head: PedigreeHead,
        standing: Standing,
    ) -> StoreResult<(Book, Standing)> {
        if let Some(here) = place.book().map(|book| book.head)
            && let Some(changes) = changes_since(&self.db, scope, here).await?
            && let Some(old) = place.taken_out()
        {
            return blocking(move || appended(old, changes, standing)).await;
        }
        if let Some((old, kept)) = self.db.within(scope, async |tx| kept::read(tx).await).await? {
            let standing = Standing { kept: Some(kept), is_edited: false };
            if old.head >= head {
                return Ok((old, standing));
            }
            if let Some(changes) = changes_since(&self.db, scope, old.head).await? {
                return blocking(move || appended(old, changes, standing)).await;
            }
        }
        let read = self.db.within(scope, async |tx| read_all(tx).await).await?;
        let threads = self.threads;
        blocking(move || computed(read, threads)).await
    }
}

async fn blocking<T: Send + 'static>(
    work: impl FnOnce() -> Result<T, PedigreeError<Uuid>> + Send + 'static,
) -> StoreResult<T> {
    aside(work)
        .await?
        .map_err(|error| StoreError::Internal(format!("the pedigree as kept: {error:?}")))
}

#[derive(QueryableByName)]
struct ChangedRow {
    #[diesel(sql_type = BigInt)]
    head: i64,
    #[diesel(sql_type = Nullable<SqlUuid>)]
    id: Option<Uuid>,
    #[diesel(sql_type = Nullable<SqlUuid>)]
    sire_id: Option<Uuid>,
    #[diesel(sql_type = Nullable<SqlUuid>)]
    dam_id: Option<Uuid>,
}

/// Dogs with their parents as they are now, and up to which change.
struct Changes {
    head: PedigreeHead,
    rows: Vec<PedigreeRow<Uuid>>,
}

/// What changed after `since`; `None` when that is too much to follow.
async fn changes_since(
    db: &Db,
    scope: &Scope,
    since: PedigreeHead,
) -> StoreResult<Option<Changes>> {
    let (before, rows) =
        db.within(scope, async |tx| Ok((head(tx).await?, changed_rows(tx, since).await?))).await?;
    let imported = rows.iter().any(|row| row.id.is_none());
    if imported || rows.len() > MOST_CHANGES {
        return Ok(None);
    }
    // Rows and head were read in one statement; without rows the head read before is good.
    let head = rows.as_slice().first().map_or(before, |row| PedigreeHead(row.head));
    let rows = rows
        .into_iter()
        .filter_map(|row| Some(PedigreeRow { id: row.id?, sire: row.sire_id, dam: row.dam_id }));
    Ok(Some(Changes { head, rows: rows.collect() }))
}

async fn changed_rows(tx: &mut Tx, since: PedigreeHead) -> StoreResult<Vec<ChangedRow>> {
    Ok(statement(
        "SELECT h.sequence AS head, p.id, p.sire_id, p.dam_id \
         FROM pedigree_since($1) p, pedigree_heads h WHERE h.kennel_id = $2",
    )
    .bind::<BigInt, _>(since.0)
    .bind::<SqlUuid, _>(tx.scope.kennel_id())
    .load(&mut tx.conn)
    .await?)
}

/// The book with the changes entered, and what the database does not hold of it.
fn appended(
    old: Book,
    changes: Changes,
    mut standing: Standing,
) -> Result<(Book, Standing), PedigreeError<Uuid>> {
    let Book { mut studbook, .. } = old;
    let book = Arc::make_mut(&mut studbook);
    for row in changes.rows {
        if book.pedigree().find(&row.id).is_none() {
            book.append([row])?;
        } else {
            book.set_parents(row, 1)?;
            standing.is_edited = true;
        }
    }
    Ok((Book { head: changes.head, studbook }, standing))
}

/// Some thousand dogs in one row of lists, so that not each is a message with columns to be found.
#[derive(QueryableByName)]
struct DogRows {
    #[diesel(sql_type = BigInt)]
    head: i64,
    #[diesel(sql_type = Array<SqlUuid>)]
    ids: Vec<Uuid>,
    #[diesel(sql_type = Array<Nullable<SqlUuid>>)]
    sire_ids: Vec<Option<Uuid>>,
    #[diesel(sql_type = Array<Nullable<SqlUuid>>)]
    dam_ids: Vec<Option<Uuid>>,
}

/// A whole pedigree as the dogs tell it.
struct Read {
    head: PedigreeHead,
    rows: Vec<PedigreeRow<Uuid>>,
}

impl Read {
    fn add(&mut self, dogs: DogRows) {
        self.head = PedigreeHead(dogs.head);
        let parents = dogs.sire_ids.into_iter().zip(dogs.dam_ids);
        let rows = dogs.ids.into_iter().zip(parents);
        self.rows.extend(rows.map(|(id, (sire, dam))| PedigreeRow { id, sire, dam }));
    }
}

async fn read_all(tx: &mut Tx) -> StoreResult<Read> {
    let mut read = Read { head: head(tx).await?, rows: Vec::new() };
    // One statement, so that dogs and head are of one moment. Lists of some thousand dogs, lest
    // Postgres hold a million in one.
    let mut parts = statement(
        "SELECT h.sequence AS head, p.ids, p.sire_ids, p.dam_ids FROM pedigree_heads h, ( \
             SELECT array_agg(id) AS ids, array_agg(sire_id) AS sire_ids, array_agg(dam_id) AS dam_ids \
             FROM (SELECT *, (row_number() OVER () - 1) / 8192 AS part FROM all_parents()) dogs \
             GROUP BY part) p \
         WHERE h.kennel_id = $1",
    )
    .bind::<SqlUuid, _>(tx.scope.kennel_id())
    .load_stream::<DogRows>(&mut tx.conn)
    .await?;
    while let Some(dogs) = parts.try_next().await? {
        read.add(dogs);
    }
    drop(parts);
    Ok(read)
}

/// The book of a pedigree, of which nothing is kept.
fn computed(read: Read, threads: usize) -> Result<(Book, Standing), PedigreeError<Uuid>> {
    let studbook = Arc::new(Studbook::compute(Pedigree::build(read.rows)?, threads));
    Ok((Book { head: read.head, studbook }, Standing::default()))
}

/// Writes to the database what it lacks of the book. A failure costs a later reader the computation.
async fn keep(db: Db, scope: Scope, place: Arc<KennelShelf>) {
    let _writing = place.writer.lock().await;
    let (book, standing) = {
        let standing = place.keeper.lock().await;
        (place.book(), standing.clone())
    };
    let kept = standing.kept.map(|kept| kept.head);
    let Some(book) = book.filter(|book| kept != Some(book.head)) else { return };
    match db.within(&scope, async |tx| kept::write(tx, &book, &standing).await).await {
        Ok(kept) => {
            let mut now = place.keeper.lock().await;
            now.kept = kept;
            if place.book().is_some_and(|latest| latest.head == book.head) {
                now.is_edited = false;
            }
        }
        Err(error) => tracing::warn!(%error, "a pedigree was not kept"),
    }
}
