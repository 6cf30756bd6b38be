//! Invented plans of any size for the tests of reports.

#![allow(dead_code, reason = "every test file uses its own part of it")]
#![allow(clippy::unwrap_used, reason = "a test may panic")]

use chrono::{Days, NaiveDate, NaiveTime, Weekday};
use elbowroom_bending::process::Process;
use elbowroom_bending::tooling::ToolKind;
use elbowroom_planner::plan::{
    Cause, CellChance, CellPlan, Confidence, Course, DatesKept, Late, LeftOut, Load, MoneySum, NoTooling,
    OrderChance, OrderPlan, Plan, Purchase, Remedy, RemedyKind, Risk, Step, Task,
};
use elbowroom_planner::tube::{BarCut, BarFrom, CutPiece, Supply, TubeBuy, TubeDay, TubePlan};
use elbowroom_rehearsal::Finishes;
use elbowroom_shop::calendar::{
    Calendar, IsoWeek, PlanClock, Shift, add_working_time, open_windows, working_minutes,
};
use elbowroom_shop::cell::WorkKind;
use elbowroom_units::{Minute, Minutes, Mm, Money};

/// The plan with an invented confidence: every third order at risk, every second of these with a remedy.
pub fn sure(mut plan: Plan) -> Plan {
    let spread = |due: Minute, i: usize| {
        let run = |n: i64| due + Minutes::new((n - 40 - 7 * i64::try_from(i % 9).unwrap()) * 97);
        Finishes::new((0..100).map(run).collect())
    };
    let chance = |(i, order): (usize, &OrderPlan)| {
        let finishes = spread(order.due, i);
        let date = order.promised;
        let dates = DatesKept { in_50: date, in_80: date + Days::new(1), in_95: date + Days::new(9) };
        OrderChance { order: order.id.clone(), kept: finishes.share_by(order.due), dates, finishes }
    };
    let orders: Vec<OrderChance> = plan.orders.iter().enumerate().map(chance).collect();
    let risk = |(i, chance): (usize, &OrderChance)| Risk {
        order: chance.order.clone(),
        kept: chance.kept,
        late_in_plan: Minutes::new(if i % 2 == 0 { 4320 } else { 0 }),
        expected_cost: Money::new(410.0),
        remedies: if i % 2 == 0 { vec![remedy()] } else { Vec::new() },
        all_tried: i % 4 != 3,
    };
    let risks = orders.iter().step_by(3).enumerate().map(risk).collect();
    let cell = |cell: &CellPlan| CellChance { cell: cell.id.clone(), week: (2026, 50), out_of_time: 0.25 };
    let cells = plan.cells.iter().map(cell).collect();
    plan.confidence = Some(Confidence { runs: 100, seed: 1, at_risk_below: 0.8, orders, cells, risks });
    plan
}

fn remedy() -> Remedy {
    Remedy {
        kind: RemedyKind::Overtime,
        text: "Saturday shift on 2026-12-12, 06:00 to 12:00, on wash-1".into(),
        brief: "Saturday 2026-12-12 on wash-1".into(),
        finish: Minute::new(9000),
        kept: 0.91,
        cures: true,
        cost: Money::new(410.0),
        puts_at_risk: vec!["O-7".into()],
    }
}

/// What plan to invent.
#[derive(Clone, Copy)]
pub struct Wish {
    pub cells: usize,
    pub orders: usize,
    pub weeks: u32,
    pub start: &'static str,
    pub zone: chrono_tz::Tz,
    /// Ids and names as long as people make them.
    pub long_names: bool,
}

impl Wish {
    /// A plan from Monday 2026-12-07 in Vienna.
    pub fn new(cells: usize, orders: usize, weeks: u32) -> Self {
        let zone = chrono_tz::Europe::Vienna;
        Self { cells, orders, weeks, start: "2026-12-07", zone, long_names: false }
    }
}

/// Numbers that look random and are always the same.
struct Numbers(u64);

impl Numbers {
    fn below(&mut self, bound: u64) -> u64 {
        self.0 = self.0.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
        (self.0 >> 33) % bound
    }
}

