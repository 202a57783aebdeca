//! That the picture is well-formed, shows what it should and keeps apart what must be.

use super::paint::Looks;
use super::*;
use catalogue::{Language, speaking};
use chrono::{DateTime, Duration, Utc};
use domain::growth::{GrowthLitter, GrowthPup, Weighing, litter_forecast, litter_growth};
use domain::record::HealthKind;
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
                label: ["red", "blue & <white>", "green", "a very long name indeed"][n % 4].into(),
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
    let event = |age_days, label: &str| ChartEvent { age_days, label: label.into() };
    let least = ChartThreshold { weight_g: 4000.0, label: "least at go-home".into() };
    let beside = Beside {
        forecast: Some(forecast),
        events: vec![event(14.0, "wormed"), event(56.0, "go-home")],
        thresholds: vec![least],
        ..Beside::default()
    };
    let whole = litter_growth_svg("F litter", &growth, &beside);
    let one = pup_growth_svg("red", Uuid::from_u128(10), &growth, &beside);
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
    let svg = litter_growth_svg("Nobody yet", &empty, &Beside::default());
    assert_well_formed(&svg);
    assert!(svg.contains("No weights yet"));
}

#[test]
fn shows_axes_band_events_and_thresholds() {
    let (whole, one) = pictures(6, 21);
    for text in ["age in days", "weight in grams", "1 Mar", "wormed", "go-home"] {
        assert!(whole.contains(text) && one.contains(text), "{text}");
    }
    for text in ["class=\"band", "19 of 20", "twice birth weight", "published ceiling", "4000 g"] {
        assert!(one.contains(text), "{text}");
    }
    assert!(whole.contains("blue &amp;") && !whole.contains("blue & "), "names are escaped");
    assert!(whole.contains("a very"), "{whole}");
    assert!(!whole.contains("a very long name"), "and cut");
    assert!(one.contains("prefers-color-scheme:dark"));
}

/// The first six differ in marker alone; of those of one colour, no two share marker and dash.
#[test]
fn pups_are_not_told_apart_by_colour_alone() {
    let (whole, _) = pictures(6, 5);
    for shape in ["<circle", "h6v6", "l4 7h-8z", "l4 4l-4 4", "l6 6M", "h8M"] {
        assert!(whole.contains(shape), "{shape}");
    }
    let lines = |collar: fn(usize) -> Option<&'static str>, count: usize| -> Vec<ChartLine> {
        let line = |n| ChartLine {
            label: "pup".to_owned(),
            collar: collar(n).map(str::to_owned),
            weighed: Vec::new(),
            forecast: Vec::new(),
        };
        (0..count).map(line).collect()
    };
    for of in [
        lines(|_| None, 15),
        lines(|_| Some("red"), 15),
        lines(|n| (n % 2 > 0).then_some("red and white"), 18),
    ] {
        let looks = Looks::of(&of).of;
        for (index, look) in looks.iter().enumerate() {
            assert!(
                !looks[..index].contains(look),
                "pup {index} looks like one before it: {look:?}"
            );
        }
    }
}

/// The colour that a line of this collar is drawn in, and whether it has a rim on light and on dark ground.
fn drawn_in(collar: &str) -> (String, [bool; 2]) {
    let line = ChartLine {
        label: String::new(),
        collar: Some(collar.to_owned()),
        weighed: Vec::new(),
        forecast: Vec::new(),
    };
    let looks = Looks::of(&[line]);
    let [light, dark] = [0, 1].map(|scheme| looks.css(scheme));
    let colour = light.split("stroke:").nth(1).unwrap()[..7].to_owned();
    assert!(dark.contains(&colour), "the same in the dark");
    (colour, [light, dark].map(|css| !css.contains("stroke:none")))
}

#[test]
fn a_line_is_of_the_colour_of_its_collar_and_shows_on_any_ground() {
    for (collar, colour, rims) in [
        ("red", "#d32f2f", [false, false]),
        ("blue", "#1e5fd0", [false, false]),
        ("white", "#ffffff", [true, false]),
        ("yellow", "#f4d21f", [true, false]),
        ("black", "#101010", [false, true]),
    ] {
        assert_eq!(drawn_in(collar), (colour.to_owned(), rims), "{collar}");
    }
    // Whatever the collar: the colour or its rim stands out.
    for collar in [
        "red",
        "blue",
        "green",
        "yellow",
        "white",
        "black",
        "orange",
        "purple",
        "pink",
        "brown",
        "grey",
        "turquoise",
    ] {
        let (colour, rims) = drawn_in(collar);
        for (ground, rim) in paint::GROUND.iter().zip(rims) {
            assert!(rim || paint::contrast(&colour, ground) >= 3.0, "{collar} on {ground}");
        }
    }
}

/// The boxes of all words, as another program lays them out.
fn words(svg: &str) -> Vec<(String, [f32; 4])> {
    fn collect(group: &usvg::Group, found: &mut Vec<(String, [f32; 4])>) {
        for node in group.children() {
            match node {
                usvg::Node::Group(group) => collect(group, found),
                usvg::Node::Text(text) => {
                    let words: String = text.chunks().iter().map(|chunk| chunk.text()).collect();
                    let of = text.abs_bounding_box();
                    found.push((words, [of.left(), of.top(), of.right(), of.bottom()]));
                }
                _ => {}
            }
        }
    }
    let mut found = Vec::new();
    collect(crate::pdf::read_svg(svg).unwrap().root(), &mut found);
    found
}

