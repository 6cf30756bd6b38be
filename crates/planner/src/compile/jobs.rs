//! Orders become jobs: routes, operations and options.

use super::calendars::{Calendars, MOST_WEEKS};
use super::finding::Finding;
use super::frame::Frame;
use super::key::{JobKey, JobRole, ReleaseReason, RouteKey, StepKey, StepKind};
use super::pins::PinAsked;
use super::rack::Rack;
use super::setups::Setups;
use super::status::{Running, RunningPlace, ShopFloor, Status};
use super::steps::{Step, pieces_in, steps_of};
use super::ways::{PartFits, Way, Ways};
use crate::plan::LeftOut;
use crate::words::listed;
use elbowroom_problem::{CellIdx, Job, JobIdx, Operation, OptionIdx, Route, Work};
use elbowroom_shop::order::Order;
use elbowroom_shop::part::{Part, StockTube};
use elbowroom_units::{Minute, Minutes, Money, Seconds};

/// The jobs made so far, and everything noted on the way.
pub(crate) struct Jobs<'a> {
    pub(super) frame: &'a Frame<'a>,
    pub(super) calendars: &'a Calendars,
    floor: ShopFloor<'a>,
    ways: Ways<'a>,
    pub(crate) rack: Rack<'a>,
    pub(crate) setups: Setups,
    pub(crate) jobs: Vec<Job>,
    pub(crate) keys: Vec<JobKey>,
    pub(crate) pins: Vec<PinAsked>,
    pub(crate) left_out: Vec<LeftOut>,
    pub(crate) findings: Vec<Finding>,
}

/// An order with what belongs to it.
pub(super) struct Asked<'a> {
    pub(super) order: &'a Order,
    pub(super) part: &'a Part,
    pub(super) tube: &'a StockTube,
    steps: Vec<Step>,
    pub(super) status: Status,
}

impl<'a> Asked<'a> {
    fn remaining(&self) -> &[Step] {
        &self.steps[self.status.done..]
    }

    /// Whether bending is still to do, or running.
    fn is_to_be_bent(&self) -> bool {
        self.remaining().iter().any(|step| step.kind == StepKind::Bend)
    }

    pub(super) fn is_running(&self, step: &Step) -> bool {
        self.status.running.is_some() && self.remaining().first() == Some(step)
    }
}

/// What one way of bending makes of an order; `way` is `None` where bending is done.
pub(super) struct Course<'w> {
    pub(super) way: Option<&'w Way>,
    pub(super) washing: Option<Seconds>,
    pub(super) cut_ends: u32,
    start_pieces: u32,
}

type Built = (Route, RouteKey);

impl<'a> Jobs<'a> {
    pub(crate) fn new(frame: &'a Frame<'a>, calendars: &'a Calendars, ways: Ways<'a>) -> Self {
        Self {
            frame,
            calendars,
            floor: ShopFloor::new(frame, &calendars.windows),
            ways,
            rack: Rack::new(frame),
            setups: Setups::new(frame.shop.cells.len()),
            jobs: Vec::new(),
            keys: Vec::new(),
            pins: Vec::new(),
            left_out: Vec::new(),
            findings: Vec::new(),
        }
    }

    /// Makes the job of the order at a position of the order book, or notes why there is none.
    pub(crate) fn add(&mut self, position: usize) {
        let order = &self.frame.shop.orders[position];
        let Some((part_at, part)) = self.frame.part_of(order) else {
            return self.leave_out(order, vec![format!("there is no part `{}`", order.part)]);
        };
        let Some(tube) = self.frame.tube_of(part) else {
            return self.leave_out(order, vec![format!("there is no tube `{}`", part.tube)]);
        };
        if self.material_of(order) >= self.calendars.end {
            return self.leave_out(
                order,
                vec![format!("its tube comes later than the {MOST_WEEKS} weeks that a plan can reach")],
            );
        }
        let steps = steps_of(part);
        let status = self.floor.status(order, &steps, &mut self.findings);
        let asked = Asked { order, part, tube, steps, status };
        let fits = self.ways.of(part_at);
        match self.routes(&asked, &fits) {
            Ok(built) if built.is_empty() => self.findings.push(Finding::note(
                &order.id,
                "every step is done; there is nothing left to plan",
                "take it out of the order book",
            )),
            Ok(built) => self.add_job(position, &asked, built),
            Err(reasons) => self.leave_out(order, reasons),
        }
    }

    /// When its tube is in the house.
    fn material_of(&self, order: &Order) -> Minute {
        order.material.map_or(Minute::ZERO, |date| self.frame.received(date)).max(Minute::ZERO)
    }

    fn leave_out(&mut self, order: &Order, reasons: Vec<String>) {
        self.left_out.push(LeftOut { order: order.id.clone(), part: order.part.clone(), reasons });
    }

