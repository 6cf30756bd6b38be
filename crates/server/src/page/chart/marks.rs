//! Days and hours along the top of a chart: each name is drawn where all of it has room.

use super::drawing::LETTER;
use crate::page::axis::{Axis, Span};
use crate::views::day_start;
use chrono::{DateTime, Duration, Timelike, Utc};
use chrono_tz::Tz;
use elbowroom_shop::calendar::IsoWeek;

/// Between a line and the name that belongs to it, in pixels.
const GAP: f64 = 5.0;

/// A line across the rows, with what is written beside it.
#[derive(Debug)]
pub struct Mark {
    /// Where the line is.
    pub x: f64,
    /// Where the name begins.
    pub text_x: f64,
    /// The name; empty where there is no room for any.
    pub text: String,
}

/// A mark for each day of a week.
pub fn day_marks(zone: Tz, week: IsoWeek, axis: &Axis) -> Vec<Mark> {
    let days: Vec<_> = super::days(week).collect();
    let begins = |index: usize| days.get(index).map(|day| axis.x(day_start(zone, *day)));
    let mark = |(index, day): (usize, &chrono::NaiveDate)| {
        let x = begins(index)?;
        let room = begins(index + 1).unwrap_or(axis.end()) - x - GAP;
        let names = ["%a %-d %b", "%a %-d", "%a"].map(|form| day.format(form).to_string());
        Some(Mark { x, text_x: x + GAP, text: first_that_fits(names, room) })
    };
    days.iter().enumerate().filter_map(mark).collect()
}

/// A mark for every third hour of a day; hours in which nobody works are narrow and some have none.
pub fn hour_marks(zone: Tz, (from, to): Span, axis: &Axis) -> Vec<Mark> {
    let hours = (0..).map(|hour| from + Duration::hours(hour)).take_while(|at| *at < to);
    let mut marks: Vec<Mark> = Vec::new();
    let (begin, end) = (axis.x(from), axis.end());
    let usual = (end - begin) / (to - from).num_hours().max(1) as f64;
    let is_wide = |at: DateTime<Utc>| axis.x(at + Duration::hours(1)) - axis.x(at) >= usual / 2.0;
    for at in hours.filter(|at| at.with_timezone(&zone).hour() % 3 == 0 && is_wide(*at)) {
        let (x, text) = (axis.x(at), hour_name(at, zone));
        let wide = LETTER * text.chars().count() as f64;
        let free = marks.last().map_or(f64::MIN, |last| last.text_x + wide + GAP);
        if x - wide / 2.0 >= free.max(0.0) && x + wide / 2.0 <= end {
            marks.push(Mark { x, text_x: x - wide / 2.0, text });
        }
    }
    marks
}

fn hour_name(at: DateTime<Utc>, zone: Tz) -> String {
    at.with_timezone(&zone).format("%H").to_string()
}

/// The longest of some names that has room, longest first; nothing if none has.
fn first_that_fits<const N: usize>(names: [String; N], room: f64) -> String {
    names.into_iter().find(|name| LETTER * name.chars().count() as f64 <= room).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn week() -> IsoWeek {
        IsoWeek::new(2026, 50).unwrap()
    }

    /// Monday to Friday from six to ten in Vienna.
    fn axis(width: f64) -> Axis {
        let at = |day: i64, hour: i64| {
            let monday: DateTime<Utc> = "2026-12-06T23:00:00Z".parse().unwrap();
            monday + Duration::hours(24 * day + hour)
        };
        let open: Vec<Span> = (0..5).map(|day| (at(day, 6), at(day, 22))).collect();
        Axis::new((at(0, 0), at(7, 0)), &open, 6.0, width)
    }

    #[test]
    fn no_name_of_a_day_is_cut_or_covers_the_next() {
        for width in [300.0, 400.0, 600.0, 1066.0] {
            let marks = day_marks(chrono_tz::Europe::Vienna, week(), &axis(width));
            assert_eq!(marks.len(), 7);
            let ends = marks.iter().skip(1).map(|mark| mark.x).chain([width]);
            for (mark, end) in marks.iter().zip(ends) {
                let length = LETTER * mark.text.chars().count() as f64;
                assert!(mark.text.is_empty() || mark.text_x + length <= end, "{width}: {mark:?}, {end}");
            }
        }
        let wide = day_marks(chrono_tz::Europe::Vienna, week(), &axis(1066.0));
        assert_eq!(wide[1].text, "Tue 8 Dec");
    }

    #[test]
    fn hours_stand_where_they_have_room() {
        let day: Span = ("2026-12-06T23:00:00Z".parse().unwrap(), "2026-12-07T23:00:00Z".parse().unwrap());
        let open = [("2026-12-07T05:00:00Z".parse().unwrap(), "2026-12-07T21:00:00Z".parse().unwrap())];
        let axis = Axis::new(day, &open, 6.0, 228.0);
        let marks = hour_marks(chrono_tz::Europe::Vienna, day, &axis);
        let names: Vec<&str> = marks.iter().map(|mark| mark.text.as_str()).collect();
        assert!(["06", "09", "12", "15", "18", "21"].iter().all(|name| names.contains(name)), "{names:?}");
        assert!(marks.windows(2).all(|two| two[0].text_x + 2.0 * LETTER < two[1].text_x));
        assert!(marks.iter().all(|mark| mark.text_x >= 0.0 && mark.text_x + 2.0 * LETTER <= 228.0));
    }
}
