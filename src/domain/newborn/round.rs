//! A round of the newborns of a litter: who was looked over, who feeds, who is warm, and who may be fading.

use super::exam::{ExamFinding, ExamItem, ExamQuestion, exam_questions, is_before_first_feed};
use super::fading::{FadingScore, fading_score, takes_little};
use crate::advice::{Caution, standing_line};
use crate::alarms::{Alarm, NewbornFacts, Watched, feeding, newborn_facts};
use crate::litter::{Core, growth_litter};
use crate::moment::Moment;
use catalogue::Text;
use chrono::{DateTime, Utc};
use serde::Serialize;
use utoipa::ToSchema;
use uuid::Uuid;

/// What was last found at one place of a newborn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
pub struct ExamLine {
    /// The place.
    pub item: ExamItem,
    /// What was found there.
    pub finding: ExamFinding,
    /// When.
    pub seen_at: DateTime<Utc>,
}

/// One newborn.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct RoundOfPup {
    /// The pup.
    pub dog_id: Uuid,
    /// What people call it.
    #[schema(value_type = String, example = "red collar")]
    pub label: Text,
    /// When it was born.
    pub born_at: DateTime<Utc>,
    /// Age in whole hours.
    #[schema(example = 31)]
    pub age_hours: i64,
    /// What was last found at each place that was looked at, from head to tail.
    pub exam: Vec<ExamLine>,
    /// What belongs to the look before the first feed and nobody has looked at.
    pub not_looked_at: Vec<ExamItem>,
    /// When it was first known to have fed: a feed by hand, or seen to suck.
    pub first_fed_at: Option<DateTime<Utc>>,
    /// Its last temperature in degrees Celsius.
    #[schema(example = 36.2)]
    pub temperature_c: Option<f64>,
    /// When that was taken.
    pub temperature_at: Option<DateTime<Utc>>,
    /// Whether it is fading, by all that is known; null past the age at which that is asked.
    pub fading: Option<FadingScore>,
    /// What to heed, the gravest first: the alarms about this pup.
    pub cautions: Vec<Caution>,
}

/// A round of the newborns of a litter.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct NewbornRound {
    /// The litter.
    pub litter_id: Option<Uuid>,
    /// The moment it was looked at.
    pub reckoned_at: DateTime<Utc>,
    /// The pups that are here, the one most likely to be fading first, else in the order of birth.
    pub pups: Vec<RoundOfPup>,
    /// What to look at on a newborn, from head to tail, and how.
    pub questions: Vec<ExamQuestion>,
    /// What stands beside every piece of advice.
    #[schema(value_type = String)]
    pub advice: Text,
}

/// The last word on each place of a newborn up to `now`, from head to tail.
pub(crate) fn exam_of(pup: &NewbornFacts, now: DateTime<Utc>) -> Vec<ExamLine> {
    let last = |item: ExamItem| {
        let said = pup.checks.iter().filter(|check| check.at <= now && check.at >= pup.born_at);
        let said = said.filter_map(|check| Some((check.at, check.exam.as_ref()?.of(item)?)));
        let (seen_at, finding) = said.max_by_key(|(at, _)| *at)?;
        Some(ExamLine { item, finding, seen_at })
    };
    ExamItem::ALL.into_iter().filter_map(last).collect()
}

/// What belongs to the look before the first feed and nobody has looked at.
pub(crate) fn not_looked_at(pup: &NewbornFacts, now: DateTime<Utc>) -> Vec<ExamItem> {
    let looked = exam_of(pup, now);
    let left = |item: &ExamItem| {
        is_before_first_feed(*item) && !looked.iter().any(|line| line.item == *item)
    };
    ExamItem::ALL.into_iter().filter(left).collect()
}

/// A round of the pups of a litter that are here, by its record and its alarms at `moment`.
pub fn newborn_round(
    core: &Core,
    parts: &Watched,
    alarms: &[Alarm],
    moment: &Moment,
) -> NewbornRound {
    let weighed = growth_litter(core, &parts.0, moment);
    let growth = moment.growth.figures(&weighed, moment.now, &moment.rules);
    let (now, rules) = (moment.now, &moment.rules);
    let of_pup = |facts: NewbornFacts| {
        let risk = growth.risks.iter().find(|risk| risk.dog_id == facts.dog_id);
        let fed = feeding::findings(&facts, parts.0.weighings.of(facts.dog_id), now, rules);
        let about = alarms.iter().filter(|alarm| alarm.about.dog_id == Some(facts.dog_id));
        let temperature = parts.1.last_temperature(facts.dog_id, now);
        RoundOfPup {
            dog_id: facts.dog_id,
            born_at: facts.born_at,
            age_hours: (now - facts.born_at).num_hours(),
            exam: exam_of(&facts, now),
            not_looked_at: not_looked_at(&facts, now),
            first_fed_at: first_fed_at(&facts, now),
            temperature_c: temperature.map(|(_, t)| t),
            temperature_at: temperature.map(|(at, _)| at),
            fading: fading_score(&facts, risk, takes_little(&fed), now, rules),
            cautions: about.map(Alarm::caution).collect(),
            label: facts.label,
        }
    };
    let facts = core.pups.iter().filter_map(|pup| newborn_facts(pup, &parts.1, None, moment));
    let here = facts.filter(|facts| facts.present && facts.born_at <= now);
    let mut pups: Vec<RoundOfPup> = here.map(of_pup).collect();
    let fading = |pup: &RoundOfPup| pup.fading.as_ref().map_or(0.0, |score| score.probability);
    pups.sort_by(|a, b| fading(b).total_cmp(&fading(a)));
    NewbornRound {
        litter_id: core.id(),
        reckoned_at: now,
        pups,
        questions: exam_questions(),
        advice: standing_line(),
    }
}

fn first_fed_at(pup: &NewbornFacts, now: DateTime<Utc>) -> Option<DateTime<Utc>> {
    let sucked = pup.checks.iter().filter(|check| check.nurses == Some(true)).map(|it| it.at);
    sucked.chain(pup.feeds.iter().map(|feed| feed.at)).filter(|at| *at <= now).min()
}
