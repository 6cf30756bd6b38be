//! How far things stray from what was planned: `config/uncertainty.toml`.

use crate::cell::WorkKind;
use chrono::NaiveTime;
use elbowroom_bending::process::Process;
use elbowroom_units::Minutes;

/// How far work on cells of one kind strays from its standard times.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WorkSpread {
    /// Coefficient of variation of a lot's running time.
    pub run_cv: f64,
    /// Coefficient of variation of a changeover.
    pub setup_cv: f64,
    /// Share of the pieces that are spoilt, in percent; what is planned as spare comes off.
    pub scrap_percent: f64,
    /// Mean running time between two breakdowns of a cell; zero: it never breaks down.
    pub between_failures: Minutes,
    /// Mean working time that a repair takes.
    pub repair: Minutes,
}

/// How often something comes late, and by how much.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LateArrival {
    /// Share that comes late, in percent.
    pub late_percent: f64,
    /// How late that is on average.
    pub late_by: Minutes,
}

/// The overtime shift that is tried where a promise is at risk.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Overtime {
    /// Clock time at which a Saturday shift begins; before `to`.
    pub from: NaiveTime,
    /// Clock time at which it ends.
    pub to: NaiveTime,
    /// What is paid for its hours on top of the cell's hourly rate, in percent.
    pub premium_percent: f64,
}

/// How far things stray from what was planned, and from when on a promise is at risk.
#[derive(Clone, Debug, PartialEq)]
pub struct Uncertainty {
    /// By process, in the order of [`Process::ALL`].
    pub bend: [WorkSpread; Process::ALL.len()],
    /// Cutting and trimming.
    pub cut: WorkSpread,
    /// Taking the burr off.
    pub deburr: WorkSpread,
    /// Washing.
    pub wash: WorkSpread,
    /// Forming ends.
    pub end_form: WorkSpread,
    /// Welding.
    pub weld: WorkSpread,
    /// Inspecting.
    pub inspect: WorkSpread,
    /// Coefficient of variation of a vendor's time.
    pub outside_cv: f64,
    /// Coefficient of variation of a repair.
    pub repair_cv: f64,
    /// Tube that an order is waiting for.
    pub material: LateArrival,
    /// Tools on order or to be bought.
    pub tools: LateArrival,
    /// A cell that has stood idle so long for the lot whose turn it is takes the next that is ready.
    pub turn_lost_after: Minutes,
    /// A promise that is kept less often is at risk, in percent.
    pub at_risk_below_percent: f64,
    /// Overtime as a remedy.
    pub overtime: Overtime,
}

impl Uncertainty {
    /// How far work of a kind strays.
    #[must_use]
    pub fn of(&self, work: WorkKind) -> &WorkSpread {
        match work {
            WorkKind::Bend(process) => &self.bend[position(process)],
            WorkKind::Cut => &self.cut,
            WorkKind::Deburr => &self.deburr,
            WorkKind::Wash => &self.wash,
            WorkKind::EndForm => &self.end_form,
            WorkKind::Weld => &self.weld,
            WorkKind::Inspect => &self.inspect,
        }
    }
    /// The same, to be changed.
    pub fn of_mut(&mut self, work: WorkKind) -> &mut WorkSpread {
        match work {
            WorkKind::Bend(process) => &mut self.bend[position(process)],
            WorkKind::Cut => &mut self.cut,
            WorkKind::Deburr => &mut self.deburr,
            WorkKind::Wash => &mut self.wash,
            WorkKind::EndForm => &mut self.end_form,
            WorkKind::Weld => &mut self.weld,
            WorkKind::Inspect => &mut self.inspect,
        }
    }
}

fn position(process: Process) -> usize {
    Process::ALL.iter().position(|one| *one == process).expect("all processes are in the list of all")
}
