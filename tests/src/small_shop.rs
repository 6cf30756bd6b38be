//! Small random scheduling problems that touch every corner of the contract: pinned work, lags,
//! tools in several pieces, crews, remounting, offers, outside steps, windows and breaks.

use crate::chance::Chance;
use elbowroom_problem::{
    Availability, Cell, CellIdx, CellWork, Changeover, Crew, CrewIdx, HeadCount, Job, JobIdx, Objective,
    Operation, OptionIdx, Parts, Pinned, Place, Problem, Route, Tool, ToolIdx, Window, Work,
};
use elbowroom_units::{Minute, Minutes, Money, RatePerMinute};

const KEYS: [&str; 4] = ["k-0", "k-1", "k-2", "k-3"];

/// The problem of a seed: 1 to 3 cells, 2 to 6 jobs, a horizon of 700 to 2,000 minutes. It need
/// not have a valid schedule.
#[must_use]
pub fn small_shop(seed: u64) -> Problem {
    let mut shop = Shop { chance: Chance::new(seed), horizon: 0 };
    shop.horizon = shop.chance.from_to(700, 2000);
    let cells = shop.list("c", 1, 3, Shop::cell);
    let tools = shop.list("t", 0, 4, Shop::tool);
    let crews = shop.list("w", 0, 2, Shop::crew);
    let counts = [cells.len(), tools.len(), crews.len()];
    let objective =
        shop.chance.one_of(&[Objective::Cost, Objective::Cost, Objective::Makespan, Objective::Tardiness]);
    let mut jobs = shop.list("J", 2, 6, |shop, id| shop.job(id, counts));
    let pinned = shop.pins(&mut jobs);
    let offered = |tool: &Tool| matches!(tool.availability, Availability::Offer { .. });
    let offers = (0..tools.len()).filter(|&i| offered(&tools[i])).map(ToolIdx::new);
    let committed_purchases = offers.filter(|_| shop.chance.yes(0.3)).collect();
    let horizon = Minute::new(shop.horizon);
    let name = format!("small-{seed}");
    Problem::new(Parts { name, objective, horizon, cells, tools, crews, jobs, pinned, committed_purchases })
        .expect("the generator makes parts that fit together")
}

struct Shop {
    chance: Chance,
    horizon: i64,
}

impl Shop {
    fn list<T>(
        &mut self,
        prefix: &str,
        least: i64,
        most: i64,
        mut one: impl FnMut(&mut Self, String) -> T,
    ) -> Vec<T> {
        let count = self.chance.from_to(least, most);
        (0..count).map(|i| one(self, format!("{prefix}{i}"))).collect()
    }

    /// Intervals up to beyond the horizon.
    fn intervals(&mut self, length: (i64, i64), gap: (i64, i64)) -> Vec<Window> {
        let mut windows = Vec::new();
        let mut start = self.chance.from_to(0, 30);
        while start < self.horizon + 100 {
            let end = start + self.chance.from_to(length.0, length.1);
            windows.push(Window { start: Minute::new(start), end: Minute::new(end) });
            start = end + self.chance.from_to(gap.0, gap.1);
        }
        windows
    }

    fn cell(&mut self, id: String) -> Cell {
        let windows = self.intervals((40, 300), (1, 60));
        let rate = |chance: &mut Chance| RatePerMinute::per_minute(chance.from_to(0, 40) as f64 / 20.0);
        let (run_rate, setup_rate) = (rate(&mut self.chance), rate(&mut self.chance));
        let key = self.chance.one_of(&KEYS);
        let initial_setup = self.chance.yes(0.6).then(|| key.to_owned());
        let changeover = self.chance.yes(0.85).then(|| self.changeover());
        Cell { id, windows, run_rate, setup_rate, initial_setup, changeover }
    }

    fn changeover(&mut self) -> Changeover {
        let chance = &mut self.chance;
        let default = chance.one_of(&[0, 7, 20, 35]);
        let same = chance.one_of(&[0, 0, 0, 4]);
        let mut pairs = Vec::new();
        for _ in 0..chance.from_to(0, 6) {
            let (from, to) = (chance.one_of(&KEYS).to_owned(), chance.one_of(&KEYS).to_owned());
            pairs.push((from, to, Minutes::new(chance.one_of(&[0, 3, 12, 50]))));
        }
        Changeover { default: Minutes::new(default), same: Minutes::new(same), pairs: pairs.into() }
    }

