//! What a shop compiles to. Expected minutes are worked out by hand from the trial shop's rules.

use elbowroom_bending::process::Process;
use elbowroom_bending::tooling::{ToolKind, ToolSpec};
use elbowroom_planner::{CompileError, Compiled, JobRole, ReleaseReason, compile};
use elbowroom_problem::{Availability, CellWork, Job, Operation, Route};
use elbowroom_shop::Shop;
use elbowroom_shop::cell::{BendLimits, Hand, WorkKind};
use elbowroom_shop::rack::ToolState;
use elbowroom_shop::underway::{RunningStep, Underway};
use elbowroom_tests::trial_shop::{
    CLR, OD, bend_die, cell, date, draw, order, part, part_with_radius, request, tool, trial_shop, zinc,
};
use elbowroom_units::{Minute, Minutes, Mm, Money, Seconds};

fn with_order() -> Shop {
    let mut shop = trial_shop();
    shop.orders.push(order("O-1", "P", 50, "2026-12-11"));
    shop
}

fn compiled(shop: &Shop) -> Compiled {
    compile(shop, &request()).expect("the shop compiles")
}

fn route<'a>(job: &'a Job, id: &str) -> &'a Route {
    job.routes.iter().find(|route| route.id == id).unwrap_or_else(|| panic!("no route {id} in {job:#?}"))
}

fn step<'a>(route: &'a Route, id: &str) -> &'a Operation {
    route.operations.iter().find(|step| step.id == id).unwrap_or_else(|| panic!("no step {id}"))
}

fn names(route: &Route) -> String {
    route.operations.iter().map(|step| step.id.as_str()).collect::<Vec<_>>().join(", ")
}

/// `cell: tools` of every option.
fn options(compiled: &Compiled, step: &Operation) -> Vec<String> {
    let text = |work: &CellWork| {
        let tools = work.tools.iter().map(|tool| compiled.problem.tool(*tool).id.as_str());
        format!("{}: {}", compiled.problem.cell(work.cell).id, tools.collect::<Vec<_>>().join(" "))
    };
    step.options.iter().filter_map(|option| option.on_cell()).map(text).collect()
}

fn changeover(compiled: &Compiled, cell: &str) -> (i64, i64, Vec<(String, String, i64)>) {
    let cell = compiled.problem.cells.iter().find(|found| found.id == cell).expect("the cell is there");
    let table = cell.changeover.as_ref().expect("it takes time");
    let pairs = table.pairs.iter().map(|(a, b, time)| (a.clone(), b.clone(), time.count()));
    (table.default.count(), table.same.count(), pairs.collect())
}

#[test]
fn each_process_gives_a_route_and_steps_follow_the_shop_floor() {
    let compiled = compiled(&with_order());
    let job = &compiled.problem.jobs[0];
    assert_eq!(job.id, "O-1");
    assert_eq!(names(route(job, "rotary draw")), "cut, deburr, bend, inspect");
    assert_eq!(names(route(job, "free-form")), "cut, deburr, bend, inspect");
    assert_eq!(compiled.key.jobs[0].routes[0].process, Some(Process::RotaryDraw));
    // 50 good ones and one for setting up: 4 min + 51 x 12 s = 14.2 min, begun minutes counted.
    assert_eq!(step(&job.routes[0], "cut").options[0].run, Minutes::new(15));
    // 2 min + 51 x 2 x 6 s = 12.2 min.
    assert_eq!(step(&job.routes[0], "deburr").options[0].run, Minutes::new(13));
    // 8 min + 5 of 50 pieces x 30 s = 10.5 min.
    assert_eq!(step(&job.routes[0], "inspect").options[0].run, Minutes::new(11));
    assert_eq!(step(&job.routes[0], "cut").lag_after, Minutes::new(15));
    assert_eq!(step(&job.routes[0], "inspect").lag_after, Minutes::ZERO);
    // Friday 16:00 is four days and 16 hours after Monday 00:00.
    assert_eq!(job.due, Minute::new(4 * 1440 + 16 * 60));
    assert_eq!(job.late_cost_per_day, Money::new(60.0));
    assert!(compiled.left_out.is_empty() && compiled.findings.is_empty(), "{:?}", compiled.findings);
}

