//! What the shop floor reports.

use super::asked::{By, Sent, Wanted, limit, maybe_text, text};
use super::orders::Limit;
use super::route::{Operation, Route};
use super::{Listed, created, published, shown, zone};
use crate::app::App;
use crate::problem::Problem;
use crate::rendered::Asker;
use crate::views::{SignatureView, local};
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum::routing::get;
use chrono::{DateTime, Duration, FixedOffset, Utc};
use chrono_tz::Tz;
use elbowroom_store::{Event, Recorded, Report, Seq, Signature};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What happened.
#[derive(Clone, Copy, Debug, Deserialize, Serialize, PartialEq, Eq, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum EventName {
    /// Work began, or went on after a stop.
    Started,
    /// Work stands still; `reason` says why.
    Stopped,
    /// `good` and `scrap` pieces have been made so far.
    Counted,
    /// The step is done, with `good` and `scrap` pieces in all.
    Finished,
    /// Report `withdraws` was a mistake.
    Withdrawn,
}

/// A report to keep.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct NewReport {
    /// Chosen by the sender: a report sent twice under one key counts once.
    key: Option<String>,
    /// Id of the order.
    order: String,
    /// Name of the step.
    step: String,
    /// Id of the cell or vendor.
    cell: Option<String>,
    /// What happened.
    event: EventName,
    /// Why it stands still.
    reason: Option<String>,
    /// Good pieces so far, all of them.
    good: Option<u32>,
    /// Scrap so far, all of it.
    scrap: Option<u32>,
    /// Number of the report that was a mistake.
    withdraws: Option<i64>,
    /// When it happened, ISO 8601 with offset; now if not said.
    happened: Option<DateTime<FixedOffset>>,
    /// Who reports.
    by: Option<String>,
}

/// A report that is kept.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct ReportView {
    /// Its number.
    pub id: i64,
    /// Id of the order.
    pub order: String,
    /// Name of the step.
    pub step: String,
    /// Id of the cell or vendor.
    pub cell: Option<String>,
    /// What happened.
    pub event: &'static str,
    /// Why it stands still.
    pub reason: Option<String>,
    /// Good pieces so far.
    pub good: Option<u32>,
    /// Scrap so far.
    pub scrap: Option<u32>,
    /// Number of the report that was a mistake.
    pub withdraws: Option<i64>,
    /// When it happened.
    pub happened: String,
    /// Who reported it, and when.
    pub recorded: SignatureView,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Query {
    after: Option<i64>,
    limit: Option<u32>,
}

pub fn routes() -> Vec<Route> {
    vec![
        Route::new("/api/v1/reports")
            .with(
                Operation::get("reports", "Everything the shop floor reported, oldest first.")
                    .query::<i64>("after", "Only reports with a greater number.")
                    .query::<Limit>("limit", "At most so many; 100 if not said.")
                    .answers::<Listed<ReportView>>(200, "Reports.")
                    .conditional(),
                get(list),
            )
            .with(
                Operation::post("report", "Records that a step was started, stopped, counted or finished.")
                    .body::<NewReport>()
                    .answers::<ReportView>(201, "It is recorded for good."),
                axum::routing::post(record),
            ),
    ]
}

async fn list(
    State(app): State<App>,
    Wanted(query): Wanted<Query>,
    asked: Asker,
) -> Result<Response, Problem> {
    let limit = limit(query.limit)? as usize;
    let snapshot = app.snapshot();
    let after = Seq(query.after.unwrap_or(0));
    let first = snapshot.reports.partition_point(|recorded| recorded.seq <= after);
    let rest = &snapshot.reports[first..];
    let zone = zone(&app);
    let items: Vec<ReportView> = rest.iter().take(limit).map(|one| ReportView::of(one, zone)).collect();
    let more = items.last().filter(|_| rest.len() > limit);
    let next = more.map(|last| format!("/api/v1/reports?limit={limit}&after={}", last.id));
    Ok(shown(&asked, &Listed { items, next }))
}

async fn record(State(app): State<App>, by: By, Sent(new): Sent<NewReport>) -> Result<Response, Problem> {
    let name = by.signs(maybe_text("by", new.by.as_deref())?.as_deref());
    let report = new.read(app.signature(name))?;
    let known = report.key.is_some() && app.snapshot().reports.iter().any(|one| one.report.key == report.key);
    // A report that was sent before and arrived is answered as it was then.
    if !known {
        fits_the_plan(&app, &report)?;
    }
    let recorded = app.write(move |store| store.record(&report)).await?;
    let view = ReportView::of(&recorded, zone(&app));
    Ok(created(&format!("/api/v1/reports?after={}", view.id - 1), &view))
}

