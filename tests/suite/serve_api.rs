//! The interface for programs, called in-process: what it says, what it keeps, what it refuses.

use axum::body::Body;
use axum::http::{Method, StatusCode};
use elbowroom_server::{NewToken, Plan, Right, Tokens};
use elbowroom_tests::program::ran;
use elbowroom_tests::service::{Reply, TestService, request};
use elbowroom_tests::testers;
use serde_json::{Value, json};
use std::time::Duration;

/// A lot of the plan that has not been started.
async fn planned_lot(service: &TestService) -> (String, String, String) {
    let cells = service.get("/api/v1/cells").await.json();
    let cell = cells["cells"].as_array().expect("a list").iter().find(|cell| !cell["next"][0].is_null());
    let cell = cell.expect("some cell has work");
    let text = |value: &Value| value.as_str().expect("a text").to_owned();
    (text(&cell["id"]), text(&cell["next"][0]["order"]), text(&cell["next"][0]["step"]))
}

fn report(order: &str, step: &str, event: &str) -> Value {
    json!({ "order": order, "step": step, "event": event, "by": "floor" })
}

fn is_problem(reply: &Reply, status: u16, name: &str) {
    assert_eq!(reply.status.as_u16(), status, "{}", String::from_utf8_lossy(&reply.bytes));
    assert_eq!(reply.header("content-type"), "application/problem+json");
    let problem = reply.json();
    assert_eq!(problem["type"], format!("urn:elbowroom:problem:{name}"));
    assert_eq!(problem["status"], status);
    assert!(["title", "detail"].iter().all(|key| problem[key].as_str().is_some_and(|text| !text.is_empty())));
}

#[tokio::test]
async fn without_a_plan_that_is_said() {
    let service = TestService::empty();
    assert_eq!(service.get("/api/v1/status").await.json()["plan"], Value::Null);
    is_problem(&service.get("/api/v1/plan").await, 404, "no-plan");
    is_problem(&service.get("/readyz").await, 503, "no-plan");
    assert_eq!(service.get("/healthz").await.status, StatusCode::OK);
    assert_eq!(service.get("/").await.status, StatusCode::OK);
}

#[tokio::test]
async fn the_plan_is_served_byte_for_byte_and_read_without_loss() {
    let service = TestService::planned();
    let plan = service.get("/api/v1/plan").await;
    let kept = service.get("/api/v1/plans/1/documents/plan.json").await;
    assert_eq!(plan.bytes, kept.bytes);
    let read: Plan = serde_json::from_slice(&plan.bytes).unwrap();
    assert_eq!(serde_json::to_value(&read).unwrap(), plan.json());
    assert_eq!(plan.json()["format"], "elbowroom-plan/1");
}

#[tokio::test]
async fn whoever_polls_gets_304_until_something_happens() {
    let service = TestService::planned();
    let paths = [
        "/api/v1/status",
        "/api/v1/plan",
        "/api/v1/orders",
        "/api/v1/cells",
        "/api/v1/tooling",
        "/api/v1/load",
        "/api/v1/plans",
        "/api/v1/reports",
        "/api/v1/plans/1",
        "/api/v1/openapi.json",
        "/assets/style.css",
    ];
    for path in paths {
        for accepted in ["identity", "gzip"] {
            let first = service.get_with(path, &[("accept-encoding", accepted)]).await;
            assert_eq!(first.status, StatusCode::OK, "{path}");
            assert!(first.header("cache-control").contains("no-cache"), "{path}");
            let tag = first.header("etag").to_owned();
            assert!(tag.starts_with('"'), "{path}: a strong tag, not {tag}");
            let known = [("accept-encoding", accepted), ("if-none-match", &tag)];
            let again = service.get_with(path, &known).await;
            assert_eq!((again.status, again.bytes.len()), (StatusCode::NOT_MODIFIED, 0), "{path}");
            assert_eq!(again.header("etag"), tag);
        }
    }
}

#[tokio::test]
async fn a_report_changes_the_status_and_not_the_plan() {
    let service = TestService::planned();
    let (_, order, step) = planned_lot(&service).await;
    let tags = async |path: &str| service.get(path).await.header("etag").to_owned();
    let (status, plan) = (tags("/api/v1/status").await, tags("/api/v1/plan").await);
    let recorded = service.post("/api/v1/reports", &report(&order, &step, "started")).await;
    assert_eq!(recorded.status, StatusCode::CREATED);
    assert_eq!(service.get(recorded.header("location")).await.json()["items"][0], recorded.json());
    assert_ne!(tags("/api/v1/status").await, status);
    assert_eq!(tags("/api/v1/plan").await, plan);
}

