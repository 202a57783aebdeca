//! The one moment at which a request is answered, with the rules and plans that hold then.

use crate::{
    growth::GrowthMemory,
    pregnancy::KennelTime,
    rules::Rules,
    schedule::{PlanBook, plus, rule_days},
};
use chrono::{DateTime, Days, NaiveDate, NaiveTime, TimeZone as _, Utc};
use chrono_tz::Tz;

/// What every question about a litter is asked by. It is made once a request, at the edge, and handed
/// down: two answers of one request cannot fall on two days or under two sets of rules.
#[derive(Debug, Clone)]
pub struct Moment {
    /// Now.
    pub now: DateTime<Utc>,
    /// The kennel's time zone.
    pub zone: Tz,
    /// The rules in force: the published defaults with the kennel's own values on top.
    pub rules: Rules,
    /// The kennel's health plans through time, and which litter follows which.
    pub plans: PlanBook,
    /// What need not be reckoned again.
    pub growth: GrowthMemory,
}

impl Moment {
    /// A moment under the published rules and plans alone.
    pub fn by_standard_rules(now: DateTime<Utc>, zone: Tz) -> Self {
        let (plans, growth) = (PlanBook::default(), GrowthMemory::default());
        Self { now, zone, rules: Rules::standard(), plans, growth }
    }

    /// The day on the kennel's calendar.
    pub fn today(&self) -> NaiveDate {
        self.day_of(self.now)
    }

    /// The day of a time on the kennel's calendar.
    pub fn day_of(&self, at: DateTime<Utc>) -> NaiveDate {
        at.with_timezone(&self.zone).date_naive()
    }

    /// The moment on the kennel's clock, without rules and plans.
    pub fn time(&self) -> KennelTime {
        KennelTime { now: self.now, tz: self.zone }
    }

    /// The day so many days before today as a rule of days says.
    pub fn days_before_today(&self, rule: &'static str) -> NaiveDate {
        plus(self.today(), -rule_days(&self.rules, rule))
    }

    /// The first moment of a day on the kennel's calendar.
    pub fn midnight(&self, day: NaiveDate) -> DateTime<Utc> {
        let local = day.and_time(NaiveTime::MIN);
        // Where clocks go forward at midnight, that day has none: take it as UTC.
        self.zone
            .from_local_datetime(&local)
            .earliest()
            .map_or_else(|| local.and_utc(), |at| at.with_timezone(&Utc))
    }

    /// The end of a day on the kennel's calendar, or now when that day is not over.
    pub fn end_of(&self, day: NaiveDate) -> DateTime<Utc> {
        let next = day.checked_add_days(Days::new(1)).unwrap_or(day);
        self.midnight(next).min(self.now)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(now: &str, zone: Tz) -> Moment {
        Moment::by_standard_rules(now.parse().unwrap(), zone)
    }

    #[test]
    fn the_day_is_the_kennels() {
        let moment = at("2026-06-30T22:30:00Z", Tz::Europe__Berlin);
        assert_eq!(moment.today().to_string(), "2026-07-01");
        assert_eq!(
            at("2026-06-30T22:30:00Z", Tz::America__Denver).today().to_string(),
            "2026-06-30"
        );
    }

    #[test]
    fn a_day_ends_at_the_kennels_midnight_also_when_clocks_change() {
        let moment = at("2026-03-30T12:00:00Z", Tz::Europe__Berlin);
        let ends = |day: &str| moment.end_of(day.parse().unwrap()).to_rfc3339();
        assert_eq!(ends("2026-03-28"), "2026-03-28T23:00:00+00:00");
        // The day of 23 hours.
        assert_eq!(ends("2026-03-29"), "2026-03-29T22:00:00+00:00");
        assert_eq!(ends("2026-03-30"), "2026-03-30T12:00:00+00:00", "today is not over");
    }
}
