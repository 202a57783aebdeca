//! The published call rules, one by one, and logs with gaps.

use super::*;
use crate::advice::Level;
use crate::alarms::{self, AlarmAbout};
use crate::dating::CountedFrom;
use crate::expected_pups::PupForecast;
use crate::rules::Rules;
use catalogue::{Language, speaking};
use chrono::{DateTime, Duration, NaiveDate, Utc};

fn start() -> DateTime<Utc> {
    "2026-03-01T22:00:00Z".parse().unwrap()
}

fn after(minutes: i64) -> DateTime<Utc> {
    start() + Duration::minutes(minutes)
}

fn entry(minutes: i64, event: WhelpingEvent) -> WhelpingEntry {
    WhelpingEntry { at: after(minutes), event }
}

fn pup(minutes: i64) -> PupOut {
    PupOut { born_at: after(minutes), alive: true, placenta_seen: true, marks: None }
}

fn case(entries: Vec<WhelpingEntry>, births: Vec<PupOut>) -> WhelpingCase {
    WhelpingCase {
        entries,
        births,
        expected: Some(PupForecast::counted(3, 5)),
        counted: Some(DayCount { from: CountedFrom::Ovulation, on: before(63) }),
        time_zone: chrono_tz::Europe::Amsterdam,
    }
}

/// So many days before the night.
fn before(days: i64) -> NaiveDate {
    (start() - Duration::days(days)).date_naive()
}

fn status(case: &WhelpingCase, minutes: i64) -> WhelpingStatus {
    status_by(case, minutes, &Rules::standard())
}

fn status_by(case: &WhelpingCase, minutes: i64, rules: &Rules) -> WhelpingStatus {
    let now = after(minutes);
    let about = AlarmAbout { litter_id: None, dog_id: None, label: "Juno".into() };
    let mut found = alarms::whelping::findings(case, now, rules);
    found.extend(alarms::overdue::findings(case, None, now, rules));
    where_it_stands(case, &alarms::gather(&about, found), now, rules)
}

fn contractions(minutes: i64, strength: Contractions) -> WhelpingEntry {
    entry(minutes, WhelpingEvent::Contractions { strength })
}

fn sign(minutes: i64) -> WhelpingEntry {
    entry(minutes, WhelpingEvent::Sign { sign: LabourSign::Nesting })
}

#[test]
fn each_limit_is_reached_on_its_minute_and_not_before() {
    use CallUrgency::{Now, RingForAdvice};
    let strong = contractions(0, Contractions::Strong);
    let weak = contractions(0, Contractions::Weak);
    let green =
        entry(0, WhelpingEvent::Discharge { colour: DischargeColour::GreenBlack, amount: None });
    let cases: [(&str, WhelpingCase, i64, CallUrgency); 6] = [
        ("20 min of strong straining", case(vec![strong], vec![]), 20, Now),
        ("2 h of weak contractions", case(vec![weak], vec![]), 120, Now),
        ("2 h since the last pup", case(vec![], vec![pup(0)]), 120, Now),
        ("2 h after the waters", case(vec![entry(0, WhelpingEvent::Waters {})], vec![]), 120, Now),
        ("8 h of the first stage", case(vec![sign(0)], vec![]), 480, RingForAdvice),
        ("24 h of the first stage", case(vec![sign(0)], vec![]), 1440, Now),
    ];
    for (name, case, limit, urgency) in cases {
        assert!(status(&case, limit - 1).call < urgency, "{name}: too early");
        assert_eq!(status(&case, limit).call, urgency, "{name}");
    }
    assert_eq!(status(&case(vec![green], vec![]), 0).call, Now, "green before the first: at once");
}

#[test]
fn the_answer_says_which_limit_and_whose() {
    let gap = status(&case(vec![], vec![pup(0)]), 60);
    assert_eq!(gap.call, CallUrgency::Waiting);
    assert_eq!(gap.next_limit_at, Some(after(120)));
    let limit = &gap.limits[0];
    assert_eq!((limit.rule.as_str(), limit.value), ("whelping.gap_hours", 2.0));
    assert!(limit.source.contains("give 4"), "the other view is named: {}", limit.source);
    assert!(gap.when_to_call.contains("01:00 on 02 March"), "{}", gap.when_to_call);

    // The kennel's vet allows four hours (Jutkowitz 2005).
    let rules =
        Rules::standard().with_override("whelping.gap_hours", 4.0, "our vet, 2026").unwrap();
    let later = status_by(&case(vec![], vec![pup(0)]), 200, &rules);
    assert_eq!(later.call, CallUrgency::Waiting);
    assert_eq!(later.limits[0].source, "our vet, 2026");
}

