//! What a kennel plans with: places, people away, stock, templates, tasks and what was done.

use super::{
    StoreError, StoreResult, Tx,
    keep::{self, Hooks, Keep, Page, keep},
    kennels, schema,
    scope::{Right, Scope},
};
use catalogue::said;
use chrono::{DateTime, Duration, NaiveDate, Utc};
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, QueryDsl as _, Queryable, Selectable,
    SelectableHelper as _,
};
use diesel_async::RunQueryDsl as _;
use domain::{
    agenda::House,
    breeding_limits::RuleSet,
    planner::{BuyerWish, DateSpan, PlannerPerson, WhelpingPlace},
    pregnancy::DamRecords,
    preparation::{PreparationTemplate, SupplyStock, TemplateOverlay},
    record::{
        Absence, AbsenceFilter, Buyer, BuyerFilter, Kept, OnlyOne, OwnTask, OwnTaskFilter, Place,
        PlaceFilter, PlannerSettings, Role, Supply, SupplyFilter,
    },
    rules::Rules,
    tasks::{GeneratedTask, Marked, TaskMark},
    whelping::WhelpingEvent,
};
use std::collections::BTreeMap;
use uuid::Uuid;

keep!(Place in places { name, kind, capacity, closed as json, note }
    sorted { name Name, kind Word, capacity Number }
    filter PlaceFilter { kind == kind });

impl Hooks for Place {}

keep!(Absence in absences { person_id, from_on, to_on, note }
sorted { from_on Day, to_on Day } dated from_on
filter AbsenceFilter { person_id == person_id });

impl Hooks for Absence {
    fn may_write(&self, scope: &Scope) -> StoreResult<()> {
        if self.person_id != scope.person_id() && !scope.allows(Right::Managing) {
            return Err(StoreError::Forbidden(said!("problem-forbidden-absences")));
        }
        Ok(())
    }
}

keep!(Supply in supplies { key, on_hand, counted_on, note }
sorted { key Word, counted_on Day }
filter SupplyFilter { key == key });

impl Hooks for Supply {
    fn may_write(&self, scope: &Scope) -> StoreResult<()> {
        require_whole_kennel(scope)
    }

    async fn completed(self, tx: &mut Tx, before: Option<&Kept<Self>>) -> StoreResult<Self> {
        Ok(self.completed_on(before.map(|kept| &kept.record), tx.scope.today()))
    }

    async fn validate(&self, tx: &mut Tx, _before: Option<&Kept<Self>>) -> StoreResult<()> {
        Ok(self.admit(&template(tx).await?)?)
    }
}

keep!(TemplateOverlay in preparation_templates { tasks as json, supplies as json, without as json }
    sorted {}
    filter OnlyOne {});

impl Hooks for TemplateOverlay {}

keep!(PlannerSettings in planner_settings { breeding_rules }
    sorted {}
    filter OnlyOne {});

impl Hooks for PlannerSettings {}

keep!(OwnTask in own_tasks { title, from_on, due_on, litter_id, dog_id, note }
sorted { due_on Day, title Name, from_on Day } dated due_on
filter OwnTaskFilter { litter_id == litter_id, dog_id == dog_id });

impl Hooks for OwnTask {
    fn may_write(&self, scope: &Scope) -> StoreResult<()> {
        if self.litter_id.is_none() && self.dog_id.is_none() && !scope.allows(Right::Managing) {
            return Err(StoreError::Forbidden(said!("problem-forbidden-kennels-task")));
        }
        Ok(())
    }
}

/// Refuses co-owners: what belongs to the kennel as a whole is not theirs to change.
fn require_whole_kennel(scope: &Scope) -> StoreResult<()> {
    if scope.sees_all_dogs() {
        return Ok(());
    }
    Err(StoreError::Forbidden(said!("problem-forbidden-whole-kennel")))
}

/// Most rows of a kind that a plan is made of; a kennel has fewer by far.
const ALL: Page = Page::first(10_000);

/// The kennel's preparation: the default with its own on top.
///
/// # Errors
/// When the database is away.
pub async fn template(tx: &mut Tx) -> StoreResult<PreparationTemplate> {
    let overlay = keep::only::<TemplateOverlay>(tx).await?.map(|kept| kept.record);
    let standard = PreparationTemplate::standard();
    // It was admitted when it was written; if the default has changed since, that one holds.
    Ok(overlay
        .and_then(|own| PreparationTemplate::standard().with(&own, &Rules::standard()).ok())
        .unwrap_or(standard))
}

