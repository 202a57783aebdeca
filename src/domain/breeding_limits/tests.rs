use super::*;
use crate::partial_date::PartialDate;

fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

fn partial(text: &str) -> PartialDate {
    text.parse().unwrap()
}

fn dam(born: &str, litters: &[&str]) -> DamHistory {
    let whelpings = litters
        .iter()
        .map(|d| PastWhelping { whelped_on: partial(d), caesarean: Some(false) })
        .collect();
    DamHistory { born_on: Some(partial(born)), whelpings, complete: true, ..Default::default() }
}

fn result(set: &str, dam: &DamHistory, mated: &str, kind: LimitKind) -> LimitResult {
    let set = RuleSet::named(set).unwrap();
    check_dam(set, dam, day(mated)).into_iter().find(|f| f.rule == kind).unwrap().result
}

#[test]
fn every_set_has_a_name_of_its_own_and_sources() {
    for set in RuleSet::all() {
        assert_eq!(RuleSet::named(&set.name), Some(set));
        assert!(!set.limits.is_empty());
        assert!(set.limits.iter().all(|l| !l.source.is_empty() && !l.unit.is_empty()));
    }
    assert!(RuleSet::named("nowhere").is_none());
    assert!(RuleSet::note().contains("local law"));
}

/// Swedish limit of 18 months at mating (SJVFS 2020:8 ch. 6 s. 5).
#[test]
fn counts_the_dam_s_age_to_the_day() {
    use LimitKind::DamMinAgeAtMating as Age;
    let juno = dam("2024-03-15", &[]);
    assert_eq!(result("sweden_2020", &juno, "2025-09-14", Age), LimitResult::Unmet);
    assert_eq!(result("sweden_2020", &juno, "2025-09-15", Age), LimitResult::Met);
    let vague = dam("2024", &[]);
    assert_eq!(result("sweden_2020", &vague, "2025-09-15", Age), LimitResult::Unknown);
    assert_eq!(result("sweden_2020", &vague, "2026-07-01", Age), LimitResult::Met);
    assert_eq!(
        result("sweden_2020", &DamHistory::default(), "2026-07-01", Age),
        LimitResult::Unknown
    );
}

/// The Kennel Club (UK): not 8 years or older at whelping, 63 days after the mating.
#[test]
fn counts_the_age_at_the_expected_whelping() {
    use LimitKind::DamMaxAgeAtWhelping as Age;
    let juno = dam("2018-06-01", &[]);
    assert_eq!(result("kennel_club_uk", &juno, "2026-03-29", Age), LimitResult::Met);
    assert_eq!(result("kennel_club_uk", &juno, "2026-03-30", Age), LimitResult::Unmet);
}

#[test]
fn counts_litters_in_life_window_and_year() {
    let four = dam("2019-01-01", &["2021-05-01", "2022-05-01", "2023-05-01", "2024-05-01"]);
    assert_eq!(
        result("kennel_club_uk", &four, "2026-01-01", LimitKind::DamMaxLitters),
        LimitResult::Unmet
    );
    // Ireland 2010 s. 15: three in any three years.
    let kind = LimitKind::DamMaxLittersInWindow;
    assert_eq!(result("ireland_2010", &four, "2025-01-01", kind), LimitResult::Unmet);
    assert_eq!(result("ireland_2010", &four, "2025-04-01", kind), LimitResult::Met);
    let mut open = dam("2019-01-01", &["2024"]);
    assert_eq!(result("ireland_2010", &open, "2025-01-01", kind), LimitResult::Met);
    open.complete = false;
    assert_eq!(result("ireland_2010", &open, "2025-01-01", kind), LimitResult::Unknown);
    let year = LimitKind::DamMaxLittersPerCalendarYear;
    let spring = dam("2020-01-01", &["2025-02-01"]);
    assert_eq!(result("german_club_example", &spring, "2025-10-01", year), LimitResult::Unmet);
    assert_eq!(result("german_club_example", &spring, "2025-11-20", year), LimitResult::Met);
}

#[test]
fn asks_for_rest_and_counts_caesareans() {
    let rest = LimitKind::DamRestAfterTwoLitters;
    let twice = dam("2020-01-01", &["2024-01-10", "2024-12-20"]);
    assert_eq!(result("sweden_2020", &twice, "2025-06-01", rest), LimitResult::Unmet);
    assert_eq!(result("sweden_2020", &twice, "2025-10-20", rest), LimitResult::Met);
    let apart = dam("2020-01-01", &["2023-01-10", "2024-12-20"]);
    assert_eq!(result("sweden_2020", &apart, "2025-06-01", rest), LimitResult::Met);
    let mut cut = twice;
    cut.whelpings.iter_mut().for_each(|w| w.caesarean = Some(true));
    assert_eq!(
        result("kennel_club_uk", &cut, "2025-06-01", LimitKind::DamMaxCaesareans),
        LimitResult::Unmet
    );
    cut.whelpings[0].caesarean = None;
    assert_eq!(
        result("kennel_club_uk", &cut, "2025-06-01", LimitKind::DamMaxCaesareans),
        LimitResult::Unknown
    );
}

#[test]
fn holds_sires_to_their_ages() {
    let set = RuleSet::named("german_club_example").unwrap();
    let young = SireHistory { born_on: Some(partial("2025-01-01")) };
    let findings = check_sire(set, &young, day("2026-03-31"));
    assert_eq!(findings.len(), 2);
    assert_eq!(findings[0].result, LimitResult::Unmet);
    assert_eq!(check_sire(set, &young, day("2026-04-01"))[0].result, LimitResult::Met);
}
