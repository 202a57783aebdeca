//! The moment of a request, as its kennel's rows are read by it.

use crate::{StoreResult, Tx, health, kennels};
use domain::{moment::Moment, pregnancy::KennelTime};
use std::sync::Arc;

impl Tx {
    /// The moment of this request with the kennel's rules and plans, read once a transaction: three
    /// statements the first time, none after.
    ///
    /// # Errors
    /// When the database is away.
    pub async fn moment(&self) -> StoreResult<Arc<Moment>> {
        let read = async || {
            let (rules, plans) = tokio::try_join!(kennels::rules(self), health::plan_book(self))?;
            let (now, zone, growth) = (self.scope.now(), self.scope.tz(), self.growth.clone());
            StoreResult::Ok(Arc::new(Moment { now, zone, rules, plans, growth }))
        };
        Ok(Arc::clone(self.moment.get_or_try_init(read).await?))
    }

    /// The same without rules and plans: the kennel's clock.
    pub fn time(&self) -> KennelTime {
        KennelTime { now: self.scope.now(), tz: self.scope.tz() }
    }
}
