//! Whether repeats of a part become faster with practice: Wright's law.
//!
//! The law: every time the pieces ever made double, a piece takes a fixed share of the time before, the
//! rate; 0.8 means a fifth less (T. P. Wright, Factors affecting the cost of airplanes, Journal of the
//! Aeronautical Sciences 3, 1936; here, as J. R. Crawford put it, for the time of the piece itself and
//! not for the mean of all so far). So the logarithm of the time falls in a straight line over the
//! logarithm of the piece's number, and the line's slope is the rate's logarithm to base 2.
//!
//! # How
//! A lot stands for all of its pieces, at the piece whose time is the lot's mean. The slope is the median
//! of the slopes between any two lots (H. Theil, 1950), with the interval that P. K. Sen gave for it (J.
//! of the American Statistical Association 63, 1968), so that a report forgotten or mistyped does little
//! harm. Pieces made before the first lot looked at are not known; practice from then makes the law look
//! weaker than it is, never stronger.

use std::f64::consts::LN_2;

/// How fast a part is learnt on one kind of work.
#[derive(Clone, Debug, PartialEq)]
pub struct Learning {
    /// Id of the part.
    pub part: String,
    /// Kind of work, as files name it.
    pub work: String,
    /// Lots that were timed.
    pub lots: usize,
    /// Pieces in them.
    pub pieces: u64,
    /// How many times as long a piece takes each time the pieces made so far double; more than 0.
    pub rate: f64,
    /// An interval that holds the true rate with about 95 % certainty; `None` with too few lots.
    pub sure: Option<(f64, f64)>,
}

impl Learning {
    /// Whether practice shows: the whole interval lies below 1.
    #[must_use]
    pub fn shows(&self) -> bool {
        self.sure.is_some_and(|(_, high)| high < 1.0)
    }
}

/// A lot that was timed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Timed {
    /// Pieces made, scrap included; at least 1.
    pub(crate) pieces: u32,
    /// Time over standard time; more than 0.
    pub(crate) ratio: f64,
}

/// Rate and interval from lots in the order in which they were made; `None` for fewer than two.
pub(crate) fn rate(lots: &[Timed]) -> Option<(f64, Option<(f64, f64)>)> {
    let mut slope = 0.0;
    let mut found = None;
    for _ in 0..ROUNDS {
        let slopes = slopes(&points(lots, slope));
        slope = *slopes.get(slopes.len() / 2)?;
        if slopes.len().is_multiple_of(2) {
            slope = f64::midpoint(slope, slopes[slopes.len() / 2 - 1]);
        }
        let sure = interval(&slopes, lots.len());
        found =
            Some(((LN_2 * slope).exp(), sure.map(|(low, high)| ((LN_2 * low).exp(), (LN_2 * high).exp()))));
    }
    found
}

/// Where a lot stands depends a little on the slope, which depends on where the lots stand.
const ROUNDS: usize = 6;

/// Logarithms of each lot's place among all pieces and of its time.
fn points(lots: &[Timed], slope: f64) -> Vec<(f64, f64)> {
    let mut before = 0;
    let mut points = Vec::with_capacity(lots.len());
    for lot in lots {
        points.push((place(before, u64::from(lot.pieces), slope).ln(), lot.ratio.ln()));
        before += u64::from(lot.pieces);
    }
    points
}

/// Pieces from here on are added up as an integral: the difference is less than a millionth.
const ONE_BY_ONE: u64 = 200;
/// A slope so small makes no difference, and none at all cannot be divided by.
const FLAT: f64 = -1e-6;

/// The number of the piece that takes as long as the mean of `count` pieces behind the first `before`,
/// where times fall by the power `slope`.
fn place(before: u64, count: u64, slope: f64) -> f64 {
    let power = if slope.abs() < FLAT.abs() { FLAT } else { slope };
    let last = before + count;
    let single = (before + 1..=last.min(ONE_BY_ONE.max(before))).map(|piece| (piece as f64).powf(power));
    let rest = before.max(ONE_BY_ONE) as f64 + 0.5;
    let until = last as f64 + 0.5;
    let antiderivative =
        |x: f64| if (power + 1.0).abs() < 1e-9 { x.ln() } else { x.powf(power + 1.0) / (power + 1.0) };
    let many = if until > rest { antiderivative(until) - antiderivative(rest) } else { 0.0 };
    ((single.sum::<f64>() + many) / count as f64).powf(1.0 / power)
}

