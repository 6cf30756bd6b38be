//! Where an order waited in a schedule, and for what.

use super::alone::on_cell;
use super::blocks::{Block, CrewRole, Holder, cell_blocks, crew_blocks, tool_blocks};
use crate::timeline::{At, Timeline};
use elbowroom_problem::JobIdx;
use elbowroom_units::{Minute, Minutes};

/// A stretch of waiting and what it was for; `None` where nothing held the step.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Wait {
    pub(crate) at: At,
    pub(crate) from: Minute,
    pub(crate) to: Minute,
    pub(crate) holder: Option<Holder>,
}

impl Wait {
    pub(crate) fn minutes(&self) -> Minutes {
        self.from.until(self.to)
    }
}

/// Every stretch in which a job waited, step by step; time that it would have taken in an
/// otherwise empty shop too is no waiting.
pub(crate) fn waits(line: &Timeline<'_>, job: JobIdx) -> Vec<Wait> {
    let mut ready = line.problem.job(job).release;
    let mut list = Vec::new();
    for &at in line.of_job(job) {
        if line.work(at).on_cell().is_some() && !line.is_pinned(at) {
            list.extend(waits_of_step(line, at, ready));
        }
        let placed = line.placed(at);
        ready = placed.end + line.problem.operation(placed.option).lag_after;
    }
    list
}

fn waits_of_step(line: &Timeline<'_>, at: At, ready: Minute) -> Vec<Wait> {
    let (placed, work) = (line.placed(at), line.work_on_cell(at));
    let times = (line.changeover(at), line.work(at).run);
    let Some((unhindered, _)) = on_cell(line, work, times, Minute::ZERO, ready) else { return Vec::new() };
    if placed.run_start <= unhindered {
        return Vec::new();
    }
    let mounted = line.changeover_end(at);
    let mut list = Vec::new();
    if line.worked(work.cell, mounted, placed.run_start) > Minutes::ZERO {
        let span = Span { from: unhindered.max(mounted), to: placed.run_start, need: times.1 };
        let blocks = run_blocks(line, at, span.from);
        list.extend(walk_back(line, at, span, &blocks));
    }
    // The changeover is part of the way; what held it is what the order waited for.
    let span = Span {
        from: latest_setup_start(line, at, unhindered),
        to: placed.setup_start,
        need: times.0 + times.1,
    };
    let blocks = setup_blocks(line, at, span.from);
    list.extend(walk_back(line, at, span, &blocks));
    list
}

/// A stretch before something could begin that needs so many working minutes from there on.
struct Span {
    from: Minute,
    to: Minute,
    need: Minutes,
}

/// When the changeover would have had to begin for the run to begin at `run_start`.
fn latest_setup_start(line: &Timeline<'_>, at: At, run_start: Minute) -> Minute {
    line.worked_back(line.work_on_cell(at).cell, run_start, line.changeover(at))
}

fn setup_blocks(line: &Timeline<'_>, at: At, since: Minute) -> Vec<Block> {
    let work = line.work_on_cell(at);
    let mut blocks = cell_blocks(line, at);
    blocks.extend(tool_blocks(line, at));
    let setup = line.changeover(at);
    if let Some(crew) = work.setup_crew.filter(|_| setup > Minutes::ZERO) {
        blocks.extend(crew_blocks(line, crew, CrewRole::Setter, at, since));
    }
    // A changeover that stands right before its run may have been done so late only because
    // nobody was there to run: it could begin so much before they are free.
    let before_run = |block: Block| Block { to: line.worked_back(work.cell, block.to, setup), ..block };
    blocks.extend(run_blocks(line, at, since).into_iter().map(before_run));
    blocks
}

fn run_blocks(line: &Timeline<'_>, at: At, since: Minute) -> Vec<Block> {
    let crew = line.work_on_cell(at).run_crew;
    crew.map_or_else(Vec::new, |crew| crew_blocks(line, crew, CrewRole::Operator, at, since))
}

/// From the end of the stretch back to its start: at each moment the block that ends last before
/// it is what was waited for.
fn walk_back(line: &Timeline<'_>, at: At, span: Span, blocks: &[Block]) -> Vec<Wait> {
    let cell = line.work_on_cell(at).cell;
    let starts: Vec<(Minute, &Block)> = blocks
        .iter()
        .filter(|block| block.from < span.to && block.to > span.from)
        .map(|block| {
            (line.worked_back(cell, block.from, need_before(line, at, &block.holder, span.need)), block)
        })
        .collect();
    let (mut list, mut t) = (Vec::new(), span.to);
    while t > span.from {
        let reaching = |(start, block): &&(Minute, &Block)| {
            *start < t && line.worked(cell, block.to.min(t), t) == Minutes::ZERO
        };
        let binding = starts
            .iter()
            .filter(reaching)
            .max_by_key(|(start, block)| (block.to.min(t), std::cmp::Reverse(*start)));
        let (from, holder) = match binding {
            Some((start, block)) => (*start, Some(block.holder.clone())),
            None => (last_end_before(&starts, t).max(span.from), None),
        };
        let from = from.max(span.from);
        list.push(Wait { at, from, to: t, holder });
        t = from;
    }
    list
}

/// How long before a block begins the step can no longer begin: it would run into it. A crew that
/// changes over is needed only for the changeover.
fn need_before(line: &Timeline<'_>, at: At, holder: &Holder, whole: Minutes) -> Minutes {
    match holder {
        Holder::Setter { .. } => line.changeover(at),
        _ => whole,
    }
}

fn last_end_before(starts: &[(Minute, &Block)], t: Minute) -> Minute {
    starts.iter().map(|(_, block)| block.to).filter(|to| *to < t).max().unwrap_or(Minute::ZERO)
}
