//! What the people at a cell need on paper: every job in order with its part, tools, bends and what
//! to check.
//!
//! The figures are those that the plan was made from: bending knowledge is asked again for the cell
//! on which the plan bends the part.

mod bends;
mod tools;

pub use bends::{BendRow, Bending};
pub use tools::{SheetTool, ToolFrom};

use crate::compile::Request;
use crate::compile::frame::Frame;
use crate::fit::{PartFacts, facts};
use crate::plan::{CellPlan, OrderPlan, Plan, Step, Task};
use elbowroom_bending::piece::Quality;
use elbowroom_problem::CellIdx;
use elbowroom_shop::Shop;
use elbowroom_units::{Minute, Mm, Seconds};
use std::collections::HashMap;

/// What is pinned to a cell.
#[derive(Clone, Debug)]
pub struct CellSheet<'p> {
    /// The cell as planned.
    pub cell: &'p CellPlan,
    /// Its jobs in order, as far as the plan's weeks reach.
    pub jobs: Vec<JobSheet<'p>>,
    /// Jobs that begin later and are left for the next sheet.
    pub later: usize,
    /// The moment after the last day of the sheet.
    pub until: Minute,
}

/// One job on the sheet of a cell.
#[derive(Clone, Debug)]
pub struct JobSheet<'p> {
    /// The lot as planned.
    pub task: &'p Task,
    /// Its order.
    pub order: &'p OrderPlan,
    /// Its part; `None` where the shop's files no longer have its tube or material.
    pub part: Option<PartFacts>,
    /// What is asked of the part.
    pub asked: Asked,
    /// Tools, those to put on first.
    pub tools: Vec<SheetTool>,
    /// How it is bent, on a bending cell.
    pub bending: Option<Bending>,
    /// What the order does next; `None`: it is finished.
    pub next: Option<&'p Step>,
}

/// What is asked of a part beyond its shape.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Asked {
    /// Of its bends.
    pub quality: Quality,
    /// Length added at each end and cut off later.
    pub trim: Mm,
    /// Ends to be formed.
    pub end_forms: u32,
    /// Welding time of a piece.
    pub weld: Option<Seconds>,
    /// Pieces that the inspection of the finished lot checks.
    pub inspected: u32,
}

/// The sheet of every cell that has something to do, in the shop's order.
///
/// `shop` is the one that the plan was made from.
#[must_use]
pub fn sheets<'p>(shop: &Shop, plan: &'p Plan) -> Vec<CellSheet<'p>> {
    let frame = Frame::new(shop, &Request { start: plan.start, weeks: plan.weeks });
    let orders = plan.orders.iter().map(|order| (order.id.as_str(), order)).collect();
    let desk = Desk { frame: &frame, plan, orders };
    let cells = plan.cells.iter().enumerate();
    let sheets = cells.map(|(at, cell)| desk.sheet(CellIdx::new(at), cell));
    sheets.filter(|sheet| !sheet.jobs.is_empty()).collect()
}

/// What sheets are made from.
struct Desk<'a, 'p> {
    frame: &'a Frame<'a>,
    plan: &'p Plan,
    orders: HashMap<&'p str, &'p OrderPlan>,
}

impl<'p> Desk<'_, 'p> {
    fn sheet(&self, at: CellIdx, cell: &'p CellPlan) -> CellSheet<'p> {
        let until = self.plan.end_of_weeks();
        let shown = cell.tasks.partition_point(|task| task.setup_start < until);
        let jobs = cell.tasks[..shown].iter().filter_map(|task| self.job(at, task)).collect();
        CellSheet { cell, jobs, later: cell.tasks.len() - shown, until }
    }

    fn job(&self, at: CellIdx, task: &'p Task) -> Option<JobSheet<'p>> {
        let order = *self.orders.get(task.order.as_str())?;
        let part = &self.frame.shop.parts[self.frame.part_position(&task.part)?];
        let step = order.steps.iter().position(|step| step.name == task.step);
        Some(JobSheet {
            task,
            order,
            part: facts(self.frame, part).ok(),
            asked: Asked {
                quality: part.quality,
                trim: part.trim,
                end_forms: part.end_forms,
                weld: part.weld,
                inspected: self.frame.shop.step_times.inspect.checked(task.quantity),
            },
            tools: tools::tools(self.frame.shop, self.plan, at, task),
            bending: bends::bending(self.frame, part, at),
            next: step.and_then(|step| order.steps.get(step + 1)),
        })
    }
}
