//! What goes with a pup: the booklet as JSON, as PDF, and by its link.

use crate::common::*;
use chrono::Duration;

async fn pup_with_a_record(kennel: &Kennel) -> Uuid {
    let (_, pups) = kennel.born_litter(2, 50).await;
    let pup = pups[0];
    kennel.change(&format!("/dogs/{pup}"), json!({ "name": "Živa z Ægirsdal 王小明" })).await.ok();
    for day in 1..20 {
        kennel.weight(pup, 24 * (50 - day), 400 + 40 * day).await;
    }
    let worming = json!({
        "dog_id": pup, "kind": "worming", "given_at": time_ago(Duration::days(36)),
        "product": "wormer paste", "batch": "B2291", "note": "bites: for us alone",
    });
    kennel.post("/health-events", worming).await.created();
    pup
}

async fn words(kennel: &Kennel) {
    let texts = json!({
        "welcome": "Welcome home.", "feeding": "Four meals a day.", "contact": "Mara Holt, +44 20 7946 0018",
        "logo_svg": "<svg xmlns='http://www.w3.org/2000/svg' width='40' height='40'><text x='2' y='20' font-size='9'>LARK</text></svg>",
    });
    let put = |body: Value| {
        let request = kennel.owner().request(reqwest::Method::PUT, "/booklet-texts");
        request.header("If-Match", "\"0\"").json(&body).send()
    };
    put(json!({ "logo_svg": "<svg" })).await.refused(&["/logo_svg"]);
    put(texts).await.expect(200);
}

#[tokio::test]
async fn the_booklet_holds_what_is_recorded_and_says_what_is_not() {
    let kennel = Kennel::among_others().await;
    let pup = pup_with_a_record(&kennel).await;
    words(&kennel).await;
    let booklet = kennel.get(&format!("/dogs/{pup}/booklet.json")).await.ok();
    assert_eq!(booklet["given"][0]["batch"], "B2291");
    assert_eq!(booklet["birth"]["ordinal"], 1);
    assert_eq!(booklet["inbreeding"], 0.0);
    assert!(booklet["not_recorded"].to_string().contains("the chip number"));
    assert!(!booklet.to_string().contains("for us alone"), "notes stay with the kennel");

    for (format, size) in [("a4", [595.276, 841.89]), ("letter", [612.0, 792.0])] {
        let path = format!("/dogs/{pup}/booklet.pdf?format={format}");
        let answer = kennel.get(&path).await.expect(200);
        assert_eq!(answer.header("content-type"), "application/pdf");
        let text = pdf_extract::extract_text_from_mem(&answer.bytes).unwrap();
        // A line may end within the long name.
        let squeezed: String = text.split_whitespace().collect();
        for part in [
            "Živa",
            "王小明",
            "wormerpaste",
            "B2291",
            "Welcomehome.",
            "LARK",
            "unknown",
            "Notrecorded:",
        ] {
            assert!(squeezed.contains(part), "{part} in {text}");
        }
        let document = lopdf::Document::load_mem(&answer.bytes).unwrap();
        for page in document.get_pages().values() {
            let page = document.get_dictionary(*page).unwrap();
            let corner = page.get(b"MediaBox").unwrap().as_array().unwrap();
            let own = [corner[2].as_float().unwrap(), corner[3].as_float().unwrap()];
            assert!(own.iter().zip(size).all(|(own, wanted)| (own - wanted).abs() < 0.01));
        }
    }
    kennel.get(&format!("/dogs/{pup}/booklet.pdf?format=a5")).await.problem(400);
}

