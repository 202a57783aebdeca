//! The night and the weeks after it: the log of a whelping, the dam's checks, hand feeding.

use super::{StoreResult, Tx, keep::keep, litters};
use domain::{
    litter::Weights,
    record::{
        DamCheck, DamCheckFilter, Dog, Feed, FeedFilter, Kept, Litter, PupCheck, PupCheckFilter,
        WhelpingLine, WhelpingLineFilter,
    },
};

keep!(WhelpingLine in whelping_lines { litter_id, at, event, note }
    under litter_id of Litter
    filter WhelpingLineFilter {}
    and |query, filter| {
        match filter.since {
            Some(since) => query.filter(dsl::at.ge(since)),
            None => query,
        }
    };
    read Dogs, write Observations, of litter_id);

keep!(DamCheck in dam_checks {
    litter_id, checked_at, temperature_c, discharge, discharge_amount, eats, glands, signs as json,
    pups_cry, note,
}
under litter_id of Litter
filter DamCheckFilter {}
and |query, filter| {
    match filter.since {
        Some(since) => query.filter(dsl::checked_at.ge(since)),
        None => query,
    }
};
read Dogs, write Observations, of litter_id);

keep!(PupCheck in pup_checks { dog_id, checked_at, signs as json, nurses, note }
    under dog_id of Dog
    filter PupCheckFilter {}
    and |query, filter| {
        match filter.since {
            Some(since) => query.filter(dsl::checked_at.ge(since)),
            None => query,
        }
    };
    read Dogs, write Observations, of dog_id);

keep!(Feed in feeds { dog_id, fed_at, volume_ml, food, note, confirmed }
    under dog_id of Dog
    filter FeedFilter {}
    and |query, filter| {
        match filter.since {
            Some(since) => query.filter(dsl::fed_at.ge(since)),
            None => query,
        }
    };
    read Dogs, write Observations, of dog_id, {
    /// Asks about a feed that the pup's stomach does not hold.
    async fn validate(&self, tx: &mut Tx, before: Option<&Kept<Self>>) -> StoreResult<()> {
        if self.confirmed || before.is_some_and(|kept| kept.record.volume_ml == self.volume_ml) {
            return Ok(());
        }
        let (core, weights) = litters::of_dog::<Weights>(tx, self.dog_id).await?;
        let moment = tx.moment().await?;
        let birth = core.pup(self.dog_id).and_then(|pup| pup.birth.as_ref());
        let Some(born_at) = birth.map(|birth| birth.record.born_at) else { return Ok(()) };
        let weight_g = weights.last(self.dog_id, moment.now).map(|(_, weight_g)| weight_g);
        let age_days = (moment.day_of(self.fed_at) - moment.day_of(born_at)).num_days();
        super::asked(domain::slips::feed(self, weight_g, Some(age_days), &moment.rules))
    }
});
