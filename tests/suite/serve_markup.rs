//! What pages are made of, without a browser: where they may load from, and how they tell a lot's state.

use axum::http::StatusCode;
use elbowroom_tests::service::TestService;
use serde_json::{Value, json};

/// Lots that have not been started, each the first of a cell on which nothing runs.
async fn waiting_lots(service: &TestService) -> Vec<Value> {
    let cells = service.get("/api/v1/cells").await.json();
    let cells = cells["cells"].as_array().expect("a list").iter();
    let idle = cells.filter(|cell| cell["now"][0].is_null() && !cell["next"][0].is_null());
    idle.map(|cell| cell["next"][0].clone()).collect()
}

/// By Content Security Policy Level 3: nothing from elsewhere, nothing inline, no frames.
#[tokio::test]
async fn pages_load_nothing_from_elsewhere_and_run_nothing_inline() {
    let service = TestService::planned();
    let cells = service.get("/api/v1/cells").await.json();
    let cell = format!("/cells/{}", cells["cells"][0]["id"].as_str().unwrap());
    for path in
        ["/", "/cells", &cell, "/orders", "/tooling", "/load", "/inquiry", "/promises", "/plans", "/login"]
    {
        let page = service.get(path).await;
        let policy = page.header("content-security-policy").to_owned();
        for directive in
            ["default-src 'none'", "script-src 'self'", "style-src 'self'", "frame-ancestors 'none'"]
        {
            assert!(policy.contains(directive), "{path}: {policy}");
        }
        assert!(!policy.contains("unsafe") && !policy.contains('*'), "{path}: {policy}");
        let text = String::from_utf8(page.bytes).unwrap();
        for inline in
            ["<style", " style=", " onclick=", "javascript:", "src=\"http", "href=\"http", "src=\"//"]
        {
            assert!(!text.contains(inline), "{path} has {inline}");
        }
        assert_eq!(text.matches("<script").count(), 1, "{path}");
    }
}

/// A lot's state is a sign and a word, not its colour alone (WCAG 2.2, 1.4.1).
#[tokio::test]
async fn the_chart_tells_every_state_by_a_sign_and_a_word() {
    let service = TestService::planned();
    let free = waiting_lots(&service).await;
    let told = async |lot: &Value, event: &str, more: (&str, Value)| {
        let mut body = json!({ "order": lot["order"], "step": lot["step"], "event": event });
        body[more.0] = more.1;
        assert_eq!(service.post("/api/v1/reports", &body).await.status, StatusCode::CREATED);
    };
    told(&free[0], "started", ("by", json!("floor"))).await;
    told(&free[1], "started", ("by", json!("floor"))).await;
    told(&free[1], "stopped", ("reason", json!("waiting for tube"))).await;
    told(&free[2], "finished", ("good", json!(5))).await;
    let page = String::from_utf8(service.get("/").await.bytes).unwrap();
    for (lot, state, sign) in [
        (&free[0], "running", "\u{25b6}"),
        (&free[1], "stopped", "\u{2016}"),
        (&free[2], "finished", "\u{2713}"),
    ] {
        let (order, step) = (lot["order"].as_str().unwrap(), lot["step"].as_str().unwrap());
        let start = page.find(&format!("data-order=\"{order}\" data-step=\"{step}\"")).expect("it is drawn");
        let drawn = &page[start..][..page[start..].find("</g>").unwrap()];
        assert!(drawn.contains(&format!("; {state}")), "its title says so: {drawn}");
        let wide = drawn.contains("<text");
        assert!(!wide || drawn.contains(sign), "{drawn}");
        assert!(page.contains(&format!("{sign} {state}")), "the legend explains {state}");
    }
}
