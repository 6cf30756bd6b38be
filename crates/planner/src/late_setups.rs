//! Changes cells over no sooner than their parts come.
//!
//! A schedule may change a cell over days ahead and let it wait. That costs nothing on paper, but
//! it ties up cell and dies, and a setter would not do it. Where setters are free later, the
//! changeover is moved later; runs, ends and costs stay as they are.

use crate::timeline::{At, Timeline};
use elbowroom_problem::{Crew, CrewIdx, Problem, Schedule};
use elbowroom_units::Minute;
use elbowroom_verify::{VerifiedSchedule, verify};
use std::collections::BTreeMap;

/// The same schedule with every changeover as late as its run and its setters allow.
///
/// The result has been verified. Where moving changeovers would make the schedule invalid or
/// dearer (a die that stands on its cell could lose its place to another), it is left as it was.
pub(crate) fn without_early_setups(problem: &Problem, schedule: VerifiedSchedule) -> VerifiedSchedule {
    let line = Timeline::new(problem, schedule.schedule());
    let moved = move_setups(&line);
    if moved == *schedule.schedule() {
        return schedule;
    }
    match verify(problem, moved) {
        Ok(later) => later,
        Err(_) => schedule,
    }
}

/// Moves changeovers, the latest first, so that each makes room for those before it.
fn move_setups(line: &Timeline<'_>) -> Schedule {
    let mut moved = line.schedule.clone();
    let mut free: Vec<FreeHeads> = line.problem.crews.iter().map(FreeHeads::of).collect();
    for (crew, heads) in free.iter_mut().enumerate() {
        line.crew_work(CrewIdx::new(crew)).iter().for_each(|work| heads.add(work.from, work.to, -1));
    }
    let mut waiting: Vec<At> = (0..moved.operations.len()).filter(|at| waits(line, *at)).collect();
    waiting.sort_by_key(|at| std::cmp::Reverse((line.placed(*at).run_start, *at)));
    for at in waiting {
        moved.operations[at].setup_start = latest_start(line, at, &mut free);
    }
    moved
}

/// Whether a changeover is done before its run needs it.
fn waits(line: &Timeline<'_>, at: At) -> bool {
    let Some(work) = line.work(at).on_cell() else { return false };
    let placed = line.placed(at);
    let needed = line.changeover(at);
    !line.is_pinned(at)
        && needed.count() > 0
        && line.worked(work.cell, placed.setup_start, placed.run_start) > needed
}

/// The latest start of a changeover for which its crew has a head in every minute; the crew's
/// free heads are brought up to date.
fn latest_start(line: &Timeline<'_>, at: At, free: &mut [FreeHeads]) -> Minute {
    let (placed, work) = (line.placed(at), line.work_on_cell(at));
    let needed = line.changeover(at);
    let ideal = line.worked_back(work.cell, placed.run_start, needed);
    let Some(crew) = work.setup_crew else { return ideal.max(placed.setup_start) };
    let crew = &mut free[crew.get()];
    for (from, to) in line.open_pieces(work.cell, placed.setup_start, line.changeover_end(at)) {
        crew.add(from, to, 1);
    }
    let mut until = placed.run_start;
    let start = loop {
        let start = line.worked_back(work.cell, until, needed);
        if start <= placed.setup_start {
            break placed.setup_start;
        }
        let pieces: Vec<_> = line.open_pieces(work.cell, start, until).collect();
        match pieces.iter().rev().find_map(|(from, to)| crew.last_shortage(*from, *to)) {
            Some(shortage) => until = shortage,
            None => break start,
        }
    };
    let end = line.worked_forward(work.cell, start, needed);
    for (from, to) in line.open_pieces(work.cell, start, end) {
        crew.add(from, to, -1);
    }
    start
}

/// A crew's free heads over time: the count from each moment to the next one listed.
struct FreeHeads(BTreeMap<Minute, i64>);

impl FreeHeads {
    /// Everybody is free.
    fn of(crew: &Crew) -> Self {
        let mut free = Self(BTreeMap::from([(Minute::ZERO, 0)]));
        for part in &crew.capacity {
            free.add(part.window.start, part.window.end, i64::from(part.heads));
        }
        free
    }

    fn at(&self, minute: Minute) -> i64 {
        self.0.range(..=minute).next_back().map_or(0, |(_, heads)| *heads)
    }

    /// Frees (or takes) heads in `[from, to)`.
    fn add(&mut self, from: Minute, to: Minute, heads: i64) {
        for edge in [from, to] {
            let there = self.at(edge);
            self.0.insert(edge, there);
        }
        self.0.range_mut(from..to).for_each(|(_, free)| *free += heads);
    }

    /// Where the last stretch without a free head in `[from, to)` begins, not before `from`.
    fn last_shortage(&self, from: Minute, to: Minute) -> Option<Minute> {
        let inside = self.0.range(from..to).rev().find(|(_, heads)| **heads < 1);
        match inside {
            Some((edge, _)) => Some(*edge),
            None if self.at(from) < 1 => Some(from),
            None => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::FreeHeads;
    use elbowroom_problem::{Crew, HeadCount, Window};
    use elbowroom_units::Minute;

    #[test]
    fn shortages_are_found_from_the_end() {
        let at = Minute::new;
        let window = Window { start: at(0), end: at(100) };
        let crew = Crew { id: "setters".into(), capacity: vec![HeadCount { window, heads: 1 }] };
        let mut free = FreeHeads::of(&crew);
        free.add(at(20), at(30), -1);
        free.add(at(50), at(60), -1);
        assert_eq!(free.last_shortage(at(0), at(100)), Some(at(50)));
        assert_eq!(free.last_shortage(at(0), at(45)), Some(at(20)));
        assert_eq!(free.last_shortage(at(25), at(45)), Some(at(25)), "already short at its beginning");
        assert_eq!(free.last_shortage(at(30), at(50)), None);
        assert_eq!(free.last_shortage(at(90), at(110)), Some(at(100)), "nobody is there after the shift");
        free.add(at(50), at(60), 1);
        assert_eq!(free.last_shortage(at(30), at(100)), None);
    }
}
