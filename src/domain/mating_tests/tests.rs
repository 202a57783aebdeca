//! Tests before a mating by what is on record.

use super::*;
use catalogue::{Language, speaking};
use chrono_tz::Tz;
use serde_json::json;

fn moment() -> Moment {
    Moment::by_standard_rules("2026-11-30T12:00:00Z".parse().unwrap(), Tz::UTC)
}

fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

fn dog(breed: Option<&str>) -> Dog {
    serde_json::from_value(json!({ "name": "Juno", "breed": breed })).unwrap()
}

fn event(series: &str, on: &str, result: Option<&str>) -> Kept<HealthEvent> {
    let at = format!("{on}T10:00:00Z");
    let record = json!({
        "dog_id": Uuid::nil(), "kind": "test", "series": series, "given_at": at, "result": result,
    });
    let stamp = moment().now;
    Kept {
        id: Uuid::nil(),
        version: 1,
        created_at: stamp,
        updated_at: stamp,
        record: serde_json::from_value(record).unwrap(),
    }
}

fn dam(breed: Option<&str>, events: &[Kept<HealthEvent>], mated_on: &str) -> MatingTests {
    mating_tests(Some((Uuid::nil(), &dog(breed), events)), None, &[], day(mated_on), &moment())
}

fn standing(told: &MatingTests, series: &str) -> TestStanding {
    let of = told.dam.iter().chain(&told.sire).flat_map(|of| &of.tests);
    of.into_iter().find(|test| test.series == series).unwrap().standing
}

#[test]
fn a_test_is_as_old_as_it_is_on_the_day_of_mating() {
    let tested = [event("brucellosis", "2026-10-31", Some("negative"))];
    let told = dam(None, &tested, "2026-11-30");
    assert_eq!(standing(&told, "brucellosis"), TestStanding::Met);
    let test = &told.dam.as_ref().unwrap().tests[0];
    assert_eq!((test.age_days, test.good_until), (Some(30), Some(day("2026-11-30"))));
    assert_eq!(standing(&dam(None, &tested, "2026-12-01"), "brucellosis"), TestStanding::Outdated);
    assert_eq!(standing(&dam(None, &tested, "2026-10-30"), "brucellosis"), TestStanding::Missing);
    // A sire's counts for half a year.
    let sire = |on: &str| {
        let dog = dog(None);
        let told = mating_tests(None, Some((Uuid::nil(), &dog, &tested)), &[], day(on), &moment());
        standing(&told, "brucellosis")
    };
    assert_eq!(
        [sire("2027-05-01"), sire("2027-05-02")],
        [TestStanding::Met, TestStanding::Outdated]
    );
}

#[test]
fn a_positive_test_counts_until_another_says_otherwise() {
    let positive = event("brucellosis", "2025-01-01", Some("positive"));
    let told = dam(None, std::slice::from_ref(&positive), "2026-11-30");
    assert_eq!(standing(&told, "brucellosis"), TestStanding::Positive);
    assert_eq!(told.cautions.len(), 1);
    assert_eq!(told.cautions[0].level, Level::Act);
    let later = [positive, event("brucellosis", "2026-11-20", Some("negative"))];
    let told = dam(None, &later, "2026-11-30");
    assert_eq!(standing(&told, "brucellosis"), TestStanding::Met);
    assert!(told.cautions.is_empty());
    let unclear = [event("brucellosis", "2026-11-20", Some("unclear"))];
    assert_eq!(standing(&dam(None, &unclear, "2026-11-30"), "brucellosis"), TestStanding::Unclear);
}

/// Who has met herpes is the safer dam.
#[test]
fn herpes_is_offered_and_met_by_either_result() {
    for result in ["positive", "negative"] {
        let told = dam(None, &[event("herpes", "2026-11-01", Some(result))], "2026-11-30");
        assert_eq!(standing(&told, "herpes"), TestStanding::Met);
        assert!(told.cautions.is_empty());
    }
    assert!(
        !dam(None, &[], "2026-11-30")
            .dam
            .unwrap()
            .tests
            .iter()
            .any(|t| t.series == "herpes" && t.needed)
    );
}

/// The clubs of Labradors ask for hips, elbows and eyes; a breed without a row has the general tests alone.
#[test]
fn a_breed_asks_for_its_own() {
    let series = |breed| -> Vec<String> {
        let told = dam(breed, &[], "2026-11-30").dam.unwrap();
        told.tests.iter().map(|test| test.series.clone()).collect()
    };
    assert_eq!(
        series(Some("labrador retriever")),
        ["brucellosis", "hips", "elbows", "eyes", "herpes"]
    );
    assert_eq!(series(Some("Dachshund")), ["brucellosis", "herpes"]);
    assert_eq!(series(None), ["brucellosis", "herpes"]);
    // Hips are of life, eyes of a year.
    let done = [event("hips", "2020-01-01", None), event("eyes", "2025-11-29", None)];
    let told = dam(Some("Labrador"), &done, "2026-11-30");
    assert_eq!(standing(&told, "hips"), TestStanding::Met);
    assert_eq!(standing(&told, "eyes"), TestStanding::Outdated);
}

