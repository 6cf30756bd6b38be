use super::not_written;
use crate::args::EstimatesArgs;
use crate::console;
use crate::estimated::{entries, in_use, sort};
use crate::exit::Exit;
use crate::past::{Asked, whole_past};
use chrono::Utc;
use elbowroom_files::{NotKept, estimates_json, keep_measured};
use elbowroom_lookback::estimates::{Estimate, estimates};
use elbowroom_report::estimates as words;

/// Shows what recorded times say about the standard times; keeps them where that is asked.
pub fn run(args: &EstimatesArgs) -> Exit {
    match show(args) {
        Ok(()) => Exit::Done,
        Err(exit) => exit,
    }
}

fn show(args: &EstimatesArgs) -> Result<(), Exit> {
    let asked = Asked { shop: &args.shop, store: &args.store, from: args.from, until: args.until };
    let (shop, facts) = whole_past(&asked)?;
    let least = usize::try_from(args.least).unwrap_or(usize::MAX);
    let found = estimates(&facts, least, &|lot| sort(&shop, lot));
    let zone = shop.terms.time_zone;
    let used = |estimate: &Estimate| in_use(&shop, estimate);
    console::print(&if args.json {
        estimates_json(&found, least, &used, facts.period, zone).to_string()
    } else {
        words::text(&shop.terms.name, &found, least, &used, facts.period, zone, console::width())
    });
    if !args.write {
        return Ok(());
    }
    let entries = entries(&shop, &found, least, Utc::now().with_timezone(&zone).date_naive());
    if entries.is_empty() {
        console::tell("nothing was written: no kind of work has lots enough");
        return Ok(());
    }
    keep_measured(&args.shop, &entries).map_err(|why| tell(&why))?;
    console::tell(&format!(
        "{} kept in {}; the next plan uses them",
        crate::shop_folder::counted(entries.len(), "measured time"),
        args.shop.join(elbowroom_files::MEASURED).display()
    ));
    Ok(())
}

fn tell(why: &NotKept) -> Exit {
    match why {
        NotKept::Refused(findings) => {
            findings.iter().for_each(|finding| console::tell(&format!("{finding}\n")));
            console::tell("nothing was written: the shop has the faults above");
            Exit::BadInput
        }
        NotKept::Locked(error) => not_written(error, error.remedy()),
        NotKept::NotWritten(error) => not_written(error, error.remedy()),
    }
}
