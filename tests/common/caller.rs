//! Somebody who talks to a service: a person with a login, or nobody.

use std::sync::Arc;

use reqwest::Method;
use reqwest::header::{ACCEPT, CONTENT_TYPE, IF_MATCH};
use serde_json::Value;
use uuid::Uuid;

use super::answer::Answer;
use super::service::Service;
use super::waiting::SOON;

/// A caller in one kennel; paths that begin with `/v1/` or are outside of `/v1` are taken as they
/// are by [`Caller::send`]'s `absolute` twin, all others within the kennel.
#[derive(Clone)]
pub struct Caller {
    /// The service.
    pub service: Arc<Service>,
    /// The kennel that relative paths are in.
    pub kennel_id: Uuid,
    /// The person; nil for nobody.
    pub person_id: Uuid,
    /// The bearer token; `None` for nobody.
    pub token: Option<String>,
    http: reqwest::Client,
}

/// A request about to be sent.
pub struct Request {
    builder: reqwest::RequestBuilder,
    method: Method,
    path: String,
}

impl Caller {
    /// A caller with this token, or nobody.
    pub fn new(
        service: Arc<Service>,
        kennel_id: Uuid,
        person_id: Uuid,
        token: Option<String>,
    ) -> Self {
        Self { service, kennel_id, person_id, token, http: reqwest::Client::new() }
    }

    /// The same caller in another kennel.
    pub fn in_kennel(&self, kennel_id: Uuid) -> Self {
        Self { kennel_id, ..self.clone() }
    }

    /// The same caller with another token.
    pub fn with_token(&self, token: impl Into<String>) -> Self {
        Self { token: Some(token.into()), ..self.clone() }
    }

    /// Nobody: no login.
    pub fn nobody(&self) -> Self {
        Self { token: None, person_id: Uuid::nil(), ..self.clone() }
    }

    /// The kennel's path before a relative one; those of the service itself and of its
    /// pages stay as they are.
    pub fn path(&self, path: &str) -> String {
        let services = ["/v1/", "/health/", "/docs", "/openapi.json", "/metrics"];
        let pages = ["/pages/", "/service-worker.js", "/manifest.webmanifest"];
        if path == "/" || services.iter().chain(&pages).any(|start| path.starts_with(start)) {
            return path.to_owned();
        }
        format!("/v1/kennels/{}{path}", self.kennel_id)
    }

    /// A request to fill in.
    pub fn request(&self, method: Method, path: &str) -> Request {
        let path = self.path(path);
        let builder = self.http.request(method.clone(), format!("{}{path}", self.service.url));
        let builder = match &self.token {
            Some(token) => builder.bearer_auth(token),
            None => builder,
        };
        Request { builder, method, path }
    }

    /// Reads.
    pub async fn get(&self, path: &str) -> Answer {
        self.request(Method::GET, path).send().await
    }

    /// Posts JSON.
    pub async fn post(&self, path: &str, body: Value) -> Answer {
        self.request(Method::POST, path).json(&body).send().await
    }

    /// Posts JSON with an `Idempotency-Key`.
    pub async fn post_once(&self, path: &str, key: &str, body: &Value) -> Answer {
        self.request(Method::POST, path).header("Idempotency-Key", key).json(body).send().await
    }

    /// Posts the same JSON so many times at once.
    pub async fn post_at_once(&self, count: usize, path: &str, body: &Value) -> Vec<Answer> {
        let posts: Vec<_> = (0..count)
            .map(|_| {
                let (caller, path, body) = (self.clone(), path.to_owned(), body.clone());
                tokio::spawn(async move { caller.post(&path, body).await })
            })
            .collect();
        let mut answers = Vec::new();
        for post in posts {
            answers.push(post.await.expect("it is answered"));
        }
        answers
    }

