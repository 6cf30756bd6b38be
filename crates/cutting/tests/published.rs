//! Instances whose optimum is known: worked examples of the literature, and bin packing instances
//! made so that the optimum is known by construction or by their bound.

use elbowroom_cutting::{Blank, CuttingJob, CuttingPlan, Saw, Stock, cut};
use elbowroom_units::Mm;

const CLEAN: Saw = Saw { kerf: Mm::ZERO, end_trim: Mm::ZERO, keep_from: Mm::ZERO };

fn job(bar: f64, blanks: &[(f64, u32)]) -> CuttingJob {
    let blanks = blanks.iter().map(|(length, count)| Blank { length: Mm::new(*length), count: *count });
    CuttingJob { blanks: blanks.collect(), stocks: vec![Stock::bought(Mm::new(bar))], saw: CLEAN }
}

/// Cuts the job, and checks by the lengths alone that the plan can be sawn and makes what is wanted.
fn checked(job: &CuttingJob) -> CuttingPlan {
    let plan = cut(job).expect("every blank fits");
    let mut made = vec![0; job.blanks.len()];
    let mut used = vec![0; job.stocks.len()];
    let mut counted = 0.0;
    for layout in &plan.layouts {
        let stock = &job.stocks[layout.stock];
        let pieces: u32 = layout.pieces.iter().map(|(_, count)| count).sum();
        let length: Mm =
            layout.pieces.iter().map(|(at, count)| job.blanks[*at].length * f64::from(*count)).sum();
        let cuts = f64::from(pieces - 1);
        let need = job.saw.end_trim + length + job.saw.kerf * cuts;
        assert!(need <= stock.length + Mm::new(1e-6), "{need} out of {}", stock.length);
        let rest = (stock.length - need - job.saw.kerf).max(Mm::ZERO);
        assert!(rest.near(layout.rest, Mm::new(0.11 * f64::from(pieces))), "{rest}, not {}", layout.rest);
        layout.pieces.iter().for_each(|(at, count)| made[*at] += count * layout.bars);
        used[layout.stock] += layout.bars;
        counted += f64::from(layout.bars) * stock.length.mm() * stock.weight;
    }
    let wanted: Vec<u32> = job.blanks.iter().map(|blank| blank.count).collect();
    assert_eq!(made, wanted, "exactly what is wanted");
    assert!(
        job.stocks.iter().zip(&used).all(|(stock, used)| stock.available.is_none_or(|there| *used <= there))
    );
    assert!((plan.counted.mm() - counted).abs() < 1e-6 * counted.max(1.0));
    assert!(plan.bound <= plan.counted);
    plan
}

/// The example of the encyclopaedia article "Cutting stock problem": paper rolls of 5600 mm into 13
/// widths; 73 rolls are needed, the area bound is 72.7. From memory.
#[test]
fn paper_rolls_of_the_encyclopaedia() {
    let blanks = [
        (1380.0, 22),
        (1520.0, 25),
        (1560.0, 12),
        (1710.0, 14),
        (1820.0, 18),
        (1880.0, 18),
        (1930.0, 20),
        (2000.0, 10),
        (2050.0, 12),
        (2100.0, 14),
        (2140.0, 16),
        (2150.0, 18),
        (2200.0, 20),
    ];
    let plan = checked(&job(5600.0, &blanks));
    assert_eq!(plan.bars_of(0), 73);
    assert!(plan.gap() < 1e-9, "proved");
}

/// V. Chvatal, Linear Programming, 1983, chapter 13: raws of 100 inches into 97 finals of 45, 610 of
/// 36, 395 of 31 and 211 of 14; the relaxation needs 452.25 raws, whole raws 453. From memory.
#[test]
fn chvatals_paper_mill() {
    let plan = checked(&job(100.0, &[(45.0, 97), (36.0, 610), (31.0, 395), (14.0, 211)]));
    assert_eq!(plan.bars_of(0), 453);
    assert!(plan.gap() < 1e-9, "proved");
}

