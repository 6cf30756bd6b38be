//! Every answer that the OpenAPI document describes is what the document says.

use axum::body::Body;
use axum::http::Method;
use elbowroom_tests::service::{Reply, TestService, request};
use jsonschema::Validator;
use serde_json::{Value, json};

/// The schema of an answer, with all that it refers to.
fn validator(document: &Value, path: &str, method: &str, reply: &Reply) -> Option<Validator> {
    let operation = &document["paths"][path][method];
    assert!(operation.is_object(), "{method} {path} is not described");
    let status = reply.status.as_u16().to_string();
    let responses = &operation["responses"];
    let response = if responses[&status].is_object() { &responses[&status] } else { &responses["default"] };
    let media = reply.header("content-type").split(';').next().unwrap_or_default().to_owned();
    if response["content"].is_null() {
        assert!(reply.bytes.is_empty(), "{method} {path}: {status} has a body that is not described");
        return None;
    }
    let schema = &response["content"][&media]["schema"];
    assert!(!schema.is_null(), "{method} {path}: {status} as `{media}` is not described");
    if media != "application/json" && media != "application/problem+json" {
        return None;
    }
    if schema.is_boolean() {
        return None;
    }
    let mut whole = schema.clone();
    whole["components"] = document["components"].clone();
    Some(jsonschema::draft202012::new(&whole).expect("a schema"))
}

fn check(document: &Value, path: &str, method: &str, reply: &Reply) {
    let Some(validator) = validator(document, path, method, reply) else { return };
    let value = reply.json();
    let faults: Vec<String> = validator
        .iter_errors(&value)
        .take(5)
        .map(|fault| format!("{}: {fault}", fault.instance_path()))
        .collect();
    assert!(faults.is_empty(), "{method} {path} {}: {faults:?}", reply.status);
}

#[tokio::test]
async fn every_described_look_is_answered_as_described() {
    let service = TestService::planned();
    let begun = service.post("/api/v1/solves", &json!({ "seconds": 0.3 })).await;
    service.ended(&begun).await;
    let part = service.get("/api/v1/orders?limit=1").await.json()["items"][0]["part"].clone();
    service.post("/api/v1/inquiries", &json!({ "part": part, "quantity": 5 })).await;
    let order = service.get("/api/v1/orders?limit=1").await.json()["items"][0]["id"].clone();
    let cell = service.get("/api/v1/cells").await.json()["cells"][0]["id"].clone();
    let document = service.get("/api/v1/openapi.json").await.json();
    let fill = |path: &str| {
        let id = if path.contains("/orders/") {
            &order
        } else if path.contains("/cells/") {
            &cell
        } else {
            &json!("1")
        };
        path.replace("{id}", id.as_str().unwrap_or_default()).replace("{name}", "plan.json")
    };
    let mut looked = 0;
    for (path, operations) in document["paths"].as_object().unwrap() {
        if !operations["get"].is_object() || path == "/api/v1/events" {
            continue;
        }
        let reply = service.get(&fill(path)).await;
        assert!(reply.status.is_success(), "{path}: {}", reply.status);
        check(&document, path, "get", &reply);
        let tag = reply.header("etag").to_owned();
        if !tag.is_empty() {
            let again = service.get_with(&fill(path), &[("if-none-match", &tag)]).await;
            assert_eq!(again.status, 304, "{path}");
            check(&document, path, "get", &again);
        }
        let unknown = service.get(&path.replace("{id}", "0").replace("{name}", "x")).await;
        if path.contains('{') {
            assert_eq!(unknown.status, 404, "{path}");
            check(&document, path, "get", &unknown);
        }
        looked += 1;
    }
    assert!(looked >= 17, "{looked} paths");
}

