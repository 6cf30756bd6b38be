//! Time across the chart: a week, with the hours in which nobody works drawn narrower.

use crate::document::Cell;
use chrono::{DateTime, Duration, Utc};

/// A half-open span of time.
pub type Span = (DateTime<Utc>, DateTime<Utc>);

/// Closed hours are drawn so many times as narrow as open ones.
const NARROWING: f64 = 5.0;
/// A shorter closure is drawn like open time.
const LEAST_CLOSURE: Duration = Duration::hours(3);

/// Moments to pixels: rising, linear in pieces.
#[derive(Debug)]
pub struct Axis {
    knots: Vec<(DateTime<Utc>, f64)>,
}

impl Axis {
    /// An axis for a span between two pixels; what lies outside `open` (sorted, disjoint) is narrow.
    pub fn new((from, to): Span, open: &[Span], left: f64, right: f64) -> Self {
        let mut pieces = Vec::new();
        let mut at = from;
        for &(start, end) in open.iter().chain([&(to, to)]) {
            let (start, end) = (start.clamp(from, to), end.clamp(from, to));
            if start - at >= LEAST_CLOSURE {
                pieces.push((start, minutes(at, start) / NARROWING));
                at = start;
            }
            if end > at {
                pieces.push((end, minutes(at, end)));
                at = end;
            }
        }
        let total: f64 = pieces.iter().map(|piece| piece.1).sum();
        let mut knots = vec![(from, left)];
        let mut weight = 0.0;
        for (end, share) in pieces {
            weight += share;
            knots.push((end, left + (right - left) * weight / total));
        }
        Self { knots }
    }

    /// The pixel of a moment; moments outside are put on the nearer end.
    pub fn x(&self, at: DateTime<Utc>) -> f64 {
        let next = self.knots.partition_point(|knot| knot.0 <= at);
        match (next.checked_sub(1).map(|i| self.knots[i]), self.knots.get(next)) {
            (None, Some(first)) => first.1,
            (Some(last), None) => last.1,
            (Some(a), Some(b)) => a.1 + (b.1 - a.1) * minutes(a.0, at) / minutes(a.0, b.0),
            (None, None) => 0.0,
        }
    }

    /// The pixel at which it ends.
    pub fn end(&self) -> f64 {
        self.knots.last().map_or(0.0, |knot| knot.1)
    }

    /// A span in pixels, cut off at the ends; `None` where none of it is on the axis.
    pub fn cut(&self, (from, to): Span) -> Option<(f64, f64)> {
        let (first, last) = (self.knots.first()?.0, self.knots.last()?.0);
        (from < last && to > first && from < to).then(|| (self.x(from), self.x(to)))
    }
}

fn minutes(from: DateTime<Utc>, to: DateTime<Utc>) -> f64 {
    (to - from).num_minutes() as f64
}

/// An ISO 8601 moment of a plan.
pub fn instant(text: &str) -> Option<DateTime<Utc>> {
    DateTime::parse_from_rfc3339(text).ok().map(|at| at.with_timezone(&Utc))
}

/// When a cell is open.
pub fn open_spans(cell: &Cell) -> Vec<Span> {
    cell.open.iter().filter_map(|[from, to]| Some((instant(from)?, instant(to)?))).collect()
}

/// When any cell is open: sorted and disjoint.
pub fn open_together(cells: &[Cell]) -> Vec<Span> {
    let mut spans: Vec<Span> = cells.iter().flat_map(open_spans).collect();
    spans.sort_unstable();
    let mut union: Vec<Span> = Vec::new();
    for (from, to) in spans {
        match union.last_mut() {
            Some(last) if from <= last.1 => last.1 = last.1.max(to),
            _ => union.push((from, to)),
        }
    }
    union
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(text: &str) -> DateTime<Utc> {
        text.parse().unwrap()
    }

    #[test]
    fn closed_hours_are_narrow_and_nothing_goes_backwards() {
        let day = (at("2026-12-07T00:00:00Z"), at("2026-12-08T00:00:00Z"));
        let open = [(at("2026-12-07T06:00:00Z"), at("2026-12-07T14:00:00Z"))];
        let axis = Axis::new(day, &open, 0.0, 120.0);
        // 6 h and 10 h closed count as 1.2 and 2: 11.2 open hours over 120 pixels.
        assert!((axis.x(at("2026-12-07T06:00:00Z")) - 1.2 * 120.0 / 11.2).abs() < 1e-9);
        assert!((axis.x(at("2026-12-07T14:00:00Z")) - 9.2 * 120.0 / 11.2).abs() < 1e-9);
        assert!((axis.x(day.1) - 120.0).abs() < 1e-9);
        assert_eq!(axis.cut((at("2026-12-05T00:00:00Z"), day.0)), None);
        let (left, right) = axis.cut((at("2026-12-05T00:00:00Z"), at("2026-12-07T08:00:00Z"))).unwrap();
        assert!(left.abs() < 1e-9 && right > left);
    }

    #[test]
    fn a_week_without_any_open_hour_still_has_an_axis() {
        let day = (at("2026-12-07T00:00:00Z"), at("2026-12-08T00:00:00Z"));
        let axis = Axis::new(day, &[], 10.0, 20.0);
        assert!((axis.x(at("2026-12-07T12:00:00Z")) - 15.0).abs() < 1e-9);
    }
}
