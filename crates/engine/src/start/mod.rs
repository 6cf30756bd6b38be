//! First plans: dispatching with many settings, and what the integer program advises.
//!
//! The integer program ([`crate::model`]) chooses routes, options and purchases for all jobs at
//! once and about when each step starts; its advice is built as it stands, and its routes are
//! dispatched. Where dispatching alone gives a better plan, the search begins there.
//!
//! A setting says how far ahead urgency looks, how much a changeover counts, how routes are chosen
//! and how much chance there is. Settings are drawn at random, later ones near the best so far.

mod advised;
mod dispatch;
mod routes;

use crate::Settings;
use crate::compiled::Compiled;
use crate::dice::Dice;
use crate::plan::Plan;
use crate::watch::{Progress, Watch, over};
use elbowroom_problem::Problem;

/// Share of the time for dispatching.
const DISPATCH_SHARE: f64 = 0.08;
/// Most plans that a thread dispatches.
const MOST_STARTS: u32 = 200;
/// Plans that a thread dispatches in a solve with a budget of turns.
const BUDGETED_STARTS: u32 = 20;

/// One plan for each thread, the first thread's with the integer program's advice. Fewer where
/// the solve is stopped before a thread has any.
pub(crate) fn plans<'a>(
    problem: &Problem,
    c: &'a Compiled,
    settings: &Settings,
    watch: &dyn Watch,
) -> Vec<Plan<'a>> {
    let left = watch.limit().saturating_sub(watch.elapsed());
    let until = watch.elapsed() + left.mul_f64(DISPATCH_SHARE);
    let of_thread = |thread: usize| {
        let mut dice = Dice::new(settings.seed, thread as u64);
        let mut starter = Starter::new(c);
        for turn in 0..MOST_STARTS {
            starter.turn(&mut dice, watch);
            if thread == 0 {
                starter.tell(watch);
            }
            let enough = match settings.iterations {
                Some(_) => turn >= BUDGETED_STARTS,
                None => watch.elapsed() >= until,
            };
            if enough || over(watch) {
                break;
            }
        }
        if thread == 0 {
            advised::take_advice(&mut starter, problem, settings, watch, &mut dice);
            starter.tell(watch);
        }
        starter.into_best()
    };
    std::thread::scope(|scope| {
        let threads: Vec<_> =
            (0..settings.threads.max(1)).map(|thread| scope.spawn(move || of_thread(thread))).collect();
        threads.into_iter().filter_map(|thread| thread.join().ok().flatten()).collect()
    })
}

pub(crate) use routes::choose_routes;

/// A plan dispatched with a setting drawn at random. It does not look at the clock: whoever has time for several
/// searches has a small shop.
pub(crate) fn dispatched<'a>(c: &'a Compiled, dice: &mut Dice) -> Option<Plan<'a>> {
    let setting = Setting::random(dice);
    let routes = choose_routes(c, &setting, dice);
    dispatch::dispatch(c, &routes, &setting, dice, &|| false)
}

/// How to dispatch.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Setting {
    /// Slack at which urgency has fallen to a third, in mean lengths of a job.
    pub(crate) look: f64,
    /// What a minute of changeover counts against a minute of run.
    pub(crate) setup: f64,
    /// What a minute of lateness counts against money when routes are chosen.
    pub(crate) haste: f64,
    /// Share of chance in each decision.
    pub(crate) noise: f64,
}

impl Setting {
    /// A setting that is seldom bad.
    pub(crate) const USUAL: Self = Self { look: 0.5, setup: 2.0, haste: 1.0, noise: 0.0 };

    pub(crate) fn random(dice: &mut Dice) -> Self {
        Self {
            look: dice.log_uniform(0.03, 4.0),
            setup: dice.log_uniform(0.5, 8.0),
            haste: dice.log_uniform(0.25, 4.0),
            noise: 0.3 * dice.unit() * dice.unit(),
        }
    }

    /// A setting near this one.
    pub(crate) fn varied(&self, dice: &mut Dice) -> Self {
        Self {
            look: self.look * dice.log_uniform(0.7, 1.43),
            setup: self.setup * dice.log_uniform(0.7, 1.43),
            haste: self.haste * dice.log_uniform(0.7, 1.43),
            noise: 0.3 * dice.unit() * dice.unit(),
        }
    }
}

/// Dispatches again and again with new settings; keeps the best.
pub(crate) struct Starter<'a> {
    c: &'a Compiled,
    best: Option<(Setting, Plan<'a>)>,
    turns: u32,
    /// Cost of the plan that was told last.
    told: f64,
}

impl<'a> Starter<'a> {
    pub(crate) fn new(c: &'a Compiled) -> Self {
        Self { c, best: None, turns: 0, told: f64::INFINITY }
    }

    /// One more plan. The first one is worth waiting for, as long as nobody asks to stop.
    pub(crate) fn turn(&mut self, dice: &mut Dice, watch: &dyn Watch) {
        let setting = match &self.best {
            None => Setting::USUAL,
            Some((best, _)) if self.turns > 12 && dice.chance(0.7) => best.varied(dice),
            Some(_) => Setting::random(dice),
        };
        self.turns += 1;
        let routes = choose_routes(self.c, &setting, dice);
        let is_first = self.best.is_none();
        let stop = || if is_first { watch.cancelled() } else { over(watch) };
        let plan = dispatch::dispatch(self.c, &routes, &setting, dice, &stop);
        self.offer_some(setting, plan);
    }

    /// Tells whoever waits of a better valid plan.
    fn tell(&mut self, watch: &dyn Watch) {
        let Some((_, plan)) = self.best.as_ref().filter(|(_, plan)| plan.excess() == 0) else { return };
        if plan.cost() < self.told {
            self.told = plan.cost();
            watch.progress(&Progress {
                best: plan.cost(),
                bound: None,
                elapsed: watch.elapsed(),
                late_jobs: plan.late_jobs(),
                // The search has not begun.
                evaluations: 0,
            });
        }
    }

    fn offer_some(&mut self, setting: Setting, plan: Option<Plan<'a>>) {
        if let Some(plan) = plan {
            self.offer(setting, plan);
        }
    }

    /// Considers a plan made in another way.
    fn offer(&mut self, setting: Setting, plan: Plan<'a>) {
        if self.best.as_ref().is_none_or(|(_, best)| plan.cost() < best.cost()) {
            self.best = Some((setting, plan));
        }
    }

    pub(crate) fn into_best(self) -> Option<Plan<'a>> {
        self.best.map(|(_, plan)| plan)
    }
}
