//! Whether a pup is fading, by all that is known of it: weights, temperature, feeding, signs and how it was born.
//!
//! It begins with the early warning by weights ([`crate::growth::PupRisk`]) as odds; each kind of evidence of the
//! last day multiplies them by how much more often it is seen of pups that fade than of others (a naive Bayes
//! classifier, in log odds). What says the same thing twice counts once: a thermometer before "feels cold", a look at
//! the teat before the sign "does not suck". Signs come together, so each further one counts for a part of the one
//! before. What nobody looked at changes nothing.

use crate::advice::CautionCode;
use crate::alarms::{Finding, NewbornFacts, PupCheckFact};
use crate::call_signs::{PupSign, pup_sign};
use crate::growth::PupRisk;
use crate::rules::Rules;
use crate::vital_signs::usual_from_c;
use crate::whelping::vitality_score;
use catalogue::{Text, figure, said};
use chrono::{DateTime, Duration, Utc};
use serde::Serialize;
use std::collections::BTreeMap;
use utoipa::ToSchema;

/// A kind of evidence.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum FadingEvidence {
    /// Its weights, by the early warning.
    Weights,
    /// Its temperature.
    Temperature,
    /// Whether it sucks, and what it takes by hand.
    Feeding,
    /// Signs of illness, or that a look found none.
    Signs,
    /// How lively it was at birth.
    Birth,
}

/// What one kind of evidence adds.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct FadingGround {
    /// The kind.
    pub evidence: FadingEvidence,
    /// What it adds to the log odds that the pup is fading; below zero it speaks for the pup.
    #[schema(example = 1.8)]
    pub log_odds: f64,
    /// When it was last seen; null of weights.
    pub seen_at: Option<DateTime<Utc>>,
    /// What was seen.
    #[schema(value_type = String, example = "was seen not to suck")]
    pub why: Text,
}

impl FadingGround {
    /// Whether it speaks against the pup.
    pub(crate) fn speaks(&self) -> bool {
        self.log_odds > 0.0
    }
}

/// How probable it is that a pup is fading.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct FadingScore {
    /// Probability that it is fading, by all that is known.
    #[schema(example = 0.71)]
    pub probability: f64,
    /// The same by its weights alone; null where it has none.
    #[schema(example = 0.24)]
    pub by_weights_alone: Option<f64>,
    /// What it rests on, what speaks most against the pup first.
    pub grounds: Vec<FadingGround>,
    /// What was not looked at in the last day and would tell more.
    #[schema(value_type = Vec<String>)]
    pub lacks: Vec<Text>,
}

/// Furthest from even odds that weights alone may be: they are never sure. It is so far out that it takes nothing of
/// what they tell: bounded at 0.995, two of three thriving pups of a calmly weighed litter stood equal, and whether
/// somebody had looked at them told them from those that fade.
const SUREST: f64 = 0.9999;

/// How probable it is that a pup is fading at `now`; `None` for one that is past `newborn.fading_to_day`.
///
/// `takes_little` says that it lives by hand and took too little in the last day. Evidence counts for
/// `newborn.reading_hours`; the weights of its kinds are `newborn.fading_*` and those of the signs stand in the table
/// `call_signs`.
pub(crate) fn fading_score(
    pup: &NewbornFacts,
    risk: Option<&PupRisk>,
    takes_little: bool,
    now: DateTime<Utc>,
    rules: &Rules,
) -> Option<FadingScore> {
    let age = now - pup.born_at;
    if age < Duration::zero() || age.num_days() as f64 > rules.value("newborn.fading_to_day") {
        return None;
    }
    let look = Look { pup, now, since: now - rules.span("newborn.reading_hours"), rules };
    let by_weights = risk.map(|risk| risk.probability.clamp(1.0 - SUREST, SUREST));
    let begin = by_weights.unwrap_or_else(|| rules.value("growth.early_death_base"));
    let temperature = look.temperature();
    let feeding = look.feeding(takes_little);
    let signs = look.signs(temperature.is_some(), feeding.as_ref().is_some_and(|it| it.speaks()));
    let mut lacks = Vec::new();
    if by_weights.is_none() {
        lacks.push(said!("fading-lacks-weights"));
    }
    if temperature.is_none() {
        lacks.push(said!("fading-lacks-temperature"));
    }
    if signs.is_none() {
        lacks.push(said!("fading-lacks-look"));
    }
    let weights = by_weights.zip(risk).map(|(probability, risk)| FadingGround {
        evidence: FadingEvidence::Weights,
        log_odds: log_odds(probability),
        seen_at: None,
        why: risk.why.clone(),
    });
    let others: Vec<FadingGround> =
        [temperature, feeding, signs, look.birth()].into_iter().flatten().collect();
    let added: f64 = others.iter().map(|ground| ground.log_odds).sum();
    // What nobody looked at changes nothing.
    let probability = match risk.filter(|_| others.is_empty()) {
        Some(risk) => risk.probability,
        None => probability(log_odds(begin) + added),
    };
    let mut grounds: Vec<FadingGround> = weights.into_iter().chain(others).collect();
    grounds.sort_by(|a, b| b.log_odds.total_cmp(&a.log_odds));
    Some(FadingScore {
        probability,
        by_weights_alone: risk.map(|risk| risk.probability),
        grounds,
        lacks,
    })
}

/// Whether what is found of a pup's feeds says that it takes too little.
pub(crate) fn takes_little(fed: &[Finding]) -> bool {
    fed.iter().any(|found| found.caution.code == CautionCode::FeedingLittle)
}

