//! The sentences.

use super::alone::Alone;
use super::blocks::{Holder, usable_from};
use super::chain::Wait;
use super::relief::{Freed, Relief};
use super::{Group, Sooner};
use crate::compile::StepKind;
use crate::insertion::Resource;
use crate::plan::{Cause, Late};
use crate::readback::{Source, money};
use crate::words::{listed, moment};
use elbowroom_problem::{Availability, CrewIdx, JobIdx, ToolIdx};
use elbowroom_units::{Minute, Minutes, Money};

/// Not enough days left, rivals or not.
pub(crate) fn days_left(source: &Source<'_>, job: JobIdx, alone: &Alone) -> Late {
    let missing = alone.finish - source.line.problem.job(job).due;
    let text = format!(
        "not enough days left: even alone in an empty shop it would be finished {}, {missing} too late{}",
        moment(source.clock, alone.finish),
        rest(source, job, alone.finish),
    );
    Late { cause: Cause::DaysLeft, waited: missing, step: last_step(source, job), text }
}

/// Its tube comes too late.
pub(crate) fn material(source: &Source<'_>, job: JobIdx, alone: &Alone, waited: Minutes) -> Late {
    let text = format!(
        "its tube is in the house only {}; even alone in an empty shop it would be finished {}{}",
        moment(source.clock, source.line.problem.job(job).release),
        moment(source.clock, alone.finish),
        rest(source, job, alone.finish),
    );
    Late { cause: Cause::Material, waited, step: first_step(source, job), text }
}

/// A tool comes too late.
pub(crate) fn die_arrival(
    source: &Source<'_>,
    job: JobIdx,
    alone: &Alone,
    tool: ToolIdx,
    waited: Minutes,
) -> Late {
    let text = format!(
        "{}; even alone in an empty shop it would be finished {}{}",
        arrival(source, tool),
        moment(source.clock, alone.finish),
        rest(source, job, alone.finish),
    );
    Late { cause: Cause::DieArrival, waited, step: bend_step(source, job), text }
}

fn arrival(source: &Source<'_>, tool: ToolIdx) -> String {
    let found = source.line.problem.tool(tool);
    let when = moment(source.clock, usable_from(source.line.problem, tool));
    let name = tool_name(source, tool);
    match found.availability {
        Availability::From(_) => format!("{name} arrives only {when}"),
        Availability::Offer { .. } => {
            format!("{name} would have to be bought and could be here only {when}")
        }
    }
}

/// Kind and id of a tool; the id alone where it begins with the kind, as those of tools that no list names do.
fn tool_name(source: &Source<'_>, tool: ToolIdx) -> String {
    let (kind, id) = (source.key.tool(tool).kind.to_string(), &source.line.problem.tool(tool).id);
    if id.starts_with(&kind) { id.clone() } else { format!("{kind} {id}") }
}

/// What comes on top of the time that it takes alone.
fn rest(source: &Source<'_>, job: JobIdx, alone: Minute) -> String {
    let more = alone.until(money::finish(source.line, job));
    if more > Minutes::ZERO { format!("; other work adds {more}") } else { String::new() }
}

/// What it waited for most. Nothing of what it waited for would help by itself.
pub(crate) fn waited(source: &Source<'_>, group: &Group<'_>) -> Late {
    let step = step_name(source, group.waits[0]);
    let last = group.waits.iter().map(|wait| wait.to).max().unwrap_or(Minute::ZERO);
    // An operator is waited for until the run; a changeover may have been done meanwhile.
    let until = match group.cause {
        Cause::Operator => source.line.placed(group.waits[0].at).run_start,
        _ => last,
    };
    let text = format!(
        "{step} waited {} for {} until {}; without it the order would have waited for other things",
        group.minutes(),
        awaited(source, group),
        moment(source.clock, until),
    );
    Late { cause: group.cause, waited: group.minutes(), step, text }
}

/// What would have to be free for it, and when it would then be finished.
pub(crate) fn relieved(source: &Source<'_>, job: JobIdx, relief: &Relief) -> Late {
    let first = &relief.freed[0];
    let held: Vec<String> = relief.freed.iter().map(|freed| held_text(source, freed)).collect();
    let with = match relief.freed.as_slice() {
        [one] if one.cause == Cause::DieArrival => "with that here",
        [one] if matches!(one.cause, Cause::Setter | Cause::Operator) => "with one person more",
        [_] => "with that free",
        [_, _] => "with both free",
        _ => "with all of that free",
    };
    let text = format!(
        "{}; {with} for this order it would be finished {}, {}",
        held.join("; "),
        moment(source.clock, relief.finish),
        verdict(source.line.problem.job(job).due, relief.finish),
    );
    let waited = relief.finish.until(money::finish(source.line, job));
    Late { cause: first.cause, waited, step: first.step.clone(), text }
}

fn held_text(source: &Source<'_>, freed: &Freed) -> String {
    let problem = source.line.problem;
    let rivals = orders(source, freed.rivals.iter().copied());
    let what = match freed.resource {
        Resource::Material => "its tube".to_owned(),
        Resource::Cell(cell) => format!("{}, busy with {rivals}", problem.cell(cell).id),
        Resource::Tool(tool) => {
            let name = tool_name(source, tool);
            if freed.cause == Cause::DieArrival {
                format!("{name}, not in the house")
            } else {
                format!("{name}, in use for {rivals}")
            }
        }
        Resource::Crew(crew) if freed.rivals.is_empty() => {
            format!("crew {}, off shift", problem.crew(crew).id)
        }
        Resource::Crew(crew) => format!("crew {}, all busy with {rivals}", problem.crew(crew).id),
    };
    format!("{} waits for {what} until {}", freed.step, moment(source.clock, freed.until))
}

