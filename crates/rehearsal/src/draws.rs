//! What chance makes of one run, drawn before it begins; it is looked at only when it happens.

use crate::chance::{Chance, Stream, whole};
use crate::script::{Part, Script};

/// The times of one run.
pub(crate) struct Draws {
    /// By act: factor on the changeover.
    pub(crate) setup: Vec<f64>,
    /// By act: minutes.
    pub(crate) run: Vec<i64>,
    /// By job: when its material is there.
    pub(crate) release: Vec<i64>,
    /// By tool: when it can be used.
    pub(crate) tool_from: Vec<i64>,
}

impl Draws {
    pub(crate) fn new(script: &Script) -> Self {
        Self {
            setup: vec![1.0; script.acts.len()],
            run: vec![0; script.acts.len()],
            release: vec![0; script.jobs.len()],
            tool_from: vec![0; script.tools.len()],
        }
    }

    pub(crate) fn draw(&mut self, script: &Script, seed: u64, run: u64) {
        for (at, job) in script.jobs.iter().enumerate() {
            let mut chance = Chance::new(seed, run, Stream::Job(at));
            self.release[at] = job.release + chance.delay(&job.delay);
            for act in job.acts.clone() {
                let part = &script.acts[act];
                self.setup[act] = chance.factor(&part.setup_spread);
                self.run[act] = time(part.run, run_time(script, part, &mut chance));
            }
        }
        for (at, tool) in script.tools.iter().enumerate() {
            let delay = &tool.delay;
            let late = match delay.probability > 0.0 {
                true => Chance::new(seed, run, Stream::Tool(at)).delay(delay),
                false => 0,
            };
            self.tool_from[at] = tool.from + late;
        }
    }
}

/// The run with its spread, with what is made again, and with repairs.
fn run_time(script: &Script, part: &Part, chance: &mut Chance) -> f64 {
    let mut time = part.run as f64 * chance.factor(&part.run_spread);
    if let Some(scrap) = &part.scrap {
        time *= 1.0 + chance.made_again(scrap) as f64 / f64::from(scrap.pieces.max(1));
    }
    let breakdown = part.cell.and_then(|cell| script.breakdowns[cell].as_ref());
    breakdown.map_or(time, |breakdown| time + chance.repairs(breakdown, time))
}

/// Whole minutes; work that takes time takes a minute at least.
pub(crate) fn time(planned: i64, drawn: f64) -> i64 {
    if planned > 0 { whole(drawn).max(1) } else { 0 }
}
