//! Prints in German hold no English word of ours: read back, they share names, figures and sources alone.

use crate::{
    booklet::{BookletPictures, booklet_pdf},
    labels::{LabelledPup, labels_pdf},
    pdf::{PaperFormat, PdfError},
    whelping_sheet::whelping_sheet_pdf,
};
use catalogue::{Language, speaking};
use chrono::{DateTime, NaiveDate, Utc};
use domain::{
    advice::standing_line,
    booklet::{
        AncestorFact, Booklet, BookletBirth, BookletDog, BookletEvent, BookletFacts, BookletKennel,
        BookletTest, BookletWeight, booklet,
    },
    expected_pups::{PupChance, PupForecast},
    markers::GenotypeResult,
    record::{HealthKind, Registration, Sex},
    rules::Rules,
    units::{TemperatureUnit, WeightUnit},
    whelping::{
        WhelpingCase, WhelpingEntry, WhelpingEvent,
        sheet::{CALL_RULES, SheetPup, WhelpingSheet},
        where_it_stands,
    },
};
use serde_json::json;
use std::{
    collections::{BTreeMap, BTreeSet},
    fmt::Display,
};
use uuid::Uuid;

/// Names and what else a person typed into what is printed here.
const NAMES: &str = "Larkfell Kennel Fern of Larkfell Labrador Retriever VDH Milpro Ostberg N/prcd \
    Juno Castor F1 a b F-Wurf https://larkfell.example/#/litter/7";
/// Words that are the same in both languages.
const SAME: &str = "in was";

fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

fn now() -> DateTime<Utc> {
    "2026-05-15T03:07:00Z".parse().unwrap()
}

fn printed(language: Language, print: &dyn Fn() -> Result<Vec<u8>, PdfError>) -> Vec<u8> {
    speaking(language, print).unwrap()
}

fn text_of(pdf: &[u8]) -> String {
    pdf_extract::extract_text_from_mem(pdf).unwrap()
}

/// The words of a text, without the marks around them.
fn words(text: &str) -> BTreeSet<String> {
    let bare = |word: &str| word.trim_matches(|c: char| !c.is_alphanumeric()).to_owned();
    let words = text.split_whitespace().map(bare);
    // A picture is set letter by letter.
    let is_word = |word: &String| word.chars().filter(|letter| letter.is_alphabetic()).count() > 1;
    words.filter(is_word).collect()
}

/// What the domain says the same in both languages; a word of it may stand in both prints.
fn same_in_both<T: Display>(texts: impl IntoIterator<Item = T>) -> String {
    let both = texts.into_iter().filter_map(|text| {
        let [english, german] =
            Language::ALL.map(|language| speaking(language, || text.to_string()));
        (english == german).then_some(english)
    });
    both.collect::<Vec<_>>().join(" ")
}

/// The prints in both languages; nothing is in both but names, figures and sources.
fn in_both(print: &dyn Fn() -> Result<Vec<u8>, PdfError>, of_domain: &str) -> [String; 2] {
    let pdfs = Language::ALL.map(|language| printed(language, print));
    for (pdf, language) in pdfs.iter().zip(Language::ALL) {
        let document = lopdf::Document::load_mem(pdf).unwrap();
        let lang = document.catalog().unwrap().get(b"Lang").unwrap().as_str().unwrap();
        assert_eq!(lang, language.tag().as_bytes());
    }
    let texts = pdfs.map(|pdf| text_of(&pdf));
    let known = words(&[NAMES, SAME].join(" "));
    // Read back, a line's last word may stand against the next line's first.
    let of_domain = squeezed(of_domain);
    let is_known = |word: &str| known.contains(word) || of_domain.contains(word);
    let [english, german] = [&texts[0], &texts[1]].map(|text| words(text));
    let shared: Vec<&String> = english.intersection(&german).collect();
    let ours: Vec<_> = shared.into_iter().filter(|word| !is_known(word)).collect();
    assert!(ours.is_empty(), "in both languages: {ours:?}\n{}", texts[1]);
    texts
}

fn squeezed(text: &str) -> String {
    text.split_whitespace().collect()
}

