//! That the picture is well-formed, shows what it should and keeps apart what must be.

use super::*;
use chrono::{DateTime, Duration, Utc};
use domain::growth::{GrowthLitter, GrowthPup, Weighing, litter_forecast, litter_growth};
use domain::rules::Rules;

fn born() -> DateTime<Utc> {
    "2026-03-01T06:00:00Z".parse().unwrap()
}

fn litter(pups: usize, days: i64) -> GrowthLitter {
    GrowthLitter {
        litter_id: Uuid::from_u128(1),
        breed: Some("Labrador Retriever".to_owned()),
        adult_weight_g: Some(29_000.0),
        dam_weight_g: None,
        time_zone: chrono_tz::Europe::Amsterdam,
        pups: (0..pups)
            .map(|n| GrowthPup {
                dog_id: Uuid::from_u128(10 + n as u128),
                label: ["red", "blue & <white>", "green", "a very long name indeed"][n % 4]
                    .to_owned(),
                born_at: born(),
                birth_weight_g: Some(360.0 + 15.0 * n as f64),
                is_female: None,
                left_at: None,
                weighings: (1..=days)
                    .map(|d| Weighing {
                        id: None,
                        measured_at: born() + Duration::days(d),
                        weight_g: (360.0 + 15.0 * n as f64) * 1.065f64.powi(d as i32),
                        doubtful: false,
                    })
                    .collect(),
            })
            .collect(),
    }
}

fn pictures(pups: usize, days: i64) -> (String, String) {
    let litter = litter(pups, days);
    let now = born() + Duration::hours(days * 24 + 1);
    let rules = Rules::standard();
    let growth = litter_growth(&litter, now, &rules);
    let until = "2026-04-26".parse().unwrap();
    let forecast = litter_forecast(&litter, until, now, &rules);
    let events = [
        ChartEvent { age_days: 14.0, label: "wormed".to_owned() },
        ChartEvent { age_days: 56.0, label: "go-home".to_owned() },
    ];
    let whole = litter_growth_svg("F litter", &growth, Some(&forecast), &events);
    let floor = [ChartThreshold { weight_g: 4000.0, label: "least at go-home".to_owned() }];
    let one = pup_growth_svg("red", Uuid::from_u128(10), &growth, Some(&forecast), &events, &floor);
    (whole, one.unwrap())
}

/// Every tag is closed in order, every attribute quoted: a small strict reader of our own output.
fn assert_well_formed(svg: &str) {
    let mut open = Vec::new();
    for part in svg.split('<').skip(1) {
        let (tag, text) = part.split_once('>').expect("a tag ends");
        assert!(!text.contains('>'), "{text}");
        assert_eq!(tag.matches('"').count() % 2, 0, "{tag}");
        if let Some(name) = tag.strip_prefix('/') {
            assert_eq!(open.pop().as_deref(), Some(name));
        } else if !tag.ends_with('/') {
            open.push(tag.split(' ').next().unwrap().to_owned());
        }
    }
    assert!(open.is_empty(), "{open:?}");
    assert!(!svg.contains("NaN") && !svg.contains("inf"), "numbers are finite");
}

#[test]
fn pictures_of_any_size_are_well_formed() {
    for (pups, days) in [(1, 0), (1, 3), (8, 21), (15, 50)] {
        let (whole, one) = pictures(pups, days);
        assert_well_formed(&whole);
        assert_well_formed(&one);
    }
    let empty = litter_growth(&litter(0, 0), born(), &Rules::standard());
    let svg = litter_growth_svg("Nobody yet", &empty, None, &[]);
    assert_well_formed(&svg);
    assert!(svg.contains("No weights yet"));
}

#[test]
fn shows_axes_band_events_and_thresholds() {
    let (whole, one) = pictures(6, 21);
    for text in ["age in days", "weight in grams", "01 Mar", "wormed", "go-home"] {
        assert!(whole.contains(text) && one.contains(text), "{text}");
    }
    for text in ["class=\"band", "19 of 20", "twice birth weight", "published ceiling", "4000 g"] {
        assert!(one.contains(text), "{text}");
    }
    assert!(whole.contains("blue &amp; &lt;wh…"), "names are escaped and cut");
    assert!(one.contains("prefers-color-scheme:dark"));
}

/// No two pups of a litter of fifteen share colour, dash and marker; the first six differ in marker alone.
#[test]
fn pups_are_not_told_apart_by_colour_alone() {
    let (whole, _) = pictures(6, 5);
    for shape in ["<circle", "h6v6", "l4 7h-8z", "l4 4l-4 4", "l6 6M", "h8M"] {
        assert!(whole.contains(shape), "{shape}");
    }
    let (many, _) = pictures(15, 5);
    for dash in ["\"none\"", "\"7 3\"", "\"2 3\""] {
        assert!(many.contains(&format!("stroke-dasharray={dash}")), "{dash}");
    }
}

#[test]
fn a_pup_of_another_litter_has_no_picture() {
    let growth = litter_growth(&litter(1, 1), born() + Duration::days(2), &Rules::standard());
    assert!(pup_growth_svg("x", Uuid::from_u128(99), &growth, None, &[], &[]).is_none());
}
