use super::*;
use crate::advice::CautionCode;
use crate::schedule::{
    DueState, GivenEvent, HealthKind, PlanSubject, ScheduleDates, due, plus, steps_in_force,
};
use uuid::Uuid;

fn born() -> NaiveDate {
    "2026-01-01".parse().unwrap()
}

pub(super) fn day(age: i64) -> NaiveDate {
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
            by_test: false,
        })
        .collect();
    let steps = steps_in_force(PlanSubject::Pup, &[], &[], "");
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
pub(super) fn good_pup(age: i64) -> ReadinessFacts {
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
        goes_to: None,
    }
}

pub(super) fn assess(jurisdiction: &str, facts: &ReadinessFacts, age: i64) -> Readiness {
    readiness(&set(jurisdiction), facts, &[], day(age), &Rules::standard())
}

pub(super) fn check_of(readiness: &Readiness, rule: ReadinessRule) -> &ReadinessCheck {
    readiness.checks.iter().find(|check| check.rule == rule).unwrap()
}

/// First day of age on which a pup may leave, day by day: England 2018 Regulations Sch. 6, Germany
/// TierSchHuV § 2(4) ("older than"), France Code rural L214-8 ("older than"), Austria
/// oesterreich.gv.at ("older than"), Switzerland TSchV Art. 70(4) (56 days), Sweden SJVFS 2008:5,
/// Netherlands Stb. 1996, 137 (7 weeks), NSW breeding code, 9 CFR 2.130, California Penal Code 597z,
/// Virginia and Wisconsin 7 weeks (table of state laws, Michigan State University), Czechia 50 days, Spain
/// two months (from 1 January to 1 March 2026: 59 days), Ireland S.I. 681/2019, Québec B-3.1 r. 0.1 s. 36.
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
        ("BE-VLG", 56),
        ("CA-QC", 56),
        ("CZ", 50),
        ("DK", 56),
        ("ES", 59),
        ("GB-SCT", 56),
        ("IE", 56),
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
    let distinct: std::collections::BTreeSet<_> = codes.iter().map(|(code, _)| code).collect();
    assert_eq!(distinct.len(), codes.len());
    for (code, _) in codes {
        let set = set(&code);
        assert_eq!(set.matched.as_ref(), Some(&code));
        assert!(set.rules.iter().all(|row| !row.source.is_empty() && !row.scope.is_empty()));
        let age = set.get(ReadinessRule::MinimumAge).unwrap();
        assert!(age.minimum_age_days.is_some() != age.minimum_age_months.is_some(), "{code}");
    }
}

/// What a law asks of these four is told for every jurisdiction: a row with the day on which it was read, or
/// that it was not found or not looked for.
#[test]
fn of_each_jurisdiction_it_is_told_what_was_read_and_what_was_not() {
    use crate::rules::Status;
    for (code, name) in listed_jurisdictions() {
        let set = set(&code);
        let gaps = set.gaps.as_ref().unwrap();
        for rule in [
            ReadinessRule::MinimumAge,
            ReadinessRule::Microchip,
            ReadinessRule::Vaccination,
            ReadinessRule::Paperwork,
        ] {
            // The strict defaults have no day of reading.
            let read = set.get(rule).is_some_and(|row| row.checked_on.is_some());
            let places =
                [read, gaps.nothing_found.contains(&rule), gaps.not_looked_for.contains(&rule)];
            assert_eq!(places.iter().filter(|there| **there).count(), 1, "{code} {rule:?}");
        }
        for row in set.rules.iter().filter(|row| row.checked_on.is_some()) {
            let known = [Status::Verified, Status::Secondary, Status::FromMemory];
            assert!(known.contains(&row.status), "{code} {row:?}");
        }
        let told = law_cautions(&set, day(0));
        let missing = told.iter().find(|caution| caution.code == CautionCode::LawNotFound);
        let open = gaps.nothing_found.len() + gaps.not_looked_for.len();
        assert_eq!(missing.is_some(), open > 0, "{code}");
        if let Some(missing) = missing {
            assert!(missing.what.contains(&name.to_string()), "{code}: {}", missing.what);
            let looked = format!("Looked for on {}, nothing found", gaps.looked_on);
            assert_eq!(missing.why.contains(&looked), !gaps.nothing_found.is_empty(), "{code}");
        }
    }
}

