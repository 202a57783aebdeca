//! Tests before a mating: brucellosis, herpes, and those that the breed or the kennel asks for, with their age on
//! the day.

#[cfg(test)]
pub(crate) mod limits_tests;
#[cfg(test)]
mod tests;

use crate::{
    advice::{Caution, CautionCode, Level, standing_line},
    litter::called,
    moment::Moment,
    record::{BreedTest, Dog, HealthEvent, Kept, TestResult, WhichParent},
    rules::{Rules, Status},
    schedule::plus,
};
use catalogue::{Text, said};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use std::{collections::BTreeMap, sync::LazyLock};
use utoipa::ToSchema;
use uuid::Uuid;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct ForAll {
    series: String,
    of: WhichParent,
    needed: bool,
    rule: String,
    why: String,
    source: String,
    #[serde(rename = "confirmation")]
    status: Status,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Kind {
    series: String,
    rule: Option<String>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct OfBreed {
    names: Vec<String>,
    needed: Vec<String>,
    #[serde(default)]
    offered: Vec<String>,
    source: String,
    #[serde(rename = "confirmation")]
    status: Status,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Table {
    test: Vec<ForAll>,
    kind: Vec<Kind>,
    breed: Vec<OfBreed>,
    names: BTreeMap<String, String>,
}

static TABLE: LazyLock<Table> = LazyLock::new(|| {
    #[expect(clippy::expect_used, reason = "embedded at compile time; a test reads it")]
    let table = toml::from_str(include_str!("tests.toml")).expect("embedded tests before a mating");
    table
});

/// Who asks for a test.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Asker {
    Everybody,
    Breed,
    Kennel,
}

/// What is asked for of one of the two, whoever asks.
struct Asked<'a> {
    series: &'a str,
    name: Option<&'a str>,
    needed: bool,
    asker: Asker,
    valid_days: Option<i64>,
    why: Text,
    source: &'a str,
    status: Status,
}

/// Whether two names of breeds are one.
fn is_breed(one: &str, other: &str) -> bool {
    one.trim().to_lowercase() == other.trim().to_lowercase()
}

/// What is asked for of a dog of a breed. What the kennel asks for comes first: of a series it stands for what others
/// ask.
fn asked<'a>(
    breed: Option<&str>,
    parent: WhichParent,
    own: &'a [BreedTest],
    rules: &Rules,
) -> Vec<Asked<'a>> {
    let of_breed = |name: &String| breed.is_some_and(|breed| is_breed(breed, name));
    let of_kennel = own
        .iter()
        .filter(|test| test.of.holds(parent) && test.breed.as_ref().is_none_or(of_breed))
        .map(|test| Asked {
            series: &test.series,
            name: test.name.as_deref(),
            needed: test.needed,
            asker: Asker::Kennel,
            valid_days: test.valid_days.map(i64::from),
            why: said!("mating-test-why-kennel"),
            source: &test.source,
            status: Status::Kennel,
        });
    let for_all = TABLE.test.iter().filter(|row| row.of.holds(parent)).map(|row| Asked {
        series: &row.series,
        name: None,
        needed: row.needed,
        asker: Asker::Everybody,
        valid_days: Some(days(rules, rule_of(&row.rule))),
        why: Text::keyed("mating-test-why", &row.series, row.why.as_str()),
        source: &row.source,
        status: row.status,
    });
    let row = TABLE.breed.iter().find(|row| row.names.iter().any(of_breed));
    let of_club = row.into_iter().flat_map(|row| {
        let needed = row.needed.iter().map(|series| (series, true));
        let offered = row.offered.iter().map(|series| (series, false));
        needed.chain(offered).map(|(series, needed)| Asked {
            series,
            name: None,
            needed,
            asker: Asker::Breed,
            valid_days: rule_of_kind(series).map(|rule| days(rules, rule)),
            why: match needed {
                true => said!("mating-test-why-breed"),
                false => said!("mating-test-why-breed-advises"),
            },
            source: &row.source,
            status: row.status,
        })
    });
    let mut all: Vec<Asked<'a>> = Vec::new();
    for one in of_kennel.chain(for_all).chain(of_club) {
        if !all.iter().any(|known| known.series == one.series) {
            all.push(one);
        }
    }
    // Those of every dog first, as long as nobody says otherwise.
    all.sort_by_key(|one| (!one.needed, one.asker != Asker::Everybody));
    all
}

