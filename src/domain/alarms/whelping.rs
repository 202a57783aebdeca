//! The night: straining, pauses, discharge, what was written as an alarm, and the count at its end.

use super::Finding;
use crate::advice::{Caution, CautionCode, Level};
use crate::rules::Rules;
use crate::sayings::{amount, clock, span};
use crate::whelping::course::{Course, MayBeMore};
use crate::whelping::limits::Running;
use crate::whelping::{
    DischargeAmount, DischargeColour, WhelpingAlarm, WhelpingCase, WhelpingEvent, possible_doubles,
};
use catalogue::{Text, figure, said};
use chrono::{DateTime, Utc};

/// What is found in the log and the births of one whelping at `now`.
pub(crate) fn findings(case: &WhelpingCase, now: DateTime<Utc>, rules: &Rules) -> Vec<Finding> {
    let course = Course::of(case, now, rules);
    let night = LabourCourse { course: &course, now, rules };
    let mut found: Vec<Finding> =
        course.running(rules).iter().filter_map(|limit| night.limit(limit)).collect();
    found.extend(course.open_alarms().into_iter().filter_map(|alarm| night.alarm(alarm)));
    found.extend(night.discharge());
    found.extend(night.stillborn());
    found.extend(night.count());
    found.extend(night.placentas());
    found.extend(night.calcium());
    found.extend(night.doubles());
    found
}

struct LabourCourse<'a> {
    course: &'a Course<'a>,
    now: DateTime<Utc>,
    rules: &'a Rules,
}

