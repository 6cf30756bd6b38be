//! Jobs as large as a busy week: the plan stays within one percent of its bound.

use elbowroom_cutting::{Blank, CuttingJob, Saw, Stock, cut};
use elbowroom_units::Mm;

struct Chance(u64);

impl Chance {
    fn between(&mut self, from: u32, to: u32) -> u32 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        from + u32::try_from((self.0 >> 33) % u64::from(to - from + 1)).expect("in range")
    }
}

fn week(seed: u64, lengths: u32, each: u32, stocks: &[f64]) -> CuttingJob {
    let mut chance = Chance(seed);
    let mut blank =
        || Blank { length: Mm::new(f64::from(chance.between(2_500, 28_000)) / 10.0), count: each };
    CuttingJob {
        blanks: (0..lengths).map(|_| blank()).collect(),
        stocks: stocks.iter().map(|length| Stock::bought(Mm::new(*length))).collect(),
        saw: Saw { kerf: Mm::new(2.5), end_trim: Mm::new(30.0), keep_from: Mm::new(500.0) },
    }
}

fn comes_within_one_percent(job: &CuttingJob) {
    let plan = cut(job).expect("every blank fits");
    assert!(plan.gap() <= 0.01, "{} above {}", plan.counted, plan.bound);
}

#[test]
fn two_thousand_blanks_of_few_and_of_many_lengths() {
    comes_within_one_percent(&week(1, 20, 100, &[6000.0]));
    comes_within_one_percent(&week(2, 100, 20, &[6000.0]));
}

#[test]
fn two_thousand_blanks_out_of_three_bar_lengths() {
    comes_within_one_percent(&week(3, 100, 20, &[6000.0, 7000.0, 12_000.0]));
}

#[test]
fn two_thousand_blanks_all_different() {
    comes_within_one_percent(&week(4, 2_000, 1, &[6000.0]));
}

#[test]
fn a_hundred_blanks_all_different() {
    comes_within_one_percent(&week(5, 100, 1, &[6000.0]));
}