/// How a test stands on the day of mating.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum TestStanding {
    /// It is there, and young enough.
    Met,
    /// It is there, and too old by the day.
    Outdated,
    /// It found what it looked for: talk with the veterinarian before any mating.
    Positive,
    /// It said neither; it is to be repeated.
    Unclear,
    /// None is on record.
    Missing,
}

/// One test of one dog.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct TestBeforeMating {
    /// The series under which it is recorded.
    #[schema(example = "brucellosis")]
    pub series: String,
    /// What is tested.
    #[schema(value_type = String, example = "Brucellosis")]
    pub name: Text,
    /// Whether it is asked for before every such mating; else it is offered.
    pub needed: bool,
    /// Whether the clubs of the breed ask for it, or advise it.
    pub of_breed: bool,
    /// Whether the kennel asks for it itself: a row of `GET …/rules/mating-tests`, which stands for what others ask.
    pub of_kennel: bool,
    /// How it stands.
    pub standing: TestStanding,
    /// The day of the last one.
    pub tested_on: Option<NaiveDate>,
    /// What it said, where that was written down.
    pub result: Option<TestResult>,
    /// Its age in days on the day of mating.
    #[schema(example = 12)]
    pub age_days: Option<i64>,
    /// The age that it may have; null when it counts for life.
    #[schema(example = 30)]
    pub valid_days: Option<i64>,
    /// The last day of mating for which it is young enough.
    pub good_until: Option<NaiveDate>,
    /// Why it is asked for.
    #[schema(value_type = String)]
    pub why: Text,
    /// Where that comes from.
    pub source: String,
    /// How far that is confirmed.
    pub confirmation: Status,
}

/// The tests of one of the two.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct TestsOfDog {
    /// The dog.
    pub dog_id: Uuid,
    /// Its name.
    #[schema(example = "Juno")]
    pub dog_name: Option<String>,
    /// Its breed; null when it is not known, and then no breed's tests are told.
    pub breed: Option<String>,
    /// The tests, those needed first.
    pub tests: Vec<TestBeforeMating>,
}

/// The tests before a mating of these two.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct MatingTests {
    /// The day of mating by which ages are counted.
    pub mated_on: NaiveDate,
    /// The dam's.
    pub dam: Option<TestsOfDog>,
    /// The sire's.
    pub sire: Option<TestsOfDog>,
    /// What was found that speaks against a mating.
    pub cautions: Vec<Caution>,
    /// The line that stands beside every piece of advice.
    #[schema(value_type = String)]
    pub standing_line: Text,
}

/// A dog that is to be mated, with what was tested of it.
pub type Tested<'a> = (Uuid, &'a Dog, &'a [Kept<HealthEvent>]);

/// The tests before a mating on a day.
///
/// `own` are the tests that the kennel asks for itself. The last test of a series up to that day counts. A positive
/// one counts however old it is, until a later one
/// says otherwise. A test whose result was not written down counts as done.
pub fn mating_tests(
    dam: Option<Tested<'_>>,
    sire: Option<Tested<'_>>,
    own: &[BreedTest],
    mated_on: NaiveDate,
    moment: &Moment,
) -> MatingTests {
    let of = |tested: Option<Tested<'_>>, parent| {
        tested.map(|tested| of_dog(tested, (parent, own), mated_on, moment))
    };
    let (dam, sire) = (of(dam, WhichParent::Dam), of(sire, WhichParent::Sire));
    let cautions = dam.iter().chain(&sire).flat_map(positive).collect();
    MatingTests { mated_on, dam, sire, cautions, standing_line: standing_line() }
}

