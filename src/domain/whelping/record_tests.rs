//! What is written down of a night, what is wrong with it, and how the sheet shows it.

use super::course::Course;
use super::*;
use crate::expected_pups::PupForecast;
use crate::rules::Rules;
use catalogue::Text;
use chrono::{DateTime, Duration, Utc};

fn start() -> DateTime<Utc> {
    "2026-05-15T03:00:00Z".parse().unwrap()
}

fn after(minutes: i64) -> DateTime<Utc> {
    start() + Duration::minutes(minutes)
}

fn entry(minutes: i64, event: WhelpingEvent) -> WhelpingEntry {
    WhelpingEntry { at: after(minutes), event }
}

fn event(json: serde_json::Value) -> WhelpingEvent {
    serde_json::from_value(json).unwrap()
}

fn pup(minutes: i64, alive: bool) -> PupOut {
    PupOut { born_at: after(minutes), alive, placenta_seen: true, marks: None }
}

fn case(entries: Vec<WhelpingEntry>, births: Vec<PupOut>) -> WhelpingCase {
    WhelpingCase {
        entries,
        births,
        expected: Some(PupForecast::counted(3, 5)),
        counted: None,
        time_zone: chrono_tz::UTC,
    }
}

/// Where the faults of an entry at the start of the night are.
fn faults(event: WhelpingEvent) -> Vec<String> {
    let found = check_entry(&entry(0, event), start());
    found.err().unwrap_or_default().into_iter().map(|fault| fault.pointer).collect()
}

#[test]
fn each_entry_is_held_to_its_own_limits() {
    let placentas = |count| faults(WhelpingEvent::Placentas { count });
    assert!([1, 20].map(placentas).concat().is_empty());
    assert_eq!([0, 21].map(placentas), [["/event/count"], ["/event/count"]]);
    let given = |what: &str, given_to: Option<&str>, ordinal: Option<i32>| {
        let json = serde_json::json!({
            "kind": "given", "remedy": what, "given_to": given_to, "ordinal": ordinal
        });
        faults(event(json))
    };
    assert!(given("calcium", None, None).is_empty());
    assert!(given("oxygen", Some("pup"), Some(3)).is_empty());
    assert!(given("oxygen", Some("pup"), None).is_empty());
    assert_eq!(given("  ", None, None), ["/event/remedy"]);
    assert_eq!(given("calcium", None, Some(3)), ["/event/ordinal"]);
    assert_eq!(given("calcium", Some("dam"), Some(3)), ["/event/ordinal"]);
    let note = |text: &str| faults(WhelpingEvent::Note { text: text.into() });
    assert!(note("quiet").is_empty());
    assert_eq!(note(" "), ["/event/text"]);
}

#[test]
fn a_caesarean_is_known_once_a_log_is_kept() {
    assert_eq!(by_caesarean(&[]), None);
    let waters = entry(0, WhelpingEvent::Waters {});
    assert_eq!(by_caesarean(std::slice::from_ref(&waters)), Some(false));
    assert_eq!(by_caesarean(&[waters, entry(9, WhelpingEvent::Caesarean {})]), Some(true));
}

fn course(case: &WhelpingCase, ask: impl Fn(&Course<'_>) -> bool) -> bool {
    ask(&Course::of(case, after(90), &Rules::standard()))
}

#[test]
fn a_night_is_over_when_pups_are_out_and_its_end_is_written() {
    let end = || vec![entry(60, WhelpingEvent::Finished {})];
    assert!(course(&case(end(), vec![pup(30, true)]), |one| one.is_over()));
    assert!(!course(&case(end(), vec![]), |one| one.is_over()), "no pup");
    assert!(!course(&case(vec![], vec![pup(30, true)]), |one| one.is_over()), "nothing is written");
}

#[test]
fn a_log_is_kept_by_what_is_seen_of_labour() {
    let kept =
        |event| course(&case(vec![entry(0, event)], vec![pup(30, true)]), |one| one.log_is_kept());
    assert!(kept(WhelpingEvent::Waters {}));
    assert!(!kept(WhelpingEvent::Placentas { count: 1 }));
    assert!(!kept(WhelpingEvent::Finished {}));
}

/// A sign, a pup or a caesarean: each by itself says that labour has begun.
#[test]
fn labour_has_begun_by_any_of_its_signs() {
    let begun = |case: &WhelpingCase| course(case, |course| course.labour_since(after(0)));
    assert!(begun(&case(vec![entry(5, WhelpingEvent::Waters {})], vec![])));
    assert!(begun(&case(vec![], vec![pup(5, true)])));
    assert!(begun(&case(vec![entry(5, WhelpingEvent::Caesarean {})], vec![])));
    assert!(!begun(&case(vec![], vec![])));
}

/// Two alarms of different kinds are both open; one kind twice is open once, from the first.
#[test]
fn each_kind_of_alarm_is_open_once() {
    let alarm = |minutes, alarm| entry(minutes, WhelpingEvent::Alarm { alarm });
    let log = vec![
        alarm(10, WhelpingAlarm::Collapse),
        alarm(20, WhelpingAlarm::Fits),
        alarm(30, WhelpingAlarm::Collapse),
    ];
    let night = case(log, vec![]);
    let open = Course::of(&night, after(90), &Rules::standard()).open_alarms();
    assert_eq!(open, [(after(10), WhelpingAlarm::Collapse), (after(20), WhelpingAlarm::Fits)]);
}

#[test]
fn only_calcium_is_calcium() {
    let given = |what: &str| {
        let json = serde_json::json!({ "kind": "given", "remedy": what });
        course(&case(vec![entry(0, event(json))], vec![]), |one| one.calcium_before().is_some())
    };
    assert_eq!(["Calcium", "Kalzium oral", "oxytocin"].map(given), [true, true, false]);
}

/// The rules of the limits that run.
fn running(case: &WhelpingCase) -> Vec<&'static str> {
    let rules = Rules::standard();
    let found = Course::of(case, after(90), &rules).running(&rules);
    found.into_iter().map(|limit| limit.rule).collect()
}

