//! After a pup has gone: follow-ups with its new owner, news of its health; and what litters cost.

use super::{
    StoreError, StoreResult, Tx,
    keep::{Gather as _, Hooks, Keep, keep},
    schema,
    scope::{Right, Scope},
};
use crate::columns::Stored;
use catalogue::said;
use chrono::NaiveDate;
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, QueryDsl as _, Queryable, Selectable,
    SelectableHelper as _,
};
use diesel_async::RunQueryDsl as _;
use domain::{
    litter::{Presence, called},
    placement::{FollowUpsOfPup, PlacementKind, PlacementStage, follow_ups},
    record::{
        Cost, CostFilter, Dog, FollowUpDone, FollowUpDoneFilter, HealthEvent, Kept, Placement,
    },
};
use std::collections::BTreeMap;
use uuid::Uuid;

keep!(FollowUpDone in follow_ups { placement_id, key, done_on, note }
sorted { done_on Day, key Word } dated done_on
filter FollowUpDoneFilter { key == key }, of placement_id);

impl Hooks for FollowUpDone {
    async fn validate(&self, tx: &mut Tx, _before: Option<&Kept<Self>>) -> StoreResult<()> {
        let placement = Placement::select(tx, self.placement_id, false).await?.record;
        Ok(self.admit(placement.handed_over_on)?)
    }
}

keep!(Cost in costs { litter_id, what, amount_minor, currency, paid_on, note }
sorted { paid_on Day, amount_minor Number, what Name } dated paid_on
filter CostFilter { litter_id == litter_id });

impl Hooks for Cost {
    fn may_write(&self, scope: &Scope) -> StoreResult<()> {
        if self.litter_id.is_none() && !scope.sees_all_dogs() {
            return Err(StoreError::Forbidden(said!("problem-forbidden-kennels-costs")));
        }
        Ok(())
    }
}

/// A pup that has gone, and to whom.
#[derive(Queryable, Selectable)]
#[diesel(table_name = schema::placements)]
struct GoneRow {
    id: Uuid,
    dog_id: Uuid,
    buyer_id: Option<Uuid>,
    handed_over_on: Option<NaiveDate>,
}

/// The follow-ups of all pups that have gone and live, or of one placement.
///
/// # Errors
/// When the role does not place pups.
pub async fn reminders(
    tx: &mut Tx,
    placement_id: Option<Uuid>,
) -> StoreResult<Vec<FollowUpsOfPup>> {
    use schema::placements as p;
    tx.scope.require(Right::Placing)?;
    let kennel_id = tx.scope.kennel_id();
    let mut query = p::table
        .filter(
            p::kennel_id.eq(kennel_id).and(p::stage.eq(Stored(PlacementStage::HandedOver))).and(
                p::kind.eq_any(
                    [PlacementKind::Sale, PlacementKind::Family, PlacementKind::CoOwner]
                        .map(Stored),
                ),
            ),
        )
        .select(GoneRow::as_select())
        .order(p::id)
        .into_boxed();
    if let Some(id) = placement_id {
        query = query.filter(p::id.eq(id));
    }
    let rows: Vec<GoneRow> = query.load(&mut tx.conn).await?;
    let dog_ids: Vec<Uuid> = rows.iter().map(|row| row.dog_id).collect();
    let placement_ids: Vec<Uuid> = rows.iter().map(|row| row.id).collect();
    let (dogs, done) =
        tokio::try_join!(Dog::gather(tx, &dog_ids), FollowUpDone::gather(tx, &placement_ids))?;
    let (dogs, today): (BTreeMap<Uuid, Dog>, NaiveDate) =
        (dogs.into_iter().map(|kept| (kept.id, kept.record)).collect(), tx.scope.today());
    let of_pup = |GoneRow { id: placement_id, dog_id, buyer_id, handed_over_on }| {
        let dog = dogs.get(&dog_id);
        let lives =
            dog.is_none_or(|dog| Presence::by_record(dog.died_on, dog.residence, today).is_alive());
        let own = done.iter().filter(|kept| kept.record.placement_id == placement_id);
        let done: Vec<(String, NaiveDate)> =
            own.map(|kept| (kept.record.key.clone(), kept.record.done_on)).collect();
        let born_on = dog.and_then(|dog| dog.born_on).and_then(|born_on| born_on.day());
        Some(FollowUpsOfPup {
            placement_id,
            dog_id,
            dog_name: dog.and_then(called),
            buyer_id,
            reminders: follow_ups(handed_over_on.filter(|_| lives)?, born_on, &done, today),
        })
    };
    Ok(rows.into_iter().filter_map(of_pup).collect())
}

/// What was found and tested in the offspring of a dam or sire, newest last.
///
/// # Errors
/// [`StoreError::NotFound`] when there is no such dog that this person may see.
pub async fn offspring_health(tx: &mut Tx, parent: Uuid) -> StoreResult<Vec<Kept<HealthEvent>>> {
    use domain::record::HealthKind::{Examination, Illness, Other, Test, Treatment};
    use schema::{dogs, health_events as events};
    Dog::select(tx, parent, false).await?;
    let offspring: Vec<Uuid> = dogs::table
        .filter(
            dogs::kennel_id
                .eq(tx.scope.kennel_id())
                .and(dogs::sire_id.eq(parent).or(dogs::dam_id.eq(parent))),
        )
        .select(dogs::id)
        .load(&mut tx.conn)
        .await?;
    let ids: Vec<Uuid> = events::table
        .filter(
            events::kennel_id.eq(tx.scope.kennel_id()).and(events::dog_id.eq_any(offspring)).and(
                events::kind.eq_any([Illness, Test, Treatment, Examination, Other].map(Stored)),
            ),
        )
        .select(events::id)
        .order((events::given_at, events::id))
        .load(&mut tx.conn)
        .await?;
    let mut news = Vec::with_capacity(ids.len());
    for id in ids {
        news.push(HealthEvent::select(tx, id, false).await?);
    }
    Ok(news)
}
