//! What of an earlier plan stands where it is in a new problem, and why the rest cannot.
//!
//! The verifier decides: a step stands if it breaks no rule together with all others that stand and
//! with the work under way. Its run begins at the same minute, and ends later or sooner where it takes another
//! time now; its changeover begins earlier where it takes longer now. Where several cannot stand together, the one that begins last gives way. None that
//! gave way could be put back: that is tried at the end.

use super::Thawed;
use super::reason::{Ground, Why};
use crate::insertion::mend_setups;
use crate::near::{Lost, by_id};
use elbowroom_problem::{OptionIdx, Placement, Problem, Schedule};
use elbowroom_units::Minute;
use elbowroom_verify::{Rule, Violation, verify};
use std::collections::{BTreeMap, BTreeSet};

/// Steps of an earlier plan that stand in a new problem.
#[derive(Clone, Debug, Default)]
pub(crate) struct Frozen {
    /// Where they stand, in the new problem's words.
    pub(crate) steps: Vec<Placement>,
    /// Those that were to stand and cannot.
    pub(crate) thawed: Vec<Thawed>,
}

/// A step that cannot stand.
struct Fallen {
    placed: Placement,
    thawed: Thawed,
    /// Whether it could stand if others did not.
    jointly: bool,
}

/// Of the steps that begin at the new plan's first working minute or later, those that are `wanted`
/// (by id of the job and placement, by the new clock) stand, with all steps before them.
pub(crate) fn frozen(ground: &Ground<'_>, wanted: &dyn Fn(&str, &Placement) -> bool) -> Frozen {
    let (near, problem) = (ground.near, &ground.compiled.problem);
    let until = last_wanted(ground, wanted);
    let jobs = by_id(problem);
    let mut found = Frozen::default();
    for placed in &near.schedule.operations {
        let there = near.shifted(placed, placed.option);
        let job = placed.option.job;
        let is_wanted = until.get(&job).is_some_and(|last| placed.option.operation <= *last);
        if there.setup_start < ground.first || !is_wanted {
            continue;
        }
        match near.translated(problem, &jobs, placed) {
            Ok(stands) if is_under_way(problem, stands.option) => {}
            Ok(stands) => found.steps.push(ground.lasting(stands)),
            Err(Lost::Behind) => {}
            Err(lost) => found.thawed.push(ground.lost(placed, lost)),
        }
    }
    settle(ground, &mut found);
    found.steps.sort_unstable_by_key(|placed| (placed.setup_start, placed.option));
    found.thawed.sort_by(|a, b| (a.was, &a.order, &a.step).cmp(&(b.was, &b.order, &b.step)));
    found
}

/// The last step of each job of the earlier plan that is wanted. A changeover may begin before the
/// step before it does.
fn last_wanted(
    ground: &Ground<'_>,
    wanted: &dyn Fn(&str, &Placement) -> bool,
) -> BTreeMap<elbowroom_problem::JobIdx, usize> {
    let near = ground.near;
    let mut last = BTreeMap::new();
    for placed in &near.schedule.operations {
        let there = near.shifted(placed, placed.option);
        let id = near.problem.job(placed.option.job).id.as_str();
        if there.setup_start >= ground.first && wanted(id, &there) {
            let at = last.entry(placed.option.job).or_insert(placed.option.operation);
            *at = placed.option.operation.max(*at);
        }
    }
    last
}

fn is_under_way(problem: &Problem, option: OptionIdx) -> bool {
    let same = |pin: OptionIdx| (pin.job, pin.operation) == (option.job, option.operation);
    problem.pinned.iter().any(|pin| same(pin.option))
}

/// Takes out what cannot stand until the rest can, and puts back what can stand after all.
fn settle(ground: &Ground<'_>, found: &mut Frozen) {
    let mut fallen = Vec::new();
    loop {
        let before = found.steps.len();
        drop_followers(ground, &mut found.steps, &found.thawed, &mut fallen);
        drop_broken(ground, &mut found.steps, &mut fallen);
        if found.steps.len() == before {
            break;
        }
    }
    let left = violations(ground, &found.steps);
    if let Some(violation) = left.first() {
        // Whatever it is that no step can be named for: nothing stands that might not.
        let why = Why::Jointly(violation.what.clone());
        found.thawed.extend(found.steps.drain(..).map(|step| ground.thawed(&step, &why)));
    }
    // In the order of their steps, so that one that is put back can bring the next with it.
    fallen.sort_by_key(|fallen| fallen.placed.option);
    for fallen in fallen {
        found.steps.push(fallen.placed);
        let stands = fallen.jointly
            && has_predecessor(ground, &found.steps, fallen.placed.option)
            && violations(ground, &found.steps).is_empty();
        if !stands {
            found.steps.pop();
            found.thawed.push(fallen.thawed);
        }
    }
    found.steps = mended(ground, &found.steps).operations;
    found.steps.truncate(found.steps.len() - ground.compiled.problem.pinned.len());
}

