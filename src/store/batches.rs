//! Many observations at once: every row is stored, there already, or refused for a reason of its own.
//!
//! Rows carry ids that the client made, so that sending them again changes nothing, in whatever order.

use super::{
    StoreError, StoreResult, Tx, births, changes,
    keep::{Keep, keep},
    schema, weight_batches,
};
use chrono::{DateTime, Duration, SubsecRound as _, Utc};
use diesel::{BoolExpressionMethods as _, ExpressionMethods as _, QueryDsl as _};
use diesel_async::RunQueryDsl as _;
use domain::{
    fault::Fault,
    record::{
        Birth, DamCheck, Feed, HealthEvent, Kept, PupCheck, RowStatus, Temperature, Weight,
        WhelpingLine,
    },
};
use std::collections::{HashMap, HashSet};
use uuid::Uuid;

/// Rows in one statement: far below the 65,535 parameters that Postgres takes.
const CHUNK: usize = 1000;

/// A row that was offered.
#[derive(Debug, Clone)]
pub struct Offered<R> {
    /// Its place in the batch.
    pub index: usize,
    /// The client's id.
    pub id: Uuid,
    /// What was observed.
    pub record: R,
}

/// What became of a row.
#[derive(Debug, Clone)]
pub struct RowOutcome {
    /// Its place in the batch.
    pub index: usize,
    /// What became of it.
    pub status: RowStatus,
    /// More about it.
    pub detail: Option<&'static str>,
    /// Why it was refused; the pointers lead into the record.
    pub errors: Vec<Fault>,
}

impl RowOutcome {
    pub(super) fn new(index: usize, status: RowStatus, detail: Option<&'static str>) -> Self {
        Self { index, status, detail, errors: Vec::new() }
    }

    /// Refused for these faults.
    pub fn refused(index: usize, errors: Vec<Fault>) -> Self {
        Self { index, status: RowStatus::Refused, detail: None, errors }
    }

    fn refused_for(index: usize, pointer: &str, detail: &str) -> Self {
        let fault = Fault { pointer: pointer.to_owned(), detail: detail.to_owned() };
        Self::refused(index, vec![fault])
    }
}

/// What one statement, or one row after another, wrote.
#[derive(Default)]
pub struct Written {
    stored: HashSet<Uuid>,
    refused: HashMap<Uuid, Vec<Fault>>,
}

/// A record that comes in batches.
pub trait Batched: Keep + PartialEq {
    /// The field that names what it is about.
    const SUBJECT: &'static str;

    /// What it is about.
    fn subject(&self) -> Uuid;
    /// When it was observed.
    fn at(&self) -> DateTime<Utc>;
    /// The same, observed at another time.
    fn set_at(&mut self, at: DateTime<Utc>);
    /// Of the subjects asked for, those that this person may see.
    fn subjects(tx: &mut Tx, ids: &[Uuid]) -> impl Future<Output = StoreResult<Vec<Uuid>>>;
    /// Rows by id.
    fn select_all(tx: &mut Tx, ids: &[Uuid]) -> impl Future<Output = StoreResult<Vec<Kept<Self>>>>;
    /// Writes rows; those whose id is taken are left out.
    fn write(tx: &mut Tx, rows: &[Offered<Self>]) -> impl Future<Output = StoreResult<Written>>;

    /// Takes out the rows that go against others.
    fn screen(
        tx: &mut Tx,
        rows: Vec<Offered<Self>>,
        done: &mut Vec<RowOutcome>,
    ) -> impl Future<Output = StoreResult<Vec<Offered<Self>>>> {
        async move {
            let mut good = Vec::with_capacity(rows.len());
            for mut row in rows {
                row.record = row.record.completed(tx, None).await?;
                match row.record.validate(tx, None).await {
                    Ok(()) => good.push(row),
                    Err(StoreError::Refused(faults)) => {
                        done.push(RowOutcome::refused(row.index, faults));
                    }
                    Err(error) => return Err(error),
                }
            }
            Ok(good)
        }
    }

