//! `orders.csv`: the order book as an office exports it (RFC 4180).

use super::csv_row::{Row, separator};
use crate::code;
use crate::context::Context;
use crate::finding::{Place, Problem};
use crate::near::did_you_mean;
use crate::places::Kind;
use crate::plain;
use crate::text::Text;
use csv::{ByteRecord, ReaderBuilder};
use elbowroom_shop::order::Order;
use elbowroom_units::Money;

/// A column that is read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Column {
    Id,
    Part,
    Quantity,
    Promised,
    Material,
    Customer,
    LateCostPerDay,
}

/// Names of the columns; an order's id may be headed `order` too.
const COLUMNS: [(&str, Column); 8] = [
    ("id", Column::Id),
    ("order", Column::Id),
    ("part", Column::Part),
    ("quantity", Column::Quantity),
    ("promised", Column::Promised),
    ("material", Column::Material),
    ("customer", Column::Customer),
    ("late_cost_per_day", Column::LateCostPerDay),
];

const NEEDED: [&str; 4] = ["id", "part", "quantity", "promised"];

pub(crate) fn read(cx: &mut Context<'_>, text: &Text<'_>) -> Vec<Order> {
    let separator = separator(cx, text);
    let mut reader = ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(separator)
        .from_reader(text.text.as_bytes());
    let mut record = ByteRecord::new();
    let Ok(true) = reader.read_byte_record(&mut record) else {
        let problem = Problem::new(code::EMPTY_FILE, format!("`{}` is empty", text.file));
        cx.findings.error(Place::whole(&text.file), problem.hint(header_hint()));
        return Vec::new();
    };
    let header = Header::read(cx, &Row::new(text, &record, separator));
    let Some(header) = header else {
        cx.incomplete.insert(Kind::Order);
        return Vec::new();
    };
    let mut orders = Vec::new();
    while let Ok(true) = reader.read_byte_record(&mut record) {
        let row = Row::new(text, &record, separator);
        if !row.is_blank() {
            orders.extend(order(cx, &header, &row));
        }
    }
    orders
}

fn header_hint() -> String {
    format!("the first line names the columns: {},material,customer,late_cost_per_day", NEEDED.join(","))
}

/// Which field holds which column.
struct Header {
    /// Field of each column, by its place in the enum.
    fields: [Option<usize>; 7],
    names: usize,
}

impl Header {
    fn read(cx: &Context<'_>, row: &Row<'_>) -> Option<Self> {
        let errors = cx.findings.errors();
        let mut header = Self { fields: [None; 7], names: row.record.len() };
        let mut unknown = Vec::new();
        for at in 0..row.record.len() {
            let name = row.field(at);
            match COLUMNS.iter().find(|(known, _)| known.eq_ignore_ascii_case(name)) {
                Some((_, column)) => header.take(cx, row, at, *column),
                None if name.is_empty() => {}
                None => unknown.push(at),
            }
        }
        unknown.iter().for_each(|at| header.unknown(cx, row, *at));
        header.missing(cx, row, cx.findings.errors() > errors);
        (cx.findings.errors() == errors).then_some(header)
    }

    fn take(&mut self, cx: &Context<'_>, row: &Row<'_>, at: usize, column: Column) {
        let slot = &mut self.fields[column as usize];
        if slot.is_some() {
            let message = format!("column `{}` is there twice", row.field(at));
            let problem = Problem::new(code::CSV_HEADER, message).hint("remove or rename one of the two");
            cx.findings.error(row.field_place(at), problem);
        } else {
            *slot = Some(at);
        }
    }

    /// A column of another name: a fault where it looks like a known one that is not there, else
    /// just not read, since exports have many columns.
    fn unknown(&self, cx: &Context<'_>, row: &Row<'_>, at: usize) {
        let name = plain::quoted(row.field(at));
        let absent = COLUMNS.iter().filter(|(_, column)| self.fields[*column as usize].is_none());
        match did_you_mean(row.field(at), absent.map(|(known, _)| *known)) {
            Some(near) => {
                let problem = Problem::new(code::CSV_HEADER, format!("unknown column {name}"));
                cx.findings.error(row.field_place(at), problem.hint(near));
            }
            None => {
                let problem = Problem::new(
                    code::CSV_UNKNOWN_COLUMN,
                    format!("column {name} is not known and not read"),
                );
                cx.findings.warning(row.field_place(at), problem);
            }
        }
    }

