//! The page of a look back and its chart.

#![allow(clippy::unwrap_used, reason = "a test may panic")]

use chrono::{DateTime, TimeDelta, Utc};
use elbowroom_lookback::{Facts, OrderFacts, Review, WeekReview, by_week, review};
use elbowroom_report::charts::weeks::{picture, series};
use elbowroom_report::look_back::files;
use roxmltree::Document;

fn at(hour: i64) -> DateTime<Utc> {
    let monday: DateTime<Utc> = "2026-12-07T00:00:00Z".parse().unwrap();
    monday + TimeDelta::hours(hour)
}

/// Late orders of seven causes over three weeks, the first cause costing most.
fn looked_back() -> (Review, Vec<WeekReview>) {
    let order = |i: i64| OrderFacts {
        id: format!("O-<{i}>"),
        first_due: at(24 * i + 12),
        last_due: at(24 * i + 12),
        planned: at(24 * i + 12 + 8 - i % 7),
        planned_cause: Some(format!("cause & {}", i % 7)),
        finished: Some(at(24 * i + 12 + 8 - i % 7)),
    };
    let facts = Facts {
        period: (at(0), at(21 * 24)),
        zone: chrono_tz::UTC,
        now: at(21 * 24),
        orders: (0..21).map(order).collect(),
        planned: Vec::new(),
        actual: Vec::new(),
        cells: Vec::new(),
    };
    (review(&facts), by_week(&facts))
}

#[test]
fn the_causes_that_cost_most_have_a_row_and_the_rest_one_together() {
    let (whole, weeks) = looked_back();
    let all = series(&weeks, &whole);
    let names: Vec<&str> = all.iter().skip(4).map(|series| series.name.as_str()).collect();
    assert_eq!(names[0], "Late: cause & 0");
    assert_eq!((names.len(), names[5]), (6, "Late: all other causes"));
    // Each week has one order of each cause: 8, 7, 6, 5, 4 hours, and 3 + 2 for the others.
    let hours: Vec<f64> = all.iter().skip(4).map(|series| series.values[1].unwrap()).collect();
    assert_eq!(hours, [8.0, 7.0, 6.0, 5.0, 4.0, 5.0]);
    assert_eq!(all[0].words, ["0 %", "0 %", "0 %"]);
    assert_eq!(all[1].words, ["-", "-", "-"], "nothing was open: there is nothing to divide by");
}

#[test]
fn every_bar_has_its_figure_and_nothing_lies_outside() {
    let (whole, weeks) = looked_back();
    for width in [1, 600, 1000] {
        let picture = picture("Aspen & Ridge", &weeks, &whole, width).unwrap();
        let texts: Vec<&str> = picture.texts().map(|text| text.words.as_str()).collect();
        for words in ["8 h", "0 %", "2026-W51"] {
            assert!(width < 600 || texts.contains(&words), "{words} in {texts:?}");
        }
        for text in picture.texts() {
            let frame = text.frame();
            assert!(frame.left >= 0.0 && frame.right <= picture.width, "{} {width}", text.words);
            assert!(frame.top >= 0.0 && frame.bottom <= picture.height, "{} {width}", text.words);
        }
    }
    assert!(picture("x", &[], &whole, 1000).is_none());
}

#[test]
fn the_page_is_whole_and_needs_nothing_else() {
    let (whole, weeks) = looked_back();
    let files = files("Aspen <Ridge>", &whole, &weeks, chrono_tz::UTC);
    let names: Vec<&str> = files.iter().map(|file| file.name.as_str()).collect();
    assert_eq!(names, ["look-back.html", "look-back.svg"]);
    let page = String::from_utf8(files[0].bytes.clone()).unwrap();
    let xml = page.strip_prefix("<!DOCTYPE html>\n").unwrap();
    let parsed = Document::parse(xml).unwrap();
    let text: String = parsed.descendants().filter_map(|node| node.text()).collect();
    for words in ["Aspen <Ridge>", "O-<0>", "cause & 0", "Mon 2026-12-07 to Sun 2026-12-27"] {
        assert!(text.contains(words), "{words}");
    }
    assert_eq!(page.matches("http").count(), page.matches("http://www.w3.org/2000/svg").count());
    Document::parse(std::str::from_utf8(&files[1].bytes).unwrap()).unwrap();
}
