use super::*;
use crate::growth::tests::{at, litter, pup};
use chrono::Duration;

/// Seven days of two pups that gain alike.
fn known() -> GrowthLitter {
    let days: Vec<(i64, f64)> = (0..7).map(|day| (24 * day, 400.0 + 30.0 * day as f64)).collect();
    litter(vec![pup(1, &days), pup(2, &days)])
}

fn moment() -> Moment {
    Moment::by_standard_rules(at("2026-03-12T12:00:00Z"), chrono_tz::UTC)
}

fn offered(index: usize, pup: u128, measured_at: &str, weight_g: i32) -> OfferedWeight {
    let weight = Weight {
        dog_id: Uuid::from_u128(pup),
        measured_at: at(measured_at),
        weight_g,
        confirmed: false,
        at_birth: false,
        note: None,
    };
    OfferedWeight { index, id: Uuid::from_u128(100 + index as u128), weight }
}

fn judged(rows: Vec<OfferedWeight>) -> Vec<(usize, &'static str)> {
    let judged = judge_weights(rows, vec![known()], &moment());
    let told = judged.into_iter().map(|(row, verdict)| match verdict {
        BatchVerdict::Good => (row.index, "good"),
        BatchVerdict::AlreadyThere => (row.index, "there"),
        BatchVerdict::Refused(faults) => {
            assert_eq!(faults[0].pointer, "/weight_g");
            (row.index, "asked")
        }
    });
    let mut told: Vec<_> = told.collect();
    told.sort_unstable();
    told
}

#[test]
fn each_weight_is_judged_by_itself() {
    let day = "2026-03-08T00:00:00Z";
    let mut meant = offered(2, 2, day, 61);
    meant.weight.confirmed = true;
    let rows = vec![offered(0, 1, day, 610), offered(1, 2, day, 61), meant];
    assert_eq!(judged(rows), [(0, "good"), (1, "asked"), (2, "good")]);
}

#[test]
fn a_weighing_that_is_there_is_not_kept_twice() {
    // The first of March, 400 g; a fraction of a microsecond is not kept.
    let same = offered(0, 1, "2026-03-01T00:00:00.0000004Z", 400);
    let other = offered(1, 1, "2026-03-01T00:00:00.000001Z", 400);
    let heavier = offered(2, 1, "2026-03-01T00:00:00Z", 401);
    let twice =
        [offered(3, 2, "2026-03-08T00:00:00Z", 610), offered(4, 2, "2026-03-08T00:00:00Z", 610)];
    let rows = [vec![same, other, heavier], twice.to_vec()].concat();
    let expected = [(0, "there"), (1, "good"), (2, "good"), (3, "good"), (4, "there")];
    assert_eq!(judged(rows), expected);
}

#[test]
fn days_are_judged_in_their_order_whatever_the_order_of_the_batch() {
    let rows: Vec<OfferedWeight> =
        [("08", 640), ("09", 700), ("10", 770), ("11", 850), ("12", 935)]
            .into_iter()
            .enumerate()
            .map(|(index, (day, grams))| {
                offered(index, 1, &format!("2026-03-{day}T00:00:00Z"), grams)
            })
            .collect();
    let order = |rows: Vec<OfferedWeight>| -> Vec<usize> {
        let judged = judge_weights(rows, vec![known()], &moment());
        judged.into_iter().map(|(row, _)| row.index).collect()
    };
    let backwards: Vec<OfferedWeight> = rows.iter().rev().cloned().collect();
    assert_eq!(order(backwards.clone()), [0, 1, 2, 3, 4]);
    assert_eq!(judged(backwards), judged(rows));
}

#[test]
fn a_dog_of_no_litter_is_not_judged() {
    assert_eq!(judged(vec![offered(0, 77, "2026-03-08T00:00:00Z", 1)]), [(0, "good")]);
}

#[test]
fn a_weight_before_the_birth_is_a_fault_of_its_own() {
    let early = offered(0, 1, "2026-02-27T00:00:00Z", 400);
    let judged = judge_weights(vec![early], vec![known()], &moment());
    let BatchVerdict::Refused(faults) = &judged[0].1 else { panic!("{judged:?}") };
    assert_eq!(faults[0].pointer, "/measured_at");
    let on_it = offered(0, 2, "2026-03-01T00:00:00Z", 400);
    let later = on_it.weight.measured_at + Duration::days(30);
    let ahead =
        OfferedWeight { weight: Weight { measured_at: later, ..on_it.weight.clone() }, ..on_it };
    let judged = judge_weights(vec![ahead], vec![known()], &moment());
    assert!(matches!(judged[0].1, BatchVerdict::Refused(_)), "it lies ahead: {judged:?}");
}
