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
            let moment = Moment { now: self.scope.now(), zone: self.scope.tz(), rules, plans };
            StoreResult::Ok(Arc::new(moment))
        };
        Ok(Arc::clone(self.moment.get_or_try_init(read).await?))
    }

    /// The same without rules and plans: the kennel's clock.
    pub fn time(&self) -> KennelTime {
        KennelTime { now: self.scope.now(), tz: self.scope.tz() }
    }
}
