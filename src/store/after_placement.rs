//! After a pup has gone: follow-ups with its new owner, news of its health; and what litters cost.

use super::{
    StoreError, StoreResult, Tx,
    keep::{Gather as _, Keep, keep},
    schema,
    scope::{Right, Scope},
};
use crate::columns::Stored;
use chrono::NaiveDate;
use diesel::{BoolExpressionMethods as _, ExpressionMethods as _, QueryDsl as _};
use diesel_async::RunQueryDsl as _;
use domain::{
    litter::{Presence, called},
    placement::{FollowUp, PlacementKind, PlacementStage, follow_ups},
    record::{
        Cost, CostFilter, Dog, FollowUpDone, FollowUpDoneFilter, HealthEvent, Kept, Placement,
    },
};
use std::collections::BTreeMap;
use uuid::Uuid;

keep!(FollowUpDone in follow_ups { placement_id, key, done_on, note }
under placement_id of Placement
filter FollowUpDoneFilter { key == key };
read Placing, write Placing, of placement_id, {
    async fn validate(&self, tx: &mut Tx, _before: Option<&Kept<Self>>) -> StoreResult<()> {
        let placement = Placement::select(tx, self.placement_id, false).await?.record;
        let Some(handed_over_on) = placement.handed_over_on else {
            return Err(StoreError::refused("", "the pup has not been handed over"));
        };
        let known = follow_ups(handed_over_on, Some(handed_over_on), &[], handed_over_on);
        if known.iter().any(|reminder| reminder.key == self.key) {
            return Ok(());
        }
        let keys: Vec<String> = known.into_iter().map(|reminder| reminder.key).collect();
        Err(StoreError::refused("/key", format!("is none of {}", keys.join(", "))))
    }
});

keep!(Cost in costs { litter_id, what, amount_minor, currency, paid_on, note }
filter CostFilter { litter_id == litter_id };
read Money, write Money, {
    fn may_write(&self, scope: &Scope) -> StoreResult<()> {
        if self.litter_id.is_none() && !scope.sees_all_dogs() {
            return Err(StoreError::Forbidden("name the litter that the money was for; the kennel's own costs are its owners'"));
        }
        Ok(())
    }
});

/// The follow-ups of one pup that has gone.
#[derive(Debug, Clone)]
pub struct FollowUpsOfPup {
    /// The placement.
    pub placement_id: Uuid,
    /// The pup.
    pub dog_id: Uuid,
    /// What it is called.
    pub dog_name: Option<String>,
    /// Its new owner.
    pub buyer_id: Option<Uuid>,
    /// The reminders, by their day.
    pub reminders: Vec<FollowUp>,
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
        .select((p::id, p::dog_id, p::buyer_id, p::handed_over_on))
        .order(p::id)
        .into_boxed();
    if let Some(id) = placement_id {
        query = query.filter(p::id.eq(id));
    }
    type Gone = (Uuid, Uuid, Option<Uuid>, Option<NaiveDate>);
    let rows: Vec<Gone> = query.load(&mut tx.conn).await?;
    let dog_ids: Vec<Uuid> = rows.iter().map(|row| row.1).collect();
    let placement_ids: Vec<Uuid> = rows.iter().map(|row| row.0).collect();
    let (dogs, done) =
        tokio::try_join!(Dog::gather(tx, &dog_ids), FollowUpDone::gather(tx, &placement_ids))?;
    let (dogs, today): (BTreeMap<Uuid, Dog>, NaiveDate) =
        (dogs.into_iter().map(|kept| (kept.id, kept.record)).collect(), tx.scope.today());
    let of_pup = |(placement_id, dog_id, buyer_id, handed_over_on): Gone| {
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
