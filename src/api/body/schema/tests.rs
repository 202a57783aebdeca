//! What a body is held against, and what is told of it.

use super::*;
use catalogue::{Language, speaking};
use serde::Deserialize;

#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[expect(dead_code, reason = "made of what is sent, and looked at no further")]
struct Pup {
    #[schema(min_length = 1, max_length = 5)]
    name: String,
    #[schema(minimum = 20, maximum = 150_000)]
    weight_g: Option<i32>,
    collar: Option<Collar>,
    born_on: Option<chrono::NaiveDate>,
}

#[derive(Debug, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
enum Collar {
    Red,
    Green,
}

fn told(value: Value) -> Vec<(String, &'static str, String)> {
    let told = |fault: Fault| (fault.pointer, fault.code.as_str(), fault.detail.to_string());
    parse::<Pup>(value).unwrap_err().into_iter().map(told).collect()
}

fn one(value: Value, place: &str, code: &str, detail: &str) {
    let ours = (place.to_owned(), code.to_owned(), detail.to_owned());
    let told: Vec<_> = told(value).into_iter().map(|(p, c, d)| (p, c.to_owned(), d)).collect();
    assert_eq!(told, [ours]);
}

#[test]
fn each_fault_is_told_in_our_words_with_its_code() {
    one(json!({}), "/name", "missing", "is missing; it must be given");
    one(json!({ "name": 5 }), "/name", "wrong_type", "must be a text, not 5");
    one(json!({ "name": "" }), "/name", "empty", "is empty; it must have a character or more");
    one(
        json!({ "name": "Junonia" }),
        "/name",
        "too_long",
        "\"Junonia\" is longer than 5 characters",
    );
    one(
        json!({ "name": "A", "born_on": "2026-02-30" }),
        "/born_on",
        "malformed",
        "is not a day; write it as 2026-05-17",
    );
    one(
        json!({ "name": "A", "collar": "read" }),
        "/collar",
        "unknown_value",
        "is none of red and green; did you mean \"red\"?",
    );
    one(
        json!({ "name": "A", "colar": "red" }),
        "/colar",
        "unknown_field",
        "is not a field of this body; did you mean \"collar\"? (its fields are born_on, collar, name and weight_g)",
    );
}

#[test]
fn a_weight_says_what_another_unit_would_be() {
    one(
        json!({ "name": "A", "weight_g": 0.5 }),
        "/weight_g",
        "wrong_type",
        "must be a whole number or null, not 0.5; give whole grams: 0.5 kg are 500 g, 0.5 lb are 227 g, \
         0.5 oz are 14 g",
    );
    one(
        json!({ "name": "A", "weight_g": 200_000 }),
        "/weight_g",
        "out_of_range",
        "200000 is greater than the maximum of 150000; give whole grams",
    );
}

#[test]
fn the_words_are_those_of_who_reads_them() {
    let german = speaking(Language::German, || told(json!({ "name": [] })));
    assert_eq!(german[0].2, "muss ein Text sein, nicht []");
}
