//! The steps of a part in their order, and how long those other than bending take.

use super::key::StepKind;
use super::knowledge::times_as_long;
use elbowroom_shop::Shop;
use elbowroom_shop::cell::WorkKind;
use elbowroom_shop::part::{Part, StockTube};
use elbowroom_shop::standards::StepTimes;
use elbowroom_units::{Minutes, Mm, Seconds};

/// A step of a part.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Step {
    pub(crate) kind: StepKind,
    /// Name in the plan, unique among the part's steps.
    pub(crate) name: String,
    /// The service, for an outside step.
    pub(crate) service: Option<String>,
}

/// Everything that can be a step of the part, in the order in which it is done. Washing and
/// trimming are listed always; whether they are needed depends on how it is bent.
pub(crate) fn steps_of(part: &Part) -> Vec<Step> {
    let inside = [
        (true, StepKind::Cut),
        (part.deburr, StepKind::Deburr),
        (true, StepKind::Bend),
        (true, StepKind::Wash),
        (true, StepKind::Trim),
        (part.end_forms > 0, StepKind::EndForm),
        (part.weld.is_some(), StepKind::Weld),
    ];
    let mut steps: Vec<Step> =
        inside.into_iter().filter(|(wanted, _)| *wanted).map(|(_, kind)| Step::inside(kind)).collect();
    for service in &part.outside {
        let name = unused_name(&steps, service);
        steps.push(Step { kind: StepKind::Outside, name, service: Some(service.clone()) });
    }
    if part.inspect {
        steps.push(Step::inside(StepKind::Inspect));
    }
    steps
}

/// The service's name; with a number where the part takes it twice or it is named like a step.
fn unused_name(steps: &[Step], service: &str) -> String {
    let reserved =
        |name: &str| name == StepKind::Inspect.name() || steps.iter().any(|step| step.name == name);
    let mut name = service.to_owned();
    let mut number = 2;
    while reserved(&name) {
        name = format!("{service} {number}");
        number += 1;
    }
    name
}

impl Step {
    fn inside(kind: StepKind) -> Self {
        Self { kind, name: kind.name().to_owned(), service: None }
    }

    /// Whether the way of bending leaves this step to be done.
    pub(crate) fn is_wanted(&self, washed: bool, cut_ends: u32) -> bool {
        match self.kind {
            StepKind::Wash => washed,
            StepKind::Trim => cut_ends > 0,
            _ => true,
        }
    }

    /// What to say where neither cell nor vendor does it.
    pub(crate) fn nobody_does(&self) -> String {
        match &self.service {
            Some(service) => format!("no vendor does {service}"),
            None => format!("the shop has no cell for the step `{}`", self.name),
        }
    }
}

/// Pieces in a step: scrap and set-up pieces go after washing at the latest.
pub(crate) fn pieces_in(kind: StepKind, quantity: u32, start_pieces: u32) -> u32 {
    match kind {
        StepKind::Cut | StepKind::Deburr | StepKind::Bend | StepKind::Wash => start_pieces,
        _ => quantity,
    }
}

/// The kind of cell that does a step other than bending inside the house.
pub(crate) fn work_for(kind: StepKind) -> Option<WorkKind> {
    match kind {
        StepKind::Cut | StepKind::Trim => Some(WorkKind::Cut),
        StepKind::Deburr => Some(WorkKind::Deburr),
        StepKind::Wash => Some(WorkKind::Wash),
        StepKind::EndForm => Some(WorkKind::EndForm),
        StepKind::Weld => Some(WorkKind::Weld),
        StepKind::Inspect => Some(WorkKind::Inspect),
        StepKind::Bend | StepKind::Outside => None,
    }
}

/// What bending leaves to be done to a piece.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Bent {
    /// Washing time.
    pub(crate) washing: Seconds,
    /// Ends to be cut off.
    pub(crate) cut_ends: u32,
}

/// Standard time of a lot in a step other than bending.
pub(crate) fn lot_time(times: &StepTimes, kind: StepKind, part: &Part, pieces: u32, bent: Bent) -> Seconds {
    match kind {
        StepKind::Cut => times.cut.lot(pieces),
        StepKind::Trim => {
            let ends = f64::from(pieces) * f64::from(bent.cut_ends.max(1));
            times.cut.per_lot + times.cut.per_trimmed_end * ends
        }
        StepKind::Deburr => times.deburr.lot(pieces),
        StepKind::Wash => times.wash.lot(bent.washing * f64::from(pieces)),
        StepKind::EndForm => times.end_form.lot(pieces, part.end_forms),
        StepKind::Weld => times.weld.lot(pieces, part.weld.unwrap_or(Seconds::ZERO)),
        StepKind::Inspect => times.inspect.lot(pieces),
        StepKind::Bend | StepKind::Outside => Seconds::ZERO,
    }
}

/// Working minutes on a cell that is `speed_factor` times as fast as the standard; at least 1.
pub(crate) fn run_minutes(standard: Seconds, speed_factor: f64) -> Minutes {
    (standard / speed_factor).round_up_to_minutes().max(Minutes::new(1))
}

/// What must be set up for a step other than bending: lots with the same key follow each other
/// without changing over.
pub(crate) fn setup_key(kind: StepKind, part: &Part, tube: &StockTube) -> String {
    match kind {
        // Jaws, guides and tools are those of the tube's size, whatever its material.
        StepKind::Cut | StepKind::Trim | StepKind::Deburr => size(tube),
        StepKind::EndForm => size(tube),
        StepKind::Weld => part.id.clone(),
        _ => kind.name().to_owned(),
    }
}

fn size(tube: &StockTube) -> String {
    let plain = |length: Mm| elbowroom_units::quantity::plain(length.mm(), 3);
    format!("tube {}x{}", plain(tube.tube.outer()), plain(tube.tube.wall()))
}

/// Time to change a cell over from one key to another, other than bending cells.
pub(crate) fn changeover(shop: &Shop, work: WorkKind) -> Minutes {
    let times = &shop.step_times;
    let standard = match work {
        WorkKind::Cut => times.cut.changeover,
        WorkKind::Deburr => times.deburr.changeover,
        WorkKind::EndForm => times.end_form.changeover,
        WorkKind::Weld => times.weld.changeover,
        WorkKind::Wash | WorkKind::Inspect | WorkKind::Bend(_) => Minutes::ZERO,
    };
    times_as_long(standard, shop.measured.setup(work))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_fast_cell_takes_less_and_nothing_takes_no_time() {
        assert_eq!(run_minutes(Seconds::new(600.0), 2.0), Minutes::new(5));
        assert_eq!(run_minutes(Seconds::new(610.0), 1.0), Minutes::new(11));
        assert_eq!(run_minutes(Seconds::new(1.0), 4.0), Minutes::new(1));
    }
}