#[tokio::test]
async fn progress_goes_from_planned_to_finished_and_can_be_withdrawn() {
    let service = TestService::planned();
    let (cell, order, step) = planned_lot(&service).await;
    let now = async || service.get(&format!("/api/v1/cells/{cell}")).await.json();
    let send = async |mut body: Value, event: &str| {
        body["event"] = json!(event);
        service.post("/api/v1/reports", &body).await
    };
    let base = report(&order, &step, "");
    let state = |cell: &Value| {
        let list = cell["list"].as_array().expect("a list");
        let lot = list.iter().find(|lot| lot["order"] == json!(order) && lot["step"] == json!(step));
        lot.map(|lot| (lot["progress"]["state"].clone(), lot["progress"]["good"].clone()))
            .expect("the lot is there")
    };
    assert_eq!(send(base.clone(), "started").await.status, 201);
    assert_eq!(state(&now().await).0, "running");
    is_problem(&send(base.clone(), "started").await, 409, "does-not-follow");
    let mut stopped = base.clone();
    stopped["reason"] = json!("no tube");
    assert_eq!(send(stopped, "stopped").await.status, 201);
    assert_eq!(state(&now().await).0, "stopped");
    let mut finished = base.clone();
    (finished["good"], finished["scrap"]) = (json!(7), json!(1));
    let done = send(finished, "finished").await;
    assert_eq!(state(&now().await), (json!("finished"), json!(7)));
    let mut withdrawn = base;
    withdrawn["withdraws"] = done.json()["id"].clone();
    assert_eq!(send(withdrawn, "withdrawn").await.status, 201);
    assert_eq!(state(&now().await).0, "stopped");
}

#[tokio::test]
async fn a_report_sent_twice_counts_once() {
    let service = TestService::planned();
    let (_, order, step) = planned_lot(&service).await;
    let mut body = report(&order, &step, "started");
    body["key"] = json!("tablet-7-1");
    let (first, again) =
        (service.post("/api/v1/reports", &body).await, service.post("/api/v1/reports", &body).await);
    assert_eq!((first.status, again.status), (StatusCode::CREATED, StatusCode::CREATED));
    assert_eq!(first.json()["id"], again.json()["id"]);
    assert_eq!(service.get("/api/v1/reports").await.json()["items"].as_array().unwrap().len(), 1);
}

#[tokio::test]
async fn reports_that_make_no_sense_are_refused_with_a_remedy() {
    let service = TestService::planned();
    let (_, order, step) = planned_lot(&service).await;
    let with = |key: &str, value: Value| {
        let mut body = report(&order, &step, "started");
        body[key] = value;
        body
    };
    for (body, named) in [
        (with("order", json!("O-0")), "no order `O-0`"),
        (with("step", json!("paint")), "no step `paint`"),
        (with("cell", json!("moon-1")), "`moon-1`"),
        (with("happened", json!("2027-01-01T00:00:00Z")), "future"),
        (with("event", json!("stopped")), "`reason`"),
        (with("event", json!("finished")), "`good`"),
        (with("good", json!(3)), "does not belong"),
        (with("event", json!("exploded")), "unknown variant"),
        (with("colour", json!("red")), "unknown field"),
        (with("order", json!("x".repeat(300))), "more than 200"),
        (with("order", json!("O-1\u{0}")), "no text"),
    ] {
        let reply = service.post("/api/v1/reports", &body).await;
        is_problem(&reply, 422, "refused");
        let detail = reply.json()["detail"].as_str().unwrap().to_owned();
        assert!(detail.contains(named), "{detail}");
    }
    assert_eq!(service.get("/api/v1/reports").await.json()["items"], json!([]));
}

/// Plans anew and returns the number of the proposal.
async fn proposal(service: &TestService) -> Value {
    let begun = service.post("/api/v1/solves", &json!({ "seconds": 0.3, "reason": "rush order" })).await;
    assert_eq!(begun.status, StatusCode::ACCEPTED);
    let ended = service.ended(&begun).await;
    assert_eq!(ended["state"], "done", "{ended}");
    ended["plan"].clone()
}

