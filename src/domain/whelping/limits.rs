//! The limits that run: since when, how long, and what to say when they are reached.

use super::log::{Contractions, DischargeColour, WhelpingAlarm, WhelpingCase, WhelpingEvent};
use crate::domain::advice::{Caution, Level};
use crate::domain::rules::Rules;
use chrono::{DateTime, Duration, Utc};

/// One limit that runs.
pub(super) struct Running {
    pub(super) rule: &'static str,
    pub(super) since: DateTime<Utc>,
    pub(super) until: DateTime<Utc>,
    pub(super) level: Level,
    /// What is the case, as the beginning of a sentence.
    pub(super) what: String,
    pub(super) why: String,
}

/// The log in order up to `now`, cut into what the limits need.
pub(super) struct Course<'a> {
    pub(super) case: &'a WhelpingCase,
    pub(super) now: DateTime<Utc>,
    pub(super) births: Vec<DateTime<Utc>>,
    pub(super) events: Vec<(DateTime<Utc>, &'a WhelpingEvent)>,
}

impl<'a> Course<'a> {
    pub(super) fn of(case: &'a WhelpingCase, now: DateTime<Utc>) -> Self {
        let mut births: Vec<_> =
            case.births.iter().map(|b| b.born_at).filter(|at| *at <= now).collect();
        births.sort();
        let mut events: Vec<_> =
            case.entries.iter().filter(|e| e.at <= now).map(|e| (e.at, &e.event)).collect();
        events.sort_by_key(|e| e.0);
        Self { case, now, births, events }
    }

    pub(super) fn last_birth(&self) -> Option<DateTime<Utc>> {
        self.births.last().copied()
    }

    pub(super) fn first(&self, wanted: impl Fn(&WhelpingEvent) -> bool) -> Option<DateTime<Utc>> {
        self.events.iter().find(|(_, event)| wanted(event)).map(|(at, _)| *at)
    }

    fn first_since(
        &self,
        since: Option<DateTime<Utc>>,
        wanted: impl Fn(&WhelpingEvent) -> bool,
    ) -> Option<DateTime<Utc>> {
        self.events
            .iter()
            .find(|(at, event)| since.is_none_or(|since| *at > since) && wanted(event))
            .map(|(at, _)| *at)
    }

    /// Contractions of a strength (or stronger) since the last pup or rest: when they began.
    pub(super) fn straining_since(&self, strong_only: bool) -> Option<DateTime<Utc>> {
        let rest = self
            .events
            .iter()
            .rev()
            .find(|(_, event)| {
                matches!(event, WhelpingEvent::Contractions { strength: Contractions::Resting })
            })
            .map(|(at, _)| *at);
        let after = self.last_birth().max(rest);
        self.first_since(after, |event| match event {
            WhelpingEvent::Contractions { strength: Contractions::Strong } => true,
            WhelpingEvent::Contractions { strength: Contractions::Weak } => !strong_only,
            _ => false,
        })
    }

    /// The first sign of labour, weak contractions among them.
    pub(super) fn first_sign(&self) -> Option<DateTime<Utc>> {
        self.first(|event| {
            matches!(event, WhelpingEvent::Sign { .. } | WhelpingEvent::Contractions { .. })
        })
    }

    /// The beginning of the second stage: strong straining, waters, or the first pup.
    pub(super) fn second_stage(&self) -> Option<DateTime<Utc>> {
        let seen = self.first(|event| {
            matches!(
                event,
                WhelpingEvent::Waters {}
                    | WhelpingEvent::Contractions { strength: Contractions::Strong }
            )
        });
        [seen, self.births.first().copied()].into_iter().flatten().min()
    }

    /// When it was written that all are out, or a caesarean was made.
    pub(super) fn finished(&self) -> Option<DateTime<Utc>> {
        let end = self
            .events
            .iter()
            .rev()
            .find(|(_, e)| matches!(e, WhelpingEvent::Finished {} | WhelpingEvent::Caesarean {}))
            .map(|(at, _)| *at)?;
        let caesarean = self.events.iter().any(|(_, e)| matches!(e, WhelpingEvent::Caesarean {}));
        // A pup that comes after "finished" shows that it was not.
        (caesarean || self.last_birth().is_none_or(|birth| birth <= end)).then_some(end)
    }

    fn limit(
        &self,
        rule: &'static str,
        since: DateTime<Utc>,
        level: Level,
        what: String,
        rules: &Rules,
    ) -> Running {
        let value = rules.get(rule);
        let seconds = if value.unit == "minutes" { 60.0 } else { 3600.0 } * value.value;
        let past = (self.now - since).num_minutes();
        Running {
            rule,
            since,
            until: since + Duration::seconds(seconds.round() as i64),
            level,
            what,
            why: format!("{} so far; the limit is {} {}.", span(past), value.value, value.unit),
        }
    }

