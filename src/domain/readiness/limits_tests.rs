//! The limits of going home: each row of each law, and what a kennel sets on top.

use super::*;
use crate::limits_tests::{Limit, check, more_than};
use crate::rules::{Rules, Status};
use crate::schedule::plus;

fn born() -> NaiveDate {
    "2026-01-01".parse().unwrap()
}

fn day(age: i64) -> NaiveDate {
    plus(born(), age)
}

fn facts() -> ReadinessFacts {
    ReadinessFacts {
        born_on: Some(born()),
        weaned_on: None,
        last_weight: None,
        gaining: None,
        weight_forecast: None,
        health_steps: Vec::new(),
        chip_number: None,
        papers: Vec::new(),
        balance: BalanceFact::NoSale,
        goes_to: None,
    }
}

fn result(
    set: &ReadinessRuleSet,
    rule: ReadinessRule,
    facts: &ReadinessFacts,
    age: i64,
    rules: &Rules,
) -> ReadinessResult {
    let found = readiness(set, facts, &[], day(age), rules);
    found.checks.into_iter().find(|check| check.rule == rule).unwrap().result
}

fn kennel(set: KennelReadinessRules) -> ReadinessRuleSet {
    ReadinessRuleSet::for_kennel("CH", &set).unwrap()
}

pub(crate) const LIMITS: &[Limit] =
    &[more_than("go_home.weight_recent", "up to which", 1.0, |days, r| {
        let measured_on = day(60 - days as i64);
        let last_weight = Some(WeightFact { weight_g: 4_000.0, measured_on });
        let weighed = ReadinessFacts { last_weight, gaining: Some(true), ..facts() };
        let set = kennel(KennelReadinessRules::default());
        result(&set, ReadinessRule::Gaining, &weighed, 60, r) == ReadinessResult::Unknown
    })];

#[test]
fn each_limit_of_going_home_on_it_before_and_after() {
    check(LIMITS);
}

/// The least age of every jurisdiction, on the day before it, on it and on the day after.
#[test]
fn each_least_age_holds_to_the_day() {
    use ReadinessResult::{Met, Unmet};
    let rules = Rules::standard();
    for (code, _) in listed_jurisdictions() {
        let set = ReadinessRuleSet::for_kennel(&code, &KennelReadinessRules::default()).unwrap();
        let row = set.get(ReadinessRule::MinimumAge).unwrap();
        let least = match row.minimum_age_months {
            Some(months) => (born() + chrono::Months::new(months) - born()).num_days(),
            None => i64::from(row.minimum_age_days.unwrap()),
        };
        let on = |age| result(&set, ReadinessRule::MinimumAge, &facts(), age, &rules);
        let expected = match row.comparison {
            AgeComparison::AtLeast => [Unmet, Met, Met],
            AgeComparison::MoreThan => [Unmet, Unmet, Met],
        };
        assert_eq!([least - 1, least, least + 1].map(on), expected, "{code}");
    }
}

/// What else a law says stands beside what is not met, and not beside what is.
#[test]
fn a_laws_note_is_said_while_it_is_not_met() {
    let rules = Rules::standard();
    let set = ReadinessRuleSet::for_kennel("GB-ENG", &KennelReadinessRules::default()).unwrap();
    let note = set.get(ReadinessRule::MinimumAge).unwrap().note.clone().unwrap();
    let said = |age| {
        let found = readiness(&set, &facts(), &[], day(age), &rules);
        let check = found.checks.into_iter().find(|c| c.rule == ReadinessRule::MinimumAge);
        check.unwrap().detail.contains(&note.to_string())
    };
    assert_eq!([55, 56, 57].map(said), [true, false, false]);
}

