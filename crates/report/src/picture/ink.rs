//! The colours of all pictures, on light and on dark paper.
//!
//! Kinds of work differ in lightness as well as in hue, so that they can be told apart in grey and
//! by colour-blind readers; a pattern says the same once more. Texts on any fill have a contrast
//! of at least 4.5 to 1 (WCAG 2.2, success criterion 1.4.3).

/// A colour by its use.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ink {
    /// The ground of the picture.
    Paper,
    /// Words, outlines and signs.
    Text,
    /// Words of less weight.
    Quiet,
    /// Lines of the grid.
    Grid,
    /// Lines between days and cells.
    Rule,
    /// Time that a cell is open.
    Open,
    /// Time off shift.
    Off,
    /// The ground of changing over.
    Setup,
    /// A run that stands still off shift; light on light paper and on dark paper alike.
    Still,
    /// Rotary draw.
    Draw,
    /// Twin-head compression.
    Compression,
    /// Three-roll.
    Roll,
    /// Free-form.
    FreeForm,
    /// Every other kind of work.
    Other,
    /// Words on a kind of work; dark on light paper and on dark paper alike.
    OnWork,
}

impl Ink {
    /// Every ink.
    pub const ALL: [Self; 15] = [
        Self::Paper,
        Self::Text,
        Self::Quiet,
        Self::Grid,
        Self::Rule,
        Self::Open,
        Self::Off,
        Self::Setup,
        Self::Still,
        Self::Draw,
        Self::Compression,
        Self::Roll,
        Self::FreeForm,
        Self::Other,
        Self::OnWork,
    ];

    /// Red, green and blue on light paper. No two inks are the same, so that a style sheet can
    /// find each by its value.
    #[must_use]
    pub const fn light(self) -> [u8; 3] {
        match self {
            Self::Paper => [0xff, 0xff, 0xff],
            Self::Text => [0x16, 0x1a, 0x20],
            Self::Quiet => [0x4a, 0x51, 0x5c],
            Self::Grid => [0xc9, 0xce, 0xd6],
            Self::Rule => [0x8b, 0x93, 0x9f],
            Self::Open => [0xfd, 0xfd, 0xfb],
            Self::Off => [0xdf, 0xe2, 0xe7],
            Self::Setup => [0xfe, 0xff, 0xff],
            Self::Still => [0xc6, 0xca, 0xd1],
            Self::Draw => [0x62, 0x8c, 0xc8],
            Self::Compression => [0xd9, 0x8d, 0x4b],
            Self::Roll => [0x7c, 0xc4, 0xa8],
            Self::FreeForm => [0xe6, 0xd0, 0x72],
            Self::Other => [0xec, 0xe9, 0xf0],
            Self::OnWork => [0x17, 0x1a, 0x20],
        }
    }

    /// Red, green and blue on dark paper.
    #[must_use]
    pub const fn dark(self) -> [u8; 3] {
        match self {
            Self::Paper => [0x15, 0x18, 0x1d],
            Self::Text => [0xec, 0xee, 0xf1],
            Self::Quiet => [0xb4, 0xba, 0xc4],
            Self::Grid => [0x3a, 0x40, 0x4a],
            Self::Rule => [0x76, 0x7e, 0x8a],
            Self::Open => [0x20, 0x24, 0x2b],
            Self::Off => [0x0b, 0x0d, 0x10],
            Self::Setup => [0x15, 0x18, 0x1e],
            Self::OnWork => [0x0d, 0x0f, 0x13],
            kind => kind.light(),
        }
    }

    /// A colour as `#RRGGBB`.
    #[must_use]
    pub fn hex([red, green, blue]: [u8; 3]) -> String {
        format!("#{red:02X}{green:02X}{blue:02X}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Relative luminance by WCAG 2.2.
    fn luminance(rgb: [u8; 3]) -> f64 {
        let linear = rgb.map(|c| {
            let c = f64::from(c) / 255.0;
            if c <= 0.04045 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
        });
        0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
    }

    fn contrast(a: [u8; 3], b: [u8; 3]) -> f64 {
        let (a, b) = (luminance(a), luminance(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    const KINDS: [Ink; 5] = [Ink::Draw, Ink::Compression, Ink::Roll, Ink::FreeForm, Ink::Other];

    #[test]
    fn words_stand_out_from_every_ground() {
        for paper in [Ink::light, Ink::dark] {
            for ground in [Ink::Paper, Ink::Open, Ink::Off, Ink::Setup] {
                assert!(contrast(paper(Ink::Text), paper(ground)) >= 7.0, "{ground:?}");
                assert!(contrast(paper(Ink::Quiet), paper(ground)) >= 4.5, "{ground:?}");
            }
            for kind in KINDS.into_iter().chain([Ink::Still]) {
                assert!(contrast(paper(Ink::OnWork), paper(kind)) >= 4.5, "{kind:?}");
            }
        }
    }

    #[test]
    fn kinds_of_work_differ_in_lightness() {
        let levels = KINDS.map(|kind| luminance(kind.light()));
        for pair in levels.windows(2) {
            assert!((pair[1] + 0.05) / (pair[0] + 0.05) > 1.2, "{levels:?}");
        }
    }

    #[test]
    fn no_two_inks_are_the_same_on_light_paper() {
        for (i, a) in Ink::ALL.iter().enumerate() {
            assert!(Ink::ALL[i + 1..].iter().all(|b| a.light() != b.light()), "{a:?}");
        }
    }
}