fn a_booklet() -> Booklet {
    let id = Uuid::from_u128;
    let ancestor = |sire: u128, dam: u128| AncestorFact {
        sire: Some(id(sire)),
        dam: Some(id(dam)),
        name: Some("Juno".to_owned()),
        born_on: None,
        breed: None,
    };
    let founder = AncestorFact { sire: None, dam: None, ..ancestor(0, 0) };
    let full_siblings: BTreeMap<Uuid, AncestorFact> = [
        (id(1), ancestor(2, 3)),
        (id(2), ancestor(4, 5)),
        (id(3), ancestor(4, 5)),
        (id(4), founder.clone()),
        (id(5), founder),
    ]
    .into();
    let given = |kind: &HealthKind| BookletEvent {
        on: day("2026-04-12"),
        kind: *kind,
        product: Some("Milpro".to_owned()),
        batch: (*kind != HealthKind::Worming).then(|| "B2291".to_owned()),
        expires_on: Some(day("2027-03-31")),
        given_by: None,
        site: None,
        reaction: None,
    };
    let due = |step: &str, optional: bool| {
        serde_json::from_value(json!({
            "step": step, "occurrence": 1, "name": "Ostberg", "kind": "vaccination", "series": "Ostberg",
            "status": "upcoming", "earliest_on": "2026-05-20", "ideal_on": "2026-05-24", "latest_on": null,
            "given_on": null, "event_id": null, "or_test": false, "by_test": false, "late_days": null, "forecast": false, "optional": optional,
            "before_go_home": "nothing", "lacks": null, "not_counted": null, "source": "Ostberg",
        }))
        .unwrap()
    };
    let facts = BookletFacts {
        kennel: BookletKennel {
            name: "Larkfell Kennel".to_owned(),
            welcome: None,
            feeding: None,
            care: None,
            contact: None,
            weight_unit: WeightUnit::G,
        },
        dog: BookletDog {
            dog_id: id(1),
            name: Some("Fern of Larkfell".to_owned()),
            call_name: None,
            sex: Some(Sex::Female),
            breed: Some("Labrador Retriever".to_owned()),
            colour: None,
            markings: None,
            born_on: Some("2026-03-05".parse().unwrap()),
            chip_number: None,
            registrations: vec![Registration { registry: "VDH".into(), number: "F1".into() }],
        },
        birth: Some(BookletBirth {
            born_at: now(),
            ordinal: 3,
            litter_size: 7,
            litter_name: None,
            weight_g: Some(412),
            collar: Some("red".to_owned()),
        }),
        pedigree: full_siblings,
        weights: ["2026-03-06", "2026-05-02"]
            .map(|on| BookletWeight { on: day(on), weight_g: 5400 })
            .into(),
        given: HealthKind::ALL.iter().map(given).collect(),
        tests: vec![BookletTest::of(GenotypeResult {
            marker: "Ostberg".into(),
            alleles: vec!["N".into(), "prcd".into()],
            laboratory: None,
            tested_on: Some(day("2026-05-01")),
            omia: None,
        })],
        schedule: vec![due("a", false), due("b", true)],
        pictures: Vec::new(),
    };
    booklet(facts, day("2026-05-15"))
}

#[test]
fn a_german_booklet_has_no_english_word_of_ours() {
    // Some of its texts are made with it, so each language makes its own.
    let print = || booklet_pdf(&a_booklet(), &BookletPictures::default(), PaperFormat::A4);
    let made = a_booklet();
    let said = same_in_both(&made.not_recorded)
        + " "
        + &same_in_both([&made.lower_bound.why])
        + " "
        + &same_in_both([&made.advice]);
    let [english, german] = in_both(&print, &said);
    let (english, german) = (squeezed(&english), squeezed(&german));
    for part in ["atleast25.00%", "born5March2026", "12Apr2026", "sire’ssire:Juno", "B2291,expires"]
    {
        assert!(english.contains(part), "{part} in {english}");
    }
    for part in [
        "mindestens25,00%",
        "geboren5.März2026",
        "12.04.2026",
        "VaterdesVaters:Juno",
        "haltbarbis",
        "Nr.3von7",
        "Ostberg(nurwoverlangt)",
        "Hündin",
    ] {
        assert!(german.contains(part), "{part} in {german}");
    }
    assert!(!german.contains("2026-"), "no date is left as machines write it");
}

