//! What a planner should know of the plan that stood.

use super::{Kept, Presumed, Thawed};
use crate::words::{listed, moment};
use elbowroom_shop::Terms;
use elbowroom_shop::calendar::PlanClock;
use elbowroom_units::Money;
use std::fmt::Write;

/// Steps named one by one in a sentence.
const MOST_NAMED: usize = 8;

impl Kept {
    /// What became of the plan that stood, in sentences without a full stop. `clock`: the new plan's.
    #[must_use]
    pub fn sentences(&self, clock: &PlanClock, terms: &Terms) -> Vec<String> {
        let mut all = Vec::new();
        if let Some(until) = self.frozen_until {
            let until = moment(clock, until);
            all.push(format!("frozen until {until}: {} stand where they were", counted(self.frozen, "step")));
        }
        all.extend(self.thawed.iter().map(|thawed| could_not(thawed, clock)));
        if !self.presumed.is_empty() {
            all.push(self.sent());
        }
        if self.unreported > 0 {
            all.push(format!(
                "{} should have begun by now and nothing is reported of them: they are planned again \
                 (`elbowroom record` reports)",
                counted(self.unreported, "step")
            ));
        }
        if self.announced > 0 {
            all.push(self.moves(terms));
        }
        all
    }

    fn sent(&self) -> String {
        let one = |presumed: &Presumed| {
            let Presumed { order, step, vendor } = presumed;
            format!("{order} {step} ({vendor})")
        };
        let all: Vec<String> = self.presumed.iter().map(one).collect();
        format!(
            "taken as sent out when planned, as nothing is reported: {} (`elbowroom record SHOP stopped ORDER STEP \
             --reason TEXT` says that it is still here, `finished` that it is back)",
            listed(&all, MOST_NAMED)
        )
    }

    fn moves(&self, terms: &Terms) -> String {
        let steady = &terms.steadiness;
        let mut text = format!(
            "{} of {} announced orders are finished more than {} sooner or later than the plan that stood said",
            self.moved, self.announced, steady.moved_by
        );
        if steady.move_cost > Money::ZERO {
            let _ = write!(text, ", which counts {} {} each", steady.move_cost, terms.currency);
        }
        if let Some((saved, moved)) = self.freely {
            let _ = write!(
                text,
                "; without regard to that {moved} would be, and the plan would cost {saved} {} less",
                terms.currency
            );
        }
        text
    }
}

fn could_not(thawed: &Thawed, clock: &PlanClock) -> String {
    let Thawed { order, step, place, outside, was, why } = thawed;
    let at = if *outside { "at" } else { "on" };
    format!("{order} {step} {at} {place}, {}, could not stand: {why}", moment(clock, *was))
}

fn counted(count: usize, noun: &str) -> String {
    if count == 1 { format!("1 {noun}") } else { format!("{count} {noun}s") }
}
