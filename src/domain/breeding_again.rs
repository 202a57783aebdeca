//! When may a dam be bred again: by her own state, by the law, and by the rules that her kennel keeps to.
//!
//! One answer of three sources, each ground with its reason. What has a day (a womb that heals, a rest between
//! litters, an age) is met from that day on; what has none (a weight that is too low, an alarm) is open until the record
//! says otherwise; what only a vet can say (after a caesarean, after low calcium) is asked and not decided here.

mod state;

use crate::advice::{Caution, standing_line};
use crate::alarms::{Alarm, Watched};
use crate::breeding_limits::{
    DamHistory, LimitFinding, LimitKind, LimitResult, RuleSet, check_dam, law_cautions,
};
use crate::cycle::coming_heats::forecast_heats;
use crate::day_chances::shift;
use crate::growth::Weighing;
use crate::litter::Core;
use crate::moment::Moment;
use crate::planner::{heat_history, history_of};
use crate::pregnancy::DamRecords;
use crate::shared::Shared;
use catalogue::{Text, said};
use chrono::{DateTime, NaiveDate, Utc};
use serde::Serialize;
use state::{StateGround, states};
use utoipa::ToSchema;
use uuid::Uuid;

/// Whether she may be bred.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum BreedingAnswer {
    /// Nothing on record is against it.
    Yes,
    /// The record does not decide: something is not known.
    Unknown,
    /// A vet is asked first.
    AskVet,
    /// Not on that day, but later.
    NotYet,
    /// By what is on record never again.
    No,
}

/// Whose reason it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum GroundOf {
    /// Her own state.
    State,
    /// The law of the kennel's jurisdiction.
    Law,
    /// The rules that the kennel keeps to.
    Kennel,
}

/// One reason for or against.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct BreedingGround {
    /// Whose.
    pub of: GroundOf,
    /// Whether it holds on the day of mating that was reckoned with.
    pub answer: BreedingAnswer,
    /// What is the case.
    #[schema(value_type = String, example = "Her womb is whole again from 24 May 2026.")]
    pub what: Text,
    /// The first day on which it does not stand against a mating any more; null where no day says so.
    pub met_from: Option<NaiveDate>,
    /// The limit, of law and kennel.
    pub limit: Option<LimitKind>,
    /// Where it comes from.
    pub source: String,
}

/// One of her heats to come.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct HeatChance {
    /// 1 for the next.
    #[schema(example = 1)]
    pub number: u32,
    /// Day by which it is as likely to have begun as not.
    pub likely_on: NaiveDate,
    /// Day of mating in it that is reckoned with.
    pub mated_on: NaiveDate,
    /// Whether she may be mated then.
    pub answer: BreedingAnswer,
}

/// When a dam may be bred again.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct BreedingAgain {
    /// The dam.
    pub dog_id: Uuid,
    /// The moment it was looked at.
    pub reckoned_at: DateTime<Utc>,
    /// Whether she may be bred in her next heat; on this day where none can be foretold.
    pub answer: BreedingAnswer,
    /// That in one plain sentence.
    #[schema(value_type = String, example = "Not in her next heat: from 24 May 2026 on nothing on record is against it.")]
    pub says: Text,
    /// The first day on which nothing with a day is against it any more; null where something without a day is, or
    /// no day in ten years is free.
    pub earliest_on: Option<NaiveDate>,
    /// Day of mating that the grounds were held against.
    pub mated_on: NaiveDate,
    /// Her heats to come.
    pub heats: Vec<HeatChance>,
    /// Every ground, what weighs most first.
    pub grounds: Vec<BreedingGround>,
    /// What to know of the law, and what calls for attention now.
    pub cautions: Vec<Caution>,
    /// What stands beside every piece of advice.
    #[schema(value_type = String)]
    pub advice: Text,
}

/// How far ahead a free day is looked for.
const YEARS_AHEAD: i64 = 10;

/// Heats that are looked at.
const HEATS: u32 = 3;

