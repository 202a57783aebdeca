use super::*;
use crate::schedule::{
    DueState, GivenEvent, HealthKind, PlanSubject, ScheduleDates, due, plus, steps_in_force,
};
use uuid::Uuid;

fn born() -> NaiveDate {
    "2026-01-01".parse().unwrap()
}

fn day(age: i64) -> NaiveDate {
    plus(born(), age)
}

fn set(jurisdiction: &str) -> ReadinessRuleSet {
    ReadinessRuleSet::for_kennel(jurisdiction, &KennelReadinessRules::default()).unwrap()
}

fn steps(events: &[(HealthKind, i64)], today: i64) -> Vec<DueStep> {
    let dates = ScheduleDates {
        born_on: Some(born()),
        whelped_on: Some(born()),
        weaned_on: (today >= 45).then(|| day(45)),
        mated_on: None,
        record_from: None,
    };
    let events: Vec<GivenEvent> = events
        .iter()
        .map(|(kind, age)| GivenEvent {
            id: None,
            kind: *kind,
            series: None,
            step: None,
            given_on: day(*age),
        })
        .collect();
    let steps = steps_in_force(PlanSubject::Pup, &[], &[]);
    due(&steps, dates, &events, day(today), &Rules::standard()).steps
}

const ALL_GIVEN: [(HealthKind, i64); 7] = [
    (HealthKind::Worming, 14),
    (HealthKind::Worming, 28),
    (HealthKind::Worming, 42),
    (HealthKind::Worming, 56),
    (HealthKind::Vaccination, 50),
    (HealthKind::Microchip, 49),
    (HealthKind::Examination, 52),
];

/// A pup of `age` days for which all was done by its day.
fn good_pup(age: i64) -> ReadinessFacts {
    let events: Vec<_> = ALL_GIVEN.into_iter().filter(|(_, on)| *on <= age).collect();
    ReadinessFacts {
        born_on: Some(born()),
        weaned_on: Some(day(45)),
        last_weight: Some(WeightFact { weight_g: 4200.0, measured_on: day(age) }),
        gaining: Some(true),
        weight_forecast: None,
        health_steps: steps(&events, age),
        chip_number: (age >= 49).then(|| "276098100123456".into()),
        papers: [
            "sale_contract",
            "chip_registration",
            "transfer_document",
            "veterinary_certificate",
            "knowledge_certificate",
        ]
        .map(|paper| PaperDone { paper: paper.into(), done_on: day(30) })
        .to_vec(),
        balance: BalanceFact::Known {
            balance_due: Money { amount_minor: 0, currency: "EUR".parse().unwrap() },
            due_on: None,
            paid_on: Some(day(40)),
        },
    }
}

fn assess(jurisdiction: &str, facts: &ReadinessFacts, age: i64) -> Readiness {
    readiness(&set(jurisdiction), facts, &[], day(age), &Rules::standard())
}

fn check_of(readiness: &Readiness, rule: ReadinessRule) -> &ReadinessCheck {
    readiness.checks.iter().find(|check| check.rule == rule).unwrap()
}

/// First day of age on which a pup may leave, day by day: England 2018 Regulations Sch. 6, Germany
/// TierSchHuV § 2(4) ("older than"), France Code rural L214-8 ("older than"), Austria
/// oesterreich.gv.at ("older than"), Switzerland TSchV Art. 70(4) (56 days), Sweden SJVFS 2008:5,
/// Netherlands Stb. 1996, 137 (7 weeks), NSW breeding code, 9 CFR 2.130, California Penal Code 597z,
/// Virginia and Wisconsin 7 weeks (table of state laws, Michigan State University).
#[test]
fn minimum_ages_hold_to_the_day() {
    let first_days = [
        ("GB-ENG", 56),
        ("DE", 57),
        ("DE-BY", 57),
        ("FR", 57),
        ("AT", 57),
        ("CH", 56),
        ("SE", 56),
        ("NL", 49),
        ("AU-NSW", 56),
        ("US", 56),
        ("US-TX", 56),
        ("US-CA", 56),
        ("US-VA", 49),
        ("US-WI", 49),
        ("us-nv", 56),
        ("XX", 56),
    ];
    for (code, first_day) in first_days {
        for age in 40..=60 {
            let readiness = assess(code, &good_pup(age), age);
            let check = check_of(&readiness, ReadinessRule::MinimumAge);
            let met = check.result == ReadinessResult::Met;
            assert_eq!(met, age >= first_day, "{code} on day {age}");
            assert_eq!(check.met_on, Some(day(first_day)), "{code}");
        }
    }
}

