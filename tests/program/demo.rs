//! The demo on a real Postgres: it loads once, keeps what people wrote, and is as full and as
//! alive as it says.

use crate::common::cluster;
use chrono::{DateTime, Duration, Utc};

use domain::{
    fault::Faults,
    pedigree::{Pedigree, PedigreeRow, completeness},
    record::*,
};
use std::time::Instant;
use store::{
    Db, accounts,
    keep::{self, Keep, Page},
    migrate, people,
    scope::{self, Scope},
};
use tokio_postgres::NoTls;
use uuid::Uuid;

/// A database of its own, gone at the end.
struct Database {
    name: String,
    db: Db,
}

impl Database {
    async fn new() -> Self {
        let name = format!("demo_{}", Uuid::now_v7().simple());
        run(&format!("CREATE DATABASE {name}")).await;
        let url = url_of(&name);
        migrate::run(&url, migrate::Direction::Up).await.expect("it migrates");
        Self { name, db: Db::for_upkeep(&url, 2).unwrap() }
    }

    async fn scope_of(&self, email: &str) -> Scope {
        let person = accounts::by_email(&self.db, email).await.unwrap().expect("a login").person;
        let kennels = people::kennels_of(&self.db, person.id).await.unwrap();
        assert_eq!(kennels.len(), 1, "{email} belongs to one kennel");
        scope::of_person(&self.db, person.id, kennels[0].kennel_id, Utc::now()).await.unwrap()
    }

    /// All rows of a kind that a person sees.
    async fn all<R: Keep>(&self, scope: &Scope) -> Vec<Kept<R>> {
        let page = Page::first(10_000);
        let list = self
            .db
            .within(scope, async |tx| keep::list::<R>(tx, None, &R::Filter::default(), page).await)
            .await
            .unwrap();
        assert_eq!(list.next_cursor, None);
        list.items
    }

    async fn remove(self) {
        run(&format!("DROP DATABASE {} WITH (FORCE)", self.name)).await;
    }
}

fn url_of(database: &str) -> String {
    let (address, settings) =
        cluster::admin_url().split_once('?').unwrap_or((cluster::admin_url(), ""));
    let (server, _) = address.rsplit_once('/').expect("an address ends with a database");
    format!("{server}/{database}?{settings}")
}

async fn run(sql: &str) {
    let (client, connection) =
        tokio_postgres::connect(cluster::admin_url(), NoTls).await.expect("Postgres answers");
    tokio::spawn(connection);
    client.batch_execute(sql).await.unwrap_or_else(|error| panic!("{sql}: {error:?}"));
}

/// Rows that pass their own check, as if a client sent them now.
async fn checked<R: Keep>(database: &Database, scope: &Scope, now: DateTime<Utc>) -> Vec<Kept<R>> {
    let rows = database.all::<R>(scope).await;
    for row in &rows {
        let mut faults = Faults::new();
        row.record.check(now, &mut faults);
        let text = serde_json::to_string(&row.record).unwrap();
        assert_eq!(faults.into_vec(), [], "{text}");
    }
    rows
}

#[tokio::test]
async fn the_demo_is_full_sound_and_loaded_once() {
    let database = Database::new().await;
    let now = Utc::now();
    let begun = Instant::now();
    demo::load(&database.db, now).await.expect("it loads");
    println!("the demo loads in {:?}", begun.elapsed());
    let maren = database.scope_of("maren@example.org").await;

    let dogs = checked::<Dog>(&database, &maren, now).await;
    assert!(dogs.len() >= 60, "{} dogs", dogs.len());
    assert!(generations(&dogs) >= 6, "{} generations", generations(&dogs));
    let heats = checked::<Heat>(&database, &maren, now).await;
    let readings = checked::<HeatReading>(&database, &maren, now).await;
    let matings = checked::<Mating>(&database, &maren, now).await;
    checked::<PregnancyCheck>(&database, &maren, now).await;
    let litters = checked::<Litter>(&database, &maren, now).await;
    let births = checked::<Birth>(&database, &maren, now).await;
    let weights = checked::<Weight>(&database, &maren, now).await;
    checked::<Temperature>(&database, &maren, now).await;
    let events = checked::<HealthEvent>(&database, &maren, now).await;
    let buyers = checked::<Buyer>(&database, &maren, now).await;
    let placements = checked::<Placement>(&database, &maren, now).await;
    checked::<Payment>(&database, &maren, now).await;
    checked::<Share>(&database, &maren, now).await;
    checked::<Member>(&database, &maren, now).await;
    assert!(heats.len() > 20 && readings.len() > 20 && buyers.len() > 30 && events.len() > 50);
    assert!(weights.len() > 400, "{} weights", weights.len());

    let planned = matings.iter().filter(|m| m.record.status == MatingStatus::Planned).count();
    assert_eq!(planned, 1);
    let expected = litters.iter().filter(|l| l.record.whelped_on.is_none()).count();
    assert_eq!((litters.len(), expected, births.len()), (7, 1, 40));
    let today = maren.day_of(now);
    let mut ages: Vec<i64> = litters
        .iter()
        .filter_map(|litter| Some((today - litter.record.whelped_on?).num_days()))
        .collect();
    ages.sort_unstable();
    assert_eq!(ages[..2], [7, 53]);
    let reserved = placements.iter().filter(|p| p.record.stage == PlacementStage::Reserved).count();
    assert!(reserved >= 5, "{reserved} pups are promised");

    // A second start leaves everything as people left it.
    let dog = dogs[0].id;
    database
        .db
        .within(&maren, async |tx| {
            let change = async |kept: &Kept<Dog>| {
                Ok::<_, ()>(Dog { note: Some("seen".to_owned()), ..kept.record.clone() })
            };
            keep::change(tx, dog, keep::Seen::Version(1), change).await
        })
        .await
        .unwrap()
        .unwrap();
    demo::load(&database.db, now + Duration::days(3)).await.expect("it loads again");
    let again = database.all::<Dog>(&maren).await;
    assert_eq!(again.len(), dogs.len());
    assert_eq!(again[0].record.note.as_deref(), Some("seen"));
    database.remove().await;
}

