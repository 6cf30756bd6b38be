//! The plan that stands, and what is done with it.

use super::answer::{Answer, Offer};
use super::inquiry::{Inquiry, InquiryFault};
use super::place::Room;
use super::trial::{Trial, carried};
use super::{asked, place};
use crate::compile::{CompileError, Compiled, Frame, JobRole, Key, Known, Request, arrival, compile_known};
use chrono::NaiveDate;
use elbowroom_problem::{JobIdx, Problem, Schedule};
use elbowroom_shop::Shop;
use elbowroom_shop::order::Order;
use elbowroom_units::{Minute, Minutes, Money};
use elbowroom_verify::{VerifiedSchedule, verify};
use std::collections::BTreeSet;
use std::fmt;
use std::sync::Arc;

/// A shop with a plan that the verifier has accepted for it.
#[derive(Clone, Debug)]
pub struct Standing {
    pub(super) shop: Shop,
    pub(super) request: Request,
    /// Of the shop; its book may grow.
    pub(super) known: Arc<Known>,
    /// Positions of the planned orders in the book, in the order of the plan's jobs.
    pub(super) orders: Vec<usize>,
    pub(super) compiled: Compiled,
    pub(super) schedule: VerifiedSchedule,
    pub(super) fitted: Vec<String>,
    pub(super) unplanned: Vec<String>,
}

/// Why a plan does not fit a shop.
#[derive(Clone, Debug, PartialEq)]
pub enum PlanMisfit {
    /// None of the plan's orders can be made any more, or there are none.
    Nothing,
    /// Jobs of the plan that the shop no longer has.
    Gone {
        /// Ids of the orders.
        orders: Vec<String>,
    },
    /// The shop has changed so that the plan would break its rules.
    Broken {
        /// Every violation.
        violations: Vec<String>,
    },
    /// The program contradicted itself.
    OurFault {
        /// What was wrong.
        why: String,
    },
}

impl fmt::Display for PlanMisfit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Nothing => write!(f, "no order of the plan can be made in this shop"),
            Self::Gone { orders } => {
                write!(f, "the plan has work that the shop no longer has: {}", orders.join(", "))
            }
            Self::Broken { violations } => {
                write!(f, "the shop has changed since the plan was made: {}", violations.join("; "))
            }
            Self::OurFault { why } => write!(f, "the program contradicted itself: {why}"),
        }
    }
}

impl std::error::Error for PlanMisfit {}

/// A shop compiled for a plan that was made before, which is still to be read.
#[derive(Clone, Debug)]
pub struct Recompiled {
    shop: Shop,
    request: Request,
    known: Arc<Known>,
    orders: Vec<usize>,
    since: Vec<usize>,
    compiled: Compiled,
}

impl Recompiled {
    /// Compiles the orders that `planned`, the problem of a plan made before, has.
    ///
    /// # Errors
    /// If the shop no longer has them all, or is itself at fault.
    pub fn new(shop: Shop, request: Request, planned: &Problem) -> Result<Self, PlanMisfit> {
        let ids: BTreeSet<&str> = planned.jobs.iter().map(|job| job.id.as_str()).collect();
        let all = 0..shop.orders.len();
        let (orders, since): (Vec<usize>, Vec<usize>) =
            all.partition(|at| ids.contains(shop.orders[*at].id.as_str()));
        let known = Arc::new(Known::new(&shop, &request));
        let compiled = compile_known(&shop, &request, &known, &orders, 1, planned.horizon).map_err(misfit)?;
        let there: BTreeSet<&str> = compiled.problem.jobs.iter().map(|job| job.id.as_str()).collect();
        let gone: Vec<String> = ids.difference(&there).map(|id| (*id).to_owned()).collect();
        if !gone.is_empty() {
            return Err(PlanMisfit::Gone { orders: gone });
        }
        Ok(Self { shop, request, known, orders, since, compiled })
    }

    /// The problem whose schedule the plan must be.
    #[must_use]
    pub fn problem(&self) -> &Problem {
        &self.compiled.problem
    }

