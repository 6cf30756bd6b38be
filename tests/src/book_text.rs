//! A shop as the files of a shop folder.

use crate::random_book::Book;
use chrono::{NaiveTime, Weekday};
use elbowroom_bending::piece::Marks;
use elbowroom_bending::tooling::ToolKind;
use elbowroom_shop::calendar::{DatedSpan, Shift};
use elbowroom_shop::cell::{Cell, Hand};
use elbowroom_shop::order::Order;
use elbowroom_shop::part::{Forecast, Part};
use elbowroom_shop::rack::{Tool, ToolState};
use elbowroom_units::{Deg, Minutes, Mm, Money};
use std::collections::BTreeMap;
use std::fmt::Write as _;

/// The files of the folder by name.
#[must_use]
pub fn files(book: &Book) -> BTreeMap<String, String> {
    let shop = &book.shop;
    let (in_toml, in_csv) = shop.orders.split_at(book.orders_in_toml);
    let file = |name: &str, text: String| (name.to_owned(), text);
    BTreeMap::from([
        file("shop.toml", terms(book)),
        file("calendars.toml", calendars(book)),
        file("crews.toml", crews(book)),
        file("materials.toml", materials(book)),
        file("tubes.toml", tubes(book)),
        file("vendors.toml", vendors(book)),
        file("parts.toml", shop.parts.iter().map(|one| part(book, one)).collect()),
        file("tooling.toml", shop.tools.iter().map(tool).collect()),
        file("cells.toml", shop.cells.iter().map(cell).collect()),
        file("customers.toml", customers(book)),
        file("orders.toml", in_toml.iter().map(order).collect()),
        file("orders.csv", csv(in_csv)),
        file("underway.toml", underway(book)),
    ])
}

/// One table of a file: its header, then its keys.
struct Lines(String);

impl Lines {
    fn new(header: &str) -> Self {
        Self(format!("\n{header}\n"))
    }

    /// A value that is written as it stands.
    fn raw(mut self, key: &str, value: impl std::fmt::Display) -> Self {
        let _ = writeln!(self.0, "{key} = {value}");
        self
    }

    fn raw_opt(self, key: &str, value: Option<impl std::fmt::Display>) -> Self {
        match value {
            Some(value) => self.raw(key, value),
            None => self,
        }
    }

    fn text(self, key: &str, value: &str) -> Self {
        self.raw(key, quoted(value))
    }

    fn text_opt(self, key: &str, value: Option<&String>) -> Self {
        self.raw_opt(key, value.map(|value| quoted(value)))
    }
}

/// As a basic string: what JSON escapes, TOML escapes alike.
fn quoted(text: &str) -> String {
    serde_json::Value::from(text).to_string()
}

fn mm(length: Mm) -> String {
    format!("\"{} mm\"", length.mm())
}

fn deg(angle: Deg) -> String {
    format!("\"{} deg\"", angle.degrees())
}

fn min(time: Minutes) -> String {
    format!("\"{} min\"", time.count())
}

fn clock(time: NaiveTime) -> String {
    time.format("\"%H:%M\"").to_string()
}

fn list(values: impl IntoIterator<Item = String>) -> String {
    format!("[{}]", values.into_iter().collect::<Vec<_>>().join(", "))
}

fn texts(values: &[String]) -> String {
    list(values.iter().map(|value| quoted(value)))
}

fn day(day: &Weekday) -> String {
    quoted(&day.to_string())
}

fn terms(book: &Book) -> String {
    let terms = &book.shop.terms;
    Lines::new("# the shop")
        .text("name", &terms.name)
        .text("currency", &terms.currency)
        .text("time_zone", terms.time_zone.name())
        .raw_opt("plan_start", terms.plan_start)
        .raw("weeks", terms.weeks)
        .raw("ship_by", clock(terms.ship_by))
        .raw("receive_by", clock(terms.receive_by))
        .raw("transfer", min(terms.transfer))
        .raw("default_late_cost_per_day", terms.late_cost_per_day.amount())
        .raw_opt("later_promise_cost_per_day", terms.later_promise_cost_per_day.map(Money::amount))
        .raw("spare", min(terms.spare))
        .raw_opt("margin_percent", terms.margin_percent)
        .raw("frozen", min(terms.steadiness.frozen))
        .raw("move_cost", terms.steadiness.move_cost.amount())
        .raw("moved_by", min(terms.steadiness.moved_by))
        .0
}

