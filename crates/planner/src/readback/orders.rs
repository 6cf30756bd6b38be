use super::{Source, money};
use crate::compile::{StepKey, StepKind};
use crate::plan::{OrderPlan, Step};
use crate::timeline::At;
use elbowroom_problem::JobIdx;
use elbowroom_units::Money;

/// Every planned order, in the order book's order; why it is late is filled in later.
pub(crate) fn orders(source: &Source<'_>) -> Vec<OrderPlan> {
    let mut jobs: Vec<Vec<JobIdx>> = vec![Vec::new(); source.shop.orders.len()];
    for (position, job) in source.key.jobs.iter().enumerate() {
        jobs[job.order].push(JobIdx::new(position));
    }
    let planned = jobs.iter().enumerate().filter(|(_, jobs)| !jobs.is_empty());
    planned.map(|(order, jobs)| order_plan(source, order, jobs)).collect()
}

fn order_plan(source: &Source<'_>, order: usize, jobs: &[JobIdx]) -> OrderPlan {
    let line = source.line;
    let asked = &source.shop.orders[order];
    let ats: Vec<At> = jobs.iter().flat_map(|job| line.of_job(*job)).copied().collect();
    let bend = ats.iter().copied().find(|at| step(source, *at).kind == StepKind::Bend);
    let costs = jobs.iter().map(|job| money::of_job(line, *job));
    let cost = costs.fold(crate::plan::MoneySum::default(), money::plus);
    let last = jobs.last().copied().unwrap_or_else(|| JobIdx::new(0));
    OrderPlan {
        id: asked.id.clone(),
        part: asked.part.clone(),
        part_name: source.part_name(&asked.part),
        quantity: asked.quantity,
        customer: asked.customer.clone(),
        promised: asked.promised,
        due: line.problem.job(last).due,
        finish: money::finish(line, last),
        process: bend.and_then(|at| source.key.route(line.placed(at).option).process),
        blank: bend.and_then(|at| source.key.route(line.placed(at).option).blank),
        bend_cell: bend.map(|at| source.key.place(line.placed(at).option).to_owned()),
        steps: ats.iter().map(|at| step_plan(source, *at)).collect(),
        cost: cost.total,
        late_cost: cost.late.max(Money::ZERO),
        late: None,
    }
}

fn step<'a>(source: &Source<'a>, at: At) -> &'a StepKey {
    source.key.step(source.line.placed(at).option)
}

fn step_plan(source: &Source<'_>, at: At) -> Step {
    let placed = source.line.placed(at);
    Step {
        name: source.line.problem.operation(placed.option).id.clone(),
        place: source.key.place(placed.option).to_owned(),
        outside: step(source, at).kind == StepKind::Outside,
        run_start: placed.run_start,
        end: placed.end,
    }
}
