//! An inquiry checked and compiled into the plan's problem.

use super::answer::Answer;
use super::choose::{Terms, choose};
use super::inquiry::{Inquiry, InquiryFault, MOST_PIECES};
use super::offers::{Question, offers};
use super::standing::Standing;
use super::trial::{Trial, carried};
use crate::compile::{CompileError, Frame, Ways, arrival};
use crate::words::listed;
use chrono::NaiveDate;
use elbowroom_problem::{JobIdx, Schedule};
use elbowroom_shop::Shop;
use elbowroom_shop::order::Order;

/// First lots that are tried where dies must be waited for, as shares of the whole.
const FIRST_LOTS: [(u64, u64); 3] = [(1, 4), (1, 2), (3, 4)];
/// The longest horizon is reached from any start by stretching so often.
pub(super) const LONGEST: u32 = 64;

/// See [`Standing::answer`].
pub(crate) fn answer(
    standing: &Standing,
    inquiry: &Inquiry,
    forcing: bool,
    threads: usize,
) -> Result<Answer, InquiryFault> {
    check(standing, inquiry)?;
    let frame = Frame::new(&standing.shop, &standing.request);
    let material = material(&frame, &standing.known.ways(&frame), inquiry);
    let inquiry = Inquiry { material, ..inquiry.clone() };
    for stretch in [1, LONGEST] {
        let asked = Asked::new(standing, &inquiry, stretch)?;
        let found = offers(&Question { forcing, ..asked.question(standing) }, threads);
        if !found.is_empty() {
            let day_value = frame.late_cost(&lot_order(standing, &inquiry, String::new(), inquiry.quantity));
            let currency = &standing.shop.terms.currency;
            // Where nobody has named a date no day is late: it is a later promise.
            let later = standing.shop.terms.later_promise_cost_per_day.filter(|_| inquiry.wanted.is_none());
            let terms = Terms { day_value: later.unwrap_or(day_value), wanted: inquiry.wanted, currency };
            let (recommended, reason) = choose(&found, terms);
            let refused = refused(&frame, &standing.known.ways(&frame), &inquiry);
            return Ok(Answer { inquiry, offers: found, recommended, reason, day_value, refused });
        }
    }
    Err(InquiryFault::NoPlace { part: inquiry.part })
}

fn check(standing: &Standing, inquiry: &Inquiry) -> Result<(), InquiryFault> {
    let start = standing.request.start;
    if !standing.shop.parts.iter().any(|part| part.id == inquiry.part) {
        return Err(InquiryFault::UnknownPart { part: inquiry.part.clone() });
    }
    if inquiry.quantity == 0 {
        return Err(InquiryFault::NoPieces);
    }
    if inquiry.quantity > MOST_PIECES {
        return Err(InquiryFault::TooMany { quantity: inquiry.quantity });
    }
    if let Some(wanted) = inquiry.wanted.filter(|wanted| *wanted < start) {
        return Err(InquiryFault::WantedInThePast { wanted, start });
    }
    if standing.shop.orders.iter().any(|order| order.id == inquiry.id) {
        return Err(InquiryFault::TakenId { id: inquiry.id.clone() });
    }
    Ok(())
}

/// When its tube is in the house: as the inquiry says, else after the tube's lead time where less
/// than needed is on hand.
fn material(frame: &Frame<'_>, ways: &Ways<'_>, inquiry: &Inquiry) -> Option<NaiveDate> {
    if inquiry.material.is_some() {
        return inquiry.material;
    }
    let at = frame.part_position(&inquiry.part)?;
    let tube = frame.tube_of(&frame.shop.parts[at])?;
    let (on_hand, lead) = (tube.on_hand?, tube.lead?);
    let said = ways.of(at);
    let needed =
        said.fits.iter().map(|(_, fit)| fit.blank() * f64::from(fit.pieces_to_start(inquiry.quantity)));
    if needed.max()? <= on_hand {
        return None;
    }
    Some(frame.clock.date(arrival(&frame.clock, &frame.shop.terms, frame.clock.start(), lead)))
}

/// Why some cells cannot bend the part.
fn refused(frame: &Frame<'_>, ways: &Ways<'_>, inquiry: &Inquiry) -> Vec<String> {
    let Some(at) = frame.part_position(&inquiry.part) else { return Vec::new() };
    ways.of(at).reasons(frame)
}

/// An inquiry, compiled.
struct Asked<'s> {
    /// The shop with the inquiry's lots in its book.
    shop: Shop,
    trial: Trial,
    /// The plan's schedule in the compiled problem.
    before: Schedule,
    whole: JobIdx,
    splits: Vec<(JobIdx, JobIdx)>,
    inquiry: &'s Inquiry,
}

