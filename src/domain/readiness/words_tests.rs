//! What a check says: in which figures, of which step, and to whom.

use super::tests::{assess, check_of, day, good_pup};
use super::*;
use crate::advice::CautionCode;
use crate::schedule::{DueState, DueStep, HealthKind};
use catalogue::Text;

fn detail(facts: &ReadinessFacts, age: i64, rule: ReadinessRule) -> String {
    check_of(&assess("DE", facts, age), rule).detail.to_string()
}

/// Who may not see money is told whether something is owed; of all else the same as everybody.
#[test]
fn without_money_the_sum_is_left_out() {
    let owing = |amount_minor| {
        let mut facts = good_pup(60);
        facts.balance = BalanceFact::Known {
            balance_due: Money { amount_minor, currency: "EUR".parse().unwrap() },
            due_on: None,
            paid_on: None,
        };
        assess("DE", &facts, 60)
    };
    let said = |found: &Readiness| check_of(found, ReadinessRule::BalancePaid).detail.to_string();
    let (owed, blind) = (owing(12_345), owing(12_345).without_money());
    assert!(said(&owed).contains("123.45 EUR"), "{}", said(&owed));
    assert_eq!(said(&blind), "Something is owed.");
    assert_eq!(said(&owing(0).without_money()), "Nothing is owed.");
    let others = |found: &Readiness| {
        let rest = found.checks.iter().filter(|check| check.rule != ReadinessRule::BalancePaid);
        rest.cloned().collect::<Vec<_>>()
    };
    assert_eq!(others(&owed), others(&blind));
}

/// An open step is late since its last day or planned for its best, and says why it was not counted.
#[test]
fn an_open_step_says_since_or_for_when() {
    let said = |state, why: Option<&str>| {
        let mut facts = good_pup(60);
        let step = facts.health_steps.iter_mut().find(|step| step.kind == HealthKind::Worming);
        let step = step.unwrap();
        *step = DueStep {
            state,
            ideal_on: Some(day(50)),
            latest_on: Some(day(55)),
            given_on: None,
            not_counted: why.map(Text::verbatim),
            ..step.clone()
        };
        detail(&facts, 60, ReadinessRule::Worming)
    };
    let late = said(DueState::Late, None);
    assert!(late.contains("late since 2026-02-25") && !late.contains("expired"), "{late}");
    let planned = said(DueState::Due, None);
    assert!(planned.contains("planned for 2026-02-20") && !planned.contains("expired"));
    let late = said(DueState::Late, Some("it had expired"));
    assert!(late.contains("late since 2026-02-25 (it had expired)"), "{late}");
    let planned = said(DueState::Due, Some("it had expired"));
    assert!(planned.contains("planned for 2026-02-20 (it had expired)"), "{planned}");
}

/// Into a country with a border: what is asked, whether a dose is there, and what else while it is not met.
#[test]
fn a_border_says_what_it_asks_and_what_is_missing() {
    let said = |age: i64, dose: Option<i64>| {
        let mut facts = good_pup(age);
        facts.goes_to = Some("FR".parse().unwrap());
        let vaccination =
            facts.health_steps.iter().find(|step| step.kind == HealthKind::Vaccination);
        let rabies = |given: i64| DueStep {
            series: "rabies".into(),
            given_on: Some(day(given)),
            ..vaccination.unwrap().clone()
        };
        let rabies = dose.map(rabies);
        facts.health_steps.extend(rabies);
        detail(&facts, age, ReadinessRule::Border)
    };
    let missing = "No such dose is recorded.";
    let (without, waits, met) = (said(90, None), said(90, Some(84)), said(105, Some(84)));
    for text in [&without, &waits, &met] {
        assert!(text.contains("from 12 weeks of age on and 21 days to wait"), "{text}");
    }
    assert_eq!([&without, &waits, &met].map(|text| text.contains(missing)), [true, false, false]);
    // While it is not met the border's own note stands there too.
    assert!(waits.len() > met.len(), "{waits} {met}");
}

/// A pup that is too young stays with its dam; one of age is not said so.
#[test]
fn only_a_pup_under_its_age_is_called_too_young() {
    let told = |age: i64, spoil: bool| {
        let mut facts = good_pup(age);
        if spoil {
            facts.chip_number = None;
        }
        let found = assess("DE", &facts, age);
        found.cautions.iter().any(|caution| caution.code == CautionCode::GoHomeTooYoung)
    };
    assert_eq!([told(56, false), told(57, false), told(60, true)], [true, false, false]);
}

/// Of a law it is told what was looked for and not found, and what was not looked for.
#[test]
fn a_gap_in_a_law_is_told_with_its_rules() {
    let why = |jurisdiction: &str| {
        let found = assess(jurisdiction, &good_pup(70), 70);
        let gap = found.cautions.into_iter().find(|one| one.code == CautionCode::LawNotFound);
        gap.map(|caution| caution.why.to_string())
    };
    // Of Switzerland nothing was looked for without an answer.
    let swiss = why("CH").unwrap();
    assert!(!swiss.contains("nothing found"), "{swiss}");
}

/// A kennel's own papers are asked for beside those of the law, and are listed with them.
#[test]
fn a_kennels_papers_are_asked_for() {
    let own = |jurisdiction: &str, papers: &[&str]| {
        let paper = |paper: &&str| RequiredPaper {
            paper: (*paper).to_owned(),
            name: Text::verbatim(*paper),
            days_before: 0,
        };
        let rules = KennelReadinessRules {
            papers: papers.iter().map(paper).collect(),
            ..KennelReadinessRules::default()
        };
        ReadinessRuleSet::for_kennel(jurisdiction, &rules).unwrap()
    };
    for jurisdiction in ["XX", "DE", "FR", "CH"] {
        let (law, both) = (own(jurisdiction, &[]), own(jurisdiction, &["pedigree_copy"]));
        let (law, both) = (law.papers(), both.papers());
        assert!(!law.contains(&"pedigree_copy"));
        assert_eq!(both.len(), law.len() + 1, "{jurisdiction}");
        assert!(both.contains(&"pedigree_copy") && law.iter().all(|paper| both.contains(paper)));
    }
}

/// No pup is no litter that is ready.
#[test]
fn a_litter_without_pups_is_not_ready() {
    assert!(!litter_readiness(Vec::new()).ready);
}

#[test]
fn ages_are_said_in_weeks_where_they_are_whole() {
    let said = |days| check::weeks_and_days(days).to_string();
    assert!(said(56).starts_with("8 weeks") && said(57).starts_with("57 days"), "{}", said(56));
    assert!(said(7).starts_with("1 week") && said(6).starts_with("6 days"), "{}", said(7));
}
