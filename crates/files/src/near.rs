//! What somebody probably meant.

/// The candidate most like `word`, if one is like it enough to be worth naming: a slip or two of
/// the pen, other capitals or separators, or one being the beginning of the other.
pub(crate) fn nearest<'c>(word: &str, candidates: impl IntoIterator<Item = &'c str>) -> Option<&'c str> {
    nearest_few(word, candidates, 1).first().copied()
}

/// Up to `count` candidates that are equally near, and nearer than all others.
pub(crate) fn nearest_few<'c>(
    word: &str,
    candidates: impl IntoIterator<Item = &'c str>,
    count: usize,
) -> Vec<&'c str> {
    let wanted = letters(word);
    if wanted.is_empty() || wanted.len() > LONGEST {
        return Vec::new();
    }
    let allowed = wanted.len() / 3;
    let mut found: Vec<(usize, &str)> = candidates
        .into_iter()
        .filter_map(|candidate| Some((unlikeness(&wanted, &letters(candidate), allowed)?, candidate)))
        .collect();
    found.sort_unstable();
    let best = found.first().map(|(distance, _)| *distance);
    found.retain(|(distance, _)| Some(*distance) == best);
    found.into_iter().take(count).map(|(_, candidate)| candidate).collect()
}

/// ``did you mean `x`?`` where a candidate is near.
pub(crate) fn did_you_mean<'c>(word: &str, candidates: impl IntoIterator<Item = &'c str>) -> Option<String> {
    nearest(word, candidates).map(|candidate| format!("did you mean `{candidate}`?"))
}

/// Letters beyond which a word is no slip of the pen.
const LONGEST: usize = 64;

/// Letters and digits in lower case.
fn letters(word: &str) -> Vec<char> {
    word.chars().take(LONGEST + 1).filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}

fn unlikeness(a: &[char], b: &[char], allowed: usize) -> Option<usize> {
    let shorter = a.len().min(b.len());
    if shorter >= 3 && a[..shorter] == b[..shorter] && a.len() != b.len() {
        return Some(1);
    }
    if a.len().abs_diff(b.len()) > allowed {
        return None;
    }
    Some(slips(a, b)).filter(|&distance| distance <= allowed && distance < a.len().min(b.len()).max(1))
}

/// Letters added, left out, replaced or exchanged with a neighbour (restricted Damerau distance).
fn slips(a: &[char], b: &[char]) -> usize {
    // The rows before last, last and present of the table of distances of beginnings.
    let (mut before, mut last) = (vec![0; b.len() + 1], vec![0; b.len() + 1]);
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for i in 1..=a.len() {
        (before, last, row) = (last, row, before);
        row[0] = i;
        for k in 1..=b.len() {
            let replaced = last[k - 1] + usize::from(a[i - 1] != b[k - 1]);
            row[k] = replaced.min(last[k] + 1).min(row[k - 1] + 1);
            if i > 1 && k > 1 && a[i - 1] == b[k - 2] && a[i - 2] == b[k - 1] {
                row[k] = row[k].min(before[k - 2] + 1);
            }
        }
    }
    row[b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_likely_word_is_named_and_an_unlikely_one_is_not() {
        let keys = ["material", "stock_length", "od", "wall", "price_per_m"];
        let check = |word: &str, expected: Option<&str>| assert_eq!(nearest(word, keys), expected, "{word}");
        check("materal", Some("material"));
        check("StockLength", Some("stock_length"));
        check("price_per_metre", Some("price_per_m"));
        check("pirce_per_m", Some("price_per_m"));
        check("OD", Some("od"));
        check("colour", None);
        check("", None);
        check("__", None);
        check(&"x".repeat(500), None);
    }

    #[test]
    fn several_are_named_best_first() {
        let zones = ["Europe/Berlin", "Europe/Vienna", "Europe/Vilnius", "America/Havana"];
        assert_eq!(nearest_few("Europe/Viena", zones, 2), ["Europe/Vienna"]);
        assert_eq!(nearest_few("Vienna", zones, 3), [""; 0]);
    }
}
