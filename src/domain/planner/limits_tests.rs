//! The limits of the planner.

use super::*;
use crate::day_chances::DayChance;
use crate::limits_tests::{Ask, Limit, Side, at_most, check};
use crate::rules::Rules;
use chrono::Duration;

fn day(days: i64) -> NaiveDate {
    let first: NaiveDate = "2024-03-01".parse().unwrap();
    first + Duration::days(days)
}

/// Two litters, sure but for a chance, so many days apart.
fn clash(chance: f64, apart: i64, rules: &Rules) -> Option<f64> {
    let litter = |n: u128, on| PlannerLitter {
        key: format!("litter-{n}"),
        dam_id: Uuid::from_u128(n),
        name: format!("Dam {n}").into(),
        draft: false,
        chance_of_litter: if n == 1 { 1.0 } else { chance },
        whelping: vec![DayChance { day: on, chance: 1.0 }],
        pups: None,
        free: None,
        colours: vec![],
        place_id: None,
        go_home_days: None,
        heat: None,
    };
    let input = PlannerInput {
        span: DateSpan { from: day(-60), to: day(120) },
        litters: vec![litter(1, day(0)), litter(2, day(apart))],
        dams: vec![],
        places: vec![],
        people: vec![],
        buyers: vec![],
    };
    let found = plan(&input, rules).unwrap().clashes;
    found.into_iter().find(|clash| clash.kind == ClashKind::SameNights).map(|clash| clash.chance)
}

pub(crate) const LIMITS: &[Limit] = &[
    Limit {
        rule: "planner.clash_from",
        side: Side::AtLeast,
        words: "from this chance on",
        step: 0.01,
        ask: Ask::Rule(|r| clash(0.125, 0, r).unwrap(), |r| clash(0.125, 0, r).is_some()),
    },
    at_most("planner.same_nights_days", "or fewer", 1.0, |days, r| {
        clash(1.0, days.max(0.0) as i64, r).is_some()
    }),
];

#[test]
fn each_limit_of_the_planner_on_it_before_and_after() {
    check(LIMITS);
}