/// Netherlands 7 weeks, Switzerland 56 days, Germany and France older than 8 weeks: first days to
/// leave of a pup born on 2026-01-01, worked out on the calendar.
#[test]
fn first_days_to_leave_of_a_pup_of_new_year() {
    for (jurisdiction, first) in
        [("NL", "2026-02-19"), ("CH", "2026-02-26"), ("DE", "2026-02-27"), ("FR", "2026-02-27")]
    {
        let found = assess(jurisdiction, &good_pup(45), 45);
        let check = check_of(&found, ReadinessRule::MinimumAge);
        assert_eq!(check.met_on, first.parse().ok(), "{jurisdiction}");
    }
}

#[test]
fn every_row_has_a_source_and_every_code_is_listed_once() {
    let codes = listed_jurisdictions();
    let distinct: std::collections::BTreeSet<_> = codes.iter().collect();
    assert_eq!(distinct.len(), codes.len());
    for (code, _) in codes {
        let set = set(&code);
        assert_eq!(set.matched.as_ref(), Some(&code));
        assert!(set.rules.iter().all(|row| !row.source.is_empty() && !row.scope.is_empty()));
        let age = set.get(ReadinessRule::MinimumAge).unwrap();
        assert!(age.minimum_age_days.is_some() && age.checked_on.is_some(), "{code}");
    }
}

#[test]
fn a_pup_for_which_all_is_done_is_ready_on_the_first_legal_day() {
    assert!(!assess("CH", &good_pup(55), 55).ready);
    assert_eq!(assess("CH", &good_pup(55), 55).ready_on, Some(day(56)));
    let on_the_day = assess("CH", &good_pup(56), 56);
    assert!(on_the_day.ready, "{:#?}", on_the_day.checks);
    assert_eq!(on_the_day.ready_on, Some(day(56)));
    assert!(on_the_day.cautions.is_empty());
    assert_eq!(assess("DE", &good_pup(56), 56).ready_on, Some(day(57)));
}

#[test]
fn an_unlisted_jurisdiction_gets_all_rules_and_a_caution() {
    let readiness = assess("XX", &good_pup(60), 60);
    assert!(readiness.ready);
    assert_eq!(readiness.checks.len(), 9);
    assert_eq!(readiness.cautions.len(), 1);
    // A value that is not confirmed says so.
    assert_eq!(assess("GB-SCT", &good_pup(60), 60).cautions.len(), 1);
}