fn log_odds(probability: f64) -> f64 {
    (probability / (1.0 - probability)).ln()
}

fn probability(log_odds: f64) -> f64 {
    1.0 / (1.0 + (-log_odds).exp())
}

struct Look<'a> {
    pup: &'a NewbornFacts,
    now: DateTime<Utc>,
    /// What was seen after this counts.
    since: DateTime<Utc>,
    rules: &'a Rules,
}

impl Look<'_> {
    fn counts(&self, at: DateTime<Utc>) -> bool {
        at > self.since && at <= self.now && at >= self.pup.born_at
    }

    fn checks(&self) -> impl Iterator<Item = &PupCheckFact> {
        self.pup.checks.iter().filter(|check| self.counts(check.at))
    }

    /// The last temperature beside the usual of its age.
    fn temperature(&self) -> Option<FadingGround> {
        let readings = self.pup.temperatures.iter().filter(|(at, _)| self.counts(*at));
        let (at, t) = readings.max_by_key(|(at, _)| *at)?;
        let age_days = (*at - self.pup.born_at).num_days();
        let below = usual_from_c(age_days, self.rules) - t;
        let value = |rule| self.rules.value(rule);
        let log_odds = (below * value("newborn.fading_per_degree"))
            .clamp(-value("newborn.fading_warm"), value("newborn.fading_temperature_most"));
        Some(FadingGround {
            evidence: FadingEvidence::Temperature,
            log_odds,
            seen_at: Some(*at),
            why: said!("fading-temperature", temperature_c = figure(*t, 1)),
        })
    }

    /// Whether it was seen to suck when somebody last looked, and whether it takes enough by hand.
    fn feeding(&self, takes_little: bool) -> Option<FadingGround> {
        let ground = |log_odds, seen_at, why| FadingGround {
            evidence: FadingEvidence::Feeding,
            log_odds,
            seen_at,
            why,
        };
        let refused = |check: &PupCheckFact| match check.nurses {
            Some(nurses) => Some(!nurses),
            None => check.signs.contains(&PupSign::NotSucking).then_some(true),
        };
        let last = self.checks().filter_map(|it| Some((it.at, refused(it)?))).max_by_key(|it| it.0);
        let value = |rule| self.rules.value(rule);
        match last {
            Some((at, true)) => {
                let why = said!("fading-not-nursing");
                Some(ground(value("newborn.fading_not_nursing"), Some(at), why))
            }
            _ if takes_little => {
                let why = said!("fading-little-taken");
                Some(ground(value("newborn.fading_little_taken"), None, why))
            }
            Some((at, false)) => {
                let why = said!("fading-nursing");
                Some(ground(-value("newborn.fading_nursing"), Some(at), why))
            }
            None => None,
        }
    }

    /// Signs seen and not undone by a later look that found the pup well; or that such a look found none.
    fn signs(&self, measured: bool, refused: bool) -> Option<FadingGround> {
        let mut seen: BTreeMap<PupSign, DateTime<Utc>> = BTreeMap::new();
        for check in self.checks() {
            for sign in &check.signs {
                seen.entry(*sign).and_modify(|at| *at = check.at.max(*at)).or_insert(check.at);
            }
        }
        let well = self.checks().filter(|check| check.signs.is_empty() && check.looked());
        let well_at = well.map(|check| check.at).max();
        seen.retain(|_, at| well_at.is_none_or(|well_at| *at >= well_at));
        if let Some(at) = well_at.filter(|_| seen.is_empty()) {
            return Some(FadingGround {
                evidence: FadingEvidence::Signs,
                log_odds: -self.rules.value("newborn.fading_no_signs"),
                seen_at: Some(at),
                why: said!("fading-no-signs"),
            });
        }
        // What a thermometer or the teat told already is told once.
        let told = |sign: PupSign| match sign {
            PupSign::Cold => measured,
            PupSign::NotSucking => refused,
            _ => false,
        };
        let at = seen.values().max().copied()?;
        let words = catalogue::Value::all(seen.keys().map(|sign| sign.word()));
        let left = seen.keys().filter(|sign| !told(**sign));
        let mut weights: Vec<f64> =
            left.filter_map(|sign| Some(pup_sign(*sign)?.fading_log_odds)).collect();
        weights.sort_by(|a, b| b.total_cmp(a));
        let next = self.rules.value("newborn.fading_next_sign");
        let sum = weights.iter().rev().fold(0.0, |sum, weight| weight + next * sum);
        Some(FadingGround {
            evidence: FadingEvidence::Signs,
            log_odds: sum,
            seen_at: Some(at),
            why: said!("fading-signs", signs = words),
        })
    }

    /// A low score of vitality, for as long as it foretells.
    fn birth(&self) -> Option<FadingGround> {
        let signs = self.pup.vitality.as_ref()?;
        if self.now - self.pup.born_at >= self.rules.span("newborn.vitality_watched_hours") {
            return None;
        }
        let score = vitality_score(signs, self.pup.vitality_minutes, self.rules);
        (!score.cautions.is_empty()).then(|| FadingGround {
            evidence: FadingEvidence::Birth,
            log_odds: self.rules.value("newborn.fading_weak_at_birth"),
            seen_at: Some(self.pup.born_at + Duration::minutes(self.pup.vitality_minutes)),
            why: said!("fading-weak-at-birth", points = score.points_at_most),
        })
    }
}
