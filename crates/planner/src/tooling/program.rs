//! Which tools to buy for all demand together: a small integer program.
//!
//! Minimise the prices of what is bought plus the cost of how each case is made, where a way can be
//! taken only if all tools that it lacks are bought. Only the purchases have to be whole: once they
//! are fixed, each case takes the cheapest way that is open to it.

use good_lp::{Expression, Solution, SolverModel, Variable, constraint, default_solver, variable, variables};

/// One way of making a case.
#[derive(Clone, Debug, PartialEq)]
pub struct Choice {
    /// What it costs, tools to buy not included.
    pub cost: f64,
    /// Indices of the tools that must be bought for it.
    pub tools: Vec<usize>,
}

/// What was decided.
#[derive(Clone, Debug, PartialEq)]
pub struct Decision {
    /// By tool: whether it is bought.
    pub buy: Vec<bool>,
    /// By case: index of the way taken.
    pub chosen: Vec<usize>,
    /// Prices and ways together.
    pub cost: f64,
}

/// The purchases and ways that cost least in all. `prices`: by tool; `cases`: the ways of each, at
/// least one. `None` if some case has no way, or the solver fails.
#[must_use]
pub fn decide(prices: &[f64], cases: &[Vec<Choice>]) -> Option<Decision> {
    if cases.iter().any(Vec::is_empty) {
        return None;
    }
    let buy = relaxed_ways(prices, cases)?;
    let chosen: Vec<usize> = cases.iter().map(|case| cheapest(case, &buy)).collect::<Option<_>>()?;
    // A tool that no way taken needs is not worth its price, whatever the solver's tolerances say.
    let needed = |tool: usize| cases.iter().zip(&chosen).any(|(case, at)| case[*at].tools.contains(&tool));
    let buy: Vec<bool> = buy.iter().enumerate().map(|(tool, bought)| *bought && needed(tool)).collect();
    let prices = prices.iter().zip(&buy).filter(|(_, bought)| **bought).map(|(price, _)| price);
    let ways = cases.iter().zip(&chosen).map(|(case, at)| case[*at].cost);
    Some(Decision { cost: prices.sum::<f64>() + ways.sum::<f64>(), buy, chosen })
}

fn cheapest(case: &[Choice], buy: &[bool]) -> Option<usize> {
    let open = |choice: &Choice| choice.tools.iter().all(|tool| buy[*tool]);
    let ways = case.iter().enumerate().filter(|(_, choice)| open(choice));
    ways.min_by(|(_, a), (_, b)| a.cost.total_cmp(&b.cost)).map(|(at, _)| at)
}

fn relaxed_ways(prices: &[f64], cases: &[Vec<Choice>]) -> Option<Vec<bool>> {
    let mut vars = variables!();
    let buy: Vec<Variable> = prices.iter().map(|_| vars.add(variable().binary())).collect();
    let share = |case: &Vec<Choice>, vars: &mut good_lp::ProblemVariables| -> Vec<Variable> {
        case.iter().map(|_| vars.add(variable().min(0).max(1))).collect()
    };
    let shares: Vec<Vec<Variable>> = cases.iter().map(|case| share(case, &mut vars)).collect();
    let mut cost: Expression = buy.iter().zip(prices).map(|(bought, price)| *price * *bought).sum();
    for (case, shares) in cases.iter().zip(&shares) {
        cost += case.iter().zip(shares).map(|(choice, share)| choice.cost * *share).sum::<Expression>();
    }
    // Without these the solver is content with a ten-thousandth more than the least cost.
    let mut model = vars
        .minimise(cost)
        .using(default_solver)
        .set_option("output_flag", false)
        .set_option("mip_rel_gap", 0.0)
        .set_option("mip_abs_gap", 0.0);
    for (case, shares) in cases.iter().zip(&shares) {
        model.add_constraint(constraint!(shares.iter().sum::<Expression>() == 1));
        for (choice, share) in case.iter().zip(shares) {
            for tool in &choice.tools {
                model.add_constraint(constraint!(*share <= buy[*tool]));
            }
        }
    }
    let solution = model.solve().ok()?;
    Some(buy.iter().map(|bought| solution.value(*bought) > 0.5).collect())
}
