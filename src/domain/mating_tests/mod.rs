//! Tests before a mating: brucellosis, herpes, and those that the breed asks for, with their age on the day.

#[cfg(test)]
pub(crate) mod limits_tests;
#[cfg(test)]
mod tests;

use crate::{
    advice::{Caution, CautionCode, Level, standing_line},
    litter::called,
    moment::Moment,
    record::{Dog, HealthEvent, Kept, TestResult},
    rules::{Rules, Status},
    schedule::plus,
};
use catalogue::{Text, said};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use std::{collections::BTreeMap, sync::LazyLock};
use utoipa::ToSchema;
use uuid::Uuid;

/// Which of the two a test is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
enum Of {
    Dam,
    Sire,
    Both,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    series: String,
    of: Of,
    needed: bool,
    rule: Option<String>,
    breeds: Option<Vec<String>>,
    why: String,
    source: String,
    #[serde(rename = "confirmation")]
    status: Status,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Table {
    test: Vec<Row>,
    names: BTreeMap<String, String>,
}

static TABLE: LazyLock<Table> = LazyLock::new(|| {
    #[expect(clippy::expect_used, reason = "embedded at compile time; a test reads it")]
    let table = toml::from_str(include_str!("tests.toml")).expect("embedded tests before a mating");
    table
});

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
    /// Whether the breed asks for it; else it is for every dog.
    pub of_breed: bool,
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
/// The last test of a series up to that day counts. A positive one counts however old it is, until a later one
/// says otherwise. A test whose result was not written down counts as done.
pub fn mating_tests(
    dam: Option<Tested<'_>>,
    sire: Option<Tested<'_>>,
    mated_on: NaiveDate,
    moment: &Moment,
) -> MatingTests {
    let of =
        |tested: Option<Tested<'_>>, of| tested.map(|tested| of_dog(tested, of, mated_on, moment));
    let (dam, sire) = (of(dam, Of::Dam), of(sire, Of::Sire));
    let cautions = dam.iter().chain(&sire).flat_map(positive).collect();
    MatingTests { mated_on, dam, sire, cautions, standing_line: standing_line() }
}

/// The rule of the age that a test may have.
fn rule_of(row: &Row) -> Option<&'static str> {
    Some(match row.rule.as_deref()? {
        "brucellosis_dam_days" => "mating_tests.brucellosis_dam_days",
        "brucellosis_sire_days" => "mating_tests.brucellosis_sire_days",
        "herpes_days" => "mating_tests.herpes_days",
        _ => "mating_tests.eyes_days",
    })
}

fn of_dog(
    (dog_id, dog, events): Tested<'_>,
    of: Of,
    mated_on: NaiveDate,
    moment: &Moment,
) -> TestsOfDog {
    let breed = dog.breed.as_deref().map(|breed| breed.trim().to_lowercase());
    let asks = |row: &&Row| {
        let of_breed = row
            .breeds
            .as_ref()
            .is_none_or(|breeds| breeds.iter().any(|name| Some(name.to_lowercase()) == breed));
        (row.of == Of::Both || row.of == of) && of_breed
    };
    let mut tests: Vec<TestBeforeMating> =
        TABLE.test.iter().filter(asks).map(|row| stands(row, events, mated_on, moment)).collect();
    tests.sort_by_key(|test| !test.needed);
    TestsOfDog { dog_id, dog_name: called(dog), breed: dog.breed.clone(), tests }
}

fn stands(
    row: &Row,
    events: &[Kept<HealthEvent>],
    mated_on: NaiveDate,
    moment: &Moment,
) -> TestBeforeMating {
    let on = |event: &Kept<HealthEvent>| moment.day_of(event.record.given_at);
    let of_series = |event: &&Kept<HealthEvent>| {
        event.record.series.as_deref() == Some(&row.series) && on(event) <= mated_on
    };
    let last = events.iter().filter(of_series).max_by_key(|event| event.record.given_at);
    let valid_days = rule_of(row).map(|rule| days(&moment.rules, rule));
    let tested_on = last.map(on);
    let age_days = tested_on.map(|tested_on| (mated_on - tested_on).num_days());
    let result = last.and_then(|event| event.record.result);
    let too_old = age_days.zip(valid_days).is_some_and(|(age, most)| age > most);
    let standing = match (last, result) {
        (None, _) => TestStanding::Missing,
        // Of herpes a dam that has met it is the safer one.
        (_, Some(TestResult::Positive)) if row.series != "herpes" => TestStanding::Positive,
        (_, Some(TestResult::Unclear)) => TestStanding::Unclear,
        _ if too_old => TestStanding::Outdated,
        _ => TestStanding::Met,
    };
    let name = TABLE.names.get(&row.series).map_or(row.series.as_str(), String::as_str);
    TestBeforeMating {
        series: row.series.clone(),
        name: Text::keyed("mating-test-name", &row.series, name),
        needed: row.needed,
        of_breed: row.breeds.is_some(),
        standing,
        tested_on,
        result,
        age_days,
        valid_days,
        good_until: tested_on.zip(valid_days).map(|(on, most)| plus(on, most)),
        why: match row.breeds {
            Some(_) => Text::keyed("mating-test-why", "breed", row.why.as_str()),
            None => Text::keyed("mating-test-why", &row.series, row.why.as_str()),
        },
        source: row.source.clone(),
        confirmation: row.status,
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