/// Ground without limits of a pair: which sire is meant is not known here.
const OF_A_PAIR: [LimitKind; 2] =
    [LimitKind::DamOneSirePerHeat, LimitKind::NoParentOffspringOrFullSib];

/// What is known of a dam.
#[derive(Clone, Copy)]
pub struct DamToBreed<'a> {
    /// Heats, matings and litters.
    pub records: &'a DamRecords,
    /// Her litters with all that is on record of them.
    pub litters: &'a [(Shared<Core>, Watched)],
    /// Alarms about those litters and her.
    pub alarms: &'a [Alarm],
    /// Her weighings.
    pub weighings: &'a [Weighing],
    /// The kennel's jurisdiction.
    pub jurisdiction: &'a str,
    /// The set of limits that the kennel keeps to.
    pub kennel_set: Option<&'a RuleSet>,
}

/// When a dam may be bred again.
///
/// Her state: `dam_after_birth.healed_days`, weaning, what calls now, `dam_after_birth.rebred_*`. The law's and the
/// kennel's limits: see [`crate::breeding_limits`].
pub fn breeding_again(dam: DamToBreed<'_>, moment: &Moment) -> BreedingAgain {
    let (today, rules) = (moment.today(), &moment.rules);
    let state = states(&dam, moment);
    let law = RuleSet::of_law(dam.jurisdiction);
    let own = dam.kennel_set.filter(|set| law.is_none_or(|law| law.name != set.name));
    let history = history_of(dam.records);
    let sets: Vec<(GroundOf, &RuleSet)> = law
        .map(|set| (GroundOf::Law, set))
        .into_iter()
        .chain(own.map(|set| (GroundOf::Kennel, set)))
        .collect();
    let asked = Asked { state: &state, sets: &sets, history: &history };
    let to_mating =
        rules.value("planner.heat_to_whelping_days") - rules.value("planner.timed_mating_days");
    let forecast = forecast_heats(&heat_history(dam.records), HEATS, today, rules);
    let coming = forecast.map(|forecast| forecast.heats).unwrap_or_default();
    let heats: Vec<HeatChance> = coming
        .iter()
        .map(|heat| {
            let mated_on = shift(heat.likely, to_mating.round() as i64);
            let answer = asked.on(mated_on);
            HeatChance { number: heat.number, likely_on: heat.likely, mated_on, answer }
        })
        .collect();
    let mated_on = heats.first().map_or(today, |heat| heat.mated_on);
    let earliest_on = asked.first_free(today);
    let never = asked.never_free(today);
    let answer = match asked.on(mated_on) {
        BreedingAnswer::NotYet if never => BreedingAnswer::No,
        answer => answer,
    };
    let mut grounds = asked.grounds(mated_on, today);
    grounds.sort_by_key(|ground| std::cmp::Reverse(ground.answer));
    let mut cautions = law_cautions(dam.jurisdiction, dam.kennel_set, today);
    let about_her =
        dam.alarms.iter().filter(|alarm| alarm.about.dog_id == Some(dam.records.dam_id));
    cautions.extend(about_her.map(Alarm::caution));
    cautions.sort_by_key(|caution| std::cmp::Reverse(caution.level));
    BreedingAgain {
        dog_id: dam.records.dam_id,
        reckoned_at: moment.now,
        answer,
        says: says(answer, earliest_on, heats.first()),
        earliest_on,
        mated_on,
        heats,
        grounds,
        cautions,
        advice: standing_line(),
    }
}

fn says(answer: BreedingAnswer, earliest_on: Option<NaiveDate>, next: Option<&HeatChance>) -> Text {
    match (answer, earliest_on, next) {
        (BreedingAnswer::Yes, _, Some(heat)) => {
            said!("breed-again-yes", likely_on = heat.likely_on)
        }
        (BreedingAnswer::Yes, _, None) => said!("breed-again-yes-now"),
        (BreedingAnswer::Unknown, ..) => said!("breed-again-unknown"),
        (BreedingAnswer::AskVet, ..) => said!("breed-again-ask-vet"),
        (BreedingAnswer::NotYet, Some(from), _) => said!("breed-again-not-yet", from = from),
        (BreedingAnswer::NotYet, None, _) => said!("breed-again-not-yet-open"),
        (BreedingAnswer::No, ..) => said!("breed-again-no"),
    }
}

