//! Planning the shop anew: its files as they are now, and what the shop floor reported since.

mod outside;
mod progress;
mod promised;
mod sure;

pub use progress::carried_over;
pub use promised::{PromisedOrder, with_promised};

use crate::app::App;
use crate::base::{Base, Made, input};
use chrono::{DateTime, Datelike, Days, NaiveDate, Utc, Weekday};
use chrono_tz::Tz;
use elbowroom_engine::{Settings, Watch};
use elbowroom_files::{Loaded, RawFolder, Severity, read_raw};
use elbowroom_planner::{Replanned, Request};
use elbowroom_shop::Shop;
use elbowroom_store::{Document, NewPlan, PlanHead, Signature};
use sure::{Searching, how_sure};

/// What is to be planned.
#[derive(Clone, Debug, PartialEq)]
pub struct Wish {
    /// Who asks.
    pub by: String,
    /// Why.
    pub reason: String,
    /// Seconds that it may take.
    pub seconds: f64,
    /// Start of the pseudo-random numbers.
    pub seed: u64,
    /// First day; `None`: see [`first_day`].
    pub start: Option<NaiveDate>,
}

/// A plan that is kept as a proposal.
#[derive(Debug)]
pub struct Proposed {
    /// Its head.
    pub head: PlanHead,
    /// What was noticed.
    pub findings: Vec<String>,
}

/// Why there is no plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Refusal {
    /// In a sentence.
    pub why: String,
    /// What was noticed.
    pub findings: Vec<String>,
}

/// The shop's files, and what they say.
struct Read {
    documents: Vec<Document>,
    loaded: Loaded,
}

/// Plans the shop and keeps the plan as a proposal.
///
/// # Errors
/// If the shop's files have faults, no plan is found, or it cannot be kept.
pub fn plan(app: &App, wish: &Wish, watch: &dyn Watch) -> Result<Proposed, Refusal> {
    let now = app.now();
    let (read, start) = read(app, wish.start)?;
    let findings = told(&read.loaded);
    let shop = whole_shop(&read.loaded, &findings)?;
    let base = Base::read(app.setup.store.as_ref()).map_err(|error| Refusal::of(&error, &findings))?;
    let made = Made { request: Request { start, weeks: shop.terms.weeks }, now };
    let shop = base.shop(shop, &made);
    let settings = Settings { threads: app.setup.solve_threads, seed: wish.seed, iterations: None };
    let searching = Searching::of(watch, wish);
    let mut replanned = base
        .plan(&shop, &made.request, &settings, &searching, &shop.terms.steadiness)
        .map_err(|error| Refusal::of(&error, &findings))?;
    let sure = how_sure(&shop, &replanned.planned, wish, settings.threads, watch);
    replanned.planned.plan.confidence = Some(sure);
    let signature = Signature { by: wish.by.clone(), at: now };
    let proposal = base.proposal(read.documents, &replanned.planned, &made, signature, &wish.reason);
    keep(app, &proposal, with_noticed(findings, &replanned, &shop))
}

/// What has to be known of the shop's files before a plan is made of them.
fn told(loaded: &Loaded) -> Vec<String> {
    let findings = loaded.findings.iter().filter(|finding| finding.severity != Severity::Note);
    findings.map(ToString::to_string).collect()
}

fn with_noticed(mut findings: Vec<String>, replanned: &Replanned, shop: &Shop) -> Vec<String> {
    let noticed = replanned.planned.findings.iter();
    findings.extend(noticed.map(|finding| format!("`{}`: {}", finding.subject, finding.message)));
    let plan = &replanned.planned.plan;
    findings.extend(replanned.kept.sentences(&plan.clock, &shop.terms));
    findings
}

/// Reads the shop's files as they are now, and works out the first day.
fn read(app: &App, asked: Option<NaiveDate>) -> Result<(Read, NaiveDate), Refusal> {
    let raw = RawFolder::open(&app.setup.shop);
    let documents: Vec<Document> = raw.files().map(|(name, bytes)| input(name, bytes)).collect();
    let again = RawFolder::from_files(raw.files().map(|(name, bytes)| (name.to_owned(), bytes.to_vec())));
    let loaded = read_raw(raw, asked.or(app.setup.start));
    let told = loaded.shop.as_ref().map(|shop| (shop.terms.plan_start, shop.terms.time_zone));
    let (plan_start, zone) = told.unwrap_or((None, app.setup.zone));
    let start = asked.or(app.setup.start).unwrap_or_else(|| first_day(plan_start, app.now(), zone));
    // Dates are held against the first day, which is only known now.
    let loaded = if loaded.has_errors() { loaded } else { read_raw(again, Some(start)) };
    Ok((Read { documents, loaded }, start))
}

/// The first day of a plan: the shop's `plan_start` until that day comes; after it, today. Without
/// `plan_start` the Monday on or after today.
#[must_use]
pub fn first_day(plan_start: Option<NaiveDate>, now: DateTime<Utc>, zone: Tz) -> NaiveDate {
    let today = now.with_timezone(&zone).date_naive();
    plan_start.map_or_else(|| monday_on_or_after(today), |start| start.max(today))
}

fn monday_on_or_after(day: NaiveDate) -> NaiveDate {
    let ahead = (7 - u64::from(day.weekday().days_since(Weekday::Mon))) % 7;
    day.checked_add_days(Days::new(ahead)).unwrap_or(day)
}

fn whole_shop(loaded: &Loaded, findings: &[String]) -> Result<Shop, Refusal> {
    match &loaded.shop {
        Some(shop) if !loaded.has_errors() => Ok(shop.clone()),
        _ => Err(Refusal {
            why: "the shop's files have faults; mend them, then plan again".to_owned(),
            findings: findings.to_vec(),
        }),
    }
}

impl Refusal {
    fn of(error: &dyn std::fmt::Display, findings: &[String]) -> Self {
        Self { why: error.to_string(), findings: findings.to_vec() }
    }
}

fn keep(app: &App, proposal: &NewPlan, findings: Vec<String>) -> Result<Proposed, Refusal> {
    match app.setup.store.propose(proposal) {
        Ok(head) => Ok(Proposed { head, findings }),
        Err(error) => {
            tracing::error!(error = %error, remedy = error.remedy(), "a plan cannot be kept");
            Err(Refusal { why: format!("the plan cannot be kept: {error}"), findings })
        }
    }
}

#[cfg(test)]
mod tests {
    use super::first_day;

    #[test]
    fn a_plan_begins_on_the_shops_day_until_it_has_come() {
        let zone = chrono_tz::Europe::Vienna;
        let first = |start: Option<&str>, now: &str| {
            first_day(start.map(|day| day.parse().unwrap()), now.parse().unwrap(), zone).to_string()
        };
        assert_eq!(first(Some("2026-12-07"), "2026-11-25T10:00:00Z"), "2026-12-07");
        assert_eq!(first(Some("2026-12-07"), "2026-12-09T10:00:00Z"), "2026-12-09");
        assert_eq!(first(None, "2026-12-09T10:00:00Z"), "2026-12-14");
        assert_eq!(first(None, "2026-12-13T23:30:00Z"), "2026-12-14", "Monday in Vienna already");
    }
}
