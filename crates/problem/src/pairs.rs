use elbowroom_units::Minutes;
use std::ops::Deref;
use std::sync::{Arc, OnceLock};

/// `(from, to, minutes)`.
type Pair = (String, String, Minutes);

/// Changeover minutes from one setup key to another, directed.
///
/// A shop's cells have thousands of pairs and its problem is cloned for every question asked of it,
/// so clones share the list. It is read as a slice.
#[derive(Clone, Debug, Default)]
pub struct Pairs(Arc<Table>);

#[derive(Debug, Default)]
struct Table {
    list: Vec<Pair>,
    /// Positions in the list by key from, key to and position; made when first asked for.
    sorted: OnceLock<Vec<usize>>,
}

impl Pairs {
    /// The minutes of a pair of keys; where it is listed more than once, the first counts.
    #[must_use]
    pub fn minutes(&self, from: &str, to: &str) -> Option<Minutes> {
        let list = &self.0.list;
        let keys = |at: &usize| (list[*at].0.as_str(), list[*at].1.as_str());
        let sorted = self.0.sorted.get_or_init(|| {
            let mut all: Vec<usize> = (0..list.len()).collect();
            all.sort_by_key(keys);
            all
        });
        let first = *sorted.get(sorted.partition_point(|at| keys(at) < (from, to)))?;
        (keys(&first) == (from, to)).then(|| list[first].2)
    }
}

impl From<Vec<Pair>> for Pairs {
    fn from(list: Vec<Pair>) -> Self {
        Self(Arc::new(Table { list, sorted: OnceLock::new() }))
    }
}

impl FromIterator<Pair> for Pairs {
    fn from_iter<I: IntoIterator<Item = Pair>>(pairs: I) -> Self {
        pairs.into_iter().collect::<Vec<Pair>>().into()
    }
}

impl Deref for Pairs {
    type Target = [Pair];
    fn deref(&self) -> &[Pair] {
        &self.0.list
    }
}

impl<'a> IntoIterator for &'a Pairs {
    type Item = &'a Pair;
    type IntoIter = std::slice::Iter<'a, Pair>;
    fn into_iter(self) -> Self::IntoIter {
        self.iter()
    }
}

impl PartialEq for Pairs {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.0, &other.0) || self.0.list == other.0.list
    }
}

impl Eq for Pairs {}

#[cfg(test)]
mod tests {
    use super::*;

    /// The contract's word: the first match counts, and only in its direction.
    #[test]
    fn the_first_of_equal_pairs_counts_and_in_its_direction_only() {
        let pair = |from: &str, to: &str, time| (from.to_owned(), to.to_owned(), Minutes::new(time));
        let pairs: Pairs = [pair("b", "a", 1), pair("a", "b", 20), pair("a", "b", 10), pair("a", "a", 7)]
            .into_iter()
            .collect();
        let check =
            |from, to, expected: Option<i64>| assert_eq!(pairs.minutes(from, to), expected.map(Minutes::new));
        check("a", "b", Some(20));
        check("b", "a", Some(1));
        check("a", "a", Some(7));
        check("a", "c", None);
        check("", "", None);
        check("c", "a", None);
        assert_eq!(Pairs::default().minutes("a", "b"), None);
    }
}
