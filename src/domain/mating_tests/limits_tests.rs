//! The ages that tests may have on the day of mating.

use super::*;
use crate::limits_tests::{Limit, at_most, check};
use chrono_tz::Tz;
use serde_json::json;

fn holds(series: &str, sire: bool, age: f64, rules: &Rules) -> bool {
    let now = "2026-11-30T12:00:00Z".parse().unwrap();
    let moment = Moment { rules: rules.clone(), ..Moment::by_standard_rules(now, Tz::UTC) };
    let mated_on = moment.today();
    let breed = if series == "thyroid" { "Boxer" } else { "Labrador" };
    let given_at = moment.midnight(plus(mated_on, -(age as i64)));
    let record = json!({
        "dog_id": Uuid::nil(), "kind": "test", "series": series, "given_at": given_at,
    });
    let record = serde_json::from_value(record).unwrap();
    let event = [Kept { id: Uuid::nil(), version: 1, created_at: now, updated_at: now, record }];
    let dog: Dog = serde_json::from_value(json!({ "name": "J", "breed": breed })).unwrap();
    let tested = Some((Uuid::nil(), &dog, event.as_slice()));
    let told = match sire {
        true => mating_tests(None, tested, &[], mated_on, &moment),
        false => mating_tests(tested, None, &[], mated_on, &moment),
    };
    let mut all = told.dam.iter().chain(&told.sire).flat_map(|of| &of.tests);
    all.any(|test| test.series == series && test.standing == TestStanding::Met)
}

pub(crate) const LIMITS: &[Limit] = &[
    at_most("mating_tests.brucellosis_dam_days", "at most", 1.0, |age, r| {
        holds("brucellosis", false, age, r)
    }),
    at_most("mating_tests.brucellosis_sire_days", "at most", 1.0, |age, r| {
        holds("brucellosis", true, age, r)
    }),
    at_most("mating_tests.herpes_days", "at most", 1.0, |age, r| holds("herpes", false, age, r)),
    at_most("mating_tests.eyes_days", "at most", 1.0, |age, r| holds("eyes", false, age, r)),
    at_most("mating_tests.thyroid_days", "at most", 1.0, |age, r| holds("thyroid", false, age, r)),
];

#[test]
fn each_age_on_it_before_and_after() {
    check(LIMITS);
}