/// Generations from the oldest ancestor to the youngest pup, both counted.
fn generations(dogs: &[Kept<Dog>]) -> u32 {
    let rows = dogs.iter().map(|dog| PedigreeRow {
        id: dog.id,
        sire: dog.record.sire_id,
        dam: dog.record.dam_id,
    });
    let pedigree = Pedigree::build(rows).expect("a sound pedigree");
    let depths = completeness::depths(pedigree.parents());
    depths.iter().map(|depth| depth.deepest).max().unwrap_or(0) + 1
}

#[tokio::test]
async fn each_login_sees_what_is_theirs() {
    let database = Database::new().await;
    demo::load(&database.db, Utc::now()).await.expect("it loads");
    let name = |dogs: &[Kept<Dog>], name: &str| {
        dogs.iter().any(|dog| dog.record.call_name.as_deref() == Some(name))
    };

    let tobias = database.scope_of("tobias@example.org").await;
    let shared = database.all::<Dog>(&tobias).await;
    assert!(name(&shared, "Juno") && name(&shared, "Otter") && name(&shared, "Gorse"));
    assert!(!name(&shared, "Bramble") && !name(&shared, "Harebell"));

    let pia = database.scope_of("pia@example.org").await;
    assert!(name(&database.all::<Dog>(&pia).await, "Bramble"));
    assert!(database.all::<Buyer>(&pia).await.iter().all(|buyer| buyer.record.email.is_none()));

    let ines = database.scope_of("ines@example.org").await;
    let others = database.all::<Dog>(&ines).await;
    assert_eq!(others.len(), 7, "four grown dogs and three pups");
    assert!(!name(&others, "Juno"));
    database.remove().await;
}

#[tokio::test]
async fn one_pup_loses_while_its_litter_gains() {
    let database = Database::new().await;
    let now = Utc::now();
    demo::load(&database.db, now).await.expect("it loads");
    let maren = database.scope_of("maren@example.org").await;
    let litters = database.all::<Litter>(&maren).await;
    let today = maren.day_of(now);
    let week_old = litters
        .iter()
        .find(|litter| litter.record.whelped_on == Some(today - Duration::days(7)))
        .expect("a litter a week old");
    let births = database.all::<Birth>(&maren).await;
    let weights = database.all::<Weight>(&maren).await;
    let mut losing = Vec::new();
    let mut watched = 0;
    for birth in births.iter().map(|birth| &birth.record) {
        if birth.litter_id != week_old.id || birth.outcome == BirthOutcome::Stillborn {
            continue;
        }
        watched += 1;
        let mut own: Vec<&Weight> =
            weights.iter().map(|w| &w.record).filter(|w| w.dog_id == birth.dog_id).collect();
        own.sort_by_key(|weight| weight.measured_at);
        let last = own.last().expect("weighed");
        let day_before = last.measured_at - Duration::hours(23);
        let before =
            own.iter().rfind(|w| w.measured_at <= day_before).expect("weighed the day before");
        if last.weight_g < before.weight_g {
            losing.push(birth.collar.clone().unwrap());
        } else {
            assert!(f64::from(last.weight_g) > 1.5 * f64::from(birth.weight_g.unwrap()));
        }
    }
    assert_eq!(watched, 7);
    assert_eq!(losing, ["white"]);
    database.remove().await;
}
