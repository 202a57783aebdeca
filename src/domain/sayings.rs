//! What recurs in texts: figures with their sign, spans and amounts, moments on the kennel's clock.

use crate::rules::Rule;
use catalogue::{Text, figure, said};
use chrono::{DateTime, Datelike as _, Duration, Utc};
use chrono_tz::Tz;

/// A number with its sign, also the plus, and so many digits.
pub(crate) fn signed(value: f64, digits: u8) -> Text {
    if value.is_sign_negative() {
        said!("signed-down", figure = figure(value, digits))
    } else {
        said!("signed-up", figure = figure(value, digits))
    }
}

/// Texts in a row with a semicolon between: `a; b`.
pub(crate) fn semicolons(texts: impl IntoIterator<Item = Text>) -> Text {
    texts
        .into_iter()
        .reduce(|begin, end| said!("list-semicolon", begin = begin, end = end))
        .unwrap_or_default()
}

/// A span of minutes.
pub(crate) fn span(minutes: i64) -> Text {
    match (minutes / 60, minutes % 60) {
        (0, m) => said!("span-minutes", minutes = m),
        (h, 0) => said!("span-hours", hours = h),
        (h, m) => said!("span-hours-minutes", hours = h, minutes = m),
    }
}

/// How long ago something was: in minutes below two hours, in whole hours beyond.
pub(crate) fn ago(since: Duration) -> Text {
    match since.num_minutes() {
        minutes @ ..120 => said!("span-minutes", minutes = minutes.max(1)),
        minutes => said!("span-hours", hours = minutes / 60),
    }
}

/// A rule's value with its unit: `20 minutes`.
pub(crate) fn amount(rule: &Rule) -> Text {
    match rule.unit.as_str() {
        "minutes" => said!("amount-minutes", amount = rule.value),
        "hours" => said!("amount-hours", amount = rule.value),
        "days" => said!("amount-days", amount = rule.value),
        unit => said!("amount-of", amount = rule.value, unit = unit),
    }
}

/// A moment on the kennel's clock: `04:35 on 02 April`.
pub(crate) fn clock(at: DateTime<Utc>, zone: Tz) -> Text {
    let at = at.with_timezone(&zone);
    said!(
        "clock-on-day",
        time = at.time(),
        day_of_month = at.format("%d").to_string(),
        month = at.month()
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use catalogue::{Language, speaking};

    #[test]
    fn figures_spans_and_moments_are_said_in_each_language() {
        let at = || clock("2026-04-02T02:35:00Z".parse().unwrap(), Tz::Europe__Berlin);
        let all = || [at(), span(20), span(120), span(125), signed(2.54, 1), signed(-2.5, 1)];
        let texts = all().map(|text| text.to_string());
        assert_eq!(texts, ["04:35 on 02 April", "20 min", "2 h", "2 h 5 min", "+2.5", "-2.5"]);
        speaking(Language::German, || {
            let texts = all().map(|text| text.to_string());
            let said = ["04:35 Uhr am 02. April", "20 min", "2 h", "2 h 5 min", "+2,5", "-2,5"];
            assert_eq!(texts, said);
        });
    }

    /// Nothing was seen 0 hours ago.
    #[test]
    fn what_was_just_seen_is_told_in_minutes() {
        let told = |seconds| ago(Duration::seconds(seconds)).to_string();
        assert_eq!([0, 59, 61, 3_600].map(told), ["1 min", "1 min", "1 min", "60 min"]);
        assert_eq!([7_199, 7_200, 10_799, 10_800].map(told), ["119 min", "2 h", "2 h", "3 h"]);
    }

    #[test]
    fn an_amount_has_its_unit() {
        let of = |value, unit: &str| {
            let standard = crate::rules::Rules::standard();
            let rule = standard.get("whelping.gap_hours").clone();
            amount(&Rule { value, unit: unit.to_owned(), ..rule }).to_string()
        };
        assert_eq!(of(20.0, "minutes"), "20 minutes");
        assert_eq!(of(1.5, "hours"), "1.5 hours");
        assert_eq!(of(1.0, "days"), "1 day");
        assert_eq!(of(3.0, "pups"), "3 pups");
    }

    #[test]
    fn what_stands_in_a_row_is_parted_by_semicolons() {
        let texts = ["a", "b", "c"].map(Text::verbatim);
        assert_eq!(semicolons(texts), "a; b; c");
        assert!(semicolons([]).is_empty());
    }
}