/// A year to the day is not more than a year.
#[test]
fn a_law_read_more_than_a_year_ago_is_told_of() {
    let set = set("CH");
    let read = set.get(ReadinessRule::MinimumAge).unwrap().checked_on.unwrap();
    let anniversary = read + chrono::Months::new(12);
    let dated = |later| {
        let told = law_cautions(&set, plus(anniversary, later));
        told.into_iter().find(|caution| caution.code == CautionCode::LawDated)
    };
    assert_eq!([dated(-1), dated(0)], [None, None]);
    let told = dated(1).unwrap();
    assert!(told.why.contains(&format!("the least age on {read}")), "{}", told.why);
}

/// Member states: rabies vaccination from 12 weeks, 21 days to wait, so 15 weeks (105 days); the United States
/// six months; Great Britain and Switzerland 15 weeks; Austria 16 weeks.
#[test]
fn a_pup_that_goes_abroad_waits_for_the_border() {
    use ReadinessResult::{Met, Unmet};
    let going = |home: &str, to: &str, age: i64, dose: Option<i64>| {
        let mut facts = good_pup(age);
        facts.goes_to = Some(to.parse().unwrap());
        let rabies = dose.map(|given| DueStep {
            series: "rabies".into(),
            given_on: Some(day(given)),
            ..facts.health_steps.iter().find(|s| s.kind == HealthKind::Vaccination).unwrap().clone()
        });
        facts.health_steps.extend(rabies);
        let found = assess(home, &facts, age);
        let check = found.checks.iter().find(|check| check.rule == ReadinessRule::Border).cloned();
        (check.map(|check| (check.result, check.met_on)), found)
    };
    let of = |home, to, age, dose| going(home, to, age, dose).0;
    // Not given yet: as early as can be, then the wait.
    assert_eq!(of("DE", "FR", 60, None), Some((Unmet, Some(day(105)))));
    assert_eq!(of("DE", "FR", 90, None), Some((Unmet, Some(day(111)))));
    // A dose before 12 weeks does not count; one on the day does.
    assert_eq!(of("DE", "FR", 100, Some(83)), Some((Unmet, Some(day(121)))));
    assert_eq!(
        [104, 105, 106].map(|age| of("DE", "FR", age, Some(84)).unwrap().0),
        [Unmet, Met, Met]
    );
    assert_eq!([111, 112].map(|age| of("DE", "AT", age, Some(84)).unwrap().0), [Unmet, Met]);
    for (home, to, first_day) in
        [("DE", "GB", 105), ("DE", "CH", 105), ("GB-ENG", "FR", 105), ("SE", "NO", 105)]
    {
        let on = |age| of(home, to, age, Some(84)).unwrap();
        assert_eq!([first_day - 1, first_day].map(|age| on(age).0), [Unmet, Met], "{to}");
        assert_eq!(on(90).1, Some(day(first_day)), "{to}");
    }
    // 1 July 2026 is six months after 1 January, 181 days.
    let states = |age| of("DE", "US", age, None).unwrap();
    assert_eq!([180, 181, 182].map(|age| states(age).0), [Unmet, Met, Met]);
    assert_eq!(states(60).1, Some(day(181)));
    // Australia: 180 days after the blood sample, which is not before the vaccination.
    assert_eq!(of("DE", "AU", 90, Some(84)), Some((Unmet, Some(day(264)))));

    // No figure is listed, or no border is crossed.
    for (home, to) in [("DE", "CA"), ("NZ", "AU"), ("DE", "NZ"), ("DE", "JP"), ("", "FR")] {
        let (check, found) = going(home, to, 60, None);
        assert_eq!(check, None, "{home} {to}");
        assert!(found.cautions.iter().any(|c| c.code == CautionCode::GoHomeBorder), "{home} {to}");
    }
    let (check, found) = going("DE-BY", "DE", 60, None);
    assert_eq!(check, None);
    assert!(found.cautions.iter().all(|caution| caution.code != CautionCode::GoHomeBorder));
    // It keeps the pup home, and an owner can set it aside.
    let (_, found) = going("CH", "DE", 60, None);
    assert_eq!((found.ready, found.ready_on), (false, Some(day(105))));
}

