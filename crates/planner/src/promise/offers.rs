//! Every way tried: as one lot, and where new dies must be waited for, split in two.

use super::answer::{Binding, Buy, Forced, Harm, Lot, Offer};
use super::binding::binding;
use super::cost::{cost, tube, with_tube};
use super::dates::Dates;
use super::floor::floor;
use super::place::{Placed, Room, end_of};
use super::trial::Trial;
use super::way::{Way, ways};
use crate::compile::{Compiled, Frame, JobRole, Known, Request, StepKind};
use crate::timeline::Timeline;
use chrono::NaiveDate;
use elbowroom_problem::{Availability, JobIdx, OptionIdx, Schedule, ToolIdx};
use elbowroom_shop::Shop;
use elbowroom_units::{Minute, Minutes, Money};
use elbowroom_verify::recompute;
use std::sync::atomic::{AtomicUsize, Ordering};

/// What is asked, compiled.
pub(crate) struct Question<'q> {
    /// The shop with the lots in its book.
    pub(crate) shop: &'q Shop,
    pub(crate) request: &'q Request,
    pub(crate) known: &'q Known,
    pub(crate) trial: &'q Trial,
    /// The plan's schedule, without the lots.
    pub(crate) before: &'q Schedule,
    /// The job of all pieces as one lot.
    pub(crate) whole: JobIdx,
    /// Jobs of a first lot and the rest.
    pub(crate) splits: &'q [(JobIdx, JobIdx)],
    pub(crate) quantity: u32,
    /// The date that the customer would like.
    pub(crate) wanted: Option<NaiveDate>,
    /// Whether it is asked what forcing in would do.
    pub(crate) forcing: bool,
}

/// Every offer there is a place for, soonest first, then cheapest; ways are tried by so many
/// threads.
pub(crate) fn offers(question: &Question<'_>, threads: usize) -> Vec<Offer> {
    let compiled = question.trial.with(&[question.whole], true);
    let found = ways(&compiled, question.before, JobIdx::new(question.trial.planned));
    let Some(room) = Room::new(&compiled.problem, question.before) else { return Vec::new() };
    let splits = question.begun(&found, threads);
    let waiting: Vec<&Way> = found.iter().filter(|way| way.waits).collect();
    let tasks = found.len() + if splits.is_empty() { 0 } else { waiting.len() };
    let tried = in_parallel(tasks, threads, &|task| match found.get(task) {
        Some(way) => question.as_one(&compiled, &room, way),
        None => question.in_two(&splits, &found, waiting[task - found.len()]),
    });
    let mut offers: Vec<Offer> = tried.into_iter().flatten().collect();
    let tubes = Tubes::new(question);
    offers.iter_mut().for_each(|offer| tubes.add_to(offer));
    offers.sort_by_key(|offer| (offer.date, offer.cost.total, offer.finish));
    offers
}

/// Does tasks side by side, each thread the next one that nobody has begun; the answers stand in the
/// order of the tasks.
fn in_parallel<T: Send>(tasks: usize, threads: usize, one: &(dyn Fn(usize) -> T + Sync)) -> Vec<T> {
    let next = AtomicUsize::new(0);
    let work = || {
        let own = std::iter::repeat_with(|| next.fetch_add(1, Ordering::Relaxed));
        own.take_while(|task| *task < tasks).map(|task| (task, one(task))).collect::<Vec<_>>()
    };
    let mut done = std::thread::scope(|scope| {
        let helpers: Vec<_> = (1..threads.min(tasks)).map(|_| scope.spawn(work)).collect();
        let mut done = work();
        for helper in helpers {
            match helper.join() {
                Ok(more) => done.extend(more),
                Err(panic) => std::panic::resume_unwind(panic),
            }
        }
        done
    });
    done.sort_by_key(|(task, _)| *task);
    done.into_iter().map(|(_, answer)| answer).collect()
}

