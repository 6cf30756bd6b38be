//! Pictures as PNG files.

use super::paint::{IN_MEMORY, paint};
use super::{Anchor, Ink, Picture, Text, lettering};
use ab_glyph::{Font, Glyph, ScaleFont, point};
use plotters::backend::{BitMapBackend, DrawingBackend};
use png::{BitDepth, ColorType, Compression, Encoder, FilterType};

/// The picture as a PNG file, `scale` times its natural size (2 is sharp on today's screens and on
/// paper).
#[must_use]
pub fn file(picture: &Picture, scale: u32) -> Vec<u8> {
    let (width, height) = size(picture, scale);
    let mut pixels = vec![0; 3 * width as usize * height as usize];
    draw(picture, scale, &mut pixels);
    encode(&pixels, width, height)
}

fn size(picture: &Picture, scale: u32) -> (u32, u32) {
    let pixels = |length: f64| (length * f64::from(scale)).ceil().max(1.0) as u32;
    (pixels(picture.width), pixels(picture.height))
}

fn draw(picture: &Picture, scale: u32, pixels: &mut [u8]) {
    fill(pixels, Ink::Paper.light());
    let units = f64::from(scale);
    let mut backend = BitMapBackend::with_buffer(pixels, size(picture, scale));
    for mark in picture.groups.iter().flat_map(|group| &group.marks) {
        paint(&mut backend, mark, units, |backend, text| write_text(backend, text, units));
    }
    backend.present().expect(IN_MEMORY);
}

fn fill(pixels: &mut [u8], colour: [u8; 3]) {
    pixels.chunks_exact_mut(3).for_each(|pixel| pixel.copy_from_slice(&colour));
}

fn encode(pixels: &[u8], width: u32, height: u32) -> Vec<u8> {
    let mut out = Vec::new();
    let mut encoder = Encoder::new(&mut out, width, height);
    encoder.set_color(ColorType::Rgb);
    encoder.set_depth(BitDepth::Eight);
    encoder.set_compression(Compression::Default);
    // Plain areas and lines: an unfiltered row repeats the one above it, which deflate finds.
    encoder.set_filter(FilterType::NoFilter);
    let mut writer = encoder.write_header().expect(IN_MEMORY);
    writer.write_image_data(pixels).expect(IN_MEMORY);
    writer.finish().expect(IN_MEMORY);
    out
}

/// Letters at fractions of a pixel; plotters' own would stand on whole pixels, with uneven gaps.
fn write_text(backend: &mut BitMapBackend, text: &Text, units: f64) {
    let (x, y) = (text.at.0 * units, text.at.1 * units);
    for glyph in glyphs(text, units) {
        let Some(outline) = lettering::font(text.weight).outline_glyph(glyph) else { continue };
        let corner = outline.px_bounds().min;
        outline.draw(|dx, dy, cover| {
            let along = f64::from(corner.x) + f64::from(dx);
            let below = f64::from(corner.y) + f64::from(dy);
            let (px, py) = if text.upwards { (x + below, y - along) } else { (x + along, y + below) };
            blend(backend, (px.floor() as i32, py.floor() as i32), text.ink, cover);
        });
    }
}

/// The letters of a text along its baseline, relative to its anchor.
fn glyphs(text: &Text, units: f64) -> Vec<Glyph> {
    let font = lettering::font(text.weight);
    let scale = lettering::scale(font, text.size * units);
    let scaled = font.as_scaled(scale);
    let length = lettering::width(&text.words, text.size, text.weight) * units;
    let mut pen = match text.anchor {
        Anchor::Start => 0.0,
        Anchor::Middle => -length / 2.0,
        Anchor::End => -length,
    } as f32;
    // Letters are centred on half the height of a capital, a little less than half a letter body.
    let baseline = (text.size * units * 0.35).round() as f32;
    let place = |c: char| {
        let id = scaled.glyph_id(c);
        let glyph = id.with_scale_and_position(scale, point(pen, baseline));
        pen += scaled.h_advance(id);
        glyph
    };
    text.words.chars().map(place).collect()
}

fn blend(backend: &mut BitMapBackend, at: (i32, i32), ink: Ink, cover: f32) {
    let [red, green, blue] = ink.light();
    let alpha = f64::from(cover.clamp(0.0, 1.0));
    let colour = plotters::style::RGBColor(red, green, blue);
    let rgba = plotters::style::Color::mix(&colour, alpha);
    backend.draw_pixel(at, plotters::style::Color::to_backend_color(&rgba)).expect(IN_MEMORY);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::picture::Group;

    fn ink_in(pixels: &[u8]) -> usize {
        pixels.chunks_exact(3).filter(|pixel| pixel[0] < 0x80).count()
    }

    fn drawn(text: Text) -> Vec<u8> {
        let mut group = Group::default();
        group.text(text);
        let (title, description) = (String::new(), String::new());
        let picture = Picture { width: 60.0, height: 60.0, title, description, groups: vec![group] };
        let mut pixels = vec![0; 3 * 120 * 120];
        draw(&picture, 2, &mut pixels);
        pixels
    }

    #[test]
    fn text_upwards_takes_the_same_ink_as_text_across() {
        let across = Text::new((30.0, 30.0), "J-1042", 12.0).anchor(Anchor::Middle);
        let (a, b) = (ink_in(&drawn(across.clone())), ink_in(&drawn(across.upwards())));
        assert!(a > 100 && a.abs_diff(b) * 20 < a, "{a} {b}");
    }

    #[test]
    fn a_file_has_the_size_asked_for() {
        let picture = Picture {
            width: 40.5,
            height: 20.0,
            title: String::new(),
            description: String::new(),
            groups: Vec::new(),
        };
        let bytes = file(&picture, 2);
        let reader = png::Decoder::new(&bytes[..]).read_info().unwrap();
        assert_eq!((reader.info().width, reader.info().height), (81, 40));
    }
}
