use super::*;
use crate::{placement::follow_ups, tasks::TaskMark};
use chrono::{DateTime, Utc};
use serde_json::json;
use uuid::Uuid;

fn moment() -> Moment {
    Moment::by_standard_rules("2026-06-10T10:00:00Z".parse().unwrap(), chrono_tz::Tz::UTC)
}

fn own(number: u128, due_on: &str) -> Kept<OwnTask> {
    let written_at: DateTime<Utc> = "2026-06-01T10:00:00Z".parse().unwrap();
    let body = json!({ "title": "Ask for the big crate", "due_on": due_on });
    let (id, record) = (Uuid::from_u128(number), serde_json::from_value(body).unwrap());
    Kept { id, version: 1, created_at: written_at, updated_at: written_at, record }
}

/// A pup that went home on the seventh of June: the first call is due on the tenth.
fn gone(number: u128) -> FollowUpsOfPup {
    let today = moment().today();
    FollowUpsOfPup {
        placement_id: Uuid::from_u128(number),
        dog_id: Uuid::from_u128(number + 100),
        dog_name: Some(format!("Pup {number}")),
        buyer_id: None,
        reminders: follow_ups("2026-06-07".parse().unwrap(), None, &[], today),
    }
}

fn tasks(gone: Option<Vec<FollowUpsOfPup>>) -> KennelTasks {
    let records = TaskRecords {
        dams: Vec::new(),
        template: PreparationTemplate::standard(),
        house: House::default(),
        own: vec![own(1, "2026-06-10"), own(2, "2026-06-11")],
        litters: Vec::new(),
        gone,
        reports: Vec::new(),
    };
    KennelTasks::of(&records, BTreeMap::new(), &moment())
}

fn key(number: u128) -> String {
    format!("own:{}", Uuid::from_u128(number))
}

#[test]
fn the_list_holds_what_people_wrote_and_what_new_owners_are_asked() {
    let keys = |tasks: &KennelTasks| -> Vec<String> {
        tasks.lines().into_iter().map(|line| line.key).collect()
    };
    assert_eq!(keys(&tasks(None)), [key(1), key(2)]);
    let first_call = "kennel:follow-up:first_call".to_owned();
    assert!(keys(&tasks(Some(vec![gone(1), gone(2)]))).contains(&first_call), "one line for both");
    let filter = TaskFilter { due_by: "2026-06-10".parse().ok(), ..TaskFilter::default() };
    let wanted: Vec<String> =
        tasks(None).wanted(&filter).into_iter().map(|line| line.key).collect();
    assert_eq!(wanted, [key(1)]);
}

#[test]
fn a_key_finds_its_task_or_those_of_its_line() {
    let all = tasks(Some(vec![gone(1), gone(2)]));
    let (line, own) = all.find(&key(2)).unwrap();
    assert_eq!((line.key.clone(), own.len()), (key(2), 1));
    let (line, of_both) = all.find("kennel:follow-up:first_call").unwrap();
    assert_eq!((line.parts.len(), of_both.len()), (2, 2));
    assert!(of_both.iter().all(|task| task.group.is_none()), "each stands by itself");
    let each: Vec<String> = all.each().into_iter().map(|line| line.key).collect();
    assert!(of_both.iter().all(|task| each.contains(&task.key)));
    assert!(all.find("own:nobody").is_none());
}

#[test]
fn a_mark_shows_at_its_task() {
    let mark = TaskMark { assignee_id: Some(Uuid::from_u128(9)), ..TaskMark::default() };
    let marked = tasks(None).marked(BTreeMap::from([(key(1), (3, mark))]));
    let (line, _) = marked.find(&key(1)).unwrap();
    assert_eq!((line.version, line.assignee_id), (3, Some(Uuid::from_u128(9))));
}
