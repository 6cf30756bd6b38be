//! One part before every bending cell: which can make it, with what, how long, how good, at what
//! cost; and every reason why another cannot.
//!
//! It asks the same knowledge, tool rack and standard times as [`crate::compile`], so that a quote
//! and a plan agree: same cells, same tools, same minutes. What a quote cannot know, it takes
//! plainly: every cell is changed over from the start, whatever stands on it when the order comes;
//! steps before and after bending go where they are cheapest; nothing waits for anything.

mod answer;
mod offers;
mod tools;
mod work;

pub use answer::{
    Barrier, CellFit, CostSum, Fit, FitError, Inquiry, Offer, PartFacts, Ready, StepFit, Substitute, ToolFit,
    ToolSource,
};

use crate::compile::Request;
use crate::compile::calendars::Calendars;
use crate::compile::frame::Frame;
use crate::compile::knowledge;
use elbowroom_bending::fit::{Bid, cheapest};
use elbowroom_bending::geometry::centreline::Centreline;
use elbowroom_bending::section;
use elbowroom_shop::Shop;
use elbowroom_shop::part::{Part, StockTube};
use elbowroom_units::{Mm, Seconds};
use offers::Desk;

/// Holds a part up to every bending cell of the shop.
///
/// The part need not be one of the shop's; its tube must be.
///
/// # Errors
/// If its tube, or the tube's material, is not one of the shop's.
pub fn fit(shop: &Shop, part: &Part, inquiry: &Inquiry) -> Result<Fit, FitError> {
    let frame = Frame::new(shop, &Request { start: inquiry.today, weeks: 1 });
    let facts = facts(&frame, part)?;
    let calendars = Calendars::showing_who_is_manned(&frame);
    let answers = knowledge::answers(&frame, part);
    let mut cells = Desk::new(&frame, &calendars, part, inquiry.quantity).cells(&answers);
    cells.sort_by_key(|cell| {
        cell.offer.as_ref().map_or((true, None), |offer| (false, Some(offer.cost.total())))
    });
    Ok(Fit {
        shop: shop.terms.name.clone(),
        currency: shop.terms.currency.clone(),
        margin_percent: shop.terms.margin_percent,
        today: inquiry.today,
        quantity: inquiry.quantity,
        part: facts,
        why: why(&cells),
        cells,
    })
}

pub(crate) fn facts(frame: &Frame<'_>, part: &Part) -> Result<PartFacts, FitError> {
    let no_tube = || FitError::NoTube { part: part.id.clone(), tube: part.tube.clone() };
    let tube = frame.tube_of(part).ok_or_else(no_tube)?;
    let no_material = || FitError::NoMaterial { tube: tube.id.clone(), material: tube.material.clone() };
    let material = frame.material_of(tube).ok_or_else(no_material)?;
    Ok(PartFacts {
        id: part.id.clone(),
        name: part.name.clone(),
        tube: tube.clone(),
        material: material.name.clone(),
        shape: part.shape.clone(),
        developed: part.shape.developed_length(),
        size: size(part, tube),
        mass_kg: section::mass_kg(&tube.tube, material, part.shape.developed_length()),
    })
}

/// Sides of the box along the axes of the first leg and first bend that holds the tube.
fn size(part: &Part, tube: &StockTube) -> [Mm; 3] {
    let (low, high) = Centreline::of(&part.shape).surface_box(tube.tube.outer());
    let (low, high) = (low.coordinates(), high.coordinates());
    [0, 1, 2].map(|axis| high[axis] - low[axis])
}

/// Why the first cell is the best; `None` where none can.
fn why(cells: &[CellFit]) -> Option<String> {
    let bid = |cell: &CellFit| {
        let offer = cell.offer.as_ref().ok()?;
        Some(Bid {
            name: format!("{} on {}", cell.assessment.way, cell.cell),
            time: Seconds::from(offer.work()),
            tools: offer.cost.tools,
            total: offer.cost.total(),
        })
    };
    let bids: Vec<Bid> = cells.iter().filter_map(bid).collect();
    cheapest(&bids).map(|choice| choice.why)
}
