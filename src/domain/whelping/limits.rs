//! The limits that run: since when, how long, and what is the case when they are reached.

use super::course::{Course, MayBeMore};
use super::log::{DischargeColour, WhelpingEvent};
use crate::advice::{CautionCode, Level};
use crate::rules::Rules;
use catalogue::{Text, said};
use chrono::{DateTime, Utc};

/// One limit that runs.
#[derive(Debug, Clone)]
pub(crate) struct Running {
    /// The rule that sets it.
    pub(crate) rule: &'static str,
    pub(crate) code: CautionCode,
    /// What is found for one cause is one alarm.
    pub(crate) cause: &'static str,
    /// When the cause began.
    pub(crate) began: DateTime<Utc>,
    pub(crate) since: DateTime<Utc>,
    pub(crate) until: DateTime<Utc>,
    /// The level once it is reached.
    pub(crate) level: Level,
    /// What is the case, as a clause.
    pub(crate) what: Text,
}

/// What a limit is about: its rule, its code and what is the case.
type About = (&'static str, CautionCode, fn() -> Text);

/// No pup comes: the one cause behind straining, a long pause and a long labour.
const NO_PUP: &str = "no_pup";

const STRONG: About = ("whelping.strong_straining_minutes", CautionCode::Straining, || {
    said!("limit-strong-straining")
});
const WEAK: About = ("whelping.weak_contractions_hours", CautionCode::WeakContractions, || {
    said!("limit-weak-contractions")
});
const GAP: About = ("whelping.gap_hours", CautionCode::NoPupSince, || said!("limit-no-pup-since"));
const OPEN: About =
    ("whelping.gap_hours", CautionCode::NoPupSince, || said!("limit-no-pup-and-open"));
const WATERS: About =
    ("whelping.fluid_without_pup_hours", CautionCode::Waters, || said!("limit-waters"));
const LONG: About = ("whelping.active_labour_hours", CautionCode::SecondStageLong, || {
    said!("limit-active-labour-long")
});
const TOO_LONG: About =
    ("whelping.stage_two_hours", CautionCode::SecondStageLong, || said!("limit-second-stage-long"));
const GREEN: About = ("whelping.green_before_first_minutes", CautionCode::GreenDischarge, || {
    said!("limit-green-discharge")
});
const FIRST: About =
    ("whelping.stage_one_hours", CautionCode::FirstStageLong, || said!("limit-first-stage"));
const FIRST_LONG: About = ("whelping.stage_one_long_hours", CautionCode::FirstStageLong, FIRST.2);

impl Course<'_> {
    /// Every limit that runs. Neither a count that is reached nor "finished" ends straining: a count is
    /// a lower bound, and who wrote "finished" may have been mistaken.
    pub(crate) fn running(&self, rules: &Rules) -> Vec<Running> {
        let mut limits = self.until_a_pup_comes(rules);
        if self.births.is_empty() && self.caesarean().is_none() {
            limits.extend(self.before_the_first(rules));
        }
        limits.sort_by_key(|limit| limit.until);
        limits
    }

    fn until_a_pup_comes(&self, rules: &Rules) -> Vec<Running> {
        use Level::{Act, Emergency, Note};
        let closed = self.finished().is_some();
        let began = self.last_birth().or(self.second_stage()).or(self.first_sign());
        let mut limits = Vec::new();
        let mut add = |about: About, since: Option<DateTime<Utc>>, level| {
            let began = began.or(since);
            if let Some((since, began)) = since.zip(began) {
                limits.push(limit(about, NO_PUP, (began, since), level, rules));
            }
        };
        let (strong, any) = (self.straining_since(true), self.straining_since(false));
        add(STRONG, strong, Emergency);
        add(WEAK, any.filter(|_| strong.is_none()), if closed { Act } else { Emergency });
        if self.births.is_empty() && self.caesarean().is_none() {
            add(WATERS, self.first(|e| matches!(e, WhelpingEvent::Waters {})), Emergency);
        }
        let more = self.may_be_more();
        if !closed {
            match more {
                MayBeMore::Certain => add(GAP, self.last_birth(), Emergency),
                // Who keeps a log and has not closed it is asked; births alone say nothing of the rest.
                _ if self.log_is_kept() => add(OPEN, self.last_birth(), Act),
                _ => add(OPEN, self.last_birth(), Note),
            }
        }
        let goes_on = any.is_some() || (!closed && more == MayBeMore::Certain);
        if goes_on && let Some(stage) = self.second_stage() {
            add(LONG, Some(stage), Act);
            add(TOO_LONG, Some(stage), Emergency);
        }
        limits
    }

    fn before_the_first(&self, rules: &Rules) -> Vec<Running> {
        let mut limits = Vec::new();
        let mut add = |about: About, cause, since: Option<DateTime<Utc>>, level| {
            if let Some(since) = since {
                limits.push(limit(about, cause, (since, since), level, rules));
            }
        };
        let green = self.first(|event| {
            matches!(event, WhelpingEvent::Discharge { colour: DischargeColour::GreenBlack, .. })
        });
        add(GREEN, "green_discharge", green, Level::Emergency);
        if self.second_stage().is_none() {
            let signs = self.first_sign();
            add(FIRST, "first_stage", signs, Level::Act);
            add(FIRST_LONG, "first_stage", signs, Level::Emergency);
        }
        limits
    }
}

fn limit(
    (rule, code, what): About,
    cause: &'static str,
    (began, since): (DateTime<Utc>, DateTime<Utc>),
    level: Level,
    rules: &Rules,
) -> Running {
    let until = since + rules.span(rule);
    Running { rule, code, cause, began, since, until, level, what: what() }
}
