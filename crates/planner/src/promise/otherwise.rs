//! The plan as it would be without some orders, and with them again but tools that come later.

use super::asked::{LONGEST, unused_id};
use super::place::{Room, end_of};
use super::standing::Standing;
use super::trial::{Brief, Trial, carried};
use super::way::{Way, ways};
use crate::compile::{JobRole, compile_known};
use chrono::Days;
use elbowroom_engine::{Settings, solve};
use elbowroom_problem::{JobIdx, OptionIdx, Placement, Problem, Schedule};
use elbowroom_shop::order::Order;
use elbowroom_units::{Minute, Minutes};
use elbowroom_verify::verify;

/// Later than any question reaches, and inside the longest plan.
const FAR_OFF: Days = Days::new(350);

impl Standing {
    /// The plan without some orders, by position in the book; all other work stays where it is.
    /// `None` if it does not stand without them, which can happen where a changeover becomes longer.
    pub(crate) fn without(&self, gone: &[usize]) -> Option<Self> {
        let orders: Vec<usize> = self.orders.iter().copied().filter(|order| !gone.contains(order)).collect();
        if orders.is_empty() {
            return self.with_one_piece_far_off();
        }
        let reach = self.compiled.problem.horizon;
        let compiled = compile_known(&self.shop, &self.request, &self.known, &orders, 1, reach).ok()?;
        let job = |old: JobIdx| {
            let was = self.compiled.key.job(old);
            let mut jobs = compiled.key.jobs.iter();
            jobs.position(|job| (job.order, job.role) == (was.order, was.role)).map(JobIdx::new)
        };
        let placed = self.schedule.schedule().operations.iter();
        let kept = placed.filter_map(|placed| {
            let option = OptionIdx { job: job(placed.option.job)?, ..placed.option };
            Some(Placement { option, ..*placed })
        });
        let schedule = Schedule { operations: kept.collect(), ..Schedule::default() };
        let schedule = carried(&compiled.problem, &schedule)?;
        Some(Self { orders, compiled, schedule, ..self.clone() })
    }

    /// A plan has work in it, so a shop without any makes one piece when nobody is in its way.
    fn with_one_piece_far_off(&self) -> Option<Self> {
        let mut shop = self.shop.clone();
        let far = self.request.start.checked_add_days(FAR_OFF)?;
        let first = self.shop.orders.get(*self.orders.first()?)?;
        let id = unused_id(&shop, "far off".to_owned());
        shop.orders.push(Order { id, quantity: 1, promised: far, material: Some(far), ..first.clone() });
        let orders = vec![shop.orders.len() - 1];
        let reach = self.compiled.problem.horizon;
        let compiled = compile_known(&shop, &self.request, &self.known, &orders, 1, reach).ok()?;
        let settings = Settings { threads: 1, seed: 1, iterations: Some(1) };
        let schedule = solve(&compiled.problem, &settings, &Brief).ok()?.schedule;
        let schedule = verify(&compiled.problem, Schedule { lower_bound: None, ..schedule }).ok()?;
        Some(Self { shop, orders, compiled, schedule, ..self.clone() })
    }

    /// Positions of the planned orders that have not begun.
    pub(crate) fn untouched(&self) -> Vec<usize> {
        let begun = |order: &usize| {
            let id = &self.shop.orders[*order].id;
            self.shop.underway.iter().any(|underway| underway.order == *id)
        };
        self.orders.iter().copied().filter(|order| !begun(order)).collect()
    }

    /// The job that finishes an order.
    pub(crate) fn job_of(&self, order: usize) -> Option<JobIdx> {
        let mut jobs = self.compiled.key.jobs.iter();
        jobs.position(|job| job.order == order && job.role == JobRole::Rest).map(JobIdx::new)
    }
}

/// Orders taken out of the plan, to be put back one after the other.
pub(crate) struct Rearranged {
    trial: Trial,
    /// The plan without them.
    before: Schedule,
    jobs: Vec<JobIdx>,
}

impl Rearranged {
    /// Takes orders out, by position in the book, in the order in which they are to be put back.
    /// `None` if they cannot be, or nothing else is in the plan.
    pub(crate) fn new(standing: &Standing, orders: &[usize]) -> Option<Self> {
        let rest = standing.without(orders)?;
        let plan = (&rest.orders[..], &standing.compiled.problem);
        let planned = rest.compiled.problem.jobs.len();
        // Tools that come late need room behind them.
        let mut trial = Trial::new(&rest.shop, &rest.request, &rest.known, plan, orders, LONGEST).ok()?;
        trial.planned = planned;
        let jobs: Vec<JobIdx> = orders.iter().map(|order| trial.job_of(*order)).collect::<Option<_>>()?;
        let before = carried(&trial.with(&[], false).problem, rest.schedule.schedule())?.into_schedule();
        Some(Self { trial, before, jobs })
    }

    /// When each is finished if some tools come later than offered: put back in turn at the first
    /// gap on the ways that `wanted` accepts. `None` for one that finds no place.
    pub(crate) fn finishes(
        &self,
        tools: &[String],
        delay: Minutes,
        wanted: &dyn Fn(&Problem, &Way) -> bool,
    ) -> Vec<Option<Minute>> {
        let compiled = self.trial.with_late(tools, delay);
        let late = Trial { compiled, planned: self.trial.planned };
        let (mut schedule, mut back, mut ends) = (self.before.clone(), Vec::new(), Vec::new());
        for &job in &self.jobs {
            let with: Vec<JobIdx> = back.iter().copied().chain([job]).collect();
            let compiled = late.with(&with, false);
            let last = JobIdx::new(compiled.problem.jobs.len() - 1);
            let mut open = ways(&compiled, &Schedule::default(), last);
            open.retain(|way| wanted(&compiled.problem, way));
            let allowed = |at: OptionIdx| open.iter().any(|way| way.allows(at));
            let placed = Room::new(&compiled.problem, &schedule).and_then(|room| room.in_a_gap(&allowed));
            ends.push(placed.as_ref().map(|placed| end_of(&placed.schedule, last)));
            if let Some(placed) = placed {
                schedule = placed.schedule;
                back = with;
            }
        }
        ends
    }
}
