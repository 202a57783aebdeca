//! What a ring says, in its reader's language.

use catalogue::{Language, said, speaking};
use domain::{
    advice::{Level, standing_line},
    alarms::Alarm,
    record::RingWay,
    rings::RingOfTasks,
    tasks::TaskLine,
};
use serde_json::{Value, json};
use uuid::Uuid;

/// Most bytes of each part of a message: sealed, a whole one stays below the 4,096 that push services take.
const MOST_BYTES: usize = 800;

/// The beginning of a text that is no longer than a message may be.
fn cut(text: &str) -> String {
    if text.len() <= MOST_BYTES {
        return text.to_owned();
    }
    let end = text.floor_char_boundary(MOST_BYTES);
    format!("{}…", &text[..end])
}

/// What is said of an alarm, by one way.
pub(crate) fn alarm_words(
    alarm: &Alarm,
    (kennel_id, kennel): (Uuid, &str),
    way: RingWay,
    language: Language,
    origin: Option<&str>,
) -> Value {
    speaking(language, || {
        let label = &alarm.about.label;
        let title = match alarm.level {
            Level::Emergency => said!("ring-emergency", label = label, kennel = kennel),
            Level::Act => said!("ring-act", label = label, kennel = kennel),
            Level::Note => said!("ring-note", label = label, kennel = kennel),
        };
        let path = path_of(kennel_id, alarm);
        match way {
            RingWay::Push => json!({
                "title": cut(&title.to_string()),
                "body": format!("{}\n{}", cut(&alarm.what.to_string()), cut(&alarm.why.to_string())),
                "path": path, "tag": alarm.id, "level": alarm.level, "language": language,
            }),
            RingWay::Mail => {
                let link = format!("{}{path}", origin.unwrap_or_default());
                let text = said!(
                    "mail-ring",
                    what = &alarm.what,
                    why = &alarm.why,
                    source = &alarm.source,
                    standing = standing_line(),
                    link = link
                );
                json!({ "subject": title.to_string(), "text": format!("{text}\n") })
            }
        }
    })
}

/// Most tasks that a message names; more are counted.
const MOST_NAMED: usize = 6;

/// What is said of tasks that are due, by one way.
pub fn task_words(
    ring: &RingOfTasks<'_>,
    (kennel_id, kennel): (Uuid, &str),
    way: RingWay,
    language: Language,
    origin: Option<&str>,
) -> Value {
    speaking(language, || {
        let tasks = &ring.tasks;
        let title = said!("ring-tasks", tasks = tasks.len(), kennel = kennel).to_string();
        let mut lines: Vec<String> =
            tasks.iter().take(MOST_NAMED).map(|task| task.title.to_string()).collect();
        let more = tasks.len().saturating_sub(MOST_NAMED);
        if more > 0 {
            lines.push(said!("ring-tasks-more", more = more).to_string());
        }
        let body = lines.join("\n");
        let path = path_of_tasks(kennel_id, tasks);
        match way {
            RingWay::Push => json!({
                "title": cut(&title), "body": cut(&body), "path": path, "tag": ring.told.alarm_id,
                "level": ring.told.level, "language": language,
            }),
            RingWay::Mail => {
                let link = format!("{}{path}", origin.unwrap_or_default());
                json!({ "subject": title, "text": format!("{body}\n\n{link}\n") })
            }
        }
    })
}

/// The page of the litter that all tasks are about, else the one that has all.
fn path_of_tasks(kennel_id: Uuid, tasks: &[&TaskLine]) -> String {
    let kennel = page_of(kennel_id);
    let first = tasks.first().and_then(|task| task.litter_id);
    match first.filter(|id| tasks.iter().all(|task| task.litter_id == Some(*id))) {
        Some(litter) => format!("{kennel}/litter/{litter}"),
        None => kennel,
    }
}

/// The page on which one does something about an alarm. It names the kennel: who hears of it may have looked at
/// another one last.
fn path_of(kennel_id: Uuid, alarm: &Alarm) -> String {
    let kennel = page_of(kennel_id);
    match (alarm.about.litter_id, alarm.about.dog_id) {
        (_, Some(dam)) if alarm.is_of_heat() => format!("{kennel}/dam/{dam}"),
        (Some(litter), _) if alarm.is_of_night() => format!("{kennel}/night/{litter}"),
        (Some(litter), _) => format!("{kennel}/litter/{litter}"),
        (None, _) => kennel,
    }
}

/// The pages of a kennel.
pub(super) fn page_of(kennel_id: Uuid) -> String {
    format!("/#/in/{kennel_id}")
}

/// What a test says, by one way.
pub fn test_words((kennel_id, kennel): (Uuid, &str), way: RingWay, language: Language) -> Value {
    speaking(language, || {
        let title = said!("ring-test-title", kennel = kennel).to_string();
        let text = said!("ring-test").to_string();
        match way {
            RingWay::Push => json!({
                "title": cut(&title), "body": text, "path": page_of(kennel_id), "tag": null,
                "level": "act", "language": language,
            }),
            RingWay::Mail => json!({ "subject": title, "text": format!("{text}\n") }),
        }
    })
}
