//! From zero prices to a good bound: coarse time first, fast incremental steps, then a polish.

use super::ascent::Ascent;
use super::meter::Meter;
use super::prices::Resolution;
use super::relaxation::{Relaxation, Workspace};
use super::tasks::{Shop, Task};
use super::{ProvenBound, Standing};

/// One resolution and the part of the budget that it gets.
struct Phase {
    resolution: Resolution,
    /// It lasts until so much of the budget is spent.
    until: f64,
    /// Step length at its beginning and end, in multiples of the first guess.
    rates: (f64, f64),
}

/// Steps of a phase, at most; small shops have settled by then.
const MOST_PASSES: u32 = 1_500;
/// The first steps are so many times longer than Polyak's. Measured on shops of 40 to 600 jobs: half
/// and double of it are about as good.
const FIRST_GUESS: f64 = 10.0;
/// Values are looked at so often in a phase.
const LOOKS: f64 = 8.0;

/// How far a climb came.
pub(super) struct Summit<'a> {
    /// The best value: no schedule costs less. Infinite if some job has no way.
    pub(super) bound: f64,
    /// The finest relaxation that was reached and its best multipliers.
    pub(super) at: Option<(Relaxation<'a>, Vec<f64>)>,
    /// A good first step length for a bucket of one working minute.
    pub(super) unit: f64,
}

/// The best value of the relaxation that the budget allows.
pub(super) fn climb<'a>(shop: &'a Shop, standing: &Standing<'_>, meter: &mut Meter<'_>) -> Summit<'a> {
    if shop.tasks.iter().any(|task| task.routes.is_empty()) {
        return Summit { bound: f64::INFINITY, at: None, unit: 0.0 };
    }
    let best = shop.sunk + shop.tasks.iter().map(alone).sum::<f64>();
    let mut climber = Climber { standing, best, guess: None };
    // Without a result the budget is spent; what was proved by then stands.
    let at = if meter.is_spent() { None } else { climber.phases(shop, meter) };
    Summit { bound: climber.best, at, unit: climber.guess.unwrap_or(0.0) }
}

/// What a job costs at least, alone in an empty shop.
fn alone(task: &Task) -> f64 {
    task.floor + task.late * (task.earliest_end - task.due).max(0) as f64
}

struct Climber<'s> {
    standing: &'s Standing<'s>,
    best: f64,
    /// First step length, for a bucket of one working minute.
    guess: Option<f64>,
}

