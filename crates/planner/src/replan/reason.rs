//! Why a step of the plan that stood cannot stand, in a planner's words.

use super::Thawed;
use crate::compile::Compiled;
use crate::near::{Lost, Near};
use crate::words::moment;
use elbowroom_problem::{Availability, CellWork, OptionIdx, Placement, Window};
use elbowroom_shop::Shop;
use elbowroom_shop::calendar::working_minutes;
use elbowroom_units::{Minute, Minutes};
use elbowroom_verify::{Rule, Violation};

/// The shop, the new problem made of it, and the plan that stood.
#[derive(Clone, Copy)]
pub(crate) struct Ground<'a> {
    pub(crate) shop: &'a Shop,
    pub(crate) compiled: &'a Compiled,
    pub(crate) near: Near<'a>,
    /// The first minute at which any cell is open: what was to begin before is not frozen.
    pub(crate) first: Minute,
}

/// Why a step cannot stand.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Why {
    /// The step before it cannot either.
    BeforeFell,
    /// The step before it should have been done and is not reported.
    BeforeOpen,
    /// By itself: a closed cell, a tool or tube that is not there, a run that takes longer.
    Own(String),
    /// Together with others: a crew, a tool, a cell that is not free, a longer changeover.
    Jointly(String),
}

impl Why {
    /// Whether no other step has to do with it.
    pub(crate) fn is_its_own(&self) -> bool {
        matches!(self, Self::Own(_))
    }
}

impl<'a> Ground<'a> {
    /// Which order and step, where and when, and why not.
    pub(crate) fn thawed(&self, placed: &Placement, why: &Why) -> Thawed {
        let option = placed.option;
        let key = &self.compiled.key;
        let before = || self.before(option).1;
        Thawed {
            order: self.shop.orders[key.job(option.job).order].id.clone(),
            step: self.compiled.problem.operation(option).id.clone(),
            place: key.place(option).to_owned(),
            outside: self.compiled.problem.option(option).on_cell().is_none(),
            was: placed.run_start,
            why: match why {
                Why::BeforeFell => format!("{} before it cannot stand", before()),
                Why::BeforeOpen => format!("{} before it is not reported as done", before()),
                Why::Own(why) | Why::Jointly(why) => why.clone(),
            },
        }
    }

    /// A step that has no place in the new problem at all.
    pub(crate) fn lost(&self, placed: &Placement, lost: Lost) -> Thawed {
        let old = self.near.problem;
        let work = old.option(placed.option).on_cell();
        let place = work.map_or("outside", |work| old.cell(work.cell).id.as_str());
        let route = &old.job(placed.option.job).routes[placed.option.route].id;
        Thawed {
            order: old.job(placed.option.job).id.clone(),
            step: old.operation(placed.option).id.clone(),
            place: place.to_owned(),
            outside: work.is_none(),
            was: placed.run_start - self.near.shift,
            why: match lost {
                Lost::Route => format!("the order can no longer be made by {route}"),
                Lost::Place | Lost::Behind => format!("{place} can no longer do it"),
            },
        }
    }

    /// The order of a step, and the name of the step before it.
    pub(crate) fn before(&self, option: OptionIdx) -> (&'a str, &'a str) {
        let before = OptionIdx { operation: option.operation.saturating_sub(1), option: 0, ..option };
        let order = self.compiled.key.job(option.job).order;
        (&self.shop.orders[order].id, &self.compiled.problem.operation(before).id)
    }

    /// Why a step breaks a rule.
    pub(crate) fn why(&self, placed: &Placement, violation: &Violation) -> Why {
        let work = self.compiled.problem.option(placed.option).on_cell();
        match (violation.rule, work) {
            (Rule::WorkingTime, Some(work)) => self.closed(placed, work),
            (Rule::Tools, Some(work)) => self.no_tool(placed, work),
            (Rule::Crews, _) => {
                let crew = violation.place.strip_prefix("crew ").unwrap_or(&violation.place);
                Why::Jointly(format!("too few of crew {crew} are there"))
            }
            (Rule::Order, _) => self.too_early(placed),
            (Rule::Changeover, Some(work)) => {
                let cell = &self.compiled.problem.cell(work.cell).id;
                Why::Jointly(format!("changing {cell} over to it takes longer now"))
            }
            (Rule::Cell, Some(work)) => {
                let cell = &self.compiled.problem.cell(work.cell).id;
                Why::Jointly(format!("{cell} is not free then"))
            }
            (Rule::Horizon, _) => Why::Own("it would end after the plan's horizon".to_owned()),
            _ => Why::Jointly(violation.what.clone()),
        }
    }

    fn closed(&self, placed: &Placement, work: &CellWork) -> Why {
        let problem = &self.compiled.problem;
        let cell = problem.cell(work.cell);
        let old = self.near.problem.cells.iter().find(|other| other.id == cell.id);
        let shift = self.near.shift;
        let was = old.map_or(Minutes::ZERO, |old| {
            working_minutes(&spans(&old.windows), placed.run_start + shift, placed.end + shift)
        });
        if let Some(minute) = self.closed_since(work.cell, placed.setup_start, placed.end) {
            return Why::Own(format!(
                "{} is closed at {}{}",
                cell.id,
                moment(&self.compiled.clock, minute),
                self.closure(work, minute)
            ));
        }
        let run = problem.option(placed.option).run;
        if run == was {
            Why::Jointly(format!("changing {} over to it takes another time now", cell.id))
        } else {
            Why::Own(format!("it takes {run} now, not {was}"))
        }
    }

    /// The shop's reason for a closed cell, in brackets.
    fn closure(&self, work: &CellWork, minute: Minute) -> String {
        let date = self.compiled.clock.date(minute);
        let closed = &self.shop.cells[work.cell.get()].closed;
        let reason = closed.iter().find(|span| span.date == date && !span.reason.is_empty());
        reason.map_or_else(String::new, |span| format!(" ({})", span.reason))
    }

    fn no_tool(&self, placed: &Placement, work: &CellWork) -> Why {
        let clock = &self.compiled.clock;
        for tool in work.tools.iter().map(|tool| self.compiled.problem.tool(*tool)) {
            match tool.availability {
                Availability::From(from) if from > placed.setup_start => {
                    let when = moment(clock, from);
                    return Why::Own(format!("tool {} is in the house only from {when}", tool.id));
                }
                Availability::Offer { lead, .. } if lead > placed.setup_start => {
                    let when = moment(clock, lead);
                    return Why::Own(format!(
                        "tool {} has not been ordered and could be here only {when}",
                        tool.id
                    ));
                }
                _ => {}
            }
        }
        Why::Jointly("a tool of it is in use elsewhere then".to_owned())
    }

    fn too_early(&self, placed: &Placement) -> Why {
        let problem = &self.compiled.problem;
        let job = problem.job(placed.option.job);
        if placed.option.operation == 0 && placed.run_start < job.release {
            let when = moment(&self.compiled.clock, job.release);
            return Why::Own(match self.compiled.key.job(placed.option.job).release {
                crate::compile::ReleaseReason::Running => format!("its work under way ends only {when}"),
                _ => format!("its tube is in the house only from {when}"),
            });
        }
        Why::Jointly(format!("{} before it ends too late for it", self.before(placed.option).1))
    }
}

pub(super) fn spans(windows: &[Window]) -> Vec<(Minute, Minute)> {
    windows.iter().map(|window| (window.start, window.end)).collect()
}
