//! Changing a machine over: taking off what is not needed, putting on what is missing, aligning
//! once, loading the program.
//!
//! Times by tool are common practice; with the shipped ones a full change takes 30 minutes for bare
//! rotary draw, 60 with mandrel and wiper, 40 for a twin head, 25 for three rolls, 20 for free-form.

use crate::rules::SetupRules;
use crate::tooling::ToolKind;
use elbowroom_units::{Minutes, Seconds};

/// A tool on a machine: which one it is, and of what kind.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Mounted<Id> {
    /// Identity of the tool, so that equal pieces count as different only if they are.
    pub id: Id,
    /// Its kind.
    pub kind: ToolKind,
}

/// Time to change a machine over from the tools `from` to the tools `to`, rounded up to minutes.
///
/// `None` for `from` means that nobody knows what is on it: as much as `to` is taken off first.
/// Nothing to do is no time at all. `same_program`: the program loaded is the one needed.
#[must_use]
pub fn changeover<Id: PartialEq>(
    from: Option<&[Mounted<Id>]>,
    to: &[Mounted<Id>],
    same_program: bool,
    rules: &SetupRules,
) -> Minutes {
    let (off, on) = match from {
        Some(from) => (tools_missing_in(from, to), tools_missing_in(to, from)),
        None => (to.iter().collect(), to.iter().collect()),
    };
    let mut time = Seconds::ZERO;
    if !same_program {
        time += rules.program;
    }
    if !off.is_empty() || !on.is_empty() {
        time += rules.alignment;
    }
    time += off.iter().map(|tool| rules.tools.of(tool.kind).off).sum();
    time += on.iter().map(|tool| rules.tools.of(tool.kind).on).sum();
    time.round_up_to_minutes()
}

/// Time of a full change to `to`: everything of the same kinds taken off and put on, another
/// program loaded.
#[must_use]
pub fn full_changeover(to: &[ToolKind], rules: &SetupRules) -> Minutes {
    let to: Vec<Mounted<usize>> = to.iter().enumerate().map(|(id, &kind)| Mounted { id, kind }).collect();
    changeover(None, &to, false, rules)
}

fn tools_missing_in<'a, Id: PartialEq>(
    tools: &'a [Mounted<Id>],
    other: &[Mounted<Id>],
) -> Vec<&'a Mounted<Id>> {
    tools.iter().filter(|tool| !other.iter().any(|o| o.id == tool.id && o.kind == tool.kind)).collect()
}
