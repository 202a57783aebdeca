//! The reports on a litter and on a year.

use crate::common::*;
use chrono::{Datelike, NaiveDate};

/// Three pups born 60 days ago, of which one was stillborn and one died in its second week.
async fn litter_with_losses(kennel: &Kennel) -> (Uuid, Vec<Uuid>) {
    let (litter, mut pups) = kennel.born_litter(2, 60).await;
    let stillborn = json!({ "outcome": "stillborn", "sex": "male", "weight_g": 300 });
    let birth = kennel.birth(litter, 24 * 60, stillborn).await;
    pups.push(birth["dog_id"].as_str().unwrap().parse().unwrap());
    kennel.weight(pups[0], 24 * 53, 800).await;
    kennel.weight(pups[1], 24 * 53, 600).await;
    let died = json!({ "died_on": days_ago(51), "died_of": "Septicaemia" });
    kennel.change(&format!("/dogs/{}", pups[1]), died).await.ok();
    (litter, pups)
}

#[tokio::test]
async fn a_litter_report_tells_what_became_of_each_pup() {
    let kennel = Kennel::among_others().await;
    let (litter, pups) = litter_with_losses(&kennel).await;
    let numbered =
        json!({ "name": "Fern", "registrations": [{ "registry": "KC", "number": "A1" }] });
    kennel.change(&format!("/dogs/{}", pups[0]), numbered).await.ok();
    let buyer = kennel.buyer("Ottilie").await;
    kennel.post("/placements", Kennel::reservation(pups[0], buyer)).await.created();

    let path = format!("/litters/{litter}/report");
    let told = kennel.get(&path).await.ok();
    let report = &told["report"];
    assert_eq!(
        [&report["born"], &report["born_alive"], &report["stillborn"], &report["alive"]],
        [3, 2, 1, 1]
    );
    assert_eq!(report["alive_at_eight_weeks"], 1);
    assert_eq!(
        report["losses_by_age"],
        json!([{ "age": "stillborn", "count": 1 }, { "age": "to_three_weeks", "count": 1 }])
    );
    assert_eq!(report["losses_by_cause"][1], json!({ "cause": "septicaemia", "count": 1 }));
    assert_eq!(
        report["sexes"],
        json!({ "females": 1, "males": 2, "unknown": 0, "males_fraction": 2.0 / 3.0 })
    );
    assert_eq!(report["birth_weights"]["mean_g"], 400.0);
    assert_eq!(report["weights"][0]["weights"]["mean_g"], 700.0);
    assert_eq!((&told["dam"]["name"], &told["sire"]["name"]), (&json!("Juno"), &json!("Castor")));
    assert_eq!(told["pups"][0]["registrations"][0]["number"], "A1");
    assert_eq!(told["pups"][1]["died_of"], "Septicaemia");
    // Fit for a club: nothing of buyers, nothing of money.
    for word in ["Ottilie", "buyer", "price", "180000"] {
        assert!(!told.to_string().contains(word), "{word} in {told}");
    }
    assert_eq!(kennel.viewer().await.get(&path).await.ok(), told);

    let expected = kennel.litter(kennel.dam("Alma").await, kennel.sire("Rex").await).await;
    kennel.get(&format!("/litters/{expected}/report")).await.refused(&["#path/litter_id"]);
    let other = kennel.another().await;
    other.in_kennel(other.kennel_id).get(&path).await.problem(404);
}

#[tokio::test]
async fn a_year_report_counts_litters_and_what_was_paid_for_each() {
    let kennel = Kennel::among_others().await;
    let (litter, pups) = litter_with_losses(&kennel).await;
    let buyer = kennel.buyer("Ottilie").await;
    let placement = kennel.post("/placements", Kennel::reservation(pups[0], buyer)).await.id();
    let born_on = days_ago(60);
    let year = born_on.year();
    let on = |kind: &str, amount: i64, on: NaiveDate| json!({ "kind": kind, "amount_minor": amount, "currency": "EUR", "paid_on": on });
    let payments = format!("/placements/{placement}/payments");
    for entry in [
        on("deposit", 30_000, born_on),
        on("discount", 5_000, born_on),
        on("refund", 10_000, born_on),
    ] {
        kennel.post(&payments, entry).await.created();
    }
    let cost = |litter: Option<Uuid>, amount: i64, currency: &str| json!({ "litter_id": litter, "purpose": "X-ray", "amount_minor": amount, "currency": currency, "paid_on": born_on });
    for cost in [cost(Some(litter), 8_500, "EUR"), cost(None, 1_000, "EUR"), cost(None, 700, "GBP")]
    {
        kennel.post("/costs", cost).await.created();
    }
    let path = format!("/reports/years/{year}");
    let told = kennel.get(&path).await.ok();
    assert_eq!([&told["litters"], &told["born"], &told["alive"]], [1, 3, 1]);
    let row = &told["rows"][0];
    assert_eq!((&row["dam"], &row["whelped_in_year"]), (&json!("Juno"), &json!(true)));
    assert_eq!(row["birth_weights"]["count"], 2);
    // Received less paid back; what is owed, or taken off it, is no money yet.
    assert_eq!(
        row["money"],
        json!([{ "currency": "EUR", "income_minor": 20_000, "costs_minor": 8_500, "result_minor": 11_500 }])
    );
    assert_eq!(told["kennel_money"][1]["costs_minor"], 700);
    assert_eq!(told["total_money"][0]["result_minor"], 10_500);
    let other_year = kennel.get(&format!("/reports/years/{}", year - 1)).await.ok();
    assert_eq!((&other_year["litters"], &other_year["total_money"]), (&json!(0), &json!([])));

    // Litters and growth for everybody, money for those who may see it.
    for caller in [kennel.helper().await, kennel.viewer().await] {
        let seen = caller.get(&path).await.ok();
        assert_eq!((&seen["born"], &seen["total_money"]), (&json!(3), &json!(null)));
        assert_eq!(seen["rows"][0]["money"], json!(null));
    }
    let stranger = kennel.co_owner(&[kennel.dam("Alma").await]).await;
    let seen = stranger.get(&path).await.ok();
    assert_eq!((&seen["litters"], &seen["total_money"]), (&json!(0), &json!([])));
    for path in ["/reports/years/1", "/reports/years/last", "/reports/years/99999999999"] {
        kennel.get(path).await.problem(404);
    }
}
