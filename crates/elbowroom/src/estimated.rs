//! From lots to what the shop's files call them, and back.

use chrono::NaiveDate;
use elbowroom_lookback::PlannedLot;
use elbowroom_lookback::Robust;
use elbowroom_lookback::estimates::{Estimate, Estimates, Sort};
use elbowroom_shop::Shop;
use elbowroom_shop::cell::WorkKind;
use elbowroom_shop::measured::MeasuredTime;
use elbowroom_shop::part::StockTube;
use elbowroom_units::quantity::plain;

/// The kind of work and the tube of a lot; `None` where the shop no longer has its cell or part.
pub fn sort(shop: &Shop, lot: &PlannedLot) -> Option<Sort> {
    let cell = shop.cells.iter().find(|cell| cell.id == lot.cell)?;
    let part = shop.parts.iter().find(|part| part.id == lot.part)?;
    let tube = shop.tubes.iter().find(|tube| tube.id == part.tube)?;
    Some(Sort { work: cell.work.name().to_owned(), tube: size(tube) })
}

fn size(tube: &StockTube) -> String {
    format!("{}x{}", plain(tube.tube.outer().mm(), 3), plain(tube.tube.wall().mm(), 3))
}

/// Factors on running and changing over that the shop plans with now.
pub fn in_use(shop: &Shop, estimate: &Estimate) -> (f64, f64) {
    let Some(work) = work(shop, &estimate.work) else { return (1.0, 1.0) };
    let of_all = shop.measured.0.iter().find(|entry| entry.work == work && entry.tube.is_none());
    let run = match tube(shop, estimate) {
        Some(tube) => shop.measured.run(work, &tube.tube),
        None => of_all.and_then(|entry| entry.run).unwrap_or(1.0),
    };
    (run, shop.measured.setup(work))
}

fn work(shop: &Shop, name: &str) -> Option<WorkKind> {
    shop.cells.iter().map(|cell| cell.work).find(|work| work.name() == name)
}

fn tube<'s>(shop: &'s Shop, estimate: &Estimate) -> Option<&'s StockTube> {
    let wanted = estimate.tube.as_ref()?;
    shop.tubes.iter().find(|tube| size(tube) == *wanted)
}

/// What is to be kept: everything that rests on lots enough, each with a remark for the file.
pub fn entries(
    shop: &Shop,
    found: &Estimates,
    least: usize,
    today: NaiveDate,
) -> Vec<(MeasuredTime, String)> {
    let enough = |robust: &Option<Robust>| robust.filter(|robust| robust.count >= least);
    let entry = |estimate: &Estimate| {
        let (run, setup) = (enough(&estimate.run), enough(&estimate.setup));
        if run.is_none() && setup.is_none() {
            return None;
        }
        let tube = tube(shop, estimate).map(|tube| (tube.tube.outer(), tube.tube.wall()));
        let of_all = estimate.tube.is_none();
        let entry = MeasuredTime {
            work: work(shop, &estimate.work)?,
            tube,
            run: run.map(|run| run.median),
            setup: setup.map(|setup| setup.median),
            // No spread at all is more than so few lots can know.
            run_cv: estimate.run_variation.filter(|cv| run.is_some() && of_all && *cv > 0.0),
            setup_cv: setup.and_then(|setup| setup.variation()).filter(|cv| *cv > 0.0),
        };
        let said = [("running", run), ("changing over", setup)].into_iter();
        let said = said.filter_map(|(what, robust)| robust.map(|robust| remark(what, &robust)));
        Some((entry, format!("{today}: {}", said.collect::<Vec<_>>().join("; "))))
    };
    found.estimates.iter().filter_map(entry).collect()
}

fn remark(what: &str, robust: &Robust) -> String {
    let sure = robust.sure.map_or_else(String::new, |(low, high)| {
        format!(", with 95 % certainty between {low:.2} and {high:.2}")
    });
    format!("{what} {:.2} times the standard, median of {} lots{sure}", robust.median, robust.count)
}
