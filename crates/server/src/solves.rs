//! Re-plans: one at a time, on threads of their own that give way to serving.

use crate::app::App;
use crate::replan::{self, Proposed, Refusal, Wish};
use elbowroom_engine::{Progress, Watch};
use elbowroom_store::PlanHead;
use schemars::JsonSchema;
use serde::Serialize;
use std::collections::BTreeMap;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};
use tokio::sync::watch;

/// Solves remembered after they have ended.
const REMEMBERED: usize = 50;
/// Least time between two words of progress.
const PROGRESS_EVERY: Duration = Duration::from_millis(200);
/// How much a solver's threads give way: the most there is.
const NICENESS: i32 = 19;

/// How a solve stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum SolveState {
    /// It is searching.
    Running,
    /// It has made a plan, which waits to be published or discarded.
    Done,
    /// It has found none; `problem` says why.
    Failed,
}

/// How a solve stands, and what came of it.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct SolveView {
    /// Number of the solve since the service was started.
    pub id: u64,
    /// How it stands.
    pub state: SolveState,
    /// Who asked for it.
    pub by: String,
    /// Why.
    pub reason: String,
    /// Seconds that it may take.
    pub seconds: f64,
    /// Seconds that it has taken.
    pub elapsed_s: f64,
    /// Cost of the best plan so far.
    pub best: Option<f64>,
    /// What no plan can beat, where proved.
    pub lower_bound: Option<f64>,
    /// Late orders of the best plan so far.
    pub late_orders: Option<usize>,
    /// Plans looked at so far.
    pub evaluations: u64,
    /// Number of the plan that came of it.
    pub plan: Option<i64>,
    /// Why none came of it.
    pub problem: Option<String>,
    /// What was noticed in the shop's files and on the way.
    pub findings: Vec<String>,
}

/// All solves since the service was started.
#[derive(Default)]
pub struct Desk {
    solves: Mutex<BTreeMap<u64, Solve>>,
}

struct Solve {
    view: watch::Sender<SolveView>,
    stop: Arc<AtomicBool>,
}

impl Desk {
    fn solves(&self) -> MutexGuard<'_, BTreeMap<u64, Solve>> {
        self.solves.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Number of the solve that is running.
    #[must_use]
    pub fn running(&self) -> Option<u64> {
        let solves = self.solves();
        solves
            .values()
            .map(|solve| solve.view.borrow())
            .find(|view| view.state == SolveState::Running)
            .map(|view| view.id)
    }

    /// One solve, for whoever wants to follow it.
    #[must_use]
    pub fn follow(&self, id: u64) -> Option<watch::Receiver<SolveView>> {
        self.solves().get(&id).map(|solve| solve.view.subscribe())
    }

    /// All solves, newest first.
    #[must_use]
    pub fn list(&self) -> Vec<SolveView> {
        self.solves().values().rev().map(|solve| solve.view.borrow().clone()).collect()
    }

    /// Asks a solve to end with the best it has. `false` if there is no such solve.
    pub fn stop(&self, id: u64) -> bool {
        self.solves().get(&id).map(|solve| solve.stop.store(true, Ordering::Relaxed)).is_some()
    }

    /// Asks every solve to end.
    pub fn stop_all(&self) {
        self.solves().values().for_each(|solve| solve.stop.store(true, Ordering::Relaxed));
    }

    /// Enters a solve, unless one is running: its number is returned then.
    fn enter(&self, wish: &Wish) -> Result<(Arc<AtomicBool>, watch::Sender<SolveView>), u64> {
        let mut solves = self.solves();
        let running = |solve: &&Solve| solve.view.borrow().state == SolveState::Running;
        if let Some(solve) = solves.values().find(running) {
            return Err(solve.view.borrow().id);
        }
        let id = solves.last_key_value().map_or(1, |(last, _)| last + 1);
        while solves.len() >= REMEMBERED {
            solves.pop_first();
        }
        let (view, stop) = (watch::Sender::new(new_view(id, wish)), Arc::new(AtomicBool::new(false)));
        solves.insert(id, Solve { view: view.clone(), stop: Arc::clone(&stop) });
        Ok((stop, view))
    }
}

fn new_view(id: u64, wish: &Wish) -> SolveView {
    SolveView {
        id,
        state: SolveState::Running,
        by: wish.by.clone(),
        reason: wish.reason.clone(),
        seconds: wish.seconds,
        elapsed_s: 0.0,
        best: None,
        lower_bound: None,
        late_orders: None,
        evaluations: 0,
        plan: None,
        problem: None,
        findings: Vec::new(),
    }
}