impl LabourCourse<'_> {
    fn clock(&self, at: DateTime<Utc>) -> Text {
        clock(at, self.course.case.time_zone)
    }

    /// What was written down calls as long as it may still be so: after `whelping.silent_hours` without
    /// a line it asks how it ended, after `whelping.asked_hours` it is over.
    fn still(&self, since: DateTime<Utc>, caution: Caution) -> Option<Caution> {
        let heard = self.course.last_heard().unwrap_or(since).max(since);
        let past = |rule| self.now - heard > self.rules.span(rule);
        if past("whelping.asked_hours") {
            return None;
        }
        if !past("whelping.silent_hours") || caution.level == Level::Note {
            return Some(caution);
        }
        let what = said!("whelping-write-how-it-ended", what = &caution.what);
        Some(Caution { level: Level::Act, what, ..caution })
    }

    fn limit(&self, limit: &Running) -> Option<Finding> {
        let rule = self.rules.get(limit.rule);
        let minutes = (self.now - limit.since).num_minutes();
        let reached = limit.until <= self.now;
        let (case, at) = (&limit.what, self.clock(limit.until));
        let what = match (reached, limit.level) {
            (true, Level::Emergency) => said!("alarm-night-reached-now", what = case),
            (true, Level::Act) => said!("alarm-night-reached-advice", what = case),
            (true, Level::Note) => said!("alarm-night-reached-note", what = case),
            (false, Level::Emergency) => {
                said!("alarm-night-waiting-call", at = at, what = case)
            }
            (false, Level::Act) => said!("alarm-night-waiting-advice", at = at, what = case),
            (false, Level::Note) => said!("alarm-night-waiting-note", at = at, what = case),
        };
        let level = if reached { limit.level } else { Level::Note };
        let why = said!("alarm-night-limit-why", span = span(minutes), limit = amount(rule));
        let caution = Caution::new(limit.code, level, what, why, rule.source.clone())
            .with("minutes", minutes)
            .with("limit", rule.value)
            .with("limit_unit", rule.unit.clone())
            .with("limit_at", limit.until.to_rfc3339());
        // A question ends with the night.
        if limit.level == Level::Note && self.course.fell_silent(self.rules) {
            return None;
        }
        let caution = self.still(limit.since, caution)?;
        let next = (!reached && limit.level > Level::Note).then_some(limit.until);
        Some(Finding::new(limit.cause, limit.since, caution).began(limit.began).until(next))
    }

    fn at_once(
        &self,
        (cause, code): (&'static str, CautionCode),
        at: DateTime<Utc>,
        (level, what): (Level, Text),
    ) -> Option<Finding> {
        let source = self.rules.get("whelping.alarm_minutes").source.clone();
        let why = said!("alarm-night-written-at", at = self.clock(at));
        let caution = Caution::new(code, level, what, why, source).with("at", at.to_rfc3339());
        Some(Finding::new(cause, at, self.still(at, caution)?))
    }

    fn alarm(&self, (at, alarm): (DateTime<Utc>, WhelpingAlarm)) -> Option<Finding> {
        use CautionCode::{Collapse, Fits, HeavyBleeding, PupStuck, SeverePain};
        let (cause, code, what) = match alarm {
            WhelpingAlarm::PupStuck => ("pup_stuck", PupStuck, said!("alarm-night-pup-stuck")),
            WhelpingAlarm::Collapse => ("collapse", Collapse, said!("alarm-night-collapse")),
            WhelpingAlarm::SeverePain => {
                ("severe_pain", SeverePain, said!("alarm-night-severe-pain"))
            }
            WhelpingAlarm::HeavyBleeding => {
                ("bleeding", HeavyBleeding, said!("alarm-night-heavy-bleeding"))
            }
            WhelpingAlarm::Fits => ("fits", Fits, said!("alarm-night-fits")),
        };
        self.at_once((cause, code), at, (Level::Emergency, what))
    }

    /// Foul or bright red discharge. Which pup is the last is known only afterwards, so it speaks after each.
    fn discharge(&self) -> Vec<Finding> {
        let seen = |wanted: DischargeColour| {
            self.course.last(|event| {
                matches!(event, WhelpingEvent::Discharge { colour, amount }
                    if *colour == wanted && *amount != Some(DischargeAmount::Spotting))
            })
        };
        let foul = seen(DischargeColour::Foul).and_then(|at| {
            let what = said!("alarm-night-foul-discharge");
            self.at_once(("foul_discharge", CautionCode::FoulDischarge), at, (Level::Act, what))
        });
        let red = seen(DischargeColour::BrightRed).and_then(|at| {
            let what = said!("alarm-night-bright-red");
            self.at_once(("bleeding", CautionCode::BrightRed), at, (Level::Emergency, what))
        });
        foul.into_iter().chain(red).collect()
    }

    /// The last pups born dead one after another: those to come are in danger.
    fn stillborn(&self) -> Option<Finding> {
        let rule = self.rules.get("whelping.stillborn_in_a_row");
        let births = &self.course.births;
        let dead = births.iter().rev().take_while(|birth| !birth.alive).count();
        let longest = births.split(|birth| birth.alive).map(<[_]>::len).max().unwrap_or(0);
        let count = dead.max(longest);
        if (count as f64) < rule.value {
            return None;
        }
        let since = births.iter().rev().find(|birth| !birth.alive)?.born_at;
        let may_come = self.course.finished().is_none()
            && self.course.may_be_more() != MayBeMore::Counted
            && dead == count;
        let (level, what) = if may_come {
            (Level::Emergency, said!("alarm-night-stillborn-more"))
        } else {
            (Level::Act, said!("alarm-night-stillborn-over"))
        };
        let why = said!("alarm-night-stillborn-why", count = count);
        let caution =
            Caution::new(CautionCode::StillbornInARow, level, what, why, rule.source.clone())
                .with("count", count)
                .with("limit", rule.value);
        Some(Finding::new("stillborn", since, self.still(since, caution)?))
    }

    /// Fewer pups are out than were counted, and the log is closed or has fallen silent.
    fn count(&self) -> Option<Finding> {
        let counted = self.course.case.expected.as_ref()?.counted_at_least?;
        let last = self.course.last_birth()?;
        let margin = self.rules.value("whelping.still_expected_margin") as u32;
        let out = self.course.births.len() as u32;
        if out.saturating_add(margin) >= counted || self.course.caesarean().is_some() {
            return None;
        }
        let silent = self.course.fell_silent(self.rules);
        let closed = self.course.finished();
        if closed.is_none() && !silent {
            return None;
        }
        if self.now - last > self.rules.span("dam_after_birth.metritis_days") {
            return None;
        }
        let rule = self.rules.get("whelping.gap_hours");
        let (level, what) = if silent {
            (Level::Act, said!("alarm-night-fewer-silent"))
        } else {
            (Level::Emergency, said!("alarm-night-fewer-closed"))
        };
        let why = said!("alarm-night-fewer-why", out = out, counted = counted);
        let caution =
            Caution::new(CautionCode::FewerThanCounted, level, what, why, rule.source.clone())
                .with("out", out)
                .with("counted_at_least", counted);
        Some(Finding::new("fewer_than_counted", closed.unwrap_or(last), caution))
    }

    /// Placentas that somebody counted and did not see. Where nobody counts, none is missing; after a
    /// day the discharge and her temperature tell more.
    fn placentas(&self) -> Option<Finding> {
        let last = self.course.last_birth().filter(|_| self.course.caesarean().is_none())?;
        let seen = self.course.placentas_seen();
        let out = self.course.births.len() as u32;
        let missing = out.saturating_sub(seen);
        let rule = self.rules.get("whelping.placentas_out_hours");
        let after = |rule| last + self.rules.span(rule);
        let (late, over) =
            (after("whelping.placentas_out_hours"), after("dam_after_birth.green_hours"));
        if missing == 0 || self.now >= over {
            return None;
        }
        // More seen than not: somebody counts.
        let counted = seen > missing;
        let (level, what) = if counted && self.now >= late && self.course.all_out() {
            (Level::Act, said!("alarm-night-placentas-missing"))
        } else {
            (Level::Note, said!("alarm-night-placentas-count"))
        };
        let why = said!(
            "alarm-night-placentas-why",
            missing = missing,
            span = span((self.now - last).num_minutes()),
            limit_hours = figure(rule.value, 0)
        );
        let caution = Caution::new(CautionCode::Placentas, level, what, why, rule.source.clone())
            .with("not_seen", missing)
            .with("limit_hours", rule.value);
        let next = (counted && self.now < late).then_some(late);
        Some(Finding::new("placentas", last, caution).until(next))
    }

    fn calcium(&self) -> Option<Finding> {
        let at = self.course.calcium_before()?;
        if self.course.silent_for(self.rules, "whelping.asked_hours") {
            return None;
        }
        let caution = Caution::new(
            CautionCode::CalciumBeforeBirth,
            Level::Note,
            said!("alarm-night-calcium"),
            said!("alarm-night-calcium-why", at = self.clock(at)),
            self.rules.get("dam_after_birth.low_calcium_to_day").source.clone(),
        );
        Some(Finding::new("calcium", at, caution.with("at", at.to_rfc3339())))
    }

    fn doubles(&self) -> Vec<Finding> {
        let births = self.course.case.births.iter().filter(|birth| birth.born_at <= self.now);
        let marks: Vec<_> = births.filter_map(|birth| birth.marks.clone()).collect();
        let last = marks.iter().map(|mark| mark.born_at).max().unwrap_or(self.now);
        possible_doubles(&marks, self.rules)
            .into_iter()
            .map(|caution| Finding::new("double", last, caution))
            .collect()
    }
}
