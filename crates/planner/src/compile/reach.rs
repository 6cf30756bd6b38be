//! How far a problem must reach for everything to be finished.

use super::calendars::{MOST_WEEKS, Span, end_of_weeks, weekly_minutes};
use super::frame::Frame;
use elbowroom_problem::{Availability, Job, Operation, Place, Route, Tool, Work};
use elbowroom_units::{Minute, Minutes};

/// The work of the whole book is given half as much time again as it would take without gaps.
const SLACK: i64 = 3;
const SLACK_OVER: i64 = 2;

/// A horizon in which everything can be finished, as far as can be seen from its sums: the last
/// thing to arrive, then the work of the busiest cell or the longest way, then a week; `stretch`
/// times that work where it has proved too short.
pub(crate) fn horizon(
    frame: &Frame<'_>,
    weeks: u32,
    jobs: &[Job],
    tools: &[Tool],
    windows: &[Vec<Span>],
    stretch: u32,
) -> Minute {
    let work = weeks_of_work(frame, jobs, windows).max(weeks_of_longest_way(jobs)) + 1;
    let arrival = last_arrival(jobs, tools);
    let reaches = |weeks: &u32| end_of_weeks(frame, *weeks) >= arrival;
    let before = (0..MOST_WEEKS).find(reaches).unwrap_or(MOST_WEEKS);
    let total = before.saturating_add(work.saturating_mul(stretch.max(1))).max(weeks).min(MOST_WEEKS);
    end_of_weeks(frame, total)
}

/// The last material or tool to come in; a tool that comes after the longest horizon is no help.
fn last_arrival(jobs: &[Job], tools: &[Tool]) -> Minute {
    let releases = jobs.iter().map(|job| job.release);
    let arrivals = tools.iter().map(|tool| match tool.availability {
        Availability::From(minute) | Availability::Offer { lead: minute, .. } => minute,
    });
    releases.chain(arrivals).max().unwrap_or(Minute::ZERO)
}

/// Weeks that the busiest cell needs, each lot shared out among the cells that could take it.
fn weeks_of_work(frame: &Frame<'_>, jobs: &[Job], windows: &[Vec<Span>]) -> u32 {
    let mut load = vec![Minutes::ZERO; windows.len()];
    for job in jobs {
        share_out(job, &mut load);
    }
    let weeks = load.iter().zip(windows).map(|(load, spans)| {
        let open = weekly_minutes(frame, spans).max(Minutes::new(1));
        let needed = load.count() * SLACK / SLACK_OVER;
        u32::try_from(needed / open.count() + 1).unwrap_or(MOST_WEEKS)
    });
    weeks.max().unwrap_or(1)
}

fn share_out(job: &Job, load: &mut [Minutes]) {
    for operation in job.routes.iter().flat_map(|route| &route.operations) {
        let cells: Vec<(usize, Minutes)> = operation.options.iter().filter_map(on_cell).collect();
        let ways = (cells.len() * job.routes.len()).max(1);
        for (cell, run) in cells {
            load[cell] += Minutes::new(run.count() / ways as i64 + 1);
        }
    }
}

fn on_cell(work: &Work) -> Option<(usize, Minutes)> {
    match &work.place {
        Place::Cell(place) => Some((place.cell.get(), work.run)),
        Place::Outside => None,
    }
}

/// Weeks that the longest way takes by itself: a working day for each step inside, and the time
/// outside.
fn weeks_of_longest_way(jobs: &[Job]) -> u32 {
    let routes = jobs.iter().flat_map(|job| &job.routes);
    let longest = routes.map(time_of_way).max().unwrap_or(Minutes::ZERO);
    u32::try_from(longest.count() / WEEK.count() + 1).unwrap_or(MOST_WEEKS)
}

const WEEK: Minutes = Minutes::days(7);
const WORKING_DAYS: i64 = 5;

fn time_of_way(route: &Route) -> Minutes {
    let away = |operation: &Operation| {
        operation.options.iter().filter(|work| on_cell(work).is_none()).map(|work| work.run).max()
    };
    let (outside, inside): (Vec<_>, Vec<_>) = route.operations.iter().map(away).partition(Option::is_some);
    let days = inside.len() as i64 * WEEK.count() / WORKING_DAYS;
    Minutes::new(days) + outside.into_iter().flatten().sum()
}