    /// Every route that the shop allows; empty if nothing is left to do.
    fn routes(&mut self, asked: &Asked<'_>, fits: &PartFits) -> Result<Vec<Built>, Vec<String>> {
        if !asked.is_to_be_bent() {
            return self.route_after_bending(asked, fits);
        }
        let ways = self.open_ways(asked, fits)?;
        let mut built = Vec::new();
        let mut reasons = Vec::new();
        for way in &ways {
            let course = Course {
                way: Some(way),
                washing: way.washing(),
                cut_ends: way.cut_ends(),
                start_pieces: way.pieces_to_start(asked.order.quantity),
            };
            match self.route(asked, &course) {
                Ok(route) => built.push(route),
                Err(why) if reasons.contains(&why) => {}
                Err(why) => reasons.push(why),
            }
        }
        if built.is_empty() { Err(reasons) } else { Ok(built) }
    }

    /// The ways still open: all that the shop has, or the one by which it is being bent now.
    fn open_ways(&mut self, asked: &Asked<'_>, fits: &PartFits) -> Result<Vec<Way>, Vec<String>> {
        let all = fits.ways(self.frame);
        let Some(cell) = bending_now(asked) else {
            return if all.is_empty() { Err(self.no_way(fits)) } else { self.manned(all) };
        };
        let here = all.into_iter().find_map(|way| {
            let cells: Vec<_> = way.cells.iter().filter(|(at, _)| *at == cell).cloned().collect();
            (!cells.is_empty()).then_some(Way { process: way.process, cells })
        });
        match here {
            Some(way) => Ok(vec![way]),
            None => self.believed_way(asked, cell).map(|way| vec![way]).ok_or_else(|| self.no_way(fits)),
        }
    }

    /// The ways with the cells that are ever open, if any is left.
    fn manned(&self, ways: Vec<Way>) -> Result<Vec<Way>, Vec<String>> {
        let all: Vec<CellIdx> = ways.iter().flat_map(Way::cell_indices).collect();
        let open: Vec<Way> =
            ways.into_iter().filter_map(|way| way.manned(self.frame, self.calendars)).collect();
        if open.is_empty() {
            let id = |cell: &CellIdx| self.frame.shop.cells[cell.get()].id.as_str();
            let ids: Vec<&str> = all.iter().map(id).collect();
            return Err(vec![format!("{}: never open with its crew", listed(&ids, ids.len()))]);
        }
        Ok(open)
    }

    /// It is being bent where the rules say it cannot: the shop floor knows better.
    fn believed_way(&mut self, asked: &Asked<'_>, cell: CellIdx) -> Option<Way> {
        let found = &self.frame.shop.cells[cell.get()];
        self.findings.push(Finding::warning(
            &asked.order.id,
            format!(
                "part `{}` is running on `{}`, which could not bend it by the rules",
                asked.part.id, found.id
            ),
            "correct the cell's limits or underway.toml; the plan takes it as it is",
        ));
        super::knowledge::believed_way(self.frame, asked.part, cell)
    }

    fn no_way(&self, fits: &PartFits) -> Vec<String> {
        if fits.refusals.is_empty() {
            return vec!["the shop has no bending cell".to_owned()];
        }
        fits.reasons(self.frame)
    }

    /// Nobody wrote down how it was bent, so it is washed if any way of bending it calls for it
    /// and washing is not reported as done.
    fn route_after_bending(&mut self, asked: &Asked<'_>, fits: &PartFits) -> Result<Vec<Built>, Vec<String>> {
        let ways = fits.ways(self.frame);
        let course = Course {
            way: None,
            washing: ways.iter().filter_map(Way::washing).max(),
            cut_ends: ways.iter().map(Way::cut_ends).max().unwrap_or(0),
            start_pieces: asked.order.quantity,
        };
        if wanted_steps(asked, &course).is_empty() {
            return Ok(Vec::new());
        }
        self.route(asked, &course).map(|built| vec![built]).map_err(|why| vec![why])
    }

    fn route(&mut self, asked: &Asked<'_>, course: &Course<'_>) -> Result<Built, String> {
        let mut operations = Vec::new();
        let mut keys = Vec::new();
        let steps = wanted_steps(asked, course);
        for (at, step) in steps.iter().enumerate() {
            let pieces = pieces_in(step.kind, asked.order.quantity, course.start_pieces);
            let (places, options): (Vec<String>, Vec<Work>) =
                self.options(asked, course, step, pieces)?.into_iter().unzip();
            let lag_after = self.lag(step, steps.get(at + 1).copied());
            operations.push(Operation { id: step.name.clone(), lag_after, options });
            keys.push(StepKey { kind: step.kind, pieces, places });
        }
        let process = course.way.map(|way| way.process);
        let id = process.map_or("rest", |process| process.name()).to_owned();
        let blank = course.way.and_then(Way::blank);
        Ok((Route { id, cost: Money::ZERO, operations }, RouteKey { process, blank, steps: keys }))
    }

