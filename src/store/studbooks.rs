//! The pedigree of each kennel in memory, with the inbreeding of all its dogs.
//!
//! It is a cache: the database tells which change moved a kennel's pedigree last, every use asks
//! for a book at least as new, and what changed since is read from the log. A litter is appended;
//! a corrected parent computes the descendants anew. What was computed is kept in the database,
//! so that neither a restart nor another instance computes a breed again.

use super::{Db, StoreError, StoreResult, Tx, aside, scope::Scope, statement::statement};
use diesel::{
    OptionalExtension as _, QueryableByName,
    sql_types::{Array, BigInt, Bool, Double, Nullable, Uuid as SqlUuid},
};
use diesel_async::RunQueryDsl as _;
use domain::{
    inbreeding::Studbook,
    pedigree::{Pedigree, PedigreeError, PedigreeRow},
};
use futures_util::TryStreamExt as _;
use std::{
    collections::{BTreeSet, HashMap, HashSet},
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
/// Coefficients written in one statement.
const CHUNK: usize = 50_000;

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
    keeper: tokio::sync::Mutex<Unkept>,
    /// Held by the one who writes to the database what was computed.
    writer: tokio::sync::Mutex<()>,
}

/// A book and the change up to which it goes.
#[derive(Clone)]
struct Book {
    head: PedigreeHead,
    studbook: Arc<Studbook<Uuid>>,
}

