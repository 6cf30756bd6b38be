//! One annealing.

use super::choice::Choice;
use super::moves::{Move, Scene, moves_for};
use super::sketch::Sketch;
use crate::compiled::Compiled;
use crate::dice::Dice;
use crate::plan::Plan;
use crate::start::dispatched;
use elbowroom_problem::Objective;

/// For sums of money: a partial change that exceeds what would be kept by so many temperatures is given up.
const PATIENCE: f64 = 4.0;
/// Last temperature by first.
const COOLING: f64 = 0.003;
/// First temperature of an annealing with ample time, by the median worsening of a random change.
const HOTTEST: f64 = 0.4;
/// The same for the makespan, which most changes that touch no critical chain leave as it is.
const HOTTEST_MAKESPAN: f64 = 1.0;
/// The least that the first temperature is lowered to where time is short.
const COLDEST: f64 = 0.01;
/// The makespan is whole minutes: below this temperature nothing worse is ever kept.
const LAST_MAKESPAN: f64 = 0.3;
/// Turns for each operation that are ample.
const AMPLE: f64 = 5000.0;
/// Where there is so many times more than is ample, another annealing begins, from another plan: several of
/// good length find more than one that is longer, as how each ends is decided early and much by chance.
const AMPLE_TIMES: f64 = 2.0;
/// No more annealings than this one after the other.
const MOST_CYCLES: f64 = 8.0;
/// The last of several begins from the best plan, at this share of the first temperature.
const LAST_CYCLE: f64 = 0.3;
/// Random changes that the first temperature follows from.
const SAMPLES: usize = 400;
/// Share of the annealing that they may take.
const SAMPLED_SHARE: f64 = 0.05;
/// Turns between two looks at the clock, at most, and times operations: in large shops a turn takes long.
const STRETCH: usize = 32;
const STRETCHED: usize = 20_000;

/// An annealing under way.
pub(crate) struct Annealing<'a> {
    pub(crate) plan: Plan<'a>,
    pub(crate) best: Sketch,
    /// Whether the plan is better than the best and not noted down yet.
    unsaved: bool,
    moves: Vec<Box<dyn Move>>,
    choice: Choice,
    scene: Scene,
    dice: Dice,
    /// Median rise of the objective over random changes, once it has been looked for.
    worsening: Option<f64>,
    /// Turns expected in all.
    expected: f64,
    first_temperature: f64,
    /// Annealings one after the other, and the number of the one under way.
    cycles: u32,
    cycle: u32,
    kept_since_sort: usize,
    is_makespan: bool,
    pub(crate) turns: u64,
}

impl<'a> Annealing<'a> {
    pub(crate) fn new(plan: Plan<'a>, dice: Dice) -> Self {
        let c: &Compiled = plan.compiled();
        let moves = moves_for(c);
        let choice = Choice::new(vec![1.0; moves.len()]);
        let mut new = Self {
            best: Sketch::of(&plan),
            unsaved: false,
            scene: Scene::new(c),
            plan,
            moves,
            choice,
            dice,
            worsening: None,
            expected: 1000.0,
            first_temperature: 0.0,
            cycles: 1,
            cycle: 0,
            kept_since_sort: 0,
            is_makespan: c.objective == Objective::Makespan,
            turns: 0,
        };
        new.refresh();
        new
    }

    /// Chooses the first temperature for about so many turns in all: the fewer, the colder, as a
    /// hot beginning pays only where there is time to cool down from it.
    pub(crate) fn expect(&mut self, turns: f64) {
        self.expected = turns;
        let hottest = if self.is_makespan { HOTTEST_MAKESPAN } else { HOTTEST };
        let share = turns / (AMPLE * self.plan.length().max(1) as f64);
        self.cycles = (share / AMPLE_TIMES).clamp(1.0, MOST_CYCLES) as u32;
        self.first_temperature =
            self.worsening.unwrap_or(0.0) * (hottest * share.powf(0.6)).clamp(COLDEST, hottest);
    }

    /// Hears of a plan that is better than its own best: notes it down, and continues from it unless this is one
    /// of several annealings and not the last, as how they end is to differ.
    pub(crate) fn hear_of(&mut self, sketch: &Sketch) {
        if self.cycle + 1 < self.cycles {
            self.save();
            self.best = sketch.clone();
        } else {
            self.adopt(sketch);
        }
    }

    /// Continues from another plan.
    pub(crate) fn adopt(&mut self, sketch: &Sketch) {
        self.plan = sketch.plan(self.plan.compiled());
        self.unsaved = false;
        if sketch.better_than(&self.best) {
            self.best = sketch.clone();
        }
        self.refresh();
    }

