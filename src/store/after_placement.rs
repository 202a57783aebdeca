//! After a pup has gone: follow-ups with its new owner, news of its health; and what litters cost.

use super::{
    StoreError, StoreResult, Tx,
    keep::{Keep, keep},
    people::Right,
    schema,
};
use crate::domain::{
    partial_date::PartialDate,
    placement::{FollowUp, PlacementKind, PlacementStage, follow_ups},
    record::{
        Cost, CostFilter, Dog, FollowUpDone, FollowUpDoneFilter, HealthEvent, Kept, Placement,
    },
};
use chrono::{DateTime, NaiveDate, Utc};
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, OptionalExtension as _, QueryDsl as _,
};
use diesel_async::RunQueryDsl as _;
use uuid::Uuid;

keep!(FollowUpDone in follow_ups { placement_id, key, done_on, note }
under placement_id of Placement
filter FollowUpDoneFilter { key == key };
read Placing, write Placing, {
    async fn admit(&self, tx: &mut Tx, _before: Option<&Kept<Self>>) -> StoreResult<()> {
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
    read Money, write Money);

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

/// The follow-ups of all pups that have gone, or of one placement.
///
/// # Errors
/// When the role does not place pups.
pub async fn reminders(
    tx: &mut Tx,
    placement_id: Option<Uuid>,
    now: DateTime<Utc>,
) -> StoreResult<Vec<FollowUpsOfPup>> {
    use schema::{dogs, follow_ups as done, placements as p};
    tx.scope.require(Right::Placing)?;
    let kennel_id = tx.scope.kennel_id();
    let mut query = p::table
        .filter(p::kennel_id.eq(kennel_id).and(p::stage.eq(PlacementStage::HandedOver)).and(
            p::kind.eq_any([PlacementKind::Sale, PlacementKind::Family, PlacementKind::CoOwner]),
        ))
        .select((p::id, p::dog_id, p::buyer_id, p::handed_over_on))
        .order(p::id)
        .into_boxed();
    if let Some(id) = placement_id {
        query = query.filter(p::id.eq(id));
    }
    let rows: Vec<(Uuid, Uuid, Option<Uuid>, Option<NaiveDate>)> = query.load(&mut tx.conn).await?;
    let mut all = Vec::with_capacity(rows.len());
    for (placement_id, dog_id, buyer_id, handed_over_on) in rows {
        let Some(handed_over_on) = handed_over_on else { continue };
        let pup: Option<(Option<PartialDate>, Option<String>, Option<String>)> = dogs::table
            .filter(dogs::kennel_id.eq(kennel_id).and(dogs::id.eq(dog_id)))
            .select((dogs::born_on, dogs::call_name, dogs::name))
            .first(&mut tx.conn)
            .await
            .optional()?;
        let (born_on, call_name, name) = pup.unwrap_or_default();
        let done: Vec<(String, NaiveDate)> = done::table
            .filter(done::kennel_id.eq(kennel_id).and(done::placement_id.eq(placement_id)))
            .select((done::key, done::done_on))
            .load(&mut tx.conn)
            .await?;
        let born_on = born_on.and_then(|born_on| born_on.day());
        let today = tx.scope.day_of(now);
        let reminders = follow_ups(handed_over_on, born_on, &done, today);
        all.push(FollowUpsOfPup {
            placement_id,
            dog_id,
            dog_name: call_name.or(name),
            buyer_id,
            reminders,
        });
    }
    Ok(all)
}

/// What was found and tested in the offspring of a dam or sire, newest last.
///
/// # Errors
/// [`StoreError::NotFound`] when there is no such dog that this person may see.
pub async fn offspring_health(tx: &mut Tx, parent: Uuid) -> StoreResult<Vec<Kept<HealthEvent>>> {
    use crate::domain::record::HealthKind::{Examination, Illness, Other, Test, Treatment};
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
            events::kennel_id
                .eq(tx.scope.kennel_id())
                .and(events::dog_id.eq_any(offspring))
                .and(events::kind.eq_any([Illness, Test, Treatment, Examination, Other])),
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
