//! Adding working time and working days.

use super::spans::Span;
use chrono::NaiveDate;
use elbowroom_units::{Minute, Minutes};

/// Days looked ahead for a working day before giving up: ten years.
const LONGEST_CLOSURE_DAYS: usize = 3660;

/// The earliest moment at which `work` minutes of `windows` have passed since `from`; `None`
/// where the windows end before. No work is done at once, at `from`.
#[must_use]
pub fn add_working_time(windows: &[Span], from: Minute, work: Minutes) -> Option<Minute> {
    if work <= Minutes::ZERO {
        return Some(from);
    }
    let mut left = work;
    for &(open, close) in &windows[windows.partition_point(|window| window.1 <= from)..] {
        let begin = open.max(from);
        let here = begin.until(close);
        if left <= here {
            return Some(begin + left);
        }
        left = left - here;
    }
    None
}

/// Working minutes of `windows` in `[from, to)`.
#[must_use]
pub fn working_minutes(windows: &[Span], from: Minute, to: Minute) -> Minutes {
    windows[windows.partition_point(|window| window.1 <= from)..]
        .iter()
        .take_while(|window| window.0 < to)
        .map(|&(open, close)| open.max(from).until(close.min(to)))
        .sum()
}

/// The date `days` working days after `from`, which itself does not count; `None` where no
/// working day comes for ten years.
#[must_use]
pub fn add_working_days(
    from: NaiveDate,
    days: u32,
    is_working_day: impl Fn(NaiveDate) -> bool,
) -> Option<NaiveDate> {
    let mut date = from;
    for _ in 0..days {
        date = date.iter_days().skip(1).take(LONGEST_CLOSURE_DAYS).find(|day| is_working_day(*day))?;
    }
    Some(date)
}
