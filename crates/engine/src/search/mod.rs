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
//! * [`tabu`]: another search, for makespans where only cells and the order of jobs bind;
//! * [`island`]: which of the two a thread does;
//! * [`islands`]: one annealing per thread, which share their best now and then.

mod anneal;
mod choice;
pub(crate) mod island;
pub(crate) mod islands;
mod moves;
mod sketch;
mod tabu;
