//! Which words go on a bar, beside it, or nowhere.

use super::bars::Bar;
use crate::charts::{BODY, SMALL};
use crate::clean::plain;
use crate::picture::lettering::{self, Weight, fit_end, fit_start};
use crate::picture::{Anchor, Frame, Ink, Text};
use elbowroom_planner::plan::Task;

/// Room left free at either side of words inside a bar.
const PAD: f64 = 4.0;
/// Height at a bar's lower side that its pattern takes.
const BAND: f64 = 7.0;
/// Fewest letters of a shortened order number that still tell it from others.
const LEAST: usize = 4;

/// The order number inside a run, and below it quantity and part where there is room. Empty where
/// not even a shortened number fits.
pub fn inside(task: &Task, run: Frame) -> Vec<Text> {
    let order = plain(&task.order);
    let room = run.width() - 2.0 * PAD;
    let full = [BODY, SMALL].into_iter().find(|&size| lettering::width(&order, size, Weight::Bold) <= room);
    if let Some(size) = full {
        return across(task, run, &order, size);
    }
    upwards(run, &order, order.chars().count())
        .or_else(|| {
            fit_end(&order, SMALL, Weight::Bold, room, LEAST).map(|short| across(task, run, &short, SMALL))
        })
        .or_else(|| upwards(run, &order, LEAST))
        .unwrap_or_default()
}

fn across(task: &Task, run: Frame, order: &str, size: f64) -> Vec<Text> {
    let usable = run.height() - BAND;
    let x = run.left + PAD;
    let note = plain(&format!("{} × {}", task.quantity, task.part));
    let note = if usable < 26.0 {
        None
    } else {
        fit_start(&note, SMALL, Weight::Regular, run.width() - 2.0 * PAD, LEAST)
    };
    let middle = run.top + usable / 2.0 + 1.0;
    let shift = if note.is_some() { 6.5 } else { 0.0 };
    let mut texts = vec![Text::new((x, middle - shift), order, size).bold().ink(Ink::OnWork)];
    texts.extend(note.map(|note| Text::new((x, middle + shift), note, SMALL).ink(Ink::OnWork)));
    texts
}

/// The order number running upwards, shortened to no fewer than `least` letters.
fn upwards(run: Frame, order: &str, least: usize) -> Option<Vec<Text>> {
    if run.width() < SMALL * 2.0 * lettering::HALF_HEIGHT + 1.0 {
        return None;
    }
    let usable = run.height() - BAND - 2.0;
    let words = fit_end(order, SMALL, Weight::Bold, usable, least)?;
    let at = ((run.left + run.right) / 2.0, run.top + 1.0 + usable / 2.0);
    Some(vec![Text::new(at, words, SMALL).bold().ink(Ink::OnWork).anchor(Anchor::Middle).upwards()])
}

/// A wish for words above a bar; nothing is wished where both are empty.
#[derive(Clone, Debug)]
pub struct Wish {
    /// Where the words should begin.
    pub x: f64,
    /// The order number, where it is not on the bar.
    pub order: Option<String>,
    /// Ways of naming the tooling, the fullest first.
    pub tooling: Vec<String>,
}

/// What to say above a bar: the order number where it is not inside, and the tooling to put on;
/// at the first bar of a picture the tooling that is on.
pub fn wish(task: &Task, bar: &Bar, first: bool, number_inside: bool) -> Wish {
    let tools = if task.mount.is_empty() && first { &task.tools } else { &task.mount };
    let order = (!number_inside).then(|| plain(&task.order));
    Wish { x: bar.whole.0, order, tooling: tool_forms(tools) }
}

fn tool_forms(tools: &[String]) -> Vec<String> {
    let Some(first) = tools.first().map(|tool| plain(tool)) else { return Vec::new() };
    if tools.len() == 1 {
        return vec![first];
    }
    let all = tools.iter().map(|tool| plain(tool)).collect::<Vec<_>>().join(", ");
    vec![all, format!("{first} +{}", tools.len() - 1), first]
}

/// Words above bars, as many and as full as fit side by side before `right`. Bars too narrow for
/// words of their own share a list of order numbers, in their order.
pub fn above(wishes: &[Wish], middle: f64, right: f64) -> Vec<Text> {
    let wanted: Vec<&Wish> = wishes.iter().filter(|w| w.order.is_some() || !w.tooling.is_empty()).collect();
    let mut texts = Vec::new();
    let mut i = 0;
    while i < wanted.len() {
        let end = |next: usize| wanted.get(next).map_or(right, |wish| wish.x - GAP);
        let x = wanted[i].x;
        let (words, taken) = match fullest(wanted[i], end(i + 1) - x) {
            Some(words) => (Some(words), 1),
            None => shared(&wanted[i..], |count| end(i + count) - x)
                .unwrap_or((shortened(wanted[i], end(i + 1) - x), 1)),
        };
        texts.extend(words.map(|words| Text::new((x, middle), words, SMALL)));
        i += taken;
    }
    texts
}

/// Room between words above neighbouring bars.
const GAP: f64 = 7.0;
/// Most bars that share a list of order numbers.
const MOST_SHARED: usize = 6;
/// Pixels from bar to bar over which a list can still be read as theirs.
const FARTHEST_SHARED: f64 = 30.0;

fn fits(words: &str, room: f64) -> bool {
    lettering::width(words, SMALL, Weight::Regular) <= room
}

/// The fullest way of saying it that fits whole.
fn fullest(wish: &Wish, room: f64) -> Option<String> {
    let forms: Vec<String> = match &wish.order {
        None => wish.tooling.clone(),
        Some(order) => {
            let both = wish.tooling.iter().map(|tools| format!("{order}: {tools}"));
            both.chain([order.clone()]).collect()
        }
    };
    forms.into_iter().find(|form| fits(form, room))
}

/// The order numbers of the fewest bars from the first on that fit together, and how many bars
/// those are.
fn shared(wishes: &[&Wish], room: impl Fn(usize) -> f64) -> Option<(Option<String>, usize)> {
    let near = wishes.windows(2).take_while(|pair| pair[1].x - pair[0].x <= FARTHEST_SHARED).count() + 1;
    (2..=near.min(MOST_SHARED)).find_map(|count| {
        let orders: Option<Vec<&str>> = wishes[..count].iter().map(|wish| wish.order.as_deref()).collect();
        let words = orders?.join(", ");
        fits(&words, room(count)).then_some((Some(words), count))
    })
}

fn shortened(wish: &Wish, room: f64) -> Option<String> {
    match &wish.order {
        Some(order) => fit_end(order, SMALL, Weight::Regular, room, LEAST),
        None => fit_start(wish.tooling.last()?, SMALL, Weight::Regular, room, 2 * LEAST),
    }
}
