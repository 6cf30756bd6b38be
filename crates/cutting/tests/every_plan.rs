//! Small jobs against every plan there is.

use elbowroom_cutting::{Blank, CuttingJob, Saw, Stock, cut};
use elbowroom_units::Mm;
use proptest::prelude::*;
use std::collections::BTreeMap;

/// The least weighted length for what is wanted, by trying every filling of every bar.
struct Every<'a> {
    job: &'a CuttingJob,
    known: BTreeMap<(Vec<u32>, Vec<Option<u32>>), f64>,
}

impl Every<'_> {
    fn least(&mut self, wanted: &[u32], there: &[Option<u32>]) -> f64 {
        if wanted.iter().all(|count| *count == 0) {
            return 0.0;
        }
        let key = (wanted.to_vec(), there.to_vec());
        if let Some(known) = self.known.get(&key) {
            return *known;
        }
        let mut best = f64::INFINITY;
        for stock in (0..there.len()).filter(|stock| there[*stock] != Some(0)) {
            let mut left_there = there.to_vec();
            left_there[stock] = left_there[stock].map(|count| count - 1);
            let bar = self.job.stocks[stock];
            for left in
                self.fillings(wanted, bar.length.mm() - self.job.saw.end_trim.mm() + self.job.saw.kerf.mm())
            {
                best = best.min(bar.length.mm() * bar.weight + self.least(&left, &left_there));
            }
        }
        self.known.insert(key, best);
        best
    }

    /// What is left wanted after each filling of a bar with at least one piece.
    fn fillings(&self, wanted: &[u32], room: f64) -> Vec<Vec<u32>> {
        let mut found = vec![(wanted.to_vec(), room)];
        for (at, blank) in self.job.blanks.iter().enumerate() {
            let size = blank.length.mm() + self.job.saw.kerf.mm();
            let more = |(left, room): &(Vec<u32>, f64)| {
                let (left, room) = (left.clone(), *room);
                (0..=left[at])
                    .filter(move |n| f64::from(*n) * size <= room + 1e-6)
                    .map(move |n| {
                        let mut left = left.clone();
                        left[at] -= n;
                        (left, room - f64::from(n) * size)
                    })
                    .collect::<Vec<_>>()
            };
            found = found.iter().flat_map(more).collect();
        }
        found.into_iter().map(|(left, _)| left).filter(|left| left != wanted).collect()
    }
}

proptest! {
    #[test]
    fn the_bound_is_below_every_plan_and_the_plan_within_a_bar_of_the_best(
        lengths in prop::collection::btree_map(150_u32..900, 1_u32..4, 1..4),
        second in prop::option::of(950_u32..1600),
        remnant in prop::option::of((200_u32..900, 1_u32..3)),
        kerf in 0_u32..6,
        trim in 0_u32..40,
    ) {
        let blanks = lengths.iter().map(|(l, count)| Blank { length: Mm::new(f64::from(*l)), count: *count });
        let mut stocks = vec![Stock::bought(Mm::new(1000.0))];
        stocks.extend(second.map(|length| Stock::bought(Mm::new(f64::from(length)))));
        stocks.extend(remnant.map(|(length, count)| Stock { length: Mm::new(f64::from(length)), available: Some(count), weight: 0.5 }));
        let saw = Saw { kerf: Mm::new(f64::from(kerf)), end_trim: Mm::new(f64::from(trim)), keep_from: Mm::new(100.0) };
        let job = CuttingJob { blanks: blanks.collect(), stocks, saw };
        let plan = cut(&job).unwrap();
        let wanted: Vec<u32> = job.blanks.iter().map(|blank| blank.count).collect();
        let there: Vec<Option<u32>> = job.stocks.iter().map(|stock| stock.available).collect();
        let best = Every { job: &job, known: BTreeMap::new() }.least(&wanted, &there);
        prop_assert!(plan.bound.mm() <= best + 1e-3, "bound {} above the best, {best}", plan.bound);
        prop_assert!(plan.counted.mm() >= best - 1e-3);
        prop_assert!(plan.counted.mm() <= best + 1000.0, "{} where {best} would do", plan.counted);
        prop_assert_eq!(&plan, &cut(&job).unwrap(), "the same again");
        for layout in &plan.layouts {
            let pieces: u32 = layout.pieces.iter().map(|(_, count)| count).sum();
            let length: f64 = layout.pieces.iter().map(|(at, count)| job.blanks[*at].length.mm() * f64::from(*count)).sum();
            let need = length + f64::from(trim) + f64::from(kerf) * f64::from(pieces - 1);
            prop_assert!(need <= job.stocks[layout.stock].length.mm() + 1e-6);
        }
        for (at, wanted) in wanted.iter().enumerate() {
            let of = |pieces: &[(usize, u32)]| -> u32 { pieces.iter().filter(|(blank, _)| *blank == at).map(|(_, n)| n).sum() };
            prop_assert_eq!(plan.layouts.iter().map(|layout| layout.bars * of(&layout.pieces)).sum::<u32>(), *wanted);
        }
        for (at, there) in there.iter().enumerate() {
            prop_assert!(there.is_none_or(|there| plan.bars_of(at) <= there));
        }
    }
}

#[test]
fn what_cannot_be_cut_is_refused_with_its_values() {
    let job = |length: f64, bar: f64| CuttingJob {
        blanks: vec![Blank { length: Mm::new(length), count: 1 }],
        stocks: vec![
            Stock::bought(Mm::new(bar)),
            Stock { length: Mm::new(9000.0), available: Some(1), weight: 0.5 },
        ],
        saw: Saw { kerf: Mm::new(3.0), end_trim: Mm::new(20.0), keep_from: Mm::new(100.0) },
    };
    let refused = |length, bar| cut(&job(length, bar)).unwrap_err().to_string();
    assert_eq!(
        refused(5990.0, 6000.0),
        "a blank of 5990 mm is longer than the 5980 mm that the longest bar gives"
    );
    assert_eq!(refused(0.0, 6000.0), "a blank of 0 makes no sense");
    assert_eq!(refused(100.0, 200_000.0), "a bar of 200000 makes no sense");
    assert_eq!(refused(5.0, 15.0), "a blank of 5 mm is longer than the 0 mm that the longest bar gives");
    assert!(cut(&job(5980.0, 6000.0)).is_ok(), "a bar's end needs no cut");
    assert_eq!(cut(&CuttingJob { blanks: Vec::new(), ..job(1.0, 6000.0) }).unwrap().layouts, Vec::new());
}
