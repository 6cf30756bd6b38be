use super::not_written;
use crate::args::ImportArgs;
use crate::console;
use crate::exit::Exit;
use crate::shop_folder::{self, counted};
use elbowroom_files::{
    Change, Export, Finding, Imported, ImportedList, Mapping, RawFolder, Severity, What, import, import_into,
    open_export, read_mapping,
};
use serde_json::{Value, json};
use std::fmt::Write;
use std::path::Path;

/// Changes named one by one for a person; programs get all.
const MOST_SHOWN: usize = 25;

/// Shows what an export would change in a shop, and changes it if that is asked for.
pub fn run(args: &ImportArgs) -> Exit {
    let (imported, applied) = match all(args) {
        Ok(imported) => imported,
        Err((findings, exit)) => {
            let nothing = Imported { lists: Vec::new(), findings, files: Vec::new() };
            report(args, &nothing, false);
            return exit;
        }
    };
    report(args, &imported, applied);
    if imported.has_errors() { Exit::BadInput } else { Exit::Done }
}

fn all(args: &ImportArgs) -> Result<(Imported, bool), (Vec<Finding>, Exit)> {
    let bad = |findings| (findings, Exit::BadInput);
    let mapping = args.mapping.as_deref().map_or_else(|| Ok(Mapping::default()), mapping).map_err(bad)?;
    let (bytes, notes) = open_export(&args.file).map_err(|finding| bad(vec![finding]))?;
    let name = args.file.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
    let export = Export { name: &name, bytes: &bytes };
    let mut imported = if args.apply {
        import_into(&args.shop, &export, &mapping, args.keep)
            .map_err(|error| (Vec::new(), not_written(&error, error.remedy())))?
    } else {
        import(&|| RawFolder::open(&args.shop), &export, &mapping, args.keep)
    };
    imported.findings.splice(0..0, notes);
    let applied = args.apply && !imported.has_errors();
    Ok((imported, applied))
}

fn mapping(path: &Path) -> Result<Mapping, Vec<Finding>> {
    let (bytes, _) = open_export(path).map_err(|finding| vec![finding])?;
    read_mapping(&path.display().to_string(), &String::from_utf8_lossy(&bytes))
}

fn report(args: &ImportArgs, imported: &Imported, applied: bool) {
    console::print(&if args.json { as_json(imported, applied) } else { as_text(args, imported, applied) });
}

fn as_text(args: &ImportArgs, imported: &Imported, applied: bool) -> String {
    let shown = imported.findings.iter().filter(|finding| finding.severity != Severity::Note);
    let mut text: String = shown.map(|finding| format!("{finding}\n\n")).collect();
    imported.lists.iter().for_each(|list| list_text(&mut text, list));
    let files = imported.lists.iter().map(|list| list.file).collect::<Vec<_>>().join(", ");
    let faults = shop_folder::count(&imported.findings, Severity::Error);
    text += &if faults > 0 {
        format!("{}: nothing is imported until they are mended\n", counted(faults, "fault"))
    } else if applied {
        format!("imported: {files} in {}\n", args.shop.display())
    } else if imported.lists.is_empty() {
        "nothing was changed\n".to_owned()
    } else {
        format!("nothing was changed; with --apply, {files} would be written\n")
    };
    text
}

fn list_text(text: &mut String, list: &ImportedList) {
    let count = |wanted: fn(&What) -> bool| list.changes.iter().filter(|change| wanted(&change.what)).count();
    let _ = writeln!(
        text,
        "{} ({}): {} new, {} changed, {} gone",
        list.name,
        counted(list.rows, "row"),
        count(|what| *what == What::New),
        count(|what| matches!(what, What::Changed(_))),
        count(|what| *what == What::Gone),
    );
    for change in list.changes.iter().take(MOST_SHOWN) {
        let _ = writeln!(text, "  {}", change_text(change));
    }
    if list.changes.len() > MOST_SHOWN {
        let _ = writeln!(text, "  and {} more (--json names all)", list.changes.len() - MOST_SHOWN);
    }
    text.push('\n');
}

fn change_text(change: &Change) -> String {
    match &change.what {
        What::New => format!("new      {}", change.id),
        What::Changed(values) => format!("changed  {}: {}", change.id, values.join(", ")),
        What::Gone => format!("gone     {}", change.id),
    }
}

fn as_json(imported: &Imported, applied: bool) -> String {
    let lists: Vec<Value> = imported.lists.iter().map(list_json).collect();
    let findings: Vec<Value> = imported.findings.iter().map(super::check::finding_json).collect();
    json!({ "applied": applied, "lists": lists, "findings": findings }).to_string()
}

fn list_json(list: &ImportedList) -> Value {
    let ids = |wanted: What| -> Vec<&str> {
        list.changes.iter().filter(|change| change.what == wanted).map(|change| change.id.as_str()).collect()
    };
    let changed = list.changes.iter().filter_map(|change| match &change.what {
        What::Changed(values) => Some(json!({ "id": change.id, "values": values })),
        _ => None,
    });
    json!({
        "list": list.name,
        "file": list.file,
        "rows": list.rows,
        "new": ids(What::New),
        "changed": changed.collect::<Vec<_>>(),
        "gone": ids(What::Gone),
    })
}
