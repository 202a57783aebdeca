//! The distribution: published means, her own litters, counts, births.

use super::*;

fn expect(input: ExpectedPupsInput) -> PupForecast {
    expected_pups(&input, &Rules::standard()).unwrap()
}

fn count(method: PupCountMethod, low: u32, high: Option<u32>) -> PupCount {
    PupCount { method, count_at_least: Some(low), count_at_most: high, day_of_pregnancy: None }
}

/// Chastant-Maillard 2017: 5.4 ± 2.8 (1–24); Borge: miniature 3.5, giant 7.1.
#[test]
fn starts_from_the_published_means() {
    let all = expect(ExpectedPupsInput::default());
    assert!((all.mean - 5.4).abs() < 0.15, "{}", all.mean);
    let variance: f64 =
        all.chance_by_count.iter().map(|c| c.chance * (f64::from(c.pups) - all.mean).powi(2)).sum();
    assert!((variance.sqrt() - 2.8).abs() < 0.2, "{}", variance.sqrt());
    let of = |grams| {
        expect(ExpectedPupsInput { adult_weight_g: Some(grams), ..Default::default() }).mean
    };
    assert!((of(4_000.0) - 3.5).abs() < 0.2 && (of(60_000.0) - 7.1).abs() < 0.2);
    let ridgeback = Some("rhodesian ridgeback".to_owned());
    let found = expect(ExpectedPupsInput { breed: ridgeback, ..Default::default() });
    assert!((found.mean - 8.9).abs() < 0.2);
    let frozen = Some(MatingMethod::Frozen);
    let fewer = expect(ExpectedPupsInput { method: frozen, ..Default::default() });
    assert!((all.mean - fewer.mean - 1.3).abs() < 0.25);
}

#[test]
fn draws_towards_her_own_litters() {
    let with = |litters: Vec<u32>| {
        expect(ExpectedPupsInput { earlier_litters: litters, ..Default::default() })
    };
    let (none, one, many) = (with(vec![]), with(vec![9]), with(vec![9; 6]));
    assert!(none.mean < one.mean && one.mean < many.mean && many.mean < 9.0);
    // By hand: repeatability 1/4, one litter weighs 1/4 of the way from 5.4 to 9.
    assert!((one.mean - (5.4 + 0.25 * 3.6)).abs() < 0.2, "{}", one.mean);
    assert!(many.at_most - many.at_least <= none.at_most - none.at_least);
}

#[test]
fn counts_narrow_and_a_lower_limit_cuts_below() {
    let with = |counts| expect(ExpectedPupsInput { counts, ..Default::default() });
    let scan = with(vec![count(PupCountMethod::Ultrasound, 6, Some(6))]);
    assert_eq!(scan.likely, 6);
    let near: f64 = scan.chance_at_most(7) - scan.chance_at_most(4);
    assert!((0.85..0.97).contains(&near), "{near}"); // published: within one pup in 89.5 %
    let limit = with(vec![count(PupCountMethod::Xray, 5, None)]);
    assert!(limit.chance_at_most(4) < 0.06 && limit.chance_at_most(8) < 0.95);
    let small = limit.chance_small_litter(&Rules::standard());
    assert!((small - limit.chance_at_most(4)).abs() < 1e-12);
    let film = with(vec![count(PupCountMethod::Xray, 6, Some(6))]);
    // A count is a lower bound: one more may have been missed, one less not been counted.
    assert_eq!((film.at_least, film.likely, film.at_most), (6, 6, 7));
    let early = PupCount { day_of_pregnancy: Some(46), ..count(PupCountMethod::Xray, 6, Some(6)) };
    assert!(with(vec![early]).at_most > 8);
    let total: f64 = film.chance_by_count.iter().map(|c| c.chance).sum();
    assert!((total - 1.0).abs() < 1e-9);
    let born = expect(ExpectedPupsInput { born_so_far: 7, ..Default::default() });
    assert!(born.at_least == 7 && born.chance_at_most(6) == 0.0);
}

#[test]
fn inbreeding_lowers_the_number_and_bad_counts_are_named() {
    let f = |f| expect(ExpectedPupsInput { litter_inbreeding: Some(f), ..Default::default() });
    assert!((f(0.0).mean - f(0.25).mean - 0.65).abs() < 0.1);
    assert!(f(0.25).basis.iter().any(|b| b.contains("not confirmed")));
    let bad = ExpectedPupsInput {
        counts: vec![count(PupCountMethod::Xray, 7, Some(5))],
        earlier_litters: vec![0],
        dam_inbreeding: Some(1.5),
        ..Default::default()
    };
    let faults = expected_pups(&bad, &Rules::standard()).unwrap_err();
    let places: Vec<&str> = faults.iter().map(|f| f.pointer.as_str()).collect();
    assert_eq!(places, ["/counts/0/count_at_most", "/earlier_litters/0", "/dam_inbreeding"]);
}

/// The last radiograph makes sure of its number, an ultrasound of one less; nobody of what is usual.
#[test]
fn counts_make_sure_of_a_lower_bound() {
    use PupCountMethod::{Palpation, Ultrasound, Xray};
    let sure = |counts| expect(ExpectedPupsInput { counts, ..Default::default() }).counted_at_least;
    assert_eq!(sure(vec![]), None);
    assert_eq!(sure(vec![count(Ultrasound, 7, Some(7))]), Some(6));
    assert_eq!(sure(vec![count(Xray, 7, Some(7))]), Some(7));
    assert_eq!(sure(vec![count(Palpation, 2, None)]), Some(2));
    let (early, late) = (count(Xray, 5, None), count(Xray, 8, Some(9)));
    assert_eq!(sure(vec![early, late]), Some(8), "the last one");
    assert_eq!(sure(vec![late, count(Ultrasound, 4, Some(4))]), Some(8), "a radiograph goes first");
    let none = PupCount { count_at_least: None, ..count(Xray, 5, Some(5)) };
    assert_eq!(sure(vec![count(Ultrasound, 4, Some(4)), none]), Some(3));
}

/// Ten counted in a breed that has three: what was counted is not left again.
#[test]
fn the_range_does_not_fall_below_what_was_counted() {
    let input = ExpectedPupsInput {
        adult_weight_g: Some(3_000.0),
        counts: vec![count(PupCountMethod::Xray, 10, Some(10))],
        ..Default::default()
    };
    let found = expect(input);
    assert_eq!((found.counted_at_least, found.at_least), (Some(10), 10));
    assert!(found.at_most <= 12, "{}", found.at_most);
}

/// Born so far is a lower bound: one before it, on it and one after it.
#[test]
fn births_narrow_what_was_counted() {
    let born = |born_so_far| {
        let counts = vec![count(PupCountMethod::Xray, 6, Some(6))];
        expect(ExpectedPupsInput { counts, born_so_far, ..Default::default() })
    };
    let range = |n| {
        let found = born(n);
        (found.at_least, found.likely, found.at_most)
    };
    assert_eq!([range(5), range(6)], [(6, 6, 7), (6, 6, 6)]);
    let beyond = born(7);
    assert_eq!((beyond.at_least, beyond.likely), (7, 7));
    assert_eq!(beyond.chance_at_most(6), 0.0);
    let means: Vec<f64> = (0..8).map(|n| born(n).mean).collect();
    assert!(means.is_sorted(), "{means:?}");
}
