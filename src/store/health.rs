//! Health events, health plans with their versions, and the plans applied to litters.

use super::{
    StoreError, StoreResult, Tx, asked,
    keep::{Hooks, Keep as _, Page, keep},
    reads::ListKey,
    schema,
};
use catalogue::said;
use chrono::NaiveDate;
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, QueryDsl as _, Queryable, Selectable,
    SelectableHelper as _,
};
use diesel_async::RunQueryDsl as _;
use domain::{
    admission::version_to_apply,
    record::{
        BreedTest, BreedTestFilter, HealthEvent, HealthEventFilter, HealthPlanFilter, Kept,
        LitterPlan, LitterPlanFilter,
    },
    schedule::{
        AppliedPlan, HealthPlan, HealthPlanVersion, PlanBook, RegionalSchedule, regional_schedule,
    },
};
use std::sync::Arc;
use uuid::Uuid;

keep!(HealthEvent in health_events {
    dog_id, kind, given_at, series, step, also_series as json, result, protective, product, batch, expires_on, given_by, site, reaction, buyer_id, note,
    confirmed,
}
sorted { given_at Time, kind Word, expires_on Day } dated given_at
filter HealthEventFilter { dog_id == dog_id, kind == kind, batch == batch, buyer_id == buyer_id }, of dog_id, in batches);

impl Hooks for HealthEvent {
    /// Nothing is given to a dog that is not born yet.
    async fn validate(&self, tx: &mut Tx, before: Option<&Kept<Self>>) -> StoreResult<()> {
        let dog = match <domain::record::Dog as crate::keep::Keep>::select(tx, self.dog_id, false)
            .await
        {
            Ok(dog) => dog.record,
            Err(StoreError::NotFound) => {
                return Err(StoreError::refused("/dog_id", said!("fault-not-found-dog-here")));
            }
            Err(error) => return Err(error),
        };
        let told_by =
            self.buyer_id.filter(|_| before.is_none_or(|b| b.record.buyer_id != self.buyer_id));
        if let Some(buyer_id) = told_by {
            match <domain::record::Buyer as crate::keep::Keep>::select(tx, buyer_id, false).await {
                Err(StoreError::NotFound) => {
                    return Err(StoreError::refused(
                        "/buyer_id",
                        said!("fault-not-found-buyer-here"),
                    ));
                }
                found => drop(found?),
            }
        }
        let given_on = tx.scope.day_of(self.given_at);
        self.admit(given_on, dog.born_on)?;
        if !self.is_asked_about(before.map(|kept| &kept.record)) {
            return Ok(());
        }
        asked(domain::slips::expiry(self, given_on))
    }
}

keep!(BreedTest in breed_tests { breed, series, name, of, needed, valid_days, source }
sorted { breed Name, series Word }
filter BreedTestFilter { series == series, breed == breed });

impl Hooks for BreedTest {}

/// Most tests that a kennel asks for itself; a kennel has fewer by far.
const ALL_TESTS: Page = Page::first(1_000);

/// The tests that the kennel asks for itself before a mating.
///
/// # Errors
/// When the database is away.
pub async fn breed_tests(tx: &mut Tx) -> StoreResult<Vec<BreedTest>> {
    let kept = BreedTest::page(tx, None, &BreedTestFilter::default(), ALL_TESTS).await?;
    Ok(kept.into_iter().map(|kept| kept.record).collect())
}

keep!(HealthPlan in health_plans { key, name, subject, by_default, instead_of, source, steps as json }
sorted { name Name, key Word }
filter HealthPlanFilter { key == key });

impl Hooks for HealthPlan {
    async fn validate(&self, _tx: &mut Tx, before: Option<&Kept<Self>>) -> StoreResult<()> {
        match before {
            Some(before) => Ok(self.admit_change(&before.record)?),
            None => Ok(()),
        }
    }

    /// Every write adds a version; none is ever changed.
    async fn after_write(
        tx: &mut Tx,
        _id: Uuid,
        _before: Option<&Self>,
        after: &Self,
    ) -> StoreResult<()> {
        add_version(tx, &after.key, Some(after)).await
    }

    async fn after_removal(tx: &mut Tx, kept: &Kept<Self>) -> StoreResult<()> {
        add_version(tx, &kept.record.key, None).await
    }
}

keep!(LitterPlan in litter_plans { litter_id, plan_key, plan_version, reason }
sorted { plan_key Word }
filter LitterPlanFilter { plan_key == plan_key });

impl Hooks for LitterPlan {
    async fn completed(self, tx: &mut Tx, _before: Option<&Kept<Self>>) -> StoreResult<Self> {
        let last = versions(tx, Some(&self.plan_key)).await?.pop();
        let number = version_to_apply(&self.plan_key, last.as_ref().map(|(_, version)| version))?;
        Ok(Self { plan_version: number.and_then(|number| i32::try_from(number).ok()), ..self })
    }
}

