use super::{open_store, tell_store};
use crate::args::{Happened, RecordArgs};
use crate::console;
use crate::exit::Exit;
use crate::past::{self, Past};
use chrono::{SubsecRound, Utc};
use elbowroom_files::{Kind, Places, read_shop};
use elbowroom_lookback::Actual;
use elbowroom_store::{Event, Recorded, Report, Signature, Store};
use serde_json::json;

/// Records what happened to a step of an order.
pub fn run(args: &RecordArgs) -> Exit {
    match record(args) {
        Ok(()) => Exit::Done,
        Err(exit) => exit,
    }
}

fn record(args: &RecordArgs) -> Result<(), Exit> {
    let places = places(args)?;
    let store = open_store(&args.store.path(&args.shop))?;
    let past = past::read(&store).map_err(|error| past::tell(&error))?;
    are_known(args, &places, &past)?;
    let lot = past.actual.iter().find(|lot| lot.order == args.order && lot.step == args.step);
    can_follow(args, lot)?;
    let now = Utc::now().trunc_subsecs(3);
    let report = Report {
        key: None,
        order: args.order.clone(),
        step: args.step.clone(),
        cell: args.cell.clone(),
        event: event(args),
        happened: args.at.map_or(now, |at| at.to_utc()),
        recorded: Signature { by: args.by.clone().unwrap_or_else(user), at: now },
    };
    let kept = store.record(&report).map_err(|error| tell_store(&error))?;
    console::print(&if args.json { as_json(&kept) } else { as_text(&kept) });
    Ok(())
}

/// Where the shop's things stand.
fn places(args: &RecordArgs) -> Result<Places, Exit> {
    let loaded = read_shop(&args.shop);
    if loaded.shop.is_some() {
        return Ok(loaded.places);
    }
    console::tell(&format!(
        "error: {} cannot be read as a shop; `elbowroom check` says why",
        args.shop.display()
    ));
    Err(Exit::BadInput)
}

/// The cell must be the shop's; the order in its book or in some plan, for a finished one may have
/// left the book.
fn are_known(args: &RecordArgs, places: &Places, past: &Past) -> Result<(), Exit> {
    let refuse = |what: String| {
        console::tell(&format!("error: {what}"));
        Err(Exit::BadInput)
    };
    if let Some(cell) = args.cell.as_ref().filter(|cell| places.of(Kind::Cell, cell).is_none()) {
        return refuse(format!("there is no cell `{cell}` in the shop"));
    }
    let planned = past.planned.iter().filter(|lot| lot.order == args.order);
    if places.of(Kind::Order, &args.order).is_none() && planned.clone().next().is_none() {
        return refuse(format!("neither the order book nor a plan has an order `{}`", args.order));
    }
    Ok(())
}

/// Whether what is reported can have happened after what was.
fn can_follow(args: &RecordArgs, lot: Option<&Actual>) -> Result<(), Exit> {
    let stopped = lot.is_some_and(|lot| lot.stops.last().is_some_and(|stop| stop.until.is_none()));
    let refusal = match (lot, args.what) {
        (Some(lot), _) if lot.finished.is_some() => "is finished already",
        (Some(_), Happened::Started) if !stopped => "is running already",
        (None, Happened::Stopped | Happened::Counted) => "has not been started",
        (Some(_), Happened::Stopped) if stopped => "stands still already",
        _ => return Ok(()),
    };
    console::tell(&format!("error: step `{}` of order `{}` {refusal}", args.step, args.order));
    Err(Exit::BadInput)
}

fn event(args: &RecordArgs) -> Event {
    let (good, scrap) = (args.good.unwrap_or_default(), args.scrap);
    match args.what {
        Happened::Started => Event::Started,
        Happened::Stopped => Event::Stopped { reason: args.reason.clone().unwrap_or_default() },
        Happened::Counted => Event::Counted { good, scrap },
        Happened::Finished => Event::Finished { good, scrap },
    }
}

fn user() -> String {
    ["USER", "USERNAME"]
        .iter()
        .find_map(|name| std::env::var(name).ok())
        .unwrap_or_else(|| "somebody".to_owned())
}

fn as_text(kept: &Recorded) -> String {
    let Report { order, step, event, happened, recorded, .. } = &kept.report;
    format!(
        "{}: {order} {step} {} at {}, says {}",
        kept.seq,
        event.word(),
        happened.to_rfc3339(),
        recorded.by
    )
}

fn as_json(kept: &Recorded) -> String {
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
        "happened": report.happened.to_rfc3339(),
        "by": report.recorded.by,
    })
    .to_string()
}
