//! How streams of server-sent events are described.
//!
//! OpenAPI 3.1 has no word for a stream. It is described as the list of its events, each an object with
//! the name and the data of the event, which is what OpenAPI 3.2 says of `text/event-stream` under
//! "Sequential Media Types"; data that is JSON again has its own shape as `contentSchema`.

use crate::solves::SolveView;
use schemars::{JsonSchema, Schema, SchemaGenerator};
use serde_json::{Value, json};
use std::borrow::Cow;

/// The events that tell of every change.
pub struct Changes;

/// The events that tell how a re-plan goes.
pub struct Course;

impl JsonSchema for Changes {
    fn inline_schema() -> bool {
        true
    }

    fn schema_name() -> Cow<'static, str> {
        "Changes".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        let tag = json!({
            "type": "string",
            "pattern": "^\"[0-9a-f]{32}\"$",
            "description": "Entity tag of /api/v1/status as it is now, as If-None-Match takes it.",
        });
        stream(&[event("change", "Sent at the beginning, and whenever the status has changed.", &tag)])
    }
}

impl JsonSchema for Course {
    fn inline_schema() -> bool {
        true
    }

    fn schema_name() -> Cow<'static, str> {
        "Course".into()
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let view = json!({
            "type": "string",
            "contentMediaType": "application/json",
            "contentSchema": generator.subschema_for::<SolveView>(),
        });
        stream(&[
            event(
                "progress",
                "Sent at the beginning, and a few times a second while the re-plan runs.",
                &view,
            ),
            event("end", "Sent once, when the re-plan has ended; nothing comes after it.", &view),
        ])
    }
}

/// A stream of events of some kinds.
fn stream(kinds: &[Value]) -> Schema {
    let whole = json!({
        "type": "array",
        "description": "The events of the stream, each as lines `event:` and `data:` (HTML, Server-sent events). Lines \
                        that begin with `:` only say, every 15 s, that the stream lives.",
        "items": { "oneOf": kinds },
    });
    whole.try_into().expect("an object is a schema")
}

/// A kind of event: its name, when it is sent, and the shape of its data.
fn event(name: &str, when: &str, data: &Value) -> Value {
    json!({
        "type": "object",
        "title": name,
        "description": when,
        "properties": { "event": { "const": name }, "data": data },
        "required": ["event", "data"],
        "additionalProperties": false,
    })
}
