//! The cutting plan in the words of its job.

use crate::bound::{raised, step};
use crate::dive;
use crate::greedy::Cut;
use crate::job::{CuttingFault, CuttingJob};
use crate::whole::{Pattern, Whole, length};
use elbowroom_units::Mm;

/// Bars that are cut alike.
#[derive(Clone, Debug, PartialEq)]
pub struct Layout {
    /// Position of the bar's length in the job's stocks.
    pub stock: usize,
    /// So many bars.
    pub bars: u32,
    /// Positions of blanks in the job and pieces of each on one bar, the longest first.
    pub pieces: Vec<(usize, u32)>,
    /// What is left of each bar behind the last cut.
    pub rest: Mm,
    /// Whether that is long enough to be kept.
    pub kept: bool,
}

/// Which blanks come out of which bars. It makes exactly the blanks wanted.
#[derive(Clone, Debug, PartialEq)]
pub struct CuttingPlan {
    /// Bars, the commonest layout first.
    pub layouts: Vec<Layout>,
    /// Length of all bars, each counted by its stock's weight: what was made as small as possible.
    pub counted: Mm,
    /// No plan for this job has a smaller `counted`: a proof by the linear relaxation, raised to the
    /// next whole number of bars where there is only one kind of bar.
    pub bound: Mm,
}

impl CuttingPlan {
    /// Bars of one stock.
    #[must_use]
    pub fn bars_of(&self, stock: usize) -> u32 {
        self.layouts.iter().filter(|layout| layout.stock == stock).map(|layout| layout.bars).sum()
    }

    /// How much the plan is above its bound, as a share of it; 0 is proved to be the best.
    #[must_use]
    pub fn gap(&self) -> f64 {
        if self.bound > Mm::ZERO { (self.counted / self.bound - 1.0).max(0.0) } else { 0.0 }
    }
}

/// Cuts a job with as little tube as possible.
///
/// The same job gives the same plan.
///
/// ```
/// use elbowroom_cutting::{Blank, CuttingJob, Saw, Stock, cut};
/// use elbowroom_units::Mm;
/// let job = CuttingJob {
///     blanks: vec![Blank { length: Mm::new(1460.0), count: 8 }],
///     stocks: vec![Stock::bought(Mm::new(6000.0))],
///     saw: Saw { kerf: Mm::new(3.0), end_trim: Mm::new(20.0), keep_from: Mm::new(500.0) },
/// };
/// // Four pieces and three cuts need 5849 of 5980 mm.
/// assert_eq!(cut(&job).unwrap().bars_of(0), 2);
/// ```
///
/// # Errors
/// If a length makes no sense, or a blank is longer than every bar that can be bought.
pub fn cut(job: &CuttingJob) -> Result<CuttingPlan, CuttingFault> {
    let (whole, items) = Whole::of(job)?;
    if whole.is_done() {
        return Ok(CuttingPlan { layouts: Vec::new(), counted: Mm::ZERO, bound: Mm::ZERO });
    }
    let rounded = dive::solve(&whole);
    let cuts = cheapest_bars(&whole, exactly(&whole, rounded.cuts));
    let counted = crate::greedy::cost(&whole, &cuts) / 10.0;
    let bound = raised(rounded.bound, step(&whole)) / 10.0;
    let layouts = layouts(job, &whole, &items, cuts);
    Ok(CuttingPlan { layouts, counted: Mm::new(counted), bound: Mm::new(bound.min(counted)) })
}

/// The same bars without pieces beyond what is wanted: they stay in the rest.
fn exactly(whole: &Whole, cuts: Vec<Cut>) -> Vec<Cut> {
    let mut left = whole.clone();
    let mut exact = Vec::new();
    for (pattern, mut times) in cuts {
        let alike = pattern.pieces.iter().map(|(item, count)| left.demand[*item] / count).min().unwrap_or(0);
        let alike = alike.min(times);
        if alike > 0 {
            left.take(&pattern, alike);
            exact.push((pattern.clone(), alike));
            times -= alike;
        }
        for _ in 0..times {
            let wanted = |(item, count): &(usize, u32)| (*item, left.demand[*item].min(*count));
            let pieces = pattern.pieces.iter().map(wanted).filter(|(_, count)| *count > 0).collect();
            let pattern = Pattern { bar: pattern.bar, pieces };
            left.take(&pattern, 1);
            if !pattern.pieces.is_empty() {
                exact.push((pattern, 1));
            }
        }
    }
    exact
}

/// Each layout on the cheapest bar that holds it and is bought.
fn cheapest_bars(whole: &Whole, cuts: Vec<Cut>) -> Vec<Cut> {
    let better = |(mut pattern, times): Cut| {
        let size = pattern.size(whole);
        let holds = whole.bought().filter(|bar| whole.bars[*bar].room >= size);
        let cheapest = holds.min_by(|a, b| whole.bars[*a].cost.total_cmp(&whole.bars[*b].cost));
        let cost = whole.bars[pattern.bar].cost;
        if let Some(bar) = cheapest.filter(|bar| whole.bars[*bar].cost < cost) {
            pattern.bar = bar;
        }
        (pattern, times)
    };
    let mut cuts: Vec<Cut> = cuts.into_iter().map(better).collect();
    cuts.sort();
    cuts.dedup_by(|later, first| {
        let same = later.0 == first.0;
        first.1 += if same { later.1 } else { 0 };
        same
    });
    cuts
}

fn layouts(job: &CuttingJob, whole: &Whole, items: &[usize], cuts: Vec<Cut>) -> Vec<Layout> {
    let mut wanted: Vec<u32> = job.blanks.iter().map(|blank| blank.count).collect();
    let mut layouts = Vec::new();
    for (pattern, times) in cuts {
        let mut times = times;
        while times > 0 {
            let (pieces, alike) = named(&pattern, times, items, &mut wanted);
            layouts.push(layout(job, whole, pattern.bar, alike, pieces, pattern.size(whole)));
            times -= alike;
        }
    }
    layouts.sort_by_key(|layout| std::cmp::Reverse(layout.bars));
    layouts
}

/// Which blanks the pieces of some bars are, where several blanks have one length; and how many
/// bars can have just these.
fn named(pattern: &Pattern, times: u32, items: &[usize], wanted: &mut [u32]) -> (Vec<(usize, u32)>, u32) {
    let mut pieces = Vec::new();
    for (item, count) in &pattern.pieces {
        let mut count = *count;
        for blank in (0..items.len()).filter(|blank| items[*blank] == *item) {
            let here = count.min(wanted[blank]);
            if here > 0 {
                pieces.push((blank, here));
                count -= here;
            }
        }
    }
    let alike =
        pieces.iter().map(|(blank, count)| wanted[*blank] / count).min().unwrap_or(1).min(times).max(1);
    pieces.iter().for_each(|(blank, count)| wanted[*blank] -= count * alike);
    (pieces, alike)
}

/// `size`: what the pieces and their cuts add up to.
fn layout(
    job: &CuttingJob,
    whole: &Whole,
    stock: usize,
    bars: u32,
    pieces: Vec<(usize, u32)>,
    size: u32,
) -> Layout {
    // The room of a bar reaches a cut beyond its end, which the last piece does not need.
    let left = length(whole.bars[stock].room) - length(size) - job.saw.kerf;
    let rest = left.max(Mm::ZERO);
    Layout { stock, bars, pieces, rest, kept: rest > Mm::ZERO && rest >= job.saw.keep_from }
}
