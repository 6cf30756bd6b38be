use crate::args::LookBackArgs;
use crate::console;
use crate::exit::Exit;
use crate::past::{Asked, whole_past};
use elbowroom_files::{look_back_json, write_folder};
use elbowroom_lookback::{by_week, review};
use elbowroom_report::look_back;

/// Looks back at what was done.
pub fn run(args: &LookBackArgs) -> Exit {
    match show(args) {
        Ok(()) => Exit::Done,
        Err(exit) => exit,
    }
}

fn show(args: &LookBackArgs) -> Result<(), Exit> {
    let asked = Asked { shop: &args.shop, store: &args.store, from: args.from, until: args.until };
    let (shop, facts) = whole_past(&asked)?;
    let (review, zone) = (review(&facts), shop.terms.time_zone);
    console::print(&if args.json {
        look_back_json(&review, zone).to_string()
    } else {
        look_back::text(&shop.terms.name, &review, zone, console::width())
    });
    let Some(out) = &args.out else { return Ok(()) };
    let files = look_back::files(&shop.terms.name, &review, &by_week(&facts), zone);
    let files: Vec<(String, Vec<u8>)> = files.into_iter().map(|file| (file.name, file.bytes)).collect();
    write_folder(out, &files).map_err(|error| {
        console::tell(&format!("error: {error}\n  hint: {}", error.remedy()));
        Exit::NotWritten
    })?;
    console::tell(&format!("written to {}", out.join("look-back.html").display()));
    Ok(())
}
