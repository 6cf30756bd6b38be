use crate::args::NewArgs;
use crate::console;
use crate::exit::Exit;
use chrono::Local;
use elbowroom_files::{replace_files, starter};
use serde_json::json;
use std::path::Path;

/// Makes a shop folder with files to fill in.
pub fn run(args: &NewArgs) -> Exit {
    if !is_free(&args.shop) {
        console::tell(&format!("error: `{}` is there already and not an empty folder", args.shop.display()));
        console::tell("  hint: name another folder; nothing was changed");
        return Exit::NotWritten;
    }
    let files = starter(Local::now().date_naive());
    if let Err(error) = replace_files(&args.shop, &files) {
        console::tell(&format!("error: {error}\n  hint: {}", error.remedy()));
        return Exit::NotWritten;
    }
    let names: Vec<&str> = files.iter().map(|(name, _)| name.as_str()).collect();
    console::print(&if args.json {
        json!({ "folder": args.shop.display().to_string(), "files": names }).to_string()
    } else {
        as_text(&args.shop, &names)
    });
    Exit::Done
}

fn is_free(folder: &Path) -> bool {
    match std::fs::read_dir(folder) {
        Ok(mut entries) => entries.next().is_none(),
        Err(error) => error.kind() == std::io::ErrorKind::NotFound,
    }
}

fn as_text(folder: &Path, names: &[&str]) -> String {
    format!(
        "written to {folder}: {}\n\nIt is a small shop with one example of everything, and can be planned as it is.\n\
         Begin with shop.toml, change what is marked with an arrow (<-), and see now and then what is missing:\n\n  \
         elbowroom check {folder}\n  elbowroom plan {folder}\n",
        names.join(", "),
        folder = folder.display(),
    )
}
