//! Every limit of every set, on it, one before and one after, in days or litters.

use super::*;
use catalogue::Text;
use chrono::{Days, Months};
use std::collections::BTreeSet;

fn mated_on() -> NaiveDate {
    "2026-03-01".parse().unwrap()
}

/// The day on which a litter of that mating is expected.
fn due() -> NaiveDate {
    mated_on() + Days::new(63)
}

/// So many months before a day, and then a day later or earlier.
fn before(day: NaiveDate, months: u32, days_later: i64) -> PartialDate {
    let on = day - Months::new(months) + chrono::Duration::days(days_later);
    on.to_string().parse().unwrap()
}

fn litter(whelped_on: PartialDate) -> PastWhelping {
    PastWhelping { whelped_on, caesarean: Some(false) }
}

fn dam() -> DamHistory {
    let born_on = Some(before(mated_on(), 40, 0));
    DamHistory { born_on, complete: true, ..DamHistory::default() }
}

fn judged(limit: &BreedingLimit, dam: &DamHistory, sire: &SireHistory) -> LimitResult {
    let set = RuleSet {
        name: "one".to_owned(),
        jurisdiction: None,
        title: Text::default(),
        scope: Text::default(),
        limits: vec![limit.clone()],
    };
    let mut found = check_dam(&set, dam, mated_on());
    found.extend(check_sire(&set, sire, mated_on()));
    assert_eq!(found.len(), 1, "{limit:?}");
    found[0].result
}

/// The answers one before a limit, on it and one after, and what they should be.
fn around(limit: &BreedingLimit) -> ([LimitResult; 3], [LimitResult; 3]) {
    use LimitKind::*;
    use LimitResult::{Met, Unmet};
    let value = limit.value;
    let window = limit.window_months.unwrap_or(12);
    let of_dam = |dam: DamHistory| judged(limit, &dam, &SireHistory::default());
    // Born so that it is a day older than the limit, of its age to the day, a day younger.
    let aged = |on: NaiveDate| {
        [-1, 0, 1].map(|later| {
            let born_on = Some(before(on, value, later));
            judged(limit, &DamHistory { born_on, ..dam() }, &SireHistory { born_on })
        })
    };
    let litters = |count: u32, on: PartialDate| {
        of_dam(DamHistory { whelpings: (0..count).map(|_| litter(on)).collect(), ..dam() })
    };
    let earlier: PartialDate = before(due(), window, 30);
    match limit.kind {
        // At least so old: of that age to the day is old enough.
        DamMinAgeAtMating | SireMinAgeAtMating => (aged(mated_on()), [Met, Met, Unmet]),
        // At most so old at mating: of that age to the day is not too old.
        DamMaxAgeAtMating | SireMaxAgeAtMating => (aged(mated_on()), [Unmet, Met, Met]),
        // Not so old or older at mating.
        DamUnderAgeAtMating => (aged(mated_on()), [Unmet, Unmet, Met]),
        // Not so old or older at whelping.
        DamMaxAgeAtWhelping => (aged(due()), [Unmet, Unmet, Met]),
        // With this one at most so many.
        DamMaxLitters => {
            let counts = [value.saturating_sub(2), value - 1, value];
            (counts.map(|count| litters(count, before(due(), 100, 0))), [Met, Met, Unmet])
        }
        DamMaxLittersInWindow => {
            let found = [value - 1, value].map(|count| litters(count, earlier));
            // What was born on the first day of the window has left it.
            ([found[0], litters(value, before(due(), window, 0)), found[1]], [Met, Met, Unmet])
        }
        DamMaxLittersPerCalendarYear => {
            let on = |text: &str| litters(value, text.parse().unwrap());
            ([on("2025-12-31"), on("2026-01-01"), on("2027-01-01")], [Met, Unmet, Met])
        }
        DamMinLitterInterval => {
            ([-1, 0, 1].map(|later| litters(1, before(due(), value, later))), [Met, Met, Unmet])
        }
        DamRestAfterTwoLitters => {
            let rested = |later| {
                let last = before(due(), value, later);
                let first = before(due(), value + 6, 0);
                of_dam(DamHistory { whelpings: vec![litter(last), litter(first)], ..dam() })
            };
            ([-1, 0, 1].map(rested), [Met, Met, Unmet])
        }
        DamMaxCaesareans => {
            let cut = |count: u32| {
                let one = |_| PastWhelping { caesarean: Some(true), ..litter(earlier) };
                of_dam(DamHistory { whelpings: (0..count).map(one).collect(), ..dam() })
            };
            ([value - 1, value, value + 1].map(cut), [Met, Met, Unmet])
        }
        DamOneSirePerHeat => {
            let others =
                |count: u32| of_dam(DamHistory { other_sires_this_heat: Some(count), ..dam() });
            ([value - 1, value, value + 1].map(others), [Met, Unmet, Unmet])
        }
        NoParentOffspringOrFullSib => {
            let kin = |kin| of_dam(DamHistory { parent_offspring_or_full_sib: Some(kin), ..dam() });
            ([kin(false), kin(true), kin(true)], [Met, Unmet, Unmet])
        }
    }
}