    fn tool(&mut self, id: String) -> Tool {
        let chance = &mut self.chance;
        let count = chance.one_of(&[1, 1, 1, 2, 2, 3]);
        let from = chance.one_of(&[0, 0, 0, 40, 200]);
        let availability = if chance.yes(0.25) {
            let price = Money::new(chance.from_to(0, 5000) as f64 / 10.0);
            Availability::Offer { price, lead: Minute::new(from) }
        } else {
            Availability::From(Minute::new(from))
        };
        Tool { id, count, availability }
    }

    fn crew(&mut self, id: String) -> Crew {
        let windows = self.intervals((60, 500), (0, 30));
        let capacity = windows
            .into_iter()
            .map(|window| HeadCount { window, heads: self.chance.one_of(&[0, 1, 1, 1, 2]) })
            .collect();
        Crew { id, capacity }
    }

    fn job(&mut self, id: String, counts: [usize; 3]) -> Job {
        let routes = self.list("r", 1, 2, |shop, id| {
            let operations = shop.list("o", 1, 3, |shop, id| shop.operation(id, counts));
            Route { id, cost: Money::new(shop.chance.from_to(0, 30) as f64), operations }
        });
        Job {
            id,
            release: Minute::new(self.chance.one_of(&[0, 0, 25, 150])),
            due: Minute::new(self.chance.from_to(-50, self.horizon)),
            late_cost_per_day: Money::new(self.chance.from_to(0, 200) as f64),
            routes,
        }
    }

    fn operation(&mut self, id: String, counts: [usize; 3]) -> Operation {
        let options = (0..self.chance.from_to(1, 2)).map(|_| self.option(counts)).collect();
        let lag_after = Minutes::new(self.chance.one_of(&[0, 0, 0, 5, 45]));
        Operation { id, lag_after, options }
    }

    fn option(&mut self, [cells, tools, crews]: [usize; 3]) -> Work {
        let chance = &mut self.chance;
        let cost = Money::new(chance.one_of(&[0.0, 0.0, 2.5]));
        if chance.yes(0.12) {
            let run = Minutes::new(chance.one_of(&[0, 30, 90]));
            return Work { place: Place::Outside, run, cost };
        }
        let wanted = chance.one_of(&[0, 1, 1, 2]);
        let tools = chance.order(tools).into_iter().take(wanted).map(ToolIdx::new).collect();
        let crew =
            |chance: &mut Chance| (crews > 0 && chance.yes(0.4)).then(|| CrewIdx::new(chance.below(crews)));
        let place = Place::Cell(CellWork {
            cell: CellIdx::new(chance.below(cells)),
            setup_key: chance.one_of(&KEYS).to_owned(),
            tools,
            setup_crew: crew(chance),
            run_crew: crew(chance),
        });
        Work { place, run: Minutes::new(chance.one_of(&[1, 10, 45, 80, 130])), cost }
    }

    /// Work under way at the beginning of up to two jobs; it keeps the windows, tools and crews
    /// or does not, for it is exempt from them.
    fn pins(&mut self, jobs: &mut [Job]) -> Vec<Pinned> {
        let mut pinned: Vec<(Pinned, Option<CellIdx>)> = Vec::new();
        for j in self.chance.order(jobs.len()).into_iter().take(2) {
            if self.chance.yes(0.5) {
                continue;
            }
            let route = self.chance.below(jobs[j].routes.len());
            let operations = &jobs[j].routes[route].operations;
            let operation = if self.chance.yes(0.15) { operations.len() - 1 } else { 0 };
            let option = self.chance.below(operations[operation].options.len());
            let cell = operations[operation].options[option].on_cell().map(|work| work.cell);
            let setup_start = self.chance.one_of(&[0, 0, 20, 90, 260]);
            let run_start = setup_start + self.chance.one_of(&[0, 0, 15]);
            let end = run_start + self.chance.one_of(&[0, 12, 12, 70, 150]);
            let option = OptionIdx { job: JobIdx::new(j), route, operation, option };
            let [setup_start, run_start, end] = [setup_start, run_start, end].map(Minute::new);
            let pin = Pinned { option, setup_start, run_start, end };
            let overlaps = |(other, place): &(Pinned, Option<CellIdx>)| {
                *place == cell && other.setup_start < end && setup_start < other.end
            };
            if cell.is_none() || !pinned.iter().any(overlaps) {
                jobs[j].release = jobs[j].release.min(run_start);
                pinned.push((pin, cell));
            }
        }
        pinned.into_iter().map(|(pin, _)| pin).collect()
    }
}
