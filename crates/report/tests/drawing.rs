//! The picture of a part: numbers, dimensions and rows are there, and nothing lies on anything.

#![allow(clippy::unwrap_used, reason = "a failure here is a failed test")]

use elbowroom_bending::geometry::centreline::Centreline;
use elbowroom_bending::geometry::coil::Coil;
use elbowroom_bending::shape::{Bend, Shape};
use elbowroom_bending::tube::Tube;
use elbowroom_planner::fit::PartFacts;
use elbowroom_report::drawing::part;
use elbowroom_report::part_svg;
use elbowroom_report::picture::{Frame, Mark, Picture};
use elbowroom_shop::part::StockTube;
use elbowroom_units::{Deg, Mm};

fn facts(name: &str, outer: f64, shape: Shape) -> PartFacts {
    let (low, high) = Centreline::of(&shape).surface_box(Mm::new(outer));
    let (low, high) = (low.coordinates(), high.coordinates());
    PartFacts {
        id: "P-1".to_owned(),
        name: name.to_owned(),
        tube: StockTube {
            id: "T".to_owned(),
            tube: Tube::new(Mm::new(outer), Mm::new(outer / 20.0)).unwrap(),
            material: "steel".to_owned(),
            stock_length: Mm::new(6000.0),
            other_lengths: Vec::new(),
            on_hand: None,
            price_per_metre: None,
            lead: None,
        },
        material: "mild steel".to_owned(),
        developed: shape.developed_length(),
        size: [0, 1, 2].map(|axis| high[axis] - low[axis]),
        mass_kg: 1.0,
        shape,
    }
}

/// Rows of straight before, rotation, radius, angle.
fn rows(rows: &[(f64, f64, f64, f64)], end: f64) -> Shape {
    let bend = |&(straight, rotation, clr, angle): &(f64, f64, f64, f64)| Bend {
        straight_before: Mm::new(straight),
        rotation: Deg::new(rotation),
        clr: Mm::new(clr),
        angle: Deg::new(angle),
    };
    Shape::from_rows(rows.iter().map(bend).collect(), Mm::new(end)).unwrap()
}

fn parts() -> Vec<PartFacts> {
    let coil = Coil::new(Mm::new(300.0), Mm::new(60.0), 5.0).unwrap();
    vec![
        facts("elbow", 50.8, rows(&[(190.0, 0.0, 76.2, 90.0)], 190.0)),
        facts("return bend", 25.4, rows(&[(700.0, 0.0, 38.1, 180.0)], 700.0)),
        facts(
            "stern rail",
            31.75,
            rows(&[(560.0, 0.0, 95.3, 90.0), (640.0, 90.0, 95.3, 80.0), (640.0, -90.0, 95.3, 90.0)], 560.0),
        ),
        facts(
            "wave",
            38.1,
            rows(
                &[(480.0, 0.0, 152.4, 180.0), (420.0, 180.0, 152.4, 180.0), (420.0, 180.0, 152.4, 180.0)],
                480.0,
            ),
        ),
        facts("a degree in ten metres", 25.4, rows(&[(5000.0, 0.0, 76.2, 1.0)], 5000.0)),
        facts(&"very long name ".repeat(30), 25.4, rows(&[(190.0, 0.0, 76.2, 90.0)], 190.0)),
        facts("coil", 25.4, coil.shape(Mm::new(200.0), Mm::new(200.0)).unwrap()),
    ]
}

fn shown(picture: &Picture, words: &str) -> usize {
    picture.texts().filter(|text| text.words == words).count()
}

/// The circles around numbers: closed lines of 24 corners, all equally far from a number.
fn circles(picture: &Picture) -> Vec<Frame> {
    let group = |group: &elbowroom_report::picture::Group| -> Vec<Frame> {
        let texts: Vec<_> = group
            .marks
            .iter()
            .filter_map(|mark| match mark {
                Mark::Text(text) if text.words.parse::<usize>().is_ok() && text.size == 11.0 => Some(text.at),
                _ => None,
            })
            .collect();
        texts.into_iter().map(|(x, y)| Frame::new(x - 9.0, y - 9.0, x + 9.0, y + 9.0)).collect()
    };
    picture.groups.iter().flat_map(group).collect()
}

