//! What is given and found: health events, for one dog or for a whole litter at once.

use super::{
    answer::{self, Created},
    problem::Kind,
    resource::prelude::*,
};
use catalogue::{Text, said};
use chrono::{DateTime, Utc};
use domain::record::{HealthEvent, HealthEventFilter};
use serde::Serialize;
use serde_json::{Value, json};
use store::{
    StoreError,
    keep::{self, RowPath},
};
use utoipa::{
    PartialSchema, ToSchema,
    openapi::{
        ArrayBuilder, ObjectBuilder, RefOr, Schema,
        schema::{KnownFormat, SchemaFormat, Type},
    },
};

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config
        .service(create_health_event)
        .service(list_health_events)
        .service(read_health_event)
        .service(change_health_event)
        .service(delete_health_event);
}

type KeptHealthEvent = Kept<HealthEvent>;
type HealthEventList = List<HealthEvent>;
type HealthEventSort = Sort<HealthEvent>;
type HealthEventPatch = Patch<HealthEvent>;

/// Most dogs that one request records an event for.
const MOST_DOGS: usize = 100;

/// A health event for one dog (`dog_id`) or for several (`dog_ids`).
pub(crate) struct HealthEventBody;

impl PartialSchema for HealthEventBody {
    fn schema() -> RefOr<Schema> {
        let RefOr::T(Schema::Object(mut object)) = HealthEvent::schema() else {
            return HealthEvent::schema();
        };
        let id = ObjectBuilder::new()
            .schema_type(Type::String)
            .format(Some(SchemaFormat::KnownFormat(KnownFormat::Uuid)));
        let ids = ArrayBuilder::new()
            .items(id)
            .min_items(Some(1))
            .max_items(Some(MOST_DOGS))
            .description(Some("Several dogs instead of one `dog_id`: all are written, or none."));
        object.properties.insert("dog_ids".to_owned(), ids.into());
        object.required.retain(|name| name != "dog_id");
        RefOr::T(Schema::Object(object))
    }
}

impl ToSchema for HealthEventBody {
    fn schemas(schemas: &mut Vec<(String, RefOr<Schema>)>) {
        HealthEvent::schemas(schemas);
    }
}

/// The events that one request wrote.
#[derive(Serialize, ToSchema)]
#[serde(untagged)]
#[allow(clippy::large_enum_variant, reason = "made once an answer and written out at once")]
pub(crate) enum HealthEventsWritten {
    /// The event of the one dog.
    One(KeptHealthEvent),
    /// One event a dog.
    Several(HealthEventsOfDogs),
}

/// One event a dog.
#[derive(Serialize, ToSchema)]
pub(crate) struct HealthEventsOfDogs {
    /// In the order of the dogs given.
    items: Vec<KeptHealthEvent>,
}

/// Record a health event.
///
/// Give `dog_id` for one dog, or `dog_ids` instead to record the same for several, all or none.
#[utoipa::path(tag = "health", request_body = HealthEventBody,
    responses((status = 201, description = "Written.", body = HealthEventsWritten)))]
#[post("/v1/kennels/{kennel_id}/health-events")]
pub(crate) async fn create_health_event(
    app: web::Data<App>,
    scope: InKennel,
    request: HttpRequest,
    _path: web::Path<Uuid>,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    let raw = body.digest();
    let several = body.0.get("dog_ids").is_some();
    let events = events_of(body, scope.0.now()).await?;
    answer::once(&app, &scope.0, &request, &raw, async |tx| {
        let mut items = Vec::with_capacity(events.len());
        for (index, event) in events.iter().enumerate() {
            let written = keep::create(tx, event).await;
            items.push(if several { written.map_err(|e| of_several(e, index))? } else { written? });
        }
        match (several, items.pop()) {
            (false, Some(one)) => {
                let Created { location, version, body } = Created::row(request.path(), one);
                Ok(Created { location, version, body: HealthEventsWritten::One(body) })
            }
            (_, last) => {
                items.extend(last);
                let location = request.path().to_owned();
                let body = HealthEventsWritten::Several(HealthEventsOfDogs { items });
                Ok(Created { location, version: None, body })
            }
        }
    })
    .await
}