#[tokio::test]
async fn of_two_planners_the_second_is_told_and_nothing_is_overwritten() {
    let service = TestService::planned();
    let (ada, ben) = (proposal(&service).await, proposal(&service).await);
    let seen = service.get("/api/v1/plan").await.header("etag").to_owned();
    let path = |plan: &Value| format!("/api/v1/plans/{plan}/publish");
    is_problem(&service.post(&path(&ada), &json!({})).await, 428, "unconditional");
    let published = service.post_with(&path(&ada), &json!({ "by": "Ada" }), &[("if-match", &seen)]).await;
    assert_eq!((published.status.as_u16(), &published.json()["version"]), (200, &json!(2)));
    let refused = service.post_with(&path(&ben), &json!({ "by": "Ben" }), &[("if-match", &seen)]).await;
    is_problem(&refused, 412, "plan-moved");
    assert_eq!(service.get("/api/v1/status").await.json()["plan"]["id"], ada);
    let first = service.post_with(&path(&ben), &json!({}), &[("if-none-match", "*")]).await;
    is_problem(&first, 412, "plan-moved");
    let settled = service.post(&format!("/api/v1/plans/{ada}/discard"), &json!({})).await;
    is_problem(&settled, 409, "settled");
    assert_eq!(
        service.post(&format!("/api/v1/plans/{ben}/discard"), &json!({})).await.json()["outcome"],
        "discarded"
    );
}

#[tokio::test]
async fn every_plan_is_kept_with_its_inputs_and_who_and_when() {
    let service = TestService::planned();
    proposal(&service).await;
    let list = service.get("/api/v1/plans?limit=1").await.json();
    assert_eq!((&list["items"][0]["id"], &list["items"][0]["outcome"]), (&json!(2), &json!("proposed")));
    let rest = service.get(list["next"].as_str().unwrap()).await.json();
    assert_eq!((&rest["items"][0]["id"], &rest["next"]), (&json!(1), &Value::Null));
    assert_eq!(rest["items"][0]["made"], json!({ "by": "Ada", "at": "2026-12-07T07:00:00+01:00" }));
    let documents = service.get("/api/v1/plans/1").await.json()["documents"].clone();
    for name in ["plan.json", "problem.json", "schedule.json", "inputs/shop.toml", "inputs/orders.csv"] {
        assert!(documents.as_array().unwrap().contains(&json!(name)), "{name}");
    }
    let kept = service.get("/api/v1/plans/1/documents/inputs/orders.csv").await.bytes;
    let shop = elbowroom_tests::service::demo_shop();
    assert_eq!(kept, std::fs::read(shop.join("orders.csv")).unwrap());
}

#[tokio::test]
async fn no_path_reaches_the_file_system() {
    let service = TestService::planned();
    for path in [
        "/api/v1/plans/1/documents/../../../../etc/passwd",
        "/api/v1/plans/1/documents/%2e%2e%2f%2e%2e%2fetc%2fpasswd",
        "/api/v1/plans/1/documents//etc/passwd",
        "/assets/../Cargo.toml",
        "/assets/%2e%2e/%2e%2e/Cargo.toml",
        "/cells/..%2f..%2fetc",
        "/api/v1/cells/%00",
        "/api/v1/plans/%ff/publish",
    ] {
        let reply = service.get(path).await;
        assert!(matches!(reply.status.as_u16(), 404 | 405), "{path}: {}", reply.status);
        assert!(!String::from_utf8_lossy(&reply.bytes).contains("root:"), "{path}");
    }
}

#[tokio::test]
async fn the_published_plan_is_there_at_once_after_a_restart() {
    let service = TestService::planned();
    let (_, order, step) = planned_lot(&service).await;
    service.post("/api/v1/reports", &report(&order, &step, "started")).await;
    // A solve is under way when the service ends; nothing waits for it.
    service.post("/api/v1/solves", &json!({ "seconds": 5 })).await;
    let (status, plan) =
        (service.get("/api/v1/status").await.json(), service.get("/api/v1/plan").await.bytes);
    service.app.close();
    let service = service.restarted();
    let again = service.get("/api/v1/status").await.json();
    assert_eq!(
        (&again["plan"], &again["orders"], &again["cells"]),
        (&status["plan"], &status["orders"], &status["cells"])
    );
    assert_eq!(service.get("/api/v1/plan").await.bytes, plan);
}

