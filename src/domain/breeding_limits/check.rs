//! The limits held against a dog's record, through dates that may be known only in part.

use super::{
    BreedingLimit, DamHistory, LimitFinding, LimitKind, LimitResult, PastWhelping, RuleSet,
    SireHistory, TABLE,
};
use crate::partial_date::PartialDate;
use chrono::{Datelike, Days, Months, NaiveDate};

type Judgement = (LimitResult, String);

/// Holds the limits on dams against one dam who is, or would be, mated on `mated_on`.
///
/// The whelping is expected after the gestation of the table (63 days). A finding is `unknown`
/// when the record does not decide: no birth date, a date known to the year only, litters that
/// may be missing. Only limits of the set that concern a dam are answered.
pub fn check_dam(set: &RuleSet, dam: &DamHistory, mated_on: NaiveDate) -> Vec<LimitFinding> {
    set.limits
        .iter()
        .filter_map(|limit| dam_outcome(limit, dam, mated_on).map(|o| finding(limit, o)))
        .collect()
}

/// Holds the limits on sires against one sire who is, or would be, used on `mated_on`.
pub fn check_sire(set: &RuleSet, sire: &SireHistory, mated_on: NaiveDate) -> Vec<LimitFinding> {
    set.limits
        .iter()
        .filter_map(|limit| {
            let outcome = match limit.kind {
                LimitKind::SireMinAgeAtMating => least_age(sire.born_on, limit.value, mated_on),
                LimitKind::SireMaxAgeAtMating => {
                    below_age(sire.born_on, limit.value, mated_on, true)
                }
                _ => return None,
            };
            Some(finding(limit, outcome))
        })
        .collect()
}

fn finding(limit: &BreedingLimit, (result, detail): Judgement) -> LimitFinding {
    LimitFinding {
        rule: limit.kind,
        result,
        detail,
        source: limit.source.clone(),
        status: limit.status,
    }
}

fn dam_outcome(limit: &BreedingLimit, dam: &DamHistory, mated_on: NaiveDate) -> Option<Judgement> {
    let due = mated_on + Days::new(TABLE.expected_gestation.value);
    let value = limit.value;
    let window = limit.window_months.unwrap_or(12);
    Some(match limit.kind {
        LimitKind::DamMinAgeAtMating => least_age(dam.born_on, value, mated_on),
        LimitKind::DamMaxAgeAtMating => below_age(dam.born_on, value, mated_on, true),
        LimitKind::DamMaxAgeAtWhelping => below_age(dam.born_on, value, due, false),
        LimitKind::DamMaxLitters => {
            let had = dam.whelpings.len();
            count(had, had, value, dam.complete, "litters before this one")
        }
        LimitKind::DamMaxLittersInWindow => {
            let from = due - Months::new(window);
            let (sure, most) = counted(dam, from.succ_opt().unwrap_or(from), due);
            count(
                sure,
                most,
                value,
                dam.complete,
                &format!("litters in the {window} months to {due}"),
            )
        }
        LimitKind::DamMaxLittersPerCalendarYear => {
            let day = |month, day| NaiveDate::from_ymd_opt(due.year(), month, day).unwrap_or(due);
            let (sure, most) = counted(dam, day(1, 1), day(12, 31));
            count(sure, most, value, dam.complete, &format!("other litters in {}", due.year()))
        }
        LimitKind::DamMinLitterInterval => interval(dam, value, due),
        LimitKind::DamRestAfterTwoLitters => rest_after_two(dam, value, window, due),
        LimitKind::DamMaxCaesareans => caesareans(dam, value),
        LimitKind::DamOneSirePerHeat => other_sires(dam, value),
        LimitKind::NoParentOffspringOrFullSib => close_kin(dam),
        LimitKind::SireMinAgeAtMating | LimitKind::SireMaxAgeAtMating => return None,
    })
}

fn reached(born: NaiveDate, months: u32) -> NaiveDate {
    born.checked_add_months(Months::new(months)).unwrap_or(NaiveDate::MAX)
}

fn least_age(born: Option<PartialDate>, months: u32, on: NaiveDate) -> Judgement {
    let Some(born) = born else {
        return (LimitResult::Unknown, format!("birth date unknown; at least {months} months"));
    };
    let (first, last) = (reached(born.earliest(), months), reached(born.latest(), months));
    let result = verdict(last <= on, first > on);
    (result, format!("born {born}, mated {on}; at least {months} months (from {last})"))
}

