//! Quantities as people write them: a number, then its unit.

use std::fmt;

/// The units of one kind of quantity, with the factor to its base unit.
pub(crate) struct Kind {
    name: &'static str,
    example: &'static str,
    units: &'static [(&'static str, f64)],
}

/// Lengths, base unit millimetre.
pub(crate) static LENGTH: Kind = Kind {
    name: "a length",
    example: "38.1 mm\" or \"1.5 in",
    units: &[("mm", 1.0), ("cm", 10.0), ("m", 1000.0), ("in", 25.4), ("inch", 25.4), ("ft", 304.8)],
};

/// Angles, base unit degree.
pub(crate) static ANGLE: Kind = Kind {
    name: "an angle",
    example: "90 deg",
    units: &[("deg", 1.0), ("°", 1.0), ("rad", 180.0 / std::f64::consts::PI)],
};

/// Durations, base unit second.
pub(crate) static DURATION: Kind = Kind {
    name: "a duration",
    example: "25 min\" or \"1.5 h",
    units: &[
        ("s", 1.0),
        ("min", 60.0),
        ("h", 3600.0),
        ("day", 86_400.0),
        ("days", 86_400.0),
        ("week", 604_800.0),
        ("weeks", 604_800.0),
    ],
};

/// Largest magnitude accepted, in the base unit: far beyond any shop, far below where
/// arithmetic on it could lose a thousandth.
const LARGEST: f64 = 1e12;

/// Why a text is not the quantity wanted. The message names what was found and what was expected.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct QuantityError {
    found: String,
    problem: &'static str,
    expected: String,
}

impl QuantityError {
    /// What would have been right, with an example.
    #[must_use]
    pub fn expected(&self) -> &str {
        &self.expected
    }
}

impl fmt::Display for QuantityError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "\"{}\" {}; expected {}", self.found, self.problem, self.expected)
    }
}

impl std::error::Error for QuantityError {}

/// Reads a number and its unit; the result is in the base unit of `kind`, and finite.
pub(crate) fn read(text: &str, kind: &Kind) -> Result<f64, QuantityError> {
    let fault = |problem| QuantityError {
        found: text.chars().take(40).collect(),
        problem,
        expected: format!("{} such as \"{}\"", kind.name, kind.example),
    };
    let trimmed = text.trim();
    let split = trimmed
        .find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | '+' | '-' | 'e' | 'E' | ',')))
        .unwrap_or(trimmed.len());
    let (number, unit) = trimmed.split_at(split);
    if number.contains(',') {
        return Err(fault("has a decimal comma; write a decimal point"));
    }
    let number: f64 = number.parse().map_err(|_| fault("does not begin with a number"))?;
    let unit = unit.trim();
    if unit.is_empty() {
        return Err(fault("has no unit"));
    }
    let Some((_, factor)) = kind.units.iter().find(|(name, _)| *name == unit) else {
        return Err(fault("has an unknown unit"));
    };
    let value = number * factor;
    if value.is_finite() && value.abs() <= LARGEST { Ok(value + 0.0) } else { Err(fault("is out of range")) }
}

/// A number with at most `decimals` decimals and no trailing zeros.
#[must_use]
pub fn plain(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}
