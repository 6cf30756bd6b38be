//! How far an order has come at plan start.

use super::calendars::Span;
use super::finding::Finding;
use super::frame::Frame;
use super::key::StepKind;
use super::steps::{Step, work_for};
use elbowroom_problem::CellIdx;
use elbowroom_shop::cell::WorkKind;
use elbowroom_shop::order::Order;
use elbowroom_shop::underway::RunningStep;
use elbowroom_units::Minutes;
use std::collections::BTreeMap;

/// How far an order has come.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Status {
    /// How many of the part's steps are behind it.
    pub(crate) done: usize,
    /// The next step, if it is running.
    pub(crate) running: Option<Running>,
}

/// A running step.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Running {
    pub(crate) place: RunningPlace,
    /// Working time left; more than 0.
    pub(crate) remaining: Minutes,
}

/// Where a step is running.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum RunningPlace {
    Cell(CellIdx),
    Vendor(String),
}

/// Reads the shop floor's word, keeping note of which cells are taken.
pub(crate) struct ShopFloor<'a> {
    frame: &'a Frame<'a>,
    open: &'a [Vec<Span>],
    taken: BTreeMap<CellIdx, String>,
}

impl<'a> ShopFloor<'a> {
    /// `open`: the windows of every cell.
    pub(crate) fn new(frame: &'a Frame<'a>, open: &'a [Vec<Span>]) -> Self {
        Self { frame, open, taken: BTreeMap::new() }
    }

    /// How far an order has come. What cannot be believed is set aside with a warning, and the
    /// step is then planned as not begun.
    pub(crate) fn status(&mut self, order: &Order, steps: &[Step], findings: &mut Vec<Finding>) -> Status {
        let Some(told) = self.frame.underway(&order.id) else { return Status::default() };
        let position = |name: &str| steps.iter().position(|step| step.name == name);
        let mut status = Status::default();
        for name in &told.done {
            match position(name) {
                // What comes before a finished step is finished too, reported or not.
                Some(found) => status.done = status.done.max(found + 1),
                None => findings.push(unknown_step(order, name, steps)),
            }
        }
        if let Some(running) = &told.running {
            match position(&running.step) {
                None => findings.push(unknown_step(order, &running.step, steps)),
                Some(at) => self.set_running(order, (at, &steps[at]), running, &mut status, findings),
            }
        }
        status
    }

    fn set_running(
        &mut self,
        order: &Order,
        (at, step): (usize, &Step),
        told: &RunningStep,
        status: &mut Status,
        findings: &mut Vec<Finding>,
    ) {
        if at < status.done {
            findings.push(Finding::warning(
                &order.id,
                format!(
                    "step `{}` is running although it or a later step is done; it counts as done",
                    step.name
                ),
                "correct underway.toml",
            ));
            return;
        }
        status.done = at;
        if told.remaining <= Minutes::ZERO {
            status.done = at + 1;
            return;
        }
        match self.place(order, step, told) {
            Ok(place) => status.running = Some(Running { place, remaining: told.remaining }),
            Err(why) => findings.push(Finding::warning(
                &order.id,
                format!(
                    "step `{}` cannot be running on `{}`: {why}; it is planned as not begun",
                    step.name, told.cell
                ),
                "correct underway.toml",
            )),
        }
    }

    fn place(&mut self, order: &Order, step: &Step, told: &RunningStep) -> Result<RunningPlace, String> {
        if let Some(service) = &step.service {
            let vendors = &self.frame.shop.vendors;
            let known = vendors.iter().any(|vendor| vendor.id == told.cell && &vendor.service == service);
            return if known {
                Ok(RunningPlace::Vendor(told.cell.clone()))
            } else {
                Err(format!("no such vendor does {service}"))
            };
        }
        let cell = self.cell(step, &told.cell)?;
        if self.open[cell.get()].is_empty() {
            return Err("the cell is never open".to_owned());
        }
        if let Some(other) = self.taken.get(&cell) {
            return Err(format!("order `{other}` is running there"));
        }
        self.taken.insert(cell, order.id.clone());
        Ok(RunningPlace::Cell(cell))
    }

    fn cell(&self, step: &Step, id: &str) -> Result<CellIdx, String> {
        let cells = &self.frame.shop.cells;
        let at = cells.iter().position(|cell| cell.id == id).ok_or("there is no such cell")?;
        let does_it = match (step.kind, cells[at].work) {
            (StepKind::Bend, WorkKind::Bend(_)) => true,
            (kind, work) => work_for(kind) == Some(work),
        };
        if does_it { Ok(CellIdx::new(at)) } else { Err(format!("that cell does {}", cells[at].work)) }
    }
}

fn unknown_step(order: &Order, name: &str, steps: &[Step]) -> Finding {
    let names: Vec<&str> = steps.iter().map(|step| step.name.as_str()).collect();
    Finding::warning(
        &order.id,
        format!("`{name}` is no step of part `{}`; it is set aside", order.part),
        format!("its steps are {}", crate::words::listed(&names, names.len())),
    )
}