    /// Whether a stored record is the one offered; when times were moved, they do not count.
    fn is_same(&self, stored: &Self, moved: bool) -> bool {
        let mut offered = self.clone();
        // Postgres keeps microseconds.
        offered.set_at(if moved { stored.at() } else { offered.at().trunc_subsecs(6) });
        offered == *stored
    }
}

/// Stores what can be stored of a batch, in any order and any number of times.
///
/// `moved_by` is taken off every time, for a clock that runs ahead.
///
/// # Errors
/// When the role does not allow it, or the database is away; never for a single row.
pub async fn store_all<R: Batched>(
    tx: &mut Tx,
    mut rows: Vec<Offered<R>>,
    moved_by: Option<Duration>,
) -> StoreResult<Vec<RowOutcome>> {
    tx.scope().require(R::WRITE)?;
    tx.begin_writing().await?;
    let mut done = Vec::with_capacity(rows.len());
    if rows.is_empty() {
        return Ok(done);
    }
    if let Some(by) = moved_by {
        for row in &mut rows {
            let at = row.record.at();
            row.record.set_at(at.checked_sub_signed(by).unwrap_or(at));
        }
    }
    let moved = moved_by.is_some();
    let rows = leave_known(tx, rows, moved, &mut done).await?;
    let rows = leave_doubled(rows, &mut done);
    let rows = leave_unseen(tx, rows, &mut done).await?;
    let rows = R::screen(tx, rows, &mut done).await?;
    for chunk in rows.chunks(CHUNK) {
        let mut written = R::write(tx, chunk).await?;
        let mut taken = Vec::new();
        for row in chunk {
            if written.stored.contains(&row.id) {
                done.push(RowOutcome::new(row.index, RowStatus::Stored, None));
            } else if let Some(faults) = written.refused.remove(&row.id) {
                done.push(RowOutcome::refused(row.index, faults));
            } else {
                taken.push(row.clone());
            }
        }
        // Somebody else sent the same rows a moment ago.
        for row in leave_known(tx, taken, moved, &mut done).await? {
            done.push(RowOutcome::refused_for(
                row.index,
                "/id",
                "is taken by another row; make a new UUID",
            ));
        }
    }
    Ok(done)
}

/// Answers the rows that were stored before, or stored and deleted since.
async fn leave_known<R: Batched>(
    tx: &mut Tx,
    rows: Vec<Offered<R>>,
    moved: bool,
    done: &mut Vec<RowOutcome>,
) -> StoreResult<Vec<Offered<R>>> {
    if rows.is_empty() {
        return Ok(rows);
    }
    let ids: Vec<Uuid> = rows.iter().map(|row| row.id).collect();
    let known: HashMap<Uuid, Kept<R>> =
        R::select_all(tx, &ids).await?.into_iter().map(|kept| (kept.id, kept)).collect();
    let deleted = changes::deleted(tx, &ids).await?;
    let mut new = Vec::with_capacity(rows.len());
    for row in rows {
        let index = row.index;
        match known.get(&row.id) {
            Some(kept) if row.record.is_same(&kept.record, moved) => {
                done.push(RowOutcome::new(index, RowStatus::AlreadyThere, None));
            }
            Some(kept) if kept.version > 1 => {
                let detail = "it was corrected since, and stays as corrected";
                done.push(RowOutcome::new(index, RowStatus::AlreadyThere, Some(detail)));
            }
            Some(_) => {
                let detail = "holds other values already; make a new UUID, or change that row";
                done.push(RowOutcome::refused_for(index, "/id", detail));
            }
            None if deleted.contains(&row.id) => {
                let detail = "it was stored before and deleted since, and stays deleted";
                done.push(RowOutcome::new(index, RowStatus::AlreadyThere, Some(detail)));
            }
            None => new.push(row),
        }
    }
    Ok(new)
}