/// Nothing written stands on anything else that is written, or beyond the picture's edges.
#[test]
fn no_label_stands_on_another() {
    for language in Language::ALL {
        speaking(language, each_label_has_its_place);
    }
}

fn each_label_has_its_place() {
    for (pups, days, wide) in
        [(1, 0, false), (1, 3, true), (8, 10, false), (8, 21, true), (15, 50, false)]
    {
        let litter = litter(pups, days);
        let now = born() + Duration::hours(days * 24 + 1);
        let rules = Rules::standard();
        let growth = litter_growth(&litter, now, &rules);
        let until = (born() + Duration::days(2 * days)).date_naive();
        let event = |n: i64| ChartEvent {
            age_days: (n * days) as f64 / 6.0,
            label: health_kind(HealthKind::ALL[n as usize % 3]),
        };
        let mark = |weight_g| ChartThreshold { weight_g, label: "normal birth weight from".into() };
        let beside = Beside {
            forecast: Some(litter_forecast(&litter, until, now, &rules)),
            events: (0..13).map(event).collect(),
            thresholds: vec![mark(340.0), mark(350.0), mark(720.0)],
            wide,
            ..Beside::default()
        };
        let title =
            "The F litter of Larkfell, out of Juno by Castor, which has a name as long as a night";
        let whole = litter_growth_svg(title, &growth, &beside);
        let one = pup_growth_svg(title, Uuid::from_u128(10), &growth, &beside).unwrap();
        let (width, height) = if wide { (720.0, 400.0) } else { (480.0, 520.0) };
        for svg in [whole, one] {
            let words = words(&svg);
            assert!(words.len() > 15, "{}", words.len());
            for (index, (text, own)) in words.iter().enumerate() {
                let [left, top, right, bottom] = *own;
                assert!(
                    left >= 0.0 && top >= 0.0 && right <= width && bottom <= height,
                    "{text}: {own:?}"
                );
                for (other, of) in &words[..index] {
                    let meets = left < of[2] && of[0] < right && top < of[3] && of[1] < bottom;
                    assert!(
                        !meets,
                        "{text:?} on {other:?}: {own:?}, {of:?} ({pups} pups, day {days})"
                    );
                }
            }
        }
    }
}

#[test]
fn a_german_picture_has_no_english_text_of_ours() {
    let litter = litter(6, 21);
    let now = born() + Duration::hours(21 * 24 + 1);
    let rules = Rules::standard();
    let growth = litter_growth(&litter, now, &rules);
    let drawn = |unit: WeightUnit| {
        let event = |kind: &HealthKind| ChartEvent { age_days: 9.0, label: health_kind(*kind) };
        let beside = Beside {
            forecast: Some(litter_forecast(&litter, "2026-04-26".parse().unwrap(), now, &rules)),
            events: HealthKind::ALL[..2].iter().map(event).collect(),
            unit,
            ..Beside::default()
        };
        let one = pup_growth_svg("red", Uuid::from_u128(10), &growth, &beside).unwrap();
        litter_growth_svg("red", &growth, &beside) + &one
    };
    let said = |svg: &str| -> Vec<String> {
        let parts = svg.split('<').filter_map(|part| part.split_once('>'));
        let parts = parts.filter(|(tag, text)| *tag != "style" && !text.trim().is_empty());
        parts.map(|(_, text)| text.to_owned()).collect()
    };
    let names: Vec<String> = litter.pups.iter().map(|pup| pup.label.to_string()).collect();
    for unit in WeightUnit::ALL {
        let [english, german] = Language::ALL.map(|of| speaking(of, || said(&drawn(*unit))));
        let is_name = |text: &str| names.iter().any(|name| name.starts_with(&text[..3]));
        for text in german.iter().filter(|text| text.chars().any(char::is_alphabetic)) {
            let text = text.as_str();
            assert!(is_name(text) || !english.iter().any(|other| other == text), "{text}");
        }
        for part in ["Alter in Tagen", "1.3.", "Entwurmung", "doppeltes Geburtsgewicht"] {
            assert!(german.iter().any(|text| text.starts_with(part)), "{part} in {german:?}");
        }
    }
}

#[test]
fn a_pup_of_another_litter_has_no_picture() {
    let growth = litter_growth(&litter(1, 1), born() + Duration::days(2), &Rules::standard());
    assert!(pup_growth_svg("x", Uuid::from_u128(99), &growth, &Beside::default()).is_none());
}

/// The axis has round marks of the kennel's own unit, and figures beside it too.
#[test]
fn a_picture_is_read_in_the_kennels_unit() {
    let litter = litter(1, 8);
    let now = born() + Duration::hours(8 * 24 + 1);
    let growth = litter_growth(&litter, now, &Rules::standard());
    // 360 g at birth, 596 g on day 8: below two pounds.
    let drawn = |unit| {
        let beside = Beside { unit, ..Beside::default() };
        pup_growth_svg("red", Uuid::from_u128(10), &growth, &beside).unwrap()
    };
    for (unit, name, last, mark) in [
        (WeightUnit::G, "weight in grams", "red: 596 g on", ">200</text>"),
        (WeightUnit::Kg, "weight in kilograms", "red: 0.596 kg on", ">0.2</text>"),
        (WeightUnit::LbOz, "weight in ounces", "red: 1 lb 5.0 oz on", ">10</text>"),
    ] {
        let svg = drawn(unit);
        for text in [name, last, mark] {
            assert!(svg.contains(text), "{unit}: {text} in {svg}");
        }
    }
    let german = speaking(Language::German, || drawn(WeightUnit::Kg));
    assert!(german.contains(">0,2</text>"), "{german}");
}
