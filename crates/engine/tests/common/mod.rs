//! Small random shops that use every part of the contract, and a watch that never hurries.

use elbowroom_engine::Watch;
use elbowroom_problem::{
    Availability, Cell, CellIdx, CellWork, Changeover, Crew, CrewIdx, HeadCount, Job, JobIdx, Objective,
    Operation, OptionIdx, Parts, Pinned, Place, Problem, Route, Tool, ToolIdx, Window, Work,
};
use elbowroom_units::{Minute, Minutes, Money, RatePerMinute};
use std::time::Duration;

/// A solve that may take a minute by its own count and is never cancelled.
pub struct Unhurried;

impl Watch for Unhurried {
    fn elapsed(&self) -> Duration {
        Duration::ZERO
    }
    fn limit(&self) -> Duration {
        Duration::from_secs(60)
    }
    fn cancelled(&self) -> bool {
        false
    }
}

/// Numbers that look random (SplitMix64).
pub struct Chance(pub u64);

impl Chance {
    pub fn below(&mut self, bound: u64) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        (z ^ (z >> 31)) % bound
    }
    fn yes(&mut self, of: u64) -> bool {
        self.below(of) == 0
    }
}

fn windows(chance: &mut Chance, horizon: i64) -> Vec<Window> {
    let mut at = chance.below(30) as i64;
    let mut all = Vec::new();
    while at < horizon {
        let end = at + 40 + chance.below(160) as i64;
        all.push(Window { start: Minute::new(at), end: Minute::new(end) });
        at = end + 1 + chance.below(60) as i64;
    }
    all
}

fn key(chance: &mut Chance) -> String {
    format!("k{}", chance.below(3))
}

/// A shop of a few cells, tools, crews and jobs; the same number gives the same shop.
pub fn shop(number: u64, objective: Objective) -> Problem {
    let mut chance = Chance(number);
    let horizon = 1500 + chance.below(1500) as i64;
    let cells = (0..1 + chance.below(3)).map(|i| cell(&mut chance, i, horizon)).collect::<Vec<_>>();
    let tools = (0..chance.below(4)).map(|i| tool(&mut chance, i)).collect::<Vec<_>>();
    let crews = (0..chance.below(3)).map(|i| crew(&mut chance, i, horizon)).collect::<Vec<_>>();
    let counts = (cells.len() as u64, tools.len() as u64, crews.len() as u64);
    let jobs = (0..1 + chance.below(6)).map(|i| job(&mut chance, i, counts)).collect::<Vec<_>>();
    let mut parts = Parts {
        name: format!("shop {number}"),
        objective,
        horizon: Minute::new(horizon),
        cells,
        tools,
        crews,
        jobs,
        pinned: Vec::new(),
        committed_purchases: Vec::new(),
    };
    if chance.yes(2) {
        pin(&mut chance, &mut parts);
    }
    Problem::new(parts).expect("the generator makes problems that fit together")
}

fn cell(chance: &mut Chance, i: u64, horizon: i64) -> Cell {
    let pairs = vec![("k0".to_owned(), "k1".to_owned(), Minutes::new(chance.below(20) as i64))];
    Cell {
        id: format!("c{i}"),
        windows: if chance.yes(4) {
            vec![Window { start: Minute::ZERO, end: Minute::new(horizon + 100) }]
        } else {
            windows(chance, horizon)
        },
        run_rate: RatePerMinute::per_minute(chance.below(5) as f64 * 0.25),
        setup_rate: RatePerMinute::per_minute(chance.below(5) as f64 * 0.25),
        initial_setup: chance.yes(2).then(|| "k0".to_owned()),
        changeover: (!chance.yes(4)).then(|| Changeover {
            default: Minutes::new(5 + chance.below(40) as i64),
            same: Minutes::new(if chance.yes(3) { 3 } else { 0 }),
            pairs: pairs.into(),
        }),
    }
}

fn tool(chance: &mut Chance, i: u64) -> Tool {
    let at = Minute::new(chance.below(200) as i64);
    Tool {
        id: format!("t{i}"),
        count: 1 + u32::from(chance.yes(3)),
        availability: if chance.yes(3) {
            Availability::Offer { price: Money::new(chance.below(50) as f64), lead: at }
        } else {
            Availability::From(at)
        },
    }
}

fn crew(chance: &mut Chance, i: u64, horizon: i64) -> Crew {
    let capacity = windows(chance, horizon)
        .into_iter()
        .map(|window| HeadCount { window, heads: 1 + chance.below(2) as u32 })
        .collect();
    Crew { id: format!("w{i}"), capacity }
}

fn job(chance: &mut Chance, i: u64, counts: (u64, u64, u64)) -> Job {
    Job {
        id: format!("j{i}"),
        release: Minute::new(chance.below(300) as i64),
        due: Minute::new(chance.below(900) as i64 - 100),
        late_cost_per_day: Money::new(chance.below(2000) as f64),
        routes: (0..1 + chance.below(2))
            .map(|r| Route {
                id: format!("r{r}"),
                cost: Money::new(chance.below(20) as f64),
                operations: (0..1 + chance.below(3)).map(|o| operation(chance, o, counts)).collect(),
            })
            .collect(),
    }
}

fn operation(chance: &mut Chance, i: u64, counts: (u64, u64, u64)) -> Operation {
    Operation {
        id: format!("o{i}"),
        lag_after: Minutes::new(if chance.yes(3) { chance.below(40) as i64 } else { 0 }),
        options: (0..1 + chance.below(2)).map(|_| option(chance, counts)).collect(),
    }
}

fn option(chance: &mut Chance, (cells, tools, crews): (u64, u64, u64)) -> Work {
    let cost = Money::new(chance.below(10) as f64);
    if chance.yes(10) {
        return Work { place: Place::Outside, run: Minutes::new(chance.below(100) as i64), cost };
    }
    let crew = |chance: &mut Chance| {
        (crews > 0 && chance.yes(3)).then(|| CrewIdx::new(chance.below(crews.max(1)) as usize))
    };
    let held =
        if tools > 0 && chance.yes(2) { vec![ToolIdx::new(chance.below(tools) as usize)] } else { vec![] };
    Work {
        place: Place::Cell(CellWork {
            cell: CellIdx::new(chance.below(cells) as usize),
            setup_key: key(chance),
            tools: held,
            setup_crew: crew(chance),
            run_crew: crew(chance),
        }),
        run: Minutes::new(1 + chance.below(80) as i64),
        cost,
    }
}

/// Freezes the first operation of the first job, perhaps in the middle of the plan.
fn pin(chance: &mut Chance, parts: &mut Parts) {
    let option = OptionIdx { job: JobIdx::new(0), route: 0, operation: 0, option: 0 };
    let start = parts.jobs[0].release.get() + chance.below(400) as i64;
    let run_start = start + chance.below(30) as i64;
    let end = run_start + 1 + chance.below(60) as i64;
    parts.pinned.push(Pinned {
        option,
        setup_start: Minute::new(start),
        run_start: Minute::new(run_start),
        end: Minute::new(end),
    });
}
