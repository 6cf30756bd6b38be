use crate::args::{TokenArgs, TokenRight};
use crate::console;
use crate::exit::Exit;
use elbowroom_server::{NewToken, Right};
use serde_json::json;

/// Makes a token and prints it once, with the line that lets the service know it.
pub fn run(args: &TokenArgs) -> Exit {
    let right = match args.right {
        TokenRight::Read => Right::Read,
        TokenRight::Write => Right::Write,
    };
    let mut random = [0; 32];
    if let Err(error) = getrandom::fill(&mut random) {
        console::tell(&format!("error: the system gives no random numbers: {error}"));
        return Exit::OurFault;
    }
    let new = NewToken::new(right, &args.name, random);
    console::print(&if args.json {
        json!({ "token": new.token, "line": new.line }).to_string()
    } else {
        format!(
            "token, shown only now:\n  {}\nline for the file that `elbowroom serve --tokens` reads:\n  {}",
            new.token, new.line
        )
    });
    Exit::Done
}
