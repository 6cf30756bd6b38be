use crate::plan::MoneySum;
use crate::timeline::{At, Timeline};
use elbowroom_problem::{Availability, JobIdx, ToolIdx};
use elbowroom_units::{MINUTES_PER_DAY, Minute, Money};

/// What a whole schedule costs, by cause.
pub(crate) fn whole(line: &Timeline<'_>) -> MoneySum {
    let jobs = (0..line.problem.jobs.len()).map(JobIdx::new);
    let mut sum = jobs.fold(MoneySum::default(), |sum, job| plus(sum, of_job(line, job)));
    sum.purchases = line.schedule.purchases.iter().map(|tool| price(line, *tool)).sum();
    sum.total += sum.purchases;
    sum
}

/// What one job costs, purchases not included.
pub(crate) fn of_job(line: &Timeline<'_>, job: JobIdx) -> MoneySum {
    let mut sum = MoneySum { outside: route_cost(line, job), late: late(line, job), ..MoneySum::default() };
    for &at in line.of_job(job) {
        sum.outside += line.work(at).cost;
        if let Some(work) = line.work(at).on_cell() {
            let cell = line.problem.cell(work.cell);
            sum.run += cell.run_rate * line.run(at);
            sum.setup += cell.setup_rate * line.changeover(at);
        }
    }
    sum.total = sum.run + sum.setup + sum.outside + sum.late;
    sum
}

/// The price of a purchase.
pub(crate) fn price(line: &Timeline<'_>, tool: ToolIdx) -> Money {
    match line.problem.tool(tool).availability {
        Availability::Offer { price, .. } => price,
        Availability::From(_) => Money::ZERO,
    }
}

/// Prices of the purchases that only this job uses.
pub(crate) fn own_purchases(line: &Timeline<'_>, job: JobIdx) -> Money {
    let own = |tool: &&ToolIdx| {
        let users = line.on_tool(**tool);
        !users.is_empty() && users.iter().all(|at| line.placed(*at).option.job == job)
    };
    line.schedule.purchases.iter().filter(own).map(|tool| price(line, *tool)).sum()
}

/// When the last step of a job ends; minute 0 for a job that stands nowhere.
pub(crate) fn finish(line: &Timeline<'_>, job: JobIdx) -> Minute {
    line.of_job(job).last().map_or(Minute::ZERO, |at| line.placed(*at).end)
}

fn late(line: &Timeline<'_>, job: JobIdx) -> Money {
    let asked = line.problem.job(job);
    let minutes = asked.due.until(finish(line, job)).count();
    asked.late_cost_per_day * (minutes as f64 / MINUTES_PER_DAY as f64)
}

fn route_cost(line: &Timeline<'_>, job: JobIdx) -> Money {
    let first: Option<&At> = line.of_job(job).first();
    first.map_or(Money::ZERO, |at| {
        let option = line.placed(*at).option;
        line.problem.job(job).routes[option.route].cost
    })
}

/// Two sums added cause by cause.
pub(crate) fn plus(a: MoneySum, b: MoneySum) -> MoneySum {
    MoneySum {
        run: a.run + b.run,
        setup: a.setup + b.setup,
        outside: a.outside + b.outside,
        purchases: a.purchases + b.purchases,
        late: a.late + b.late,
        total: a.total + b.total,
    }
}
