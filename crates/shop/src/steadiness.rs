use elbowroom_units::{Minutes, Money};

/// How much of the plan that stood a new plan keeps.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Steadiness {
    /// What begins within this time of the new plan's first working minute stands where it is,
    /// unless that has become impossible; zero: nothing is frozen.
    pub frozen: Minutes,
    /// What it is worth to leave an order's announced finish where it is; zero: nothing.
    pub move_cost: Money,
    /// An order counts as moved if it is finished by more than this sooner or later than announced.
    pub moved_by: Minutes,
}

impl Default for Steadiness {
    /// Nothing is frozen, moving costs nothing, and four hours sooner or later (half a shift: common
    /// practice, no source) are no move.
    fn default() -> Self {
        Self { frozen: Minutes::ZERO, move_cost: Money::ZERO, moved_by: Minutes::new(240) }
    }
}
