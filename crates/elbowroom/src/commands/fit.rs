use crate::args::FitArgs;
use crate::console;
use crate::exit::Exit;
use crate::shop_folder::{self, Read};
use elbowroom_files::{Finding, Kind, Severity, fit_json, write_file};
use elbowroom_planner::fit::{Fit, Inquiry, fit};
use elbowroom_report::{fit_text, part_svg};
use elbowroom_shop::Shop;
use elbowroom_shop::part::Part;

/// Holds a part up to every bending cell.
pub fn run(args: &FitArgs) -> Exit {
    match answer(args).and_then(|found| draw(args, &found).map(|()| found)) {
        Ok(found) => {
            console::print(&if args.json { fit_json(&found) } else { fit_text(&found, console::width()) });
            Exit::Done
        }
        Err(exit) => exit,
    }
}

fn answer(args: &FitArgs) -> Result<Fit, Exit> {
    let read = shop_folder::read_with_parts_of(&args.shop, args.bends.as_deref(), args.start);
    tell(&read, args);
    let shop = read.loaded.shop.as_ref().filter(|_| !read.loaded.has_errors()).ok_or_else(|| {
        console::tell("nothing was looked at: mend the faults above first");
        Exit::BadInput
    })?;
    let part = wanted(args, &read, shop)?;
    let inquiry = Inquiry { quantity: args.qty, today: read.start };
    fit(shop, part, &inquiry).map_err(|error| {
        console::tell(&format!("error: {error}"));
        Exit::BadInput
    })
}

/// Writes the picture, if one is asked for.
fn draw(args: &FitArgs, found: &Fit) -> Result<(), Exit> {
    let Some(path) = &args.picture else { return Ok(()) };
    write_file(path, part_svg(&found.part).as_bytes()).map_err(|error| {
        console::tell(&format!("error: {error}\n  hint: {}", error.remedy()));
        Exit::NotWritten
    })
}

/// Tells every fault, and what is noticed about the file of bends; of the rest `check` tells.
fn tell(read: &Read, args: &FitArgs) {
    let file = args.bends.as_ref().map(|path| path.display().to_string());
    let of_file =
        |finding: &Finding| file.as_ref().is_some_and(|file| finding.place.file.ends_with(file.as_str()));
    for finding in &read.loaded.findings {
        if finding.severity == Severity::Error || of_file(finding) {
            console::tell(&format!("{finding}\n"));
        }
    }
}

/// The part asked for; of a file of bends with one part, that one.
fn wanted<'s>(args: &FitArgs, read: &Read, shop: &'s Shop) -> Result<&'s Part, Exit> {
    let added = &read.loaded.added_parts;
    let id = match (&args.part, added.as_slice()) {
        (Some(id), _) => id,
        (None, [only]) => only,
        (None, all) => return Err(tell_choice(all)),
    };
    shop.parts.iter().find(|part| part.id == *id).ok_or_else(|| {
        let near = read.loaded.places.nearest(Kind::Part, id);
        let hint = near.map_or_else(
            || "parts are listed in parts.toml and parts/*.toml; a part that is not can come with --bends FILE".to_owned(),
            |near| format!("did you mean `{near}`?"),
        );
        console::tell(&format!("error: there is no part `{id}` in {}\n  hint: {hint}", args.shop.display()));
        Exit::BadInput
    })
}

/// Asks for a choice where the file of bends has no part, or several.
fn tell_choice(parts: &[String]) -> Exit {
    console::tell(&match parts {
        [] => "error: the file of --bends has no part\n  hint: begin it with [[part]]; `elbowroom fit --help` shows one"
            .to_owned(),
        all => format!("error: the file of --bends has {} parts\n  hint: choose one: --part {}", all.len(), all.join(" or ")),
    });
    Exit::BadInput
}
