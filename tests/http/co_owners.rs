//! Co-owners: the dogs in which they hold a share, all that hangs on those, and never the rest.

use crate::{
    common::*,
    rings::{a_moment, alarm_of, healthy_litter, listen, ringing, seen_on},
};
use chrono::Duration;

/// A kennel with two litters, of which the co-owner shares the dam of the first.
struct Shared {
    kennel: Kennel,
    co_owner: Caller,
    juno: Uuid,
    castor: Uuid,
    freya: Uuid,
    litter: Uuid,
    pup: Uuid,
    other_litter: Uuid,
    other_pup: Uuid,
}

fn dog_of(birth: &Value) -> Uuid {
    birth["dog_id"].as_str().unwrap().parse().unwrap()
}

async fn shared() -> Shared {
    let kennel = Kennel::among_others().await;
    let (juno, castor) = (kennel.dam("Juno").await, kennel.sire("Castor").await);
    let freya = kennel.dam("Freya").await;
    let litter = kennel.litter(juno, castor).await;
    let pup = dog_of(&kennel.birth(litter, 48, json!({ "weight_g": 400 })).await);
    let other_litter = kennel.litter(freya, castor).await;
    let other_pup = dog_of(&kennel.birth(other_litter, 48, json!({ "weight_g": 410 })).await);
    let co_owner = kennel.co_owner(&[juno]).await;
    Shared { kennel, co_owner, juno, castor, freya, litter, pup, other_litter, other_pup }
}

#[tokio::test]
async fn a_co_owner_sees_the_shared_dogs_and_their_pups() {
    let Shared { co_owner, juno, castor, freya, litter, pup, other_litter, other_pup, .. } =
        shared().await;
    assert_eq!(ids(&co_owner.get("/dogs").await.ok()), [juno, pup]);
    assert_eq!(ids(&co_owner.get("/litters").await.ok()), [litter]);
    for path in [
        format!("/dogs/{juno}"),
        format!("/dogs/{pup}"),
        format!("/dogs/{pup}/weights"),
        format!("/litters/{litter}/births"),
        format!("/dogs/{juno}/shares"),
    ] {
        co_owner.get(&path).await.ok();
    }
    for path in [
        format!("/dogs/{castor}"),
        format!("/dogs/{freya}"),
        format!("/dogs/{other_pup}"),
        format!("/dogs/{other_pup}/weights"),
        format!("/dogs/{freya}/shares"),
        format!("/litters/{other_litter}"),
        format!("/litters/{other_litter}/births"),
    ] {
        co_owner.get(&path).await.problem(404);
    }
}

#[tokio::test]
async fn all_that_hangs_on_a_shared_dog_is_shared() {
    let Shared { kennel, co_owner, juno, castor, freya, pup, other_pup, .. } = shared().await;
    let mut mine = Vec::new();
    for (dam, young) in [(juno, pup), (freya, other_pup)] {
        let heat = kennel.heat(dam, 300).await;
        let mating = kennel.mating(dam, castor, 200).await;
        let now = time_ago(Duration::minutes(3));
        let event = json!({ "dog_id": young, "kind": "worming", "given_at": now });
        let event = kennel.post("/health-events", event).await.id();
        let buyer = kennel.buyer("Ottilie").await;
        let placement = kennel.post("/placements", Kennel::reservation(young, buyer)).await.id();
        let temperature = json!({ "measured_at": now, "temperature_c": 38.1 });
        let temperature = kennel.post(&format!("/dogs/{dam}/temperatures"), temperature).await.id();
        let payment = json!({
            "kind": "deposit", "amount_minor": 30_000, "currency": "EUR", "paid_on": days_ago(1),
        });
        let payment = kennel.post(&format!("/placements/{placement}/payments"), payment).await.id();
        let paths = [
            format!("/heats/{heat}"),
            format!("/heats/{heat}/readings"),
            format!("/matings/{mating}"),
            format!("/matings/{mating}/pregnancy-checks"),
            format!("/health-events/{event}"),
            format!("/buyers/{buyer}"),
            format!("/placements/{placement}"),
            format!("/placements/{placement}/payments/{payment}"),
            format!("/dogs/{dam}/temperatures/{temperature}"),
        ];
        for path in &paths {
            let answer = co_owner.get(path).await;
            if dam == juno {
                answer.ok();
            } else {
                answer.problem(404);
            }
        }
        if dam == juno {
            mine = paths.to_vec();
        }
    }
    // Contact data and the price of their own pup's placement are theirs to see.
    let buyer = co_owner.get(&mine[5]).await.ok();
    assert_eq!(buyer["email"], "buyer@example.org");
    for collection in ["/heats", "/matings", "/health-events", "/buyers", "/placements"] {
        assert_eq!(items(&co_owner.get(collection).await.ok()).len(), 1, "{collection}");
    }
}

