//! When a report that waits is due to be read.

use super::*;
use crate::{
    limits_tests::{Limit, check, less_than},
    rules::Rules,
};
use chrono::{DateTime, Duration, Utc};
use chrono_tz::Europe::Berlin;
use serde_json::{Value, json};
use uuid::Uuid;

fn moment(rules: Rules) -> Moment {
    let now: DateTime<Utc> = "2026-11-30T09:00:00Z".parse().unwrap();
    Moment { rules, ..Moment::by_standard_rules(now, Berlin) }
}

fn told(at: DateTime<Utc>, news: Value) -> WaitingReport {
    let record = json!({ "dog_id": Uuid::from_u128(4), "news": news, "status": "waiting" });
    let record = serde_json::from_value(record).unwrap();
    let id = Uuid::from_u128(9);
    let kept = Kept { id, version: 1, created_at: at, updated_at: at, record };
    (kept, Some("Fern".to_owned()))
}

fn health(kind: &str) -> Value {
    json!({ "health": [{ "kind": kind, "happened_on": "2026-11-20", "finding": "x" }] })
}

fn task(at: &str, news: Value) -> GeneratedTask {
    report_tasks(&[told(at.parse().unwrap(), news)], &moment(Rules::standard())).remove(0)
}

pub(crate) const LIMITS: &[Limit] =
    &[less_than("placement.report_evening_hour", "from which", 1.0 / 60.0, |hour, rules| {
        let moment = moment(rules.clone());
        let midnight = moment.midnight(moment.today());
        let at = midnight + Duration::seconds((hour * 3600.0).round() as i64);
        due_on(&told(at, health("illness")).0, &moment) == moment.today()
    })];

#[test]
fn the_evening_begins_at_its_hour() {
    check(LIMITS);
}

/// What is well can wait for tomorrow's round; illness and death are read the same day, and not in the night.
#[test]
fn illness_and_death_are_read_the_same_day() {
    let due = |at: &str, news| task(at, news).due_on.to_string();
    let well = json!({ "message": "All is well" });
    assert_eq!(due("2026-11-29T10:00:00Z", well.clone()), "2026-11-30");
    assert_eq!(due("2026-11-29T10:00:00Z", health("test")), "2026-11-30");
    assert_eq!(due("2026-11-29T10:00:00Z", health("illness")), "2026-11-29");
    // 18:59 and 19:00 UTC are 19:59 and 20:00 in Berlin; 23:30 UTC is tomorrow there.
    assert_eq!(due("2026-11-29T18:59:00Z", health("death")), "2026-11-29");
    assert_eq!(due("2026-11-29T19:00:00Z", health("death")), "2026-11-30");
    assert_eq!(due("2026-11-29T23:30:00Z", health("death")), "2026-11-30");
    assert_eq!(due("2026-11-29T23:30:00Z", well), "2026-12-01");
}

#[test]
fn it_says_what_is_told_of_whom() {
    let title = |news| task("2026-11-29T10:00:00Z", news).title.to_string();
    let well = task("2026-11-29T10:00:00Z", json!({ "message": "All is well" }));
    assert_eq!((well.dog_id, well.turn), (Some(Uuid::from_u128(4)), Turn::Ask));
    assert!(well.title.contains("Fern"), "{}", well.title);
    let titles = [title(health("test")), title(health("illness")), title(health("death"))];
    assert_eq!(well.title.to_string(), titles[0]);
    assert!(titles[1].contains("ill") && titles[2].contains("died"), "{titles:?}");
    assert!(well.key.starts_with("report:") && well.key.ends_with(":go_home:decide"));
}
