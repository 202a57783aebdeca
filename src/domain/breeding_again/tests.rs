//! Her state, the law and the kennel's rules, each by itself and together.

use super::*;
use crate::agreement::dice::Dice;
use crate::alarms::healthy_litter::{HealthyLitter, birth, healthy};
use crate::limits_tests::{Ask, Limit, MINUTE, Side, at_least, at_most, check, more_than};
use crate::pregnancy::LitterOnRecord;
use crate::record::{DamCheck, Heat, Kept};
use crate::rules::Rules;
use chrono::Duration;
use serde::de::DeserializeOwned;
use serde_json::json;

fn kept<R: DeserializeOwned>(id: u128, body: serde_json::Value) -> Kept<R> {
    let record = serde_json::from_value(body).unwrap();
    let (created_at, updated_at) = (birth(), birth());
    Kept { id: Uuid::from_u128(id), version: 1, created_at, updated_at, record }
}

fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

/// A dam with one litter (born 1 June 2026, weaned), back at her weight, and her kennel.
struct Case {
    litter: HealthyLitter,
    records: DamRecords,
    weighings: Vec<Weighing>,
    jurisdiction: &'static str,
    kennel_set: Option<&'static RuleSet>,
    rules: Rules,
}

impl Case {
    fn new() -> Self {
        let mut litter = healthy(&mut Dice::new(4), 1.0);
        let mut row = litter.core.litter.clone().unwrap();
        row.record.weaned_on = Some(day("2026-07-15"));
        litter.core.litter = Some(row.clone());
        let adult_g = litter.core.dam.as_ref().unwrap().adult_weight_g.map(f64::from).unwrap();
        let on_record = LitterOnRecord {
            litter: row,
            born: 6,
            born_alive: 6,
            free: Vec::new(),
            here: 0,
            whelping: false,
            caesarean: Some(false),
        };
        let records = DamRecords {
            born_here: true,
            heats: vec![kept::<Heat>(
                900,
                json!({ "dog_id": Uuid::from_u128(2), "began_on": "2026-03-20" }),
            )],
            litters: vec![on_record],
            whelpings: litter.core.of_dam.clone(),
            ..litter.parts.4.dam.clone()
        };
        let measured_at = "2026-09-10T08:00:00Z".parse().unwrap();
        let weighed = Weighing { id: None, measured_at, weight_g: adult_g, doubtful: false };
        Self {
            litter,
            records,
            weighings: vec![weighed],
            jurisdiction: "",
            kennel_set: None,
            rules: Rules::standard(),
        }
    }

    fn at(&self, now: &str) -> BreedingAgain {
        let now = now.parse().unwrap();
        let moment =
            Moment { rules: self.rules.clone(), ..Moment::by_standard_rules(now, chrono_tz::UTC) };
        let litters = [(self.litter.core.clone().into(), self.litter.parts.clone())];
        let dam = DamToBreed {
            records: &self.records,
            litters: &litters,
            alarms: &[],
            weighings: &self.weighings,
            jurisdiction: self.jurisdiction,
            kennel_set: self.kennel_set,
        };
        breeding_again(dam, &moment)
    }

    fn later(&self) -> BreedingAgain {
        self.at("2026-09-15T12:00:00Z")
    }
}

fn ground(answer: &BreedingAgain, words: &str) -> Option<BreedingAnswer> {
    answer.grounds.iter().find(|it| it.what.contains(words)).map(|it| it.answer)
}

#[test]
fn nothing_against_it_is_a_yes() {
    let answer = Case::new().later();
    assert_eq!(answer.answer, BreedingAnswer::Yes, "{:#?}", answer.grounds);
    assert_eq!(answer.earliest_on, Some(day("2026-09-15")));
    assert_eq!(answer.heats.len(), 3);
    assert!(answer.heats[0].mated_on > answer.heats[0].likely_on);
}

/// The womb heals in 84 days: on the day before it is open, on the day it is not named any more.
#[test]
fn the_womb_and_the_pups_come_first() {
    let mut case = Case::new();
    case.records.heats.clear();
    case.records.dog.as_mut().unwrap().born_on = None;
    let open = case.at("2026-08-23T12:00:00Z");
    assert_eq!(open.answer, BreedingAnswer::NotYet);
    assert_eq!(open.earliest_on, Some(day("2026-08-24")));
    assert_eq!(ground(&open, "womb"), Some(BreedingAnswer::NotYet));
    let healed = case.at("2026-08-24T12:00:00Z");
    assert_eq!(ground(&healed, "womb"), None);
    // Pups at her teats are weaned by day 49 at the latest.
    case.records.litters[0].litter.record.weaned_on = None;
    case.records.litters[0].here = 5;
    let nursing = case.at("2026-06-20T12:00:00Z");
    let nurses = nursing.grounds.iter().find(|it| it.what.contains("nurses")).unwrap();
    assert_eq!(nurses.met_from, Some(day("2026-07-20")));
}

#[test]
fn what_has_no_day_stays_open() {
    let mut case = Case::new();
    case.weighings[0].weight_g *= 0.9;
    let thin = case.later();
    assert_eq!((thin.answer, thin.earliest_on), (BreedingAnswer::NotYet, None));
    case.weighings.clear();
    let unweighed = case.later();
    assert_eq!(unweighed.answer, BreedingAnswer::Unknown);
    assert_eq!(unweighed.earliest_on, Some(day("2026-09-15")));
    let mut carries = Case::new();
    let mut open = carries.records.litters[0].clone();
    open.litter.record.whelped_on = None;
    carries.records.litters.push(open);
    assert_eq!(ground(&carries.later(), "carries"), Some(BreedingAnswer::NotYet));
}

