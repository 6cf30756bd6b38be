//! A tool is bought, and jobs take routes or options that use it; or it is not, and none does.

use super::another_option::move_to;
use super::another_route::reroute;
use super::{Move, Scene};
use crate::compiled::Compiled;
use crate::dice::Dice;
use crate::plan::Plan;

pub(super) struct Purchase {
    /// Tools on offer, each with the jobs that could use it.
    offers: Vec<(u32, Vec<u32>)>,
}

impl Purchase {
    pub(super) fn new(c: &Compiled) -> Self {
        let mut users: Vec<Vec<u32>> = vec![Vec::new(); c.tools.len()];
        for (number, job) in c.jobs.iter().enumerate() {
            for route in job.routes.clone() {
                for option in options_of(c, route) {
                    for &tool in c.tools_of(option) {
                        if c.tools[tool as usize].to_buy
                            && users[tool as usize].last() != Some(&(number as u32))
                        {
                            users[tool as usize].push(number as u32);
                        }
                    }
                }
            }
        }
        let offers = (0..).zip(users).filter(|(_, jobs)| !jobs.is_empty()).collect();
        Self { offers }
    }
}

impl Move for Purchase {
    fn name(&self) -> &'static str {
        "purchase"
    }

    fn applies_to(&self, _: &Compiled) -> bool {
        !self.offers.is_empty()
    }

    fn propose(&mut self, plan: &mut Plan<'_>, _: &Scene, dice: &mut Dice) -> bool {
        let (tool, jobs) = &self.offers[dice.below(self.offers.len() as u32) as usize];
        if plan.users(*tool) > 0 { sell(plan, *tool, jobs, dice) } else { buy(plan, *tool, jobs, dice) }
    }
}

fn options_of(c: &Compiled, route: u32) -> impl Iterator<Item = u32> + '_ {
    let ops = &c.routes[route as usize].ops;
    c.ops[ops.start as usize..ops.end as usize].iter().flat_map(|op| op.options.clone())
}

/// All users of a tool do without it; `false` if one cannot.
fn sell(plan: &mut Plan<'_>, tool: u32, jobs: &[u32], dice: &mut Dice) -> bool {
    let c = plan.compiled();
    for &job in jobs {
        let user = plan.slots_of(job).find(|&x| plan.slot(x).pos > 0 && uses(c, plan.slot(x).option, tool));
        let Some(x) = user else { continue };
        let op = c.op(plan.route(job), x - c.jobs[job as usize].first_slot);
        if let Some(option) = op.options.clone().find(|&o| !uses(c, o, tool)) {
            move_to(plan, x, option, dice);
            continue;
        }
        let mut routes = c.jobs[job as usize].routes.clone();
        let Some(route) = routes.find(|&r| options_of(c, r).all(|o| !uses(c, o, tool))) else { return false };
        reroute(plan, job, route, dice);
    }
    true
}

/// Some of the jobs that can use a tool do so; `false` if none does.
fn buy(plan: &mut Plan<'_>, tool: u32, jobs: &[u32], dice: &mut Dice) -> bool {
    let c = plan.compiled();
    let share = [0.3, 0.7, 1.0][dice.below(3) as usize];
    let mut any = false;
    for &job in jobs {
        let mut routes = c.jobs[job as usize].routes.clone();
        let Some(route) = routes.find(|&r| options_of(c, r).any(|o| uses(c, o, tool))) else { continue };
        if !dice.chance(share) {
            continue;
        }
        if route != plan.route(job) {
            reroute(plan, job, route, dice);
        }
        for x in plan.slots_of(job) {
            let op = c.op(route, x - c.jobs[job as usize].first_slot);
            let with = op.options.clone().find(|&o| uses(c, o, tool));
            if let (true, Some(option)) = (plan.slot(x).pos > 0 && !uses(c, plan.slot(x).option, tool), with)
            {
                move_to(plan, x, option, dice);
            }
        }
        any = true;
    }
    any
}

fn uses(c: &Compiled, option: u32, tool: u32) -> bool {
    c.tools_of(option).contains(&tool)
}
