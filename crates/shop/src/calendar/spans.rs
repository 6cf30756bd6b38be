//! Sets of minutes as sorted, disjoint, non-touching half-open spans.

use elbowroom_units::Minute;

/// A half-open span of plan minutes, from and to.
pub type Span = (Minute, Minute);

/// The union of `spans`: sorted, disjoint, merged where they touch; empty ones left out.
pub(super) fn union(mut spans: Vec<Span>) -> Vec<Span> {
    spans.retain(|(from, to)| from < to);
    spans.sort_unstable();
    let mut merged: Vec<Span> = Vec::with_capacity(spans.len());
    for (from, to) in spans {
        match merged.last_mut() {
            Some(last) if from <= last.1 => last.1 = last.1.max(to),
            _ => merged.push((from, to)),
        }
    }
    merged
}

/// What of `open` lies outside `closed`. Both are unions; so is the result.
pub(super) fn subtract(open: &[Span], closed: &[Span]) -> Vec<Span> {
    let mut left = Vec::with_capacity(open.len());
    let mut first = 0;
    for &(from, to) in open {
        while first < closed.len() && closed[first].1 <= from {
            first += 1;
        }
        let mut begin = from;
        for &(shut, reopen) in closed[first..].iter().take_while(|(shut, _)| *shut < to) {
            if begin < shut {
                left.push((begin, shut));
            }
            begin = begin.max(reopen);
        }
        if begin < to {
            left.push((begin, to));
        }
    }
    left
}

/// What of `spans` lies in `[from, to)`.
pub(super) fn clip(spans: &[Span], from: Minute, to: Minute) -> Vec<Span> {
    spans.iter().map(|&(a, b)| (a.max(from), b.min(to))).filter(|(a, b)| a < b).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn spans(pairs: &[(i64, i64)]) -> Vec<Span> {
        pairs.iter().map(|&(a, b)| (Minute::new(a), Minute::new(b))).collect()
    }

    #[test]
    fn union_sorts_merges_and_drops_what_is_empty() {
        let check = |given: &[(i64, i64)], expected: &[(i64, i64)]| {
            assert_eq!(union(spans(given)), spans(expected), "{given:?}");
        };
        check(&[], &[]);
        check(&[(5, 5), (9, 3)], &[]);
        check(&[(4, 6), (0, 2)], &[(0, 2), (4, 6)]);
        check(&[(0, 2), (2, 4)], &[(0, 4)]);
        check(&[(0, 9), (2, 4), (8, 12)], &[(0, 12)]);
    }

    #[test]
    fn subtract_cuts_ends_middles_and_wholes() {
        let check = |open: &[(i64, i64)], closed: &[(i64, i64)], expected: &[(i64, i64)]| {
            assert_eq!(subtract(&spans(open), &spans(closed)), spans(expected), "{open:?} - {closed:?}");
        };
        check(&[(0, 10)], &[], &[(0, 10)]);
        check(&[(0, 10)], &[(0, 10)], &[]);
        check(&[(0, 10)], &[(3, 5)], &[(0, 3), (5, 10)]);
        check(&[(0, 10), (20, 30)], &[(8, 22)], &[(0, 8), (22, 30)]);
        check(&[(0, 10), (20, 30), (40, 50)], &[(5, 45)], &[(0, 5), (45, 50)]);
        check(&[(10, 20)], &[(0, 5), (6, 10), (20, 25)], &[(10, 20)]);
    }

    #[test]
    fn clip_keeps_what_lies_inside() {
        assert_eq!(
            clip(&spans(&[(-5, 3), (4, 6), (8, 20)]), Minute::ZERO, Minute::new(10)),
            spans(&[(0, 3), (4, 6), (8, 10)])
        );
    }
}
