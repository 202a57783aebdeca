//! The limits held against a dog's record, through dates that may be known only in part.

use super::{
    BreedingLimit, DamHistory, LimitFinding, LimitKind, LimitResult, PastWhelping, RuleSet,
    SireHistory, TABLE,
};
use crate::partial_date::PartialDate;
use catalogue::{Text, Value, said};
use chrono::{Datelike, Days, Months, NaiveDate};

type Judgement = (LimitResult, Text);

/// Holds the limits on dams against one dam who is, or would be, mated on `mated_on`.
///
/// The whelping is expected after the gestation of the table (63 days). A finding is `unknown`
/// when the record does not decide: no birth date, a date known to the year only, litters that
/// may be missing. Only limits of the set that concern a dam are answered.
pub(crate) fn check_dam(set: &RuleSet, dam: &DamHistory, mated_on: NaiveDate) -> Vec<LimitFinding> {
    set.limits
        .iter()
        .filter_map(|limit| dam_outcome(limit, dam, mated_on).map(|o| finding(limit, o)))
        .collect()
}

/// Holds the limits on sires against one sire who is, or would be, used on `mated_on`.
pub(crate) fn check_sire(
    set: &RuleSet,
    sire: &SireHistory,
    mated_on: NaiveDate,
) -> Vec<LimitFinding> {
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
        checked_on: limit.checked_on,
    }
}

