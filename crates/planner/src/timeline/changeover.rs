use elbowroom_problem::Cell;
use elbowroom_units::Minutes;

/// Working minutes from one key to the next on a cell, for a single question.
pub(crate) fn minutes(cell: &Cell, from: Option<&str>, to: &str) -> Minutes {
    let Some(changeover) = &cell.changeover else { return Minutes::ZERO };
    match from {
        None => changeover.default,
        Some(from) if from == to => changeover.same,
        Some(from) => changeover.pairs.minutes(from, to).unwrap_or(changeover.default),
    }
}
