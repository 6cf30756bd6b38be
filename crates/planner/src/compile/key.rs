//! The way back from a problem to the shop.

use elbowroom_bending::process::Process;
use elbowroom_bending::tooling::ToolKind;
use elbowroom_problem::{JobIdx, OptionIdx, ToolIdx};
use elbowroom_units::{Minutes, Mm};

/// What the jobs, routes, operations and tools of a compiled problem are in the shop.
///
/// Cells and crews of the problem stand in the shop's own order, so they need no key.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Key {
    /// By job of the problem.
    pub jobs: Vec<JobKey>,
    /// By tool of the problem.
    pub tools: Vec<ToolKey>,
}

/// What a job is in the shop.
#[derive(Clone, Debug, PartialEq)]
pub struct JobKey {
    /// Position of its order in the order book.
    pub order: usize,
    /// Whether it is the whole of what is left, or only the step that is running.
    pub role: JobRole,
    /// What it waits for before its first step.
    pub release: ReleaseReason,
    /// By route of the job.
    pub routes: Vec<RouteKey>,
}

/// How much of an order a job is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum JobRole {
    /// All that is left to do.
    Rest,
    /// Only the step that is running at plan start. It stands as a job of its own where the way
    /// on is still open, because pinned work would fix its job's route.
    Running,
}

/// Why a job cannot begin at minute 0.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ReleaseReason {
    /// It can.
    Nothing,
    /// Its tube comes later.
    Material,
    /// A step of it is running at plan start.
    Running,
}

/// What a route is in the shop.
#[derive(Clone, Debug, PartialEq)]
pub struct RouteKey {
    /// How it bends; `None` where bending is done.
    pub process: Option<Process>,
    /// Length of tube to cut for a piece, enough for each cell that could bend it; `None` where
    /// bending is done.
    pub blank: Option<Mm>,
    /// By operation of the route.
    pub steps: Vec<StepKey>,
}

/// What an operation is in the shop.
#[derive(Clone, Debug, PartialEq)]
pub struct StepKey {
    /// What is done.
    pub kind: StepKind,
    /// Pieces it starts with.
    pub pieces: u32,
    /// By option: id of the cell or of the vendor.
    pub places: Vec<String>,
}

/// What is done in a step.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum StepKind {
    /// Cutting the tube to length.
    Cut,
    /// Taking the burr off.
    Deburr,
    /// Bending.
    Bend,
    /// Washing.
    Wash,
    /// Cutting the length added for bending off both ends.
    Trim,
    /// Forming ends.
    EndForm,
    /// Welding.
    Weld,
    /// A service outside the house.
    Outside,
    /// Inspecting the lot.
    Inspect,
}

impl StepKind {
    /// The name of the step; an outside step has its service's name instead.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Cut => "cut",
            Self::Deburr => "deburr",
            Self::Bend => "bend",
            Self::Wash => "wash",
            Self::Trim => "trim",
            Self::EndForm => "end-form",
            Self::Weld => "weld",
            Self::Outside => "outside",
            Self::Inspect => "inspect",
        }
    }
}

/// What a tool of the problem is in the shop.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ToolKey {
    /// What it is.
    pub kind: ToolKind,
    /// Calendar time from order to arrival, for a tool that must be bought.
    pub lead: Option<Minutes>,
    /// Whether price and lead are the shop's defaults and not a tool maker's word.
    pub estimated: bool,
}

impl Key {
    /// The job of the problem.
    #[must_use]
    pub fn job(&self, job: JobIdx) -> &JobKey {
        &self.jobs[job.get()]
    }

    /// The route that an option belongs to.
    #[must_use]
    pub fn route(&self, at: OptionIdx) -> &RouteKey {
        &self.job(at.job).routes[at.route]
    }

    /// The step that an option belongs to.
    #[must_use]
    pub fn step(&self, at: OptionIdx) -> &StepKey {
        &self.route(at).steps[at.operation]
    }

    /// Id of the cell or vendor of an option.
    #[must_use]
    pub fn place(&self, at: OptionIdx) -> &str {
        &self.step(at).places[at.option]
    }

    /// The tool of the problem.
    #[must_use]
    pub fn tool(&self, tool: ToolIdx) -> &ToolKey {
        &self.tools[tool.get()]
    }
}
