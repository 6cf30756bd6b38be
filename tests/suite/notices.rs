//! Notices: written and read back, heeded by the shop, posted and taken down on disk; what ifs.

use chrono::{NaiveDate, NaiveTime};
use elbowroom_engine::{Settings, Watch};
use elbowroom_files::{
    BoardError, LockError, NOTICES, RawFolder, notice_toml, post_notice, read_raw, read_what_if,
    remove_notice,
};
use elbowroom_planner::{Near, Request, plan_week, plan_week_near};
use elbowroom_shop::Shop;
use elbowroom_shop::calendar::{PlanClock, crew_capacity, open_windows};
use elbowroom_shop::notice::{Change, Days, Hours, Notice};
use elbowroom_shop::order::Order;
use elbowroom_shop::rack::ToolState;
use elbowroom_tests::chance::Chance;
use elbowroom_tests::program::{program, run};
use elbowroom_tests::shop_cases::base;
use elbowroom_tests::trial_shop::{date, order, trial_shop};
use elbowroom_units::{Minute, Minutes, Money};
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Duration;

fn small_shop() -> Shop {
    read_raw(RawFolder::from_files(base()), None).shop.expect("the small shop is sound")
}

fn notice(change: Change) -> Notice {
    Notice { change, why: String::new() }
}

/// A notice of the small shop, each kind as likely as another.
fn random_notice(make: &mut Chance, number: usize) -> Notice {
    let cell = || "saw-1".to_owned();
    let why = make.one_of(&["", "a \"quoted\" word", "line\nbreak, tab\t", "Ölstand \\ 1/2\""]).to_owned();
    let change = match make.below(10) {
        0 => Change::Down { cell: cell(), days: days(make), hours: make.yes(0.5).then(|| hours(make)) },
        1 => Change::Open { cell: cell(), days: days(make), hours: hours(make), people: make.yes(0.5) },
        2 => Change::Like { cell: cell(), id: format!("saw {number}") },
        3 => Change::Tool { tool: "MD-1".to_owned(), arrives: day(make) },
        4 => Change::Tube { order: "O-1".to_owned(), arrives: day(make) },
        5 => Change::Absent { crew: "setters".to_owned(), heads: 1 + make.below(3) as u32, days: days(make) },
        6 => Change::People { crew: "setters".to_owned(), heads: 2, days: days(make), hours: hours(make) },
        7 => Change::Rush {
            order: "O-1".to_owned(),
            promised: Some(day(make)),
            late_cost_per_day: make.yes(0.5).then(|| Money::new(make.from_to(0, 90_000) as f64 / 100.0)),
        },
        8 => Change::Order(Order {
            material: make.yes(0.5).then(|| day(make)),
            customer: make.yes(0.5).then(|| "Orsel Beds".to_owned()),
            late_cost_per_day: make.yes(0.5).then(|| Money::new(12.5)),
            ..order(&format!("N-{number}"), "P-1", 7, "2026-12-18")
        }),
        _ => Change::Rush { order: "O-1".to_owned(), promised: None, late_cost_per_day: Some(Money::ZERO) },
    };
    Notice { change, why }
}

fn day(make: &mut Chance) -> NaiveDate {
    date("2026-12-07") + chrono::Days::new(make.below(60) as u64)
}

fn days(make: &mut Chance) -> Days {
    let from = day(make);
    Days { from, until: from + chrono::Days::new(make.below(5) as u64) }
}

fn hours(make: &mut Chance) -> Hours {
    let time = |hour: usize, minute| NaiveTime::from_hms_opt(hour as u32, minute, 0).expect("a clock time");
    (time(make.below(12), 0), time(12 + make.below(12), 30))
}