#[test]
fn options_name_the_tools_and_stay_few() {
    let compiled = compiled(&with_order());
    let job = &compiled.problem.jobs[0];
    let bend = step(route(job, "rotary draw"), "bend");
    assert_eq!(
        options(&compiled, bend),
        [
            "draw-1: BD CD-1 PD-1 CO-1",
            "draw-1: BD CD-2 PD-2 CO-2",
            "draw-2: BD CD-1 PD-1 CO-1",
            "draw-2: BD CD-2 PD-2 CO-2",
        ]
    );
    assert_eq!(options(&compiled, step(route(job, "free-form"), "bend")), ["free: RING"]);
}

#[test]
fn mounted_tools_come_first_and_are_the_initial_setup() {
    let mut shop = with_order();
    shop.cells[3].mounted = ["BD", "CD-2", "PD-2", "CO-2"].map(str::to_owned).to_vec();
    shop.cells[3].mounted_program = Some("P".to_owned());
    let compiled = compiled(&shop);
    let bend = step(route(&compiled.problem.jobs[0], "rotary draw"), "bend");
    assert_eq!(options(&compiled, bend)[2], "draw-2: BD CD-2 PD-2 CO-2");
    let initial = compiled.problem.cells[3].initial_setup.as_deref();
    assert_eq!(initial, Some("P on BD + CD-2 + PD-2 + CO-2"));
    let key = &bend.options[2].on_cell().expect("it is on a cell").setup_key;
    assert_eq!(Some(key.as_str()), initial);
}

#[test]
fn changeovers_count_the_tools_that_change() {
    let mut shop = with_order();
    shop.tools.retain(|tool| !tool.id.ends_with('2'));
    let long = ToolSpec::with_radius(ToolKind::BendDie, Mm::new(OD), Mm::new(144.0));
    shop.tools.push(tool("BD-144", long));
    shop.parts.push(part("Q"));
    shop.parts.push(part_with_radius("R", 144.0));
    shop.orders.push(order("O-2", "Q", 10, "2026-12-11"));
    shop.orders.push(order("O-3", "R", 10, "2026-12-11"));
    shop.cells[2].mounted = vec!["BD-144".to_owned()];
    let compiled = compiled(&shop);
    let (default, same, pairs) = changeover(&compiled, "draw-1");
    // Four tools on at 4 and off at 1 min, aligning 5, program 5.
    assert_eq!((default, same), (30, 0));
    let minutes = |from: &str, to: &str| {
        pairs.iter().find(|(a, b, _)| a == from && b == to).map(|(_, _, minutes)| *minutes)
    };
    let (p, q, r) =
        ("P on BD + CD-1 + PD-1 + CO-1", "Q on BD + CD-1 + PD-1 + CO-1", "R on BD-144 + CD-1 + PD-1 + CO-1");
    // The same tools: only another program. Another die: 1 off, 4 on, aligning, program.
    assert_eq!(minutes(p, q), Some(5));
    assert_eq!(minutes(p, r), Some(15));
    assert_eq!(minutes(r, q), Some(15));
    assert_eq!(minutes(p, p), None, "equal keys are `same`");
    // Only the long die is mounted, its program unknown: three holders on, or die off and four on.
    let start = compiled.problem.cells[2].initial_setup.as_deref().expect("something is mounted");
    assert_eq!(start, "no program on BD-144");
    assert_eq!(minutes(start, r), Some(5 + 5 + 3 * 4));
    assert_eq!(minutes(start, p), Some(5 + 5 + 1 + 4 * 4));
}

