//! One step in one gap between two lots of a cell.

use super::lane::{Pair, Stand};
use super::pass::Pass;
use super::spans::{Span, earliest, is_clear};
use crate::timeline::At;
use elbowroom_problem::CellWork;
use elbowroom_units::{Minute, Minutes};

/// A step looking for a place on its cell.
#[derive(Clone, Copy)]
pub(super) struct Seeking<'a> {
    pub(super) work: &'a CellWork,
    pub(super) run: Minutes,
    /// When its part is there.
    pub(super) ready: Minute,
    /// It has to end no later than this.
    pub(super) limit: Minute,
}

/// Two neighbours on a cell, or an end of the lane.
#[derive(Clone, Copy)]
pub(super) struct Gap<'s, 'a> {
    pub(super) before: Option<&'s Stand<'a>>,
    pub(super) after: Option<&'s Stand<'a>>,
}

/// A place on a cell.
#[derive(Clone, Copy, Debug)]
pub(super) struct Found<'a> {
    pub(super) stand: Stand<'a>,
    /// The lot that follows, and when it is changed over to now.
    pub(super) next: Option<(At, Minute)>,
}

/// A changeover of given length, at the earliest from a moment on.
#[derive(Clone, Copy)]
struct Setup {
    from: Minute,
    minutes: Minutes,
}

impl<'a> Pass<'_, 'a> {
    /// The earliest place in a gap.
    pub(super) fn in_gap(&self, step: &Seeking<'a>, gap: Gap<'_, 'a>) -> Option<Found<'a>> {
        if !self.has_room(step, gap) {
            return None;
        }
        let cell = self.line().problem.cell(step.work.cell);
        let pair = Pair { cell, before: gap.before, work: step.work };
        let setup = Setup { from: pair.since().max(Minute::ZERO), minutes: pair.plain() };
        let stand = self.with_setup(step, gap, setup)?;
        let stand = match self.taken_away_until(&pair, stand.setup_start) {
            Some(back) if pair.remounted() > setup.minutes => {
                self.with_setup(step, gap, Setup { from: back, minutes: pair.remounted() })?
            }
            _ => stand,
        };
        let Some(after) = gap.after else { return Some(Found { stand, next: None }) };
        let start = self.next_setup(&stand, after)?;
        Some(Found { stand, next: after.at.map(|at| (at, start)) })
    }

    /// Whether the run alone would fit.
    fn has_room(&self, step: &Seeking<'_>, gap: Gap<'_, '_>) -> bool {
        let from = gap.before.map_or(Minute::ZERO, |stand| stand.end).max(step.ready);
        let until = gap.after.map_or(step.limit, |after| after.run_start.min(step.limit));
        from < until && self.line().worked(step.work.cell, from, until) >= step.run
    }

    /// The earliest place in a gap with a changeover of this length; tools and crews permitting.
    fn with_setup(&self, step: &Seeking<'a>, gap: Gap<'_, 'a>, setup: Setup) -> Option<Stand<'a>> {
        let windows = self.line().windows(step.work.cell);
        let setters = self.heads(step.work.setup_crew);
        let operators = self.heads(step.work.run_crew);
        let until = gap.after.map_or(step.limit, |after| after.run_start.min(step.limit));
        let mut from = setup.from;
        loop {
            let (begin, mounted) = match setup.minutes {
                Minutes::ZERO => (from, from),
                minutes => earliest(windows, from, minutes, &setters.lists())?,
            };
            let ready = step.ready.max(mounted);
            let (run_start, end) = earliest(windows, ready, step.run, &operators.lists())?;
            let setup_start = if setup.minutes == Minutes::ZERO { run_start } else { begin };
            if end > until {
                return None;
            }
            match self.tools_blocked_until(
                step.work,
                (setup_start, end),
                gap.after.and_then(|after| after.at),
            ) {
                Some(later) => from = later,
                None => {
                    let (changeover, work) = (setup.minutes, step.work);
                    let pinned = false;
                    return Some(Stand { at: None, work, setup_start, run_start, end, changeover, pinned });
                }
            }
        }
    }

    fn tools_blocked_until(&self, work: &CellWork, span: Span, next: Option<At>) -> Option<Minute> {
        let until = |tool: &elbowroom_problem::ToolIdx| {
            let access = self.tool_access(*tool);
            self.fitter().tool(*tool).blocked_until(span, work.cell, next, access, &self.own_holds(*tool))
        };
        work.tools.iter().filter_map(until).max()
    }

    /// When a tool that stood mounted comes back after all its pieces were away, if they were
    /// before `until`.
    fn taken_away_until(&self, pair: &Pair<'_, '_>, until: Minute) -> Option<Minute> {
        let span = (pair.since(), until);
        let back = |tool: elbowroom_problem::ToolIdx| {
            let (tools, access) = (self.fitter().tool(tool), self.tool_access(tool));
            tools.away_until(span, pair.work.cell, access, &self.own_holds(tool))
        };
        pair.stood_mounted().filter_map(back).min()
    }

    /// When the lot after a new one is changed over to, its run staying where it is; `None` if that
    /// is not possible.
    fn next_setup(&self, stand: &Stand<'a>, after: &Stand<'a>) -> Option<Minute> {
        if after.pinned || after.at.is_none() {
            return (stand.end <= after.setup_start).then_some(after.setup_start);
        }
        let pair =
            Pair { cell: self.line().problem.cell(after.work.cell), before: Some(stand), work: after.work };
        [pair.plain(), pair.remounted()].into_iter().find_map(|minutes| {
            let starts = self.setup_starts(after, minutes).into_iter();
            let mounted_again = minutes == pair.remounted();
            starts.filter(|start| stand.end <= *start).find(|start| {
                let stays = mounted_again || self.taken_away_until(&pair, *start).is_none();
                stays && self.can_begin_setup_at(after, *start, minutes)
            })
        })
    }

    /// Where a changeover of a lot of the schedule may begin: where it does now, or as late as
    /// possible.
    fn setup_starts(&self, after: &Stand<'_>, minutes: Minutes) -> Vec<Minute> {
        let (line, cell) = (self.line(), after.work.cell);
        if minutes == Minutes::ZERO {
            return vec![after.run_start];
        }
        let latest = line.worked_back(cell, after.run_start, minutes);
        let long_enough = |start: &Minute| line.worked(cell, *start, after.run_start) >= minutes;
        [after.setup_start, latest].into_iter().filter(long_enough).collect()
    }

    /// Whether crew and tools allow a lot of the schedule to be changed over to from `start` on.
    fn can_begin_setup_at(&self, after: &Stand<'_>, start: Minute, minutes: Minutes) -> bool {
        let (line, work) = (self.line(), after.work);
        let mut tools = work.tools.iter();
        if !tools.all(|tool| {
            self.fitter().tool(*tool).is_free((start, after.setup_start), work.cell, &self.own_holds(*tool))
        }) {
            return false;
        }
        let Some(crew) = work.setup_crew else { return true };
        let own = self.fitter().crew(crew).blocked_by_own(line, crew, self.own(), super::Access::AsPlanned);
        let taken = self.fitter().crew(crew).blocked(super::Access::AsPlanned);
        let until = line.worked_forward(work.cell, start, minutes);
        let (had, had_until) = (after.setup_start, after.changeover_end(line));
        // The minutes that it had a setter for already need none again.
        let more = [(start, until.min(had)), (start.max(had_until), until)];
        let windows = line.windows(work.cell);
        more.iter().all(|span| is_clear(windows, *span, &[taken, &own]))
    }
}
