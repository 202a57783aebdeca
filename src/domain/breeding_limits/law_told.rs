//! What to know of a kennel's law beside the limits that it holds to.

use super::{BreedingLimit, NothingFound, RuleSet, TABLE};
use crate::{
    advice::{Caution, CautionCode, Level, STANDING_SOURCE},
    law,
    rules::Status,
};
use catalogue::{Text, said};
use chrono::NaiveDate;

fn note(code: CautionCode, what: Text, why: Text, source: &str) -> Caution {
    Caution::new(code, Level::Note, what, why, source)
}

/// What to know of the law of `jurisdiction` as of `today`, beside the set that is `held_to`, if one is:
/// that it has limits of its own, that they are not confirmed or were last read more than a year ago,
/// or that none was found. That none was found does not say that there is none.
pub fn law_cautions(
    jurisdiction: &str,
    held_to: Option<&RuleSet>,
    today: NaiveDate,
) -> Vec<Caution> {
    let of_law = RuleSet::of_law(jurisdiction);
    let mut cautions = Vec::new();
    match of_law {
        None => cautions.push(not_found(jurisdiction)),
        Some(law) if held_to.is_some_and(|set| set.name != law.name) => cautions.push(note(
            CautionCode::LawNotHeldTo,
            said!("law-not-held-to", rule_set = &law.name),
            said!("law-not-held-to-why", title = &law.title, scope = &law.scope),
            STANDING_SOURCE,
        )),
        Some(_) => {}
    }
    let held_to = held_to.filter(|set| of_law.is_none_or(|law| law.name != set.name));
    let sets: Vec<&RuleSet> = of_law.into_iter().chain(held_to).collect();
    let limits = || sets.iter().flat_map(|set| set.limits.iter().map(move |limit| (set, limit)));
    let unconfirmed = |(set, limit): (&&RuleSet, &BreedingLimit)| {
        note(
            CautionCode::LawUnconfirmed,
            said!("law-unconfirmed"),
            unconfirmed_limit(set, limit),
            &limit.source,
        )
    };
    let from_memory = limits().filter(|(_, limit)| limit.status == Status::FromMemory);
    cautions.extend(from_memory.map(unconfirmed));
    let mut read: Vec<(Text, NaiveDate)> =
        limits().map(|(set, limit)| (set.title.clone(), limit.checked_on)).collect();
    read.dedup();
    cautions.extend(law::dated(read, today));
    cautions
}

/// A limit that is not confirmed, in its unit.
fn unconfirmed_limit(set: &RuleSet, limit: &BreedingLimit) -> Text {
    let (title, value) = (&set.title, limit.value);
    match limit.unit.as_str() {
        "months" => said!("law-limit-months", title = title, months = value),
        "litters" => said!("law-limit-litters", title = title, litters = value),
        "sires" => said!("law-limit-sires", title = title, sires = value),
        _ => said!("law-limit-matings", title = title, matings = value),
    }
}

fn not_found(jurisdiction: &str) -> Caution {
    let sought =
        law::nearest(&TABLE.nothing_found, jurisdiction, |f| Some(f.jurisdiction.as_str()));
    let (what, why) = match sought {
        Some(NothingFound { name, looked_on, looked_at, .. }) => (
            said!("law-not-found-of", of = name),
            said!("law-not-found-looked", looked_on = *looked_on, looked_at = looked_at),
        ),
        None if jurisdiction.is_empty() => {
            (said!("law-not-found"), said!("law-not-found-no-jurisdiction"))
        }
        None => (
            said!("law-not-found"),
            said!("law-not-found-not-listed", jurisdiction = format!("{jurisdiction:?}")),
        ),
    };
    note(CautionCode::LawNotFound, what, why, STANDING_SOURCE)
}

/// The line on the law beside findings: that local law decides, and what to know of it.
pub fn law_line(jurisdiction: &str, held_to: Option<&RuleSet>, today: NaiveDate) -> Text {
    let mut sentences = vec![RuleSet::note()];
    for caution in law_cautions(jurisdiction, held_to, today) {
        if !sentences.contains(&caution.what) {
            sentences.push(caution.what);
        }
    }
    Text::sentences(sentences)
}