#[test]
fn a_long_table_of_programs_gives_way_to_keys_of_tools_alone() {
    let mut shop = trial_shop();
    shop.cells.retain(|cell| cell.id != "draw-2");
    shop.tools.retain(|tool| !tool.id.ends_with('2'));
    for number in 0..200 {
        shop.parts.push(part(&format!("P-{number}")));
        shop.orders.push(order(&format!("O-{number}"), &format!("P-{number}"), 5, "2026-12-18"));
    }
    let compiled = compiled(&shop);
    // 200 programs on one set of tools would be 39,800 pairs; the same tools again cost a program.
    assert_eq!(changeover(&compiled, "draw-1"), (30, 5, Vec::new()));
    let bend = step(route(&compiled.problem.jobs[7], "rotary draw"), "bend");
    assert_eq!(bend.options[0].on_cell().expect("on a cell").setup_key, "BD + CD-1 + PD-1 + CO-1");
}

#[test]
fn lubricant_calls_for_washing_and_drying() {
    let mut shop = with_order();
    // Two diameters: a mandrel is needed, and with it lubricant; free-form is out.
    shop.parts[0] = part_with_radius("P", 72.0);
    let compiled = compiled(&shop);
    let job = &compiled.problem.jobs[0];
    assert_eq!(job.routes.len(), 1);
    assert_eq!(names(&job.routes[0]), "cut, deburr, bend, wash, inspect");
    assert_eq!(step(&job.routes[0], "wash").lag_after, Minutes::new(30 + 15));
    // Die and mandrel are missing: both are offered at the default price and lead time.
    let offers: Vec<&str> = compiled
        .problem
        .tools
        .iter()
        .filter(|tool| matches!(tool.availability, Availability::Offer { .. }))
        .map(|tool| tool.id.as_str())
        .collect();
    assert_eq!(offers, ["bend die 36x72", "mandrel 36x3"]);
    let said: Vec<String> = compiled.findings.iter().map(|finding| finding.message.clone()).collect();
    assert_eq!(
        said,
        ["rotary draw would need bend die 36x72 and mandrel 36x3 that no list names; taken at an \
          estimated 2 000.00 and 21 days"]
    );
    // Three weeks from Monday, received at 07:00.
    let expected = Availability::Offer { price: Money::new(1000.0), lead: Minute::new(21 * 1440 + 420) };
    let die = compiled.problem.tools.iter().find(|tool| tool.id == "bend die 36x72").expect("offered");
    assert_eq!(die.availability, expected);
    assert!(compiled.key.tools.iter().any(|key| key.estimated && key.kind == ToolKind::Mandrel));
    // The horizon reaches past the arrival.
    assert!(compiled.problem.horizon > Minute::new(28 * 1440), "{}", compiled.problem.horizon);
    assert!(compiled.problem.horizon <= Minute::new(8 * 7 * 1440), "{}", compiled.problem.horizon);
}

#[test]
fn tools_on_order_and_offered_ones_come_in_when_they_can() {
    let mut shop = with_order();
    shop.tools[0].state = ToolState::OnOrder { arrives: date("2026-12-09") };
    let mut offer = bend_die("BD-offer");
    offer.state = ToolState::Offered { price: Money::new(900.0), lead: Minutes::days(10), estimated: false };
    shop.tools.push(offer);
    let first = compiled(&shop);
    let availability = |compiled: &Compiled, id: &str| {
        compiled.problem.tools.iter().find(|tool| tool.id == id).map(|tool| tool.availability)
    };
    assert_eq!(availability(&first, "BD"), Some(Availability::From(Minute::new(2 * 1440 + 420))));
    assert_eq!(availability(&first, "BD-offer"), None, "one on order does");

    shop.tools.remove(0);
    let second = compiled(&shop);
    let offered = Availability::Offer { price: Money::new(900.0), lead: Minute::new(10 * 1440 + 420) };
    assert_eq!(availability(&second, "BD-offer"), Some(offered));
    assert!(second.findings.is_empty(), "a tool maker's offer is no estimate: {:?}", second.findings);
}

#[test]
fn a_tool_serves_only_the_cells_that_it_fits() {
    let mut shop = with_order();
    shop.tools[0].fits = Some(vec!["draw-2".to_owned()]);
    let compiled = compiled(&shop);
    let bend = step(route(&compiled.problem.jobs[0], "rotary draw"), "bend");
    // On draw-1 another die would have to be bought, which nobody has offered: not worth an option.
    assert!(options(&compiled, bend).iter().all(|option| option.starts_with("draw-2: BD ")));
}