/// Whatever the table asks of a breed is a kind that it knows and names, and no breed stands in two rows.
#[test]
fn the_table_holds_together() {
    let known: Vec<&str> = TABLE.kind.iter().map(|kind| kind.series.as_str()).collect();
    let mut breeds: Vec<String> = Vec::new();
    for row in &TABLE.breed {
        assert!(!row.needed.is_empty() || !row.offered.is_empty(), "{:?}", row.names);
        for series in row.needed.iter().chain(&row.offered) {
            assert!(known.contains(&series.as_str()), "{series} of {:?}", row.names);
        }
        breeds.extend(row.names.iter().map(|name| name.to_lowercase()));
    }
    for series in known.iter().copied().chain(TABLE.test.iter().map(|test| test.series.as_str())) {
        assert!(TABLE.names.contains_key(series), "{series} has no name");
    }
    let count = breeds.len();
    breeds.sort();
    breeds.dedup();
    assert_eq!(breeds.len(), count);
}

/// The clubs of Great Danes ask for the thyroid, every second year here; those of Bulldogs for nothing that is needed.
#[test]
fn what_a_club_advises_is_offered() {
    let told = dam(Some("Bulldog"), &[], "2026-11-30").dam.unwrap();
    let breathing = told.tests.iter().find(|test| test.series == "breathing").unwrap();
    assert_eq!((breathing.needed, breathing.of_breed), (false, true));
    let tested = [event("thyroid", "2024-11-30", None)];
    let standing = |on| standing(&dam(Some("Deutsche Dogge"), &tested, on), "thyroid");
    assert_eq!(standing("2026-11-30"), TestStanding::Met);
    assert_eq!(standing("2026-12-01"), TestStanding::Outdated);
}

/// What the kennel asks for itself stands for what others ask of that series, of that breed and that parent.
#[test]
fn a_kennel_asks_for_its_own() {
    let own = |body: serde_json::Value| -> BreedTest { serde_json::from_value(body).unwrap() };
    let own = [
        own(json!({ "breed": " labrador ", "series": "eyes", "valid_days": 30, "source": "we" })),
        own(json!({ "series": "teeth", "name": "Teeth", "of": "sire", "source": "we" })),
        own(json!({ "series": "herpes", "of": "dam", "needed": false, "source": "our vet" })),
    ];
    let tested = [event("eyes", "2026-10-30", None), event("teeth", "2020-01-01", None)];
    let of = |breed, is_sire| {
        let dog = dog(Some(breed));
        let tested: Option<Tested<'_>> = Some((Uuid::nil(), &dog, &tested));
        let (dam, sire) = if is_sire { (None, tested) } else { (tested, None) };
        let told = mating_tests(dam, sire, &own, day("2026-11-30"), &moment());
        told.dam.or(told.sire).unwrap().tests
    };
    let find = |tests: &[TestBeforeMating], series: &str| {
        tests.iter().find(|test| test.series == series).cloned()
    };
    let labrador = of("Labrador", false);
    let eyes = find(&labrador, "eyes").unwrap();
    assert_eq!((eyes.of_kennel, eyes.of_breed), (true, false));
    assert_eq!((eyes.standing, eyes.valid_days), (TestStanding::Outdated, Some(30)));
    assert_eq!((eyes.source.as_str(), eyes.confirmation), ("we", Status::Kennel));
    assert_eq!(labrador.iter().filter(|test| test.series == "eyes").count(), 1);
    assert_eq!(find(&labrador, "herpes").unwrap().valid_days, None);
    assert_eq!(find(&labrador, "teeth"), None, "asked of sires");
    let teeth = find(&of("Kooikerhondje", true), "teeth").unwrap();
    assert_eq!((teeth.standing, teeth.name.to_string().as_str()), (TestStanding::Met, "Teeth"));
    let golden = find(&of("Golden Retriever", false), "eyes").unwrap();
    assert_eq!((golden.of_kennel, golden.standing), (false, TestStanding::Met));
}

#[test]
fn tests_are_told_in_german() {
    let texts = || {
        let told = dam(Some("Golden Retriever"), &[], "2026-11-30").dam.unwrap();
        let of = |test: &TestBeforeMating| (test.name.to_string(), test.why.to_string());
        told.tests.iter().map(of).collect::<Vec<_>>()
    };
    let english = texts();
    let german = speaking(Language::German, texts);
    for ((name, why), (german_name, german_why)) in english.iter().zip(&german) {
        assert_ne!(why, german_why);
        assert!(name != german_name || name == "Herpes", "{name}");
    }
}