const KINDS: [(WorkKind, &str, &str); 10] = [
    (WorkKind::Bend(Process::RotaryDraw), "rd", "Rotary draw"),
    (WorkKind::Cut, "saw", "Saw"),
    (WorkKind::Bend(Process::FreeForm), "ff", "Free-form"),
    (WorkKind::Wash, "wash", "Washer"),
    (WorkKind::Bend(Process::TwinHeadCompression), "tc", "Twin head"),
    (WorkKind::Bend(Process::ThreeRoll), "roll", "Three rolls"),
    (WorkKind::Deburr, "deb", "Deburring"),
    (WorkKind::EndForm, "end", "End former"),
    (WorkKind::Weld, "weld", "Welding booth"),
    (WorkKind::Inspect, "insp", "Inspection bench"),
];

/// Invents a plan: every order is cut or otherwise worked on once or more, cells without overlap.
pub fn plan(wish: Wish) -> Plan {
    let start: NaiveDate = wish.start.parse().unwrap();
    let clock = PlanClock::new(wish.zone, start);
    let mut numbers = Numbers(42 + wish.orders as u64);
    let until = Minute::ZERO + Minutes::days(7 * (i64::from(wish.weeks) + 30));
    let mut cells: Vec<CellPlan> = (0..wish.cells).map(|i| empty_cell(i, wish, &clock, until)).collect();
    let orders = (0..wish.orders).map(|i| order(i, wish, &clock, &mut cells, &mut numbers)).collect();
    let loads = loads(&cells, &clock, wish.weeks);
    let mut plan = Plan {
        shop: "Aspen Ridge Tube Works".into(),
        currency: "EUR".into(),
        clock,
        start,
        weeks: wish.weeks,
        cells,
        orders,
        left_out: left_out(),
        purchases: Vec::new(),
        no_tooling: Vec::new(),
        tube: TubePlan::default(),
        loads,
        money: MoneySum::default(),
        lower_bound: None,
        confidence: None,
    };
    add_tooling(&mut plan);
    add_tube(&mut plan);
    add_money(&mut plan);
    plan
}

fn empty_cell(i: usize, wish: Wish, clock: &PlanClock, until: Minute) -> CellPlan {
    let (work, id, name) = KINDS[i % KINDS.len()];
    let number = i / KINDS.len() + 1;
    let name = if wish.long_names {
        format!("{name} with loader, hall {number}, next to the gate")
    } else {
        format!("{name} {number}")
    };
    let id =
        if wish.long_names { format!("HALL-{number}-{id}-WITH-LOADER") } else { format!("{id}-{number}") };
    let calendar = calendar(i % 3 != 1);
    let open = open_windows(&calendar, &[], &[], clock, until);
    CellPlan { id, name, work, open, tasks: Vec::new() }
}

fn calendar(two_shifts: bool) -> Calendar {
    let time = |hour, minute| NaiveTime::from_hms_opt(hour, minute, 0).unwrap();
    let days = vec![Weekday::Mon, Weekday::Tue, Weekday::Wed, Weekday::Thu, Weekday::Fri];
    let early = Shift {
        days: days.clone(),
        from: time(6, 0),
        to: time(14, 0),
        breaks: vec![(time(9, 30), time(10, 0))],
    };
    let late = Shift { days, from: time(14, 0), to: time(22, 0), breaks: vec![(time(18, 0), time(18, 30))] };
    let shifts = if two_shifts { vec![early, late] } else { vec![early] };
    Calendar { id: "week".into(), shifts, extra: Vec::new(), closed: Vec::new() }
}

