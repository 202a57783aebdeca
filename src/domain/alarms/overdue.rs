//! Before the birth: overdue, a fall of temperature or progesterone that no labour follows, too early.

use super::Finding;
use crate::advice::{Caution, CautionCode, Level};
use crate::dating::{CountedFrom, DueWindow, OverdueLimit};
use crate::day_chances::shift;
use crate::pregnancy::Pregnancy;
use crate::rules::Rules;
use crate::temperature::{TemperatureAssessment, TemperatureState};
use crate::whelping::WhelpingCase;
use crate::whelping::course::Course;
use chrono::{DateTime, NaiveDate, NaiveTime, TimeZone as _, Utc};
use chrono_tz::Tz;

/// What is found before the birth of a litter, from what dates it, the dam's readings and the log.
pub fn findings(
    case: &WhelpingCase,
    pregnancy: Option<&Pregnancy>,
    now: DateTime<Utc>,
    rules: &Rules,
) -> Vec<Finding> {
    let course = Course::of(case, now, rules);
    let carrying = Carrying { case, course: &course, now, rules };
    let mut found: Vec<Finding> = carrying.too_early().into_iter().collect();
    let Some(pregnancy) = pregnancy.filter(|_| course.births.is_empty()) else { return found };
    if course.caesarean().is_some() {
        return found;
    }
    let window = pregnancy.window.as_ref();
    let limits = window.map(|window| window.overdue_limits.as_slice()).unwrap_or_default();
    found.extend(limits.iter().filter_map(|limit| carrying.overdue(limit)));
    found.extend(pregnancy.temperature.iter().flat_map(|t| carrying.temperature(t, window)));
    found.extend(carrying.progesterone(&pregnancy.near_term));
    let noted = pregnancy.cautions.iter().chain(window.into_iter().flat_map(|w| &w.cautions));
    let began = carrying.midnight(carrying.today());
    // What the log tells, and what is counted above, is not said twice.
    let told = |caution: &&Caution| {
        use CautionCode::{
            Collapse, GreenDischarge, HeavyBleeding, OverduePregnancy, OverdueProgesteroneLow,
        };
        matches!(
            caution.code,
            Collapse | GreenDischarge | HeavyBleeding | OverduePregnancy | OverdueProgesteroneLow
        )
    };
    found.extend(noted.filter(|caution| !told(caution)).map(|caution| {
        Finding::new(caution.code.as_str(), began, caution.clone()).began(DateTime::UNIX_EPOCH)
    }));
    found
}

struct Carrying<'a> {
    case: &'a WhelpingCase,
    course: &'a Course<'a>,
    now: DateTime<Utc>,
    rules: &'a Rules,
}

