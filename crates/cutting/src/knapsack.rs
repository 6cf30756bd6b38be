//! The exact bounded knapsack: the most valuable pieces that one bar can hold.
//!
//! Values are integers, so that the answer is exact and a bound that rests on it is a proof. A
//! depth-first search by value per length answers almost always after a few hundred steps; where
//! it does not, a table over the bar's whole length does, in a time that is known beforehand.

mod search;
mod table;

/// An item that can be put on the bar.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Item {
    /// What one piece takes; more than 0.
    pub size: u32,
    /// What one piece is worth; more than 0.
    pub value: i64,
    /// Most pieces.
    pub most: u32,
}

/// The most valuable filling: pieces of each item, and what they are worth together.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Filling {
    pub counts: Vec<u32>,
    pub value: i64,
}

/// Steps after which the search gives way to the table.
const STEPS: u64 = 200_000;
/// Steps of a search that need not be exact.
const FEW_STEPS: u64 = 10_000;

/// The most valuable pieces that fit into `room`.
pub(crate) fn fill(items: &[Item], room: u32) -> Filling {
    search::fill(items, room, STEPS).unwrap_or_else(|_| table::fill(items, room))
}

/// A valuable filling, not always the best: what a short search finds.
pub(crate) fn fill_well(items: &[Item], room: u32) -> Filling {
    search::fill(items, room, FEW_STEPS).unwrap_or_else(|found| found)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn item(size: u32, value: i64, most: u32) -> Item {
        Item { size, value, most }
    }

    /// Every filling there is, tried out.
    fn best_value(items: &[Item], room: u32) -> i64 {
        let Some((first, rest)) = items.split_first() else { return 0 };
        let most = first.most.min(room / first.size);
        (0..=most)
            .map(|n| i64::from(n) * first.value + best_value(rest, room - n * first.size))
            .max()
            .unwrap_or(0)
    }

    #[test]
    fn a_filling_worked_by_hand() {
        // Room 10: by value per length 6 (7/6) goes first, and leaves 4 of which 3 give 3: 10.
        // Two of 5 give 11 and nothing is left.
        let items = [item(6, 7, 1), item(5, 5, 2), item(3, 3, 3)];
        assert_eq!(fill(&items, 10).value, 10);
        let items = [item(6, 7, 1), item(5, 6, 2), item(3, 3, 3)];
        assert_eq!(fill(&items, 10), Filling { counts: vec![0, 2, 0], value: 12 });
        assert_eq!(fill(&items, 2).value, 0);
        assert_eq!(fill(&[], 5).value, 0);
    }

    proptest! {
        #[test]
        fn search_and_table_find_the_best_of_all_fillings(
            raw in prop::collection::vec((1_u32..30, 1_i64..40, 1_u32..4), 0..6),
            room in 0_u32..80,
            step in 1_u32..4,
        ) {
            let items: Vec<Item> = raw.iter().map(|(s, v, m)| item(s * step, *v, *m)).collect();
            let best = best_value(&items, room);
            for found in [search::fill(&items, room, u64::MAX).unwrap(), table::fill(&items, room)] {
                prop_assert_eq!(found.value, best);
                let sum = |f: &dyn Fn(&Item) -> i64| -> i64 {
                    items.iter().zip(&found.counts).map(|(item, n)| f(item) * i64::from(*n)).sum()
                };
                prop_assert_eq!(sum(&|item| item.value), best);
                prop_assert!(sum(&|item| i64::from(item.size)) <= i64::from(room));
                prop_assert!(items.iter().zip(&found.counts).all(|(item, n)| *n <= item.most));
            }
        }
    }
}