/// Only steps of the published plan can be reported on, and only what can follow.
fn fits_the_plan(app: &App, report: &Report) -> Result<(), Problem> {
    let snapshot = app.snapshot();
    let plan = &published(&snapshot)?.0.plan;
    let Some(order) = plan.order(&report.order) else {
        return Err(Problem::refused(format!("there is no order `{}` in the plan", report.order))
            .remedy("GET /api/v1/orders lists them"));
    };
    if !order.steps.iter().any(|step| step.name == report.step) {
        let names: Vec<&str> = order.steps.iter().map(|step| step.name.as_str()).collect();
        return Err(Problem::refused(format!("order `{}` has no step `{}`", order.id, report.step))
            .remedy(format!("its steps are {}", names.join(", "))));
    }
    let places = || {
        order
            .steps
            .iter()
            .map(|step| step.place.as_str())
            .chain(plan.cells.iter().map(|cell| cell.id.as_str()))
    };
    if let Some(cell) = report.cell.as_deref().filter(|cell| !places().any(|place| place == *cell)) {
        return Err(Problem::refused(format!("there is no cell or vendor `{cell}` in the plan"))
            .remedy("GET /api/v1/cells lists them"));
    }
    let begun = plan.is_begun(report);
    snapshot.floor.admits(report, begun).map_err(|refused| {
        let what = "This cannot follow what was reported before";
        Problem::new(StatusCode::CONFLICT, "does-not-follow", what, refused.to_string())
            .remedy(refused.remedy())
    })
}

/// A clock may be ahead of ours by so much.
const CLOCKS_DIFFER: Duration = Duration::minutes(5);

impl NewReport {
    fn read(&self, recorded: Signature) -> Result<Report, Problem> {
        let happened = self.happened.map_or(recorded.at, |at| at.with_timezone(&Utc));
        if happened > recorded.at + CLOCKS_DIFFER {
            return Err(Problem::refused("`happened` lies in the future"));
        }
        Ok(Report {
            key: maybe_text("key", self.key.as_deref())?,
            order: text("order", &self.order)?,
            step: text("step", &self.step)?,
            cell: maybe_text("cell", self.cell.as_deref())?,
            event: self.event()?,
            happened,
            recorded,
        })
    }

    fn event(&self) -> Result<Event, Problem> {
        let missing = |what: &str| Problem::refused(format!("`{what}` is missing"));
        let pieces = || -> Result<_, Problem> {
            Ok((self.good.ok_or_else(|| missing("good"))?, self.scrap.unwrap_or(0)))
        };
        self.nothing_idle()?;
        Ok(match self.event {
            EventName::Started => Event::Started,
            EventName::Stopped => Event::Stopped {
                reason: maybe_text("reason", self.reason.as_deref())?.ok_or_else(|| missing("reason"))?,
            },
            EventName::Counted => pieces().map(|(good, scrap)| Event::Counted { good, scrap })?,
            EventName::Finished => pieces().map(|(good, scrap)| Event::Finished { good, scrap })?,
            EventName::Withdrawn => {
                Event::Withdrawn { report: Seq(self.withdraws.ok_or_else(|| missing("withdraws"))?) }
            }
        })
    }

    /// Refuses what does not belong to the event rather than dropping it.
    fn nothing_idle(&self) -> Result<(), Problem> {
        let counts = matches!(self.event, EventName::Counted | EventName::Finished);
        let idle = [
            ("reason", self.reason.is_some() && self.event != EventName::Stopped),
            ("good", self.good.is_some() && !counts),
            ("scrap", self.scrap.is_some() && !counts),
            ("withdraws", self.withdraws.is_some() && self.event != EventName::Withdrawn),
        ];
        match idle.iter().find(|(_, idle)| *idle) {
            Some((name, _)) => Err(Problem::refused(format!("`{name}` does not belong to this event"))),
            None => Ok(()),
        }
    }
}

impl ReportView {
    fn of(recorded: &Recorded, zone: Tz) -> Self {
        let report = &recorded.report;
        let (mut reason, mut pieces, mut withdraws) = (None, None, None);
        match &report.event {
            Event::Started => {}
            Event::Stopped { reason: why } => reason = Some(why.clone()),
            Event::Counted { good, scrap } | Event::Finished { good, scrap } => {
                pieces = Some((*good, *scrap))
            }
            Event::Withdrawn { report } => withdraws = Some(report.0),
        }
        Self {
            id: recorded.seq.0,
            order: report.order.clone(),
            step: report.step.clone(),
            cell: report.cell.clone(),
            event: report.event.word(),
            reason,
            good: pieces.map(|(good, _)| good),
            scrap: pieces.map(|(_, scrap)| scrap),
            withdraws,
            happened: local(report.happened, zone),
            recorded: SignatureView::of(&report.recorded, zone),
        }
    }
}