#[test]
fn outside_services_are_options_of_their_vendors() {
    let mut shop = with_order();
    shop.parts[0].outside = vec!["zinc".to_owned(), "zinc".to_owned()];
    shop.parts[0].weld = Some(Seconds::new(60.0));
    shop.cells.push(cell("weld", WorkKind::Weld));
    shop.vendors = vec![zinc("Zinc A"), zinc("Zinc B")];
    let compiled = compiled(&shop);
    let draw = route(&compiled.problem.jobs[0], "rotary draw");
    assert_eq!(names(draw), "cut, deburr, bend, weld, zinc, zinc 2, inspect");
    let zinc = step(draw, "zinc");
    assert_eq!(zinc.options.len(), 2);
    assert_eq!((zinc.options[0].run, zinc.options[0].cost), (Minutes::days(2), Money::new(100.0)));
    assert_eq!(compiled.key.jobs[0].routes[0].steps[4].places, ["Zinc A", "Zinc B"]);
    assert_eq!(zinc.lag_after, Minutes::ZERO, "transport is in the turnaround");
}

#[test]
fn what_cannot_be_made_is_left_out_with_every_reason() {
    let mut shop = with_order();
    shop.parts.push(part_with_radius("TIGHT", 20.0));
    let mut welded = part("WELDED");
    welded.weld = Some(Seconds::new(60.0));
    shop.parts.push(welded);
    shop.orders.push(order("O-2", "TIGHT", 5, "2026-12-11"));
    shop.orders.push(order("O-3", "WELDED", 5, "2026-12-11"));
    let compiled = compiled(&shop);
    assert_eq!(compiled.problem.jobs.len(), 1);
    let out: Vec<&str> = compiled.left_out.iter().map(|out| out.order.as_str()).collect();
    assert_eq!(out, ["O-2", "O-3"]);
    let tight = &compiled.left_out[0].reasons;
    assert!(tight.iter().any(|reason| reason.starts_with("draw-1 and draw-2: ")), "{tight:?}");
    assert!(tight.iter().any(|reason| reason.starts_with("free: ")), "{tight:?}");
    assert_eq!(compiled.left_out[1].reasons, ["the shop has no cell for the step `weld`"]);
}

#[test]
fn cells_that_are_never_open_or_manned_are_no_options() {
    let mut shop = with_order();
    shop.crews[0].shifts.clear();
    let no_setters = compiled(&shop);
    let routes: Vec<&str> = no_setters.problem.jobs[0].routes.iter().map(|route| route.id.as_str()).collect();
    assert_eq!(routes, ["free-form"], "nobody changes the draw benders over");

    shop.calendars[0].shifts.clear();
    match compile(&shop, &request()) {
        Err(CompileError::NothingToPlan { left_out, .. }) => {
            assert_eq!(left_out[0].reasons, ["draw-1, draw-2 and free: never open with its crew"]);
        }
        other => panic!("{other:?}"),
    }
    let mut shop = with_order();
    shop.orders[0].material = Some(date("2028-12-01"));
    match compile(&shop, &request()) {
        Err(CompileError::NothingToPlan { left_out, .. }) => {
            assert_eq!(left_out[0].reasons, ["its tube comes later than the 60 weeks that a plan can reach"])
        }
        other => panic!("{other:?}"),
    }
}

#[test]
fn processes_that_the_customer_does_not_approve_are_out() {
    let mut shop = with_order();
    shop.parts[0].processes = Some(vec![Process::RotaryDraw]);
    let compiled = compiled(&shop);
    assert_eq!(compiled.problem.jobs[0].routes.len(), 1);
    shop.cells.retain(|cell| !cell.id.starts_with("draw"));
    match compile(&shop, &request()) {
        Err(CompileError::NothingToPlan { left_out, .. }) => assert_eq!(
            left_out[0].reasons,
            ["free: free-form is not among the processes that the customer approves"]
        ),
        other => panic!("{other:?}"),
    }
}

