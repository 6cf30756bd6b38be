//! How long cutting plans take and how near to their proven bound they are: 2,000 blanks out of bars
//! of 6 m (and of 4 m), 2.5 mm kerf, 60 mm lost at the end of each bar.

use elbowroom_cutting::{Blank, CuttingJob, Saw, Stock, cut};
use elbowroom_tests::chance::Chance;
use elbowroom_units::Mm;
use std::time::Instant;

const BLANKS: u32 = 2_000;
/// Lengths and the range in which they lie, in mm.
const JOBS: [(u32, (i64, i64)); 5] = [
    (20, (300, 2_800)),
    (100, (300, 2_800)),
    (400, (300, 2_800)),
    (2_000, (300, 2_800)),
    (100, (1_200, 3_900)),
];

/// Prints the page.
pub fn run() {
    println!("{BLANKS} blanks; gap: (tube taken - proven bound) / bound.\n");
    println!("| lengths | from, to mm | bars offered | bars taken | gap | time |\n|---|---|---|---|---|---|");
    for (seed, (lengths, range)) in JOBS.into_iter().enumerate() {
        for stocks in [&[6_000.0][..], &[6_000.0, 4_000.0]] {
            let job = job(seed as u64, lengths, range, stocks);
            let begun = Instant::now();
            let plan = cut(&job).expect("every blank fits a bar");
            let time = begun.elapsed().as_secs_f64();
            let bars: u32 = plan.layouts.iter().map(|layout| layout.bars).sum();
            println!(
                "| {lengths} | {}, {} | {} | {bars} | {:.2} % | {time:.2} s |",
                range.0,
                range.1,
                stocks.iter().map(|bar| format!("{:.0} m", bar / 1000.0)).collect::<Vec<_>>().join(", "),
                100.0 * plan.gap(),
            );
        }
    }
}

fn job(seed: u64, lengths: u32, (least, most): (i64, i64), stocks: &[f64]) -> CuttingJob {
    let mut chance = Chance::new(seed);
    // Saws are set to tenths of a millimetre.
    let mut blank =
        |_| Blank { length: Mm::new(chance.from_to(10 * least, 10 * most) as f64 / 10.0), count: 1 };
    let mut blanks: Vec<Blank> = (0..lengths).map(&mut blank).collect();
    for _ in lengths..BLANKS {
        let at = chance.below(blanks.len());
        blanks[at].count += 1;
    }
    CuttingJob {
        blanks,
        stocks: stocks.iter().map(|bar| Stock::bought(Mm::new(*bar))).collect(),
        saw: Saw { kerf: Mm::new(2.5), end_trim: Mm::new(60.0), keep_from: Mm::new(500.0) },
    }
}
