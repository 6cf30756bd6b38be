//! One walk along a route, forwards.

use super::gap::{Found, Gap, Seeking};
use super::heads::CrewUse;
use super::lane::Stand;
use super::spans::Span;
use super::tools::Hold;
use super::{Access, Fit, FittedStep, Fitter, Relaxed, Resource};
use crate::timeline::Timeline;
use elbowroom_problem::{CellIdx, CrewIdx, OptionIdx, Pinned, Place, Placement, ToolIdx};
use elbowroom_units::{Minute, Minutes};

/// A walk under way: the steps that have found their places are in the way of those that follow.
pub(super) struct Pass<'f, 'a> {
    fitter: &'f Fitter<'a>,
    relaxed: Relaxed<'f>,
    own: Vec<Stand<'a>>,
}

/// Stretches in which a crew has no head for a step.
pub(super) struct NoHeads<'f> {
    rivals: &'f [Span],
    own: Vec<Span>,
}

impl NoHeads<'_> {
    pub(super) fn lists(&self) -> [&[Span]; 2] {
        [self.rivals, &self.own]
    }
}

impl<'f, 'a> Pass<'f, 'a> {
    /// The job's work under way stands from the beginning.
    pub(super) fn new(fitter: &'f Fitter<'a>, relaxed: Relaxed<'f>) -> Self {
        let own = fitter.pins.iter().filter_map(|pin| pinned_stand(fitter.line, pin)).collect();
        Self { fitter, relaxed, own }
    }

    pub(super) fn line(&self) -> &'a Timeline<'a> {
        self.fitter.line
    }

    pub(super) fn fitter(&self) -> &'f Fitter<'a> {
        self.fitter
    }

    pub(super) fn own(&self) -> &[Stand<'a>] {
        &self.own
    }

    /// Walks a route; `None` if a step finds no place, or none that ends before `limit`.
    pub(super) fn along(
        mut self,
        route: usize,
        limit: Minute,
        allowed: &dyn Fn(OptionIdx) -> bool,
    ) -> Option<Fit> {
        let job = self.fitter.job;
        let asked = self.line().problem.job(job);
        let mut ready = self.start();
        let mut steps = Vec::with_capacity(asked.routes[route].operations.len());
        for (operation, step) in asked.routes[route].operations.iter().enumerate() {
            let options = (0..step.options.len()).map(|option| OptionIdx { job, route, operation, option });
            let found = self.first_to_end(options.filter(|at| allowed(*at)), ready, limit)?;
            ready = found.placement.end + step.lag_after;
            steps.push(found);
        }
        Some(Fit { steps })
    }

    /// When the job may begin.
    fn start(&self) -> Minute {
        if self.relaxed.free.contains(&Resource::Material) {
            return Minute::ZERO;
        }
        self.line().problem.job(self.fitter.job).release
    }

    /// The option that ends first, the first one in doubt.
    fn first_to_end(
        &mut self,
        options: impl Iterator<Item = OptionIdx>,
        ready: Minute,
        limit: Minute,
    ) -> Option<FittedStep> {
        let mut best: Option<(FittedStep, Option<Stand<'a>>)> = None;
        for at in options {
            let before = best.as_ref().map_or(limit, |(step, _)| step.placement.end - Minutes::new(1));
            if let Some(found) = self.option(at, ready, before) {
                best = Some(found);
            }
        }
        let (step, stand) = best?;
        self.own.extend(stand.filter(|stand| !stand.pinned));
        Some(step)
    }

    /// One option, to end no later than `limit`.
    fn option(&self, at: OptionIdx, ready: Minute, limit: Minute) -> Option<(FittedStep, Option<Stand<'a>>)> {
        let pin = self.fitter.pins.iter().find(|pin| pin.option.operation == at.operation);
        if let Some(pin) = pin {
            let fits = pin.option == at && ready <= pin.run_start && pin.end <= limit;
            return fits.then(|| (pinned_step(pin), None));
        }
        let option = self.line().problem.option(at);
        match &option.place {
            Place::Outside => {
                let end = ready + option.run;
                let placement = Placement { option: at, setup_start: ready, run_start: ready, end };
                let step = FittedStep { placement, changeover: Minutes::ZERO, next: None };
                (end <= limit).then_some((step, None))
            }
            Place::Cell(work) => {
                let Found { stand, next } = self.on_cell(&Seeking { work, run: option.run, ready, limit })?;
                let (setup_start, run_start, end) = (stand.setup_start, stand.run_start, stand.end);
                let placement = Placement { option: at, setup_start, run_start, end };
                Some((FittedStep { placement, changeover: stand.changeover, next }, Some(stand)))
            }
        }
    }

    /// The earliest place on the step's cell; a cell that is free may still be used as planned,
    /// where a neighbour spares the step its changeover.
    fn on_cell(&self, step: &Seeking<'a>) -> Option<Found<'a>> {
        let planned = || self.in_lane(step, self.fitter.lane(step.work.cell));
        if !self.is_free(step.work.cell) {
            return planned();
        }
        let alone = self.in_lane(step, &[]);
        if self.relaxed.rivals_gone {
            return alone;
        }
        [alone, planned()].into_iter().flatten().min_by_key(|found| found.stand.end)
    }

    /// The first gap of a lane that takes the step.
    fn in_lane(&self, step: &Seeking<'a>, rivals: &[Stand<'a>]) -> Option<Found<'a>> {
        let own: Vec<Stand<'a>> =
            self.own.iter().filter(|stand| stand.work.cell == step.work.cell).copied().collect();
        if own.is_empty() {
            return self.in_gaps(step, rivals);
        }
        let mut lane = rivals.to_vec();
        lane.extend(own);
        lane.sort_by_key(|stand| (stand.setup_start, stand.end));
        self.in_gaps(step, &lane)
    }

