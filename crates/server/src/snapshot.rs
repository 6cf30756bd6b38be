//! The store as it stands, read once and shared by all requests until something is written.

use crate::document::{MoneySum, Plan};
use crate::rendered::{JSON, Rendered};
use crate::views::{CellStatus, Counts, PlanView, Views};
use chrono_tz::Tz;
use elbowroom_store::{
    Floor, Outcome, Page, PlanHead, PlanId, Recorded, Revision, Seq, Store, StoreError, Version,
};
use schemars::JsonSchema;
use serde::Serialize;
use std::fmt;
use std::sync::Arc;

/// Reports read from the store in one go.
const REPORTS_AT_ONCE: u32 = 10_000;
/// Newest plans among which proposals are looked for.
const NEWEST_PLANS: u32 = 100;

/// The name under which a plan's own document is kept.
pub const PLAN_JSON: &str = "plan.json";

/// The published plan.
#[derive(Debug)]
pub struct Published {
    /// Its head.
    pub head: PlanHead,
    /// Its content.
    pub plan: Plan,
    /// Its content as it was published.
    pub rendered: Rendered,
    /// Where its local times hold.
    pub zone: Tz,
}

impl Published {
    /// Its version.
    #[must_use]
    pub fn version(&self) -> Version {
        self.head.version().unwrap_or(Version::NONE)
    }
}

/// Why the store's content cannot be shown.
#[derive(Clone, Debug, PartialEq)]
pub enum ReadError {
    /// The store said so.
    Store(StoreError),
    /// The published plan is whole and yet none that this program understands.
    Plan {
        /// Its number.
        id: PlanId,
        /// What is wrong with it.
        detail: String,
    },
}

impl From<StoreError> for ReadError {
    fn from(error: StoreError) -> Self {
        Self::Store(error)
    }
}

impl fmt::Display for ReadError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Store(error) => error.fmt(f),
            Self::Plan { id, detail } => write!(f, "plan `{id}` cannot be understood: {detail}"),
        }
    }
}

impl std::error::Error for ReadError {}

/// The store as it stood at one moment.
#[derive(Debug)]
pub struct Snapshot {
    /// How far the store had come.
    pub revision: Revision,
    /// The published plan; shared with later snapshots until another is published.
    pub published: Option<Arc<Published>>,
    /// Every report, oldest first.
    pub reports: Arc<Vec<Recorded>>,
    /// What they add up to.
    pub floor: Floor,
    /// Plan and reports together.
    pub views: Option<Views>,
    /// Plans that wait for a decision, newest first.
    pub proposals: Vec<PlanHead>,
    /// The status document.
    pub status: Rendered,
}

/// The status of the shop at a glance; its bytes stay the same until something happens.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Status {
    /// Name of the shop.
    pub shop: Option<String>,
    /// IANA time zone of the shop.
    pub time_zone: String,
    /// Currency code of all money.
    pub currency: Option<String>,
    /// First day of the plan.
    pub start: Option<String>,
    /// The published plan.
    pub plan: Option<PlanView>,
    /// Orders by how far they have come.
    pub orders: Counts,
    /// What the plan costs.
    pub money: Option<MoneySum>,
    /// What no plan can beat, where proved.
    pub lower_bound: Option<f64>,
    /// Cells: what they do now, and what comes next.
    pub cells: Vec<CellStatus>,
    /// Plans that wait to be published or discarded.
    pub proposals: Vec<PlanView>,
    /// Number of the last report.
    pub last_report: i64,
    /// Number of the solve that is running.
    pub running_solve: Option<u64>,
}

impl Snapshot {
    /// Reads what has changed since an earlier snapshot.
    ///
    /// # Errors
    /// If the store cannot be read, or the published plan cannot be understood.
    pub fn read(
        store: &dyn Store,
        earlier: Option<&Self>,
        running: Option<u64>,
        zone: Tz,
    ) -> Result<Self, ReadError> {
        let revision = store.revision()?;
        let published = published(store, earlier, zone)?;
        let reports = reports(store, earlier)?;
        let floor = Floor::of(&reports);
        let views = published.as_ref().map(|published| Views::new(&published.plan, &floor, published.zone));
        let proposals: Vec<PlanHead> = store
            .plans(Page { before: None, limit: NEWEST_PLANS })?
            .into_iter()
            .filter(|head| head.outcome == Outcome::Proposed)
            .collect();
        let status = Rendered::json(&status(
            published.as_deref(),
            views.as_ref(),
            &proposals,
            revision,
            running,
            zone,
        ));
        Ok(Self { revision, published, reports, floor, views, proposals, status })
    }

    /// The version that is current.
    #[must_use]
    pub fn version(&self) -> Version {
        self.published.as_ref().map_or(Version::NONE, |published| published.version())
    }
}

fn published(
    store: &dyn Store,
    earlier: Option<&Snapshot>,
    zone: Tz,
) -> Result<Option<Arc<Published>>, ReadError> {
    let Some(head) = store.current()? else { return Ok(None) };
    let known = earlier.and_then(|earlier| earlier.published.as_ref()).filter(|known| known.head == head);
    if let Some(known) = known {
        return Ok(Some(Arc::clone(known)));
    }
    let bytes = store.document(head.id, PLAN_JSON)?;
    let plan =
        Plan::read(&bytes).map_err(|error| ReadError::Plan { id: head.id, detail: error.to_string() })?;
    let zone = plan.time_zone.parse().unwrap_or(zone);
    Ok(Some(Arc::new(Published { head, plan, rendered: Rendered::new(JSON, bytes), zone })))
}

fn reports(store: &dyn Store, earlier: Option<&Snapshot>) -> Result<Arc<Vec<Recorded>>, StoreError> {
    let known = earlier.map_or_else(Default::default, |earlier| Arc::clone(&earlier.reports));
    let mut all: Option<Vec<Recorded>> = None;
    loop {
        let list = all.as_ref().unwrap_or(&known);
        let last = list.last().map_or(Seq(0), |recorded| recorded.seq);
        let more = store.reports(last, REPORTS_AT_ONCE)?;
        if more.is_empty() {
            return Ok(all.map_or(known, Arc::new));
        }
        all.get_or_insert_with(|| known.to_vec()).extend(more);
    }
}

fn status(
    published: Option<&Published>,
    views: Option<&Views>,
    proposals: &[PlanHead],
    revision: Revision,
    running: Option<u64>,
    zone: Tz,
) -> Status {
    let plan = published.map(|published| &published.plan);
    let zone = published.map_or(zone, |published| published.zone);
    Status {
        shop: plan.map(|plan| plan.shop.clone()),
        time_zone: zone.name().to_owned(),
        currency: plan.map(|plan| plan.currency.clone()),
        start: plan.map(|plan| plan.start.clone()),
        plan: published.map(|published| PlanView::of(&published.head, zone)),
        orders: views.map(|views| views.counts).unwrap_or_default(),
        money: plan.map(|plan| plan.money),
        lower_bound: plan.and_then(|plan| plan.lower_bound),
        cells: views.map(Views::cell_status).unwrap_or_default(),
        proposals: proposals.iter().map(|head| PlanView::of(head, zone)).collect(),
        last_report: revision.report,
        running_solve: running,
    }
}
