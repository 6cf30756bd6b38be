//! A small integer program over known patterns, for what rounding has left.

use crate::greedy::Cut;
use crate::whole::{Pattern, Whole};
use good_lp::{Expression, Solution, SolverModel, Variable, constraint, variable, variables};

/// Nodes of the search tree: a count and not a time, so that the answer never depends on the clock.
const NODES: i32 = 400;

/// The cheapest whole numbers of these patterns that make what is wanted, as far as the search goes;
/// `None` if it finds none.
pub(crate) fn choose(whole: &Whole, patterns: &[Pattern]) -> Option<Vec<Cut>> {
    let mut vars = variables!();
    let times: Vec<Variable> = vars.add_vector(variable().integer().min(0.0), patterns.len());
    let costs = patterns.iter().zip(&times);
    let cost: Expression = costs.map(|(pattern, times)| whole.bars[pattern.bar].cost * *times).sum();
    let mut model = vars
        .minimise(cost)
        .using(good_lp::highs)
        .set_threads(1)
        .set_option("random_seed", 1)
        .set_option("mip_max_nodes", NODES)
        .set_option("mip_max_stall_nodes", NODES / 2);
    for (row, wanted) in rows(whole, patterns, &times).into_iter().zip(&whole.demand) {
        if *wanted > 0 {
            model.add_constraint(constraint!(row >= f64::from(*wanted)));
        }
    }
    for (bar, available) in whole.bars.iter().enumerate().filter_map(|(at, bar)| Some((at, bar.available?))) {
        let used = patterns.iter().zip(&times).filter(|(pattern, _)| pattern.bar == bar);
        let used: Expression = used.map(|(_, times)| *times).sum();
        model.add_constraint(constraint!(used <= f64::from(available)));
    }
    let solution = model.solve().ok()?;
    let counted = patterns
        .iter()
        .zip(&times)
        .map(|(pattern, times)| (pattern.clone(), solution.value(*times).round().max(0.0) as u32));
    let cuts: Vec<Cut> = counted.filter(|(_, times)| *times > 0).collect();
    makes_all(whole, &cuts).then_some(cuts)
}

/// For each item, how many are made.
fn rows(whole: &Whole, patterns: &[Pattern], times: &[Variable]) -> Vec<Expression> {
    let mut rows = vec![Expression::from(0.0); whole.demand.len()];
    for (pattern, times) in patterns.iter().zip(times) {
        for (item, count) in &pattern.pieces {
            rows[*item] += f64::from(*count) * *times;
        }
    }
    rows
}

/// Whether the rounded answer makes all that is wanted out of bars that are there.
fn makes_all(whole: &Whole, cuts: &[Cut]) -> bool {
    let mut made = vec![0_u32; whole.demand.len()];
    let mut used = vec![0_u32; whole.bars.len()];
    for (pattern, times) in cuts {
        used[pattern.bar] += times;
        pattern.pieces.iter().for_each(|(item, count)| made[*item] += count * times);
    }
    let enough = |(used, available): (&u32, Option<u32>)| available.is_none_or(|there| *used <= there);
    made.iter().zip(&whole.demand).all(|(made, wanted)| made >= wanted)
        && used.iter().zip(whole.bars.iter().map(|bar| bar.available)).all(enough)
}
