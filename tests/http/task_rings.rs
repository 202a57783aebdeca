//! Tasks that ring: at the hour that somebody chose, once, and to nobody beyond the walls.

use crate::{
    common::*,
    rings::{a_moment, beside, listen, listen_at, looked_at, put, ringing},
};
use chrono::{DateTime, Duration, Utc};

/// It is noon in Berlin; tasks ring half an hour later.
const HOUR: &str = "12:30";

fn hour() -> DateTime<Utc> {
    now() + Duration::minutes(30)
}

fn choice() -> Value {
    json!({ "tasks_at": HOUR })
}

async fn own_task(kennel: &Kennel, title: &str, fields: Value) -> String {
    let mut task = json!({ "title": title, "due_on": days_ago(0) });
    task.as_object_mut().unwrap().extend(fields.as_object().unwrap().clone());
    format!("/tasks/own:{}", kennel.post("/own-tasks", task).await.id())
}

fn bodies(phone: &Phone) -> Vec<String> {
    let bodies = phone.messages();
    let mut bodies: Vec<String> =
        bodies.iter().map(|one| one["body"].as_str().unwrap().to_owned()).collect();
    bodies.sort();
    bodies
}

/// Waits until a worker has looked at what is so now, by the service's clock.
async fn looked_since(kennel: &Kennel) {
    looked_at(kennel).await;
    a_moment().await;
}

#[tokio::test]
async fn a_task_rings_at_the_hour_of_its_day_once() {
    let kennel = Kennel::with(ringing()).await;
    own_task(&kennel, "Order wormer", json!({})).await;
    own_task(&kennel, "Book the X-ray", json!({ "due_on": days_ago(-1) })).await;
    own_task(&kennel, "Long late", json!({ "due_on": days_ago(5) })).await;
    let phone = listen(&kennel, &kennel, choice()).await;
    let helper = kennel.helper().await;
    let without = listen(&kennel, &helper, json!({})).await;
    kennel.set_moment(hour() - Duration::seconds(1));
    looked_since(&kennel).await;
    assert!(phone.messages().is_empty(), "{:?}", phone.messages());
    kennel.set_moment(hour());
    let ring = phone.wait(1).await.remove(0);
    assert_eq!(
        (&ring["title"], &ring["body"]),
        (&json!("Due today, Thornwick Kennel"), &json!("Order wormer"))
    );
    let path = format!("/#/in/{}", kennel.kennel_id);
    assert_eq!((&ring["level"], &ring["path"]), (&json!("note"), &json!(path)));
    assert_eq!(ring["language"], "en");
    assert_eq!(phone.service.all()[0].headers["urgency"], "normal");
    // Nor when something else is written, a quarter of an hour later, or when another hour is chosen.
    kennel.dam("Freya").await;
    kennel.set_moment(hour() + Duration::minutes(20));
    looked_since(&kennel).await;
    put(&kennel, "/rings", json!({ "ways": ["push"], "tasks_at": "13:00" })).await.expect(200);
    kennel.set_moment(hour() + Duration::minutes(31));
    looked_since(&kennel).await;
    assert_eq!(bodies(&phone), ["Order wormer"]);
    // The day after rings what is due then, and no more what was.
    kennel.set_moment(hour() + Duration::hours(24) + Duration::minutes(30));
    phone.wait(2).await;
    looked_since(&kennel).await;
    assert_eq!(bodies(&phone), ["Book the X-ray", "Order wormer"]);
    assert!(without.messages().is_empty(), "nobody is rung of tasks who did not choose it");
}