#[test]
fn what_is_written_is_read_back_equal_and_heeded() {
    for seed in 0..300 {
        let mut make = Chance::new(seed);
        let notices: Vec<Notice> = (0..4).map(|number| random_notice(&mut make, number)).collect();
        let mut files = base();
        files.insert(NOTICES.to_owned(), notices.iter().map(notice_toml).collect::<Vec<_>>().join("\n"));
        let loaded = read_raw(RawFolder::from_files(files), None);
        assert!(!loaded.has_errors(), "seed {seed}: {:?}", loaded.findings);
        assert_eq!(loaded.notices, notices, "seed {seed}");
        let mut expected = small_shop();
        notices.iter().for_each(|notice| expected.heed(notice).expect("it speaks of what is there"));
        assert_eq!(loaded.shop, Some(expected), "seed {seed}");
    }
}

fn clock() -> PlanClock {
    PlanClock::new(chrono_tz::Europe::Vienna, date("2026-12-07"))
}

/// Minutes that a cell is open on a date.
fn open_minutes(shop: &Shop, cell: &str, day: &str) -> i64 {
    let cell = shop.cells.iter().find(|other| other.id == cell).expect("the cell is there");
    let calendar = shop.calendars.iter().find(|other| other.id == cell.calendar).expect("its calendar is");
    let clock = clock();
    let windows = open_windows(calendar, &cell.closed, &shop.holidays, &clock, Minute::new(30 * 1440));
    let of_day = |(from, to): &(Minute, Minute)| {
        if clock.date(*from) == date(day) { (*to - *from).count() } else { 0 }
    };
    windows.iter().map(of_day).sum()
}

fn heeding(change: Change) -> Shop {
    let mut shop = trial_shop();
    shop.orders = vec![order("O-1", "P", 20, "2026-12-11")];
    shop.heed(&notice(change)).expect("it speaks of what is there");
    shop
}

fn morning() -> Hours {
    (NaiveTime::from_hms_opt(6, 0, 0).expect("a time"), NaiveTime::from_hms_opt(10, 0, 0).expect("a time"))
}

#[test]
fn a_cell_that_is_down_is_closed_on_those_days_and_hours_only() {
    let days = Days { from: date("2026-12-09"), until: date("2026-12-10") };
    let whole = heeding(Change::Down { cell: "saw".to_owned(), days, hours: None });
    assert_eq!(
        ["2026-12-08", "2026-12-09", "2026-12-10"].map(|day| open_minutes(&whole, "saw", day)),
        [480, 0, 0]
    );
    assert_eq!(open_minutes(&whole, "bench", "2026-12-09"), 480, "another cell of the same calendar");
    let part = heeding(Change::Down { cell: "saw".to_owned(), days, hours: Some(morning()) });
    assert_eq!(open_minutes(&part, "saw", "2026-12-09"), 240);
}

#[test]
fn overtime_opens_one_cell_and_brings_its_people() {
    let days = Days::one(date("2026-12-12"));
    let open = |people| Change::Open { cell: "draw-1".to_owned(), days, hours: morning(), people };
    let saturday = Minute::new(5 * 1440 + 420);
    let heads = |shop: &Shop| {
        let all = crew_capacity(&shop.crews[0], &shop.holidays, &clock(), Minute::new(14 * 1440));
        all.iter().find(|(from, to, _)| *from <= saturday && saturday < *to).map_or(0, |(_, _, heads)| *heads)
    };
    let with = heeding(open(true));
    assert_eq!(open_minutes(&with, "draw-1", "2026-12-12"), 240);
    assert_eq!(open_minutes(&with, "draw-2", "2026-12-12"), 0, "it shares the calendar");
    assert_eq!(heads(&with), 1);
    assert_eq!(heads(&heeding(open(false))), 0);
}

