//! What was recorded, promised and published, kept so that nothing acknowledged is ever lost.
//!
//! [`Store`] is all that the rest of the program knows: plans with the inputs they were made from,
//! who published which when, what the shop floor reported, what was asked and promised.
//! [`SqliteStore`] keeps it in one file. Reports, inquiries, promises and documents are only ever
//! added to; a plan once published stays as it is.
//!
//! This crate knows no plan from the inside and reads no clock: documents are bytes, moments are
//! handed in.

mod error;
mod floor;
mod inquiry;
mod plan;
mod progress;
mod sqlite;

pub use error::StoreError;
pub use floor::{CannotFollow, Floor, Obstacle, StepProgress, StepState};
pub use inquiry::{Inquiry, InquiryId, NewInquiry, NewPromise, Promise, PromiseId, Sought};
pub use plan::{Document, NewPlan, Outcome, PlanFigures, PlanHead, PlanId, Version};
pub use progress::{Event, Recorded, Report, Seq};
pub use sqlite::SqliteStore;

use chrono::{DateTime, Utc};

/// Who did something, and when.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Signature {
    /// Name of a person or program.
    pub by: String,
    /// When; kept to the millisecond.
    pub at: DateTime<Utc>,
}

/// What part of a list, newest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Page {
    /// Only what has a smaller number than this; `None`: from the newest.
    pub before: Option<i64>,
    /// At most so many.
    pub limit: u32,
}

/// How far the store has come: whatever is written changes it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Revision {
    /// Number of the newest plan, published or not.
    pub plan: i64,
    /// Plans published or discarded so far.
    pub settled: i64,
    /// The newest report.
    pub report: i64,
    /// The newest inquiry.
    pub inquiry: i64,
    /// The newest promise.
    pub promise: i64,
}

/// Where things are kept. A method that returns `Ok` has written for good what it was given.
pub trait Store: Send + Sync {
    /// How far the store has come.
    ///
    /// # Errors
    /// If the store cannot be read.
    fn revision(&self) -> Result<Revision, StoreError>;

    /// The plan published last.
    ///
    /// # Errors
    /// If the store cannot be read.
    fn current(&self) -> Result<Option<PlanHead>, StoreError>;

    /// One plan.
    ///
    /// # Errors
    /// [`StoreError::NotFound`], or if the store cannot be read.
    fn plan(&self, id: PlanId) -> Result<PlanHead, StoreError>;

    /// The plan that was published as this version.
    ///
    /// # Errors
    /// [`StoreError::NotFound`], or if the store cannot be read.
    fn published(&self, version: Version) -> Result<PlanHead, StoreError>;

    /// Plans, newest first, `before` being a plan's number.
    ///
    /// # Errors
    /// If the store cannot be read.
    fn plans(&self, page: Page) -> Result<Vec<PlanHead>, StoreError>;

    /// Names of a plan's documents, sorted.
    ///
    /// # Errors
    /// If the store cannot be read.
    fn document_names(&self, id: PlanId) -> Result<Vec<String>, StoreError>;

    /// A document of a plan.
    ///
    /// # Errors
    /// [`StoreError::NotFound`], or if the store cannot be read.
    fn document(&self, id: PlanId, name: &str) -> Result<Vec<u8>, StoreError>;

    /// Keeps a plan with all its documents, all or nothing, as a proposal.
    ///
    /// # Errors
    /// If the store cannot be written.
    fn propose(&self, plan: &NewPlan) -> Result<PlanHead, StoreError>;

    /// Makes a proposal the current plan, if the current one is still `expected`.
    ///
    /// # Errors
    /// [`StoreError::Moved`] if somebody else has published meanwhile, [`StoreError::Settled`] if
    /// the plan is no proposal any more, [`StoreError::NotFound`], or if the store cannot be written.
    fn publish(&self, id: PlanId, expected: Version, signature: &Signature) -> Result<PlanHead, StoreError>;

    /// Puts a proposal aside for good; it stays readable.
    ///
    /// # Errors
    /// As [`publish`](Self::publish), except [`StoreError::Moved`].
    fn discard(&self, id: PlanId, signature: &Signature) -> Result<PlanHead, StoreError>;

    /// Adds a report. One whose key is already there is not added again: the first is returned.
    ///
    /// # Errors
    /// [`StoreError::NotFound`] if it withdraws a report that is not there,
    /// [`StoreError::KeyReused`] if the key belongs to another report, or if the store cannot be
    /// written.
    fn record(&self, report: &Report) -> Result<Recorded, StoreError>;

    /// Reports after one, oldest first.
    ///
    /// # Errors
    /// If the store cannot be read.
    fn reports(&self, after: Seq, limit: u32) -> Result<Vec<Recorded>, StoreError>;

    /// Keeps an inquiry with the answer given.
    ///
    /// # Errors
    /// If the store cannot be written.
    fn keep_inquiry(&self, inquiry: &NewInquiry) -> Result<Inquiry, StoreError>;

    /// One inquiry.
    ///
    /// # Errors
    /// [`StoreError::NotFound`], or if the store cannot be read.
    fn inquiry(&self, id: InquiryId) -> Result<Inquiry, StoreError>;

    /// Inquiries, newest first.
    ///
    /// # Errors
    /// If the store cannot be read.
    fn inquiries(&self, page: Page) -> Result<Vec<Inquiry>, StoreError>;

    /// Gives a promise, if the current plan is still the one it was worked out on.
    ///
    /// # Errors
    /// [`StoreError::Moved`] if another plan is current or another promise was given meanwhile,
    /// [`StoreError::AlreadyPromised`], [`StoreError::NotFound`], or if the store cannot be written.
    fn promise(&self, promise: &NewPromise) -> Result<Promise, StoreError>;

    /// Promises given, newest first.
    ///
    /// # Errors
    /// If the store cannot be read.
    fn promises(&self, page: Page) -> Result<Vec<Promise>, StoreError> {
        self.promises_sought(&Sought::default(), page)
    }

    /// Some of the promises given, newest first.
    ///
    /// # Errors
    /// If the store cannot be read.
    fn promises_sought(&self, sought: &Sought, page: Page) -> Result<Vec<Promise>, StoreError>;
}