/// Starts a re-plan and returns at once.
///
/// # Errors
/// The number of the solve that is running already.
pub fn start(app: &App, wish: Wish) -> Result<SolveView, u64> {
    let (stop, view) = app.desk.enter(&wish)?;
    let entered = view.borrow().clone();
    tracing::info!(
        solve = entered.id,
        by = wish.by,
        reason = wish.reason,
        seconds = wish.seconds,
        "a re-plan begins"
    );
    let watch = Watcher::new(stop, view.clone(), wish.seconds);
    let (planning, told) = (app.clone(), view.clone());
    let spawned = std::thread::Builder::new().name(format!("solve-{}", entered.id)).spawn(move || {
        give_way();
        let outcome = unless_broken_off(|| replan::plan(&planning, &wish, &watch));
        finish(&planning, &told, watch.elapsed(), outcome);
    });
    if let Err(error) = spawned {
        let why = format!("the system gives no thread for it: {error}");
        finish(app, &view, Duration::ZERO, Err(Refusal { why, findings: Vec::new() }));
    }
    Ok(entered)
}

/// What comes of a re-plan. A fault of this program ends that re-plan only, and nobody waits for it in vain.
fn unless_broken_off(work: impl FnOnce() -> Result<Proposed, Refusal>) -> Result<Proposed, Refusal> {
    catch_unwind(AssertUnwindSafe(work)).unwrap_or_else(|_| {
        let why = "the re-plan was broken off by a fault of this program; its log says where".to_owned();
        Err(Refusal { why, findings: Vec::new() })
    })
}

/// Lets the threads that serve go first. Threads started by this one inherit it (setpriority(2) on Linux).
fn give_way() {
    if let Err(error) = rustix::process::setpriority_process(None, NICENESS) {
        tracing::warn!(error = %error, "the solver cannot give way to serving");
    }
}

fn finish(app: &App, view: &watch::Sender<SolveView>, elapsed: Duration, outcome: Result<Proposed, Refusal>) {
    let (id, ended) = (view.borrow().id, if outcome.is_ok() { "done" } else { "failed" });
    app.metrics.solves.with_label_values(&[ended]).inc();
    view.send_modify(|view| {
        view.elapsed_s = rounded(elapsed);
        match outcome {
            Ok(Proposed { head, findings }) => view.is_done(&head, findings),
            Err(refusal) => {
                view.state = SolveState::Failed;
                view.problem = Some(refusal.why);
                view.findings = refusal.findings;
            }
        }
    });
    tracing::info!(solve = id, outcome = ended, solve_ms = elapsed.as_millis() as u64, "a re-plan has ended");
    app.refresh();
}

impl SolveView {
    fn is_done(&mut self, head: &PlanHead, findings: Vec<String>) {
        self.state = SolveState::Done;
        self.plan = Some(head.id.0);
        self.best = Some(head.figures.total_cost);
        self.late_orders = usize::try_from(head.figures.late_orders).ok();
        self.findings = findings;
    }
}

fn rounded(time: Duration) -> f64 {
    (time.as_secs_f64() * 10.0).round() / 10.0
}

/// The engine's view of time, and the followers' view of the engine.
struct Watcher {
    started: Instant,
    limit: Duration,
    stop: Arc<AtomicBool>,
    view: watch::Sender<SolveView>,
    told: Mutex<Option<Instant>>,
}

impl Watcher {
    fn new(stop: Arc<AtomicBool>, view: watch::Sender<SolveView>, seconds: f64) -> Self {
        Self {
            started: Instant::now(),
            limit: Duration::from_secs_f64(seconds),
            stop,
            view,
            told: Mutex::new(None),
        }
    }

    fn is_due(&self) -> bool {
        let mut told = self.told.lock().unwrap_or_else(PoisonError::into_inner);
        let due = told.is_none_or(|last| last.elapsed() >= PROGRESS_EVERY);
        if due {
            *told = Some(Instant::now());
        }
        due
    }
}

impl Watch for Watcher {
    fn elapsed(&self) -> Duration {
        self.started.elapsed()
    }

    fn limit(&self) -> Duration {
        self.limit
    }

    fn cancelled(&self) -> bool {
        self.stop.load(Ordering::Relaxed)
    }

    fn progress(&self, progress: &Progress) {
        if self.is_due() {
            self.view.send_modify(|view| {
                view.elapsed_s = rounded(progress.elapsed);
                view.best = Some(progress.best);
                view.lower_bound = progress.bound;
                view.late_orders = Some(progress.late_jobs);
                view.evaluations = progress.evaluations;
            });
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_re_plan_that_breaks_off_is_told_as_one_that_failed() {
        let outcome = unless_broken_off(|| panic!("a fault of ours"));
        assert!(outcome.unwrap_err().why.contains("broken off"));
    }
}