fn shift(header: &str, shift: &Shift) -> Lines {
    let breaks = shift.breaks.iter().map(|(from, to)| list([clock(*from), clock(*to)]));
    let lines = Lines::new(header)
        .raw("days", list(shift.days.iter().map(day)))
        .raw("from", clock(shift.from))
        .raw("to", clock(shift.to));
    if shift.breaks.is_empty() { lines } else { lines.raw("breaks", list(breaks)) }
}

fn dated(header: &str, span: &DatedSpan) -> Lines {
    Lines::new(header)
        .raw("date", span.date)
        .raw_opt("from", span.times.map(|(from, _)| clock(from)))
        .raw_opt("to", span.times.map(|(_, to)| clock(to)))
        .text("reason", &span.reason)
}

fn calendars(book: &Book) -> String {
    let mut text = String::new();
    for day in &book.shop.holidays {
        text += &Lines::new("[[holiday]]").text("date", &day.date.to_string()).text("name", &day.name).0;
    }
    for calendar in &book.shop.calendars {
        text += &Lines::new("[[calendar]]").text("id", &calendar.id).0;
        text.extend(calendar.shifts.iter().map(|one| shift("[[calendar.shift]]", one).0));
        text.extend(calendar.extra.iter().map(|one| dated("[[calendar.extra]]", one).0));
        text.extend(calendar.closed.iter().map(|one| dated("[[calendar.closed]]", one).0));
    }
    text
}

fn crews(book: &Book) -> String {
    let mut text = String::new();
    for crew in &book.shop.crews {
        text += &Lines::new("[[crew]]").text("id", &crew.id).text("name", &crew.name).0;
        text.extend(
            crew.shifts.iter().map(|(one, heads)| shift("[[crew.shift]]", one).raw("heads", heads).0),
        );
        text.extend(crew.extra.iter().map(|(one, heads)| dated("[[crew.extra]]", one).raw("heads", heads).0));
        text.extend(
            crew.absences
                .iter()
                .map(|(date, heads)| Lines::new("[[crew.absence]]").raw("date", date).raw("heads", heads).0),
        );
    }
    text
}

fn materials(book: &Book) -> String {
    let own = &book.shop.materials[..book.own_materials];
    let one = |material: &elbowroom_bending::material::Material| {
        Lines::new("[[material]]")
            .text("id", &material.id)
            .text("name", &material.name)
            .raw("yield_mpa", material.yield_mpa)
            .raw("tensile_mpa", material.tensile_mpa)
            .raw("modulus_mpa", material.modulus_mpa)
            .raw("elongation_percent", material.elongation_percent)
            .raw("density_kg_m3", material.density_kg_m3)
            .text("source", &material.source)
            .0
    };
    own.iter().map(one).collect()
}

fn tubes(book: &Book) -> String {
    let one = |stock: &elbowroom_shop::part::StockTube| {
        Lines::new("[[tube]]")
            .text("id", &stock.id)
            .raw("od", mm(stock.tube.outer()))
            .raw("wall", mm(stock.tube.wall()))
            .text("material", &stock.material)
            .raw("stock_length", mm(stock.stock_length))
            .raw(
                "other_lengths",
                format!(
                    "[{}]",
                    stock.other_lengths.iter().map(|length| mm(*length)).collect::<Vec<_>>().join(", ")
                ),
            )
            .raw_opt("on_hand_m", stock.on_hand.map(Mm::metres))
            .raw_opt("price_per_m", stock.price_per_metre.map(|price| price.amount()))
            .raw_opt("lead", stock.lead.map(min))
            .0
    };
    book.shop.tubes.iter().map(one).collect()
}