#[tokio::test]
async fn what_was_done_or_put_off_before_never_rings() {
    let kennel = Kennel::with(ringing()).await;
    let done = own_task(&kennel, "Done", json!({})).await;
    let put_off = own_task(&kennel, "Put off", json!({})).await;
    own_task(&kennel, "Open", json!({})).await;
    let phone = listen(&kennel, &kennel, choice()).await;
    kennel.change(&done, json!({ "done_at": time_ago(Duration::minutes(1)) })).await.expect(200);
    let later = json!({ "snooze_ends_on": days_ago(-1), "snooze_reason": "the vet is away" });
    kennel.change(&put_off, later).await.expect(200);
    kennel.set_moment(hour());
    phone.wait(1).await;
    for hours in [1, 24, 48] {
        kennel.set_moment(hour() + Duration::hours(hours));
        looked_since(&kennel).await;
        assert_eq!(bodies(&phone), ["Open"], "{hours} hours later");
    }
    // What is undone again does not ring anew either.
    kennel.set_moment(hour());
    kennel.change(&done, json!({ "done_at": null })).await.expect(200);
    phone.wait(2).await;
    kennel.change(&done, json!({ "done_at": time_ago(Duration::minutes(1)) })).await.expect(200);
    kennel.change(&done, json!({ "done_at": null })).await.expect(200);
    looked_since(&kennel).await;
    assert_eq!(bodies(&phone), ["Done", "Open"]);
}

#[tokio::test]
async fn what_comes_due_after_the_hour_rings_then() {
    let kennel = Kennel::with(ringing()).await;
    let phone = listen(&kennel, &kennel, choice()).await;
    kennel.set_moment(hour());
    looked_since(&kennel).await;
    own_task(&kennel, "Fetch the crate", json!({})).await;
    phone.wait(1).await;
    looked_since(&kennel).await;
    assert_eq!(bodies(&phone), ["Fetch the crate"]);
    // Whoever begins after the hour is told of what comes from then on.
    let helper = kennel.helper().await;
    let late = listen(&kennel, &helper, choice()).await;
    own_task(&kennel, "Wash the beds", json!({})).await;
    late.wait(1).await;
    assert_eq!(bodies(&late), ["Wash the beds"]);
}

#[tokio::test]
async fn the_chores_of_a_day_are_one_ring() {
    let kennel = Kennel::with(ringing()).await;
    for _ in 0..2 {
        kennel.born_litter(4, 10).await;
    }
    let phone = listen(&kennel, &kennel, json!({ "tasks_at": HOUR, "level": "emergency" })).await;
    kennel.set_moment(hour());
    phone.wait(1).await;
    looked_since(&kennel).await;
    let list = kennel.get("/tasks").await.ok();
    let due = |line: &&Value| line["status"] == "due_today";
    let chores = |line: &Value| {
        let key = line["key"].as_str().unwrap();
        key.contains(":chores:") || key.contains(":growth:weigh")
    };
    let lines: Vec<&Value> = items(&list).iter().filter(due).collect();
    let due_of = |line: &Value| {
        let parts = line["parts"].as_array().unwrap();
        if parts.is_empty() { 1 } else { parts.iter().filter(due).count() }
    };
    let count: usize = lines.iter().filter(|line| chores(line)).map(|line| due_of(line)).sum();
    assert!(count >= 4, "{list}");
    let told = format!("{count} things due today, Thornwick Kennel");
    let all = phone.messages();
    let titles: Vec<&str> = all.iter().map(|one| one["title"].as_str().unwrap()).collect();
    assert_eq!(titles.iter().filter(|title| **title == told).count(), 1, "{titles:?}");
    let others = lines.iter().filter(|line| {
        let key = line["key"].as_str().unwrap();
        !chores(line) && !key.contains(":growth:look")
    });
    assert_eq!(all.len(), 1 + others.count(), "{all:?} {list}");
}

