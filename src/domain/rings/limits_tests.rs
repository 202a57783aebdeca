//! Each limit of the rings on it, one before and one after; who is rung in which case.

use super::*;
use crate::{
    advice::{Caution, CautionCode, Level},
    alarms::{Alarm, AlarmAbout, AlarmSeen, Finding, gather},
    record::{QuietHours, RingChoices, RingWay},
};
use chrono::{DateTime, Duration, Utc};
use chrono_tz::Tz;
use uuid::Uuid;

fn at(time: &str) -> DateTime<Utc> {
    time.parse().unwrap()
}

const NOON: &str = "2026-02-01T11:00:00Z";

fn alarm(level: Level) -> Alarm {
    let caution = Caution::new(CautionCode::Straining, level, "what", "why", "source");
    let about = AlarmAbout {
        litter_id: Some(Uuid::from_u128(7)),
        dog_id: Some(Uuid::from_u128(8)),
        label: "Juno".into(),
    };
    gather(&about, vec![Finding::new("no_pup", at(NOON), caution)]).remove(0)
}

fn seen(alarm: &Alarm) -> Alarm {
    let seen = AlarmSeen { at: at(NOON), person_id: None, name: None, note: None };
    Alarm { seen: Some(seen), ..alarm.clone() }
}

fn listener(number: u128, change: impl FnOnce(&mut Listener)) -> Listener {
    let choices = RingChoices { ways: vec![RingWay::Push], ..RingChoices::default() };
    let mut one = Listener { membership_id: Uuid::from_u128(number), choices, on_duty: false };
    change(&mut one);
    one
}

/// Who is rung how many minutes after `now`, in Berlin.
fn rung_at(now: &str, alarm: &Alarm, listeners: &[Listener]) -> Vec<(u128, i64)> {
    let (found, _) = turns(&[], std::slice::from_ref(alarm), false);
    let rings = plan(&found[0], listeners, at(now), Tz::Europe__Berlin);
    rings
        .iter()
        .map(|ring| (ring.membership_id.as_u128(), (ring.due_at - at(now)).num_minutes()))
        .collect()
}

/// The kinds of turns from one look to the next, with their numbers.
fn walked(looks: &[Vec<Alarm>]) -> Vec<Vec<(TurnKind, i32)>> {
    let mut told: Vec<Told> = Vec::new();
    let mut all = Vec::new();
    for alarms in looks {
        let (found, states) = turns(&told, alarms, false);
        all.push(found.iter().map(|turn| (turn.kind, turn.told.turn)).collect());
        for state in states {
            told.retain(|old| old.alarm_id != state.alarm_id);
            told.push(state);
        }
    }
    all
}

#[test]
fn an_alarm_is_told_once_a_turn() {
    let (note, act, now) = (alarm(Level::Note), alarm(Level::Act), alarm(Level::Emergency));
    use TurnKind::{Over, Raised, Seen, Worse};
    let looks = [
        vec![note.clone()],
        vec![note],
        vec![act.clone()],
        vec![seen(&act)],
        vec![seen(&act)],
        // Something as grave has come to it.
        vec![act.clone()],
        vec![now.clone()],
        vec![act],
        vec![now.clone()],
        vec![],
        vec![],
        vec![now],
    ];
    let expected: [&[(TurnKind, i32)]; 12] = [
        &[(Raised, 1)],
        &[],
        &[(Worse, 2)],
        &[(Seen, 2)],
        &[],
        &[(Worse, 3)],
        &[(Worse, 4)],
        &[],
        &[(Worse, 5)],
        &[(Over, 5)],
        &[],
        &[(Raised, 6)],
    ];
    for (place, (found, expected)) in walked(&looks).iter().zip(expected).enumerate() {
        assert_eq!(found, expected, "look {place}");
    }
}

#[test]
fn who_listens_for_the_first_time_is_told_of_what_comes() {
    let alarms = [alarm(Level::Act)];
    let (found, states) = turns(&[], &alarms, true);
    assert!(found.is_empty() && states.len() == 1 && states[0].turn == 1);
    assert!(turns(&states, &alarms, false).0.is_empty());
    let graver = [alarm(Level::Emergency)];
    assert_eq!(turns(&states, &graver, false).0[0].kind, TurnKind::Worse);
}

