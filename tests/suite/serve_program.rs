//! The service as a program: what it refuses to start with, what it logs, how it ends, and how it
//! begins again after it was killed.

use elbowroom_tests::program::ran;
use elbowroom_tests::serve_soak::{Acknowledged, is_whole, kill_one};
use elbowroom_tests::service::{demo_shop, write_planned_store};
use elbowroom_tests::serving::{Serving, ask, command, free_address};
use serde_json::{Value, json};
use std::path::PathBuf;
use std::time::Duration;
use tempfile::TempDir;

/// A folder with a store in which the demo week is published.
fn planned() -> (TempDir, PathBuf) {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let store = folder.path().join("shop.store");
    write_planned_store(&store);
    (folder, store)
}

#[test]
fn beyond_this_machine_it_does_not_listen_without_tokens() {
    let (_folder, store) = planned();
    for everywhere in ["0.0.0.0:0", "[::]:0"] {
        let refused = ran(&command(&store, everywhere).output().expect("it runs"));
        assert_eq!(refused.code, 2, "{refused:?}");
        assert!(refused.stderr.contains("anybody could write"), "{refused:?}");
        assert!(
            refused.stderr.contains("--tokens") && refused.stderr.contains("--trust-network"),
            "{refused:?}"
        );
    }
}

#[test]
fn what_it_cannot_start_with_is_said_with_a_remedy_and_left_as_it_was() {
    let (folder, store) = planned();
    let whole = std::fs::read(&store).unwrap();
    let damaged = folder.path().join("damaged.store");
    let mut bytes = whole.clone();
    bytes.truncate(whole.len() / 2);
    bytes[20..90].fill(0x5a);
    std::fs::write(&damaged, &bytes).unwrap();
    let foreign = folder.path().join("letter.txt");
    std::fs::write(&foreign, "Dear Sir or Madam, ".repeat(400)).unwrap();
    for (path, said) in
        [(&damaged, "damaged"), (&foreign, "letter.txt"), (&folder.path().join("no/where"), "no/where")]
    {
        let before = std::fs::read(path).ok();
        let refused = ran(&command(path, "127.0.0.1:0").output().expect("it runs"));
        assert_eq!(refused.code, 4, "{refused:?}");
        assert!(refused.stderr.contains(said) && refused.stderr.contains("hint:"), "{refused:?}");
        assert_eq!(std::fs::read(path).ok(), before, "{}", path.display());
    }
    let taken = std::net::TcpListener::bind(free_address()).unwrap();
    let address = taken.local_addr().unwrap().to_string();
    let refused = ran(&command(&store, &address).output().expect("it runs"));
    assert!(refused.code == 4 && refused.stderr.contains("--listen"), "{refused:?}");
}

#[test]
fn killed_in_the_middle_of_a_solve_it_serves_the_published_plan_at_once() {
    let (_folder, store) = planned();
    let service = Serving::start(&store, &[], None);
    let plan = service.get("/api/v1/plan").unwrap();
    assert_eq!(plan.status, 200);
    let begun = service.post("/api/v1/solves", &[], &json!({ "seconds": 600 })).unwrap();
    assert_eq!(begun.status, 202);
    std::thread::sleep(Duration::from_millis(500));
    assert_eq!(service.get("/api/v1/status").unwrap().json()["running_solve"], begun.json()["id"]);
    service.kill_now();
    drop(service);
    let service = Serving::start(&store, &[], None);
    // Generous: the program is built for debugging and shares the machine; `serve_bench` measures.
    assert!(service.took < Duration::from_secs(5), "{:?}", service.took);
    let again = service.get("/api/v1/plan").unwrap();
    assert_eq!((again.header("etag"), &again.body), (plan.header("etag"), &plan.body));
    assert_eq!(service.get("/api/v1/status").unwrap().json()["running_solve"], Value::Null);
    assert_eq!(service.get("/readyz").unwrap().status, 200);
}

