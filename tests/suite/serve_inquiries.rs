//! Inquiries through the service: answered on the published plan, accepted once, kept with their reasons.

use elbowroom_tests::service::{Reply, TestService};
use serde_json::{Value, json};

async fn ask(service: &TestService, quantity: u32) -> Reply {
    let part = service.get("/api/v1/orders?state=not_begun&limit=1").await.json()["items"][0]["part"].clone();
    let body = json!({ "part": part, "quantity": quantity, "customer": "Seilbahn Tal", "by": "Ada" });
    service.post("/api/v1/inquiries", &body).await
}

#[tokio::test]
async fn an_inquiry_is_answered_accepted_and_part_of_the_next_plan() {
    let service = TestService::planned();
    let asked = ask(&service, 40).await;
    assert_eq!(asked.status, 201, "{}", String::from_utf8_lossy(&asked.bytes));
    let inquiry = asked.json();
    let (order, date) = (inquiry["answer"]["order"].clone(), inquiry["answer"]["promise"].clone());
    let best = inquiry["answer"]["recommended"].as_u64().unwrap() as usize;
    assert_eq!(inquiry["answer"]["offers"][best]["date"], date);
    assert_eq!((&inquiry["version"], &inquiry["promise"]), (&json!(1), &Value::Null));
    assert_eq!(service.get(asked.header("location")).await.json(), inquiry);

    let path = format!("/api/v1/inquiries/{}/accept", inquiry["id"]);
    let given = service.post(&path, &json!({ "by": "Ada" })).await;
    assert_eq!(given.status, 201, "{}", String::from_utf8_lossy(&given.bytes));
    assert_eq!((&given.json()["order"], &given.json()["date"]), (&order, &date));
    assert_eq!(service.get("/api/v1/promises").await.json()["items"][0], given.json());
    let twice = service.post(&path, &json!({})).await;
    assert_eq!(
        (twice.status.as_u16(), &twice.json()["type"]),
        (409, &json!("urn:elbowroom:problem:already-promised"))
    );

    let begun = service.post("/api/v1/solves", &json!({ "seconds": 0.5 })).await;
    let plan = service.ended(&begun).await["plan"].clone();
    let made = service.get(&format!("/api/v1/plans/{plan}/documents/plan.json")).await.json();
    let orders = made["orders"].as_array().unwrap();
    let promised = orders.iter().find(|one| one["id"] == order).expect("the promised order is planned");
    assert_eq!((&promised["promised"], &promised["quantity"]), (&date, &json!(40)));
}

#[tokio::test]
async fn after_a_restart_an_inquiry_gets_the_same_answer() {
    let service = TestService::planned();
    let before = ask(&service, 25).await.json()["answer"].clone();
    let service = service.restarted();
    assert_eq!(ask(&service, 25).await.json()["answer"], before);
}

#[tokio::test]
async fn a_promise_takes_its_place_before_the_next_is_given() {
    let service = TestService::planned();
    let (first, second) = (ask(&service, 400).await.json(), ask(&service, 400).await.json());
    let accept = async |inquiry: &Value| {
        service.post(&format!("/api/v1/inquiries/{}/accept", inquiry["id"]), &json!({})).await
    };
    assert_eq!(accept(&first).await.status, 201);
    // Both were answered with the same order id and the same hours of the same cells.
    let refused = accept(&second).await;
    assert!(matches!(refused.status.as_u16(), 409 | 422), "{}", refused.status);
    let again = ask(&service, 400).await.json();
    assert_ne!(again["answer"]["order"], first["answer"]["order"]);
    assert_eq!(accept(&again).await.status, 201);
}

#[tokio::test]
async fn inquiries_that_make_no_sense_are_refused_with_a_remedy() {
    let service = TestService::planned();
    for (body, named) in [
        (json!({ "part": "P-0", "quantity": 5 }), "P-0"),
        (json!({ "part": "x", "quantity": -5 }), "quantity"),
        (json!({ "part": "x" }), "quantity"),
        (json!({ "part": "x", "quantity": 5, "wanted": "2026-02-30" }), "out of range"),
    ] {
        let reply = service.post("/api/v1/inquiries", &body).await;
        assert_eq!(reply.status, 422, "{body}");
        let text = String::from_utf8_lossy(&reply.bytes).into_owned();
        assert!(text.contains(named) || text.contains("invalid"), "{text}");
        assert!(!reply.json()["remedy"].as_str().unwrap_or_default().is_empty());
    }
    assert_eq!(service.get("/api/v1/inquiries").await.json()["items"], json!([]));
}

