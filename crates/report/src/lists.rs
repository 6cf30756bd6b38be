//! The lists of a plan as tables for people.

pub mod chances;
pub mod dispatch;
pub mod fit;
pub mod load;
pub mod orders;
pub mod tooling;
pub mod tube;

use elbowroom_units::{Minutes, Money};

/// A blank at which no line is broken.
pub const NO_BREAK: char = '\u{A0}';

/// An amount with its currency: `4 200.00 EUR`, which stays on one line.
#[must_use]
pub fn money(amount: Money, currency: &str) -> String {
    format!("{amount} {currency}").replace(' ', &NO_BREAK.to_string())
}

/// Minutes as a bare number; empty where there are none.
fn some_minutes(time: Minutes) -> String {
    if time == Minutes::ZERO { String::new() } else { time.count().to_string() }
}

/// Ids in a row.
pub(crate) fn ids(list: &[String]) -> String {
    list.join(", ")
}