/// The long form is the program `serve_soak`.
#[test]
fn killed_while_clients_record_and_publish_nothing_acknowledged_is_lost() {
    let (_folder, store) = planned();
    let mut known = Acknowledged::default();
    // On a busy machine a plan takes its time: the later the kill, the surer one has been published.
    for (run, after) in [300, 900, 2_000, 4_000, 8_000, 16_000, 32_000].into_iter().enumerate() {
        kill_one(&store, &mut known, run as u64, Duration::from_millis(after)).unwrap();
        if run >= 3 && !known.published.is_empty() {
            break;
        }
    }
    is_whole(&Serving::start(&store, &[], None), &known).unwrap();
    assert!(!known.reports.is_empty() && !known.published.is_empty(), "{known:?}");
}

#[test]
fn no_token_is_ever_in_the_log_and_every_record_is_json() {
    let (folder, store) = planned();
    let made = |right: &str| {
        let printed = std::process::Command::new(elbowroom_tests::program::program())
            .args(["token", "ada", "--json", "--right", right])
            .output()
            .expect("it runs");
        let printed = ran(&printed).json();
        (printed["token"].as_str().unwrap().to_owned(), printed["line"].as_str().unwrap().to_owned())
    };
    let ((write, line), (wrong, _)) = (made("write"), made("read"));
    let (tokens, log) = (folder.path().join("tokens"), folder.path().join("log"));
    std::fs::write(&tokens, line).unwrap();
    let options = ["--log-json", "--tokens", tokens.to_str().unwrap()];
    let service = Serving::start(&store, &options, Some(std::fs::File::create(&log).unwrap()));
    let bearer = |token: &str| format!("Bearer {token}");
    let status = |headers: &[(&str, &str)], path: &str| {
        ask(service.address, "GET", path, headers, "").expect("an answer").status
    };
    assert_eq!(status(&[("Authorization", &bearer(&write))], "/api/v1/status"), 200);
    assert_eq!(status(&[("Authorization", &bearer(&wrong))], "/api/v1/status"), 401);
    assert_eq!(status(&[("Cookie", &format!("elbowroom_token={write}"))], "/orders"), 200);
    assert_eq!(status(&[], &format!("/api/v1/orders?token={wrong}")), 401);
    assert_eq!(status(&[("Authorization", &bearer(&write))], &format!("/nowhere/{write}")), 404);
    let form = [("Content-Type", "application/x-www-form-urlencoded")];
    let entered = ask(service.address, "POST", "/login", &form, &format!("token={write}")).unwrap();
    assert_eq!(entered.status, 303);
    let signed = [("Authorization", bearer(&write))];
    let signed: Vec<(&str, &str)> = signed.iter().map(|(name, value)| (*name, value.as_str())).collect();
    let begun = service.post("/api/v1/solves", &signed, &json!({ "seconds": 0.2 })).unwrap();
    assert_eq!(begun.status, 202);
    assert!(service.terminate().0.success());
    let log = std::fs::read_to_string(&log).unwrap();
    for token in [&write, &wrong] {
        assert!(!log.contains(token.as_str()) && !log.contains(token.trim_start_matches("elb_")));
    }
    // The lines before the first record tell a person where it serves.
    let records: Vec<Value> = log.lines().filter_map(|line| serde_json::from_str(line).ok()).collect();
    let answered = |status: u16| {
        records.iter().any(|one| one["fields"]["message"] == "answered" && one["fields"]["status"] == status)
    };
    assert!([200, 202, 303, 401, 404].into_iter().all(answered), "{log}");
    let solve = records.iter().find(|one| one["fields"]["message"] == "a re-plan begins");
    assert!(solve.is_some_and(|one| one["fields"]["by"] == "ada"), "{log}");
}

#[test]
fn asked_to_end_it_closes_in_good_order_even_with_a_solve_under_way() {
    let (_folder, store) = planned();
    let service = Serving::start(&store, &[], None);
    service.post("/api/v1/solves", &[], &json!({ "seconds": 600 })).unwrap();
    let (status, took) = service.terminate();
    assert!(status.success() && took < Duration::from_secs(12), "{status} after {took:?}");
}