/// After a pup or a caesarean nothing is the first stage, nor do waters wait for the first pup.
#[test]
fn what_is_before_the_first_pup_ends_with_it_and_with_a_caesarean() {
    let seen = || {
        let green = serde_json::json!({ "kind": "discharge", "colour": "green_black" });
        vec![entry(0, event(green)), entry(1, WhelpingEvent::Waters {})]
    };
    let before = ["whelping.green_before_first_minutes", "whelping.fluid_without_pup_hours"];
    let runs = |case: &WhelpingCase| before.map(|rule| running(case).contains(&rule));
    assert_eq!(runs(&case(seen(), vec![])), [true, true]);
    assert_eq!(runs(&case(seen(), vec![pup(30, true)])), [false, false]);
    let mut cut = seen();
    cut.push(entry(30, WhelpingEvent::Caesarean {}));
    assert_eq!(runs(&case(cut, vec![])), [false, false]);
}

/// The second stage goes on while she strains, or while pups are known to be inside.
#[test]
fn the_second_stage_runs_on_straining_or_on_a_count() {
    let long =
        |entries, births| running(&case(entries, births)).contains(&"whelping.active_labour_hours");
    let strong =
        |minutes| entry(minutes, WhelpingEvent::Contractions { strength: Contractions::Strong });
    let three = || vec![pup(10, true), pup(20, true), pup(30, true)];
    assert!(long(vec![], vec![pup(10, true)]), "two at least are inside");
    assert!(long(vec![strong(40)], three()), "she strains");
    assert!(!long(vec![], three()), "all that were counted for sure are out");
    let end = || entry(50, WhelpingEvent::Finished {});
    assert!(!long(vec![end()], vec![pup(10, true)]), "its end was written");
}

/// Who keeps a log is asked to act on a long pause, births alone are noted.
#[test]
fn a_pause_is_as_grave_as_what_is_known_of_the_night() {
    use crate::advice::Level::{Act, Emergency, Note};
    let rules = Rules::standard();
    let level = |entries, pups: i64| {
        let births = (0..pups).map(|n| pup(n * 10, true)).collect();
        let night = case(entries, births);
        let found = Course::of(&night, after(90), &rules).running(&rules);
        found.iter().find(|limit| limit.rule == "whelping.gap_hours").map(|limit| limit.level)
    };
    let log = || vec![entry(-30, WhelpingEvent::Waters {})];
    assert_eq!([level(vec![], 2), level(vec![], 3)], [Some(Emergency), Some(Note)]);
    assert_eq!([level(log(), 2), level(log(), 3)], [Some(Emergency), Some(Act)]);
}

fn status(case: &WhelpingCase, minutes: i64) -> WhelpingStatus {
    where_it_stands(case, &[], after(minutes), &Rules::standard())
}

#[test]
fn the_status_counts_the_stillborn_and_shows_what_calls() {
    let night = case(vec![], vec![pup(0, true), pup(10, false), pup(20, true), pup(30, true)]);
    let found = status(&night, 60);
    assert_eq!((found.pups_out, found.born_alive, found.stillborn), (4, 3, 1));
    assert!(found.limits.is_empty(), "a pause that is only noted is not shown");
    let two = case(vec![], vec![pup(0, true), pup(10, true)]);
    let reached = |minutes| {
        let found = status(&two, minutes);
        found.limits.iter().find(|one| one.rule == "whelping.gap_hours").unwrap().reached
    };
    assert_eq!([129, 130, 131].map(reached), [false, true, true]);
}

/// The head line when nothing calls, and what is asked for.
#[test]
fn a_night_says_whether_it_has_begun_and_what_it_lacks() {
    let head = |case: &WhelpingCase| status(case, 60).when_to_call;
    let sign = || vec![entry(0, event(serde_json::json!({ "kind": "sign", "sign": "nesting" })))];
    let (quiet, begun) = (case(vec![], vec![]), case(sign(), vec![]));
    assert_ne!(head(&quiet), head(&begun));
    let over = case(vec![entry(30, WhelpingEvent::Finished {})], vec![pup(0, true)]);
    assert_eq!(head(&over), head(&begun), "nothing has to be done now");
    let lacks = |case: &WhelpingCase| status(case, 60).lacks.len();
    // The day and the log; then the day alone; with a pup out neither.
    assert_eq!([lacks(&quiet), lacks(&begun)], [2, 1]);
    assert_eq!([lacks(&case(vec![], vec![pup(0, true)])), lacks(&over)], [0, 0]);
    let uncounted = WhelpingCase { expected: None, ..over };
    assert_eq!(lacks(&uncounted), 1);
}

/// A limit of this very moment is reached: it is no longer the next.
#[test]
fn the_next_limit_lies_ahead() {
    use crate::alarms::{self, AlarmAbout};
    let rules = Rules::standard();
    let night = case(vec![], vec![pup(0, true)]);
    let about = AlarmAbout { litter_id: None, dog_id: None, label: Text::default() };
    let mut alarms = alarms::gather(&about, alarms::whelping::findings(&night, after(60), &rules));
    let ahead =
        |alarms: &[alarms::Alarm], now| where_it_stands(&night, alarms, now, &rules).next_limit_at;
    alarms.truncate(1);
    alarms[0].next_limit_at = Some(after(90));
    assert_eq!(ahead(&alarms, after(89)), Some(after(90)));
    assert_eq!([90, 91].map(|minutes| ahead(&alarms, after(minutes))), [None, None]);
}
