//! What one write took away, one restore brings back.

use crate::common::*;
use chrono::Duration;

async fn last_change(caller: &Caller, row: impl std::fmt::Display) -> Value {
    let history = caller.get(&format!("/changes?row_id={row}")).await.ok();
    items(&history).last().unwrap().clone()
}

async fn restore(caller: &Caller, change: &Value) -> Answer {
    caller.post(&format!("/changes/{}/restore", change["sequence"]), json!({})).await
}

/// The kinds of rows that came back beside the one that was asked for, in order of their names.
fn brought(restored: &Value) -> Vec<&str> {
    let rows = restored["brought"].as_array().unwrap();
    let mut kinds: Vec<&str> = rows.iter().map(|row| row["record"].as_str().unwrap()).collect();
    kinds.sort_unstable();
    kinds
}

#[tokio::test]
async fn a_birth_comes_back_with_its_dog_and_its_weight() {
    let kennel = Kennel::among_others().await;
    let (dam, sire) = (kennel.dam("Juno").await, kennel.sire("Castor").await);
    let litter = kennel.litter(dam, sire).await;
    let birth =
        kennel.birth(litter, 3, json!({ "sex": "male", "collar": "red", "weight_g": 431 })).await;
    let path = format!("/litters/{litter}/births/{}", id(&birth));
    let dog = format!("/dogs/{}", birth["dog_id"].as_str().unwrap());
    let states = async || (kennel.get(&path).await.ok(), kennel.get(&dog).await.ok());
    let before = states().await;
    kennel.remove(&path).await.no_content();
    kennel.get(&dog).await.problem(404);

    let restored = restore(&kennel, &last_change(&kennel, id(&birth)).await).await.ok();
    assert_eq!(restored["record"], "birth");
    assert_eq!(brought(&restored), ["dog", "weight"]);
    assert_eq!(restored["left_out"], json!([]));
    let after = states().await;
    for (was, is) in [(&before.0, &after.0), (&before.1, &after.1)] {
        for (field, value) in was.as_object().unwrap() {
            if !["version", "created_at", "updated_at"].contains(&field.as_str()) {
                assert_eq!(value, &is[field], "{field}");
            }
        }
    }
    let weights = kennel.get(&format!("{dog}/weights")).await.ok();
    assert_eq!((items(&weights).len(), &items(&weights)[0]["at_birth"]), (1, &json!(true)));

    // By whichever of the three one asks for it; and a deletion of before does not come with it.
    kennel.remove(&path).await.no_content();
    let restored =
        restore(&kennel, &last_change(&kennel, id(&items(&weights)[0])).await).await.ok();
    assert_eq!((&restored["record"], brought(&restored)), (&json!("weight"), vec!["birth", "dog"]));
    kennel.get(&path).await.ok();
    restore(&kennel, &last_change(&kennel, id(&birth)).await).await.problem(412);
}

#[tokio::test]
async fn all_that_hung_on_a_row_comes_back_with_it() {
    let kennel = Kennel::among_others().await;
    let (dam, sire) = (kennel.dam("Juno").await, kennel.sire("Castor").await);
    // A heat with its readings.
    let heat = kennel.heat(dam, 10).await;
    let reading = |days, value| {
        let taken_at = time_ago(Duration::days(days));
        json!({ "kind": "progesterone", "taken_at": taken_at, "value": value, "unit": "ng_per_ml" })
    };
    let readings = format!("/heats/{heat}/readings");
    kennel.post(&readings, reading(4, 0.6)).await.created();
    kennel.post(&readings, reading(2, 2.4)).await.created();
    // A mating with the check of its pregnancy.
    let mating = kennel.mating(dam, sire, 40).await;
    let check = json!({ "checked_at": time_ago(Duration::days(9)), "method": "ultrasound", "result": "pregnant" });
    kennel.post(&format!("/matings/{mating}/pregnancy-checks"), check).await.created();
    // A litter with a plan, a task, and what was noted of one of its tasks.
    let litter = kennel.litter(dam, sire).await;
    let plan = json!({ "plan_key": "pup-worming-2-4-6-8", "reason": "giardia in the last litter" });
    kennel.post(&format!("/litters/{litter}/health-plans"), plan).await.created();
    let task = json!({ "title": "Fetch the crate", "due_on": days_ago(-3), "litter_id": litter });
    let task = kennel.post("/own-tasks", task).await.id();
    let tasks = kennel.get(&format!("/tasks?litter_id={litter}")).await.ok();
    let own =
        items(&tasks).iter().find(|one| one["key"].as_str().unwrap().contains(&task.to_string()));
    let noted = format!("/tasks/{}", own.unwrap()["key"].as_str().unwrap());
    let done = json!({ "done_at": time_ago(Duration::minutes(1)) });
    kennel.patch(&noted, "\"0\"", done.clone()).await.expect(200);
    // A dog with a share and a test.
    let outside = kennel.dog("Otter", json!({ "sex": "male" })).await;
    let half = json!({ "person_id": kennel.person_id, "numerator": 1, "denominator": 2 });
    kennel.post(&format!("/dogs/{outside}/shares"), half).await.created();
    let test = json!({ "marker": "prcd_pra", "alleles": ["N", "prcd"] });
    kennel.post(&format!("/dogs/{outside}/genotype-tests"), test).await.created();

    let lists = [
        (format!("/heats/{heat}"), heat, readings, vec!["heat_reading", "heat_reading"]),
        (
            format!("/matings/{mating}"),
            mating,
            format!("/matings/{mating}/pregnancy-checks"),
            vec!["pregnancy_check"],
        ),
        (
            format!("/litters/{litter}"),
            litter,
            format!("/litters/{litter}/health-plans"),
            vec!["litter_plan", "own_task", "task_mark"],
        ),
        (
            format!("/dogs/{outside}"),
            outside,
            format!("/dogs/{outside}/genotype-tests"),
            vec!["genotype_test", "share"],
        ),
    ];
    for (path, row, list, kinds) in lists {
        let hung = kennel.get(&list).await.ok();
        kennel.remove(&path).await.no_content();
        kennel.get(&list).await.problem(404);
        let restored = restore(&kennel, &last_change(&kennel, row).await).await.ok();
        assert_eq!(brought(&restored), kinds, "{path}");
        assert_eq!(restored["left_out"], json!([]), "{path}");
        let again = kennel.get(&list).await.ok();
        assert_eq!(ids(&again), ids(&hung), "{path}");
    }
    let plans = kennel.get(&format!("/litters/{litter}/health-plans")).await.ok();
    assert_eq!(items(&plans)[0]["reason"], "giardia in the last litter");
    let noted = kennel.get(&noted).await.ok();
    assert_eq!((&noted["status"], &noted["title"]), (&json!("done"), &json!("Fetch the crate")));
}

