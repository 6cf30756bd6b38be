//! Promise dates: when an inquiry could be delivered, made how, at what cost, and who would suffer.
//!
//! An inquiry is held against a plan that stands ([`Standing`]): every lot of it keeps its place or
//! moves within its order's slack. For every way of making the part ([`Offer`]) two questions are
//! asked: how early without making any order that is on time late, or a late one later; and how
//! early if it is forced in, and what that does to others. Nothing changes until an offer is
//! accepted ([`Standing::accept`]).
//!
//! # How good the dates are
//! Every date belongs to a schedule that the verifier has accepted, so it can be kept and is never
//! earlier than the earliest possible one. How much later it may be is stated beside it:
//! [`Offer::not_before`] is a date that no schedule beats on this way, since it assumes an empty
//! shop without changeovers.

mod answer;
mod asked;
mod binding;
mod choose;
mod cost;
mod dates;
mod floor;
mod inquiry;
mod offers;
mod otherwise;
mod place;
mod standing;
mod sure;
mod trial;
mod way;

pub use answer::{Advised, Answer, Binding, Buy, Cost, Forced, Harm, Limit, Lot, Offer};
pub use inquiry::{Inquiry, InquiryFault};
pub(crate) use otherwise::Rearranged;
pub use standing::{PlanMisfit, Recompiled, Standing};
pub use sure::{HowSure, Rehearsal};
pub(crate) use way::Way;
