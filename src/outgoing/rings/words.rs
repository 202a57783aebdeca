//! What a ring says, in its reader's language.

use catalogue::{Language, said, speaking};
use domain::{
    advice::{Level, standing_line},
    alarms::Alarm,
    record::RingWay,
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
pub fn alarm_words(
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

/// The page on which one does something about an alarm. It names the kennel: who hears of it may have looked at
/// another one last.
fn path_of(kennel_id: Uuid, alarm: &Alarm) -> String {
    let kennel = page_of(kennel_id);
    match alarm.about.litter_id {
        Some(litter) if alarm.is_of_night() => format!("{kennel}/night/{litter}"),
        Some(litter) => format!("{kennel}/litter/{litter}"),
        None => kennel,
    }
}

/// The pages of a kennel.
fn page_of(kennel_id: Uuid) -> String {
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
