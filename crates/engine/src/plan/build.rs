//! A plan from nothing: pinned work first, then operations appended one by one.

use super::book::{Book, Use};
use super::{Bits, EMPTY, FRESH, LAST, Link, PINNED, Plan, Times};
use crate::compiled::{Compiled, NONE, alone};

impl<'a> Plan<'a> {
    /// A plan that holds the pinned work and nothing else. Every job has its first route.
    pub(crate) fn empty(c: &'a Compiled) -> Self {
        let slots = c.slots();
        let mut plan = Self {
            c,
            list: vec![NONE],
            slots: vec![EMPTY; slots],
            uses: vec![[Use::NONE; 2]; slots],
            links: vec![Link { prev: NONE, next: NONE }; slots * c.most_tools],
            tool_last: vec![NONE; c.tools.len()],
            cell_last: vec![NONE; c.cells.len()],
            books: c.crews.iter().map(Book::new).collect(),
            tool_users: vec![0; c.tools.len()],
            route: c.jobs.iter().map(|job| job.routes.start).collect(),
            cost: c.jobs.iter().map(|job| c.routes[job.routes.start as usize].cost).sum(),
            excess: 0,
            makespan: 0,
            tails: vec![0; slots],
            length: 0,
            pending: Vec::new(),
            dirty: Bits::default(),
            edits: Vec::new(),
            saved_links: Vec::new(),
            times_log: Vec::new(),
            before_change: (0.0, 0, 0),
            scratch: Vec::new(),
        };
        plan.pin();
        plan
    }

    /// Puts the pinned work where it stands.
    fn pin(&mut self) {
        for x in 0..self.c.slots() as u32 {
            let job = &self.c.jobs[self.c.slot_job[x as usize] as usize];
            let route = &self.c.routes[job.routes.start as usize];
            let k = x - job.first_slot;
            if k >= route.ops.end - route.ops.start || self.c.op(job.routes.start, k).pinned.is_none() {
                continue;
            }
            let pin = alone::pin_of(self.c, x);
            let option = self.c.op(job.routes.start, k).options.start;
            self.set_up(x, option);
            self.slots[x as usize].flags &= !FRESH;
            self.slots[x as usize].times =
                Times { start: pin.start, run_start: pin.run_start, end: pin.end, setup: 0 };
            self.cost += self.c.options[option as usize].cost + self.contribution(x);
            self.makespan = self.makespan.max(pin.end);
            self.book_pin(x);
        }
    }

    fn book_pin(&mut self, x: u32) {
        let slot = self.slots[x as usize];
        if slot.cell == NONE {
            return;
        }
        let calendar = self.c.calendar(slot.cell);
        let span = |from, to| {
            let gapless = calendar.work(to) - calendar.work(from) == to - from;
            if from < to { Use { seen: from, from, to, gapless } } else { Use::NONE }
        };
        let Times { start, run_start, end, .. } = slot.times;
        let choice = &self.c.options[slot.option as usize];
        let mut uses = [span(start, run_start), span(run_start, end)];
        for (used, crew) in uses.iter_mut().zip([choice.setup_crew, choice.run_crew]) {
            if crew == NONE {
                *used = Use::NONE;
            }
        }
        self.rebook(x, uses);
    }

    /// Chooses the route of a job none of whose operations has been appended.
    pub(crate) fn take_route(&mut self, job: u32, route: u32) {
        if self.route[job as usize] != route {
            let was = std::mem::replace(&mut self.route[job as usize], route);
            self.cost += self.c.routes[route as usize].cost - self.c.routes[was as usize].cost;
        }
    }

    /// Appends an operation with an option and places it. Its predecessor must be there already.
    /// The caller calls [`Plan::arrange`] when all are there.
    pub(crate) fn append(&mut self, x: u32, option: u32) -> Times {
        self.set_up(x, option);
        self.slots[x as usize].pos = self.list.len() as u32;
        self.list.push(x);
        self.length += 1;
        self.cost += self.c.options[option as usize].cost;
        let cell = self.slots[x as usize].cell;
        if cell != NONE {
            self.join_cell(x, self.cell_last[cell as usize], NONE);
        }
        for (place, &tool) in self.c.tools_of(option).iter().enumerate() {
            self.join_tool(x, place, tool, Link { prev: self.tool_last[tool as usize], next: NONE });
        }
        let (times, uses) = self.place(x);
        self.set_times(x, times);
        self.rebook(x, uses);
        // As everywhere: the end of jobs. Work that is too late for pinned work behind it may end later.
        if self.slots[x as usize].is(LAST) {
            self.makespan = self.makespan.max(times.end);
        }
        times
    }

    /// The objective added up anew, so that rounding never builds up.
    pub(super) fn total(&self) -> f64 {
        let jobs = 0..self.c.jobs.len() as u32;
        let routes: f64 = jobs.clone().map(|job| self.c.routes[self.route[job as usize] as usize].cost).sum();
        let work: f64 = jobs
            .flat_map(|job| self.slots_of(job))
            .filter(|&x| self.slots[x as usize].option != NONE)
            .map(|x| self.contribution(x) + self.c.options[self.slots[x as usize].option as usize].cost)
            .sum();
        let bought = self.tool_users.iter().zip(&self.c.tools).filter(|(users, _)| **users > 0);
        routes + work + bought.map(|(_, tool)| tool.price).sum::<f64>()
    }

    /// Whether a slot's operation stands in the list or is pinned.
    pub(super) fn present(&self, x: u32) -> bool {
        self.slots[x as usize].pos > 0 || self.slots[x as usize].is(PINNED)
    }
}

/// What dispatching asks of a plan that grows.
impl Plan<'_> {
    /// When the part of an operation is there that has not been appended yet.
    pub(crate) fn ready_for(&self, x: u32) -> u32 {
        let job = &self.c.jobs[self.c.slot_job[x as usize] as usize];
        if x == job.first_slot {
            return job.release;
        }
        let lag = self.c.op(self.route[self.c.slot_job[x as usize] as usize], x - 1 - job.first_slot).lag;
        self.slots[x as usize - 1].times.end + lag
    }

    /// When the last operation of a cell ends.
    #[inline]
    pub(crate) fn cell_free(&self, cell: u32) -> u32 {
        match self.cell_last[cell as usize] {
            NONE => 0,
            last => self.slots[last as usize].times.end,
        }
    }

    /// What is mounted behind the last operation of a cell.
    #[inline]
    pub(crate) fn cell_key(&self, cell: u32) -> u32 {
        match self.cell_last[cell as usize] {
            NONE => self.c.cells[cell as usize].initial,
            last => self.slots[last as usize].key,
        }
    }

    /// When the last user of a tool with one piece ends; 0 for other tools.
    #[inline]
    pub(crate) fn tool_free(&self, tool: u32) -> u32 {
        match self.tool_last[tool as usize] {
            last if last != NONE && self.c.tools[tool as usize].count == 1 => {
                self.slots[self.owner(last) as usize].times.end
            }
            _ => 0,
        }
    }
}
