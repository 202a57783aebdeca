//! What is remembered is what would be reckoned.

use super::super::tests::{at, litter, pup, weighing};
use super::*;
use chrono::Duration;

fn told(figures: &LitterGrowth) -> String {
    serde_json::to_string(figures).unwrap()
}

/// Four pups; the last weights of two lie ahead of the first day, and one leaves on the second.
fn growing() -> GrowthLitter {
    let mut litter = litter(vec![
        pup(1, &[(0, 400.0), (12, 395.0), (24, 420.0), (36, 441.0), (60, 480.0)]),
        pup(2, &[(0, 380.0), (12, 372.0), (24, 366.0), (48, 350.0)]),
        pup(3, &[(0, 410.0), (24, 440.0), (30, 20.0)]),
        pup(4, &[(0, 390.0), (24, 418.0)]),
    ]);
    litter.pups[2].left_at = Some(at("2026-03-02T09:30:00Z"));
    litter.pups[3].born_at = at("2026-03-01T05:00:00Z");
    litter
}

#[test]
fn as_the_clock_goes_by_the_same_is_said_as_if_it_were_reckoned() {
    let (memory, litter, rules) = (GrowthMemory::default(), growing(), Rules::standard());
    let begin = at("2026-02-28T22:00:00Z");
    for minutes in (0..5 * 24 * 60).step_by(10) {
        let now = begin + Duration::minutes(minutes);
        let fresh = litter_figures(&litter, now, &rules);
        assert_eq!(told(&memory.figures(&litter, now, &rules)), told(&fresh), "at {now}");
    }
}

#[test]
fn what_lies_exactly_at_the_moment_counts_and_a_second_later_does_not() {
    let (memory, litter, rules) = (GrowthMemory::default(), growing(), Rules::standard());
    // A weighing, a departure, midnight.
    for edge in ["2026-03-02T12:00:00Z", "2026-03-02T09:30:00Z", "2026-03-03T00:00:00Z"] {
        for seconds in [-1, 0, 1] {
            let now = at(edge) + Duration::seconds(seconds);
            let fresh = litter_figures(&litter, now, &rules);
            assert_eq!(told(&memory.figures(&litter, now, &rules)), told(&fresh), "at {now}");
        }
    }
}

#[test]
fn nothing_is_reckoned_again_while_nothing_changes() {
    let (memory, litter, rules) = (GrowthMemory::default(), growing(), Rules::standard());
    let kept = || Arc::clone(memory.0.lock().unwrap().peek(&litter.litter_id).unwrap());
    memory.figures(&litter, at("2026-03-02T13:00:00Z"), &rules);
    let first = kept();
    memory.figures(&litter, at("2026-03-02T23:59:59Z"), &rules);
    assert!(Arc::ptr_eq(&first, &kept()));
    // A day later the pups are a day older.
    memory.figures(&litter, at("2026-03-03T00:00:00Z"), &rules);
    assert!(!Arc::ptr_eq(&first, &kept()));
}

#[test]
fn whatever_is_written_is_reckoned_anew() {
    let now = at("2026-03-02T13:00:00Z");
    let changes: [fn(&mut GrowthLitter); 8] = [
        |litter| litter.pups[0].weighings[2].weight_g += 1.0,
        |litter| litter.pups[0].weighings[2].doubtful = true,
        |litter| litter.pups[1].weighings.push(weighing(at("2026-03-02T11:00:00Z"), 360.0)),
        |litter| litter.pups[1].label = "green collar".into(),
        |litter| litter.pups[1].left_at = Some(at("2026-03-02T11:00:00Z")),
        |litter| litter.pups[0].birth_weight_g = Some(405.0),
        |litter| litter.breed = None,
        |litter| drop(litter.pups.pop()),
    ];
    for change in changes {
        let (memory, mut litter, rules) = (GrowthMemory::default(), growing(), Rules::standard());
        let before = memory.figures(&litter, now, &rules);
        change(&mut litter);
        let after = memory.figures(&litter, now, &rules);
        assert_ne!(told(&before), told(&after));
        assert_eq!(told(&after), told(&litter_figures(&litter, now, &rules)));
    }
}

#[test]
fn other_rules_and_an_earlier_moment_are_reckoned_anew() {
    let (memory, litter, rules) = (GrowthMemory::default(), growing(), Rules::standard());
    let now = at("2026-03-02T13:00:00Z");
    memory.figures(&litter, now, &rules);
    let own = rules.clone().with_override("growth.yesterday_hours", 12.0, "our vet").unwrap();
    let by_own = memory.figures(&litter, now, &own);
    assert_eq!(told(&by_own), told(&litter_figures(&litter, now, &own)));
    assert_ne!(told(&by_own), told(&litter_figures(&litter, now, &rules)));
    let earlier = at("2026-03-02T01:00:00Z");
    let back = memory.figures(&litter, earlier, &rules);
    assert_eq!(told(&back), told(&litter_figures(&litter, earlier, &rules)));
}
