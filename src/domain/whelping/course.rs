//! The log and the births up to a moment, cut into what the limits need.

use super::doubles::first_of_doubles;
use super::log::{Contractions, GivenTo, PupOut, WhelpingAlarm, WhelpingCase, WhelpingEvent};
use crate::rules::Rules;
use chrono::{DateTime, Utc};

/// Whether more pups may come, by the count; "finished" is another matter.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum MayBeMore {
    /// Fewer are out than were counted for sure.
    Certain,
    /// Nobody counted, or more may be inside than are out.
    Possible,
    /// As many are out as are expected at most after a count, which can still miss one.
    Counted,
}

/// The course of a whelping up to `now`.
pub(crate) struct Course<'a> {
    pub(crate) case: &'a WhelpingCase,
    pub(crate) now: DateTime<Utc>,
    /// The births that are surely pups of their own, in order of time: one that may be another written
    /// down twice ends nothing.
    pub(crate) births: Vec<&'a PupOut>,
    /// What was written down, in order of time.
    pub(crate) events: Vec<(DateTime<Utc>, &'a WhelpingEvent)>,
}

impl<'a> Course<'a> {
    pub(crate) fn of(case: &'a WhelpingCase, now: DateTime<Utc>, rules: &Rules) -> Self {
        let mut births: Vec<&PupOut> = case.births.iter().filter(|b| b.born_at <= now).collect();
        births.sort_by_key(|birth| birth.born_at);
        let births = first_of_doubles(births, rules);
        let mut events: Vec<_> =
            case.entries.iter().filter(|e| e.at <= now).map(|e| (e.at, &e.event)).collect();
        events.sort_by_key(|e| e.0);
        Self { case, now, births, events }
    }

    pub(crate) fn last_birth(&self) -> Option<DateTime<Utc>> {
        self.births.last().map(|birth| birth.born_at)
    }

    pub(crate) fn first(&self, wanted: impl Fn(&WhelpingEvent) -> bool) -> Option<DateTime<Utc>> {
        self.events.iter().find(|(_, event)| wanted(event)).map(|(at, _)| *at)
    }

    pub(crate) fn last(&self, wanted: impl Fn(&WhelpingEvent) -> bool) -> Option<DateTime<Utc>> {
        self.events.iter().rev().find(|(_, event)| wanted(event)).map(|(at, _)| *at)
    }

    /// Contractions of a strength (or stronger) since the last pup, rest or caesarean: when they began.
    pub(crate) fn straining_since(&self, strong_only: bool) -> Option<DateTime<Utc>> {
        let rest = self.last(|event| {
            matches!(
                event,
                WhelpingEvent::Contractions { strength: Contractions::Resting }
                    | WhelpingEvent::Caesarean {}
            )
        });
        let after = self.last_birth().max(rest);
        let strains = |event: &WhelpingEvent| match event {
            WhelpingEvent::Contractions { strength: Contractions::Strong } => true,
            WhelpingEvent::Contractions { strength: Contractions::Weak } => !strong_only,
            _ => false,
        };
        self.events
            .iter()
            .find(|(at, event)| after.is_none_or(|after| *at > after) && strains(event))
            .map(|(at, _)| *at)
    }

    /// The first sign of labour, weak contractions among them.
    pub(crate) fn first_sign(&self) -> Option<DateTime<Utc>> {
        self.first(|event| {
            matches!(event, WhelpingEvent::Sign { .. } | WhelpingEvent::Contractions { .. })
        })
    }

    /// The beginning of the second stage: strong straining, waters, or the first pup.
    pub(crate) fn second_stage(&self) -> Option<DateTime<Utc>> {
        let seen = self.first(|event| {
            matches!(
                event,
                WhelpingEvent::Waters {}
                    | WhelpingEvent::Contractions { strength: Contractions::Strong }
            )
        });
        [seen, self.births.first().map(|birth| birth.born_at)].into_iter().flatten().min()
    }

    /// Whether labour has begun at or after a moment, by sign, straining, waters or a pup.
    pub(crate) fn labour_since(&self, from: DateTime<Utc>) -> bool {
        let sign = |event: &WhelpingEvent| {
            matches!(
                event,
                WhelpingEvent::Sign { .. }
                    | WhelpingEvent::Waters {}
                    | WhelpingEvent::Contractions {
                        strength: Contractions::Weak | Contractions::Strong
                    }
            )
        };
        !self.births.is_empty()
            || self.caesarean().is_some()
            || self.events.iter().any(|(at, event)| *at >= from && sign(event))
    }

