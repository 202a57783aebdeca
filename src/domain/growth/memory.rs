//! What was reckoned of litters of late: a screen that looks again need not reckon again.

use super::series::GrowthLitter;
use super::summary::{LitterGrowth, litter_figures};
use crate::rules::Rules;
use chrono::{DateTime, NaiveDate, Utc};
use lru::LruCache;
use std::num::NonZeroUsize;
use std::sync::{Arc, Mutex, PoisonError};
use uuid::Uuid;

#[cfg(test)]
mod tests;

/// Litters that are kept in mind. One of eight pups takes some 60 KB at eight weeks, so all take 15 MB at most.
const LITTERS: NonZeroUsize = NonZeroUsize::new(256).unwrap();

/// The figures of litters as they were last reckoned. Nothing is lost with it but time.
#[derive(Debug, Clone)]
pub struct GrowthMemory(Arc<Mutex<LruCache<Uuid, Arc<Reckoned>>>>);

#[derive(Debug)]
struct Reckoned {
    litter: GrowthLitter,
    rules: Rules,
    figures: LitterGrowth,
}

impl Default for GrowthMemory {
    fn default() -> Self {
        Self(Arc::new(Mutex::new(LruCache::new(LITTERS))))
    }
}

impl GrowthMemory {
    /// What [`litter_figures`] says, without reckoning where it would say the same as before.
    pub(crate) fn figures(
        &self,
        litter: &GrowthLitter,
        now: DateTime<Utc>,
        rules: &Rules,
    ) -> LitterGrowth {
        let before =
            self.0.lock().unwrap_or_else(PoisonError::into_inner).get(&litter.litter_id).cloned();
        if let Some(before) = before.filter(|before| before.holds(litter, now, rules)) {
            return LitterGrowth { as_of: now, ..before.figures.clone() };
        }
        let figures = litter_figures(litter, now, rules);
        let reckoned =
            Reckoned { litter: litter.clone(), rules: rules.clone(), figures: figures.clone() };
        let mut all = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        all.put(litter.litter_id, Arc::new(reckoned));
        figures
    }
}

impl Reckoned {
    /// Whether the same comes out now: nothing was written since, it is the same day, and nothing that is on record
    /// has come to pass meanwhile.
    fn holds(&self, litter: &GrowthLitter, now: DateTime<Utc>, rules: &Rules) -> bool {
        let then = self.figures.as_of;
        let day =
            |at: DateTime<Utc>| -> NaiveDate { at.with_timezone(&litter.time_zone).date_naive() };
        let meanwhile = |at: &DateTime<Utc>| then < *at && *at <= now;
        then <= now
            && day(then) == day(now)
            && self.rules.are(rules)
            && self.litter == *litter
            && !litter.times().any(|at| meanwhile(&at))
    }
}