#[test]
fn each_limit_of_each_set_on_it_before_and_after() {
    let mut kinds = BTreeSet::new();
    for set in RuleSet::all() {
        for limit in &set.limits {
            let (found, expected) = around(limit);
            assert_eq!(found, expected, "{}: {limit:?}", set.name);
            kinds.insert(format!("{:?}", limit.kind));
        }
    }
    assert_eq!(kinds.len(), 14, "{kinds:?}");
}

/// Two litters within the window ask for a rest; the day after it closes they do not.
#[test]
fn a_rest_is_asked_for_after_two_litters_within_the_window() {
    let sweden = RuleSet::named("sweden_2020").unwrap();
    let rest = sweden.limits.iter().find(|l| l.kind == LimitKind::DamRestAfterTwoLitters).unwrap();
    let last: NaiveDate = "2025-12-20".parse().unwrap();
    let apart = |later| {
        let whelpings = vec![litter(before(last, 0, 0)), litter(before(last, 12, later))];
        judged(rest, &DamHistory { whelpings, ..dam() }, &SireHistory::default())
    };
    use LimitResult::{Met, Unmet};
    assert_eq!([-1, 0, 1].map(apart), [Met, Unmet, Unmet]);
}

/// What the record does not decide is unknown, on either side of what it does.
#[test]
fn what_is_not_on_record_decides_nothing() {
    use LimitResult::{Met, Unknown, Unmet};
    for set in RuleSet::all() {
        for limit in &set.limits {
            let nothing = judged(limit, &DamHistory::default(), &SireHistory::default());
            assert_eq!(nothing, Unknown, "{}: {limit:?}", set.name);
        }
    }
    let limit = |set: &str, kind| {
        RuleSet::named(set).unwrap().limits.iter().find(|limit| limit.kind == kind).unwrap()
    };
    let of = |limit: &BreedingLimit, dam: DamHistory| judged(limit, &dam, &SireHistory::default());
    let one = |whelped_on: &str| vec![litter(whelped_on.parse().unwrap())];
    let gap = limit("england_1999", LimitKind::DamMinLitterInterval);
    assert_eq!(of(gap, dam()), Met, "she has had none");
    // Due on 3 May 2026: a litter of the month before it last year is far enough, of the same month open.
    for (whelped, complete, expected) in [
        ("2025-04", true, Met),
        ("2025-04", false, Unknown),
        ("2025-05", true, Unknown),
        ("2025-06", true, Unmet),
        ("2025-06", false, Unmet),
        // To the day: what may be missing leaves it open, what is there does not.
        ("2025-05-03", true, Met),
        ("2025-05-03", false, Unknown),
        ("2025-05-04", false, Unmet),
    ] {
        let found = of(gap, DamHistory { whelpings: one(whelped), complete, ..dam() });
        assert_eq!(found, expected, "{whelped} {complete}");
    }
    let rest = limit("sweden_2020", LimitKind::DamRestAfterTwoLitters);
    assert_eq!(of(rest, DamHistory { whelpings: one("2025-12-01"), ..dam() }), Met);
    let twice = |first: &str, last: &str, complete| {
        let whelpings = [one(first), one(last)].concat();
        of(rest, DamHistory { whelpings, complete, ..dam() })
    };
    assert_eq!(twice("2024-12-01", "2025-11-01", true), Unmet);
    assert_eq!(twice("2024-12-01", "2025-11-01", false), Unmet, "those on record are enough");
    assert_eq!(twice("2023-12-01", "2025-11-01", true), Met);
    assert_eq!(twice("2023-12-01", "2025-11-01", false), Unknown, "one between may be missing");
    assert_eq!(twice("2024-05-03", "2025-05-03", false), Unknown, "rested to the day");
    assert_eq!(twice("2024-05-04", "2025-05-04", false), Unmet);
    assert_eq!(twice("2024", "2025-11-01", true), Unknown, "perhaps within the window");
    assert_eq!(twice("2024-06-01", "2025-05", true), Unknown, "rested since 31 May, or not");
    let cuts = limit("kennel_club_uk", LimitKind::DamMaxCaesareans);
    let cut = |known: [Option<bool>; 2], complete| {
        let one = |caesarean| PastWhelping { caesarean, ..litter("2024".parse().unwrap()) };
        of(cuts, DamHistory { whelpings: known.map(one).to_vec(), complete, ..dam() })
    };
    assert_eq!(cut([Some(true), Some(false)], true), Met);
    assert_eq!(cut([Some(true), Some(false)], false), Unknown);
    assert_eq!(cut([Some(true), None], true), Unknown);
    assert_eq!(cut([Some(false), None], true), Met, "one at most, whatever it was");
}
