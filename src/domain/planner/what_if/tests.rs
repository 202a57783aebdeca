use super::*;
use serde_json::json;

fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

#[test]
fn a_plan_is_a_year_from_today_unless_it_is_said_otherwise() {
    let today = day("2026-03-01");
    let span = |from: Option<&str>, to: Option<&str>| {
        let span = DateSpan::asked(from.map(day), to.map(day), today);
        (span.from, span.to)
    };
    assert_eq!(span(None, None), (today, day("2027-03-01")));
    assert_eq!(span(Some("2026-05-01"), None), (day("2026-05-01"), day("2027-05-01")));
    assert_eq!(span(None, Some("2026-04-01")), (today, day("2026-04-01")));
}

#[test]
fn at_most_120_choices_are_compared() {
    let choices = |days_earlier: i64, days_later: i64| {
        let body = json!({
            "key": "draft:1", "days_earlier": days_earlier, "days_later": days_later, "step_days": 3
        });
        serde_json::from_value::<PlannerMove>(body).unwrap().check().map_err(|fault| fault.pointer)
    };
    // Each third day to both sides, and the plan as it is.
    assert_eq!(choices(177, 177), Ok(()), "119");
    assert_eq!(choices(177, 180), Ok(()), "120");
    assert_eq!(choices(177, 182), Ok(()), "120, the last two days make none");
    assert_eq!(choices(180, 180), Err("/shift/step_days".to_owned()), "121");
    assert_eq!(choices(177, 183), Err("/shift/step_days".to_owned()), "121");
}
