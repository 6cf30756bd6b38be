//! The week at a glance: figures, what needs a decision, the chart, promises at risk.

use super::chart::{self, Charted};
use super::layout::{self, Page};
use super::plans::proposals;
use super::{Viewer, risks, words};
use crate::app::App;
use crate::rendered::Asker;
use crate::snapshot::{Published, Snapshot};
use crate::views::{TaskView, Views};
use axum::extract::rejection::QueryRejection;
use axum::extract::{Query, State};
use axum::response::Response;
use chrono::NaiveDate;
use elbowroom_shop::calendar::IsoWeek;
use elbowroom_store::StepState;
use maud::{Markup, html};
use serde::Deserialize;

/// Which week, and which of its days where only a day has room.
#[derive(Debug, Default, Deserialize)]
pub struct Asked {
    week: Option<String>,
    day: Option<String>,
}

/// The page.
pub async fn page(
    State(app): State<App>,
    viewer: Viewer,
    asked: Asker,
    query: Result<Query<Asked>, QueryRejection>,
) -> Response {
    let shown = query.map(|Query(query)| query).unwrap_or_default();
    let content = {
        let snapshot = app.snapshot();
        match (&snapshot.published, &snapshot.views) {
            (Some(published), Some(views)) => board(&app, viewer, &snapshot, (published, views), &shown),
            _ => layout::no_plan(&app),
        }
    };
    layout::send(&app, viewer, &asked, &Page { path: "/", title: "This week", content })
}

fn board(
    app: &App,
    viewer: Viewer,
    snapshot: &Snapshot,
    (published, views): (&Published, &Views),
    shown: &Asked,
) -> Markup {
    html! {
        section #facts data-live aria-label="Figures" { (facts(published, views)) }
        section #decisions data-live aria-label="What needs a decision" {
            (stopped(views))
            (proposals(app, viewer, snapshot))
        }
        section #machine-time data-live aria-labelledby="machine-time-name" {
            h2 #machine-time-name { "Machine time" }
            (machine_time(&Charted { published, views, now: app.now() }, shown))
        }
        section #at-risk data-live aria-labelledby="at-risk-name" {
            h2 #at-risk-name { "Promises at risk" }
            (risks::at_risk(&published.plan, views))
            (risks::unsure(&published.plan, views))
        }
    }
}

fn facts(published: &Published, views: &Views) -> Markup {
    let counts = views.counts;
    let currency = &published.plan.currency;
    html! {
        dl.facts {
            (fact("Late by plan", &counts.late.to_string()))
            (fact("Promises at risk", &counts.at_risk.to_string()))
            (fact("Less sure", &counts.unsure.to_string()))
            (fact("Under way", &counts.under_way.to_string()))
            (fact("Stopped", &counts.stopped.to_string()))
            (fact("Finished", &format!("{} of {}", counts.finished, counts.planned)))
            (fact("Cost of plan", &words::money(views.money.total, currency)))
        }
        @if counts.left_out > 0 {
            p { strong { (words::counted(counts.left_out, "order")) " cannot be made." } " " a href="/orders#left-out" { "Which, and why" } }
        }
    }
}

fn fact(name: &str, value: &str) -> Markup {
    html! { div { dt { (name) } dd { (value) } } }
}

/// Lots that stand still.
fn stopped(views: &Views) -> Markup {
    let stopped: Vec<(&str, &TaskView)> = views
        .cells
        .iter()
        .flat_map(|cell| cell.now.iter().map(move |task| (cell.name.as_str(), task)))
        .filter(|(_, task)| task.progress.state == StepState::Stopped)
        .collect();
    html! {
        @if !stopped.is_empty() {
            div.note {
                h2 { "\u{2016} Standing still" }
                ul {
                    @for (cell, task) in stopped {
                        li {
                            strong { (cell) } ": " (task.task.order) " " (task.task.step) " \u{2013} "
                            (task.progress.stopped_because.as_deref().unwrap_or("no reason given"))
                        }
                    }
                }
            }
        }
    }
}

/// The chart of the week and of one of its days, with ways to others.
fn machine_time(charted: &Charted<'_>, shown: &Asked) -> Markup {
    let week = chart::week(charted.published, shown.week.as_deref(), charted.now);
    let day = chart::day(charted.published, week, shown.day.as_deref(), charted.now);
    html! {
        (weeks(charted.published, week))
        (days(week, day))
        (chart::patterns())
        figure {
            div.wide.week-chart tabindex="0" role="group" aria-label={ "Machine time, week " (week) } { (charted.week(week)) }
            div.day-chart { (charted.day(day)) }
            figcaption { (chart::legend()) }
        }
    }
}

fn weeks(published: &Published, shown: IsoWeek) -> Markup {
    let weeks = chart::weeks(published);
    html! {
        @if weeks.len() > 1 {
            nav.weeks aria-label="Weeks" {
                ul {
                    @for week in weeks {
                        li { a href={ "/?week=" (week) } aria-current=[(week == shown).then_some("true")] { "Week " (week) } }
                    }
                }
            }
        }
    }
}

fn days(week: IsoWeek, shown: NaiveDate) -> Markup {
    html! {
        nav.days aria-label="Days" {
            ul {
                @for day in chart::days(week) {
                    li { a href={ "/?week=" (week) "&day=" (day) } aria-current=[(day == shown).then_some("true")] { (day.format("%a %-d")) } }
                }
            }
        }
    }
}
