//! Small problems made odd: extreme values, cuts through their structure, and copies of their parts.

use crate::chance::Chance;
use crate::small_shop::small_shop;
use elbowroom_problem::{
    Availability, Cell, HeadCount, Job, JobIdx, Operation, OptionIdx, Parts, Pinned, Place, Window, Work,
};
use elbowroom_units::{Minute, Minutes, Money, RatePerMinute};

/// The latest moment that a problem may name.
const LAST: i64 = 1 << 30;
/// The largest amount of money that a problem may name.
const RICH: f64 = 1e15;

/// The parts of a small shop of a seed after one to five odd changes. They need not fit together.
#[must_use]
pub fn odd_parts(seed: u64) -> Parts {
    let chance = &mut Chance::new(seed ^ 0x0dd);
    let mut parts = small_shop(seed).into_parts();
    for _ in 0..chance.from_to(1, 5) {
        let change = chance.one_of(&CHANGES);
        change(&mut parts, chance);
    }
    parts
}

type Change = fn(&mut Parts, &mut Chance);

const CHANGES: [Change; 20] = [
    horizon,
    horizon,
    windows,
    windows,
    heads,
    heads,
    runs,
    runs,
    lags,
    dates,
    changeovers,
    changeovers,
    prices,
    costs,
    tools,
    pin,
    pin,
    cut,
    cut,
    copies,
];

/// A moment or a length of time at the edge of what is possible, seldom beyond it.
fn edge(parts: &Parts, chance: &mut Chance) -> i64 {
    let horizon = parts.horizon.get().clamp(1, LAST);
    let beyond = chance.one_of(&[-1, LAST + 1, i64::MAX, i64::MIN]);
    let inside = chance.one_of(&[0, 1, 2, horizon - 1, horizon, horizon + 1, LAST - 1, LAST]);
    if chance.yes(0.04) { beyond } else { inside }
}

fn amount(chance: &mut Chance) -> f64 {
    let beyond = chance.one_of(&[-1.0, RICH * 1.1, f64::MAX]);
    let inside = chance.one_of(&[0.0, 0.0, f64::MIN_POSITIVE, 1e-300, 0.1, 1e9, RICH, RICH]);
    if chance.yes(0.04) { beyond } else { inside }
}

fn horizon(parts: &mut Parts, chance: &mut Chance) {
    parts.horizon = Minute::new(edge(parts, chance));
}

fn window(start: i64, end: i64) -> Window {
    Window { start: Minute::new(start), end: Minute::new(end) }
}

/// Never, always, one minute, or thousands of tiny windows.
fn odd_windows(parts: &Parts, chance: &mut Chance) -> Vec<Window> {
    let horizon = parts.horizon.get().clamp(1, LAST);
    match chance.below(6) {
        0 => Vec::new(),
        1 => vec![window(0, LAST)],
        2 => vec![window(horizon - 1, horizon)],
        3 => (0..3000).map(|i| window(2 * i, 2 * i + 1)).collect(),
        4 => vec![window(0, 1), window(LAST - 1, LAST)],
        _ => vec![window(5, 5), window(3, 2)],
    }
}

fn windows(parts: &mut Parts, chance: &mut Chance) {
    let new = odd_windows(parts, chance);
    let everywhere = chance.yes(0.3);
    let one = chance.below(parts.cells.len().max(1));
    for (_, cell) in parts.cells.iter_mut().enumerate().filter(|(i, _)| everywhere || *i == one) {
        cell.windows.clone_from(&new);
    }
}

fn heads(parts: &mut Parts, chance: &mut Chance) {
    let windows = odd_windows(parts, chance);
    let heads = chance.one_of(&[0, 1, u32::MAX]);
    let capacity = windows.into_iter().map(|window| HeadCount { window, heads }).collect();
    if !parts.crews.is_empty() {
        let crew = chance.below(parts.crews.len());
        parts.crews[crew].capacity = capacity;
    }
}

fn operations(parts: &mut Parts) -> impl Iterator<Item = &mut Operation> {
    parts.jobs.iter_mut().flat_map(|job| &mut job.routes).flat_map(|route| &mut route.operations)
}

fn works(parts: &mut Parts) -> impl Iterator<Item = &mut Work> {
    operations(parts).flat_map(|operation| &mut operation.options)
}

fn runs(parts: &mut Parts, chance: &mut Chance) {
    let run = Minutes::new(edge(parts, chance));
    let share = chance.one_of(&[0.1, 0.5, 1.0]);
    for work in works(parts) {
        if chance.yes(share) {
            work.run = run;
        }
    }
}

fn lags(parts: &mut Parts, chance: &mut Chance) {
    let lag = Minutes::new(edge(parts, chance));
    for operation in operations(parts) {
        if chance.yes(0.5) {
            operation.lag_after = lag;
        }
    }
}

