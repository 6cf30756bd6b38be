//! The service from opening the store to the last answer.

use crate::app::{App, Limits, Patience, Setup};
use crate::front::Front;
use crate::listen;
use crate::replan::Wish;
use crate::snapshot::ReadError;
use crate::solves;
use crate::tokens::Tokens;
use chrono::{NaiveDate, Utc};
use elbowroom_store::{PlanId, Signature, SqliteStore, Store, StoreError, Version};
use std::collections::BTreeSet;
use std::fmt;
use std::future::Future;
use std::io;
use std::net::{IpAddr, SocketAddr};
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;
use tokio::net::TcpListener;

/// Time between two looks for what other programs wrote to the store.
const LOOK_EVERY: Duration = Duration::from_secs(2);
/// Who signs what the service does of itself.
const ITSELF: &str = "elbowroom";

/// How to serve.
#[derive(Clone, Debug)]
pub struct Options {
    /// Folder that describes the shop.
    pub shop: PathBuf,
    /// File in which everything is kept.
    pub store: PathBuf,
    /// Address to listen on.
    pub listen: SocketAddr,
    /// Further names under which the service may be called.
    pub hosts: BTreeSet<String>,
    /// Who may do what.
    pub tokens: Tokens,
    /// Listen beyond this machine although there are no tokens.
    pub trust_network: bool,
    /// First day of plans; `None`: as the shop says, else the Monday on or after today.
    pub start: Option<NaiveDate>,
    /// Seconds that a re-plan may take where the asker does not say.
    pub solve_seconds: f64,
    /// Threads that a re-plan may use.
    pub solve_threads: usize,
}

/// Why the service does not start.
#[derive(Debug)]
pub enum ServiceError {
    /// It would listen beyond this machine, and anybody could write.
    Unguarded {
        /// The address.
        listen: SocketAddr,
    },
    /// The store cannot be used.
    Store(StoreError),
    /// What the store holds cannot be understood.
    Content(String),
    /// It cannot listen there.
    Listen {
        /// The address.
        listen: SocketAddr,
        /// What the system says.
        error: io::Error,
    },
    /// The system gives no threads.
    Runtime(io::Error),
}

impl ServiceError {
    /// What to do about it.
    #[must_use]
    pub fn remedy(&self) -> &'static str {
        match self {
            Self::Unguarded { .. } => {
                "give tokens with --tokens FILE (`elbowroom token` makes them), or say --trust-network"
            }
            Self::Store(error) => error.remedy(),
            Self::Content(_) => "use the program version that published this plan, or name another store",
            Self::Listen { .. } => "choose another port with --listen, or end the program that uses it",
            Self::Runtime(_) => "end other programs",
        }
    }
}

impl fmt::Display for ServiceError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Unguarded { listen } => {
                write!(
                    f,
                    "{listen} can be reached from other machines, and without tokens anybody could write"
                )
            }
            Self::Store(error) => error.fmt(f),
            Self::Content(what) => f.write_str(what),
            Self::Listen { listen, error } => write!(f, "cannot listen on {listen}: {error}"),
            Self::Runtime(error) => write!(f, "cannot start: {error}"),
        }
    }
}

impl std::error::Error for ServiceError {}

/// A service that is ready to run.
pub struct Service {
    app: App,
    listener: std::net::TcpListener,
}

impl Service {
    /// Opens the store and the port.
    ///
    /// # Errors
    /// If either cannot be used, or anybody could write from elsewhere.
    pub fn open(options: Options) -> Result<Self, ServiceError> {
        if !options.listen.ip().is_loopback() && options.tokens.is_empty() && !options.trust_network {
            return Err(ServiceError::Unguarded { listen: options.listen });
        }
        raise_file_limit();
        let (store, refusal) = SqliteStore::open_to_show(&options.store).map_err(ServiceError::Store)?;
        if let Some(refusal) = refusal {
            tracing::error!(error = %refusal, remedy = refusal.remedy(), "what is there is shown; nothing can be recorded");
        }
        let listen = options.listen;
        let listener = std::net::TcpListener::bind(listen)
            .and_then(|listener| listener.set_nonblocking(true).map(|()| listener))
            .map_err(|error| ServiceError::Listen { listen, error })?;
        let app = App::new(setup(options, Arc::new(store))).map_err(|error| match error {
            ReadError::Store(error) => ServiceError::Store(error),
            ReadError::Plan { .. } => ServiceError::Content(error.to_string()),
        })?;
        Ok(Self { app, listener })
    }