/// What README's first steps do: one command, the demo week in a browser, a poll that is told `304`.
#[test]
fn a_newcomer_serves_a_shop_with_one_command_and_is_told_304() {
    let (folder, address) = (tempfile::tempdir().unwrap(), free_address());
    let shop = folder.path().join("ottergrund");
    for part in [demo_shop(), demo_shop().join("parts")] {
        let place = shop.join(part.strip_prefix(demo_shop()).unwrap());
        std::fs::create_dir(&place).unwrap();
        for file in std::fs::read_dir(part).unwrap().map(Result::unwrap) {
            if file.path().extension().is_some_and(|kind| kind == "toml" || kind == "csv") {
                std::fs::copy(file.path(), place.join(file.file_name())).unwrap();
            }
        }
    }
    let (log, at) = (folder.path().join("log"), address.to_string());
    let mut command = std::process::Command::new(elbowroom_tests::program::program());
    command.arg("serve").arg(&shop).args(["--listen", &at, "--seconds", "2"]);
    let service = Serving::run(command, address, Some(std::fs::File::create(&log).unwrap()));
    let told = std::fs::read_to_string(&log).unwrap();
    assert!(told.contains(&format!("http://{at}/")) && told.contains("elbowroom.store"), "{told}");
    let began = std::time::Instant::now();
    while service.get("/readyz").unwrap().status != 200 {
        assert!(began.elapsed() < Duration::from_secs(60), "there is no first plan");
        std::thread::sleep(Duration::from_millis(50));
    }
    let page = String::from_utf8(service.get("/").unwrap().body).unwrap();
    assert!(page.contains("Ottergrund Tube Bending") && page.contains("Machine time"), "{page}");
    let url = format!("http://{at}/api/v1/status");
    let curl = |more: &[&str]| {
        let output = std::process::Command::new("curl").args(["-si", &url]).args(more).output();
        output.ok().map(|output| String::from_utf8_lossy(&output.stdout).into_owned())
    };
    let Some(first) = curl(&[]) else {
        println!("skipped: there is no curl here");
        return;
    };
    let tag = first.lines().find_map(|line| line.strip_prefix("etag: ")).expect("an entity tag").trim();
    let again = curl(&["-H", &format!("If-None-Match: {tag}")]).expect("curl is there");
    assert!(again.starts_with("HTTP/1.1 304"), "{again}");
    let packed = curl(&["--compressed", "-H", "If-None-Match: \"other\""]).expect("curl is there");
    assert!(packed.contains("content-encoding: gzip") && packed.contains("\"shop\":"), "{packed}");
    assert!(service.terminate().0.success());
}

#[test]
fn tokens_come_from_the_environment_too_and_open_other_addresses() {
    let (_folder, store) = planned();
    let printed = std::process::Command::new(elbowroom_tests::program::program())
        .args(["token", "hall", "--json"])
        .output()
        .expect("it runs");
    let printed = ran(&printed).json();
    let address = std::net::SocketAddr::from(([0, 0, 0, 0], free_address().port()));
    let mut command = command(&store, &address.to_string());
    command.env("ELBOWROOM_TOKENS", printed["line"].as_str().unwrap());
    let service = Serving::run(command, ([127, 0, 0, 1], address.port()).into(), None);
    assert_eq!(service.get("/api/v1/status").unwrap().status, 401);
    let bearer = format!("Bearer {}", printed["token"].as_str().unwrap());
    let signed = ask(service.address, "GET", "/api/v1/status", &[("Authorization", &bearer)], "").unwrap();
    assert_eq!(signed.status, 200);
    let write = service.post("/api/v1/solves", &[("Authorization", &bearer)], &json!({})).unwrap();
    assert_eq!(write.status, 403, "it may only read");
}
