//! Random shops for reading back what was written: every key of every file, with awkward names.
//!
//! They make no sense as shops; they only break no rule of the files.

use crate::chance::Chance;
use chrono::{Days, NaiveDate, NaiveTime, Weekday};
use elbowroom_bending::geometry::Point;
use elbowroom_bending::material::Material;
use elbowroom_bending::piece::{Marks, Quality};
use elbowroom_bending::process::Process;
use elbowroom_bending::shape::{Bend, Shape};
use elbowroom_bending::tooling::{ToolKind, ToolSpec};
use elbowroom_bending::tube::Tube;
use elbowroom_shop::calendar::{Calendar, DatedSpan, Holiday, Shift};
use elbowroom_shop::cell::{BendLimits, Cell, Hand, WorkKind};
use elbowroom_shop::crew::Crew;
use elbowroom_shop::order::Order;
use elbowroom_shop::part::{Forecast, Part, StockTube};
use elbowroom_shop::rack::{Tool, ToolState, Wear};
use elbowroom_shop::underway::{RunningStep, Underway};
use elbowroom_shop::vendor::Vendor;
use elbowroom_shop::{Customer, Shop, Steadiness, Terms};
use elbowroom_units::{Deg, Minutes, Mm, Money, RatePerMinute, Seconds};
use std::collections::BTreeMap;

/// A shop, and the points of those parts that are written as points with one radius.
pub struct Book {
    /// The shop.
    pub shop: Shop,
    /// Points and radius by part.
    pub points: BTreeMap<String, (Vec<Point>, Mm)>,
    /// How many of the shop's materials are its own; the others are shipped.
    pub own_materials: usize,
    /// How many of its orders are in `orders.toml`; the others are in `orders.csv`.
    pub orders_in_toml: usize,
}

const WEEKDAYS: [Weekday; 7] =
    [Weekday::Mon, Weekday::Tue, Weekday::Wed, Weekday::Thu, Weekday::Fri, Weekday::Sat, Weekday::Sun];

const WORKS: [WorkKind; 7] = [
    WorkKind::Bend(Process::RotaryDraw),
    WorkKind::Bend(Process::ThreeRoll),
    WorkKind::Cut,
    WorkKind::Deburr,
    WorkKind::EndForm,
    WorkKind::Weld,
    WorkKind::Inspect,
];

/// A random shop. Rules, standard times and shipped materials are those of `shipped`.
#[must_use]
pub fn random_book(seed: u64, shipped: &Shop) -> Book {
    let mut make = Maker { chance: Chance::new(seed) };
    let mut shop = Shop { terms: make.terms(), holidays: make.holidays(), ..shipped.clone() };
    shop.calendars = make.some(1, 3, "cal", Maker::calendar);
    shop.crews = make.some(1, 3, "crew", Maker::crew);
    let own = make.some(1, 3, "mat", Maker::material);
    let own_materials = own.len();
    shop.materials = own.into_iter().chain(shipped.materials.iter().cloned()).collect();
    let materials = ids(&shop.materials, |material| &material.id);
    shop.tubes = make.some(1, 4, "tube", |make, id| make.tube(id, &materials));
    shop.vendors = make.some(1, 3, "vendor", Maker::vendor);
    let mut points = BTreeMap::new();
    let (tubes, services) = (shop.tubes.clone(), ids(&shop.vendors, |vendor| &vendor.service));
    shop.parts = make.some(1, 6, "part", |make, id| make.part(id, &tubes, &services, &mut points));
    shop.tools = make.some(1, 6, "tool", Maker::tool);
    let references = Shop { cells: Vec::new(), orders: Vec::new(), underway: Vec::new(), ..shop.clone() };
    shop.cells = make.some(1, 5, "cell", |make, id| make.cell(id, &references));
    make.mount(&mut shop);
    shop.customers = make.some(0, 3, "customer", |make, id| Customer { id, late_cost_per_day: make.money() });
    shop.orders = make.some(1, 9, "order", |make, id| make.order(id, &references));
    let orders_in_toml = make.chance.below(shop.orders.len() + 1);
    shop.underway = make.underway(&shop);
    Book { shop, points, own_materials, orders_in_toml }
}