#[tokio::test]
async fn every_described_write_is_answered_as_described() {
    let service = TestService::planned();
    let document = service.get("/api/v1/openapi.json").await.json();
    let orders = service.get("/api/v1/orders?state=not_begun").await.json();
    let (order, step) = (&orders["items"][0]["id"], &orders["items"][0]["steps"][0]["name"]);
    let report = json!({ "order": order, "step": step, "event": "started" });
    let checked = async |path: &str, real: &str, body: Value, headers: &[(&str, &str)], status: u16| {
        let reply = service.post_with(real, &body, headers).await;
        assert_eq!(reply.status, status, "{real}: {}", String::from_utf8_lossy(&reply.bytes));
        check(&document, path, "post", &reply);
        reply
    };
    checked("/api/v1/reports", "/api/v1/reports", report.clone(), &[], 201).await;
    checked("/api/v1/reports", "/api/v1/reports", report, &[], 409).await;
    checked("/api/v1/reports", "/api/v1/reports", json!({}), &[], 422).await;
    let inquiries = "/api/v1/inquiries";
    let part = &orders["items"][0]["part"];
    checked(inquiries, inquiries, json!({ "part": part, "quantity": 5 }), &[], 201).await;
    checked(inquiries, inquiries, json!({ "part": "P-0", "quantity": 5 }), &[], 422).await;
    let accept = "/api/v1/inquiries/{id}/accept";
    checked(accept, "/api/v1/inquiries/1/accept", json!({}), &[], 201).await;
    checked(accept, "/api/v1/inquiries/1/accept", json!({}), &[], 409).await;
    let begun = checked("/api/v1/solves", "/api/v1/solves", json!({ "seconds": 0.3 }), &[], 202).await;
    checked("/api/v1/solves", "/api/v1/solves", json!({ "seconds": 1 }), &[], 409).await;
    let plan = service.ended(&begun).await["plan"].clone();
    let (publish, discard) = ("/api/v1/plans/{id}/publish", "/api/v1/plans/{id}/discard");
    let path = |verb: &str| format!("/api/v1/plans/{plan}/{verb}");
    let tag = service.get("/api/v1/plan").await.header("etag").to_owned();
    checked(publish, &path("publish"), json!({}), &[], 428).await;
    checked(publish, &path("publish"), json!({}), &[("if-match", "\"x\"")], 412).await;
    checked(publish, &path("publish"), json!({}), &[("if-match", &tag)], 200).await;
    checked(discard, &path("discard"), json!({}), &[], 409).await;
    let begun = service.post("/api/v1/solves", &json!({ "seconds": 0.3 })).await;
    let stopped = service.send(request(Method::DELETE, begun.header("location"), &[], Body::empty())).await;
    check(&document, "/api/v1/solves/{id}", "delete", &stopped);
    let plan = service.ended(&begun).await["plan"].clone();
    checked(discard, &format!("/api/v1/plans/{plan}/discard"), json!({}), &[], 200).await;
}

/// The events of a stream (HTML, 9.2.6, Interpreting an event stream), as OpenAPI 3.2 has them described.
fn events(stream: &Reply) -> Vec<Value> {
    let text = String::from_utf8(stream.bytes.clone()).expect("UTF-8");
    let event = |block: &str| {
        let field = |name: &str| {
            let lines = block.lines().filter_map(|line| line.strip_prefix(name)?.strip_prefix(':'));
            let values: Vec<&str> = lines.map(|value| value.strip_prefix(' ').unwrap_or(value)).collect();
            values.join("\n")
        };
        json!({ "event": field("event"), "data": field("data") })
    };
    let blocks = text.split("\n\n").filter(|block| block.lines().any(|line| line.starts_with("data:")));
    blocks.map(event).collect()
}

/// The schema of a stream's events, with all that it refers to.
fn stream_schema(document: &Value, path: &str) -> Value {
    let content = &document["paths"][path]["get"]["responses"]["200"]["content"];
    let mut schema = content["text/event-stream"]["schema"].clone();
    schema["components"] = document["components"].clone();
    schema
}

