//! The demo's wall, alarm by alarm: each is there for a reason that its story tells, and there is no other.

use crate::common::*;

/// Level, code and whom it is about, with the reason.
const WALL: &[(&str, &str, &str, &str)] = &[
    (
        "act",
        "growth.losing",
        "white collar",
        "the small pup of the J litter, a week old, falls behind from its third day, loses from its \
         fifth, and was cool the evening before; one cause, one alarm",
    ),
    ("note", "go_home.hindered", "Hawk", PROMISED),
    ("note", "go_home.hindered", "Heather", PROMISED),
    ("note", "go_home.hindered", "Heron", PROMISED),
    ("note", "go_home.hindered", "Hickory", PROMISED),
];

const PROMISED: &str = "a pup of the H litter that somebody waits for, a few days before it may go: its \
                        last worming before the hand-over is still to come";

#[tokio::test]
async fn every_alarm_of_the_demo_has_its_reason() {
    let alarms = Kennel::demo().await.get("/alarms").await.ok();
    let text = |value: &Value| value.as_str().unwrap().to_owned();
    let mut rings: Vec<(String, String, String, String)> = items(&alarms)
        .iter()
        .map(|alarm| {
            let about = text(&alarm["about"]["label"]);
            (text(&alarm["level"]), text(&alarm["code"]), about, text(&alarm["what"]))
        })
        .collect();
    rings.sort();
    let said = |(level, code, about, _): &(String, String, String, String)| {
        (level.clone(), code.clone(), about.clone())
    };
    let mut explained: Vec<(String, String, String)> = WALL
        .iter()
        .map(|(level, code, about, _)| ((*level).into(), (*code).into(), (*about).into()))
        .collect();
    explained.sort();
    let shown: Vec<(String, String, String)> = rings.iter().map(said).collect();
    assert_eq!(shown, explained, "{rings:#?}");
}