fn verdict(due: Minute, finish: Minute) -> String {
    if finish <= due { "in time".to_owned() } else { format!("{} late", due.until(finish)) }
}

fn awaited(source: &Source<'_>, group: &Group<'_>) -> String {
    let line = source.line;
    let cell = &line.problem.cell(line.work_on_cell(group.waits[0].at).cell).id;
    match group.waits[0].holder {
        Some(Holder::Cell { .. }) => format!("{cell}, busy with {}", rivals(source, group)),
        Some(Holder::Tool { tool, by }) => {
            let name = tool_name(source, tool);
            let there = &line.problem.cell(line.work_on_cell(by).cell).id;
            format!("{name}, in use on {there} for {}", rivals(source, group))
        }
        Some(Holder::Arrival { tool }) => {
            format!("{}, not in the house", tool_name(source, tool))
        }
        Some(Holder::Setter { crew, .. } | Holder::Operator { crew, .. }) => crew_text(source, group, crew),
        None => "nothing".to_owned(),
    }
}

fn crew_text(source: &Source<'_>, group: &Group<'_>, crew: CrewIdx) -> String {
    let id = &source.line.problem.crew(crew).id;
    let off: Minutes =
        group.waits.iter().filter(|wait| holder_at(wait).is_none()).map(|wait| wait.minutes()).sum();
    if off * 2 > group.minutes() {
        return format!("crew {id}, off shift");
    }
    format!("crew {id}, all busy with {}", rivals(source, group))
}

/// Ids of the orders that had it, in the order of time.
fn rivals(source: &Source<'_>, group: &Group<'_>) -> String {
    orders(source, group.waits.iter().rev().filter_map(|wait| holder_at(wait)))
}

/// Ids of the orders of some placements, each once.
fn orders(source: &Source<'_>, placements: impl Iterator<Item = usize>) -> String {
    let mut ids: Vec<&str> = Vec::new();
    for at in placements {
        let id = source.order(source.line.placed(at).option.job).id.as_str();
        if !ids.contains(&id) {
            ids.push(id);
        }
    }
    listed(&ids, 3)
}

fn holder_at(wait: &Wait) -> Option<usize> {
    match wait.holder {
        Some(Holder::Cell { by } | Holder::Tool { by, .. }) => Some(by),
        Some(Holder::Setter { by, .. } | Holder::Operator { by, .. }) => by,
        Some(Holder::Arrival { .. }) | None => None,
    }
}

/// The plan lets it be late although it need not be. `sooner`: how it could be finished sooner with
/// all other work where it is.
pub(crate) fn choice(
    source: &Source<'_>,
    job: JobIdx,
    group: Option<&Group<'_>>,
    sooner: Option<Sooner>,
) -> Late {
    let step = group.map_or_else(|| last_step(source, job), |group| step_name(source, group.waits[0]));
    let waited = group.map_or(Minutes::ZERO, Group::minutes);
    let text = sooner.map_or_else(
        || "the plan lets it be late in favour of other work".to_owned(),
        |sooner| sooner_text(source, job, &sooner),
    );
    Late { cause: Cause::Choice, waited, step, text }
}

fn sooner_text(source: &Source<'_>, job: JobIdx, sooner: &Sooner) -> String {
    let by = sooner.bend.map_or_else(String::new, |bend| {
        let process = source.key.route(bend).process;
        process.map_or_else(String::new, |process| format!(" by {process} on {}", source.key.place(bend)))
    });
    let cost = if sooner.extra_cost > Money::ZERO && !sooner.extra_cost.same_as(Money::ZERO) {
        format!("but the whole plan would cost {} {} more", sooner.extra_cost, source.shop.terms.currency)
    } else {
        "at no more cost; a longer search may find it".to_owned()
    };
    format!(
        "it could be finished {} ({}){by} with all other work where it is, {cost}",
        moment(source.clock, sooner.finish),
        verdict(source.line.problem.job(job).due, sooner.finish),
    )
}

fn step_name(source: &Source<'_>, wait: &Wait) -> String {
    source.line.problem.operation(source.line.placed(wait.at).option).id.clone()
}

fn first_step(source: &Source<'_>, job: JobIdx) -> String {
    named(source, source.line.of_job(job).first().copied())
}

fn last_step(source: &Source<'_>, job: JobIdx) -> String {
    named(source, source.line.of_job(job).last().copied())
}

fn bend_step(source: &Source<'_>, job: JobIdx) -> String {
    let line = source.line;
    let bend = line
        .of_job(job)
        .iter()
        .copied()
        .find(|at| source.key.step(line.placed(*at).option).kind == StepKind::Bend);
    bend.map_or_else(|| first_step(source, job), |at| named(source, Some(at)))
}

fn named(source: &Source<'_>, at: Option<usize>) -> String {
    at.map_or_else(String::new, |at| source.line.problem.operation(source.line.placed(at).option).id.clone())
}
