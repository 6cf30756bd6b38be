//! What comes back for a part.

use crate::StepKind;
use chrono::NaiveDate;
use elbowroom_bending::fit::{Assessment, Difference, Refusal};
use elbowroom_bending::process::Process;
use elbowroom_bending::shape::Shape;
use elbowroom_bending::tooling::ToolSpec;
use elbowroom_shop::part::StockTube;
use elbowroom_units::{Minutes, Mm, Money};
use std::fmt;

/// What is asked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Inquiry {
    /// Good pieces wanted; at least 1.
    pub quantity: u32,
    /// The day from which lead times count.
    pub today: NaiveDate,
}

/// Why nothing can be said of a part.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum FitError {
    /// Its tube is none of the shop's.
    NoTube {
        /// The part.
        part: String,
        /// The tube.
        tube: String,
    },
    /// Its tube's material is none of the shop's.
    NoMaterial {
        /// The tube.
        tube: String,
        /// The material.
        material: String,
    },
}

impl fmt::Display for FitError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoTube { part, tube } => write!(f, "part `{part}`: there is no tube `{tube}`"),
            Self::NoMaterial { tube, material } => {
                write!(f, "tube `{tube}`: there is no material `{material}`")
            }
        }
    }
}

impl std::error::Error for FitError {}

/// A part held up to every bending cell.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    /// Name of the shop.
    pub shop: String,
    /// Its currency.
    pub currency: String,
    /// Its margin on cost, in percent, for prices.
    pub margin_percent: Option<f64>,
    /// The day from which lead times count.
    pub today: NaiveDate,
    /// Good pieces wanted.
    pub quantity: u32,
    /// The part.
    pub part: PartFacts,
    /// Every bending cell: those that can make it, the cheapest for the quantity first, tools to
    /// buy included; then those that cannot, in the shop's order.
    pub cells: Vec<CellFit>,
    /// A sentence why the first is the best; `None` where no cell can.
    pub why: Option<String>,
}

impl Fit {
    /// The cells that can make it, the best first.
    pub fn able(&self) -> impl Iterator<Item = (&CellFit, &Offer)> {
        self.cells.iter().filter_map(|cell| Some((cell, cell.offer.as_ref().ok()?)))
    }

    /// The best cell of those whose tools are all in the house.
    #[must_use]
    pub fn at_once(&self) -> Option<(&CellFit, &Offer)> {
        self.able().find(|(_, offer)| offer.ready == Ready::Now)
    }

    /// What a piece costs; with the shop's margin where it has one, else without.
    #[must_use]
    pub fn price_per_piece(&self, offer: &Offer) -> Money {
        offer.cost.of_pieces()
            * ((1.0 + self.margin_percent.unwrap_or(0.0) / 100.0) / f64::from(self.quantity))
    }
}

/// What is known of the part before any cell is asked.
#[derive(Clone, Debug, PartialEq)]
pub struct PartFacts {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Its tube.
    pub tube: StockTube,
    /// Name of the tube's material.
    pub material: String,
    /// Its shape.
    pub shape: Shape,
    /// Length of the centreline.
    pub developed: Mm,
    /// Sides of the box that holds it: along the first leg, towards the side of the first bend,
    /// across both.
    pub size: [Mm; 3],
    /// Mass of a piece in kg.
    pub mass_kg: f64,
}

/// What one cell says.
#[derive(Clone, Debug, PartialEq)]
pub struct CellFit {
    /// Id of the cell.
    pub cell: String,
    /// How it bends.
    pub process: Process,
    /// All that bending knowledge says; for a cell that cannot make the part, as if it could.
    pub assessment: Assessment,
    /// What making the quantity takes, or every reason why the cell cannot.
    pub offer: Result<Offer, Vec<Barrier>>,
}

/// Why a cell cannot make a part.
#[derive(Clone, Debug, PartialEq)]
pub enum Barrier {
    /// The customer does not approve the process.
    NotApproved(Process),
    /// A rule of bending or a limit of the cell.
    Rule(Refusal),
    /// The cell is never open together with the crews it needs.
    NeverOpen,
    /// A step before or after bending that nobody does.
    Step(String),
}

impl Barrier {
    /// What would put it right.
    #[must_use]
    pub fn remedy(&self) -> &'static str {
        match self {
            Self::NotApproved(_) => "ask the customer, or choose an approved process",
            Self::Rule(refusal) => refusal.remedy(),
            Self::NeverOpen => "give the cell's calendar and crews some hours",
            Self::Step(_) => "list a cell or vendor that does it, or leave the step out",
        }
    }
}

impl fmt::Display for Barrier {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotApproved(process) => {
                write!(f, "{process} is not among the processes that the customer approves")
            }
            Self::Rule(refusal) => write!(f, "{refusal}"),
            Self::NeverOpen => write!(f, "never open with its crew"),
            Self::Step(what) => write!(f, "{what}"),
        }
    }
}