fn ids<T>(items: &[T], id: impl Fn(&T) -> &String) -> Vec<String> {
    items.iter().map(|item| id(item).clone()).collect()
}

struct Maker {
    chance: Chance,
}

impl Maker {
    fn some<T>(
        &mut self,
        least: i64,
        most: i64,
        stem: &str,
        make: impl FnMut(&mut Self, String) -> T,
    ) -> Vec<T> {
        let mut make = make;
        let count = self.chance.from_to(least, most);
        (0..count)
            .map(|number| self.id(stem, number))
            .collect::<Vec<_>>()
            .into_iter()
            .map(|id| make(self, id))
            .collect()
    }

    /// A name that is awkward to write in TOML or CSV.
    fn id(&mut self, stem: &str, number: i64) -> String {
        let awkward =
            ["", " \"quoted\"", ", Sons; & Co", " Müller 38×2", " 'x'", " \\n #1", "=1+1", "]]", " 管"];
        format!("{stem}{number}{}", self.chance.one_of(&awkward))
    }

    fn perhaps<T>(&mut self, make: impl FnOnce(&mut Self) -> T) -> Option<T> {
        if self.chance.yes(0.5) { Some(make(self)) } else { None }
    }

    fn pick(&mut self, ids: &[String]) -> String {
        ids[self.chance.below(ids.len())].clone()
    }

    /// A number of at most three decimals.
    fn number(&mut self, least: i64, most: i64) -> f64 {
        self.chance.from_to(least * 1000, most * 1000) as f64 / 1000.0
    }

    fn mm(&mut self, least: i64, most: i64) -> Mm {
        Mm::new(self.number(least, most))
    }

    fn money(&mut self) -> Money {
        Money::new(self.number(0, 5_000))
    }

    fn rate(&mut self) -> RatePerMinute {
        RatePerMinute::per_hour(self.number(0, 200))
    }

    fn minutes(&mut self) -> Minutes {
        Minutes::new(self.chance.from_to(1, 50_000))
    }

    fn date(&mut self) -> NaiveDate {
        let start: NaiveDate = "2026-01-01".parse().expect("this is a date");
        start + Days::new(self.chance.from_to(0, 700).unsigned_abs())
    }

    fn time(&mut self) -> NaiveTime {
        clock(self.chance.from_to(0, 1439))
    }

    fn terms(&mut self) -> Terms {
        let zones = [chrono_tz::Europe::Vienna, chrono_tz::America::Chicago, chrono_tz::Asia::Kathmandu];
        Terms {
            name: self.id("Shop ", 1),
            currency: self.chance.one_of(&["EUR", "USD", "JPY"]).to_owned(),
            time_zone: self.chance.one_of(&zones),
            plan_start: self.perhaps(Self::date),
            weeks: u32::try_from(self.chance.from_to(1, 52)).unwrap_or(1),
            ship_by: self.time(),
            receive_by: self.time(),
            transfer: self.minutes(),
            late_cost_per_day: self.money(),
            later_promise_cost_per_day: self.perhaps(Self::money),
            spare: self.minutes(),
            margin_percent: self.perhaps(|make| make.number(0, 100)),
            steadiness: Steadiness {
                frozen: self.minutes(),
                move_cost: self.money(),
                moved_by: self.minutes(),
            },
        }
    }

    fn holidays(&mut self) -> Vec<Holiday> {
        let mut holidays = self.some(0, 4, "Holiday ", |make, name| Holiday { date: make.date(), name });
        let mut seen = Vec::new();
        holidays.retain(|day| {
            !seen.contains(&day.date) && {
                seen.push(day.date);
                true
            }
        });
        holidays
    }

