//! Standard sizes of tube and pipe, to warn of a size that nobody rolls.

use crate::tube::Tube;
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
    /// Inch outside diameters of tube.
    pub inch_ods: Vec<Mm>,
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

/// Printed sizes are rounded: a diameter by up to this.
const ROUNDED_OD: f64 = 0.05;
/// And a wall by up to this.
const ROUNDED_WALL: f64 = 0.011;

impl StockSizes {
    /// Whether somebody rolls such a tube by these tables: pipe of a schedule, inch tube of a
    /// gauge, or metric precision tube. Sizes as rounded in metric tables count.
    #[must_use]
    pub fn is_standard(&self, tube: &Tube) -> bool {
        let (od, wall) = (tube.outer(), tube.wall());
        let has_od = |ods: &[Mm]| ods.iter().any(|o| o.near(od, Mm::new(ROUNDED_OD)));
        let same_wall = |w: Mm| w.near(wall, Mm::new(ROUNDED_WALL));
        let pipe = |pipe: &Pipe| {
            pipe.od.near(od, Mm::new(ROUNDED_OD)) && pipe.schedules().into_iter().flatten().any(same_wall)
        };
        self.pipes.iter().any(pipe)
            || has_od(&self.inch_ods) && self.gauges.iter().any(|gauge| same_wall(gauge.wall))
            || has_od(&self.metric_ods) && self.metric_walls.iter().any(|w| same_wall(*w))
    }
}

impl Pipe {
    fn schedules(&self) -> [Option<Mm>; 4] {
        [self.schedule_5s, self.schedule_10s, self.schedule_40, self.schedule_80]
    }
}
