//! The shop as variables, nogoods, arcs and costs.
//!
//! A step has one variable for the minute at which its run starts. Steps of a route that is not taken have one
//! too; they may stand beyond the horizon ([`super::arcs::far`]), where they are in nobody's way, so that arcs along a route
//! hold whether it is taken or not. What a route that is taken asks for has the route among its conditions.
//!
//! * Routes, and choices where there are several, are yes or no.
//! * Two operations that may be done on one cell have a yes or no for their order.
//! * On a cell with changeovers, each operation has one right before it, or the begin of the plan. The setup is
//!   that changeover, in minutes and in money, and begins at a minute of its own, as it may be done ahead.
//! * Two operations on two cells that need the same tool, of which there is one piece, have a yes or no for
//!   their order; so do two setups or runs that need the same crew of one head.
//!
//! What is left out: tools of several pieces, crews of several heads but for their hours, and some of what keeps a
//! setup apart from another one that stands still meanwhile, as its cell does.

mod cells;
mod jobs;
mod shared;

use super::super::tasks::{Choice, Needs, Shop};
use super::arcs::{Arc, Shift};
use super::costs::{Costs, Group};
use super::nogoods::Nogoods;
use super::trail::{Atom, Trail, Var};
use std::rc::Rc;

/// Nothing is left: no schedule costs less than the one that is known.
#[derive(Debug)]
pub(super) struct Nothing;

/// A yes or no that may be tried.
#[derive(Clone, Debug)]
pub(super) enum Decision {
    /// Whether the first of two operations comes before the other, if both are there.
    Order { var: Var, starts: [Var; 2], there: [Option<Atom>; 2] },
    /// Anything else; whether to try yes first.
    Plain { var: Var, yes: bool },
}

/// The variables of a step.
#[derive(Clone, Debug)]
pub(super) struct StepVars {
    pub(super) start: Var,
    /// When the setup of each choice begins.
    pub(super) set_up: Vec<Var>,
    /// That each choice is taken; `None`: ruled out. An inner `None`: whenever the job is made.
    pub(super) takes: Vec<Option<Option<Atom>>>,
}

/// The variables of a job.
#[derive(Clone, Debug, Default)]
pub(super) struct JobVars {
    /// That each plan is followed, as [`StepVars::takes`].
    pub(super) follows: Vec<Option<Option<Atom>>>,
    /// `None` for steps of no plan that is open.
    pub(super) steps: Vec<Option<StepVars>>,
}

/// The shop as variables and rules.
pub(super) struct Model {
    pub(super) trail: Trail,
    pub(super) nogoods: Nogoods,
    pub(super) arcs: Vec<Arc>,
    pub(super) costs: Costs,
    pub(super) decisions: Vec<Decision>,
    pub(super) jobs: Vec<JobVars>,
}

/// A choice that may be taken on a cell.
#[derive(Clone)]
struct Act {
    job: usize,
    step: usize,
    choice: usize,
    start: Var,
    /// When its setup begins, where there is one.
    set_up: Var,
    there: Option<Atom>,
    /// Positions of the cell between which its run starts, if it is there.
    span: (i64, i64),
    run: i64,
    key: usize,
    setup: i64,
    /// Pinned work has its setup in its run.
    pinned: bool,
    needs: Rc<Needs>,
}

/// One operation right before another on a cell.
struct Right {
    cell: usize,
    /// Among the cell's acts; `None`: nothing, as the second one is the first of all.
    before: Option<usize>,
    after: usize,
    holds: Atom,
    minutes: i64,
}

/// What is known of the order of two operations, the first before the second, if both are there.
#[derive(Clone, Copy, PartialEq)]
enum Order {
    Open(Atom),
    Yes,
    No,
    /// They are never both there.
    Apart,
}

impl Order {
    /// What has to hold for the first to come before the second, if they are there; `None` if it never does.
    fn condition(self) -> Option<Option<Atom>> {
        match self {
            Self::Open(atom) => Some(Some(atom)),
            Self::Yes => Some(None),
            Self::No | Self::Apart => None,
        }
    }
}

