//! One reading of a folder: all files, in the order in which they refer to each other.

use crate::code;
use crate::context::Context;
use crate::finding::{Place, Problem};
use crate::keyed::{Layer, Table};
use crate::measured_file::MEASURED;
use crate::notice_board::NOTICES;
use crate::parsed::{Parsed, Texts};
use crate::places::Kind;
use crate::shop::{calendars, cells, crews, materials, orders, orders_csv, parts, rules, steps, terms};
use crate::shop::{measured, notices, tooling, tubes, uncertainty, underway, vendors};
use crate::text::Text;
use crate::{shipped, warnings};
use chrono::{NaiveDate, NaiveTime};
use elbowroom_bending::rules::Rules;
use elbowroom_bending::stock::StockSizes;
use elbowroom_shop::notice::Notice;
use elbowroom_shop::order::Order;
use elbowroom_shop::part::{Part, StockTube};
use elbowroom_shop::rack::Tool;
use elbowroom_shop::standards::StepTimes;
use elbowroom_shop::{Shop, Steadiness, Terms};
use elbowroom_units::{Minutes, Money};

/// One reading of a folder.
pub(crate) struct Reading<'a> {
    pub texts: &'a Texts<'a>,
    pub parsed: &'a [Parsed<'a>],
    pub shipped: &'a [Parsed<'a>],
}

impl<'a> Reading<'a> {
    /// A file that could be parsed.
    fn file(&self, name: &str) -> Option<&'a Parsed<'a>> {
        self.parsed.iter().find(|parsed| parsed.name() == name)
    }

    /// The root table of a file that lists things of a kind. Where the file is faulty as a whole,
    /// the kind is known to be incomplete.
    fn list(&self, cx: &mut Context<'_>, name: &str, kinds: &[Kind]) -> Option<Table<'a>> {
        let parsed = self.file(name);
        if self.texts.is_unread(name) || parsed.is_some_and(|parsed| parsed.doc.is_broken()) {
            cx.incomplete.extend(kinds);
        }
        let parsed = parsed?;
        if parsed.doc.text.text.trim().is_empty() {
            let problem = Problem::new(code::EMPTY_FILE, format!("`{name}` is empty"));
            cx.findings.warning(Place::whole(name), problem.hint("remove it if it is not needed"));
        }
        Some(Table::new(parsed.layer(), String::new()))
    }

    /// A file of rules on top of the shipped one, or the shipped one alone where the shop's is
    /// absent.
    fn rules(&self, name: &str) -> Table<'a> {
        let own = self.file(name).map(Parsed::layer);
        Table::layered(own.into_iter().chain([self.shipped(name)]).collect(), String::new())
    }

