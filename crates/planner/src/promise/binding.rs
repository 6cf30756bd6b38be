//! What stands in the way of an earlier date.

use super::answer::{Binding, Limit};
use super::dates::Dates;
use crate::compile::{Compiled, StepKind};
use crate::insertion::{Fitter, Relaxed, Resource};
use crate::lateness::{held_most, usable_from};
use crate::readback::Source;
use crate::timeline::Timeline;
use crate::words::moment;
use elbowroom_problem::{JobIdx, OptionIdx, ToolIdx};
use elbowroom_shop::Shop;
use elbowroom_units::{Minute, Minutes};

/// What binds the finish of a job on the way that `allowed` accepts: other work, a tool that is to
/// come, its tube, or the work itself; the one without which it would gain most. Other work binds
/// only where it costs a day.
pub(crate) fn binding(
    shop: &Shop,
    compiled: &Compiled,
    line: &Timeline<'_>,
    job: JobIdx,
    allowed: &dyn Fn(OptionIdx) -> bool,
) -> Binding {
    let source = Source { shop, clock: &compiled.clock, key: &compiled.key, line };
    let dates = Dates::new(shop, &compiled.clock, &compiled.problem);
    let view = View { source: &source, fitter: Fitter::new(line, job), job, allowed, dates };
    view.binding()
}

struct View<'v, 'a> {
    source: &'v Source<'a>,
    fitter: Fitter<'v>,
    job: JobIdx,
    allowed: &'v dyn Fn(OptionIdx) -> bool,
    dates: Dates<'v>,
}

impl View<'_, '_> {
    fn binding(&self) -> Binding {
        let finish = crate::readback::money::finish(self.source.line, self.job);
        let alone = self.alone(&[]).map_or(finish, |alone| alone.min(finish));
        let tools: Vec<Resource> = self.awaited().into_iter().map(Resource::Tool).collect();
        let gain = |free: &[Resource]| self.alone(free).map_or(Minutes::ZERO, |sooner| sooner.until(alone));
        let costs_a_day = self.dates.promised(alone) < self.dates.promised(finish);
        let waited = if costs_a_day { alone.until(finish) } else { Minutes::ZERO };
        let gains = [
            (Limit::OtherWork, waited),
            (Limit::ToolArrival, gain(&tools)),
            (Limit::Material, gain(&[Resource::Material])),
        ];
        let (limit, minutes) =
            gains.into_iter().rev().max_by_key(|(_, gain)| *gain).unwrap_or((Limit::Work, Minutes::ZERO));
        if minutes <= Minutes::ZERO {
            let minutes = self.release().until(finish);
            return Binding { limit: Limit::Work, minutes, text: self.work_text(finish) };
        }
        let text = match limit {
            Limit::OtherWork => self.other_work_text(alone),
            Limit::ToolArrival => self.tool_text(alone),
            Limit::Material | Limit::Work => format!(
                "its tube is in the house only {}; even alone in an empty shop it would be finished {}",
                self.when(self.release()),
                self.when(alone)
            ),
        };
        Binding { limit, minutes, text }
    }

    /// When it would be finished in an empty shop with some things free.
    fn alone(&self, free: &[Resource]) -> Option<Minute> {
        self.fitter.earliest(Relaxed { rivals_gone: true, free }, self.allowed).map(|fit| fit.finish())
    }

    /// Tools of the bending step that come after minute 0.
    fn awaited(&self) -> Vec<ToolIdx> {
        let line = self.source.line;
        let works = line.of_job(self.job).iter().filter_map(|at| line.work(*at).on_cell());
        let tools = works.flat_map(|work| work.tools.iter().copied());
        tools.filter(|tool| usable_from(line.problem, *tool) > Minute::ZERO).collect()
    }

    fn release(&self) -> Minute {
        self.source.line.problem.job(self.job).release
    }

    fn when(&self, minute: Minute) -> String {
        moment(self.source.clock, minute)
    }

    fn work_text(&self, finish: Minute) -> String {
        let line = self.source.line;
        let sum = |kind: StepKind| -> Minutes {
            let steps = line.of_job(self.job).iter();
            let alike = steps.filter(|at| self.source.key.step(line.placed(**at).option).kind == kind);
            alike.map(|at| line.run(*at)).sum()
        };
        let outside = match sum(StepKind::Outside) {
            Minutes::ZERO => String::new(),
            away => format!(" and it is {away} out of the house"),
        };
        format!(
            "the work itself: bending takes {}{outside}; all its steps are done {}",
            sum(StepKind::Bend),
            self.when(finish)
        )
    }

    fn other_work_text(&self, alone: Minute) -> String {
        let alone = self.when(alone);
        match held_most(self.source, self.job) {
            Some(late) => format!("{}; alone in an empty shop it would be finished {alone}", late.text),
            None => format!("other work on its cells; alone in an empty shop it would be finished {alone}"),
        }
    }

    fn tool_text(&self, alone: Minute) -> String {
        let problem = self.source.line.problem;
        let last = self.awaited().into_iter().max_by_key(|tool| usable_from(problem, *tool));
        let alone = self.when(alone);
        let tool = last.map_or_else(String::new, |tool| {
            let found = problem.tool(tool);
            let key = self.source.key.tool(tool);
            // A tool that nobody has listed is named by its kind already.
            let kind = if key.estimated { String::new() } else { format!("{} ", key.kind) };
            format!("{kind}{} can be here only {}", found.id, self.when(usable_from(problem, tool)))
        });
        format!("{tool}; even alone in an empty shop it would be finished {alone}")
    }
}