/// Each paper that must be there some days before, of every jurisdiction.
#[test]
fn each_paper_holds_to_the_day() {
    let rules = Rules::standard();
    let mut waiting = 0;
    for (code, _) in listed_jurisdictions() {
        let set = ReadinessRuleSet::for_kennel(&code, &KennelReadinessRules::default()).unwrap();
        let asked = &set.get(ReadinessRule::Paperwork).unwrap().papers;
        for paper in asked {
            let days = i64::from(paper.days_before);
            let met = |before: i64| {
                // All other papers have been there for long.
                let done = |other: &RequiredPaper| PaperDone {
                    paper: other.paper.clone(),
                    done_on: day(if other.paper == paper.paper { 60 - before } else { 1 }),
                };
                let papers = asked.iter().map(done).collect();
                let there = ReadinessFacts { papers, ..facts() };
                result(&set, ReadinessRule::Paperwork, &there, 60, &rules) == ReadinessResult::Met
            };
            assert_eq!(
                [days - 1, days, days + 1].map(met),
                [false, true, true],
                "{code} {paper:?}"
            );
            waiting += usize::from(days > 0);
        }
    }
    assert!(waiting > 0, "one law at least asks for days");
}

#[test]
fn what_a_kennel_sets_holds_on_it() {
    use ReadinessResult::{Met, Unmet};
    let rules = Rules::standard();
    let heavy = kennel(KennelReadinessRules {
        minimum_weight_g: Some(2_500.0),
        ..KennelReadinessRules::default()
    });
    let weight = |weight_g| {
        let last_weight = Some(WeightFact { weight_g, measured_on: day(60) });
        let weighed = ReadinessFacts { last_weight, ..facts() };
        result(&heavy, ReadinessRule::WeightReached, &weighed, 60, &rules)
    };
    assert_eq!([2_499.0, 2_500.0, 2_501.0].map(weight), [Unmet, Met, Met]);
    let set = kennel(KennelReadinessRules::default());
    let weaned = |on| {
        let facts = ReadinessFacts { weaned_on: Some(day(on)), ..facts() };
        result(&set, ReadinessRule::Weaned, &facts, 60, &rules)
    };
    assert_eq!([59, 60, 61].map(weaned), [Met, Met, Unmet]);
    let owed = |amount_minor| {
        let balance_due = Money { amount_minor, currency: "EUR".parse().unwrap() };
        let balance = BalanceFact::Known { balance_due, due_on: None, paid_on: None };
        result(&set, ReadinessRule::BalancePaid, &ReadinessFacts { balance, ..facts() }, 60, &rules)
    };
    assert_eq!([-1, 0, 1].map(owed), [Met, Met, Unmet]);
}

/// A number of the chip decides; without one the plan does, and without a plan a number is asked for.
#[test]
fn a_chip_is_asked_for_by_its_number() {
    use ReadinessResult::{Met, Unmet};
    let rules = Rules::standard();
    let set = kennel(KennelReadinessRules::default());
    let check = |number: Option<&str>| {
        let facts = ReadinessFacts { chip_number: number.map(str::to_owned), ..facts() };
        let found = readiness(&set, &facts, &[], day(60), &rules);
        let of_chip = found.checks.into_iter().find(|c| c.rule == ReadinessRule::Microchip);
        of_chip.map(|check| (check.result, check.met_on)).unwrap()
    };
    assert_eq!(check(Some("276098100123456")), (Met, None));
    assert_eq!(check(Some("123456789")), (Unmet, Some(day(60))), "older than ISO 11784");
    assert_eq!(check(Some("999000000000001")), (Unmet, Some(day(60))), "for tests only");
    assert_eq!(check(None), (Unmet, Some(day(60))), "no plan asks for one");
}