    /// Turns until `stop` says so; it is told how many turns have been done, and returns how much
    /// of the whole annealing is over, or `None` to stop.
    pub(crate) fn run(&mut self, mut progress: impl FnMut(u64) -> Option<f64>) {
        if self.moves.is_empty() {
            return;
        }
        if self.worsening.is_none() {
            self.worsening = Some(self.typical_worsening(&mut progress));
            self.expect(self.expected);
        }
        while let Some(done) = progress(self.turns) {
            let temperature = self.temperature(done.clamp(0.0, 1.0));
            let stretch = (STRETCHED / self.plan.length().max(1)).clamp(1, STRETCH);
            for _ in 0..stretch {
                self.turn(temperature);
            }
            self.turns += stretch as u64;
            if self.kept_since_sort > self.plan.length() / 2 + 20 {
                self.refresh();
            }
        }
        self.save();
    }

    /// Falls geometrically from the first to the last, in each annealing.
    fn temperature(&mut self, done: f64) -> f64 {
        let at = done * f64::from(self.cycles);
        let cycle = (at as u32).min(self.cycles - 1);
        let is_last = self.cycles > 1 && cycle + 1 == self.cycles;
        if cycle != self.cycle {
            self.begin_again(is_last);
        }
        self.cycle = cycle;
        let first = self.first_temperature.max(1e-12) * if is_last { LAST_CYCLE } else { 1.0 };
        let done = at - f64::from(cycle);
        let least = if self.is_makespan { LAST_MAKESPAN } else { 0.0 };
        let last = (first * COOLING).max(least).min(first);
        first * (last / first).powf(done)
    }

    /// Begins another annealing: the last one from the best plan, others from a new one.
    fn begin_again(&mut self, is_last: bool) {
        self.save();
        let new = if is_last {
            Some(self.best.clone())
        } else {
            dispatched(self.plan.compiled(), &mut self.dice).map(|plan| Sketch::of(&plan))
        };
        if let Some(new) = new {
            self.adopt(&new);
        }
    }

    fn turn(&mut self, temperature: f64) {
        let number = self.choice.pick(&mut self.dice);
        if !self.moves[number].propose(&mut self.plan, &self.scene, &mut self.dice) {
            self.plan.take_back();
            self.choice.note(number, None);
            return;
        }
        let before = self.plan.cost_before();
        let allowed = before - temperature * self.dice.unit().max(1e-12).ln();
        // For the makespan what is known of a change is no guess.
        let patience = if self.is_makespan { 0.0 } else { PATIENCE * temperature };
        let complete = self.plan.redo(allowed + patience + 1e-9);
        let after = self.plan.cost();
        if !complete || after > allowed {
            self.plan.take_back();
            self.choice.note(number, None);
            return;
        }
        if after > before {
            self.save_before(before);
        }
        self.plan.keep();
        self.kept_since_sort += 1;
        self.choice.note(number, Some(after - before));
        debug_assert!(self.plan.agrees_with_itself(), "after {}", self.moves[number].name());
        if after < self.best.cost - 1e-9 {
            self.unsaved = true;
        }
    }

    /// The plan is about to become worse: notes it down if it is the best.
    fn save_before(&mut self, before: f64) {
        if self.unsaved && before < self.best.cost - 1e-9 {
            // The sketch needs the old list, so the change is taken back and not repeated.
            self.unsaved = false;
            self.plan.take_back();
            self.note();
        }
    }

    fn save(&mut self) {
        if self.unsaved {
            self.unsaved = false;
            self.note();
        }
    }

    fn note(&mut self) {
        let better = self.plan.excess() == 0 || self.best.excess > 0;
        if better && self.plan.cost() < self.best.cost {
            self.best.take(&self.plan);
        }
    }

    fn refresh(&mut self) {
        self.save();
        self.plan.sort();
        self.scene.look(&self.plan);
        self.kept_since_sort = 0;
        self.unsaved = self.plan.cost() < self.best.cost - 1e-9;
    }

    /// Median rise of the objective over random changes; over fewer of them where they take long.
    fn typical_worsening(&mut self, progress: &mut impl FnMut(u64) -> Option<f64>) -> f64 {
        let mut rises = Vec::new();
        for sample in 0..SAMPLES {
            if progress(self.turns).is_none_or(|done| done > SAMPLED_SHARE) {
                break;
            }
            let number = sample % self.moves.len();
            let chosen = &mut self.moves[number];
            if chosen.propose(&mut self.plan, &self.scene, &mut self.dice) {
                let before = self.plan.cost_before();
                self.plan.redo(f64::INFINITY);
                let rise = self.plan.cost() - before;
                if rise > 1e-9 {
                    rises.push(rise);
                }
            }
            self.plan.take_back();
        }
        rises.sort_by(f64::total_cmp);
        rises.get(rises.len() / 2).copied().unwrap_or(0.0)
    }
}
