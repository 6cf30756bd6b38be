use crate::args::ServeArgs;
use crate::console;
use crate::exit::Exit;
use elbowroom_server::{Options, Service, ServiceError, Tokens};
use std::io::IsTerminal;
use std::path::{Path, PathBuf};
use tracing_subscriber::EnvFilter;

/// The environment's list of tokens.
const TOKENS: &str = "ELBOWROOM_TOKENS";
/// The environment's choice of what is logged.
const LOG: &str = "ELBOWROOM_LOG";
/// The store inside the shop's folder.
const STORE: &str = "elbowroom.store";

/// Serves a shop until told to end.
pub fn run(args: &ServeArgs) -> Exit {
    match serve(args) {
        Ok(()) => Exit::Done,
        Err(exit) => exit,
    }
}

fn serve(args: &ServeArgs) -> Result<(), Exit> {
    start_log(args.log_json);
    is_a_shop(&args.shop)?;
    let tokens = tokens(args.tokens.as_deref())?;
    let service = Service::open(options(args, tokens)).map_err(|error| tell(&error))?;
    say_where(args, &service);
    service.run(end()).map_err(|error| tell(&error))?;
    console::tell("closed");
    Ok(())
}

/// Logs to standard error: text for people, JSON for programs.
fn start_log(as_json: bool) {
    let filter = EnvFilter::try_from_env(LOG).unwrap_or_else(|_| EnvFilter::new("info"));
    let log = tracing_subscriber::fmt().with_env_filter(filter).with_writer(std::io::stderr);
    if as_json {
        log.json().init();
    } else {
        log.with_ansi(std::io::stderr().is_terminal()).init();
    }
}

fn is_a_shop(folder: &Path) -> Result<(), Exit> {
    if folder.join("shop.toml").is_file() {
        return Ok(());
    }
    console::tell(&format!(
        "error: {} is no shop folder: there is no shop.toml in it\n  hint: examples/ottergrund is one",
        folder.display()
    ));
    Err(Exit::BadInput)
}

/// Tokens from the file, else from the environment; none if neither is there.
fn tokens(file: Option<&Path>) -> Result<Tokens, Exit> {
    let text = match file {
        Some(path) => std::fs::read_to_string(path).map_err(|error| {
            console::tell(&format!("error: cannot read the tokens in {}: {error}", path.display()));
            Exit::BadInput
        })?,
        None => std::env::var(TOKENS).unwrap_or_default(),
    };
    Tokens::read(&text).map_err(|fault| {
        console::tell(&format!("error: {fault}"));
        Exit::BadInput
    })
}

fn options(args: &ServeArgs, tokens: Tokens) -> Options {
    Options {
        shop: args.shop.clone(),
        store: store(args),
        listen: args.listen,
        hosts: args.host.iter().cloned().collect(),
        tokens,
        trust_network: args.trust_network,
        start: args.start,
        solve_seconds: args.seconds,
        solve_threads: args
            .threads
            .map_or_else(|| std::thread::available_parallelism().map_or(1, usize::from), usize::from),
    }
}

fn store(args: &ServeArgs) -> PathBuf {
    args.store.clone().unwrap_or_else(|| args.shop.join(STORE))
}

fn say_where(args: &ServeArgs, service: &Service) {
    let address = service.address().unwrap_or(args.listen);
    let first = if service.has_plan() {
        String::new()
    } else {
        format!(
            "no plan is published yet: the first one is made now, which takes about {:.0} s\n",
            args.seconds
        )
    };
    console::tell(&format!(
        "serving {} from {}\n{first}page:      http://{address}/\nprograms:  http://{address}/api/v1/status, described by \
         http://{address}/api/v1/openapi.json\nCtrl-C ends it",
        args.shop.display(),
        store(args).display()
    ));
}

fn tell(error: &ServiceError) -> Exit {
    console::tell(&format!("error: {error}\n  hint: {}", error.remedy()));
    match error {
        ServiceError::Unguarded { .. } | ServiceError::Content(_) => Exit::BadInput,
        ServiceError::Store(_) | ServiceError::Listen { .. } => Exit::NotWritten,
        ServiceError::Runtime(_) => Exit::OurFault,
    }
}

/// Comes with Ctrl-C or a termination signal.
fn end() -> impl Future<Output = ()> {
    let (ended, end) = tokio::sync::oneshot::channel();
    let ended = std::sync::Mutex::new(Some(ended));
    // If another handler is in place already, Ctrl-C ends the program as usual.
    let _ = ctrlc::set_handler(move || {
        let waiting = ended.lock().ok().and_then(|mut ended| ended.take());
        match waiting {
            Some(ended) => {
                let _ = ended.send(());
            }
            // Asked twice, it does not wait for anybody.
            None => std::process::exit(i32::from(Exit::Done.code())),
        }
    });
    async {
        let _ = end.await;
    }
}
