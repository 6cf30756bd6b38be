use crate::layout::Layout;
use crate::objective::{self, Figures};
use crate::{
    rule_1_complete, rule_2_working_time, rule_3_cell, rule_4_changeover, rule_5_tools, rule_6_crews,
    rule_7_order, rule_8_horizon, rule_9_pinned,
};
use elbowroom_problem::{Problem, Schedule};
use std::fmt;

/// What can be broken: the nine rules of the contract and the two claims of a schedule.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Rule {
    /// V1: every job has one route, every operation of it stands once, nothing else does.
    Complete,
    /// V2: setups and runs take the cell's working minutes, without a break of their own.
    WorkingTime,
    /// V3: a cell does one operation at a time.
    Cell,
    /// V4: each setup is as long as its changeover or remount.
    Changeover,
    /// V5: no more pieces of a tool are held than there are, none before it can be had.
    Tools,
    /// V6: no more heads of a crew are needed than are there.
    Crews,
    /// V7: release, order of a route's operations, and lags.
    Order,
    /// V8: nothing ends after the horizon.
    Horizon,
    /// V9: pinned work stands exactly as given.
    Pinned,
    /// VO: the objective is what the schedule claims.
    ObjectiveClaim,
    /// VB: the claimed lower bound is not above the objective.
    BoundClaim,
}

impl Rule {
    /// The rule's stable code.
    #[must_use]
    pub fn code(self) -> &'static str {
        match self {
            Rule::Complete => "V1",
            Rule::WorkingTime => "V2",
            Rule::Cell => "V3",
            Rule::Changeover => "V4",
            Rule::Tools => "V5",
            Rule::Crews => "V6",
            Rule::Order => "V7",
            Rule::Horizon => "V8",
            Rule::Pinned => "V9",
            Rule::ObjectiveClaim => "VO",
            Rule::BoundClaim => "VB",
        }
    }
}

/// One place at which a schedule breaks a rule.
///
/// Shown as `violation[V3]: ...`. Minutes `a..b` are half-open: `b` is the first minute after.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Violation {
    /// The rule.
    pub rule: Rule,
    /// The operation (`J-2041/bend`), job, tool (`tool die-a`) or crew (`crew setter`) at which it shows.
    pub place: String,
    /// What is wrong, with names and numbers; a sentence that stands alone.
    pub what: String,
}

impl fmt::Display for Violation {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "violation[{}]: {}", self.rule.code(), self.what)
    }
}

/// A schedule that broke a rule, with every violation. Shown as one line for each.
#[derive(Clone, Debug, PartialEq)]
pub struct Rejected {
    /// Every violation, by rule; at least one.
    pub violations: Vec<Violation>,
    /// The schedule, as it was handed in.
    pub schedule: Schedule,
}

impl fmt::Display for Rejected {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, violation) in self.violations.iter().enumerate() {
            let before = if i > 0 { "\n" } else { "" };
            write!(f, "{before}{violation}")?;
        }
        Ok(())
    }
}

impl std::error::Error for Rejected {}

/// A schedule that breaks no rule of its problem. Only [`verify`] can make one.
#[derive(Clone, Debug, PartialEq)]
pub struct VerifiedSchedule {
    schedule: Schedule,
    figures: Figures,
}

impl VerifiedSchedule {
    /// The schedule.
    #[must_use]
    pub fn schedule(&self) -> &Schedule {
        &self.schedule
    }

    /// What it costs and how long its changeovers are, recomputed.
    #[must_use]
    pub fn figures(&self) -> &Figures {
        &self.figures
    }

    /// Gives the schedule up; what becomes of it then has to be verified again.
    #[must_use]
    pub fn into_schedule(self) -> Schedule {
        self.schedule
    }
}

/// Judges a schedule by every rule of the contract and by its own claims.
///
/// A schedule that is not complete is judged by the other rules as far as it goes, taking what
/// stands in it literally; only its claims are then left alone.
///
/// # Errors
/// Every violation, and the schedule back.
pub fn verify(problem: &Problem, schedule: Schedule) -> Result<VerifiedSchedule, Rejected> {
    let (violations, figures) = judge(problem, &schedule);
    if violations.is_empty() {
        Ok(VerifiedSchedule { schedule, figures })
    } else {
        Err(Rejected { violations, schedule })
    }
}

fn judge(problem: &Problem, schedule: &Schedule) -> (Vec<Violation>, Figures) {
    let layout = Layout::new(problem, schedule);
    let setups = rule_4_changeover::setups(&layout);
    let mut found = Vec::new();
    rule_1_complete::check(&layout, &mut found);
    let complete = found.is_empty();
    rule_2_working_time::check(&layout, &setups, &mut found);
    rule_3_cell::check(&layout, &mut found);
    rule_4_changeover::check(&layout, &setups, &mut found);
    rule_5_tools::check(&layout, &mut found);
    rule_6_crews::check(&layout, &setups, &mut found);
    rule_7_order::check(&layout, &mut found);
    rule_8_horizon::check(&layout, &mut found);
    rule_9_pinned::check(&layout, &mut found);
    let figures = objective::figures(&layout, &setups);
    if complete {
        objective::check(schedule, &figures, &mut found);
    }
    (found, figures)
}