#[test]
fn tools_tubes_and_orders_change_as_told() {
    let arrives = date("2026-12-20");
    let die = heeding(Change::Tool { tool: "BD".to_owned(), arrives });
    assert_eq!(die.tools[0].state, ToolState::OnOrder { arrives });
    let tube = heeding(Change::Tube { order: "O-1".to_owned(), arrives });
    assert_eq!(tube.orders[0].material, Some(arrives));
    let rush =
        heeding(Change::Rush { order: "O-1".to_owned(), promised: Some(arrives), late_cost_per_day: None });
    assert_eq!((rush.orders[0].promised, rush.orders[0].late_cost_per_day), (arrives, None));
    assert!(heeding(Change::Cancel { order: "O-1".to_owned() }).orders.is_empty());
    let like = heeding(Change::Like { cell: "draw-1".to_owned(), id: "draw-3".to_owned() });
    let (old, new) = (&like.cells[2], like.cells.last().expect("there are cells"));
    assert_eq!((&new.work, &new.calendar, new.mounted.len()), (&old.work, &old.calendar, 0));
}

#[test]
fn what_is_not_there_or_there_already_is_refused_and_nothing_changes() {
    let mut shop = trial_shop();
    let before = shop.clone();
    let refused = |shop: &mut Shop, change| shop.heed(&notice(change)).expect_err("refused").to_string();
    let days = Days::one(date("2026-12-09"));
    let down = Change::Down { cell: "sew".to_owned(), days, hours: None };
    assert_eq!(refused(&mut shop, down), "there is no cell `sew`");
    let like = Change::Like { cell: "saw".to_owned(), id: "wash".to_owned() };
    assert_eq!(refused(&mut shop, like), "there is a cell `wash` already");
    let cancel = Change::Cancel { order: "O-1".to_owned() };
    assert_eq!(refused(&mut shop, cancel), "there is no order `O-1`");
    assert_eq!(shop, before);
}

fn on_disk() -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("there is a temporary folder");
    base().iter().for_each(|(name, text)| write(folder.path(), name, text));
    folder
}

fn write(folder: &Path, name: &str, text: &str) {
    std::fs::write(folder.join(name), text).expect("the temporary folder can be written");
}

fn board(folder: &Path) -> String {
    std::fs::read_to_string(folder.join(NOTICES)).expect("there is a board")
}

#[test]
fn notices_are_posted_and_taken_down_one_by_one() {
    let folder = on_disk();
    let folder = folder.path();
    let down = |day: &str| {
        notice(Change::Down { cell: "saw-1".to_owned(), days: Days::one(date(day)), hours: None })
    };
    post_notice(folder, &down("2026-12-09")).expect("posted");
    let with_comment = board(folder) + "# kept\n";
    write(folder, NOTICES, &with_comment);
    post_notice(folder, &down("2026-12-10")).expect("posted");
    assert!(board(folder).starts_with(&with_comment), "what stood there stands there");
    assert!(matches!(remove_notice(folder, 3), Err(BoardError::NoSuch(2))));
    remove_notice(folder, 1).expect("taken down");
    let loaded = elbowroom_files::read_shop(folder);
    assert_eq!(loaded.notices, [down("2026-12-10")]);
    remove_notice(folder, 1).expect("taken down");
    assert_eq!(elbowroom_files::read_shop(folder).shop, Some(small_shop()));
}

#[test]
fn a_notice_that_makes_no_sense_changes_no_file() {
    let folder = on_disk();
    let folder = folder.path();
    let bad = notice(Change::Cancel { order: "O-77".to_owned() });
    let Err(BoardError::Refused(findings)) = post_notice(folder, &bad) else { panic!("posted") };
    assert!(findings[0].message.contains("`order` is \"O-77\""), "{findings:?}");
    assert!(!folder.join(NOTICES).exists());
    // A later notice needs the cell of the first.
    let like = notice(Change::Like { cell: "saw-1".to_owned(), id: "saw-9".to_owned() });
    let days = Days::one(date("2026-12-09"));
    post_notice(folder, &like).expect("posted");
    post_notice(folder, &notice(Change::Down { cell: "saw-9".to_owned(), days, hours: None }))
        .expect("posted");
    let before = board(folder);
    assert!(matches!(remove_notice(folder, 1), Err(BoardError::Refused(_))));
    assert_eq!(board(folder), before);
}