#[tokio::test]
async fn one_solve_runs_at_a_time_and_can_be_ended_early() {
    let service = TestService::planned();
    let begun = service.post("/api/v1/solves", &json!({ "seconds": 60, "by": "Ada" })).await;
    let place = begun.header("location").to_owned();
    assert_eq!(service.get("/api/v1/status").await.json()["running_solve"], begun.json()["id"]);
    let second = service.post("/api/v1/solves", &json!({})).await;
    is_problem(&second, 409, "solve-running");
    assert_eq!(second.header("location"), place);
    let stopped = service.send(request(Method::DELETE, &place, &[], Body::empty())).await;
    assert_eq!(stopped.status, StatusCode::ACCEPTED);
    let ended = service.ended(&begun).await;
    assert!(ended["state"] == "done" && ended["elapsed_s"].as_f64().unwrap() < 30.0, "{ended}");
    // The solve is over a moment before the status says so.
    for _ in 0..50 {
        if service.get("/api/v1/status").await.json()["running_solve"].is_null() {
            break;
        }
        tokio::time::sleep(Duration::from_millis(20)).await;
    }
    assert_eq!(service.get("/api/v1/status").await.json()["running_solve"], Value::Null);
    is_problem(&service.post("/api/v1/solves", &json!({ "seconds": 0 })).await, 422, "refused");
}

#[tokio::test]
async fn events_of_a_solve_end_with_its_end() {
    let service = TestService::planned();
    let begun = service.post("/api/v1/solves", &json!({ "seconds": 0.5 })).await;
    let stream = service.get(&format!("{}/events", begun.header("location"))).await;
    assert!(stream.header("content-type").starts_with("text/event-stream"));
    let text = String::from_utf8(stream.bytes).unwrap();
    let last = text.trim_end().rsplit("\n\n").next().unwrap();
    assert!(last.contains("event: end") && last.contains("\"state\":\"done\""), "{last}");
}

#[tokio::test]
async fn orders_are_found_by_state_and_come_in_parts() {
    let service = TestService::planned();
    let all = service.get("/api/v1/orders?limit=500").await.json()["items"].as_array().unwrap().clone();
    let late =
        service.get("/api/v1/orders?late=true&limit=500").await.json()["items"].as_array().unwrap().len();
    assert_eq!(late, all.iter().filter(|order| order["is_late"] == json!(true)).count());
    let (mut path, mut seen) = ("/api/v1/orders?limit=7".to_owned(), Vec::new());
    loop {
        let part = service.get(&path).await.json();
        seen.extend(part["items"].as_array().unwrap().iter().map(|order| order["id"].clone()));
        match part["next"].as_str() {
            Some(next) => next.clone_into(&mut path),
            None => break,
        }
    }
    assert_eq!(seen, all.iter().map(|order| order["id"].clone()).collect::<Vec<_>>());
    is_problem(&service.get("/api/v1/orders?limit=0").await, 400, "query");
    is_problem(&service.get("/api/v1/orders?state=lost").await, 400, "query");
    is_problem(&service.get("/api/v1/orders/O-0").await, 404, "not-found");
}

fn tokens() -> (Tokens, String, String) {
    let (write, read) =
        (NewToken::new(Right::Write, "ada", [1; 32]), NewToken::new(Right::Read, "board", [2; 32]));
    let tokens = Tokens::read(&format!("{}\n{}", write.line, read.line)).expect("tokens");
    (tokens, format!("Bearer {}", write.token), format!("Bearer {}", read.token))
}

#[tokio::test]
async fn tokens_decide_who_may_look_and_who_may_write() {
    let (tokens, write, read) = tokens();
    let service = TestService::planned_with(&tokens);
    let (_, order, step) = ("", "O-0".to_owned(), "bend".to_owned());
    let body = report(&order, &step, "started");
    let without = service.get("/api/v1/status").await;
    is_problem(&without, 401, "token");
    assert!(without.header("www-authenticate").starts_with("Bearer"));
    assert_eq!(service.get_with("/api/v1/status", &[("authorization", &read)]).await.status, StatusCode::OK);
    is_problem(
        &service.post_with("/api/v1/reports", &body, &[("authorization", &read)]).await,
        403,
        "read-only-token",
    );
    is_problem(
        &service.post_with("/api/v1/reports", &body, &[("authorization", &write)]).await,
        422,
        "refused",
    );
    let cookie = format!("elbowroom_token={}", read.trim_start_matches("Bearer "));
    assert_eq!(service.get_with("/api/v1/status", &[("cookie", &cookie)]).await.status, StatusCode::OK);
    for open in ["/healthz", "/readyz", "/api/v1/openapi.json", "/login", "/assets/style.css"] {
        assert_eq!(service.get(open).await.status, StatusCode::OK, "{open}");
    }
    is_problem(&service.get("/metrics").await, 401, "token");
    let page = service.get_with("/orders", &[("accept", "text/html")]).await;
    assert_eq!((page.status.as_u16(), page.header("location")), (303, "/login"));
}

