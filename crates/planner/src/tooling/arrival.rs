//! When tools have to be ordered, and what happens if they come late.

use super::answer::LateCase;
use crate::promise::{Rearranged, Standing, Way};
use chrono::{Days, NaiveDate};
use elbowroom_problem::Problem;
use elbowroom_units::{MINUTES_PER_DAY, Minute, Minutes, Money};

/// Two weeks.
const LATE: Minutes = Minutes::days(14);
/// Days beyond which nobody asks how late an order could be placed.
const MOST_DAYS: i64 = 365;

/// Orders that wait for a set of tools.
pub(super) struct Waiting<'s> {
    standing: &'s Standing,
    tools: Vec<String>,
    /// By position in the book, the first promised first.
    orders: Vec<usize>,
    arranged: Rearranged,
    /// When they are finished with the tools in time.
    in_time: Vec<Option<Minute>>,
}

impl<'s> Waiting<'s> {
    /// `None` if there is no order, or the plan does not stand without them.
    pub(super) fn new(standing: &'s Standing, tools: &[String], mut orders: Vec<usize>) -> Option<Self> {
        if orders.is_empty() {
            return None;
        }
        orders.sort_by_key(|order| (standing.shop().orders[*order].promised, *order));
        let arranged = Rearranged::new(standing, &orders)?;
        let tools = tools.to_vec();
        let in_time = arranged.finishes(&tools, Minutes::ZERO, &|problem, way| uses(problem, way, &tools));
        Some(Self { standing, tools, orders, arranged, in_time })
    }

    fn finishes(&self, delay: Minutes) -> Vec<Option<Minute>> {
        self.arranged.finishes(&self.tools, delay, &|problem, way| uses(problem, way, &self.tools))
    }

    fn due(&self, at: usize) -> Minute {
        self.standing.due(self.standing.shop().orders[self.orders[at]].promised)
    }

    /// Whether every promise is kept that is kept with the tools in time.
    fn keeps(&self, delay: Minutes) -> bool {
        let kept = |at: usize, end: Option<Minute>| end.is_some_and(|end| end <= self.due(at));
        let now = self.finishes(delay);
        (0..self.orders.len()).all(|at| kept(at, now[at]) || !kept(at, self.in_time[at]))
    }

    /// The last day on which ordering the tools keeps every promise that can be kept at all; `None`
    /// if none can.
    pub(super) fn order_by(&self) -> Option<NaiveDate> {
        let any = (0..self.orders.len()).any(|at| self.in_time[at].is_some_and(|end| end <= self.due(at)));
        if !any {
            return None;
        }
        let (mut good, mut bad) = (0, MOST_DAYS);
        while bad - good > 1 {
            let middle = i64::midpoint(good, bad);
            if self.keeps(Minutes::days(middle)) { good = middle } else { bad = middle }
        }
        self.standing.start().checked_add_days(Days::new(good.unsigned_abs()))
    }

    /// What becomes of each if the tools come two weeks late.
    pub(super) fn two_weeks_late(&self) -> Vec<LateCase> {
        let late = self.finishes(LATE);
        (0..self.orders.len()).map(|at| self.late_case(at, late[at])).collect()
    }

    fn late_case(&self, at: usize, end: Option<Minute>) -> LateCase {
        let order = &self.standing.shop().orders[self.orders[at]];
        let lateness = |end: Option<Minute>| end.map_or(Minutes::ZERO, |end| self.due(at).until(end));
        let more = lateness(end) - lateness(self.in_time[at]);
        let days = more.count() as f64 / MINUTES_PER_DAY as f64;
        let extra_cost: Money = self.standing.late_cost(order) * days;
        LateCase { order: order.id.clone(), finish: end, late: lateness(end), extra_cost }
    }
}

/// Whether a way buys exactly these tools.
fn uses(problem: &Problem, way: &Way, tools: &[String]) -> bool {
    let ids: Vec<&str> = way.buys.iter().map(|tool| problem.tool(*tool).id.as_str()).collect();
    ids.len() == tools.len() && ids.iter().all(|id| tools.iter().any(|tool| tool == id))
}