#[tokio::test]
async fn a_link_opens_one_booklet_until_it_is_withdrawn() {
    let kennel = Kennel::among_others().await;
    let pup = pup_with_a_record(&kennel).await;
    let links = format!("/dogs/{pup}/booklet-links");
    kennel.viewer().await.post(&links, json!({})).await.problem(403);
    let link = kennel.post(&links, json!({ "label": "Ottilie" })).await.created();
    let path = link["path"].as_str().unwrap().to_owned();
    let nobody = kennel.owner().nobody();
    let booklet = nobody.get(&path).await.ok();
    assert_eq!(booklet["dog"]["dog_id"], json!(pup));
    let printed = nobody.get(&format!("{path}/booklet.pdf")).await.expect(200);
    assert!(printed.bytes.starts_with(b"%PDF"));
    nobody.get("/v1/booklets/dwb_guessed").await.problem(404);
    assert_eq!(kennel.get(&links).await.ok()["items"][0]["path"], json!(null), "shown once");

    let id = link["id"].as_str().unwrap();
    let withdrawn = kennel.owner().request(reqwest::Method::DELETE, &format!("{links}/{id}"));
    withdrawn.send().await.no_content();
    nobody.get(&path).await.problem(404);
    // Secrets end by the system's clock, not by the moment of the test.
    let mut ended = json!({ "expires_at": "2026-01-01T12:00:00Z" });
    ended["label"] = json!("too late");
    let link = kennel.post(&links, ended).await.created();
    nobody.get(link["path"].as_str().unwrap()).await.problem(404);
}

/// Inbreeding rests on the whole pedigree, and the ancestors are named, whoever reads: a co-owner
/// of the pup sees nothing else of its ancestors. Half sibs as parents: 1/8 (Wright 1922).
#[tokio::test]
async fn a_co_owner_reads_the_same_pedigree_as_the_owner() {
    let kennel = Kennel::among_others().await;
    let rex = kennel.sire("Rex").await;
    let of_rex = |sex: &str| json!({ "sex": sex, "sire_id": rex, "born_on": days_ago(900) });
    let (dam, sire) =
        (kennel.dog("Una", of_rex("female")).await, kennel.dog("Odo", of_rex("male")).await);
    let litter = kennel.litter(dam, sire).await;
    let birth = kennel.birth(litter, 24, json!({ "sex": "female" })).await;
    let pup: Uuid = birth["dog_id"].as_str().unwrap().parse().unwrap();
    let co_owner = kennel.co_owner(&[pup]).await;
    co_owner.get(&format!("/dogs/{rex}")).await.problem(404);
    let path = format!("/dogs/{pup}/booklet.json");
    let (own, shared) = (kennel.get(&path).await.ok(), co_owner.get(&path).await.ok());
    assert_eq!(own["inbreeding"], 0.125);
    for part in ["inbreeding", "ancestors", "known_ancestors"] {
        assert_eq!(own[part], shared[part], "{part}");
    }
    assert!(shared["ancestors"].to_string().contains("Rex"));
}

/// A link reads, and that alone, of one dog alone.
#[tokio::test]
async fn a_link_opens_nothing_else() {
    let kennel = Kennel::among_others().await;
    let pup = pup_with_a_record(&kennel).await;
    let link = kennel.post(&format!("/dogs/{pup}/booklet-links"), json!({})).await.created();
    let path = link["path"].as_str().unwrap();
    let secret = path.rsplit('/').next().unwrap();
    let holder = kennel.owner().with_token(secret);
    for inside in ["/dogs", "/placements", &format!("/dogs/{pup}")] {
        holder.get(inside).await.problem(401);
    }
    for method in [reqwest::Method::POST, reqwest::Method::DELETE, reqwest::Method::PATCH] {
        let answer = kennel.owner().nobody().request(method, path).send().await;
        assert!([404, 405].contains(&answer.status), "{} {}", answer.asked, answer.status);
    }
    let buyer = kennel.buyer("Ottilie Marsh").await;
    kennel.post("/placements", Kennel::reservation(pup, buyer)).await.created();
    let text = kennel.owner().nobody().get(path).await.expect(200).text();
    for trace in ["Ottilie", "buyer@example.org", "180000", "30 1234"] {
        assert!(!text.contains(trace), "{trace}");
    }
}
