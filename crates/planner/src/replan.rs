//! A new plan that keeps what it can of the one that stood.
//!
//! # What is guaranteed
//! * Work under way and what is reported as done stand: they come with the shop ([`Shop::underway`]). What was to
//!   be sent out by now and is not reported comes with it as sent, and is named ([`Kept::presumed`]).
//! * **Frozen zone.** A step of the plan that stood which begins within [`Steadiness::frozen`] of
//!   the new plan's first working minute keeps its cell and the start of its run, unless that breaks a
//!   rule; then it is named with the reason ([`Kept::thawed`]). Its run ends at the same minute too, unless
//!   it takes another time now. Its changeover begins earlier where it takes longer now, and is dropped where
//!   the right setup stands mounted.
//! * **Price of moving.** An order is moved if it is finished by more than [`Steadiness::moved_by`]
//!   sooner or later than announced. Several plans are made: one that moves nothing but what cannot
//!   stand, one made without regard to moves, and some between; taken is the one with the least sum
//!   of its cost and [`Steadiness::move_cost`] for every order moved. So the sum is never above that
//!   of either end: with a price high enough nothing moves but what must (or what must be moved to
//!   make room is not moved at all), and without a price the plan is the one made without regard to
//!   moves. It is not proved that no plan between them has a smaller sum.
//! * The plan is one of the plain problem: the verifier judges every step by every rule, those that
//!   stand too. With a frozen zone no lower bound is claimed: it would be one for the rest only.

mod freeze;
mod hold;
mod lasts;
mod price;
mod reason;
mod text;

use crate::compile::{Compiled, Request};
use crate::late_setups::without_early_setups;
use crate::near::Near;
use crate::week::{PlanError, Planned, Solved, attempts, plan_week, refused};
use elbowroom_engine::{Failure, Settings, Watch, solve_near};
use elbowroom_problem::{Placement, Problem};
use elbowroom_shop::underway::Underway;
use elbowroom_shop::{Shop, Steadiness};
use elbowroom_units::{Minute, Minutes, Money};
use elbowroom_verify::verify;
use freeze::{Frozen, first_minute, frozen};
use hold::{Gaps, held, released};
use reason::Ground;

/// A new plan, and what it kept.
#[derive(Clone, Debug)]
pub struct Replanned {
    /// The plan.
    pub planned: Planned,
    /// What became of the one that stood.
    pub kept: Kept,
}

/// What became of the plan that stood.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Kept {
    /// Where the frozen zone ends; `None`: there is none.
    pub frozen_until: Option<Minute>,
    /// How many steps stand in it.
    pub frozen: usize,
    /// Steps that were to stand in it and cannot, in order of time.
    pub thawed: Vec<Thawed>,
    /// Steps that should have begun before this plan's first minute and are reported neither as
    /// begun nor as done: they are planned again.
    pub unreported: usize,
    /// Steps outside that are taken as sent when they were planned to be, as nothing is reported of them.
    pub presumed: Vec<Presumed>,
    /// Orders whose finish the plan that stood had announced.
    pub announced: usize,
    /// Those of them that are finished at another time now, by more than [`Steadiness::moved_by`].
    pub moved: usize,
    /// What the plan made without regard to moves costs less, and how many orders it moves, where
    /// moving has a price and that plan was not taken.
    pub freely: Option<(Money, usize)>,
}

/// A step that was to stand and cannot.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Thawed {
    /// Id of the order.
    pub order: String,
    /// Name of the step.
    pub step: String,
    /// Id of the cell or vendor where it was to run.
    pub place: String,
    /// Whether that is a vendor.
    pub outside: bool,
    /// When it was to run, by the new plan's clock.
    pub was: Minute,
    /// Why it cannot.
    pub why: String,
}

/// A step outside that is taken as sent.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Presumed {
    /// Id of the order.
    pub order: String,
    /// Name of the step.
    pub step: String,
    /// Id of the vendor.
    pub vendor: String,
}

/// Plans a shop anew, keeping what it can of the plan that stood.
///
/// # Errors
/// As [`plan_week`].
pub fn replan_week(
    shop: &Shop,
    request: &Request,
    settings: &Settings,
    watch: &dyn Watch,
    near: Near<'_>,
    steadiness: &Steadiness,
) -> Result<Replanned, PlanError> {
    let mut kept = Kept::default();
    let planned = attempts(shop, request, watch, |compiled| {
        let again = Again::new(shop, compiled, near, steadiness);
        let solved = price::least(&again, settings, watch, &mut kept)?;
        Ok(solved)
    })?;
    Ok(Replanned { planned, kept })
}

