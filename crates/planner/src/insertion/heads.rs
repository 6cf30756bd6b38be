//! Crews: when they have no head for the job.

use super::lane::Stand;
use super::spans::{Levels, Span};
use super::{Access, JobIdx};
use crate::timeline::Timeline;
use elbowroom_problem::CrewIdx;
use elbowroom_units::Minute;

/// What a crew has left beside all other work.
pub(super) struct CrewUse {
    /// Heads there and not taken by rivals.
    free: Levels,
    /// Heads there.
    there: Levels,
    /// Where none is free.
    taken: Vec<Span>,
    /// Where none is there.
    absent: Vec<Span>,
}

impl CrewUse {
    pub(super) fn new(line: &Timeline<'_>, crew: CrewIdx, job: JobIdx) -> Self {
        let capacity = line.problem.crew(crew).capacity.iter();
        let mut changes: Vec<(Minute, i64)> = capacity
            .flat_map(|part| {
                let heads = i64::from(part.heads);
                [(part.window.start, heads), (part.window.end, -heads)]
            })
            .collect();
        let there = Levels::of_changes(changes.clone());
        let rivals = line.crew_work(crew).iter().filter(|work| line.placed(work.at).option.job != job);
        changes.extend(rivals.flat_map(|work| [(work.from, -1), (work.to, 1)]));
        let free = Levels::of_changes(changes);
        Self { taken: free.at_most(0), absent: there.at_most(0), free, there }
    }

    /// Where the job cannot have a head.
    pub(super) fn blocked(&self, access: Access) -> &[Span] {
        match access {
            Access::AsPlanned => &self.taken,
            Access::RivalsGone => &self.absent,
            Access::Free => &[],
        }
    }

    /// Where the job's own earlier steps leave it no head.
    pub(super) fn blocked_by_own(
        &self,
        line: &Timeline<'_>,
        crew: CrewIdx,
        own: &[Stand<'_>],
        access: Access,
    ) -> Vec<Span> {
        let work: Vec<Span> = own.iter().flat_map(|stand| stand.work_of(line, crew)).collect();
        if work.is_empty() || access == Access::Free {
            return Vec::new();
        }
        let levels = if access == Access::AsPlanned { &self.free } else { &self.there };
        let mut changes = vec![(Minute::new(i64::MIN), 0)];
        for span in levels.at_most(most_at_once(&work)) {
            let inside = work.iter().map(|own| (own.0.max(span.0), own.1.min(span.1)));
            changes
                .extend(inside.filter(|(from, to)| from < to).flat_map(|(from, to)| [(from, 1), (to, -1)]));
        }
        Levels::of_changes(changes).at_least(1)
    }
}

/// The most of these stretches that have a minute in common.
fn most_at_once(work: &[Span]) -> i64 {
    let at = |minute: Minute| work.iter().filter(|span| span.0 <= minute && minute < span.1).count();
    work.iter().map(|span| at(span.0) as i64).max().unwrap_or(0)
}