#[tokio::test]
async fn a_browser_logs_in_with_a_cookie_that_scripts_cannot_read() {
    let (tokens, write, _) = tokens();
    let service = TestService::planned_with(&tokens);
    let form = [("content-type", "application/x-www-form-urlencoded")];
    let body = format!("token={}", write.trim_start_matches("Bearer "));
    let entered = service.send(request(Method::POST, "/login", &form, Body::from(body))).await;
    assert_eq!(entered.status, StatusCode::SEE_OTHER);
    let cookie = entered.header("set-cookie");
    assert!(["HttpOnly", "SameSite=Strict", "Path=/"].iter().all(|part| cookie.contains(part)), "{cookie}");
    let wrong = service.send(request(Method::POST, "/login", &form, Body::from("token=elb_guess"))).await;
    assert!(wrong.status == StatusCode::UNAUTHORIZED && wrong.header("set-cookie").is_empty());
}

#[tokio::test]
async fn guessing_tokens_is_slowed_down() {
    let (tokens, write, _) = tokens();
    let service = TestService::planned_with(&tokens);
    let mut last = 0;
    for guess in 0..15 {
        let token = format!("Bearer elb_{guess}");
        last = service.get_with("/api/v1/status", &[("authorization", &token)]).await.status.as_u16();
    }
    assert_eq!(last, 429);
    let refused = service.get_with("/api/v1/status", &[("authorization", &write)]).await;
    assert!(refused.status == 429 && refused.header("retry-after").parse::<u32>().is_ok());
}

#[tokio::test]
async fn other_sites_pages_can_neither_look_nor_write() {
    let service = TestService::planned();
    is_problem(&service.get_with("/api/v1/status", &[("host", "evil.example")]).await, 421, "host");
    let body = report("O-1", "bend", "started");
    let foreign = service.post_with("/api/v1/reports", &body, &[("origin", "http://evil.example")]).await;
    is_problem(&foreign, 403, "origin");
    let own = service.post_with("/api/v1/reports", &body, &[("origin", "http://localhost:8080")]).await;
    is_problem(&own, 422, "refused");
    let as_form =
        request(Method::POST, "/api/v1/reports", &[("content-type", "text/plain")], Body::from("{}"));
    is_problem(&service.send(as_form).await, 415, "not-json");
}

/// A look at what lies ready is answered before the router; `HEAD`, which is to say the same in its head
/// (RFC 9110, 9.3.2), is answered behind it.
#[tokio::test]
async fn what_lies_ready_is_answered_as_the_router_would() {
    let (tokens, write, _) = tokens();
    let asked: [&[(&str, &str)]; 7] = [
        &[],
        &[("accept-encoding", "gzip")],
        &[("accept", "text/html")],
        &[("host", "evil.example")],
        &[("if-none-match", "*")],
        &[("authorization", "Bearer elb_guess")],
        &[("authorization", &write)],
    ];
    for service in [TestService::planned(), TestService::empty(), TestService::planned_with(&tokens)] {
        for path in ["/api/v1/status", "/api/v1/plan", "/api/v1/plan?at=once"] {
            for headers in asked {
                let mut looked = service.get_with(path, headers).await;
                let mut head = service.send(request(Method::HEAD, path, headers, Body::empty())).await;
                // Hyper writes this one where the router has not.
                looked.headers.remove("content-length");
                head.headers.remove("content-length");
                assert_eq!(
                    (looked.status, looked.headers),
                    (head.status, head.headers),
                    "{path} {headers:?}"
                );
            }
        }
        let metrics = service.get_with("/metrics", &[("authorization", &write)]).await;
        let text = String::from_utf8(metrics.bytes).unwrap();
        let counted = |method: &str| -> Vec<String> {
            let named = format!("method=\"{method}\"");
            text.lines().filter(|line| line.contains(&named)).map(|line| line.replace(&named, "")).collect()
        };
        assert!(counted("HEAD").len() >= 4 && counted("GET") == counted("HEAD"), "{text}");
    }
}

