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

/// The longest changeover to a key on a cell, whatever stood there before.
pub(crate) fn longest(cell: &Cell, to: &str) -> Minutes {
    let Some(changeover) = &cell.changeover else { return Minutes::ZERO };
    let pairs = changeover.pairs.iter().filter(|(_, key, _)| key == to).map(|(_, _, minutes)| *minutes);
    pairs.chain([changeover.default, changeover.same]).max().unwrap_or(Minutes::ZERO)
}