impl Question<'_> {
    /// All pieces as one lot.
    fn as_one(&self, compiled: &Compiled, room: &Room<'_>, way: &Way) -> Option<Offer> {
        let allowed = |at: OptionIdx| way.allows(at);
        let view = View { question: self, compiled };
        let least = floor(&room.line, room.job, &allowed).unwrap_or(Minute::ZERO);
        let by = |earliest: Minute, harmless: Minute| view.aim(earliest, harmless);
        let places = room.places(&allowed, least, self.forcing.then_some(&by))?;
        let harmless = &places.harmless;
        let lots = [(room.job, self.quantity)];
        let line = Timeline::new(&compiled.problem, &harmless.schedule);
        let bound = binding(self.shop, compiled, &line, room.job, &allowed);
        let mut offer = view.offer(&line, &lots, way, least, bound)?;
        offer.forced = places.forced.and_then(|forced| view.forced(room, &forced, harmless));
        Some(offer)
    }

    /// The first lots of all splits in their places, on ways that need not wait for tools; none where
    /// no way has to, or all have.
    fn begun(&self, found: &[Way], threads: usize) -> Vec<Begun> {
        let at_once: Vec<&Way> = found.iter().filter(|way| !way.waits).collect();
        if at_once.is_empty() || at_once.len() == found.len() {
            return Vec::new();
        }
        let begun = in_parallel(self.splits.len(), threads, &|at| self.begin(self.splits[at], &at_once));
        begun.into_iter().flatten().collect()
    }

    /// A first lot at once, the rest on a way that has to wait for tools: of the splits the soonest,
    /// of equal ones the cheapest.
    fn in_two(&self, splits: &[Begun], found: &[Way], way: &Way) -> Option<Offer> {
        let at_once: Vec<&Way> = found.iter().filter(|way| !way.waits).collect();
        let offers = splits.iter().filter_map(|begun| self.finish(begun, way, &at_once));
        offers.min_by_key(|offer| (offer.date, offer.cost.total))
    }

    /// The first lot in its place.
    fn begin(&self, (first, rest): (JobIdx, JobIdx), at_once: &[&Way]) -> Option<Begun> {
        let alone = self.trial.with(&[first], true);
        let allowed = |at: OptionIdx| at_once.iter().any(|way| way.allows(at));
        let placed = Room::new(&alone.problem, self.before)?.in_a_gap(&allowed)?;
        let quantity = |job: JobIdx| self.shop.orders[self.trial.compiled.key.job(job).order].quantity;
        let quantities = [quantity(first), quantity(rest)];
        Some(Begun { compiled: self.trial.with(&[first, rest], true), placed, quantities })
    }

    /// The rest behind a first lot.
    fn finish(&self, begun: &Begun, way: &Way, at_once: &[&Way]) -> Option<Offer> {
        let compiled = &begun.compiled;
        let room = Room::new(&compiled.problem, &begun.placed.schedule)?;
        let allowed = |at: OptionIdx| way.allows(at);
        let placed = room.in_a_gap(&allowed)?;
        let first = JobIdx::new(self.trial.planned);
        let view = View { question: self, compiled };
        let at_once = |at: OptionIdx| at_once.iter().any(|way| way.allows(at));
        let line = Timeline::new(&compiled.problem, &placed.schedule);
        let least = floor(&line, first, &at_once).max(floor(&line, room.job, &allowed));
        let least = least.unwrap_or(Minute::ZERO);
        let lots = [(first, begun.quantities[0]), (room.job, begun.quantities[1])];
        let last_is_rest = end_of(&placed.schedule, first) <= placed.finish;
        let bound = if last_is_rest {
            binding(self.shop, compiled, &line, room.job, &allowed)
        } else {
            binding(self.shop, compiled, &line, first, &at_once)
        };
        view.offer(&line, &lots, way, least, bound)
    }
}

/// A first lot in its place.
struct Begun {
    /// The problem with both lots.
    compiled: Compiled,
    placed: Placed,
    quantities: [u32; 2],
}

/// A compiled problem with the lots of one offer.
struct View<'v> {
    question: &'v Question<'v>,
    compiled: &'v Compiled,
}