#[test]
fn every_bend_of_an_ordinary_part_is_numbered_in_every_view() {
    for facts in parts().iter().filter(|facts| facts.name != "coil") {
        let picture = part(facts);
        let found = circles(&picture).len();
        assert_eq!(found, 3 * facts.shape.bends().len(), "{}", facts.name);
    }
}

#[test]
fn many_bends_get_round_numbers() {
    let all = parts();
    let picture = part(all.last().unwrap());
    let numbers: Vec<&str> =
        picture.texts().filter(|text| text.size == 11.0).map(|text| text.words.as_str()).collect();
    for wanted in ["1", "60", "30"] {
        assert!(numbers.contains(&wanted), "{wanted}");
    }
    assert!(!numbers.contains(&"31"));
    assert!(picture.texts().any(|text| text.words.contains("and 36 more bends")));
}

#[test]
fn circles_stand_clear_of_each_other() {
    for facts in parts() {
        let circles = circles(&part(&facts));
        for (at, circle) in circles.iter().enumerate() {
            assert!(!circles[at + 1..].iter().any(|other| circle.overlaps(other, 0.01)), "{}", facts.name);
        }
    }
}

#[test]
fn words_never_overlap() {
    for facts in parts() {
        let picture = part(&facts);
        let texts: Vec<_> = picture.texts().map(|text| (text.frame(), &text.words)).collect();
        for (at, (frame, words)) in texts.iter().enumerate() {
            for (other, other_words) in &texts[at + 1..] {
                assert!(!frame.overlaps(other, 0.5), "{}: `{words}` and `{other_words}`", facts.name);
            }
        }
    }
}

#[test]
fn everything_lies_inside() {
    for facts in parts() {
        let picture = part(&facts);
        let whole = Frame::new(0.0, 0.0, picture.width, picture.height);
        let inside =
            |(x, y): (f64, f64)| whole.left <= x && x <= whole.right && whole.top <= y && y <= whole.bottom;
        for mark in picture.groups.iter().flat_map(|group| &group.marks) {
            let corners = match mark {
                Mark::Area { frame, .. } => vec![(frame.left, frame.top), (frame.right, frame.bottom)],
                Mark::Line { points, .. } | Mark::Shape { points, .. } => points.clone(),
                Mark::Text(text) => {
                    let frame = text.frame();
                    vec![(frame.left, frame.top), (frame.right, frame.bottom)]
                }
            };
            assert!(corners.iter().all(|&corner| inside(corner)), "{}: {mark:?}", facts.name);
        }
    }
}

/// A quarter circle of 76.2 mm between legs of 190 mm, tube 50.8 mm: 190 + 76.2 + 25.4 both ways.
#[test]
fn dimensions_are_those_over_the_surface() {
    let picture = part(&parts()[0]);
    assert_eq!((shown(&picture, "291.6"), shown(&picture, "50.8")), (2, 1));
    // The rows: straight before, radius and angle.
    for words in ["190", "76.2", "90°"] {
        assert_eq!(shown(&picture, words), 1, "{words}");
    }
}

/// Both projections are drawn to one scale: 750.8 x 101.6 and 750.8 x 25.4.
#[test]
fn projections_share_a_scale() {
    let picture = part(&parts()[1]);
    let length = |words: &str| {
        let text = picture.texts().find(|text| text.words == words).unwrap();
        let beside = picture.groups.iter().flat_map(|group| &group.marks).find_map(|mark| match mark {
            // The line of dimension runs ten pixels beside its words.
            Mark::Line { points, .. }
                if points.len() == 2
                    && points[0].0 == points[1].0
                    && (points[0].0 - text.at.0 - 10.0).abs() < 1e-6
                    && (points[0].1 + points[1].1 - 2.0 * text.at.1).abs() < 1e-6 =>
            {
                Some((points[1].1 - points[0].1).abs())
            }
            _ => None,
        });
        beside.unwrap()
    };
    assert!((length("101.6") / length("25.4") - 4.0).abs() < 1e-6);
}

#[test]
fn what_users_typed_stays_text() {
    let mut facts = parts().remove(0);
    facts.name = "</text><script>&\u{1b}".to_owned();
    let svg = part_svg(&facts);
    let document = roxmltree::Document::parse(&svg).unwrap();
    assert!(document.descendants().all(|node| !node.has_tag_name("script")));
    assert!(
        document.descendants().any(|node| node.text().is_some_and(|text| text.contains("</text><script>&")))
    );
}