    /// The plan stands, if its schedule keeps every rule. Orders booked since it was made are
    /// fitted in where they cost least without harm to others.
    ///
    /// # Errors
    /// If the schedule breaks a rule.
    pub fn standing(self, mut schedule: Schedule) -> Result<Standing, PlanMisfit> {
        schedule.lower_bound = None;
        let schedule = verify(&self.compiled.problem, schedule).map_err(|rejected| PlanMisfit::Broken {
            violations: rejected.violations.iter().map(ToString::to_string).collect(),
        })?;
        let Self { shop, request, known, orders, since, compiled } = self;
        let (fitted, unplanned) = (Vec::new(), Vec::new());
        let standing = Standing { shop, request, known, orders, compiled, schedule, fitted, unplanned };
        standing.with_booked(&since)
    }
}

fn misfit(error: CompileError) -> PlanMisfit {
    match error {
        CompileError::NothingToPlan { .. } => PlanMisfit::Nothing,
        CompileError::Faulty(faults) => PlanMisfit::OurFault {
            why: faults.iter().map(ToString::to_string).collect::<Vec<_>>().join("; "),
        },
    }
}

impl Standing {
    /// The shop, accepted inquiries in its book.
    #[must_use]
    pub fn shop(&self) -> &Shop {
        &self.shop
    }

    /// The first day of the plan.
    #[must_use]
    pub fn start(&self) -> NaiveDate {
        self.request.start
    }

    /// The problem of the plan with all that has been fitted in.
    #[must_use]
    pub fn problem(&self) -> &Problem {
        &self.compiled.problem
    }

    /// The plan's schedule with all that has been fitted in.
    #[must_use]
    pub fn schedule(&self) -> &VerifiedSchedule {
        &self.schedule
    }

    /// Ids of orders of the book that the plan did not have and that were fitted in.
    #[must_use]
    pub fn fitted(&self) -> &[String] {
        &self.fitted
    }

    /// Ids of orders of the book that cannot be made, or for which there was no place.
    #[must_use]
    pub fn unplanned(&self) -> &[String] {
        &self.unplanned
    }

    /// When an order of the plan is finished; `None` if the plan has no such order.
    #[must_use]
    pub fn finish(&self, order: &str) -> Option<Minute> {
        let mut jobs = self.compiled.key.jobs.iter().enumerate();
        let found =
            jobs.find(|(_, job)| job.role == JobRole::Rest && self.shop.orders[job.order].id == order);
        found.map(|(at, _)| self.end(JobIdx::new(at)))
    }

    /// When an order promised for a date must be finished.
    pub(crate) fn due(&self, date: NaiveDate) -> Minute {
        self.compiled.clock.minute(date, self.shop.terms.ship_by)
    }

    /// When a tool ordered on the plan's first day can be used.
    pub(crate) fn arrival(&self, lead: Minutes) -> Minute {
        arrival(&self.compiled.clock, &self.shop.terms, self.request.start, lead)
    }

    /// What a late day of an order costs.
    pub(crate) fn late_cost(&self, order: &Order) -> Money {
        Frame::new(&self.shop, &self.request).late_cost(order)
    }

    /// When a job of the plan ends.
    pub(crate) fn end(&self, job: JobIdx) -> Minute {
        place::end_of(self.schedule.schedule(), job)
    }

    /// Whether the plan buys a tool.
    pub(crate) fn buys(&self, tool: &str) -> bool {
        let problem = &self.compiled.problem;
        self.schedule.schedule().purchases.iter().any(|bought| problem.tool(*bought).id == tool)
    }

    /// What compiling knows of the shop.
    pub(crate) fn known(&self) -> &Known {
        &self.known
    }

    pub(crate) fn request(&self) -> &Request {
        &self.request
    }

    pub(crate) fn key(&self) -> &Key {
        &self.compiled.key
    }

    /// Every way of making what is asked for, with dates, costs and a recommendation. The plan
    /// stays as it is. `threads`: how many may look at ways side by side; the answer is the same.
    ///
    /// # Errors
    /// If the inquiry itself is at fault, nobody can make it, or there is no place for it.
    pub fn answer(&self, inquiry: &Inquiry, threads: usize) -> Result<Answer, InquiryFault> {
        asked::answer(self, inquiry, true, threads)
    }

    /// The same without asking what forcing in would do.
    pub(crate) fn harmless_answer(&self, inquiry: &Inquiry, threads: usize) -> Result<Answer, InquiryFault> {
        asked::answer(self, inquiry, false, threads)
    }

