//! Standard sizes of tube and pipe, to warn of a size that nobody rolls.

use elbowroom_units::Mm;

/// Standard sizes: `config/stock.toml`.
#[derive(Clone, Debug, PartialEq)]
pub struct StockSizes {
    /// Usual lengths of a bar, shortest first.
    pub bar_lengths: Vec<Mm>,
    /// Pipe sizes (`[[pipe]]`).
    pub pipes: Vec<Pipe>,
    /// Wall gauges of tube (`[[gauge]]`).
    pub gauges: Vec<Gauge>,
    /// Metric outside diameters of precision tube.
    pub metric_ods: Vec<Mm>,
    /// Metric walls of precision tube.
    pub metric_walls: Vec<Mm>,
}

/// A pipe size with its walls; `None` where the standard has none.
#[derive(Clone, Debug, PartialEq)]
pub struct Pipe {
    /// Nominal size, a name and not a diameter: `1-1/2`.
    pub nps: String,
    /// Real outside diameter.
    pub od: Mm,
    /// Wall of schedule 5S.
    pub schedule_5s: Option<Mm>,
    /// Wall of schedule 10S.
    pub schedule_10s: Option<Mm>,
    /// Wall of schedule 40 and 40S.
    pub schedule_40: Option<Mm>,
    /// Wall of schedule 80 and 80S.
    pub schedule_80: Option<Mm>,
}

/// A wall gauge: Birmingham wire gauge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gauge {
    /// Number of the gauge.
    pub number: u32,
    /// The wall.
    pub wall: Mm,
}