    /// A shift with breaks in its middle that do not touch.
    fn shift(&mut self, with_breaks: bool) -> Shift {
        let begin = self.chance.from_to(0, 1439);
        let length = self.chance.from_to(60, 1439);
        let count = if with_breaks { self.chance.from_to(0, 3) } else { 0 };
        let part = length / (count + 1);
        let at = |minutes: i64| clock((begin + minutes) % 1440);
        let breaks = (1..=count).map(|n| (at(n * part - 5), at(n * part))).collect();
        let mut days: Vec<Weekday> = WEEKDAYS.into_iter().filter(|_| self.chance.yes(0.5)).collect();
        if days.is_empty() {
            days.push(self.chance.one_of(&WEEKDAYS));
        }
        Shift { days, from: at(0), to: at(length), breaks }
    }

    fn dated(&mut self, must_have_times: bool) -> DatedSpan {
        let begin = self.chance.from_to(0, 1439);
        let end = (begin + self.chance.from_to(1, 1439)) % 1440;
        let timed = must_have_times || self.chance.yes(0.5);
        let reason = self.id("reason", 0);
        DatedSpan { date: self.date(), times: timed.then(|| (clock(begin), clock(end))), reason }
    }

    fn calendar(&mut self, id: String) -> Calendar {
        let shifts = self.some(0, 3, "", |make, _| make.shift(true));
        let extra = self.some(0, 2, "", |make, _| make.dated(true));
        let closed = self.some(0, 2, "", |make, _| make.dated(false));
        Calendar { id, shifts, extra, closed }
    }

    fn crew(&mut self, id: String) -> Crew {
        let name = self.id("Crew ", 0);
        let shifts = self.some(0, 3, "", |make, _| (make.shift(false), make.heads()));
        let extra = self.some(0, 2, "", |make, _| (make.dated(true), make.heads()));
        let absences = self.some(0, 2, "", |make, _| (make.date(), make.heads()));
        Crew { id, name, shifts, extra, absences }
    }

    fn heads(&mut self) -> u32 {
        self.chance.one_of(&[1, 2, 7])
    }

    fn material(&mut self, id: String) -> Material {
        let yield_mpa = self.number(50, 300);
        Material {
            id,
            name: self.id("Material ", 0),
            yield_mpa,
            tensile_mpa: yield_mpa + self.number(0, 200),
            modulus_mpa: self.number(1_000, 300_000),
            elongation_percent: self.number(1, 60),
            density_kg_m3: self.number(1_000, 9_000),
            source: self.id("source ", 0),
        }
    }

    fn tube(&mut self, id: String, materials: &[String]) -> StockTube {
        let od = self.number(10, 60);
        let wall = (od * 100.0).floor() / 1000.0;
        StockTube {
            id,
            tube: Tube::new(Mm::new(od), Mm::new(wall)).expect("the wall is a tenth of the diameter"),
            material: self.pick(materials),
            stock_length: self.mm(1_000, 7_000),
            other_lengths: (0..self.chance.from_to(0, 2)).map(|_| self.mm(1_000, 12_000)).collect(),
            on_hand: self.perhaps(|make| Mm::new(make.chance.from_to(0, 900) as f64 * 1000.0)),
            price_per_metre: self.perhaps(Self::money),
            lead: self.perhaps(Self::minutes),
        }
    }

    fn vendor(&mut self, id: String) -> Vendor {
        let service = format!("service of {}", id.trim());
        let turnaround = self.minutes();
        Vendor { id, service, turnaround, cost_per_order: self.money(), cost_per_piece: self.money() }
    }