    /// Posts a body of any media type.
    pub async fn post_raw(&self, path: &str, media_type: &str, body: impl Into<Vec<u8>>) -> Answer {
        let request = self.request(Method::POST, path).header(CONTENT_TYPE.as_str(), media_type);
        request.body(body).send().await
    }

    /// Changes from this version by a JSON Merge Patch.
    pub async fn patch(&self, path: &str, etag: &str, patch: Value) -> Answer {
        self.request(Method::PATCH, path)
            .header(IF_MATCH.as_str(), etag)
            .header(CONTENT_TYPE.as_str(), "application/merge-patch+json")
            .body(patch.to_string())
            .send()
            .await
    }

    /// Changes from the version that is there now.
    pub async fn change(&self, path: &str, patch: Value) -> Answer {
        let etag = self.get(path).await.expect(200).etag();
        self.patch(path, &etag, patch).await
    }

    /// Deletes this version.
    pub async fn delete(&self, path: &str, etag: &str) -> Answer {
        self.request(Method::DELETE, path).header(IF_MATCH.as_str(), etag).send().await
    }

    /// Deletes the version that is there now.
    pub async fn remove(&self, path: &str) -> Answer {
        let etag = self.get(path).await.expect(200).etag();
        self.delete(path, &etag).await
    }

    /// Opens the live stream of changes after a sequence.
    pub async fn follow(&self, after: Option<i64>) -> EventStream {
        self.follow_where_there_is_room(after).await.expect("the stream opens")
    }

    /// The same, or nothing where there are too many already.
    pub async fn follow_where_there_is_room(&self, after: Option<i64>) -> Option<EventStream> {
        let request =
            self.request(Method::GET, "/changes").header(ACCEPT.as_str(), "text/event-stream");
        let request = match after {
            Some(after) => request.header("Last-Event-ID", &after.to_string()),
            None => request,
        };
        let response = request.builder.send().await.expect("the service answers");
        let is_open = response.status() == 200;
        is_open.then(|| EventStream { response, text: String::new() })
    }
}

impl Request {
    /// With one more header.
    pub fn header(self, name: &str, value: &str) -> Self {
        Self { builder: self.builder.header(name, value), ..self }
    }

    /// With a JSON body.
    pub fn json(self, body: &Value) -> Self {
        Self { builder: self.builder.json(body), ..self }
    }

    /// With any body.
    pub fn body(self, body: impl Into<Vec<u8>>) -> Self {
        Self { builder: self.builder.body(body.into()), ..self }
    }

    /// Sends it and reads the answer whole.
    pub async fn send(self) -> Answer {
        let response = self.builder.send().await;
        let response = response.unwrap_or_else(|e| panic!("{} {}: {e:?}", self.method, self.path));
        Answer::read(&self.method, &self.path, response).await
    }
}

/// A live stream of server-sent events.
pub struct EventStream {
    response: reqwest::Response,
    text: String,
}

impl EventStream {
    /// The next event: its id and its data. Fails where none comes soon.
    pub async fn next(&mut self) -> (i64, Value) {
        self.next_or_end().await.expect("the stream goes on")
    }

    /// The next event, or nothing when the service ends the stream. Fails where neither comes soon.
    pub async fn next_or_end(&mut self) -> Option<(i64, Value)> {
        loop {
            if let Some((event, rest)) = self.text.split_once("\n\n") {
                let (event, rest) = (event.to_owned(), rest.to_owned());
                self.text = rest;
                let field = |name: &str| {
                    event.lines().find_map(|line| line.strip_prefix(name)).map(str::to_owned)
                };
                let Some(id) = field("id: ") else { continue };
                let data = field("data: ").expect("an event has data");
                let id = id.parse().expect("an id is a sequence");
                return Some((id, serde_json::from_str(&data).expect("data is JSON")));
            }
            let chunk = tokio::time::timeout(SOON, self.response.chunk()).await;
            let chunk = chunk.expect("an event soon").ok()??;
            self.text += std::str::from_utf8(&chunk).expect("it is text");
        }
    }
}
