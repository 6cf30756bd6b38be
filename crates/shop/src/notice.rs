//! What has happened, or might, since the shop's files were written: a cell is down, a die comes
//! late, an order is in a hurry.
//!
//! A notice changes the shop for as long as it stands; taking it down brings the shop back as it
//! was. The same notices, tried out and not posted, are a "what if".

use crate::Shop;
use crate::calendar::{Calendar, DatedSpan};
use crate::cell::Cell;
use crate::crew::Crew;
use crate::order::Order;
use crate::rack::ToolState;
use chrono::{NaiveDate, NaiveTime};
use elbowroom_units::Money;
use std::fmt;

/// Days from the first to the last, both counted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Days {
    /// First day.
    pub from: NaiveDate,
    /// Last day; not before the first.
    pub until: NaiveDate,
}

/// Clock times from and to, on each of the days; where `to` is not after `from`, to the next day.
pub type Hours = (NaiveTime, NaiveTime);

impl Days {
    /// A single day.
    #[must_use]
    pub const fn one(date: NaiveDate) -> Self {
        Self { from: date, until: date }
    }

    /// Each day.
    pub fn each(self) -> impl Iterator<Item = NaiveDate> {
        self.from.iter_days().take_while(move |day| *day <= self.until)
    }

    fn spans(self, times: Option<Hours>, why: &str) -> impl Iterator<Item = DatedSpan> + use<'_> {
        self.each().map(move |date| DatedSpan { date, times, reason: why.to_owned() })
    }
}

impl fmt::Display for Days {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.from == self.until {
            write!(f, "on {}", self.from)
        } else {
            write!(f, "from {} to {}", self.from, self.until)
        }
    }
}

/// A notice on the board.
#[derive(Clone, Debug, PartialEq)]
pub struct Notice {
    /// What is different.
    pub change: Change,
    /// Why, for people; may be empty.
    pub why: String,
}

/// What is different from the shop's files.
#[derive(Clone, Debug, PartialEq)]
pub enum Change {
    /// A cell stands still.
    Down {
        /// Id of the cell.
        cell: String,
        /// When.
        days: Days,
        /// Only in these hours; `None`: the whole days.
        hours: Option<Hours>,
    },
    /// A cell works overtime.
    Open {
        /// Id of the cell.
        cell: String,
        /// When.
        days: Days,
        /// In these hours.
        hours: Hours,
        /// Whether one of each crew that the cell needs comes along.
        people: bool,
    },
    /// There is one more cell like this one.
    Like {
        /// Id of the cell that it is like.
        cell: String,
        /// Id of the new cell.
        id: String,
    },
    /// A tool is in the house from this date: later than thought, or bought.
    Tool {
        /// Id of the tool.
        tool: String,
        /// The date.
        arrives: NaiveDate,
    },
    /// The tube of an order is in the house from this date.
    Tube {
        /// Id of the order.
        order: String,
        /// The date.
        arrives: NaiveDate,
    },
    /// People of a crew are away.
    Absent {
        /// Id of the crew.
        crew: String,
        /// How many.
        heads: u32,
        /// When.
        days: Days,
    },
    /// A crew has more people.
    People {
        /// Id of the crew.
        crew: String,
        /// How many more.
        heads: u32,
        /// When.
        days: Days,
        /// In these hours.
        hours: Hours,
    },
    /// An order is wanted sooner or more badly (or later, or less).
    Rush {
        /// Id of the order.
        order: String,
        /// The date promised now.
        promised: Option<NaiveDate>,
        /// What a late day costs now.
        late_cost_per_day: Option<Money>,
    },
    /// An order is called off.
    Cancel {
        /// Id of the order.
        order: String,
    },
    /// There is one more order.
    Order(Order),
}

/// A notice that speaks of something the shop does not have.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unheeded {
    /// `cell`, `crew`, `tool`, `order` or `calendar`.
    pub kind: &'static str,
    /// Its id.
    pub id: String,
    /// Whether it is there although it should not be.
    pub taken: bool,
}

impl fmt::Display for Unheeded {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { kind, id, taken } = self;
        if *taken {
            write!(f, "there is a {kind} `{id}` already")
        } else {
            write!(f, "there is no {kind} `{id}`")
        }
    }
}

impl std::error::Error for Unheeded {}

impl Shop {
    /// The shop as a notice says that it is.
    ///
    /// # Errors
    /// If the notice speaks of something that is not there, or adds something that is; the shop is
    /// unchanged then.
    pub fn heed(&mut self, notice: &Notice) -> Result<(), Unheeded> {
        let why = notice.why.as_str();
        match &notice.change {
            Change::Down { cell, days, hours } => self.cell_mut(cell)?.closed.extend(days.spans(*hours, why)),
            Change::Open { cell, days, hours, people } => {
                self.open(cell, &days.spans(Some(*hours), why).collect::<Vec<_>>(), *people)?;
            }
            Change::Like { cell, id } => self.add_like(cell, id)?,
            Change::Tool { tool, arrives } => self.tool_comes(tool, *arrives)?,
            Change::Tube { order, arrives } => self.order_mut(order)?.material = Some(*arrives),
            Change::Absent { crew, heads, days } => {
                self.crew_mut(crew)?.absences.extend(days.each().map(|day| (day, *heads)));
            }
            Change::People { crew, heads, days, hours } => {
                self.crew_mut(crew)?.extra.extend(days.spans(Some(*hours), why).map(|span| (span, *heads)));
            }
            Change::Rush { order, promised, late_cost_per_day } => {
                let order = self.order_mut(order)?;
                order.promised = promised.unwrap_or(order.promised);
                order.late_cost_per_day = late_cost_per_day.or(order.late_cost_per_day);
            }
            Change::Cancel { order } => self.call_off(order)?,
            Change::Order(order) => self.add_order(order)?,
        }
        Ok(())
    }