#[test]
fn a_pup_or_a_rest_ends_the_straining() {
    let strong = contractions(0, Contractions::Strong);
    let born = status(&case(vec![strong.clone()], vec![pup(15)]), 40);
    assert_eq!((born.straining_minutes, born.minutes_since_last_pup), (None, Some(25)));
    let rested = case(vec![strong.clone(), contractions(10, Contractions::Resting)], vec![]);
    assert_eq!(status(&rested, 60).straining_minutes, None);
    let again = case(vec![strong, contractions(40, Contractions::Strong)], vec![pup(15)]);
    assert_eq!(status(&again, 59).straining_minutes, Some(19));
    assert_eq!(status(&again, 60).call, CallUrgency::Now);
}

#[test]
fn stages_follow_from_whatever_was_written() {
    let stage = |entries, births, minutes| status(&case(entries, births), minutes).stage;
    assert_eq!(stage(vec![], vec![], 10), WhelpingStage::NotBegun);
    assert_eq!(stage(vec![sign(0)], vec![], 10), WhelpingStage::First);
    assert_eq!(stage(vec![], vec![pup(5)], 10), WhelpingStage::Second, "only a birth was written");
    let all: Vec<PupOut> = (0..5).map(|n| pup(n * 30)).collect();
    assert_eq!(stage(vec![], all.clone(), 130), WhelpingStage::AllOut, "as many as counted");
    let done = vec![entry(100, WhelpingEvent::Finished {})];
    assert_eq!(stage(done.clone(), all[..3].to_vec(), 110), WhelpingStage::AllOut);
    assert_eq!(
        stage(done, vec![pup(0), pup(30), pup(60), pup(105)], 110),
        WhelpingStage::Second,
        "a pup after the end shows that it was none"
    );
}

#[test]
fn pups_are_counted_against_what_is_expected() {
    let two = case(vec![], vec![pup(0), PupOut { alive: false, placenta_seen: false, ..pup(30) }]);
    let counted = status(&two, 40);
    assert_eq!((counted.pups_out, counted.born_alive, counted.stillborn), (2, 1, 1));
    assert_eq!((counted.still_to_come_at_least, counted.still_to_come_at_most), (Some(1), Some(3)));
    assert_eq!((counted.placentas_seen, counted.placentas_missing), (1, 1));
    assert_eq!(counted.cautions[0].level, Level::Note, "two pups before two placentas is usual");
    let seen_apart = case(vec![entry(35, WhelpingEvent::Placentas { count: 1 })], two.births);
    assert_eq!(status(&seen_apart, 40).placentas_missing, 0);
}

#[test]
fn missing_placentas_call_after_four_hours_when_all_are_out() {
    let mut births: Vec<PupOut> = (0..5).map(|n| pup(n * 30)).collect();
    births[1].placenta_seen = false;
    let out = case(vec![], births);
    assert_eq!(status(&out, 120 + 239).cautions[0].level, Level::Note);
    assert_eq!(status(&out, 120 + 240).cautions[0].level, Level::Act);
    let day_after = status(&out, 120 + 1440).cautions;
    assert!(day_after.iter().all(|c| !c.what.contains("lacentas")), "then the discharge tells");
}

/// Nobody wrote down a placenta: none is missing.
#[test]
fn placentas_that_nobody_counted_are_not_missing() {
    let unseen = |n: i64| PupOut { placenta_seen: false, ..pup(n * 30) };
    let out = case(vec![], (0..5).map(unseen).collect());
    for minutes in [130, 500, 1000, 3000] {
        assert!(status(&out, minutes).call <= CallUrgency::Waiting, "{minutes}");
    }
}

#[test]
fn finished_with_fewer_than_counted_is_an_emergency() {
    let short = case(vec![entry(200, WhelpingEvent::Finished {})], vec![pup(0), pup(40)]);
    let answer = status(&short, 210);
    assert_eq!(answer.call, CallUrgency::Now);
    assert!(answer.when_to_call.contains("fewer pups"));
    let caesarean = case(vec![entry(200, WhelpingEvent::Caesarean {})], vec![pup(0), pup(40)]);
    assert_eq!(status(&caesarean, 210).call, CallUrgency::NotNow);
}