/// What the database does not hold yet.
#[derive(Clone, Default)]
struct Unkept {
    /// Coefficients in the database are good up to this change, save for `dogs`; null for none.
    since: Option<PedigreeHead>,
    dogs: BTreeSet<Uuid>,
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
        let mut unkept = place.keeper.lock().await;
        if let Some(book) = current() {
            return Ok(book.studbook);
        }
        let seat = tokio::time::timeout(PATIENCE, self.computing.acquire()).await;
        let seat = seat.map_err(|_| StoreError::Busy("pedigrees are computed".to_owned()))?;
        let (book, left) = self.renewed(scope, &place, unkept.clone()).await?;
        drop(seat);
        *place.book.write().unwrap_or_else(PoisonError::into_inner) = Some(book.clone());
        *unkept = left;
        drop(unkept);
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
        unkept: Unkept,
    ) -> StoreResult<(Book, Unkept)> {
        let head = place.book().map(|book| book.head);
        if let Some(head) = head
            && let Some(changes) = changes_since(&self.db, scope, head).await?
            && let Some(old) = place.taken_out()
        {
            return blocking(move || appended(old, changes, unkept)).await;
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
    #[diesel(sql_type = Bool)]
    created: bool,
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
        "SELECT h.sequence AS head, p.id, p.sire_id, p.dam_id, p.created \
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
    mut unkept: Unkept,
) -> Result<(Book, Unkept), PedigreeError<Uuid>> {
    let Book { mut studbook, .. } = old;
    let book = Arc::make_mut(&mut studbook);
    for row in changes.rows {
        let id = row.id;
        if book.pedigree().find(&id).is_none() {
            book.append([row])?;
            unkept.dogs.insert(id);
        } else {
            unkept.dogs.extend(book.set_parents(row, 1)?);
            unkept.dogs.insert(id);
        }
    }
    Ok((Book { head: changes.head, studbook }, unkept))
}

/// Some thousand dogs in one row of lists, so that not each is a message with columns to be found.
#[derive(QueryableByName)]
struct DogRows {
    #[diesel(sql_type = BigInt)]
    head: i64,
    #[diesel(sql_type = Nullable<BigInt>)]
    kept: Option<i64>,
    #[diesel(sql_type = Array<SqlUuid>)]
    ids: Vec<Uuid>,
    #[diesel(sql_type = Array<Nullable<SqlUuid>>)]
    sire_ids: Vec<Option<Uuid>>,
    #[diesel(sql_type = Array<Nullable<SqlUuid>>)]
    dam_ids: Vec<Option<Uuid>>,
    #[diesel(sql_type = Array<Nullable<Double>>)]
    inbreeding: Vec<Option<f64>>,
}

/// A whole pedigree as the database holds it.
struct Read {
    head: PedigreeHead,
    /// The change up to which the coefficients are good.
    kept: Option<PedigreeHead>,
    rows: Vec<PedigreeRow<Uuid>>,
    known: Vec<(Uuid, f64)>,
    /// Dogs whose parents changed after `kept`.
    edited: Vec<Uuid>,
}

impl Read {
    fn add(&mut self, dogs: DogRows) {
        self.head = PedigreeHead(dogs.head);
        self.kept = dogs.kept.map(PedigreeHead);
        let known = dogs.ids.iter().zip(dogs.inbreeding);
        self.known.extend(known.filter_map(|(id, inbreeding)| Some((*id, inbreeding?))));
        let parents = dogs.sire_ids.into_iter().zip(dogs.dam_ids);
        let rows = dogs.ids.into_iter().zip(parents);
        self.rows.extend(rows.map(|(id, (sire, dam))| PedigreeRow { id, sire, dam }));
    }
}

async fn read_all(tx: &mut Tx) -> StoreResult<Read> {
    let mut read = Read {
        head: head(tx).await?,
        kept: None,
        rows: Vec::new(),
        known: Vec::new(),
        edited: Vec::new(),
    };
    // One statement, so that dogs, coefficients and both heads are of one moment. Lists of some
    // thousand dogs, lest Postgres hold a million in one.
    let mut parts = statement(
        "SELECT h.sequence AS head, k.sequence AS kept, p.ids, p.sire_ids, p.dam_ids, p.inbreeding \
         FROM pedigree_heads h LEFT JOIN inbreeding_heads k USING (kennel_id), ( \
             SELECT array_agg(id) AS ids, array_agg(sire_id) AS sire_ids, array_agg(dam_id) AS dam_ids, \
                 array_agg(inbreeding) AS inbreeding \
             FROM (SELECT *, (row_number() OVER () - 1) / 8192 AS part FROM whole_pedigree()) dogs \
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
    if let Some(kept) = read.kept.filter(|kept| *kept < read.head && !read.known.is_empty()) {
        let changed = changed_rows(tx, kept).await?;
        read.edited = changed.iter().filter(|row| !row.created).filter_map(|row| row.id).collect();
    }
    Ok(read)
}

/// The book of a pedigree: coefficients that are good are taken, the others computed.
fn computed(read: Read, threads: usize) -> Result<(Book, Unkept), PedigreeError<Uuid>> {
    let Read { head, kept, rows, mut known, edited } = read;
    let pedigree = Pedigree::build(rows)?;
    let edited: Vec<_> = edited.iter().filter_map(|id| pedigree.find(id)).collect();
    if !edited.is_empty() {
        let stale = pedigree.parents().descendants(&edited);
        known.retain(|(id, _)| pedigree.find(id).is_some_and(|dog| !stale[dog as usize]));
    }
    let (book, unkept) = if known.len() < pedigree.len() / 2 {
        (Studbook::compute(pedigree, threads), Unkept::default())
    } else {
        let mut dogs = BTreeSet::new();
        if known.len() < pedigree.len() {
            let known: HashSet<&Uuid> = known.iter().map(|(id, _)| id).collect();
            dogs.extend(pedigree.ids().iter().filter(|id| !known.contains(id)));
        }
        (Studbook::with_known(pedigree, known), Unkept { since: kept, dogs })
    };
    Ok((Book { head, studbook: Arc::new(book) }, unkept))
}

/// Writes to the database what was computed. A failure costs a later reader the computation.
async fn keep(db: Db, scope: Scope, place: Arc<KennelShelf>) {
    let _writing = place.writer.lock().await;
    let (book, unkept) = {
        let unkept = place.keeper.lock().await;
        (place.book(), unkept.clone())
    };
    let Some(book) = book.filter(|book| unkept.since != Some(book.head)) else { return };
    match db.within(&scope, async |tx| write(tx, &book, &unkept).await).await {
        Ok(true) => {
            let mut now = place.keeper.lock().await;
            now.since = Some(book.head);
            if place.book().is_some_and(|latest| latest.head == book.head) {
                now.dogs.clear();
            }
        }
        Ok(false) => {}
        Err(error) => tracing::warn!(%error, "coefficients of inbreeding were not kept"),
    }
}

/// Writes what the database lacks of a book; whether it holds the book then.
async fn write(tx: &mut Tx, book: &Book, unkept: &Unkept) -> StoreResult<bool> {
    let kennel_id = tx.scope.kennel_id();
    statement("INSERT INTO inbreeding_heads VALUES ($1, -1) ON CONFLICT DO NOTHING")
        .bind::<SqlUuid, _>(kennel_id)
        .execute(&mut tx.conn)
        .await?;
    let stored = statement(
        "SELECT sequence FROM inbreeding_heads WHERE kennel_id = $1 FOR UPDATE SKIP LOCKED",
    )
    .bind::<SqlUuid, _>(kennel_id)
    .get_result::<HeadRow>(&mut tx.conn)
    .await
    .optional()?;
    // Another instance is writing just now, or has written more than we know.
    let Some(stored) = stored.map(|row| PedigreeHead(row.sequence)) else { return Ok(false) };
    if stored >= book.head {
        return Ok(stored == book.head);
    }
    let few = unkept.since.is_some_and(|since| since <= stored);
    let all = book.studbook.pedigree().ids().iter().zip(book.studbook.coefficients());
    let lacking: Vec<(Uuid, f64)> = all
        .map(|(id, inbreeding)| (*id, inbreeding.clamp(0.0, 1.0)))
        .filter(|(id, _)| !few || unkept.dogs.contains(id))
        .collect();
    if lacking.len() > super::MANY_ROWS {
        tx.expect_many_rows().await?;
    }
    for chunk in lacking.chunks(CHUNK) {
        let (ids, coefficients): (Vec<Uuid>, Vec<f64>) = chunk.iter().copied().unzip();
        statement("SELECT keep_inbreeding($1, $2)")
            .bind::<Array<SqlUuid>, _>(ids)
            .bind::<Array<Double>, _>(coefficients)
            .execute(&mut tx.conn)
            .await?;
    }
    statement("UPDATE inbreeding_heads SET sequence = $1 WHERE kennel_id = $2")
        .bind::<BigInt, _>(book.head.0)
        .bind::<SqlUuid, _>(kennel_id)
        .execute(&mut tx.conn)
        .await?;
    Ok(true)
}
