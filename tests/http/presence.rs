//! Who is there: a pup that died, left or was stillborn is out of everything asked of the living.

use crate::common::*;
use chrono::Duration;

/// A litter of four, weighed today and yesterday; its fourth pup is light and loses.
struct Nest {
    kennel: Kennel,
    dam: Uuid,
    litter: Uuid,
    pups: Vec<Uuid>,
    /// What each of the first three weighs today.
    heavy_g: i64,
}

const COLLARS: [&str; 4] = ["red", "blue", "green", "yellow"];

impl Nest {
    async fn new(age_days: i64) -> Self {
        let kennel = Kennel::among_others().await;
        let (dam, sire) = (kennel.dam("Juno").await, kennel.sire("Castor").await);
        let litter = kennel.litter(dam, sire).await;
        let heavy_g = 400 + 60 * age_days;
        let mut pups = Vec::new();
        for (place, collar) in (0..).zip(COLLARS) {
            let born_at = Duration::days(age_days) - Duration::minutes(40 * place);
            let fields = json!({
                "born_at": time_ago(born_at), "sex": "female", "collar": collar, "weight_g": 400,
            });
            let birth = kennel.birth(litter, 0, fields).await;
            let pup: Uuid = birth["dog_id"].as_str().unwrap().parse().unwrap();
            let light_g = heavy_g * 3 / 5;
            let weights =
                if place == 3 { [light_g + 40, light_g] } else { [heavy_g - 60, heavy_g] };
            for (hours_ago, weight_g) in [26, 2].into_iter().zip(weights) {
                let at = time_ago(Duration::hours(hours_ago));
                let body = json!({ "measured_at": at, "weight_g": weight_g, "confirmed": true });
                kennel.post(&format!("/dogs/{pup}/weights"), body).await.created();
            }
            pups.push(pup);
        }
        Self { kennel, dam, litter, pups, heavy_g }
    }

    async fn get(&self, path: &str) -> Value {
        self.kennel.get(path).await.ok()
    }

    /// The last pup is nowhere among the living; the other three are.
    async fn is_out(&self) {
        let (litter, gone) = (self.litter, json!(self.pups[3]));
        let growth = self.get(&format!("/litters/{litter}/growth")).await;
        let pups = list(&growth, "pups");
        let of = |id: &Value| pups.iter().find(|pup| pup["dog_id"] == *id);
        let absent = of(&gone).expect("its record stays");
        assert_eq!((&absent["present"], &absent["position"]), (&json!(false), &Value::Null));
        assert_eq!(absent["cautions"], json!([]), "nothing is asked of it");
        assert_eq!(of(&json!(self.pups[0])).unwrap()["position"]["pups_ranked"], 3);
        assert_eq!(growth["mean_weight_g"], json!(self.heavy_g as f64));
        for members in ["risks", "swaps"] {
            assert!(!growth[members].to_string().contains(gone.as_str().unwrap()), "{members}");
        }
        assert_eq!((&growth["losing"], &growth["cautions"]), (&json!([]), &json!([])));

        let mut board = self.get("/today").await;
        // Only what is left to do for the living: its buyer is to be told.
        let wrong = board["wrong"].as_array_mut().unwrap();
        wrong.retain(|alarm| alarm["code"] != "go_home.died");
        assert!(!board.to_string().contains(gone.as_str().unwrap()), "{board}");
        assert_eq!(list(&list(&board, "litters")[0], "pups").len(), 3);
        for path in ["/due", "/tasks"] {
            let answer = self.get(path).await.to_string();
            let told = answer.contains(gone.as_str().unwrap()) && !answer.contains("tell-of-death");
            assert!(!told, "{path}: {answer}");
        }
        assert!(self.get("/due").await.to_string().contains(&self.pups[0].to_string()));
        let readiness = self.get(&format!("/litters/{litter}/readiness")).await;
        assert_eq!(list(&readiness, "pups").len(), 3);
        let own = self.get(&format!("/dogs/{}/readiness", self.pups[3])).await;
        assert_eq!((&own["ready"], &own["ready_on"]), (&json!(false), &Value::Null));

        let here = self.get("/dogs?residence=here&limit=100").await;
        let here = ids(&here);
        assert!(!here.contains(&self.pups[3]) && here.contains(&self.pups[0]), "{here:?}");
        let status = self.get(&format!("/litters/{litter}/whelping/status")).await;
        assert_eq!(status["next_collar"], "yellow", "its collar is free");
        let proposal = self.propose().await;
        assert!(!proposal.to_string().contains(gone.as_str().unwrap()), "{proposal}");
        let feeding = self.get(&format!("/dogs/{}/ration", self.pups[3])).await;
        assert_eq!((&feeding["pup"], &feeding["weaning"]), (&Value::Null, &Value::Null));
        assert_eq!(self.nursed().await, 3);
    }

    /// How many pups the dam is fed for.
    async fn nursed(&self) -> i64 {
        self.kennel.weight(self.dam, 1, 29_000).await;
        let feeding = self.get(&format!("/dogs/{}/ration", self.dam)).await;
        feeding["dam"]["now"]["stage"]["pups"].as_i64().unwrap_or_else(|| panic!("{feeding}"))
    }