/// Where the id of one of several dogs stands; in its event it is `/dog_id`.
fn place_of(index: usize) -> String {
    format!("/dog_ids/{index}")
}

/// What the store refuses of the event of one of several dogs, told where its id stands.
fn of_several(error: StoreError, index: usize) -> StoreError {
    match error {
        StoreError::Refused(mut faults) => {
            for fault in faults.iter_mut().filter(|fault| fault.pointer == "/dog_id") {
                fault.pointer = place_of(index);
            }
            StoreError::Refused(faults)
        }
        other => other,
    }
}

/// One event a dog, all with the same particulars.
async fn events_of(mut body: JsonBody, now: DateTime<Utc>) -> Result<Vec<HealthEvent>, Problem> {
    let Some(dog_ids) = body.0.as_object_mut().and_then(|members| members.remove("dog_ids")) else {
        return Ok(vec![body.record(now).await?]);
    };
    let refused = |detail: Text| Problem::fault(Kind::NotAcceptable, "/dog_ids", detail);
    if body.0.get("dog_id").is_some_and(|id| !id.is_null()) {
        return Err(refused(said!("fault-not-together-dog-ids")));
    }
    match dog_ids {
        Value::Array(ids) if (1..=MOST_DOGS).contains(&ids.len()) => {
            let known: Vec<Uuid> = ids.iter().filter_map(|id| id.as_str()?.parse().ok()).collect();
            if known.len() == ids.len() {
                Problem::unless_once_each("/dog_ids", &known)?;
            }
            let mut events = Vec::with_capacity(ids.len());
            for (index, id) in ids.into_iter().enumerate() {
                let mut one = body.0.clone();
                if let Some(members) = one.as_object_mut() {
                    members.insert("dog_id".to_owned(), json!(id));
                }
                let event = body.with(one).record(now).await;
                events.push(event.map_err(|problem| problem.moved("/dog_id", &place_of(index)))?);
            }
            Ok(events)
        }
        _ => Err(refused(said!("fault-wrong-type-dog-ids", least = 1, most = MOST_DOGS))),
    }
}

/// List health events.
#[utoipa::path(tag = "health", params(Paging, HealthEventSort, HealthEventFilter),
    responses((status = 200, description = "A page.", body = HealthEventList)))]
#[get("/v1/kennels/{kennel_id}/health-events")]
pub(crate) async fn list_health_events(
    app: web::Data<App>,
    claim: Asks,
    request: HttpRequest,
    _path: web::Path<Uuid>,
    listing: Listing<HealthEventFilter>,
) -> Result<HttpResponse, Problem> {
    crate::resource::list::<HealthEvent>(&app, &claim.0, &request, None, listing).await
}

/// Read a health event.
#[utoipa::path(tag = "health", responses((status = 200, description = "It.", body = KeptHealthEvent)))]
#[get("/v1/kennels/{kennel_id}/health-events/{event_id}")]
pub(crate) async fn read_health_event(
    app: web::Data<App>,
    claim: Asks,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    crate::resource::read::<Kept<HealthEvent>>(&app, &claim.0, RowPath::from(path.1)).await
}

/// Change a health event by a JSON Merge Patch.
#[utoipa::path(tag = "health",
    request_body(content = HealthEventPatch, content_type = "application/merge-patch+json"),
    responses((status = 200, description = "As it is now.", body = KeptHealthEvent)))]
#[patch("/v1/kennels/{kennel_id}/health-events/{event_id}")]
pub(crate) async fn change_health_event(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
    version: IfMatch,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    crate::resource::change::<Kept<HealthEvent>>(
        &app,
        &scope.0,
        RowPath::from(path.1),
        version.0,
        body,
    )
    .await
}

/// Delete a health event.
#[utoipa::path(tag = "health", responses((status = 204, description = "Gone.")))]
#[delete("/v1/kennels/{kennel_id}/health-events/{event_id}")]
pub(crate) async fn delete_health_event(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, Uuid)>,
    version: IfMatch,
) -> Result<HttpResponse, Problem> {
    crate::resource::delete::<HealthEvent>(&app, &scope.0, RowPath::from(path.1), version.0).await
}
