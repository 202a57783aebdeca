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

/// Of a litter too: neither the litter's rule nor that of a pup tells the sum.
#[test]
fn without_money_a_litter_tells_no_sum() {
    let mut facts = good_pup(60);
    let balance_due = Money { amount_minor: 12_345, currency: "EUR".parse().unwrap() };
    facts.balance = BalanceFact::Known { balance_due, due_on: None, paid_on: None };
    let pup = PupReadiness::new(uuid::Uuid::nil(), "Red", assess("DE", &facts, 60));
    let litter = litter_readiness(vec![pup]);
    let told = |litter: &LitterReadiness| -> Vec<String> {
        let checks = litter.checks.iter().chain(litter.pups.iter().flat_map(|pup| &pup.checks));
        let of_money = checks.filter(|check| check.rule == ReadinessRule::BalancePaid);
        of_money.map(|check| check.detail.to_string()).collect()
    };
    let (seen, blind) = (told(&litter), told(&litter.clone().without_money()));
    assert_eq!(seen.len(), 2);
    assert!(seen.iter().all(|text| text.contains("123.45 EUR")), "{seen:?}");
    assert_eq!(blind, ["Something is owed.", "Something is owed."]);
    // Where the sale has no price, nobody knows.
    facts.balance = BalanceFact::Unknown;
    let blind = assess("DE", &facts, 60).without_money();
    let of_money = check_of(&blind, ReadinessRule::BalancePaid);
    assert_eq!(of_money.detail, "It is not known whether something is owed.");
    assert_eq!((of_money.result, of_money.met_on), (ReadinessResult::Unknown, None));
}

/// Steps that a plan leaves to the kennel, or that have nothing to do with going home, keep no pup there.
#[test]
fn only_what_a_plan_asks_before_going_home_counts() {
    use crate::schedule::BeforeGoHome;
    let result = |change: &dyn Fn(&mut DueStep)| {
        let mut facts = good_pup(60);
        let step = facts.health_steps.iter_mut().find(|step| step.kind == HealthKind::Examination);
        let step = step.unwrap();
        step.given_on = None;
        step.state = DueState::Late;
        change(step);
        check_of(&assess("DE", &facts, 60), ReadinessRule::Examination).clone()
    };
    let open = result(&|_| {});
    assert_eq!(open.result, ReadinessResult::Unmet, "{}", open.detail);
    for left_out in [
        result(&|step| step.optional = true),
        result(&|step| step.before_go_home = BeforeGoHome::Nothing),
    ] {
        assert_eq!(left_out.result, ReadinessResult::Unknown, "{}", left_out.detail);
        assert_ne!(left_out.detail, open.detail);
    }
}

/// A row of borders from memory says so; one that was read does not.
#[test]
fn a_border_that_nobody_confirmed_says_so() {
    let why = |home: &str, to: &str| {
        let mut facts = good_pup(60);
        facts.goes_to = Some(to.parse().unwrap());
        let found = assess(home, &facts, 60);
        let told = found.cautions.into_iter().find(|one| one.code == CautionCode::GoHomeBorder);
        told.unwrap().why.to_string()
    };
    let (memory, verified) = (why("GB-ENG", "FR"), why("DE", "FR"));
    assert!(memory.contains("Not confirmed."), "{memory}");
    assert!(!verified.contains("Not confirmed."), "{verified}");
    assert!(why("DE", "NO").contains("into Norway"));
}

