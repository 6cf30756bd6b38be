//! What was asked and what was promised.

use crate::{Signature, Version};
use chrono::{DateTime, NaiveDate, Utc};
use std::fmt;

/// Number of an inquiry.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct InquiryId(pub i64);

impl fmt::Display for InquiryId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

/// Number of a promise.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PromiseId(pub i64);

impl fmt::Display for PromiseId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

/// A question and its answer, to keep.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewInquiry {
    /// Who asked, and when.
    pub asked: Signature,
    /// For which customer.
    pub customer: Option<String>,
    /// Id of the part.
    pub part: String,
    /// Pieces.
    pub quantity: u32,
    /// The date wished for.
    pub wanted: Option<NaiveDate>,
    /// The plan on which the answer was worked out.
    pub version: Version,
    /// The answer in full.
    pub answer: String,
}

/// A question and its answer.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Inquiry {
    /// Its number.
    pub id: InquiryId,
    /// What was asked and answered.
    pub inquiry: NewInquiry,
    /// The promise that came of it.
    pub promise: Option<PromiseId>,
}

/// A promise to keep.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewPromise {
    /// The inquiry that it answers.
    pub inquiry: InquiryId,
    /// Who gave it, and when.
    pub given: Signature,
    /// Id of the order that comes of it.
    pub order: String,
    /// The date promised.
    pub date: NaiveDate,
    /// The way of making it that the date was worked out for, in full.
    pub way: String,
}

/// A promise given.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Promise {
    /// Its number.
    pub id: PromiseId,
    /// What was promised.
    pub promise: NewPromise,
    /// The plan on which it was worked out.
    pub version: Version,
}

/// Which promises are looked for; the default: all.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Sought {
    /// Given at this moment or later.
    pub from: Option<DateTime<Utc>>,
    /// Given before this moment.
    pub until: Option<DateTime<Utc>>,
    /// A piece of the order's, the part's or the customer's id, in large or small letters.
    pub about: Option<String>,
}