fn dates(parts: &mut Parts, chance: &mut Chance) {
    let (release, due) = (edge(parts, chance), edge(parts, chance));
    let sign = chance.one_of(&[-1, 1]);
    for job in &mut parts.jobs {
        if chance.yes(0.3) {
            job.release = Minute::new(release);
        }
        if chance.yes(0.7) {
            job.due = Minute::new(due.saturating_mul(sign));
        }
    }
}

fn changeovers(parts: &mut Parts, chance: &mut Chance) {
    let minutes = Minutes::new(edge(parts, chance));
    let which = chance.below(3);
    for changeover in parts.cells.iter_mut().filter_map(|cell| cell.changeover.as_mut()) {
        match which {
            0 => changeover.default = minutes,
            1 => changeover.same = minutes,
            _ => {
                let all = changeover.pairs.iter();
                changeover.pairs = all.map(|(from, to, _)| (from.clone(), to.clone(), minutes)).collect();
            }
        }
    }
}

fn prices(parts: &mut Parts, chance: &mut Chance) {
    let rate = RatePerMinute::per_minute(amount(chance));
    for cell in &mut parts.cells {
        (cell.run_rate, cell.setup_rate) = (rate, rate);
    }
    let price = Money::new(amount(chance));
    for tool in &mut parts.tools {
        if let Availability::Offer { lead, .. } = tool.availability {
            tool.availability = Availability::Offer { price, lead };
        }
    }
}

fn costs(parts: &mut Parts, chance: &mut Chance) {
    let (late, cost) = (Money::new(amount(chance)), Money::new(amount(chance)));
    for job in &mut parts.jobs {
        job.late_cost_per_day = late;
        job.routes.iter_mut().for_each(|route| route.cost = cost);
    }
    works(parts).for_each(|work| work.cost = cost);
}

fn tools(parts: &mut Parts, chance: &mut Chance) {
    let minute = Minute::new(edge(parts, chance));
    let count = chance.one_of(&[0, 1, 2, u32::MAX]);
    for tool in &mut parts.tools {
        tool.count = count;
        tool.availability = match tool.availability {
            Availability::From(_) => Availability::From(minute),
            Availability::Offer { price, .. } => Availability::Offer { price, lead: minute },
        };
    }
}

/// More pinned work, which may overlap, stand still, be too late or too early.
fn pin(parts: &mut Parts, chance: &mut Chance) {
    if parts.jobs.is_empty() {
        return;
    }
    let job = chance.below(parts.jobs.len());
    let route = chance.below(parts.jobs[job].routes.len().max(1));
    let operation = chance.below(3);
    let option = OptionIdx { job: JobIdx::new(job), route, operation, option: 0 };
    let near = chance.from_to(0, 300);
    let setup_start = chance.one_of(&[0, near, parts.horizon.get().clamp(1, LAST) - 1, LAST]);
    let run_start = setup_start + chance.one_of(&[0, 0, 10, -1]);
    let end = run_start + chance.one_of(&[0, 5, 100, LAST]);
    let [setup_start, run_start, end] = [setup_start, run_start, end].map(Minute::new);
    parts.pinned.push(Pinned { option, setup_start, run_start, end });
}

/// Something is taken out, and what referred to it is left dangling or goes too.
fn cut(parts: &mut Parts, chance: &mut Chance) {
    match chance.below(9) {
        0 => parts.jobs.truncate(1),
        1 => parts.jobs.clear(),
        2 => parts.pinned.clear(),
        3 => parts.jobs.iter_mut().for_each(|job| job.routes.truncate(1)),
        4 => operations(parts).for_each(|operation| operation.options.truncate(1)),
        5 => works(parts).for_each(|work| work.place = Place::Outside),
        6 => works(parts).for_each(|work| {
            if let Place::Cell(on) = &mut work.place {
                on.tools.clear();
                (on.setup_crew, on.run_crew) = (None, None);
            }
        }),
        7 => parts.cells.truncate(1),
        _ => parts.jobs.iter_mut().flat_map(|job| &mut job.routes).for_each(|r| r.operations.truncate(1)),
    }
}

/// Many equal jobs, or many equal cells.
fn copies(parts: &mut Parts, chance: &mut Chance) {
    let count = chance.one_of(&[2, 12]);
    let named = |id: &str, i: usize| if i == 0 { id.to_owned() } else { format!("{id}-{i}") };
    if chance.yes(0.5) {
        let cells = parts.cells.clone();
        let copy = |i, cell: &Cell| Cell { id: named(&cell.id, i), ..cell.clone() };
        parts.cells = (0..40).flat_map(|i| cells.iter().map(move |cell| copy(i, cell))).collect();
    } else {
        let jobs = parts.jobs.clone();
        let copy = |i, job: &Job| Job { id: named(&job.id, i), ..job.clone() };
        parts.jobs = (0..count).flat_map(|i| jobs.iter().map(move |job| copy(i, job))).collect();
    }
}
