//! The language of answers: the one asked for, told in the answer, and part of what a tag stands for.

use crate::common::*;
use reqwest::Method;

async fn asked(caller: &Caller, path: &str, language: &str) -> Answer {
    caller.request(Method::GET, path).header("accept-language", language).send().await
}

fn varies_by_language(answer: &Answer) -> bool {
    answer.header("vary").to_lowercase().split(", ").any(|name| name == "accept-language")
}

#[tokio::test]
async fn an_answer_is_in_the_language_asked_for() {
    let kennel = Kennel::among_others().await;
    let bad = |language: &'static str| {
        let body = json!({ "name": "Juno", "sex": "female", "residence": "here", "color": "red" });
        let request = kennel.request(Method::POST, "/dogs").header("accept-language", language);
        async move { request.json(&body).send().await }
    };
    let german = bad("de-AT, en;q=0.5").await;
    assert_eq!(german.header("content-language"), "de");
    assert!(varies_by_language(&german), "{}", german.header("vary"));
    let german = german.problem(422);
    let english = bad("fr, en;q=0.3").await;
    assert_eq!(english.header("content-language"), "en");
    let english = english.problem(422);
    // What programs read is the same, what people read is not.
    for key in ["type", "status"] {
        assert_eq!(german[key], english[key], "{key}");
    }
    for key in ["title", "detail"] {
        assert_ne!(german[key], english[key], "{key}");
    }
    let (german, english) = (&german["errors"][0], &english["errors"][0]);
    for key in ["pointer", "code"] {
        assert_eq!(german[key], english[key], "{key}");
    }
    assert_eq!(
        (&english["pointer"], &english["code"]),
        (&json!("/color"), &json!("unknown_field"))
    );
    assert_ne!(german["detail"], english["detail"]);
    // The nearest name is told in both.
    for fault in [german, english] {
        assert!(fault["detail"].as_str().unwrap().contains("colour"), "{fault}");
        assert!(fault["params"].to_string().contains("colour"), "{fault}");
    }
}

#[tokio::test]
async fn nothing_asked_for_is_english() {
    let kennel = Kennel::among_others().await;
    for language in [None, Some("fr"), Some("*"), Some("de;q=0"), Some("")] {
        let mut request = kennel.request(Method::GET, "/dogs/7");
        if let Some(language) = language {
            request = request.header("accept-language", language);
        }
        let answer = request.send().await;
        assert_eq!(answer.header("content-language"), "en", "{language:?}");
    }
}

/// A screen that changes its language is not told that nothing changed.
#[tokio::test]
async fn a_tag_is_of_one_language() {
    let kennel = Kennel::among_others().await;
    kennel.dam("Juno").await;
    for path in ["/today", "/alarms", "/tasks", "/planner", "/shopping-list", "/rules"] {
        let english = asked(&kennel, path, "en").await.expect(200);
        let german = asked(&kennel, path, "de").await.expect(200);
        assert_ne!(english.etag(), german.etag(), "{path}");
        assert_eq!(german.header("content-language"), "de", "{path}");
        assert!(varies_by_language(&german), "{path}: {}", german.header("vary"));
        let again = |language: &'static str| {
            let request = kennel.request(Method::GET, path).header("accept-language", language);
            request.header("if-none-match", &german.etag()).send()
        };
        again("de").await.expect(304);
        again("en").await.expect(200);
    }
}

/// All that German readers are told of rules is German: the same rows, other words.
#[tokio::test]
async fn rules_are_told_in_german() {
    let kennel = Kennel::among_others().await;
    let english = asked(&kennel, "/rules?limit=500", "en").await.ok();
    let german = asked(&kennel, "/rules?limit=500", "de").await.ok();
    let (english, german) = (items(&english), items(&german));
    assert_eq!(english.len(), german.len());
    assert!(english.len() > 100, "{}", english.len());
    for (one, other) in english.iter().zip(german) {
        assert_eq!(one["key"], other["key"]);
        assert_ne!(one["rule"]["meaning"], other["rule"]["meaning"], "{}", one["key"]);
        assert_eq!(
            one["rule"]["source"], other["rule"]["source"],
            "a source is cited as it is called"
        );
    }
}

/// What is worked out beside the request, on another thread, is in its language as well.
#[tokio::test]
async fn work_beside_the_request_speaks_its_language() {
    let kennel = Kennel::among_others().await;
    let (dam, sire) = (kennel.dam("Juno").await, kennel.sire("Castor").await);
    for dog in [dam, sire] {
        kennel.change(&format!("/dogs/{dog}"), json!({ "colour": "blue merle" })).await.ok();
    }
    let tried = async |language: &str| {
        let body = json!({ "dams": [dam], "sires": [sire] });
        let request = kennel.request(Method::POST, "/trial-matings");
        request.header("accept-language", language).json(&body).send().await.ok()
    };
    let (english, german) = (tried("en").await, tried("de").await);
    assert_ne!(english["about_inbreeding"], german["about_inbreeding"]);
    assert!(german.to_string().contains("Tierarzt"), "{german}");
}

/// A print's own language goes before its reader's, and the answer says which it is in; a refusal is the reader's.
#[tokio::test]
async fn a_print_says_in_which_language_it_is() {
    let kennel = Kennel::among_others().await;
    let path = format!("/dogs/{}/pedigree.svg", kennel.dam("Juno").await);
    for (wanted, query, status, language) in [
        ("en", "?language=de", 200, "de"),
        ("de", "?language=en", 200, "en"),
        ("de", "", 200, "de"),
        ("de", "?language=xx", 400, "de"),
    ] {
        let answer = asked(&kennel, &format!("{path}{query}"), wanted).await.expect(status);
        assert_eq!(answer.header("content-language"), language, "{wanted} {query}");
        if status == 200 {
            assert!(answer.text().contains(&format!("lang=\"{language}\"")), "{wanted} {query}");
        }
    }
    let list = asked(&kennel, "/dogs?language=de", "en").await;
    assert_eq!(list.header("content-language"), "en");
    list.problem(400);
}