impl View<'_> {
    fn dates(&self) -> Dates<'_> {
        Dates::new(self.question.shop, &self.compiled.clock, &self.compiled.problem)
    }

    /// An offer whose tube is not priced yet.
    fn offer(
        &self,
        line: &Timeline<'_>,
        lots: &[(JobIdx, u32)],
        way: &Way,
        least: Minute,
        binding: Binding,
    ) -> Option<Offer> {
        let schedule = line.schedule;
        let made = lots.iter().map(|(job, quantity)| self.lot(schedule, *job, *quantity));
        let made: Vec<Lot> = made.collect::<Option<_>>()?;
        let finish = made.iter().map(|lot| lot.finish).max()?;
        let jobs: Vec<JobIdx> = lots.iter().map(|(job, _)| *job).collect();
        Some(Offer {
            lots: made,
            buys: way.buys.iter().map(|tool| self.buy(*tool)).collect(),
            offered: way.offered.iter().map(|tool| self.buy(*tool)).collect(),
            awaits: self.awaits(schedule, &jobs),
            date: self.dates().promised(finish),
            finish,
            not_before: self.dates().promised(least),
            forced: None,
            cost: cost(line, &jobs, self.question.before),
            binding,
            kept: None,
            advised: None,
            schedule: schedule.clone(),
        })
    }

    /// A lot on the cell where the schedule bends it.
    fn lot(&self, schedule: &Schedule, job: JobIdx, quantity: u32) -> Option<Lot> {
        let key = &self.compiled.key;
        let mut steps = schedule.operations.iter().filter(|placed| placed.option.job == job);
        let is_bend = |at: OptionIdx| key.step(at).kind == StepKind::Bend;
        let bend = steps.find(|placed| is_bend(placed.option))?.option;
        let finish = end_of(schedule, job);
        let process = key.route(bend).process?;
        let cell = key.place(bend).to_owned();
        Some(Lot { quantity, process, cell, date: self.dates().promised(finish), finish })
    }

    fn buy(&self, tool: ToolIdx) -> Buy {
        let (found, key) = (self.compiled.problem.tool(tool), self.compiled.key.tool(tool));
        let price = match found.availability {
            Availability::Offer { price, .. } => price,
            Availability::From(_) => Money::ZERO,
        };
        let lead = key.lead.unwrap_or(Minutes::ZERO);
        Buy { tool: found.id.clone(), price, lead, estimated: key.estimated }
    }

    /// Tools of the lots that are on order.
    fn awaits(&self, schedule: &Schedule, jobs: &[JobIdx]) -> Vec<String> {
        let problem = &self.compiled.problem;
        let own = schedule.operations.iter().filter(|placed| jobs.contains(&placed.option.job));
        let works = own.filter_map(|placed| problem.option(placed.option).on_cell());
        let tools = works.flat_map(|work| &work.tools).map(|tool| problem.tool(*tool));
        let coming = tools.filter(|tool| match tool.availability {
            Availability::From(minute) => minute > Minute::ZERO,
            Availability::Offer { .. } => false,
        });
        let ids: std::collections::BTreeSet<String> = coming.map(|tool| tool.id.clone()).collect();
        ids.into_iter().collect()
    }

    /// By when it would be finished if it were forced in: for the wanted date where that can be had,
    /// else for the soonest; `None` where no day is to be gained.
    fn aim(&self, earliest: Minute, harmless: Minute) -> Option<Minute> {
        let dates = self.dates();
        let soonest = dates.promised(earliest);
        let aim = self.question.wanted.map_or(soonest, |wanted| wanted.max(soonest));
        (aim < dates.promised(harmless)).then(|| dates.due(aim))
    }

    /// What forcing in gains and does, if it gains a day.
    fn forced(&self, room: &Room<'_>, forced: &Placed, harmless: &Placed) -> Option<Forced> {
        let date = self.dates().promised(forced.finish);
        if date >= self.dates().promised(harmless.finish) {
            return None;
        }
        let ends = recompute(&self.compiled.problem, &forced.schedule).completions;
        let whole = |job: &JobIdx| self.compiled.key.job(*job).role == JobRole::Rest;
        let harmed = room.harmed(&ends).filter(|(job, ..)| whole(job));
        let harms = harmed.map(|(job, before, now)| self.harm(job, before, now)).collect();
        let extra_cost = Money::new(forced.schedule.objective) - Money::new(harmless.schedule.objective);
        Some(Forced { date, finish: forced.finish, harms, extra_cost })
    }

    fn harm(&self, job: JobIdx, before: Minute, now: Minute) -> Harm {
        let order = &self.question.shop.orders[self.compiled.key.job(job).order];
        let due = self.compiled.problem.job(job).due;
        let late = |end: Minute| due.until(end);
        let (order, promised) = (order.id.clone(), order.promised);
        Harm { order, promised, was_late: late(before), becomes_late: late(now) }
    }
}

/// Prices of the lots' tubes.
struct Tubes<'q> {
    question: &'q Question<'q>,
    frame: Frame<'q>,
}

impl<'q> Tubes<'q> {
    fn new(question: &'q Question<'q>) -> Self {
        Self { question, frame: Frame::new(question.shop, question.request) }
    }

    fn add_to(&self, offer: &mut Offer) {
        let fits = self.question.known.ways(&self.frame);
        let jobs = self.jobs_of(offer);
        let each = jobs
            .iter()
            .zip(&offer.lots)
            .map(|(job, lot)| tube(&self.frame, &fits, self.question.trial, *job, (lot.process, &lot.cell)));
        let sum: Option<Money> = each.sum();
        let margin = self.question.shop.terms.margin_percent;
        offer.cost = with_tube(offer.cost, sum, self.question.quantity, margin);
    }

    /// The trial's jobs of an offer's lots.
    fn jobs_of(&self, offer: &Offer) -> Vec<JobIdx> {
        let quantity =
            |job: JobIdx| self.question.shop.orders[self.question.trial.compiled.key.job(job).order].quantity;
        match offer.lots.as_slice() {
            [first, _] => {
                let split = self.question.splits.iter().find(|(job, _)| quantity(*job) == first.quantity);
                split.map_or_else(Vec::new, |(first, rest)| vec![*first, *rest])
            }
            _ => vec![self.question.whole],
        }
    }
}
