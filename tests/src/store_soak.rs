//! Kills a program in the middle of recording and publishing, and looks whether anything it had
//! acknowledged is missing.
//!
//! The writer ([`write_until_killed`]) records reports and publishes plans as fast as it can and
//! says each on its standard output once the store has returned. The killer ([`kill_one`]) ends it
//! with SIGKILL at a moment drawn by chance, then opens the store and compares.

use elbowroom_store::{
    Document, Event, NewPlan, Outcome, Page, PlanFigures, Report, Seq, Signature, SqliteStore, Store, Version,
};
use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Duration;

/// Documents of every plan that the writer makes.
const DOCUMENTS: usize = 4;
/// Reports for every plan.
const REPORTS_PER_PLAN: usize = 5;

fn signature() -> Signature {
    Signature { by: "writer".to_owned(), at: "2026-12-07T05:10:00Z".parse().expect("a moment") }
}

/// Writes until it is killed, and says what has been written.
///
/// # Panics
/// If the store refuses something.
pub fn write_until_killed(path: &Path, run: &str) -> ! {
    let store = SqliteStore::open(path).expect("the store opens");
    let mut out = std::io::stdout().lock();
    for turn in 0_u64.. {
        for report in 0..REPORTS_PER_PLAN {
            let key = format!("{run}-{turn}-{report}");
            store.record(&new_report(&key)).expect("a report is recorded");
            writeln!(out, "report {key}").and_then(|()| out.flush()).expect("the killer listens");
        }
        let based_on =
            store.current().expect("readable").and_then(|head| head.version()).unwrap_or(Version::NONE);
        let head = store.propose(&new_plan(turn, based_on)).expect("a plan is kept");
        writeln!(out, "proposed {}", head.id).and_then(|()| out.flush()).expect("the killer listens");
        let head = store.publish(head.id, based_on, &signature()).expect("a plan is published");
        let version = head.version().expect("it is published");
        writeln!(out, "published {} {version}", head.id)
            .and_then(|()| out.flush())
            .expect("the killer listens");
    }
    unreachable!("it is killed before all numbers are used up")
}

fn new_report(key: &str) -> Report {
    Report {
        key: Some(key.to_owned()),
        order: "O-2588".to_owned(),
        step: "bend".to_owned(),
        cell: None,
        event: Event::Counted { good: 1, scrap: 0 },
        happened: signature().at,
        recorded: signature(),
    }
}

fn new_plan(turn: u64, based_on: Version) -> NewPlan {
    let content = |i: usize| format!("{turn} {i} ").repeat(2_000).into_bytes();
    NewPlan {
        made: signature(),
        based_on,
        reason: "soak".to_owned(),
        figures: PlanFigures { orders: 1, late_orders: 0, total_cost: 1.0, currency: "EUR".to_owned() },
        documents: (0..DOCUMENTS)
            .map(|i| Document { name: format!("document-{i}"), bytes: content(i) })
            .collect(),
    }
}

/// What one kill showed.
#[derive(Clone, Copy, Debug, Default)]
pub struct Kill {
    /// Reports that had been acknowledged.
    pub reports: usize,
    /// Plans whose publication had been acknowledged.
    pub published: usize,
    /// Reports that were there although the acknowledgement did not get through.
    pub unacknowledged: usize,
}

/// Starts the writer, kills it after a while, and checks the store.
///
/// # Errors
/// What was missing or half.
pub fn kill_one(writer: &mut Command, path: &Path, run: &str, after: Duration) -> Result<Kill, String> {
    let told = told_until_killed(writer.arg(path).arg(run), after).map_err(|error| error.to_string())?;
    let store = SqliteStore::open(path).map_err(|error| format!("the store does not open: {error}"))?;
    store.examine().map_err(|error| error.to_string())?;
    plans_are_whole(&store)?;
    compare(&store, run, &told)
}

/// What the writer said before it was killed.
fn told_until_killed(writer: &mut Command, after: Duration) -> std::io::Result<Vec<String>> {
    let mut child = writer.stdout(Stdio::piped()).spawn()?;
    let output = child.stdout.take().expect("it was piped");
    let reader = std::thread::spawn(move || BufReader::new(output).lines().map_while(Result::ok).collect());
    std::thread::sleep(after);
    // On Unix this is SIGKILL: nothing of the writer runs after it.
    child.kill()?;
    child.wait()?;
    Ok(reader.join().expect("the reader does not panic"))
}

/// Every plan has all its documents, and versions follow each other without a gap.
fn plans_are_whole(store: &SqliteStore) -> Result<(), String> {
    let heads = store.plans(Page { before: None, limit: u32::MAX }).map_err(|error| error.to_string())?;
    let mut versions = Vec::new();
    for head in &heads {
        let names = store.document_names(head.id).map_err(|error| error.to_string())?;
        if names.len() != DOCUMENTS {
            return Err(format!("plan {} has {} of {DOCUMENTS} documents", head.id, names.len()));
        }
        versions.extend(head.version().map(|version| version.0));
    }
    versions.sort_unstable();
    let whole: Vec<i64> = (1..).take(versions.len()).collect();
    if versions == whole { Ok(()) } else { Err(format!("versions have gaps: {versions:?}")) }
}

fn compare(store: &SqliteStore, run: &str, told: &[String]) -> Result<Kill, String> {
    let reports = store.reports(Seq(0), u32::MAX).map_err(|error| error.to_string())?;
    let ours = format!("{run}-");
    let kept: Vec<&str> = reports
        .iter()
        .filter_map(|one| one.report.key.as_deref())
        .filter(|key| key.starts_with(&ours))
        .collect();
    let mut kill = Kill::default();
    for line in told {
        match line.split(' ').collect::<Vec<_>>()[..] {
            ["report", key] => {
                kill.reports += 1;
                kept.contains(&key).then_some(()).ok_or_else(|| format!("report {key} is missing"))?;
            }
            ["proposed", id] => proposed(store, id)?,
            ["published", id, version] => {
                kill.published += 1;
                published(store, id, version)?;
            }
            // The last line may have been cut off by the kill.
            _ => {}
        }
    }
    kill.unacknowledged = kept.len() - kill.reports;
    Ok(kill)
}

fn head(store: &SqliteStore, id: &str) -> Result<elbowroom_store::PlanHead, String> {
    let id = id.parse().map_err(|_| format!("`{id}` is no number"))?;
    store.plan(elbowroom_store::PlanId(id)).map_err(|error| error.to_string())
}

fn proposed(store: &SqliteStore, id: &str) -> Result<(), String> {
    head(store, id).map(|_| ())
}

fn published(store: &SqliteStore, id: &str, version: &str) -> Result<(), String> {
    match head(store, id)?.outcome {
        Outcome::Published { version: found, .. } if found.to_string() == version => Ok(()),
        other => Err(format!("plan {id} should be published as version {version}; it is {other:?}")),
    }
}
