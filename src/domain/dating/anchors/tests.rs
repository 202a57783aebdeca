//! What single pieces of evidence say: the accuracy of a scan, the span of matings.

use super::*;

#[test]
fn each_week_has_its_published_accuracy() {
    use MeasureKind::{Bp, Icc};
    use UltrasoundGroup::{GermanShepherd, Giant, Large, Medium, Small};
    let rules = Rules::standard();
    let wide = rules.value("dating.wide_sd_days");
    let of = |name: &str| {
        let value = |days: u32| {
            let key = format!("dating.ultrasound_{name}_within_{days}");
            rules.iter().find(|(known, _)| *known == key).unwrap().1.value
        };
        Spread::from_shares(value(1), value(2).min(0.9999), wide)
    };
    // Week 4 is days 21 to 27 of 63: 36 to 42 days before whelping; the first day and the last.
    for (group, measure, week, name) in [
        (Small, Icc, 3, "mixed"),
        (Small, Icc, 4, "icc_week4"),
        (Medium, Icc, 5, "icc_week5"),
        (Medium, Icc, 6, "mixed"),
        (Small, Bp, 4, "mixed"),
        (Small, Bp, 5, "bp_week5"),
        (Medium, Bp, 6, "bp_week6"),
        (Small, Bp, 8, "bp_week6"),
        (Medium, Bp, 9, "bp_week9"),
        (Large, Icc, 5, "mixed"),
        (Giant, Bp, 6, "mixed"),
        (GermanShepherd, Icc, 5, "gsd_icc"),
        (GermanShepherd, Bp, 5, "gsd_bp"),
    ] {
        for day in [7 * week - 7, 7 * week - 1] {
            let (found, _) = scan_spread(group, measure, f64::from(63 - day), &rules);
            assert_eq!(found, of(name), "{group:?} {measure:?} on day {day}");
        }
    }
}

/// Only a natural mating shows that she stood; semen that lives a day shortens the span.
#[test]
fn only_natural_matings_show_that_she_stood() {
    use MatingMethod::{Chilled, Fresh, Frozen, Natural};
    let rules = Rules::standard();
    let on: NaiveDate = "2024-01-01".parse().unwrap();
    for (method, stood, latest) in
        [(Natural, 1, 72.0), (Fresh, 0, 72.0), (Chilled, 0, 63.5), (Frozen, 0, 61.5)]
    {
        let found = matings(&[DatingEvidence::Mating { on, method }], &rules).unwrap();
        let Law::Matings { days, natural } = found.law else { panic!("{:?}", found.detail) };
        assert_eq!((days, natural.len()), (vec![(day_number(on), latest)], stood), "{method:?}");
        assert!(
            found.detail.to_string().starts_with("one mating on 2024-01-01"),
            "{}",
            found.detail
        );
    }
    let later = on.succ_opt().unwrap();
    let two = [(later, Natural), (on, Frozen)];
    let told = two.map(|(on, method)| DatingEvidence::Mating { on, method });
    let found = matings(&told, &rules).unwrap();
    assert_eq!(found.on, on);
    assert!(
        found
            .detail
            .to_string()
            .starts_with("2 matings from 2024-01-01 to 2024-01-02: 57 to 72 days")
    );
}
