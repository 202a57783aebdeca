//! Whose rows: other kennels, roles, invitations.

use crate::common::*;
use chrono::Duration;
use denwright::service::server::Settings;
use reqwest::Method;

#[tokio::test]
async fn another_kennel_is_not_there() {
    let kennel = Kennel::among_others().await;
    let other = kennel.another().await;
    let (juno, castor) = (kennel.dam("Juno").await, kennel.sire("Castor").await);
    let litter = kennel.litter(juno, castor).await;
    let weight = kennel.weight(juno, 2, 27_000).await;

    // Through the kennel's own address: nothing, not even that it exists.
    let intruder = other.in_kennel(kennel.kennel_id);
    for path in ["", "/dogs", "/members", "/changes", "/rules", "/buyers", "/access-tokens"] {
        intruder.get(path).await.problem(404);
    }
    intruder.post("/dogs", json!({ "residence": "here" })).await.problem(404);
    intruder.get(&format!("/dogs/{juno}")).await.problem(404);

    // Through their own address.
    for path in [
        format!("/dogs/{juno}"),
        format!("/litters/{litter}"),
        format!("/dogs/{juno}/weights/{weight}"),
    ] {
        other.get(&path).await.problem(404);
        other.patch(&path, "\"1\"", json!({ "note": "mine" })).await.problem(404);
        other.delete(&path, "\"1\"").await.problem(404);
    }
    assert!(items(&other.get("/dogs").await.ok()).is_empty());
    let freya = other.dam("Freya").await;
    other.post("/litters", json!({ "dam_id": juno })).await.refused(&["/dam_id"]);
    let by_castor = json!({ "dam_id": freya, "sire_id": castor });
    other.post("/litters", by_castor).await.refused(&["/sire_id"]);
    other.post("/dogs", json!({ "residence": "here", "dam_id": juno })).await.refused(&["/dam_id"]);
    other
        .post("/heats", json!({ "dog_id": juno, "began_on": days_ago(2) }))
        .await
        .refused(&["/dog_id"]);
    let event =
        json!({ "dog_id": juno, "kind": "other", "given_at": time_ago(Duration::hours(1)) });
    other.post("/health-events", event).await.refused(&["/dog_id"]);
    other
        .change(&format!("/dogs/{freya}"), json!({ "sire_id": castor }))
        .await
        .refused(&["/sire_id"]);

    // And what they wrote themselves is their own.
    assert_eq!(ids(&kennel.get("/dogs").await.ok()), [juno, castor]);
    assert_eq!(ids(&other.get("/dogs").await.ok()), [freya]);
}