    /// Wall-clock time between two steps. A vendor's turnaround has its transport in it.
    fn lag(&self, step: &Step, next: Option<&Step>) -> Minutes {
        let Some(next) = next else { return Minutes::ZERO };
        let times = &self.frame.shop.step_times;
        let drying = if step.kind == StepKind::Wash { times.wash.drying } else { Minutes::ZERO };
        let outside = step.kind == StepKind::Outside || next.kind == StepKind::Outside;
        if outside { drying } else { drying + self.frame.shop.terms.transfer }
    }

    /// The job of an order. A running step is pinned; where several routes are open behind it, it
    /// stands as a job of its own, since a pin would fix the route.
    fn add_job(&mut self, position: usize, asked: &Asked<'_>, mut built: Vec<Built>) {
        let order = asked.order;
        let begun = asked.status.done > 0 || asked.status.running.is_some();
        let mut release = if begun { Minute::ZERO } else { self.material_of(order) };
        let mut reason =
            if release > Minute::ZERO { ReleaseReason::Material } else { ReleaseReason::Nothing };
        let goes_out =
            |(_, key): &Built| key.steps.first().is_some_and(|step| step.kind == StepKind::Outside);
        if asked.status.running.is_none() && built.iter().all(goes_out) {
            // No cell says when that can be, and nobody is there to send it before the first of them opens.
            release = release.max(self.calendars.first_open());
        }
        if let Some(running) = &asked.status.running {
            if built.len() > 1 {
                release = self.add_running_job(position, asked, running, &mut built);
                reason = ReleaseReason::Running;
            } else {
                let option =
                    OptionIdx { job: JobIdx::new(self.jobs.len()), route: 0, operation: 0, option: 0 };
                self.pins.push(PinAsked::new(option, running));
            }
        }
        let (routes, keys) = built.into_iter().unzip();
        self.jobs.push(Job {
            id: order.id.clone(),
            release,
            due: self.frame.due(order.promised),
            late_cost_per_day: self.frame.late_cost(order),
            routes,
        });
        self.keys.push(JobKey { order: position, role: JobRole::Rest, release: reason, routes: keys });
    }

    /// Moves the running step into a job of its own; returns when the rest can begin.
    fn add_running_job(
        &mut self,
        position: usize,
        asked: &Asked<'_>,
        running: &Running,
        built: &mut [Built],
    ) -> Minute {
        let mut first = None;
        for (route, key) in built.iter_mut() {
            first = Some((route.operations.remove(0), key.steps.remove(0)));
        }
        let Some((mut operation, step)) = first else { return Minute::ZERO };
        let lag = std::mem::replace(&mut operation.lag_after, Minutes::ZERO);
        let option = OptionIdx { job: JobIdx::new(self.jobs.len()), route: 0, operation: 0, option: 0 };
        let pin = PinAsked::new(option, running);
        let end = pin.end(&self.calendars.windows);
        self.pins.push(pin);
        let id = unused_id(&self.frame.shop.orders, format!("{} {} (running)", asked.order.id, operation.id));
        self.jobs.push(Job {
            id,
            release: Minute::ZERO,
            due: end,
            late_cost_per_day: Money::ZERO,
            routes: vec![Route { id: "running".to_owned(), cost: Money::ZERO, operations: vec![operation] }],
        });
        let routes = vec![RouteKey { process: None, blank: None, steps: vec![step] }];
        self.keys.push(JobKey {
            order: position,
            role: JobRole::Running,
            release: ReleaseReason::Nothing,
            routes,
        });
        end + lag
    }
}

/// The cell on which the order is being bent now.
fn bending_now(asked: &Asked<'_>) -> Option<CellIdx> {
    let bend = asked.remaining().first().is_some_and(|step| step.kind == StepKind::Bend);
    match asked.status.running.as_ref().filter(|_| bend)?.place {
        RunningPlace::Cell(cell) => Some(cell),
        RunningPlace::Vendor(_) => None,
    }
}

/// The steps that are left and needed on a course; a running step always is.
fn wanted_steps<'s>(asked: &'s Asked<'_>, course: &Course<'_>) -> Vec<&'s Step> {
    let washed = course.washing.is_some();
    let wanted = |step: &&Step| step.is_wanted(washed, course.cut_ends) || asked.is_running(step);
    asked.remaining().iter().filter(wanted).collect()
}

fn unused_id(orders: &[Order], mut id: String) -> String {
    while orders.iter().any(|order| order.id == id) {
        id.push('\'');
    }
    id
}