#[test]
fn a_vet_is_asked_after_a_caesarean_and_after_low_calcium() {
    let mut case = Case::new();
    case.records.litters[0].caesarean = Some(true);
    assert_eq!(case.later().answer, BreedingAnswer::AskVet);
    let mut case = Case::new();
    let check = json!({
        "litter_id": Uuid::from_u128(1), "checked_at": "2026-06-20T08:00:00Z", "signs": ["tremor"],
    });
    case.litter.parts.3.dam_checks.push(kept::<DamCheck>(77, check));
    let asked = case.later();
    assert_eq!(asked.answer, BreedingAnswer::AskVet);
    assert!(ground(&asked, "low calcium").is_some());
}

#[test]
fn a_dam_that_died_is_a_no() {
    let mut case = Case::new();
    case.records.dog.as_mut().unwrap().died_on = Some(day("2026-09-01"));
    let gone = case.later();
    assert_eq!((gone.answer, gone.earliest_on), (BreedingAnswer::No, None));
}

/// Scotland (SSI 2021/84): six litters at most, one in twelve months; a dam that whelped on 1 June 2026 whelps again
/// on 1 June 2027 at the earliest, so is mated 63 days before.
#[test]
fn the_law_sets_a_day() {
    let mut case = Case::new();
    case.jurisdiction = "GB-SCT";
    let law = RuleSet::of_law("GB-SCT").expect("a listed law");
    let answer = case.later();
    assert!(answer.grounds.iter().any(|it| it.of == GroundOf::Law), "{}", law.name);
    assert!(answer.grounds.iter().all(|it| it.of != GroundOf::Kennel));
    let by_hand = (0..900).map(|days| shift(day("2026-09-15"), days)).find(|day| {
        check_dam(law, &history_of(&case.records), *day)
            .iter()
            .filter(|it| !OF_A_PAIR.contains(&it.rule))
            .all(|it| it.result != LimitResult::Unmet)
    });
    assert_eq!(answer.earliest_on, by_hand);
    assert!(answer.earliest_on > Some(day("2026-12-31")), "{:?}", answer.earliest_on);
    assert_eq!(answer.answer, BreedingAnswer::NotYet, "her next heat comes before that");
}

/// A kennel's own set stands beside the law's; the same set is named once.
#[test]
fn law_and_kennel_are_told_apart() {
    let mut case = Case::new();
    case.kennel_set = RuleSet::named("careful");
    let own = case.later();
    assert!(own.grounds.iter().any(|it| it.of == GroundOf::Kennel));
    case.jurisdiction = "GB-SCT";
    case.kennel_set = RuleSet::of_law("GB-SCT");
    let same = case.later();
    assert!(same.grounds.iter().all(|it| it.of != GroundOf::Kennel));
}

/// An age that is passed is never met again.
#[test]
fn what_no_day_meets_is_a_no() {
    let mut case = Case::new();
    case.jurisdiction = "GB-SCT";
    let born: crate::partial_date::PartialDate = "2015-01-01".parse().unwrap();
    case.records.dog.as_mut().unwrap().born_on = Some(born);
    case.kennel_set = RuleSet::named("careful");
    let old = case.later();
    assert_eq!((old.answer, old.earliest_on), (BreedingAnswer::No, None), "{:#?}", old.grounds);
}

fn rebred(change: impl Fn(&mut Case), rules: &Rules) -> BreedingAgain {
    let mut case = Case::new();
    case.rules = rules.clone();
    change(&mut case);
    case.later()
}

pub(crate) const LIMITS: &[Limit] = &[
    more_than("dam_after_birth.rebred_weight_loss", "more than this share", 0.001, |share, r| {
        let thin = rebred(|case| case.weighings[0].weight_g *= 1.0 - share, r);
        ground(&thin, "below her usual weight").is_some()
    }),
    at_most("dam_after_birth.rebred_weight_days", "at most this old", MINUTE / 24.0, |days, r| {
        let minutes = (days * 1440.0).round() as i64;
        let now: DateTime<Utc> = "2026-09-15T12:00:00Z".parse().unwrap();
        let known =
            rebred(|case| case.weighings[0].measured_at = now - Duration::minutes(minutes), r);
        ground(&known, "weigh her").is_none()
    }),
    at_least("dam_after_birth.rebred_caesareans", "from so many", 1.0, |count, r| {
        let cut = |case: &mut Case| {
            let first = case.records.litters[0].clone();
            for year in 0..count as i64 {
                let mut earlier = first.clone();
                earlier.caesarean = Some(true);
                earlier.litter.record.whelped_on = Some(shift(day("2025-06-01"), -365 * year));
                case.records.litters.push(earlier);
            }
        };
        ground(&rebred(cut, r), "caesareans").is_some()
    }),
];

#[test]
fn each_limit_of_breeding_again_on_it_before_and_after() {
    check(LIMITS);
    assert!(LIMITS.iter().all(|it| matches!(it.ask, Ask::Value(_)) && it.side != Side::LessThan));
}