impl Climber<'_> {
    fn phases<'a>(&mut self, shop: &'a Shop, meter: &mut Meter<'_>) -> Option<(Relaxation<'a>, Vec<f64>)> {
        let mut carried: Option<(Relaxation<'_>, Vec<f64>)> = None;
        for phase in phases(shop) {
            let relaxation = Relaxation::new(shop, phase.resolution);
            let mut values = match &carried {
                Some((coarse, values)) => relaxation.refine(coarse, values),
                None => vec![0.0; relaxation.grid.size],
            };
            self.descend(&relaxation, &phase, &mut values, meter)?;
            carried = Some((relaxation, values));
        }
        let (relaxation, values) = carried?;
        let values = self.polish(&relaxation, values, meter)?;
        Some((relaxation, values))
    }

    /// Incremental steps, shorter and shorter; leaves the best multipliers seen in `values`.
    fn descend(
        &mut self,
        relaxation: &Relaxation<'_>,
        phase: &Phase,
        values: &mut Vec<f64>,
        meter: &mut Meter<'_>,
    ) -> Option<()> {
        let mut work = Workspace::default();
        let mut best = (self.look(relaxation, values, &mut work, meter)?, values.clone());
        let width = relaxation.grid.width() as f64;
        let unit = self.unit(best.0, &work, width) * width;
        let begun = meter.share();

        let mut looked = 0.0;
        for pass in 0..MOST_PASSES {
            let gone = (meter.share() - begun) / (phase.until - begun).max(1e-9);
            let gone = gone.max(f64::from(pass) / f64::from(MOST_PASSES));
            if gone >= 1.0 || self.best >= self.standing.best() || !meter.count() {
                break;
            }
            let rate = unit * phase.rates.0 * (phase.rates.1 / phase.rates.0).powf(gone);
            relaxation.pass(values, rate, &mut work, meter)?;
            if gone - looked > 1.0 / LOOKS {
                looked = gone;
                self.keep(relaxation, values, &mut best, &mut work, meter)?;
            }
        }
        self.keep(relaxation, values, &mut best, &mut work, meter)?;
        *values = best.1;
        Some(())
    }

    fn keep(
        &mut self,
        relaxation: &Relaxation<'_>,
        values: &[f64],
        best: &mut (f64, Vec<f64>),
        work: &mut Workspace,
        meter: &Meter<'_>,
    ) -> Option<()> {
        let value = self.look(relaxation, values, work, meter)?;
        if value > best.0 {
            *best = (value, values.to_vec());
        }
        Some(())
    }

    fn look(
        &mut self,
        relaxation: &Relaxation<'_>,
        values: &[f64],
        work: &mut Workspace,
        meter: &Meter<'_>,
    ) -> Option<f64> {
        let value = relaxation.evaluate(values, work, meter)?;
        self.prove(value);
        Some(value)
    }

    fn prove(&mut self, value: f64) {
        self.best = self.best.max(value);
        self.standing.proved(ProvenBound::rounded_down(self.best));
    }

    /// Step length for buckets of one minute: after Polyak, at the first prices.
    fn unit(&mut self, value: f64, work: &Workspace, width: f64) -> f64 {
        *self.guess.get_or_insert_with(|| {
            let known = self.standing.best();
            let upper = if known.is_finite() { known } else { 1.25 * value + 1.0 };
            let norm: f64 = work.violation.iter().filter(|v| **v > 0.0).map(|v| v * v).sum();
            FIRST_GUESS * (upper - value).max(1e-3 * value) / norm.max(1e-9) / width
        })
    }

    /// The volume algorithm to the end of the budget.
    fn polish(
        &mut self,
        relaxation: &Relaxation<'_>,
        start: Vec<f64>,
        meter: &mut Meter<'_>,
    ) -> Option<Vec<f64>> {
        let mut ascent = Ascent::new(relaxation, start, 0.05, meter)?;
        while !ascent.is_settled() && self.best < self.standing.best() && meter.count() {
            let known = self.standing.best();
            let guess = if known.is_finite() { known } else { 1.02 * ascent.value() + 1.0 };
            if ascent.step(guess, meter).is_none() {
                break;
            }
            self.prove(ascent.value());
        }
        Some(ascent.center().to_vec())
    }
}

/// Price buckets of the longest working time in the last phase, at least.
const BUCKETS: i64 = 512;

/// From coarse to fine, in step with the horizon and with the length of runs.
fn phases(shop: &Shop) -> Vec<Phase> {
    let longest = shop.cells.iter().map(|cell| cell.time.total()).max().unwrap_or(0);
    let finest = (longest / BUCKETS).max(1).ilog2();
    let mounting = mounting_width(shop);
    let resolution =
        |bucket: u32| Resolution { slot: (1_i64 << bucket) / 4 + 1, bucket, mounting: mounting.max(bucket) };
    vec![
        Phase { resolution: resolution(finest + 2), until: 0.70, rates: (1.0, 0.01) },
        Phase { resolution: resolution(finest + 1), until: 0.88, rates: (0.03, 0.005) },
        Phase { resolution: resolution(finest), until: 0.96, rates: (0.01, 0.002) },
    ]
}

/// Binary logarithm of some four mean runs of the operations that can share a setup.
///
/// Wider buckets see fewer returns to a family, narrower ones forgive more of them as carried
/// over; measured on shops of 40 to 600 jobs, three to five runs are best.
fn mounting_width(shop: &Shop) -> u32 {
    let steps = shop.tasks.iter().flat_map(|task| &task.steps);
    let linked = steps.flat_map(|step| &step.choices).filter(|choice| !choice.links.is_empty());
    let (mut runs, mut count) = (0, 0);
    for choice in linked {
        runs += choice.run;
        count += 1;
    }
    (4 * runs / count.max(1)).max(1).ilog2()
}