/// Slopes between any two points, in order.
fn slopes(points: &[(f64, f64)]) -> Vec<f64> {
    let pairs = points.iter().enumerate().flat_map(|(at, a)| points[at + 1..].iter().map(move |b| (a, b)));
    let mut slopes: Vec<f64> = pairs.map(|(a, b)| (b.1 - a.1) / (b.0 - a.0)).collect();
    slopes.sort_by(f64::total_cmp);
    slopes
}

/// 97.5 % of a standard normal distribution lie below.
const NORMAL_975: f64 = 1.959_964;

/// Between which two of the sorted slopes the true one lies with about 95 % certainty: as many slopes
/// are left out on each side as Kendall's S, of variance n (n - 1) (2 n + 5) / 18, leaves room for.
fn interval(slopes: &[f64], lots: usize) -> Option<(f64, f64)> {
    let n = lots as f64;
    let spread = NORMAL_975 * (n * (n - 1.0) * (2.0 * n + 5.0) / 18.0).sqrt();
    let left_out = ((slopes.len() as f64 - spread) / 2.0).floor();
    let low = (left_out >= 1.0).then(|| left_out as usize - 1)?;
    Some((*slopes.get(low)?, *slopes.get(slopes.len() - 1 - low)?))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lots(pieces: &[u32], ratios: &[f64]) -> Vec<Timed> {
        pieces.iter().zip(ratios).map(|(pieces, ratio)| Timed { pieces: *pieces, ratio: *ratio }).collect()
    }

    /// The times of single pieces on an 80 % curve, as tables of the law print them (unit time of pieces 1
    /// to 8 for a first piece of 100; such a table stands in most books on operations management, these
    /// values from memory, and 100 x 0.8 ^ log2 n by arithmetic).
    #[test]
    fn a_textbook_curve_of_single_pieces_has_its_rate() {
        let times = [100.0, 80.0, 70.21, 64.0, 59.56, 56.17, 53.45, 51.2];
        let (rate, sure) = rate(&lots(&[1; 8], &times)).expect("there are lots");
        assert!((rate - 0.8).abs() < 1e-4, "{rate}");
        let (low, high) = sure.expect("eight are enough");
        assert!((low - 0.8).abs() < 1e-3 && (high - 0.8).abs() < 1e-3, "{low} {high}");
    }

    /// Lots of any size whose pieces follow the law one by one: their mean times say the rate again.
    #[test]
    fn lots_stand_where_their_mean_piece_stands() {
        let sizes = [40u32, 200, 25, 600, 90, 1500, 300];
        for rate_made in [0.7f64, 0.85, 0.95, 1.0, 1.1] {
            let power = rate_made.log2();
            let mut made = 0u32;
            let mean = |size: u32, made: u32| {
                (made + 1..=made + size).map(|piece| f64::from(piece).powf(power)).sum::<f64>()
                    / f64::from(size)
            };
            let ratios: Vec<f64> = sizes
                .iter()
                .map(|size| {
                    made += size;
                    mean(*size, made - size)
                })
                .collect();
            let (found, _) = rate(&lots(&sizes, &ratios)).expect("there are lots");
            assert!((found - rate_made).abs() < 1e-4, "{rate_made}: {found}");
        }
    }

    /// Sen's interval by hand for six lots: 15 slopes, the variance of S is 6 x 5 x 17 / 18 = 28.33, so
    /// 1.96 x 5.323 = 10.43 of 15 lie between, and (15 - 10.43) / 2 = 2.28: the second from each end.
    #[test]
    fn the_interval_leaves_out_what_kendall_leaves_room_for() {
        let slopes: Vec<f64> = (0..15).map(f64::from).collect();
        assert_eq!(interval(&slopes, 6), Some((1.0, 13.0)));
        // Four lots: 6 slopes, 1.96 x sqrt(8.67) = 5.77, (6 - 5.77) / 2 < 1: nothing is sure.
        assert_eq!(interval(&slopes[..6], 4), None);
    }

    /// One forgotten report among ten does not move the rate much.
    #[test]
    fn a_mistake_does_little_harm() {
        let mut times: Vec<f64> = (1..=10).map(|piece| f64::from(piece).powf(0.8f64.log2())).collect();
        times[6] = 5.0;
        let (rate, _) = rate(&lots(&[1; 10], &times)).expect("there are lots");
        assert!((rate - 0.8).abs() < 0.02, "{rate}");
    }

    #[test]
    fn one_lot_says_nothing() {
        assert_eq!(rate(&lots(&[5], &[1.0])), None);
        assert_eq!(rate(&[]), None);
    }
}
