//! When all the pups of a litter, and each of them, can go.

use super::{Readiness, ReadinessCheck, ReadinessResult};
use crate::advice::Caution;
use catalogue::{Text, said};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;

/// A pup of a litter and its readiness.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct PupReadiness {
    /// The pup.
    pub dog_id: Uuid,
    /// Its name or collar.
    #[schema(example = "Red collar")]
    pub name: String,
    /// Whether it may go home.
    pub ready: bool,
    /// The first day on which it can go; `null` when that cannot be said.
    pub ready_on: Option<NaiveDate>,
    /// Every rule.
    pub checks: Vec<ReadinessCheck>,
    /// What to know besides.
    pub cautions: Vec<Caution>,
}

impl PupReadiness {
    /// The readiness of one pup of a litter.
    pub fn new(dog_id: Uuid, name: impl Into<String>, readiness: Readiness) -> Self {
        let Readiness { ready, ready_on, checks, cautions } = readiness;
        Self { dog_id, name: name.into(), ready, ready_on, checks, cautions }
    }
}

/// Whether the pups of a litter may go home.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct LitterReadiness {
    /// Whether all may go; a litter without pups is not ready.
    pub ready: bool,
    /// The first day on which all can go; `null` when that cannot be said for one of them.
    pub ready_on: Option<NaiveDate>,
    /// The first day on which one can go.
    pub first_ready_on: Option<NaiveDate>,
    /// Each rule over the whole litter: the worst result, and the day on which all meet it.
    pub checks: Vec<ReadinessCheck>,
    /// Each pup.
    pub pups: Vec<PupReadiness>,
    /// What to know besides.
    pub cautions: Vec<Caution>,
}

impl LitterReadiness {
    /// The same for a reader who sees no money.
    pub fn without_money(mut self) -> Self {
        let of_pups = self.pups.iter_mut().flat_map(|pup| &mut pup.checks);
        self.checks.iter_mut().chain(of_pups).for_each(ReadinessCheck::without_money);
        self
    }
}

/// Puts the readiness of the pups of a litter together.
///
/// Give the pups that are alive and still in the kennel; all under the same rule set.
pub(crate) fn litter_readiness(pups: Vec<PupReadiness>) -> LitterReadiness {
    let ready = !pups.is_empty() && pups.iter().all(|pup| pup.ready);
    let all: Option<Vec<NaiveDate>> = pups.iter().map(|pup| pup.ready_on).collect();
    // One that goes abroad has a rule that the others have not.
    let mut rules: Vec<&ReadinessCheck> = Vec::new();
    for check in pups.iter().flat_map(|pup| &pup.checks) {
        if rules.iter().all(|seen| seen.rule != check.rule) {
            rules.push(check);
        }
    }
    let mut cautions: Vec<Caution> = Vec::new();
    for caution in pups.iter().flat_map(|pup| &pup.cautions) {
        if !cautions.contains(caution) {
            cautions.push(caution.clone());
        }
    }
    LitterReadiness {
        ready,
        ready_on: all.and_then(|days| days.into_iter().max()),
        first_ready_on: pups.iter().filter_map(|pup| pup.ready_on).min(),
        checks: rules.into_iter().map(|of_first| over_litter(of_first, &pups)).collect(),
        cautions,
        pups,
    }
}

/// One rule over the whole litter; a pup for which it was set aside does not hold the litter back.
fn over_litter(of_first: &ReadinessCheck, pups: &[PupReadiness]) -> ReadinessCheck {
    let of_rule: Vec<(&str, &ReadinessCheck)> = pups
        .iter()
        .flat_map(|pup| pup.checks.iter().map(move |check| (pup.name.as_str(), check)))
        .filter(|(_, check)| check.rule == of_first.rule)
        .collect();
    let open: Vec<&(&str, &ReadinessCheck)> =
        of_rule.iter().filter(|(_, check)| !check.passes()).collect();
    let passing = of_rule.len() - open.len();
    let passing = said!("readiness-pups-passing", passing = passing, count = of_rule.len());
    let of_pup = |(name, check): &&(&str, &ReadinessCheck)| {
        said!("about", label = *name, what = &check.detail)
    };
    let detail = Text::sentences(std::iter::once(passing).chain(open.iter().map(of_pup)));
    let (result, met_on) = if open.is_empty() {
        let met_on = of_rule.iter().filter_map(|(_, check)| check.met_on).max();
        (ReadinessResult::Met, met_on)
    } else {
        let days: Option<Vec<NaiveDate>> = open.iter().map(|(_, check)| check.met_on).collect();
        let worst = open.iter().map(|(_, check)| check.result).max();
        let met_on = days.and_then(|days| days.into_iter().max());
        (worst.unwrap_or(ReadinessResult::Unknown), met_on)
    };
    ReadinessCheck {
        rule: of_first.rule,
        result,
        detail,
        met_on,
        source: of_first.source.clone(),
        checked_on: of_first.checked_on,
        overridden: None,
    }
}