/// The version that a plan has from today on.
async fn add_version(tx: &mut Tx, key: &str, plan: Option<&HealthPlan>) -> StoreResult<()> {
    use schema::health_plan_versions::dsl;
    let last: Option<i32> = dsl::health_plan_versions
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::plan_key.eq(key)))
        .select(diesel::dsl::max(dsl::number))
        .first(&mut tx.conn)
        .await?;
    diesel::insert_into(dsl::health_plan_versions)
        .values((
            dsl::kennel_id.eq(tx.scope.kennel_id()),
            dsl::id.eq(Uuid::now_v7()),
            dsl::plan_key.eq(key),
            dsl::number.eq(last.unwrap_or(0) + 1),
            dsl::in_force_from.eq(tx.scope.today()),
            dsl::plan.eq(plan),
        ))
        .execute(&mut tx.conn)
        .await?;
    Ok(())
}

/// A version of a plan, as it is kept.
#[derive(Queryable, Selectable)]
#[diesel(table_name = schema::health_plan_versions)]
struct VersionRow {
    plan_key: String,
    number: i32,
    in_force_from: NaiveDate,
    plan: Option<HealthPlan>,
}

/// That a litter follows a plan.
#[derive(Clone, PartialEq, Queryable, Selectable)]
#[diesel(table_name = schema::litter_plans)]
struct AppliedRow {
    litter_id: Uuid,
    plan_key: String,
    plan_version: Option<i32>,
}

/// All versions of the kennel's plans, or of one, by key and number.
async fn versions(tx: &Tx, key: Option<&str>) -> StoreResult<Vec<(String, HealthPlanVersion)>> {
    use schema::health_plan_versions::dsl;
    let mut query = dsl::health_plan_versions
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()))
        .select(VersionRow::as_select())
        .order((dsl::plan_key, dsl::number))
        .into_boxed();
    if let Some(key) = key {
        query = query.filter(dsl::plan_key.eq(key));
    }
    let rows: Vec<VersionRow> = query.load(&mut tx.pipelined()).await?;
    let version = |VersionRow { plan_key, number, in_force_from, plan }| {
        let number = u32::try_from(number).unwrap_or_default();
        (plan_key, HealthPlanVersion { number, in_force_from, plan })
    };
    Ok(rows.into_iter().map(version).collect())
}

/// The versions of one of the kennel's plans, the first first.
///
/// # Errors
/// [`StoreError::NotFound`] when there is no such plan.
pub async fn versions_of(tx: &mut Tx, plan_id: Uuid) -> StoreResult<Vec<HealthPlanVersion>> {
    let plan = super::keep::find::<HealthPlan>(tx, plan_id).await?;
    let versions = versions(tx, Some(&plan.record.key)).await?;
    Ok(versions.into_iter().map(|(_, version)| version).collect())
}

/// What was given to a dog and found, in no order.
///
/// # Errors
/// When the database is away.
pub async fn events_of(tx: &mut Tx, dog_id: Uuid) -> StoreResult<Vec<Kept<HealthEvent>>> {
    use crate::keep::Gather as _;
    HealthEvent::gather(tx, &[dog_id]).await
}

/// What the kennel's country calls for, and which of it the kennel follows.
///
/// # Errors
/// When the database is away.
pub async fn regional(tx: &mut Tx) -> StoreResult<RegionalSchedule> {
    let moment = tx.moment().await?;
    let own = moment.plans.own_on(moment.today());
    Ok(regional_schedule(tx.scope.jurisdiction(), &own, moment.today(), &moment.rules))
}

/// The kennel's plans through time, and which litter follows which.
///
/// # Errors
/// When the database is away.
pub(crate) async fn plan_book(tx: &Tx) -> StoreResult<PlanBook> {
    use schema::litter_plans::dsl;
    let read_applied = async || {
        let query = dsl::litter_plans
            .filter(dsl::kennel_id.eq(tx.scope.kennel_id()))
            .select(AppliedRow::as_select())
            .order(dsl::id);
        Ok(query.load(&mut tx.pipelined()).await?)
    };
    let of_plans = &["health_plan", "health_plan_version"];
    let (versions, applied) = tokio::try_join!(
        tx.remembered(
            || ListKey::all("versions of plans"),
            of_plans,
            async || { versions(tx, None).await }
        ),
        tx.remembered(|| ListKey::all("plans of litters"), &["litter_plan"], read_applied),
    )?;
    let jurisdiction = tx.scope.jurisdiction().to_owned();
    let mut book = PlanBook { jurisdiction, ..PlanBook::default() };
    for (key, version) in Arc::unwrap_or_clone(versions) {
        book.versions.entry(key).or_default().push(version);
    }
    let applied: Vec<AppliedRow> = Arc::unwrap_or_clone(applied);
    for AppliedRow { litter_id, plan_key, plan_version } in applied {
        let number = plan_version.and_then(|number| u32::try_from(number).ok());
        book.applied.entry(litter_id).or_default().push(AppliedPlan { key: plan_key, number });
    }
    Ok(book)
}
