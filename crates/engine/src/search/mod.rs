//! Improving a plan by simulated annealing over its list, routes and options.
//!
//! One turn: a [`moves::Move`] changes the list; [`crate::plan::Plan::redo`] finds the new times as
//! far as they differ, and gives up early where it becomes too dear; the change is kept if the
//! objective rose by no more than a random amount of about the temperature, else it is taken back.
//! The temperature falls as time (or the budget of turns) is used up.
//!
//! * [`anneal`]: the turn, the temperature, the best plan so far;
//! * [`moves`]: one neighbourhood per file;
//! * [`choice`]: which move next, by what moves have brought lately;
//! * [`tabu`]: another search, for makespans where only cells and the order of jobs bind ([`machines`]);
//! * [`levelling`]: and another one for these where every job is one operation;
//! * [`island`]: which of them a thread does;
//! * [`islands`]: one annealing per thread, which share their best now and then.
//!
//! # One turn
//!
//! 1. [`choice`] draws a move by its weight. Weights follow what moves brought in the last few thousand
//!    turns: four points for a kept change that lowered the objective, one for another kept change.
//! 2. The move's `propose` draws an operation, sooner from cells before which work queues (the *scene*, which
//!    is looked at whenever the list is sorted), and edits the list. It returns `false` where it finds nothing
//!    sensible; its edits so far are then taken back.
//! 3. The threshold is drawn first: `before - temperature * ln(random)`, Metropolis turned round. Knowing it
//!    beforehand is what lets [`crate::plan::Plan::redo`] give up early.
//! 4. Kept or taken back. A new best is noted down as a [`sketch`] only when the plan is about to become worse
//!    again, as most bests are followed by better ones at once.
//!
//! Now and then the list is sorted by time (`refresh`). Two operations with nothing in common may stand in
//! any order in the list; without sorting they drift, and moves that look for a place by time miss it.
//!
//! # A new neighbourhood
//!
//! A move is one file in [`moves`]: a type with `name`, `applies_to` and `propose`. `moves/hop.rs` is the
//! shortest example, `moves/swap.rs` moves two operations, `moves/another_route.rs` takes a whole job out and
//! puts it back. The calls to edit with:
//!
//! | call | what it does | what it leaves to the caller |
//! |---|---|---|
//! | `relocate(x, at)` | `x` goes right before position `at` | predecessors before it, successors behind |
//! | `carry(x, at, time)` | the same, and `x`'s job goes along as far as it must | nothing |
//! | `overtake(x, y)`, `fall_behind(x, y)` | changes the order of two operations only, all they depend on goes along | nothing |
//! | `lift(x)`, `choose(x, option)`, `drop_before(x, at)` | out of the list, another option, in again | the order within the job |
//! | `reroute(job, route)` | another route, once all of the job is lifted | `choose` and `drop_before` for each slot |
//!
//! The one invariant: when `propose` returns `true`, every operation of the list stands behind its
//! predecessor. A debug build stops at the first move that breaks it, and names the move.
//!
//! `propose` runs some hundred thousand times a second: no allocation, no loop over all jobs, at most a walk of
//! some tens of neighbours. What is expensive to know belongs into the scene, which is looked at
//! thousands of times more rarely.
//!
//! # What was tried and did not help
//!
//! Costs are those of the reference shops (`bench shops`). Before trying one again, look whether what made it
//! fail has changed.
//!
//! * **Descent with restarts**, in a prototype, 8 s: 1 % dearer than annealing at 40 and 150 jobs, 2 % at 600.
//! * **A simple ruin and recreate** (take some jobs out, put each back where it is best), the same way: 1 %
//!   dearer at 40 jobs, 3 % at 150, 6 % at 600. A stronger one has not been tried.
//! * **No giving up**: a tenth of the turns at 600 jobs, 3 to 4 % dearer after 10 s.
//! * **One long cooling for each thread**, without exchange: worse than islands that go on from the best plan.
//!   One very long annealing is also no better than several of ample length one after the other, each from a new
//!   plan (`AMPLE_TIMES`): over 16 runs of 4 million turns at 40 jobs 0.04 % dearer in the mean, and its worst
//!   runs are worse.
//! * **A hot beginning in a short solve**: it only destroys the first plan, from which there is then no time
//!   to cool down again. The first temperature therefore falls with the turns that can be expected.
//! * **Setups as late as possible**: a setter that is wanted elsewhere at that moment is taken away. Setups
//!   stand as early as the cell, the tools and the crew allow.
//! * **A first plan from one good setting**: what a better start saves, some 2.5 %, is nearly all still saved
//!   after 10 s. But dispatching must not be quadratic in the jobs.

mod anneal;
#[cfg(test)]
mod cases;
mod choice;
pub(crate) mod island;
pub(crate) mod islands;
mod levelling;
mod machines;
mod moves;
pub(crate) mod sketch;
mod tabu;