#[test]
fn each_rule_alone_keeps_a_pup_home() {
    type Spoil = Box<dyn Fn(&mut ReadinessFacts)>;
    fn by(spoil: impl Fn(&mut ReadinessFacts) + 'static) -> Spoil {
        Box::new(spoil)
    }
    let owed = |facts: &mut ReadinessFacts| {
        let balance_due = Money { amount_minor: 1, currency: "EUR".parse().unwrap() };
        facts.balance = BalanceFact::Known { balance_due, due_on: Some(day(63)), paid_on: None };
    };
    let undone = |facts: &mut ReadinessFacts, kind: HealthKind| {
        let events: Vec<_> = ALL_GIVEN.into_iter().filter(|(given, _)| *given != kind).collect();
        facts.health_steps = steps(&events, 60);
    };
    let spoils: [(ReadinessRule, ReadinessResult, Option<i64>, Spoil); 11] = [
        (ReadinessRule::MinimumAge, ReadinessResult::Unknown, None, by(|f| f.born_on = None)),
        (ReadinessRule::Gaining, ReadinessResult::Unmet, None, by(|f| f.gaining = Some(false))),
        (ReadinessRule::Gaining, ReadinessResult::Unknown, None, by(|f| f.gaining = None)),
        (
            ReadinessRule::Weaned,
            ReadinessResult::Unmet,
            Some(62),
            by(|f| f.weaned_on = Some(day(62))),
        ),
        (
            ReadinessRule::Worming,
            ReadinessResult::Unmet,
            Some(60),
            by(move |f| undone(f, HealthKind::Worming)),
        ),
        (
            ReadinessRule::Vaccination,
            ReadinessResult::Unmet,
            Some(60),
            by(move |f| undone(f, HealthKind::Vaccination)),
        ),
        (
            ReadinessRule::Examination,
            ReadinessResult::Unmet,
            Some(60),
            by(move |f| undone(f, HealthKind::Examination)),
        ),
        (ReadinessRule::Microchip, ReadinessResult::Unmet, Some(60), by(|f| f.chip_number = None)),
        (
            ReadinessRule::Microchip,
            ReadinessResult::Unmet,
            Some(60),
            by(|f| f.chip_number = Some("123456789".into())),
        ),
        (ReadinessRule::Paperwork, ReadinessResult::Unmet, Some(60), by(|f| f.papers.clear())),
        (ReadinessRule::BalancePaid, ReadinessResult::Unmet, Some(63), by(owed)),
    ];
    for (rule, result, met_on, spoil) in spoils {
        let mut facts = good_pup(60);
        spoil(&mut facts);
        let readiness = assess("CH", &facts, 60);
        assert!(!readiness.ready, "{rule:?}");
        let check = check_of(&readiness, rule);
        assert_eq!((check.result, check.met_on), (result, met_on.map(day)), "{}", check.detail);
        let others = readiness.checks.iter().filter(|check| check.rule != rule);
        assert!(others.clone().all(ReadinessCheck::passes), "{rule:?}");
        assert_eq!(readiness.ready_on, met_on.map(day));
    }
}

#[test]
fn a_stale_weighing_does_not_say_that_a_pup_gains() {
    let mut facts = good_pup(60);
    for (measured, result) in [(57, ReadinessResult::Met), (56, ReadinessResult::Unknown)] {
        facts.last_weight = Some(WeightFact { weight_g: 4200.0, measured_on: day(measured) });
        let readiness = assess("CH", &facts, 60);
        assert_eq!(check_of(&readiness, ReadinessRule::Gaining).result, result);
    }
}

#[test]
fn the_forecast_dates_the_least_weight() {
    let kennel = KennelReadinessRules { minimum_weight_g: Some(4500.0), ..Default::default() };
    let set = ReadinessRuleSet::for_kennel("CH", &kennel).unwrap();
    let mut facts = good_pup(58);
    facts.weight_forecast = Some(DayRange { earliest: day(59), likely: day(61), latest: day(64) });
    let assess = |facts: &ReadinessFacts| readiness(&set, facts, &[], day(58), &Rules::standard());
    assert_eq!(assess(&facts).ready_on, Some(day(61)));
    facts.weight_forecast = None;
    assert_eq!(assess(&facts).ready_on, None);
    facts.last_weight = Some(WeightFact { weight_g: 4500.0, measured_on: day(58) });
    assert!(assess(&facts).ready);
}

/// France: the knowledge certificate is signed at least 7 days before the transfer (since
/// 2022-10-01).
#[test]
fn a_paper_with_a_waiting_time_holds_until_it_is_over() {
    let mut facts = good_pup(60);
    let at = facts.papers.iter().position(|p| p.paper == "knowledge_certificate").unwrap();
    for (signed, ready_on) in [(53, 57), (54, 61), (60, 67)] {
        facts.papers[at].done_on = day(signed);
        let readiness = assess("FR", &facts, 60);
        assert_eq!(readiness.ready, signed <= 53);
        if !readiness.ready {
            assert_eq!(readiness.ready_on, Some(day(ready_on)));
        }
    }
    facts.papers.remove(at);
    assert_eq!(assess("FR", &facts, 60).ready_on, Some(day(67)));
}