fn vendors(book: &Book) -> String {
    let one = |vendor: &elbowroom_shop::vendor::Vendor| {
        Lines::new("[[vendor]]")
            .text("id", &vendor.id)
            .text("service", &vendor.service)
            .raw("turnaround", min(vendor.turnaround))
            .raw("cost_per_order", vendor.cost_per_order.amount())
            .raw("cost_per_piece", vendor.cost_per_piece.amount())
            .0
    };
    book.shop.vendors.iter().map(one).collect()
}

fn part(book: &Book, part: &Part) -> String {
    let marks = match part.quality.marks {
        Marks::None => "none",
        Marks::Light => "light",
        Marks::Some => "some",
    };
    let lines = Lines::new("[[part]]").text("id", &part.id).text("name", &part.name).text("tube", &part.tube);
    shape(lines, book, part)
        .raw_opt("max_ovality_percent", part.quality.max_ovality_percent)
        .text("marks", marks)
        .raw("clean_inside", part.quality.clean_inside)
        .raw("trim", mm(part.trim))
        .raw_opt(
            "processes",
            part.processes.as_ref().map(|all| list(all.iter().map(|one| quoted(one.name())))),
        )
        .raw("deburr", part.deburr)
        .raw("end_forms", part.end_forms)
        .raw_opt("weld", part.weld.map(|weld| format!("\"{} s\"", weld.seconds())))
        .raw("inspect", part.inspect)
        .raw("outside", texts(&part.outside))
        .raw_opt("yearly_quantity", part.yearly_quantity)
        .raw_opt("forecast", part.forecast.map(forecast))
        .0
}

fn forecast(forecast: Forecast) -> String {
    let Forecast { low, high, lot, until } = forecast;
    let counts = [("low", low), ("high", high), ("lot", lot)];
    let counts = counts.into_iter().filter_map(|(key, count)| count.map(|count| format!("{key} = {count}")));
    let until = until.map(|date| format!("until = {date}"));
    format!("{{ {} }}", counts.chain(until).collect::<Vec<_>>().join(", "))
}

fn shape(lines: Lines, book: &Book, part: &Part) -> Lines {
    if let Some((points, clr)) = book.points.get(&part.id) {
        let points = points.iter().map(|point| list(point.coordinates().map(mm)));
        return lines.raw("points", list(points)).raw("clr", mm(*clr));
    }
    let bends = part.shape.bends().iter().enumerate().map(|(number, bend)| {
        let rotation =
            if number == 0 { String::new() } else { format!("rotation = {}, ", deg(bend.rotation)) };
        format!(
            "{{ straight = {}, {rotation}clr = {}, angle = {} }}",
            mm(bend.straight_before),
            mm(bend.clr),
            deg(bend.angle)
        )
    });
    lines.raw("bends", list(bends)).raw("end_straight", mm(part.shape.end_straight()))
}

fn tool(tool: &Tool) -> String {
    let spec = &tool.spec;
    let balls = (spec.kind == ToolKind::Mandrel).then_some(spec.balls);
    let lines = Lines::new("[[tool]]")
        .text("id", &tool.id)
        .text("kind", spec.kind.name())
        .raw("od", mm(spec.od))
        .raw_opt("clr", spec.clr.map(mm))
        .raw_opt("wall", spec.wall.map(mm))
        .raw_opt("balls", balls)
        .raw("pieces", tool.pieces)
        .raw_opt("fits", tool.fits.as_deref().map(texts))
        .raw_opt("wear_limit", tool.wear.map(|wear| wear.limit))
        .raw_opt("bends", tool.wear.map(|wear| wear.bends))
        .text_opt("place", tool.place.as_ref());
    match tool.state {
        ToolState::Rack => lines.text("state", "rack"),
        ToolState::OnOrder { arrives } => lines.text("state", "on order").raw("arrives", arrives),
        ToolState::Offered { price, lead, .. } => {
            lines.text("state", "offered").raw("price", price.amount()).raw("lead", min(lead))
        }
    }
    .0
}

