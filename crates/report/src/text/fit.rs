//! A part held up to every bending cell, as text for a terminal.

use super::render::{table, wrap};
use crate::clean::plain as clean;
use crate::lists::fit as lists;
use crate::table::Table;
use crate::when::day;
use elbowroom_bending::cautions::ESTIMATES;
use elbowroom_planner::fit::{Fit, Offer, Ready};
use elbowroom_units::quantity::plain;

/// Width of the column of headings.
const HEADING: usize = 8;

/// Everything there is to say, no wider than `width`.
#[must_use]
pub fn text(fit: &Fit, width: usize) -> String {
    let mut out = wrap(&clean(&heading(fit)), width).join("\n") + "\n\n";
    for (name, words) in facts(fit) {
        let lines = wrap(&clean(&words), width.saturating_sub(HEADING));
        for (at, line) in lines.iter().enumerate() {
            out += &format!("{:<HEADING$}{line}\n", if at == 0 { name } else { "" });
        }
    }
    for list in tables(fit) {
        out.push('\n');
        out += &table(&list, width);
    }
    out.push('\n');
    out + &wrap(ESTIMATES, width).join("\n") + "\n"
}

fn heading(fit: &Fit) -> String {
    let named = if fit.part.name == fit.part.id { String::new() } else { format!(" ({})", fit.part.name) };
    format!("{}: part {}{named}, {}", fit.shop, fit.part.id, lists::pieces(fit.quantity))
}

/// The lists that have something to say; whether any cell can is always said.
fn tables(fit: &Fit) -> Vec<Table> {
    let mut all = vec![lists::able(fit)];
    all.extend(lists::steps(fit));
    let others = [lists::tooling(fit), lists::quality(fit), lists::watch(fit), lists::unable(fit)];
    all.extend(others.into_iter().filter(|list| !list.rows.is_empty()));
    all
}

fn facts(fit: &Fit) -> Vec<(&'static str, String)> {
    let mut facts = vec![("Part", part(fit)), ("Tube", tube(fit))];
    match &fit.why {
        Some(why) => facts.push(("Best", best(fit, why))),
        None => {
            facts.push(("Best", "no cell of this shop can make it; every reason stands below".to_owned()))
        }
    }
    facts.extend(without_waiting(fit).map(|words| ("At once", words)));
    facts
}

fn part(fit: &Fit) -> String {
    let part = &fit.part;
    let bends = part.shape.bends().len();
    let bends = if bends == 1 { "1 bend".to_owned() } else { format!("{bends} bends") };
    let [along, side, across] = part.size.map(|side| plain(side.mm(), 0));
    format!(
        "{bends}, {}; centreline {} mm; fits into {along} x {side} x {across} mm; {} kg",
        radii(fit),
        plain(part.developed.mm(), 1),
        plain(part.mass_kg, 2),
    )
}

/// Every radius of the part, in the order in which they first come.
fn radii(fit: &Fit) -> String {
    let mut radii: Vec<String> = Vec::new();
    for bend in fit.part.shape.bends() {
        let radius = plain(bend.clr.mm(), 2);
        if !radii.contains(&radius) {
            radii.push(radius);
        }
    }
    format!("CLR {} mm", radii.join(", "))
}

fn tube(fit: &Fit) -> String {
    let tube = &fit.part.tube;
    let smallest = fit.part.shape.bends().iter().map(|bend| tube.tube.bend_factor(bend.clr));
    format!(
        "{}: {} x {} mm, {}; wall factor (OD/wall) {}, smallest bend factor (CLR/OD) {}",
        tube.id,
        plain(tube.tube.outer().mm(), 3),
        plain(tube.tube.wall().mm(), 3),
        fit.part.material,
        plain(tube.tube.wall_factor(), 1),
        plain(smallest.fold(f64::INFINITY, f64::min), 2),
    )
}

fn best(fit: &Fit, why: &str) -> String {
    let cost =
        fit.able().next().map(|(_, offer)| format!(". {}{}", lists::cost_in_words(fit, offer), wait(offer)));
    format!("{why}{}", cost.unwrap_or_default())
}

fn wait(offer: &Offer) -> String {
    match offer.ready {
        Ready::Now => ", with tools that are in the house".to_owned(),
        Ready::OnOrder(date) => format!("; the last tool comes {}", day(date)),
        Ready::ToBuy(date) => format!("; bought today, the last tool comes {}", day(date)),
    }
}

/// The best of those that need not wait for tools, where that is not the best of all.
fn without_waiting(fit: &Fit) -> Option<String> {
    let (cell, offer) = fit.at_once()?;
    let is_best = fit.able().next().is_some_and(|(best, _)| best.cell == cell.cell);
    (!is_best).then(|| {
        format!(
            "{} on {} waits for no tool: {}",
            cell.assessment.way,
            cell.cell,
            lists::cost_in_words(fit, offer)
        )
    })
}