    /// The orders that an offer becomes when it is booked: one for each lot. The last one is promised for
    /// the date that the customer is told ([`Answer::told`]).
    #[must_use]
    pub fn orders_of(&self, answer: &Answer, offer: &Offer) -> Vec<Order> {
        let asked = &answer.inquiry;
        let told = answer.told(offer);
        let order = |(number, lot): (usize, &super::answer::Lot)| Order {
            id: if number == 0 { asked.id.clone() } else { self.further_id(&asked.id, number + 1) },
            part: asked.part.clone(),
            quantity: lot.quantity,
            promised: if number + 1 == offer.lots.len() { lot.date.max(told) } else { lot.date },
            material: asked.material,
            customer: asked.customer.clone(),
            late_cost_per_day: None,
        };
        offer.lots.iter().enumerate().map(order).collect()
    }

    fn further_id(&self, id: &str, number: usize) -> String {
        let mut made = format!("{id}-{number}");
        while self.shop.orders.iter().any(|order| order.id == made) {
            made.push('\'');
        }
        made
    }

    /// The plan with an offer in it, on the minutes that it was promised by; `orders` as
    /// [`Self::orders_of`] gives them.
    ///
    /// # Errors
    /// If the offer is not one of this plan.
    pub fn accept(&self, offer: &Offer, orders: Vec<Order>) -> Result<Self, InquiryFault> {
        let mut shop = self.shop.clone();
        let first = shop.orders.len();
        shop.orders.extend(orders);
        let further: Vec<usize> = (first..shop.orders.len()).collect();
        let all: Vec<usize> = self.orders.iter().copied().chain(further).collect();
        let ours = |why: String| InquiryFault::OurFault { why };
        let reach = self.compiled.problem.horizon.max(offer.finish);
        let compiled = compile_known(&shop, &self.request, &self.known, &all, 1, reach)
            .map_err(|error| ours(format!("{error:?}")))?;
        let schedule = carried(&compiled.problem, &offer.schedule)
            .ok_or_else(|| ours("an accepted offer does not fit its plan".to_owned()))?;
        Ok(Self { shop, orders: all, compiled, schedule, ..self.clone() })
    }

    /// Fits in orders of the book that the plan does not have.
    fn with_booked(self, since: &[usize]) -> Result<Self, PlanMisfit> {
        if since.is_empty() {
            return Ok(self);
        }
        let plan = (&self.orders[..], &self.compiled.problem);
        let trial = Trial::new(&self.shop, &self.request, &self.known, plan, since, 1).map_err(misfit)?;
        let stands = trial.with(&[], false);
        let Some(schedule) = carried(&stands.problem, self.schedule.schedule()) else { return Ok(self) };
        let mut fit = Fitting { trial: &trial, jobs: Vec::new(), compiled: stands, schedule };
        let (mut orders, mut fitted, mut unplanned) = (self.orders.clone(), Vec::new(), Vec::new());
        for &order in since {
            let id = self.shop.orders[order].id.clone();
            if trial.job_of(order).is_some_and(|job| fit.add(job)) {
                orders.push(order);
                fitted.push(id);
            } else {
                unplanned.push(id);
            }
        }
        let Fitting { compiled, schedule, .. } = fit;
        Ok(Self { orders, compiled, schedule, fitted, unplanned, ..self })
    }
}

/// Orders being fitted in one after the other.
struct Fitting<'t> {
    trial: &'t Trial,
    jobs: Vec<JobIdx>,
    compiled: Compiled,
    schedule: VerifiedSchedule,
}

impl Fitting<'_> {
    /// Puts an order where it costs least without harm to others; whether there was a place.
    fn add(&mut self, job: JobIdx) -> bool {
        let jobs: Vec<JobIdx> = self.jobs.iter().copied().chain([job]).collect();
        let compiled = self.trial.with(&jobs, false);
        let Some(found) = cheapest(&compiled.problem, self.schedule.schedule()) else { return false };
        self.schedule = found;
        self.compiled = compiled;
        self.jobs = jobs;
        true
    }
}

fn cheapest(problem: &Problem, others: &Schedule) -> Option<VerifiedSchedule> {
    verify(problem, Room::new(problem, others)?.cheapest()?.schedule).ok()
}
