//! The sequences of cells that work without a gap, and their loads.

use crate::compiled::Time;
use crate::dice::Dice;
use crate::plan::Plan;
use crate::search::machines::{Choice, Machines};
use crate::search::sketch::Sketch;
use std::sync::Arc;

/// What each cell does, in order, as numbers of [`Machines::choices`].
#[derive(Clone, Debug)]
pub(super) struct Loads {
    machines: Arc<Machines>,
    /// The job of each choice.
    jobs: Arc<[u32]>,
    sequences: Vec<Vec<u32>>,
    /// Runs and changeovers of each cell, in minutes.
    loads: Vec<Time>,
    sum: u64,
    /// A makespan to reach, and by how much all loads together exceed it.
    aim: Time,
    over: u64,
}

/// A place in the sequence of a cell.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Place {
    cell: usize,
    at: usize,
}

/// A change that was made, with the loads as they were.
#[derive(Clone, Copy, Debug)]
pub(super) struct Change {
    what: What,
    from: Place,
    to: Place,
    loads: [Time; 2],
    sum: u64,
    over: u64,
}

#[derive(Clone, Copy, Debug)]
enum What {
    /// A choice was taken out of `from`, and another one of the same job put in at `to`.
    Elsewhere { was: u32 },
    /// The jobs of `from` and `to` changed over.
    Exchange { was: [u32; 2] },
}

impl Loads {
    /// Those of a plan, if the makespan is the largest load: every job of one operation, there from the
    /// beginning, in one way on a cell at most.
    pub(super) fn of(machines: Arc<Machines>, plan: &Plan<'_>) -> Option<Self> {
        let alike = machines.operations.iter().all(|job| {
            let mut cells: Vec<u32> =
                machines.choices[span(&job.choices)].iter().map(|choice| choice.cell).collect();
            cells.sort_unstable();
            job.is_first && job.is_last && job.before == 0 && cells.is_sorted_by(|a, b| a < b)
        });
        if !alike {
            return None;
        }
        let mut jobs = vec![0; machines.choices.len()];
        for (job, operation) in machines.operations.iter().enumerate() {
            jobs[span(&operation.choices)].fill(job as u32);
        }
        let cells = machines.change.len();
        let mut new = Self {
            jobs: jobs.into(),
            sequences: vec![Vec::new(); cells],
            loads: vec![0; cells],
            sum: 0,
            aim: 0,
            over: 0,
            machines,
        };
        for job in plan.in_order() {
            let option = plan.slot(job).option;
            let mut choices = new.machines.operations[job as usize].choices.clone();
            let choice = choices.find(|&at| new.machines.choices[at as usize].option == option)?;
            let cell = new.choice(choice).cell as usize;
            new.sequences[cell].push(choice);
        }
        for cell in 0..cells {
            let load = (0..new.sequences[cell].len()).map(|at| new.minutes_at(Place { cell, at })).sum();
            new.set_load(cell, load);
        }
        new.aim_below(new.makespan());
        Some(new)
    }

    /// The plan as options and a list.
    pub(super) fn sketch(&self, plan: &Plan<'_>) -> Sketch {
        let mut again = Plan::empty(plan.compiled());
        for &choice in self.sequences.iter().flatten() {
            again.append(self.jobs[choice as usize], self.choice(choice).option);
        }
        again.arrange();
        Sketch::of(&again)
    }

    /// The largest load.
    pub(super) fn makespan(&self) -> Time {
        self.loads.iter().copied().max().unwrap_or(0)
    }

    /// Aims at less than a makespan.
    pub(super) fn aim_below(&mut self, makespan: Time) {
        self.aim = makespan.saturating_sub(1);
        self.over = self.loads.iter().map(|&load| self.beyond(load)).sum();
    }

    /// By how much all loads together exceed what is aimed at.
    pub(super) fn over(&self) -> u64 {
        self.over
    }

    /// All loads together.
    pub(super) fn sum(&self) -> u64 {
        self.sum
    }

    pub(super) fn cells(&self) -> usize {
        self.loads.len()
    }

    pub(super) fn jobs(&self) -> usize {
        self.machines.operations.len()
    }

    /// Takes a job out of a sequence and puts it in elsewhere: on another cell where it takes least, on its
    /// own anywhere.
    pub(super) fn put_elsewhere(&mut self, dice: &mut Dice) -> Option<Change> {
        let from = self.any_place(dice)?;
        let was = self.sequences[from.cell][from.at];
        let ways = self.machines.operations[self.jobs[was as usize] as usize].choices.clone();
        let new = ways.start + dice.below(ways.end - ways.start);
        let cell = self.choice(new).cell as usize;
        let before = self.before(from, Place { cell, at: 0 });
        self.take_out(from);
        let to = if cell == from.cell {
            Place { cell, at: dice.below(self.sequences[cell].len() as u32 + 1) as usize }
        } else {
            self.best_place(cell, new)
        };
        self.put_in(to, new);
        Some(Change { what: What::Elsewhere { was }, to, ..before })
    }

    /// Two jobs of different cells change over.
    pub(super) fn exchange(&mut self, dice: &mut Dice) -> Option<Change> {
        let (from, to) = (self.any_place(dice)?, self.any_place(dice)?);
        let was = [from, to].map(|place| self.sequences[place.cell][place.at]);
        let there = self.way_of(was[0], to.cell).filter(|_| from.cell != to.cell)?;
        let here = self.way_of(was[1], from.cell)?;
        let before = self.before(from, to);
        self.replace(from, here);
        self.replace(to, there);
        Some(Change { what: What::Exchange { was }, ..before })
    }

