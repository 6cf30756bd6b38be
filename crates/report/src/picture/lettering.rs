//! The letters of pictures: DejaVu Sans Condensed, built in, so that pictures look the same on
//! every machine and a text can be measured before it is placed. Its licence lies beside this crate
//! (`DEJAVU-LICENSE.txt`).

use ab_glyph::{Font, FontRef, PxScale, ScaleFont};
use std::sync::LazyLock;

/// Half the height of a line of text, as a share of its size.
pub const HALF_HEIGHT: f64 = 0.58;

/// Font families for files that name a font rather than contain it; none is wider.
pub const FAMILIES: &str = "DejaVu Sans Condensed, Arial, Helvetica, Liberation Sans, sans-serif";

/// Weight of letters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Weight {
    /// Regular.
    Regular,
    /// Bold.
    Bold,
}

static REGULAR: LazyLock<FontRef<'static>> = LazyLock::new(|| built_in(dejavu::sans_condensed::regular()));
static BOLD: LazyLock<FontRef<'static>> = LazyLock::new(|| built_in(dejavu::sans_condensed::bold()));

fn built_in(bytes: &'static [u8]) -> FontRef<'static> {
    FontRef::try_from_slice(bytes).expect("the font is part of the program and well formed")
}

/// The font of a weight.
pub(super) fn font(weight: Weight) -> &'static FontRef<'static> {
    match weight {
        Weight::Regular => &REGULAR,
        Weight::Bold => &BOLD,
    }
}

/// The scale at which the letter body measures `size` pixels.
pub(super) fn scale(font: &FontRef<'static>, size: f64) -> PxScale {
    let body = font.units_per_em().map_or(1.0, |units| font.height_unscaled() / units);
    PxScale::from(size as f32 * body)
}

/// Width of a line of text in pixels.
#[must_use]
pub fn width(text: &str, size: f64, weight: Weight) -> f64 {
    let font = font(weight);
    let scaled = font.as_scaled(scale(font, size));
    let advance: f32 = text.chars().map(|c| scaled.h_advance(scaled.glyph_id(c))).sum();
    f64::from(advance)
}

/// `text`, or as much of its beginning as fits into `room` with an ellipsis; `None` where fewer
/// than `least` of its letters would remain.
#[must_use]
pub fn fit_start(text: &str, size: f64, weight: Weight, room: f64, least: usize) -> Option<String> {
    fit(text, size, weight, room, least, |text, kept| {
        text.chars().take(kept).collect::<String>().trim_end().to_owned() + "…"
    })
}

/// `text`, or as much of its end as fits into `room` with an ellipsis; `None` where fewer than
/// `least` of its letters would remain. Numbers differ at their ends.
#[must_use]
pub fn fit_end(text: &str, size: f64, weight: Weight, room: f64, least: usize) -> Option<String> {
    fit(text, size, weight, room, least, |text, kept| {
        let skipped = text.chars().count() - kept;
        "…".to_owned() + text.chars().skip(skipped).collect::<String>().trim_start()
    })
}

fn fit(
    text: &str,
    size: f64,
    weight: Weight,
    room: f64,
    least: usize,
    shorten: impl Fn(&str, usize) -> String,
) -> Option<String> {
    if width(text, size, weight) <= room {
        return Some(text.to_owned());
    }
    let length = text.chars().count();
    // No letter that can be read is narrower than a fifth of its size: longer tries cannot fit.
    let most = ((room / (size * 0.2)).max(0.0) as usize).min(length.saturating_sub(1));
    let tries = (least..=most).rev().map(|kept| shorten(text, kept));
    tries.into_iter().find(|short| width(short, size, weight) <= room)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shortens_to_the_room_and_no_further() {
        let text = "Hospital bed rail, left hand";
        let room = 80.0;
        let short = fit_start(text, 11.0, Weight::Regular, room, 3).unwrap();
        assert!(short.starts_with("Hospital") && short.ends_with('…'));
        assert!(width(&short, 11.0, Weight::Regular) <= room);
        let longer = text.chars().take(short.chars().count()).collect::<String>() + "…";
        assert!(width(&longer, 11.0, Weight::Regular) > room);
        assert_eq!(
            fit_end("ORD-2026-00123", 11.0, Weight::Regular, 40.0, 3).unwrap().chars().next(),
            Some('…')
        );
        assert_eq!(fit_start(text, 11.0, Weight::Regular, 12.0, 3), None);
        assert_eq!(fit_start("J-1", 11.0, Weight::Bold, 80.0, 3).as_deref(), Some("J-1"));
    }

    #[test]
    fn bold_is_wider() {
        assert!(width("J-1042", 11.0, Weight::Bold) > width("J-1042", 11.0, Weight::Regular));
    }
}