/// What each role may do, request by request.
#[tokio::test]
async fn roles_allow_what_they_should() {
    let kennel = Kennel::among_others().await;
    let (juno, castor) = (kennel.dam("Juno").await, kennel.sire("Castor").await);
    let litter = kennel.litter(juno, castor).await;
    let pup = kennel.birth(litter, 30, json!({})).await["dog_id"].clone();
    let mating = kennel.mating(juno, castor, 60).await;
    let heat = kennel.heat(juno, 70).await;
    let buyer = kennel.buyer("Ottilie").await;
    let placement = json!({ "dog_id": pup, "buyer_id": buyer, "kind": "sale", "stage": "offered" });
    let placement = kennel.post("/placements", placement).await.id();
    let now = time_ago(Duration::minutes(2));
    let observations = [
        (format!("/dogs/{juno}/weights"), json!({ "measured_at": now, "weight_g": 27_000 })),
        (
            format!("/dogs/{juno}/temperatures"),
            json!({ "measured_at": now, "temperature_c": 37.4 }),
        ),
        (format!("/litters/{litter}/births"), json!({ "born_at": now, "outcome": "alive" })),
        (
            format!("/heats/{heat}/readings"),
            json!({ "kind": "sign", "taken_at": now, "finding": "flagging" }),
        ),
        (
            format!("/matings/{mating}/pregnancy-checks"),
            json!({ "checked_at": now, "method": "ultrasound", "result": "pregnant" }),
        ),
        (
            "/health-events".to_owned(),
            json!({ "dog_id": juno, "kind": "worming", "given_at": now }),
        ),
    ];
    let breeding = [
        ("/dogs".to_owned(), json!({ "residence": "here" })),
        ("/heats".to_owned(), json!({ "dog_id": juno, "began_on": days_ago(400) })),
        (
            "/matings".to_owned(),
            json!({ "dam_id": juno, "sire_id": castor, "status": "planned", "method": "natural" }),
        ),
        ("/litters".to_owned(), json!({ "dam_id": juno, "sire_id": castor })),
        ("/buyers".to_owned(), json!({ "name": "Jon", "joined_on": days_ago(1) })),
        ("/placements".to_owned(), json!({ "dog_id": juno, "kind": "kept", "stage": "reserved" })),
        (
            format!("/placements/{placement}/payments"),
            json!({ "kind": "deposit", "amount_minor": 5, "currency": "EUR", "paid_on": days_ago(0) }),
        ),
    ];
    let managing = [
        (
            format!("/dogs/{juno}/shares"),
            json!({ "person_id": kennel.person_id, "numerator": 1, "denominator": 4 }),
        ),
        ("/invitations".to_owned(), json!({ "email": "wren@example.org", "role": "viewer" })),
        (
            "/rules/overrides".to_owned(),
            json!({ "key": "dating.ovulation_days", "value": 63, "source": "our vet" }),
        ),
    ];
    let (helper, viewer) = (kennel.helper().await, kennel.viewer().await);
    for (path, body) in observations {
        viewer.post(&path, body.clone()).await.problem(403);
        helper.post(&path, body).await.created();
    }
    for (path, body) in breeding.into_iter().chain(managing.clone()) {
        viewer.post(&path, body.clone()).await.problem(403);
        helper.post(&path, body.clone()).await.problem(403);
        kennel.post(&path, body).await.created();
    }
    for member in [&helper, &viewer] {
        for path in
            ["", "/dogs", "/heats", "/matings", "/litters", "/members", "/rules", "/changes"]
        {
            member.get(path).await.ok();
        }
        let payments = format!("/placements/{placement}/payments");
        for path in [payments.as_str(), "/invitations", &format!("/dogs/{juno}/shares")] {
            member.get(path).await.problem(403);
        }
        member.patch("", "\"1\"", json!({ "name": "Ours" })).await.problem(403);
        let dog = format!("/dogs/{castor}");
        member.patch(&dog, "\"1\"", json!({ "note": "x" })).await.problem(403);
        member.delete(&dog, "\"1\"").await.problem(403);
    }
    let co_owner = kennel.co_owner(&[]).await;
    for (path, body) in managing {
        let status = co_owner.post(&path, body).await.status;
        assert!(status == 403 || status == 404, "{path}: {status}");
    }
}

#[tokio::test]
async fn contact_data_and_money_are_for_owners() {
    let kennel = Kennel::among_others().await;
    let (_, pups) = kennel.born_litter(1, 20).await;
    let buyer = kennel.buyer("Ottilie Marsh").await;
    kennel.change(&format!("/buyers/{buyer}"), json!({ "note": "calls late" })).await.ok();
    let placement = kennel.post("/placements", Kennel::reservation(pups[0], buyer)).await.id();
    for member in [kennel.helper().await, kennel.viewer().await] {
        for seen in [
            member.get(&format!("/buyers/{buyer}")).await.ok(),
            items(&member.get("/buyers").await.ok())[0].clone(),
        ] {
            assert_eq!(seen["name"], "Ottilie Marsh");
            for hidden in ["email", "phone", "address", "note"] {
                assert!(seen[hidden].is_null(), "{hidden} is shown");
            }
        }
        let seen = member.get(&format!("/placements/{placement}")).await.ok();
        assert_eq!((&seen["stage"], &seen["buyer_id"]), (&json!("reserved"), &json!(buyer)));
        assert!(
            seen["price_minor"].is_null() && seen["currency"].is_null() && seen["terms"].is_null()
        );

        let emails = member.get("/members").await.ok();
        assert!(items(&emails).iter().all(|member| member["email"].is_null()), "{emails}");
        let log = member.get("/changes?limit=500").await.expect(200).text();
        for secret in ["buyer@example.org", "calls late", "180000"] {
            assert!(!log.contains(secret), "the log of changes shows {secret}");
        }
    }
    let log = kennel.get("/changes?limit=500").await.expect(200).text();
    assert!(log.contains("buyer@example.org") && log.contains("180000"));
}