    fn in_gaps(&self, step: &Seeking<'a>, lane: &[Stand<'a>]) -> Option<Found<'a>> {
        // Where the next lot runs before the part is there, the step cannot stand before it.
        let first = lane.partition_point(|stand| stand.run_start <= step.ready);
        (first..=lane.len()).take_while(|next| *next == first || lane[next - 1].end < step.limit).find_map(
            |next| {
                let before = next.checked_sub(1).map(|before| &lane[before]);
                self.in_gap(step, Gap { before, after: lane.get(next) })
            },
        )
    }

    fn is_free(&self, cell: CellIdx) -> bool {
        self.relaxed.rivals_gone || self.relaxed.free.contains(&Resource::Cell(cell))
    }

    pub(super) fn tool_access(&self, tool: ToolIdx) -> Access {
        self.access(Resource::Tool(tool))
    }

    fn access(&self, resource: Resource) -> Access {
        if self.relaxed.free.contains(&resource) {
            Access::Free
        } else if self.relaxed.rivals_gone {
            Access::RivalsGone
        } else {
            Access::AsPlanned
        }
    }

    /// When a crew has no head for a step; nobody is needed where there is no crew.
    pub(super) fn heads(&self, crew: Option<CrewIdx>) -> NoHeads<'f> {
        let Some(crew) = crew else { return NoHeads { rivals: &[], own: Vec::new() } };
        let (access, used): (Access, &'f CrewUse) =
            (self.access(Resource::Crew(crew)), self.fitter.crew(crew));
        NoHeads {
            rivals: used.blocked(access),
            own: used.blocked_by_own(self.fitter.line, crew, &self.own, access),
        }
    }

    pub(super) fn own_holds(&self, tool: ToolIdx) -> Vec<Hold> {
        self.own.iter().filter(|stand| stand.work.tools.contains(&tool)).map(Hold::of).collect()
    }
}

fn pinned_step(pin: &Pinned) -> FittedStep {
    let Pinned { option, setup_start, run_start, end } = *pin;
    let placement = Placement { option, setup_start, run_start, end };
    FittedStep { placement, changeover: Minutes::ZERO, next: None }
}

fn pinned_stand<'a>(line: &'a Timeline<'a>, pin: &Pinned) -> Option<Stand<'a>> {
    own_stand(line, &pinned_step(pin)).map(|stand| Stand {
        changeover: line.worked(stand.work.cell, pin.setup_start, pin.run_start),
        pinned: true,
        ..stand
    })
}

fn own_stand<'a>(line: &'a Timeline<'a>, step: &FittedStep) -> Option<Stand<'a>> {
    let Placement { option, setup_start, run_start, end } = step.placement;
    let work = line.problem.option(option).on_cell()?;
    Some(Stand { at: None, work, setup_start, run_start, end, changeover: step.changeover, pinned: false })
}