#[test]
fn material_and_late_cost_come_from_order_customer_and_shop() {
    let mut shop = with_order();
    shop.customers
        .push(elbowroom_shop::Customer { id: "C".to_owned(), late_cost_per_day: Money::new(150.0) });
    shop.orders[0].material = Some(date("2026-12-08"));
    shop.orders[0].customer = Some("C".to_owned());
    let first = compiled(&shop);
    assert_eq!(first.problem.jobs[0].release, Minute::new(1440 + 420));
    assert_eq!(first.key.jobs[0].release, ReleaseReason::Material);
    assert_eq!(first.problem.jobs[0].late_cost_per_day, Money::new(150.0));
    shop.orders[0].late_cost_per_day = Some(Money::new(5.0));
    shop.orders[0].material = Some(date("2026-12-01"));
    let second = compiled(&shop);
    assert_eq!(second.problem.jobs[0].late_cost_per_day, Money::new(5.0));
    assert_eq!(second.problem.jobs[0].release, Minute::ZERO, "it is there already");
}

fn underway(order: &str, done: &[&str], running: Option<(&str, &str, i64)>) -> Underway {
    Underway {
        order: order.to_owned(),
        done: done.iter().map(|&step| step.to_owned()).collect(),
        running: running.map(|(step, cell, minutes)| RunningStep {
            step: step.to_owned(),
            cell: cell.to_owned(),
            remaining: Minutes::new(minutes),
            presumed: false,
        }),
    }
}

#[test]
fn finished_steps_are_left_out_and_a_running_bend_is_pinned() {
    let mut shop = with_order();
    shop.underway = vec![underway("O-1", &["cut", "deburr"], Some(("bend", "draw-2", 500)))];
    let compiled = compiled(&shop);
    let job = &compiled.problem.jobs[0];
    assert_eq!(job.routes.len(), 1);
    assert_eq!(names(&job.routes[0]), "bend, inspect");
    assert_eq!(options(&compiled, &job.routes[0].operations[0]), ["draw-2: BD CD-1 PD-1 CO-1"]);
    let pin = &compiled.problem.pinned[0];
    // Monday 06:00, 480 minutes to 14:00, the last 20 on Tuesday.
    assert_eq!((pin.setup_start, pin.run_start), (Minute::new(360), Minute::new(360)));
    assert_eq!(pin.end, Minute::new(1440 + 380));
}

#[test]
fn a_running_cut_leaves_every_process_open() {
    let mut shop = with_order();
    shop.underway = vec![underway("O-1", &[], Some(("cut", "saw", 30)))];
    let compiled = compiled(&shop);
    let [running, rest] = compiled.problem.jobs.as_slice() else { panic!("two jobs") };
    assert_eq!(running.id, "O-1 cut (running)");
    assert_eq!(compiled.key.jobs[0].role, JobRole::Running);
    assert_eq!(compiled.problem.pinned[0].end, Minute::new(390));
    assert_eq!((rest.id.as_str(), rest.routes.len()), ("O-1", 2));
    assert_eq!(names(&rest.routes[0]), "deburr, bend, inspect");
    assert_eq!(rest.release, Minute::new(390 + 15));
    assert_eq!(compiled.key.jobs[1].release, ReleaseReason::Running);
}

#[test]
fn after_bending_one_route_is_left_without_a_process() {
    let mut shop = with_order();
    shop.underway = vec![underway("O-1", &["bend"], None)];
    let first = compiled(&shop);
    assert_eq!(names(&first.problem.jobs[0].routes[0]), "inspect", "cut and deburr are done too");
    assert_eq!(first.key.jobs[0].routes[0].process, None);
    shop.underway = vec![underway("O-1", &["inspect"], None)];
    shop.orders.push(order("O-2", "P", 1, "2026-12-11"));
    let second = compiled(&shop);
    assert_eq!(second.problem.jobs.len(), 1);
    assert!(second.findings[0].message.contains("every step is done"));
}