    /// The address on which it listens.
    ///
    /// # Errors
    /// If the system does not say.
    pub fn address(&self) -> io::Result<SocketAddr> {
        self.listener.local_addr()
    }

    /// Whether a plan has been published.
    #[must_use]
    pub fn has_plan(&self) -> bool {
        self.app.snapshot().published.is_some()
    }

    /// Serves until `end` comes. Without a published plan the shop is planned first, and that plan
    /// published.
    ///
    /// # Errors
    /// If the system gives no threads.
    pub fn run(self, end: impl Future<Output = ()>) -> Result<(), ServiceError> {
        let runtime = tokio::runtime::Builder::new_multi_thread()
            .enable_all()
            .thread_name("serve")
            .build()
            .map_err(ServiceError::Runtime)?;
        let served = runtime.block_on(self.serve(end));
        // A solve that is asked to end gets a moment to do so; nothing of it is lost but the search.
        runtime.shutdown_timeout(Duration::from_secs(2));
        served
    }

    async fn serve(self, end: impl Future<Output = ()>) -> Result<(), ServiceError> {
        let listener = TcpListener::from_std(self.listener).map_err(ServiceError::Runtime)?;
        let watching = tokio::spawn(watch_store(self.app.clone()));
        if self.app.snapshot().published.is_none() {
            tokio::spawn(first_plan(self.app.clone()));
        }
        listen::serve(listener, Front::new(self.app), end).await;
        watching.abort();
        Ok(())
    }
}

fn setup(options: Options, store: Arc<dyn Store>) -> Setup {
    Setup {
        hosts: own_names(&options),
        shop: options.shop,
        store,
        tokens: options.tokens,
        start: options.start,
        solve_seconds: options.solve_seconds,
        solve_threads: options.solve_threads,
        limits: Limits::default(),
        patience: Patience::default(),
        clock: Utc::now,
        zone: chrono_tz::UTC,
    }
}

/// Names under which the service may be called. With tokens any name will do: a page of another
/// site has none.
fn own_names(options: &Options) -> BTreeSet<String> {
    if !options.tokens.is_empty() {
        return BTreeSet::new();
    }
    let mut names: BTreeSet<String> = ["localhost", "127.0.0.1", "[::1]"].map(str::to_owned).into();
    match options.listen.ip() {
        IpAddr::V4(address) => names.insert(address.to_string()),
        IpAddr::V6(address) => names.insert(format!("[{address}]")),
    };
    names.extend(options.hosts.iter().cloned());
    names
}

/// Every dashboard needs a file handle; the system's usual limit of 1024 is soon reached.
fn raise_file_limit() {
    use rustix::process::{Resource, getrlimit, setrlimit};
    let mut limit = getrlimit(Resource::Nofile);
    limit.current = limit.maximum;
    let _ = setrlimit(Resource::Nofile, limit);
}

/// Shows what other programs write to the store.
async fn watch_store(app: App) {
    let mut clock = tokio::time::interval(LOOK_EVERY);
    loop {
        clock.tick().await;
        let app = app.clone();
        let _ = tokio::task::spawn_blocking(move || app.refresh_if_changed()).await;
    }
}

/// Plans the shop for the first time and publishes that plan, so that there is something to show.
async fn first_plan(app: App) {
    let wish = Wish {
        by: ITSELF.to_owned(),
        reason: "the first plan".to_owned(),
        seconds: app.setup.solve_seconds,
        seed: 1,
        start: None,
    };
    let Ok(begun) = solves::start(&app, wish) else { return };
    let Some(mut solve) = app.desk.follow(begun.id) else { return };
    let ended = solve.wait_for(|view| view.state != solves::SolveState::Running).await;
    let outcome = ended.map(|view| (view.plan, view.problem.clone()));
    match outcome {
        Ok((Some(plan), _)) => publish_first(&app, PlanId(plan)).await,
        Ok((None, problem)) => tracing::error!(problem, "there is no first plan; see `elbowroom check`"),
        Err(_) => {}
    }
}

async fn publish_first(app: &App, plan: PlanId) {
    let signature = Signature { by: ITSELF.to_owned(), at: app.now() };
    if let Err(problem) = app.write(move |store| store.publish(plan, Version::NONE, &signature)).await {
        tracing::warn!(detail = problem.detail(), "the first plan was not published");
    }
}
