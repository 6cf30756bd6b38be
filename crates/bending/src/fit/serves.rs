//! Whether a tool serves for what a part asks. A substitute is offered, never assumed.

use crate::rules::MatchRules;
use crate::tooling::ToolSpec;
use elbowroom_units::Mm;
use std::fmt;

/// How well a tool serves.
#[derive(Clone, Debug, PartialEq)]
pub enum Match {
    /// It is the tool asked for.
    Exact,
    /// It may be tried if the toolmaker agrees, for it differs in these ways.
    Substitute(Vec<Difference>),
    /// It does not serve.
    No,
}

/// One way in which a substitute differs from what is needed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Difference {
    /// It is cut for a slightly larger tube.
    Diameter {
        /// The tool's.
        tool: Mm,
        /// The one needed.
        need: Mm,
    },
    /// Its radius is slightly different.
    Radius {
        /// The tool's.
        tool: Mm,
        /// The one needed.
        need: Mm,
    },
    /// It is a mandrel for a slightly thicker wall.
    Wall {
        /// The tool's.
        tool: Mm,
        /// The one needed.
        need: Mm,
    },
    /// It has more balls.
    Balls {
        /// The tool's.
        tool: u32,
        /// Those needed.
        need: u32,
    },
}

impl fmt::Display for Difference {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Diameter { tool, need } => write!(f, "cut for {tool} instead of {need}"),
            Self::Radius { tool, need } => write!(f, "radius {tool} instead of {need}"),
            Self::Wall { tool, need } => write!(f, "for a wall of {tool} instead of {need}"),
            Self::Balls { tool, need } => write!(f, "{tool} balls instead of {need}"),
        }
    }
}

/// How well `tool` serves for `need`, within the tolerances of `rules`.
#[must_use]
pub fn serves(tool: &ToolSpec, need: &ToolSpec, rules: &MatchRules) -> Match {
    if tool.kind != need.kind {
        return Match::No;
    }
    let checks = [
        diameter(tool.od, need.od, rules),
        optional(tool.clr, need.clr, |tool, need| radius(tool, need, rules)),
        optional(tool.wall, need.wall, |tool, need| wall(tool, need, rules)),
        balls(tool.balls, need.balls, rules),
    ];
    let mut differences = Vec::new();
    for check in checks {
        match check {
            Check::Same => {}
            Check::Differs(difference) => differences.push(difference),
            Check::Fails => return Match::No,
        }
    }
    if differences.is_empty() { Match::Exact } else { Match::Substitute(differences) }
}

enum Check {
    Same,
    Differs(Difference),
    Fails,
}

/// A dimension that the need does not name is free; one that the tool does not name is unknown.
fn optional(tool: Option<Mm>, need: Option<Mm>, check: impl Fn(Mm, Mm) -> Check) -> Check {
    match (tool, need) {
        (_, None) => Check::Same,
        (None, Some(_)) => Check::Fails,
        (Some(tool), Some(need)) => check(tool, need),
    }
}

/// A tool cut too small would pinch the tube, so only larger ones may be tried.
fn diameter(tool: Mm, need: Mm, rules: &MatchRules) -> Check {
    let excess = tool - need;
    if excess.abs() <= rules.same_od {
        Check::Same
    } else if excess > Mm::ZERO && excess <= rules.od_oversize {
        Check::Differs(Difference::Diameter { tool, need })
    } else {
        Check::Fails
    }
}

fn radius(tool: Mm, need: Mm, rules: &MatchRules) -> Check {
    if tool.near(need, rules.same_clr) {
        Check::Same
    } else if tool.near(need, need * (rules.clr_percent / 100.0)) {
        Check::Differs(Difference::Radius { tool, need })
    } else {
        Check::Fails
    }
}

/// A mandrel for a thicker wall is thinner, so it enters the bore; one for a thinner wall does not.
fn wall(tool: Mm, need: Mm, rules: &MatchRules) -> Check {
    let excess = tool - need;
    if excess.abs() <= rules.same_wall {
        Check::Same
    } else if excess > Mm::ZERO && excess <= rules.mandrel_wall_excess {
        Check::Differs(Difference::Wall { tool, need })
    } else {
        Check::Fails
    }
}

fn balls(tool: u32, need: u32, rules: &MatchRules) -> Check {
    if tool == need {
        Check::Same
    } else if tool > need && tool - need <= rules.extra_balls {
        Check::Differs(Difference::Balls { tool, need })
    } else {
        Check::Fails
    }
}
