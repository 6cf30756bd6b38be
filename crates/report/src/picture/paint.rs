//! Marks through any plotters backend; text is left to the file format.

use super::{Frame, Ink, Mark, Point, Text};
use plotters::backend::DrawingBackend;
use plotters::style::{RGBColor, ShapeStyle};

/// Why painting does not fail: nothing is written but memory.
pub(super) const IN_MEMORY: &str = "drawing into memory cannot fail";

/// Paints one mark, `units` of the backend to a pixel of the picture.
pub(super) fn paint<B: DrawingBackend>(
    backend: &mut B,
    mark: &Mark,
    units: f64,
    write_text: impl Fn(&mut B, &Text),
) {
    let path = |points: &[Point]| points.iter().map(|&point| place(point, units)).collect::<Vec<_>>();
    let done = match mark {
        Mark::Area { frame, ink } => {
            let Frame { left, top, right, bottom } = *frame;
            let (from, to) = (place((left, top), units), place((right, bottom), units));
            backend.draw_rect(from, to, &style(*ink, 1.0), true)
        }
        Mark::Line { points, ink, width } => backend.draw_path(path(points), &style(*ink, width * units)),
        Mark::Shape { points, ink } => backend.fill_polygon(path(points), &style(*ink, 1.0)),
        Mark::Text(text) => {
            write_text(backend, text);
            Ok(())
        }
    };
    done.expect(IN_MEMORY);
}

/// A point in units of a backend.
pub(super) fn place((x, y): Point, units: f64) -> (i32, i32) {
    ((x * units).round() as i32, (y * units).round() as i32)
}

/// An ink as it is on light paper.
pub(super) fn colour(ink: Ink) -> RGBColor {
    let [red, green, blue] = ink.light();
    RGBColor(red, green, blue)
}

fn style(ink: Ink, width: f64) -> ShapeStyle {
    let stroke_width = (width.round() as u32).max(1);
    ShapeStyle { color: colour(ink).into(), filled: true, stroke_width }
}
