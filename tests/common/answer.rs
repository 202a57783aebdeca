//! What a service answered, and what a test expects of it.

use reqwest::Method;
use reqwest::header::HeaderMap;
use serde_json::Value;
use uuid::Uuid;

/// An answer, read whole.
#[derive(Debug, Clone)]
pub struct Answer {
    /// What was asked, for messages.
    pub asked: String,
    /// HTTP status.
    pub status: u16,
    /// Headers.
    pub headers: HeaderMap,
    /// Body.
    pub bytes: Vec<u8>,
}

impl Answer {
    pub(super) async fn read(method: &Method, path: &str, response: reqwest::Response) -> Self {
        let (status, headers) = (response.status().as_u16(), response.headers().clone());
        let bytes = response.bytes().await.expect("the answer arrives whole").to_vec();
        Self { asked: format!("{method} {path}"), status, headers, bytes }
    }

    /// The body as text.
    pub fn text(&self) -> String {
        String::from_utf8_lossy(&self.bytes).into_owned()
    }

    /// The body as JSON; null when there is none.
    #[track_caller]
    pub fn json(&self) -> Value {
        if self.bytes.is_empty() {
            return Value::Null;
        }
        serde_json::from_slice(&self.bytes)
            .unwrap_or_else(|error| panic!("{}: no JSON ({error}): {}", self.asked, self.text()))
    }

    /// A header's value, empty when it is missing.
    pub fn header(&self, name: &str) -> String {
        let value = self.headers.get(name).and_then(|value| value.to_str().ok());
        value.unwrap_or_default().to_owned()
    }

    /// The version, as `If-Match` takes it.
    #[track_caller]
    pub fn etag(&self) -> String {
        let etag = self.header("etag");
        assert!(!etag.is_empty(), "{}: no ETag; {} {}", self.asked, self.status, self.text());
        etag
    }

    /// Itself, when the status is this one.
    #[track_caller]
    pub fn expect(self, status: u16) -> Self {
        assert_eq!(self.status, status, "{} answered {}", self.asked, self.text());
        self
    }

    /// The JSON of a 200.
    #[track_caller]
    pub fn ok(self) -> Value {
        self.expect(200).json()
    }

    /// The JSON of a 201 that says where the new resource is.
    #[track_caller]
    pub fn created(self) -> Value {
        self.expect(201).json()
    }

    /// The id of a new resource.
    #[track_caller]
    pub fn id(self) -> Uuid {
        id(&self.created())
    }

    /// Nothing, with a 204.
    #[track_caller]
    pub fn no_content(self) {
        let answer = self.expect(204);
        assert!(answer.bytes.is_empty(), "{}: a 204 with {}", answer.asked, answer.text());
    }

    /// The problem (RFC 9457) of this status.
    #[track_caller]
    pub fn problem(self, status: u16) -> Value {
        let answer = self.expect(status);
        assert_eq!(answer.header("content-type"), "application/problem+json", "{}", answer.asked);
        let problem = answer.json();
        assert_eq!(problem["status"], status, "{}: {problem}", answer.asked);
        let detail = problem["detail"].as_str().unwrap_or_default();
        assert!(!detail.is_empty(), "{}: a problem says what to do: {problem}", answer.asked);
        problem
    }

    /// The pointers of a problem of this status, in order of the alphabet.
    #[track_caller]
    pub fn pointers(self, status: u16) -> Vec<String> {
        let problem = self.problem(status);
        let errors = problem["errors"].as_array().cloned().unwrap_or_default();
        let pointer = |error: &Value| error["pointer"].as_str().unwrap_or_default().to_owned();
        let mut pointers: Vec<String> = errors.iter().map(pointer).collect();
        pointers.sort();
        pointers
    }

    /// Expects a 422 with exactly these pointers.
    #[track_caller]
    pub fn refused(self, expected: &[&str]) {
        let (asked, text) = (self.asked.clone(), self.text());
        let mut expected = expected.to_vec();
        expected.sort_unstable();
        assert_eq!(self.pointers(422), expected, "{asked}: {text}");
    }
}

/// The id of a resource.
#[track_caller]
pub fn id(resource: &Value) -> Uuid {
    let text = resource["id"].as_str();
    text.and_then(|text| text.parse().ok()).unwrap_or_else(|| panic!("no id in {resource}"))
}

/// The rows of a list.
#[track_caller]
pub fn items(list: &Value) -> &[Value] {
    list["items"].as_array().unwrap_or_else(|| panic!("no items in {list}"))
}

/// The ids of a list, in its order.
#[track_caller]
pub fn ids(list: &Value) -> Vec<Uuid> {
    items(list).iter().map(id).collect()
}