/// The rule of the age that a test may have.
fn rule_of(name: &str) -> &'static str {
    match name {
        "brucellosis_dam_days" => "mating_tests.brucellosis_dam_days",
        "brucellosis_sire_days" => "mating_tests.brucellosis_sire_days",
        "herpes_days" => "mating_tests.herpes_days",
        "thyroid_days" => "mating_tests.thyroid_days",
        _ => "mating_tests.eyes_days",
    }
}

fn rule_of_kind(series: &str) -> Option<&'static str> {
    let kind = TABLE.kind.iter().find(|kind| kind.series == series)?;
    kind.rule.as_deref().map(rule_of)
}

fn of_dog(
    (dog_id, dog, events): Tested<'_>,
    (parent, own): (WhichParent, &[BreedTest]),
    mated_on: NaiveDate,
    moment: &Moment,
) -> TestsOfDog {
    let asked = asked(dog.breed.as_deref(), parent, own, &moment.rules);
    let tests = asked.into_iter().map(|test| stands(test, events, mated_on, moment)).collect();
    TestsOfDog { dog_id, dog_name: called(dog), breed: dog.breed.clone(), tests }
}

fn stands(
    asked: Asked<'_>,
    events: &[Kept<HealthEvent>],
    mated_on: NaiveDate,
    moment: &Moment,
) -> TestBeforeMating {
    let Asked { series, name, needed, asker, valid_days, why, source, status } = asked;
    let on = |event: &Kept<HealthEvent>| moment.day_of(event.record.given_at);
    let of_series = |event: &&Kept<HealthEvent>| {
        event.record.series.as_deref() == Some(series) && on(event) <= mated_on
    };
    let last = events.iter().filter(of_series).max_by_key(|event| event.record.given_at);
    let tested_on = last.map(on);
    let age_days = tested_on.map(|tested_on| (mated_on - tested_on).num_days());
    let result = last.and_then(|event| event.record.result);
    let too_old = age_days.zip(valid_days).is_some_and(|(age, most)| age > most);
    let standing = match (last, result) {
        (None, _) => TestStanding::Missing,
        // Of herpes a dam that has met it is the safer one.
        (_, Some(TestResult::Positive)) if series != "herpes" => TestStanding::Positive,
        (_, Some(TestResult::Unclear)) => TestStanding::Unclear,
        _ if too_old => TestStanding::Outdated,
        _ => TestStanding::Met,
    };
    let name = match (name, TABLE.names.get(series)) {
        (Some(name), _) => Text::verbatim(name),
        (None, Some(name)) => Text::keyed("mating-test-name", series, name.as_str()),
        (None, None) => Text::verbatim(series),
    };
    TestBeforeMating {
        series: series.to_owned(),
        name,
        needed,
        of_breed: asker == Asker::Breed,
        of_kennel: asker == Asker::Kennel,
        standing,
        tested_on,
        result,
        age_days,
        valid_days,
        good_until: tested_on.zip(valid_days).map(|(on, most)| plus(on, most)),
        why,
        source: source.to_owned(),
        confirmation: status,
    }
}

fn days(rules: &Rules, rule: &'static str) -> i64 {
    crate::schedule::rule_days(rules, rule)
}

/// What a positive test of a dog asks for.
fn positive(of: &TestsOfDog) -> Vec<Caution> {
    let found = of.tests.iter().filter(|test| test.standing == TestStanding::Positive);
    let name = of.dog_name.clone().unwrap_or_else(|| said!("called-without-name").to_string());
    let caution = |test: &TestBeforeMating| {
        let (level, what) = match test.series.as_str() {
            "brucellosis" => (Level::Act, said!("mating-test-brucellosis", dog = &name)),
            _ => (Level::Note, said!("mating-test-positive", dog = &name, test = &test.name)),
        };
        let why = match test.tested_on {
            Some(on) => said!("mating-test-positive-why", test = &test.name, on = on),
            None => test.name.clone(),
        };
        let code = CautionCode::MatingTestPositive;
        Caution::new(code, level, what, why, test.source.clone())
            .with("dog_id", of.dog_id.to_string())
            .with("series", test.series.clone())
    };
    found.map(caution).collect()
}
