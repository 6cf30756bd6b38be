//! What somebody probably meant.

/// The candidate most like `word`, if one is like it enough to be worth naming: a slip or two of
/// the pen, other capitals or separators, or one being the beginning of the other.
pub(crate) fn nearest<'c>(word: &str, candidates: impl Iterator<Item = &'c str>) -> Option<&'c str> {
    let wanted = letters(word);
    if wanted.is_empty() || wanted.len() > 64 {
        return None;
    }
    let allowed = (wanted.len() / 3).max(1);
    candidates
        .filter_map(|candidate| Some((unlikeness(&wanted, &letters(candidate), allowed)?, candidate)))
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, candidate)| candidate)
}

/// Letters and digits in lower case.
fn letters(word: &str) -> Vec<char> {
    word.chars().take(65).filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}

/// How many slips lie between the two, if no more than `allowed`.
fn unlikeness(a: &[char], b: &[char], allowed: usize) -> Option<usize> {
    let shorter = a.len().min(b.len());
    if shorter >= 3 && a[..shorter] == b[..shorter] && a.len() != b.len() {
        return Some(1);
    }
    if a.len().abs_diff(b.len()) > allowed {
        return None;
    }
    Some(slips(a, b)).filter(|&distance| distance <= allowed && 2 * distance < a.len().max(b.len()))
}

/// Letters added, left out, replaced or exchanged with a neighbour (restricted Damerau distance).
fn slips(a: &[char], b: &[char]) -> usize {
    let mut last: Vec<usize> = Vec::new();
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for i in 1..=a.len() {
        let mut next = vec![i];
        for k in 1..=b.len() {
            let replaced = row[k - 1] + usize::from(a[i - 1] != b[k - 1]);
            let mut least = replaced.min(row[k] + 1).min(next[k - 1] + 1);
            if i > 1 && k > 1 && a[i - 1] == b[k - 2] && a[i - 2] == b[k - 1] {
                least = least.min(last[k - 2] + 1);
            }
            next.push(least);
        }
        last = std::mem::replace(&mut row, next);
    }
    row[b.len()]
}

#[cfg(test)]
mod tests {
    use super::nearest;

    #[test]
    fn a_likely_word_is_named_and_an_unlikely_one_is_not() {
        let keys = ["id", "release", "due", "late_cost_per_day", "routes"];
        let check = |word: &str, expected: Option<&str>| {
            assert_eq!(nearest(word, keys.into_iter()), expected, "{word}");
        };
        check("dueDate", Some("due"));
        check("relaese", Some("release"));
        check("lateCostPerDay", Some("late_cost_per_day"));
        check("route", Some("routes"));
        check("ID", Some("id"));
        check("colour", None);
        check("", None);
        check("xy", None);
    }
}
