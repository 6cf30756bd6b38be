//! Tools: when the job cannot have one, and when all pieces of one are away from a cell.

use super::Access;
use super::lane::{Pair, Stand};
use super::spans::{Levels, Span};
use crate::timeline::{At, Timeline};
use elbowroom_problem::{Availability, CellIdx, JobIdx, Problem, ToolIdx};
use elbowroom_units::Minute;

/// First minute at which a tool can be used; for an offer, if it is ordered at minute 0.
pub(crate) fn usable_from(problem: &Problem, tool: ToolIdx) -> Minute {
    match problem.tool(tool).availability {
        Availability::From(minute) => minute,
        Availability::Offer { lead, .. } => lead,
    }
}

/// A lot that holds a piece.
#[derive(Clone, Copy, Debug)]
pub(super) struct Hold {
    pub(super) from: Minute,
    pub(super) to: Minute,
    pub(super) cell: CellIdx,
    /// Its placement in the schedule; `None` for a step of the job itself.
    pub(super) at: Option<At>,
}

impl Hold {
    pub(super) fn of(stand: &Stand<'_>) -> Self {
        Self { from: stand.setup_start, to: stand.end, cell: stand.work.cell, at: stand.at }
    }

    fn meets(&self, (from, to): Span) -> bool {
        self.from < to && from < self.to
    }
}

/// What others do with a tool.
pub(super) struct ToolUse {
    pieces: usize,
    usable: Minute,
    holds: Vec<Hold>,
    /// Where others hold every piece; with one piece, who.
    full: Vec<(Span, Option<At>)>,
    /// Where one more piece held on another cell than this would be the last one, so that the
    /// lot that follows on this cell would have to mount it again, for which it has no time.
    kept: Vec<(Span, CellIdx)>,
}

impl ToolUse {
    pub(super) fn new(line: &Timeline<'_>, tool: ToolIdx, job: JobIdx) -> Self {
        let users = line.on_tool(tool).iter().filter(|at| line.placed(**at).option.job != job);
        let holds: Vec<Hold> = users.map(|at| Hold::of(&Stand::of_schedule(line, *at))).collect();
        let pieces = line.problem.tool(tool).count as usize;
        let full = if pieces == 1 {
            holds.iter().map(|hold| ((hold.from, hold.to), hold.at)).collect()
        } else {
            let levels = Levels::of_changes(holds.iter().flat_map(changes).collect());
            levels.at_least(pieces as i64).into_iter().map(|span| (span, None)).collect()
        };
        let mut use_ =
            Self { pieces, usable: usable_from(line.problem, tool), holds, full, kept: Vec::new() };
        use_.kept = use_.kept_mounted(line, tool, job);
        use_
    }

    /// Lots that rely on finding the tool still mounted, each with the stretch in which it may not
    /// be away.
    fn kept_mounted(&self, line: &Timeline<'_>, tool: ToolIdx, job: JobIdx) -> Vec<(Span, CellIdx)> {
        let reliant = self.holds.iter().filter_map(|hold| hold.at).filter(|at| !line.is_pinned(*at));
        reliant
            .filter_map(|at| {
                let work = line.work_on_cell(at);
                let before = line.before_without(at, job).map(|at| Stand::of_schedule(line, at));
                let pair = Pair { cell: line.problem.cell(work.cell), before: before.as_ref(), work };
                let placed = line.placed(at);
                let has = line.worked(work.cell, placed.setup_start, placed.run_start);
                let relies = has < pair.remounted() && pair.stood_mounted().any(|stood| stood == tool);
                relies.then_some(((pair.since(), placed.setup_start), work.cell))
            })
            .flat_map(|(span, cell)| self.last_piece(span, cell).into_iter().map(move |span| (span, cell)))
            .collect()
    }

    /// Where inside a stretch all pieces but one are held on other cells.
    fn last_piece(&self, span: Span, cell: CellIdx) -> Vec<Span> {
        let elsewhere = self.holds.iter().filter(|hold| hold.cell != cell);
        let near: Vec<(Minute, i64)> = elsewhere.filter(|hold| hold.meets(span)).flat_map(changes).collect();
        let levels = Levels::of_changes(near);
        let inside =
            levels.at_least(self.pieces as i64 - 1).into_iter().map(|(a, b)| (a.max(span.0), b.min(span.1)));
        inside.filter(|(from, to)| from < to).collect()
    }

    /// Until when the job on `cell` cannot have a piece over the whole of `[from, to)`; `None` if it
    /// can. The hold of `next` does not count: it follows on the same cell.
    pub(super) fn blocked_until(
        &self,
        span: Span,
        cell: CellIdx,
        next: Option<At>,
        access: Access,
        own: &[Hold],
    ) -> Option<Minute> {
        let arrival = (access != Access::Free && span.0 < self.usable).then_some(self.usable);
        let meets = |(from, to): Span| from < span.1 && span.0 < to;
        let planned = access == Access::AsPlanned;
        let full =
            self.full.iter().filter(|(full, by)| planned && meets(*full) && (by.is_none() || *by != next));
        let kept = self.kept.iter().filter(|(kept, on)| planned && *on != cell && meets(*kept));
        let own = own.iter().filter(|hold| hold.meets(span) && self.own_takes_last(hold, access));
        let ends =
            full.map(|(span, _)| span.1).chain(kept.map(|(span, _)| span.1)).chain(own.map(|hold| hold.to));
        arrival.into_iter().chain(ends).max()
    }

    /// Whether an earlier step of the job takes the last piece that others leave it.
    fn own_takes_last(&self, own: &Hold, access: Access) -> bool {
        match access {
            Access::Free => false,
            Access::RivalsGone => self.pieces == 1,
            Access::AsPlanned => {
                let near: Vec<(Minute, i64)> = self
                    .holds
                    .iter()
                    .filter(|hold| hold.meets((own.from, own.to)))
                    .flat_map(changes)
                    .collect();
                !Levels::of_changes(near).at_least(self.pieces as i64 - 1).is_empty()
            }
        }
    }

    /// When the first stretch inside `span` ends in which every piece is held on another cell;
    /// `None` if one always stays.
    pub(super) fn away_until(
        &self,
        span: Span,
        cell: CellIdx,
        access: Access,
        own: &[Hold],
    ) -> Option<Minute> {
        let rivals = self.holds.iter().filter(|_| access == Access::AsPlanned);
        let own = own.iter().filter(|_| access != Access::Free);
        let elsewhere = rivals.chain(own).filter(|hold| hold.cell != cell && hold.meets(span));
        let mut near: Vec<Hold> = elsewhere.copied().collect();
        if near.len() < self.pieces {
            return None;
        }
        near.iter_mut().for_each(|hold| hold.from = hold.from.max(span.0));
        let levels = Levels::of_changes(near.iter().flat_map(changes).collect());
        levels.at_least(self.pieces as i64).first().filter(|away| away.0 < span.1).map(|away| away.1)
    }

    /// Whether a lot of the schedule could hold the tool longer, over `span` too.
    pub(super) fn is_free(&self, span: Span, cell: CellIdx, own: &[Hold]) -> bool {
        span.0 >= span.1 || self.blocked_until(span, cell, None, Access::AsPlanned, own).is_none()
    }
}

fn changes(hold: &Hold) -> [(Minute, i64); 2] {
    [(hold.from, 1), (hold.to, -1)]
}