/// Plans a shop: near the plan that stood, if there is one, else from nothing.
///
/// # Errors
/// As [`plan_week`].
pub fn plan_anew(
    shop: &Shop,
    request: &Request,
    settings: &Settings,
    watch: &dyn Watch,
    near: Option<Near<'_>>,
    steadiness: &Steadiness,
) -> Result<Replanned, PlanError> {
    match near {
        Some(near) => replan_week(shop, request, settings, watch, near, steadiness),
        None => plan_week(shop, request, settings, watch)
            .map(|planned| Replanned { planned, kept: Kept::default() }),
    }
}

/// A compiled problem with the plan that stood.
struct Again<'a> {
    ground: Ground<'a>,
    steadiness: &'a Steadiness,
    /// What stands in the frozen zone.
    zone: Frozen,
    zone_end: Minute,
    hint: Vec<Placement>,
}

impl<'a> Again<'a> {
    fn new(shop: &'a Shop, compiled: &'a Compiled, near: Near<'a>, steadiness: &'a Steadiness) -> Self {
        let first = first_minute(&compiled.problem);
        let ground = Ground { shop, compiled, near, first };
        let zone_end = first + steadiness.frozen;
        let zone = frozen(&ground, &|_, placed| placed.setup_start < zone_end);
        Self { ground, steadiness, zone, zone_end, hint: near.hint(&compiled.problem) }
    }

    /// The best plan found with some steps standing.
    fn with(
        &self,
        steps: &[Placement],
        hint: &[Placement],
        settings: &Settings,
        watch: &dyn Watch,
    ) -> Result<Result<Solved, Failure>, PlanError> {
        let problem = &self.ground.compiled.problem;
        let mut refusal = None;
        for gaps in [Gaps::Open, Gaps::Shut] {
            let pinned = held(problem, steps, gaps);
            let answer = match solve_near(&pinned, hint, settings, watch) {
                Ok(answer) => answer,
                Err(failure) => return Ok(Err(of_problem(problem, failure))),
            };
            let verified = verify(&pinned, answer.schedule).map_err(refused)?;
            let verified = without_early_setups(&pinned, verified);
            if steps.is_empty() {
                return Ok(Ok((verified, answer.figures)));
            }
            match released(problem, verified.into_schedule(), steps) {
                Ok(schedule) => return Ok(Ok((schedule, answer.figures))),
                Err(rejected) => refusal = Some(rejected),
            }
        }
        Err(refusal.map_or_else(|| PlanError::OurFault { why: Vec::new() }, refused))
    }

    /// What is known of the plan that stood before anything is planned.
    fn kept(&self) -> Kept {
        let near = self.ground.near;
        let problem = &self.ground.compiled.problem;
        let jobs = crate::near::by_id(problem);
        let before = |placed: &&Placement| placed.setup_start - near.shift < self.ground.first;
        let open = |placed: &&Placement| {
            near.translated(problem, &jobs, placed).is_ok_and(|stands| {
                let same = |at: elbowroom_problem::OptionIdx| {
                    (at.job, at.operation) == (stands.option.job, stands.option.operation)
                };
                !problem.pinned.iter().any(|pin| same(pin.option))
            })
        };
        let is_frozen = self.steadiness.frozen > Minutes::ZERO;
        Kept {
            frozen_until: is_frozen.then_some(self.zone_end),
            frozen: self.zone.steps.len(),
            thawed: self.zone.thawed.clone(),
            presumed: self.presumed(),
            unreported: near.schedule.operations.iter().filter(before).filter(open).count(),
            ..Kept::default()
        }
    }

    fn presumed(&self) -> Vec<Presumed> {
        let of = |underway: &Underway| {
            let running = underway.running.as_ref().filter(|running| running.presumed)?;
            let (step, vendor) = (running.step.clone(), running.cell.clone());
            Some(Presumed { order: underway.order.clone(), step, vendor })
        };
        self.ground.shop.underway.iter().filter_map(of).collect()
    }
}

/// A failure that names no job which only holds a gap.
fn of_problem(problem: &Problem, failure: Failure) -> Failure {
    match failure {
        Failure::Impossible { job, why } | Failure::NoneFound { job: Some(job), why }
            if job.get() >= problem.jobs.len() =>
        {
            Failure::NoneFound { job: None, why }
        }
        other => other,
    }
}