#[test]
fn one_is_rung_from_the_chosen_level_on() {
    let one = [listener(1, |one| one.choices.level = Level::Act)];
    for (level, rung) in [(Level::Note, 0), (Level::Act, 1), (Level::Emergency, 1)] {
        assert_eq!(rung_at(NOON, &alarm(level), &one).len(), rung, "{level:?}");
    }
    assert!(rung_at(NOON, &seen(&alarm(Level::Act)), &one).is_empty(), "somebody has seen it");
}

#[test]
fn one_is_rung_of_the_chosen_kinds_litters_and_ways() {
    let straining = alarm(Level::Act);
    let rung = |change: fn(&mut RingChoices)| {
        rung_at(NOON, &straining, &[listener(1, |one| change(&mut one.choices))]).len()
    };
    assert_eq!(rung(|choices| choices.kinds = vec!["whelping".into()]), 1);
    assert_eq!(rung(|choices| choices.kinds = vec!["growth".into()]), 0);
    assert_eq!(rung(|choices| choices.litter_ids = vec![Uuid::from_u128(7)]), 1);
    assert_eq!(rung(|choices| choices.litter_ids = vec![Uuid::from_u128(9)]), 0);
    assert_eq!(rung(|choices| choices.ways = vec![RingWay::Mail, RingWay::Push]), 2);
    assert_eq!(rung(|choices| choices.ways.clear()), 0);
}

#[test]
fn duty_comes_first_and_the_others_when_nobody_has_seen_it() {
    let act = alarm(Level::Act);
    let second = listener(2, |one| one.choices.unseen_minutes = Some(20));
    let never = listener(3, |one| one.choices.unseen_minutes = None);
    let on_duty = listener(1, |one| one.on_duty = true);
    let all = [on_duty.clone(), second.clone(), never.clone()];
    assert_eq!(rung_at(NOON, &act, &all), [(1, 0), (2, 20)]);
    assert_eq!(rung_at(NOON, &act, &[second.clone(), never.clone()]), [(2, 0), (3, 0)]);
    // Whoever is on duty does not want to hear of it: then it is everybody's.
    let deaf = Listener {
        choices: RingChoices { level: Level::Emergency, ..on_duty.choices.clone() },
        ..on_duty
    };
    assert_eq!(rung_at(NOON, &act, &[deaf, second, never]), [(2, 0), (3, 0)]);
}

#[test]
fn quiet_hours_hold_on_them_and_not_beside() {
    let quiet = |begin: &str, end: &str, emergencies| {
        let quiet = QuietHours { begin: begin.into(), end: end.into(), emergencies };
        [listener(1, |one| one.choices.quiet = Some(quiet))]
    };
    let wait =
        |now: &str, level, listeners: &[Listener]| rung_at(now, &alarm(level), listeners)[0].1;
    // Berlin is an hour ahead of UTC in February.
    let night = quiet("22:00", "06:30", false);
    for (now, minutes) in [
        ("2026-02-01T20:59:00Z", 0),
        ("2026-02-01T21:00:00Z", 510),
        ("2026-02-01T22:59:00Z", 391),
        ("2026-02-01T23:00:00Z", 390),
        ("2026-02-02T05:29:00Z", 1),
        ("2026-02-02T05:30:00Z", 0),
    ] {
        assert_eq!(wait(now, Level::Act, &night), minutes, "{now}");
        assert_eq!(wait(now, Level::Emergency, &night), 0, "{now}: an emergency");
    }
    let all = quiet("22:00", "06:30", true);
    assert_eq!(wait("2026-02-01T21:00:00Z", Level::Emergency, &all), 510, "it was asked for");
    let noon = quiet("12:00", "13:00", false);
    for (now, minutes) in [
        ("2026-02-01T10:59:00Z", 0),
        ("2026-02-01T11:00:00Z", 60),
        ("2026-02-01T11:59:00Z", 1),
        ("2026-02-01T12:00:00Z", 0),
    ] {
        assert_eq!(wait(now, Level::Act, &noon), minutes, "{now}");
    }
}

