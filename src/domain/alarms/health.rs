//! What was wrong with what was given: too early to count, or past its expiry.

use super::Finding;
use crate::advice::Caution;
use crate::moment::Moment;
use chrono::NaiveDate;

/// What is found of the doses of one dog; after `schedule.cautioned_days` it is history.
pub(crate) fn findings(cautions: &[Caution], moment: &Moment) -> Vec<Finding> {
    let days = moment.rules.value("schedule.cautioned_days") as i64;
    let found = |caution: &Caution| {
        let given_on: NaiveDate = caution.params.get("given_on")?.as_str()?.parse().ok()?;
        let recent = (moment.today() - given_on).num_days() <= days;
        let began = moment.midnight(given_on);
        recent.then(|| Finding::new(caution.code.as_str(), began, caution.clone()))
    };
    cautions.iter().filter_map(found).collect()
}
