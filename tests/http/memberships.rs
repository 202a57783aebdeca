//! Who belongs to a kennel, for how long, and a dog that two kennels share.

use crate::common::*;

async fn membership(kennel: &Kennel, person: &Caller) -> String {
    let members = kennel.get("/members").await.ok();
    let own = items(&members).iter().find(|m| m["person_id"] == json!(person.person_id));
    format!("/members/{}", id(own.unwrap_or_else(|| panic!("no member: {members}"))))
}

#[tokio::test]
async fn a_member_may_leave_but_send_nobody_away() {
    let kennel = Kennel::among_others().await;
    let juno = kennel.dam("Juno").await;
    for member in [
        kennel.helper().await,
        kennel.viewer().await,
        kennel.co_owner(&[juno]).await,
        kennel.member(Role::Owner).await,
    ] {
        let (own, owners) =
            (membership(&kennel, &member).await, membership(&kennel, &kennel).await);
        if member.get("/invitations").await.status == 403 {
            member.delete(&owners, "\"1\"").await.problem(403);
            member.patch(&own, "\"1\"", json!({ "role": "owner" })).await.problem(403);
        }
        member.delete(&own, "\"7\"").await.problem(412);
        member.delete(&own, "\"1\"").await.no_content();
        member.get("/dogs").await.problem(404);
        assert!(member.get("/v1/me").await.ok()["kennels"].as_array().unwrap().is_empty());
    }
    kennel.delete(&membership(&kennel, &kennel).await, "\"1\"").await.problem(409);
}

#[tokio::test]
async fn a_change_of_role_counts_at_once() {
    let kennel = Kennel::among_others().await;
    let juno = kennel.dam("Juno").await;
    let member = kennel.viewer().await;
    let own = membership(&kennel, &member).await;
    let weight = json!({ "measured_at": time_ago(chrono::Duration::hours(1)), "weight_g": 27_000 });
    let path = format!("/dogs/{juno}/weights");
    member.post(&path, weight.clone()).await.problem(403);
    kennel.change(&own, json!({ "role": "helper" })).await.ok();
    member.post(&path, weight).await.created();
    member.get("/invitations").await.problem(403);
    kennel.change(&own, json!({ "role": "owner" })).await.ok();
    member.get("/invitations").await.ok();
    kennel.change(&own, json!({ "role": "co_owner" })).await.ok();
    member.get(&format!("/dogs/{juno}")).await.problem(404);
    assert!(items(&member.get("/dogs").await.ok()).is_empty());
}

/// The owner of one kennel holds a share in a dog of another.
#[tokio::test]
async fn a_dog_is_shared_with_the_owner_of_another_kennel() {
    let kennel = Kennel::among_others().await;
    let other = kennel.another().await;
    let (juno, freya) = (kennel.dam("Juno").await, kennel.dam("Freya").await);
    let hera = other.dam("Hera").await;
    let me = other.get("/v1/me").await.ok();
    let email = me["person"]["email"].clone();
    let invited = kennel.post("/invitations", json!({ "email": email, "role": "co_owner" })).await;
    let token = json!({ "token": invited.created()["token"] });
    other.post("/v1/invitations/accept", token).await.ok();
    let half = json!({ "person_id": other.person_id, "numerator": 1, "denominator": 2 });
    let share = kennel.post(&format!("/dogs/{juno}/shares"), half.clone()).await.id();

    // With one login: all of their own kennel, and the shared dog alone of the other.
    let kennels = other.get("/v1/me").await.ok();
    assert_eq!(kennels["kennels"].as_array().unwrap().len(), 2);
    let abroad = other.in_kennel(kennel.kennel_id);
    assert_eq!(ids(&abroad.get("/dogs").await.ok()), [juno]);
    assert_eq!(ids(&other.get("/dogs").await.ok()), [hera]);
    abroad.get(&format!("/dogs/{freya}")).await.problem(404);
    other.get(&format!("/dogs/{juno}")).await.problem(404);
    abroad.change(&format!("/dogs/{juno}"), json!({ "note": "shared" })).await.ok();
    // Rows of the two kennels do not mix, not even for who belongs to both.
    let litter = json!({ "dam_id": hera, "sire_id": null });
    abroad.post("/litters", litter).await.refused(&["/dam_id"]);
    other.post("/litters", json!({ "dam_id": juno })).await.refused(&["/dam_id"]);
    kennel.in_kennel(other.kennel_id).get("/dogs").await.problem(404);
    // Members of the other kennel get nothing by their owner's share.
    other.helper().await.in_kennel(kennel.kennel_id).get("/dogs").await.problem(404);

    // The history of shares stays, also after a share has changed hands.
    let path = format!("/dogs/{juno}/shares/{share}");
    kennel.change(&path, json!({ "denominator": 4 })).await.ok();
    kennel.remove(&path).await.no_content();
    abroad.get(&format!("/dogs/{juno}")).await.problem(404);
    assert!(items(&abroad.get("/dogs").await.ok()).is_empty());
    let history = kennel.get(&format!("/changes?row_id={share}")).await.ok();
    let told: Vec<_> = items(&history)
        .iter()
        .map(|change| {
            (change["action"].as_str().unwrap(), change["before"]["denominator"].as_i64())
        })
        .collect();
    assert_eq!(told, [("created", None), ("changed", Some(2)), ("deleted", Some(4))]);
    // Given back by mistake: the share returns as it was.
    let deleted = items(&history)[2]["sequence"].clone();
    kennel.post(&format!("/changes/{deleted}/restore"), json!({})).await.ok();
    assert_eq!(ids(&abroad.get("/dogs").await.ok()), [juno]);
}