#[test]
fn an_override_passes_and_stays_visible() {
    let set_aside = ReadinessOverride {
        rule: ReadinessRule::MinimumAge,
        reason: "Orphaned; the veterinarian advised a foster home.".into(),
        by: "Ada Example".into(),
        on: day(50),
    };
    set_aside.check(day(50)).unwrap();
    let mut facts = good_pup(53);
    facts.health_steps = steps(&ALL_GIVEN, 53);
    let overrides = [set_aside.clone()];
    let readiness = readiness(&set("CH"), &facts, &overrides, day(53), &Rules::standard());
    assert!(readiness.ready);
    let check = check_of(&readiness, ReadinessRule::MinimumAge);
    assert_eq!(check.result, ReadinessResult::Unmet);
    assert_eq!(check.overridden.as_ref(), Some(&set_aside));
    assert!(readiness.cautions.iter().any(|caution| caution.why.contains("Orphaned")));
    let bad =
        ReadinessOverride { reason: "because".into(), by: " ".into(), on: day(51), ..set_aside };
    assert_eq!(bad.check(day(50)).unwrap_err().len(), 3);
}

#[test]
fn a_kennel_goes_above_the_law_and_never_below() {
    let kennel =
        |weeks| KennelReadinessRules { minimum_age_weeks: Some(weeks), ..Default::default() };
    let age = |code: &str, weeks| {
        ReadinessRuleSet::for_kennel(code, &kennel(weeks))
            .map(|set| set.get(ReadinessRule::MinimumAge).unwrap().clone())
    };
    assert_eq!(age("NL", 9).unwrap().minimum_age_days, Some(63));
    assert_eq!(age("DE", 8).unwrap().comparison, AgeComparison::MoreThan);
    assert_eq!(age("DE", 7).unwrap_err()[0].pointer, "/minimum_age_weeks");
    let left_out = |rule| KennelReadinessRules { left_out: vec![rule], ..Default::default() };
    let by_law = left_out(ReadinessRule::Microchip);
    assert_eq!(ReadinessRuleSet::for_kennel("FR", &by_law).unwrap_err()[0].pointer, "/left_out/0");
    let set = ReadinessRuleSet::for_kennel("CH", &by_law).unwrap();
    assert!(set.get(ReadinessRule::Microchip).is_none());
}

#[test]
fn a_litter_waits_for_its_last_pup() {
    let pup = |n: u128, facts: &ReadinessFacts| {
        PupReadiness::new(Uuid::from_u128(n), format!("pup {n}"), assess("CH", facts, 58))
    };
    let mut late = good_pup(58);
    late.weaned_on = Some(day(61));
    let mut unknown = good_pup(58);
    unknown.gaining = None;
    let litter = litter_readiness(vec![pup(1, &good_pup(58)), pup(2, &late)]);
    assert!(!litter.ready);
    assert_eq!((litter.first_ready_on, litter.ready_on), (Some(day(56)), Some(day(61))));
    let weaned = litter.checks.iter().find(|check| check.rule == ReadinessRule::Weaned).unwrap();
    assert_eq!((weaned.result, weaned.met_on), (ReadinessResult::Unmet, Some(day(61))));
    assert!(weaned.detail.starts_with("1 of 2 pups. pup 2: "), "{}", weaned.detail);
    let litter = litter_readiness(vec![pup(1, &good_pup(58)), pup(3, &unknown)]);
    assert_eq!((litter.first_ready_on, litter.ready_on), (Some(day(56)), None));
    assert!(litter_readiness(vec![pup(1, &good_pup(58))]).ready);
    assert!(!litter_readiness(Vec::new()).ready);
}

#[test]
fn a_step_is_open_from_its_ideal_day() {
    let steps = steps(&ALL_GIVEN[..3], 56);
    let fourth =
        steps.iter().find(|s| s.ideal_on == Some(day(56)) && s.kind == HealthKind::Worming);
    assert_eq!(fourth.unwrap().state, DueState::Due);
}