#[tokio::test]
async fn the_last_owner_stays() {
    let kennel = Kennel::among_others().await;
    let me = id(&items(&kennel.get("/members").await.ok())[0]);
    let own = format!("/members/{me}");
    kennel.remove(&own).await.problem(409);
    kennel.change(&own, json!({ "role": "helper" })).await.problem(409);

    let second = kennel.member(Role::Owner).await;
    let members = kennel.get("/members").await.ok();
    let other = items(&members).iter().map(id).find(|member| *member != me).unwrap();
    // Each removes the other at the same moment.
    let (mine, others) = (format!("/members/{me}"), format!("/members/{other}"));
    let (first, last) =
        tokio::join!(kennel.delete(&others, "\"1\""), second.delete(&mine, "\"1\""));
    let statuses = [first.status, last.status];
    assert!(statuses.contains(&204) && statuses != [204, 204], "{statuses:?}");
    let left = if statuses[0] == 204 { kennel.owner().clone() } else { second };
    let members = left.get("/members").await.ok();
    assert_eq!(items(&members).len(), 1);
    assert_eq!(items(&members)[0]["role"], "owner");
}

#[tokio::test]
async fn a_member_stays_the_person_they_are() {
    let kennel = Kennel::among_others().await;
    kennel.helper().await;
    let stranger = kennel.stranger().await;
    let members = kennel.get("/members").await.ok();
    let path = format!("/members/{}", id(&items(&members)[1]));
    kennel.change(&path, json!({ "role": "viewer" })).await.ok();
    kennel.change(&path, json!({ "person_id": stranger.person_id })).await.refused(&["/person_id"]);
}

/// A person's address, as they wrote it in capitals.
async fn email_of(person: &Caller) -> String {
    person.get("/v1/me").await.ok()["person"]["email"].as_str().unwrap().to_uppercase()
}

#[tokio::test]
async fn an_invitation_opens_the_kennel_once() {
    let kennel = Kennel::among_others().await;
    let wren = kennel.stranger().await;
    let body = json!({ "email": email_of(&wren).await, "role": "helper" });
    let invited = kennel.post("/invitations", body.clone()).await.created();
    let token = json!({ "token": invited["token"] });
    // Who was not invited does not get in with somebody else's secret.
    kennel.stranger().await.post("/v1/invitations/accept", token.clone()).await.problem(403);
    wren.get("/dogs").await.problem(404);
    kennel.nobody().post("/v1/invitations/accept", token.clone()).await.problem(401);
    let joined = wren.post("/v1/invitations/accept", token.clone()).await.ok();
    assert_eq!(joined["kennel_id"], json!(kennel.kennel_id));
    assert_eq!(wren.get("/v1/me").await.ok()["kennels"][0]["role"], "helper");
    wren.get("/dogs").await.ok();
    kennel.stranger().await.post("/v1/invitations/accept", token).await.problem(401);
    wren.post("/v1/invitations/accept", json!({ "token": "guess" })).await.problem(401);
    let log = kennel.get("/changes?limit=500").await.expect(200).text();
    assert!(!log.contains("token_hash") && !log.contains(invited["token"].as_str().unwrap()));

    // A member who accepts another invitation is a member already, and the invitation stays open.
    let again = kennel.post("/invitations", body.clone()).await.created();
    wren.post("/v1/invitations/accept", json!({ "token": again["token"] })).await.problem(409);

    // Withdrawn.
    let path = format!("/invitations/{}", id(&again["invitation"]));
    let request = kennel.request(Method::DELETE, &path).header("if-match", "\"1\"");
    request.send().await.no_content();
    let stranger = kennel.stranger().await;
    stranger.post("/v1/invitations/accept", json!({ "token": again["token"] })).await.problem(401);
}

