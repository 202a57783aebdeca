//! The night and the weeks after it: the log of a whelping, the dam's checks, hand feeding.

use super::{
    StoreResult, Tx,
    keep::{Hooks, keep},
    litters,
};
use domain::{
    litter::{Weights, feed_of_pup},
    record::{
        DamCheck, DamCheckFilter, Feed, FeedFilter, Kept, PupCheck, PupCheckFilter, WhelpingLine,
        WhelpingLineFilter,
    },
};

keep!(WhelpingLine in whelping_lines { litter_id, at, event, note }
    sorted { at Time } dated at
    filter WhelpingLineFilter {}, of litter_id, in batches);

impl Hooks for WhelpingLine {}

keep!(DamCheck in dam_checks {
    litter_id, checked_at, temperature_c, discharge, discharge_amount, eats, glands, signs as json,
    pups_cry, note,
}
sorted { checked_at Time } dated checked_at
filter DamCheckFilter {}, of litter_id, in batches);

impl Hooks for DamCheck {}

keep!(PupCheck in pup_checks { dog_id, checked_at, signs as json, nurses, exam, note }
    sorted { checked_at Time } dated checked_at
    filter PupCheckFilter {}, of dog_id, in batches);

impl Hooks for PupCheck {}

keep!(Feed in feeds { dog_id, fed_at, volume_ml, food, note, confirmed }
    sorted { fed_at Time, volume_ml Number } dated fed_at
    filter FeedFilter {}, of dog_id, in batches);

impl Hooks for Feed {
    /// Asks about a feed that the pup's stomach does not hold.
    async fn validate(&self, tx: &mut Tx, before: Option<&Kept<Self>>) -> StoreResult<()> {
        if !self.is_asked_about(before.map(|kept| &kept.record)) {
            return Ok(());
        }
        let (core, weights) = litters::of_dog::<Weights>(tx, self.dog_id).await?;
        let moment = tx.moment().await?;
        super::asked(feed_of_pup(self, &core, &weights, &moment))
    }
}