    /// Reports needed columns that are not there, unless an unknown one was probably meant.
    fn missing(&self, cx: &Context<'_>, row: &Row<'_>, misspelt: bool) {
        let missing = |name: &&&str| {
            let column = COLUMNS.iter().find(|(known, _)| *known == **name).map(|(_, column)| *column);
            column.is_some_and(|column| self.fields[column as usize].is_none())
        };
        let names: Vec<&str> = NEEDED.iter().filter(missing).copied().collect();
        if !names.is_empty() && !misspelt {
            let message = format!("column {} is missing", names.join(", "));
            cx.findings.error(row.place(), Problem::new(code::CSV_HEADER, message).hint(header_hint()));
        }
    }
}

/// The values of a row.
struct Fields<'a> {
    cx: &'a Context<'a>,
    header: &'a Header,
    row: &'a Row<'a>,
    whose: String,
}

impl Fields<'_> {
    fn raw(&self, column: Column) -> &str {
        self.header.fields[column as usize].map_or("", |at| self.row.field(at))
    }

    /// The value of a column; an empty field is reported.
    fn req<T>(&self, column: Column, read: impl Fn(&str) -> Result<T, Problem>) -> Option<T> {
        if self.raw(column).is_empty() {
            self.fault(column, Problem::new(code::MISSING_KEY, "is empty"));
            return None;
        }
        self.value(column, read)
    }

    /// The value of a column; inner `None` where the field is empty or there is no such column.
    fn opt<T>(&self, column: Column, read: impl Fn(&str) -> Result<T, Problem>) -> Option<Option<T>> {
        if self.raw(column).is_empty() { Some(None) } else { self.value(column, read).map(Some) }
    }

    fn value<T>(&self, column: Column, read: impl Fn(&str) -> Result<T, Problem>) -> Option<T> {
        read(self.raw(column)).map_err(|problem| self.fault(column, problem)).ok()
    }

    fn fault(&self, column: Column, problem: Problem) {
        let name = COLUMNS.iter().find(|(_, other)| *other == column).map_or("", |(name, _)| name);
        let place = self.header.fields[column as usize]
            .map_or_else(|| self.row.place(), |at| self.row.field_place(at));
        self.cx.findings.error(place, problem.of(format_args!("{}: `{name}`", self.whose)));
    }
}

fn order(cx: &mut Context<'_>, header: &Header, row: &Row<'_>) -> Option<Order> {
    if row.record.len() != header.names {
        cx.findings.error(row.place(), field_count(row, header.names));
        cx.incomplete.insert(Kind::Order);
        return None;
    }
    let errors = cx.findings.errors();
    let place = row.place();
    let read = |cx: &Context<'_>| {
        let id = header.fields[Column::Id as usize].map_or("", |at| row.field(at));
        let whose =
            if id.is_empty() { format!("row at line {}", place.line) } else { format!("order `{id}`") };
        let fields = Fields { cx, header, row, whose };
        (fields.req(Column::Id, plain::id), values(cx, &fields))
    };
    let (id, order) = read(cx);
    let sound = order.is_some() && cx.findings.errors() == errors;
    let id = id?;
    let fresh = cx.note((Kind::Order, &id), place, Vec::new(), sound);
    order.filter(|_| sound && fresh).map(|order| Order { id, ..order })
}

/// All values but the id.
fn values(cx: &Context<'_>, fields: &Fields<'_>) -> Option<Order> {
    let part =
        fields.req(Column::Part, |id| cx.find(Kind::Part, id).map(|sound| sound.then(|| id.to_owned())));
    let quantity = fields.req(Column::Quantity, plain::quantity);
    let promised = fields.req(Column::Promised, plain::date);
    let material = fields.opt(Column::Material, plain::date);
    let customer = fields.opt(Column::Customer, plain::id);
    let late_cost_per_day = fields.opt(Column::LateCostPerDay, plain::amount);
    Some(Order {
        id: String::new(),
        part: part??,
        quantity: quantity?,
        promised: promised?,
        material: material?,
        customer: customer?,
        late_cost_per_day: late_cost_per_day?.map(Money::new),
    })
}

fn field_count(row: &Row<'_>, expected: usize) -> Problem {
    let message = format!("this row has {} fields, the header {expected}", row.record.len());
    let open_quote = row.record.iter().any(|field| field.contains(&b'\n'));
    let hint = if open_quote {
        "a quotation mark opens a field that does not end on its line; close it"
    } else {
        "a separator inside a field needs quotation marks around the field"
    };
    Problem::new(code::CSV_FIELDS, message).hint(hint)
}
