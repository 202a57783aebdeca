//! Health events, health plans with their versions, and the plans applied to litters.

use super::{StoreError, StoreResult, Tx, asked, keep::keep, schema};
use chrono::NaiveDate;
use diesel::{BoolExpressionMethods as _, ExpressionMethods as _, QueryDsl as _};
use diesel_async::RunQueryDsl as _;
use domain::{
    record::{
        HealthEvent, HealthEventFilter, HealthPlanFilter, Kept, Litter, LitterPlan,
        LitterPlanFilter,
    },
    schedule::{AppliedPlan, HealthPlan, HealthPlanVersion, PlanBook, standard_plans},
};
use uuid::Uuid;

keep!(HealthEvent in health_events {
    dog_id, kind, given_at, series, step, product, batch, expires_on, given_by, site, reaction, buyer_id, note,
    confirmed,
}
filter HealthEventFilter { dog_id == dog_id, kind == kind, buyer_id == buyer_id };
read Dogs, write Observations, of dog_id, {
    /// Nothing is given to a dog that is not born yet.
    async fn validate(&self, tx: &mut Tx, before: Option<&Kept<Self>>) -> StoreResult<()> {
        let dog = match <domain::record::Dog as crate::keep::Keep>::select(tx, self.dog_id, false).await {
            Ok(dog) => dog.record,
            Err(StoreError::NotFound) => return Err(StoreError::refused("/dog_id", "names no dog of this kennel")),
            Err(error) => return Err(error),
        };
        let told_by = self.buyer_id.filter(|_| before.is_none_or(|b| b.record.buyer_id != self.buyer_id));
        if let Some(buyer_id) = told_by {
            match <domain::record::Buyer as crate::keep::Keep>::select(tx, buyer_id, false).await {
                Err(StoreError::NotFound) => return Err(StoreError::refused("/buyer_id", "names no buyer of this kennel")),
                found => drop(found?),
            }
        }
        let given_on = tx.scope.day_of(self.given_at);
        match dog.born_on.map(domain::partial_date::PartialDate::earliest) {
            Some(born_on) if given_on < born_on => Err(StoreError::refused(
                "/given_at",
                format!("is before the dog was born ({born_on}); correct one of the two"),
            )),
            _ => {
                let same = |kept: &Kept<Self>| {
                    (kept.record.given_at, kept.record.expires_on) == (self.given_at, self.expires_on)
                };
                if self.confirmed || before.is_some_and(same) {
                    return Ok(());
                }
                asked(domain::slips::expiry(self, given_on))
            }
        }
    }
});

keep!(HealthPlan in health_plans { key, name, subject, by_default, instead_of, source, steps as json }
filter HealthPlanFilter { key == key };
read Dogs, write Managing, {
    async fn validate(&self, _tx: &mut Tx, before: Option<&Kept<Self>>) -> StoreResult<()> {
        match before {
            Some(before) if before.record.key != self.key => {
                Err(StoreError::refused("/key", "does not change; make another plan with this key"))
            }
            _ => Ok(()),
        }
    }

    /// Every write adds a version; none is ever changed.
    async fn after_write(tx: &mut Tx, _before: Option<&Kept<Self>>, after: &Kept<Self>) -> StoreResult<()> {
        add_version(tx, &after.record.key, Some(&after.record)).await
    }

    async fn delete_cascading(tx: &mut Tx, kept: &Kept<Self>) -> StoreResult<()> {
        Self::delete(tx, kept.id).await?;
        add_version(tx, &kept.record.key, None).await
    }
});

keep!(LitterPlan in litter_plans { litter_id, plan_key, plan_version }
under litter_id of Litter
filter LitterPlanFilter { plan_key == plan_key };
read Dogs, write Breeding, {
    async fn completed(self, tx: &mut Tx, _before: Option<&Kept<Self>>) -> StoreResult<Self> {
        let plan_version = match versions(tx, Some(&self.plan_key)).await?.pop() {
            Some((_, HealthPlanVersion { number, plan: Some(_), .. })) => i32::try_from(number).ok(),
            _ if standard_plans().iter().any(|plan| plan.key == self.plan_key) => None,
            _ => {
                return Err(StoreError::refused(
                    "/plan_key",
                    "names neither a plan of this kennel nor a standard one; see health-plans",
                ));
            }
        };
        Ok(Self { plan_version, ..self })
    }
});

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

/// All versions of the kennel's plans, or of one, by key and number.
async fn versions(tx: &Tx, key: Option<&str>) -> StoreResult<Vec<(String, HealthPlanVersion)>> {
    use schema::health_plan_versions::dsl;
    let mut query = dsl::health_plan_versions
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()))
        .select((dsl::plan_key, dsl::number, dsl::in_force_from, dsl::plan))
        .order((dsl::plan_key, dsl::number))
        .into_boxed();
    if let Some(key) = key {
        query = query.filter(dsl::plan_key.eq(key));
    }
    let rows: Vec<(String, i32, NaiveDate, Option<HealthPlan>)> =
        query.load(&mut tx.pipelined()).await?;
    Ok(rows
        .into_iter()
        .map(|(key, number, in_force_from, plan)| {
            let number = u32::try_from(number).unwrap_or_default();
            (key, HealthPlanVersion { number, in_force_from, plan })
        })
        .collect())
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

/// The kennel's plans through time, and which litter follows which.
///
/// # Errors
/// When the database is away.
pub async fn plan_book(tx: &Tx) -> StoreResult<PlanBook> {
    use schema::litter_plans::dsl;
    let applied = dsl::litter_plans
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()))
        .select((dsl::litter_id, dsl::plan_key, dsl::plan_version))
        .order(dsl::id);
    let (versions, applied) = tokio::try_join!(versions(tx, None), async {
        let rows: Vec<(Uuid, String, Option<i32>)> = applied.load(&mut tx.pipelined()).await?;
        Ok(rows)
    })?;
    let mut book = PlanBook::default();
    for (key, version) in versions {
        book.versions.entry(key).or_default().push(version);
    }
    for (litter_id, key, number) in applied {
        let number = number.and_then(|number| u32::try_from(number).ok());
        book.applied.entry(litter_id).or_default().push(AppliedPlan { key, number });
    }
    Ok(book)
}