    async fn propose(&self) -> Value {
        self.kennel.buyer("Wendel").await;
        let path = format!("/litters/{}/placement-proposal", self.litter);
        self.kennel.post(&path, json!({})).await.ok()
    }

    async fn dies(&self, pup: Uuid) {
        let died = json!({ "died_on": days_ago(0), "died_of": "fading" });
        self.kennel.change(&format!("/dogs/{pup}"), died).await.ok();
    }
}

fn list<'a>(answer: &'a Value, key: &str) -> &'a [Value] {
    answer[key].as_array().unwrap_or_else(|| panic!("{key} in {answer}"))
}

#[tokio::test]
async fn a_pup_that_died_is_out_of_all_that_is_asked_of_the_living() {
    let nest = Nest::new(16).await;
    let before = nest.get(&format!("/litters/{}/growth", nest.litter)).await;
    assert_eq!(list(&before, "losing").len(), 1, "it counts as long as it lives");
    assert_eq!(nest.nursed().await, 4);
    nest.dies(nest.pups[3]).await;
    nest.is_out().await;

    // A mistake: it lives after all.
    let pup = format!("/dogs/{}", nest.pups[3]);
    nest.kennel.change(&pup, json!({ "died_on": null, "died_of": null })).await.ok();
    let after = nest.get(&format!("/litters/{}/growth", nest.litter)).await;
    assert_eq!(list(&after, "losing"), [json!(nest.pups[3])]);
    assert_eq!(nest.nursed().await, 4);
}

#[tokio::test]
async fn a_pup_that_left_is_out_and_one_that_came_back_is_in_again() {
    let nest = Nest::new(60).await;
    let pup = nest.pups[3];
    let buyer = nest.kennel.buyer("Ottilie").await;
    let mut placement = Kennel::reservation(pup, buyer);
    for price in ["price_minor", "currency"] {
        placement[price] = Value::Null;
    }
    let placement = nest.kennel.post("/placements", placement).await.id();
    nest.kennel.set_aside_all(pup).await;
    let path = format!("/placements/{placement}");
    nest.kennel.change(&path, json!({ "stage": "handed_over" })).await.ok();
    let growth = nest.get(&format!("/litters/{}/growth", nest.litter)).await;
    let present = |growth: &Value| {
        let pups = list(growth, "pups").to_vec();
        let own = pups.into_iter().find(|one| one["dog_id"] == json!(pup)).unwrap();
        own["present"].clone()
    };
    assert_eq!(present(&growth), false);
    let board = nest.get("/today").await;
    assert_eq!(list(&list(&board, "litters")[0], "pups").len(), 3);
    let here = ids(&nest.get("/dogs?residence=here&limit=100").await);
    assert!(!here.contains(&pup));
    assert!(!nest.get("/due").await.to_string().contains(&pup.to_string()));

    nest.kennel.change(&path, json!({ "stage": "returned" })).await.ok();
    let growth = nest.get(&format!("/litters/{}/growth", nest.litter)).await;
    assert_eq!(present(&growth), true);
    let board = nest.get("/today").await;
    assert_eq!(list(&list(&board, "litters")[0], "pups").len(), 4);
    let here = ids(&nest.get("/dogs?residence=here&limit=100").await);
    assert!(here.contains(&pup));
    let readiness = nest.get(&format!("/litters/{}/readiness", nest.litter)).await;
    assert_eq!(list(&readiness, "pups").len(), 4);
    assert!(nest.propose().await.to_string().contains(&pup.to_string()), "it is free again");
}

#[tokio::test]
async fn a_stillborn_pup_is_counted_among_the_born_alone() {
    let kennel = Kennel::among_others().await;
    let (litter, pups) = kennel.born_litter(2, 16).await;
    let fields = json!({ "outcome": "stillborn", "collar": "red", "weight_g": 300 });
    let birth = kennel.birth(litter, 16 * 24 - 2, fields).await;
    let dead = birth["dog_id"].as_str().unwrap().to_owned();
    for path in ["/today", "/due", "/tasks", "/dogs?residence=here"] {
        let answer = kennel.get(path).await.ok().to_string();
        assert!(!answer.contains(&dead), "{path}: {answer}");
        let told = answer.contains(&pups[0].to_string());
        assert!(told || path == "/tasks", "{path}: {answer}");
    }
    let growth = kennel.get(&format!("/litters/{litter}/growth")).await.ok();
    assert_eq!(list(&growth, "pups").len(), 2);
    let status = kennel.get(&format!("/litters/{litter}/whelping/status")).await.ok();
    assert_eq!((&status["pups_out"], &status["stillborn"]), (&json!(3), &json!(1)));
    assert_eq!(status["next_collar"], "red", "a dead pup wears no collar");
    let buyer = kennel.buyer("Ottilie").await;
    let offer = json!({ "dog_id": dead, "buyer_id": buyer, "kind": "sale", "stage": "offered" });
    kennel.post("/placements", offer).await.refused(&["/stage"]);
    // Its record stays.
    kennel.get(&format!("/dogs/{dead}")).await.ok();
    let report = kennel.get(&format!("/litters/{litter}/report")).await.ok();
    assert!(report.to_string().contains(&dead));
}

