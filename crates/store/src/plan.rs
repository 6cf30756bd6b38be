//! Plans as the store knows them: a head, and documents that it does not look into.

use crate::Signature;
use std::fmt;

/// Number of a plan, published or not, in the order in which they were made.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PlanId(pub i64);

impl fmt::Display for PlanId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

/// How often a plan has been published: the current plan's number among published ones.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Version(pub i64);

impl Version {
    /// Nothing has been published yet.
    pub const NONE: Self = Self(0);
}

impl fmt::Display for Version {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

/// What to know of a plan without opening it.
#[derive(Clone, Debug, PartialEq)]
pub struct PlanFigures {
    /// Orders planned.
    pub orders: u32,
    /// Orders that will be late.
    pub late_orders: u32,
    /// Money it costs in all.
    pub total_cost: f64,
    /// Currency code of the money.
    pub currency: String,
}

/// A file of a plan: the plan itself, the problem, the schedule, or an input.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Document {
    /// Name, such as `plan.json` or `inputs/shop.toml`.
    pub name: String,
    /// Content.
    pub bytes: Vec<u8>,
}

/// A plan to keep.
#[derive(Clone, Debug, PartialEq)]
pub struct NewPlan {
    /// Who made it, and when.
    pub made: Signature,
    /// The version that was current when it was begun.
    pub based_on: Version,
    /// Why it was made, in a few words.
    pub reason: String,
    /// Its figures.
    pub figures: PlanFigures,
    /// Its documents.
    pub documents: Vec<Document>,
}

/// A plan that is kept.
#[derive(Clone, Debug, PartialEq)]
pub struct PlanHead {
    /// Its number.
    pub id: PlanId,
    /// Who made it, and when.
    pub made: Signature,
    /// The version that was current when it was begun.
    pub based_on: Version,
    /// Why it was made, in a few words.
    pub reason: String,
    /// Its figures.
    pub figures: PlanFigures,
    /// What became of it.
    pub outcome: Outcome,
}

impl PlanHead {
    /// Its version, if it was published.
    #[must_use]
    pub fn version(&self) -> Option<Version> {
        match self.outcome {
            Outcome::Published { version, .. } => Some(version),
            Outcome::Proposed | Outcome::Discarded(_) => None,
        }
    }
}

/// What became of a plan.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// It waits for somebody to publish or discard it.
    Proposed,
    /// It was or is the shop's plan.
    Published {
        /// The how manieth.
        version: Version,
        /// Who published it, and when.
        signature: Signature,
    },
    /// Somebody put it aside.
    Discarded(Signature),
}

impl Outcome {
    /// One word for it.
    #[must_use]
    pub const fn word(&self) -> &'static str {
        match self {
            Self::Proposed => "proposed",
            Self::Published { .. } => "published",
            Self::Discarded(_) => "discarded",
        }
    }
}