impl<'s> Asked<'s> {
    fn new(standing: &Standing, inquiry: &'s Inquiry, stretch: u32) -> Result<Self, InquiryFault> {
        let mut shop = standing.shop.clone();
        let first = shop.orders.len();
        let splits = split_quantities(inquiry.quantity);
        let lots = splits.iter().flat_map(|(first, rest)| [*first, *rest]);
        for (number, quantity) in std::iter::once(inquiry.quantity).chain(lots).enumerate() {
            let id = unused_id(&shop, format!("inquiry {number}"));
            shop.orders.push(lot_order(standing, inquiry, id, quantity));
        }
        let further: Vec<usize> = (first..shop.orders.len()).collect();
        let plan = (&standing.orders[..], &standing.compiled.problem);
        let trial = match Trial::new(&shop, &standing.request, &standing.known, plan, &further, stretch) {
            Ok(trial) => trial,
            Err(CompileError::NothingToPlan { .. }) => return Err(cannot(standing, inquiry, Vec::new())),
            Err(CompileError::Faulty(faults)) => {
                let why: Vec<String> = faults.iter().map(ToString::to_string).collect();
                return Err(InquiryFault::OurFault { why: why.join("; ") });
            }
        };
        let job = |number: usize| trial.job_of(first + number);
        let Some(whole) = job(0) else {
            let said = trial.compiled.left_out.iter().find(|out| out.order == shop.orders[first].id);
            return Err(cannot(standing, inquiry, said.map_or_else(Vec::new, |out| out.reasons.clone())));
        };
        let pairs = (0..splits.len()).filter_map(|at| Some((job(1 + 2 * at)?, job(2 + 2 * at)?)));
        let splits = pairs.collect();
        let stands = trial.with(&[], true);
        let carried = carried(&stands.problem, standing.schedule.schedule());
        let before = carried.map(|before| before.into_schedule()).ok_or_else(|| {
            let why = "the plan does not stand beside the inquiry's tools".to_owned();
            InquiryFault::OurFault { why }
        })?;
        Ok(Self { shop, trial, before, whole, splits, inquiry })
    }

    fn question<'q>(&'q self, standing: &'q Standing) -> Question<'q> {
        Question {
            shop: &self.shop,
            request: &standing.request,
            known: &standing.known,
            trial: &self.trial,
            before: &self.before,
            whole: self.whole,
            splits: &self.splits,
            quantity: self.inquiry.quantity,
            wanted: self.inquiry.wanted,
            forcing: true,
        }
    }
}

/// First lot and rest, each split once.
fn split_quantities(quantity: u32) -> Vec<(u32, u32)> {
    let first = |(share, of): (u64, u64)| u32::try_from(u64::from(quantity) * share / of).unwrap_or(0);
    let mut splits: Vec<(u32, u32)> = FIRST_LOTS
        .into_iter()
        .map(first)
        .filter(|first| *first > 0)
        .map(|first| (first, quantity - first))
        .collect();
    splits.dedup();
    splits
}

/// A lot of the inquiry as if it stood in the book; it is due whenever it is done.
fn lot_order(standing: &Standing, inquiry: &Inquiry, id: String, quantity: u32) -> Order {
    Order {
        id,
        part: inquiry.part.clone(),
        quantity,
        promised: standing.request.start,
        material: inquiry.material,
        customer: inquiry.customer.clone(),
        late_cost_per_day: None,
    }
}

pub(super) fn unused_id(shop: &Shop, mut id: String) -> String {
    while shop.orders.iter().any(|order| order.id == id) {
        id.push('\'');
    }
    id
}

/// Nobody can make it: every reason, and what the cell that comes nearest would need.
fn cannot(standing: &Standing, inquiry: &Inquiry, said: Vec<String>) -> InquiryFault {
    let frame = Frame::new(&standing.shop, &standing.request);
    let ways = standing.known.ways(&frame);
    let nearest = frame.part_position(&inquiry.part).and_then(|at| {
        let answers = ways.of(at);
        let (cell, why) = answers.refusals.iter().min_by_key(|(_, why)| why.len())?;
        let cell = &standing.shop.cells[cell.get()].id;
        Some(format!("`{cell}` comes nearest; only this stands in its way: {}", listed(why, why.len())))
    });
    let reasons = if said.is_empty() { refused(&frame, &ways, inquiry) } else { said };
    InquiryFault::CannotBeMade { part: inquiry.part.clone(), reasons, needed: nearest }
}
