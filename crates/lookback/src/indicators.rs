//! Indicators of a work unit, by the definitions of ISO 22400-2:2014.
//!
//! Element names are those of the standard: APT actual production time, AUST actual unit setup
//! time, ADET actual unit delay time, PBT planned busy time, AOET actual order execution time, PQ
//! produced, GQ good, SQ scrap and RQ rework quantity, PRI planned run time per item. What would
//! be divided by nothing has no value: neither 0 nor infinity.

/// Times in minutes and quantities in pieces over a period, for one work unit or one order.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Elements {
    /// PBT: time in which the unit was planned to be used.
    pub planned_busy: f64,
    /// APT: time spent producing.
    pub production: f64,
    /// AUST: time spent setting up.
    pub setup: f64,
    /// ADET: delays that nobody planned, while an order was on the unit.
    pub delay: f64,
    /// AOET: from the start to the end of orders, waiting and transport included.
    pub order_execution: f64,
    /// PRI times PQ: what the pieces would have taken as planned.
    pub planned_production: f64,
    /// PQ.
    pub produced: f64,
    /// Of these, pieces of lots of which nobody said how long they took.
    pub untimed: f64,
    /// GQ.
    pub good: f64,
    /// SQ.
    pub scrap: f64,
    /// RQ.
    pub rework: f64,
}

impl Elements {
    /// AUPT: processing time, producing and setting up.
    #[must_use]
    pub fn processing(&self) -> f64 {
        self.production + self.setup
    }

    /// AUBT: busy time, processing and delays.
    #[must_use]
    pub fn busy(&self) -> f64 {
        self.processing() + self.delay
    }

    /// Allocation efficiency, AUBT / PBT.
    #[must_use]
    pub fn allocation_efficiency(&self) -> Option<f64> {
        ratio(self.busy(), self.planned_busy)
    }

    /// Utilization efficiency, APT / AUBT.
    #[must_use]
    pub fn utilization_efficiency(&self) -> Option<f64> {
        ratio(self.production, self.busy())
    }

    /// Availability, APT / PBT.
    #[must_use]
    pub fn availability(&self) -> Option<f64> {
        ratio(self.production, self.planned_busy)
    }

    /// Effectiveness, PRI PQ / APT.
    #[must_use]
    pub fn effectiveness(&self) -> Option<f64> {
        ratio(self.planned_production, self.production)
    }

    /// Quality ratio, GQ / PQ.
    #[must_use]
    pub fn quality_ratio(&self) -> Option<f64> {
        ratio(self.good, self.produced)
    }

    /// Overall equipment effectiveness: availability, effectiveness and quality ratio together.
    #[must_use]
    pub fn overall_effectiveness(&self) -> Option<f64> {
        Some(self.availability()? * self.effectiveness()? * self.quality_ratio()?)
    }

    /// Net equipment effectiveness: AUPT / PBT, effectiveness and quality ratio together.
    #[must_use]
    pub fn net_effectiveness(&self) -> Option<f64> {
        Some(ratio(self.processing(), self.planned_busy)? * self.effectiveness()? * self.quality_ratio()?)
    }

    /// Setup ratio, AUST / AUPT; lower is better.
    #[must_use]
    pub fn setup_ratio(&self) -> Option<f64> {
        ratio(self.setup, self.processing())
    }

    /// Technical efficiency, APT / (APT + ADET).
    #[must_use]
    pub fn technical_efficiency(&self) -> Option<f64> {
        ratio(self.production, self.production + self.delay)
    }

    /// Throughput rate, PQ / AOET: pieces a minute, of lots whose time is known.
    #[must_use]
    pub fn throughput_rate(&self) -> Option<f64> {
        ratio(self.produced - self.untimed, self.order_execution)
    }

    /// Allocation ratio, AUBT / AOET.
    #[must_use]
    pub fn allocation_ratio(&self) -> Option<f64> {
        ratio(self.busy(), self.order_execution)
    }

    /// Production process ratio, APT / AOET.
    #[must_use]
    pub fn production_process_ratio(&self) -> Option<f64> {
        ratio(self.production, self.order_execution)
    }

    /// Scrap ratio, SQ / PQ.
    #[must_use]
    pub fn scrap_ratio(&self) -> Option<f64> {
        ratio(self.scrap, self.produced)
    }

    /// Rework ratio, RQ / PQ.
    #[must_use]
    pub fn rework_ratio(&self) -> Option<f64> {
        ratio(self.rework, self.produced)
    }
}

impl std::ops::AddAssign for Elements {
    fn add_assign(&mut self, other: Self) {
        self.planned_busy += other.planned_busy;
        self.production += other.production;
        self.setup += other.setup;
        self.delay += other.delay;
        self.order_execution += other.order_execution;
        self.planned_production += other.planned_production;
        self.produced += other.produced;
        self.untimed += other.untimed;
        self.good += other.good;
        self.scrap += other.scrap;
        self.rework += other.rework;
    }
}

/// A share; `None` where there is nothing to divide by.
pub(crate) fn ratio(part: f64, whole: f64) -> Option<f64> {
    (whole > 0.0).then(|| part / whole)
}
