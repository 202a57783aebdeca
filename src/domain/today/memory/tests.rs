use super::*;
use crate::{
    agreement::dice::Dice,
    alarms::healthy_litter::{HealthyLitter, birth, healthy},
    record::{Kept, WhelpingLine},
    today::today_board,
    whelping::{Contractions, WhelpingEvent},
};
use catalogue::speaking;
use chrono::Duration;

fn at(now: DateTime<Utc>) -> Moment {
    Moment::by_standard_rules(now, chrono_tz::UTC)
}

fn board(record: &HealthyLitter, moment: &Moment, memory: &BoardMemory) -> serde_json::Value {
    let litters = vec![(record.core.clone().into(), record.parts.clone())];
    serde_json::to_value(today_board(litters, moment, memory)).unwrap()
}

/// The board as an instance makes it that has never looked.
fn afresh(record: &HealthyLitter, moment: &Moment) -> serde_json::Value {
    board(record, moment, &BoardMemory::default())
}

/// Counts whether a record is looked at, and not only what comes of it.
fn looks(record: &HealthyLitter, moment: &Moment, memory: &BoardMemory) -> bool {
    let record = (record.core.clone().into(), record.parts.clone());
    let is_new = memory.known(&record, moment).is_none();
    today_board(vec![record], moment, memory);
    is_new
}

#[test]
fn whatever_is_written_is_seen_in_the_same_minute() {
    let (memory, all) = (BoardMemory::default(), healthy(&mut Dice::new(7), 1.0));
    let moment = at(birth() + Duration::days(9));
    for hours in 0..9 * 24 {
        let known = all.known(birth() + Duration::hours(hours));
        assert_eq!(board(&known, &moment, &memory), afresh(&known, &moment), "{hours} h");
        assert!(!looks(&known, &moment, &memory), "{hours} h: nothing was written since");
    }
}

#[test]
fn each_part_of_a_record_and_of_the_moment_counts() {
    let (memory, whole) = (BoardMemory::default(), healthy(&mut Dice::new(8), 1.0));
    let now = birth() + Duration::days(2);
    let record = whole.known(now);
    let told = |what: &str, record: &HealthyLitter, moment: &Moment| {
        // Seen before, as it was.
        board(&whole.known(now), &at(now), &memory);
        assert!(!looks(&whole.known(now), &at(now), &memory));
        assert!(looks(record, moment, &memory), "{what}");
    };
    let with = |what: &str, change: &dyn Fn(&mut HealthyLitter)| {
        let mut record = whole.known(now);
        change(&mut record);
        told(what, &record, &at(now));
    };
    with("place", &|record| record.core.place = Some("Kitchen".into()));
    with("pups", &|record| record.core.pups.truncate(1));
    with("temperatures", &|record| record.parts.1.temperatures = Default::default());
    with("checks", &|record| record.parts.3.dam_checks.clear());
    with("dam", &|record| record.parts.4.dam.born_here ^= true);
    let rules = Rules::standard().with_override("today.pups_shown", 9.0, "our own").unwrap();
    told("rules", &record, &Moment { rules, ..at(now) });
    let plans = PlanBook { jurisdiction: "DE".into(), ..PlanBook::default() };
    told("plans", &record, &Moment { plans, ..at(now) });
    told("zone", &record, &Moment { zone: chrono_tz::Europe::Berlin, ..at(now) });
    told("earlier", &record, &at(now - Duration::seconds(1)));
    told("minute", &record, &at(now + Duration::seconds(60)));
    let german = Language::German;
    board(&record, &at(now), &memory);
    assert!(speaking(german, || looks(&record, &at(now), &memory)), "language");
}

#[test]
fn the_same_minute_is_the_same_and_the_next_one_is_not() {
    let (memory, record) = (BoardMemory::default(), healthy(&mut Dice::new(9), 1.0));
    let minute = birth() + Duration::days(5);
    let record = record.known(minute);
    assert!(looks(&record, &at(minute), &memory));
    for (seconds, again) in
        [(1, false), (59, false), (60, true), (60, false), (119, false), (120, true)]
    {
        assert_eq!(
            looks(&record, &at(minute + Duration::seconds(seconds)), &memory),
            again,
            "{seconds} s"
        );
    }
}

#[test]
fn a_limit_that_the_clock_brings_is_not_slept_through_within_its_minute() {
    let mut record = healthy(&mut Dice::new(10), 1.0).known(birth() + Duration::hours(1));
    let litter_id = record.core.id().unwrap();
    record.core.pups.truncate(1);
    let strains = birth() + Duration::minutes(30) + Duration::seconds(30);
    record.parts.3.log.push(Kept {
        id: Uuid::from_u128(1),
        version: 1,
        created_at: strains,
        updated_at: strains,
        record: WhelpingLine {
            litter_id,
            at: strains,
            event: WhelpingEvent::Contractions { strength: Contractions::Strong },
            note: None,
        },
    });
    let memory = BoardMemory::default();
    let first = board(&record, &at(strains + Duration::minutes(5)), &memory);
    let limits =
        first["wrong"].as_array().unwrap().iter().map(|alarm| alarm["next_limit_at"].as_str());
    let limit: DateTime<Utc> = limits.flatten().map(|at| at.parse().unwrap()).min().unwrap();
    for seconds in [-1, 0, 1] {
        let now = limit + Duration::seconds(seconds);
        let (seen, fresh) = (board(&record, &at(now), &memory), afresh(&record, &at(now)));
        assert_eq!(seen["wrong"], fresh["wrong"], "{seconds} s from the limit");
    }
}