/// Younger than `months` on that day; of exactly that age counts as kept when `inclusive`.
fn below_age(born: Option<PartialDate>, months: u32, on: NaiveDate, inclusive: bool) -> Judgement {
    let Some(born) = born else {
        return (LimitResult::Unknown, format!("birth date unknown; at most {months} months"));
    };
    let kept = |born| {
        let limit = reached(born, months);
        if inclusive { on <= limit } else { on < limit }
    };
    let result = verdict(kept(born.earliest()), !kept(born.latest()));
    (
        result,
        format!(
            "born {born}, on {on}; limit {months} months ({})",
            reached(born.earliest(), months)
        ),
    )
}

fn verdict(surely_met: bool, surely_unmet: bool) -> LimitResult {
    match (surely_met, surely_unmet) {
        (true, _) => LimitResult::Met,
        (_, true) => LimitResult::Unmet,
        _ => LimitResult::Unknown,
    }
}

/// Litters surely, and at most, whelped from `from` to `to`.
fn counted(dam: &DamHistory, from: NaiveDate, to: NaiveDate) -> (usize, usize) {
    let inside = |w: &&PastWhelping| w.whelped_on.earliest() >= from && w.whelped_on.latest() <= to;
    let touching =
        |w: &&PastWhelping| w.whelped_on.latest() >= from && w.whelped_on.earliest() <= to;
    (dam.whelpings.iter().filter(inside).count(), dam.whelpings.iter().filter(touching).count())
}

/// `sure..=most` litters so far, one more planned, at most `value`.
fn count(sure: usize, most: usize, value: u32, complete: bool, what: &str) -> Judgement {
    let limit = usize::try_from(value).unwrap_or(usize::MAX);
    let result = verdict(complete && most < limit, sure >= limit);
    let had = if sure == most { sure.to_string() } else { format!("{sure} to {most}") };
    let gap = if complete { "" } else { " on record, which may lack some" };
    (result, format!("{had} {what}{gap}; at most {value} with this one"))
}

fn latest(dam: &DamHistory) -> Option<&PastWhelping> {
    dam.whelpings.iter().max_by_key(|w| w.whelped_on.latest())
}

fn interval(dam: &DamHistory, months: u32, due: NaiveDate) -> Judgement {
    let Some(last) = latest(dam) else {
        let result = if dam.complete { LimitResult::Met } else { LimitResult::Unknown };
        return (result, format!("no litter on record; {months} months between litters"));
    };
    let from = reached(last.whelped_on.latest(), months);
    let result =
        verdict(dam.complete && due >= from, due < reached(last.whelped_on.earliest(), months));
    (
        result,
        format!(
            "last whelped {}, next about {due}; {months} months apart (from {from})",
            last.whelped_on
        ),
    )
}

fn rest_after_two(dam: &DamHistory, months: u32, window: u32, due: NaiveDate) -> Judgement {
    let mut days: Vec<&PastWhelping> = dam.whelpings.iter().collect();
    days.sort_by_key(|w| w.whelped_on.latest());
    let [.., before, last] = days.as_slice() else {
        let result = if dam.complete { LimitResult::Met } else { LimitResult::Unknown };
        return (result, format!("{} litters on record; two are needed", days.len()));
    };
    let (before, last) = (before.whelped_on, last.whelped_on);
    let maybe_close = last.earliest() <= reached(before.latest(), window);
    let surely_close = last.latest() <= reached(before.earliest(), window);
    let rested_from = reached(last.latest(), months);
    let result = verdict(
        dam.complete && (!maybe_close || due >= rested_from),
        surely_close && due < reached(last.earliest(), months),
    );
    (
        result,
        format!(
            "whelped {before} and {last}, next about {due}; after two litters within {window} months a rest of {months} months (to {rested_from})"
        ),
    )
}

fn caesareans(dam: &DamHistory, value: u32) -> Judgement {
    let limit = usize::try_from(value).unwrap_or(usize::MAX);
    let sure = dam.whelpings.iter().filter(|w| w.caesarean == Some(true)).count();
    let most = dam.whelpings.iter().filter(|w| w.caesarean != Some(false)).count();
    let result = verdict(dam.complete && most <= limit, sure > limit);
    (
        result,
        format!("{sure} caesarean litters recorded, {} not recorded; at most {value}", most - sure),
    )
}

fn other_sires(dam: &DamHistory, value: u32) -> Judgement {
    match dam.other_sires_this_heat {
        None => (LimitResult::Unknown, "matings of this heat not recorded".into()),
        Some(others) => (
            verdict(others < value, others >= value),
            format!("{others} other males in this heat; at most {value} in all"),
        ),
    }
}

fn close_kin(dam: &DamHistory) -> Judgement {
    match dam.parent_offspring_or_full_sib {
        None => (LimitResult::Unknown, "kinship to the male not stated".into()),
        Some(true) => (LimitResult::Unmet, "the male is her parent, offspring or full sib".into()),
        Some(false) => {
            (LimitResult::Met, "neither parent, offspring nor full sib on record".into())
        }
    }
}