fn cell(cell: &Cell) -> String {
    let lines = Lines::new("[[cell]]")
        .text("id", &cell.id)
        .text("name", &cell.name)
        .text("work", cell.work.name())
        .text("calendar", &cell.calendar)
        .raw("hourly_rate", hourly(cell.run_rate.amount_per_hour()))
        .raw("setup_hourly_rate", hourly(cell.setup_rate.amount_per_hour()))
        .text_opt("setup_crew", cell.setup_crew.as_ref())
        .text_opt("run_crew", cell.run_crew.as_ref())
        .raw("mounted", texts(&cell.mounted))
        .text_opt("mounted_program", cell.mounted_program.as_ref())
        .raw("speed_factor", cell.speed_factor);
    let mut text = limits(lines, cell).0;
    text.extend(cell.closed.iter().map(|one| dated("[[cell.closed]]", one).0));
    text
}

/// The rate of at most three decimals that it was made of.
fn hourly(rate: f64) -> f64 {
    (rate * 1000.0).round() / 1000.0
}

fn limits(lines: Lines, cell: &Cell) -> Lines {
    let Some(limits) = &cell.limits else { return lines };
    let pair = |(least, most): (Mm, Mm)| list([mm(least), mm(most)]);
    let hand = match limits.hand {
        Hand::Left => "left",
        Hand::Right => "right",
        Hand::Both => "both",
    };
    lines
        .raw("od", pair(limits.od))
        .raw_opt("max_wall", limits.max_wall.map(mm))
        .raw_opt("max_length", limits.max_length.map(mm))
        .raw_opt("clr", limits.clr.map(pair))
        .raw_opt("max_moment", limits.max_moment_kn_m)
        .text("hand", hand)
        .raw_opt("max_bends", limits.max_bends)
        .raw_opt("floor_clearance", limits.floor_clearance.map(mm))
        .raw_opt("swing_clearance", limits.swing_clearance.map(mm))
        .raw_opt("bend_speed", limits.bend_speed_deg_s)
}

fn customers(book: &Book) -> String {
    let one = |customer: &elbowroom_shop::Customer| {
        let cost = customer.late_cost_per_day.amount();
        Lines::new("[[customer]]").text("id", &customer.id).raw("late_cost_per_day", cost).0
    };
    book.shop.customers.iter().map(one).collect()
}

fn order(order: &Order) -> String {
    Lines::new("[[order]]")
        .text("id", &order.id)
        .text("part", &order.part)
        .raw("quantity", order.quantity)
        .raw("promised", order.promised)
        .raw_opt("material", order.material)
        .text_opt("customer", order.customer.as_ref())
        .raw_opt("late_cost_per_day", order.late_cost_per_day.map(|cost| cost.amount()))
        .0
}

/// By RFC 4180: every field in quotation marks, those inside doubled.
fn csv(orders: &[Order]) -> String {
    let field = |text: String| format!("\"{}\"", text.replace('"', "\"\""));
    let row = |order: &Order| {
        let fields = [
            order.id.clone(),
            order.part.clone(),
            order.quantity.to_string(),
            order.promised.to_string(),
            order.material.map(|date| date.to_string()).unwrap_or_default(),
            order.customer.clone().unwrap_or_default(),
            order.late_cost_per_day.map(|cost| cost.amount().to_string()).unwrap_or_default(),
        ];
        fields.map(field).join(",") + "\r\n"
    };
    let header = "id,part,quantity,promised,material,customer,late_cost_per_day\r\n".to_owned();
    std::iter::once(header).chain(orders.iter().map(row)).collect()
}

fn underway(book: &Book) -> String {
    let one = |work: &elbowroom_shop::underway::Underway| {
        let lines = Lines::new("[[underway]]").text("order", &work.order).raw("done", texts(&work.done));
        let Some(running) = &work.running else { return lines.0 };
        lines
            .text("step", &running.step)
            .text("cell", &running.cell)
            .raw("remaining", min(running.remaining))
            .0
    };
    book.shop.underway.iter().map(one).collect()
}