/// What is held against any day.
struct Asked<'a> {
    state: &'a [StateGround],
    sets: &'a [(GroundOf, &'a RuleSet)],
    history: &'a DamHistory,
}

fn of_limit(result: LimitResult) -> BreedingAnswer {
    match result {
        LimitResult::Met => BreedingAnswer::Yes,
        LimitResult::Unknown => BreedingAnswer::Unknown,
        LimitResult::Unmet => BreedingAnswer::NotYet,
    }
}

impl Asked<'_> {
    fn limits(&self, day: NaiveDate) -> impl Iterator<Item = (GroundOf, LimitFinding)> {
        let found = self.sets.iter().flat_map(move |(of, set)| {
            check_dam(set, self.history, day).into_iter().map(|finding| (*of, finding))
        });
        found.filter(|(_, finding)| !OF_A_PAIR.contains(&finding.rule))
    }

    /// The gravest answer of all grounds on a day of mating.
    fn on(&self, day: NaiveDate) -> BreedingAnswer {
        let state = self.state.iter().map(|ground| ground.on(day));
        let limits = self.limits(day).map(|(_, finding)| of_limit(finding.result));
        state.chain(limits).max().unwrap_or(BreedingAnswer::Yes)
    }

    fn days_ahead(today: NaiveDate) -> impl Iterator<Item = NaiveDate> {
        (0..365 * YEARS_AHEAD).map(move |days| shift(today, days))
    }

    /// The first day on which nothing is against a mating but what a vet or a missing entry decides.
    fn first_free(&self, today: NaiveDate) -> Option<NaiveDate> {
        // What has no end leaves no day to look for.
        let endless = |ground: &&StateGround| {
            ground.met_from.is_none() && ground.against >= BreedingAnswer::NotYet
        };
        if self.state.iter().any(|ground| endless(&ground)) {
            return None;
        }
        Self::days_ahead(today).find(|day| self.on(*day) < BreedingAnswer::NotYet)
    }

    /// Whether a limit, or her death, leaves no day at all.
    fn never_free(&self, today: NaiveDate) -> bool {
        self.state.iter().any(|ground| ground.against == BreedingAnswer::No)
            || Self::days_ahead(today)
                .all(|day| self.limits(day).any(|(_, found)| found.result == LimitResult::Unmet))
    }

    fn grounds(&self, mated_on: NaiveDate, today: NaiveDate) -> Vec<BreedingGround> {
        let state = self.state.iter().map(|ground| BreedingGround {
            of: GroundOf::State,
            answer: ground.on(mated_on),
            what: ground.what.clone(),
            met_from: ground.met_from,
            limit: None,
            source: ground.source.clone(),
        });
        let limits = self.limits(mated_on).map(|(of, finding)| {
            let met_from = (finding.result == LimitResult::Unmet)
                .then(|| self.first_met(of, finding.rule, today))
                .flatten();
            let answer = match of_limit(finding.result) {
                BreedingAnswer::NotYet if met_from.is_none() => BreedingAnswer::No,
                answer => answer,
            };
            BreedingGround {
                of,
                answer,
                what: finding.detail,
                met_from,
                limit: Some(finding.rule),
                source: finding.source,
            }
        });
        state.chain(limits).collect()
    }

    /// The first day from today on which one limit is not broken.
    fn first_met(&self, of: GroundOf, limit: LimitKind, today: NaiveDate) -> Option<NaiveDate> {
        Self::days_ahead(today).find(|day| {
            let mut own = self.limits(*day).filter(|(own, it)| *own == of && it.rule == limit);
            own.all(|(_, finding)| finding.result != LimitResult::Unmet)
        })
    }
}

#[cfg(test)]
pub(crate) mod tests;
