use super::{open_store, tell_store, user};
use crate::args::{Happened, RecordArgs};
use crate::console;
use crate::exit::Exit;
use crate::past::{self, Past};
use chrono::{SubsecRound, Utc};
use chrono_tz::Tz;
use elbowroom_files::{Kind, Places, read_shop};
use elbowroom_server::Plan;
use elbowroom_store::{Event, Floor, Recorded, Report, Seq, Signature, Store, StoreError};
use serde_json::json;

/// Records what happened to a step of an order.
pub fn run(args: &RecordArgs) -> Exit {
    match record(args) {
        Ok(()) => Exit::Done,
        Err(exit) => exit,
    }
}

fn record(args: &RecordArgs) -> Result<(), Exit> {
    let (places, zone) = shop(args)?;
    let store = open_store(&args.store.path(&args.shop))?;
    let past = past::read(&store).map_err(|error| past::tell(&error))?;
    are_known(args, &places, &past)?;
    let reports = store.reports(Seq(0), u32::MAX).map_err(|error| tell_store(&error))?;
    let floor = Floor::of(&reports);
    let now = Utc::now().trunc_subsecs(3);
    let report = Report {
        key: None,
        order: args.order.clone(),
        step: args.step.clone(),
        cell: args.cell.clone(),
        event: event(args, &floor)?,
        happened: args.at.map_or(now, |at| at.to_utc()),
        recorded: Signature { by: args.by.clone().unwrap_or_else(user), at: now },
    };
    let begun = is_begun(&store, &report).map_err(|error| tell_store(&error))?;
    floor.admits(&report, begun).map_err(|refused| {
        console::tell(&format!("error: {refused}\n  hint: {}", refused.remedy()));
        Exit::BadInput
    })?;
    let kept = store.record(&report).map_err(|error| tell_store(&error))?;
    console::print(&if args.json { as_json(&kept, zone) } else { as_text(&kept, zone) });
    Ok(())
}

/// Where the shop's things stand, and its time zone.
fn shop(args: &RecordArgs) -> Result<(Places, Tz), Exit> {
    let loaded = read_shop(&args.shop);
    if let Some(shop) = loaded.shop {
        return Ok((loaded.places, shop.terms.time_zone));
    }
    console::tell(&format!(
        "error: {} cannot be read as a shop; `elbowroom check` says why",
        args.shop.display()
    ));
    Err(Exit::BadInput)
}

/// The cell or vendor must be the shop's; the order in its book or in some plan, for a finished one may have
/// left the book.
fn are_known(args: &RecordArgs, places: &Places, past: &Past) -> Result<(), Exit> {
    let refuse = |what: String| {
        console::tell(&format!("error: {what}"));
        Err(Exit::BadInput)
    };
    let is_known =
        |place: &str| [Kind::Cell, Kind::Vendor].iter().any(|kind| places.of(*kind, place).is_some());
    if let Some(cell) = args.cell.as_ref().filter(|cell| !is_known(cell)) {
        return refuse(format!("there is no cell or vendor `{cell}` in the shop"));
    }
    let planned = past.planned.iter().filter(|lot| lot.order == args.order);
    if places.of(Kind::Order, &args.order).is_none() && planned.clone().next().is_none() {
        return refuse(format!("neither the order book nor a plan has an order `{}`", args.order));
    }
    Ok(())
}

/// Whether the step counts as begun by the published plan. A plan that cannot be read says nothing.
fn is_begun(store: &dyn Store, report: &Report) -> Result<bool, StoreError> {
    let Some(head) = store.current()? else { return Ok(false) };
    let plan = Plan::read(&store.document(head.id, "plan.json")?);
    Ok(plan.is_ok_and(|plan| plan.is_begun(report)))
}

fn event(args: &RecordArgs, floor: &Floor) -> Result<Event, Exit> {
    let (good, scrap) = (args.good.unwrap_or_default(), args.scrap);
    Ok(match args.what {
        Happened::Started => Event::Started,
        Happened::Stopped => Event::Stopped { reason: args.reason.clone().unwrap_or_default() },
        Happened::Counted => Event::Counted { good, scrap },
        Happened::Finished => Event::Finished { good, scrap },
        Happened::Withdrawn => Event::Withdrawn { report: last_report(args, floor)? },
    })
}

/// The last report of the step that stands.
fn last_report(args: &RecordArgs, floor: &Floor) -> Result<Seq, Exit> {
    let last = floor.step(&args.order, &args.step).last;
    if last == Seq(0) {
        console::tell(&format!(
            "error: nothing was reported of step `{}` of order `{}`, so nothing can be withdrawn",
            args.step, args.order
        ));
        return Err(Exit::BadInput);
    }
    Ok(last)
}

fn as_text(kept: &Recorded, zone: Tz) -> String {
    let Report { order, step, cell, event, happened, recorded, .. } = &kept.report;
    let on = cell.as_ref().map_or_else(String::new, |cell| format!(" on {cell}"));
    let what = match event {
        Event::Counted { good, scrap } | Event::Finished { good, scrap } => {
            format!("{}, {good} good, {scrap} scrap", event.word())
        }
        Event::Stopped { reason } => format!("stopped ({reason})"),
        Event::Started => event.word().to_owned(),
        Event::Withdrawn { report } => format!("report {report} withdrawn"),
    };
    let at = happened.with_timezone(&zone).format("%a %Y-%m-%d %H:%M");
    format!("report {}: {order} {step}{on}: {what}, {at}, says {}", kept.seq, recorded.by)
}

fn as_json(kept: &Recorded, zone: Tz) -> String {
    let report = &kept.report;
    let (good, scrap) = match report.event {
        Event::Counted { good, scrap } | Event::Finished { good, scrap } => (Some(good), Some(scrap)),
        _ => (None, None),
    };
    json!({
        "seq": kept.seq.0,
        "order": report.order,
        "step": report.step,
        "cell": report.cell,
        "event": report.event.word(),
        "good": good,
        "scrap": scrap,
        "happened": report.happened.with_timezone(&zone).to_rfc3339(),
        "by": report.recorded.by,
    })
    .to_string()
}
