use super::*;
use crate::partial_date::PartialDate;
use catalogue::{Language, speaking};

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
        let read = day("2026-11-25")..=day("2026-11-29");
        assert!(set.limits.iter().all(|limit| read.contains(&limit.checked_on)), "{}", set.name);
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

/// Born in 2024, she is 18 months old on 1 July 2025 at the earliest.
#[test]
fn a_year_of_birth_decides_before_the_first_day_that_it_allows() {
    let age = |mated| result("sweden_2020", &dam("2024", &[]), mated, LimitKind::DamMinAgeAtMating);
    use LimitResult::{Unknown, Unmet};
    assert_eq!(["2025-06-30", "2025-07-01", "2025-07-02"].map(age), [Unmet, Unknown, Unknown]);
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

/// A jurisdiction has one set of its law, or is named among those of which no figure was found.
#[test]
fn the_law_of_a_kennel_is_told() {
    use crate::advice::CautionCode::{LawDated, LawNotFound, LawNotHeldTo, LawUnconfirmed};
    let name = |code| RuleSet::of_law(code).map(|set| set.name.as_str());
    assert_eq!(
        [name("GB-SCT"), name("SE"), name("us-va")].map(Option::unwrap),
        ["scotland_2021", "sweden_2020", "virginia"]
    );
    assert_eq!([name("DE"), name("DE-BY"), name("CA-BC"), name("XX"), name("")], [None; 5]);
    for found in &TABLE.nothing_found {
        assert_eq!(name(&found.jurisdiction), None, "{}", found.jurisdiction);
        assert!(!found.looked_at.is_empty() && !found.name.is_empty());
    }
    for (code, _) in crate::readiness::listed_jurisdictions() {
        let of = |found: &NothingFound| Some(found.jurisdiction.clone());
        let sought = TABLE.nothing_found.iter().filter_map(of);
        let known = sought.chain(TABLE.rule_sets.iter().filter_map(|set| set.jurisdiction.clone()));
        let country = code.split('-').next().unwrap_or_default();
        assert!(known.into_iter().any(|own| own == code || own == country), "{code}");
    }
    let read = day("2026-11-29");
    let codes = |code: &str, held_to: &str, today| {
        let told = law_cautions(code, RuleSet::named(held_to), today);
        told.into_iter().map(|caution| caution.code).collect::<Vec<_>>()
    };
    assert_eq!(codes("GB-SCT", "scotland_2021", read), []);
    assert_eq!(codes("GB-SCT", "careful", read), [LawNotHeldTo]);
    assert_eq!(codes("DE", "careful", read), [LawNotFound]);
    assert_eq!(codes("", "careful", read), [LawNotFound]);
    assert_eq!(codes("GB-ENG", "england_2018", read), [LawUnconfirmed; 3]);
    // A year to the day is not more than a year.
    let later =
        |days| codes("GB-SCT", "scotland_2021", day("2027-11-29") + chrono::Duration::days(days));
    assert_eq!([later(-1), later(0), later(1)], [vec![], vec![], vec![LawDated]]);
    let line = law_line("GB-SCT", RuleSet::named("careful"), read);
    let line = line.to_string();
    assert!(
        line.starts_with(&RuleSet::note().to_string()) && line.contains("scotland_2021"),
        "{line}"
    );
}

/// What is not confirmed is told in its unit; what was not found, by what the kennel named.
#[test]
fn what_is_not_confirmed_is_told_in_its_unit() {
    let told = |unit: &str| {
        let mut set = RuleSet::named("england_2018").unwrap().clone();
        set.jurisdiction = None;
        set.name = "own".to_owned();
        set.limits.truncate(1);
        set.limits[0].unit = unit.to_owned();
        let found = law_cautions("XX", Some(&set), day("2026-11-29"));
        let unconfirmed =
            found.iter().find(|one| one.code == crate::advice::CautionCode::LawUnconfirmed);
        unconfirmed.unwrap().why.to_string()
    };
    for unit in ["months", "litters", "sires", "matings"] {
        assert!(told(unit).ends_with(&format!("12 {unit}.")), "{}", told(unit));
    }
    let why = |jurisdiction| law_cautions(jurisdiction, None, day("2026-11-29"))[0].why.to_string();
    assert!(why("").contains("names no jurisdiction"), "{}", why(""));
    assert!(why("XX").contains("\"XX\""), "{}", why("XX"));
}

/// Scotland, SSI 2021/84 Sch. 6 para 8(3): not mated under 12 months nor aged 8 or more years, one litter in
/// 12 months, six in her life, none after two caesareans.
#[test]
fn scotland_holds_to_the_day() {
    use LimitKind::*;
    use LimitResult::{Met, Unmet};
    let of = |born: &str, litters: &[&str], kind| {
        result("scotland_2021", &dam(born, litters), "2026-03-01", kind)
    };
    let young = |born| of(born, &[], DamMinAgeAtMating);
    assert_eq!(["2025-02-28", "2025-03-01", "2025-03-02"].map(young), [Met, Met, Unmet]);
    let old = |born| of(born, &[], DamUnderAgeAtMating);
    assert_eq!(["2018-02-28", "2018-03-01", "2018-03-02"].map(old), [Unmet, Unmet, Met]);
    // Due on 3 May 2026: what was born on 3 May 2025 is a year away.
    let again = |born| of("2022-01-01", &[born], DamMaxLittersInWindow);
    assert_eq!(["2025-05-02", "2025-05-03", "2025-05-04"].map(again), [Met, Met, Unmet]);
}

/// Counts choose their words, and dates that are known in part are written the language's way.
#[test]
fn findings_are_said_in_german() {
    let dam = DamHistory {
        born_on: "2022-03".parse().ok(),
        whelpings: vec![PastWhelping { whelped_on: "2025".parse().unwrap(), caesarean: None }],
        ..DamHistory::default()
    };
    let findings = check_dam(RuleSet::named("england_2018").unwrap(), &dam, day("2026-03-01"));
    let said = speaking(Language::German, || {
        findings.iter().map(|finding| finding.detail.to_string()).collect::<Vec<_>>()
    });
    assert_eq!(
        said,
        [
            "geboren 03.2022, gedeckt 01.03.2026; mindestens 12 Monate (ab 31.03.2023)",
            "ein Wurf vor diesem erfasst, womöglich fehlen welche; höchstens 6 mit diesem",
            "0 bis 1 Würfe in den 12 Monaten bis 03.05.2026 erfasst, womöglich fehlen welche; höchstens \
             1 mit diesem",
            "0 Würfe durch Kaiserschnitt erfasst, bei 1 nicht festgehalten; höchstens 1",
        ]
    );
    let told = law_cautions("DE", None, day("2026-12-01"));
    speaking(Language::German, || {
        let asked =
            "Frag nach, was das Recht Deutschlands über Alter, Würfe und Kaiserschnitte sagt.";
        assert_eq!(told[0].what, asked);
        assert!(told[0].why.contains("Gesucht am 29.11.2026"), "{:?}", told[0].why);
    });
}
