//! Pictures as data: what is drawn where, before anything is painted.
//!
//! A chart is laid out once as a [`Picture`] in pixels at its natural size; [`svg`] and [`png`]
//! paint it through plotters. Layout can therefore be tested without looking at pixels, and both
//! files always show the same.

mod fill;
pub mod ink;
pub mod lettering;
mod paint;
pub mod png;
pub mod svg;

pub use fill::{band, hatch};
pub use ink::Ink;

use lettering::Weight;

/// A point in pixels from the top left corner, y downwards.
pub type Point = (f64, f64);

/// A picture of fixed size.
#[derive(Clone, Debug)]
pub struct Picture {
    /// Width in pixels.
    pub width: f64,
    /// Height in pixels.
    pub height: f64,
    /// What it shows, for readers who cannot see it.
    pub title: String,
    /// Its content in a sentence or two, for the same readers.
    pub description: String,
    /// What is drawn, back to front.
    pub groups: Vec<Group>,
}

/// Marks that belong together.
#[derive(Clone, Debug, Default)]
pub struct Group {
    /// Text shown when a pointer rests on it, where the file format can.
    pub hint: Option<String>,
    /// The marks, back to front.
    pub marks: Vec<Mark>,
}

/// Something drawn.
#[derive(Clone, Debug, PartialEq)]
pub enum Mark {
    /// A filled rectangle with horizontal and vertical sides.
    Area {
        /// Left and top, right and bottom.
        frame: Frame,
        /// Fill.
        ink: Ink,
    },
    /// A line through points.
    Line {
        /// Its points.
        points: Vec<Point>,
        /// Its ink.
        ink: Ink,
        /// Its width in pixels.
        width: f64,
    },
    /// A filled polygon.
    Shape {
        /// Its corners.
        points: Vec<Point>,
        /// Fill.
        ink: Ink,
    },
    /// One line of text.
    Text(Text),
}

/// One line of text, placed by its anchor at half the height of its letters.
#[derive(Clone, Debug, PartialEq)]
pub struct Text {
    /// Where the anchor lies.
    pub at: Point,
    /// The words.
    pub words: String,
    /// Size of the letter body in pixels.
    pub size: f64,
    /// Its weight.
    pub weight: Weight,
    /// Its ink.
    pub ink: Ink,
    /// Which point of it lies at `at`.
    pub anchor: Anchor,
    /// Whether it runs upwards.
    pub upwards: bool,
}

/// Which point of a text is placed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    /// Its beginning.
    Start,
    /// Its middle.
    Middle,
    /// Its end.
    End,
}

/// A rectangle with horizontal and vertical sides.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frame {
    /// Left side.
    pub left: f64,
    /// Upper side.
    pub top: f64,
    /// Right side, not less than the left.
    pub right: f64,
    /// Lower side, not less than the upper.
    pub bottom: f64,
}

impl Frame {
    /// A rectangle from its sides.
    #[must_use]
    pub const fn new(left: f64, top: f64, right: f64, bottom: f64) -> Self {
        Self { left, top, right, bottom }
    }

    /// Its width.
    #[must_use]
    pub fn width(&self) -> f64 {
        self.right - self.left
    }

    /// Its height.
    #[must_use]
    pub fn height(&self) -> f64 {
        self.bottom - self.top
    }

    /// Whether the two have more than `slack` pixels in common both ways.
    #[must_use]
    pub fn overlaps(&self, other: &Self, slack: f64) -> bool {
        self.left + slack < other.right
            && other.left + slack < self.right
            && self.top + slack < other.bottom
            && other.top + slack < self.bottom
    }

    /// Its outline, closed, drawn inside it by half of `width`.
    #[must_use]
    pub fn outline(&self, width: f64) -> Vec<Point> {
        let (dx, dy) = ((width / 2.0).min(self.width() / 2.0), (width / 2.0).min(self.height() / 2.0));
        let (l, t, r, b) = (self.left + dx, self.top + dy, self.right - dx, self.bottom - dy);
        vec![(l, t), (r, t), (r, b), (l, b), (l, t)]
    }
}

impl Text {
    /// A text in regular weight and ordinary ink that begins at `at`.
    #[must_use]
    pub fn new(at: Point, words: impl Into<String>, size: f64) -> Self {
        let weight = Weight::Regular;
        let words = crate::clean::plain(&words.into());
        Self { at, words, size, weight, ink: Ink::Text, anchor: Anchor::Start, upwards: false }
    }

    /// The same in bold.
    #[must_use]
    pub fn bold(self) -> Self {
        Self { weight: Weight::Bold, ..self }
    }

    /// The same in another ink.
    #[must_use]
    pub fn ink(self, ink: Ink) -> Self {
        Self { ink, ..self }
    }

    /// The same with another point of it at its place.
    #[must_use]
    pub fn anchor(self, anchor: Anchor) -> Self {
        Self { anchor, ..self }
    }

    /// The same, running upwards.
    #[must_use]
    pub fn upwards(self) -> Self {
        Self { upwards: true, ..self }
    }

    /// The room it takes.
    #[must_use]
    pub fn frame(&self) -> Frame {
        let length = lettering::width(&self.words, self.size, self.weight);
        let before = match self.anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => length / 2.0,
            Anchor::End => length,
        };
        let half = self.size * lettering::HALF_HEIGHT;
        let (x, y) = self.at;
        if self.upwards {
            Frame::new(x - half, y - (length - before), x + half, y + before)
        } else {
            Frame::new(x - before, y - half, x - before + length, y + half)
        }
    }
}

impl Group {
    /// A group without a hint.
    #[must_use]
    pub fn of(marks: Vec<Mark>) -> Self {
        Self { hint: None, marks }
    }

    /// Adds a filled rectangle.
    pub fn area(&mut self, frame: Frame, ink: Ink) {
        self.marks.push(Mark::Area { frame, ink });
    }

    /// Adds a line.
    pub fn line(&mut self, points: Vec<Point>, ink: Ink, width: f64) {
        self.marks.push(Mark::Line { points, ink, width });
    }

    /// Adds a filled polygon.
    pub fn shape(&mut self, points: Vec<Point>, ink: Ink) {
        self.marks.push(Mark::Shape { points, ink });
    }

    /// Adds a text.
    pub fn text(&mut self, text: Text) {
        self.marks.push(Mark::Text(text));
    }
}

impl Picture {
    /// Every text in it.
    pub fn texts(&self) -> impl Iterator<Item = &Text> {
        self.groups.iter().flat_map(|group| &group.marks).filter_map(|mark| match mark {
            Mark::Text(text) => Some(text),
            _ => None,
        })
    }
}