#[test]
fn quiet_hours_end_by_the_clock_also_when_it_changes() {
    let quiet = QuietHours { begin: "22:00".into(), end: "02:30".into(), emergencies: false };
    let one = [listener(1, |one| one.choices.quiet = Some(quiet))];
    let act = alarm(Level::Act);
    // Clocks go forward at 2:00: there is no 2:30 in Berlin, 3:30 is the first after it.
    assert_eq!(rung_at("2026-03-28T22:00:00Z", &act, &one), [(1, 210)]);
    // Clocks go back at 3:00: the first of two.
    assert_eq!(rung_at("2026-10-24T22:00:00Z", &act, &one), [(1, 150)]);
}

#[test]
fn a_kennel_is_looked_at_when_the_clock_will_have_changed_something() {
    let now = at(NOON);
    let looks = |limits: &[i64]| {
        let alarms: Vec<Alarm> = limits
            .iter()
            .map(|seconds| Alarm {
                next_limit_at: Some(now + Duration::seconds(*seconds)),
                ..alarm(Level::Note)
            })
            .collect();
        let look = NextLook::in_turn(now).or_at_limit(&alarms, now);
        assert_eq!(look.routine, limits.iter().all(|at| !(-59..=900).contains(at)));
        (look.at - now).num_seconds()
    };
    assert_eq!(looks(&[]), 900);
    assert_eq!((looks(&[899]), looks(&[900]), looks(&[901])), (899, 900, 900));
    assert_eq!(looks(&[600, 300]), 300);
    // It has come and does not show yet; a minute later nobody waits for it any more.
    assert_eq!((looks(&[1]), looks(&[0]), looks(&[-59])), (1, 1, 1));
    assert_eq!((looks(&[-60]), looks(&[-61])), (900, 900));
}

#[test]
fn a_letter_is_written_at_its_time_by_the_kennels_clock() {
    let next = |now: &str| next_time("06:30", at(now), Tz::Europe__Berlin).unwrap().to_rfc3339();
    assert_eq!(next("2026-02-01T05:29:00Z"), "2026-02-01T05:30:00+00:00");
    assert_eq!(next("2026-02-01T05:30:00Z"), "2026-02-02T05:30:00+00:00");
    // The day on which clocks go forward.
    assert_eq!(next("2026-03-28T12:00:00Z"), "2026-03-29T04:30:00+00:00");
    let skipped = next_time("02:30", at("2026-03-28T12:00:00Z"), Tz::Europe__Berlin).unwrap();
    assert_eq!(skipped.to_rfc3339(), "2026-03-29T01:30:00+00:00", "there is no 2:30 that day");
    assert_eq!(next_time("25:00", at(NOON), Tz::UTC), None);
}

#[test]
fn a_letter_tells_of_a_week_and_is_none_when_nothing_is_due() {
    use crate::rules::Rules;
    use crate::tasks::{DaysAhead, GeneratedTask, TaskOrigin, Turn, task_list};
    let today = at(NOON).date_naive();
    let told = |days: &[i64]| {
        let tasks = days.iter().map(|ahead| {
            let due_on = today + Duration::days(*ahead);
            let made = (TaskOrigin::Own, Turn::Own);
            GeneratedTask::new(format!("own:{ahead}"), made, "task", due_on, String::new())
        });
        let ahead = DaysAhead::usual(&Rules::standard());
        let lines = task_list(tasks.collect(), &Default::default(), today, ahead);
        letter(&lines, today).map(|told| (told.late.len(), told.due.len(), told.coming.len()))
    };
    assert_eq!(told(&[-1, 0, 1, 7, 8]), Some((1, 1, 2)));
    assert_eq!(told(&[1, 7]), None, "nothing is due");
    assert_eq!(told(&[0]), Some((0, 1, 0)));
    assert_eq!(told(&[-3]), Some((1, 0, 0)));
}