/// The set of breeding limits that the kennel keeps.
///
/// # Errors
/// When the database is away.
pub async fn breeding_rules(tx: &mut Tx) -> StoreResult<Option<&'static RuleSet>> {
    let settings = keep::only::<PlannerSettings>(tx).await?.map(|kept| kept.record);
    Ok(RuleSet::named(&settings.unwrap_or_default().breeding_rules))
}

/// The kennel's places.
///
/// # Errors
/// When the database is away.
pub async fn places(tx: &mut Tx) -> StoreResult<Vec<WhelpingPlace>> {
    let places = Place::page(tx, None, &PlaceFilter::default(), ALL).await?;
    Ok(places
        .into_iter()
        .map(|kept| WhelpingPlace {
            id: kept.id,
            name: kept.record.name,
            capacity: u32::try_from(kept.record.capacity).unwrap_or(1),
            closed: kept.record.closed,
        })
        .collect())
}

/// The people who help with litters, and when they are away.
///
/// # Errors
/// When the database is away.
pub async fn people(tx: &mut Tx) -> StoreResult<Vec<PlannerPerson>> {
    let absences = Absence::page(tx, None, &AbsenceFilter::default(), ALL).await?;
    let members = kennels::members(tx).await?;
    Ok(members
        .into_iter()
        .filter(|m| matches!(m.member.record.role, Role::Owner | Role::Helper))
        .map(|m| PlannerPerson {
            id: m.person.id,
            name: m.person.name,
            away: absences
                .iter()
                .filter(|a| a.record.person_id == m.person.id)
                .map(|a| DateSpan { from: a.record.from_on, to: a.record.to_on })
                .collect(),
        })
        .collect())
}

/// Buyers who wait; none for a role that does not place pups.
///
/// # Errors
/// When the database is away.
pub async fn waiting_buyers(tx: &mut Tx) -> StoreResult<Vec<BuyerWish>> {
    if !tx.scope.allows(Right::Placing) {
        return Ok(Vec::new());
    }
    let waiting = BuyerFilter { waiting: Some(true), ..BuyerFilter::default() };
    let buyers = Buyer::page(tx, None, &waiting, ALL).await?;
    Ok(buyers
        .into_iter()
        .map(|kept| BuyerWish {
            buyer_id: kept.id,
            joined_on: kept.record.joined_on,
            sex: kept.record.wishes.sex,
            colour: kept.record.wishes.colour,
        })
        .collect())
}

/// What is on hand.
///
/// # Errors
/// When the database is away.
pub(crate) async fn stock(tx: &mut Tx) -> StoreResult<Vec<SupplyStock>> {
    let supplies = Supply::page(tx, None, &SupplyFilter::default(), ALL).await?;
    Ok(supplies
        .into_iter()
        .map(|kept| SupplyStock {
            key: kept.record.key,
            on_hand: kept.record.on_hand,
            counted_on: kept.record.counted_on.unwrap_or_else(|| tx.scope.day_of(kept.updated_at)),
        })
        .collect())
}

/// How long before now rounds of temperatures are looked up: those of one litter lie within.
const ROUNDS_DAYS: i64 = 60;

/// Where litters lie, what is on hand, and which rounds were made for the litters of these dams.
///
/// # Errors
/// When the database is away.
pub async fn house(tx: &mut Tx, dams: &[DamRecords]) -> StoreResult<House> {
    let places = places(tx).await?.into_iter().map(|place| (place.id, place.name)).collect();
    let stock = stock(tx).await?;
    let temperatures =
        temperature_rounds(tx, dams, tx.scope.now() - Duration::days(ROUNDS_DAYS)).await?;
    Ok(House { places, temperatures, stock })
}

/// A line of the log of a whelping.
#[derive(Queryable, Selectable)]
#[diesel(table_name = schema::whelping_lines)]
struct LoggedRow {
    litter_id: Uuid,
    at: DateTime<Utc>,
    event: WhelpingEvent,
}