#[tokio::test]
async fn a_co_owner_writes_about_the_shared_dogs_alone() {
    let Shared { kennel, co_owner, juno, castor, freya, litter, pup, other_litter, other_pup } =
        shared().await;
    let now = time_ago(Duration::minutes(1));
    let weight = json!({ "measured_at": now, "weight_g": 500 });
    co_owner.post(&format!("/dogs/{pup}/weights"), weight.clone()).await.created();
    co_owner.post(&format!("/dogs/{other_pup}/weights"), weight).await.problem(404);
    co_owner.post("/heats", json!({ "dog_id": juno, "began_on": days_ago(1) })).await.created();
    co_owner
        .post("/heats", json!({ "dog_id": freya, "began_on": days_ago(1) }))
        .await
        .pointers(422);
    co_owner.post("/litters", json!({ "dam_id": juno })).await.created();
    co_owner.post("/litters", json!({ "dam_id": freya })).await.pointers(422);
    let birth = json!({ "born_at": now, "outcome": "alive" });
    co_owner.post(&format!("/litters/{litter}/births"), birth.clone()).await.created();
    co_owner.post(&format!("/litters/{other_litter}/births"), birth).await.problem(404);
    let event = |dog: Uuid| json!({ "dog_id": dog, "kind": "worming", "given_at": now });
    co_owner.post("/health-events", event(pup)).await.created();
    co_owner.post("/health-events", event(castor)).await.pointers(422);
    let buyer = json!({ "name": "Jon", "joined_on": days_ago(1) });
    let buyer = co_owner.post("/buyers", buyer).await.id();
    co_owner.get(&format!("/buyers/{buyer}")).await.ok();
    co_owner.post("/placements", Kennel::reservation(other_pup, buyer)).await.pointers(422);
    co_owner.post("/placements", Kennel::reservation(pup, buyer)).await.created();
    co_owner.change(&format!("/dogs/{juno}"), json!({ "note": "at mine" })).await.ok();
    co_owner.patch(&format!("/dogs/{freya}"), "\"1\"", json!({ "note": "x" })).await.problem(404);
    co_owner.post("/dogs", json!({ "residence": "here" })).await.problem(403);

    // Nor may they take more of a dog than they were given.
    let own = items(&co_owner.get(&format!("/dogs/{juno}/shares")).await.ok())[0].clone();
    let path = format!("/dogs/{juno}/shares/{}", id(&own));
    co_owner.patch(&path, "\"1\"", json!({ "numerator": 2 })).await.problem(403);
    let more = json!({ "person_id": co_owner.person_id, "numerator": 1, "denominator": 1 });
    co_owner.post(&format!("/dogs/{freya}/shares"), more).await.problem(403);
    assert_eq!(kennel.get(&format!("/dogs/{freya}")).await.ok()["version"], 1);
}