/// Gilmore and Gomory, Operations Research 9, 1961: stock of 9, 6 and 5 at costs of 10, 7 and 6; 20
/// pieces of 2, 10 of 3 and 20 of 4 cost 170. From memory; also by hand: ten bars of 9 give 2 + 3 +
/// 4, ten of 6 give 2 + 4.
#[test]
fn three_stock_lengths_at_different_costs() {
    let mut job = job(9.0, &[(2.0, 20), (3.0, 10), (4.0, 20)]);
    job.stocks = [(9.0, 10.0), (6.0, 7.0), (5.0, 6.0)]
        .map(|(length, cost)| Stock { weight: cost / length, ..Stock::bought(Mm::new(length)) })
        .to_vec();
    let plan = checked(&job);
    assert!((plan.counted.mm() - 170.0).abs() < 1e-6, "{}", plan.counted);
    assert!((plan.bound.mm() - 170.0).abs() < 1e-3, "{}", plan.bound);
}

/// Fieldhouse, SICUP bulletin 5, 1990: bars of 132, two pieces of 44, three of 33, six of 12. The
/// relaxation over all patterns needs 259/132 = 1.96 bars, whole bars are 3: the round-up property
/// fails. From memory. By hand: two bars would have 5 to spare. The bar without a piece of 44 takes
/// at most 3 x 33 + 2 x 12 = 123, and one bar with both pieces of 44 at most 88 + 33 = 121 or 88 + 36
/// = 124; with a piece of 44 on each, 88 are left on each, of which 33s and 12s fill 33 + 48 = 81, 66
/// + 12 = 78 or 84: less than the 171 wanted.
#[test]
fn an_instance_without_the_round_up_property() {
    assert_eq!(checked(&job(132.0, &[(44.0, 2), (33.0, 3), (12.0, 6)])).bars_of(0), 3);
}

/// A simple chance: the linear congruential generator of Knuth's MMIX.
struct Chance(u64);

impl Chance {
    fn between(&mut self, from: u32, to: u32) -> u32 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        from + u32::try_from((self.0 >> 33) % u64::from(to - from + 1)).expect("in range")
    }
}

fn job_of(bar: f64, sizes: Vec<u32>) -> CuttingJob {
    job(bar, &sizes.into_iter().map(|size| (f64::from(size), 1)).collect::<Vec<_>>())
}

/// The triplets of E. Falkenauer, Journal of Heuristics 2, 1996: every bin of 1000 holds exactly
/// three items and no room is left, so that n items need n/3 bins. His generator, our chance.
#[test]
fn triplets_whose_optimum_is_known_by_construction() {
    for seed in 1..=3 {
        let mut chance = Chance(seed);
        let mut sizes = Vec::new();
        for _ in 0..20 {
            let first = chance.between(380, 490);
            let second = chance.between(250, (1000 - first) / 2);
            sizes.extend([first, second, 1000 - first - second]);
        }
        let plan = checked(&job_of(1000.0, sizes));
        assert!((plan.bound.mm() - 20_000.0).abs() < 1e-3, "the bound is the optimum");
        assert!(plan.bars_of(0) <= 21, "{} bars", plan.bars_of(0));
    }
}

/// Falkenauer's uniform class: 120 and 250 items of 20 to 100 in bins of 150. The bound, rounded up, is
/// almost always the optimum, and here always reached.
#[test]
fn uniform_items_reach_their_bound() {
    for (seed, count) in [(1, 120), (2, 120), (3, 250)] {
        let mut chance = Chance(seed);
        let plan = checked(&job_of(150.0, (0..count).map(|_| chance.between(20, 100)).collect()));
        assert!(plan.gap() < 1e-9, "{} of {}", plan.counted, plan.bound);
    }
}

/// Scholl, Klein and Juergens, Computers and Operations Research 24, 1997, second set: about 3, 5 or 7
/// items to a bin of 1000, sizes within 20, 50 or 90 % of the mean.
#[test]
fn items_about_a_mean_reach_their_bound_or_need_one_bar_more() {
    for (seed, per_bin, spread) in [(1, 3.0, 0.5), (2, 5.0, 0.2), (3, 7.0, 0.9)] {
        let mut chance = Chance(seed);
        let mean = 1000.0 / per_bin;
        let (from, to) = ((mean * (1.0 - spread)) as u32, (mean * (1.0 + spread)) as u32);
        let plan = checked(&job_of(1000.0, (0..100).map(|_| chance.between(from.max(1), to)).collect()));
        assert!(plan.counted - plan.bound <= Mm::new(1000.001), "{} of {}", plan.counted, plan.bound);
    }
}