#[tokio::test]
async fn an_invitation_accepted_twice_at_once_lets_in_once() {
    let kennel = Kennel::among_others().await;
    let one = kennel.stranger().await;
    let two = one.clone();
    let body = json!({ "email": email_of(&one).await, "role": "helper" });
    let token = json!({ "token": kennel.post("/invitations", body).await.created()["token"] });
    let (first, second) = tokio::join!(
        one.post("/v1/invitations/accept", token.clone()),
        two.post("/v1/invitations/accept", token.clone())
    );
    let mut statuses = [first.status, second.status];
    statuses.sort_unstable();
    assert_eq!(statuses, [200, 401]);
    assert_eq!(items(&kennel.get("/members").await.ok()).len(), 2);
}

/// Where there are more questions than connections, several are sent on one that has not answered yet: each stays
/// within the login that it was asked by.
#[tokio::test]
async fn questions_on_one_connection_stay_apart() {
    let kennel = Kennel::with(Settings { pool_size: 2, ..settings() }).await;
    let other = kennel.another().await;
    let (juno, freya) = (kennel.dam("Juno").await, other.dam("Freya").await);
    kennel.weight(juno, 2, 27_000).await;
    let partner = kennel.co_owner(&[]).await;
    let gone = kennel.viewer().await;
    gone.post("/v1/auth/logout-everywhere", json!({})).await.no_content();
    let own = |caller: &Caller, dog: Uuid, status: u16| (caller.clone(), dog, status);
    let asking = [
        own(kennel.owner(), juno, 200),
        own(other.owner(), freya, 200),
        own(&partner, juno, 404),
        own(&gone, juno, 401),
        own(kennel.owner(), freya, 404),
        own(&other.in_kennel(kennel.kennel_id), juno, 404),
        own(&kennel.nobody(), juno, 401),
    ];
    let asked: Vec<_> = (0..20)
        .flat_map(|turn| asking.clone().map(|question| (turn, question)))
        .map(|(turn, (caller, dog, status))| {
            tokio::spawn(async move {
                let path = if turn % 2 == 0 { "" } else { "/weights" };
                let answer = caller.get(&format!("/dogs/{dog}{path}")).await.expect(status);
                if status == 200 && turn % 2 == 0 {
                    assert_eq!(id(&answer.json()), dog);
                } else if status == 200 {
                    let of = |weight: &Value| weight["dog_id"] == json!(dog);
                    assert!(items(&answer.json()).iter().all(of));
                    assert_eq!(items(&answer.json()).len(), usize::from(dog == juno));
                }
            })
        })
        .collect();
    for answer in asked {
        answer.await.unwrap();
    }
    // Who writes meanwhile gets a connection as well, and what was written is read at once.
    for number in 0..10 {
        let reads: Vec<_> = (0..20)
            .map(|_| {
                let owner = kennel.owner().clone();
                tokio::spawn(async move { owner.get(&format!("/dogs/{juno}")).await.expect(200) })
            })
            .collect();
        let note = format!("note {number}");
        kennel.change(&format!("/dogs/{juno}"), json!({ "note": note })).await.ok();
        assert_eq!(kennel.get(&format!("/dogs/{juno}")).await.ok()["note"], note);
        for read in reads {
            read.await.unwrap();
        }
    }
}

/// A question that waits for something in the database has its connection alone.
#[tokio::test]
async fn a_question_that_waits_keeps_no_other() {
    let kennel = Kennel::with(Settings { pool_size: 4, ..settings() }).await;
    let juno = kennel.dam("Juno").await;
    let read = |path: String| {
        let owner = kennel.owner().clone();
        tokio::spawn(async move { owner.get(&path).await.expect(200) })
    };
    let sql = kennel.sql().await;
    sql.batch_execute("BEGIN; LOCK TABLE weights IN ACCESS EXCLUSIVE MODE").await.unwrap();
    let waiting = read(format!("/dogs/{juno}/weights"));
    tokio::time::sleep(std::time::Duration::from_millis(300)).await;
    for _ in 0..3 {
        let others: Vec<_> = (0..8).map(|_| read(format!("/dogs/{juno}"))).collect();
        for other in others {
            let answer = tokio::time::timeout(SOON, other).await;
            answer.expect("it is answered while the other one waits").unwrap();
        }
    }
    assert!(!waiting.is_finished());
    sql.batch_execute("ROLLBACK").await.unwrap();
    waiting.await.unwrap();
}
