//! How sure orders are: for each the days on which it was finished, over all runs.
//!
//! Days that keep the promise are open bars, days that do not are solid ones, and a line stands at
//! the end of the promised day; so it reads in black and white.

use super::{BODY, LEAST_WIDTH, MARGIN, NAME, SMALL, frame, legend};
use crate::lists::chances::{in_100, least_sure_first};
use crate::picture::lettering::{self, Weight};
use crate::picture::{Anchor, Frame, Group, Ink, Picture, Text};
use crate::when::day;
use chrono::{Days, NaiveDate};
use elbowroom_planner::plan::{OrderChance, OrderPlan, Plan};
use elbowroom_shop::calendar::PlanClock;
use elbowroom_units::Minute;
use legend::{Entry, Sample};

/// Narrowest panel of an order; where more fit, they stand beside each other.
const LEAST_PANEL: f64 = 250.0;
/// Room between panels.
const GAP: f64 = 22.0;
/// Height of a panel, and of the bars in it.
const PANEL: f64 = 132.0;
const BARS: f64 = 64.0;
/// Most bars of an order; where more days are needed, a bar stands for several.
const MOST_BARS: i64 = 16;
/// Most orders in one picture, the least sure ones.
const MOST_ORDERS: usize = 400;

/// Bars of one order: shares of the runs by day, or by some days.
#[derive(Clone, Debug, PartialEq)]
pub struct DayBars {
    /// First day of the first bar.
    pub first: NaiveDate,
    /// Days of a bar.
    pub days: i64,
    /// Share of the runs in each bar.
    pub shares: Vec<f64>,
    /// How many bars keep the promise.
    pub kept: usize,
}

impl DayBars {
    /// The bars of an order. A finish counts for the day by whose shipping time it is done. The last
    /// bar that keeps the promise ends with the promised day; one run of 200 at each end goes into
    /// the outermost bar.
    #[must_use]
    pub fn new(order: &OrderPlan, chance: &OrderChance, clock: &PlanClock) -> Self {
        let after = |finish: Minute| days_after(order, clock, finish);
        let (low, high) =
            (after(chance.finishes.quantile(0.005)).min(0), after(chance.finishes.quantile(0.995)).max(1));
        let days = ((high - low + 1) as u64).div_ceil(MOST_BARS.unsigned_abs() - 1) as i64;
        // Bar 0 ends with the promised day, which is day 0.
        let bar = |day: i64| (day - 1).div_euclid(days) + 1;
        let (first, last) = (bar(low), bar(high));
        let mut shares = vec![0.0; (last - first + 1) as usize];
        let each = 1.0 / chance.finishes.sorted().len() as f64;
        for finish in chance.finishes.sorted() {
            shares[(bar(after(*finish)).clamp(first, last) - first) as usize] += each;
        }
        let begin = (first - 1) * days + 1;
        Self { first: moved(clock.date(order.due), begin), days, shares, kept: (1 - first).max(0) as usize }
    }

    /// The last day of the last bar.
    #[must_use]
    pub fn last(&self) -> NaiveDate {
        moved(self.first, self.days * self.shares.len() as i64 - 1)
    }
}

/// Days from the promised one, on which the order is due, to the first by whose shipping time a finish is done.
fn days_after(order: &OrderPlan, clock: &PlanClock, finish: Minute) -> i64 {
    let ship_by = clock.local(order.due).time();
    let date = clock.date(finish);
    let days = (date - clock.date(order.due)).num_days();
    if clock.minute(date, ship_by) >= finish { days } else { days + 1 }
}

fn moved(date: NaiveDate, days: i64) -> NaiveDate {
    let by = Days::new(days.unsigned_abs());
    let there = if days < 0 { date.checked_sub_days(by) } else { date.checked_add_days(by) };
    there.unwrap_or(date)
}

/// A panel for every order, the least sure first, `width` pixels wide. `None` where nothing has been
/// carried out.
#[must_use]
pub fn picture(plan: &Plan, width: u32) -> Option<Picture> {
    panels(plan, width, &least_sure_first(plan))
}

/// As [`picture`], with those `most` promises at risk that are expected to cost most; `None` if
/// there are none.
#[must_use]
pub fn at_risk(plan: &Plan, width: u32, most: usize) -> Option<Picture> {
    let sure = least_sure_first(plan);
    let risks = plan.confidence.iter().flat_map(|sure| &sure.risks).take(most);
    let found = risks.filter_map(|risk| sure.iter().find(|(order, _)| order.id == risk.order));
    panels(plan, width, &found.copied().collect::<Vec<_>>())
}

