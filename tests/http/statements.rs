//! How many statements a question takes: for one litter as many as for twenty.

use crate::common::*;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Looks at the whole kennel, which read only what was written since the last one.
const LOOKS: [&str; 2] = ["/today", "/alarms"];

/// A kennel whose service is counted.
struct Counted {
    kennel: Kennel,
    counting: Counting,
}

impl Counted {
    async fn new() -> Self {
        let database = Database::migrated().await;
        let counting = Counting::before(&service_url(&database.url()));
        let service = Service::start_through(&counting.url, database, settings());
        Self { kennel: Kennel::on(Arc::new(service)).await, counting }
    }

    /// Statements that one answer takes within the kennel, its beginning and end among them, once those that are
    /// asked only the first time are over; a look at the whole kennel takes them after a weight.
    async fn of(&self, path: &str, pup: Uuid) -> usize {
        self.kennel.get(path).await.ok();
        if LOOKS.contains(&path) {
            self.kennel.weight(pup, 2, 615).await;
        }
        self.counting.taken();
        self.kennel.get(path).await.ok();
        let taken = self.counting.taken();
        assert!(taken > 0, "{path} is not counted");
        taken
    }

    async fn litters(&self, litters: usize) -> Vec<(Uuid, Uuid)> {
        let mut made = Vec::new();
        for number in 0..litters {
            let dam = self.kennel.dam(&format!("Dam {number}")).await;
            let sire = self.kennel.sire(&format!("Sire {number}")).await;
            let mating = self.kennel.mating(dam, sire, 70).await;
            let body = json!({ "dam_id": dam, "sire_id": sire, "mating_id": mating });
            let litter = self.kennel.post("/litters", body).await.id();
            let mut pup = Uuid::nil();
            for _ in 0..2 {
                let birth = self.kennel.birth(litter, 5 * 24, json!({ "weight_g": 400 })).await;
                pup = birth["dog_id"].as_str().unwrap().parse().unwrap();
                self.kennel.weight(pup, 3, 610).await;
            }
            made.push((litter, pup));
        }
        made
    }
}

#[tokio::test]
async fn statements_do_not_grow_with_litters_or_pups() {
    let counted = Counted::new().await;
    let made = counted.litters(1).await;
    let (litter, pup) = made[0];
    // What each took on 30 November 2026, signs after heats among what is known of health, reports of new owners that
    // wait among tasks; a question that needs more
    // has to say why.
    let most = [
        // What was written, whose weights changed, births with their weights and the weights; beginning and end.
        ("/today".to_owned(), 6),
        ("/alarms".to_owned(), 6),
        ("/tasks".to_owned(), 57),
        ("/planner".to_owned(), 32),
        ("/shopping-list".to_owned(), 31),
        ("/due".to_owned(), 14),
        (format!("/litters/{litter}/growth"), 24),
        // Beside its growth what dogs of its breed weigh in the own lines: a transaction with two questions.
        (format!("/dogs/{pup}/growth"), 28),
        (format!("/litters/{litter}/readiness"), 18),
        (format!("/litters/{litter}/whelping/status"), 35),
        // Beside the litter's record, what was seen of the dam after her other litters.
        (format!("/litters/{litter}/dam-health"), 27),
        (format!("/litters/{litter}/due-window"), 24),
        (format!("/dogs/{pup}/schedule"), 13),
        ("/reports/years/2027".to_owned(), 14),
    ];
    let paths: Vec<String> = most.iter().map(|(path, _)| path.clone()).collect();
    let mut one = BTreeMap::new();
    for path in &paths {
        one.insert(path.clone(), counted.of(path, pup).await);
    }
    counted.litters(19).await;
    let mut twenty = BTreeMap::new();
    for path in &paths {
        twenty.insert(path.clone(), counted.of(path, pup).await);
    }
    println!("{one:#?}");
    assert_eq!(one, twenty);
    for (path, most) in most {
        assert!(one[&path] <= most, "{path} takes {}, not {most}", one[&path]);
    }
    counted.kennel.get("/today").await.ok();
    counted.counting.taken();
    counted.kennel.get("/today").await.ok();
    assert_eq!(counted.counting.taken(), 0, "where nothing was written since");
}

/// A record is read, or a list of them, by the statement that proves the login and sets the walls; whether anything
/// has changed is found out by the login's own.
#[tokio::test]
async fn a_read_is_one_statement() {
    let counted = Counted::new().await;
    let kennel = &counted.kennel;
    let dog = kennel.dam("Juno").await;
    kennel.weight(dog, 3, 24_000).await;
    for path in [
        format!("/dogs/{dog}"),
        "/dogs".to_owned(),
        format!("/dogs/{dog}/weights"),
        "/planner/settings".to_owned(),
    ] {
        // Workers ask now and then, and a connection prepares what it asks for the first time.
        let mut least = usize::MAX;
        for _ in 0..12 {
            counted.counting.all_taken();
            kennel.get(&path).await.ok();
            least = least.min(counted.counting.all_taken());
        }
        assert_eq!(least, 1, "{path}");
    }
}

/// Twenty streams that see the same are told of a change by a look or two, and not by one each.
#[tokio::test]
async fn streams_that_see_the_same_are_told_by_one_look() {
    const STREAMS: usize = 20;
    let counted = Counted::new().await;
    let kennel = &counted.kennel;
    let start = kennel.get("/changes").await.ok()["newest_sequence"].as_i64().unwrap();
    let mut streams = Vec::new();
    for _ in 0..STREAMS {
        streams.push(kennel.follow(Some(start)).await);
    }
    let mut least = usize::MAX;
    for number in 0..6 {
        let dog = kennel.dam(&format!("Dam {number}")).await;
        for stream in &mut streams {
            assert_eq!(stream.next().await.1["row_id"], json!(dog));
        }
        // The first ones prepare statements, and workers ask now and then.
        least = least.min(counted.counting.all_taken());
    }
    // A dog takes ten; a look and a proof of all who wait are two, for each time that some have come together.
    assert!(least < 10 + STREAMS, "{least} statements");
}

/// A weight is written by so many statements; one that takes more has to say why.
#[tokio::test]
async fn a_weight_is_written_by_few_statements() {
    let counted = Counted::new().await;
    let kennel = &counted.kennel;
    let dog = kennel.dam("Juno").await;
    let mut least = usize::MAX;
    // The first ones of each connection prepare, and workers ask now and then.
    for number in 0..40 {
        counted.counting.all_taken();
        kennel.weight(dog, 3, 24_000 + number).await;
        least = least.min(counted.counting.all_taken());
    }
    // The login, the beginning (with entering and waiting for other writers), whether the dog is there, the rules and plans
    // (three), its litter (five), its weights, the row, the end.
    assert_eq!(least, 14);
}
