//! Before the birth: overdue, a fall of temperature or progesterone that no labour follows, too early.

use super::Finding;
use crate::advice::{Caution, CautionCode, Level};
use crate::dating::{CountedFrom, DueWindow, OverdueFrom, OverdueLimit};
use crate::day_chances::shift;
use crate::pregnancy::Pregnancy;
use crate::record::PregnancyResult;
use crate::rules::Rules;
use crate::sayings::{ago, clock};
use crate::temperature::{TemperatureAssessment, TemperatureState};
use crate::whelping::WhelpingCase;
use crate::whelping::course::Course;
use catalogue::{Text, figure, said};
use chrono::{DateTime, NaiveDate, NaiveTime, TimeZone as _, Utc};
use chrono_tz::Tz;

/// What is found before the birth of a litter, from what dates it, the dam's readings and the log.
pub(crate) fn findings(
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
    // What she has lost is not overdue; what her readings and the log say of her goes on.
    let is_lost = pregnancy.checked == Some(PregnancyResult::Lost);
    let window = pregnancy.window.as_ref().filter(|_| !is_lost);
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

/// From what the days are counted, after their number.
fn counted_from(from: OverdueFrom) -> Text {
    match from {
        OverdueFrom::LhSurge => said!("overdue-from-lh-surge"),
        OverdueFrom::ProgesteroneRise => said!("overdue-from-progesterone-rise"),
        OverdueFrom::Ovulation => said!("overdue-from-ovulation"),
        OverdueFrom::Dioestrus => said!("overdue-from-dioestrus"),
        OverdueFrom::Ultrasound => said!("overdue-from-ultrasound"),
        OverdueFrom::Forecast => said!("overdue-from-forecast"),
        OverdueFrom::FirstMating => said!("overdue-from-first-mating"),
        OverdueFrom::Window => said!("overdue-from-window"),
    }
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
        let ring_on = limit.ring_on;
        let what = match level {
            Level::Emergency => said!("alarm-overdue-call"),
            Level::Act => said!("alarm-overdue-ring"),
            Level::Note => said!("alarm-overdue-soon", ring_on = ring_on),
        };
        let days = (today - limit.counted_from_on).num_days();
        let from = counted_from(limit.counted_from);
        let why = match limit.call_on {
            Some(call_on) => said!(
                "alarm-overdue-why-and-called",
                days = days,
                from = from,
                ring_on = ring_on,
                call_on = call_on
            ),
            None => said!("alarm-overdue-why", days = days, from = from, ring_on = ring_on),
        };
        let caution =
            Caution::new(CautionCode::OverduePregnancy, level, what, why, limit.source.clone())
                .with("days", days)
                .with("counted_from", limit.counted_from.words().to_string())
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
            (Some(_), Level::Emergency) => said!("alarm-too-early-born-now"),
            (Some(_), _) => said!("alarm-too-early-born-today"),
            (None, Level::Emergency) => said!("alarm-too-early-labour-now"),
            (None, _) => said!("alarm-too-early-labour"),
        };
        let why = said!("alarm-too-early-why", day = day, limit_day = figure(rule.value, 0));
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
            (CautionCode::LabourNear, Level::Note, said!("alarm-temperature-low-early"))
        } else if self.now >= limit_at {
            let what = said!("alarm-temperature-fell-a-day-ago");
            (CautionCode::OverdueTemperatureFell, Level::Emergency, what)
        } else {
            let at = clock(limit_at, self.zone());
            (CautionCode::LabourNear, Level::Act, said!("alarm-temperature-labour-near", at = at))
        };
        let why = said!(
            "alarm-temperature-fell-why",
            hours = figure(hours, 0),
            limit_hours = figure(rule.value, 0)
        );
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
            (Level::Act, said!("alarm-progesterone-low"))
        } else {
            let at = clock(limit_at, self.zone());
            (Level::Note, said!("alarm-progesterone-labour-near", at = at))
        };
        let hours = (self.now - *at).num_hours();
        let why = said!(
            "alarm-progesterone-why",
            ng_per_ml = figure(*ng, 1),
            ago = ago(self.now - *at),
            limit_ng_per_ml = figure(rule.value, 1)
        );
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
