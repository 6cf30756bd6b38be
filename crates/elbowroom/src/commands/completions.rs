use crate::args::{Arguments, CompletionsArgs};
use crate::exit::Exit;
use clap::CommandFactory;

/// Prints a completion script.
pub fn run(args: &CompletionsArgs) -> Exit {
    let mut script = Vec::new();
    clap_complete::generate(args.shell, &mut Arguments::command(), "elbowroom", &mut script);
    crate::console::print(&String::from_utf8_lossy(&script));
    Exit::Done
}