    /// Takes the last change back.
    pub(super) fn take_back(&mut self, change: Change) {
        let Change { from, to, .. } = change;
        match change.what {
            What::Elsewhere { was } => {
                self.sequences[to.cell].remove(to.at);
                self.sequences[from.cell].insert(from.at, was);
            }
            What::Exchange { was } => {
                self.sequences[from.cell][from.at] = was[0];
                self.sequences[to.cell][to.at] = was[1];
            }
        }
        [self.loads[from.cell], self.loads[to.cell]] = change.loads;
        (self.sum, self.over) = (change.sum, change.over);
    }

    /// What a change to two places has to remember.
    fn before(&self, from: Place, to: Place) -> Change {
        let loads = [from, to].map(|place| self.loads[place.cell]);
        let what = What::Elsewhere { was: 0 };
        Change { what, from, to, loads, sum: self.sum, over: self.over }
    }

    /// Each cell as likely as the next; `None` if nothing is done on it.
    fn any_place(&self, dice: &mut Dice) -> Option<Place> {
        let cell = dice.below(self.cells() as u32) as usize;
        let length = self.sequences[cell].len() as u32;
        (length > 0).then(|| Place { cell, at: dice.below(length) as usize })
    }

    /// The way of doing the job of a choice on a cell.
    fn way_of(&self, choice: u32, cell: usize) -> Option<u32> {
        let mut ways = self.machines.operations[self.jobs[choice as usize] as usize].choices.clone();
        ways.find(|&way| self.choice(way).cell as usize == cell)
    }

    fn best_place(&self, cell: usize, choice: u32) -> Place {
        let places = (0..=self.sequences[cell].len()).map(|at| Place { cell, at });
        places.min_by_key(|&place| self.added(place, choice)).expect("there is at least one place")
    }

    fn take_out(&mut self, place: Place) {
        let choice = self.sequences[place.cell].remove(place.at);
        let less = self.added(place, choice);
        self.set_load(place.cell, (i64::from(self.loads[place.cell]) - less) as Time);
    }

    fn put_in(&mut self, place: Place, choice: u32) {
        let more = self.added(place, choice);
        self.sequences[place.cell].insert(place.at, choice);
        self.set_load(place.cell, (i64::from(self.loads[place.cell]) + more) as Time);
    }

    fn replace(&mut self, place: Place, choice: u32) {
        let around = |loads: &Self| {
            let behind = Place { at: place.at + 1, ..place };
            loads.minutes_at(place)
                + if behind.at < loads.sequences[place.cell].len() { loads.minutes_at(behind) } else { 0 }
        };
        let was = around(self);
        self.sequences[place.cell][place.at] = choice;
        self.set_load(place.cell, self.loads[place.cell] - was + around(self));
    }

    /// What a choice adds to the load if it is put in at a place, where what stands there moves on by one.
    #[inline]
    fn added(&self, place: Place, choice: u32) -> i64 {
        let (cell, way) = (place.cell, self.choice(choice));
        let before = self.key_before(place);
        let alone = i64::from(self.change(cell, before, way.key) + way.run);
        self.sequences[cell].get(place.at).map_or(alone, |&next| {
            let next = self.choice(next).key;
            alone + i64::from(self.change(cell, way.key, next)) - i64::from(self.change(cell, before, next))
        })
    }

    /// Changeover and run of what stands at a place.
    #[inline]
    fn minutes_at(&self, place: Place) -> Time {
        let way = self.choice(self.sequences[place.cell][place.at]);
        self.change(place.cell, self.key_before(place), way.key) + way.run
    }

    /// What is mounted before a place.
    #[inline]
    fn key_before(&self, place: Place) -> u32 {
        match place.at {
            0 => self.machines.initial[place.cell],
            at => self.choice(self.sequences[place.cell][at - 1]).key,
        }
    }

    #[inline]
    fn change(&self, cell: usize, from: u32, to: u32) -> Time {
        if self.machines.has_setups { self.machines.change[cell].minutes(from, to) } else { 0 }
    }

    #[inline]
    fn choice(&self, choice: u32) -> &Choice {
        &self.machines.choices[choice as usize]
    }

    /// Whether loads and sums are those of the sequences.
    #[cfg(test)]
    pub(super) fn agree(&self) -> bool {
        let of = |cell: usize| -> Time {
            (0..self.sequences[cell].len()).map(|at| self.minutes_at(Place { cell, at })).sum()
        };
        let loads: Vec<Time> = (0..self.cells()).map(of).collect();
        let sum = loads.iter().map(|&load| u64::from(load)).sum();
        let over = loads.iter().map(|&load| u64::from(load.saturating_sub(self.aim))).sum();
        (&loads, sum, over) == (&self.loads, self.sum, self.over)
    }

    /// Whether the same is done in the same order.
    #[cfg(test)]
    pub(super) fn is_like(&self, other: &Self) -> bool {
        self.sequences == other.sequences
    }

    fn set_load(&mut self, cell: usize, load: Time) {
        let was = std::mem::replace(&mut self.loads[cell], load);
        self.sum = self.sum - u64::from(was) + u64::from(load);
        self.over = self.over - self.beyond(was) + self.beyond(load);
    }

    fn beyond(&self, load: Time) -> u64 {
        u64::from(load.saturating_sub(self.aim))
    }
}

fn span(range: &std::ops::Range<u32>) -> std::ops::Range<usize> {
    range.start as usize..range.end as usize
}