    fn part(
        &mut self,
        id: String,
        tubes: &[StockTube],
        services: &[String],
        points: &mut BTreeMap<String, (Vec<Point>, Mm)>,
    ) -> Part {
        let shape = if self.chance.yes(0.3) { self.points_shape(&id, points) } else { self.rows_shape() };
        let yearly_quantity = self.perhaps(|make| make.chance.one_of(&[0, 1, 99_999]));
        let forecast = yearly_quantity.and_then(|yearly| self.perhaps(|make| make.forecast(yearly)));
        Part {
            name: self.id("Part ", 0),
            tube: tubes[self.chance.below(tubes.len())].id.clone(),
            shape,
            quality: Quality {
                max_ovality_percent: self.perhaps(|make| make.number(1, 20)),
                marks: self.chance.one_of(&[Marks::None, Marks::Light, Marks::Some]),
                clean_inside: self.chance.yes(0.5),
            },
            trim: self.mm(0, 50),
            processes: self.perhaps(|make| vec![make.chance.one_of(&Process::ALL)]),
            deburr: self.chance.yes(0.5),
            end_forms: self.chance.one_of(&[0, 1, 2]),
            weld: self.perhaps(|make| Seconds::new(make.number(1, 900))),
            inspect: self.chance.yes(0.5),
            outside: self.perhaps(|make| vec![make.pick(services)]).unwrap_or_default(),
            yearly_quantity,
            forecast,
            id,
        }
    }

    fn forecast(&mut self, yearly: u32) -> Forecast {
        Forecast {
            low: self.perhaps(|make| make.chance.one_of(&[0, yearly])),
            high: Some(yearly + 10),
            lot: self.perhaps(|make| make.chance.one_of(&[1, yearly + 10])),
            until: self.perhaps(Self::date),
        }
    }

    fn rows_shape(&mut self) -> Shape {
        let count = self.chance.from_to(1, 6);
        let row = |number| Bend {
            straight_before: self.mm(0, 900),
            rotation: if number == 0 { Deg::ZERO } else { Deg::new(self.number(-179, 180)) },
            clr: self.mm(31, 400),
            angle: Deg::new(self.number(1, 359)),
        };
        let bends = (0..count).map(row).collect();
        Shape::from_rows(bends, self.mm(0, 900)).expect("all rows are in their range")
    }

    /// A stair with legs of a metre and more.
    fn points_shape(&mut self, id: &str, points: &mut BTreeMap<String, (Vec<Point>, Mm)>) -> Shape {
        let legs = self.chance.from_to(2, 5);
        let mut corners = vec![Point::default()];
        for leg in 0..legs {
            let last = corners[corners.len() - 1];
            // Whole millimetres, whose sums are exact.
            let step = Mm::new(self.chance.from_to(1_000, 2_000) as f64);
            corners.push(match leg % 3 {
                0 => Point { x: last.x + step, ..last },
                1 => Point { y: last.y + step, ..last },
                _ => Point { z: last.z + step, ..last },
            });
        }
        let clr = self.mm(31, 300);
        let shape = Shape::from_points(&corners, &[clr]).expect("legs are longer than both setbacks");
        points.insert(id.to_owned(), (corners, clr));
        shape
    }

    fn tool(&mut self, id: String) -> Tool {
        let kind = self.chance.one_of(&ToolKind::ALL);
        let spec = ToolSpec {
            kind,
            od: self.mm(10, 60),
            clr: kind.has_radius().then(|| self.mm(31, 400)),
            wall: kind.has_wall().then(|| self.mm(1, 4)),
            balls: if kind == ToolKind::Mandrel { self.chance.one_of(&[0, 1, 5]) } else { 0 },
        };
        let state = match self.chance.below(3) {
            0 => ToolState::Rack,
            1 => ToolState::OnOrder { arrives: self.date() },
            _ => ToolState::Offered { price: self.money(), lead: self.minutes(), estimated: false },
        };
        let wear = self.perhaps(|make| Wear { limit: 50_000, bends: make.chance.one_of(&[0, 1, 49_999]) });
        let place = self.perhaps(|_| "rack 2, shelf B".to_owned());
        Tool { id, spec, pieces: self.chance.one_of(&[1, 2]), state, fits: None, wear, place }
    }