/// What did we promise in March, and why?
#[tokio::test]
async fn what_was_promised_when_and_why_can_be_asked_for_afterwards() {
    let service = TestService::planned();
    for quantity in [20, 30] {
        let asked = ask(&service, quantity).await.json();
        let given =
            service.post(&format!("/api/v1/inquiries/{}/accept", asked["id"]), &json!({ "by": "Ada" })).await;
        assert_eq!(given.status, 201);
    }
    let promises = async |query: &str| {
        service.get(&format!("/api/v1/promises{query}")).await.json()["items"].as_array().unwrap().clone()
    };
    let all = promises("").await;
    // The tests' clock stands at 7 o'clock on 7 December 2026 in the shop's zone.
    assert_eq!(promises("?from=2026-12-07&until=2026-12-07").await, all);
    assert_eq!(promises("?until=2026-12-06").await, [] as [Value; 0]);
    assert_eq!(promises("?from=2026-12-08").await, [] as [Value; 0]);
    assert_eq!(promises("?about=seilbahn%20tal").await, all);
    assert_eq!(promises("?about=somebody").await, [] as [Value; 0]);
    let order = all[1]["order"].as_str().unwrap();
    assert_eq!(promises(&format!("?about={order}&limit=1")).await, all[1..]);
    let first = service.get("/api/v1/promises?from=2026-12-07&about=seil&limit=1").await.json();
    let next = service.get(first["next"].as_str().unwrap()).await.json();
    assert_eq!((&next["items"][0], &next["next"]), (&all[1], &Value::Null));
    let told = &all[1];
    assert_eq!(
        (&told["quantity"], &told["customer"], &told["given"]["by"]),
        (&json!(20), &json!("Seilbahn Tal"), &json!("Ada"))
    );
    let inquiry = service.get(&format!("/api/v1/inquiries/{}", told["inquiry"])).await.json();
    assert_eq!(
        (&told["reason"], &told["date"]),
        (&inquiry["answer"]["reason"], &inquiry["answer"]["promise"])
    );
    // Everything that was known of the shop then is kept with the plan it was worked out on.
    let book = service.get(&format!("/api/v1/plans/{}/documents/inputs/orders.csv", told["plan"])).await;
    assert_eq!(book.status, 200);
    let page = service.get("/promises?from=2026-12-01&until=2026-12-31").await;
    let page = String::from_utf8(page.bytes).unwrap();
    assert!(
        all.iter().all(|one| page.contains(&format!("Order {}:", one["order"].as_str().unwrap()))),
        "{page}"
    );
    assert!(
        page.contains("Seilbahn Tal") && page.contains("Promised by Ada on Mon 7 Dec 2026 07:00"),
        "{page}"
    );
}

/// Every name in the first value has its place in the second, down through objects and the first of each list.
fn names_missing(ours: &Value, theirs: &Value, at: &str) -> Vec<String> {
    match (ours, theirs) {
        (Value::Object(ours), Value::Object(theirs)) => ours
            .iter()
            .flat_map(|(name, value)| match theirs.get(name) {
                Some(there) => names_missing(value, there, &format!("{at}.{name}")),
                None => vec![format!("{at}.{name}")],
            })
            .collect(),
        (Value::Array(ours), Value::Array(theirs)) => {
            let both = ours.first().zip(theirs.first());
            both.map_or_else(Vec::new, |(one, other)| names_missing(one, other, &format!("{at}[0]")))
        }
        _ => Vec::new(),
    }
}

#[tokio::test]
async fn answers_and_plans_have_the_names_that_the_commands_print() {
    let service = TestService::planned();
    let shop = elbowroom_tests::service::demo_shop();
    let asked = service.post("/api/v1/inquiries", &json!({ "part": "HR-704", "quantity": 24 })).await.json();
    let asking =
        ["promise", shop.to_str().unwrap(), "--part", "HR-704", "--qty", "24", "--seconds", "1", "--json"];
    let printed = elbowroom_tests::program::run(&asking).json();
    let missing = names_missing(&asked["answer"], &printed["answers"][0], "answer");
    assert!(missing.is_empty() && asked["answer"]["offers"][0].is_object(), "{missing:?}");
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("plan");
    let planning = [
        "plan",
        shop.to_str().unwrap(),
        "--seconds",
        "1",
        "--json",
        "--afresh",
        "--out",
        out.to_str().unwrap(),
    ];
    let printed = elbowroom_tests::program::run(&planning).json();
    let plan = service.get("/api/v1/plan").await.json();
    assert_eq!(names_missing(&plan, &printed, "plan"), [] as [String; 0]);
    assert_eq!(names_missing(&printed, &plan, "plan"), [] as [String; 0]);
}
