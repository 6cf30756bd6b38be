//! What recorded times say about the standard times: `measured.toml`.

use crate::cell::WorkKind;
use elbowroom_bending::tube::Tube;
use elbowroom_units::Mm;

/// How many times as long as by the standard a kind of work takes in this shop.
#[derive(Clone, Debug, PartialEq)]
pub struct MeasuredTime {
    /// The kind of work.
    pub work: WorkKind,
    /// Outside diameter and wall; `None`: every tube without an entry of its own.
    pub tube: Option<(Mm, Mm)>,
    /// Running time over its standard; more than 0. `None`: not measured.
    pub run: Option<f64>,
    /// Time of changing over over its standard; more than 0. Only where no tube is named.
    pub setup: Option<f64>,
    /// Coefficient of variation of running times, in place of the one in `uncertainty.toml`.
    pub run_cv: Option<f64>,
    /// Coefficient of variation of changing over.
    pub setup_cv: Option<f64>,
}

/// Everything that was measured; empty: the standard times hold.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Measured(pub Vec<MeasuredTime>);

/// Sizes nearer to each other than this are the same.
const SAME_SIZE: f64 = 0.01;

impl Measured {
    /// Factor on the standard running time of a kind of work on a tube; 1 where nothing was measured.
    #[must_use]
    pub fn run(&self, work: WorkKind, tube: &Tube) -> f64 {
        let same = |(outer, wall): (Mm, Mm)| {
            let near = Mm::new(SAME_SIZE);
            outer.near(tube.outer(), near) && wall.near(tube.wall(), near)
        };
        let of_tube = self.of(work).find(|entry| entry.tube.is_some_and(same)).and_then(|entry| entry.run);
        let of_all = || self.of(work).find(|entry| entry.tube.is_none()).and_then(|entry| entry.run);
        of_tube.or_else(of_all).unwrap_or(1.0)
    }

    /// Factor on the standard time of changing a kind of cell over; 1 where nothing was measured.
    #[must_use]
    pub fn setup(&self, work: WorkKind) -> f64 {
        self.of(work).find_map(|entry| entry.setup).unwrap_or(1.0)
    }

    fn of(&self, work: WorkKind) -> impl Iterator<Item = &MeasuredTime> {
        self.0.iter().filter(move |entry| entry.work == work)
    }
}
