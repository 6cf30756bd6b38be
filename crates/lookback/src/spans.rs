//! Spans of time and what of them lies where.

use chrono::{DateTime, Utc};

/// From and to; half open.
pub type Span = (DateTime<Utc>, DateTime<Utc>);

/// Minutes of a span.
pub(crate) fn minutes((from, to): Span) -> f64 {
    ((to - from).num_seconds() as f64 / 60.0).max(0.0)
}

/// What two spans share; `None` if nothing.
pub(crate) fn shared(a: Span, b: Span) -> Option<Span> {
    let span = (a.0.max(b.0), a.1.min(b.1));
    (span.0 < span.1).then_some(span)
}

/// Minutes of a span that lie in some of the others, which do not overlap.
pub(crate) fn minutes_in(span: Span, others: &[Span]) -> f64 {
    others.iter().filter_map(|other| shared(span, *other)).map(minutes).sum()
}

/// What is left of a span outside some others, which may overlap.
pub(crate) fn without(span: Span, others: &[Span]) -> Vec<Span> {
    let mut cuts: Vec<Span> = others.iter().filter_map(|other| shared(span, *other)).collect();
    cuts.sort_unstable();
    let mut left = Vec::new();
    let mut from = span.0;
    for (begin, end) in cuts {
        if from < begin {
            left.push((from, begin));
        }
        from = from.max(end);
    }
    if from < span.1 {
        left.push((from, span.1));
    }
    left
}

#[cfg(test)]
mod tests {
    use super::*;

    fn span(from: u32, to: u32) -> Span {
        let at = |minute: u32| DateTime::UNIX_EPOCH + chrono::TimeDelta::minutes(i64::from(minute));
        (at(from), at(to))
    }

    #[test]
    fn spans_are_cut_and_counted() {
        assert_eq!(minutes_in(span(10, 50), &[span(0, 20), span(30, 40), span(60, 70)]), 20.0);
        assert_eq!(
            without(span(0, 100), &[span(20, 30), span(25, 40), span(90, 120)]),
            [span(0, 20), span(40, 90)]
        );
        assert_eq!(without(span(0, 10), &[]), [span(0, 10)]);
        assert!(without(span(0, 10), &[span(0, 10)]).is_empty());
    }
}