/// Of two pups of one litter and their dam, all ill, the co-owner has a share in the first pup alone.
#[tokio::test]
async fn a_co_owner_of_a_pup_sees_its_alarms_alone() {
    let kennel = Kennel::with(ringing()).await;
    let (litter, pups) = healthy_litter(&kennel, 2).await;
    let dam = kennel.get(&format!("/litters/{litter}")).await.ok()["dam_id"].clone();
    let co_owner = kennel.co_owner(&[pups[0]]).await;
    let (of_pup, of_all) =
        (listen(&kennel, &co_owner, json!({})).await, listen(&kennel, &kennel, json!({})).await);
    seen_on(&kennel, pups[1], "limp").await;
    of_all.wait(1).await;
    let fever = json!({ "measured_at": time_ago(Duration::minutes(2)), "temperature_c": 40.6 });
    let fever_path = format!("/dogs/{}/temperatures", dam.as_str().unwrap());
    kennel.post(&fever_path, fever).await.created();
    of_all.wait(2).await;
    seen_on(&kennel, pups[0], "limp").await;
    let rung = of_pup.wait(1).await.remove(0);
    of_all.wait(3).await;
    a_moment().await;
    assert_eq!((of_pup.messages().len(), of_all.messages().len()), (1, 3));

    let theirs = alarm_of(&co_owner, pups[0]).await;
    let owners = alarm_of(&kennel, pups[0]).await;
    assert_eq!(rung["tag"], theirs["id"]);
    for field in ["id", "code", "level", "about", "what", "why", "since"] {
        assert_eq!(theirs[field], owners[field], "{field}");
    }
    let all = co_owner.get("/alarms").await.ok();
    assert!(items(&all).iter().all(|alarm| alarm["about"]["dog_id"] == json!(pups[0])), "{all}");
    for hidden in [pups[1].to_string(), dam.as_str().unwrap().to_owned()] {
        assert!(!all.to_string().contains(&hidden), "{all}");
    }
    // Who has seen it is one mark for both.
    let seen = format!("/alarms/{}/seen", theirs["id"].as_str().unwrap());
    co_owner.post(&seen, json!({ "note": "on my way" })).await.created();
    let marked = alarm_of(&kennel, pups[0]).await;
    assert_eq!(marked["seen"]["person_id"], json!(co_owner.person_id), "{marked}");
    assert_eq!(alarm_of(&co_owner, pups[0]).await["seen"], marked["seen"]);

    // Its weights and its birth are watched as well: it has not been weighed for two days.
    kennel.set_moment(now() + Duration::hours(48));
    let codes = async |caller: &Caller| {
        let list = caller.get(&format!("/alarms?dog_id={}", pups[0])).await.ok();
        let codes = items(&list).iter().map(|alarm| (alarm["id"].clone(), alarm["code"].clone()));
        codes.collect::<Vec<_>>()
    };
    assert_eq!(codes(&co_owner).await, codes(&kennel).await);

    // The birth is told, and nothing of the litter; nothing of either can be changed.
    let birth = items(&kennel.get(&format!("/litters/{litter}/births")).await.ok())[0].clone();
    co_owner.get(&format!("/litters/{litter}")).await.problem(404);
    co_owner.get(&format!("/litters/{litter}/births")).await.problem(404);
    let path = format!("/litters/{litter}/births/{}", id(&birth));
    co_owner.patch(&path, "\"1\"", json!({ "note": "x" })).await.problem(404);
    assert_eq!(kennel.get(&path).await.ok()["version"], birth["version"]);
}

/// Moving a row from a shared dog to another one, or the other way round, is no way through the wall.
#[tokio::test]
async fn a_co_owner_moves_nothing_across_the_wall() {
    let Shared { kennel, co_owner, juno, freya, .. } = shared().await;
    let heat = kennel.heat(juno, 5).await;
    let moved = co_owner.change(&format!("/heats/{heat}"), json!({ "dog_id": freya })).await;
    assert_eq!(moved.status, 422, "{}", moved.text());
    let foreign = kennel.heat(freya, 5).await;
    co_owner
        .patch(&format!("/heats/{foreign}"), "\"1\"", json!({ "dog_id": juno }))
        .await
        .problem(404);
    assert_eq!(kennel.get(&format!("/heats/{foreign}")).await.ok()["dog_id"], json!(freya));
}