    /// Every limit that runs while labour goes on.
    pub(super) fn running(&self, may_be_more: bool, rules: &Rules) -> Vec<Running> {
        let mut limits = Vec::new();
        let mut add = |rule, since: Option<DateTime<Utc>>, level, what: &str| {
            if let Some(since) = since {
                limits.push(self.limit(rule, since, level, what.to_owned(), rules));
            }
        };
        use Level::{Act, Emergency};
        if may_be_more {
            add(
                "whelping.strong_straining_minutes",
                self.straining_since(true),
                Emergency,
                "she strains hard and no pup has come",
            );
            let weak = self.straining_since(false).filter(|_| self.straining_since(true).is_none());
            add(
                "whelping.weak_contractions_hours",
                weak,
                Emergency,
                "weak contractions and no pup",
            );
            add("whelping.gap_hours", self.last_birth(), Emergency, "no pup since the last one");
        }
        if self.births.is_empty() {
            let fluid = self.first(|e| matches!(e, WhelpingEvent::Waters {}));
            let what = "the waters broke and no pup has come";
            add("whelping.fluid_without_pup_hours", fluid, Emergency, what);
            let green = self.first(|event| {
                matches!(event, WhelpingEvent::Discharge { colour: DischargeColour::GreenBlack })
            });
            let what = "green or black discharge before the first pup";
            add("whelping.green_before_first_minutes", green, Emergency, what);
            let back = self.temperature_back(rules);
            if self.first_sign().is_none() && self.second_stage().is_none() {
                let what = "her temperature dropped and came back and labour has not begun";
                add("whelping.back_without_labour_hours", back, Emergency, what);
            }
        }
        match self.second_stage() {
            None => {
                let signs = self.first_sign();
                let what = "the first stage goes on without straining";
                add("whelping.stage_one_hours", signs, Act, what);
                add("whelping.stage_one_long_hours", signs, Emergency, what);
            }
            Some(began) if may_be_more => {
                let what =
                    "active labour is long, and pups that come later are born dead more often";
                add("whelping.active_labour_hours", Some(began), Act, what);
                let what = "the second stage is too long";
                add("whelping.stage_two_hours", Some(began), Emergency, what);
            }
            Some(_) => {}
        }
        limits
    }

    /// When the temperature was first above the limit again after the drop.
    fn temperature_back(&self, rules: &Rules) -> Option<DateTime<Utc>> {
        let reading = |event: &WhelpingEvent| match event {
            WhelpingEvent::Temperature { temperature_c } => Some(*temperature_c),
            _ => None,
        };
        let drop = rules.value("whelping.drop_c");
        let dropped = self.first(|event| reading(event).is_some_and(|t| t < drop))?;
        let back = rules.value("whelping.back_c");
        self.first_since(Some(dropped), |event| reading(event).is_some_and(|t| t > back))
    }

    /// What calls for the vet whatever the clock says.
    pub(super) fn at_once(&self, rules: &Rules) -> Vec<Caution> {
        let mut cautions = Vec::new();
        // An alarm stands until a pup came after it or the vet was called about it.
        let answered = self
            .events
            .iter()
            .rev()
            .find(|(_, e)| matches!(e, WhelpingEvent::Caesarean {}))
            .map(|(at, _)| *at);
        for (at, event) in &self.events {
            let WhelpingEvent::Alarm { alarm } = event else { continue };
            if answered.is_some_and(|answered| answered >= *at)
                || *alarm == WhelpingAlarm::PupStuck && self.births.iter().any(|b| b > at)
            {
                continue;
            }
            let what = match alarm {
                WhelpingAlarm::PupStuck => "a pup is stuck",
                WhelpingAlarm::Collapse => "she has collapsed",
                WhelpingAlarm::SeverePain => "she is in severe pain",
                WhelpingAlarm::HeavyBleeding => "she bleeds heavily",
                WhelpingAlarm::Fits => "she has fits or is stiff",
            };
            cautions.push(Caution::new(
                Level::Emergency,
                format!("Call the vet now: {what}."),
                format!("Written at {}.", at.with_timezone(&self.case.time_zone).format("%H:%M")),
                rules.get("whelping.alarm_minutes").source.clone(),
            ));
        }
        if let Some(day) = self.case.day_of_pregnancy.filter(|_| self.births.is_empty()) {
            let (early, long) =
                (rules.get("whelping.too_early_day"), rules.get("whelping.too_long_day"));
            let labour = self.first_sign().or(self.second_stage()).is_some();
            if labour && (day as f64) < early.value {
                cautions.push(Caution::new(
                    Level::Emergency,
                    "Call the vet now: labour begins too early.",
                    format!("Day {day} of pregnancy; before day {:.0} is too early.", early.value),
                    early.source.clone(),
                ));
            }
            if day as f64 > long.value {
                cautions.push(Caution::new(
                    Level::Emergency,
                    "Call the vet now: the pregnancy is too long.",
                    format!("Day {day} of pregnancy; the limit is day {:.0}.", long.value),
                    long.source.clone(),
                ));
            }
        }
        cautions
    }

    /// Calcium given before the first pup.
    pub(super) fn calcium_before(&self) -> Option<DateTime<Utc>> {
        let given = self.first(|event| {
            matches!(event, WhelpingEvent::Given { what, .. }
                if what.to_lowercase().contains("calcium"))
        })?;
        self.births.first().is_none_or(|birth| given < *birth).then_some(given)
    }
}

/// A span of minutes in words.
pub(super) fn span(minutes: i64) -> String {
    match (minutes / 60, minutes % 60) {
        (0, m) => format!("{m} min"),
        (h, 0) => format!("{h} h"),
        (h, m) => format!("{h} h {m} min"),
    }
}