fn dam_outcome(limit: &BreedingLimit, dam: &DamHistory, mated_on: NaiveDate) -> Option<Judgement> {
    let due = mated_on + Days::new(TABLE.expected_gestation.value);
    let value = limit.value;
    let window = limit.window_months.unwrap_or(12);
    Some(match limit.kind {
        LimitKind::DamMinAgeAtMating => least_age(dam.born_on, value, mated_on),
        LimitKind::DamMaxAgeAtMating => below_age(dam.born_on, value, mated_on, true),
        LimitKind::DamUnderAgeAtMating => below_age(dam.born_on, value, mated_on, false),
        LimitKind::DamMaxAgeAtWhelping => below_age(dam.born_on, value, due, false),
        LimitKind::DamMaxLitters => {
            let had = dam.whelpings.len();
            count((had, had), value, dam.complete, Counted::Before)
        }
        LimitKind::DamMaxLittersInWindow => {
            let from = due - Months::new(window);
            let had = counted(dam, from.succ_opt().unwrap_or(from), due);
            count(had, value, dam.complete, Counted::Window { months: window, to: due })
        }
        LimitKind::DamMaxLittersPerCalendarYear => {
            let day = |month, day| NaiveDate::from_ymd_opt(due.year(), month, day).unwrap_or(due);
            let had = counted(dam, day(1, 1), day(12, 31));
            count(had, value, dam.complete, Counted::Year(due.year()))
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
        return (LimitResult::Unknown, said!("limit-least-age-unknown", months = months));
    };
    let (first, last) = (reached(born.earliest(), months), reached(born.latest(), months));
    let result = verdict(last <= on, first > on);
    let said =
        said!("limit-least-age", born = written(born), mated_on = on, months = months, from = last);
    (result, said)
}

/// Younger than `months` on that day; of exactly that age counts as kept when `inclusive`.
fn below_age(born: Option<PartialDate>, months: u32, on: NaiveDate, inclusive: bool) -> Judgement {
    let Some(born) = born else {
        return (LimitResult::Unknown, said!("limit-most-age-unknown", months = months));
    };
    let kept = |born| {
        let limit = reached(born, months);
        if inclusive { on <= limit } else { on < limit }
    };
    let result = verdict(kept(born.earliest()), !kept(born.latest()));
    let said = said!(
        "limit-most-age",
        born = written(born),
        on = on,
        months = months,
        reached_on = reached(born.earliest(), months)
    );
    (result, said)
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

/// Which litters are counted.
#[derive(Clone, Copy)]
enum Counted {
    /// All of her life.
    Before,
    /// Those of so many months to a day.
    Window { months: u32, to: NaiveDate },
    /// Those of a calendar year.
    Year(i32),
}

/// `sure..=most` litters so far, one more planned, at most `value`.
fn count((sure, most): (usize, usize), value: u32, complete: bool, which: Counted) -> Judgement {
    let limit = usize::try_from(value).unwrap_or(usize::MAX);
    let result = verdict(complete && most < limit, sure >= limit);
    let had = if sure == most {
        Value::from(sure)
    } else {
        said!("limit-count-range", from = sure, to = most).into()
    };
    let said = match (which, complete) {
        (Counted::Before, true) => said!("limit-litters", had = had, most = value),
        (Counted::Before, false) => said!("limit-litters-gaps", had = had, most = value),
        (Counted::Window { months, to }, true) => {
            said!("limit-litters-window", had = had, months = months, to = to, most = value)
        }
        (Counted::Window { months, to }, false) => {
            said!("limit-litters-window-gaps", had = had, months = months, to = to, most = value)
        }
        (Counted::Year(year), true) => {
            said!("limit-litters-year", had = had, year = year, most = value)
        }
        (Counted::Year(year), false) => {
            said!("limit-litters-year-gaps", had = had, year = year, most = value)
        }
    };
    (result, said)
}

/// A date as it stands in a text, as precisely as it is known.
fn written(date: PartialDate) -> Value {
    match date {
        PartialDate::Day(day) => day.into(),
        PartialDate::Month(year, month) => {
            said!("limit-month", year = format!("{year:04}"), month = format!("{month:02}")).into()
        }
        PartialDate::Year(year) => year.into(),
    }
}

fn latest(dam: &DamHistory) -> Option<&PastWhelping> {
    dam.whelpings.iter().max_by_key(|w| w.whelped_on.latest())
}

fn interval(dam: &DamHistory, months: u32, due: NaiveDate) -> Judgement {
    let Some(last) = latest(dam) else {
        let result = if dam.complete { LimitResult::Met } else { LimitResult::Unknown };
        return (result, said!("limit-interval-none", months = months));
    };
    let from = reached(last.whelped_on.latest(), months);
    let result =
        verdict(dam.complete && due >= from, due < reached(last.whelped_on.earliest(), months));
    let said = said!(
        "limit-interval",
        last = written(last.whelped_on),
        next = due,
        months = months,
        from = from
    );
    (result, said)
}

fn rest_after_two(dam: &DamHistory, months: u32, window: u32, due: NaiveDate) -> Judgement {
    let mut days: Vec<&PastWhelping> = dam.whelpings.iter().collect();
    days.sort_by_key(|w| w.whelped_on.latest());
    let [.., before, last] = days.as_slice() else {
        let result = if dam.complete { LimitResult::Met } else { LimitResult::Unknown };
        return (result, said!("limit-rest-too-few", litters = days.len()));
    };
    let (before, last) = (before.whelped_on, last.whelped_on);
    let maybe_close = last.earliest() <= reached(before.latest(), window);
    let surely_close = last.latest() <= reached(before.earliest(), window);
    let rested_from = reached(last.latest(), months);
    let result = verdict(
        dam.complete && (!maybe_close || due >= rested_from),
        surely_close && due < reached(last.earliest(), months),
    );
    let said = said!(
        "limit-rest",
        before = written(before),
        last = written(last),
        next = due,
        window_months = window,
        months = months,
        rested_on = rested_from
    );
    (result, said)
}

fn caesareans(dam: &DamHistory, value: u32) -> Judgement {
    let limit = usize::try_from(value).unwrap_or(usize::MAX);
    let sure = dam.whelpings.iter().filter(|w| w.caesarean == Some(true)).count();
    let most = dam.whelpings.iter().filter(|w| w.caesarean != Some(false)).count();
    let result = verdict(dam.complete && most <= limit, sure > limit);
    let said = said!("limit-caesareans", recorded = sure, not_recorded = most - sure, most = value);
    (result, said)
}

fn other_sires(dam: &DamHistory, value: u32) -> Judgement {
    match dam.other_sires_this_heat {
        None => (LimitResult::Unknown, said!("limit-other-sires-unknown")),
        Some(others) => (
            verdict(others < value, others >= value),
            said!("limit-other-sires", others = others, most = value),
        ),
    }
}

fn close_kin(dam: &DamHistory) -> Judgement {
    match dam.parent_offspring_or_full_sib {
        None => (LimitResult::Unknown, said!("limit-kin-unknown")),
        Some(true) => (LimitResult::Unmet, said!("limit-kin-close")),
        Some(false) => (LimitResult::Met, said!("limit-kin-none")),
    }
}