/// Takes one of the rows that are twice in the batch; none where they differ.
fn leave_doubled<R: Batched>(rows: Vec<Offered<R>>, done: &mut Vec<RowOutcome>) -> Vec<Offered<R>> {
    let mut by_id: HashMap<Uuid, Vec<Offered<R>>> = HashMap::with_capacity(rows.len());
    for row in rows {
        by_id.entry(row.id).or_default().push(row);
    }
    let mut single = Vec::with_capacity(by_id.len());
    for mut same in by_id.into_values() {
        let Some(first) = same.pop() else { continue };
        if same.iter().all(|row| row.record == first.record) {
            let twice = same.iter().map(|row| row.index);
            done.extend(twice.map(|index| RowOutcome::new(index, RowStatus::AlreadyThere, None)));
            single.push(first);
        } else {
            for row in same.iter().chain([&first]) {
                let detail = "stands in this batch twice with different values";
                done.push(RowOutcome::refused_for(row.index, "/id", detail));
            }
        }
    }
    // As they happened, whatever the order they were sent in.
    single.sort_by_key(|row| (row.record.at(), row.id));
    single
}

/// Refuses rows about what this person does not see.
async fn leave_unseen<R: Batched>(
    tx: &mut Tx,
    rows: Vec<Offered<R>>,
    done: &mut Vec<RowOutcome>,
) -> StoreResult<Vec<Offered<R>>> {
    let wanted: HashSet<Uuid> = rows.iter().map(|row| row.record.subject()).collect();
    let wanted: Vec<Uuid> = wanted.into_iter().collect();
    let seen: HashSet<Uuid> = R::subjects(tx, &wanted).await?.into_iter().collect();
    let (good, unseen): (Vec<_>, Vec<_>) =
        rows.into_iter().partition(|row| seen.contains(&row.record.subject()));
    for row in unseen {
        let detail = "names nothing in this kennel that you may see";
        done.push(RowOutcome::refused_for(row.index, R::SUBJECT, detail));
    }
    Ok(good)
}

/// Implements [`Batched`] for a table whose rows are written many at once.
macro_rules! batched {
    (
        $record:ident in $table:ident { $($field:ident $(as $wrap:ident)?),+ $(,)? }
        at $at:ident, of $subject:ident in $subjects:ident $(, { $($extra:tt)* })?
    ) => {
        impl Batched for $record {
            const SUBJECT: &'static str = concat!("/", stringify!($subject));

            fn subject(&self) -> Uuid {
                self.$subject
            }

            fn at(&self) -> DateTime<Utc> {
                self.$at
            }

            fn set_at(&mut self, at: DateTime<Utc>) {
                self.$at = at;
            }

            async fn subjects(tx: &mut Tx, ids: &[Uuid]) -> StoreResult<Vec<Uuid>> {
                use schema::$subjects::dsl;
                Ok(dsl::$subjects
                    .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::id.eq_any(ids)))
                    .select(dsl::id)
                    .load(&mut tx.conn)
                    .await?)
            }

            async fn select_all(tx: &mut Tx, ids: &[Uuid]) -> StoreResult<Vec<Kept<Self>>> {
                use schema::$table::dsl;
                let rows = dsl::$table
                    .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::id.eq_any(ids)))
                    .select((
                        (dsl::id, dsl::version, dsl::created_at, dsl::updated_at),
                        ($(dsl::$field,)+),
                    ))
                    .load(&mut tx.conn)
                    .await?;
                Ok(rows
                    .into_iter()
                    .map(|(stamp, ($($field,)+))| super::keep::kept(stamp, $record { $($field: keep!(@read $field $(as $wrap)?),)+ }))
                    .collect())
            }

            async fn write(tx: &mut Tx, rows: &[Offered<Self>]) -> StoreResult<Written> {
                use schema::$table::dsl;
                let kennel_id = tx.scope.kennel_id();
                let values: Vec<_> = rows
                    .iter()
                    .map(|Offered { id, record, .. }| {
                        (dsl::kennel_id.eq(kennel_id), dsl::id.eq(id), $(dsl::$field.eq(keep!(@write record.$field $(as $wrap)?)),)+)
                    })
                    .collect();
                let stored: Vec<Uuid> = diesel::insert_into(dsl::$table)
                    .values(values)
                    .on_conflict((dsl::kennel_id, dsl::id))
                    .do_nothing()
                    .returning(dsl::id)
                    .get_results(&mut tx.conn)
                    .await?;
                Ok(Written { stored: stored.into_iter().collect(), ..Written::default() })
            }

            $($($extra)*)?
        }
    };
}