#[tokio::test]
async fn streams_of_events_are_as_described_down_to_the_data_of_each_event() {
    let service = TestService::planned();
    let document = service.get("/api/v1/openapi.json").await.json();
    let valid = |schema: &Value, value: &Value| {
        jsonschema::draft202012::new(schema).expect("a schema").is_valid(value)
    };
    let changes = service.beginning("/api/v1/events").await;
    assert_eq!(changes.header("content-type"), "text/event-stream");
    let told = events(&changes);
    let schema = stream_schema(&document, "/api/v1/events");
    assert!(told.len() == 1 && valid(&schema, &json!(told)), "{told:?}");
    let status = service.get("/api/v1/status").await;
    assert_eq!(told[0]["data"], status.header("etag"));
    assert!(!valid(&schema, &json!([{ "event": "progress", "data": "x" }])), "another event is none");

    let begun = service.post("/api/v1/solves", &json!({ "seconds": 0.5 })).await;
    let course = service.get(&format!("{}/events", begun.header("location"))).await;
    let told = events(&course);
    let schema = stream_schema(&document, "/api/v1/solves/{id}/events");
    assert!(told.len() >= 2 && valid(&schema, &json!(told)), "{told:?}");
    let kinds = schema["items"]["oneOf"].as_array().expect("kinds of events");
    for one in &told {
        let kind = kinds.iter().find(|kind| kind["properties"]["event"]["const"] == one["event"]).unwrap();
        let data = &kind["properties"]["data"];
        assert_eq!(data["contentMediaType"], "application/json");
        let mut shape = data["contentSchema"].clone();
        shape["components"] = document["components"].clone();
        let view: Value = serde_json::from_str(one["data"].as_str().unwrap()).unwrap();
        assert!(valid(&shape, &view), "{view}");
        assert_eq!(one["event"] == "end", view["state"] != "running");
    }
}

/// Every moment is ISO 8601 with an offset (RFC 3339), in every document that is described.
#[tokio::test]
async fn every_moment_has_its_offset() {
    let service = TestService::planned();
    let begun = service.post("/api/v1/solves", &json!({ "seconds": 0.3 })).await;
    service.ended(&begun).await;
    let order = service.get("/api/v1/orders?limit=1").await.json()["items"][0].clone();
    let (id, step) = (&order["id"], &order["steps"][0]["name"]);
    service.post("/api/v1/reports", &json!({ "order": id, "step": step, "event": "started" })).await;
    service.post("/api/v1/inquiries", &json!({ "part": order["part"], "quantity": 5 })).await;
    service.post("/api/v1/inquiries/1/accept", &json!({})).await;
    let mut moments = 0;
    for path in [
        "status",
        "plan",
        "orders",
        "cells",
        "tooling",
        "load",
        "plans",
        "plans/1",
        "reports",
        "solves",
        "inquiries",
        "promises",
    ] {
        let mut rest = vec![service.get(&format!("/api/v1/{path}")).await.json()];
        while let Some(value) = rest.pop() {
            match value {
                Value::Array(items) => rest.extend(items),
                Value::Object(members) => rest.extend(members.into_iter().map(|(_, value)| value)),
                Value::String(text) if text.as_bytes().get(10) == Some(&b'T') && text.starts_with("20") => {
                    assert!(chrono::DateTime::parse_from_rfc3339(&text).is_ok(), "{path}: {text}");
                    moments += 1;
                }
                _ => {}
            }
        }
    }
    assert!(moments > 1_000, "{moments} moments were seen");
}

/// By OpenAPI 3.1.0: what every document and operation must have.
#[tokio::test]
async fn the_document_has_what_openapi_3_1_asks_for() {
    let document = TestService::empty().get("/api/v1/openapi.json").await.json();
    assert_eq!(document["openapi"], "3.1.0");
    assert!(["title", "version"].iter().all(|key| document["info"][key].is_string()));
    let mut names = Vec::new();
    for (path, item) in document["paths"].as_object().unwrap() {
        for (method, operation) in item.as_object().unwrap() {
            names.push(operation["operationId"].clone());
            assert!(operation["responses"].as_object().unwrap().len() >= 2, "{method} {path}");
            let parameters = operation["parameters"].as_array().unwrap();
            let named = |name: &str| {
                parameters.iter().any(|one| {
                    one["in"] == "path" && one["name"] == json!(name) && one["required"] == json!(true)
                })
            };
            let in_path = path.split('/').filter_map(|part| part.strip_prefix('{')?.strip_suffix('}'));
            assert!(in_path.into_iter().all(named), "{method} {path}");
        }
    }
    let count = names.len();
    names.sort_by_key(ToString::to_string);
    names.dedup();
    assert_eq!(names.len(), count, "operation ids are unique");
    let text = document.to_string();
    for (at, _) in text.match_indices("\"$ref\":\"#/components/schemas/") {
        let name = text[at..].split('/').nth(3).and_then(|rest| rest.split('"').next()).unwrap();
        assert!(document["components"]["schemas"][name].is_object(), "{name} is referred to and not there");
    }
}
