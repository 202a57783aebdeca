//! What the service sends by itself: to webhooks, and down the stream of changes.

use super::{each_operation, reference};
use crate::changes::ChangeAnswer;
use chrono::{DateTime, Utc};
use serde_json::{Value, json};
use utoipa::ToSchema;
use uuid::Uuid;

/// What a webhook is told of a change.
#[derive(ToSchema)]
#[expect(dead_code, reason = "describes what the database and the sender make of a change")]
pub(super) struct ChangeEvent {
    /// What kind of row, and what became of it.
    #[schema(example = "weight.created")]
    r#type: String,
    /// When it was written.
    timestamp: DateTime<Utc>,
    /// Whose it is.
    kennel_id: Uuid,
    /// The change, as the log tells it.
    data: ChangeAnswer,
}

/// An event of the stream as it comes over the line.
const EVENT: &str = "id: 4813\nevent: change\ndata: {\"sequence\":4813,\"at\":\"2026-05-16T06:05:00Z\",\
    \"person_id\":\"0193e7a2-6b5f-7c11-9d55-0a1c52a0b8f4\",\"what\":\"weight\",\
    \"row_id\":\"0193e7a2-7000-7000-8000-0a1c52a0b8f4\",\"action\":\"deleted\",\
    \"before\":{\"weight_g\":412},\"after\":null}\n\n";

/// Describes both.
pub(super) fn describe(document: &mut Value) {
    document["webhooks"] = json!({ "change": { "post": webhook() } });
    each_operation(document, |mut operation| {
        for (_, answer) in operation.answers() {
            if let Some(stream) = answer.pointer_mut("/content/text~1event-stream") {
                *stream = json!({
                    "schema": {
                        "type": "string",
                        "description": "Server-sent events. Each is named `change`, has the sequence as its id, \
                            and a `ChangeAnswer` as JSON in its data. Lines that begin with a colon show \
                            every 15 seconds that the stream lives.",
                    },
                    "example": EVENT,
                });
            }
        }
    });
}

fn webhook() -> Value {
    let header = |name: &str, says: &str, example: &str| {
        json!({
            "name": name, "in": "header", "description": says, "required": true,
            "schema": { "type": "string" }, "example": example,
        })
    };
    json!({
        "tags": ["webhooks"],
        "summary": "A row was written.",
        "description": "Posted to the address of each webhook that asks for such events, signed as the \
            Standard Webhooks specification has it. Answer with any 2xx within some seconds; anything else is \
            tried again, with growing waits, for three days.",
        "operationId": "change_happened",
        "security": [],
        "parameters": [
            header("webhook-id", "The same at each try.", "0193e7a2-6b5f-7c11-9d55-0a1c52a0b8f4"),
            header("webhook-timestamp", "When this try was made, in seconds since 1970.", "1779000300"),
            header(
                "webhook-signature",
                "HMAC-SHA256 of id, timestamp and body by the webhook's secret.",
                "v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE=",
            ),
        ],
        "requestBody": {
            "required": true,
            "content": { "application/json": { "schema": reference("schemas", "ChangeEvent") } },
        },
        "responses": {
            "2XX": { "description": "Taken." },
            "4XX": { "description": "Not taken; it is sent again." },
        },
    })
}