#[tokio::test]
async fn what_no_longer_fits_is_left_out_and_told() {
    let kennel = Kennel::new().await;
    let otter = kennel.dog("Otter", json!({ "sex": "male" })).await;
    let test = json!({ "marker": "prcd_pra", "alleles": ["N", "N"] });
    kennel.post(&format!("/dogs/{otter}/genotype-tests"), test).await.created();
    kennel.remove(&format!("/dogs/{otter}")).await.no_content();
    // As a catalogue of an earlier edition may have known it.
    let marker = "UPDATE changes SET before = jsonb_set(before, '{marker}', '\"gone\"') \
                  WHERE what = 'genotype_test' AND action = 'deleted'";
    kennel.sql().await.batch_execute(marker).await.unwrap();
    let restored = restore(&kennel, &last_change(&kennel, otter).await).await.ok();
    assert_eq!(brought(&restored), [""; 0]);
    assert_eq!(restored["left_out"][0]["record"], "genotype_test");
    assert!(restored["left_out"][0]["why"].as_str().unwrap().contains("marker"), "{restored}");
    kennel.get(&format!("/dogs/{otter}")).await.ok();
}

/// Nothing of another write comes back, be it a moment before.
#[tokio::test]
async fn other_deletions_stay() {
    let kennel = Kennel::among_others().await;
    let juno = kennel.dam("Juno").await;
    let (first, second) =
        (kennel.weight(juno, 3, 27_000).await, kennel.weight(juno, 2, 27_100).await);
    for weight in [first, second] {
        kennel.remove(&format!("/dogs/{juno}/weights/{weight}")).await.no_content();
    }
    let restored = restore(&kennel, &last_change(&kennel, second).await).await.ok();
    assert_eq!(brought(&restored), [""; 0]);
    let weights = kennel.get(&format!("/dogs/{juno}/weights")).await.ok();
    assert_eq!(ids(&weights), [second]);
}

/// A placement comes back at the stage that it had reached.
#[tokio::test]
async fn a_placement_comes_back_where_it_stood() {
    let kennel = Kennel::among_others().await;
    let (_, pups) = kennel.born_litter(1, 20).await;
    let buyer = kennel.buyer("Ottilie").await;
    let placement = kennel.post("/placements", Kennel::reservation(pups[0], buyer)).await.id();
    let path = format!("/placements/{placement}");
    kennel.change(&path, json!({ "stage": "withdrawn" })).await.ok();
    kennel.remove(&path).await.no_content();
    let restored = restore(&kennel, &last_change(&kennel, placement).await).await.ok();
    assert_eq!(restored["row"]["stage"], "withdrawn");
    assert_eq!(kennel.get(&path).await.ok()["price_minor"], 180_000);
}

#[tokio::test]
async fn a_helper_takes_a_birth_back_for_a_day() {
    let kennel = Kennel::among_others().await;
    let (dam, sire) = (kennel.dam("Juno").await, kennel.sire("Castor").await);
    let litter = kennel.litter(dam, sire).await;
    let helper = kennel.helper().await;
    let day = 24 * 60;
    for (minutes, goes) in [(day - 1, true), (day, true), (day + 1, false)] {
        let born_at = time_ago(Duration::minutes(minutes));
        let birth = kennel.birth(litter, 0, json!({ "born_at": born_at })).await;
        let path = format!("/litters/{litter}/births/{}", id(&birth));
        let answer = helper.remove(&path).await;
        if goes {
            answer.no_content();
            continue;
        }
        let detail = answer.problem(403)["detail"].to_string();
        assert!(detail.contains("an owner, or a co-owner of the pup"), "{detail}");
        kennel.get(&path).await.ok();
        kennel.remove(&path).await.no_content();
    }
    let old = kennel.birth(litter, 30, json!({})).await;
    let pup = old["dog_id"].as_str().unwrap().parse().unwrap();
    let co_owner = kennel.co_owner(&[dam, pup]).await;
    co_owner.remove(&format!("/litters/{litter}/births/{}", id(&old))).await.no_content();
}
