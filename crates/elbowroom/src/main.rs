//! `elbowroom`: plans a contract tube-bending shop from the command line.
//!
//! A thin layer: it parses the command line, hands clock, signals and paths to the crates that
//! do the work, and turns their answers into text, JSON and an exit code ([`exit`]).

mod args;
mod commands;
mod console;
mod estimated;
mod exit;
mod past;
mod plan_folder;
mod shop_folder;
mod stood;
mod watch;

use args::{Arguments, Command};
use clap::Parser;
use std::process::ExitCode;

fn main() -> ExitCode {
    let arguments = Arguments::parse();
    let outcome = match &arguments.command {
        Command::Plan(args) => commands::plan::run(args),
        Command::Serve(args) => commands::serve::run(args),
        Command::Token(args) => commands::token::run(args),
        Command::Solve(args) => commands::solve::run(args),
        Command::Verify(args) => commands::verify::run(args),
        Command::Check(args) => commands::check::run(args),
        Command::Fit(args) => commands::fit::run(args),
        Command::Promise(args) => commands::promise::run(args),
        Command::New(args) => commands::new::run(args),
        Command::Import(args) => commands::import::run(args),
        Command::Notice(args) => commands::notice::run(args),
        Command::WhatIf(args) => commands::what_if::run(args),
        Command::Compare(args) => commands::compare::run(args),
        Command::Record(args) => commands::record::run(args),
        Command::LookBack(args) => commands::look_back::run(args),
        Command::Estimates(args) => commands::estimates::run(args),
        Command::Tooling(args) => commands::tooling::run(args),
        Command::Completions(args) => commands::completions::run(args),
    };
    outcome.into()
}
