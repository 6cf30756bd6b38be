//! The OpenAPI 3.1 document, made from the routes.

use super::route::{Answer, Operation, Parameter, Route};
use crate::problem::Details;
use crate::rendered::Rendered;
use schemars::generate::SchemaSettings;
use schemars::{JsonSchema, SchemaGenerator};
use serde_json::{Map, Value, json};

/// The document, ready to be sent.
pub fn rendered() -> Rendered {
    Rendered::json(&document(&super::routes()))
}

/// Shapes of what is sent and of what comes back: a key that may be missing in the one is always
/// there in the other.
struct Shapes {
    sent: SchemaGenerator,
    received: SchemaGenerator,
}

fn document(routes: &[Route]) -> Value {
    let settings = || {
        SchemaSettings::draft2020_12().with(|settings| {
            settings.definitions_path = "/components/schemas".into();
            settings.meta_schema = None;
        })
    };
    let mut shapes = Shapes {
        sent: settings().for_deserialize().into_generator(),
        received: settings().for_serialize().into_generator(),
    };
    let problem = Details::json_schema(&mut shapes.received);
    let paths: Map<String, Value> =
        routes.iter().map(|route| (public_path(route.path), path_item(route, &mut shapes))).collect();
    let mut schemas = shapes.received.take_definitions(true);
    schemas.extend(shapes.sent.take_definitions(true));
    schemas.insert("Problem".to_owned(), problem.to_value());
    json!({
        "openapi": "3.1.0",
        "info": {
            "title": "Elbowroom",
            "version": env!("CARGO_PKG_VERSION"),
            "summary": "Plan, progress and promises of a tube-bending shop.",
            "description": "Times are ISO 8601 with offset in the shop's time zone. Documents carry strong entity \
                            tags: send If-None-Match and get 304 while nothing has changed. Errors are problem \
                            details by RFC 9457.",
        },
        "paths": paths,
        "components": {
            "schemas": schemas,
            "securitySchemes": { "token": { "type": "http", "scheme": "bearer" } },
        },
        "security": [{ "token": [] }, {}],
    })
}

/// A path as OpenAPI writes it: `{*name}` becomes `{name}`.
fn public_path(path: &str) -> String {
    path.replace("{*", "{")
}

fn path_item(route: &Route, shapes: &mut Shapes) -> Value {
    let operations = route.operations.iter();
    operations.map(|one| (one.method.to_owned(), operation(one, shapes))).collect::<Map<_, _>>().into()
}

fn operation(operation: &Operation, shapes: &mut Shapes) -> Value {
    let mut value = json!({
        "operationId": operation.name,
        "summary": operation.summary,
        "parameters": operation.parameters.iter().map(|one| parameter(one, shapes)).collect::<Vec<_>>(),
        "responses": responses(&operation.answers, shapes),
    });
    if let Some(body) = operation.body {
        let schema = body(&mut shapes.sent);
        value["requestBody"] =
            json!({ "required": true, "content": { "application/json": { "schema": schema } } });
    }
    value
}

fn parameter(parameter: &Parameter, shapes: &mut Shapes) -> Value {
    json!({
        "name": parameter.name,
        "in": parameter.place,
        "description": parameter.what,
        "required": parameter.required,
        "schema": (parameter.shape)(&mut shapes.sent),
    })
}

fn responses(answers: &[Answer], shapes: &mut Shapes) -> Value {
    let mut all = Map::new();
    for one in answers {
        let entry = all.entry(one.status.to_string()).or_insert_with(|| json!({ "description": one.what }));
        if let Some((media, shape)) = one.body {
            entry["content"][media]["schema"] = shape(&mut shapes.received).to_value();
        }
    }
    all.insert(
        "default".to_owned(),
        json!({
            "description": "It did not go well; the problem says why.",
            "content": { "application/problem+json": { "schema": { "$ref": "#/components/schemas/Problem" } } },
        }),
    );
    all.into()
}