const CASES: &str = r#"
[[case]]
name = "one more saw"
[[case.notice]]
what = "like"
cell = "saw-1"
id = "saw-2"

[[case]]
name = "both at once"
[[case.notice]]
what = "down"
cell = "saw-1"
from = "2026-12-09"
[[case.notice]]
what = "absent"
crew = "setters"
from = "2026-12-09"
until = "2026-12-11"
"#;

#[test]
fn each_case_begins_from_the_shop_as_it_is() {
    let loaded = read_raw(RawFolder::from_files(base()), None);
    let shop = loaded.shop.expect("it is sound");
    let cases = read_what_if("cases.toml", CASES.as_bytes(), &shop, &loaded.places).expect("they are sound");
    assert_eq!(
        cases.iter().map(|case| case.name.as_str()).collect::<Vec<_>>(),
        ["one more saw", "both at once"]
    );
    assert_eq!((cases[0].shop.cells.len(), cases[1].shop.cells.len()), (3, 2));
    assert_eq!(cases[1].notices.len(), 2);
    assert_eq!(cases[1].shop.crews[0].absences.len(), 3);
}

#[test]
fn every_fault_of_a_file_of_cases_is_told() {
    let loaded = read_raw(RawFolder::from_files(base()), None);
    let shop = loaded.shop.expect("it is sound");
    let said = |text: &str| {
        let findings =
            read_what_if("cases.toml", text.as_bytes(), &shop, &loaded.places).expect_err("faulty");
        findings.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")
    };
    let two = said(&CASES.replace("saw-1", "sew-1"));
    assert_eq!(two.matches("did you mean `saw-1`?").count(), 2, "{two}");
    assert!(
        two.contains("case \"one more saw\", notice 1: `cell`") && two.contains("cases.toml:6:8"),
        "{two}"
    );
    assert!(said("").contains("there is no case"));
    assert!(said("[[case]]\n").contains("key `name` is missing"));
    assert!(said("\u{feff}[[case").contains("F104"));
}

/// A watch without a clock: only the budget of search steps ends the solve.
struct Unhurried;

impl Watch for Unhurried {
    fn elapsed(&self) -> Duration {
        Duration::ZERO
    }

    fn limit(&self) -> Duration {
        Duration::from_secs(3600)
    }

    fn cancelled(&self) -> bool {
        false
    }
}

/// With one more cell nothing need be worse: the search begins at the plan that there is.
#[test]
fn a_plan_made_near_another_is_no_worse_where_nothing_was_taken_away() {
    let mut shop = trial_shop();
    shop.orders = (1..=12).map(|n| order(&format!("O-{n}"), "P", 60, "2026-12-10")).collect();
    let request = Request { start: date("2026-12-07"), weeks: 1 };
    let settings = Settings { threads: 1, seed: 1, iterations: Some(3_000) };
    let few = Settings { iterations: Some(1), ..settings };
    let first = plan_week(&shop, &request, &settings, &Unhurried).expect("there is a plan");
    let near = Near { problem: &first.problem, schedule: first.schedule.schedule(), shift: Minutes::ZERO };
    for cell in ["saw", "bench", "draw-1", "free", "wash", "gauge"] {
        let mut more = shop.clone();
        more.heed(&notice(Change::Like { cell: cell.to_owned(), id: "another".to_owned() })).expect("heeded");
        let then = plan_week_near(&more, &request, &few, &Unhurried, near).expect("there is a plan");
        let (was, is) = (first.plan.money.total.amount(), then.plan.money.total.amount());
        assert!(is <= was * (1.0 + 1e-9), "{cell}: {is} against {was}");
    }
}