    fn cell(&mut self, id: String, shop: &Shop) -> Cell {
        let work = self.chance.one_of(&WORKS);
        let crews = ids(&shop.crews, |crew| &crew.id);
        Cell {
            id,
            name: self.id("Cell ", 0),
            work,
            limits: matches!(work, WorkKind::Bend(_)).then(|| self.limits()),
            calendar: self.pick(&ids(&shop.calendars, |calendar| &calendar.id)),
            closed: self.some(0, 2, "", |make, _| make.dated(false)),
            run_rate: self.rate(),
            setup_rate: self.rate(),
            setup_crew: self.perhaps(|make| make.pick(&crews)),
            run_crew: self.perhaps(|make| make.pick(&crews)),
            mounted: Vec::new(),
            mounted_program: self.perhaps(|make| make.pick(&ids(&shop.parts, |part| &part.id))),
            speed_factor: self.number(1, 3),
        }
    }

    fn limits(&mut self) -> BendLimits {
        BendLimits {
            od: (self.mm(5, 20), self.mm(20, 60)),
            max_wall: self.perhaps(|make| make.mm(1, 6)),
            max_length: self.perhaps(|make| make.mm(1_000, 9_000)),
            clr: self.perhaps(|make| (make.mm(20, 50), make.mm(50, 400))),
            max_moment_kn_m: self.perhaps(|make| make.number(1, 9)),
            hand: self.chance.one_of(&[Hand::Left, Hand::Right, Hand::Both]),
            max_bends: self.perhaps(|make| make.chance.one_of(&[1, 20])),
            floor_clearance: self.perhaps(|make| make.mm(600, 1500)),
            swing_clearance: self.perhaps(|make| make.mm(800, 4000)),
            bend_speed_deg_s: self.perhaps(|make| make.number(1, 90)),
        }
    }

    /// Mounts tools of the rack, each once, and says of some which cells they fit.
    fn mount(&mut self, shop: &mut Shop) {
        for tool in shop.tools.iter_mut().filter(|tool| tool.state == ToolState::Rack) {
            let at = self.chance.below(shop.cells.len());
            if self.chance.yes(0.7) {
                shop.cells[at].mounted.push(tool.id.clone());
            }
            tool.fits = self.perhaps(|_| vec![shop.cells[at].id.clone()]);
        }
    }

    fn order(&mut self, id: String, shop: &Shop) -> Order {
        Order {
            id,
            part: self.pick(&ids(&shop.parts, |part| &part.id)),
            quantity: self.chance.one_of(&[1, 50, 10_000_000]),
            promised: self.date(),
            material: self.perhaps(Self::date),
            customer: self.perhaps(|make| make.id("customer", 1)),
            late_cost_per_day: self.perhaps(Self::money),
        }
    }

    /// The first orders are under way, each on a cell of its own or on none.
    fn underway(&mut self, shop: &Shop) -> Vec<Underway> {
        let mut all = Vec::new();
        for (order, cell) in
            shop.orders.iter().zip(&shop.cells).filter(|_| self.chance.yes(0.5)).collect::<Vec<_>>()
        {
            let step = if matches!(cell.work, WorkKind::Bend(_)) { "bend" } else { cell.work.name() };
            let running = self.perhaps(|make| RunningStep {
                step: step.to_owned(),
                cell: cell.id.clone(),
                remaining: make.minutes(),
                presumed: false,
            });
            let done = if step == "wash" { Vec::new() } else { vec!["wash".to_owned()] };
            all.push(Underway { order: order.id.clone(), done, running });
        }
        all
    }
}

fn clock(minutes: i64) -> NaiveTime {
    let minutes = u32::try_from(minutes).unwrap_or(0);
    NaiveTime::from_hms_opt(minutes / 60, minutes % 60, 0).expect("minutes are those of one day")
}