fn order(
    i: usize,
    wish: Wish,
    clock: &PlanClock,
    cells: &mut [CellPlan],
    numbers: &mut Numbers,
) -> OrderPlan {
    let id = if wish.long_names { format!("ORDER-2026-CUSTOMER-{i:05}") } else { format!("J-{}", 1000 + i) };
    let part = format!(
        "{}-{}",
        ["HOOP", "RACK", "PIPE", "RAIL"][numbers.below(4) as usize],
        100 + numbers.below(40)
    );
    let quantity = 10 * (1 + numbers.below(30) as u32);
    let mut steps = Vec::new();
    let mut at = Minute::ZERO;
    for _ in 0..(1 + numbers.below(3)).min(cells.len() as u64) {
        let cell = &mut cells[numbers.below(cells.len() as u64) as usize];
        let task = task(&id, &part, quantity, at, cell, numbers);
        at = task.end;
        steps.push(Step {
            name: task.step.clone(),
            place: cell.id.clone(),
            outside: false,
            run_start: task.run_start,
            end: task.end,
        });
        cell.tasks.push(task);
    }
    let promised =
        clock.start().checked_add_days(Days::new(1 + numbers.below(7 * u64::from(wish.weeks)))).unwrap();
    let due = clock.start_of(promised.succ_opt().unwrap());
    let late = (at > due).then(|| Late {
        cause: Cause::DieInUse,
        waited: at - due,
        step: "bend".into(),
        text: format!("waited for die-38x114 until {}, which J-1000 had", clock.text(at)),
    });
    let late_cost = Money::new(0.1 * (at - due).count().max(0) as f64);
    OrderPlan {
        id,
        part,
        part_name: "Greenhouse hoop, long side".into(),
        quantity,
        customer: Some("nursery".into()),
        promised,
        due,
        finish: at,
        process: Some(Process::ALL[numbers.below(4) as usize]),
        blank: Some(Mm::new(1460.25)),
        bend_cell: steps.last().map(|step| step.place.clone()),
        steps,
        cost: Money::new(250.0 + f64::from(quantity)) + late_cost,
        late_cost,
        late,
    }
}

fn task(
    order: &str,
    part: &str,
    quantity: u32,
    from: Minute,
    cell: &CellPlan,
    numbers: &mut Numbers,
) -> Task {
    let after = cell.tasks.last().map_or(Minute::ZERO, |task| task.end);
    let under_way = cell.tasks.is_empty() && from == Minute::ZERO;
    let bends = matches!(cell.work, WorkKind::Bend(_));
    let changeover = if !bends || numbers.below(4) == 0 { 0 } else { 20 + 5 * numbers.below(9) as i64 };
    let run = if bends { 40 + 10 * numbers.below(40) as i64 } else { 10 + 5 * numbers.below(20) as i64 };
    let setup_start = next_open(cell, after.max(from));
    let ready = add_working_time(&cell.open, setup_start, Minutes::new(changeover)).unwrap();
    let run_start = next_open(cell, ready);
    let tools = if bends {
        vec![format!("die-38x{}", 76 + 19 * numbers.below(4)), "mandrel-38x2".into()]
    } else {
        vec![]
    };
    Task {
        order: order.into(),
        part: part.into(),
        quantity,
        start_quantity: quantity + 2,
        step: cell.work.name().into(),
        setup_start: if changeover == 0 { run_start } else { setup_start },
        run_start,
        end: add_working_time(&cell.open, run_start, Minutes::new(run)).unwrap(),
        changeover: Minutes::new(changeover),
        run: Minutes::new(run),
        setup_factor: 1.0,
        run_factor: 1.0,
        mount: if changeover > 0 { tools.clone() } else { Vec::new() },
        tools,
        setup_crew: (changeover > 0).then(|| "setter".into()),
        run_crew: Some("operator".into()),
        under_way,
    }
}

fn next_open(cell: &CellPlan, from: Minute) -> Minute {
    cell.open.iter().find(|window| window.1 > from).map(|window| window.0.max(from)).unwrap()
}

fn loads(cells: &[CellPlan], clock: &PlanClock, weeks: u32) -> Vec<Load> {
    let mut loads = Vec::new();
    let mut week = IsoWeek::of(clock.start());
    for _ in 0..weeks {
        let span = (clock.start_of(week.monday()), clock.start_of(week.next().monday()));
        loads.extend(cells.iter().map(|cell| load(cell, week, span)));
        week = week.next();
    }
    loads
}

