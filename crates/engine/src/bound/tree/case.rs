//! A case of the tree: what has been decided, and what follows from it for starts.

use super::super::tasks::{CellData, Choice, Shop, Task};
use std::collections::BTreeMap;

/// Something to decide next.
#[derive(Clone, Copy)]
pub(super) enum Question {
    /// Whether the job ends by the minute.
    EndsBy(usize, i64),
    /// Whether the job's step, if it is done at all, starts its run by the minute.
    StartsBy(usize, usize, i64),
    /// Whether the job's step, if it is done at all, takes the choice.
    Takes(usize, usize, usize),
    /// Whether the job is made by the plan, whose last step is no other plan's.
    Follows(usize, usize),
    /// Whether the offer is taken.
    Buys(usize),
    /// Whether the one step comes before the other, if both are done on one cell.
    Before(StepAt, StepAt),
}

/// A job and one of its steps.
pub(super) type StepAt = (usize, usize);

impl Question {
    /// Where nothing else is left to ask: a choice among several, or the middle of the widest range of starts.
    pub(super) fn about_the_widest(shop: &Shop) -> Option<Self> {
        let mut best = (0, None);
        for (job, task) in shop.tasks.iter().enumerate() {
            for (number, step) in task.steps.iter().enumerate().filter(|(_, step)| step.pinned.is_none()) {
                let mut open = step.choices.iter().enumerate().filter(|(_, choice)| choice.is_open());
                let Some((first, choice)) = open.next() else { continue };
                if open.next().is_some() {
                    return Some(Self::Takes(job, number, first));
                }
                let width = choice.last - choice.first;
                if width > best.0 {
                    let middle = choice.first + width / 2;
                    let minute = choice.cell.map_or(middle, |cell| shop.cells[cell].time.worked(middle));
                    best = (width, Some(Self::StartsBy(job, number, minute)));
                }
            }
        }
        best.1
    }
}

/// What the schedules of a case do.
#[derive(Clone)]
pub(super) struct Case {
    /// First and last start of every choice, in the order of the shop.
    starts: Vec<(i64, i64)>,
    /// For an offer, whether it is taken.
    bought: BTreeMap<usize, bool>,
    /// First and second of two steps, if both are done on one cell.
    orders: Vec<(StepAt, StepAt)>,
}

impl Case {
    /// All schedules of a shop.
    pub(super) fn all(shop: &Shop) -> Self {
        let mut case = Self { starts: Vec::new(), bought: BTreeMap::new(), orders: Vec::new() };
        case.note(shop);
        case
    }

    /// Notes the starts that are left in a shop of the case.
    pub(super) fn note(&mut self, shop: &Shop) {
        self.starts.clear();
        self.starts.extend(choices(shop).map(|choice| (choice.first, choice.last)));
    }

    /// Pairs of steps of which the first comes before the second, if both are done on one cell.
    pub(super) fn orders(&self) -> &[(StepAt, StepAt)] {
        &self.orders
    }

    pub(super) fn has_decided_on(&self, offer: usize) -> bool {
        self.bought.contains_key(&offer)
    }

    /// The undecided shop, made to hold the case; its links are those of the undecided one.
    pub(super) fn apply(&self, shop: &Shop) -> Shop {
        let mut shop = shop.clone();
        let all = shop.tasks.iter_mut().flat_map(|task| &mut task.steps).flat_map(|step| &mut step.choices);
        for (choice, (first, last)) in all.zip(&self.starts) {
            (choice.first, choice.last) = (*first, *last);
        }
        for (offer, bought) in &self.bought {
            if *bought {
                shop.sunk += std::mem::replace(&mut shop.offers[*offer].price, 0.0);
            }
        }
        shop
    }

    /// The part of the case in which the answer to a question is yes or no. `shop` holds the case
    /// and is made to hold the part.
    pub(super) fn part(&self, shop: &mut Shop, question: Question, yes: bool) -> Self {
        let mut part = self.clone();
        match question {
            Question::Buys(offer) => {
                part.bought.insert(offer, yes);
                if yes {
                    shop.sunk += std::mem::replace(&mut shop.offers[offer].price, 0.0);
                } else {
                    forbid(shop, offer);
                }
            }
            Question::Before(a, b) => part.orders.push(if yes { (a, b) } else { (b, a) }),
            Question::EndsBy(job, minute) => end_by(shop, job, minute, yes),
            Question::StartsBy(job, step, minute) => start_by(shop, (job, step), minute, yes),
            Question::Takes(job, step, only) => {
                let choices = shop.tasks[job].steps[step].choices.iter_mut().enumerate();
                choices.filter(|(at, _)| (*at == only) != yes).for_each(|(_, choice)| rule_out(choice));
            }
            Question::Follows(job, only) => {
                rule_out_plans(&mut shop.tasks[job], |plan| (plan == only) != yes);
            }
        }
        part.note(shop);
        part
    }
}

fn choices(shop: &Shop) -> impl Iterator<Item = &Choice> {
    shop.tasks.iter().flat_map(|task| &task.steps).flat_map(|step| &step.choices)
}

fn rule_out(choice: &mut Choice) {
    choice.last = choice.first - 1;
}

/// Rules out every choice that needs an offer.
fn forbid(shop: &mut Shop, offer: usize) {
    let links = &shop.offer_links;
    let needs = |choice: &Choice| choice.offers.iter().any(|link| links[*link] == offer);
    for step in shop.tasks.iter_mut().flat_map(|task| &mut task.steps) {
        step.choices.iter_mut().filter(|choice| needs(choice)).for_each(rule_out);
    }
}

/// A plan whose last step cannot be done cannot be followed.
fn rule_out_plans(task: &mut Task, ruled_out: impl Fn(usize) -> bool) {
    for plan in (0..task.routes.len()).filter(|plan| ruled_out(*plan)) {
        if let Some(step) = task.routes[plan].steps.last() {
            task.steps[*step].choices.iter_mut().for_each(rule_out);
        }
    }
}

/// The job ends by the minute, or after it.
fn end_by(shop: &mut Shop, job: usize, minute: i64, yes: bool) {
    let (cells, until) = (&shop.cells, minute.min(shop.horizon));
    let last = shop.tasks[job].steps.iter_mut().filter(|step| step.last && step.pinned.is_none());
    for choice in last.flat_map(|step| &mut step.choices) {
        // Positions at which work is over by the minute.
        let by = choice.cell.map_or(until, |cell| cells[cell].time.before(until)) - choice.run;
        if yes {
            choice.last = choice.last.min(by);
        } else {
            choice.first = choice.first.max(by + 1);
        }
    }
}

/// The step starts its run by the minute, or after it.
fn start_by(shop: &mut Shop, (job, step): (usize, usize), minute: i64, yes: bool) {
    let (cells, until) = (&shop.cells, minute.min(shop.horizon));
    for choice in &mut shop.tasks[job].steps[step].choices {
        let by = latest_position(cells, choice, until);
        if yes {
            choice.last = choice.last.min(by);
        } else {
            choice.first = choice.first.max(by + 1);
        }
    }
}

/// The greatest position of a run that starts by the minute.
fn latest_position(cells: &[CellData], choice: &Choice, minute: i64) -> i64 {
    choice.cell.map_or(minute, |cell| cells[cell].time.before(minute + 1) - 1)
}
