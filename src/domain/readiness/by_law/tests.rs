use super::*;
use crate::rules::Status;

fn own(key: &str, value: f64) -> RuleOverride {
    RuleOverride { key: key.to_owned(), value, source: "our own".to_owned() }
}

/// The age of going home in days, and how it is confirmed.
fn goes(jurisdiction: &str, own: &[RuleOverride]) -> (f64, Status) {
    let rules = rules_in_force(jurisdiction, own);
    let rule = rules.get(GO_HOME_DAYS);
    (rule.value, rule.status)
}

/// German and French law say "older than eight weeks": the 57th day; Swiss law 56 days; Dutch law seven weeks.
#[test]
fn pups_go_home_no_sooner_than_the_law_lets_them() {
    use Status::{CommonPractice, Verified};
    assert_eq!(goes("DE", &[]), (57.0, Verified));
    assert_eq!(goes("DE-BY", &[]), (57.0, Verified), "a part of a country takes the country's");
    assert_eq!(goes("FR", &[]), (57.0, Verified));
    assert_eq!(goes("CH", &[]), (56.0, CommonPractice));
    assert_eq!(goes("NL", &[]), (56.0, CommonPractice), "no sooner than is usual");
    assert_eq!(goes("", &[]), (56.0, CommonPractice));
    let source = rules_in_force("DE", &[]).get(GO_HOME_DAYS).source.clone();
    assert!(source.contains("TierSchHuV"), "{source}");
}

#[test]
fn a_kennel_may_ask_for_more_than_the_law_and_not_for_less() {
    use Status::{Kennel, Verified};
    let days = |jurisdiction, value| goes(jurisdiction, &[own(GO_HOME_DAYS, value)]);
    assert_eq!(days("DE", 56.0), (57.0, Verified));
    assert_eq!(days("DE", 57.0), (57.0, Verified));
    assert_eq!(days("DE", 58.0), (58.0, Kennel));
    assert_eq!(
        days("CH", 49.0),
        (49.0, Kennel),
        "its word, where this law asks for no more than is usual"
    );
}

#[test]
fn a_value_that_is_not_known_or_allowed_gives_way_to_the_default() {
    let standard = Rules::standard();
    let rules = rules_in_force(
        "CH",
        &[own("moon.phase", 1.0), own("tasks.horizon", 1e9), own("tasks.follow_up_of_use", 100.0)],
    );
    assert_eq!(rules.value("tasks.horizon"), standard.value("tasks.horizon"));
    assert_eq!(rules.value("tasks.follow_up_of_use"), 100.0);
    assert_eq!(rules.iter().count(), standard.iter().count());
}
