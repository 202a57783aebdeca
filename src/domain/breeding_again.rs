//! When may a dam be bred again: by her own state, by the law, and by the rules that her kennel keeps to.
//!
//! One answer of three sources, each ground with its reason. What has a day (a womb that heals, a rest between
//! litters, an age) is met from that day on; what has none (a weight that is too low, an alarm) is open until the record
//! says otherwise; what only a vet can say (after a caesarean, after low calcium) is asked and not decided here.

use crate::advice::{Caution, Level, standing_line};
use crate::alarms::{Alarm, Watched};
use crate::breeding_limits::{
    DamHistory, LimitFinding, LimitKind, LimitResult, RuleSet, check_dam, law_cautions,
};
use crate::cycle::coming_heats::forecast_heats;
use crate::dam_after_birth::{low_calcium_after, usual_weight};
use crate::day_chances::shift;
use crate::feeding::weaned_by;
use crate::growth::Weighing;
use crate::litter::{Core, Presence, signs_of_dam};
use crate::moment::Moment;
use crate::planner::{heat_history, history_of};
use crate::pregnancy::DamRecords;
use catalogue::{Text, figure, said};
use chrono::{DateTime, Duration, NaiveDate, Utc};
use serde::Serialize;
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
    pub litters: &'a [(Core, Watched)],
    /// Alarms about those litters and her.
    pub alarms: &'a [Alarm],
    /// Her weighings.
    pub weighings: &'a [Weighing],
    /// The kennel's jurisdiction.
    pub jurisdiction: &'a str,
    /// The set of limits that the kennel keeps to.
    pub kennel_set: Option<&'a RuleSet>,
}

/// A reason of her own state, as it is on any day.
struct StateGround {
    /// What it says while it stands against a mating.
    against: BreedingAnswer,
    /// From this day on it does not; null where no day ends it.
    met_from: Option<NaiveDate>,
    what: Text,
    source: String,
}

