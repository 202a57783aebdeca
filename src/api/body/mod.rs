//! Bodies: read within the limits, held against the published schema, all faults at once.

mod known;
mod outline;
mod parsed;
mod read;
mod schema;

use catalogue::said;
pub(crate) use parsed::{Found, unknown_parameter, unknown_word};
pub(crate) use read::Gate;
pub(crate) use read::not_packed;
pub use read::{Arrived, LargeBodies, Taken, read};
pub use schema::{escape, parse};

use crate::{
    App,
    problem::{Kind, Problem},
};
use actix_web::{FromRequest, HttpRequest, dev::Payload, web};
use chrono::{DateTime, Utc};
use domain::{
    fault::{Fault, Faults},
    record::Record,
};
use serde::de::DeserializeOwned;
use serde_json::{Value, json};
use std::{pin::Pin, sync::Arc};
use tokio::sync::OwnedSemaphorePermit;
use utoipa::ToSchema;
use uuid::Uuid;

/// A JSON body that is readable, but not yet held against a schema.
pub struct JsonBody(pub Value, Came);

/// A JSON body of many rows, which may be larger.
pub(crate) struct BatchBody(pub JsonBody);

/// What is to be known of the bytes of a body.
#[derive(Clone)]
struct Came {
    digest: [u8; 32],
    /// Of a large body: where it is checked, and the room that it takes until then.
    large: Option<(web::Data<App>, Arc<Vec<OwnedSemaphorePermit>>)>,
}

const JSON: &str = "application/json";
const MERGE_PATCH: &str = "application/merge-patch+json";

impl FromRequest for JsonBody {
    type Error = actix_web::Error;
    type Future = Pin<Box<dyn Future<Output = Result<Self, Self::Error>>>>;

    fn from_request(request: &HttpRequest, payload: &mut Payload) -> Self::Future {
        let body = json_body(request.clone(), payload.take(), Taken::Json);
        Box::pin(async move { Ok(body.await?) })
    }
}

impl FromRequest for BatchBody {
    type Error = actix_web::Error;
    type Future = Pin<Box<dyn Future<Output = Result<Self, Self::Error>>>>;

    fn from_request(request: &HttpRequest, payload: &mut Payload) -> Self::Future {
        let body = json_body(request.clone(), payload.take(), Taken::Batch);
        Box::pin(async move { Ok(Self(body.await?)) })
    }
}

async fn json_body(
    request: HttpRequest,
    payload: Payload,
    taken: Taken,
) -> Result<JsonBody, Problem> {
    let media_types = [JSON, MERGE_PATCH];
    let Arrived { bytes, digest, room, app } = read(request, payload, taken, &media_types).await?;
    let large = (bytes.len() > read::LARGE).then(|| (app, Arc::new(room)));
    let most_parts = match taken {
        Taken::Batch => outline::MOST_PARTS_OF_BATCH,
        _ => outline::MOST_PARTS,
    };
    let parse = move || {
        outline::check(&bytes, most_parts)?;
        serde_json::from_slice(&bytes).map_err(|error| not_json(&error))
    };
    let value = match &large {
        Some((app, _)) => app.reading.done(parse).await??,
        None => parse()?,
    };
    Ok(JsonBody(value, Came { digest, large }))
}

impl JsonBody {
    /// A part of this body, or what was made of it.
    pub fn with(&self, value: Value) -> Self {
        Self(value, self.1.clone())
    }

    /// What tells this body from others.
    pub fn digest(&self) -> [u8; 32] {
        self.1.digest
    }

    /// The body as `T`.
    ///
    /// # Errors
    /// 422 with every fault.
    pub async fn parse<T: DeserializeOwned + ToSchema + Send + 'static>(
        self,
    ) -> Result<T, Problem> {
        self.read_by(|value| parse(value).map_err(not_acceptable)).await
    }

    /// The body as a record that is good by itself.
    ///
    /// # Errors
    /// 422 with every fault.
    pub async fn record<R: Record + Send>(self, now: DateTime<Utc>) -> Result<R, Problem> {
        self.read_by(move |value| record_of(value, now)).await
    }

    /// The body as a record that hangs on the row in the path.
    ///
    /// # Errors
    /// 422 with every fault, also when the body names another row than the path.
    pub(crate) async fn record_under<R: Record + Send>(
        mut self,
        field: &str,
        id: Uuid,
        now: DateTime<Utc>,
    ) -> Result<R, Problem> {
        if let Value::Object(body) = &mut self.0 {
            let named = body.insert(field.to_owned(), json!(id));
            if named.is_some_and(|named| named != json!(id)) {
                return Err(Problem::fault(
                    Kind::NotAcceptable,
                    &format!("/{field}"),
                    said!("fault-differs-path"),
                ));
            }
        }
        self.record(now).await
    }

    /// The record after this JSON Merge Patch (RFC 7396) of the present one.
    ///
    /// # Errors
    /// 422 with every fault of the outcome.
    pub(crate) async fn patched<R: Record + Send>(
        &self,
        present: &R,
        now: DateTime<Utc>,
    ) -> Result<R, Problem> {
        if !self.0.is_object() {
            let detail = said!("fault-wrong-type-fields");
            return Err(Problem::fault(Kind::NotAcceptable, "", detail));
        }
        let mut value = serde_json::to_value(present).map_err(|error| Problem::of_ours(&error))?;
        let mut patch = self.0.clone();
        schema::in_kept_units::<R>(&mut patch).map_err(not_acceptable)?;
        json_patch::merge(&mut value, &patch);
        // A cleared list or flag goes back to its default: a merge leaves the member out.
        self.with(value).record(now).await
    }

    /// What `read` makes of the value; of a large one on a thread of its own.
    ///
    /// # Errors
    /// Those of `read`.
    pub(crate) async fn read_by<T: Send + 'static>(
        self,
        read: impl FnOnce(Value) -> Result<T, Problem> + Send + 'static,
    ) -> Result<T, Problem> {
        let Self(value, came) = self;
        match came.large {
            Some((app, _room)) => app.reading.done(move || read(value)).await?,
            None => read(value),
        }
    }
}

fn record_of<R: Record>(value: Value, now: DateTime<Utc>) -> Result<R, Problem> {
    let record: R = parse(value).map_err(not_acceptable)?;
    let mut faults = Faults::new();
    record.check(now, &mut faults);
    faults.into_result().map_err(not_acceptable)?;
    Ok(record)
}

/// Where a text stops to be JSON.
fn not_json(error: &serde_json::Error) -> Problem {
    let (line, column) = (error.line(), error.column());
    let (detail, fault) = match error.is_eof() {
        true => (
            said!("problem-json-ends", line = line, column = column),
            said!("fault-unreadable-json-ends", line = line, column = column),
        ),
        false => (
            said!("problem-json", line = line, column = column),
            said!("fault-unreadable-json", line = line, column = column),
        ),
    };
    Problem::about(Kind::Unreadable, detail, Fault::new("", fault))
}

fn not_acceptable(faults: Vec<Fault>) -> Problem {
    Problem::faults(Kind::NotAcceptable, faults)
}