batched!(Temperature in temperatures { dog_id, measured_at, temperature_c, note }
    at measured_at, of dog_id in dogs);

batched!(HealthEvent in health_events { dog_id, kind, given_at, series, step, product, batch, expires_on, given_by, site, reaction,
    buyer_id, note, confirmed }
    at given_at, of dog_id in dogs);

batched!(WhelpingLine in whelping_lines { litter_id, at, event, note }
    at at, of litter_id in litters);

batched!(DamCheck in dam_checks {
    litter_id, checked_at, temperature_c, discharge, discharge_amount, eats, glands, signs as json,
    pups_cry, note,
} at checked_at, of litter_id in litters);

batched!(PupCheck in pup_checks { dog_id, checked_at, signs as json, nurses, note }
    at checked_at, of dog_id in dogs);

batched!(Feed in feeds { dog_id, fed_at, volume_ml, food, note, confirmed }
    at fed_at, of dog_id in dogs);

batched!(Weight in weights { dog_id, measured_at, weight_g, confirmed, at_birth, note }
at measured_at, of dog_id in dogs, {
    async fn screen(
        tx: &mut Tx,
        rows: Vec<Offered<Self>>,
        done: &mut Vec<RowOutcome>,
    ) -> StoreResult<Vec<Offered<Self>>> {
        weight_batches::screen(tx, rows, done).await
    }
});

impl Batched for Birth {
    const SUBJECT: &'static str = "/litter_id";

    fn subject(&self) -> Uuid {
        self.litter_id
    }

    fn at(&self) -> DateTime<Utc> {
        self.born_at
    }

    fn set_at(&mut self, at: DateTime<Utc>) {
        self.born_at = at;
    }

    async fn subjects(tx: &mut Tx, ids: &[Uuid]) -> StoreResult<Vec<Uuid>> {
        use schema::litters::dsl;
        Ok(dsl::litters
            .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::id.eq_any(ids)))
            .select(dsl::id)
            .load(&mut tx.conn)
            .await?)
    }

    async fn select_all(tx: &mut Tx, ids: &[Uuid]) -> StoreResult<Vec<Kept<Self>>> {
        births::select_all(tx, ids).await
    }

    /// One after another: each takes the next number of its litter.
    async fn write(tx: &mut Tx, rows: &[Offered<Self>]) -> StoreResult<Written> {
        let mut written = Written::default();
        for Offered { id, record, .. } in rows {
            let entered = tx.attempt(async |tx| births::enter_as(tx, *id, record).await).await;
            match entered {
                Ok(()) => {
                    written.stored.insert(*id);
                }
                Err(StoreError::Refused(faults)) => {
                    written.refused.insert(*id, faults);
                }
                Err(StoreError::Conflict(detail)) => {
                    // The same birth, sent a moment ago, is found by its id.
                    if births::select_all(tx, &[*id]).await?.is_empty() {
                        let fault = Fault { pointer: String::new(), detail };
                        written.refused.insert(*id, vec![fault]);
                    }
                }
                Err(error) => return Err(error),
            }
        }
        Ok(written)
    }

    /// A number and a dog that were left to the server do not count, nor a weight that was corrected
    /// where it lives.
    fn is_same(&self, stored: &Self, moved: bool) -> bool {
        let mut offered = Self { weight_g: stored.weight_g, ..self.clone() };
        offered.born_at = if moved { stored.born_at } else { offered.born_at.trunc_subsecs(6) };
        offered.ordinal = if offered.ordinal == 0 { stored.ordinal } else { offered.ordinal };
        offered.dog_id = if offered.dog_id.is_nil() { stored.dog_id } else { offered.dog_id };
        offered == *stored
    }

    /// Asked where it is entered, with its litter locked.
    async fn screen(
        _tx: &mut Tx,
        rows: Vec<Offered<Self>>,
        _done: &mut Vec<RowOutcome>,
    ) -> StoreResult<Vec<Offered<Self>>> {
        Ok(rows)
    }
}
