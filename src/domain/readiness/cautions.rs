//! What to know beside the checks: of the law that they rest on, and of what was set aside.

use super::{
    ReadinessCheck, ReadinessResult, ReadinessRule, ReadinessRuleSet,
    rule_set::{LawGaps, RuleInForce},
};
use crate::{
    advice::{Caution, CautionCode, Level, STANDING_SOURCE},
    law,
    listing::commas,
    rules::Status,
};
use catalogue::{Text, said};
use chrono::NaiveDate;

pub(super) fn note(code: CautionCode, what: Text, why: Text, source: &str) -> Caution {
    Caution::new(code, Level::Note, what, why, source)
}

/// What to know of the law that the rules in force rest on, as of `today`: that none is listed, that a
/// row is not confirmed or was last read more than a year ago, what was looked for and not found.
pub fn law_cautions(set: &ReadinessRuleSet, today: NaiveDate) -> Vec<Caution> {
    let mut cautions = Vec::new();
    if set.matched.is_none() {
        cautions.push(note(
            CautionCode::GoHomeNoLaw,
            said!("go-home-law-none"),
            said!("go-home-law-none-why", jurisdiction = &set.jurisdiction),
            STANDING_SOURCE,
        ));
    }
    let from_memory = set.rules.iter().filter(|row| row.status == Status::FromMemory);
    cautions.extend(from_memory.map(unconfirmed));
    let read = |row: &RuleInForce| Some((row.rule.words(), row.checked_on?));
    cautions.extend(law::dated(set.rules.iter().filter_map(read), today));
    cautions.extend(set.gaps.as_ref().and_then(|gaps| not_found(gaps, set)));
    cautions
}

fn unconfirmed(row: &RuleInForce) -> Caution {
    note(
        CautionCode::GoHomeUnconfirmed,
        said!("go-home-law-unconfirmed"),
        said!("go-home-law-unconfirmed-why", rule = row.rule.words(), scope = &row.scope),
        &row.source,
    )
}

/// That a law was not found does not say that there is none.
fn not_found(gaps: &LawGaps, set: &ReadinessRuleSet) -> Option<Caution> {
    let list = |rules: &[ReadinessRule]| commas(rules.iter().map(|rule| rule.words()));
    let mut why = Vec::new();
    if !gaps.nothing_found.is_empty() {
        let rules = list(&gaps.nothing_found);
        why.push(said!("go-home-law-nothing-found", looked_on = gaps.looked_on, rules = rules));
    }
    if !gaps.not_looked_for.is_empty() {
        why.push(said!("go-home-law-not-looked-for", rules = list(&gaps.not_looked_for)));
    }
    why.extend(gaps.about.clone());
    let open: Vec<ReadinessRule> =
        gaps.nothing_found.iter().chain(&gaps.not_looked_for).copied().collect();
    let name = set.name.clone().unwrap_or_else(|| Text::verbatim(&set.jurisdiction));
    (!open.is_empty()).then(|| {
        note(
            CautionCode::LawNotFound,
            said!("go-home-law-ask", jurisdiction = name, rules = list(&open)),
            Text::sentences(why),
            STANDING_SOURCE,
        )
    })
}

/// What the checks of a pup give to say.
pub(super) fn of_checks(checks: &[ReadinessCheck]) -> Vec<Caution> {
    let mut cautions = Vec::new();
    let age_unmet = |check: &&ReadinessCheck| {
        check.rule == ReadinessRule::MinimumAge && check.result != ReadinessResult::Met
    };
    if checks.iter().any(|check| age_unmet(&check)) {
        cautions.push(note(
            CautionCode::GoHomeTooYoung,
            said!("go-home-too-young"),
            said!("go-home-too-young-why"),
            STANDING_SOURCE,
        ));
    }
    for check in checks {
        if let Some(set_aside) = &check.overridden {
            cautions.push(Caution::new(
                CautionCode::GoHomeSetAside,
                Level::Act,
                said!(
                    "go-home-set-aside",
                    rule = check.rule.words(),
                    by = &set_aside.by,
                    on = set_aside.on
                ),
                said!("go-home-set-aside-why", detail = &check.detail, reason = &set_aside.reason),
                check.source.clone(),
            ));
        }
    }
    cautions
}
