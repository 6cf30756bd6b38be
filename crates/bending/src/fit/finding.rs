//! What is found about a part on a machine: rules broken (refusals) and things to watch (cautions).

use super::rule::Rule;
use super::watch::Watch;
use crate::piece::Marks;
use elbowroom_units::quantity::plain;
use elbowroom_units::{Deg, Mm};
use std::fmt;

/// A value or a limit, with its unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Amount {
    /// A length.
    Length(Mm),
    /// An angle.
    Angle(Deg),
    /// A ratio without a unit.
    Ratio(f64),
    /// A share in percent.
    Percent(f64),
    /// A moment in kN m.
    Moment(f64),
    /// A number of things.
    Count(usize),
    /// Marks on the surface.
    Marks(Marks),
    /// Something said in words.
    Words(&'static str),
}

impl fmt::Display for Amount {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Length(length) => write!(f, "{length}"),
            Self::Angle(angle) => write!(f, "{angle}"),
            Self::Ratio(ratio) => write!(f, "{}", plain(*ratio, 2)),
            Self::Percent(percent) => write!(f, "{} %", plain(*percent, 1)),
            Self::Moment(moment) => write!(f, "{} kN m", plain(*moment, 3)),
            Self::Count(count) => write!(f, "{count}"),
            Self::Marks(marks) => write!(f, "{}", marks.name()),
            Self::Words(words) => write!(f, "{words}"),
        }
    }
}

/// How a value stands to its limit where the rule is kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sense {
    /// It is the limit or more.
    AtLeast,
    /// It is the limit or less.
    AtMost,
    /// It is the limit.
    Exactly,
}

/// What a finding is about.
pub trait Subject: Copy + PartialEq {
    /// The measured thing, for people.
    fn name(self) -> &'static str;
    /// How the value must stand to the limit.
    fn sense(self) -> Sense;
    /// What would put it right.
    fn remedy(self) -> &'static str;
    /// The word after an upper limit: `at most 7 is allowed`.
    fn upper(self) -> &'static str;
    /// The word after a lower limit: `at least 3 is needed`.
    fn lower(self) -> &'static str;
}

/// One thing found: what, at which bends, the value and its limit.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding<S> {
    /// What it is about.
    pub subject: S,
    /// The bends concerned, counted from 1 as drawn; empty: the whole part.
    pub bends: Vec<usize>,
    /// The part's value.
    pub value: Amount,
    /// The limit.
    pub limit: Amount,
}

/// Why a machine cannot make a part by a way of bending.
pub type Refusal = Finding<Rule>;
/// Something to watch.
pub type Caution = Finding<Watch>;

impl<S: Subject> Finding<S> {
    /// What would put it right.
    #[must_use]
    pub fn remedy(&self) -> &'static str {
        self.subject.remedy()
    }
}

/// Shown as `bends 1 to 3: bend factor (CLR/OD) is 2.5, at least 3 is needed`.
impl<S: Subject> fmt::Display for Finding<S> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if !self.bends.is_empty() {
            write!(f, "{}: ", bend_list(&self.bends))?;
        }
        write!(f, "{} is {}, {}", self.subject.name(), self.value, self.wanted())
    }
}

impl<S: Subject> Finding<S> {
    /// `at least 3 is needed`.
    fn wanted(&self) -> String {
        match self.subject.sense() {
            Sense::AtLeast => format!("at least {} is {}", self.limit, self.subject.lower()),
            Sense::AtMost => format!("at most {} is {}", self.limit, self.subject.upper()),
            Sense::Exactly => format!("{} is needed", self.limit),
        }
    }

    /// `2.5 (bends 1 to 3)`.
    fn value_at(&self) -> String {
        if self.bends.is_empty() {
            return self.value.to_string();
        }
        format!("{} ({})", self.value, bend_list(&self.bends))
    }
}

/// The findings in sentences, each with its remedy. Findings about the same thing that differ only
/// in value and bend share one: `rotation is 30° (bend 2), 45° (bends 3 and 4), 0° is needed`.
#[must_use]
pub fn sentences<S: Subject>(findings: &[Finding<S>]) -> Vec<(String, &'static str)> {
    let alike = |a: &Finding<S>, b: &Finding<S>| a.subject == b.subject && a.limit == b.limit;
    let mut groups: Vec<Vec<&Finding<S>>> = Vec::new();
    for finding in findings {
        match groups.iter_mut().find(|group| alike(group[0], finding)) {
            Some(group) => group.push(finding),
            None => groups.push(vec![finding]),
        }
    }
    groups.iter().map(|group| (sentence(group), group[0].remedy())).collect()
}

fn sentence<S: Subject>(group: &[&Finding<S>]) -> String {
    let first = group[0];
    if group.len() == 1 {
        return first.to_string();
    }
    let values: Vec<String> = group.iter().map(|finding| finding.value_at()).collect();
    format!("{} is {}, {}", first.subject.name(), values.join(", "), first.wanted())
}

/// `bend 2`, `bends 1 to 3 and 7`.
fn bend_list(bends: &[usize]) -> String {
    let mut runs: Vec<(usize, usize)> = Vec::new();
    for &bend in bends {
        match runs.last_mut() {
            Some((_, last)) if *last + 1 == bend => *last = bend,
            _ => runs.push((bend, bend)),
        }
    }
    let words: Vec<String> = runs
        .iter()
        .map(|&(first, last)| match last - first {
            0 => first.to_string(),
            1 => format!("{first} and {last}"),
            _ => format!("{first} to {last}"),
        })
        .collect();
    format!("{} {}", if bends.len() == 1 { "bend" } else { "bends" }, words.join(" and "))
}

/// Collects findings; equal ones of several bends become one.
#[derive(Debug)]
pub(crate) struct Findings<S>(Vec<Finding<S>>);

impl<S: Subject> Findings<S> {
    pub(crate) fn new() -> Self {
        Self(Vec::new())
    }

    /// Notes something of the whole part.
    pub(crate) fn part(&mut self, subject: S, value: Amount, limit: Amount) {
        self.0.push(Finding { subject, bends: Vec::new(), value, limit });
    }

    /// Notes something of one bend, counted from 1.
    pub(crate) fn bend(&mut self, subject: S, bend: usize, value: Amount, limit: Amount) {
        let same = |f: &&mut Finding<S>| {
            f.subject == subject && f.value == value && f.limit == limit && !f.bends.is_empty()
        };
        match self.0.iter_mut().find(same) {
            Some(finding) => finding.bends.push(bend),
            None => self.0.push(Finding { subject, bends: vec![bend], value, limit }),
        }
    }

    pub(crate) fn extend(&mut self, more: Vec<Finding<S>>) {
        self.0.extend(more);
    }

    pub(crate) fn into_vec(self) -> Vec<Finding<S>> {
        self.0
    }
}