impl Carrying<'_> {
    fn zone(&self) -> Tz {
        self.case.time_zone
    }

    fn today(&self) -> NaiveDate {
        self.now.with_timezone(&self.zone()).date_naive()
    }

    /// The first moment of a day on the kennel's calendar.
    fn midnight(&self, day: NaiveDate) -> DateTime<Utc> {
        let local = day.and_time(NaiveTime::MIN);
        let begins = self.zone().from_local_datetime(&local).earliest();
        begins.map_or_else(|| local.and_utc(), |at| at.with_timezone(&Utc))
    }

    fn clock(&self, at: DateTime<Utc>) -> String {
        at.with_timezone(&self.zone()).format("%H:%M on %d %B").to_string()
    }

    fn days(&self, rule: &'static str) -> i64 {
        self.rules.value(rule).round() as i64
    }

    /// Overdue from a day on, and too long from a later one, by one way of counting; a note in the week
    /// before.
    fn overdue(&self, limit: &OverdueLimit) -> Option<Finding> {
        let today = self.today();
        let reached = limit.level_on(today);
        let soon = (limit.ring_on - today).num_days() <= self.days("dating.overdue_noted_days");
        let (level, since) = match reached {
            Some(Level::Emergency) => (Level::Emergency, limit.call_on.unwrap_or(limit.ring_on)),
            Some(level) => (level, limit.ring_on),
            None if soon => (Level::Note, today),
            None => return None,
        };
        let (name, ring_on) = (limit.counted_from.words(), limit.ring_on);
        let what = match level {
            Level::Emergency => "She is overdue: call the vet now.".to_owned(),
            Level::Act => {
                "She is overdue: ring the vet today and have dam and pups checked.".to_owned()
            }
            Level::Note => {
                format!("If she has not whelped by {ring_on}, have the vet check dam and pups.")
            }
        };
        let days = (today - limit.counted_from_on).num_days();
        let call = limit.call_on.map(|on| format!(" and called from {on}")).unwrap_or_default();
        let why = format!("{days} days from {name}; the vet is rung from {ring_on}{call}.");
        let caution =
            Caution::new(CautionCode::OverduePregnancy, level, what, why, limit.source.clone())
                .with("days", days)
                .with("counted_from", name)
                .with("ring_on", ring_on.to_string())
                .with("call_on", limit.call_on.map(|on| on.to_string()));
        let next = [Some(ring_on), limit.call_on].into_iter().flatten().find(|on| *on > today);
        Some(
            Finding::new("overdue", self.midnight(since), caution)
                .began(DateTime::UNIX_EPOCH)
                .until(next.map(|day| self.midnight(day))),
        )
    }

    /// Labour, or a birth, before its time.
    fn too_early(&self) -> Option<Finding> {
        let counted = self.case.counted?;
        let born = self.course.births.first().map(|birth| birth.born_at);
        let began = born.or(self.course.second_stage()).or(self.course.first_sign())?;
        let day = self.case.day_of_pregnancy(began)?;
        let (emergency, act) = match counted.from {
            CountedFrom::Ovulation => ("whelping.too_early_day", "whelping.early_day"),
            CountedFrom::FirstMating => {
                ("whelping.too_early_mating_day", "whelping.too_early_mating_day")
            }
        };
        let (limit, early) = (self.rules.value(emergency), self.rules.value(act));
        let level = if (day as f64) < limit {
            Level::Emergency
        } else if (day as f64) < early {
            Level::Act
        } else {
            return None;
        };
        let watch = self.rules.span("whelping.early_watch_hours");
        let heard = self.course.last_heard().unwrap_or(began);
        if self.now - born.unwrap_or(heard) > watch {
            return None;
        }
        let rule = self.rules.get(if level == Level::Emergency { emergency } else { act });
        let what = match (born, level) {
            (Some(_), Level::Emergency) => {
                "Call the vet now: the pups are born too early; keep them warm and watch their breathing."
            }
            (Some(_), _) => {
                "The pups are born early: call the vet today, keep them warm, see that each sucks and breathes easily."
            }
            (None, Level::Emergency) => "Call the vet now: labour begins too early.",
            (None, _) => "Labour begins early: call the vet before the first pup comes.",
        };
        let why = format!("Day {day} of pregnancy; before day {:.0} is early.", rule.value);
        let caution = Caution::new(CautionCode::TooEarly, level, what, why, rule.source.clone())
            .with("day_of_pregnancy", day)
            .with("limit_day", rule.value);
        Some(Finding::new("too_early", began, caution))
    }

    /// The fall of her temperature: labour is near, and by a day after it at the latest.
    fn temperature(
        &self,
        found: &TemperatureAssessment,
        window: Option<&DueWindow>,
    ) -> Vec<Finding> {
        let mut all: Vec<Finding> = found
            .cautions
            .iter()
            .map(|caution| {
                let at = found.latest.map_or(self.now, |latest| latest.taken_at);
                Finding::new(caution.code.as_str(), at, caution.clone())
            })
            .collect();
        let fell = matches!(
            found.state,
            TemperatureState::Fall | TemperatureState::PossibleFall | TemperatureState::Recovered
        );
        let (Some(fell_at), true) = (found.fell_at, fell) else { return all };
        let labour_from = found.fell_after.unwrap_or(fell_at);
        if self.course.labour_since(labour_from) {
            return all;
        }
        let rule = self.rules.get("whelping.fall_without_labour_hours");
        let limit_at = fell_at + self.rules.span("whelping.fall_without_labour_hours");
        let hours = (self.now - fell_at).num_minutes() as f64 / 60.0;
        // A low reading long before the due days says little of labour.
        let early = window.is_some_and(|window| {
            let from = shift(window.earliest, -self.days("whelping.fall_before_window_days"));
            fell_at.with_timezone(&self.zone()).date_naive() < from
        });
        let (code, level, what) = if early {
            let what = "Her temperature was low before the due days: take it again twice a day."
                .to_owned();
            (CautionCode::LabourNear, Level::Note, what)
        } else if self.now >= limit_at {
            let what = "Call the vet now: her temperature fell a day ago and labour has not begun, whether it came back or not.".to_owned();
            (CautionCode::OverdueTemperatureFell, Level::Emergency, what)
        } else {
            let what = format!(
                "Labour is near: do not leave her alone, have everything ready, and call the vet at {} if it has not begun.",
                self.clock(limit_at)
            );
            (CautionCode::LabourNear, Level::Act, what)
        };
        let why = format!("Fell {hours:.0} hours ago; the limit is {:.0} hours.", rule.value);
        let caution = Caution::new(code, level, what, why, rule.source.clone())
            .with("hours", (hours * 10.0).round() / 10.0)
            .with("limit_hours", rule.value);
        let next = (!early && self.now < limit_at).then_some(limit_at);
        let since = if self.now >= limit_at { limit_at } else { fell_at };
        all.push(Finding::new("temperature_fell", since, caution).began(fell_at).until(next));
        all
    }

    /// Progesterone near term so low that labour should follow, and none has.
    fn progesterone(&self, near_term: &[(DateTime<Utc>, f64)]) -> Option<Finding> {
        let low = self.rules.get("whelping.progesterone_low_ng_per_ml");
        let very_low = self.rules.get("whelping.progesterone_very_low_ng_per_ml");
        let first = |limit: f64| {
            near_term.iter().filter(|(at, ng)| *at <= self.now && *ng <= limit).min_by_key(|s| s.0)
        };
        let (at, ng) = first(low.value)?;
        if self.course.labour_since(*at) {
            return None;
        }
        let after = |at: DateTime<Utc>, rule| at + self.rules.span(rule);
        let mut limit_at = after(*at, "whelping.progesterone_low_hours");
        let mut rule = low;
        if let Some((at, _)) = first(very_low.value) {
            let sooner = after(*at, "whelping.progesterone_very_low_hours");
            if sooner < limit_at {
                (limit_at, rule) = (sooner, very_low);
            }
        }
        let reached = self.now >= limit_at;
        let (level, what) = if reached {
            let what =
                "Call the vet today: progesterone is low and labour has not begun.".to_owned();
            (Level::Act, what)
        } else {
            let what = format!(
                "Progesterone is low, labour is near: call the vet at {} if it has not begun.",
                self.clock(limit_at)
            );
            (Level::Note, what)
        };
        let hours = (self.now - *at).num_hours();
        let why = format!("{ng:.1} ng/mL {hours} h ago; the limit is {:.1} ng/mL.", rule.value);
        let caution = Caution::new(
            CautionCode::OverdueProgesteroneLow,
            level,
            what,
            why,
            rule.source.clone(),
        )
        .with("ng_per_ml", *ng)
        .with("hours", hours)
        .with("limit_ng_per_ml", rule.value);
        let since = if reached { limit_at } else { *at };
        let next = (!reached).then_some(limit_at);
        Some(Finding::new("progesterone_low", since, caution).began(*at).until(next))
    }
}