/// What all pups of a litter have to be told is told once; one that was let go by its owner holds nobody.
#[test]
fn a_litter_is_told_once_and_waits_for_no_pup_that_was_set_aside() {
    let set = ReadinessRuleSet::for_kennel("CH", &KennelReadinessRules::default()).unwrap();
    let set_aside = ReadinessOverride {
        rule: ReadinessRule::Weaned,
        reason: "Moves with its dam, who still nurses it.".into(),
        by: "Ada Example".into(),
        on: day(58),
    };
    let pup = |number: u128, weaned: i64, overrides: &[ReadinessOverride]| {
        let mut facts = good_pup(60);
        facts.weaned_on = Some(day(weaned));
        let found = readiness(&set, &facts, overrides, day(60), &Rules::standard());
        PupReadiness::new(uuid::Uuid::from_u128(number), format!("pup {number}"), found)
    };
    let of_rule = |litter: &LitterReadiness| {
        litter.checks.iter().find(|check| check.rule == ReadinessRule::Weaned).unwrap().clone()
    };
    let litter = litter_readiness(vec![pup(1, 45, &[]), pup(2, 46, &[])]);
    let each = litter.pups[0].cautions.len();
    assert_eq!(litter.pups[1].cautions, litter.pups[0].cautions);
    assert_eq!((litter.cautions.len(), litter.ready), (each, true));
    let weaned = of_rule(&litter);
    assert_eq!((weaned.result, weaned.met_on), (ReadinessResult::Met, Some(day(46))));
    assert_eq!(weaned.detail, "2 of 2 pups.");
    let litter =
        litter_readiness(vec![pup(1, 45, &[]), pup(2, 70, std::slice::from_ref(&set_aside))]);
    assert!(litter.ready);
    assert_eq!(of_rule(&litter).result, ReadinessResult::Met);
    assert_eq!(litter.cautions.len(), each + 1, "and that it was set aside");
    let litter = litter_readiness(vec![pup(1, 45, &[]), pup(2, 70, &[])]);
    assert_eq!(of_rule(&litter).result, ReadinessResult::Unmet);
    assert!(of_rule(&litter).detail.contains("1 of 2 pups."), "{}", of_rule(&litter).detail);
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

/// Each gap is told where there is one, and not where there is none.
#[test]
fn what_was_not_looked_for_is_told_where_it_is_so() {
    let mut both = [0, 0];
    for (code, _) in super::listed_jurisdictions() {
        let set = ReadinessRuleSet::for_kennel(&code, &KennelReadinessRules::default()).unwrap();
        let gaps = set.gaps.clone().unwrap();
        let told = law_cautions(&set, day(0));
        let Some(gap) = told.iter().find(|one| one.code == CautionCode::LawNotFound) else {
            continue;
        };
        let open = !gaps.not_looked_for.is_empty();
        assert_eq!(gap.why.contains("Not looked for: "), open, "{code}: {}", gap.why);
        both[usize::from(open)] += 1;
    }
    assert!(both[1] > 0, "{both:?}");
}

/// New Zealand's rules were looked for and no figure found; of Japan nothing is listed at all.
#[test]
fn what_was_looked_for_at_a_border_is_told() {
    let why = |to: &str| {
        let mut facts = good_pup(60);
        facts.goes_to = Some(to.parse().unwrap());
        let found = assess("DE", &facts, 60);
        let told = found.cautions.into_iter().find(|one| one.code == CautionCode::GoHomeBorder);
        told.unwrap().why.to_string()
    };
    assert!(why("NZ").starts_with("Looked for on 2026-11-29, no figure found"), "{}", why("NZ"));
    assert!(why("JP").starts_with("No rules are listed"), "{}", why("JP"));
}

/// Only a dose against rabies opens a border, and only once it is given.
#[test]
fn another_vaccination_opens_no_border() {
    let met_on = |series: &str, kind: HealthKind, given: i64| {
        let mut facts = good_pup(90);
        facts.goes_to = Some("FR".parse().unwrap());
        let of_plan = facts.health_steps.iter().find(|step| step.kind == kind).unwrap().clone();
        let given_on = Some(day(given));
        facts.health_steps.push(DueStep { series: series.into(), given_on, ..of_plan });
        check_of(&assess("DE", &facts, 90), ReadinessRule::Border).met_on
    };
    use HealthKind::{Vaccination, Worming};
    assert_eq!(met_on("rabies", Vaccination, 85), Some(day(106)));
    assert_eq!(met_on("rabies", Vaccination, 90), Some(day(111)));
    // Without one that counts: today's, and 21 days to wait.
    assert_eq!(met_on("core", Vaccination, 85), Some(day(111)));
    assert_eq!(met_on("rabies", Worming, 85), Some(day(111)));
}

/// While the plan has the chip open, its own words say since when.
#[test]
fn a_chip_that_a_plan_has_open_is_told_in_its_words() {
    let mut facts = good_pup(60);
    facts.chip_number = None;
    let step = facts.health_steps.iter_mut().find(|step| step.kind == HealthKind::Microchip);
    let step = step.unwrap();
    (step.state, step.given_on) = (DueState::Late, None);
    (step.ideal_on, step.latest_on) = (Some(day(50)), Some(day(55)));
    let said = detail(&facts, 60, ReadinessRule::Microchip);
    assert!(said.contains("late since 2026-02-25"), "{said}");
    facts.health_steps.retain(|step| step.kind != HealthKind::Microchip);
    let said = detail(&facts, 60, ReadinessRule::Microchip);
    assert!(said.starts_with("No chip number is recorded."), "{said}");
}

/// What many rows of the law share is kept by its own words, and so is its translation.
#[test]
fn papers_and_scopes_are_said_in_the_readers_language() {
    let set = ReadinessRuleSet::for_kennel("FR", &KennelReadinessRules::default()).unwrap();
    let papers = &set.get(ReadinessRule::Paperwork).unwrap().papers;
    let signed = papers.iter().find(|paper| paper.paper == "knowledge_certificate").unwrap();
    assert_eq!(signed.name, "knowledge certificate, signed by the buyer");
    catalogue::speaking(catalogue::Language::German, || {
        assert_eq!(signed.name, "Sachkundebescheinigung, vom Käufer unterschrieben");
    });
}

/// A kennel that does not follow the usual papers still asks for its own; else they stand in one row.
#[test]
fn a_kennels_papers_stand_in_the_row_of_papers() {
    let own = RequiredPaper {
        paper: "pedigree_copy".into(),
        name: Text::verbatim("copy of the pedigree"),
        days_before: 0,
    };
    let rows = |left_out: &[ReadinessRule]| -> Vec<Vec<String>> {
        let kennel = KennelReadinessRules {
            papers: vec![own.clone()],
            left_out: left_out.to_vec(),
            ..KennelReadinessRules::default()
        };
        let set = ReadinessRuleSet::for_kennel("XX", &kennel).unwrap();
        let of_papers = set.rules.iter().filter(|row| row.rule == ReadinessRule::Paperwork);
        of_papers.map(|row| row.papers.iter().map(|one| one.paper.clone()).collect()).collect()
    };
    let usual = rows(&[]);
    assert_eq!(usual.len(), 1);
    assert!(usual[0].len() > 1 && usual[0].contains(&"pedigree_copy".to_owned()), "{usual:?}");
    assert_eq!(rows(&[ReadinessRule::Paperwork]), [["pedigree_copy".to_owned()]]);
}