    fn shipped(&self, name: &str) -> Layer<'a> {
        let parsed = self.shipped.iter().find(|parsed| shipped::is(parsed.name(), name));
        parsed.expect("every file of rules is shipped").layer()
    }

    /// Reads rules; where the shop's own are faulty, the shipped ones, so that the rest can be read.
    fn rules_or_shipped<T>(&self, cx: &Context<'_>, name: &str, read: impl Fn(&Table<'a>) -> Option<T>) -> T {
        let errors = cx.findings.errors();
        let own = read(&self.rules(name)).filter(|_| cx.findings.errors() == errors);
        own.unwrap_or_else(|| self.read_shipped(name, read))
    }

    fn read_shipped<T>(&self, name: &str, read: impl Fn(&Table<'a>) -> Option<T>) -> T {
        let shipped = Table::new(self.shipped(name), String::new());
        read(&shipped).expect("the shipped rules are read by a test of this crate")
    }

    /// Reads every file, in the order in which they refer to each other.
    pub fn shop(&self, cx: &mut Context<'_>, start: Option<NaiveDate>) -> Option<(Shop, Vec<Notice>)> {
        self.check_presence(cx);
        let terms = self.terms(cx);
        let (step_times, sizes) = self.standards(cx);
        let mut shop = self.lists(cx, terms.clone().unwrap_or_else(placeholder), step_times);
        let notices = self.heed_notices(cx, &mut shop);
        tooling::check_fits(cx, &mut shop.tools);
        warnings::check_mounted(cx, &shop);
        let start = start.or(terms.as_ref().and_then(|terms| terms.plan_start));
        warnings::warn(cx, &shop, &sizes, start);
        terms.map(|_| (shop, notices))
    }

    /// Brings the shop up to date with the notices on its board.
    fn heed_notices(&self, cx: &mut Context<'_>, shop: &mut Shop) -> Vec<Notice> {
        let Some(table) = self.list(cx, NOTICES, &[]) else { return Vec::new() };
        let notices = notices::heeded(cx, &table, shop);
        table.finish();
        notices
    }

    /// Reports needed files that are not there. A folder that could not be opened has been reported.
    fn check_presence(&self, cx: &Context<'_>) {
        if self.texts.files.is_empty() && self.texts.unread.is_empty() && cx.findings.errors() > 0 {
            return;
        }
        let missing = |name: &str, message: &str, hint: &str| {
            cx.findings.error(Place::whole(name), Problem::new(code::MISSING_FILE, message).hint(hint));
        };
        if self.texts.is_absent("shop.toml") {
            missing(
                "shop.toml",
                "there is no shop.toml in this folder",
                "is it a shop folder? shop.toml says name, currency and time zone",
            );
        }
        if self.texts.is_absent("orders.toml") && self.texts.is_absent("orders.csv") {
            missing(
                "orders.toml",
                "there is no order book in this folder",
                "put it into orders.toml or orders.csv",
            );
        }
    }

    fn terms(&self, cx: &mut Context<'_>) -> Option<Terms> {
        let errors = cx.findings.errors();
        let table = self.list(cx, "shop.toml", &[Kind::Shop])?;
        let terms = terms::read(&table);
        let sound = terms.is_some() && cx.findings.errors() == errors;
        cx.note((Kind::Shop, ""), table.place(), table.key_places(), sound);
        terms
    }

    fn standards(&self, cx: &Context<'_>) -> (StepTimes, StockSizes) {
        (
            self.rules_or_shipped(cx, "steps.toml", steps::steps),
            self.rules_or_shipped(cx, "stock.toml", steps::stock),
        )
    }

    fn lists(&self, cx: &mut Context<'_>, terms: Terms, step_times: StepTimes) -> Shop {
        let mut holidays = Vec::new();
        let calendars = self.items(cx, "calendars.toml", &[Kind::Calendar], |cx, table| {
            holidays = calendars::holidays(table);
            calendars::read(cx, table)
        });
        let crews = self.items(cx, "crews.toml", &[Kind::Crew], crews::read);
        let own_materials = self.list(cx, "materials.toml", &[Kind::Material]);
        let shipped_materials = Table::new(self.shipped("materials.toml"), String::new());
        let materials = materials::read(cx, own_materials.as_ref(), &shipped_materials);
        if own_materials.is_some_and(|table| table.is_damaged()) {
            cx.incomplete.insert(Kind::Material);
        }
        let added: Vec<Table<'_>> = self
            .texts
            .added
            .iter()
            .filter_map(|name| self.list(cx, name, &[Kind::Tube, Kind::Part]))
            .collect();
        let mut tubes = self.items(cx, "tubes.toml", &[Kind::Tube], tubes::read);
        added.iter().for_each(|table| tubes.extend(tubes::list(cx, table)));
        let vendors = self.items(cx, "vendors.toml", &[Kind::Vendor, Kind::Service], vendors::read);
        let mut parts = self.parts(cx, &tubes);
        added.iter().for_each(|table| parts.extend(parts::read(cx, table, &tubes)));
        let rules = self.bending_rules(cx);
        let tools = self.tools(cx, &rules);
        let cells = self.items(cx, "cells.toml", &[Kind::Cell], cells::read);
        let customers = self.items(cx, "customers.toml", &[Kind::Customer], vendors::read_customers);
        let orders = self.orders(cx);
        let underway =
            self.items(cx, "underway.toml", &[Kind::Underway], |cx, table| underway::read(cx, table, &cells));
        let measured = self.list(cx, MEASURED, &[]).map(|table| measured::read(&table)).unwrap_or_default();
        let uncertainty = self.rules_or_shipped(cx, "uncertainty.toml", uncertainty::read);
        Shop {
            terms,
            holidays,
            calendars,
            cells,
            crews,
            materials,
            tubes,
            parts,
            tools,
            vendors,
            customers,
            orders,
            underway,
            rules,
            step_times,
            uncertainty: measured::spread(&measured, uncertainty),
            measured,
        }
    }

    fn items<T>(
        &self,
        cx: &mut Context<'_>,
        name: &str,
        kinds: &[Kind],
        read: impl FnOnce(&mut Context<'_>, &Table<'_>) -> Vec<T>,
    ) -> Vec<T> {
        let Some(table) = self.list(cx, name, kinds) else { return Vec::new() };
        let items = read(cx, &table);
        if table.is_damaged() {
            cx.incomplete.extend(kinds);
        }
        items
    }

    fn parts(&self, cx: &mut Context<'_>, tubes: &[StockTube]) -> Vec<Part> {
        let mut all = Vec::new();
        // A part that cannot be read from a later file must not be unknown to an earlier one's reader.
        for name in std::iter::once("parts.toml").chain(self.further("parts/")) {
            all.extend(self.items(cx, name, &[Kind::Part], |cx, table| parts::read(cx, table, tubes)));
        }
        all
    }

    fn tools(&self, cx: &mut Context<'_>, rules: &Rules) -> Vec<Tool> {
        let defaults = &rules.tooling.default;
        let mut all =
            self.items(cx, "tooling.toml", &[Kind::Tool], |cx, table| tooling::read(cx, table, defaults));
        for name in self.further("tools/") {
            all.extend(
                self.items(cx, name, &[Kind::Tool], |cx, table| tooling::read_list(cx, table, defaults)),
            );
        }
        all
    }

    /// Names of the files in one of the folders.
    fn further(&self, folder: &'static str) -> impl Iterator<Item = &'a str> + use<'a> {
        let texts: &'a Texts<'a> = self.texts;
        let read = texts.files.keys().copied();
        read.chain(texts.unread.iter().map(String::as_str)).filter(move |name| name.starts_with(folder))
    }

    /// The shop's rules of bending on top of the shipped ones; the shipped ones alone where they
    /// make no sense together.
    fn bending_rules(&self, cx: &Context<'_>) -> Rules {
        let rules = Rules {
            processes: self.rules_or_shipped(cx, "processes.toml", rules::processes::read),
            times: self.rules_or_shipped(cx, "times.toml", rules::times::read),
            tooling: self.rules_or_shipped(cx, "tooling.toml", rules::tooling::read),
        };
        let faults = rules.faults();
        for fault in &faults {
            let file = format!("{}.toml", fault.file);
            let message = format!("`{}` is {}; it must be {}", fault.key, fault.found, fault.expected);
            let place = self.file(&file).and_then(|parsed| parsed.place_of(&fault.key));
            cx.findings.error(
                place.unwrap_or_else(|| Place::whole(&file)),
                Problem::new(code::OUT_OF_RANGE, message),
            );
        }
        if faults.is_empty() { rules } else { self.shipped_rules() }
    }

    fn shipped_rules(&self) -> Rules {
        Rules {
            processes: self.read_shipped("processes.toml", rules::processes::read),
            times: self.read_shipped("times.toml", rules::times::read),
            tooling: self.read_shipped("tooling.toml", rules::tooling::read),
        }
    }

    fn orders(&self, cx: &mut Context<'_>) -> Vec<Order> {
        let mut all = self.items(cx, "orders.toml", &[Kind::Order], orders::read);
        if self.texts.is_unread("orders.csv") {
            cx.incomplete.insert(Kind::Order);
        }
        if let Some(Some(text)) = self.texts.files.get("orders.csv") {
            all.extend(orders_csv::read(cx, &Text::new("orders.csv", text)));
        }
        let file = ["orders.toml", "orders.csv"].into_iter().find(|name| self.texts.files.contains_key(name));
        if let (true, None, Some(file)) = (all.is_empty(), cx.places.ids(Kind::Order).next(), file)
            && !cx.incomplete.contains(&Kind::Order)
        {
            let problem =
                Problem::new(code::NO_ORDERS, "the order book has no order: there is nothing to plan");
            cx.findings.warning(Place::whole(file), problem);
        }
        all
    }
}

/// Terms that stand in for faulty ones while the other files are read.
fn placeholder() -> Terms {
    Terms {
        name: String::new(),
        currency: String::new(),
        time_zone: chrono_tz::UTC,
        plan_start: None,
        weeks: 1,
        ship_by: NaiveTime::MIN,
        receive_by: NaiveTime::MIN,
        transfer: Minutes::ZERO,
        late_cost_per_day: Money::ZERO,
        later_promise_cost_per_day: None,
        spare: Minutes::ZERO,
        margin_percent: None,
        steadiness: Steadiness::default(),
    }
}