/// An order more and one less: the rest is taken over, and the plan is whole.
#[test]
fn a_plan_made_near_another_has_every_order_of_the_new_book() {
    let mut shop = trial_shop();
    shop.orders = (1..=6).map(|n| order(&format!("O-{n}"), "P", 30, "2026-12-11")).collect();
    let request = Request { start: date("2026-12-07"), weeks: 1 };
    let settings = Settings { threads: 1, seed: 1, iterations: Some(500) };
    let first = plan_week(&shop, &request, &settings, &Unhurried).expect("there is a plan");
    let near = Near { problem: &first.problem, schedule: first.schedule.schedule(), shift: Minutes::ZERO };
    shop.heed(&notice(Change::Cancel { order: "O-3".to_owned() })).expect("heeded");
    shop.heed(&notice(Change::Order(order("X-1", "P", 10, "2026-12-09")))).expect("heeded");
    let then = plan_week_near(&shop, &request, &settings, &Unhurried, near).expect("there is a plan");
    let ids: Vec<&str> = then.plan.orders.iter().map(|order| order.id.as_str()).collect();
    assert_eq!(ids, ["O-1", "O-2", "O-4", "O-5", "O-6", "X-1"]);
}

/// Many people post at the same moment, each by a command of their own: nothing is lost.
#[test]
fn notices_posted_at_the_same_moment_are_all_kept() {
    const AT_ONCE: u32 = 12;
    let folder = on_disk();
    let post = |number: u32| {
        let mut command = Command::new(program());
        command.arg("notice").arg(folder.path()).args(["down", "saw-1", "--from"]);
        command.arg((date("2026-12-09") + chrono::Days::new(u64::from(number))).to_string());
        command.stdout(Stdio::null()).stderr(Stdio::piped()).spawn().expect("the program can be started")
    };
    let all: Vec<_> = (0..AT_ONCE).map(post).collect();
    for one in all {
        let output = one.wait_with_output().expect("it can be waited for");
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    }
    let loaded = elbowroom_files::read_shop(folder.path());
    assert!(!loaded.has_errors(), "{:?}", loaded.findings);
    assert_eq!(loaded.notices.len(), AT_ONCE as usize);
    assert!(!folder.path().join(".elbowroom-lock").exists());
}

/// A command that was broken off leaves its lock behind: the next one says so, and changes nothing.
#[test]
fn a_lock_left_behind_is_named_and_nothing_is_changed() {
    let folder = on_disk();
    write(folder.path(), ".elbowroom-lock", "4711");
    let days = Days::one(date("2026-12-09"));
    let down = notice(Change::Down { cell: "saw-1".to_owned(), days, hours: None });
    let Err(BoardError::Locked(LockError::Held { path, process })) = post_notice(folder.path(), &down) else {
        panic!("posted")
    };
    assert_eq!((path, process.as_deref()), (folder.path().join(".elbowroom-lock"), Some("4711")));
    assert!(!folder.path().join(NOTICES).exists());
    std::fs::remove_file(folder.path().join(".elbowroom-lock")).expect("it is there still");
    post_notice(folder.path(), &down).expect("posted");
}

/// An order that is not in the book yet, in one line.
#[test]
fn a_new_order_is_posted_and_planned() {
    let folder = on_disk();
    let path = folder.path().to_str().expect("it is text").to_owned();
    let before = elbowroom_files::read_shop(folder.path()).shop.expect("it is sound");
    let part = before.parts[0].id.clone();
    let fixed = ["notice", &path, "order", "X-1", &part, "24", "--promised", "2026-12-16"];
    let told = run(&[&fixed[..], &["--late-cost", "500", "--why", "by telephone"]].concat());
    assert_eq!(told.code, 0, "{told:?}");
    assert!(told.stdout.contains("(by telephone)"), "{told:?}");
    let after = elbowroom_files::read_shop(folder.path()).shop.expect("it is sound");
    let order = after.orders.iter().find(|order| order.id == "X-1").expect("it is in the book");
    assert_eq!(
        (order.part.as_str(), order.quantity, order.promised),
        (part.as_str(), 24, date("2026-12-16"))
    );
    assert_eq!(order.late_cost_per_day.map(|money| money.amount()), Some(500.0));
}