/// What making the quantity on a cell takes.
#[derive(Clone, Debug, PartialEq)]
pub struct Offer {
    /// A tool for every need.
    pub tools: Vec<ToolFit>,
    /// When the last of them can be used.
    pub ready: Ready,
    /// Changing the cell over from what stands on it today.
    pub setup_today: Minutes,
    /// Pieces to start so that the quantity comes out good.
    pub pieces_to_start: u32,
    /// Every step in its order; bending among them, with a full changeover.
    pub steps: Vec<StepFit>,
    /// What it costs.
    pub cost: CostSum,
}

impl Offer {
    /// Working time of all steps in the house, changeovers included.
    #[must_use]
    pub fn work(&self) -> Minutes {
        self.steps.iter().filter(|step| !step.is_outside()).map(|step| step.setup + step.run).sum()
    }

    /// Calendar time outside the house.
    #[must_use]
    pub fn away(&self) -> Minutes {
        self.steps.iter().filter(|step| step.is_outside()).map(|step| step.run).sum()
    }

    /// Bending.
    #[must_use]
    pub fn bending(&self) -> &StepFit {
        self.step(StepKind::Bend).expect("a part is bent, and its steps say so")
    }

    /// The first step of a kind.
    #[must_use]
    pub fn step(&self, kind: StepKind) -> Option<&StepFit> {
        self.steps.iter().find(|step| step.kind == kind)
    }
}

/// When all tools of a cell can be used.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ready {
    /// All are in the house.
    Now,
    /// The last of those on order comes on this day.
    OnOrder(NaiveDate),
    /// Some must be bought; bought today, the last comes on this day.
    ToBuy(NaiveDate),
}

/// One step of making the quantity.
#[derive(Clone, Debug, PartialEq)]
pub struct StepFit {
    /// What is done.
    pub kind: StepKind,
    /// Its name in a plan.
    pub name: String,
    /// Id of the cell, or of the vendor.
    pub place: String,
    /// Pieces that it begins with.
    pub pieces: u32,
    /// Changing over.
    pub setup: Minutes,
    /// Working minutes; outside the house wall-clock minutes.
    pub run: Minutes,
    /// Money for changing over.
    pub setup_cost: Money,
    /// Money for the work itself, or for the vendor.
    pub run_cost: Money,
}

impl StepFit {
    /// Money for both.
    #[must_use]
    pub fn cost(&self) -> Money {
        self.setup_cost + self.run_cost
    }

    /// Whether it is done outside the house.
    #[must_use]
    pub fn is_outside(&self) -> bool {
        self.kind == StepKind::Outside
    }
}

/// A tool for a need.
#[derive(Clone, Debug, PartialEq)]
pub struct ToolFit {
    /// What is needed.
    pub need: ToolSpec,
    /// Id of the tool; one that no list names has a name made of its kind and dimensions.
    pub tool: String,
    /// Where it comes from.
    pub source: ToolSource,
    /// Tools of the house that may be tried instead if the tool maker agrees; asked for only where
    /// the right one is not in the house.
    pub substitutes: Vec<Substitute>,
}

/// Where a tool comes from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ToolSource {
    /// It stands on the cell.
    Mounted,
    /// It is in the house.
    Rack,
    /// It has been ordered.
    OnOrder {
        /// The day on which it can be used.
        usable: NaiveDate,
    },
    /// It must be bought.
    ToBuy {
        /// Its price.
        price: Money,
        /// Calendar time from order to arrival.
        lead: Minutes,
        /// The day on which it can be used if it is ordered today.
        usable: NaiveDate,
        /// Whether price and lead are the shop's defaults and not a tool maker's word.
        estimated: bool,
    },
}

/// A tool that may be tried instead of the right one.
#[derive(Clone, Debug, PartialEq)]
pub struct Substitute {
    /// Its id.
    pub tool: String,
    /// In which ways it differs.
    pub differences: Vec<Difference>,
}

/// What making the quantity costs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CostSum {
    /// Tube of all pieces started; `None`: the shop states no price.
    pub tube: Option<Money>,
    /// Changing over.
    pub setup: Money,
    /// Running.
    pub run: Money,
    /// Services outside the house.
    pub outside: Money,
    /// Tools to buy.
    pub tools: Money,
}

impl CostSum {
    /// Everything but tools to buy.
    #[must_use]
    pub fn of_pieces(&self) -> Money {
        self.tube.unwrap_or_default() + self.setup + self.run + self.outside
    }

    /// Everything.
    #[must_use]
    pub fn total(&self) -> Money {
        self.of_pieces() + self.tools
    }
}
