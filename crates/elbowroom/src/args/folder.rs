//! Arguments of the verbs that write a shop folder.

use super::examples::MAPPING_HELP;
use clap::{Args, ValueHint};
use std::path::PathBuf;

/// `new`.
#[derive(Debug, Args)]
pub struct NewArgs {
    /// Folder to make; it must not be there yet, or be empty.
    #[arg(value_name = "SHOP_FOLDER", value_hint = ValueHint::DirPath)]
    pub shop: PathBuf,
    /// Print one JSON object: folder, files.
    #[arg(long)]
    pub json: bool,
}

/// `import`.
#[derive(Debug, Args)]
#[command(after_help = MAPPING_HELP)]
pub struct ImportArgs {
    /// Folder that describes the shop.
    #[arg(value_name = "SHOP_FOLDER", value_hint = ValueHint::DirPath)]
    pub shop: PathBuf,
    /// The export: a CSV file or a workbook (.xlsx).
    #[arg(value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub file: PathBuf,
    /// Which columns it has and how it writes dates and numbers; without it: orders under the names of
    /// orders.csv.
    #[arg(long, value_name = "FILE.toml", value_hint = ValueHint::FilePath)]
    pub mapping: Option<PathBuf>,
    /// Change the shop; without it nothing is written and only shown what would change.
    #[arg(long)]
    pub apply: bool,
    /// Keep what the export lacks instead of taking it out.
    #[arg(long)]
    pub keep: bool,
    /// Print one JSON object: applied, lists, findings.
    #[arg(long)]
    pub json: bool,
}
