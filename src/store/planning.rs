//! What a kennel plans with: places, people away, stock, templates, tasks and what was done.

use super::{
    StoreError, StoreResult, Tx,
    keep::{self, Keep, Page, keep},
    kennels, schema,
    scope::{Right, Scope},
};
use chrono::{DateTime, Duration, NaiveDate, Utc};
use diesel::{BoolExpressionMethods as _, ExpressionMethods as _, QueryDsl as _};
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
    filter PlaceFilter { kind == kind };
    read Dogs, write Managing);

keep!(Absence in absences { person_id, from_on, to_on, note }
filter AbsenceFilter { person_id == person_id };
read Dogs, write Dogs, {
    fn may_write(&self, scope: &Scope) -> StoreResult<()> {
        if self.person_id != scope.person_id() && !scope.allows(Right::Managing) {
            return Err(StoreError::Forbidden("only an owner enters other people's absences"));
        }
        Ok(())
    }
});

keep!(Supply in supplies { key, on_hand, counted_on, note }
filter SupplyFilter { key == key };
read Dogs, write Observations, {
    fn may_write(&self, scope: &Scope) -> StoreResult<()> {
        require_whole_kennel(scope)
    }

    /// An amount that changes was counted today, unless it is said otherwise.
    async fn completed(self, tx: &mut Tx, before: Option<&Kept<Self>>) -> StoreResult<Self> {
        let old = before.map(|before| &before.record);
        let counted_anew = old.is_none_or(|old| {
            old.on_hand.to_bits() != self.on_hand.to_bits() && old.counted_on == self.counted_on
        });
        let said = self.counted_on.filter(|_| !counted_anew || old.is_none());
        Ok(Self { counted_on: said.or_else(|| Some(tx.scope.today())), ..self })
    }

    async fn validate(&self, tx: &mut Tx, _before: Option<&Kept<Self>>) -> StoreResult<()> {
        let template = template(tx).await?;
        if template.supplies.iter().any(|supply| supply.key == self.key) {
            return Ok(());
        }
        let keys: Vec<&str> = template.supplies.iter().map(|s| s.key.as_str()).collect();
        Err(StoreError::refused(
            "/key",
            format!(
                "is no supply of the kennel's preparation template ({}); add it there first",
                keys.join(", ")
            ),
        ))
    }
});

keep!(TemplateOverlay in preparation_templates { tasks as json, supplies as json, without as json }
    filter OnlyOne {};
    read Dogs, write Managing);

keep!(PlannerSettings in planner_settings { breeding_rules }
    filter OnlyOne {};
    read Dogs, write Managing);

keep!(OwnTask in own_tasks { title, from_on, due_on, litter_id, dog_id, note }
filter OwnTaskFilter { litter_id == litter_id, dog_id == dog_id };
read Dogs, write Observations, {
    fn may_write(&self, scope: &Scope) -> StoreResult<()> {
        if self.litter_id.is_none() && self.dog_id.is_none() && !scope.allows(Right::Managing) {
            return Err(StoreError::Forbidden(
                "a task of the whole kennel is an owner's; name the dog or the litter that it is about",
            ));
        }
        Ok(())
    }
});

/// Refuses co-owners: what belongs to the kennel as a whole is not theirs to change.
fn require_whole_kennel(scope: &Scope) -> StoreResult<()> {
    if scope.sees_all_dogs() {
        return Ok(());
    }
    Err(StoreError::Forbidden("this belongs to the whole kennel; ask an owner to change it"))
}

/// Most rows of a kind that a plan is made of; a kennel has fewer by far.
const ALL: Page = Page { after: None, limit: 10_000 };

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
    let waiting = BuyerFilter { waiting: Some(true) };
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
pub async fn stock(tx: &mut Tx) -> StoreResult<Vec<SupplyStock>> {
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
    let logged: Vec<(Uuid, DateTime<Utc>, WhelpingEvent)> = w::table
        .filter(w::kennel_id.eq(kennel_id).and(w::litter_id.eq_any(&litters)))
        .filter(w::at.ge(since))
        .select((w::litter_id, w::at, w::event))
        .load(&mut tx.conn)
        .await?;
    let mut days: BTreeMap<Uuid, Vec<NaiveDate>> = BTreeMap::new();
    for (litter_id, at) in checked {
        days.entry(litter_id).or_default().push(tx.scope.day_of(at));
    }
    for (litter_id, at, event) in logged {
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

type MarkRow = (
    String,
    i64,
    (Option<Uuid>, Option<DateTime<Utc>>, Option<Uuid>, Option<NaiveDate>, Option<String>),
);

/// What people did about tasks, by the tasks' keys.
///
/// # Errors
/// When the database is away.
pub async fn marks(tx: &mut Tx) -> StoreResult<BTreeMap<String, Marked>> {
    use schema::task_marks::dsl;
    let rows: Vec<MarkRow> = dsl::task_marks
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()))
        .select((
            dsl::key,
            dsl::version,
            (dsl::assignee_id, dsl::done_at, dsl::done_by, dsl::snoozed_until, dsl::snooze_reason),
        ))
        .load(&mut tx.conn)
        .await?;
    Ok(rows
        .into_iter()
        .map(|(key, version, (assignee_id, done_at, done_by, snoozed_until, snooze_reason))| {
            let mark = TaskMark { assignee_id, done_at, done_by, snoozed_until, snooze_reason };
            (key, (version, mark))
        })
        .collect())
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