impl Model {
    /// The model of a shop, its starts narrowed already.
    pub(super) fn new(shop: &Shop) -> Result<Self, Nothing> {
        let mut builder = Builder {
            shop,
            out: Self {
                trail: Trail::default(),
                nogoods: Nogoods::default(),
                arcs: Vec::new(),
                costs: Costs { base: shop.sunk, groups: Vec::new(), late: Vec::new() },
                decisions: Vec::new(),
                jobs: Vec::new(),
            },
            given: Vec::new(),
            acts: vec![Vec::new(); shop.cells.len()],
            rights: Vec::new(),
        };
        for (job, task) in shop.tasks.iter().enumerate() {
            builder.job(job, task)?;
        }
        for cell in 0..shop.cells.len() {
            builder.cell(cell);
        }
        builder.offers();
        builder.share();
        let Builder { mut out, given, .. } = builder;
        out.nogoods = Nogoods::new(out.trail.sides());
        for atoms in given {
            if !out.nogoods.give(atoms, &mut out.trail) {
                return Err(Nothing);
            }
        }
        Ok(out)
    }
}

struct Builder<'a> {
    shop: &'a Shop,
    out: Model,
    given: Vec<Vec<Atom>>,
    /// By cell.
    acts: Vec<Vec<Act>>,
    rights: Vec<Right>,
}

impl Builder<'_> {
    fn yes_or_no(&mut self, yes: bool) -> Var {
        let var = self.out.trail.var(0, 1);
        self.out.decisions.push(Decision::Plain { var, yes });
        var
    }

    /// Not all of these hold; `None` holds always.
    fn never(&mut self, atoms: &[Option<Atom>]) {
        self.given.push(atoms.iter().copied().flatten().collect());
    }

    /// Exactly one of these holds, if `there` holds; otherwise none.
    fn one_of(&mut self, atoms: &[Atom], there: Option<Atom>) {
        let none: Vec<Option<Atom>> = atoms.iter().map(|atom| Some(atom.not())).chain([there]).collect();
        self.never(&none);
        for (at, a) in atoms.iter().enumerate() {
            for b in &atoms[..at] {
                self.never(&[Some(*a), Some(*b)]);
            }
            if let Some(there) = there {
                self.never(&[Some(*a), Some(there.not())]);
            }
        }
    }

    fn arc(&mut self, conditions: &[Option<Atom>], from: Var, to: Var, shift: Shift) {
        let conditions = conditions.iter().copied().flatten().collect();
        self.out.arcs.push(Arc { conditions, from, to, shift });
    }

    fn group(&mut self, ways: Vec<(Atom, f64)>) {
        if ways.iter().any(|(_, cost)| *cost > 0.0) {
            self.out.costs.groups.push(Group::new(ways));
        }
    }

    /// What is bought.
    fn offers(&mut self) {
        let shop = self.shop;
        for (number, offer) in shop.offers.iter().enumerate().filter(|(_, offer)| offer.price > 0.0) {
            let mut using = Vec::new();
            for (task, vars) in shop.tasks.iter().zip(&self.out.jobs) {
                for (step, vars) in task.steps.iter().zip(&vars.steps) {
                    let Some(vars) = vars else { continue };
                    let uses =
                        |choice: &Choice| choice.offers.iter().any(|link| shop.offer_links[*link] == number);
                    let takes = step.choices.iter().zip(&vars.takes).filter(|(choice, _)| uses(choice));
                    using.extend(takes.filter_map(|(_, take)| *take));
                }
            }
            if using.is_empty() {
                continue;
            }
            let bought = Atom::yes(self.yes_or_no(false));
            for take in using {
                self.never(&[take, Some(bought.not())]);
            }
            self.group(vec![(bought.not(), 0.0), (bought, offer.price)]);
        }
    }
}