    /// When a caesarean was made.
    pub(crate) fn caesarean(&self) -> Option<DateTime<Utc>> {
        self.last(|event| matches!(event, WhelpingEvent::Caesarean {}))
    }

    /// When it was written that all are out, or a caesarean was made. It closes only what is silent: a
    /// pup or strong straining that comes after shows that it was not the end.
    pub(crate) fn finished(&self) -> Option<DateTime<Utc>> {
        let end = self.last(|event| {
            matches!(event, WhelpingEvent::Finished {} | WhelpingEvent::Caesarean {})
        })?;
        let strong = self.straining_since(true).is_some_and(|at| at > end);
        let later_pup = self.last_birth().is_some_and(|birth| birth > end);
        (self.caesarean().is_some() || !later_pup).then_some(end).filter(|_| !strong)
    }

    /// Whether the whelping is over as far as the record tells: pups are out, and its end was written or
    /// a caesarean made.
    pub(crate) fn is_over(&self) -> bool {
        !self.births.is_empty() && self.finished().is_some()
    }

    /// Whether more pups may come, by the births that are surely pups of their own.
    pub(crate) fn may_be_more(&self) -> MayBeMore {
        let out = self.births.len() as u32;
        // What is usual makes sure of nothing.
        let Some((expected, sure)) =
            self.case.expected.as_ref().and_then(|e| Some((e, e.counted_at_least?)))
        else {
            return MayBeMore::Possible;
        };
        match out {
            _ if out < sure => MayBeMore::Certain,
            _ if out >= expected.at_most => MayBeMore::Counted,
            _ => MayBeMore::Possible,
        }
    }

    /// Whether labour was written down as it went, and not its births alone.
    pub(crate) fn log_is_kept(&self) -> bool {
        self.events.iter().any(|(_, event)| {
            matches!(
                event,
                WhelpingEvent::Sign { .. }
                    | WhelpingEvent::Contractions { .. }
                    | WhelpingEvent::Waters {}
                    | WhelpingEvent::Alarm { .. }
                    | WhelpingEvent::VetCalled { .. }
            )
        })
    }

    /// When the last thing of labour was written down.
    pub(crate) fn last_heard(&self) -> Option<DateTime<Utc>> {
        let heard = self.last(|event| !matches!(event, WhelpingEvent::Temperature { .. }));
        heard.max(self.last_birth())
    }

    /// Whether nothing of labour was written down for `whelping.silent_hours`.
    pub(crate) fn fell_silent(&self, rules: &Rules) -> bool {
        self.silent_for(rules, "whelping.silent_hours")
    }

    /// Whether nothing of labour was written down for longer than a rule says.
    pub(crate) fn silent_for(&self, rules: &Rules, rule: &'static str) -> bool {
        self.last_heard().is_some_and(|heard| self.now - heard > rules.span(rule))
    }

    /// The alarms written down, and when, that nothing has answered: a caesarean answers all, a pup
    /// that comes answers one that was stuck.
    pub(crate) fn open_alarms(&self) -> Vec<(DateTime<Utc>, WhelpingAlarm)> {
        let answered = self.caesarean();
        let mut open: Vec<(DateTime<Utc>, WhelpingAlarm)> = Vec::new();
        for (at, event) in &self.events {
            let WhelpingEvent::Alarm { alarm } = event else { continue };
            let came = *alarm == WhelpingAlarm::PupStuck
                && self.last_birth().is_some_and(|birth| birth > *at);
            if answered.is_some_and(|answered| answered >= *at) || came {
                continue;
            }
            if open.iter().all(|(_, known)| known != alarm) {
                open.push((*at, *alarm));
            }
        }
        open
    }

    /// Calcium given to the dam, or to nobody knows whom, before the first pup.
    pub(crate) fn calcium_before(&self) -> Option<DateTime<Utc>> {
        let given = self.first(|event| {
            matches!(event, WhelpingEvent::Given { what, given_to, .. }
                if *given_to != Some(GivenTo::Pup) && names_calcium(what))
        })?;
        self.births.first().is_none_or(|birth| given < birth.born_at).then_some(given)
    }
}

/// Whether somebody wrote of calcium, also as German spells it.
fn names_calcium(what: &str) -> bool {
    let what = what.to_lowercase();
    ["calcium", "kalzium"].into_iter().any(|word| what.contains(word))
}
