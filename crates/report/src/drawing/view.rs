//! From places in space to places on paper.

use crate::picture::{Frame, Point};
use elbowroom_bending::geometry::centreline::Centreline;
use elbowroom_bending::geometry::{Point as Place, Vector};
use elbowroom_units::Mm;

/// From where a part is looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum View {
    /// Along (-1, 1, -1): X goes right and down, Y right and up, Z up.
    Isometric,
    /// Against Z: X goes right, Y up.
    Above,
    /// Along Y: X goes right, Z up.
    Side,
}

/// Cosine and sine of 30 degrees, the slope of the isometric axes.
const COS_30: f64 = 0.866_025_403_784_438_6;
const SIN_30: f64 = 0.5;

impl View {
    pub fn name(self) -> &'static str {
        match self {
            Self::Isometric => "Isometric",
            Self::Above => "From above (X, Y)",
            Self::Side => "From the side (X, Z)",
        }
    }

    /// A vector on paper, y upwards, in its own unit.
    pub fn flat(self, v: Vector) -> (f64, f64) {
        match self {
            Self::Isometric => ((v.x + v.y) * COS_30, (v.y - v.x) * SIN_30 + v.z),
            Self::Above => (v.x, v.y),
            Self::Side => (v.x, v.z),
        }
    }

    /// How far a round section of radius 1 across a direction reaches on paper, to the right and up.
    fn reach(self, along: Vector) -> (f64, f64) {
        let axes = self.axes().map(|(_, (right, down))| (right, -down));
        let lean = self.flat(along);
        let square = |of: fn(&(f64, f64)) -> f64, lean: f64| {
            let whole: f64 = axes.iter().map(|axis| of(axis) * of(axis)).sum();
            (whole - lean * lean).max(0.0).sqrt()
        };
        (square(|axis| axis.0, lean.0), square(|axis| axis.1, lean.1))
    }

    /// How near a place is to whoever looks; larger is nearer.
    pub fn nearness(self, at: Vector) -> f64 {
        match self {
            Self::Isometric => at.x - at.y + at.z,
            Self::Above => at.z,
            Self::Side => -at.y,
        }
    }

    /// The axes with their directions on paper, y downwards.
    pub fn axes(self) -> [(&'static str, Point); 3] {
        let unit = [
            ("X", Vector { x: 1.0, y: 0.0, z: 0.0 }),
            ("Y", Vector { x: 0.0, y: 1.0, z: 0.0 }),
            ("Z", Vector { x: 0.0, y: 0.0, z: 1.0 }),
        ];
        unit.map(|(name, axis)| {
            let (right, up) = self.flat(axis);
            (name, (right, -up))
        })
    }
}

/// A view of a part laid into a frame of the picture.
#[derive(Clone, Copy, Debug)]
pub(super) struct Sheet {
    pub view: View,
    /// Pixels of a millimetre.
    pub scale: f64,
    /// What the part covers, in pixels.
    pub frame: Frame,
    /// Where the origin lies, in pixels.
    origin: Point,
}

impl Sheet {
    /// As large as the frame allows.
    pub fn fitting(view: View, line: &Centreline, outer: Mm, frame: Frame) -> Self {
        let (low, high) = extent(view, line, outer);
        let scale = (frame.width() / (high.0 - low.0)).min(frame.height() / (high.1 - low.1));
        Self::scaled(view, line, outer, frame, scale)
    }

    /// At a scale, in the middle of the frame.
    pub fn scaled(view: View, line: &Centreline, outer: Mm, frame: Frame, scale: f64) -> Self {
        let (low, high) = extent(view, line, outer);
        let middle = ((frame.left + frame.right) / 2.0, (frame.top + frame.bottom) / 2.0);
        let half = ((high.0 - low.0) * scale / 2.0, (high.1 - low.1) * scale / 2.0);
        let covered = Frame::new(middle.0 - half.0, middle.1 - half.1, middle.0 + half.0, middle.1 + half.1);
        let origin = (covered.left - low.0 * scale, covered.bottom + low.1 * scale);
        Self { view, scale, frame: covered, origin }
    }

    /// A place on paper.
    pub fn at(&self, place: Place) -> Point {
        let (right, up) = self.step(place - Place::default());
        (self.origin.0 + right, self.origin.1 + up)
    }

    /// A vector on paper, in pixels, y downwards.
    pub fn step(&self, vector: Vector) -> Point {
        let (right, up) = self.view.flat(vector);
        (right * self.scale, -up * self.scale)
    }

    /// How near a place is to whoever looks.
    pub fn nearness(&self, place: Place) -> f64 {
        self.view.nearness(place - Place::default())
    }
}

/// Lowest and highest corner that the tube covers on paper, in mm, y upwards.
fn extent(view: View, line: &Centreline, outer: Mm) -> (Point, Point) {
    let half = outer.mm() / 2.0;
    let (mut low, mut high) = ((f64::INFINITY, f64::INFINITY), (f64::NEG_INFINITY, f64::NEG_INFINITY));
    let samples = line.stretches().iter().flat_map(|stretch| {
        let steps = if stretch.curve.is_some() { SAMPLES } else { 1 };
        (0..=steps).map(move |i| (stretch, f64::from(i) / f64::from(steps)))
    });
    for (stretch, share) in samples {
        let (x, y) = view.flat(stretch.at(share) - Place::default());
        let (across, up) = view.reach(stretch.direction_at(share));
        low = (low.0.min(x - half * across), low.1.min(y - half * up));
        high = (high.0.max(x + half * across), high.1.max(y + half * up));
    }
    (low, high)
}

/// Places of an arc that are looked at: its middle and quarters are among them.
const SAMPLES: u32 = 64;
