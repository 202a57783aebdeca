//! One litter, one voice, over real HTTP: random histories written in one kennel, whose litters overlap as
//! those of a kennel do, and the laws of `src/domain/agreement/laws.rs` over what the service answers.

#[path = "../../src/domain/agreement/book.rs"]
mod book;
#[path = "../../src/domain/agreement/dice.rs"]
mod dice;
#[path = "../../src/domain/agreement/history.rs"]
mod history;
#[path = "../../src/domain/agreement/laws.rs"]
mod laws;

use crate::common::*;
use book::{Book, LitterFacts};
use chrono::{DateTime, Utc};
use chrono_tz::Europe::Berlin;
use history::{History, Step, Verb, Write};
use laws::{Answers, breaches};
use std::collections::BTreeMap;

/// Histories in the kennel.
const HISTORIES: u64 = 30;

/// The first seed; others than the domain's own test takes.
const FIRST_SEED: u64 = 70_000;

/// What the service made of the writes.
#[derive(Default)]
struct Tally {
    written: usize,
    refused: Vec<String>,
    looks: usize,
}

/// A kennel, its service, and what is known of each history.
struct Told {
    kennel: Kennel,
    books: BTreeMap<u64, Book>,
    tally: Tally,
}

impl Told {
    /// Sends a write; what is taken stands in the book as well, what is refused does not.
    async fn write(&mut self, seed: u64, write: &Write, now: DateTime<Utc>) {
        let book = &self.books[&seed];
        let (Some(path), Some(body)) = (book.resolve(&write.path), book.body(&write.body)) else {
            return;
        };
        let row = book.id(&write.name).map(|id| format!("{path}/{id}"));
        let key = format!("{seed}-{}", write.name);
        let answer = match (write.verb, row) {
            (Verb::Add | Verb::Again, _) => self.kennel.post_once(&path, &key, &body).await,
            (_, None) => return,
            (Verb::Change, Some(row)) => self.change(&row, &body).await,
            (Verb::Remove, Some(row)) => self.kennel.remove(&row).await,
            (Verb::Restore, Some(row)) => self.restore(&row).await,
        };
        if !(200..300).contains(&answer.status) {
            assert!(answer.status < 500, "{}: {}", answer.asked, answer.text());
            let why = format!("{} {:?}: {}", answer.asked, write.verb, answer.text());
            self.tally.refused.push(why);
            return;
        }
        self.tally.written += 1;
        let ids = match write.verb {
            Verb::Add => {
                let row = answer.json();
                let dog = row["dog_id"].as_str().and_then(|id| id.parse().ok());
                [id(&row), dog.unwrap_or_default()]
            }
            _ => [Uuid::nil(); 2],
        };
        self.books.get_mut(&seed).unwrap().take(write, ids, now);
    }

    /// A pup goes once its rules are met or set aside.
    async fn change(&self, row: &str, patch: &Value) -> Answer {
        if patch["stage"] == "handed_over" {
            let placement = self.kennel.get(row).await.ok();
            let dog = placement["dog_id"].as_str().unwrap().parse().unwrap();
            self.kennel.set_aside_all(dog).await;
        }
        let etag = self.kennel.get(row).await;
        if etag.status != 200 {
            return etag;
        }
        self.kennel.patch(row, &etag.etag(), patch.clone()).await
    }

    async fn restore(&self, row: &str) -> Answer {
        let row = row.rsplit('/').next().unwrap();
        let changes = self.kennel.get(&format!("/changes?row_id={row}")).await.ok();
        let last = items(&changes).last().unwrap()["sequence"].clone();
        let path = format!("/changes/{last}/restore");
        self.kennel.post(&path, json!({ "version": Value::Null })).await
    }

    async fn get(&self, path: &str) -> Value {
        self.kennel.get(path).await.ok()
    }

    async fn list(&self, path: &str) -> Value {
        self.get(path).await["items"].clone()
    }

    /// Every answer about a litter.
    async fn ask(&self, facts: &LitterFacts, now: DateTime<Utc>) -> Answers {
        let of = |name: &str| format!("/litters/{}/{name}", facts.litter_id);
        let litter = json!({
            "alarms": self.list(&format!("/alarms?litter_id={}", facts.litter_id)).await,
            "growth": self.get(&of("growth")).await,
            "newborns": self.get(&of("newborns")).await,
            "status": self.get(&of("whelping/status")).await,
            "window": self.get(&of("due-window")).await,
            "expected_pups": self.get(&of("expected-pups")).await,
            "readiness": self.get(&of("readiness")).await,
            "preparation": self.get(&of("preparation")).await,
            "dam_health": self.once_born(&of("dam-health"), facts).await,
            "report": self.once_born(&of("report"), facts).await["report"],
            "feeding": self.get(&format!("/dogs/{}/ration", facts.dam_id)).await["dam"]["now"]["stage"],
        });
        let kennel = json!({
            "alarms": self.list("/alarms").await,
            "today": self.get("/today").await,
            "due": self.get("/due").await,
            "tasks": self.list("/tasks").await,
            "planner": self.get("/planner").await,
        });
        let mut pups = BTreeMap::new();
        for pup in &facts.pups {
            let of = |name: &str| format!("/dogs/{}/{name}", pup.dog_id);
            let feeding = self.get(&of("ration")).await;
            let answers = json!({
                "readiness": self.get(&of("readiness")).await,
                "schedule": self.get(&of("schedule")).await,
                "feeding": feeding["pup"],
                "weight_g": feeding["weight_g"],
            });
            pups.insert(pup.dog_id, answers);
        }
        Answers { now, zone: Berlin, kennel, litter, pups }
    }

    async fn once_born(&self, path: &str, facts: &LitterFacts) -> Value {
        if facts.pups.is_empty() { Value::Null } else { self.get(path).await }
    }
}

#[tokio::test]
async fn the_service_says_the_same_of_a_litter_everywhere() {
    let mut told = Told {
        kennel: Kennel::among_others().await,
        books: BTreeMap::new(),
        tally: Tally::default(),
    };
    let mut steps: Vec<(u64, Step)> = Vec::new();
    for seed in FIRST_SEED..FIRST_SEED + HISTORIES {
        let history = History::grow(seed, Berlin, 1, 2);
        told.books.insert(seed, Book::new(history.zone));
        steps.extend(history.steps.into_iter().map(|step| (seed, step)));
    }
    steps.sort_by_key(|(_, step)| step.now);
    let mut found = Vec::new();
    for (seed, step) in steps {
        told.kennel.set_moment(step.now);
        for write in &step.writes {
            told.write(seed, write, step.now).await;
        }
        let Some(facts) = told.books[&seed].facts(step.now) else { continue };
        let others = told.books.iter().filter(|(other, _)| **other != seed);
        let others: Vec<LitterFacts> =
            others.filter_map(|(_, book)| book.facts(step.now)).collect();
        let answers = told.ask(&facts, step.now).await;
        told.tally.looks += 1;
        let broken = breaches(&answers, &facts, &others);
        found.extend(
            broken.into_iter().map(|breach| format!("seed {seed} at {}: {breach}", step.now)),
        );
    }
    let Tally { written, refused, looks } = told.tally;
    println!("{looks} looks, {written} writes, {} refused: {refused:#?}", refused.len());
    let first: Vec<&String> = found.iter().take(30).collect();
    assert!(found.is_empty(), "{} breaches: {first:#?}", found.len());
    assert!(refused.len() * 20 <= written, "{} of {written} refused", refused.len());
}
