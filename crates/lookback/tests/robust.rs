//! The robust statistics against published examples and tables.

use elbowroom_lookback::Robust;

fn of(sample: &[f64]) -> Robust {
    Robust::of(sample).expect("there are numbers")
}

fn near(found: f64, expected: f64) {
    assert!((found - expected).abs() < 1e-4, "{found}, expected {expected}");
}

/// The examples of R's `mad` (package stats, <https://stat.ethz.ch/R-manual/R-devel/library/stats/html/mad.html>):
/// the plain deviation of 1 to 9 is 2, and a ninth number of 100 does not change it; that of
/// 1, 2, 3, 5, 7, 8 is 2.5 (R multiplies by 1.4826).
#[test]
fn deviations_are_those_of_r() {
    let to_nine = [1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0];
    near(of(&to_nine).deviation, 2.0 * 1.4826);
    let mut spoilt = to_nine;
    spoilt[8] = 100.0;
    near(of(&spoilt).deviation, 2.0 * 1.4826);
    near(of(&[1.0, 2.0, 3.0, 5.0, 7.0, 8.0]).deviation, 2.5 * 1.4826);
}

/// The example of `MAD` in R's package rwavelet (<https://rdrr.io/cran/rwavelet/man/MAD.html>) prints
/// 1.48258 for these numbers.
#[test]
fn a_printed_deviation() {
    let sample = of(&[1.0, 1.0, 2.0, 2.0, 4.0, 6.0, 9.0]);
    assert_eq!(sample.median, 2.0);
    assert!((sample.deviation - 1.48258).abs() < 5e-5, "{}", sample.deviation);
}

/// Places from below and above of the interval that holds a median with at least 95 % certainty, from
/// the table of such intervals that textbooks print (from exact binomial probabilities: with ten numbers the second and
/// ninth hold it with 97.9 %, with 17 the fifth and 13th with 95.1 %; <https://www.coursehero.com/file/5646626/A7/>).
#[test]
fn intervals_for_the_median_are_those_of_the_tables() {
    let table = [
        (6, 1, 6),
        (7, 1, 7),
        (8, 1, 8),
        (9, 2, 8),
        (10, 2, 9),
        (11, 2, 10),
        (12, 3, 10),
        (13, 3, 11),
        (14, 3, 12),
        (15, 4, 12),
        (16, 4, 13),
        (17, 5, 13),
        (18, 5, 14),
        (19, 5, 15),
        (20, 6, 15),
    ];
    for (count, low, high) in table {
        let sample: Vec<f64> = (1..=count).rev().map(f64::from).collect();
        assert_eq!(of(&sample).sure, Some((f64::from(low), f64::from(high))), "{count}");
    }
    for count in 1..6 {
        let sample: Vec<f64> = (1..=count).map(f64::from).collect();
        assert_eq!(of(&sample).sure, None, "{count}: at most 93.8 %");
    }
}

/// R's `quantile(c(1, 2, 3, 4, 10))` prints 1 2 3 4 10, and of 1 to 6 it prints 2.25 and 4.75 for the
/// quartiles (type 7, its default; from memory).
#[test]
fn quartiles_are_those_of_r() {
    assert_eq!(of(&[10.0, 4.0, 3.0, 2.0, 1.0]).quartiles, (2.0, 4.0));
    assert_eq!(of(&[1.0, 2.0, 3.0, 4.0, 5.0, 6.0]).quartiles, (2.25, 4.75));
}

#[test]
fn nothing_has_no_median_and_much_is_no_trouble() {
    assert_eq!(Robust::of(&[]), None);
    let many: Vec<f64> = (0..5000).map(f64::from).collect();
    let sample = of(&many);
    let (low, high) = sample.sure.expect("there are lots");
    assert!(low < sample.median && sample.median < high, "{low} {high}");
}