#[test]
fn alarms_and_wrong_days_call_at_once() {
    for alarm in [
        WhelpingAlarm::PupStuck,
        WhelpingAlarm::Collapse,
        WhelpingAlarm::SeverePain,
        WhelpingAlarm::HeavyBleeding,
        WhelpingAlarm::Fits,
    ] {
        let case = case(vec![entry(0, WhelpingEvent::Alarm { alarm })], vec![]);
        assert_eq!(status(&case, 0).call, CallUrgency::Now, "{alarm:?}");
    }
    let stuck = entry(0, WhelpingEvent::Alarm { alarm: WhelpingAlarm::PupStuck });
    assert!(status(&case(vec![stuck], vec![pup(5)]), 6).call < CallUrgency::Now, "it came");
    let day = |day, entries: Vec<WhelpingEntry>| {
        let counted = Some(DayCount { from: CountedFrom::Ovulation, on: before(day) });
        let case = WhelpingCase { counted, ..case(entries, vec![]) };
        status(&case, 10).call
    };
    assert_eq!(day(56, vec![sign(0)]), CallUrgency::Now, "far too early");
    assert_eq!(day(57, vec![sign(0)]), CallUrgency::RingForAdvice, "early");
    assert_eq!(day(59, vec![sign(0)]), CallUrgency::RingForAdvice, "early");
    assert_eq!(day(60, vec![sign(0)]), CallUrgency::Waiting);
}

#[test]
fn calcium_before_the_first_pup_is_pointed_out_and_never_dosed() {
    for what in ["Calcium gel", "Kalzium-Gel"] {
        let given = entry(
            0,
            WhelpingEvent::Given {
                what: what.to_owned(),
                amount: None,
                advised_by: Some("a friend".to_owned()),
                given_to: None,
                ordinal: None,
            },
        );
        let early = status(&case(vec![given.clone()], vec![]), 10);
        assert!(early.cautions.iter().any(|c| c.what.contains("Calcium")), "{what}");
        let late = status(&case(vec![given], vec![pup(-30)]), 10);
        assert!(!late.cautions.iter().any(|c| c.what.contains("Calcium")));
    }
}

#[test]
fn an_empty_log_says_what_it_lacks() {
    let empty = WhelpingCase {
        entries: vec![],
        births: vec![],
        expected: None,
        counted: None,
        time_zone: chrono_tz::UTC,
    };
    let answer = status(&empty, 0);
    assert_eq!((answer.call, answer.lacks.len()), (CallUrgency::NotNow, 3));
}

#[test]
fn what_lies_ahead_is_not_counted() {
    let case = case(vec![contractions(60, Contractions::Strong)], vec![pup(90)]);
    let answer = status(&case, 30);
    assert_eq!((answer.pups_out, answer.stage), (0, WhelpingStage::NotBegun));
}

#[test]
fn an_entry_is_checked_by_itself() {
    let faults = |event| check_entry(&WhelpingEntry { at: after(60), event }, start());
    let all = faults(WhelpingEvent::Temperature { temperature_c: 98.6 }).unwrap_err();
    assert_eq!(
        all.iter().map(|f| f.pointer.as_str()).collect::<Vec<_>>(),
        ["/happened_at", "/event/temperature_c"]
    );
    assert!(all[1].detail.contains("37.0"));
    let ok = WhelpingEntry { at: start(), event: WhelpingEvent::Waters {} };
    assert!(check_entry(&ok, start()).is_ok());
}

#[test]
fn events_are_read_and_written_as_tagged_words() {
    let text = r#"{"kind":"contractions","strength":"strong"}"#;
    let event: WhelpingEvent = serde_json::from_str(text).unwrap();
    assert_eq!(event, WhelpingEvent::Contractions { strength: Contractions::Strong });
    assert_eq!(serde_json::to_string(&event).unwrap(), text);
    assert!(serde_json::from_str::<WhelpingEvent>(r#"{"kind":"waters","x":1}"#).is_err());
}

/// One answer, read in two languages.
#[test]
fn the_night_is_told_in_the_language_that_is_spoken() {
    let strong = || case(vec![contractions(0, Contractions::Strong)], vec![]);
    let now = status(&strong(), 25);
    let first = &now.cautions[0];
    assert_eq!(now.when_to_call, "Call the vet now: she strains hard and no pup has come.");
    assert_eq!(first.why, "25 min so far; the limit is 20 minutes.");
    speaking(Language::German, || {
        let told = "Ruf jetzt den Tierarzt: sie presst stark und kein Welpe ist gekommen.";
        assert_eq!(now.when_to_call, told);
        assert_eq!(first.why, "Bisher 25 min; die Grenze ist 20 Minuten.");
        let waiting = status(&strong(), 5).when_to_call;
        assert!(waiting.contains(" Uhr am 01. März, wenn sich bis dahin"), "{waiting}");
    });
}
