//! What came of many runs.

use crate::Tally;
use crate::script::{Mark, Script};
use elbowroom_problem::{CellIdx, JobIdx};
use elbowroom_units::Minute;

/// What came of many runs.
#[derive(Clone, Debug, PartialEq)]
pub struct Outcome {
    /// Number of runs.
    pub runs: u32,
    /// By job of the problem: when it was finished.
    pub jobs: Vec<Finishes>,
    /// How often cells ran out of time: by cell, then by mark. There is none for a mark by which a
    /// cell has nothing to do.
    pub cells: Vec<CellOutcome>,
    /// Minutes by run, then by job.
    by_run: Vec<i64>,
}

/// How often a cell had not done by a mark what it was to have done by then.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CellOutcome {
    /// The cell.
    pub cell: CellIdx,
    /// The mark.
    pub until: Minute,
    /// Share of the runs; 0 to 1.
    pub missed: f64,
}

/// When something was finished, over all runs.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Finishes(Vec<Minute>);

impl Finishes {
    /// From the finish of every run, in any order; at least one.
    ///
    /// # Panics
    /// If there is none.
    #[must_use]
    pub fn new(mut finishes: Vec<Minute>) -> Self {
        assert!(!finishes.is_empty(), "there is no distribution of no runs");
        finishes.sort_unstable();
        Self(finishes)
    }

    /// All finishes, the earliest first.
    #[must_use]
    pub fn sorted(&self) -> &[Minute] {
        &self.0
    }

    /// The earliest moment by which at least this share of the runs was finished; `share` is taken
    /// as 0 to 1.
    #[must_use]
    pub fn quantile(&self, share: f64) -> Minute {
        let count = self.0.len();
        // A rounding error of the product must not cost a run.
        let rank = (share.clamp(0.0, 1.0) * count as f64 - 1e-9).ceil() as usize;
        self.0[rank.clamp(1, count) - 1]
    }

    /// The share of the runs that were finished by a moment, itself included.
    #[must_use]
    pub fn share_by(&self, moment: Minute) -> f64 {
        self.0.partition_point(|finish| *finish <= moment) as f64 / self.0.len() as f64
    }

    /// The mean finish, in minutes since the plan's start.
    #[must_use]
    pub fn mean(&self) -> f64 {
        self.0.iter().map(|finish| finish.get() as f64).sum::<f64>() / self.0.len() as f64
    }

    /// Mean minutes after a moment, early finishes counted as none.
    #[must_use]
    pub fn mean_after(&self, moment: Minute) -> f64 {
        let late = &self.0[self.0.partition_point(|finish| *finish <= moment)..];
        late.iter().map(|finish| (*finish - moment).count() as f64).sum::<f64>() / self.0.len() as f64
    }
}

impl Outcome {
    pub(crate) fn new(script: &Script, parts: &[Tally]) -> Self {
        let runs: usize = parts.iter().map(|part| part.runs).sum();
        let jobs = script.jobs.len();
        let by_run: Vec<i64> = parts.iter().flat_map(|part| part.finishes.iter().copied()).collect();
        let of_job = |job: usize| {
            let finishes = by_run.iter().skip(job).step_by(jobs);
            Finishes::new(finishes.copied().map(Minute::new).collect())
        };
        let missed = |mark: usize| {
            let times: u32 = parts.iter().map(|part| part.missed[mark]).sum();
            f64::from(times) / runs as f64
        };
        let cell = |(at, mark): (usize, &Mark)| CellOutcome {
            cell: CellIdx::new(mark.cell),
            until: Minute::new(mark.until),
            missed: missed(at),
        };
        Self {
            runs: u32::try_from(runs).unwrap_or(u32::MAX),
            jobs: (0..jobs).map(of_job).collect(),
            cells: script.marks.iter().enumerate().map(cell).collect(),
            by_run,
        }
    }

    /// When the last of some jobs was finished in each run.
    ///
    /// # Panics
    /// If `jobs` is empty or names a job that the problem does not have.
    #[must_use]
    pub fn together(&self, jobs: &[JobIdx]) -> Finishes {
        let last = |run: &[i64]| jobs.iter().map(|job| run[job.get()]).max().map(Minute::new);
        let runs = self.by_run.chunks(self.jobs.len().max(1)).filter_map(last);
        Finishes::new(runs.collect())
    }

    /// When a job was finished.
    #[must_use]
    pub fn job(&self, job: JobIdx) -> &Finishes {
        &self.jobs[job.get()]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn finishes(minutes: &[i64]) -> Finishes {
        Finishes::new(minutes.iter().copied().map(Minute::new).collect())
    }

    #[test]
    fn a_quantile_is_the_first_moment_by_which_so_many_are_finished() {
        let of_ten = finishes(&[10, 20, 30, 40, 50, 60, 70, 80, 90, 100]);
        let check = |share, minute| assert_eq!(of_ten.quantile(share), Minute::new(minute), "{share}");
        check(0.0, 10);
        check(0.5, 50);
        check(0.51, 60);
        check(0.8, 80);
        check(0.95, 100);
        check(1.0, 100);
    }

    #[test]
    fn a_finish_on_the_minute_is_in_time() {
        let some = finishes(&[30, 10, 20, 20]);
        assert_eq!(some.share_by(Minute::new(20)), 0.75);
        assert_eq!(some.share_by(Minute::new(9)), 0.0);
        assert_eq!(some.mean(), 20.0);
        assert_eq!(some.mean_after(Minute::new(20)), 2.5);
    }
}
