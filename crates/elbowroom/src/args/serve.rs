//! The options of `serve` and `token`.

use super::seconds;
use chrono::NaiveDate;
use clap::{Args, ValueEnum, ValueHint};
use std::net::SocketAddr;
use std::path::PathBuf;

/// `serve`.
#[derive(Debug, Args)]
pub struct ServeArgs {
    /// Folder that describes the shop; it is read anew for every re-plan.
    #[arg(value_name = "SHOP_FOLDER", value_hint = ValueHint::DirPath)]
    pub shop: PathBuf,
    /// Address to listen on. Beyond this machine it needs tokens.
    #[arg(long, value_name = "ADDRESS:PORT", default_value = "127.0.0.1:8080")]
    pub listen: SocketAddr,
    /// File that keeps plans, reports and promises [default: `elbowroom.store` in the shop folder].
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub store: Option<PathBuf>,
    /// File with tokens, as `elbowroom token` prints them [default: the variable ELBOWROOM_TOKENS,
    /// else none: whoever reaches the address may do everything].
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub tokens: Option<PathBuf>,
    /// Listen beyond this machine although there are no tokens.
    #[arg(long)]
    pub trust_network: bool,
    /// A further name under which the service may be called; can be given several times.
    #[arg(long, value_name = "NAME")]
    pub host: Vec<String>,
    /// First day of plans [default: `plan_start` of shop.toml until that day comes, then today;
    /// without it the next Monday].
    #[arg(long, value_name = "DATE")]
    pub start: Option<NaiveDate>,
    /// Seconds that a re-plan may take where the asker does not say.
    #[arg(long, value_name = "S", default_value_t = 10.0, value_parser = seconds)]
    pub seconds: f64,
    /// Threads of a re-plan; they give way to serving [default: as many as the machine has].
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=256))]
    pub threads: Option<u16>,
    /// Log as JSON, a line for each record. ELBOWROOM_LOG chooses what is logged: `debug`, `warn`.
    #[arg(long)]
    pub log_json: bool,
}

/// `token`.
#[derive(Debug, Args)]
pub struct TokenArgs {
    /// Whose it is; everything done with it is signed so.
    #[arg(value_name = "NAME", value_parser = token_name)]
    pub name: String,
    /// What it allows.
    #[arg(long, value_enum, default_value_t = TokenRight::Read)]
    pub right: TokenRight,
    /// Print one JSON object: token, line.
    #[arg(long)]
    pub json: bool,
}

/// What a token allows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum TokenRight {
    /// Looking.
    Read,
    /// Looking, recording, planning, publishing.
    Write,
}

fn token_name(text: &str) -> Result<String, String> {
    let plain = |letter: char| letter.is_alphanumeric() || matches!(letter, '-' | '_' | '.' | '@');
    if !text.is_empty() && text.len() <= 60 && text.chars().all(plain) {
        Ok(text.to_owned())
    } else {
        Err("expected up to 60 letters, digits, `-`, `_`, `.` or `@`".to_owned())
    }
}
