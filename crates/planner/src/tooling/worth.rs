//! When a tool pays for itself, and how early to order it: textbook arithmetic.

use elbowroom_units::Money;

/// Pieces at which a tool of this price has paid for itself, if each saves so much; `None` if a
/// piece saves nothing.
///
/// Break-even of fixed against unit cost: price / saving, rounded up.
#[must_use]
pub fn break_even(price: Money, saving_per_piece: Money) -> Option<u64> {
    if saving_per_piece <= Money::ZERO {
        return None;
    }
    let pieces = (price.amount() / saving_per_piece.amount()).ceil();
    (pieces < 1e15).then_some(pieces as u64)
}

/// The share of cases in which it is worth being prepared, where falling short costs `short` and
/// having been prepared for nothing costs `idle`: short / (short + idle), the newsvendor's critical
/// fractile. `None` where neither costs anything.
#[must_use]
pub fn critical_fractile(short: Money, idle: Money) -> Option<f64> {
    let sum = short.amount() + idle.amount();
    (sum > 0.0 && short >= Money::ZERO && idle >= Money::ZERO).then(|| short.amount() / sum)
}

/// How probable it is that a year brings at least `pieces`, where it brings between `low` and
/// `high` and most probably `likely`: the triangular distribution.
#[must_use]
pub fn chance_of(pieces: f64, low: f64, likely: f64, high: f64) -> f64 {
    if pieces <= low {
        1.0
    } else if pieces >= high {
        0.0
    } else if pieces <= likely {
        1.0 - (pieces - low).powi(2) / ((high - low) * (likely - low))
    } else {
        (high - pieces).powi(2) / ((high - low) * (high - likely))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Break-even: a fixed cost of 1,150 against a saving of 0.46 a piece is 2,500 pieces; arithmetic.
    #[test]
    fn a_die_pays_for_itself_at_price_by_saving() {
        assert_eq!(break_even(Money::new(1150.0), Money::new(0.46)), Some(2500));
        assert_eq!(break_even(Money::new(100.0), Money::new(0.3)), Some(334));
        assert_eq!(break_even(Money::new(100.0), Money::ZERO), None);
        assert_eq!(break_even(Money::new(100.0), Money::new(-1.0)), None);
    }

    /// The newsvendor of the textbooks (from memory: bought for 0.20, sold for 0.35, worth nothing
    /// the day after): 0.15 / (0.15 + 0.20) = 3/7.
    #[test]
    fn the_newsvendor_prepares_for_three_days_in_seven() {
        let share = critical_fractile(Money::new(0.15), Money::new(0.20)).unwrap();
        assert!((share - 3.0 / 7.0).abs() < 1e-12);
        assert_eq!(critical_fractile(Money::ZERO, Money::ZERO), None);
        assert_eq!(critical_fractile(Money::new(5.0), Money::ZERO), Some(1.0));
    }

    /// A date to promise is a newsvendor's order (after Arrow, Harris and Marschak, 1951; from
    /// memory): a day later costs 15 always, a day late 60, so it is worth being kept in
    /// (60 - 15) / 60 = 3/4 of the cases. Checked against the cost of every date for ten finishes.
    #[test]
    fn the_date_worth_promising_is_the_cheapest_of_all_dates() {
        let (late_day, later_day) = (60.0, 15.0);
        let share = critical_fractile(Money::new(late_day - later_day), Money::new(later_day)).unwrap();
        assert!((share - 0.75).abs() < 1e-12);
        let finishes = [3.0, 4.0, 4.0, 5.0, 6.0, 6.0, 7.0, 9.0, 12.0, 20.0];
        let cost = |day: f64| {
            let late: f64 = finishes.iter().map(|end: &f64| (end - day).max(0.0)).sum::<f64>();
            later_day * day + late_day * late / finishes.len() as f64
        };
        let cheapest = (0..30).map(f64::from).min_by(|a, b| cost(*a).total_cmp(&cost(*b))).unwrap();
        let kept = finishes.iter().filter(|end| **end <= cheapest).count() as f64 / finishes.len() as f64;
        let before = finishes.iter().filter(|end| **end < cheapest).count() as f64 / finishes.len() as f64;
        // 9 is the eighth of ten: 8/10 are kept, a day before only 7/10.
        assert!((cheapest - 9.0).abs() < 1e-12);
        assert!(before < share && share <= kept);
    }

    /// The triangular distribution has half of its weight on each side of the peak if it is
    /// symmetrical, and a share of (peak - low) / (high - low) below its peak; common practice.
    #[test]
    fn forecasts_are_triangles() {
        let near = |a: f64, b: f64| assert!((a - b).abs() < 1e-12, "{a} and {b}");
        near(chance_of(100.0, 50.0, 100.0, 150.0), 0.5);
        near(chance_of(75.0, 50.0, 100.0, 150.0), 0.875);
        near(chance_of(100.0, 0.0, 100.0, 400.0), 0.75);
        near(chance_of(10.0, 50.0, 100.0, 150.0), 1.0);
        near(chance_of(150.0, 50.0, 100.0, 150.0), 0.0);
        near(chance_of(100.0, 100.0, 100.0, 100.0), 1.0);
        near(chance_of(101.0, 100.0, 100.0, 100.0), 0.0);
    }
}