#[tokio::test]
async fn what_cannot_be_understood_is_refused() {
    let service = TestService::planned();
    let json = [("content-type", "application/json")];
    let post = async |body: Body| service.send(request(Method::POST, "/api/v1/reports", &json, body)).await;
    is_problem(&post(Body::from("{\"order\":")).await, 400, "no-json");
    is_problem(&post(Body::from(vec![0xff, 0xfe])).await, 400, "no-json");
    is_problem(&post(Body::from("[".repeat(50_000))).await, 422, "refused");
    is_problem(&post(Body::from("x".repeat(100_000))).await, 413, "too-large");
    is_problem(&service.get("/api/v1/nothing").await, 404, "not-found");
    let put = request(Method::PUT, "/api/v1/reports", &json, Body::empty());
    let refused = service.send(put).await;
    is_problem(&refused, 405, "method");
    assert!(refused.header("allow").contains("POST"));
}

#[tokio::test]
async fn writing_too_often_is_refused_for_a_while() {
    let service = TestService::planned();
    let body = report("O-0", "bend", "started");
    let mut statuses = Vec::new();
    for _ in 0..80 {
        statuses.push(service.post("/api/v1/reports", &body).await.status.as_u16());
    }
    assert!(statuses[..60].iter().all(|status| *status == 422), "{statuses:?}");
    assert!(statuses.contains(&429));
    assert_eq!(service.get("/api/v1/status").await.status, StatusCode::OK);
}

/// The reference parser of the text exposition format (PyPI, prometheus_client) reads everything.
#[tokio::test]
async fn the_reference_parser_reads_the_metrics() {
    let Some(mut python) = testers::metrics() else { return };
    let service = TestService::planned();
    service.get("/api/v1/status").await;
    service.get("/nowhere/\"quoted\\").await;
    let text = service.get("/metrics").await.bytes;
    let program =
        "import sys, json; from prometheus_client.parser import text_string_to_metric_families as read
print(json.dumps([[f.name, f.type, f.documentation, [[s.name, s.labels, s.value] for s in f.samples]]
    for f in read(open(sys.argv[1]).read())]))";
    let file = tempfile::NamedTempFile::new().unwrap();
    std::fs::write(file.path(), text).unwrap();
    let read = ran(&python.args(["-c", program]).arg(file.path()).output().unwrap());
    assert_eq!(read.code, 0, "{read:?}");
    let families = read.json();
    let family =
        |name: &str| families.as_array().unwrap().iter().find(|family| family[0] == name).cloned().unwrap();
    // Counters lose their ending in the parser's names.
    for (name, kind) in [
        ("elbowroom_http_requests", "counter"),
        ("elbowroom_http_request_seconds", "histogram"),
        ("elbowroom_http_connections", "gauge"),
        ("elbowroom_event_streams", "gauge"),
    ] {
        let family = family(name);
        assert_eq!(family[1], kind, "{family}");
        assert!(family[2].as_str().is_some_and(|what| what.ends_with('.')), "{family}");
    }
    let requests = family("elbowroom_http_requests")[3].clone();
    let counted = json!(["elbowroom_http_requests_total", { "method": "GET", "path": "/api/v1/status", "status": "200" }, 1]);
    assert!(requests.as_array().unwrap().contains(&counted), "{requests}");
    // Buckets add up, and the last one holds every request (the format's words on histograms).
    let samples = family("elbowroom_http_request_seconds")[3].clone();
    let of = |ending: &str| {
        let all = samples.as_array().unwrap().iter();
        let ours = all
            .filter(|one| one[0].as_str().unwrap().ends_with(ending) && one[1]["path"] == "/api/v1/status");
        ours.map(|one| one[2].as_f64().unwrap()).collect::<Vec<f64>>()
    };
    let buckets = of("_bucket");
    assert!(buckets.is_sorted() && buckets.last() == of("_count").first(), "{samples}");
}

/// By the text exposition format, version 0.0.4: `# HELP` and `# TYPE` before the samples, each
/// sample a name, labels and a number.
#[tokio::test]
async fn metrics_are_in_the_text_exposition_format() {
    let service = TestService::planned();
    service.get("/api/v1/status").await;
    service.get("/api/v1/status").await;
    let metrics = service.get("/metrics").await;
    assert!(metrics.header("content-type").starts_with("text/plain; version=0.0.4"));
    let text = String::from_utf8(metrics.bytes).unwrap();
    let samples: Vec<&str> = text.lines().filter(|line| !line.starts_with('#')).collect();
    for sample in &samples {
        let (name, value) = sample.rsplit_once(' ').unwrap();
        assert!(value.parse::<f64>().is_ok(), "{sample}");
        assert!(name.starts_with("elbowroom_"), "{sample}");
    }
    let counted = "elbowroom_http_requests_total{method=\"GET\",path=\"/api/v1/status\",status=\"200\"} 2";
    assert!(samples.contains(&counted), "{text}");
    assert!(text.contains("# TYPE elbowroom_http_request_seconds histogram"));
}