#[test]
fn each_border_has_a_source_and_names_countries() {
    let rows = border::table::rows();
    assert!(rows.len() >= 9);
    for (name, source, countries) in rows {
        assert!(!source.is_empty() && countries, "{name}");
    }
}

#[test]
fn a_pup_for_which_all_is_done_is_ready_on_the_first_legal_day() {
    assert!(!assess("CH", &good_pup(55), 55).ready);
    assert_eq!(assess("CH", &good_pup(55), 55).ready_on, Some(day(56)));
    let on_the_day = assess("CH", &good_pup(56), 56);
    assert!(on_the_day.ready, "{:#?}", on_the_day.checks);
    assert_eq!(on_the_day.ready_on, Some(day(56)));
    // Of its law papers and vaccination were not looked for, which is told.
    let codes: Vec<_> = on_the_day.cautions.iter().map(|caution| caution.code).collect();
    assert_eq!(codes, [CautionCode::LawNotFound]);
    assert_eq!(assess("DE", &good_pup(56), 56).ready_on, Some(day(57)));
}

#[test]
fn an_unlisted_jurisdiction_gets_all_rules_and_a_caution() {
    let readiness = assess("XX", &good_pup(60), 60);
    assert!(readiness.ready);
    assert_eq!(readiness.checks.len(), 9);
    assert_eq!(readiness.cautions.len(), 1);
    // A value that is not confirmed says so.
    let told = assess("GB-WLS", &good_pup(60), 60).cautions;
    assert!(told.iter().any(|caution| caution.code == CautionCode::GoHomeUnconfirmed));
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
    let border = left_out(ReadinessRule::Border);
    assert_eq!(ReadinessRuleSet::for_kennel("XX", &border).unwrap_err()[0].pointer, "/left_out/0");
    // Two months are 62 days at most: 8 weeks may be less, 9 are more.
    assert_eq!(age("ES", 8).unwrap_err()[0].pointer, "/minimum_age_weeks");
    assert_eq!(age("ES", 9).unwrap().minimum_age_days, Some(63));
    let set = ReadinessRuleSet::for_kennel("DE", &by_law).unwrap();
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
    assert!(weaned.detail.to_string().starts_with("1 of 2 pups. pup 2: "), "{}", weaned.detail);
    let litter = litter_readiness(vec![pup(1, &good_pup(58)), pup(3, &unknown)]);
    assert_eq!((litter.first_ready_on, litter.ready_on), (Some(day(56)), None));
    // One pup goes abroad: the litter has its rule, whichever of the pups comes first.
    let mut abroad = good_pup(58);
    abroad.goes_to = Some("DE".parse().unwrap());
    for pups in [[&abroad, &good_pup(58)], [&good_pup(58), &abroad]] {
        let litter = litter_readiness(vec![pup(1, pups[0]), pup(2, pups[1])]);
        let border = litter.checks.iter().find(|check| check.rule == ReadinessRule::Border);
        assert_eq!(border.map(|check| check.met_on), Some(Some(day(105))));
        assert_eq!((litter.first_ready_on, litter.ready_on), (Some(day(56)), Some(day(105))));
    }
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
