//! What a kennel plans with: places, people away, stock, templates, tasks and what was done.

use super::{
    StoreError, StoreResult, Tx,
    keep::{self, Keep, Page, keep},
    kennels,
    people::Right,
    schema,
};
use crate::domain::{
    breeding_limits::RuleSet,
    planner::{BuyerWish, DateSpan, PlannerPerson, WhelpingPlace},
    preparation::{PreparationTemplate, SupplyStock, TemplateOverlay},
    record::{
        Absence, AbsenceFilter, Buyer, BuyerFilter, Kept, OnlyOne, OwnTask, OwnTaskFilter, Place,
        PlaceFilter, PlannerSettings, Role, Supply, SupplyFilter,
    },
    rules::Rules,
    tasks::{GeneratedTask, TaskMark},
};
use chrono::{DateTime, NaiveDate, Utc};
use diesel::{BoolExpressionMethods as _, ExpressionMethods as _, QueryDsl as _};
use diesel_async::RunQueryDsl as _;
use std::collections::BTreeMap;
use uuid::Uuid;

keep!(Place in places { name, kind, capacity, closed as json, note }
    filter PlaceFilter { kind == kind };
    read Dogs, write Breeding);

keep!(Absence in absences { person_id, from_on, to_on, note }
filter AbsenceFilter { person_id == person_id };
read Dogs, write Dogs, {
    async fn admit(&self, tx: &mut Tx, before: Option<&Kept<Self>>) -> StoreResult<()> {
        let own = tx.scope.person_id();
        let others = self.person_id != own || before.is_some_and(|b| b.record.person_id != own);
        if others && !tx.scope.allows(Right::Managing) {
            return Err(StoreError::Forbidden("only an owner enters other people's absences"));
        }
        Ok(())
    }

    async fn withdraw(tx: &mut Tx, kept: &Kept<Self>) -> StoreResult<()> {
        kept.record.admit(tx, Some(kept)).await?;
        Self::delete(tx, kept.id).await
    }
});

keep!(Supply in supplies { key, on_hand, note }
filter SupplyFilter { key == key };
read Dogs, write Observations, {
    async fn admit(&self, tx: &mut Tx, _before: Option<&Kept<Self>>) -> StoreResult<()> {
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
    read Dogs, write Observations);

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
        .map(|kept| SupplyStock { key: kept.record.key, on_hand: kept.record.on_hand })
        .collect())
}

/// Tasks that people wrote, due on or after `since` or never marked as done.
///
/// # Errors
/// When the database is away.
pub async fn own_tasks(tx: &mut Tx) -> StoreResult<Vec<Kept<OwnTask>>> {
    OwnTask::page(tx, None, &OwnTaskFilter::default(), ALL).await
}

/// What people did about a task, and the version of that.
pub type Mark = (i64, TaskMark);

type MarkRow = (
    String,
    i64,
    (Option<Uuid>, Option<DateTime<Utc>>, Option<Uuid>, Option<NaiveDate>, Option<String>),
);

/// What people did about tasks, by the tasks' keys.
///
/// # Errors
/// When the database is away.
pub async fn marks(tx: &mut Tx) -> StoreResult<BTreeMap<String, Mark>> {
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
    if let Some(assignee) = mark.assignee_id {
        let members = kennels::members(tx).await?;
        if !members.iter().any(|m| m.person.id == assignee) {
            return Err(StoreError::refused("/assignee_id", "names no member of this kennel"));
        }
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
