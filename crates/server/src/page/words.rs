//! Times, lengths of time and money as people read them.

use chrono::{DateTime, NaiveDate};

/// `Mon 7 Dec 06:00` from ISO 8601 text; what is none comes back as it was.
pub fn moment(text: &str) -> String {
    DateTime::parse_from_rfc3339(text)
        .map_or_else(|_| text.to_owned(), |at| at.format("%a %-d %b %H:%M").to_string())
}

/// `Mon 06:00` from ISO 8601 text.
pub fn short_moment(text: &str) -> String {
    DateTime::parse_from_rfc3339(text)
        .map_or_else(|_| text.to_owned(), |at| at.format("%a %H:%M").to_string())
}

/// `Fri 11 Dec` from an ISO date.
pub fn date(text: &str) -> String {
    text.parse::<NaiveDate>().map_or_else(|_| text.to_owned(), |date| date.format("%a %-d %b").to_string())
}

/// `Fri 11 Dec 2026` from an ISO date.
pub fn full_date(text: &str) -> String {
    text.parse::<NaiveDate>().map_or_else(|_| text.to_owned(), |date| date.format("%a %-d %b %Y").to_string())
}

/// `Mon 7 Dec 2026 06:00` from ISO 8601 text.
pub fn full_moment(text: &str) -> String {
    DateTime::parse_from_rfc3339(text)
        .map_or_else(|_| text.to_owned(), |at| at.format("%a %-d %b %Y %H:%M").to_string())
}

/// `3 d 4 h`, `2 h 10 min`, `25 min`.
pub fn length(minutes: i64) -> String {
    let minutes = minutes.unsigned_abs();
    let (days, hours, rest) = (minutes / 1440, minutes / 60 % 24, minutes % 60);
    match (days, hours, rest) {
        (0, 0, rest) => format!("{rest} min"),
        (0, hours, 0) => format!("{hours} h"),
        (0, hours, rest) => format!("{hours} h {rest} min"),
        (days, 0, _) => format!("{days} d"),
        (days, hours, _) => format!("{days} d {hours} h"),
    }
}

/// `28 114` with thin gaps and the currency.
pub fn money(amount: f64, currency: &str) -> String {
    let digits = format!("{:.0}", amount.abs());
    let grouped: String = digits
        .char_indices()
        .flat_map(|(i, digit)| {
            let gap = i > 0 && (digits.len() - i) % 3 == 0;
            gap.then_some('\u{202f}').into_iter().chain([digit])
        })
        .collect();
    let sign = if amount < 0.0 && digits != "0" { "\u{2212}" } else { "" };
    format!("{sign}{grouped} {currency}")
}

/// `93 of 100` from a share.
pub fn of_100(share: f64) -> String {
    format!("{:.0} of 100", 100.0 * share)
}

/// `1 lot`, `3 lots`.
pub fn counted(count: usize, noun: &str) -> String {
    if count == 1 { format!("1 {noun}") } else { format!("{count} {noun}s") }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_are_written_for_people() {
        assert_eq!(moment("2026-12-07T06:00:00+01:00"), "Mon 7 Dec 06:00");
        assert_eq!(short_moment("2026-12-07T06:00:00+01:00"), "Mon 06:00");
        assert_eq!(date("2026-12-11"), "Fri 11 Dec");
        assert_eq!(full_date("2026-12-11"), "Fri 11 Dec 2026");
        assert_eq!(full_moment("2026-12-07T06:00:00+01:00"), "Mon 7 Dec 2026 06:00");
        let lengths = [25, 120, 130, 1440, 4_560].map(length);
        assert_eq!(lengths, ["25 min", "2 h", "2 h 10 min", "1 d", "3 d 4 h"]);
    }

    #[test]
    fn money_is_grouped() {
        assert_eq!(money(28_114.4, "EUR"), "28\u{202f}114 EUR");
        assert_eq!(money(-1_250_000.0, "EUR"), "\u{2212}1\u{202f}250\u{202f}000 EUR");
        assert_eq!(money(999.0, "EUR"), "999 EUR");
    }
}