#[tokio::test]
async fn a_restart_rings_tasks_late_and_once() {
    let kennel = Kennel::new().await;
    own_task(&kennel, "Order wormer", json!({})).await;
    let phone = Phone::start(&[201]).await;
    let first = kennel.service.beside(beside(&kennel));
    listen_at(&kennel, &kennel, &phone, choice()).await;
    tokio::task::spawn_blocking(move || drop(first)).await.unwrap();
    // Nobody was there at the hour, nor for the rest of the day.
    kennel.set_moment(hour() + Duration::hours(16));
    a_moment().await;
    let second = kennel.service.beside(beside(&kennel));
    looked_since(&kennel).await;
    assert!(phone.messages().is_empty(), "not in the night: {:?}", phone.messages());
    kennel.set_moment(hour() + Duration::hours(24));
    phone.wait(1).await;
    tokio::task::spawn_blocking(move || drop(second)).await.unwrap();
    let third = kennel.service.beside(beside(&kennel));
    kennel.dam("Freya").await;
    looked_since(&kennel).await;
    assert_eq!(bodies(&phone), ["Order wormer"]);
    tokio::task::spawn_blocking(move || drop(third)).await.unwrap();
}

#[tokio::test]
async fn of_two_instances_one_rings_tasks() {
    let kennel = Kennel::with(ringing()).await;
    let second = kennel.service.beside(beside(&kennel));
    let titles = ["A", "B", "C", "D"];
    for title in titles {
        own_task(&kennel, title, json!({})).await;
    }
    let phone = listen(&kennel, &kennel, choice()).await;
    kennel.set_moment(hour());
    phone.wait(4).await;
    looked_since(&kennel).await;
    assert_eq!(bodies(&phone), titles);
    tokio::task::spawn_blocking(move || drop(second)).await.unwrap();
}

#[tokio::test]
async fn each_hears_of_what_is_theirs() {
    let kennel = Kennel::with(ringing()).await;
    let (juno, freya) = (kennel.dam("Juno").await, kennel.dam("Freya").await);
    let co_owner = kennel.co_owner(&[juno]).await;
    let helper = kennel.helper().await;
    own_task(&kennel, "Trim Juno", json!({ "dog_id": juno })).await;
    own_task(&kennel, "Trim Freya", json!({ "dog_id": freya })).await;
    let given = own_task(&kennel, "Walk Freya", json!({ "dog_id": freya })).await;
    kennel.change(&given, json!({ "assignee_id": helper.person_id })).await.expect(200);
    let of_share = listen(&kennel, &co_owner, choice()).await;
    let of_helper = listen(&kennel, &helper, choice()).await;
    let of_owner = listen(&kennel, &kennel, choice()).await;
    kennel.set_moment(hour());
    of_helper.wait(3).await;
    of_owner.wait(2).await;
    of_share.wait(1).await;
    looked_since(&kennel).await;
    assert_eq!(bodies(&of_share), ["Trim Juno"]);
    assert_eq!(bodies(&of_helper), ["Trim Freya", "Trim Juno", "Walk Freya"]);
    assert_eq!(bodies(&of_owner), ["Trim Freya", "Trim Juno"]);
}

#[tokio::test]
async fn quiet_hours_hold_tasks_back_and_what_is_done_by_then_is_dropped() {
    let kennel = Kennel::with(ringing()).await;
    let done = own_task(&kennel, "Done", json!({})).await;
    own_task(&kennel, "Open", json!({})).await;
    let quiet = json!({ "begin": "12:00", "end": "13:00" });
    let phone = listen(&kennel, &kennel, json!({ "tasks_at": HOUR, "quiet": quiet })).await;
    kennel.set_moment(hour());
    looked_since(&kennel).await;
    kennel.change(&done, json!({ "done_at": time_ago(Duration::minutes(1)) })).await.expect(200);
    kennel.set_moment(now() + Duration::minutes(60) - Duration::seconds(1));
    looked_since(&kennel).await;
    assert!(phone.messages().is_empty(), "{:?}", phone.messages());
    kennel.set_moment(now() + Duration::minutes(60));
    phone.wait(1).await;
    looked_since(&kennel).await;
    assert_eq!(bodies(&phone), ["Open"]);
}