#[tokio::test]
async fn a_reserved_pup_that_dies_leaves_a_buyer_to_be_told() {
    let nest = Nest::new(50).await;
    let pup = nest.pups[3];
    let buyer = nest.kennel.buyer("Ottilie").await;
    let placement = nest.kennel.post("/placements", Kennel::reservation(pup, buyer)).await.id();
    let path = format!("/placements/{placement}");
    let deposit = json!({ "kind": "deposit", "amount_minor": 30_000, "currency": "EUR", "paid_on": days_ago(5) });
    nest.kennel.post(&format!("{path}/payments"), deposit).await.created();
    assert!(nest.get(&format!("{path}/account")).await["closing"].is_null(), "it lives");
    nest.kennel.set_aside_all(pup).await;
    nest.dies(pup).await;
    nest.is_out().await;

    let readiness = nest.get(&format!("/dogs/{pup}/readiness")).await;
    let first = &list(&readiness, "cautions")[0];
    assert_eq!((&first["level"], &readiness["ready"]), (&json!("act"), &json!(false)));
    assert!(first["what"].as_str().unwrap().contains("has died"), "{first}");
    let of_litter = nest.get(&format!("/litters/{}/readiness", nest.litter)).await;
    assert_eq!(list(&of_litter, "cautions")[0], *first);

    let hand_over = nest.kennel.change(&path, json!({ "stage": "handed_over" })).await;
    assert!(hand_over.pointers(422).iter().all(|at| at == "/stage"));

    let tell = |tasks: Value| {
        let of_pup = |task: &&Value| {
            task["dog_id"] == json!(pup) && task["key"].as_str().unwrap().contains("tell-of-death")
        };
        tasks["items"].as_array().unwrap().iter().find(of_pup).cloned()
    };
    assert!(tell(nest.get("/tasks").await).is_some(), "a task tells to inform the buyer");
    // Who places no pups is not told of buyers.
    let helper = nest.kennel.helper().await;
    assert!(tell(helper.get("/tasks").await.ok()).is_none());
    let awaited = |list: Value| list.to_string().contains("go_home.died");
    assert!(awaited(nest.get("/alarms").await) && !awaited(helper.get("/alarms").await.ok()));

    // The account offers what ends it: all is given back.
    let account = nest.get(&format!("{path}/account")).await;
    let closing = list(&account, "closing");
    let refund = closing.iter().find(|entry| entry["kind"] == "refund").unwrap();
    assert_eq!(refund["amount"]["amount_minor"], 30_000);
    let end = json!({ "kept_minor": 0 });
    let ended = nest.kennel.post(&format!("{path}/end"), end).await.ok();
    assert_eq!((&ended["sums"]["balance_due_minor"], &ended["closing"]), (&json!(0), &Value::Null));
    assert!(tell(nest.get("/tasks").await).is_none(), "the buyer has been told");
    // Nobody else is promised a dead pup.
    nest.kennel.post("/placements", Kennel::reservation(pup, buyer)).await.refused(&["/stage"]);
}

#[tokio::test]
async fn a_kept_pup_stays_in_and_a_dead_dam_is_followed_no_more() {
    let nest = Nest::new(60).await;
    let kept = json!({ "dog_id": nest.pups[0], "kind": "kept", "stage": "confirmed" });
    let placement = nest.kennel.post("/placements", kept).await.id();
    let path = format!("/placements/{placement}");
    nest.kennel.change(&path, json!({ "stage": "handed_over" })).await.ok();
    let board = nest.get("/today").await;
    assert_eq!(list(&list(&board, "litters")[0], "pups").len(), 4, "it lives here");
    let walked = nest.get("/due").await.to_string();
    assert!(walked.contains(&nest.pups[0].to_string()));
    nest.kennel
        .change(&format!("/dogs/{}", nest.dam), json!({ "died_on": days_ago(0) }))
        .await
        .ok();
    for path in ["/due", "/tasks"] {
        let answer = nest.get(path).await.to_string();
        assert!(!answer.contains(&format!("\"dog_id\":\"{}\"", nest.dam)), "{path}: {answer}");
    }
}

/// The moment is the tests' to set: what is asked later is answered by that day.
#[tokio::test]
async fn a_request_is_answered_at_the_moment_of_the_service() {
    let nest = Nest::new(7).await;
    let age = |board: Value| board["litters"][0]["age_days"].clone();
    assert_eq!(age(nest.get("/today").await), 7);
    nest.kennel.set_moment(now() + Duration::days(3));
    let board = nest.get("/today").await;
    assert_eq!(board["today"], json!(days_ago(-3)));
    assert_eq!(age(board), 10);
    // Just before and just after midnight in the kennel: 23 hours of a winter's day after noon UTC.
    nest.kennel.set_moment(now() + Duration::hours(12) - Duration::seconds(1));
    assert_eq!(age(nest.get("/today").await), 7);
    nest.kennel.set_moment(now() + Duration::hours(12));
    assert_eq!(age(nest.get("/today").await), 8);
}