#[test]
fn what_cannot_be_under_way_is_told_and_planned_as_not_begun() {
    let check = |underway: Vec<Underway>, message: &str| {
        let mut shop = with_order();
        shop.orders.push(order("O-2", "P", 5, "2026-12-11"));
        shop.cells.push(draw("shut"));
        shop.calendars.push(elbowroom_shop::calendar::Calendar {
            id: "never".to_owned(),
            shifts: Vec::new(),
            extra: Vec::new(),
            closed: Vec::new(),
        });
        shop.cells.last_mut().expect("just pushed").calendar = "never".to_owned();
        shop.underway = underway;
        let compiled = compiled(&shop);
        let said: Vec<String> = compiled.findings.iter().map(ToString::to_string).collect();
        assert!(said.iter().any(|text| text.contains(message)), "{said:?}");
        compiled
    };
    check(vec![underway("O-1", &["polish"], None)], "`polish` is no step of part `P`");
    check(vec![underway("O-1", &[], Some(("bend", "nowhere", 5)))], "there is no such cell");
    check(vec![underway("O-1", &[], Some(("bend", "saw", 5)))], "that cell does cut");
    check(vec![underway("O-1", &[], Some(("bend", "shut", 5)))], "the cell is never open");
    let both = vec![
        underway("O-1", &[], Some(("bend", "draw-1", 5))),
        underway("O-2", &[], Some(("bend", "draw-1", 5))),
    ];
    let compiled = check(both, "order `O-1` is running there");
    assert_eq!(compiled.problem.pinned.len(), 1);
}

#[test]
fn the_shop_floor_is_believed_against_the_rules() {
    let mut shop = with_order();
    shop.parts[0] = part_with_radius("P", CLR - 36.0);
    // No free-form at two diameters by the rules, but there it runs.
    shop.underway = vec![underway("O-1", &[], Some(("bend", "free", 60)))];
    let compiled = compiled(&shop);
    assert!(
        compiled.findings.iter().any(|finding| finding.message.contains("could not bend it by the rules"))
    );
    assert_eq!(options(&compiled, &compiled.problem.jobs[0].routes[0].operations[0]), ["free: RING"]);
}

#[test]
fn what_is_being_bent_holds_no_tool_that_is_not_there() {
    let mut shop = with_order();
    shop.tools[0].state = ToolState::OnOrder { arrives: date("2026-12-09") };
    shop.underway = vec![underway("O-1", &["cut", "deburr"], Some(("bend", "draw-1", 60)))];
    let compiled = compiled(&shop);
    let bend = &compiled.problem.jobs[0].routes[0].operations[0];
    assert_eq!(options(&compiled, bend), ["draw-1: CD-1 PD-1 CO-1"]);
    assert!(compiled.findings[0].message.contains("BD is not in the house"), "{:?}", compiled.findings);
}

/// Of the U of 300, 600 and 300 mm with bends of 108 mm, the formed end sweeps 300 + 108 mm beside
/// the axis at most at bend 1 and farther at bend 2, when the whole U but its last leg is formed.
#[test]
fn a_cell_with_too_little_room_around_its_head_is_no_option() {
    let limits = |swing: f64| BendLimits {
        od: (Mm::new(10.0), Mm::new(60.0)),
        max_wall: None,
        max_length: None,
        clr: None,
        max_moment_kn_m: None,
        hand: Hand::Both,
        max_bends: None,
        floor_clearance: Some(Mm::new(1000.0)),
        swing_clearance: Some(Mm::new(swing)),
        bend_speed_deg_s: None,
    };
    let cells = |swing: f64| {
        let mut shop = with_order();
        shop.cells[2].limits = Some(limits(swing));
        let compiled = compiled(&shop);
        let bend = step(route(&compiled.problem.jobs[0], "rotary draw"), "bend");
        bend.options.iter().filter_map(|option| option.on_cell()).any(|work| work.cell.get() == 2)
    };
    assert!(!cells(600.0), "the formed end reaches more than 600 mm");
    assert!(cells(1500.0), "no place of the U is 1500 mm from its bends");
}

#[test]
fn nothing_to_plan_is_an_answer() {
    assert!(matches!(
        compile(&trial_shop(), &request()),
        Err(CompileError::NothingToPlan { left_out, .. }) if left_out.is_empty()
    ));
}