#[tokio::test]
async fn a_re_plan_takes_what_was_reported_for_granted() {
    let service = TestService::planned();
    let (cell, order, step) = planned_lot(&service).await;
    let mut finished = report(&order, &step, "finished");
    finished["good"] = json!(10);
    assert_eq!(service.post("/api/v1/reports", &finished).await.status, 201);
    let plan = proposal(&service).await;
    let made = service.get(&format!("/api/v1/plans/{plan}/documents/plan.json")).await.json();
    let tasks = made["cells"].as_array().unwrap().iter().flat_map(|cell| cell["tasks"].as_array().unwrap());
    let again: Vec<&Value> =
        tasks.filter(|task| task["order"] == json!(order) && task["step"] == json!(step)).collect();
    assert!(again.is_empty(), "{cell}: {again:?}");
    // It is seven in the morning: nothing begins before now.
    let starts = made["cells"].as_array().unwrap().iter().flat_map(|cell| cell["tasks"].as_array().unwrap());
    assert!(
        starts
            .filter(|task| task["under_way"] == json!(false))
            .all(|task| task["setup_start_minute"].as_i64() >= Some(420))
    );
}

#[tokio::test]
async fn on_a_full_disk_that_is_said_and_everything_earlier_is_served() {
    let service = TestService::full();
    let plan = service.get("/api/v1/plan").await;
    let (_, order, step) = planned_lot(&service).await;
    let mut kept = Vec::new();
    let mut refused = None;
    // What fits into pages that the file has already is still taken.
    for number in 0..5_000 {
        let event = if number % 2 == 0 { "started" } else { "stopped" };
        let mut body = report(&order, &step, event);
        if event == "stopped" {
            body["reason"] = json!("x".repeat(200));
        }
        let reply = service.post("/api/v1/reports", &body).await;
        match reply.status {
            StatusCode::CREATED => kept.push(reply.json()),
            _ => {
                refused = Some(reply);
                break;
            }
        }
    }
    let refused = refused.expect("the store fills up");
    is_problem(&refused, 507, "store-full");
    assert!(!refused.json()["remedy"].as_str().unwrap().is_empty());
    let begun = service.post("/api/v1/solves", &json!({ "seconds": 0.2 })).await;
    let ended = service.ended(&begun).await;
    assert_eq!(ended["state"], "failed", "{ended}");
    assert!(ended["problem"].as_str().unwrap().contains("cannot be kept"), "{ended}");
    assert_eq!(service.get("/api/v1/plan").await.bytes, plan.bytes);
    assert_eq!(service.get("/readyz").await.status, StatusCode::OK);
    let listed = service.get("/api/v1/reports?limit=500").await.json();
    assert_eq!(listed["items"].as_array().unwrap()[..], kept[..kept.len().min(500)]);
}

/// By RFC 1952 and RFC 9110, 8.8.3: the packed form has another tag and unpacks to the same bytes.
#[tokio::test]
async fn documents_are_packed_for_those_who_take_it() {
    let service = TestService::planned();
    let plain = service.get("/api/v1/plan").await;
    let packed = service.get_with("/api/v1/plan", &[("accept-encoding", "br, gzip")]).await;
    assert_eq!((plain.header("content-encoding"), packed.header("content-encoding")), ("", "gzip"));
    assert!(packed.bytes.len() * 4 < plain.bytes.len(), "{} of {}", packed.bytes.len(), plain.bytes.len());
    let mut unpacked = Vec::new();
    std::io::Read::read_to_end(&mut flate2::read::GzDecoder::new(&packed.bytes[..]), &mut unpacked).unwrap();
    assert_eq!(unpacked, plain.bytes);
    assert_ne!(plain.header("etag"), packed.header("etag"));
    assert!(plain.header("vary").contains("accept-encoding"));
    let refused = service.get_with("/api/v1/plan", &[("accept-encoding", "gzip;q=0, identity")]).await;
    assert_eq!(refused.header("content-encoding"), "");
}