#[tokio::test]
async fn the_log_of_changes_shows_a_co_owner_the_shared_dogs_only() {
    let Shared { kennel, co_owner, juno, freya, pup, .. } = shared().await;
    kennel.weight(freya, 1, 26_000).await;
    kennel.weight(pup, 1, 430).await;
    let log = co_owner.get("/changes?limit=500").await.ok();
    let text = log.to_string();
    assert!(text.contains(&juno.to_string()) && text.contains(&pup.to_string()));
    assert!(!text.contains(&freya.to_string()), "{text}");
    let weight = "\"weight_g\":26000";
    assert!(kennel.get("/changes?limit=500").await.ok().to_string().contains(weight));
    assert!(!text.contains(weight));
}

#[tokio::test]
async fn a_share_that_ends_takes_the_view_with_it() {
    let Shared { kennel, co_owner, juno, .. } = shared().await;
    let shares = kennel.get(&format!("/dogs/{juno}/shares")).await.ok();
    kennel.remove(&format!("/dogs/{juno}/shares/{}", ids(&shares)[0])).await.no_content();
    co_owner.get(&format!("/dogs/{juno}")).await.problem(404);
    assert!(items(&co_owner.get("/dogs").await.ok()).is_empty());
}

#[tokio::test]
async fn shares_sum_to_the_whole_dog_at_most() {
    let kennel = Kennel::among_others().await;
    let juno = kennel.dam("Juno").await;
    let path = format!("/dogs/{juno}/shares");
    let share = |person: &Caller, numerator: u32, denominator: u32| json!({ "person_id": person.person_id, "numerator": numerator, "denominator": denominator });
    let (a, b, c) = (kennel.helper().await, kennel.helper().await, kennel.helper().await);
    // Thirds and sevenths have no exact decimals: the sum must be exact all the same.
    kennel.post(&path, share(&a, 1, 3)).await.created();
    kennel.post(&path, share(&b, 2, 7)).await.created();
    kennel.post(&path, share(&c, 9, 21)).await.refused(&["/numerator"]);
    kennel.post(&path, share(&c, 8, 21)).await.created();
    kennel.post(&path, share(&kennel.helper().await, 1, 10_000)).await.refused(&["/numerator"]);
    kennel.post(&path, share(&a, 1, 10_000)).await.problem(409);
    let first = ids(&kennel.get(&path).await.ok())[0];
    kennel
        .change(&format!("{path}/{first}"), json!({ "numerator": 2 }))
        .await
        .refused(&["/numerator"]);
    kennel.post(&path, share(&kennel.helper().await, 3, 2)).await.refused(&["/numerator"]);
    let nobody = json!({ "person_id": Uuid::nil(), "numerator": 1, "denominator": 2 });
    kennel
        .post(&format!("/dogs/{}/shares", kennel.dam("Freya").await), nobody)
        .await
        .refused(&["/person_id"]);
}

#[tokio::test]
async fn shares_given_at_once_do_not_sum_to_more_than_the_dog() {
    let kennel = Kennel::among_others().await;
    let juno = kennel.dam("Juno").await;
    let mut holders = Vec::new();
    for _ in 0..4 {
        holders.push(kennel.helper().await.person_id);
    }
    let given = holders.into_iter().map(|person_id| {
        let owner = kennel.owner().clone();
        tokio::spawn(async move {
            let half = json!({ "person_id": person_id, "numerator": 2, "denominator": 5 });
            owner.post(&format!("/dogs/{juno}/shares"), half).await.status
        })
    });
    let mut statuses = Vec::new();
    for share in given.collect::<Vec<_>>() {
        statuses.push(share.await.unwrap());
    }
    statuses.sort_unstable();
    assert_eq!(statuses, [201, 201, 422, 422]);
}