/// A kennel's own values: believed up to their ends, and never below the law.
#[test]
fn a_kennels_own_values_have_ends() {
    let fault = |set: KennelReadinessRules| {
        let found = ReadinessRuleSet::for_kennel("CH", &set);
        found.err().map(|faults| faults[0].pointer.clone())
    };
    let weeks = |weeks| {
        fault(KennelReadinessRules {
            minimum_age_weeks: Some(weeks),
            ..KennelReadinessRules::default()
        })
    };
    assert_eq!([8, 9, 52].map(weeks), [None, None, None]);
    assert_eq!([7, 53].map(|n| weeks(n).unwrap()), ["/minimum_age_weeks", "/minimum_age_weeks"]);
    let grams = |grams| {
        fault(KennelReadinessRules {
            minimum_weight_g: Some(grams),
            ..KennelReadinessRules::default()
        })
    };
    assert_eq!([1.0, 100_000.0].map(grams), [None, None]);
    assert_eq!(
        [0.9, 100_000.1].map(|g| grams(g).unwrap()),
        ["/minimum_weight_g", "/minimum_weight_g"]
    );
    let paper = |paper: &str, name: &str, days_before| {
        let papers = vec![RequiredPaper { paper: paper.into(), name: name.into(), days_before }];
        fault(KennelReadinessRules { papers, ..KennelReadinessRules::default() })
    };
    assert_eq!([paper("a", "b", 0), paper("a", "b", 365)], [None, None]);
    for (name, title, days) in [("a", "b", 366), (" ", "b", 0), ("a", " ", 0)] {
        assert_eq!(
            paper(name, title, days).as_deref(),
            Some("/papers/0"),
            "{name:?} {title:?} {days}"
        );
    }
    // Nine weeks where the law asks for eight: the kennel's own.
    let nine =
        KennelReadinessRules { minimum_age_weeks: Some(9), ..KennelReadinessRules::default() };
    let row = |code: &str, set: &KennelReadinessRules| {
        let set = ReadinessRuleSet::for_kennel(code, set).unwrap();
        set.get(ReadinessRule::MinimumAge).unwrap().clone()
    };
    assert_eq!(row("CH", &nine).status, Status::Kennel);
    let eight =
        KennelReadinessRules { minimum_age_weeks: Some(8), ..KennelReadinessRules::default() };
    assert_ne!(row("CH", &eight).status, Status::Kennel, "the law's own stays");
    assert_eq!(row("XX", &eight).status, Status::Kennel, "no law is listed");
}

/// Where a plan asks for a chip, the plan says when; once it was chipped, the number is missing.
#[test]
fn a_plan_that_asks_for_a_chip_says_when() {
    use crate::schedule::{BeforeGoHome, DueState, HealthKind};
    let rules = Rules::standard();
    let set = kennel(KennelReadinessRules::default());
    let step = |state, ideal: i64, given: Option<i64>| DueStep {
        step: "chip".into(),
        occurrence: 1,
        name: "Chip".into(),
        kind: HealthKind::Microchip,
        series: "chip".into(),
        state,
        earliest_on: Some(day(42)),
        ideal_on: Some(day(ideal)),
        latest_on: Some(day(ideal)),
        given_on: given.map(day),
        event_id: None,
        or_test: false,
        by_test: false,
        late_days: None,
        forecast: false,
        optional: false,
        before_go_home: BeforeGoHome::UpToDate,
        lacks: None,
        not_counted: None,
        source: "source".into(),
    };
    let check = |step: DueStep, number: Option<&str>| {
        let (health_steps, chip_number) = (vec![step], number.map(str::to_owned));
        let facts = ReadinessFacts { health_steps, chip_number, ..facts() };
        let found = readiness(&set, &facts, &[], day(60), &rules);
        let of_chip =
            found.checks.into_iter().find(|c| c.rule == ReadinessRule::Microchip).unwrap();
        (of_chip.result, of_chip.met_on, of_chip.detail.contains("no number"))
    };
    use ReadinessResult::{Met, Unmet};
    let late = || step(DueState::Late, 50, None);
    assert_eq!(check(late(), None), (Unmet, Some(day(60)), false), "the plan's own words");
    let given = || step(DueState::Done, 50, Some(51));
    assert_eq!(check(given(), None), (Unmet, Some(day(60)), true));
    assert_eq!(check(given(), Some("276098100123456")), (Met, Some(day(51)), false));
    assert_eq!(check(late(), Some("276098100123456")), (Met, None, false));
    // What is asked up to date is open from its ideal day on.
    let open = |ideal| check(step(DueState::Upcoming, ideal, None), None).1;
    assert_eq!([59, 60].map(open), [Some(day(60)), Some(day(60))]);
    assert_eq!(check(step(DueState::Upcoming, 61, None), None), (Unmet, Some(day(60)), true));
}
