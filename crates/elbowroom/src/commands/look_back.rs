use super::open_store;
use crate::args::LookBackArgs;
use crate::console;
use crate::exit::Exit;
use crate::past::{self, Past};
use chrono::{DateTime, Days, NaiveDate, NaiveTime, TimeZone, Utc};
use chrono_tz::Tz;
use elbowroom_files::{look_back_json, read_shop};
use elbowroom_lookback::{Facts, Span, review};
use elbowroom_shop::Terms;

/// Looks back at what was done.
pub fn run(args: &LookBackArgs) -> Exit {
    match look_back(args) {
        Ok(()) => Exit::Done,
        Err(exit) => exit,
    }
}

fn look_back(args: &LookBackArgs) -> Result<(), Exit> {
    let terms = terms(args)?;
    let path = args.store.path(&args.shop);
    if !path.is_file() {
        console::tell(&format!(
            "error: there is no store {}: nothing has been published or recorded\n  hint: `elbowroom serve` \
             publishes plans, `elbowroom record` keeps what happens",
            path.display()
        ));
        return Err(Exit::BadInput);
    }
    let past = past::read(&open_store(&path)?).map_err(|error| past::tell(&error))?;
    let now = Utc::now();
    let period = period(args, &past, terms.time_zone, now)?;
    let Past { orders, planned, actual, cells, .. } = past;
    let facts =
        Facts { period, zone: terms.time_zone, now: now.min(period.1), orders, planned, actual, cells };
    let review = review(&facts);
    console::print(&if args.json {
        look_back_json(&review, terms.time_zone).to_string()
    } else {
        elbowroom_report::look_back::text(&terms.name, &review, terms.time_zone, console::width())
    });
    Ok(())
}

fn terms(args: &LookBackArgs) -> Result<Terms, Exit> {
    read_shop(&args.shop).shop.map(|shop| shop.terms).ok_or_else(|| {
        console::tell(&format!(
            "error: {} cannot be read as a shop; `elbowroom check` says why",
            args.shop.display()
        ));
        Exit::BadInput
    })
}

/// From the first day's beginning to the last day's end.
fn period(args: &LookBackArgs, past: &Past, zone: Tz, now: DateTime<Utc>) -> Result<Span, Exit> {
    let day = |moment: DateTime<Utc>| moment.with_timezone(&zone).date_naive();
    let from = args.from.unwrap_or_else(|| day(past.begin.unwrap_or(now)));
    let until = args.until.unwrap_or_else(|| day(now));
    if until < from {
        console::tell(&format!("error: the last day {until} is before the first, {from}"));
        return Err(Exit::BadInput);
    }
    let after = until.checked_add_days(Days::new(1)).unwrap_or(until);
    Ok((beginning(from, zone), beginning(after, zone)))
}

/// Midnight, or the first moment of a day that has none.
fn beginning(day: NaiveDate, zone: Tz) -> DateTime<Utc> {
    let midnight = day.and_time(NaiveTime::MIN);
    zone.from_local_datetime(&midnight)
        .earliest()
        .map_or_else(|| midnight.and_utc(), |moment| moment.to_utc())
}