#[test]
fn german_labels_have_no_english_word_of_ours() {
    let pup = |n: usize| LabelledPup {
        label: "Fern".to_owned(),
        collar: Some(["red", "blue and white", "Ostberg"][n].to_owned()),
        sex: Some([Sex::Female, Sex::Male][n % 2]),
        born_on: Some(day("2026-03-05")),
        chip_number: Some("276098100123456".to_owned()),
        address: "https://larkfell.example/#/litter/7".to_owned(),
    };
    let pups: Vec<LabelledPup> = (0..3).map(pup).collect();
    let print = || labels_pdf("F-Wurf", "Larkfell Kennel", &pups, PaperFormat::A4);
    let [english, german] = in_both(&print, "").map(|text| squeezed(&text));
    for part in ["redcollar", "blueandwhitecollar", "Ostbergcollar", "born5March2026", "female"] {
        assert!(english.contains(part), "{part} in {english}");
    }
    for part in [
        "Halsbandrot",
        "Halsbandblauundweiß",
        "HalsbandOstberg",
        "geboren5.März2026",
        "Chip:276098100123456",
        "Rüde",
    ] {
        assert!(german.contains(part), "{part} in {german}");
    }
}

/// Five to seven pups, counted.
fn counted() -> PupForecast {
    let chance_by_count = (5..=7).map(|pups| PupChance { pups, chance: 1.0 / 3.0 }).collect();
    PupForecast {
        likely: 6,
        mean: 6.0,
        at_least: 5,
        at_most: 7,
        coverage: 1.0,
        counted_at_least: Some(5),
        chance_by_count,
        basis: Vec::new(),
    }
}

fn sheet(pups: i32, is_over: bool) -> WhelpingSheet {
    let entry = |event| WhelpingEntry { at: now(), event };
    let log = vec![entry(WhelpingEvent::Note { text: "Ostberg".to_owned() })];
    let end = is_over.then(|| entry(WhelpingEvent::Finished {}));
    let expected = (!is_over).then(counted);
    let case = WhelpingCase {
        entries: log.iter().cloned().chain(end).collect(),
        births: Vec::new(),
        expected: expected.clone(),
        counted: None,
        time_zone: chrono_tz::Europe::Berlin,
    };
    let pup = |ordinal| SheetPup {
        ordinal,
        born_at: now(),
        collar: Some("red".to_owned()),
        weight_g: Some(412),
        placenta_seen: ordinal % 2 == 0,
        ..SheetPup::default()
    };
    WhelpingSheet {
        kennel: "Larkfell Kennel".to_owned(),
        litter: "F-Wurf".to_owned(),
        dam: "Juno".to_owned(),
        sire: None,
        due: Some([day("2026-05-13"), day("2026-05-15"), day("2026-05-17")]),
        status: where_it_stands(&case, &[], now(), &Rules::standard()),
        expected,
        pups: (1..=pups).map(pup).collect(),
        weight_unit: WeightUnit::G,
        temperature_unit: TemperatureUnit::C,
        log,
        time_zone: chrono_tz::Europe::Berlin,
        printed_at: now(),
    }
}

/// What the domain says of when to call and what is known, with the sources of both.
fn of_rules(rules: &Rules) -> String {
    let rules_to_call = CALL_RULES.map(|key| rules.get(key));
    let sources = rules_to_call.map(|rule| rule.source.to_string()).join(" ");
    let score = rules.get("whelping.vitality_heart_low").source.to_string();
    let meanings = same_in_both(rules_to_call.map(|rule| &rule.meaning));
    [sources, score, meanings, same_in_both([standing_line()])].join(" ")
}

#[test]
fn a_german_whelping_sheet_has_no_english_word_of_ours() {
    let rules = Rules::standard();
    for (pups, is_over) in [(0, false), (2, false), (2, true)] {
        let sheet = sheet(pups, is_over);
        let print = || whelping_sheet_pdf(&sheet, &rules, PaperFormat::A4);
        let [english, german] = in_both(&print, &of_rules(&rules)).map(|text| squeezed(&text));
        for part in ["15May2026(13May2026", "printed2026-05-1505:07", "05-1505:07"] {
            assert!(english.contains(part), "{part} in {english}");
        }
        for part in
            ["15.Mai2026(13.Mai2026bis17.Mai2026)", "gedruckt15.05.202605:07", "15.05.05:07"]
        {
            assert!(german.contains(part), "{part} in {german}");
        }
        // No title is broken within a word.
        for title in ["Nachgeburt", "Halsband", "Geschl.", "Punkte", "Notizen", "Zeit"] {
            let read = text_of(&printed(Language::German, &print));
            assert!(read.contains(title), "{title} in {read}");
        }
        if !is_over {
            for part in ["Kniffin", "2Stunden", "sofort", "5bis7(mindestens5gezählt)"] {
                assert!(german.contains(part), "{part} in {german}");
            }
        }
    }
}