/// The days on which dams were taken the temperature of, by litter: as a temperature, with a check
/// after the birth, or in the log of the whelping.
async fn temperature_rounds(
    tx: &mut Tx,
    dams: &[DamRecords],
    since: DateTime<Utc>,
) -> StoreResult<BTreeMap<Uuid, Vec<NaiveDate>>> {
    use schema::{dam_checks as c, temperatures as t, whelping_lines as w};
    let kennel_id = tx.scope.kennel_id();
    let dam_ids: Vec<Uuid> = dams.iter().map(|dam| dam.dam_id).collect();
    let of_dams =
        || dams.iter().flat_map(|dam| dam.litters.iter().map(|l| (dam.dam_id, l.litter.id)));
    let litters: Vec<Uuid> = of_dams().map(|(_, litter_id)| litter_id).collect();
    let taken: Vec<(Uuid, DateTime<Utc>)> = t::table
        .filter(t::kennel_id.eq(kennel_id).and(t::dog_id.eq_any(dam_ids)))
        .filter(t::measured_at.ge(since))
        .select((t::dog_id, t::measured_at))
        .load(&mut tx.conn)
        .await?;
    let checked: Vec<(Uuid, DateTime<Utc>)> = c::table
        .filter(c::kennel_id.eq(kennel_id).and(c::litter_id.eq_any(&litters)))
        .filter(c::temperature_c.is_not_null().and(c::checked_at.ge(since)))
        .select((c::litter_id, c::checked_at))
        .load(&mut tx.conn)
        .await?;
    let logged: Vec<LoggedRow> = w::table
        .filter(w::kennel_id.eq(kennel_id).and(w::litter_id.eq_any(&litters)))
        .filter(w::at.ge(since))
        .select(LoggedRow::as_select())
        .load(&mut tx.conn)
        .await?;
    let mut days: BTreeMap<Uuid, Vec<NaiveDate>> = BTreeMap::new();
    for (litter_id, at) in checked {
        days.entry(litter_id).or_default().push(tx.scope.day_of(at));
    }
    for LoggedRow { litter_id, at, event } in logged {
        if matches!(event, WhelpingEvent::Temperature { .. }) {
            days.entry(litter_id).or_default().push(tx.scope.day_of(at));
        }
    }
    for (dam_id, litter_id) in of_dams() {
        let own = taken.iter().filter(|(dog_id, _)| *dog_id == dam_id);
        days.entry(litter_id).or_default().extend(own.map(|(_, at)| tx.scope.day_of(*at)));
    }
    Ok(days)
}

/// Tasks that people wrote, due on or after `since` or never marked as done.
///
/// # Errors
/// When the database is away.
pub async fn own_tasks(tx: &mut Tx) -> StoreResult<Vec<Kept<OwnTask>>> {
    OwnTask::page(tx, None, &OwnTaskFilter::default(), ALL).await
}

/// What a person did about a task, as it is kept.
#[derive(Queryable, Selectable)]
#[diesel(table_name = schema::task_marks)]
struct MarkRow {
    key: String,
    version: i64,
    assignee_id: Option<Uuid>,
    done_at: Option<DateTime<Utc>>,
    done_by: Option<Uuid>,
    snoozed_until: Option<NaiveDate>,
    snooze_reason: Option<String>,
}

/// What people did about tasks, by the tasks' keys.
///
/// # Errors
/// When the database is away.
pub async fn marks(tx: &mut Tx) -> StoreResult<BTreeMap<String, Marked>> {
    use schema::task_marks::dsl;
    let rows: Vec<MarkRow> = dsl::task_marks
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()))
        .select(MarkRow::as_select())
        .load(&mut tx.conn)
        .await?;
    let marked = |row: MarkRow| {
        let MarkRow { assignee_id, done_at, done_by, snoozed_until, snooze_reason, .. } = row;
        let mark = TaskMark { assignee_id, done_at, done_by, snoozed_until, snooze_reason };
        (row.key, (row.version, mark))
    };
    Ok(rows.into_iter().map(marked).collect())
}

/// Writes what a person did about a task; version 0 is that of nothing yet.
///
/// # Errors
/// [`StoreError::Stale`] when somebody else was faster; when the assignee is no member.
pub async fn mark(
    tx: &mut Tx,
    task: &GeneratedTask,
    version: i64,
    mark: &TaskMark,
) -> StoreResult<()> {
    use schema::task_marks::dsl;
    tx.scope.require(Right::Observations)?;
    if task.litter_id.is_none() && task.dog_id.is_none() {
        require_whole_kennel(&tx.scope)?;
    }
    let values = (
        dsl::assignee_id.eq(mark.assignee_id),
        dsl::done_at.eq(mark.done_at),
        dsl::done_by.eq(mark.done_by),
        dsl::snoozed_until.eq(mark.snoozed_until),
        dsl::snooze_reason.eq(&mark.snooze_reason),
    );
    let own = dsl::kennel_id.eq(tx.scope.kennel_id());
    if version == 0 {
        let subject = (dsl::litter_id.eq(task.litter_id), dsl::dog_id.eq(task.dog_id));
        diesel::insert_into(dsl::task_marks)
            .values((own, dsl::id.eq(Uuid::now_v7()), dsl::key.eq(&task.key), subject, values))
            .execute(&mut tx.conn)
            .await?;
        return Ok(());
    }
    let row = dsl::task_marks.filter(own.and(dsl::key.eq(&task.key)).and(dsl::version.eq(version)));
    match diesel::update(row).set(values).execute(&mut tx.conn).await? {
        0 => Err(StoreError::Stale),
        _ => Ok(()),
    }
}
