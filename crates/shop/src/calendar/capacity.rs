//! Heads of a crew over time.

use super::spans::{Span, clip, subtract, union};
use super::windows::{clock_span, dated_span, day_span, holiday_spans, shift_dates};
use super::{Holiday, PlanClock};
use crate::crew::Crew;
use elbowroom_units::Minute;

/// How many heads a crew has between minute 0 and `until`: from, to, heads; sorted, disjoint, at
/// least 1 head each, neighbours of equal heads joined.
///
/// Heads of overlapping shifts add up. Holidays close regular shifts, not overtime; an absence
/// takes its heads from the whole local day, overtime included, down to none.
#[must_use]
pub fn crew_capacity(
    crew: &Crew,
    holidays: &[Holiday],
    clock: &PlanClock,
    until: Minute,
) -> Vec<(Minute, Minute, u32)> {
    let closed = holiday_spans(holidays, clock);
    let mut present = Vec::new();
    for (shift, heads) in &crew.shifts {
        for date in shift_dates(shift, clock, until) {
            let whole = union(vec![clock_span(clock, date, shift.from, shift.to)]);
            present.extend(subtract(&whole, &closed).into_iter().map(|span| (span, i64::from(*heads))));
        }
    }
    present.extend(crew.extra.iter().map(|(span, heads)| (dated_span(span, clock), i64::from(*heads))));
    let absent = crew.absences.iter().map(|(date, heads)| (day_span(*date, clock), i64::from(*heads)));
    heads_over_time(&present, &absent.collect::<Vec<_>>(), until)
}

/// Sums of overlapping heads, present less absent, never below none.
fn heads_over_time(
    present: &[(Span, i64)],
    absent: &[(Span, i64)],
    until: Minute,
) -> Vec<(Minute, Minute, u32)> {
    let mut cuts: Vec<Minute> =
        present.iter().chain(absent).flat_map(|((from, to), _)| [*from, *to]).collect();
    cuts.extend([Minute::ZERO, until]);
    cuts.sort_unstable();
    cuts.dedup();
    let changes = |spans: &[(Span, i64)]| sums(spans, &cuts);
    let (here, away) = (changes(present), changes(absent));
    let pieces = cuts.windows(2).zip(here.iter().zip(&away)).map(|(cut, (here, away))| {
        ((cut[0], cut[1]), u32::try_from((here - away).max(0)).unwrap_or(u32::MAX))
    });
    join(pieces, until)
}

/// For each piece between two neighbouring cuts, the sum of the spans that cover it.
fn sums(spans: &[(Span, i64)], cuts: &[Minute]) -> Vec<i64> {
    let mut change = vec![0i64; cuts.len()];
    for &((from, to), heads) in spans.iter().filter(|((from, to), _)| from < to) {
        change[cuts.partition_point(|cut| *cut < from)] += heads;
        change[cuts.partition_point(|cut| *cut < to)] -= heads;
    }
    change
        .iter()
        .scan(0, |sum, step| {
            *sum += step;
            Some(*sum)
        })
        .collect()
}

/// Clips to the plan, drops what has no head, joins neighbours of equal heads.
fn join(pieces: impl Iterator<Item = (Span, u32)>, until: Minute) -> Vec<(Minute, Minute, u32)> {
    let mut joined: Vec<(Minute, Minute, u32)> = Vec::new();
    for (span, heads) in pieces.filter(|(_, heads)| *heads > 0) {
        for (from, to) in clip(&[span], Minute::ZERO, until) {
            match joined.last_mut() {
                Some(last) if last.1 == from && last.2 == heads => last.1 = to,
                _ => joined.push((from, to, heads)),
            }
        }
    }
    joined
}
