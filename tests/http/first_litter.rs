//! The page "from nothing to a first litter": each request of it is sent, and answered as it shows.

use crate::common::{Answer, Caller, Service, Value, json, settings};
use chrono::{DateTime, Utc};
use denwright::service::server::Settings;
use reqwest::Method;
use std::{collections::BTreeMap, sync::Arc};
use uuid::Uuid;

/// A request of the page and the answer shown below it.
struct Step {
    at: Option<DateTime<Utc>>,
    /// A name for what a field of the answer gives.
    keep: Option<(String, String)>,
    request: String,
    answer: String,
}

fn unescaped(text: &str) -> String {
    text.replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&")
}

fn attribute<'a>(tag: &'a str, name: &str) -> Option<&'a str> {
    let (_, rest) = tag.split_once(&format!("{name}=\""))?;
    rest.split_once('"').map(|(value, _)| value)
}

fn steps(page: &str) -> Vec<Step> {
    let blocks: Vec<(&str, &str)> = page
        .split("<pre ")
        .skip(1)
        .map(|block| {
            let (tag, rest) = block.split_once('>').expect("a tag ends");
            (tag, rest.split_once("</pre>").expect("a block ends").0)
        })
        .collect();
    let pairs = blocks.chunks(2).map(|pair| {
        let [(ask, request), (answer, shown)] = pair else { panic!("an answer for each request") };
        assert!(ask.contains("\"ask\"") && answer.contains("\"answer\""), "{ask}, {answer}");
        let keep = attribute(ask, "data-keep").and_then(|keep| keep.split_once('='));
        Step {
            at: attribute(ask, "data-at").map(|at| at.parse().expect("a time")),
            keep: keep.map(|(name, field)| (name.to_owned(), field.to_owned())),
            request: unescaped(request),
            answer: unescaped(shown),
        }
    });
    pairs.collect()
}

/// Somebody who follows the page.
struct Reader {
    caller: Caller,
    known: BTreeMap<String, String>,
}

impl Reader {
    fn filled_in(&self, text: &str) -> String {
        let fill = |text: String, (name, value): (&String, &String)| {
            text.replace(&format!("{{{name}}}"), value)
        };
        self.known.iter().fold(text.to_owned(), fill)
    }

    /// Sends a request as it stands on the page: its line, its headers, and its body after an empty line.
    async fn send(&self, request: &str) -> Answer {
        let request = self.filled_in(request);
        let (head, body) = request.split_once("\n\n").unwrap_or((&request, ""));
        let mut lines = head.lines();
        let (method, path) = lines.next().and_then(|line| line.split_once(' ')).expect("a line");
        let method: Method = method.parse().expect("a method");
        let mut sent = self.caller.request(method, path);
        let headers: Vec<(&str, &str)> = lines.filter_map(|line| line.split_once(": ")).collect();
        for (name, value) in &headers {
            sent = sent.header(name, value);
        }
        if body.is_empty() {
            return sent.send().await;
        }
        let body: Value =
            serde_json::from_str(body).unwrap_or_else(|error| panic!("{error}: {body}"));
        match headers.iter().any(|(name, _)| *name == "Content-Type") {
            true => sent.body(body.to_string()).send().await,
            false => sent.json(&body).send().await,
        }
    }
}

/// Whether an answer holds all that is shown of it; of a list its first entries.
fn holds(real: &Value, shown: &Value) -> bool {
    match (real, shown) {
        (Value::Object(real), Value::Object(shown)) => {
            shown.iter().all(|(name, value)| real.get(name).is_some_and(|real| holds(real, value)))
        }
        (Value::Array(real), Value::Array(shown)) => {
            shown.len() <= real.len()
                && shown.iter().zip(real).all(|(shown, real)| holds(real, shown))
        }
        (Value::String(real), Value::String(shown)) => match shown.strip_suffix('…') {
            Some(beginning) => real.starts_with(beginning),
            None => real == shown,
        },
        _ => real == shown,
    }
}

#[tokio::test]
async fn the_way_to_a_first_litter_is_as_the_page_shows_it() {
    let open = Settings { sign_up_open: true, ..settings() };
    let service = Arc::new(Service::start(open).await);
    let nobody = Caller::new(Arc::clone(&service), Uuid::nil(), Uuid::nil(), None);
    let page = nobody.get("/docs/first-litter").await.expect(200).text();
    assert!(!page.contains("<script") && !page.contains("://"), "nothing from elsewhere");
    let mut reader = Reader { caller: nobody, known: BTreeMap::new() };
    let steps = steps(&page);
    assert!(steps.len() > 20, "{}", steps.len());
    for step in steps {
        if let Some(at) = step.at {
            service.clock.set(at);
        }
        let answer = reader.send(&step.request).await;
        let shown = reader.filled_in(&step.answer);
        let (status, body) = shown.split_once("\n\n").unwrap_or((&shown, ""));
        assert_eq!(answer.status.to_string(), status.trim(), "{}: {}", step.request, answer.text());
        if !body.is_empty() {
            let body: Value = serde_json::from_str(body).expect("an answer is JSON");
            assert!(
                holds(&answer.json(), &body),
                "{}\nshows {body}\nis {:#}",
                step.request,
                answer.json()
            );
        }
        if let Some((name, field)) = step.keep {
            let value = answer.json()[&field].as_str().expect("a text").to_owned();
            if name == "token" {
                reader.caller = reader.caller.with_token(value.clone());
            }
            reader.known.insert(name, value);
        }
    }
}

/// What the page shows is held against what is there.
#[test]
fn an_answer_holds_what_is_shown_of_it() {
    let real = json!({ "a": [{ "b": "sooner" }, 2], "c": null });
    for shown in
        [json!({}), json!({ "a": [] }), json!({ "a": [{ "b": "soon…" }] }), json!({ "c": null })]
    {
        assert!(holds(&real, &shown), "{shown}");
    }
    for shown in [
        json!({ "d": 1 }),
        json!({ "a": [2] }),
        json!({ "a": [{ "b": "soon" }] }),
        json!({ "c": 0 }),
    ] {
        assert!(!holds(&real, &shown), "{shown}");
    }
}
