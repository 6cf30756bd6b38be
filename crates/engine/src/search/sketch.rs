//! A plan, noted down briefly.

use crate::compiled::Compiled;
use crate::plan::Plan;

/// What a plan follows from: routes, options and the order of the list.
#[derive(Clone, Debug)]
pub(crate) struct Sketch {
    pub(crate) cost: f64,
    pub(crate) excess: u64,
    pub(crate) late_jobs: usize,
    routes: Vec<u32>,
    order: Vec<(u32, u32)>,
}

impl Sketch {
    pub(crate) fn of(plan: &Plan<'_>) -> Self {
        let mut sketch = Self { cost: 0.0, excess: 0, late_jobs: 0, routes: Vec::new(), order: Vec::new() };
        sketch.take(plan);
        sketch
    }

    /// Notes another plan down.
    pub(crate) fn take(&mut self, plan: &Plan<'_>) {
        self.cost = plan.cost();
        self.excess = plan.excess();
        self.late_jobs = plan.late_jobs();
        self.routes.clear();
        self.routes.extend((0..plan.compiled().jobs.len() as u32).map(|job| plan.route(job)));
        self.order.clear();
        self.order.extend(plan.in_order().map(|x| (x, plan.slot(x).option)));
    }

    /// Whether this is better than another: valid first, then cheap.
    pub(crate) fn better_than(&self, other: &Self) -> bool {
        (self.excess > 0, self.cost) < (other.excess > 0, other.cost)
    }

    /// The plan again.
    pub(crate) fn plan<'a>(&self, c: &'a Compiled) -> Plan<'a> {
        let mut plan = Plan::empty(c);
        for (job, &route) in self.routes.iter().enumerate() {
            plan.take_route(job as u32, route);
        }
        for &(x, option) in &self.order {
            plan.append(x, option);
        }
        plan.arrange();
        plan
    }
}