fn load(cell: &CellPlan, week: IsoWeek, (from, to): (Minute, Minute)) -> Load {
    let inside = |a: Minute, b: Minute| working_minutes(&cell.open, a.max(from), b.min(to).max(a.max(from)));
    let run = cell.tasks.iter().map(|task| inside(task.run_start, task.end)).sum();
    let setup = cell.tasks.iter().map(|task| inside(task.setup_start, task.run_start)).sum();
    let open = working_minutes(&cell.open, from, to);
    Load { cell: cell.id.clone(), week: (week.year(), week.number()), run, setup, open }
}

fn left_out() -> Vec<LeftOut> {
    let reasons = vec![
        "no cell bends 114.3 mm tube to a centreline radius of 90 mm".to_owned(),
        "its tube is in stock in no length that gives the blank of 7.4 m".to_owned(),
    ];
    vec![LeftOut { order: "J-77".into(), part: "PIPE-900".into(), reasons }]
}

fn add_tooling(plan: &mut Plan) {
    let Some(first) = plan.orders.first() else { return };
    let (order, cell) = (first.id.clone(), first.bend_cell.clone().unwrap_or_default());
    plan.purchases.push(Purchase {
        tool: "die-50x150".into(),
        kind: ToolKind::BendDie,
        price: Money::new(4200.0),
        estimated: true,
        lead: Minutes::days(10),
        order_by: plan.start,
        first_use: Minute::ZERO + Minutes::days(11),
        orders: vec![order.clone()],
    });
    let course = |process, day, cost| Course {
        process,
        cell: cell.clone(),
        finish: Minute::ZERO + Minutes::days(day),
        cost: Money::new(cost),
    };
    plan.no_tooling.push(NoTooling {
        order,
        without: course(Process::FreeForm, 4, 900.0),
        waiting: course(Process::RotaryDraw, 13, 4700.0),
        tools: vec!["die-50x150".into()],
        plan_waits: false,
    });
}

/// Two bars of the first order's tube out of the house, three to buy, one of them too late.
fn add_tube(plan: &mut Plan) {
    let Some(first) = plan.orders.first() else { return };
    let order = first.id.clone();
    let tube = "T-38.1x1.65-304".to_owned();
    let pieces = vec![CutPiece { order: order.clone(), length: Mm::new(1460.25), count: 3 }];
    let cut = |bars, from, kept| BarCut {
        bar: Mm::new(6000.0),
        bars,
        from,
        pieces: pieces.clone(),
        rest: Mm::new(1581.7),
        kept,
    };
    plan.tube.days.push(TubeDay {
        tube: tube.clone(),
        day: plan.start,
        first_cut: Minute::new(400),
        supply: Supply::Counted,
        orders: vec![order.clone()],
        cuts: vec![cut(2, BarFrom::House, false), cut(3, BarFrom::New, true)],
        gap: 0.0,
        too_long: vec![("J-78".into(), "a blank of 6200 mm is longer than the 5970 mm of a bar".into())],
    });
    plan.tube.buys.push(TubeBuy {
        tube,
        bar: Mm::new(6000.0),
        bars: 3,
        counted: true,
        price: Some(Money::new(115.2)),
        order_by: Some(plan.start),
        too_late: Some(Minute::new(2 * 1440 + 420)),
        first_cut: Minute::new(400),
        orders: vec![order],
    });
}

fn add_money(plan: &mut Plan) {
    let sum =
        |amount: fn(&OrderPlan) -> Money| plan.orders.iter().map(amount).fold(Money::ZERO, |a, b| a + b);
    let late = sum(|order| order.late_cost);
    let all = sum(|order| order.cost);
    let purchases = plan.purchases.iter().map(|tool| tool.price).fold(Money::ZERO, |a, b| a + b);
    let total = all + purchases;
    plan.money = MoneySum {
        run: (all - late) * 0.7,
        setup: (all - late) * 0.2,
        outside: (all - late) * 0.1,
        purchases,
        late,
        total,
    };
    plan.lower_bound = Some(total * 0.97);
}
