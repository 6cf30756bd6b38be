//! Small pieces of sentences.

use elbowroom_shop::calendar::PlanClock;
use elbowroom_units::Minute;

/// A moment as people in the shop say it: `Thu 2026-12-10 14:00`.
pub(crate) fn moment(clock: &PlanClock, minute: Minute) -> String {
    clock.local(minute).format("%a %Y-%m-%d %H:%M").to_string()
}

/// `A`, `A and B`, `A, B and C`; of more than `most` the first ones and how many more.
pub(crate) fn listed<S: AsRef<str>>(items: &[S], most: usize) -> String {
    let names: Vec<&str> = items.iter().map(AsRef::as_ref).collect();
    match names.as_slice() {
        [] => "nothing".to_owned(),
        [one] => (*one).to_owned(),
        many if many.len() <= most => {
            let (last, before) = many.split_last().expect("there are at least two");
            format!("{} and {last}", before.join(", "))
        }
        many => format!("{} and {} more", many[..most].join(", "), many.len() - most),
    }
}

#[cfg(test)]
mod tests {
    use super::listed;

    #[test]
    fn lists_read_as_sentences() {
        assert_eq!(listed(&["A"], 3), "A");
        assert_eq!(listed(&["A", "B"], 3), "A and B");
        assert_eq!(listed(&["A", "B", "C"], 3), "A, B and C");
        assert_eq!(listed(&["A", "B", "C", "D", "E"], 3), "A, B, C and 2 more");
        assert_eq!(listed::<&str>(&[], 3), "nothing");
    }
}