impl StateGround {
    fn on(&self, day: NaiveDate) -> BreedingAnswer {
        match self.met_from {
            Some(from) if day >= from => BreedingAnswer::Yes,
            _ => self.against,
        }
    }
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

/// All grounds of her own state that may stand against a mating.
fn states(dam: &DamToBreed<'_>, moment: &Moment) -> Vec<StateGround> {
    let mut found: Vec<StateGround> = presence(dam, moment).into_iter().collect();
    found.extend(carries(dam));
    found.extend(nurses(dam, moment));
    found.extend(womb(dam, moment));
    found.extend(caesareans(dam, moment));
    found.extend(low_calcium(dam, moment));
    found.extend(calls(dam));
    found.extend(weight(dam, moment));
    found
}

fn presence(dam: &DamToBreed<'_>, moment: &Moment) -> Option<StateGround> {
    let dog = dam.records.dog.as_ref()?;
    let of_record = |against, what| StateGround {
        against,
        met_from: None,
        what,
        source: "her record".to_owned(),
    };
    if let Some(on) = dog.died_on {
        return Some(of_record(BreedingAnswer::No, said!("breed-again-died", on = on)));
    }
    let here = Presence::by_record(dog.died_on, dog.residence, moment.today()).is_here();
    (!here).then(|| of_record(BreedingAnswer::NotYet, said!("breed-again-not-here")))
}

fn carries(dam: &DamToBreed<'_>) -> Option<StateGround> {
    let open = dam.records.litters.iter().any(|it| it.litter.record.whelped_on.is_none());
    open.then(|| StateGround {
        against: BreedingAnswer::NotYet,
        met_from: None,
        what: said!("breed-again-carries"),
        source: "her record".to_owned(),
    })
}

/// The day of her last whelping.
fn last_whelped(dam: &DamToBreed<'_>) -> Option<NaiveDate> {
    dam.records.litters.iter().filter_map(|it| it.litter.record.whelped_on).max()
}

fn nurses(dam: &DamToBreed<'_>, moment: &Moment) -> Option<StateGround> {
    let rules = &moment.rules;
    let unweaned =
        dam.records.litters.iter().filter(|it| it.litter.record.weaned_on.is_none() && it.here > 0);
    let whelped_on = unweaned.filter_map(|it| it.litter.record.whelped_on).max()?;
    let met_from = weaned_by(whelped_on, rules);
    (moment.today() < met_from).then(|| StateGround {
        against: BreedingAnswer::NotYet,
        met_from: Some(met_from),
        what: said!("breed-again-nurses", weaned_by = met_from),
        source: rules.get("feeding.weaned_by_day").source.clone(),
    })
}

fn womb(dam: &DamToBreed<'_>, moment: &Moment) -> Option<StateGround> {
    let rule = moment.rules.get("dam_after_birth.healed_days");
    let healed_on = shift(last_whelped(dam)?, rule.value as i64);
    (moment.today() < healed_on).then(|| StateGround {
        against: BreedingAnswer::NotYet,
        met_from: Some(healed_on),
        what: said!("breed-again-womb", healed_on = healed_on),
        source: rule.source.clone(),
    })
}

/// After a caesarean a vet has seen the womb and says whether it may carry again.
fn caesareans(dam: &DamToBreed<'_>, moment: &Moment) -> Option<StateGround> {
    let rule = moment.rules.get("dam_after_birth.rebred_caesareans");
    let litters = &dam.records.litters;
    let count = litters.iter().filter(|it| it.caesarean == Some(true)).count();
    let last = litters.iter().max_by_key(|it| it.litter.record.whelped_on)?;
    let what = if count as f64 >= rule.value {
        said!("breed-again-caesareans", count = count)
    } else if last.caesarean == Some(true) {
        said!("breed-again-caesarean-last")
    } else {
        return None;
    };
    let source = rule.source.clone();
    Some(StateGround { against: BreedingAnswer::AskVet, met_from: None, what, source })
}

fn low_calcium(dam: &DamToBreed<'_>, moment: &Moment) -> Option<StateGround> {
    let nights = dam.litters.iter().map(|(core, parts)| (core, &parts.3));
    let before = low_calcium_after(&signs_of_dam(nights));
    let last = before.into_iter().max()?;
    Some(StateGround {
        against: BreedingAnswer::AskVet,
        met_from: None,
        what: said!("breed-again-low-calcium", whelped_on = last),
        source: moment.rules.get("dam_after_birth.low_calcium_to_day").source.clone(),
    })
}

/// What calls about her now.
fn calls(dam: &DamToBreed<'_>) -> Option<StateGround> {
    let own = dam.alarms.iter().filter(|it| it.about.dog_id == Some(dam.records.dam_id));
    let worst = own.filter(|it| it.level >= Level::Act).max_by_key(|it| it.level)?;
    Some(StateGround {
        against: BreedingAnswer::NotYet,
        met_from: None,
        what: said!("breed-again-calls", what = &worst.what),
        source: worst.source.clone(),
    })
}

/// Whether she is back at her usual weight; asked of a dam that has whelped.
fn weight(dam: &DamToBreed<'_>, moment: &Moment) -> Option<StateGround> {
    let whelped_on = last_whelped(dam)?;
    let (loss, fresh) =
        ("dam_after_birth.rebred_weight_loss", "dam_after_birth.rebred_weight_days");
    let rules = &moment.rules;
    let ground = |against, what| {
        let source = rules.get(loss).source.clone();
        Some(StateGround { against, met_from: None, what, source })
    };
    let written = dam.records.dog.as_ref().and_then(|dog| dog.adult_weight_g).map(f64::from);
    // Some nine weeks before the birth she was not heavy with it.
    let before = moment.midnight(whelped_on) - Duration::days(63);
    let usual = written.or_else(|| usual_weight(dam.weighings, before));
    let known = dam.weighings.iter().filter(|it| !it.doubtful && it.measured_at <= moment.now);
    let last = known.max_by_key(|it| it.measured_at).filter(|it| {
        moment.now - it.measured_at <= rules.span(fresh)
            && moment.day_of(it.measured_at) >= whelped_on
    });
    let Some((last, usual)) = last.zip(usual) else {
        return ground(BreedingAnswer::Unknown, said!("breed-again-weight-unknown"));
    };
    let below = 1.0 - last.weight_g / usual;
    if below > rules.value(loss) + 1e-9 {
        let (percent, limit) = (figure(below * 100.0, 0), figure(rules.value(loss) * 100.0, 0));
        let what = said!("breed-again-weight-low", percent = percent, limit_percent = limit);
        return ground(BreedingAnswer::NotYet, what);
    }
    None
}

#[cfg(test)]
pub(crate) mod tests;