fn panels(plan: &Plan, width: u32, orders: &[(&OrderPlan, &OrderChance)]) -> Option<Picture> {
    let orders = &orders[..orders.len().min(MOST_ORDERS)];
    let runs = plan.confidence.as_ref().filter(|_| !orders.is_empty())?.runs;
    let width = f64::from(width).max(LEAST_WIDTH);
    let title = format!("{}: how sure are the promises", plan.shop);
    let subtitle =
        format!("Days by which each order was finished when the plan was carried out {runs} times.");
    let mut group = Group::default();
    let top = frame::heading(&mut group, width, &title, &subtitle) + 10.0;
    let room = width - 2.0 * MARGIN;
    let across = (((room + GAP) / (LEAST_PANEL + GAP)) as usize).max(1);
    let panel = (room - GAP * (across as f64 - 1.0)) / across as f64;
    for (i, (order, chance)) in orders.iter().enumerate() {
        let left = MARGIN + (i % across) as f64 * (panel + GAP);
        let y = top + (i / across) as f64 * PANEL;
        draw(&mut group, order, chance, &plan.clock, Frame::new(left, y, left + panel, y + PANEL));
    }
    let bottom = top + orders.len().div_ceil(across) as f64 * PANEL;
    let entries = [
        Entry::new(Sample::Kept, "day keeps the promise"),
        Entry::new(Sample::Missed, "day is too late"),
        Entry::new(Sample::Due, "end of the promised day"),
    ];
    let height = legend::draw(&mut group, &entries, width, bottom + 4.0) + MARGIN - 4.0;
    Some(Picture { width, height, description: description(orders), title, groups: vec![group] })
}

fn description(orders: &[(&OrderPlan, &OrderChance)]) -> String {
    let says = |(order, chance): &(&OrderPlan, &OrderChance)| {
        format!("{} is kept in {} of 100 cases", order.id, in_100(chance.kept))
    };
    let first: Vec<String> = orders.iter().take(3).map(says).collect();
    format!("One panel for each of {} orders. {}.", orders.len(), first.join(", "))
}

fn draw(group: &mut Group, order: &OrderPlan, chance: &OrderChance, clock: &PlanClock, panel: Frame) {
    let bars = DayBars::new(order, chance, clock);
    let kept = format!("kept in {} of 100", in_100(chance.kept));
    let name_room = panel.width() - lettering::width(&kept, NAME, Weight::Bold) - 10.0;
    let name = lettering::fit_start(&order.id, NAME, Weight::Bold, name_room, 1).unwrap_or_default();
    group.text(Text::new((panel.left, panel.top + 8.0), name, NAME).bold());
    group.text(Text::new((panel.right, panel.top + 8.0), kept, NAME).bold().anchor(Anchor::End));
    let promised = format!("promised {}, in 80 of 100 by {}", day(order.promised), day(chance.dates.in_80));
    let promised = lettering::fit_start(&promised, SMALL, Weight::Regular, panel.width(), 1);
    let words = promised.unwrap_or_default();
    group.text(Text::new((panel.left, panel.top + 23.0), words, SMALL).ink(Ink::Quiet));
    let top = panel.top + 34.0;
    draw_bars(group, &bars, Frame::new(panel.left, top, panel.right, top + BARS));
    let below = top + BARS + 10.0;
    let short = |date: NaiveDate| date.format("%m-%d").to_string();
    group.text(Text::new((panel.left, below), short(bars.first), SMALL).ink(Ink::Quiet));
    let last = Text::new((panel.right, below), short(bars.last()), SMALL).ink(Ink::Quiet);
    group.text(last.anchor(Anchor::End));
}

fn draw_bars(group: &mut Group, bars: &DayBars, frame: Frame) {
    let step = frame.width() / bars.shares.len() as f64;
    let most = bars.shares.iter().copied().fold(0.0, f64::max);
    // Room above the highest bar for its figure.
    let high = frame.height() - BODY - 4.0;
    for (i, share) in bars.shares.iter().enumerate() {
        let left = frame.left + step * i as f64;
        let top = frame.bottom - high * share / most.max(1e-9);
        let bar = Frame::new(left + 1.0, top, left + step - 1.0, frame.bottom);
        if *share > 0.0 {
            legend::chance_bar(group, bar, i < bars.kept);
        }
        if *share == most {
            let words = in_100(*share);
            let half = lettering::width(&words, SMALL, Weight::Regular) / 2.0;
            let x = (left + step / 2.0).clamp(frame.left + half, frame.right - half);
            group.text(Text::new((x, top - 7.0), words, SMALL).anchor(Anchor::Middle));
        }
    }
    group.line(vec![(frame.left, frame.bottom), (frame.right, frame.bottom)], Ink::Rule, 1.0);
    let due = frame.left + step * bars.kept as f64;
    group.line(vec![(due, frame.top), (due, frame.bottom + 4.0)], Ink::Text, 2.0);
}