#[tokio::test]
async fn orders_say_how_sure_their_dates_are() {
    let service = TestService::planned();
    let orders = service.get("/api/v1/orders?limit=500").await.json()["items"].clone();
    for order in orders.as_array().unwrap() {
        let sure = &order["confidence"];
        assert!((0.0..=1.0).contains(&sure["kept"].as_f64().unwrap()), "{order}");
        let dates: Vec<&str> =
            sure["dates"].as_array().unwrap().iter().map(|one| one["date"].as_str().unwrap()).collect();
        assert!(dates.len() == 3 && dates.is_sorted(), "{dates:?}");
    }
}

#[tokio::test]
async fn whoever_asks_for_a_page_and_gets_a_problem_gets_it_as_a_page() {
    let service = TestService::planned();
    let page = service.get_with("/cells/none", &[("accept", "text/html")]).await;
    assert_eq!((page.status.as_u16(), page.header("content-type")), (404, "text/html; charset=utf-8"));
    let text = String::from_utf8(page.bytes).unwrap();
    assert!(text.contains("there is no cell") && !text.contains("/api/"), "{text}");
    let program = service.get_with("/api/v1/cells/none", &[("accept", "text/html")]).await;
    is_problem(&program, 404, "not-found");
}

/// By RFC 5545, 3.4 and 3.6.1, and by the library `icalendar`, which reads what the cell's list says.
#[tokio::test]
async fn a_cells_list_can_be_subscribed_to_as_a_calendar() {
    let service = TestService::planned();
    let (cell, order, step) = planned_lot(&service).await;
    let path = format!("/api/v1/cells/{cell}/calendar.ics");
    let reply = service.get(&path).await;
    assert_eq!(reply.header("content-type"), "text/calendar; charset=utf-8");
    let again = service.get_with(&path, &[("if-none-match", reply.header("etag"))]).await;
    assert_eq!(again.status, StatusCode::NOT_MODIFIED);
    let calendar: icalendar::Calendar = String::from_utf8(reply.bytes).unwrap().parse().unwrap();
    let events: Vec<_> =
        calendar.components.iter().filter_map(icalendar::CalendarComponent::as_event).collect();
    let list = service.get(&format!("/api/v1/cells/{cell}")).await.json()["list"].clone();
    assert!(events.len() >= list.as_array().unwrap().len());
    let first = events.iter().find(|event| {
        icalendar::Component::get_summary(**event)
            .is_some_and(|text| text.starts_with(&format!("{order} {step}")))
    });
    assert!(first.is_some(), "{order} {step}");
    is_problem(&service.get("/api/v1/cells/none/calendar.ics").await, 404, "not-found");
}

/// Every part of a list leads to the next, newest first or oldest first, and nothing is told twice or left out.
#[tokio::test]
async fn lists_that_grow_come_in_parts() {
    let service = TestService::planned();
    proposal(&service).await;
    let (_, order, step) = planned_lot(&service).await;
    for number in 0..5 {
        let mut body = report(&order, &step, if number % 2 == 0 { "started" } else { "stopped" });
        if number % 2 == 1 {
            body["reason"] = json!("waiting for tube");
        }
        assert_eq!(service.post("/api/v1/reports", &body).await.status, StatusCode::CREATED);
    }
    let part = service.get("/api/v1/orders?limit=1").await.json()["items"][0]["part"].clone();
    for quantity in [3, 4, 5] {
        let asked = service.post("/api/v1/inquiries", &json!({ "part": part, "quantity": quantity })).await;
        let path = format!("/api/v1/inquiries/{}/accept", asked.json()["id"]);
        assert_eq!(service.post(&path, &json!({})).await.status, StatusCode::CREATED);
    }
    for (list, least) in [("reports", 5), ("inquiries", 3), ("promises", 3), ("plans", 2)] {
        let whole = service.get(&format!("/api/v1/{list}?limit=500")).await.json();
        assert!(
            whole["items"].as_array().unwrap().len() >= least && whole["next"].is_null(),
            "{list}: {whole}"
        );
        let (mut path, mut seen) = (format!("/api/v1/{list}?limit=2"), Vec::new());
        loop {
            let part = service.get(&path).await.json();
            let items = part["items"].as_array().unwrap().clone();
            assert!((1..=2).contains(&items.len()), "{path}");
            seen.extend(items);
            match part["next"].as_str() {
                Some(next) => next.clone_into(&mut path),
                None => break,
            }
        }
        assert_eq!(json!(seen), whole["items"], "{list}");
        is_problem(&service.get(&format!("/api/v1/{list}?limit=501")).await, 400, "query");
        is_problem(&service.get(&format!("/api/v1/{list}?page=2")).await, 400, "query");
    }
}
