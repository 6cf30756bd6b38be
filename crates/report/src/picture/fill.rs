//! Patterns that say without colour what a fill says with it.

use super::{Frame, Group, Ink, Mark, Point};
use elbowroom_bending::process::Process;
use elbowroom_shop::cell::WorkKind;

impl Ink {
    /// The ink of a kind of work.
    #[must_use]
    pub const fn of_work(work: WorkKind) -> Self {
        match work {
            WorkKind::Bend(Process::RotaryDraw) => Self::Draw,
            WorkKind::Bend(Process::TwinHeadCompression) => Self::Compression,
            WorkKind::Bend(Process::ThreeRoll) => Self::Roll,
            WorkKind::Bend(Process::FreeForm) => Self::FreeForm,
            _ => Self::Other,
        }
    }
}

/// Diagonal hatching of a rectangle, lines `step` pixels apart, as one unbroken line that goes from
/// stroke to stroke along the rectangle's sides (where its outline lies anyway).
#[must_use]
pub fn hatch(frame: Frame, step: f64, width: f64) -> Mark {
    let (w, h) = (frame.width(), frame.height());
    let mut points: Vec<Point> = Vec::new();
    let mut upwards = true;
    let mut offset = step;
    while offset < w + h {
        let low = if offset <= h { (0.0, offset) } else { (offset - h, h) };
        let high = if offset <= w { (offset, 0.0) } else { (w, offset - w) };
        let (from, to) = if upwards { (low, high) } else { (high, low) };
        let corner = if upwards { (0.0, h) } else { (w, 0.0) };
        // Round the corner, not across it.
        if let Some(&last) = points.last()
            && last.0 != from.0
            && last.1 != from.1
        {
            points.push(corner);
        }
        points.extend([from, to]);
        upwards = !upwards;
        offset += step;
    }
    let points = points.into_iter().map(|(x, y)| (frame.left + x, frame.top + y)).collect();
    Mark::Line { points, ink: Ink::Text, width }
}

/// The band along the lower side of a bar that tells its kind of work by pattern.
pub fn band(group: &mut Group, frame: Frame, work: WorkKind) {
    let ink = Ink::OnWork;
    match work {
        WorkKind::Bend(Process::RotaryDraw) => group.area(frame, ink),
        WorkKind::Bend(Process::TwinHeadCompression) => {
            group.line(wave(frame, &[(0.0, 1.0), (0.0, 0.0), (4.0, 0.0), (4.0, 1.0)], 8.0), ink, 1.0);
        }
        WorkKind::Bend(Process::ThreeRoll) => {
            let dash = Frame { top: frame.top + frame.height() * 0.35, ..frame };
            dashes(group, dash, 3.0, 7.0);
        }
        WorkKind::Bend(Process::FreeForm) => {
            group.line(wave(frame, &[(0.0, 1.0), (4.0, 0.0)], 8.0), ink, 1.0);
        }
        _ => {}
    }
}

/// A line that repeats `turns` (x in pixels, y as a share of the height) every `period` pixels.
fn wave(frame: Frame, turns: &[Point], period: f64) -> Vec<Point> {
    let mut points = Vec::new();
    let mut start = frame.left;
    while start < frame.right {
        let placed = turns.iter().map(|&(x, y)| (start + x, frame.top + y * frame.height()));
        points.extend(placed.take_while(|point| point.0 <= frame.right));
        start += period;
    }
    points
}

fn dashes(group: &mut Group, frame: Frame, length: f64, period: f64) {
    let mut left = frame.left + period - length;
    while left + length <= frame.right {
        group.area(Frame { left, right: left + length, ..frame }, Ink::OnWork);
        left += period;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hatching_stays_inside_and_runs_along_the_sides_between_strokes() {
        let frame = Frame::new(10.0, 20.0, 47.0, 32.0);
        let Mark::Line { points, .. } = hatch(frame, 5.0, 1.0) else { panic!("a line") };
        let inside = |(x, y): Point| (10.0..=47.0).contains(&x) && (20.0..=32.0).contains(&y);
        assert!(points.len() > 10 && points.iter().all(|&point| inside(point)));
        for pair in points.windows(2) {
            let (dx, dy) = (pair[1].0 - pair[0].0, pair[1].1 - pair[0].1);
            assert!(dx * dy <= 0.0, "a stroke rises to the right or follows a side: {pair:?}");
        }
    }
}