    /// Opens one cell; its calendar may be that of others too, so it gets a copy of its own.
    fn open(&mut self, cell: &str, spans: &[DatedSpan], people: bool) -> Result<(), Unheeded> {
        let found = self.cell_mut(cell)?.clone();
        let shared = self.calendars.iter().find(|calendar| calendar.id == found.calendar);
        let mut own = shared.cloned().ok_or_else(|| missing("calendar", &found.calendar))?;
        let crews = [found.setup_crew, found.run_crew].into_iter().flatten().filter(|_| people);
        for crew in crews {
            self.crew_mut(&crew)?.extra.extend(spans.iter().map(|span| (span.clone(), 1)));
        }
        own.extra.extend_from_slice(spans);
        own.id = self.fresh_calendar(&found.calendar, cell);
        self.cell_mut(cell)?.calendar.clone_from(&own.id);
        self.calendars.push(own);
        Ok(())
    }

    fn fresh_calendar(&self, calendar: &str, cell: &str) -> String {
        let mut id = format!("{calendar} of {cell}");
        while self.calendars.iter().any(|other: &Calendar| other.id == id) {
            id.push('+');
        }
        id
    }

    fn add_like(&mut self, cell: &str, id: &str) -> Result<(), Unheeded> {
        if self.cells.iter().any(|other| other.id == id) {
            return Err(Unheeded { kind: "cell", id: id.to_owned(), taken: true });
        }
        let like = self.cell_mut(cell)?.clone();
        self.cells.push(Cell {
            id: id.to_owned(),
            name: format!("{}, another", like.name),
            mounted: Vec::new(),
            mounted_program: None,
            ..like
        });
        Ok(())
    }

    /// A tool that comes later stands on no cell until then.
    fn tool_comes(&mut self, tool: &str, arrives: NaiveDate) -> Result<(), Unheeded> {
        let found =
            self.tools.iter_mut().find(|other| other.id == tool).ok_or_else(|| missing("tool", tool))?;
        found.state = ToolState::OnOrder { arrives };
        self.cells.iter_mut().for_each(|cell| cell.mounted.retain(|mounted| mounted != tool));
        Ok(())
    }

    fn call_off(&mut self, order: &str) -> Result<(), Unheeded> {
        self.order_mut(order)?;
        self.orders.retain(|other| other.id != order);
        self.underway.retain(|other| other.order != order);
        Ok(())
    }

    fn add_order(&mut self, order: &Order) -> Result<(), Unheeded> {
        if self.orders.iter().any(|other| other.id == order.id) {
            return Err(Unheeded { kind: "order", id: order.id.clone(), taken: true });
        }
        self.orders.push(order.clone());
        Ok(())
    }

    fn cell_mut(&mut self, id: &str) -> Result<&mut Cell, Unheeded> {
        self.cells.iter_mut().find(|cell| cell.id == id).ok_or_else(|| missing("cell", id))
    }

    fn crew_mut(&mut self, id: &str) -> Result<&mut Crew, Unheeded> {
        self.crews.iter_mut().find(|crew| crew.id == id).ok_or_else(|| missing("crew", id))
    }

    fn order_mut(&mut self, id: &str) -> Result<&mut Order, Unheeded> {
        self.orders.iter_mut().find(|order| order.id == id).ok_or_else(|| missing("order", id))
    }
}

fn missing(kind: &'static str, id: &str) -> Unheeded {
    Unheeded { kind, id: id.to_owned(), taken: false }
}

/// What is different, in words.
impl fmt::Display for Change {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let hm = |time: &NaiveTime| time.format("%H:%M").to_string();
        match self {
            Self::Down { cell, days, hours: None } => write!(f, "{cell} is down {days}"),
            Self::Down { cell, days, hours: Some((from, to)) } => {
                write!(f, "{cell} is down {days}, {} to {}", hm(from), hm(to))
            }
            Self::Open { cell, days, hours: (from, to), people } => {
                let alone = if *people { "" } else { ", without people of its own" };
                write!(f, "{cell} works overtime {days}, {} to {}{alone}", hm(from), hm(to))
            }
            Self::Like { cell, id } => write!(f, "{id}, one more cell like {cell}"),
            Self::Tool { tool, arrives } => write!(f, "tool {tool} is in the house from {arrives}"),
            Self::Tube { order, arrives } => write!(f, "the tube of {order} is in the house from {arrives}"),
            Self::Absent { crew, heads, days } => write!(f, "{heads} of crew {crew} away {days}"),
            Self::People { crew, heads, days, hours: (from, to) } => {
                write!(f, "{heads} more in crew {crew} {days}, {} to {}", hm(from), hm(to))
            }
            Self::Rush { order, promised, late_cost_per_day } => {
                write!(f, "{order}")?;
                promised.iter().try_for_each(|date| write!(f, " is promised for {date}"))?;
                let and = if promised.is_some() { " and" } else { "" };
                late_cost_per_day.iter().try_for_each(|cost| write!(f, "{and} costs {cost} a late day"))
            }
            Self::Cancel { order } => write!(f, "{order} is called off"),
            Self::Order(order) => {
                write!(f, "order {}: {} of {} by {}", order.id, order.quantity, order.part, order.promised)
            }
        }
    }
}