fn has_predecessor(ground: &Ground<'_>, steps: &[Placement], at: OptionIdx) -> bool {
    let Some(before) = at.operation.checked_sub(1) else { return true };
    let same = |other: OptionIdx| (other.job, other.operation) == (at.job, before);
    let under_way = ground.compiled.problem.pinned.iter().any(|pin| same(pin.option));
    under_way || steps.iter().any(|step| same(step.option))
}

/// A step stands only on those before it.
fn drop_followers(
    ground: &Ground<'_>,
    steps: &mut Vec<Placement>,
    lost: &[Thawed],
    fallen: &mut Vec<Fallen>,
) {
    steps.sort_unstable_by_key(|step| step.option);
    let mut kept: Vec<Placement> = Vec::with_capacity(steps.len());
    for step in steps.drain(..) {
        if has_predecessor(ground, &kept, step.option) {
            kept.push(step);
            continue;
        }
        let (order, before) = ground.before(step.option);
        let all = fallen.iter().map(|fallen| &fallen.thawed).chain(lost);
        let cannot = all.into_iter().any(|thawed| thawed.order == order && thawed.step == before);
        let why = if cannot { Why::BeforeFell } else { Why::BeforeOpen };
        fallen.push(Fallen { placed: step, thawed: ground.thawed(&step, &why), jointly: true });
    }
    *steps = kept;
}

/// Takes out steps that break a rule: first those that break one by themselves.
fn drop_broken(ground: &Ground<'_>, steps: &mut Vec<Placement>, fallen: &mut Vec<Fallen>) {
    let problem = &ground.compiled.problem;
    let names: BTreeMap<String, usize> = steps
        .iter()
        .enumerate()
        .map(|(at, step)| {
            (format!("{}/{}", problem.job(step.option.job).id, problem.operation(step.option).id), at)
        })
        .collect();
    let found = violations(ground, steps);
    let mut alone: BTreeMap<usize, Why> = BTreeMap::new();
    let mut jointly: BTreeMap<usize, Why> = BTreeMap::new();
    for violation in &found {
        let Some(at) = latest(&names, steps, violation) else { continue };
        let why = ground.why(&steps[at], violation);
        let into = if why.is_its_own() { &mut alone } else { &mut jointly };
        into.entry(at).or_insert(why);
    }
    let its_own = !alone.is_empty();
    let out = if its_own { alone } else { jointly };
    let gone: BTreeSet<usize> = out.keys().copied().collect();
    for (at, why) in out {
        let thawed = ground.thawed(&steps[at], &why);
        fallen.push(Fallen { placed: steps[at], thawed, jointly: !its_own });
    }
    let mut at = 0;
    steps.retain(|_| {
        at += 1;
        !gone.contains(&(at - 1))
    });
}

/// Of the steps that a violation names, the one that begins last.
fn latest(names: &BTreeMap<String, usize>, steps: &[Placement], violation: &Violation) -> Option<usize> {
    let quoted = violation.what.split('`').skip(1).step_by(2);
    let named = quoted.chain([violation.place.as_str()]).filter_map(|name| names.get(name).copied());
    named.max_by_key(|at| (steps[*at].run_start, steps[*at].option))
}

/// What the steps and the work under way break, missing work aside.
fn violations(ground: &Ground<'_>, steps: &[Placement]) -> Vec<Violation> {
    let broken = verify(&ground.compiled.problem, mended(ground, steps))
        .map_or_else(|rejected| rejected.violations, |_| Vec::new());
    let counts = |violation: &Violation| {
        !matches!(violation.rule, Rule::Complete | Rule::ObjectiveClaim | Rule::BoundClaim)
    };
    broken.into_iter().filter(counts).collect()
}

/// The steps, then the work under way, with changeovers as long as they are now.
fn mended(ground: &Ground<'_>, steps: &[Placement]) -> Schedule {
    let problem = &ground.compiled.problem;
    let under_way = problem.pinned.iter().map(|pin| Placement {
        option: pin.option,
        setup_start: pin.setup_start,
        run_start: pin.run_start,
        end: pin.end,
    });
    let operations = steps.iter().copied().chain(under_way).collect();
    let mut schedule = Schedule { operations, ..Schedule::default() };
    schedule.purchases = crate::insertion::purchases(problem, &schedule);
    mend_setups(problem, &mut schedule);
    schedule
}

/// The earliest minute at which any cell is open.
pub(crate) fn first_minute(problem: &Problem) -> Minute {
    let opens = problem.cells.iter().filter_map(|cell| cell.windows.first());
    opens.map(|window| window.start).min().unwrap_or(Minute::ZERO)
}
