//! Catches a panic of a library without a word on the person's screen.

use std::cell::Cell;
use std::panic::{AssertUnwindSafe, catch_unwind, set_hook, take_hook};
use std::sync::Once;

thread_local! {
    static QUIET: Cell<bool> = const { Cell::new(false) };
}

/// Puts itself before the hook that prints what a panic was about.
static HOOK: Once = Once::new();

/// What `work` returns; `None` if it panics, of which nothing is printed. Panics of other threads, and
/// of this one before and after, are reported as ever.
pub(super) fn quietly<T>(work: impl FnOnce() -> T) -> Option<T> {
    HOOK.call_once(|| {
        let report = take_hook();
        set_hook(Box::new(move |panic| {
            if !QUIET.get() {
                report(panic);
            }
        }));
    });
    let before = QUIET.replace(true);
    // What a panic leaves half done is dropped with the work itself.
    let outcome = catch_unwind(AssertUnwindSafe(work));
    QUIET.set(before);
    outcome.ok()
}

#[cfg(test)]
mod tests {
    use super::quietly;

    #[test]
    fn a_panic_is_none_and_what_is_within_it_counts() {
        assert_eq!(quietly(|| 7), Some(7));
        let spoiled: Option<()> = quietly(|| panic!("never shown"));
        assert_eq!(spoiled, None);
        assert_eq!(quietly(|| (quietly(|| -> () { panic!("inner") }), 2)), Some((None, 2)));
    }
}
