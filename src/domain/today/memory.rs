//! What was found of records of late: a screen that looks again reckons only what was written since.

use super::LookedAt;
use crate::{
    alarms::Watched, litter::Core, moment::Moment, rules::Rules, schedule::PlanBook, shared::Shared,
};
use catalogue::{Language, spoken};
use chrono::{DateTime, DurationRound as _, TimeDelta, Utc};
use chrono_tz::Tz;
use lru::LruCache;
use std::num::NonZeroUsize;
use std::sync::{Arc, Mutex, PoisonError};
use uuid::Uuid;

#[cfg(test)]
mod tests;

/// Records that are kept in mind. One of a dam and eight pups takes some 100 KB at eight weeks and 10 KB more as what was
/// written of it, so all take 28 MB at most.
const RECORDS: NonZeroUsize = NonZeroUsize::new(256).unwrap();

/// What was found of records when they were looked at last. Nothing is lost with it but time.
#[derive(Debug, Clone)]
pub struct BoardMemory(Arc<Mutex<LruCache<Key, Arc<Found>>>>);

/// The litter, or the first of the dogs that are followed by themselves, and the language in which it was told.
type Key = (Uuid, Language);

/// What was found of one record.
#[derive(Debug)]
pub(super) struct Found {
    pub(super) core: Shared<Core>,
    pub(super) parts: Watched,
    pub(super) found: LookedAt,
    now: DateTime<Utc>,
    zone: Tz,
    rules: Rules,
    plans: PlanBook,
}

impl Default for BoardMemory {
    fn default() -> Self {
        Self(Arc::new(Mutex::new(LruCache::new(RECORDS))))
    }
}

impl BoardMemory {
    /// What was found of a record, where the same would be found now; `None` where it is to be looked at.
    pub(super) fn known(
        &self,
        (core, parts): &(Shared<Core>, Watched),
        moment: &Moment,
    ) -> Option<Arc<Found>> {
        let key = key(core)?;
        let before = self.locked(|all| all.get(&key).cloned());
        before.filter(|before| before.holds(core, parts, moment))
    }

    /// What `look` finds of a record, remembered.
    pub(super) fn found(
        &self,
        (core, parts): (Shared<Core>, Watched),
        moment: &Moment,
        look: impl FnOnce(&Core, &Watched) -> LookedAt,
    ) -> Arc<Found> {
        let key = key(&core);
        let found = look(&core, &parts);
        let Moment { now, zone, ref rules, ref plans, .. } = *moment;
        let (rules, plans) = (rules.clone(), plans.clone());
        let found = Arc::new(Found { core, parts, found, now, zone, rules, plans });
        if let Some(key) = key {
            self.locked(|all| all.put(key, Arc::clone(&found)));
        }
        found
    }

    fn locked<T>(&self, work: impl FnOnce(&mut LruCache<Key, Arc<Found>>) -> T) -> T {
        work(&mut self.0.lock().unwrap_or_else(PoisonError::into_inner))
    }
}

/// By what a record is known; `None` for one of no dog.
fn key(core: &Core) -> Option<Key> {
    let id = core.id().or_else(|| core.pups.first().map(|dog| dog.dog_id))?;
    Some((id, spoken()))
}

impl Found {
    /// Whether the same would be found now, to the minute: nothing was written since, and no limit has come that the
    /// clock alone brings.
    ///
    /// An answer of the same minute is the same where nothing was written, as its tag says; so is what it is made of.
    fn holds(&self, core: &Shared<Core>, parts: &Watched, moment: &Moment) -> bool {
        let minute = |at: DateTime<Utc>| at.duration_trunc(TimeDelta::minutes(1)).ok();
        let came = |limit: DateTime<Utc>| self.now < limit && limit <= moment.now;
        self.now <= moment.now
            && minute(self.now) == minute(moment.now)
            && self.zone == moment.zone
            && self.rules.are(&moment.rules)
            && !self.found.alarms.iter().filter_map(|alarm| alarm.next_limit_at).any(came)
            && self.plans == moment.plans
            && self.core == *core
            && self.parts == *parts
    }
}
